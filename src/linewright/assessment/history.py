"""A history as an engineer judges it: cycles by range, hours above levels, slack troughs, one equivalent amplitude."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from linewright.assessment.record import pieces_of, tally_of
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

    duration, and time left out of it as unrecorded [s]; lowest, mean, highest and deviation [N]; cycles; classes, rows
    of lower and upper range [N], cycles, mean [N] and period [s], shape (k, 5); hours, stays and longest stay above
    each level, shape (l, 3) [h, -, s]; slack_cycles, with their trough below `Options.slack`; equivalent amplitudes per
    slope for the same number of cycles [N]; sampling verdict (None for a history without cycles).
    """

    duration: float
    unrecorded: float
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
    tally = tally_of(source, options.levels)
    for times, values, begins in pieces_of(source):
        if begins:
            counter.split()
        counter.push(values, times)
        tally.take(times, values, begins)
    found = counter.counted()
    mean, deviation = tally.moments()
    slack = None if options.slack is None else _slack(found, options.slack)
    return Judged(
        tally.duration, tally.unrecorded, lowest, mean, highest, deviation, found.count, _classes(found), tally.above(),
        slack, _equivalent(found), _sampled(step, tally.duration, deviation, found),
    )  # fmt: skip


def _extent(source: Record | StoredLog) -> tuple[float, float, float]:
    """Lowest and highest tension [N] and usual step [s]."""
    if isinstance(source, StoredLog):
        return source.low, source.high, source.step
    return float(source.tension.min()), float(source.tension.max()), float(np.median(np.diff(source.time)))


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
