"""A state with its swell or mean tension scaled, or lasting other hours: the duty stage answers it like any state."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from linewright.assessment.whole import Gathered
from linewright.base.units import Load
from linewright.case.model import Berth, State, Tension
from linewright.physics.types import Array


def lasting(berth: Berth, state: State, hours: Array) -> tuple[Berth, tuple[State, ...]]:
    """The state with several hours at a stretch [h], at a berth whose calls are long enough."""
    call = max(berth.hours_per_call, float(np.max(hours)))
    return replace(berth, hours_per_call=call), tuple(replace(state, lasts=float(value)) for value in hours)


def swung(
    state: State, line: str, factors: Array, bases: Mapping[str, float], files: Gathered
) -> tuple[tuple[State, ...], Gathered]:
    """The state with the swing of a line's tension scaled about its mean, and the files that it then rests on.

    `bases` are the strengths that a load may be a share of, of the rope on board [N].
    """
    states = []
    for factor in map(float, factors):
        scaled, files = _swung(state, line, factor, (bases, files))
        states.append(scaled)
    return tuple(states), files


def hauled(
    state: State, line: str, factors: Array, bases: Mapping[str, float], files: Gathered
) -> tuple[tuple[State, ...], Gathered]:
    """The state with a line's mean tension scaled, its swing or motion as it is, and the files that it then rests on.

    A stated highest tension goes with the mean. `bases` as in `swung` [N].
    """
    states = []
    for factor in map(float, factors):
        tension = state.tension[line]
        mean = _mean(tension, bases, files)
        if tension.highest is not None:
            highest = tension.highest.value * bases[tension.highest.base]
            tension = replace(tension, highest=Load(highest + (factor - 1.0) * mean, "N"))
        if tension.log:
            name = f"{tension.record} about {factor!r} times its mean"
            records = {**files.records, name: files.records[tension.record].hauled(factor)}
            tension, files = replace(tension, log=name, channel=""), replace(files, records=records)
        else:
            tension = replace(tension, mean=Load(factor * mean, "N"), may_slack=True)
        states.append(replace(state, tension={line: tension}))
    return tuple(states), files


def _swung(
    state: State, line: str, factor: float, known: tuple[Mapping[str, float], Gathered]
) -> tuple[State, Gathered]:
    bases, files = known
    tension = state.tension[line]
    if tension.highest is not None:
        mean = _mean(tension, bases, files)
        highest = tension.highest.value * bases[tension.highest.base]
        tension = replace(tension, highest=Load(mean + factor * (highest - mean), "N"))
    if tension.log:
        name = f"{tension.record} times {factor!r}"
        records = {**files.records, name: files.records[tension.record].swung(factor)}
        tension, files = replace(tension, log=name, channel=""), replace(files, records=records)
    elif tension.response is not None:
        state, tension, files = _sea(state, tension, factor, files)
    elif tension.motion is not None:
        tension = replace(tension, motion=factor * tension.motion)
    elif tension.amplitude is not None:
        amplitude = Load(factor * tension.amplitude.value, tension.amplitude.base)
        tension = replace(tension, amplitude=amplitude, may_slack=True)
    return replace(state, tension={line: tension}), files


def _mean(tension: Tension, bases: Mapping[str, float], files: Gathered) -> float:
    """Mean tension of a state [N]."""
    if tension.log:
        return float(files.records[tension.record].newton(dict(bases)).mean)
    return tension.mean.value * bases[tension.mean.base]


def _sea(state: State, tension: Tension, factor: float, files: Gathered) -> tuple[State, Tension, Gathered]:
    """A sea of other heights: its parts, or the density of its spectrum file, by the square."""
    response = tension.response
    assert response is not None
    name = response.spectrum or state.sea_file
    if not name:
        sea = tuple(replace(wave, height=factor * wave.height) for wave in state.sea)
        return replace(state, sea=sea), tension, files
    curve, new = files.curves[name], f"{name} times {factor!r}"
    files = replace(files, curves={**files.curves, new: replace(curve, values=curve.values * factor**2)})
    if response.spectrum:
        return state, replace(tension, response=replace(response, spectrum=new)), files
    return replace(state, sea_file=new), tension, files
