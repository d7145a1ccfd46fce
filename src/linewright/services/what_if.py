"""Changes of a study one at a time, each beside the study as it is, on the same draws."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from linewright.assessment.changes import Change, changes
from linewright.assessment.compare import compare
from linewright.assessment.given import Given
from linewright.assessment.sizing import LINE_WINDOW, strength
from linewright.assessment.whole import Whole
from linewright.base.errors import CardError, InputError
from linewright.services.answer import hottest
from linewright.services.result import result_of, rope_row
from linewright.services.trial import assessed, assessed_new, read_quickly

Row = dict[str, Any]
Say = Callable[[int, int], None]
SCHEMA = "linewright.what-if/1"
SAMPLES = 256
QUANTILES = ("p10", "p50", "p90")
NOTHING = 0.005  # of a ratio: a change that moves its median by less does nothing


def what_if_of(root: Path, samples: int | None = None, say: Say | None = None) -> Row:
    """Every change that applies to a study, the largest effect on the life of the rope on board first.

    Without `samples` there are 256 draws; with evidence those of the case. `say` hears how many of how many changes
    are done. Raises InputError, CardError or StorageError for a study that cannot be read or assessed.
    """
    given = read_quickly(root, samples, SAMPLES)
    given = given.with_case(replace(given.case, compared=()))
    base = assessed_new(given)
    today = given.with_case(replace(given.case, past=(), evidence=()))
    rows: list[Row] = []
    refused: list[Row] = []
    asked = list(changes(today))
    for number, change in enumerate(asked):
        row = _changed(base, today, change)
        (refused if "why" in row else rows).append(row)
        if say is not None:
            say(number + 1, len(asked))
    told = result_of(base)
    return {
        "schema": SCHEMA,
        "study": str(root),
        **{key: told[key] for key in ("title", "note", "samples", "horizon", "criteria")},
        "rope": told["ropes"][0]["name"],
        "as_it_is": {"name": "as it is", **outcome(base)},
        "is_new": bool(given.case.past),
        "changes": sorted(rows, key=_effect, reverse=True),
        "not_told": refused,
        **{key: told[key] for key in ("known", "ropes", "findings", "used")},
    }


def _changed(base: Whole, today: Given, change: Change) -> Row:
    """What a change makes of the rope on board, or `why` it cannot be told."""
    start: Row = {"name": change.name, "kind": change.kind}
    try:
        changed = change.apply(today)
        if change.kind == "size":
            start["too_strong"] = too_strong(changed)
        whole = assessed(changed, base.scores)
    except (InputError, CardError) as error:
        read = "; ".join(problem.read for problem in error.problems)
        return {**start, "why": f"{error.message.rstrip('.')}: {read}" if read else error.message}
    whole = replace(whole, weights=base.weights[: len(whole.weights)])
    rope = whole.ropes[0]
    if rope.refusal:
        return {**start, "why": f"not comparable: {rope.refusal}"}
    return {**start, **outcome(whole), "ratio": None if base.ropes[0].refusal else ratio(base, whole)}


def too_strong(given: Given) -> str:
    """What `size` would say of ropes stronger than the ship is built for; an empty text where none is."""
    ship = given.case.ship_design_break_load
    shares = {given.main(line).data["design_break_force"].value / ship for line in given.case.lines}
    found = strength(max(shares))
    return found.text if found.verdict == "fails" and max(shares) > LINE_WINDOW[1] else ""


def ratio(base: Whole, whole: Whole) -> Row:
    """Life after over life before in the same draws: P10, P50, P90, and what the horizon leaves of each."""
    found = compare(base, base.ropes[0], whole.ropes[0])
    return {
        **dict(zip(QUANTILES, found.ratio, strict=True)),
        "bounds": dict(zip(QUANTILES, found.bounds, strict=True)),
    }


def outcome(whole: Whole) -> Row:
    """Life, what ends it, hottest core and smallest margin of the rope on board."""
    rope = rope_row(whole, whole.ropes[0])
    hot = hottest(rope)
    lasting = [state for state in rope["states"] if state["hours_per_year"] > 0.0]
    least = min(lasting, key=lambda state: float(state["margin"]), default=None)
    return {
        "life": rope["life"],
        "core": None if hot is None else _core(hot),
        "margin": None if least is None else {"state": _place(least), **least["margin_band"]},
        **({"not_comparable": rope["not_comparable"]} if "not_comparable" in rope else {}),
    }


def _core(state: Row) -> Row:
    return {"state": _place(state), "is_sustainable": state["is_sustainable"], **state["core_temperature"]}


def _place(state: Row) -> str:
    return ", ".join(state[key] for key in ("berth", "name", "line"))


def _effect(row: Row) -> tuple[float, float]:
    """Size of the effect on the median ratio, in either direction; then the warmer core."""
    moved = 0.0 if row["ratio"] is None else abs(math.log(max(row["ratio"]["p50"], 1e-9)))
    core = -math.inf if row["core"] is None else row["core"]["p50"]
    return (moved if moved > NOTHING else 0.0, core)
