"""Other lines on a ship that moves as before: tensions of the rope on board become those of a changed line.

The mean tension stays in newton. A swing follows the series stiffness of line and tail, which the change of a
rope's size, a length or a tail moves: a tension typed as a load is turned into the ship's motion that makes it on the
line as it is, a record keeps its form and swings by the ratio of both.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from linewright.assessment import sea
from linewright.assessment.duty import Duty, Elastic, duty_of, series_stiffness
from linewright.assessment.given import Given
from linewright.assessment.record import Counted
from linewright.base.errors import InputError, Problem
from linewright.base.units import Load
from linewright.case.model import Berth, LineGroup, State, Tension

SAME = 1e-9  # relative difference below which two records are one


@dataclass(frozen=True)
class _Moved:
    """One line group as it is and as it becomes: its duty, motion [m] and ratio of swings per state."""

    line: LineGroup
    duty: Duty
    strengths: dict[str, float]
    motion: list[float]
    factor: list[float]


def same_motion(given: Given, lines: tuple[LineGroup, ...]) -> Given:
    """The case with other lines, one for each line group, in the same ship motion.

    Raises InputError where a swing cannot be turned into a motion: a table or spectrum of tension, or a record that
    stands for line groups which change differently.
    """
    moved = [_moved(given, old, new) for old, new in zip(given.case.lines, lines, strict=True)]
    records: dict[str, Counted] = dict(given.files.records)
    changed: dict[str, Counted] = {}
    berths, number = [], 0
    for berth in given.case.berths:
        states = []
        for state in berth.states:
            tension = {
                item.line.name: _tension(given, (berth, state), item, number, (records, changed)) for item in moved
            }
            states.append(replace(state, tension=tension))
            number += 1
        berths.append(replace(berth, states=tuple(states)))
    files = replace(given.files, records={**records, **changed})
    return replace(given, case=replace(given.case, lines=lines, berths=tuple(berths)), files=files)


def _moved(given: Given, old: LineGroup, new: LineGroup) -> _Moved:
    """Motion of every state from the line as it is, and the swing that it makes on the changed one."""
    case, files = given.case, given.files
    one, two = (Elastic.of(given.main(line).data) for line in (old, new))
    before, after = (None if tail is None else Elastic.of(tail.data) for tail in (given.tail(old), given.tail(new)))
    duty = duty_of(case, old, (one, one), before, "load", (files.records, files.curves))
    motion = [
        swing / series_stiffness(old, one, before, mean, swing) if swing > 0.0 else 0.0
        for mean, swing in zip(duty.mean, duty.swing, strict=True)
    ]
    probe = given.case
    states = iter(zip(duty.mean, motion, strict=True))
    berths = tuple(
        replace(berth, states=tuple(_imposed(state, old.name, *next(states)) for state in berth.states))
        for berth in probe.berths
    )
    swings = duty_of(replace(probe, berths=berths), new, (two, two), after, "load").swing
    factor = [float(to / swing) if swing > 0.0 else 1.0 for to, swing in zip(swings, duty.swing, strict=True)]
    strengths = {"LDBF": one.design_break_force, "SDMBL": case.ship_design_break_load}
    return _Moved(old, duty, strengths, motion, factor)


def _imposed(state: State, line: str, mean: float, motion: float) -> State:
    """The state with nothing but a mean tension [N] and a motion [m] on a line."""
    return replace(state, tension={line: Tension(Load(mean, "N"), None, motion, 10.0, "significant")})


def _tension(
    given: Given, where: tuple[Berth, State], item: _Moved, j: int, kept: tuple[dict[str, Counted], dict[str, Counted]]
) -> Tension:
    """The tension of state j on the changed line."""
    tension = where[1].tension[item.line.name]
    mean, factor = float(item.duty.mean[j]), item.factor[j]
    highest = tension.highest
    if highest is not None:
        stated = highest.newton(item.strengths["LDBF"], item.strengths["SDMBL"])
        highest = Load(mean + (stated - mean) * factor, "N")
    fixed = replace(tension, mean=Load(tension.mean.newton(*item.strengths.values()), "N"), highest=highest)
    if tension.log:
        _swing_record(tension, item, factor, kept)
        return fixed
    if tension.response is not None:
        return _swing_response(given, where, fixed, factor)
    if item.duty.swing[j] > 0.0:
        return replace(fixed, amplitude=None, motion=item.motion[j], at_room=tension.motion is None)
    return replace(fixed, amplitude=Load(0.0, "N"), motion=None)


def _swing_record(
    tension: Tension, item: _Moved, factor: float, kept: tuple[dict[str, Counted], dict[str, Counted]]
) -> None:
    """Keep the record in newton with its swing scaled. Raises InputError where it stands for two that differ."""
    records, changed = kept
    swung = records[tension.record].newton(item.strengths).swung(factor)
    other = changed.setdefault(tension.record, swung)
    if not np.allclose([other.mean, other.deviation], [swung.mean, swung.deviation], rtol=SAME):
        read = f"{tension.record} for line groups whose stiffness changes differently"
        raise InputError("A record stands for several line groups.", [Problem(tension.where, read, "a record of each")])


def _swing_response(given: Given, where: tuple[Berth, State], tension: Tension, factor: float) -> Tension:
    """A response in tension with its swing scaled; one in motion already follows the stiffness."""
    response = tension.response
    assert response is not None
    if sea.answer(where[1], tension, given.files.curves).is_motion:
        return tension
    if response.tension is None:
        read = f"{where[0].name}, {where[1].name}: a table or spectrum of tension"
        needs = "a motion along the line, which stretches any line"
        raise InputError("A tension cannot be told for another line.", [Problem(tension.where, read, needs)])
    return replace(tension, response=replace(response, tension=response.tension * factor))
