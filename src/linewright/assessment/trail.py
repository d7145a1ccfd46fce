"""What a rope has been through: losses that it comes with, and its state at an age."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from linewright.assessment.life import Limits, YearlyRates, live, worn
from linewright.physics.types import Array

FAR = 120.0  # [years]
COARSE = 2.0  # steps of 2 % strength and a tenth of the creep strain: below 0.2 % of the strength off (tests)


@dataclass(frozen=True)
class Served:
    """An earlier trade: yearly rates, years, its limits, and the share of the hot hours a year, (s, Q) [1/year]."""

    rates: YearlyRates
    years: float
    limits: Limits
    hot: Array


def come_with(served: Sequence[Served]) -> Array | None:
    """Losses of ln strength after earlier trades, shape (s, M, Q); None for a new rope."""
    lost = None
    for item in served:
        lost = worn(item.rates, item.years, lost)
    return lost


def less_used(limits: Limits, served: Sequence[Served]) -> Limits:
    """The limits with hot hours and years of earlier trades taken off."""
    if not served:
        return limits
    used = sum((item.hot * item.years for item in served), np.zeros(1))
    left = np.maximum(1.0 - used, 0.0)
    hot = np.where(left > 0.0, limits.hot_years * np.where(left > 0.0, left, 1.0), 0.0)
    return replace(limits, hot_years=hot, age=max(limits.age - sum(item.years for item in served), 0.0))


def finished(served: Sequence[Served], rates: YearlyRates, limits: Limits) -> Array:
    """Age since new at which each sample first meets a criterion, also in an earlier trade, shape (s,) [years].

    Followed to `FAR`, for evidence of ages: what is cut off at the horizon would count as known.
    """
    past: list[Served] = []
    lost, found = None, np.full(len(rates.loss), np.inf)
    for item in served:
        began = sum(row.years for row in past)
        lives = live(item.rates, less_used(item.limits, past), before=lost, horizon=item.years).age
        found = np.where(np.isinf(found) & (lives < item.years), began + lives, found)
        lost = worn(item.rates, item.years, lost)
        past.append(item)
    years = sum(row.years for row in past)
    rest = live(rates, less_used(limits, past), before=lost, horizon=FAR).age
    return np.asarray(np.where(np.isinf(found), years + rest, found))


def at_ages(served: Sequence[Served], rates: YearlyRates, ages: Sequence[float]) -> Array:
    """Losses of ln strength at ages since new that no criterion ends, shape (s, ages, M, Q)."""
    found: dict[float, Array] = {}
    lost, age = np.zeros_like(rates.loss), 0.0
    for part, years in [*((item.rates, item.years) for item in served), (rates, np.inf)]:
        end = age + years
        for mark in sorted({item for item in ages if age <= item < end}):
            lost, age = worn(part, mark - age, lost, COARSE), mark
            found[mark] = lost
        if np.isfinite(end):
            lost, age = worn(part, end - age, lost, COARSE), end
    if not ages:
        return np.zeros((rates.loss.shape[0], 0, *rates.loss.shape[1:]))
    return np.stack([found[item] for item in ages], axis=1)


def most_worn(lost: Array) -> Array:
    """Losses by mechanism of the most worn metre of each sample, shape (s, M)."""
    metre = lost.sum(axis=1).argmax(axis=1)
    return np.asarray(lost[np.arange(len(lost)), :, metre])


def left(kept: Array) -> Array:
    """Strength left of the most worn metre, shape (s, ages) [-]."""
    return np.asarray(np.exp(-kept.sum(axis=2).max(axis=-1)))
