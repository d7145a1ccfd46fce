"""Duty of a line group: hours and cycle tables of every state. No samples: counting is done once."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

import numpy as np

from linewright.assessment import sea
from linewright.assessment.highest import Raised
from linewright.assessment.record import BINS, Counted
from linewright.assessment.sea import Curves
from linewright.assessment.slack import Troughs
from linewright.base.data import Curve, Datum
from linewright.base.errors import InputError, Problem
from linewright.base.units import Load
from linewright.case.model import Berth, Case, LineGroup, SameDuty, State, Tension
from linewright.physics import cycles, stiffness
from linewright.physics.types import Array, Flags

LONGEST_PERIOD = 1e9
Records = Mapping[str, Counted]  # by the name of the record
MOST_SWING = 1.5  # of the mean, irregular; a sine has 1
AT_MEAN = 0.25  # mean load over break force that a card states its dynamic stiffness at
BISECTIONS = 60
ROOM = 293.15  # [K] until the weather is known


@dataclass(frozen=True)
class Duty:
    """States of one line group; J states, B amplitude bins.

    mean, swing [N]; period [s]; centre and amplitude (J, B) [N] with weights (J, B) adding to 1; slack, the cycles by
    trough and range; hours a year, and at a stretch [h]; highest expected tension of
    that stretch [N]; share of amplitude cut at zero tension; mean air [K]; energy stored in rope and tail at the
    highest tension, shape (J, 2) [J]; raised, where the highest tension of a recorded state comes from.
    """

    states: tuple[State, ...]
    berths: tuple[Berth, ...]
    mean: Array
    swing: Array
    is_sine: Flags
    period: Array
    centre: Array
    amplitude: Array
    weight: Array
    slack: Troughs
    hours: Array
    call_hours: Array
    highest: Array
    wetness: Array
    clipped: Array
    air: Array
    energy: Array = field(default_factory=lambda: np.zeros((1, 2)))
    raised: tuple[Raised | None, ...] = ()

    @property
    def cycles_per_hour(self) -> Array:
        """Cycles per hour, shape (J,) [1/h]."""
        return 3600.0 / self.period

    @property
    def deviation(self) -> Array:
        """Standard deviation of the tension, shape (J,) [N]."""
        return np.asarray(np.where(self.is_sine, self.swing / np.sqrt(2.0), 0.5 * self.swing))

    def highest_at(self, scores: Mapping[str, Array]) -> Array:
        """Highest tension for the luck in each record, shape (s, J) or (1, J) [N]."""
        columns = [np.atleast_1d(value) for value in self.highest]
        for j, item in enumerate(self.raised):
            if item is not None and item.column in scores:
                columns[j] = item.at(scores[item.column])
        return np.stack(np.broadcast_arrays(*columns), axis=1)

    @property
    def mean_square(self) -> Array:
        """Mean square of the amplitude, shape (J,) [N2]."""
        return np.asarray(np.sum(self.weight * self.amplitude**2, axis=1))


@dataclass(frozen=True)
class Elastic:
    """What the stretch of a rope needs: break force [N], EA over it at 20 C, its slopes [-], and its factor by heat."""

    design_break_force: float
    stiffness: float
    mean_slope: float = 0.0
    amplitude_slope: float = 0.0
    quasi_static: float | None = None
    by_temperature: Curve | None = None

    @staticmethod
    def of(table: Mapping[str, Datum]) -> Elastic:
        """From a rope's data."""
        slopes = [
            table[key].value if key in table else 0.0 for key in ("stiffness_mean_slope", "stiffness_amplitude_slope")
        ]
        slow = table["quasi_static_stiffness"].value if "quasi_static_stiffness" in table else None
        force, dynamic = table["design_break_force"].value, table["dynamic_stiffness"].value
        curve = table["stiffness_factor"].curve if "stiffness_factor" in table else None
        return Elastic(force, dynamic, slopes[0], slopes[1], slow, curve)

    def at(self, air: float) -> Elastic:
        """The rope at an air temperature [K]: dynamic stiffness and slopes times the card's factor."""
        if self.by_temperature is None:
            return self
        factor = float(np.interp(air, self.by_temperature.points, self.by_temperature.value))
        slopes = self.mean_slope * factor, self.amplitude_slope * factor
        return replace(self, stiffness=self.stiffness * factor, mean_slope=slopes[0], amplitude_slope=slopes[1])

    def energy(self, length: float, mean: float, highest: float) -> float:
        """Energy stored in a length [m] at the highest tension, the mean put on slowly [J]."""
        dynamic = self.axial(mean, highest - mean) / self.design_break_force
        loads = (mean / self.design_break_force, highest / self.design_break_force)
        return float(
            stiffness.stored_energy(self.design_break_force, length, (self.quasi_static or dynamic, dynamic), loads)
        )

    def axial(self, mean: float, amplitude: float) -> float:
        """EA [N] at a mean tension and amplitude [N]."""
        force = self.design_break_force
        relative = stiffness.dynamic_stiffness(
            self.stiffness - AT_MEAN * self.mean_slope,
            self.mean_slope,
            mean / force,
            self.amplitude_slope,
            amplitude / force,
        )
        return max(float(relative), 0.25 * self.stiffness) * force


def series_stiffness(line: LineGroup, rope: Elastic, tail: Elastic | None, mean: float, amplitude: float) -> float:
    """Stiffness of line and tail in series [N/m]."""
    parts = [(rope.axial(mean, amplitude), line.inboard_length.value + line.outboard_length)]
    if tail is not None and line.tail is not None:
        parts.append((tail.axial(mean, amplitude), line.tail.length))
    return float(stiffness.series_stiffness([part[0] for part in parts], [part[1] for part in parts]))


@dataclass(frozen=True)
class _Row:
    """One state: mean, swing and highest tension [N], period [s], and its bins."""

    mean: float
    swing: float
    is_sine: bool
    period: float
    highest: float
    bins: tuple[Array, Array, Array]
    slack: Troughs | None = None
    raised: Raised | None = None

    @property
    def troughs(self) -> Troughs:
        """Cycles by trough, from the bins where nothing finer is known."""
        return self.slack or Troughs.of_bins(*self.bins)


@dataclass(frozen=True)
class _Plan:
    """What turns a typed tension into a row: the case, the line, both ropes, the tail, the records, the mean air."""

    case: Case
    line: LineGroup
    ropes: tuple[Elastic, Elastic]
    tail: Elastic | None
    same: SameDuty
    records: Records
    curves: Curves
    air: float = ROOM

    def moved(self, mean: float, motion: float) -> float:
        """Amplitude [N] that a given motion [m] makes in the rope at the state's mean air."""
        rope, tail = self.ropes[1].at(self.air), self.tail.at(self.air) if self.tail else None
        return _from_motion(self.line, (rope, rope), tail, mean, (motion, None))

    @property
    def keeps_load(self) -> bool:
        """Whether the tension stays in kN: asked for, or the same rope."""
        return self.same == "load" or self.ropes[0] == self.ropes[1]

    @property
    def strengths(self) -> dict[str, float]:
        """Strengths that a share may be of [N]."""
        return {"LDBF": self.ropes[0].design_break_force, "SDMBL": self.case.ship_design_break_load}

    def newton(self, load: Load) -> float:
        """A typed load for the rope on board [N]."""
        return load.newton(self.ropes[0].design_break_force, self.case.ship_design_break_load)


def duty_of(
    case: Case,
    line: LineGroup,
    ropes: tuple[Elastic, Elastic],
    tail: Elastic | None,
    same: SameDuty,
    read: tuple[Records, Curves] = (MappingProxyType({}), MappingProxyType({})),
    air: Array | None = None,
) -> Duty:
    """The duty of a line group for a rope; `ropes` is the rope on board and the rope assessed.

    `load` keeps the tension in kN; `motion` keeps the ship's motion, so that the cyclic part scales
    with the series stiffness of line and tail. A motion that the case gives meets the stiffness at the mean air of its
    state [K]; without `air`, and where a motion is read off a tension, both ropes are taken at 20 C.
    """
    plan = _Plan(case, line, ropes, tail, same, *read)
    pairs = [(berth, state) for berth in case.berths for state in berth.states]
    call_hours = np.array([state.hours_at_a_stretch(berth.hours_per_call) for berth, state in pairs])
    airs = np.full(len(pairs), ROOM) if air is None else air
    rows = [
        _row(replace(plan, air=float(kelvin)), state, float(hours))
        for (_, state), hours, kelvin in zip(pairs, call_hours, airs, strict=True)
    ]
    mean, swing, period, highest = (
        np.array([getattr(row, name) for row in rows]) for name in ("mean", "swing", "period", "highest")
    )
    centre, amplitude, weight = (np.stack([row.bins[n] for row in rows]) for n in range(3))
    hours = np.array([berth.calls_per_year * berth.hours_per_call * state.share for berth, state in pairs])
    total = np.maximum(np.sum(weight * amplitude, axis=1), 1e-300)
    clipped = np.sum(weight * np.maximum(amplitude - centre, 0.0), axis=1) / total
    low, high = np.maximum(centre - amplitude, 0.0), centre + amplitude  # a line is never pushed; its crest stays
    return Duty(
        tuple(state for _, state in pairs), tuple(berth for berth, _ in pairs), mean, swing,
        np.array([row.is_sine for row in rows]), period, 0.5 * (high + low),
        0.5 * (high - low), weight, Troughs.stacked([row.troughs for row in rows]),
        hours, call_hours, highest, np.array([state.wetness for _, state in pairs]), clipped,
        airs, np.array([_energies(plan, row) for row in rows]),
        tuple(row.raised for row in rows),
    )  # fmt: skip


def _energies(plan: _Plan, row: _Row) -> tuple[float, float]:
    """Energy in the rope and in its tail at the highest tension [J]."""
    length = plan.line.inboard_length.value + plan.line.outboard_length
    rope = plan.ropes[1].energy(length, row.mean, row.highest)
    tail = plan.line.tail
    return rope, plan.tail.energy(
        tail.length, row.mean, row.highest
    ) if plan.tail is not None and tail is not None else 0.0


def _row(plan: _Plan, state: State, call_hours: float) -> _Row:
    """A state; where its highest tension is stated, the larger of that and the computed one counts.

    Beside a record it takes the place of what is extrapolated, but not of what was recorded. For another rope in the
    same motion, what is stated goes above the mean with the swing.
    """
    tension = state.tension[plan.line.name]
    row = _answering(plan, state, tension, call_hours)
    if tension.highest is None:
        return row
    stated = plan.newton(tension.highest)
    if not plan.keeps_load and row.swing > 0.0:
        own = _answering(replace(plan, ropes=(plan.ropes[0], plan.ropes[0])), state, tension, call_hours)
        stated = row.mean + (stated - own.mean) * row.swing / own.swing
    if row.raised is not None:
        raised = row.raised.stated(stated)
        return replace(row, highest=raised.expected, raised=raised)
    return replace(row, highest=max(row.highest, stated))


def _answering(plan: _Plan, state: State, tension: Tension, call_hours: float) -> _Row:
    """A state by the way its tension is given."""
    if tension.response is not None:
        return _in_sea(plan, state, tension, call_hours)
    return _recorded(plan, tension, call_hours) if tension.log else _typed(plan, tension, call_hours)


def _in_sea(plan: _Plan, state: State, tension: Tension, call_hours: float) -> _Row:
    """A state from the spectrum of its sea and the line's response."""
    mean = plan.newton(tension.mean)
    found = sea.answer(state, tension, plan.curves)
    significant = 2.0 * found.deviation
    if found.is_motion:
        swing = plan.moved(mean, significant)
    elif plan.keeps_load:
        swing = significant
    else:
        swing = _from_motion(plan.line, plan.ropes, plan.tail, mean, (None, significant))
    if not swing > 0.0:
        return _Row(mean, 0.0, False, LONGEST_PERIOD, mean, (np.full(BINS, mean), np.zeros(BINS), found.weights))
    n = max(call_hours, 1e-3) * 3600.0 / found.zero_crossing
    highest = float(cycles.most_probable_maximum(mean, 0.5 * swing, n))
    bins = (mean + 0.5 * swing * found.offsets, 0.5 * swing * found.amplitudes, found.weights)
    slack = found.slack.moved(0.0, 0.5 * swing, mean)
    return _Row(mean, swing, False, 1.0 / found.rate, highest, bins, slack)


def _typed(plan: _Plan, tension: Tension, call_hours: float) -> _Row:
    """A state from its typed mean, swing and period."""
    mean = plan.newton(tension.mean)
    own = None if tension.amplitude is None else plan.newton(tension.amplitude)
    if own is not None and not tension.may_slack:
        _check_swing(tension, mean, own)
    if own is not None and plan.keeps_load:
        swing = own
    elif tension.motion is not None:
        swing = (replace(plan, air=ROOM) if tension.at_room else plan).moved(mean, tension.motion)
    else:
        swing = _from_motion(plan.line, plan.ropes, plan.tail, mean, (None, own))
    period = tension.period if swing > 0.0 else LONGEST_PERIOD
    if tension.amplitude_kind == "constant":
        amplitude, weight = np.full(BINS, swing), np.eye(1, BINS)[0]
        return _Row(mean, swing, True, period, mean + swing, (np.full(BINS, mean), amplitude, weight))
    amplitude, weight = cycles.rayleigh_bins(np.asarray(0.5 * swing))
    n = max(call_hours, 1e-3) * 3600.0 / period
    highest = float(cycles.most_probable_maximum(mean, 0.5 * swing, n))
    slack = Troughs.of_law(mean, np.array([0.5 * swing]), np.ones(1)) if swing > 0.0 else None
    return _Row(mean, swing, False, period, highest, (np.full(BINS, mean), amplitude, weight), slack)


def _check_swing(tension: Tension, mean: float, amplitude: float) -> None:
    """Refuse an amplitude beyond the mean [N], which the case's form cannot see where their units differ."""
    most = mean if tension.amplitude_kind == "constant" else MOST_SWING * mean
    if amplitude > most * (1.0 + 1e-9):
        read = f"an amplitude of {amplitude / 1e3:.4g} kN about a mean of {mean / 1e3:.4g} kN"
        needs = f"an amplitude of at most {most / 1e3:.4g} kN: beyond it the line is slack most of the time"
        raise InputError("A tension swings too far.", [Problem(f"{tension.where}  amplitude", read, needs)])


def _recorded(plan: _Plan, tension: Tension, call_hours: float) -> _Row:
    """A state from a record of the rope on board; its significant amplitude stands for the swing."""
    counted = plan.records[tension.record].newton(plan.strengths)
    swing = 2.0 * counted.deviation
    if not plan.keeps_load and swing > 0.0:
        moved = _from_motion(plan.line, plan.ropes, plan.tail, counted.mean, (None, swing))
        counted, swing = counted.swung(moved / swing), moved
    period = counted.period if swing > 0.0 else LONGEST_PERIOD
    bins = (counted.centre, counted.amplitude, counted.weight)
    raised = Raised.of(tension.record, counted, 3600.0 * call_hours)
    return _Row(counted.mean, swing, False, period, raised.expected, bins, counted.slack, raised)


def _from_motion(
    line: LineGroup,
    ropes: tuple[Elastic, Elastic],
    tail: Elastic | None,
    mean: float,
    given: tuple[float | None, float | None],
) -> float:
    """Amplitude [N] of a ship motion [m]; the motion is given, or follows from the rope on board."""
    motion, own = given
    if motion is None:
        assert own is not None
        motion = own / series_stiffness(line, ropes[0], tail, mean, own)
    return _balanced(lambda swing: motion * series_stiffness(line, ropes[1], tail, mean, swing))


def _balanced(answer: Callable[[float], float]) -> float:
    """The swing F that a motion makes at the stiffness of that very swing, F = answer(F), by bisection [N].

    Stiffness falls with the swing or is level, so F lies below answer(0) and is the only one. Where a card lets it
    rise, the bracket is widened up to sixteen times; a swing beyond that breaks any line and is returned as it is.
    """
    low, high = 0.0, answer(0.0)
    for _ in range(4):
        if answer(high) <= high:
            break
        low, high = high, 2.0 * high
    else:
        return high
    for _ in range(BISECTIONS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if answer(middle) > middle else (low, middle)
    return 0.5 * (low + high)
