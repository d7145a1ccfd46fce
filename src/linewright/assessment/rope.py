"""What a rope brings to an assessment: its data with the line's, contacts' and practice's data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from linewright.base.data import Datum
from linewright.base.errors import InputError, Problem
from linewright.cards.model import Card, Shelf
from linewright.case.model import Case, ContactUse, LineGroup


@dataclass(frozen=True)
class Contact:
    """A contact as the assessment sees it: its name, what it does, and its number on the line."""

    name: str
    index: int
    turns: bool
    holds: bool
    reuse: bool

    def key(self, name: str) -> str:
        """The key of one of this contact's data in the line's draws."""
        return f"{self.index}.{name}"


@dataclass(frozen=True)
class Subject:
    """One rope (or tail) on one line group: words, data by key, contacts from drum to shore."""

    line: LineGroup
    name: str
    title: str
    words: Mapping[str, str]
    data: Mapping[str, Datum]
    contacts: tuple[Contact, ...]
    laws: frozenset[str]
    is_tail: bool = False

    @property
    def places(self) -> tuple[str, ...]:
        """Names of the places on the X axis: three per contact, then the free span."""
        parts = ("outboard tangent", "mid-arc", "inboard tangent")
        return (*(f"{contact.name}, {part}" for contact in self.contacts for part in parts), "free span")


def find(shelf: Mapping[str, Card], name: str, what: str, where: str) -> Card:
    """A card by name, or an InputError with the names there are."""
    if name in shelf:
        return shelf[name]
    raise InputError(
        f"There is no {what} card {name!r}.",
        [Problem(where, name, f"a {what} card: {', '.join(sorted(shelf))}")],
    )


def subject(case: Case, shelf: Shelf, line: LineGroup, rope_name: str, where: str) -> Subject:
    """A rope on a line group. The certificate's values typed in the case belong to the rope on board."""
    find(shelf.ropes, rope_name, "rope", where)
    rope = shelf.rope(rope_name)
    own = line.rope_data if rope_name == line.rope else {}
    practice = find(shelf.practices, line.practice, "practice", line.where)
    data = {**practice.data, **rope.data, **own, "inboard_length": line.inboard_length}
    contacts = []
    for index, use in enumerate(line.contacts):
        contact, part = _contact(shelf, use, index, line)
        contacts.append(contact)
        data.update(part)
    data.update(_spreads(case))
    return Subject(
        line, rope_name, rope.title, rope.words, MappingProxyType(data), tuple(contacts), frozenset(rope.data)
    )


def tail_subject(case: Case, shelf: Shelf, line: LineGroup) -> Subject | None:
    """The tail of a line group as a rope in its own right: no contacts."""
    if line.tail is None:
        return None
    find(shelf.ropes, line.tail.rope, "rope", line.where)
    rope = shelf.rope(line.tail.rope)
    practice = find(shelf.practices, line.practice, "practice", line.where)
    data = {**practice.data, **rope.data, "inboard_length": line.inboard_length, **_spreads(case)}
    return Subject(
        line,
        line.tail.rope,
        rope.title,
        rope.words,
        MappingProxyType(data),
        (),
        frozenset(rope.data),
        is_tail=True,
    )


def _contact(shelf: Shelf, use: ContactUse, index: int, line: LineGroup) -> tuple[Contact, dict[str, Datum]]:
    card = find(shelf.contacts, use.card, "contact", line.where)
    turns, holds = card.words.get("turns") == "True", card.words.get("holds") == "True"
    contact = Contact(use.name, index, turns, holds, use.reuse)
    return contact, {contact.key(key): datum for key, datum in {**card.data, **use.data}.items()}


def _spreads(case: Case) -> dict[str, Datum]:
    """Payout spreads typed for single states, by their own key."""
    return {
        f"payout_spread of {berth.name}, {state.name}": state.payout_spread
        for berth in case.berths
        for state in berth.states
        if state.payout_spread is not None
    }


def payout_key(berth: str, state: str, data: Mapping[str, Datum]) -> str:
    """Key of the payout spread that holds in a state."""
    own = f"payout_spread of {berth}, {state}"
    return own if own in data else "payout_spread"
