"""What a rainflow counter keeps from chunk to chunk: the last extreme, the open reversals, the cells."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from linewright.physics import _kernels
from linewright.physics.types import Array, Index

BLOCK = 16384  # values taken at once
PARTS = 4096  # of the span of the edges, to find a bin without a search


class Track:
    """The search for reversals: values in, reversals out, the last extreme kept until it is passed."""

    def __init__(self, hysteresis: float) -> None:
        self._gate = hysteresis
        self.clear()

    def clear(self) -> None:
        """Begin a new history."""
        self._state = np.array([0.0, 0.0, 0.0, self._gate, np.inf, 0.0, -np.inf, 0.0])

    def take(self, values: Array, times: Array, turns: Array) -> int:
        """Number of reversals passed, written to the rows of `turns` (values, times)."""
        begin = 0
        if not self._state[0]:
            begin = int(_kernels.first_turn(values, times, self._state, turns))
            if not begin:
                return 0
        find = _kernels.turns if self._gate > 0.0 else _kernels.every_turn
        return int(find(values[begin:], times[begin:], self._state, turns, 1 if begin else 0))

    def last(self) -> Array:
        """The extreme not yet passed, shape (2, 1); (2, 0) while nothing has moved."""
        return self._state[1:3].reshape(2, 1).copy() if self._state[0] else np.zeros((2, 0))


class Stack:
    """Reversals still open, and the four-point rule that closes cycles."""

    def __init__(self) -> None:
        self._held = np.empty((2, 2 * BLOCK))
        self._closed = np.empty((2 * BLOCK, 3))
        self.clear()

    def clear(self) -> None:
        """Begin a new history."""
        self._height = 0

    def take(self, turns: Array, number: int) -> Array:
        """Cycles closed: range, mean, period, shape (n, 3); valid until the next call."""
        if self._height + number > self._held.shape[1]:
            self._held = np.concatenate([self._held, np.empty((2, self._height + number))], axis=1)
        if self._height + number > 2 * self._closed.shape[0]:
            self._closed = np.empty((self._height + number, 3))
        self._height, found = _kernels.four_point(turns, number, self._held, self._height, self._closed)
        return self._closed[:found]

    def open(self) -> Array:
        """Values and times of the reversals still open, shape (2, n)."""
        return self._held[:, : self._height].copy()


def guide(edges: Array) -> Index:
    """A lower bound of the number of edges at or below the values in each part of their span."""
    starts = edges[0] + (np.arange(PARTS) - 1e-6) * (edges[-1] - edges[0]) / PARTS  # below any rounding of a part
    return np.searchsorted(edges, starts, side="right").astype(np.intp)


class Cells:
    """The matrix and the sums of powers."""

    def __init__(self, edges: tuple[Array, Array, Array], powers: Sequence[float]) -> None:
        self._axes = [(axis, guide(axis)) for axis in edges]
        numbers = [axis.size + 1 for axis in edges]
        self._steps = [numbers[1] * numbers[2], numbers[2], 1]
        self.sums = np.array([[int(m), m - int(m), 0.0] for m in powers], dtype=np.float64).reshape(-1, 3)
        self.cells = np.zeros((numbers[0] * self._steps[0], 4))
        self.largest = 0.0

    def add(self, rows: Array, weight: float) -> None:
        """Add cycles: range, mean, period, shape (n, 3)."""
        if not rows.size:
            return
        places = np.zeros(rows.shape[0], dtype=np.intp)
        for axis, ((edges, parts), step) in enumerate(zip(self._axes, self._steps, strict=True)):
            _kernels.bins(rows[:, axis], edges, parts, step, places)
        _kernels.tally(rows, places, weight, self.cells, self.sums)
        self.largest = max(self.largest, float(rows[:, 0].max()))
