"""A rope that runs: how often each metre is bent and where it spends its time, in the rope's own frame.

A mark is a metre's distance from the outboard end, a place its distance from the drum along the path.
While the length L is paid out, the mark x lies at the place L - x; places below 0 are on the drum.
docs/explanation/running.md holds the equations.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from linewright.physics.field_grid import covered
from linewright.physics.types import Array, Real

PHASES = 32  # instants of a heave cycle at which its speed is taken


@dataclass(frozen=True)
class Rest:
    """The rope stands still.

    Attributes
    ----------
    payout : paid-out length [m]
    """

    payout: float

    @property
    def low(self) -> float:
        """Smallest paid-out length [m]."""
        return self.payout

    @property
    def high(self) -> float:
        """Largest paid-out length [m]."""
        return self.payout

    @property
    def passes(self) -> float:
        """How often a mark in between passes a place [1/s]."""
        return 0.0

    @property
    def speeds(self) -> Array:
        """Speeds, each for an equal part of the time [m/s]."""
        return np.zeros(1)

    def accumulated(self, payout: Real) -> Array:
        """Integral up to a length of the share of time that less than it is paid out [m]."""
        return np.maximum(np.asarray(payout) - self.payout, 0.0)


@dataclass(frozen=True)
class Heave:
    """Active heave compensation: a sine about a mean paid-out length.

    Attributes
    ----------
    payout : mean paid-out length [m]
    amplitude : half the travel, above 0 [m]
    period : of the sine, above 0 [s]
    """

    payout: float
    amplitude: float
    period: float

    def __post_init__(self) -> None:
        """Refuse an amplitude or a period that is not above 0."""
        if not self.amplitude > 0.0 or not self.period > 0.0:
            raise ValueError("a heave needs an amplitude and a period above 0")

    @property
    def low(self) -> float:
        """Smallest paid-out length [m]."""
        return self.payout - self.amplitude

    @property
    def high(self) -> float:
        """Largest paid-out length [m]."""
        return self.payout + self.amplitude

    @property
    def passes(self) -> float:
        """How often a mark in between passes a place: twice a cycle [1/s]."""
        return 2.0 / self.period

    @property
    def speeds(self) -> Array:
        """Speeds, each for an equal part of the time [m/s]."""
        phase = (np.arange(PHASES) + 0.5) * 0.5 * np.pi / PHASES
        return 2.0 * np.pi * self.amplitude / self.period * np.cos(phase)

    def accumulated(self, payout: Real) -> Array:
        """Integral up to a length of the share of time that less than it is paid out [m]."""
        u = (np.asarray(payout, dtype=float) - self.payout) / self.amplitude
        held = np.clip(u, -1.0, 1.0)
        inside = 0.5 * held + (held * np.arcsin(held) + np.sqrt(1.0 - held**2)) / np.pi
        return self.amplitude * (inside + np.maximum(u - 1.0, 0.0))


@dataclass(frozen=True)
class Travel:
    """Lowering or hoisting at an even speed.

    Attributes
    ----------
    start : paid-out length at the start [m]
    end : paid-out length at the end, another one [m]
    speed : above 0 [m/s]
    """

    start: float
    end: float
    speed: float

    def __post_init__(self) -> None:
        """Refuse a speed that is not above 0, and a way of no length."""
        if not self.speed > 0.0 or self.start == self.end:
            raise ValueError("a travel needs a speed above 0 and two lengths that differ")

    @property
    def low(self) -> float:
        """Smallest paid-out length [m]."""
        return min(self.start, self.end)

    @property
    def high(self) -> float:
        """Largest paid-out length [m]."""
        return max(self.start, self.end)

    @property
    def duration(self) -> float:
        """Time of the whole way [s]."""
        return (self.high - self.low) / self.speed

    @property
    def passes(self) -> float:
        """How often a mark in between passes a place: once on the way [1/s]."""
        return 1.0 / self.duration

    @property
    def speeds(self) -> Array:
        """Speeds, each for an equal part of the time [m/s]."""
        return np.full(1, self.speed)

    def accumulated(self, payout: Real) -> Array:
        """Integral up to a length of the share of time that less than it is paid out [m]."""
        way = np.clip(payout, self.low, self.high) - self.low
        return np.asarray(0.5 * way**2 / (self.high - self.low) + np.maximum(np.asarray(payout) - self.high, 0.0))

    def parts(self, count: int) -> list[Travel]:
        """The same way in equal parts."""
        stops = np.linspace(self.start, self.end, count + 1)
        return [Travel(float(a), float(b), self.speed) for a, b in itertools.pairwise(stops)]


Motion = Rest | Heave | Travel


def time_share(motion: Motion, edges: Array, low: float, high: float) -> Array:
    """Share of the time that the rope of each cell spends between two places, mean over the cell.

    Parameters
    ----------
    motion : of the paid-out length [fields]
    edges : edges of the cells, marks that rise [m]
    low : place where the stretch begins; -inf for the drum [m]
    high : place where it ends; inf for the rope's end [m]

    Returns
    -------
    shares, 0 to 1; those of stretches that cover the path add up to 1 [-]

    From
    ----
    Exact: the distribution of the paid-out length in time, arcsine for a sine, integrated over the cell.
    """
    width = np.diff(edges)
    till = width if np.isinf(high) else np.diff(motion.accumulated(edges + high))
    before = 0.0 * width if np.isinf(low) else np.diff(motion.accumulated(edges + low))
    return np.clip((till - before) / width, 0.0, 1.0)


def passages(motion: Motion, edges: Array, place: float) -> Array:
    """How often the rope of each cell passes a place, mean over the cell.

    Parameters
    ----------
    motion : of the paid-out length [fields]
    edges : edges of the cells, marks that rise [m]
    place : distance from the drum along the path [m]

    Returns
    -------
    passages; a bend and a straightening are two passages of a tangent point [1/s]

    From
    ----
    Definition: the mark x is at the place p while x + p is paid out.
    """
    if not motion.passes:
        return np.zeros(edges.size - 1)
    return motion.passes * covered(edges, motion.low - place, motion.high - place)


def strip_conductance(
    interface: Real, half_angle: Real, radius: Real, conductivity: Real, share: Real = 1.0
) -> tuple[Real, Real]:
    """Conductance per metre between the mean skin and steel that touches a strip, and the strip's part of friction.

    1/G = 1/(s g) + R_x, g = 2 f R h_c, R_x = r_p - 1/(8 pi k_r), r_p of `profile.constriction`; of heat born on the
    rope's side of the interface 1/(1 + s g R_x) goes into the rope. A metre that touches for a share s of the time
    spreads the mean of its flux: passages take seconds, heat takes hours to spread over the section.

    Parameters
    ----------
    interface : conductance of the touching faces [W/(m2 K)]
    half_angle : half of the touching angle of the section [rad]
    radius : of the rope [m]
    conductivity : across the rope [W/(m K)]
    share : of the time that a metre touches, in passages much shorter than R^2/alpha [-]

    Returns
    -------
    conductance of one metre, mean over its time [W/(m K)], part of the heat born on the rope's side that enters it [-]

    From
    ----
    Constriction beyond the resistance that the axisymmetric section has already; two resistances in series.
    """
    spread = -np.log(np.sin(0.5 * half_angle)) / (np.pi * conductivity)
    touching = share * 2.0 * half_angle * radius * interface
    return touching / (1.0 + touching * spread), 1.0 / (1.0 + touching * spread)


def seized_work(tension: Real, friction: Real, wrap: Real) -> Real:
    """Work of a rope that slides over a sheave that does not turn, per metre that passes, F (1 - exp(-mu theta)).

    Parameters
    ----------
    tension : of the taut side [N]
    friction : coefficient of rope on steel [-]
    wrap : angle of contact [rad]

    Returns
    -------
    work per metre, shared between rope and steel [J/m]

    From
    ----
    Capstan equation: the difference of the two tensions.
    """
    return tension * -np.expm1(-np.asarray(friction) * np.asarray(wrap))
