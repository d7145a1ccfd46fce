"""Buoys: standard meteorological rows, real-time or historical, found by the names of their header.

Missing is MM, or 9s of the width that the column has; 99 degrees or 999.0 hPa may be real, so each column has its own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from linewright.base.errors import InputError, Problem
from linewright.base.units import ZERO_CELSIUS
from linewright.importers import weather_clock, weather_units, weather_words
from linewright.importers.report import Imported, Log
from linewright.importers.text import TextFile
from linewright.importers.weather_clock import HOUR
from linewright.importers.weather_series import DEGREE, Ends, Reading, Spec, finished

WORDS = ("MM", "N/A", "NaN", "//", "///")
_NINES = (99.0, 999.0, 9999.0)
_WIDE = (999.0, 9999.0)
CENTURY = 50  # two-digit years from here on are 19..
DATES = {"YY": "year", "YYYY": "year", "YR": "year", "MM": "month", "MO": "month", "DD": "day", "DY": "day",
         "hh": "hour", "HH": "hour", "hr": "hour", "mm": "minute", "mn": "minute"}  # fmt: skip
STANDARD: dict[str, Spec] = {
    **{name: Spec(name, "wind_from", DEGREE, 0.0, "degT", codes=_WIDE) for name in ("WDIR", "WD")},
    **{name: Spec(name, "wind", 1.0, 0.0, "m/s", codes=_NINES) for name in ("WSPD", "WSP")},
    "GST": Spec("GST", "gust", 1.0, 0.0, "m/s", codes=_NINES),
    "WVHT": Spec("WVHT", "wave_height", 1.0, 0.0, "m", "significant height", codes=_NINES),
    "DPD": Spec("DPD", "peak_period", 1.0, 0.0, "sec", "dominant period: that of the largest energy", codes=_NINES),
    "APD": Spec("APD", "mean_period", 1.0, 0.0, "sec", "average period of all waves (zero crossing)", codes=_NINES),
    "MWD": Spec("MWD", "wave_from", DEGREE, 0.0, "degT", "direction at the dominant period, from", codes=_WIDE),
    **{name: Spec(name, "pressure", 100.0, 0.0, "hPa", codes=(9999.0, 99999.0)) for name in ("PRES", "BAR", "BARO")},
    "ATMP": Spec("ATMP", "air", 1.0, ZERO_CELSIUS, "degC", codes=_WIDE),
    "WTMP": Spec("WTMP", "water", 1.0, ZERO_CELSIUS, "degC", codes=_WIDE),
    "DEWP": Spec("DEWP", "dew_point", 1.0, ZERO_CELSIUS, "degC", codes=_WIDE),
}  # fmt: skip


@dataclass(frozen=True)
class Table:
    """Rows under headers, one or several: names, units and cells by name, line numbers, times [s], remarks above."""

    names: tuple[str, ...]
    units: Mapping[str, str]
    rows: tuple[Mapping[str, str], ...]
    numbers: tuple[int, ...]
    times: tuple[float, ...]
    count: int
    preamble: tuple[str, ...] = ()


def header_names(line: str) -> list[str] | None:
    """Names of a header line: dates first, then at least one column; else None."""
    names = line.lstrip("\ufeff# \t").split()
    dates = [DATES.get(name) for name in names[:5]]
    if len(names) < 5 or dates[:4] != ["year", "month", "day", "hour"] or not line.strip().lstrip("#")[:1].isalpha():
        return None
    return names if names[1] == "MM" or names[0].startswith("YY") else None


def is_header(line: str) -> bool:
    """Whether a line is a header of standard rows."""
    names = header_names(line)
    return names is not None and len(set(names) & set(STANDARD)) >= 3 and not {"SwH", "WWH"} & set(names)


def read(file: TextFile, log: Log) -> Imported:
    """Rows of a standard file, real-time or historical. Raises InputError without header or rows."""
    table = table_of(file, log)
    reading = Reading(log, table.numbers)
    take_columns(reading, table, STANDARD)
    reading.mark_calm()
    log.unused([name for name in dict.fromkeys(table.names) if name not in STANDARD and name not in DATES])
    return finished(reading, file, ends("buoy", table, log))


def ends(form: str, table: Table, log: Log) -> Ends:
    """Time and notes of a buoy's rows."""
    height = weather_words.wind_height("", table.preamble)
    if {"WSPD", "WSP"} & set(table.names):
        text = "the height of the wind is not stated: buoys often measure at 3 to 5 m; 10 m is assumed"
        log.flag("wind-height", weather_words.AT_HEIGHT.format(height=height) if height else text)
    extra = {
        "wind": f"direction from, degrees true; height {height or 'not stated, 10 m assumed'}",
        "waves": "of the minutes before the time; directions from, degrees true",
        "mean_period": "APD: average of all waves, zero crossing",
        "state_centre_seconds": 0.0,
    }
    return Ends("waves", form, np.array(table.times), table.count, "UTC", "the format's times are UTC", extra=extra)


def take_columns(reading: Reading, table: Table, known: Mapping[str, Spec]) -> None:
    """Take every known column that a header names, in the unit of the units line if there is one."""
    for name in dict.fromkeys(table.names):
        spec = known.get(name)
        if spec is None or spec.key in reading.values:
            continue
        stated = table.units.get(name, "")
        factor = weather_units.unit(stated, spec.key) if stated.strip("-") else (spec.factor, spec.offset)
        if factor is None:
            problem = Problem(name, stated, f"a unit of {spec.key}, as {spec.unit}")
            raise InputError(f"The unit of {name} is not known.", [problem])
        because = "; ".join(filter(None, (spec.because, "units line" if stated else "the format's unit")))
        spec = replace(spec, factor=factor[0], offset=factor[1], unit=stated or spec.unit, because=because, words=WORDS)
        reading.take(spec, [row.get(name, "MM") for row in table.rows])


def table_of(file: TextFile, log: Log) -> Table:
    """The rows under their headers. Raises InputError without header or rows."""
    names: list[str] = []
    every: dict[str, None] = {}
    units: dict[str, str] = {}
    rows, numbers, times, count, is_below_header = [], [], [], 0, False
    preamble: list[str] = []
    for number, line in enumerate(file.lines, start=1):
        if not line.strip():
            continue
        header, is_below = header_names(line), is_below_header
        is_below_header = header is not None
        if header is not None:
            if names:
                log.flag("header-again", "header lines stand among the rows; each counts for the rows below it")
            names = header
            every.update(dict.fromkeys(names[_dates(names) :]))
            continue
        if _is_units(line, is_below):
            units.update(_units_of(names, line, number, log))
            continue
        if not names and line.lstrip("\ufeff ").startswith("#"):
            preamble.append(line)
            continue
        count += 1
        row = _row(names, line)
        if isinstance(row, str):
            log.drop(number, line, row)
            continue
        rows.append(row[0])
        numbers.append(number)
        times.append(row[1])
    if not rows:
        problem = Problem(file.source.name, "no header or no row", "a header YY MM DD hh ... and rows")
        raise InputError(f"{file.source.name} has no rows.", [problem])
    return Table(tuple(every), units, tuple(rows), tuple(numbers), tuple(times), count, tuple(preamble))


def _is_units(line: str, is_below_header: bool) -> bool:
    """Whether a line is one of units: it begins as the standard's does, or stands below a header without a year."""
    first = line.lstrip("# ").lower().split()[:2]
    return first == ["yr", "mo"] or (is_below_header and bool(first) and not first[0].isdigit())


def _units_of(names: Sequence[str], line: str, number: int, log: Log) -> dict[str, str]:
    """Units by column; what is not the standard's line of units is said."""
    told = line.lstrip("# ").split()
    if len(told) != len(names):
        text = f"the row below the header has {len(told)} cells, the header {len(names)}: the format's units are taken"
        log.flag("units-line", text, "caution", rows=[number])
        return {}
    found = dict(zip(names, told, strict=True))
    known = {name: STANDARD[name] for name in found if name in STANDARD}
    other = [f"{name} in {found[name]}" for name, spec in known.items()
             if weather_units.unit(found[name], spec.key) not in (None, (spec.factor, spec.offset))]  # fmt: skip
    if other:
        log.flag(
            "units-line",
            f"the row of units is not the format's usual one: {', '.join(other)}",
            "caution",
            rows=[number],
        )
    return found


def _dates(names: Sequence[str]) -> int:
    """How many columns make the date: four, or five with minutes."""
    return 5 if len(names) > 4 and DATES.get(names[4]) == "minute" else 4


def _row(names: Sequence[str], line: str) -> tuple[dict[str, str], float] | str:
    """Cells by name and the time, or why the row cannot be used."""
    cells = line.split()
    if not names:
        return "no header stands above"
    if len(cells) != len(names):
        return f"{len(cells)} columns, the header has {len(names)}"
    return _dated(names, cells)


def _dated(names: Sequence[str], cells: Sequence[str]) -> tuple[dict[str, str], float] | str:
    count = _dates(names)
    when = weather_clock.wholes(cells[:count])
    if when is None:
        return "no date and hour"
    year = when[0] + (1900 if when[0] >= CENTURY else 2000) if when[0] < 100 else when[0]
    start = weather_clock.day_start(year, when[1], when[2])
    minute = when[4] if count == 5 else 0
    if start is None or not (0 <= when[3] <= 23 and 0 <= minute <= 59):
        return "no date and hour"
    return dict(zip(names[count:], cells[count:], strict=True)), start + when[3] * HOUR + minute * 60.0
