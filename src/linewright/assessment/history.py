"""A history as an engineer judges it: cycles by range, hours above levels, slack troughs, one equivalent amplitude."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from linewright.assessment.record import pieces_of
from linewright.importers.model import Record
from linewright.importers.store import StoredLog
from linewright.physics import counting, levels, sampling
from linewright.physics.counting import Residue
from linewright.physics.sampling import Sampling
from linewright.physics.types import Array

CELLS = (400, 80, 60)  # ranges, means, periods counted into
ROWS = 20  # classes of range shown
LONGEST = 3600.0  # [s] of the classes of period; longer ones share the last


@dataclass(frozen=True)
class Options:
    """How to count and what to ask: rule for the residue, filter [N], slopes, levels [N], strength for troughs [N]."""

    residue: Residue = "half"
    hysteresis: float = 0.0
    exponents: tuple[float, ...] = (5.0, 9.0)
    levels: tuple[float, ...] = ()
    slack: float | None = None


@dataclass(frozen=True)
class Judged:
    """What a history holds.

    duration [s]; lowest, mean, highest and deviation [N]; cycles; classes, rows of lower and upper range [N], cycles,
    mean [N] and period [s], shape (k, 5); hours, stays and longest stay above each level, shape (l, 3) [h, -, s];
    slack_cycles, with their trough below `Options.slack`; equivalent amplitudes per slope for the same number of
    cycles [N]; sampling verdict (None for a history without cycles).
    """

    duration: float
    lowest: float
    mean: float
    highest: float
    deviation: float
    cycles: float
    classes: Array
    above: Array
    slack_cycles: float | None
    equivalent: Array
    sampling: Sampling | None


def judge(source: Record | StoredLog, options: Options) -> Judged:
    """Count a history, in memory or kept in a file, and judge it."""
    lowest, highest, step = _extent(source)
    edges = counting.even_bins(lowest, max(highest, lowest + 1.0), CELLS, (step, max(LONGEST, 10.0 * step)))
    counter = counting.Counter(
        edges, step, powers=options.exponents, residue=options.residue, hysteresis=options.hysteresis
    )
    tally = _Tally(options.levels)
    for times, values, begins in pieces_of(source):
        if begins:
            counter.split()
        counter.push(values, times)
        tally.take(_clock(times, values.size, step), values, begins, step)
    found = counter.counted()
    mean, deviation = tally.moments()
    slack = None if options.slack is None else _slack(found, options.slack)
    return Judged(
        tally.duration, lowest, mean, highest, deviation, found.count, _classes(found), tally.above(), slack,
        _equivalent(found), _sampled(step, tally.duration, deviation, found),
    )  # fmt: skip


def _extent(source: Record | StoredLog) -> tuple[float, float, float]:
    """Lowest and highest tension [N] and usual step [s]."""
    if isinstance(source, StoredLog):
        return source.low, source.high, source.step
    return float(source.tension.min()), float(source.tension.max()), float(np.median(np.diff(source.time)))


def _clock(times: Array | None, size: int, step: float) -> Array:
    """Times of a piece [s]; even pieces have none of their own."""
    return np.arange(size, dtype=np.float64) * step if times is None else times


class _Tally:
    """Time, moments and levels of pieces; the interval between pieces of one part counts with the later one."""

    def __init__(self, asked: Sequence[float]) -> None:
        self.levels = np.array(asked, dtype=np.float64)
        self.seconds = np.zeros(self.levels.size)
        self.stays = np.zeros(self.levels.size)
        self.longest = np.zeros(self.levels.size)
        self.duration = self.first = self.second = 0.0
        self.last: tuple[float, float] | None = None

    def take(self, times: Array, values: Array, begins: bool, step: float) -> None:
        """Add a piece."""
        if self.last is not None and not begins:
            before = self.last[0] if times[0] > self.last[0] else times[0] - step
            times, values = np.r_[before, times], np.r_[self.last[1], values]
        steps = np.diff(times)
        self.duration += float(steps.sum())
        self.first += float(0.5 * (values[1:] + values[:-1]) @ steps)
        self.second += float(0.5 * (values[1:] ** 2 + values[:-1] ** 2) @ steps)
        if self.levels.size:
            self.seconds += levels.time_above(values, times, self.levels)
            self._stays(times, values)
        self.last = (float(times[-1]), float(values[-1]))

    def _stays(self, times: Array, values: Array) -> None:
        for n, level in enumerate(self.levels):
            lengths = levels.dwells(values, times, float(level))
            self.stays[n] += lengths.size
            self.longest[n] = max(self.longest[n], float(lengths.max(initial=0.0)))

    def moments(self) -> tuple[float, float]:
        """Mean and standard deviation [N]."""
        if self.duration <= 0.0:
            return (self.last[1] if self.last else 0.0), 0.0
        mean = self.first / self.duration
        return mean, float(np.sqrt(max(self.second / self.duration - mean**2, 0.0)))

    def above(self) -> Array:
        """Hours, stays and longest stay [s] above each level."""
        return np.column_stack([self.seconds / 3600.0, self.stays, self.longest])


def _classes(found: counting.Counted) -> Array:
    """Even classes of range with their cycles, mean and period."""
    cells = counting.cell_table(found)
    means, ranges, periods, numbers = cells[:, 0], 2.0 * cells[:, 1], cells[:, 2], cells[:, 3]
    if not numbers.size:
        return np.zeros((0, 5))
    edges = np.linspace(0.0, found.largest_range * (1.0 + 1e-9), ROWS + 1)
    rows = []
    for low, high in pairwise(edges.tolist()):
        own = (ranges >= low) & (ranges < high)
        if numbers[own].sum() > 0.0:
            averages = [float(np.average(item[own], weights=numbers[own])) for item in (means, periods)]
            rows.append([low, high, float(numbers[own].sum()), *averages])
    return np.array(rows)


def _slack(found: counting.Counted, level: float) -> float:
    """Cycles whose trough lies below a level."""
    cells = counting.cell_table(found)
    return levels.cycles_with_trough_below(cells[:, 0], 2.0 * cells[:, 1], cells[:, 3], level)


def _equivalent(found: counting.Counted) -> Array:
    """Constant amplitudes that do the damage of the history in its own number of cycles [N]."""
    if found.count <= 0.0:
        return np.zeros(len(found.powers))
    pairs = zip(found.power_sums, found.powers, strict=True)
    return np.array([0.5 * (total / found.count) ** (1.0 / exponent) for total, exponent in pairs])


def _sampled(step: float, duration: float, deviation: float, found: counting.Counted) -> Sampling | None:
    """Whether the clock is quick enough for the cycles that matter: those whose range exceeds the deviation."""
    cells = counting.cell_table(found)
    number = float(cells[2.0 * cells[:, 1] > deviation, 3].sum()) if cells.size else 0.0
    return sampling.judge_sampling(step, duration / number) if number > 0.0 and duration > 0.0 else None
