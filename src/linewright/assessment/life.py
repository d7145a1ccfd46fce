"""Strength over the years: losses add in ln strength, each sample takes its own steps.

State per sample and metre class: ln strength lost per mechanism. Rates come as yearly rates at new;
they grow with the other mechanisms' loss (strength power) and with creep strain and lost area
(growth). A line is finished at the first criterion.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from linewright.physics.types import Array, Flags

HORIZON = 30.0
LARGEST_LOSS = 0.01
CREEP_STEPS = 20.0
CRITERIA = (
    "strength left",
    "creep",
    "tension fatigue",
    "bending",
    "compression",
    "margin",
    "temperature",
    "age",
)
MOST_STEPS = 4000
LEAST_LEFT = 0.1  # of the strength; what lies below is nobody's rope


@dataclass(frozen=True)
class YearlyRates:
    """Losses of ln strength per year at new, shape (s, M, Q), and what changes them.

    power (s, M); growth (s, Q) of creep; unit (s, M): ln loss at damage 1, inf where there is no
    damage; strain (s,): creep strain at damage 1 (0 for other laws). Index of creep and abrasion in M, or -1.
    """

    loss: Array
    power: Array
    growth: Array
    unit: Array
    strain: Array
    creep: int
    abrasion: int
    names: tuple[str, ...]

    def of(self, rows: Flags) -> YearlyRates:
        """The rates of some samples."""
        parts = {name: getattr(self, name)[rows] for name in ("loss", "power", "growth", "unit", "strain")}
        return replace(self, **parts)


@dataclass(frozen=True)
class Limits:
    """Criteria; inf where not used.

    strength_left, damage per mechanism (M,), ln margin in hand (s,), years until the temperature limit
    (s, Q), age limit.
    """

    strength_left: float
    damage: Array
    margin: Array
    hot_years: Array
    age: float


@dataclass(frozen=True)
class Lives:
    """End of each sample: age [years], criterion, metre class, ln losses there (s, M)."""

    age: Array
    criterion: Array
    metre: Array
    losses: Array


def worn(rates: YearlyRates, years: float | Array, before: Array | None = None, step: float = 1.0) -> Array:
    """Losses of ln strength after some years that no criterion ends, shape (s, M, Q); `before` they were so much.

    `years` are the same for all samples, or each its own, shape (s, 1).

    They stop where next to nothing is left: `LEAST_LEFT` of the strength.
    """
    lost = np.zeros_like(rates.loss) if before is None else np.array(before, dtype=float)
    left = np.full((lost.shape[0], lost.shape[2]), years)
    for _ in range(MOST_STEPS):
        alive = (left > 0.0) & (lost.sum(axis=1) < -np.log(LEAST_LEFT))
        rows = alive.any(axis=1)
        if not rows.any():
            break
        some, now = rates.of(rows), lost[rows]
        first = _slopes(some, now)
        dt = np.where(alive[rows], np.minimum(_step(some, first, step), left[rows]), 0.0)
        lost[rows] = _after(some, now, dt, first)
        left[rows] -= dt
    return lost


def _after(rates: YearlyRates, lost: Array, dt: Array, first: Array) -> Array:
    """Losses one step later, by the mid-point rule; `first` are the slopes at its beginning."""
    half = _slopes(rates, lost + 0.5 * dt[:, None] * first)
    return np.asarray(lost + dt[:, None] * half)


def live(
    rates: YearlyRates, limits: Limits, step: float = 1.0, before: Array | None = None, horizon: float = HORIZON
) -> Lives:
    """Years from now until each sample's first metre meets its first criterion; `step` scales the steps.

    `before` are losses of ln strength that the line comes with, shape (s, M, Q); a new line has none.
    """
    return _first_metre(*by_metre(rates, limits, step, before, horizon), horizon)


def by_metre(
    rates: YearlyRates, limits: Limits, step: float = 1.0, before: Array | None = None, horizon: float = HORIZON
) -> tuple[Array, Array, Array]:
    """End of every metre class [years from now, inf beyond the horizon], criterion, and losses there.

    Shapes (s, Q), (s, Q) and (s, M, Q); -1 is no criterion.
    """
    s, _, q = rates.loss.shape
    lost = np.zeros_like(rates.loss) if before is None else np.array(before, dtype=float)
    age = np.zeros((s, q))
    end = np.full((s, q), np.inf)
    why = np.full((s, q), -1)
    final = np.zeros_like(rates.loss)
    _start(limits, end, why)
    stop = np.minimum(limits.hot_years, limits.age) + np.zeros((s, q))
    clock = np.where(limits.age < limits.hot_years, CRITERIA.index("age"), CRITERIA.index("temperature"))
    met = _ratios(rates, limits, lost)
    for _ in range(MOST_STEPS):
        alive = np.isinf(end) & (age < horizon)
        if not alive.any():
            break
        first = _slopes(rates, lost)
        dt = _step(rates, first, step)
        dt = np.where(alive, np.minimum(dt, np.minimum(horizon, stop) - age), 0.0)
        dt = np.maximum(dt, 0.0)
        after_lost = _after(rates, lost, dt, first)
        after = _ratios(rates, limits, after_lost)
        _locate(met, after, (age, dt, alive), end, why)
        ended = np.isfinite(end) & alive
        share = np.where(dt > 0.0, np.clip((end - age) / np.maximum(dt, 1e-300), 0.0, 1.0), 0.0)
        at_end = lost + share[:, None] * (after_lost - lost)
        final = np.where(ended[:, None], at_end, final)
        age = age + dt
        lost, met = after_lost, after
        stopped = alive & np.isinf(end) & (age >= stop)
        end, why = np.where(stopped, age, end), np.where(stopped, clock, why)
        final = np.where(stopped[:, None], lost, final)
    return end, why, np.where(np.isinf(end)[:, None], lost, final)


def _start(limits: Limits, end: Array, why: Array) -> None:
    """Samples whose margin or temperature is already spent end at once."""
    spent = np.broadcast_to((limits.margin <= 0.0)[:, None], end.shape)
    hot = np.broadcast_to(limits.hot_years <= 0.0, end.shape)
    end[spent | hot] = 0.0
    why[spent] = CRITERIA.index("margin")
    why[hot] = CRITERIA.index("temperature")


def _slopes(rates: YearlyRates, lost: Array) -> Array:
    total = lost.sum(axis=1, keepdims=True)
    slope = rates.loss * np.exp(rates.power[..., None] * (total - lost))
    if rates.creep >= 0:
        damage = lost[:, rates.creep] / rates.unit[:, rates.creep, None]
        strain = damage * rates.strain[:, None]
        if rates.abrasion >= 0:
            strain = strain + lost[:, rates.abrasion]
        slope[:, rates.creep] *= np.exp(np.minimum(rates.growth * strain, 60.0))
    return slope


def _step(rates: YearlyRates, slope: Array, scale: float) -> Array:
    """Step per sample and metre: at most 1 % strength and a twentieth of the creep strain [years]."""
    fastest = slope.sum(axis=1) / LARGEST_LOSS
    if rates.creep >= 0:
        creep = slope[:, rates.creep] / rates.unit[:, rates.creep, None] * CREEP_STEPS
        fastest = np.maximum(fastest, creep)
    return np.asarray(scale / np.maximum(fastest, 1e-9))


def _ratios(rates: YearlyRates, limits: Limits, lost: Array) -> Array:
    """How much of each criterion is used up, shape (criteria, s, Q); 1 = met."""
    total = lost.sum(axis=1)
    rows = [total / -np.log(limits.strength_left)]
    damage = lost / rates.unit[..., None] / limits.damage[None, :, None]
    for name in ("creep", "tension", "bending", "compression"):
        rows.append(damage[:, rates.names.index(name)] if name in rates.names else np.zeros_like(total))
    rows.append(total / np.maximum(limits.margin, 1e-12)[:, None])
    return np.stack(rows)


def _locate(before: Array, after: Array, step: tuple[Array, Array, Flags], end: Array, why: Array) -> None:
    """Where in the step the first criterion crosses 1 (linear inside a step of 1 % strength)."""
    age, dt, alive = step
    crossed = (after >= 1.0) & alive[None]
    span = np.maximum(after - before, 1e-30)
    fraction = np.where(crossed, np.clip((1.0 - before) / span, 0.0, 1.0), np.inf)
    which = fraction.argmin(axis=0)
    best = np.take_along_axis(fraction, which[None], axis=0)[0]
    hit = np.isfinite(best)
    end[hit] = (age + np.where(hit, best, 0.0) * dt)[hit]
    why[hit] = which[hit]


def _first_metre(end: Array, why: Array, final: Array, horizon: float) -> Lives:
    """The metre that ends first; of several, the most worn."""
    first = end.min(axis=1, keepdims=True)
    worn = np.where(end <= first, final.sum(axis=1), -1.0)
    metre = worn.argmax(axis=1)
    rows = np.arange(len(metre))
    return Lives(np.minimum(end[rows, metre], horizon), why[rows, metre], metre, final[rows, :, metre])
