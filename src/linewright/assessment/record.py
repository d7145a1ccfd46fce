"""A recorded tension as cycles: rainflow once, then at most 64 bins that keep count, heat and peaks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

import numpy as np

from linewright.importers.clock import GAP_LEAST, GAP_STEPS, segments
from linewright.importers.model import Record
from linewright.importers.store import StoredLog
from linewright.physics import counting, cycles
from linewright.physics.types import Array, Index

BINS = 64
MATRIX = (512, 64, 1)  # ranges, means, periods of a log that does not fit in memory


@dataclass(frozen=True)
class Counted:
    """A record counted: mean, deviation and highest [N], mean period of its cycles and duration [s].

    unrecorded, time left out of the duration [s]; lowest [N]; 64 bins: centre and amplitude of the bins [N],
    weights adding to 1; base, what a tension is a share of ("N" for newton itself); doubts of its import, in words.
    """

    mean: float
    deviation: float
    highest: float
    period: float
    duration: float
    unrecorded: float
    lowest: float
    centre: Array
    amplitude: Array
    weight: Array
    is_saturated: bool
    base: str = "N"
    doubts: tuple[str, ...] = ()

    def raised(self, duration: float) -> float:
        """Highest tension [N] to expect in a duration [s] longer than the record.

        By what the most probable maximum of a narrow-band Gaussian tension (Longuet-Higgins 1952) grows
        from the cycles of the record to those of the duration.
        """
        seen = max(self.duration / self.period, 1.0)
        met = max(duration / self.period, seen)
        return self.highest + self.deviation * float(np.sqrt(2.0 * np.log(met)) - np.sqrt(2.0 * np.log(seen)))

    def newton(self, bases: Mapping[str, float]) -> Counted:
        """The same record in newton, where it is a share of a strength; `bases` are the strengths [N]."""
        if self.base == "N":
            return self
        factor = bases[self.base]
        return replace(
            self,
            mean=self.mean * factor,
            deviation=self.deviation * factor,
            highest=self.highest * factor,
            lowest=self.lowest * factor,
            centre=self.centre * factor,
            amplitude=self.amplitude * factor,
            base="N",
        )

    def swung(self, factor: float) -> Counted:
        """The same record with its swing about the mean scaled."""

        def moved(tension: Any) -> Any:
            return self.mean + (tension - self.mean) * factor

        return replace(
            self,
            deviation=self.deviation * factor,
            highest=moved(self.highest),
            lowest=moved(self.lowest),
            centre=moved(self.centre),
            amplitude=self.amplitude * factor,
        )


def count(record: Record) -> Counted:
    """Rainflow of a record (ASTM E1049-85, half cycles for the residue), in bins; never across a gap."""
    time, tension = record.time, record.tension
    parts = segments(time)
    steps = np.diff(time)
    steps[[b - 1 for _, b in parts[:-1]]] = 0.0
    duration = float(steps.sum())
    apart = (float(time[-1] - time[0]) - duration, float(tension.min()))

    def over_time(values: Array) -> float:
        return float(np.sum(0.5 * (values[1:] + values[:-1]) * steps) / duration)

    mean = over_time(tension)
    deviation = float(np.sqrt(over_time((tension - mean) ** 2)))
    rows = np.concatenate([cycles.rainflow(tension[a:b]) for a, b in parts])
    saturated, base = bool(record.report.get("is_saturated")), str(record.report.get("base", "N"))
    doubts = tuple(map(str, record.report.get("doubts", ())))
    if not len(rows):
        bins = (np.full(BINS, mean), np.zeros(BINS), np.full(BINS, 1.0 / BINS))
        deviation, period = 0.0, duration
    else:
        bins, period = bins_of(rows), duration / float(rows[:, 2].sum())
    return Counted(
        mean, deviation, float(tension.max()), period, duration, *apart, *bins, saturated, base, doubts
    )  # fmt: skip


def count_stored(log: StoredLog) -> Counted:
    """Rainflow of a kept log in constant memory: a matrix of ranges and means, then bins; never across a gap."""
    edges = counting.even_bins(log.low, max(log.high, log.low + 1.0), MATRIX, (log.step, 1e6 * log.step))
    counter, sums = counting.Counter(edges, log.step), _Sums()
    for times, values, begins in pieces_of(log):
        if begins:
            counter.split()
        counter.push(values, times)
        sums.take(times, values, log.step, begins)
    found = counter.counted()
    filled = found.cycles > 0.0
    rows = np.column_stack([2.0 * found.amplitude[filled], found.mean[filled], found.cycles[filled]])
    mean, deviation = sums.moments()
    apart = (sums.unrecorded, log.low)
    if not len(rows):
        flat = (np.full(BINS, mean), np.zeros(BINS), np.full(BINS, 1.0 / BINS))
        return Counted(
            mean, 0.0, log.high, sums.duration, sums.duration, *apart, *flat, log.is_saturated, log.base, log.doubts
        )
    period = sums.duration / found.count
    return Counted(
        mean, deviation, log.high, period, sums.duration, *apart, *bins_of(rows), log.is_saturated, log.base, log.doubts
    )  # fmt: skip


class _Sums:
    """Running integrals over time of a history that comes in pieces."""

    def __init__(self) -> None:
        self.duration = self.unrecorded = self.first = self.second = 0.0
        self.last: tuple[float, float] | None = None

    def take(self, times: Array | None, values: Array, step: float, begins: bool) -> None:
        """Add a piece; the interval from the piece before counts unless a gap lies between."""
        ends = np.array([values[0], values[-1]])
        if times is None:
            self.duration += (values.size - 1) * step
            self.first += step * (float(values.sum()) - 0.5 * float(ends.sum()))
            self.second += step * (float(np.square(values).sum()) - 0.5 * float(np.square(ends).sum()))
        else:
            steps = np.diff(times)
            self.duration += float(steps.sum())
            self.first += float(0.5 * (values[1:] + values[:-1]) @ steps)
            self.second += float(0.5 * (values[1:] ** 2 + values[:-1] ** 2) @ steps)
        if self.last is not None:
            between = step if times is None else float(times[0]) - self.last[0]
            if begins:
                self.unrecorded += between
            else:
                self.duration += between
                self.first += 0.5 * between * (self.last[1] + float(values[0]))
                self.second += 0.5 * between * (self.last[1] ** 2 + float(values[0]) ** 2)
        self.last = (0.0 if times is None else float(times[-1]), float(values[-1]))

    def moments(self) -> tuple[float, float]:
        """Mean and standard deviation [N]."""
        mean = self.first / self.duration
        return mean, float(np.sqrt(max(self.second / self.duration - mean**2, 0.0)))


def pieces_of(source: Record | StoredLog) -> Iterator[tuple[Array | None, Array, bool]]:
    """Times (None where even) and values without missing ones, in order, and whether a gap lies before."""
    if isinstance(source, StoredLog):
        yield from _stored_pieces(source)
    else:
        for n, (a, b) in enumerate(segments(source.time)):
            yield source.time[a:b], source.tension[a:b], n > 0


def _stored_pieces(log: StoredLog) -> Iterator[tuple[Array | None, Array, bool]]:
    """The blocks of a kept log, parted at its gaps."""
    starts = np.array([a for a, _ in log.parts[1:]], dtype=np.intp)
    row, before = 0, -1
    for times, values in log.blocks():
        has_gap = bool(((row <= starts) & (starts < row + values.size)).any()) or before != row - 1
        if not has_gap and np.isfinite(values.sum()):
            yield times, values, False
            before = row + values.size - 1
        else:
            told = np.flatnonzero(np.isfinite(values))
            yield from _told_pieces(times, values, told, _new_parts(log, told + row, starts, before))
            before = row + int(told[-1]) if told.size else before
        row += values.size


def _new_parts(log: StoredLog, rows: Index, starts: Index, before: int) -> Index:
    """Which of some rows begin a new part: at a gap in time, or behind a long stretch of missing values."""
    most = max(GAP_STEPS, GAP_LEAST / log.step)  # rows, as `segments` says it in time
    steps = np.diff(rows, prepend=before if before >= 0 or not rows.size else rows[0])
    return np.flatnonzero((steps > most) | np.isin(rows, starts))


def _told_pieces(
    times: Array | None, values: Array, told: Index, cuts: Index
) -> Iterator[tuple[Array | None, Array, bool]]:
    """The stretches of a block between its cuts."""
    for a, b in pairwise([0, *cuts.tolist(), told.size]):
        if b > a:
            rows = told[a:b]
            yield None if times is None else times[rows], values[rows], bool(a in cuts)


def bins_of(rows: Array) -> tuple[Array, Array, Array]:
    """Cycles sorted by range in 64 groups, the large ones alone; a group keeps its count and mean square."""
    ordered = rows[np.argsort(rows[:, 0], kind="stable")]
    edges = np.unique(np.round(len(ordered) * (1.0 - (1.0 - np.linspace(0.0, 1.0, BINS + 1)) ** 2.0)).astype(int))
    groups = [ordered[a:b] for a, b in pairwise(edges) if b > a]
    counts = np.array([group[:, 2].sum() for group in groups])
    centre = np.array([np.average(group[:, 1], weights=group[:, 2]) for group in groups])
    square = np.array([np.average((0.5 * group[:, 0]) ** 2, weights=group[:, 2]) for group in groups])
    pad = BINS - len(groups)
    return (
        np.pad(centre, (0, pad), mode="edge"),
        np.pad(np.sqrt(square), (0, pad)),
        np.pad(counts / counts.sum(), (0, pad)),
    )
