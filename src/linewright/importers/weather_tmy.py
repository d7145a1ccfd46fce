"""TMY3: a site line, a line of names with units, hours 01:00 to 24:00 of local standard time; and the older TM2.

Names are matched near the standard. Each value of radiation is the mean of the hour that ends at its time.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from linewright.base.errors import InputError, Problem
from linewright.base.units import ZERO_CELSIUS
from linewright.importers import weather_clock, weather_sun, weather_units
from linewright.importers.report import Array, Imported, Log
from linewright.importers.text import TextFile
from linewright.importers.weather_clock import DAY, HOUR
from linewright.importers.weather_place import Place, check_sun, checked_place, notes, times
from linewright.importers.weather_series import DEGREE, Ends, Reading, Spec, cells_of, figure, finished, names_of

MISSING = -9900.0
CODES = (MISSING, -9999.0, 99999.0)
_WATT, _TENTHS = 1.0, 0.1
STANDARD: dict[str, tuple[Spec, tuple[str, ...]]] = {
    spec.key: (spec, names)
    for spec, names in (
        (
            Spec("", "air", 1.0, ZERO_CELSIUS, "C", codes=CODES),
            ("drybulb", "tempair", "airtemperature", "tdry", "temperature", "drybulbtemperature"),
        ),
        (
            Spec("", "dew_point", 1.0, ZERO_CELSIUS, "C", codes=CODES),
            ("dewpoint", "tempdew", "tdew", "dewpointtemperature"),
        ),
        (Spec("", "relative_humidity", 0.01, 0.0, "%", codes=CODES), ("rhum", "rh", "relativehumidity")),
        (
            Spec("", "pressure", 100.0, 0.0, "mbar", codes=CODES),
            ("pressure", "pres", "atmosphericpressure", "stationpressure"),
        ),
        (Spec("", "wind_from", DEGREE, 0.0, "degrees", codes=CODES), ("wdir", "winddirection", "winddir")),
        (Spec("", "wind", 1.0, 0.0, "m/s", codes=CODES), ("wspd", "windspeed", "wspeed", "windspd")),
        (Spec("", "level", _WATT, 0.0, "W/m^2", codes=CODES), ("ghi", "globalhorizontalirradiance")),
        (Spec("", "beam", _WATT, 0.0, "W/m^2", codes=CODES), ("dni", "directnormalirradiance")),
        (Spec("", "diffuse", _WATT, 0.0, "W/m^2", codes=CODES), ("dhi", "diffusehorizontalirradiance")),
        (Spec("", "cloud", _TENTHS, 0.0, "tenths", codes=CODES), ("totcld", "totalcloud", "totalskycover")),
        (Spec("", "rain", 1e-3, 0.0, "mm", "over its quantity of hours, else one", codes=CODES), ("lprecipdepth",)),
    )
}
DATES = ("date",)
TIMES = ("time", "hour", "hours")
Stamp = tuple[tuple[int, int, int], float]


def plain_name(name: str) -> str:
    """A column's name without its unit, in small letters and digits only."""
    return re.sub(r"[^a-z0-9]", "", re.sub(r"[\[(].*?[\])]", "", name).lower())


def bracket(name: str) -> str:
    """The unit in a name's brackets, or nothing."""
    match = re.search(r"[\[(](.*?)[\])]", name)
    return match.group(1).strip() if match else ""


def site(line: str) -> Place | None:
    """The site line's place: id, name, state, zone, latitude, longitude, height; None if it is none."""
    cells = cells_of(line)
    numbers = [figure(cell) for cell in cells[3:6]]
    if len(cells) < 6 or None in numbers:
        return None
    zone, latitude, longitude = (float(value) for value in numbers if value is not None)
    return Place(latitude, longitude, zone, cells[6] if len(cells) > 6 else "")


def is_header(line: str) -> bool:
    """Whether a line names a date, a time and a quantity of the standard."""
    names = [plain_name(name) for name in cells_of(line)]
    known = {name for _, spellings in STANDARD.values() for name in spellings}
    return any(name in DATES for name in names) and any(name in TIMES for name in names) and bool(known & set(names))


def read(file: TextFile, log: Log) -> Imported:
    """Hours of a TMY3 file, whole or in part. Raises InputError without a site line, names or rows."""
    start = next((index for index, line in enumerate(file.lines[:20]) if line.strip()), 0)
    place = site(file.lines[start]) if file.lines else None
    header = next((index for index, line in enumerate(file.lines[: start + 20]) if is_header(line)), None)
    if place is None or header is None:
        problem = Problem(
            file.source.name, (file.lines or ("",))[start][:80], "a site line, then a line with Date, Time and names"
        )
        raise InputError(f"{file.source.name} cannot be read as a typical year.", [problem])
    place = checked_place(file.source.name, place)
    names = names_of(file.lines[header])
    rows, numbers, stamps, count = _rows(file, names, header, log)
    reading = Reading(log, numbers)
    for spec, index in _specs(names, log):
        reading.take(spec, [row[index] for row in rows])
    _rain_hours(reading, names, rows)
    _refuse_absent(file, reading)
    label, seconds = _labels(stamps, log, reading, place)
    return _finish(reading, file, "tmy3", count, (place, label, [day for day, _ in stamps], seconds))


Dated = tuple[Place, str, list[tuple[int, int, int]], Array]


def _finish(reading: Reading, file: TextFile, form: str, count: int, dated: Dated) -> Imported:
    """Calendar, sun and report of hours with a place."""
    place, label, days, seconds = dated
    if label == "end":
        days, seconds = _ended(days, seconds)
    time, calendar = times(days, seconds, place.zone, reading.log)
    reading.mark_calm()
    half = 0.5 * HOUR if label == "start" else -0.5 * HOUR
    check_sun(reading, time + half, place)
    reading.log.flag("wind-height", "the height of the wind is not stated; 10 m above open ground is assumed")
    zone = f"UTC{place.zone:+g} h, standard time all year" if place.zone else "UTC"
    because = f"site line: {place.zone:+g}"
    extra = notes(place, 60.0, calendar, label)
    return finished(reading, file, Ends("weather", form, time, count, zone, because, extra=extra))


def _ended(days: Sequence[tuple[int, int, int]], seconds: Array) -> tuple[list[tuple[int, int, int]], Array]:
    """The end of a day belongs to it: 00:00 is written as 24:00 of the day before, so that months keep their hours."""
    found = list(days)
    for index in np.flatnonzero(seconds == 0.0).tolist():
        found[index] = weather_clock.month_day((weather_clock.day_start(*days[index]) or 0.0) - DAY)
    return found, np.where(seconds == 0.0, DAY, seconds)


def _refuse_absent(file: TextFile, reading: Reading) -> None:
    absent = [key for key in ("air", "wind") if key not in reading.values]
    if absent:
        problems = [Problem(file.source.name, "no such column", f"a column of {STANDARD[key][1][0]}") for key in absent]
        raise InputError(f"{file.source.name} cannot be read as a typical year.", problems)


def _specs(names: Sequence[str], log: Log) -> list[tuple[Spec, int]]:
    """Known columns by name, with the unit of their brackets."""
    found = []
    plain = [plain_name(name) for name in names]
    for key, (spec, spellings) in STANDARD.items():
        places = [index for name in spellings for index, part in enumerate(plain) if part == name]
        if not places:
            continue
        if len(places) > 1:
            log.flag(
                "column-twice", f"several columns of {key}; {names[places[0]]} is used", "caution", names[places[0]]
            )
        found.append((_with_unit(spec, names[places[0]], log), places[0]))
    return found


def _with_unit(spec: Spec, name: str, log: Log) -> Spec:
    """The column's spec with the factor of its stated unit, or of the standard where none is stated."""
    spelled = bracket(name)
    if not spelled or spelled == spec.unit or spec.key == "rain":
        because = spec.because or ("unit of the heading" if spelled else f"no unit stated; the standard's {spec.unit}")
        return replace(spec, name=name, because=because)
    unit = weather_units.unit(spelled, spec.key)
    if unit is None:
        problem = Problem(name, spelled, f"a unit of {spec.key}, as {spec.unit}")
        raise InputError(f"The unit of {name} is not known.", [problem])
    return replace(spec, name=name, factor=unit[0], offset=unit[1], unit=spelled, because="unit of the heading")


def _rows(
    file: TextFile, names: list[str], header: int, log: Log
) -> tuple[list[list[str]], list[int], list[Stamp], int]:
    plain = [plain_name(name) for name in names]
    date_at = next(index for index, name in enumerate(plain) if name in DATES)
    time_at = next(index for index, name in enumerate(plain) if name in TIMES)
    read_date = _date_reader(bracket(names[date_at]))
    rows, numbers, stamps, count = [], [], [], 0
    for number, line in enumerate(file.lines[header + 1 :], start=header + 2):
        if not line.strip():
            continue
        if (not line.lstrip()[:1].isdigit() and is_header(line)) or line.strip() == file.lines[0].strip():
            log.flag("header-again", "header lines stand among the rows; they are left out")
            continue
        count += 1
        cells = cells_of(line)
        found = _stamp(cells[date_at], cells[time_at], read_date) if len(cells) > max(date_at, time_at) else None
        if found is None or len(cells) < len(names) or any(cell.strip() for cell in cells[len(names) :]):
            what = (
                "no date and hour" if len(cells) == len(names) else f"{len(cells)} columns, the header has {len(names)}"
            )
            log.drop(number, line, what)
            continue
        rows.append(cells)
        numbers.append(number)
        stamps.append(found)
    if not rows:
        raise InputError(f"{file.source.name} has no rows.", [Problem(file.source.name, "no data row", "hours")])
    return rows, numbers, stamps, count


def _date_reader(spelled: str) -> Callable[[str], tuple[int, int, int] | None]:
    """Reads a date in the order that the heading says: MM/DD/YYYY or DD/MM/YYYY; year first is seen by itself."""
    day_first = spelled.upper().startswith("DD")

    def read_date(text: str) -> tuple[int, int, int] | None:
        parts = weather_clock.wholes(re.split(r"[/.-]", text.strip()))
        if parts is None or len(parts) != 3:
            return None
        if parts[0] > 31:
            year, month, day = parts
        else:
            first, second, year = parts
            day, month = (first, second) if day_first else (second, first)
        return (year, month, day) if weather_clock.day_start(year, month, day) is not None else None

    return read_date


def _stamp(date: str, time: str, read_date: Callable[[str], tuple[int, int, int] | None]) -> Stamp | None:
    day = read_date(date)
    match = re.fullmatch(r"\s*([0-9]{1,2})(?::?([0-9]{2}))?(?::00)?\s*", time)
    if day is None or not match or int(match.group(1)) > 24 or int(match.group(2) or 0) > 59:
        return None
    return day, int(match.group(1)) * HOUR + int(match.group(2) or 0) * 60.0


def _labels(stamps: list[Stamp], log: Log, reading: Reading, place: Place) -> tuple[str, Array]:
    """Whether the hour is named by its end or its start, and the seconds since the start of each date."""
    seconds = np.array([second for _, second in stamps])
    midnight = np.flatnonzero(seconds == 0.0)
    if not midnight.size:
        return "end", seconds
    if np.any(seconds == DAY):
        log.flag("midnight-twice", "both 00:00 and 24:00 occur; 00:00 is read as the end of the day before", "caution")
        return "end", seconds
    before = [(index, stamps[index - 1]) for index in midnight if index > 0]
    if before and all(day == stamps[index][0] and second == 23 * HOUR for index, (day, second) in before):
        log.flag("midnight-late", "00:00 stands behind 23:00 of the same date: it is read as 24:00", "note")
        seconds[midnight] = DAY
        return "end", seconds
    return _label_by_sun(stamps, seconds, (log, reading, place))


def _label_by_sun(stamps: list[Stamp], seconds: Array, known: tuple[Log, Reading, Place]) -> tuple[str, Array]:
    """Hours 00:00 to 23:00: the sun says whether they name their start or their end; else the start is assumed."""
    log, reading, place = known
    starts = np.array([weather_clock.day_start(*day) for day, _ in stamps], dtype=float)
    time = starts + seconds - place.zone * HOUR
    level = reading.values.get("level")
    shifts = {} if level is None else weather_sun.noon_shifts(time, level, (place.latitude, place.longitude))
    told = [shift for found in shifts.values() for shift in found]
    if told:
        shift = float(np.median(told))
        label = "start" if shift < 0.0 else "end"
        log.flag(
            "label-by-sun", f"hours run from 00:00; by the sun ({shift:+.0f} min from noon) they name their {label}"
        )
        return label, seconds
    first, last = seconds[0], seconds[-1]
    label = "start" if first == 0.0 and last == 23 * HOUR else "end"
    log.flag(
        "label-assumed", f"hours run from 00:00 and no clear day tells; they are taken to name their {label}", "caution"
    )
    return label, seconds


def _rain_hours(reading: Reading, names: list[str], rows: list[list[str]]) -> None:
    plain = [plain_name(name) for name in names]
    if "rain" not in reading.values or "lprecipquantity" not in plain:
        return
    at = plain.index("lprecipquantity")
    hours = [figure(row[at].strip()) for row in rows]
    over = np.array([hour if hour is not None and 1.0 <= hour <= 24.0 else 1.0 for hour in hours])
    reading.values["rain"] = reading.values["rain"] / over


# --- TM2 ---------------------------------------------------------------------------------------

TM2_HEAD = re.compile(
    r"\s*(\d{5})\s+(.{1,30}?)\s+([A-Z]{2})\s+(-?\d{1,2}(?:\.\d+)?)\s+([NS])\s*(\d{1,2})\s+(\d{1,2})\s+([EW])\s*(\d{1,3})\s+(\d{1,2})\s+(-?\d+)\s*"
)
TM2_COLUMNS: tuple[tuple[Spec, int, int], ...] = (
    (Spec("global horizontal", "level", unit="Wh/m2", codes=(9999.0,)), 17, 21),
    (Spec("direct normal", "beam", unit="Wh/m2", codes=(9999.0,)), 23, 27),
    (Spec("diffuse horizontal", "diffuse", unit="Wh/m2", codes=(9999.0,)), 29, 33),
    (Spec("total sky cover", "cloud", 0.1, 0.0, "tenths", codes=(99.0,)), 59, 61),
    (Spec("dry bulb", "air", 0.1, ZERO_CELSIUS, "0.1 degC", codes=(9999.0,)), 67, 71),
    (Spec("dew point", "dew_point", 0.1, ZERO_CELSIUS, "0.1 degC", codes=(9999.0,)), 73, 77),
    (Spec("relative humidity", "relative_humidity", 0.01, 0.0, "%", codes=(999.0,)), 79, 82),
    (Spec("pressure", "pressure", 100.0, 0.0, "mbar", codes=(9999.0,)), 84, 88),
    (Spec("wind direction", "wind_from", DEGREE, 0.0, "deg", codes=(999.0,)), 90, 93),
    (Spec("wind speed", "wind", 0.1, 0.0, "0.1 m/s", codes=(999.0, 9999.0)), 95, 98),
)
TM2_WIDTH = 98


def read_tm2(file: TextFile, log: Log) -> Imported:
    """Hours of a TM2 file: fixed columns, hour 1 to 24 of local standard time. Raises InputError without rows."""
    match = TM2_HEAD.fullmatch(file.lines[0]) if file.lines else None
    if match is None:
        problem = Problem(file.source.name, (file.lines or ("",))[0][:80], "a station line of the format")
        raise InputError(f"{file.source.name} cannot be read as a typical year.", [problem])
    zone, north, south_deg, south_min, east, east_deg, east_min, height = match.groups()[3:]
    latitude = (int(south_deg) + int(south_min) / 60.0) * (1.0 if north == "N" else -1.0)
    longitude = (int(east_deg) + int(east_min) / 60.0) * (1.0 if east == "E" else -1.0)
    place = checked_place(file.source.name, Place(latitude, longitude, float(zone), height))
    rows, days, seconds = [], [], []
    count = 0
    for number, line in enumerate(file.lines[1:], start=2):
        if not line.strip():
            continue
        count += 1
        when = weather_clock.wholes([line[1:3], line[3:5], line[5:7], line[7:9]]) if len(line) >= TM2_WIDTH else None
        if when is None or weather_clock.day_start(1900 + when[0], *when[1:3]) is None or not 1 <= when[3] <= 24:
            log.drop(number, line, "cut, or no date and hour")
            continue
        rows.append(number)
        days.append((1900 + when[0], when[1], when[2]))
        seconds.append(when[3] * HOUR)
    if not rows:
        raise InputError(f"{file.source.name} has no rows.", [Problem(file.source.name, "no data row", "hours")])
    reading = Reading(log, rows)
    for spec, start, end in TM2_COLUMNS:
        reading.take(spec, [file.lines[row - 1][start:end] for row in rows])
    return _finish(reading, file, "tm2", count, (place, "end", days, np.array(seconds)))
