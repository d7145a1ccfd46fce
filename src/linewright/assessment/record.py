"""A recorded tension as cycles: rainflow once, then at most 64 bins that keep count, heat and peaks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

import numpy as np

from linewright.assessment.slack import Troughs, troughs_of
from linewright.assessment.tally import Tally
from linewright.importers.clock import GAP_LEAST, GAP_STEPS, longest_recorded, segments
from linewright.importers.model import Record
from linewright.importers.store import StoredLog
from linewright.physics import counting, cycles, levels
from linewright.physics.types import Array, Index

BINS = 64
MATRIX = (512, 64, 1)  # ranges, means, periods of a log that does not fit in memory


@dataclass(frozen=True)
class Counted:
    """A record counted: mean, deviation and highest [N], mean period of its cycles and duration [s].

    crossings, how often it rises through its mean; unrecorded, time left out of the duration [s]; lowest [N]; 64 bins:
    centre and amplitude of the bins [N], weights adding to 1; slack, the same cycles by their troughs; base, what a
    tension is a share of ("N" for newton itself); doubts of its import, in words.
    """

    mean: float
    deviation: float
    highest: float
    period: float
    crossings: float
    duration: float
    unrecorded: float
    lowest: float
    centre: Array
    amplitude: Array
    weight: Array
    slack: Troughs
    is_saturated: bool
    base: str = "N"
    doubts: tuple[str, ...] = ()

    def raised(self, duration: float) -> float:
        """Highest tension [N] to expect in a duration [s] longer than the record.

        A Gaussian tension of any bandwidth rises n exp(-x^2/2) times through x standard deviations (Rice 1944), n
        times through its mean, hence once through sqrt(2 ln n): what this grows from the record to the duration. A wide
        band has more cycles than that.
        """
        seen = max(self.crossings, 1.0)
        met = max(self.crossings * duration / self.duration, seen)
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
            slack=self.slack.moved(0.0, factor, 0.0),
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
            slack=self.slack.moved(self.mean, factor, self.mean),
        )

    def hauled(self, factor: float) -> Counted:
        """The same record about a mean times a factor, its swing as it is."""
        more = (factor - 1.0) * self.mean
        return replace(
            self,
            mean=self.mean + more,
            highest=self.highest + more,
            lowest=self.lowest + more,
            centre=self.centre + more,
            slack=self.slack.moved(self.mean, 1.0, self.mean + more),
        )


def count(record: Record) -> Counted:
    """Rainflow of a record (ASTM E1049-85, half cycles for the residue), in bins; never across a gap."""
    tension = record.tension
    tally, rows = tally_of(record), []
    for times, values, begins in pieces_of(record):
        tally.take(times, values, begins)
        rows.append(cycles.rainflow(values))
    report = record.report
    told = (str(report.get("base", "N")), tuple(map(str, report.get("doubts", ()))), bool(report.get("is_saturated")))
    return _counted(np.concatenate(rows), tally, (float(tension.min()), float(tension.max())), told)


def count_stored(log: StoredLog) -> Counted:
    """Rainflow of a kept log in constant memory: a matrix of ranges and means, then bins; never across a gap."""
    edges = counting.even_bins(log.low, max(log.high, log.low + 1.0), MATRIX, (log.step, 1e6 * log.step))
    counter, tally = counting.Counter(edges, log.step), tally_of(log)
    for times, values, begins in pieces_of(log):
        if begins:
            counter.split()
        counter.push(values, times)
        tally.take(times, values, begins)
    table = counting.cell_table(counter.counted())
    rows = np.column_stack([2.0 * table[:, 1], table[:, 0], table[:, 3]])
    return _counted(rows, tally, (log.low, log.high), (log.base, log.doubts, log.is_saturated))


def _counted(rows: Array, tally: Tally, ends: tuple[float, float], told: tuple[str, tuple[str, ...], bool]) -> Counted:
    """Cycles (range [N], mean [N], count) and sums of a history, its lowest and highest tension [N], and its report."""
    (mean, deviation), base, doubts = tally.moments(), *told[:2]
    if len(rows):
        bins, slack, period = bins_of(rows), troughs_of(rows), tally.duration / float(rows[:, 2].sum())
        crossings = levels.cycles_through(rows[:, 1], rows[:, 0], rows[:, 2], mean)
    else:
        bins = (np.full(BINS, mean), np.zeros(BINS), np.full(BINS, 1.0 / BINS))
        slack, deviation, period, crossings = Troughs.of_bins(*bins), 0.0, tally.duration, 0.0
    spans = (period, crossings, tally.duration, tally.unrecorded)
    return Counted(mean, deviation, ends[1], *spans, ends[0], *bins, slack, told[2], base, doubts)


def tally_of(source: Record | StoredLog, asked: Sequence[float] = ()) -> Tally:
    """Empty sums for a history, with levels [N]."""
    if isinstance(source, StoredLog):
        return Tally(source.step, source.longest, asked)
    return Tally(float(np.median(np.diff(source.time))), longest_recorded(source.time), asked)


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
