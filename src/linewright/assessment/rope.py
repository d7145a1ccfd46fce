"""What a rope brings to an assessment: its data with the line's, contacts' and practice's data."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from linewright.assessment.bend_test import anchored
from linewright.base.data import Datum
from linewright.base.errors import CardError, InputError, Problem
from linewright.cards.model import Card, Shelf
from linewright.case.model import Case, ContactUse, LineGroup
from linewright.physics import section


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


ESSENTIAL = (
    "density", "diameter", "mass_per_length", "design_break_force", "dynamic_stiffness", "loss_factor",
    "axial_conductivity", "radial_conductivity_dry", "radial_conductivity_wet", "emissivity", "solar_absorptance",
    "melting_temperature", "friction_on_steel", "bending_loss", "profile_misfit",
)  # fmt: skip
ESSENTIAL_CONTACT = (
    "bend_radius", "wrap_angle", "half_angle", "conductance_sliding", "conductance_passive", "spreading_resistance",
    "generation_share", "steel_sun",
)  # fmt: skip
ROUNDING = 1e-6
ESSENTIAL_PRACTICE = ("payout_spread", "film_factor", "partial_bend")


def _check(card: str, keys: tuple[str, ...], data: Mapping[str, Datum]) -> None:
    """Raise CardError for data that no temperature can be computed without."""
    lacking = [key for key in keys if key not in data]
    if lacking:
        raise CardError(
            f"The card {card} lacks data that no temperature can be computed without.",
            [Problem(f"{card}.toml", "nothing", key, "add it with its source and basis") for key in lacking],
        )


def sized(rope: Card, own: Mapping[str, Datum]) -> dict[str, Datum]:
    """A rope's data at its certificate's size: with a diameter alone, LDBF and mass follow the card by the square.

    A bending test of the certificate takes the place of the card's anchor.
    """
    data = {**rope.data, **anchored(rope.data, own)}
    if "diameter" not in own or "diameter" not in rope.data:
        return data
    square = (own["diameter"].value / rope.data["diameter"].value) ** 2
    for key in ("design_break_force", "mass_per_length"):
        if key in rope.data and key not in own:
            card = rope.data[key]
            low, value, high = (part * square for part in (card.low, card.value, card.high))
            rule = f"{card.where}; times the square of the diameter's ratio".lstrip("; ")
            tells = card.confidential or rope.data["diameter"].confidential
            data[key] = replace(card, value=value, low=low, high=high, basis="derived", where=rule, confidential=tells)
    return data


def _check_fill(rope: Card, data: Mapping[str, Datum]) -> None:
    """Raise CardError where more fibre is said to be there than the circle holds."""
    mass, density, diameter = (data[key].value for key in ("mass_per_length", "density", "diameter"))
    share = float(section.fill(mass, density, diameter))
    if share > 1.0:
        read = f"{mass:.3g} kg/m at {1000 * diameter:.0f} mm: fibre fills {100 * share:.0f} % of the circle"
        needs = "mass, diameter and fibre density that fit together (50 to 85 %)"
        raise CardError(f"The rope {rope.name} cannot be.", [Problem(rope.name, read, needs, "check the units")])


def titled(title: str, data: Mapping[str, Datum]) -> str:
    """A card's title with the size that the rope really has."""
    return re.sub(r", [\d.]+ mm$", f", {1000.0 * data['diameter'].value:.0f} mm", title)


def subject(
    case: Case, shelf: Shelf, line: LineGroup, rope_name: str, where: str, own: Mapping[str, Datum] | None = None
) -> Subject:
    """A rope on a line group; `own` is what its certificate says, by default that of the rope on board."""
    find(shelf.ropes, rope_name, "rope", where)
    rope = shelf.rope(rope_name)
    if own is None:
        own = line.rope_data if rope_name == line.rope else {}
    practice = find(shelf.practices, line.practice, "practice", line.where)
    data = {**practice.data, **sized(rope, own), "inboard_length": line.inboard_length}
    _check(rope_name, ESSENTIAL, data)
    _check(line.practice, ESSENTIAL_PRACTICE, data)
    _check_fill(rope, data)
    contacts = []
    for index, use in enumerate(line.contacts):
        contact, part = _contact(shelf, use, index, line)
        contacts.append(contact)
        data.update(part)
        _check_bend(line, contact, data)
        _check_arc(line, contact, data)
    _check_places(line, contacts, data)
    data.update(_spreads(case))
    data = _with_luck(data, line.name)
    return Subject(line, rope_name, titled(rope.title, data), rope.words, data, tuple(contacts), frozenset(rope.data))


def _with_luck(data: Mapping[str, Datum], name: str) -> dict[str, Datum]:
    """The data, each scatter as the luck of this piece of rope."""
    return {key: replace(datum, luck_of=name) if datum.doubt == "scatter" else datum for key, datum in data.items()}


def tail_subject(case: Case, shelf: Shelf, line: LineGroup) -> Subject | None:
    """The tail of a line group as a rope in its own right: no contacts."""
    if line.tail is None:
        return None
    find(shelf.ropes, line.tail.rope, "rope", line.where)
    rope = shelf.rope(line.tail.rope)
    practice = find(shelf.practices, line.practice, "practice", line.where)
    data = {**practice.data, **rope.data, "inboard_length": line.inboard_length, **_spreads(case)}
    data = _with_luck(data, f"tail of {line.name}")
    _check(line.tail.rope, ESSENTIAL, data)
    return Subject(
        line,
        line.tail.rope,
        rope.title,
        rope.words,
        data,
        (),
        frozenset(rope.data),
        is_tail=True,
    )


def _contact(shelf: Shelf, use: ContactUse, index: int, line: LineGroup) -> tuple[Contact, dict[str, Datum]]:
    card = find(shelf.contacts, use.card, "contact", line.where)
    turns, holds = card.words.get("turns") == "True", card.words.get("holds") == "True"
    contact = Contact(use.name, index, turns, holds, use.reuse)
    drag = "roller_friction" if turns else "friction_ratio"
    _check(use.card, (*ESSENTIAL_CONTACT, drag, "roughness"), {**card.data, **use.data})
    return contact, {contact.key(key): datum for key, datum in {**card.data, **use.data}.items()}


def _check_bend(line: LineGroup, contact: Contact, data: Mapping[str, Datum]) -> None:
    """Raise InputError for a bend no rope can make: D/d below 1."""
    radius, diameter = data[contact.key("bend_radius")].value, data["diameter"].value
    if 2.0 * radius < diameter:
        where = f'{line.where}  line "{line.name}" > contact "{contact.name}" > bend_radius'
        read = f"{1000 * radius:.0f} mm, D/d {2.0 * radius / diameter:.2f} with a rope of {1000 * diameter:.0f} mm"
        needs = f"a radius of at least half the rope's diameter, {500 * diameter:.0f} mm"
        raise InputError("A bend is sharper than the rope is thick.", [Problem(where, read, needs, "check the unit")])


def _check_arc(line: LineGroup, contact: Contact, data: Mapping[str, Datum]) -> None:
    """Raise InputError for a contact that more rope lies on than the line has."""
    arc = data[contact.key("bend_radius")].value * data[contact.key("wrap_angle")].value
    length = line.inboard_length.value + line.outboard_length
    if arc > length:
        where = f'{line.where}  line "{line.name}" > contact "{contact.name}"'
        read = f"bend_radius x wrap = {arc:.3g} m of rope"
        raise InputError(
            "A contact is longer than the line.", [Problem(where, read, f"at most the line's {length:.6g} m")]
        )


@dataclass(frozen=True)
class _Spot:
    """A contact on the line: metres from the drum and of rope on it, its name, and where its place was typed."""

    metre: float
    arc: float
    name: str
    typed: str

    def problem(self, line: LineGroup, read: str, needs: str) -> Problem:
        """What is wrong with its place."""
        where = f'{self.typed}  line "{line.name}" > contact "{self.name}" > inboard_length'
        return Problem(where, read, needs, "give the metres of rope from the drum to the middle of the contact")


def _check_places(line: LineGroup, contacts: Sequence[Contact], data: Mapping[str, Datum]) -> None:
    """Raise InputError for a contact at the line's end, or on rope that lies on another, where the case says its place.

    Contacts without an `inboard_length` of their own share that of the line: their places are not told.
    """
    length = line.inboard_length.value + line.outboard_length
    spots = []
    for item in contacts:
        own = data.get(item.key("inboard_length"))
        arc = data[item.key("bend_radius")].value * data[item.key("wrap_angle")].value
        spots.append(_Spot((own or line.inboard_length).value, arc, item.name, own.source if own else ""))
    problems = []
    for spot in spots:
        if spot.typed and spot.metre + 0.5 * spot.arc >= length:
            needs = f"less than {length - 0.5 * spot.arc:.6g} m: the line ends at {length:.6g} m"
            problems.append(spot.problem(line, f"{spot.metre:.6g} m, with {spot.arc:.3g} m of rope on it", needs))
    for one, two in pairwise(sorted(spots, key=lambda spot: spot.metre)):
        first, second = (one, two) if two.typed else (two, one)
        apart = 0.5 * (one.arc + two.arc)
        if second.typed and two.metre - one.metre < apart * (1.0 - ROUNDING):
            read = f"{second.metre:.6g} m, {two.metre - one.metre:.3g} m from {first.name} at {first.metre:.6g} m"
            needs = f"at least {apart:.3g} m between them: {one.arc:.3g} m and {two.arc:.3g} m of rope lie on them"
            problems.append(second.problem(line, read, needs))
    if problems:
        raise InputError("A contact is where it cannot be.", problems)


def _spreads(case: Case) -> dict[str, Datum]:
    """Payout spreads typed for single states, by their own key."""
    return {
        f"payout_spread of {berth.name}, {state.name}": state.payout_spread
        for berth in case.every_berth
        for state in berth.states
        if state.payout_spread is not None
    }


def payout_key(berth: str, state: str, data: Mapping[str, Datum]) -> str:
    """Key of the payout spread that holds in a state."""
    own = f"payout_spread of {berth}, {state}"
    return own if own in data else "payout_spread"
