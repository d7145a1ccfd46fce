"""Rainflow counting of histories of any length, piece by piece, in memory that does not grow with them.

A `Counter` takes a history in chunks of any size and keeps a matrix (range, mean, period), exact sums of
powers of the range, and the reversals still open. The result does not depend on the chunks. Memory is the
matrix, blocks of fixed size, and the open reversals: as many as the longest run of ranges that first only grow
and then only shrink.
"""

from __future__ import annotations

import copy
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from linewright.physics import _rainflow
from linewright.physics.types import Array

Residue = Literal["half", "repeat", "drop"]
RESIDUES = ("half", "repeat", "drop")
COUNT = np.arange(_rainflow.BLOCK, dtype=np.float64)


@dataclass(frozen=True)
class Bins:
    """Edges of the matrix, rising; bin k holds [edge k-1, edge k), the first all below, the last all from the top edge.

    Attributes
    ----------
    ranges : edges of the range, shape (a,) [N]
    means : edges of the mean, shape (b,) [N]
    periods : edges of the period, shape (c,) [s]
    """

    ranges: Array
    means: Array
    periods: Array

    @property
    def shape(self) -> tuple[int, int, int]:
        """Number of bins along each axis, one more than the edges."""
        return self.ranges.size + 1, self.means.size + 1, self.periods.size + 1


@dataclass(frozen=True)
class Counted:
    """What a counter has counted, its residue included by the rule named.

    Cells have the shape of the bins (range, mean, period). A cell without a cycle holds zeros.

    Attributes
    ----------
    bins : edges of the cells [fields]
    cycles : cycles of each cell, halves exact [-]
    mean : mean of the means of a cell [N]
    amplitude : root mean square amplitude of a cell, so that heat is kept [N]
    period : mean period of a cell [s]
    count : all cycles [-]
    powers : exponents m [-]
    power_sums : sum of count times range^m, from the cycles, not from the cells, for a range in [N], given as [-]
    largest_range : of all cycles [N]
    lowest : of all values [N]
    highest : of all values [N]
    points : values taken [-]
    residue : rule for what stays open, half, repeat or drop [-]
    hysteresis : ranges up to this were passed over [N]
    """

    bins: Bins
    cycles: Array
    mean: Array
    amplitude: Array
    period: Array
    count: float
    powers: tuple[float, ...]
    power_sums: Array
    largest_range: float
    lowest: float
    highest: float
    points: int
    residue: Residue
    hysteresis: float


def even_bins(lowest: float, highest: float, numbers: tuple[int, int, int], periods: tuple[float, float]) -> Bins:
    """Even bins of range from 0 and of mean, and bins of period in equal ratios.

    Parameters
    ----------
    lowest, highest : tensions that the history is expected to keep between [N]
    numbers : bins of range, mean and period between the outer edges [-]
    periods : shortest and longest period of the inner bins, both above zero [s]

    Returns
    -------
    bins [fields]

    From
    ----
    Definition. What lies outside falls into the outer bins; nothing is lost.
    """
    ranges, means, times = numbers
    return Bins(
        np.linspace(0.0, highest - lowest, ranges + 1),
        np.linspace(lowest, highest, means + 1),
        np.geomspace(*periods, times + 1),
    )


def cell_table(counted: Counted) -> Array:
    """Cells that hold cycles, as rows of a cycle table.

    Parameters
    ----------
    counted : result of a counter [fields]

    Returns
    -------
    rows of mean [N], amplitude [N], period [s], cycles [-], shape (n, 4)

    From
    ----
    Definition; an amplitude is the root mean square of its cell.
    """
    held = counted.cycles > 0.0
    return np.column_stack([part[held] for part in (counted.mean, counted.amplitude, counted.period, counted.cycles)])


def damage_in_cells(counted: Counted) -> Array:
    """What the cells make of the sums of powers of the range: sum over cells over sum over cycles.

    Parameters
    ----------
    counted : result of a counter with some cycles [fields]

    Returns
    -------
    ratio for each of the powers, 1 where the bins are fine enough [-]

    From
    ----
    Every cycle of a cell has the cell's root mean square range: exact for m = 2, below 1 for m above it.
    """
    _, amplitude, _, number = cell_table(counted).T
    return np.array([
        float(np.sum(number * (2.0 * amplitude) ** m)) / total
        for m, total in zip(counted.powers, counted.power_sums, strict=True)
    ])  # fmt: skip


class Counter:
    """Rainflow counter of a history that comes in chunks (ASTM E1049-85).

    `push` takes the next chunk; `split` ends a history at a gap and begins another; `counted` is the result so
    far and may be asked for at any time. `residue` names what becomes of the ranges that no larger one
    closes: `half` counts each as half a cycle (5.4.4), `repeat` lets the history repeat (5.4.5), `drop` leaves
    them out. Reversals by no more than `hysteresis` [N] are passed over.
    """

    def __init__(
        self,
        bins: Bins,
        step: float = 1.0,
        *,
        powers: Sequence[float] = (),
        residue: Residue = "half",
        hysteresis: float = 0.0,
    ) -> None:
        _check(bins, powers, residue, (step, hysteresis))
        self._bins, self._step, self._residue, self._gate = bins, step, residue, hysteresis
        self._powers = tuple(float(m) for m in powers)
        self._cells = _rainflow.Cells((bins.ranges, bins.means, bins.periods), self._powers)
        self._track, self._stack = _rainflow.Track(hysteresis), _rainflow.Stack()
        self._turns = np.empty((2, _rainflow.BLOCK + 2))
        self._points, self._part, self._start, self._now = 0, 0, 0.0, -np.inf
        self._timed: bool | None = None  # whether the history came with times
        self._extremes = (np.inf, -np.inf)

    def push(self, values: Array, times: Array | None = None) -> None:
        """Take the next values, shape (n,) [N]; `times` [s] rise, without them each value is a step later.

        Raises ValueError for a value that is not finite or a time that does not rise, and then takes nothing:
        split a history at its gaps.
        """
        chunk = np.ascontiguousarray(values, dtype=np.float64)
        moments = None if times is None else np.ascontiguousarray(times, dtype=np.float64)
        if chunk.size and self._timed is not None and self._timed != (times is not None):
            raise ValueError("give times with every chunk or with none")
        lowest, highest = _checked_extremes(chunk)
        _check_times(chunk, moments, self._now)
        self._extremes = (min(self._extremes[0], lowest), max(self._extremes[1], highest))
        self._timed = (times is not None) if chunk.size else self._timed
        for begin in range(0, chunk.size, _rainflow.BLOCK):
            part = chunk[begin : begin + _rainflow.BLOCK]
            self._take(part, self._clock(part.size) if moments is None else moments[begin : begin + _rainflow.BLOCK])

    def _clock(self, size: int) -> Array:
        return np.asarray((self._points + COUNT[:size]) * self._step)

    def _take(self, values: Array, times: Array) -> None:
        self._start = self._start if self._part else float(times[0])
        self._points, self._part, self._now = self._points + values.size, self._part + values.size, float(times[-1])
        number = self._track.take(values, times, self._turns)
        self._cells.add(self._stack.take(self._turns, number), 1.0)

    def residue(self) -> Array:
        """Values [N] and times [s] of the reversals still open, the last value's extreme included, shape (2, n)."""
        return np.concatenate([self._stack.open(), self._track.last()], axis=1)

    def split(self) -> None:
        """End the history here: a gap follows. Its residue is counted by the rule named."""
        self._close(self._cells)
        self._track.clear()
        self._stack.clear()
        self._part = 0

    def _close(self, cells: _rainflow.Cells) -> None:
        """Add what stays open to some cells."""
        last = self._stack_with_last()
        cells.add(last[0], 1.0)
        if self._residue == "half" and last[1].shape[1] > 1:
            cells.add(_moves(last[1]), 0.5)
        elif self._residue == "repeat" and last[1].shape[1] > 1:
            cells.add(_repeated(last[1], self._lap(), self._gate), 1.0)

    def _stack_with_last(self) -> tuple[Array, Array]:
        """Cycles that the last extreme closes, and what then stays open, without touching the counter."""
        stack, held = _rainflow.Stack(), self.residue()
        rows = stack.take(held, held.shape[1])
        return rows, stack.open()

    def _lap(self) -> float:
        """Time after which a repeating history begins again: one mean step after its last value [s]."""
        return (self._now - self._start) * self._part / max(self._part - 1, 1)

    def counted(self) -> Counted:
        """The cycles so far, the residue included by the rule named; the counter itself stays as it is."""
        cells = copy.deepcopy(self._cells)
        self._close(cells)
        table = cells.cells.reshape(*self._bins.shape, 4)
        number = table[..., 0]
        least = np.where(number > 0.0, number, 1.0)
        lowest, highest = self._extremes
        return Counted(
            self._bins, number, table[..., 1] / least, 0.5 * np.sqrt(table[..., 2] / least), table[..., 3] / least,
            float(number.sum()), self._powers, cells.sums[:, 2], cells.largest, lowest, highest, self._points,
            self._residue, self._gate,
        )  # fmt: skip


def _moves(turns: Array) -> Array:
    """Neighbouring reversals as rows of range, mean, period."""
    values, times = turns
    return np.column_stack([np.abs(np.diff(values)), 0.5 * (values[1:] + values[:-1]), 2.0 * np.diff(times)])


def _repeated(turns: Array, lap: float, gate: float) -> Array:
    """Cycles that close when the residue comes a second time, rows of range, mean, period."""
    twice = np.concatenate([turns, turns + np.array([[0.0], [lap]])], axis=1)
    found, track, stack = np.empty((2, twice.shape[1] + 2)), _rainflow.Track(gate), _rainflow.Stack()
    number = track.take(twice[0].copy(), twice[1].copy(), found)
    found[:, number : number + 1] = track.last()
    return stack.take(found, number + 1).copy()


def cycles_and_residue(
    history: Array, step: float = 1.0, residue: Residue = "half", hysteresis: float = 0.0
) -> tuple[Array, Array]:
    """Rainflow cycles of a history by the four-point rule, one row each, and its residue.

    Parameters
    ----------
    history : values in time order, finite, shape (n,) [N]
    step : time between values [s]
    residue : rule for what stays open: half, repeat or drop [-]
    hysteresis : reversals by no more than this are passed over [N]

    Returns
    -------
    rows of range [N], mean [N], period [s], count 0.5 or 1 [-], shape (m, 4)
    residue, reversals that no larger range closes, shape (k,) [N]

    From
    ----
    ASTM E1049-85, 5.4.4 and 5.4.5; check values RF-03, RF-04, RF-14.
    """
    values = np.ascontiguousarray(history, dtype=np.float64)
    _checked_extremes(values)
    times = np.asarray(np.arange(values.size) * step, dtype=np.float64)
    track, stack, found = _rainflow.Track(hysteresis), _rainflow.Stack(), np.empty((2, values.size + 2))
    number = track.take(values, times, found)
    last = track.last()
    found[:, number : number + last.shape[1]] = last
    closed, rest = stack.take(found, number + last.shape[1]).copy(), stack.open()
    more, weight = np.zeros((0, 3)), 1.0
    if residue == "half" and rest.shape[1] > 1:
        more, weight = _moves(rest), 0.5
    elif residue == "repeat" and rest.shape[1] > 1:
        more = _repeated(rest, values.size * step, hysteresis)
    counts = np.r_[np.ones(len(closed)), np.full(len(more), weight)]
    return np.column_stack([np.concatenate([closed, more]), counts]), rest[0]


def _check(bins: Bins, powers: Sequence[float], residue: str, numbers: tuple[float, float]) -> None:
    """Refuse what cannot be counted with."""
    step, gate = numbers
    if residue not in RESIDUES:
        raise ValueError(f"no residue rule {residue!r}; there are: {', '.join(RESIDUES)}")
    for name in ("ranges", "means", "periods"):
        edges = getattr(bins, name)
        if edges.size < 2 or not np.isfinite(edges).all() or (np.diff(edges) <= 0.0).any():
            raise ValueError(f"edges of {name} must be two or more, finite and rising")
    if not (step > 0.0 and 0.0 <= gate < np.inf):
        raise ValueError(f"step must be above zero and hysteresis not below it; read {step:g} s, {gate:g} N")
    if any(not m >= 0.0 for m in powers):
        raise ValueError(f"exponents must not be below zero; read {tuple(powers)}")


def _checked_extremes(values: Array) -> tuple[float, float]:
    """Lowest and highest value, refused if any is not finite: it would be, or spoil, one of the two."""
    if values.ndim != 1:
        raise ValueError(f"a history has one axis; read {values.ndim}")
    if not values.size:
        return np.inf, -np.inf
    lowest, highest = float(values.min()), float(values.max())
    if not (np.isfinite(lowest) and np.isfinite(highest)):
        bad = int(np.flatnonzero(~np.isfinite(values))[0])
        raise ValueError(f"value {bad} of {values.size} is {values[bad]}: split the history at its gaps")
    return lowest, highest


def _check_times(values: Array, times: Array | None, now: float) -> None:
    """Refuse times that do not rise."""
    if times is None or not values.size:
        return
    if times.shape != values.shape:
        raise ValueError(f"{values.size} values, but {times.size} times")
    if not (times[0] > now and (np.diff(times) > 0.0).all() and times[-1] < np.inf):
        raise ValueError("times must rise, from chunk to chunk too, and be finite")
