"""Ropes against each other: ratio of lives, who outlives whom, and whether the evidence is the same."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linewright.assessment.life import HORIZON
from linewright.assessment.whole import RopeResult, Whole
from linewright.base.data import Datum
from linewright.physics.statistics import weighted_quantile
from linewright.physics.types import Array

LEAST_LIFE = 1e-6  # [years]
OPEN_SHARE = 0.05  # of draws beyond the horizon below the median ratio: then it is a bound


@dataclass(frozen=True)
class Comparison:
    """Life of `other` over life of `base`: P10, P50, P90; probability that it outlives it.

    `shared` is with one law for both (same ignorance), `apart` with laws drawn independently.
    `rests_on` are the data that differ, `estimates` those of them with an estimate on both sides.
    `bounds` says of each quantile what lives beyond the horizon leave of it: "" firm, "at least", "at most", "open".
    """

    base: str
    other: str
    same: str
    ratio: tuple[float, float, float]
    shared: float
    apart: float
    rests_on: tuple[str, ...]
    estimates: tuple[str, ...]
    bounds: tuple[str, str, str]

    @property
    def is_estimate_only(self) -> bool:
        """Whether both sides of everything that differs are estimates."""
        return bool(self.rests_on) and len(self.estimates) == len(self.rests_on)


def compare(whole: Whole, base: RopeResult, other: RopeResult) -> Comparison:
    """The comparison of two ropes on the same samples; ropes of one card have one law, never two."""
    ratio = _ratios(base, other)
    low, middle, high = (weighted_quantile(ratio, whole.weights, p) for p in (0.1, 0.5, 0.9))
    shared = outlives(other.ages, base.ages, whole.weights)
    few = other.ages if other.apart is None or other.variant.rope == base.variant.rope else other.apart
    apart = outlives(few, base.ages[: len(few)], whole.weights[: len(few)])
    differing, estimates = _differences(base, other)
    bounds = (bound(whole, base, other, low), bound(whole, base, other, middle), bound(whole, base, other, high))
    return Comparison(
        base.title,
        other.title,
        other.variant.same,
        (low, middle, high),
        shared,
        apart,
        differing,
        estimates,
        bounds,
    )


def _ratios(base: RopeResult, other: RopeResult) -> Array:
    """Life over life in every draw; 1 where both are finished when new."""
    return np.asarray(np.maximum(other.ages, LEAST_LIFE) / np.maximum(base.ages, LEAST_LIFE))


def bound(whole: Whole, base: RopeResult, other: RopeResult, quantile: float) -> str:
    """What a quantile of the ratio is worth where lives reach the horizon.

    Where the other rope lives beyond it the true ratio is larger, where the base does it is smaller, where
    both do it is unknown; it matters when more than a twentieth of the draws could cross the quantile.
    """
    ratio = _ratios(base, other)
    beyond, under = other.ages >= HORIZON, base.ages >= HORIZON
    total = float(np.sum(whole.weights))
    rises = float(np.sum(whole.weights * (beyond & (ratio <= quantile)))) > OPEN_SHARE * total
    falls = float(np.sum(whole.weights * (under & (ratio >= quantile)))) > OPEN_SHARE * total
    return {(False, False): "", (True, False): "at least", (False, True): "at most"}.get((rises, falls), "open")


def outlives(other: Array, base: Array, weights: Array) -> float:
    """Weighted probability that `other` lives longer; ties count half."""
    won = np.where(other > base, 1.0, np.where(other == base, 0.5, 0.0))
    return float(np.sum(weights * won) / np.sum(weights))


def _differences(base: RopeResult, other: RopeResult) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Keys of the data that differ, and of those that are estimates on both sides, whichever line uses them."""
    keys: dict[str, bool] = {}
    for one, two in zip(base.lines, other.lines, strict=True):
        mine, theirs = one.setup.subject.data, two.setup.subject.data
        for key in sorted(set(one.used) | set(two.used)):
            a, b = mine.get(key), theirs.get(key)
            if a is None or b is None or _same(a, b):
                continue
            keys[key] = keys.get(key, True) and a.is_weak and b.is_weak
    return tuple(keys), tuple(key for key, is_weak in keys.items() if is_weak)


def _same(a: Datum, b: Datum) -> bool:
    return (a.value, a.low, a.high, a.curve) == (b.value, b.low, b.high, b.curve)
