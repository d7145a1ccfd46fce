"""Where a value typed in the case wins over what a card knows from a test, a calibration or a standard."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from linewright.assessment.rope import sized, titled
from linewright.base import units
from linewright.base.data import Datum
from linewright.base.findings import Finding
from linewright.cards.model import Card, Shelf
from linewright.case.model import Case

CODE = "case-over-card"
FIRM = ("measured", "calibrated", "standard")
SAME, DIGITS = 1e-6, 8  # values that differ by less are one; figures that tell values apart that differ by more


@dataclass(frozen=True)
class Overruled:
    """A card whose firm data lose to the case: what it is about, and pairs of the case's and the card's datum."""

    card: str
    about: str
    pairs: tuple[tuple[Datum, Datum], ...]

    @property
    def finding(self) -> Finding:
        """The caution that names both values."""
        each = "; ".join(f"{typed.key} {_shown(typed)}, not {_shown(own)} ({own.basis})" for typed, own in self.pairs)
        return Finding(CODE, "caution", f"the case wins over the card {self.card}: {each}", self.about)


def overruled(case: Case, shelf: Shelf) -> list[Overruled]:
    """Every card that loses firm data to the case: of ropes on board and compared, contacts and practices."""
    found = (Overruled(card.name, about, tuple(_lost(card, typed))) for card, about, typed in _typed(case, shelf))
    return [item for item in found if item.pairs]


def _typed(case: Case, shelf: Shelf) -> Iterator[tuple[Card, str, Mapping[str, Datum]]]:
    """Every card with what it is about and what the case types over it."""
    for line in case.lines:
        rope = shelf.rope(line.rope)
        yield rope, _about(line.name, rope, line.rope_data), line.rope_data
        for use in line.contacts:
            yield shelf.contacts[use.card], f"{line.name}, {use.name}", use.data
    for compared in case.compared:
        rope = shelf.rope(compared.rope)
        yield rope, _about("compared", rope, compared.data), compared.data
    practices = dict.fromkeys(line.practice for line in case.lines)
    for berth in case.berths:
        for state in berth.states:
            spread = {} if state.payout_spread is None else {"payout_spread": state.payout_spread}
            for name in practices:
                yield shelf.practices[name], f"{berth.name}, {state.name}", spread


def _about(where: str, rope: Card, own: Mapping[str, Datum]) -> str:
    """A rope by the title that it has in the result."""
    return f"{where}, {titled(rope.title, sized(rope, own))}"


def _lost(card: Card, typed: Mapping[str, Datum]) -> Iterator[tuple[Datum, Datum]]:
    for key, given in typed.items():
        own = card.data.get(key)
        if own is not None and own.basis in FIRM and not math.isclose(given.value, own.value, rel_tol=SAME):
            yield given, own


def _shown(datum: Datum) -> str:
    return units.show(datum.value, datum.kind, datum.unit, DIGITS)
