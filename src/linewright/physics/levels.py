"""How long and how often a history is above a level, how low its cycles go, and one amplitude that stands for all.

A history is linear between its values. A long one may be taken in chunks: let each begin with the last value of the
one before, and add.
"""

from __future__ import annotations

import numpy as np

from linewright.physics.types import Array


def time_above(history: Array, times: Array, levels: Array) -> Array:
    """Time spent above each level.

    Parameters
    ----------
    history : values in time order, shape (n,) [N]
    times : rising, shape (n,) [s]
    levels : shape (k,) [N]

    Returns
    -------
    time above, shape (k,) [s]

    From
    ----
    Linear between values: of a step from a to b the share (max - L)/(max - min), between 0 and 1; a level held is not
    above itself.
    """
    values, clock = _history(history, times)
    low, high = np.minimum(values[1:], values[:-1]), np.maximum(values[1:], values[:-1])
    length, span = np.diff(clock), high - low
    slope = np.where(span > 0.0, 1.0 / np.where(span > 0.0, span, 1.0), np.inf)
    found = []
    for level in np.atleast_1d(np.asarray(levels, dtype=np.float64)):
        beyond = high - level
        share = np.where(beyond > 0.0, np.minimum(np.where(beyond > 0.0, beyond, 1.0) * slope, 1.0), 0.0)
        found.append(float(np.sum(length * share)))
    return np.array(found)


def up_crossings(history: Array, levels: Array) -> Array:
    """How often a history rises through each level.

    Parameters
    ----------
    history : values in time order, shape (n,) [N]
    levels : shape (k,) [N]

    Returns
    -------
    crossings, shape (k,) [-]

    From
    ----
    Definition: a value below the level, the next at or above it.
    """
    values = np.asarray(history, dtype=np.float64)
    _refuse_gaps(values)
    every = np.atleast_1d(np.asarray(levels, dtype=np.float64))
    return np.array([float(np.sum((values[:-1] < level) & (values[1:] >= level))) for level in every])


def dwells(history: Array, times: Array, level: float) -> Array:
    """Length of every stay above a level, from crossing to crossing.

    Parameters
    ----------
    history : values in time order, shape (n,) [N]
    times : rising, shape (n,) [s]
    level : level [N]

    Returns
    -------
    lengths in time order, together the time above; a stay cut by the record counts as long as seen, shape (m,) [s]

    From
    ----
    Linear between values.
    """
    values, clock = _history(history, times)
    above = values > level
    turn = np.flatnonzero(above[1:] != above[:-1])
    share = (level - values[turn]) / (values[turn + 1] - values[turn])
    crossing = clock[turn] + share * (clock[turn + 1] - clock[turn])
    begins, ends = crossing[above[turn + 1]], crossing[above[turn]]
    if values.size and above[0]:
        begins = np.r_[clock[0], begins]
    if values.size and above[-1]:
        ends = np.r_[ends, clock[-1]]
    return np.asarray(ends - begins)


def cycles_with_trough_below(means: Array, ranges: Array, counts: Array, level: float) -> float:
    """Number of cycles whose lowest tension is below a level.

    Parameters
    ----------
    means : mean of each cycle, shape (...) [N]
    ranges : range of each cycle, shape (...) [N]
    counts : 0.5, 1 or more, shape (...) [-]
    level : level [N]

    Returns
    -------
    cycles [-]

    From
    ----
    Definition: trough = mean - range/2. Low troughs drive axial compression. Of the cells of a matrix it is the trough
    of the cell's mean and range that counts.
    """
    troughs = np.asarray(means) - 0.5 * np.asarray(ranges)
    return float(np.sum(np.where(troughs < level, counts, 0.0)))


def cycles_through(means: Array, ranges: Array, counts: Array, level: float) -> float:
    """Number of up-crossings of a level, from the cycles of a rainflow count.

    Parameters
    ----------
    means : mean of each cycle, shape (...) [N]
    ranges : range of each cycle, shape (...) [N]
    counts : 0.5, 1 or more, shape (...) [-]
    level : level [N]

    Returns
    -------
    up-crossings, to half a one [-]

    From
    ----
    Rainflow pairs every rise with a fall: a cycle rises once through each level between its trough and its crest, and
    half a cycle is half of that.
    """
    crest, trough = np.asarray(means) + 0.5 * np.asarray(ranges), np.asarray(means) - 0.5 * np.asarray(ranges)
    return float(np.sum(np.where((trough < level) & (crest >= level), counts, 0.0)))


def equivalent_amplitude(counts: Array, amplitudes: Array, exponent: float, number: float) -> float:
    """Constant amplitude that does the same damage in a number of cycles, (sum n a^m / N)^(1/m).

    Parameters
    ----------
    counts : cycles, shape (n,) [-]
    amplitudes : half the ranges, shape (n,) [N]
    exponent : m, above zero [-]
    number : N, cycles of the constant amplitude, above zero [-]

    Returns
    -------
    amplitude [N]

    From
    ----
    Miner's sum on N a^m = C, equal on both sides.
    """
    if not (exponent > 0.0 and number > 0.0):
        raise ValueError(f"exponent {exponent:g} and number of cycles {number:g} must be above zero")
    size = np.asarray(amplitudes, dtype=np.float64)
    largest = float(size.max(initial=0.0))
    if largest == 0.0:
        return 0.0
    return float(largest * (np.sum(np.asarray(counts) * (size / largest) ** exponent) / number) ** (1.0 / exponent))


def _history(history: Array, times: Array) -> tuple[Array, Array]:
    """Both as floats, refused unless they belong together."""
    values, clock = np.asarray(history, dtype=np.float64), np.asarray(times, dtype=np.float64)
    if values.shape != clock.shape or values.ndim != 1:
        raise ValueError(f"{values.size} values, but {clock.size} times")
    _refuse_gaps(values)
    if not (np.diff(clock) > 0.0).all():
        raise ValueError("times must rise")
    return values, clock


def _refuse_gaps(values: Array) -> None:
    if not np.isfinite(values).all():
        raise ValueError("a value is not a finite number: split the history at its gaps")
