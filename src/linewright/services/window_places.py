"""Where the states of a line stand in their own hot hour: the shown state's mark, and which others are worse."""

from __future__ import annotations

from typing import Any

from linewright.assessment.bounds import CARE, SLACK, STOP, bounds_of, points_of
from linewright.assessment.sea import sea_of
from linewright.assessment.window import Across, Scene, own_places
from linewright.physics import spectra
from linewright.physics.types import Array

Row = dict[str, Any]


def places_row(scene: Scene, state: int, weights: Array) -> Row:
    """`own`: mark and criteria of the shown state; `worse`: states that break a criterion which it keeps, and those."""
    found = own_places(scene)
    excess = bounds_of(scene, found, points_of(found, weights)).excess
    names = [name for name in (*STOP, *CARE) if name in excess]
    broken = [[name for name in names if excess[name][0, n] > 0.0] for n in range(len(found.across))]
    duty = scene.duty
    worse = [
        {"berth": duty.berths[n].name, "state": duty.states[n].name, "mark": _mark(more), "because": more}
        for n, row in enumerate(broken)
        if (more := [name for name in row if name not in broken[state]])
    ]
    order = {"stop": 0, "slack": 1, "caution": 2}
    return {
        "own": {"mark": _mark(broken[state]), "because": broken[state]},
        "worse": sorted(worse, key=lambda item: order[str(item["mark"])]),
    }


def sea_row(scene: Scene, state: int, kind: Across, across: Array) -> list[float] | None:
    """Significant height of the sea that each swell stands for, 4 sqrt(m0) [m]; None where the state has none."""
    here = scene.duty.states[state]
    response = here.tension[scene.subject.line.name].response
    if kind != "swell" or response is None or response.spectrum:
        return None
    height = 4.0 * float(spectra.moment(sea_of(here, scene.files.curves), 0)) ** 0.5
    return [float(height * factor) for factor in across]


def _mark(broken: list[str]) -> str:
    """The mark of a place that breaks some criteria."""
    if not broken:
        return "ok"
    if any(name in STOP and name != SLACK for name in broken):
        return "stop"
    return "slack" if SLACK in broken else "caution"
