"""Over which length of rope the warmth of a contact is lost beside it."""

from __future__ import annotations

import math

import numpy as np

from linewright.physics.hot_spot import SpotField
from linewright.physics.types import Array


def decays_of(ends: list[tuple[float, float]], field: SpotField) -> tuple[tuple[float, ...], ...]:
    """Decay of section mean, core and skin beside each contact of a field, on the side with more free rope [m].

    `ends` are where the rope meets and leaves each contact, from drum to shore [m]; NaN where a rise does not fall to
    1/e before the next contact.
    """
    lows = [-np.inf, *(high for _, high in ends[:-1])]  # where the free rope of a side stops
    highs = [*(low for low, _ in ends[1:]), np.inf]
    rises = [values - values[-1] for values in (field.mean, field.core, field.skin)]
    found = []
    for (low, high), before, after in zip(ends, lows, highs, strict=True):
        if after - high >= low - before:
            found.append(tuple(_fall(field.place - high, rise, after - high) for rise in rises))
        else:
            found.append(tuple(_fall((low - field.place)[::-1], rise[::-1], low - before) for rise in rises))
    return tuple(found)


def _fall(beyond: Array, rise: Array, room: float) -> float:
    """Distance beyond 0 over which a rise falls to 1/e of what it is there, NaN if it does not within the room [m]."""
    first = float(np.interp(0.0, beyond, rise))
    out = (beyond > 0.0) & (beyond < room)
    distance, values = np.r_[0.0, beyond[out]], np.r_[first, rise[out]]
    below = np.flatnonzero(values <= first / math.e)
    if not first > 1e-6 or not below.size:
        return float("nan")
    pair = slice(int(below[0]) - 1, int(below[0]) + 1)
    return float(np.interp(-first / math.e, -values[pair], distance[pair]))
