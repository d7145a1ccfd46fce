"""Material over the ship's life: sets, tails and spares of every rope, in kg, and in the user's own money and CO2e."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from linewright.assessment.renewals import Sets, may_be_fewer, quantile, sets
from linewright.assessment.whole import RopeResult, Whole
from linewright.case.model import LineGroup, Plan
from linewright.physics.types import Array
from linewright.services.answer import letter
from linewright.services.plan_asked import planned
from linewright.services.result import life_row, result_of
from linewright.services.trial import assessed_new, read_given
from linewright.services.used import used_row

Row = dict[str, Any]
SCHEMA = "linewright.plan/1"
QUANTILES = (("p10", 0.1), ("p50", 0.5), ("p90", 0.9))
SHORT = 1.0  # [years] a set that lasts less is no set to plan with


def plan_of(root: Path, options: dict[str, str] | None = None, samples: int | None = None) -> Row:
    """The material of every rope of a study; options are keys of `[plan]` that win over the case.

    Raises InputError for options that cannot be.
    """
    given = read_given(root, samples)
    plan = planned(root, given.case, options or {})
    whole = assessed_new(given)
    told = result_of(whole)
    ropes = [_rope(whole, plan, number) for number in range(len(whole.ropes))]
    return {
        "schema": SCHEMA,
        "study": str(root),
        **{key: told[key] for key in ("title", "note", "samples", "horizon", "criteria")},
        "is_new": bool(given.case.past),
        "plan": {key: value for key, value in vars(plan).items() if key != "typed" and value is not None},
        "ropes": ropes,
        "least": least(ropes),
        "known": told["known"],
        "results": told["ropes"],
        "findings": told["findings"],
        "used": [*told["used"], *(used_row(whole.shelf, datum) for datum in plan.typed)],
    }


def _rope(whole: Whole, plan: Plan, number: int) -> Row:
    """One rope: its groups, and what they add up to."""
    rope, weights = whole.ropes[number], whole.weights
    row: Row = {
        "letter": letter(number), "name": rope.title, "card": rope.variant.rope, "same": rope.variant.same,
        "on_board": rope.variant.on_board,
    }  # fmt: skip
    if rope.refusal:
        return {**row, "not_planned": f"not comparable: {rope.refusal}"}
    groups = _groups(whole, rope, plan)
    lines = np.sum([group.lines for group in groups], axis=0)
    spare = plan.spares * max(group.kg_line for group in groups)
    kilograms = np.sum([group.lines * group.kg_line for group in groups], axis=0)
    tails = np.sum([group.tails for group in groups], axis=0)
    tail_kilograms = np.sum([group.tails * group.kg_tail for group in groups], axis=0)
    total = kilograms + tail_kilograms + spare
    row |= {
        "groups": [group.row(weights, plan.docking) for group in groups],
        "kg": {"ropes": _band(kilograms, weights), "spares": spare, "tails": _band(tail_kilograms, weights),
               "total": _band(total, weights)},
        "kg_per_year": _band(total / plan.ship_life, weights),
        **_counted(plan, weights, (lines + plan.spares, kilograms + spare), (tails, tail_kilograms)),
    }  # fmt: skip
    return row | {"less_than_board": _less(whole, plan, kilograms) if number else None}


@dataclass(frozen=True)
class _Group:
    """The lines of a group over the ship's life: life of a set [years], sets and sets of tails, kg of a piece."""

    line: LineGroup
    age: Array
    sets: Sets
    kg_line: float
    tail_name: str
    tail_sets: Array
    kg_tail: float

    @property
    def lines(self) -> Array:
        """Lines bought, shape (S,)."""
        return self.line.count * self.sets.bought

    @property
    def tails(self) -> Array:
        """Tails bought, shape (S,)."""
        return self.line.count * self.tail_sets

    @property
    def length(self) -> float:
        """Length of a line [m]: inboard and outboard; what rests on the drum beyond is not known."""
        return self.line.inboard_length.value + self.line.outboard_length

    def row(self, weights: Array, docking: float | None) -> Row:
        """What is told of the group."""
        found = _band(self.sets.bought, weights)
        bounds = {
            name: "at most" if found[name] is not None and may_be_fewer(self.sets, weights, found[name]) else ""
            for name, _ in QUANTILES
        }
        row: Row = {
            "line": self.line.name, "count": self.line.count, "length": self.length, "kg_per_line": self.kg_line,
            "life": life_row(self.age, weights), "sets": {**found, "bounds": bounds},
            "finished_when_new": float(np.average(self.age <= 0.0, weights=weights)),
            "within_a_year": float(np.average(self.age < SHORT, weights=weights)),
        }  # fmt: skip
        if docking is not None:
            row["reaches_docking"] = float(np.average(self.sets.reaches, weights=weights))
        if self.line.tail is not None:
            row["tail"] = {"name": self.tail_name, "length": self.line.tail.length, "kg": self.kg_tail,
                           "sets": _band(self.tail_sets, weights)}  # fmt: skip
        return row


def _groups(whole: Whole, rope: RopeResult, plan: Plan) -> list[_Group]:
    """The groups of a rope; tails are those on board, whichever rope they hang on."""
    rows = []
    for index, result in enumerate(rope.lines):
        line, age = result.setup.subject.line, life_of_set(rope, index)
        mass = result.setup.subject.data["mass_per_length"].value * (line.inboard_length.value + line.outboard_length)
        found, board = sets(age, plan.ship_life, plan.docking), whole.ropes[0].tails[index]
        if board is None or line.tail is None:
            rows.append(_Group(line, age, found, mass, "", np.zeros(age.shape), 0.0))
            continue
        own = board.lives.age if board.lives.age.shape == age.shape else np.full(age.shape, np.inf)
        tails = sets(np.minimum(own, plan.tail_interval), plan.ship_life).bought
        heavy = board.setup.subject.data["mass_per_length"].value * line.tail.length
        rows.append(_Group(line, age, found, mass, board.setup.subject.title, tails, heavy))
    return rows


def life_of_set(rope: RopeResult, index: int) -> Array:
    """Years that a new set of a group lasts, to the first line that finishes, shape (S,).

    The lines of a group are alike here: scatter from line to line within a set is not modelled, and turning lines end
    for end is not counted.
    """
    return rope.lines[index].lives.age


def _band(values: Array, weights: Array) -> Row:
    """P10, P50 and P90; None where there is no end to it."""
    found = {name: quantile(values, weights[: len(values)], share) for name, share in QUANTILES}
    return {name: value if math.isfinite(value) else None for name, value in found.items()}


def _counted(plan: Plan, weights: Array, ropes: tuple[Array, Array], tails: tuple[Array, Array]) -> Row:
    """Cost and CO2e by the user's factors; what has no factor is not there. Ropes and tails: pieces and kg."""
    row: Row = {}
    parts = {
        "cost": ((plan.price_per_kg, ropes[1]), (plan.price_per_line, ropes[0]), (plan.price_per_tail, tails[0])),
        "co2e": ((plan.co2e_per_kg, ropes[1]), (plan.tail_co2e_per_kg, tails[1])),
    }
    for name, terms in parts.items():
        given = [factor * amount for factor, amount in terms if factor is not None]
        if given:
            row[name] = _band(np.sum(given, axis=0), weights)
    return row


def _less(whole: Whole, plan: Plan, kilograms: Array) -> float | None:
    """Share of the draws in which a rope takes fewer kg than the one on board; ties count half."""
    board = whole.ropes[0]
    if board.refusal:
        return None
    own = np.sum([group.lines * group.kg_line for group in _groups(whole, board, plan)], axis=0)
    won = np.where(kilograms < own, 1.0, np.where(kilograms == own, 0.5, 0.0))
    return float(np.average(won, weights=whole.weights))


def least(ropes: Sequence[Row]) -> str | None:
    """Letter of the rope with the least kg over the ship's life, tails aside; None where none has an end.

    The median decides, then P90, then P10, then how often it takes less than the rope on board.
    """
    told = [rope for rope in ropes if "kg" in rope and rope["kg"]["ropes"]["p50"] is not None]
    return min(told, key=_weight)["letter"] if told else None


def _weight(rope: Row) -> tuple[float, ...]:
    band = rope["kg"]["ropes"]
    known = (math.inf if band[name] is None else band[name] for name in ("p50", "p90", "p10"))
    return (*known, -(0.5 if rope["less_than_board"] is None else rope["less_than_board"]))
