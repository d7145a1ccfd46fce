"""What a stream of blocks shows: order, gaps, missing cells, codes and a sensor's faults, in constant memory."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from linewright.base.errors import InputError, Problem
from linewright.importers import cells, channels, header, series
from linewright.importers.clock import EVEN, EVEN_SHARE, GAP_LEAST, GAP_STEPS, Clock, moment
from linewright.importers.report import Array, Log

MOST_ROWS = 20  # rows that a flag names
MOST_WORDS = 1000  # cells that the report lists


@dataclass(frozen=True)
class Block:
    """Rows in file order: time [s], lines; per channel its figures with their factor to SI, and its other cells.

    slack says per channel where a status calls the line slack.
    """

    time: Array
    lines: npt.NDArray[np.int64]
    values: list[tuple[Array, float]]
    words: list[list[tuple[int, str]]]
    slack: list[npt.NDArray[np.bool_]]

    def joined(self, other: Block) -> Block:
        """Both blocks in one, the other behind."""
        size = len(self.time)
        values = [
            (np.concatenate([a, b]), factor) for (a, factor), (b, _) in zip(self.values, other.values, strict=True)
        ]
        words = [a + [(n + size, cell) for n, cell in b] for a, b in zip(self.words, other.words, strict=True)]
        slack = [np.concatenate(pair) for pair in zip(self.slack, other.slack, strict=True)]
        time, lines = np.concatenate([self.time, other.time]), np.concatenate([self.lines, other.lines])
        return Block(time, lines, values, words, slack)

    def cut(self, at: int) -> tuple[Block, Block]:
        """The rows before an index, and those from it on."""
        first = Block(self.time[:at], self.lines[:at], [(figures[:at], factor) for figures, factor in self.values],
                      [[item for item in words if item[0] < at] for words in self.words],
                      [told[:at] for told in self.slack])  # fmt: skip
        rest = Block(self.time[at:], self.lines[at:], [(figures[at:], factor) for figures, factor in self.values],
                     [[(n - at, cell) for n, cell in words if n >= at] for words in self.words],
                     [told[at:] for told in self.slack])  # fmt: skip
        return first, rest


class _Sensor:
    """Running figures of one channel."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.count = self.missing = 0
        self.total, self.low, self.high = 0.0, np.inf, -np.inf
        self.tops: list[int] = []
        self.faults: dict[str, list[int]] = {"negative": [], "spike": [], "dropout": [], "unread": []}
        self.counts = dict.fromkeys(self.faults, 0)

    def note(self, fault: str, rows: list[int]) -> None:
        """Count rows with a fault and keep the first of them."""
        self.counts[fault] += len(rows)
        self.faults[fault] += rows[: MOST_ROWS - len(self.faults[fault])]

    @property
    def statistics(self) -> tuple[int, int, float | None, float | None, float | None]:
        """Values, missing, least, largest and mean."""
        if not self.count:
            return 0, self.missing, None, None, None
        return self.count, self.missing, self.low, self.high, self.total / self.count

    def take(self, values: Array, lines: npt.NDArray[np.int64]) -> None:
        """Statistics and faults of a block."""
        known = values[np.isfinite(values)]
        self.count += known.size
        self.missing += values.size - known.size
        if not known.size:
            return
        self.total += float(known.sum())
        self.low = min(self.low, float(known.min()))
        top = float(known.max())
        if top > self.high:
            self.high, self.tops = top, []
        if top == self.high:
            self._tops(values, lines)
        self.note("negative", lines[np.flatnonzero(values < 0.0)].tolist())

    def _tops(self, values: Array, lines: npt.NDArray[np.int64]) -> None:
        for a, b in series.runs(values == self.high):
            if (
                b - a >= series.SATURATED
                and np.ptp(values[np.isfinite(values)]) > 0.0
                and not series.is_crest(values, a, b)
            ):
                self.tops += lines[a:b].tolist()[: MOST_ROWS - len(self.tops)]


class Watch:
    """Takes blocks one after another, gives back the rows to keep, and reports at the end."""

    def __init__(self, units: Mapping[str, str], log: Log) -> None:
        self.log = log
        self.units = list(units.values())
        self.sensors = [_Sensor(name) for name in units]
        self.rows = self.kept = 0
        self.step = 0.0
        self.first, self.last = np.nan, -np.inf
        self.last_values: Array = np.full(len(units), np.nan)
        self.gaps: list[int] = []
        self.gap_rows: list[int] = []
        self.longest = (0.0, 0.0, 0)  # [s] of the longest gap; time and row of the last reading before it
        self.last_row = 0
        self.uneven = 0.0
        self.usual = 0  # steps within a tenth of the usual one

    @property
    def is_even(self) -> bool:
        """Whether all rows within a stretch are the usual step apart, to a hundredth of it."""
        return self.uneven <= 0.01 * self.step

    @property
    def is_regular(self) -> bool:
        """Whether the logger is even, some rows apart."""
        return self.usual >= EVEN_SHARE * (self.kept - 1)

    @property
    def ends(self) -> tuple[float, float]:
        """First and last time [s]."""
        return float(self.first), float(self.last)

    @property
    def parts(self) -> tuple[tuple[int, int], ...]:
        """Index pairs of the stretches without a gap."""
        cuts = [0, *self.gaps, self.kept]
        return tuple(pairwise(cuts))

    def take(self, block: Block) -> tuple[Array, list[Array]]:
        """Times and values of the rows to keep. Raises InputError for rows out of order."""
        self.rows += len(block.time)
        values = [self._cleaned(block, n) for n in range(len(self.sensors))]
        keep = self._in_time(block, values)
        time, lines = block.time[keep], block.lines[keep]
        kept = [column[keep] for column in values]
        for sensor, column in zip(self.sensors, kept, strict=True):
            sensor.take(column, lines)
        self._gaps(time, lines)
        self.kept += len(time)
        if len(time):
            self.first = time[0] if np.isnan(self.first) else self.first
            self.last = time[-1]
            self.last_values = np.array([column[-1] for column in kept])
        return time, kept

    def _cleaned(self, block: Block, number: int) -> Array:
        """One channel in SI; words, codes and dropouts are missing and reported."""
        figures, factor = block.values[number]
        sensor = self.sensors[number]
        for n, cell in block.words[number]:
            if not cells.is_missing(cell):
                sensor.note("unread", [int(block.lines[n])])
            if len(self.log.replaced) < MOST_WORDS or not cells.is_missing(cell):
                why = "a word for a missing value" if cells.is_missing(cell) else "no number"
                self.log.replace(int(block.lines[n]), sensor.name, cell, "blank" if not cell.strip() else why)
        is_code = channels.codes_among(figures, channels.CODES)
        for n in np.flatnonzero(is_code).tolist():
            self.log.replace(int(block.lines[n]), sensor.name, f"{figures[n]:g}", "a code for a missing value")
        values = np.where(is_code, np.nan, figures) * factor
        gone = series.dropouts(values)
        gone = gone[~block.slack[number][gone]]
        sensor.note("dropout", block.lines[gone].tolist())
        if gone.size and self.log.option("dropouts", "missing", ("missing", "keep")) == "missing":
            values[gone] = np.nan
        told = np.flatnonzero(np.isfinite(values))
        far = told[series.spikes(values[told])]
        sensor.note("spike", block.lines[far].tolist())
        if far.size and self.log.option("spikes", "keep", ("keep", "drop")) == "drop":
            for n in far.tolist():
                self.log.replace(int(block.lines[n]), sensor.name, f"{figures[n]:g}", "a spike, left out by answer")
            values[far] = np.nan
        return values

    def _in_time(self, block: Block, values: list[Array]) -> npt.NDArray[np.intp]:
        """Rows in rising time; the same row again is dropped, disorder refused."""
        time = block.time
        for n in np.flatnonzero(~np.isfinite(time)):
            self._refuse_other_units(block, int(n))
            self.log.drop(int(block.lines[n]), "", "no time")
        known = np.flatnonzero(np.isfinite(time))
        steps = np.diff(np.r_[self.last, time[known]])
        if (steps < 0.0).any():
            row = int(block.lines[known[np.flatnonzero(steps < 0.0)[0]]])
            do = "sort the file by time, or cut it where the clock was set back"
            raise InputError(
                "A large file must stand in order of time.",
                [Problem(f"row {row}", "an earlier time", "times that rise", do)],
            )
        again = np.flatnonzero(steps == 0.0)
        for n in again:
            self._same_time(block, values, known, int(n))
        return np.delete(known, again)

    def _refuse_other_units(self, block: Block, row: int) -> None:
        """Refuse headings in the middle that bring another unit. Raises InputError."""
        for known, words in zip(self.units, block.words, strict=True):
            for cell in (cell for n, cell in words if n == row):
                unit = cell.strip() if header.unit_of(cell) else header.split(cell).unit
                if unit and header.unit_of(unit) is not header.unit_of(known):
                    do = "cut the file there and bring the parts in one by one"
                    problem = Problem(f"row {block.lines[row]}", cell, f"the unit {known} to the end of the file", do)
                    raise InputError("The unit changes within a large file.", [problem])

    def _same_time(self, block: Block, values: list[Array], known: npt.NDArray[np.intp], n: int) -> None:
        here = np.array([column[known[n]] for column in values])
        before = np.array([column[known[n - 1]] for column in values]) if n else self.last_values
        line = int(block.lines[known[n]])
        if np.array_equal(here, before, equal_nan=True):
            self.log.drop(line, "", "the same row again")
            return
        self.log.drop(line, "", "the same time as the row before with other values")
        text = "rows repeat a time with other values; the first of each was kept, nothing was averaged"
        self.log.flag("duplicate-conflict", text, "caution")

    def _gaps(self, time: Array, lines: npt.NDArray[np.int64]) -> None:
        steps = np.diff(np.r_[self.last, time]) if np.isfinite(self.last) else np.r_[0.0, np.diff(time)]
        if self.step == 0.0 and (steps > 0.0).any():
            self.step = round(float(np.median(steps[steps > 0.0])), 6)
        wide = np.flatnonzero(steps > max(GAP_STEPS * self.step, GAP_LEAST))
        self.gaps += [self.kept + int(n) for n in wide]
        self.gap_rows += lines[wide].tolist()[: MOST_ROWS - len(self.gap_rows)]
        for n in wide.tolist():
            before = (float(time[n - 1]), int(lines[n - 1])) if n else (self.last, self.last_row)
            self.longest = max(self.longest, (float(steps[n]), *before), key=lambda gap: gap[0])
        self.last_row = int(lines[-1]) if len(lines) else self.last_row
        off = np.abs(np.delete(steps[1 if self.kept == 0 else 0 :], wide - (self.kept == 0)) - self.step)
        self.uneven = max(self.uneven, float(off.max(initial=0.0)))
        self.usual += int(np.count_nonzero(off <= EVEN * self.step))

    def finish(self, told: Clock) -> None:
        """Write the doubts into the report; told is the clock of the file."""
        if self.gaps:
            length, since, row = self.longest
            text = series.gap_text(len(self.gaps), (length, moment(told, since), row))
            self.log.flag("gap", text, "caution", rows=self.gap_rows)
        for sensor in self.sensors:
            self._doubts(sensor)
        if self.step > series.SLOW_STEP:
            text = f"a reading every {self.step:g} s follows periods of {series.PER_PERIOD * self.step:g} s at best"
            self.log.flag("sampling-coarse", f"{text}; the cycles of swell cannot be counted", "refused")

    def _doubts(self, sensor: _Sensor) -> None:
        name = sensor.name
        texts = {
            "negative": "readings below zero: check the zero of the sensor; kept",
            "dropout": "zeros in a row between loaded readings look like a dropout of the sensor",
            "unread": "cells are no number; they count as missing",
        }
        codes = {"unread": "cell-unreadable"}
        for fault, text in texts.items():
            if sensor.counts[fault]:
                self.log.flag(
                    codes.get(fault, fault),
                    f"{name}: {sensor.counts[fault]} {text}",
                    "caution",
                    name,
                    sensor.faults[fault],
                )
        if sensor.counts["spike"]:
            text = series.spike_text(sensor.counts["spike"], self.log.used.get("spikes") != "drop")
            self.log.flag("spike", f"{name}: {text}", "caution", name, sensor.faults["spike"])
        if sensor.tops:
            text = f"{name}: readings in a row at the top, {sensor.high / 1e3:.6g} kN: the sensor was at its end"
            self.log.flag("saturated", text, "caution", name, sensor.tops)
