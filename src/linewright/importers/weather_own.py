"""An own CSV of weather or waves: columns by the words and units of their headings, or as the user says.

Answers: `column.air = "T2m"` names the column of a quantity, `unit.T2m = "degC"` its unit, `interval` which end of
its interval the time of a radiation value is, and those of the clock (time.zone, time.order).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from linewright.base.errors import InputError, Problem
from linewright.importers import cells, clock, header, weather_cells, weather_clock, weather_units, weather_words, zones
from linewright.importers.clock import Clock
from linewright.importers.report import Array, Imported, Log, Question
from linewright.importers.table import Table, read_table
from linewright.importers.text import TextFile
from linewright.importers.weather_series import QUANTITIES, Ends, Kind, Reading, Spec, figure, finished

SIGNS = frozenset(
    (
        "wind",
        "level",
        "relative_humidity",
        "dew_point",
        "cloud",
        "wave_height",
        "peak_period",
        "mean_period",
        "rain",
        "gust",
        "wind_from",
        "swell_height",
        "beam",
        "diffuse",
    )
)
CODES = (-9999.0, -999.0, -99999.0, 9999.0, 99999.0, -99.9, -999.9)
NONE = "none"  # no column is that quantity
SUN = ("level", "beam", "diffuse", "long_wave")
CENTRES = {"end": -0.5, "start": 0.5, "middle": 0.0}
ALIEN = re.compile(r"(?i)\b(tc|ch|chan|thermo|hook|line|l|load|tension)[ _-]?\d+|\bvessel\b|core|kern")


def recognises(table: Table) -> bool:
    """Whether a table is weather or waves by its headings: a clock, two quantities, no loads or probes."""
    if clock.time_column(table) is None:
        return False
    found = {weather_words.quantity(name) for name in table.names} - {""}
    alien = [name for name in table.names if _is_alien(name) and not weather_words.quantity(name)]
    has_air_and_one = "air" in found and bool(found & SIGNS)
    return not alien and (len(found & SIGNS) >= 2 or has_air_and_one)


def _is_alien(name: str) -> bool:
    split = header.split(name)
    unit = header.unit_of(split.unit)
    return bool(ALIEN.search(name)) or (
        unit is not None and unit.quantity in ("force", "share of LDBF", "share of SDMBL")
    )


def read(file: TextFile, log: Log) -> Imported:
    """Weather or waves of an own table. Raises InputError where there is no table; asks what headings do not say."""
    table = read_table(file, log)
    times = clock.read_clock(table, log)
    if times.zone is None and times.form in ("rows", "elapsed"):
        times = _started(times, table, log)
    reading = Reading(log, table.lines)
    columns = _columns(table, times.columns, log)
    for key, index in columns.items():
        _take(reading, table, (key, index), clock_step(times.time))
    _ask_needed(table, columns, times.columns, log)
    if "wind" in reading.values:
        reading.mark_calm()
    height = weather_words.wind_height(table.names[columns["wind"]], table.preamble) if "wind" in columns else ""
    extra = _notes(columns, times.time, height, log)
    if times.zone is not None:
        extra["utc_offset_hours"] = zones.standard_hours(times.zone)
    known = times.zone is not None and not times.is_open
    dated = np.isfinite(times.time)
    for row in reading.rows[~dated]:
        log.drop(int(row), f"line {row}", "no time that can be read")
    reading.keep(dated)
    kind: Kind = "weather" if {"air", "wind", "level"} & set(reading.values) else "waves"
    time = times.time[dated] if known else None
    return finished(reading, file, Ends(kind, "weather-csv", time, table.read, times.zone, times.because, extra=extra))


def _columns(table: Table, taken: tuple[int, ...], log: Log) -> dict[str, int]:
    """Column of each quantity: as answered, else by its heading; of two by heading the first."""
    found: dict[str, int] = {}
    for answer in [key for key in log.answers if key.startswith("column.")]:
        key = answer.removeprefix("column.")
        if key not in QUANTITIES:
            raise InputError(
                "An answer cannot be used.", [Problem(answer, key, f"a quantity: {', '.join(QUANTITIES)}")]
            )
        name = log.ask(Question(answer, f"Which column is {key}?", (*table.names, NONE)))
        if name is not None and name != NONE:
            found[key] = table.names.index(name)
    for index, name in enumerate(table.names):
        key = weather_words.quantity(name)
        if index in taken or index in found.values():
            continue
        if not key:
            log.flag("not-used", f"{name} is not used: its heading names no quantity known here", column=name)
        elif key in found:
            text = f"{name} seems to be {key} too; {table.names[found[key]]} is used"
            log.flag("column-twice", text, "caution", name)
        else:
            found[key] = index
    return found


def _ask_needed(table: Table, columns: dict[str, int], taken: tuple[int, ...], log: Log) -> None:
    """Ask for the column of air and wind if no heading names them and columns are left."""
    used = {*taken, *columns.values()}
    left = tuple(name for index, name in enumerate(table.names) if index not in used)
    for key in ("air", "wind"):
        if key not in columns and left and "wave_height" not in columns:
            log.ask(Question(f"column.{key}", f"Which column is {key}?", (*left, NONE), "no heading names it"))


def _take(reading: Reading, table: Table, place: tuple[str, int], step: float) -> None:
    """One column in its unit; a unit that neither heading nor units row tells is asked. step: between the rows [s]."""
    key, index = place
    log, name, column = reading.log, table.names[index], table.column(index)
    words = tuple({cell.strip() for cell in column if cells.is_missing(cell)})
    if weather_units.KIND[key] == "angle" and weather_cells.is_compass(column):
        column, words = weather_cells.degrees(column, name, log), (*words, *_still(column))
    mark, _ = cells.decimal_mark(column[:2000], table.parted_by)
    figures = [cells.number(cell, mark or ".") for cell in column]
    stated, because = _unit(table, place, figures, log)
    plain = [_plain(cell, mark or ".") for cell in column]
    if weather_cells.is_beaufort(stated) and weather_units.KIND[key] == "speed":
        log.flag("beaufort", f"{name}: numbers of the Beaufort scale are the middles of its classes", "caution", name)
        plain = [cell if value is None or value < 0.0 else f"{weather_cells.beaufort(value):.4f}"
                 for cell, value in zip(plain, figures, strict=True)]  # fmt: skip
        stated, because = "m/s", f"{because}: Beaufort"
    factor = weather_units.unit(stated, key)
    if factor is None:
        return
    if weather_units.is_energy(stated, key):
        text = f"{name}: {stated} is read as the sum over the {step / 60.0:g} min between two rows"
        log.flag("energy-per-interval", text, column=name)
        factor = (factor[0] * 3600.0 / step, factor[1])
    reading.take(Spec(name, key, factor[0], factor[1], stated, because, codes=CODES, words=words), plain)


def _unit(table: Table, place: tuple[str, int], figures: Sequence[float | None], log: Log) -> tuple[str, str]:
    """The unit of a column as it is spelled, and its evidence; empty while it is open or where it is not used."""
    key, index = place
    name = table.names[index]
    stated = table.units[index].strip() or weather_units.of_heading(name, key) or ""
    is_speed = weather_units.KIND[key] == "speed"
    is_known = weather_units.unit(stated, key) is not None or (is_speed and weather_cells.is_beaufort(stated))
    if f"unit.{name}" in log.answers or (not is_known and (stated or weather_units.KIND[key] != "angle")):
        told = f"its heading says {stated}, no unit of {key}" if stated else "its heading does not say"
        more = ("Beaufort",) if is_speed else ()
        stated, because = weather_units.ask(log, name, key, told, more) or "", "answered"
    elif not is_known:
        stated, because = "deg", "no unit stated; directions are read as degrees"
        log.flag("unit-assumed", f"{name} has no unit; it is read as degrees, the direction from", column=name)
    else:
        because = "unit of the heading"
    if stated == weather_units.SKIP:
        log.flag("not-used", f"{name} is not used, by answer", column=name)
        return "", because
    stated, doubt = weather_units.doubted(log, name, key, stated, figures)
    return stated, doubt or because


def _still(column: Sequence[str]) -> set[str]:
    """Words of a column of directions that say there is none."""
    return {cell.strip() for cell in column if cell.strip().lower() in weather_cells.STILL}


def _started(times: Clock, table: Table, log: Log) -> Clock:
    """A running clock from the date and time of its zero, which is asked. Raises InputError where there is none."""
    if times.form == "rows":
        problem = Problem("columns", ", ".join(table.names)[:80], "a column of dates and times")
        raise InputError("The table has no dates.", [problem])
    text = "When did the clock stand at 0? (such as 2026-03-01 08:00)"
    start = log.ask(Question("time.start", text, (), f"{table.names[times.columns[0]]} counts from a start"))
    zone = log.ask(clock.zone_question())
    if start is None or zone is None:
        return times
    begin = weather_clock.stamp(start)
    if begin is None:
        raise InputError("The answer to time.start cannot be used.",
                         [Problem("time.start", start, "a date and time, as 2026-03-01 08:00")])  # fmt: skip
    utc = float(zones.to_utc(np.array([begin]), zone, [0], log)[0])
    return replace(times, time=times.time + utc, zone=zone, because="answer")


def _plain(cell: str, mark: cells.Mark) -> str:
    """The cell as it stands, or with a decimal point where its marks are others."""
    value = cells.number(cell, mark)
    return cell if value is None or figure(cell.strip()) == value else repr(value)


def _notes(columns: dict[str, int], time: Array, height: str, log: Log) -> dict[str, object]:
    found: dict[str, object] = {
        "state_centre_seconds": 0.0,
        "wind": f"direction from, degrees true, {f'height {height}' if height else 'and 10 m assumed: not stated'}",
    }
    if height:
        log.flag("wind-height", weather_words.AT_HEIGHT.format(height=height))
    elif "wind" in columns:
        log.flag("wind-height", "the height of the wind is not stated; 10 m above open ground is assumed")
    if not set(SUN) & set(columns):
        return found
    text = "Is the time of a radiation value the end, the start or the middle of its interval?"
    label = log.ask(
        Question("interval", text, tuple(CENTRES), "radiation is a mean of an interval; the file does not say which")
    )
    step = clock_step(time)
    if label is not None:
        found["interval"] = {
            "label": label,
            "minutes": step / 60.0,
            "centre_seconds": CENTRES[label] * step,
            "of": "radiation",
        }
    return found


def clock_step(time: Array) -> float:
    """Usual step of times [s], an hour where there is none."""
    known = np.unique(time[np.isfinite(time)])
    return float(np.median(np.diff(known))) if known.size > 1 else 3600.0
