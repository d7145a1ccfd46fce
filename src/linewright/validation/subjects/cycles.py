"""Cycle counting and extremes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from linewright.physics import cycles, fatigue
from linewright.physics.types import Array

Inputs = Mapping[str, Any]


def _table(history: Array) -> tuple[Array, Array]:
    """Ranges in rising order and the counts of each."""
    rows = cycles.rainflow(history)
    ranges, index = np.unique(rows[:, 0], return_inverse=True)
    return ranges, np.asarray(np.bincount(index.ravel(), rows[:, 2]), dtype=np.float64)


def cycle_table(given: Inputs) -> dict[str, Any]:
    """Table of ranges and counts of a history."""
    ranges, counts = _table(np.array(given["history"], dtype=float))
    return {"ranges": ranges, "counts": counts}


def smooth_signal(given: Inputs) -> dict[str, Any]:
    """Table of a sum of three tones."""
    t = np.linspace(0.0, given["t_end"], int(given["steps"]) + 1)
    rows = cycles.rainflow(0.2 + 0.5 * np.sin(t) + 0.2 * np.cos(10.0 * t) + 0.2 * np.sin(4.0 * t))
    rows = rows[np.argsort(rows[:, 0])]
    return {"ranges": rows[:, 0], "counts": rows[:, 2]}


def _summary(rows: Array) -> dict[str, Any]:
    ranges, means, counts = rows.T
    return {
        "n_full": int(np.sum(counts == 1.0)),
        "n_half": int(np.sum(counts == 0.5)),
        "count_sum": counts.sum(),
        "max_range": ranges.max(),
        "S3": fatigue.miner_damage(counts, ranges, 3.0, 1.0),
        "S9_norm": fatigue.miner_damage(counts, ranges / ranges.max(), 9.0, 1.0),
        "mean_of_means": np.average(means, weights=counts),
    }


def minimal_standard_integers(given: Inputs) -> dict[str, Any]:
    """Summary of the count of portable pseudo-random integers."""
    x, values = int(given["seed"]), []
    for _ in range(int(given["n"])):
        x = 16807 * x % 2147483647
        values.append(x % 2001 - 1000)
    return {**_summary(cycles.rainflow(np.array(values, dtype=float))), "first_five": values[:5]}


def random_walk(given: Inputs) -> dict[str, Any]:
    """Summary of the count of a random walk."""
    walk = np.random.default_rng(int(given["seed"])).standard_normal(int(given["n"])).cumsum().round(6)
    return {**_summary(cycles.rainflow(walk)), "first_three": walk[:3], "last": walk[-1]}


def empty_histories(given: Inputs) -> dict[str, Any]:
    """Sum of count times range of histories without a cycle."""
    tables = [cycles.rainflow(np.array(given[name], dtype=float)) for name in ("constant", "single", "empty")]
    return {"damage_range_sum": [float(np.sum(rows[:, 0] * rows[:, 2])) for rows in tables]}


def alternating(given: Inputs) -> dict[str, Any]:
    """Ties everywhere."""
    ranges, counts = _table(np.asarray(np.arange(int(given["n"])) % 2, dtype=np.float64))
    return {"range": ranges, "count": counts}


def largest_of_many(given: Inputs) -> dict[str, Any]:
    """Most probable largest of N Rayleigh amplitudes, in standard deviations."""
    return {"most_probable": cycles.most_probable_maximum(0.0, 1.0, np.array(given["N"], dtype=float))}


SUBJECTS = {
    part.__name__: part
    for part in (
        cycle_table, smooth_signal, minimal_standard_integers, random_walk, empty_histories, alternating,
        largest_of_many,
    )
}  # fmt: skip
