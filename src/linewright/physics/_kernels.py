"""Loops that only a compiler makes quick; each with the same plain Python as its oracle.

`python -m linewright.physics._kernels` compiles them into the user's cache, so that the first run
does not wait.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from linewright.physics.types import Array


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

            held.append(numba.njit(cache=True)(function))
        return held[0](*arguments)

    return call


three_point = _compiled(plain_three_point)
play_work = _compiled(plain_play_work)


def compile_all() -> None:
    """Compile every kernel once, into numba's cache."""
    three_point(np.array([0.0, 1.0, 0.0]))
    play_work(np.array([1.0, 2.0, 1.0]), 1.1, 1e-6)


if __name__ == "__main__":
    compile_all()
