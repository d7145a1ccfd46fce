"""Loops that only a compiler makes quick; each with the same plain Python as its oracle.

`python -m linewright.physics._kernels` compiles them into the user's cache, so that the first run
does not wait.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from linewright.physics.types import Array, Index


def plain_three_point(points: Array) -> Array:
    """Cycles of turning points: rows of range, mean, count (ASTM E1049-85, 5.4.4)."""
    stack = np.empty(points.size)
    rows = np.empty((points.size, 3))
    height, found = 0, 0
    for point in points:
        stack[height] = point
        height += 1
        while height >= 3:
            last = abs(stack[height - 1] - stack[height - 2])
            before = abs(stack[height - 2] - stack[height - 3])
            if last < before:
                break
            whole = height > 3
            start = height - 3
            rows[found, 0] = before
            rows[found, 1] = 0.5 * (stack[start] + stack[start + 1])
            rows[found, 2] = 1.0 if whole else 0.5
            found += 1
            if whole:
                stack[start] = stack[height - 1]
                height -= 2
            else:
                stack[0], stack[1] = stack[1], stack[2]
                height = 2
    for index in range(height - 1):
        rows[found, 0] = abs(stack[index + 1] - stack[index])
        rows[found, 1] = 0.5 * (stack[index] + stack[index + 1])
        rows[found, 2] = 0.5
        found += 1
    return rows[:found].copy()


def plain_first_turn(values: Array, times: Array, track: Array, turns: Array) -> int:
    """How many values show the first direction; 0 if all of them do not. The first reversal goes to `turns`.

    track: direction, extreme, its time, gate, lowest, its time, highest, its time.
    """
    for index in range(values.size):
        if values[index] < track[4]:
            track[4], track[5] = values[index], times[index]
        if values[index] > track[6]:
            track[6], track[7] = values[index], times[index]
        if track[6] - track[4] > track[3]:
            rising = track[7] > track[5]
            first, now = (4, 6) if rising else (6, 4)
            track[0] = 1.0 if rising else -1.0
            turns[0, 0], turns[1, 0] = track[first], track[first + 1]
            track[1], track[2] = track[now], track[now + 1]
            return index + 1
    return 0


def plain_turns(values: Array, times: Array, track: Array, turns: Array, found: int) -> int:
    """Number of reversals found, this many before; their values and times go to the rows of `turns`.

    An extreme is a reversal once the history has come back from it by more than the gate, track[3].
    """
    direction, extreme, when, gate = track[0], track[1], track[2], track[3]
    for index in range(values.size):
        ahead = direction * (values[index] - extreme)
        if ahead > 0.0:
            extreme, when = values[index], times[index]
        elif -ahead > gate:
            turns[0, found], turns[1, found] = extreme, when
            found += 1
            direction, extreme, when = -direction, values[index], times[index]
    track[0], track[1], track[2] = direction, extreme, when
    return found


def plain_every_turn(values: Array, times: Array, track: Array, turns: Array, found: int) -> int:
    """The same as `plain_turns` without a gate, in steps that do not wait for each other."""
    up, last, when = track[0] > 0.0, track[1], track[2]
    for index in range(values.size):
        value = values[index]
        rising, falling = value > last, value < last
        turned = falling if up else rising
        turns[0, found], turns[1, found] = last, when
        found += 1 if turned else 0
        up = up != turned
        when = times[index] if rising or falling else when
        last = value
    track[0], track[1], track[2] = 1.0 if up else -1.0, last, when
    return found


def plain_four_point(turns: Array, number: int, stack: Array, height: int, closed: Array) -> tuple[int, int]:
    """Height of the stack after some reversals, and number of cycles closed: rows of range, mean, period.

    Of four reversals the inner two are a cycle if their range is not larger than either neighbour.
    """
    found = 0
    values, times = stack[0], stack[1]
    for index in range(number):
        value = turns[0, index]
        while height >= 3:
            last, before = values[height - 1], values[height - 2]
            inner = abs(last - before)
            if inner > abs(value - last) or inner > abs(before - values[height - 3]):
                break
            closed[found, 0] = inner
            closed[found, 1] = 0.5 * (before + last)
            closed[found, 2] = 2.0 * (times[height - 1] - times[height - 2])
            found += 1
            height -= 2
        values[height], times[height] = value, turns[1, index]
        height += 1
    return height, found


def plain_bins(values: Array, edges: Array, guide: Index, step: int, places: Index) -> None:
    """Add to each place `step` times the number of edges at or below its value: bins are half-open, [low, high).

    guide[k] is a lower bound of that number in the k-th of equal parts of the span of the edges.
    """
    scale = guide.size / (edges[-1] - edges[0])
    last = guide.size - 1
    for index in range(values.size):
        value = values[index]
        part = min(max((value - edges[0]) * scale, 0.0), last)
        left = guide[int(part)]
        while left < edges.size and edges[left] <= value:
            left += 1
        places[index] += step * left


def plain_tally(rows: Array, places: Index, weight: float, cells: Array, sums: Array) -> None:
    """Add cycles (range, mean, period) to their cells and to the sums of powers of the range.

    cells[place]: count, and count times mean, range squared, period. sums: rows of whole exponent,
    rest of it, sum of count * range^exponent.
    """
    for index in range(places.size):
        size, cell = rows[index, 0], places[index]
        cells[cell, 0] += weight
        cells[cell, 1] += weight * rows[index, 1]
        cells[cell, 2] += weight * size * size
        cells[cell, 3] += weight * rows[index, 2]
        for k in range(sums.shape[0]):
            power = weight
            for _ in range(int(sums[k, 0])):
                power *= size
            if sums[k, 1] != 0.0:
                power *= size ** sums[k, 1]
            sums[k, 2] += power


def plain_play_work(history: Array, ratio: float, compliance: float) -> float:
    """Work of a tension history over a capstan contact with an elastic inboard length."""
    inside = history[0]
    work = 0.0
    for outside in history:
        target = min(max(inside, outside / ratio), outside * ratio)
        if target > inside:
            work += compliance * (ratio - 1.0) * 0.5 * (target**2 - inside**2)
        elif target < inside:
            work += compliance * (1.0 - 1.0 / ratio) * 0.5 * (inside**2 - target**2)
        inside = target
    return work


def _compiled(function: Callable[..., Any]) -> Callable[..., Any]:
    """The function, compiled when it is first called."""
    held: list[Callable[..., Any]] = []

    def call(*arguments: Any) -> Any:
        if not held:
            import numba

            held.append(numba.njit(cache=True, nogil=True)(function))
        return held[0](*arguments)

    return call


three_point = _compiled(plain_three_point)
play_work = _compiled(plain_play_work)
first_turn = _compiled(plain_first_turn)
turns = _compiled(plain_turns)
every_turn = _compiled(plain_every_turn)
four_point = _compiled(plain_four_point)
bins = _compiled(plain_bins)
tally = _compiled(plain_tally)


def compile_all() -> None:
    """Compile every kernel once, into numba's cache."""
    three_point(np.array([0.0, 1.0, 0.0]))
    play_work(np.array([1.0, 2.0, 1.0]), 1.1, 1e-6)
    values, track, pairs = np.array([0.0, 2.0, 1.0, 3.0, 0.0]), np.zeros(8), np.zeros((2, 6))
    first_turn(values, values, track, pairs)
    turns(values, values, track, pairs, 0)
    number = every_turn(values, values, track, pairs, 0)
    closed, places = np.zeros((5, 3)), np.zeros(5, dtype=np.intp)
    four_point(pairs, number, np.zeros((2, 6)), 0, closed)
    bins(closed[:, 0], values[:2], places, 1, places.copy())
    tally(closed, places, 1.0, np.zeros((1, 4)), np.zeros((1, 3)))


if __name__ == "__main__":
    compile_all()
