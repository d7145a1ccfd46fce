"""Columns of weather and waves: cells to SI figures, missing codes by each column's own rule, rows in order.

A code is looked for in the figure as written, before it is scaled. What is not used as written is listed.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np

from linewright.base.units import ZERO_CELSIUS
from linewright.importers import weather_clock
from linewright.importers.report import Array, Imported, Log
from linewright.importers.text import TextFile

Kind = Literal["weather", "waves"]
DEGREE = math.pi / 180.0
DEW_ABOVE = 0.5  # [K] what rounding of two temperatures can do
NIGHT_OFFSET = 15.0  # [W/m2] what a radiometer reads below zero at night


@dataclass(frozen=True)
class Quantity:
    """How a quantity is shown: unit, factor and offset to SI, and the plausible range in that unit."""

    unit: str
    factor: float
    offset: float
    low: float
    high: float


_SUN = Quantity("W/m2", 1.0, 0.0, 0.0, 1500.0)
_PERIOD = Quantity("s", 1.0, 0.0, 0.5, 60.0)
_HEIGHT = Quantity("m", 1.0, 0.0, 0.0, 35.0)
_ANGLE = Quantity("deg", DEGREE, 0.0, 0.0, 360.0)
_AIR = Quantity("degC", 1.0, ZERO_CELSIUS, -90.0, 70.0)
QUANTITIES: dict[str, Quantity] = {
    "air": _AIR,
    "dew_point": _AIR,
    "air_high": _AIR,
    "air_low": _AIR,
    "water": Quantity("degC", 1.0, ZERO_CELSIUS, -3.0, 45.0),
    **{name: Quantity("m/s", 1.0, 0.0, 0.0, 90.0) for name in ("wind", "wind_day", "wind_night")},
    "gust": Quantity("m/s", 1.0, 0.0, 0.0, 130.0),
    "pressure": Quantity("hPa", 100.0, 0.0, 310.0, 1200.0),
    "cloud": Quantity("%", 0.01, 0.0, 0.0, 100.0),
    "relative_humidity": Quantity("%", 0.01, 0.0, 0.0, 110.0),
    "level": _SUN,
    "beam": _SUN,
    "diffuse": _SUN,
    "level_noon": _SUN,
    "long_wave": Quantity("W/m2", 1.0, 0.0, 50.0, 700.0),
    "rain": Quantity("mm/h", 1e-3, 0.0, 0.0, 500.0),
    **dict.fromkeys(("wind_from", "wave_from", "swell_from", "wind_sea_from"), _ANGLE),
    **dict.fromkeys(("wave_height", "swell_height", "wind_sea_height"), _HEIGHT),
    **dict.fromkeys(("peak_period", "mean_period", "swell_period", "wind_sea_period"), _PERIOD),
    "month": Quantity("-", 1.0, 0.0, 1.0, 12.0),
    "severe_share": Quantity("%", 0.01, 0.0, 0.0, 100.0),
}


@dataclass(frozen=True)
class Spec:
    """One column of a format: its name, our key, factor and offset from the figure read to SI, and its codes.

    codes: figures that stand for a missing value; from_code: this figure and all above; words: texts that do.
    low, high: the format's own range in the figures read; else that of the quantity holds.
    """

    name: str
    key: str
    factor: float = 1.0
    offset: float = 0.0
    unit: str = ""
    because: str = ""
    codes: tuple[float, ...] = ()
    from_code: float = math.inf
    words: tuple[str, ...] = ()
    low: float = -math.inf
    high: float = math.inf


def figure(text: str) -> float | None:
    """The number of a machine-written cell: ASCII, decimal point, finite; None for anything else."""
    if "_" in text or not text.isascii():
        return None
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def cells_of(line: str, mark: str = ",") -> list[str]:
    """The cells of one line; quotes hold a mark. One line is one row: an open quote ends with its line."""
    if '"' not in line:
        return [cell.strip() for cell in line.split(mark)]
    try:
        return [cell.strip() for cell in next(csv.reader([line], delimiter=mark), [])]
    except csv.Error:
        return [line]


def names_of(line: str, mark: str = ",") -> list[str]:
    """The names of a heading line, without empty ones at its end."""
    names = cells_of(line, mark)
    while names and not names[-1]:
        names.pop()
    return names


def _said_missing(spec: Spec, text: str, value: float | None) -> str:
    """Why a cell is missing, or nothing."""
    if not text:
        return "blank"
    if text in spec.words:
        return f"{text} stands for missing"
    if value is None:
        return "not a number"
    if value in spec.codes:
        return f"{text} is the code for missing in this column"
    if value >= spec.from_code:
        return f"{spec.from_code:.10g} and above stand for missing in this column"
    return ""


class Reading:
    """The rows of one file on their way to an Imported: numbers of their lines, figures in SI, texts."""

    def __init__(self, log: Log, rows: Sequence[int]) -> None:
        self.log = log
        self.rows = np.asarray(rows, dtype=np.int64)
        self.values: dict[str, Array] = {}
        self.texts: dict[str, list[str]] = {}
        self.specs: dict[str, Spec] = {}

    def take(self, spec: Spec, cells: Sequence[str]) -> Array:
        """Figures of a column in SI; codes, words and implausible figures become missing and are listed."""
        raw = np.full(len(cells), np.nan)
        missing: list[tuple[int, str, str]] = []
        for index, cell in enumerate(cells):
            text = cell.strip()
            value = figure(text)
            why = _said_missing(spec, text, value)
            if why or value is None:
                missing.append((index, text, why))
            else:
                raw[index] = value
        self._list_missing(spec, missing, len(cells))
        self._doubt_share(spec, raw)
        inside = (raw >= spec.low) & (raw <= spec.high)
        found = np.where(inside, raw * spec.factor + spec.offset, np.where(np.isnan(raw), np.nan, np.inf))
        return self.put(spec, self._plausible(spec, found, cells))

    def _doubt_share(self, spec: Spec, raw: Array) -> None:
        """Say where a column of percent has no value above 1: its figures may be fractions."""
        known = raw[raw >= 0.0]
        is_percent = QUANTITIES[spec.key].unit == "%" and spec.factor == 0.01
        if is_percent and known.size > 1 and 0.0 < known.max() <= 1.0:
            text = f"{spec.name} is read as percent, and none of its values is above 1: are they fractions?"
            self.log.flag("share-small", text, "caution", spec.name)

    def put(self, spec: Spec, figures: Array) -> Array:
        """Keep figures that are in SI already."""
        self.values[spec.key] = figures
        self.specs[spec.key] = spec
        return figures

    def made(self, spec: Spec, figures: Array) -> Array:
        """Keep figures in SI that are made from other columns; implausible ones become missing."""
        return self.put(spec, self._plausible(spec, figures, [f"{value:.6g}" for value in figures]))

    def text(self, name: str, cells: Iterable[str]) -> None:
        """Keep a column that is text."""
        self.texts[name] = list(cells)

    def _list_missing(self, spec: Spec, missing: list[tuple[int, str, str]], count: int) -> None:
        if len(missing) == count > 1:
            index, text, why = missing[0]
            self.log.flag("never-given", f"{spec.name} holds no value in any row", column=spec.name)
            self.log.replace(int(self.rows[index]), spec.name, text, f"{why}; so in all {count} rows")
            return
        for index, text, why in missing:
            self.log.replace(int(self.rows[index]), spec.name, text, why)
        unread = [int(self.rows[index]) for index, _, why in missing if why == "not a number"]
        if unread:
            self.log.flag("unread-cell", f"cells of {spec.name} that are no number", "caution", spec.name, unread)

    def _plausible(self, spec: Spec, found: Array, cells: Sequence[str]) -> Array:
        quantity = QUANTITIES[spec.key]
        low = quantity.low * quantity.factor + quantity.offset
        high = quantity.high * quantity.factor + quantity.offset
        if quantity is _SUN:
            found = self._without_night_offset(spec, found)
        slack = 1e-9 * max(abs(low), abs(high))
        bad = np.flatnonzero((found < low - slack) | (found > high + slack))
        if bad.size:
            allowed = f"{quantity.low:g} to {quantity.high:g} {quantity.unit}"
            text = f"{spec.name} outside of {allowed} (or of the format's own range); read as missing"
            self.log.flag("out-of-range", text, "caution", spec.name, self.rows[bad])
        for index in bad.tolist():
            self.log.replace(int(self.rows[index]), spec.name, cells[index].strip(), "implausible")
        found[bad] = np.nan
        return found

    def _without_night_offset(self, spec: Spec, found: Array) -> Array:
        small = (found < 0.0) & (found >= -NIGHT_OFFSET)
        if small.any():
            text = f"{spec.name} a little below zero (a radiometer's offset at night) is read as 0"
            self.log.flag("night-offset", text, "note", spec.name, self.rows[small])
        return np.where(small, 0.0, found)

    def mark_calm(self, kinds: Sequence[str] | None = None) -> None:
        """No direction where the wind is calm or variable; a text column says which."""
        wind = self.values.get("wind", np.full(len(self.rows), np.nan))
        given = list(kinds) if kinds is not None else [""] * len(self.rows)
        found = ["calm" if speed == 0.0 else kind for speed, kind in zip(wind, given, strict=True)]
        if any(found):
            self.texts["wind_kind"] = found
        for kind in ("calm", "variable"):
            rows = self.rows[[item == kind for item in found]]
            if rows.size:
                text = f"{len(rows)} rows with {kind} wind: it has no direction there"
                self.log.flag(f"wind-{kind}", text, rows=rows)
        if "wind_from" in self.values:
            still = np.array([kind in ("calm", "variable") for kind in found], dtype=bool)
            self.values["wind_from"] = np.where(still, np.nan, self.values["wind_from"])

    def keep(self, chosen: Array) -> None:
        """Keep these rows, in this order (indices or a mask)."""
        index = np.arange(len(self.rows))[chosen]
        self.rows = self.rows[index]
        self.values = {key: part[index] for key, part in self.values.items()}
        self.texts = {key: [part[place] for place in index] for key, part in self.texts.items()}


@dataclass(frozen=True)
class Ends:
    """How a reading becomes an Imported: kind, form, times [s] or None, zone and evidence, rows read in the file.

    apart: text columns whose rows stand beside each other at one time; typical: the calendar of a typical year.
    """

    kind: Kind
    form: str
    time: Array | None
    rows_read: int
    zone: str | None = "UTC"
    because: str = ""
    apart: tuple[str, ...] = ()
    content: Any = None
    extra: Mapping[str, Any] = field(default_factory=dict)


def finished(reading: Reading, file: TextFile, ends: Ends) -> Imported:
    """The Imported of a reading: rows ascending, duplicates out, columns described."""
    time, content = ends.time, ends.content
    _drop_wet(reading)
    if time is not None:
        order = _in_order(reading, time, ends.apart)
        reading.keep(order)
        time = time[order]
        content = content.rows(order) if hasattr(content, "rows") else content
        reading.log.span = weather_clock.span(time, ends.zone, ends.because)
    log = reading.log
    for key, spec in reading.specs.items():
        quantity = QUANTITIES[key]
        shown = np.round((reading.values[key] - quantity.offset) / quantity.factor, 9)
        log.column(spec.name, key, quantity.unit, shown, read_unit=spec.unit or quantity.unit, because=spec.because)
    for name, cells in reading.texts.items():
        log.text_column(name, cells, name)
    log.notes.update(ends.extra)
    report = log.report(ends.kind, ends.form, file.source, ends.rows_read, len(reading.rows))
    texts = {name: tuple(cells) for name, cells in reading.texts.items()}
    return Imported(report, time, reading.values, texts, content, np.asarray(reading.rows, dtype=np.int64))


def _drop_wet(reading: Reading) -> None:
    """No dew point where it stands above the air by more than rounding: one of the two is wrong."""
    air, dew = reading.values.get("air"), reading.values.get("dew_point")
    if air is None or dew is None:
        return
    bad = dew > air + DEW_ABOVE
    if bad.any():
        name = reading.specs["dew_point"].name
        for n in np.flatnonzero(bad).tolist():
            read = f"{dew[n] - ZERO_CELSIUS:.4g} degC, the air {air[n] - ZERO_CELSIUS:.4g} degC"
            reading.log.replace(int(reading.rows[n]), name, read, "a dew point above the air")
        text = f"{name} stands above the air in {bad.sum()} rows: the dew point is missing there"
        reading.log.flag("dew-above-air", text, "caution", name, reading.rows[bad])
        reading.values["dew_point"] = np.where(bad, np.nan, dew)


def _in_order(reading: Reading, time: Array, apart: tuple[str, ...]) -> Array:
    """Indices of the rows to keep, ascending in time; of equal times the first is kept and the rest dropped."""
    log = reading.log
    order = np.argsort(time, kind="stable")
    steps = np.diff(time)
    if len(steps) and np.all(steps <= 0.0) and np.any(steps < 0.0):
        log.flag("newest-first", "the newest row stands first; rows are turned to ascending time")
    elif np.any(steps < 0.0) and not apart:
        late = reading.rows[1:][steps < 0.0]
        log.flag("out-of-order", f"{len(late)} rows stand before an earlier one; rows are sorted", "caution", rows=late)
    first: dict[tuple[Any, ...], int] = {}
    kept = []
    for index in order.tolist():
        key = (time[index], *(reading.texts[name][index] for name in apart))
        if first.setdefault(key, index) == index:
            kept.append(index)
        else:
            _drop_twin(reading, first[key], index)
    return np.array(kept, dtype=np.int64)


def _drop_twin(reading: Reading, kept: int, twin: int) -> None:
    row, other = int(reading.rows[twin]), int(reading.rows[kept])
    same = all(np.array_equal(part[kept], part[twin], equal_nan=True) for part in reading.values.values())
    if same:
        reading.log.drop(row, f"line {row}", f"the same time and values as line {other}")
        return
    reading.log.drop(row, f"line {row}", f"the same time as line {other} with other values; the first is kept")
    text = "rows of one time with different values; the first of each is kept, nothing is averaged"
    _add_rows(reading.log, "conflicting-duplicate", text, row)


def _add_rows(log: Log, code: str, text: str, row: int) -> None:
    """Put one more row to a flag that stands, or raise it."""
    standing = [flag for flag in log.flags if flag.code == code and flag.text == text]
    rows = (*standing[0].rows, row) if standing else (row,)
    log.flags = [flag for flag in log.flags if flag not in standing]
    log.flag(code, text, "caution", rows=rows)
