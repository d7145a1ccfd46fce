"""Time, moments and levels of a history that comes in pieces; time over which nothing was read is left out."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from linewright.physics import levels
from linewright.physics.types import Array


class Tally:
    """Running sums of a history, linear between its readings.

    `step` [s] is the usual time between readings of pieces without times; a step longer than `longest` [s] counts as
    unrecorded. `asked` are levels [N].
    """

    def __init__(self, step: float, longest: float = np.inf, asked: Sequence[float] = ()) -> None:
        self.step, self.longest = step, longest
        self.levels = np.array(asked, dtype=np.float64)
        self.seconds = np.zeros(self.levels.size)
        self.stays = np.zeros(self.levels.size)
        self.longest_stay = np.zeros(self.levels.size)
        self.duration = self.unrecorded = 0.0
        self._first = self._second = 0.0
        self._now = 0.0
        self._last: tuple[float, float] | None = None

    def take(self, times: Array | None, values: Array, begins: bool) -> None:
        """Add a piece; the interval from the piece before belongs to it unless a gap lies between (`begins`)."""
        if times is None and not self.levels.size:
            self._take_even(values, begins)
        else:
            self._take_timed(self._clock(values.size) if times is None else times, values, begins)

    def _clock(self, size: int) -> Array:
        """Times of an even piece [s]: they go on where the piece before ended."""
        start = self._now if self._last is None else self._now + self.step
        return start + np.arange(size, dtype=np.float64) * self.step

    def _take_even(self, values: Array, begins: bool) -> None:
        steps = values.size - 1
        total, square = float(values.sum()), float(np.square(values).sum())
        ends = float(values[0]), float(values[-1])
        self._add(self.step * steps, self.step * (total - 0.5 * (ends[0] + ends[1])),
                  self.step * (square - 0.5 * (ends[0] ** 2 + ends[1] ** 2)))  # fmt: skip
        if self._last is not None and not begins:
            pair = np.array([self._last[1], ends[0]])
            self._add(self.step, self.step * float(pair.mean()), self.step * float(np.square(pair).mean()))
        elif self._last is not None:
            self.unrecorded += self.step
        self._now += self.step * (steps + (self._last is not None))
        self._last = (self._now, ends[1])

    def _take_timed(self, times: Array, values: Array, begins: bool) -> None:
        if self._last is not None:
            if begins:
                self.unrecorded += float(times[0]) - self._last[0]
            else:
                times, values = np.r_[self._last[0], times], np.r_[self._last[1], values]
        steps = np.diff(times)
        cuts = np.flatnonzero(steps > self.longest) + 1
        self.unrecorded += float(steps[cuts - 1].sum())
        for a, b in pairwise([0, *cuts.tolist(), values.size]):
            self._add_stretch(times[a:b], values[a:b], steps[a : b - 1])
        self._now = float(times[-1])
        self._last = (self._now, float(values[-1]))

    def _add_stretch(self, times: Array, values: Array, steps: Array) -> None:
        one, two = values[:-1], values[1:]
        self._add(float(steps.sum()), float(0.5 * (one + two) @ steps), float(0.5 * (one**2 + two**2) @ steps))
        if not self.levels.size:
            return
        self.seconds += levels.time_above(values, times, self.levels)
        for n, level in enumerate(self.levels):
            lengths = levels.dwells(values, times, float(level))
            self.stays[n] += lengths.size
            self.longest_stay[n] = max(self.longest_stay[n], float(lengths.max(initial=0.0)))

    def _add(self, duration: float, first: float, second: float) -> None:
        self.duration += duration
        self._first += first
        self._second += second

    def moments(self) -> tuple[float, float]:
        """Mean and standard deviation [N]; those of the last reading where no time was seen."""
        if self.duration <= 0.0:
            return (self._last[1] if self._last else 0.0), 0.0
        mean = self._first / self.duration
        return mean, float(np.sqrt(max(self._second / self.duration - mean**2, 0.0)))

    def above(self) -> Array:
        """Hours, stays and longest stay [s] above each level, shape (l, 3)."""
        return np.column_stack([self.seconds / 3600.0, self.stays, self.longest_stay])
