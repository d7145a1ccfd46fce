"""The water that a rope holds: rain and spray fill it, evaporation empties it."""

from __future__ import annotations

import numpy as np

from linewright.physics.types import Array, Real

WATER_HEAT = 4180.0  # heat capacity of water [J/(kg K)]


def water_store(dry: Real, wet: Real, area: Real) -> Real:
    """Water that a soaked rope holds, from what it adds to the heat capacity.

    Parameters
    ----------
    dry : heat capacity per volume of the dry rope [J/(m3 K)]
    wet : heat capacity per volume of the soaked rope [J/(m3 K)]
    area : of the section [m2]

    Returns
    -------
    water of one metre [kg/m]

    From
    ----
    Definition: heat capacities of rope and water add up.
    """
    if np.any(np.asarray(wet) <= np.asarray(dry)):
        raise ValueError("a soaked rope must hold more heat than a dry one")
    return (wet - dry) * area / WATER_HEAT


def wetness_through(rain: Array, drying: Array, store: float, least: float = 0.0, start: float = 0.0) -> Array:
    """Wetness in each hour, water held over the store: rain and spray in, evaporation in proportion to it out.

    dS/dt = rain - drying S/store; over an hour S = S_e + (S_0 - S_e) exp(-drying/store), S_e = rain store/drying

    Parameters
    ----------
    rain : water that falls on one metre in an hour, 0 or more, shape (n,) [kg/m]
    drying : water that a soaked metre loses in an hour; below 0 it is dew, shape (n,) [kg/m]
    store : water of a soaked metre, above 0 [kg/m]
    least : wetness that spray keeps up, 0 to 1 [-]
    start : wetness before the first hour, 0 to 1 [-]

    Returns
    -------
    wetness, mean of each hour's two ends, shape (n,) [-]

    From
    ----
    Water balance; what is beyond the store runs off. That wetness falls evenly with the water held is an estimate.
    """
    if not store > 0.0:
        raise ValueError("the water that a rope holds must be above 0")
    if not (np.all(np.isfinite(rain)) and np.all(np.isfinite(drying)) and np.all(rain >= 0.0)):
        raise ValueError("rain of every hour must be 0 or more, drying a finite number")
    gained = (rain + np.maximum(-drying, 0.0)) / store
    rate = np.maximum(drying, 0.0) / store
    kept = np.exp(-rate)
    added = gained * np.where(rate > 1e-9, -np.expm1(-rate) / np.maximum(rate, 1e-9), 1.0)
    found, held = np.empty(rate.size), max(start, least)
    for hour in range(rate.size):
        after = min(max(held * kept[hour] + added[hour], least), 1.0)
        found[hour] = 0.5 * (held + after)
        held = after
    return found
