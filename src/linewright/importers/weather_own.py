"""An own CSV of weather or waves: columns by the words and units of their headings, or as the user says.

Answers: `column.air = "T2m"` names the column of a quantity, `unit.T2m = "degC"` its unit, `interval` which end of
its interval the time of a radiation value is, and those of the clock (time.zone, time.order).
"""

from __future__ import annotations

import re

import numpy as np

from linewright.base.errors import InputError, Problem
from linewright.importers import cells, clock, header, weather_units
from linewright.importers.report import Array, Imported, Log, Question
from linewright.importers.table import Table, read_table
from linewright.importers.text import TextFile
from linewright.importers.weather_series import QUANTITIES, Ends, Kind, Reading, Spec, figure, finished

# Words of a heading by quantity: one of the options, all of whose words stand in it; the first that fits wins.
WORDS: tuple[tuple[str, tuple[tuple[str, ...], ...]], ...] = (
    ("gust", (("gust",), ("gusts",), ("wgst",), ("boe",))),
    (
        "wind_from",
        (
            ("wind", "dir"),
            ("wind", "direction"),
            ("wdir",),
            ("wind", "from"),
            ("winddir",),
            ("windrichtung",),
            ("winddirection",),
        ),
    ),
    ("swell_height", (("swell", "height"), ("hs", "swell"), ("swell", "hs"))),
    ("swell_period", (("swell", "period"), ("tp", "swell"), ("swell", "tp"))),
    ("swell_from", (("swell", "dir"), ("swell", "direction"), ("swell", "from"))),
    ("wind_sea_height", (("windsea", "height"), ("hs", "windsea"), ("wind", "sea", "height"))),
    ("wave_from", (("mwd",), ("wave", "dir"), ("wave", "direction"), ("wave", "from"), ("dirp",))),
    ("wave_height", (("hs",), ("hm",), ("swh",), ("wvht",), ("wave", "height"), ("significant", "wave"))),
    ("peak_period", (("tp",), ("dpd",), ("peak", "period"))),
    ("mean_period", (("tm",), ("tz",), ("apd",), ("mwp",), ("mean", "period"), ("wave", "period"))),
    ("wind", (("wspd",), ("ws",), ("wind", "speed"), ("windspeed",), ("wind",), ("windgeschwindigkeit",), ("ff",))),
    ("dew_point", (("dew",), ("dewpoint",), ("dewp",), ("td",), ("taupunkt",))),
    (
        "water",
        (("sst",), ("water", "temp"), ("sea", "temp"), ("wtmp",), ("water", "temperature"), ("sea", "temperature")),
    ),
    ("relative_humidity", (("rh",), ("humidity",), ("rhum",), ("hum",), ("feuchte",), ("luftfeuchte",))),
    ("pressure", (("pressure",), ("pres",), ("slp",), ("mslp",), ("qnh",), ("baro",), ("luftdruck",))),
    ("beam", (("dni",), ("beam",), ("direct", "normal"))),
    ("diffuse", (("dhi",), ("diffuse",))),
    ("long_wave", (("longwave",), ("long", "wave"), ("infrared",), ("lw",))),
    ("level", (("ghi",), ("solar",), ("radiation",), ("irradiance",), ("global",), ("globalstrahlung",))),
    ("cloud", (("cloud",), ("clouds",), ("sky", "cover"), ("okta",), ("bewoelkung",), ("bewölkung",))),
    ("rain", (("rain",), ("precip",), ("precipitation",), ("rainfall",))),
    (
        "air",
        (
            ("air",),
            ("tair",),
            ("temp",),
            ("temperature",),
            ("atmp",),
            ("dry", "bulb"),
            ("drybulb",),
            ("lufttemperatur",),
            ("temperatur",),
        ),
    ),
)
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
SUN = ("level", "beam", "diffuse", "long_wave")
CENTRES = {"end": -0.5, "start": 0.5, "middle": 0.0}
ALIEN = re.compile(r"(?i)\b(tc|ch|chan|thermo|hook|line|l|load|tension)[ _-]?\d+|\bvessel\b|core|kern")


def quantity(name: str) -> str:
    """The quantity that a heading names, or nothing."""
    words = set(
        re.findall(r"[a-zäöü]+", re.sub(r"(?<=[a-z])(?=[A-Z])", " ", re.sub(r"[\[(].*?[\])]", "", name)).lower())
    )
    return next((key for key, options in WORDS if any(set(option) <= words for option in options)), "")


def recognises(table: Table) -> bool:
    """Whether a table is weather or waves by its headings: a clock, two quantities, no loads or probes."""
    if clock.time_column(table) is None:
        return False
    found = {quantity(name) for name in table.names} - {""}
    alien = [name for name in table.names if _is_alien(name) and not quantity(name)]
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
        problem = Problem(file.source.name, ", ".join(table.names)[:80], "a column of dates and times")
        raise InputError(f"{file.source.name} has no dates.", [problem])
    reading = Reading(log, table.lines)
    columns = _columns(table, times.columns, log)
    for key, index in columns.items():
        _take(reading, table, key, index)
    _ask_needed(table, columns, times.columns, log)
    if "wind" in reading.values:
        reading.mark_calm()
    extra = _notes(columns, times.time, log)
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
        name = log.ask(Question(answer, f"Which column is {key}?", tuple(table.names)))
        if name is not None:
            found[key] = table.names.index(name)
    for index, name in enumerate(table.names):
        key = quantity(name)
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
            log.ask(Question(f"column.{key}", f"Which column is {key}?", left, "no heading names it"))


def _take(reading: Reading, table: Table, key: str, index: int) -> None:
    """One column in its unit; a unit that neither heading nor units row tells is asked."""
    name, column = table.names[index], table.column(index)
    stated = table.units[index].strip() or weather_units.of_heading(name, key) or ""
    because = "unit of the heading"
    answer = f"unit.{name}"
    if answer in reading.log.answers or weather_units.unit(stated, key) is None:
        if weather_units.KIND[key] == "angle" and not stated:
            stated, because = "deg", "no unit stated; directions are read as degrees"
            reading.log.flag(
                "unit-assumed", f"{name} has no unit; it is read as degrees, the direction from", column=name
            )
        else:
            told = f"its heading says {stated}, no unit of {key}" if stated else "its heading does not say"
            stated = weather_units.ask(reading.log, name, key, told) or ""
            because = "answered"
    mark, _ = cells.decimal_mark(column[:2000], table.parted_by)
    figures = [cells.number(cell, mark or ".") for cell in column]
    stated, doubt = weather_units.doubted(reading.log, name, key, stated, figures)
    factor, because = weather_units.unit(stated, key), doubt or because
    if factor is None:
        return
    words = tuple({cell.strip() for cell in column if cells.is_missing(cell)})
    plain = [_plain(cell, mark or ".") for cell in column]
    reading.take(Spec(name, key, factor[0], factor[1], stated, because, codes=CODES, words=words), plain)


def _plain(cell: str, mark: cells.Mark) -> str:
    """The cell as it stands, or with a decimal point where its marks are others."""
    value = cells.number(cell, mark)
    return cell if value is None or figure(cell.strip()) == value else repr(value)


def _notes(columns: dict[str, int], time: Array, log: Log) -> dict[str, object]:
    found: dict[str, object] = {
        "state_centre_seconds": 0.0,
        "wind": "direction from, degrees true, and 10 m assumed: not stated",
    }
    if "wind" in columns:
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
