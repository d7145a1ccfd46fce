"""Ropes of a study against each other: every pair, on the same draws."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations
from pathlib import Path
from typing import Any

from linewright.assessment.compare import Comparison, compare
from linewright.assessment.whole import RopeResult, Whole
from linewright.base import units
from linewright.base.data import Datum
from linewright.base.errors import InputError, Problem
from linewright.base.nearest import nearest
from linewright.cards.model import Shelf
from linewright.case.model import Case, Compared
from linewright.services.answer import letter
from linewright.services.result import result_of
from linewright.services.trial import assessed_new, read_given

Row = dict[str, Any]
SCHEMA = "linewright.compare/1"
OPTION = "--rope"
FIRM = 0.9  # of the draws, from which one rope is said to outlive another
DIAMETERS = (0.005, 0.5)  # [m], as in a case


def compare_of(root: Path, ropes: Sequence[str] = (), samples: int | None = None) -> Row:
    """The ropes of a study, and those named as "CARD" or "CARD, DIAMETER", against each other.

    Raises InputError for a rope that is not there or a size that cannot be.
    """
    given = read_given(root, samples)
    named = with_named(given.case, given.shelf, ropes)
    whole = assessed_new(given.with_case(replace(given.case, compared=named)))
    letters = {id(rope): letter(number) for number, rope in enumerate(whole.ropes)}
    pairs = [_pair(whole, letters, one, two) for one, two in combinations(ranked(whole), 2)]
    row = {key: value for key, value in result_of(whole).items() if key not in ("comparisons", "wide_because")}
    told = [{"letter": letter(number), **rope} for number, rope in enumerate(row["ropes"])]
    row["is_new"] = bool(given.case.past)
    return {**row, "schema": SCHEMA, "study": str(root), "ropes": told, "pairs": pairs, "first": first_of(pairs, told)}


def ranked(whole: Whole) -> list[RopeResult]:
    """The ropes that every mechanism could be assessed for."""
    return [rope for rope in whole.ropes if not rope.refusal]


def with_named(case: Case, shelf: Shelf, ropes: Sequence[str]) -> tuple[Compared, ...]:
    """What the case compares, then the named ropes in the same ship motion; one that it has already is not added."""
    rows = list(case.compared)
    for text in ropes:
        card, _, size = (part.strip() for part in text.partition(","))
        if card not in shelf.ropes:
            near = nearest(card, shelf.ropes)
            hint = f"did you mean {near}?" if near else "linewright cards list shows them"
            needs = f"a rope card: {', '.join(sorted(shelf.ropes))}"
            raise InputError(f"There is no rope card {card!r}.", [Problem(OPTION, text, needs, hint)])
        item = Compared(card, "motion", _sized(card, text, size), OPTION)
        if all((item.rope, item.same, item.data) != (other.rope, other.same, other.data) for other in rows):
            rows.append(item)
    return tuple(rows)


def _sized(card: str, text: str, size: str) -> dict[str, Datum]:
    """The diameter that is asked for, or nothing for the card's own."""
    if not size:
        return {}
    try:
        value = units.parse(size, "length")
        fits = DIAMETERS[0] <= value <= DIAMETERS[1]
    except units.UnitError:
        fits = False
    if not fits:
        needs = 'a card, or a card and a diameter from 5 mm to 500 mm: "CARD, 44 mm"'
        raise InputError("A rope has no such size.", [Problem(OPTION, text, needs)])
    unit, owner = units.split(size)[1], f"compared {card}"
    return {"diameter": Datum("diameter", "length", value, value, value, "given", OPTION, unit=unit, owner=owner)}


def _pair(whole: Whole, letters: dict[int, str], base: RopeResult, other: RopeResult) -> Row:
    found = compare(whole, base, other)
    return {
        "rope": letters[id(other)],
        "against": letters[id(base)],
        "ratio": _ratio(found),
        "outlives": {"same_ignorance": found.shared, "independent": found.apart},
        "rests_on": list(found.rests_on),
        "estimates": list(found.estimates),
        "estimates_only": found.is_estimate_only,
    }


def _ratio(found: Comparison) -> Row:
    names = ("p10", "p50", "p90")
    return {**dict(zip(names, found.ratio, strict=True)), "bounds": dict(zip(names, found.bounds, strict=True))}


def first_of(pairs: Sequence[Row], ropes: Sequence[Row]) -> Row:
    """The rope that comes first, and how firm that is against the one that comes nearest to it.

    First is the rope whose smallest probability of outliving another is the largest, with common ignorance; `verdict`
    is "firm" where that is at least 0.9 also with unrelated laws, "common" where only with common ignorance, "open"
    otherwise, "alone" with one ranked rope, "none" without. `tied` says that nothing parts them: every median life
    lies beyond the horizon.
    """
    ranked = [rope for rope in ropes if rope["life"] is not None]
    if len(ranked) < 2:
        return {"verdict": "alone" if ranked else "none", "rope": ranked[0]["letter"] if ranked else None}
    chances = {rope["letter"]: _chances(rope["letter"], pairs) for rope in ranked}
    lives = {rope["letter"]: rope["life"]["p50"] for rope in ranked}
    best = max(chances, key=lambda name: (min(row[1] for row in chances[name]), lives[name]))
    rival, shared, apart = min(chances[best], key=lambda row: (min(row[1:]), row[0]))
    verdict = "firm" if min(shared, apart) >= FIRM else "common" if shared >= FIRM else "open"
    tied = all(rope["life"]["beyond"] and rope["life"]["p50"] >= rope["life"]["p90"] for rope in ranked)
    return {"verdict": verdict, "rope": best, "nearest": rival, "same_ignorance": shared, "independent": apart,
            "tied": tied}  # fmt: skip


def _chances(name: str, pairs: Sequence[Row]) -> list[tuple[str, float, float]]:
    """Every other rope, with the probability that this one outlives it: same ignorance, independent."""
    rows = []
    for pair in pairs:
        shared, apart = pair["outlives"]["same_ignorance"], pair["outlives"]["independent"]
        if pair["rope"] == name:
            rows.append((pair["against"], shared, apart))
        elif pair["against"] == name:
            rows.append((pair["rope"], 1.0 - shared, 1.0 - apart))
    return rows
