"""Renewals over a ship's life: how many sets a life takes, at its own end or at the docking before."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linewright.assessment.life import HORIZON
from linewright.physics.types import Array, Flags

ROUNDING = 1e-9  # of an interval: a set that ends with the ship is not renewed
OPEN_SHARE = 0.05  # of the draws that may be fewer, from which a number is a bound


@dataclass(frozen=True)
class Sets:
    """Sets bought in every draw, the first one included, shape (S,): whole numbers, inf where a new set is finished.

    reaches (S,) says whether a set lasts to a docking at all; is_most (S,) where its life was cut at the horizon, so
    that it may take fewer.
    """

    bought: Array
    reaches: Flags
    is_most: Flags


def interval(life: Array, docking: float | None) -> Array:
    """Years from one renewal to the next, shape (S,): the life, or the last docking within it if it reaches one.

    `docking` is the time between dockings [years]; None renews at the end of the life.
    """
    if docking is None:
        return np.asarray(life, dtype=float)
    whole = np.floor(life / docking + ROUNDING)
    return np.where(whole >= 1.0, whole * docking, life)


def sets(life: Array, years: float, docking: float | None = None) -> Sets:
    """Sets that a ship buys in so many years when each lasts `life` [years], shape (S,)."""
    between = interval(life, docking)
    count = np.ceil(years / np.maximum(between, 1e-300) - ROUNDING)
    bought = np.where(between > 0.0, np.maximum(count, 1.0), np.inf)
    least = 0.0 if docking is None else docking * (1.0 - ROUNDING)
    return Sets(np.asarray(bought), np.asarray(life >= least), np.asarray((life >= HORIZON) & (bought > 1.0)))


def quantile(values: Array, weights: Array, probability: float) -> float:
    """Smallest of the values that at least so much of the weight does not exceed: whole numbers stay whole."""
    order = np.argsort(values, kind="stable")
    share = np.cumsum(weights[order]) / np.sum(weights)
    return float(values[order][min(int(np.searchsorted(share, probability * (1.0 - 1e-12))), len(order) - 1)])


def may_be_fewer(found: Sets, weights: Array, number: float) -> bool:
    """Whether more than a twentieth of the draws at or above a number of sets were cut at the horizon."""
    cut = found.is_most & (found.bought >= number)
    return bool(np.sum(weights[cut]) > OPEN_SHARE * np.sum(weights))
