"""Duty of a line group: hours and cycle tables of every state. No samples: counting is done once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from linewright.base.data import Datum
from linewright.case.model import Berth, Case, LineGroup, SameDuty, State, Tension
from linewright.physics import cycles
from linewright.physics.types import Array, Flags

LONGEST_PERIOD = 1e9


@dataclass(frozen=True)
class Duty:
    """States of one line group; J states, B amplitude bins.

    mean, swing [N]; period [s]; amplitude (J, B) [N] with weights (J, B) adding to 1; hours a year and
    a call [h]; highest expected tension in one call [N]; share of amplitude cut at zero tension.
    """

    states: tuple[State, ...]
    berths: tuple[Berth, ...]
    mean: Array
    swing: Array
    is_sine: Flags
    period: Array
    amplitude: Array
    weight: Array
    hours: Array
    call_hours: Array
    highest: Array
    wetness: Array
    clipped: Array

    @property
    def cycles_per_hour(self) -> Array:
        """Cycles per hour, shape (J,) [1/h]."""
        return 3600.0 / self.period

    @property
    def deviation(self) -> Array:
        """Standard deviation of the tension, shape (J,) [N]."""
        return np.asarray(np.where(self.is_sine, self.swing / np.sqrt(2.0), 0.5 * self.swing))

    @property
    def mean_square(self) -> Array:
        """Mean square of the amplitude, shape (J,) [N2]."""
        return np.asarray(np.sum(self.weight * self.amplitude**2, axis=1))


@dataclass(frozen=True)
class Elastic:
    """What the stretch of a rope needs: break force [N], EA over it, and its slopes [-]."""

    design_break_force: float
    stiffness: float
    mean_slope: float = 0.0
    amplitude_slope: float = 0.0

    @staticmethod
    def of(table: Mapping[str, Datum]) -> Elastic:
        """From a rope's data."""
        slopes = [
            table[key].value if key in table else 0.0 for key in ("stiffness_mean_slope", "stiffness_amplitude_slope")
        ]
        return Elastic(table["design_break_force"].value, table["dynamic_stiffness"].value, slopes[0], slopes[1])

    def axial(self, mean: float, amplitude: float) -> float:
        """EA [N] at a mean tension and amplitude [N]."""
        relative = self.stiffness + self.mean_slope * (mean / self.design_break_force - 0.25)
        relative += self.amplitude_slope * amplitude / self.design_break_force
        return max(relative, 0.25 * self.stiffness) * self.design_break_force


def series_stiffness(line: LineGroup, rope: Elastic, tail: Elastic | None, mean: float, amplitude: float) -> float:
    """Stiffness of line and tail in series [N/m]."""
    flexibility = (line.inboard_length.value + line.outboard_length) / rope.axial(mean, amplitude)
    if tail is not None and line.tail is not None:
        flexibility += line.tail.length / tail.axial(mean, amplitude)
    return 1.0 / flexibility


def duty_of(case: Case, line: LineGroup, ropes: tuple[Elastic, Elastic], tail: Elastic | None, same: SameDuty) -> Duty:
    """The duty of a line group for a rope; `ropes` is the rope on board and the rope assessed.

    `load` keeps the tension in kN; `motion` keeps the ship's motion, so that the cyclic part scales
    with the series stiffness of line and tail.
    """
    pairs = [(berth, state) for berth in case.berths for state in berth.states]
    rows = [_state_row(case, line, ropes, tail, same, state.tension[line.name]) for _, state in pairs]
    mean, swing, period, sine = (np.array(part, dtype=float) for part in zip(*rows, strict=True))
    amplitude, weight, clipped = _bins(mean, swing, sine > 0.5)
    call_hours = np.array([berth.hours_per_call * state.share for berth, state in pairs])
    hours = np.array([berth.calls_per_year for berth, _ in pairs]) * call_hours
    wetness = np.array([state.wetness for _, state in pairs])
    n = np.maximum(call_hours, 1e-3) * 3600.0 / period
    highest = np.where(sine > 0.5, mean + swing, cycles.most_probable_maximum(mean, 0.5 * swing, n))
    states, berths = tuple(state for _, state in pairs), tuple(berth for berth, _ in pairs)
    return Duty(states, berths, mean, swing, sine > 0.5, period, amplitude, weight, hours, call_hours,
                np.asarray(highest), wetness, clipped)  # fmt: skip


def _state_row(
    case: Case,
    line: LineGroup,
    ropes: tuple[Elastic, Elastic],
    tail: Elastic | None,
    same: SameDuty,
    tension: Tension,
) -> tuple[float, float, float, float]:
    board, rope = ropes
    mean = tension.mean.newton(board.design_break_force, case.ship_design_break_load)
    own = None
    if tension.amplitude is not None:
        own = tension.amplitude.newton(board.design_break_force, case.ship_design_break_load)
    if own is not None and (same == "load" or rope == board):
        swing = own
    else:
        swing = _from_motion(line, (board, rope), tail, mean, (tension.motion, own))
    period = tension.period if swing > 0.0 else LONGEST_PERIOD
    return mean, swing, period, float(tension.amplitude_kind == "constant")


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
    swing = motion * series_stiffness(line, ropes[1], tail, mean, 0.0)
    for _ in range(20):
        swing = motion * series_stiffness(line, ropes[1], tail, mean, swing)
    return swing


def _bins(mean: Array, swing: Array, is_sine: Flags) -> tuple[Array, Array, Array]:
    """Amplitude bins, weights and the clipped share of each state."""
    amplitude, weights = cycles.rayleigh_bins(0.5 * swing)
    weight = np.broadcast_to(weights, amplitude.shape).copy()
    amplitude[is_sine] = swing[is_sine, None]
    weight[is_sine] = 0.0
    weight[is_sine, 0] = 1.0
    total = np.maximum(np.sum(weight * amplitude, axis=1), 1e-300)
    clipped = np.sum(weight * np.maximum(amplitude - mean[:, None], 0.0), axis=1) / total
    return np.minimum(amplitude, mean[:, None]), weight, clipped
