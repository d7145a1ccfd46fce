"""Cycle counting and extremes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from linewright.physics import counting, cycles, fatigue
from linewright.physics.types import Array

Inputs = Mapping[str, Any]


def _table(rows: Array) -> tuple[Array, Array]:
    """Ranges in rising order and the counts of each; the count is the last column."""
    ranges, index = np.unique(rows[:, 0], return_inverse=True)
    return ranges, np.asarray(np.bincount(index.ravel(), rows[:, -1]), dtype=np.float64)


def cycle_table(given: Inputs) -> dict[str, Any]:
    """Table of ranges and counts of a history."""
    ranges, counts = _table(cycles.rainflow(np.array(given["history"], dtype=float)))
    return {"ranges": ranges, "counts": counts}


def four_points(given: Inputs) -> dict[str, Any]:
    """Ranges closed by the four-point rule, and the residue."""
    rows, residue = counting.cycles_and_residue(np.array(given["history"]), residue="drop")
    return {"closed_range": rows[:, 0], "residue": residue}


def repeating_table(given: Inputs) -> dict[str, Any]:
    """Table of ranges and counts of a history that repeats, from the streaming counter and from the rows."""
    edges = np.arange(0.5, 20.0)
    counter = counting.Counter(counting.Bins(edges, edges, edges), residue="repeat")
    for value in given["history"]:
        counter.push(np.array([value]))
    number = counter.counted().cycles.sum(axis=(1, 2))
    ranges, _ = _table(counting.cycles_and_residue(np.array(given["history"]), residue="repeat")[0])
    return {"ranges": ranges, "counts": number[number > 0.0]}


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


def _integers(given: Inputs) -> list[int]:
    x, values = int(given["seed"]), []
    for _ in range(int(given["n"])):
        x = 16807 * x % 2147483647
        values.append(x % 2001 - 1000)
    return values


def minimal_standard_integers(given: Inputs) -> dict[str, Any]:
    """Summary of the count of portable pseudo-random integers."""
    values = _integers(given)
    return {**_summary(cycles.rainflow(np.array(values, dtype=float))), "first_five": values[:5]}


def repeating_integers(given: Inputs) -> dict[str, Any]:
    """Count and sum of cubes of the same integers as a repeating history, streamed in pieces of 7."""
    values, edges = np.array(_integers(given)), np.array([0.0, 1.0])
    counter = counting.Counter(counting.Bins(edges, edges, edges), residue="repeat", powers=(3.0,))
    for begin in range(0, values.size, 7):
        counter.push(values[begin : begin + 7])
    found = counter.counted()
    return {"count_sum": found.count, "S3": found.power_sums[0]}


def classes_over_exact(given: Inputs) -> dict[str, Any]:
    """A published sum over classes, over our exact sum."""
    return {"S3_binned_over_exact": given["S3_binned"] / repeating_integers(given)["S3"]}


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
    ranges, counts = _table(cycles.rainflow(np.asarray(np.arange(int(given["n"])) % 2, dtype=np.float64)))
    return {"range": ranges, "count": counts}


def largest_of_many(given: Inputs) -> dict[str, Any]:
    """Largest of N Rayleigh amplitudes, in standard deviations; a height is two of them, Hs four deviations."""
    number = np.array(given["N"], dtype=float)
    most_probable = np.asarray(cycles.most_probable_maximum(0.0, 1.0, number))
    return {
        "mean_exact": [cycles.mean_maximum(0.0, 1.0, n) for n in number],
        "mean_asymptotic": cycles.asymptotic_mean_maximum(0.0, 1.0, number),
        "most_probable": most_probable,
        "H_mp_over_Hs": 2.0 * most_probable / 4.0,
    }


SUBJECTS = {
    part.__name__: part
    for part in (
        cycle_table, four_points, repeating_table, smooth_signal, minimal_standard_integers, repeating_integers,
        classes_over_exact, random_walk, empty_histories, alternating, largest_of_many,
    )
}  # fmt: skip
