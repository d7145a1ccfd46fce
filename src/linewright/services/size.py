"""The smallest rope that meets the criteria: every rope card in sizes by steps, with what passes and what does not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from linewright.assessment.given import Given
from linewright.assessment.judge import WORKING_LOAD
from linewright.assessment.life import HORIZON
from linewright.assessment.line import LineResult
from linewright.assessment.rope import subject, titled
from linewright.assessment.sizing import (
    LINE_WINDOW,
    TAIL_WINDOW,
    By,
    Check,
    Target,
    checks,
    sizes,
    strength,
)
from linewright.assessment.whole import RopeResult, Whole
from linewright.base.data import Datum
from linewright.base.errors import CardError, InputError, Problem
from linewright.base.nearest import nearest
from linewright.cards.model import Shelf
from linewright.case.model import Case, Compared, LineGroup
from linewright.services.result import band, ending, mostly, result_of
from linewright.services.trial import assessed_new, read_quickly

Row = dict[str, Any]
SCHEMA = "linewright.size/1"
SAMPLES = 256  # draws; those of the case where evidence weighs them
OPTION = "--rope"
STEP = 2.0  # [mm]
STEPS = (0.5, 10.0)  # [mm]
LEVERS = {  # what lengthens a life, by the mechanism that takes most of it
    "bending": "a wider bend radius, a longer tail (smaller swing) or a smaller mean tension",
    "abrasion": "a smoother surface at the contact or a longer tail (smaller swing)",
    "creep": "a smaller mean tension in the states that last, or shade,",
    "tension": "a longer tail (smaller swing)",
    "ageing": "shade, or fewer hours in hot berths,",
    "compression": "less slack in the states that swing",
}


@dataclass(frozen=True)
class Wanted:
    """What is asked: rope cards (or all), a line group (or all), what the life must reach, steps of diameter [mm]."""

    ropes: tuple[str, ...] = ()
    line: str = ""
    years: float | None = None
    by: By = "p10"
    step: float = STEP


@dataclass(frozen=True)
class Candidate:
    """A rope card at a diameter [m] with its LDBF over SDMBL; `why` says why it cannot be assessed."""

    card: str
    diameter: float
    share: float
    why: str = ""

    @property
    def fits(self) -> bool:
        """Whether its strength lies in the window and it can be assessed."""
        return strength(self.share).verdict == "ok" and not self.why

    def compared(self) -> Compared:
        """As a rope to compare, in the same ship motion."""
        value, owner = self.diameter, f"compared {self.card}"
        datum = Datum("diameter", "length", value, value, value, "given", OPTION, unit="m", owner=owner)
        return Compared(self.card, "motion", {"diameter": datum}, OPTION)


def size_of(root: Path, wanted: Wanted | None = None) -> Row:
    """Every candidate of a study with its checks, the winner first. Raises InputError, CardError or StorageError."""
    wanted = wanted or Wanted()
    _check(wanted)
    given = read_quickly(root, None, SAMPLES)
    lines = _lines(given.case, wanted.line)
    found = _candidates(given, lines, wanted)
    fitting = [item for item in found if item.fits]
    whole = assessed_new(given.with_case(replace(given.case, compared=tuple(item.compared() for item in fitting))))
    target = Target(wanted.years, wanted.by)
    rows = [_assessed(whole, whole.ropes[n + 1], item, (lines, target)) for n, item in enumerate(fitting)]
    rows += [_unassessed(given, item) for item in found if not item.fits]
    rows = sorted(rows, key=_rank)
    told = result_of(whole)
    return {
        "schema": SCHEMA,
        "study": str(root),
        **{key: told[key] for key in ("title", "note", "samples", "horizon", "criteria")},
        "line": ", ".join(line.name for line in lines),
        "ship_design_break_load": given.case.ship_design_break_load,
        "working_load_limit": WORKING_LOAD * given.case.ship_design_break_load,
        "window": {"line": list(LINE_WINDOW), "tail": list(TAIL_WINDOW)},
        "target": {"years": wanted.years, "by": wanted.by},
        "step": wanted.step / 1e3,
        "is_new": bool(given.case.past),
        "winner": 0 if rows and rows[0]["status"] == "passes" else None,
        "outlived_by": outlived(rows),
        "candidates": rows,
        "tails": _tails(given.case, given.shelf, lines, wanted.step),
        "needs": [] if any(row["status"] == "passes" for row in rows) else _needs(rows, wanted),
        **{key: told[key] for key in ("known", "ropes", "findings", "used")},
    }


def _check(wanted: Wanted) -> None:
    """Raise InputError for a target or a step that cannot be."""
    if wanted.years is not None and not 0.0 < wanted.years <= HORIZON:
        problem = Problem(
            "--target", f"{wanted.years:g}", f"years above 0, at most {HORIZON:.0f}, where lives are cut off"
        )
        raise InputError("A life has no such target.", [problem])
    if not STEPS[0] <= wanted.step <= STEPS[1]:
        raise InputError(
            "Sizes have no such step.",
            [Problem("--step", f"{wanted.step:g}", f"millimetres from {STEPS[0]:g} to {STEPS[1]:g}")],
        )


def _lines(case: Case, name: str) -> tuple[LineGroup, ...]:
    """The line groups by name or part of it, all where none is named. Raises InputError."""
    found = tuple(line for line in case.lines if name.casefold() in line.name.casefold())
    if not found:
        names = ", ".join(line.name for line in case.lines)
        raise InputError("There is no such line.", [Problem("--line", name, f"one of {names}")])
    return found


def _candidates(given: Given, lines: Sequence[LineGroup], wanted: Wanted) -> list[Candidate]:
    """Every card that is asked for in its sizes; by default all but those made as tails or serving as one here."""
    case, shelf = given.case, given.shelf
    tails = {line.tail.rope for line in case.lines if line.tail is not None}
    tails |= {name for name in shelf.ropes if shelf.rope(name).words.get("use") == "tail"}
    names = wanted.ropes or tuple(name for name in sorted(shelf.ropes) if name not in tails)
    rows = []
    for name in dict.fromkeys(names):
        if name not in shelf.ropes:
            raise _unknown(name, shelf)
        rope = shelf.rope(name)
        if not {"diameter", "design_break_force"} <= set(rope.data):
            rows.append(Candidate(name, 0.0, 0.0, "the card has no diameter or no break force"))
            continue
        steps = sizes(rope, case.ship_design_break_load, wanted.step / 1e3)
        rows += [_possible(given, lines, Candidate(name, diameter, share)) for diameter, share in steps]
    return rows


def _unknown(name: str, shelf: Shelf) -> InputError:
    near = nearest(name, shelf.ropes)
    hint = f"did you mean {near}?" if near else "linewright cards list shows them"
    problem = Problem(OPTION, name, f"a rope card: {', '.join(sorted(shelf.ropes))}", hint)
    return InputError(f"There is no rope card {name!r}.", [problem])


def _possible(given: Given, lines: Sequence[LineGroup], item: Candidate) -> Candidate:
    """The candidate, with why it cannot be assessed on a line where that is so."""
    try:
        for line in given.case.lines:
            subject(given.case, given.shelf, line, item.card, OPTION, item.compared().data)
    except (InputError, CardError) as error:
        read = "; ".join(problem.read for problem in error.problems)
        return replace(item, why=f"{error.message.rstrip('.')}: {read}")
    return item


def _assessed(whole: Whole, rope: RopeResult, item: Candidate, asked: tuple[Sequence[LineGroup], Target]) -> Row:
    """A candidate of the right strength with all checks."""
    lines, target = asked
    names = {line.name for line in lines}
    chosen = [line for line in rope.lines if line.setup.subject.line.name in names]
    found = (strength(item.share), *checks(rope, chosen, whole.case.ship_design_break_load, whole.weights, target))
    failing = [check for check in found if check.verdict == "fails"]
    status = "not comparable" if rope.refusal else "rejected" if failing else "passes"
    reasons = [rope.refusal] if rope.refusal else []
    reasons += [check.text for check in failing if not (check.name == "bend" and rope.refusal.startswith("D/d"))]
    ages = np.min([line.lives.age for line in chosen], axis=0)
    return {
        **_head(item, rope.title, chosen[0]),
        "status": status,
        "reasons": reasons,
        "checks": [asdict(check) for check in found],
        "life": None if rope.refusal else band(ages, whole.weights),
        "ends": None if rope.refusal else _end(whole, min(chosen, key=lambda line: float(line.lives.age[0]))),
    }


def _end(whole: Whole, line: LineResult) -> Row:
    """What ends the line group that ends first in the central draw, where, and the mechanism that takes most there."""
    end = ending(whole, line)
    return {**{key: end[key] for key in ("ends_by", "ends_at", "line")}, "takes_most": mostly(line)}


def _head(item: Candidate, title: str, line: LineResult) -> Row:
    data = line.setup.subject.data
    return {
        "card": item.card,
        "name": title,
        "diameter": item.diameter,
        "break_force": data["design_break_force"].value,
        "share": item.share,
        "mass_per_length": data["mass_per_length"].value,
    }


def _unassessed(given: Given, item: Candidate) -> Row:
    """A candidate that is rejected for its strength, or that cannot be assessed."""
    rope, check = given.shelf.rope(item.card), strength(item.share)
    force = item.share * given.case.ship_design_break_load
    lacks = item.why and check.verdict == "ok"
    found: list[Check] = [] if item.diameter == 0.0 else [check]
    return {
        "card": item.card,
        "name": titled(rope.title, item.compared().data) if item.diameter else rope.title,
        "diameter": item.diameter,
        "break_force": force,
        "share": item.share,
        "mass_per_length": None,
        "status": "not comparable" if lacks or not item.diameter else "rejected",
        "reasons": [item.why if lacks or not item.diameter else check.text],
        "checks": [asdict(one) for one in found],
        "life": None,
        "ends": None,
    }


def _rank(row: Row) -> tuple[float, ...]:
    """Passing ropes by diameter, ties by longer life; then those assessed, by failed checks and what they lack."""
    order = {"passes": 0, "rejected": 1, "not comparable": 2}[row["status"]]
    is_assessed = 0 if len(row["checks"]) > 1 else 1
    life = row["life"] or {"p50": 0.0, "p10": 0.0}
    fails = sum(check["verdict"] == "fails" for check in row["checks"])
    far = (fails, _short(row) if is_assessed == 0 else 0.0) if order else (0, 0.0)
    return (is_assessed, order, *far, row["diameter"], -life["p50"], -life["p10"])


def _short(row: Row) -> float:
    """By which part of their limits the failed checks of a rope miss them, added up, 0.01 apart [-]."""
    failing = [check for check in row["checks"] if check["verdict"] == "fails" and check["value"] and check["limit"]]
    parts = (check["value"] / check["limit"] for check in failing)
    return round(sum(max(part, 1.0 / part) - 1.0 for part in parts), 2)


def outlived(rows: Sequence[Row]) -> list[str]:
    """The rejected ropes whose life P10 is longer than that of the first that passes, longest first."""
    if not rows or rows[0]["status"] != "passes":
        return []
    own = rows[0]["life"]["p10"]
    longer = [row for row in rows if row["status"] == "rejected" and row["life"] and row["life"]["p10"] > own]
    return [row["name"] for row in sorted(longer, key=lambda row: -float(row["life"]["p10"]))]


def _tails(case: Case, shelf: Shelf, lines: Sequence[LineGroup], step: float) -> list[Row]:
    """The tail of each line against its window, and the diameters of its card that would lie in it [m]."""
    rows = []
    for line in lines:
        if line.tail is None or "design_break_force" not in shelf.rope(line.tail.rope).data:
            continue
        rope, ship = shelf.rope(line.tail.rope), case.ship_design_break_load
        check = strength(rope.data["design_break_force"].value / ship, "tail", TAIL_WINDOW)
        steps = sizes(rope, ship, step / 1e3, TAIL_WINDOW)
        fits = [size for size, share in steps if strength(share, "tail", TAIL_WINDOW).verdict == "ok"]
        rows.append({"line": line.name, "name": rope.title, "fits": fits, "check": asdict(check)})
    return rows


def _needs(rows: Sequence[Row], wanted: Wanted) -> list[str]:
    """What would have to be different for the rope that comes nearest: by how much each failed check misses."""
    near = next((row for row in rows if len(row["checks"]) > 1), None)
    if near is None:
        text = f"a rope with a size of 100 to 105 %SDMBL: none has one in steps of {wanted.step:g} mm"
        return [f"{text}; try --step 1, or a card with its certificate's break force"]
    told = [check["needs"] for check in near["checks"] if check["verdict"] == "fails" and check["needs"]]
    told += [f"data on its card: {text}" for text in near["reasons"] if text.endswith("not assessed")]
    if any(check["name"] == "life" and check["verdict"] == "fails" for check in near["checks"]):
        told += _longer(near["ends"])
    return told


def _longer(end: Row) -> list[str]:
    """What would lengthen a life, by what takes most of it."""
    if end["takes_most"] not in LEVERS:
        return []
    by = f"{end['takes_most']} takes most at {end['ends_at']}, {end['line']}"
    return [f"{by}: {LEVERS[end['takes_most']]} lengthens its life; what-if says by how much for the rope on board"]
