"""What a rope has been through: losses that it comes with, and its state at an age."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from linewright.assessment.life import Limits, YearlyRates, worn
from linewright.physics.types import Array

COARSE = 2.0  # steps of 2 % strength and a tenth of the creep strain: below 0.2 % of the strength off (tests)


@dataclass(frozen=True)
class Served:
    """An earlier trade: yearly rates, years, and the share of the hot hours that a year took, shape (s, Q) [1/year]."""

    rates: YearlyRates
    years: float
    hot: Array


def come_with(served: Sequence[Served]) -> Array | None:
    """Losses of ln strength after earlier trades, shape (s, M, Q); None for a new rope."""
    lost = None
    for item in served:
        lost = worn(item.rates, item.years, lost)
    return lost


def less_hot(limits: Limits, served: Sequence[Served]) -> Limits:
    """The limits with the hot hours of earlier trades taken off."""
    used = sum((item.hot * item.years for item in served), np.zeros(1))
    left = np.maximum(1.0 - used, 0.0)
    return replace(limits, hot_years=np.where(left > 0.0, limits.hot_years * left, 0.0)) if served else limits


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
