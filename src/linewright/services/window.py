"""The operating window of a state: what its rope takes at any air and swell, mean tension, wind or hours."""

from __future__ import annotations

import math
from collections.abc import Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from linewright.assessment.bounds import (
    CARE,
    LEAST_HOURS,
    SLACK,
    STOP,
    Bounds,
    Points,
    bounds_of,
    falls,
    limit_of,
    points_of,
)
from linewright.assessment.judge import OVERLOAD, WORKING_LOAD
from linewright.assessment.whole import Gathered, assess_case
from linewright.assessment.window import Across, Scene, Window, central_cores, scene_of, window
from linewright.base.errors import InputError, Problem
from linewright.base.units import ZERO_CELSIUS
from linewright.cards.model import Shelf
from linewright.case.model import Case
from linewright.physics.types import Array
from linewright.services.compare import with_named
from linewright.services.gather import gather
from linewright.services.known import evidence_row
from linewright.services.result import result_of
from linewright.services.study import open_study
from linewright.services.window_places import places_row, sea_row

Row = dict[str, Any]
SCHEMA = "linewright.window/1"
SAMPLES, KNOWN_SAMPLES = 128, 512  # draws; more where evidence weighs them
SIZES = (4, 60)
WIDER, ROUND = (-5.0, 5.0), 5.0  # air below and above the climates, in steps of [K]
SWELL = (2.0, 3.0)  # times the state's own; more where less never ends
TENSION = (0.5, 1.5)  # times the state's own mean
WINDIEST = 20.0  # [m/s] at the line
LONGEST = 96.0  # [h] at a stretch
SETTLED = 0.1  # what a round of heat settles within: less is not a fall [K]


@dataclass(frozen=True)
class Asked:
    """What a window is asked for: names of line, state and rope, or nothing; what runs across; points each way."""

    line: str = ""
    state: str = ""
    rope: str = ""
    across: Across = "swell"
    size: int = 20


CARDS = (".pdf", ".png", ".svg")


def check_card(path: Path) -> None:
    """Raise InputError for a crew card of a form that is not there."""
    if path.suffix.lower() not in CARDS:
        problem = Problem("--card", path.name, f"a file that ends in {', '.join(CARDS)}")
        raise InputError("A crew card has no such form.", [problem])


def window_of(root: Path, asked: Asked | None = None) -> Row:
    """The window of a study's state as a plain row: degC, newton, hours. Raises InputError, CardError, StorageError."""
    asked = asked or Asked()
    if not SIZES[0] <= asked.size <= SIZES[1]:
        needs = f"points each way, {SIZES[0]} to {SIZES[1]}"
        raise InputError("A window has no such size.", [Problem("--size", str(asked.size), needs)])
    study = open_study(root)
    case, shelf = study.read()
    files = gather(study.root, case, shelf)
    case = replace(case, samples=KNOWN_SAMPLES if case.evidence else SAMPLES)
    case, rope = _with_rope(case, shelf, asked)
    scene = scene_of(case, shelf, files, line_number(case, asked.line), rope)
    state = _state(scene, asked)
    weights, known, doubts = _known(case, shelf, files)
    with ThreadPoolExecutor(2) as threads:
        found, points, bounds = _found(scene, state, asked, weights, threads)
    row = _row(scene, state, asked.across, (found, points, bounds))
    return {
        **row,
        **places_row(scene, state, weights),
        "known": known,
        "is_new": bool(case.past),
        "findings": [*doubts, *row["findings"]],
    }


def _found(scene: Scene, state: int, asked: Asked, weights: Array, executor: Executor) -> tuple[Window, Points, Bounds]:
    """The window; of swell it reaches further where nothing stops within the usual reach."""
    low, high = (ROUND * round((end + d - ZERO_CELSIUS) / ROUND) for end, d in zip(scene.span, WIDER, strict=True))
    step = math.ceil((high - low) / (asked.size - 1))  # whole kelvins
    air = ZERO_CELSIUS + low + step * np.arange(asked.size, dtype=float)
    tops = {"swell": SWELL, "tension": TENSION[1:], "wind": (WINDIEST,), "hours": (LONGEST,)}[asked.across]
    for top in tops:
        least = {"wind": 0.0, "tension": TENSION[0]}.get(asked.across, top / asked.size)
        found = window(scene, state, air, (asked.across, np.linspace(least, top, asked.size)), executor)
        points = points_of(found, weights)
        bounds = bounds_of(scene, found, points, asked.across)
        if bounds.passed(STOP).any():
            break
    return found, points, bounds


def _with_rope(case: Case, shelf: Shelf, asked: Asked) -> tuple[Case, int]:
    """The case with the named rope behind those it compares, and its number; the rope on board where none is named."""
    if not asked.rope:
        return case, 0
    (item,) = with_named(replace(case, compared=()), shelf, [asked.rope])
    return replace(case, compared=(*case.compared, item)), 1 + len(case.compared)


def line_number(case: Case, name: str) -> int:
    """A line group by its name or part of it; the first where none is named. Raises InputError."""
    found = [number for number, line in enumerate(case.lines) if name.casefold() in line.name.casefold()]
    if not found:
        names = ", ".join(line.name for line in case.lines)
        raise InputError("There is no such line.", [Problem("--line", name, f"one of {names}")])
    return found[0]


def _state(scene: Scene, asked: Asked) -> int:
    """The state that is asked for; else that with swell and the hottest core, or with the highest mean.

    Raises InputError.
    """
    duty = scene.duty
    names = [f"{berth.name}, {state.name}" for berth, state in zip(duty.berths, duty.states, strict=True)]
    swings = duty.swing > 0.0
    if not asked.state and asked.across == "tension":
        return int(np.argmax(duty.mean))
    if not asked.state:
        open_to = swings if asked.across == "swell" else np.ones(len(names), dtype=bool)
        if not open_to.any():
            raise _no_swell(asked, "every state", "a state with swell")
        return int(np.argmax(np.where(open_to, central_cores(scene), -np.inf)))
    number = _named(names, [state.name for state in duty.states], asked.state)
    if asked.across == "swell" and not swings[number]:
        raise _no_swell(asked, names[number], "; ".join(np.array(names)[swings]) or "no state of this line has swell")
    return number


def _named(names: Sequence[str], short: Sequence[str], asked: str) -> int:
    found = [n for n, name in enumerate(names) if asked.casefold() in name.casefold()]
    exact = [n for n in found if asked.casefold() in (names[n].casefold(), short[n].casefold())]
    chosen = exact or found
    if len(chosen) != 1:
        what = "There is no such state." if not chosen else "More than one state has this name."
        raise InputError(what, [Problem("--state", asked, f"one of {'; '.join(names)}")])
    return chosen[0]


def _no_swell(asked: Asked, read: str, needs: str) -> InputError:
    text = f"{read} has no swell to scale" if read != "every state" else "no state of this line has swell"
    problem = Problem("--state", text, needs, "or ask --across tension, --across wind or --across hours")
    return InputError("A window across swell needs a state with swell.", [problem])


def _known(case: Case, shelf: Shelf, files: Gathered) -> tuple[Array, Row | None, list[Row]]:
    """Weights of the draws by what is known of the rope on board, what that did, and what is to be said of it."""
    if not case.evidence:
        return np.ones(case.samples), None, []
    whole = assess_case(replace(case, compared=()), shelf, None, files)
    return (
        whole.weights,
        evidence_row(whole),
        [vars(item) for item in whole.findings if item.code.startswith("evidence")],
    )


def _row(scene: Scene, state: int, kind: Across, told: tuple[Window, Points, Bounds]) -> Row:
    found, points, bounds = told
    duty, whole = scene.duty, result_of(assess_case(scene.alone(state), scene.shelf, None, scene.files))
    number = min(scene.rope, 1)
    limits = {name: limit_of(scene, f"{name}_limit") for name in ("long_term", "short_term")}
    return {
        "schema": SCHEMA,
        "title": scene.case.title,
        "note": scene.case.note,
        "rope": whole["ropes"][number]["name"],
        "size": _size(scene),
        "not_comparable": whole["ropes"][number].get("not_comparable", ""),
        "line": scene.subject.line.name,
        "berth": duty.berths[state].name,
        "state": duty.states[state].name,
        "samples": scene.case.samples,
        "weather": _weather(scene, state),
        "duty": {"mean": float(duty.mean[state]), "amplitude": float(duty.swing[state]),
                 "period": float(duty.period[state]) if duty.swing[state] > 0.0 else None,
                 "highest": float(duty.highest[state]), "stay": float(duty.call_hours[state]),
                 "overload": OVERLOAD * _force(scene)},
        "limits": {**{name: None if value is None else value - ZERO_CELSIUS for name, value in limits.items()},
                   "margin": scene.case.criteria.margin,
                   "working_load_limit": WORKING_LOAD * scene.case.ship_design_break_load},
        "across": {"kind": kind, "values": found.across.tolist(), "own": found.own[1],
                   "mean": found.duty.mean.tolist(),
                   "mean_share": (found.duty.mean / _force(scene)).tolist(),
                   "amplitude": found.duty.swing.tolist(), "highest": found.duty.highest.tolist(),
                   "stay": found.duty.call_hours.tolist(), "sea": sea_row(scene, state, kind, found.across)},
        "air": (found.air - ZERO_CELSIUS).tolist(),
        **_points(found, points),
        "marks": _marks(bounds),
        "bounds": _bounds(found, bounds, (kind, _force(scene))),
        "at_own": _at_own(found, points),
        "falls": _falls(points, kind),
        "mechanisms": list(found.mechanisms),
        "ropes": whole["ropes"],
        "findings": whole["findings"],
        "used": whole["used"],
    }  # fmt: skip


def _force(scene: Scene) -> float:
    return scene.subject.data["design_break_force"].value


def _size(scene: Scene) -> Row:
    """What tells the rope from another: its card, diameter [m], break force and that of the ship [N]."""
    return {"card": scene.subject.name, "diameter": scene.subject.data["diameter"].value,
            "break_force": _force(scene), "ship": scene.case.ship_design_break_load}  # fmt: skip


def _weather(scene: Scene, state: int) -> Row:
    """The hot hour of the state [degC, m/s, W/m2]."""
    weather = scene.weather
    return {"air": float(weather.air[state, 0]) - ZERO_CELSIUS, "wind": float(weather.wind[state, 0]),
            "sun": float(weather.level[state, 0])}  # fmt: skip


def _points(found: Window, points: Points) -> Row:
    """Statistics over air (rows) and across (columns) [degC, -, h]."""
    stay = found.duty.call_hours
    return {
        "core": _named_rows(p50=points.core - ZERO_CELSIUS, p90=points.core_high - ZERO_CELSIUS),
        "skin": _named_rows(p50=points.skin - ZERO_CELSIUS, p90=points.skin_high - ZERO_CELSIUS),
        "margin": _named_rows(p10=points.margin_low, p50=points.margin),
        "sustained": _named_rows(p10=points.sustained),
        "hours_left": _named_rows(p10=points.hours_low, p50=points.hours),
        "stay_takes": _named_rows(p50=_share(stay, points.hours), p90=_share(stay, points.hours_low)),
        "tension": _named_rows(amplitude=found.swing, highest=found.highest, clipped=found.clipped),
    }


def _share(stay: Array, hours: Array) -> Array:
    """Share of a new line's life that one stay takes, at most 1."""
    return np.minimum(stay / np.maximum(hours, 1e-9), 1.0)


def _named_rows(**values: Array) -> Row:
    return {name: table.tolist() for name, table in values.items()}


def _marks(bounds: Bounds) -> list[list[str]]:
    slack, care = bounds.passed((SLACK,)), bounds.passed(CARE)
    stop = bounds.passed(tuple(name for name in STOP if name != SLACK))
    return np.where(stop, "stop", np.where(slack, "slack", np.where(care, "caution", "ok"))).tolist()


def _bounds(found: Window, bounds: Bounds, told: tuple[Across, float]) -> list[Row]:
    """At each air temperature how far every criterion holds, how far nothing stops and the line stays taut [across].

    Across tension a line is taut from a bound on, which the other two leave out; they carry their mean tension.
    """
    kind, force = told
    stops = tuple(name for name in STOP if kind != "tension" or name != SLACK)
    named = {"ok": (*stops, *CARE), "stop": stops, "taut": (SLACK,)}
    rows: list[Row] = [{"air": float(air) - ZERO_CELSIUS} for air in found.air]
    for key, names in named.items():
        least, because = bounds.tightest(names)
        sign = -1.0 if kind == "wind" or (kind == "tension" and key == "taut") else 1.0
        for n, row in enumerate(rows):
            row[key] = _bound(sign * least[n], sign, because[n])
            if row[key]["at"] is not None:
                row[key]["amplitude"] = float(np.interp(row[key]["at"], found.across, found.swing[n]))
                row[key]["mean"] = float(np.interp(row[key]["at"], found.across, found.duty.mean))
                row[key]["mean_share"] = row[key]["mean"] / force
    return rows


def _bound(value: float, sign: float, because: str) -> Row:
    """A bound: `at` the value, or None with `reach` "everywhere" (nothing ends it) or "nowhere"."""
    if np.isfinite(value):
        return {"at": float(value), "reach": "part", "because": because}
    return {"at": None, "reach": "everywhere" if sign * value > 0.0 else "nowhere", "because": because}


def _at_own(found: Window, points: Points) -> list[Row]:
    """At the state's own swell, wind or hours, between points of the grid, at each air temperature."""
    own = found.own[1]

    def at(table: Array) -> Array:
        return np.array([np.interp(own, found.across, row) for row in table])

    stay = float(np.interp(own, found.across, found.duty.call_hours))
    names = {"core_p90": points.core_high - ZERO_CELSIUS, "margin_p10": points.margin_low}
    columns = {name: at(table) for name, table in names.items()}
    for name, table in {"hours_p10": points.hours_low, "hours_p50": points.hours}.items():
        columns[name] = np.exp(at(np.log(np.maximum(table, LEAST_HOURS))))  # they fall by powers of ten
    columns["stay_takes_p50"] = _share(np.array(stay), columns["hours_p50"])
    rows = zip(*columns.values(), strict=True)
    return [{"air": float(air) - ZERO_CELSIUS, **dict(zip(columns, map(float, row), strict=True))}
            for air, row in zip(found.air, rows, strict=True)]  # fmt: skip


def _falls(points: Points, kind: Across) -> Row:
    """How often core or margin move the other way than they should, along air and across; 0 where monotone."""
    towards = -1.0 if kind == "wind" else 1.0
    return {
        "core_along_air": falls(points.core_high, 0, SETTLED),
        "core_across": falls(towards * points.core_high, 1, SETTLED),
        "margin_along_air": falls(-points.margin_low, 0, 1e-6),
        "margin_across": falls(-towards * points.margin_low, 1, 1e-6),
    }
