"""Ropes against each other: ratio of lives, who outlives whom, and whether the evidence is the same."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linewright.assessment.life import HORIZON
from linewright.assessment.whole import RopeResult, Whole
from linewright.base.data import Datum
from linewright.physics.statistics import weighted_quantile
from linewright.physics.types import Array

OPEN_SHARE = 0.05  # of draws beyond the horizon below the median ratio: then it is a lower bound


@dataclass(frozen=True)
class Comparison:
    """Life of `other` over life of `base`: P10, P50, P90; probability that it outlives it.

    `shared` is with one law for both (same ignorance), `apart` with laws drawn independently.
    `rests_on` are the data that differ, `is_estimate_only` says that both sides of each are estimates.
    `is_open` says that lives beyond the horizon make the median ratio a lower bound.
    """

    base: str
    other: str
    same: str
    ratio: tuple[float, float, float]
    shared: float
    apart: float
    rests_on: tuple[str, ...]
    is_estimate_only: bool
    is_open: bool


def compare(whole: Whole, base: RopeResult, other: RopeResult) -> Comparison:
    """The comparison of two ropes on the same samples."""
    ratio = other.ages / np.maximum(base.ages, 1e-6)
    low, middle, high = (weighted_quantile(ratio, whole.weights, p) for p in (0.1, 0.5, 0.9))
    shared = outlives(other.ages, base.ages, whole.weights)
    few = other.apart if other.apart is not None else other.ages
    apart = outlives(few, base.ages[: len(few)], whole.weights[: len(few)])
    differing, weak = _differences(base, other)
    hidden = (other.ages >= HORIZON) & (ratio <= middle)
    is_open = bool(np.sum(whole.weights * hidden) > OPEN_SHARE * np.sum(whole.weights))
    return Comparison(
        base.title,
        other.title,
        other.variant.same,
        (low, middle, high),
        shared,
        apart,
        differing,
        weak,
        is_open,
    )


def outlives(other: Array, base: Array, weights: Array) -> float:
    """Weighted probability that `other` lives longer; ties count half."""
    won = np.where(other > base, 1.0, np.where(other == base, 0.5, 0.0))
    return float(np.sum(weights * won) / np.sum(weights))


def _differences(base: RopeResult, other: RopeResult) -> tuple[tuple[str, ...], bool]:
    keys: dict[str, bool] = {}
    for one, two in zip(base.lines, other.lines, strict=True):
        mine, theirs = one.setup.subject.data, two.setup.subject.data
        for key in sorted(set(one.used) | set(two.used)):
            a, b = mine.get(key), theirs.get(key)
            if a is None or b is None or _same(a, b):
                continue
            keys[key] = keys.get(key, True) and a.is_weak and b.is_weak
    return tuple(keys), bool(keys) and all(keys.values())


def _same(a: Datum, b: Datum) -> bool:
    return (a.value, a.low, a.high, a.curve) == (b.value, b.low, b.high, b.curve)
