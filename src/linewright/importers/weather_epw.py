"""EPW: eight header lines, then 35 columns; each radiation value is the sum over the period that ends at its time.

Codes and ranges are those of the data dictionary of the format: a value at the code or above is missing.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from linewright.base.errors import InputError, Problem
from linewright.base.units import ZERO_CELSIUS
from linewright.importers import weather_clock
from linewright.importers.report import Array, Imported, Log
from linewright.importers.text import TextFile
from linewright.importers.weather_clock import HOUR
from linewright.importers.weather_place import Place, check_sun, checked_place, notes, times
from linewright.importers.weather_series import DEGREE, Ends, Reading, Spec, cells_of, finished

HEADERS = (
    "LOCATION",
    "DESIGN CONDITIONS",
    "TYPICAL/EXTREME PERIODS",
    "GROUND TEMPERATURES",
    "HOLIDAYS/DAYLIGHT SAVING",
    "COMMENTS 1",
    "COMMENTS 2",
    "DATA PERIODS",
)
FEWEST = 22  # columns up to the wind speed
MOST = 35
COLUMNS: dict[int, Spec] = {
    6: Spec("Dry Bulb Temperature", "air", 1.0, ZERO_CELSIUS, "degC", from_code=99.9, low=-70.0, high=70.0),
    7: Spec("Dew Point Temperature", "dew_point", 1.0, ZERO_CELSIUS, "degC", from_code=99.9, low=-70.0, high=70.0),
    8: Spec("Relative Humidity", "relative_humidity", 0.01, 0.0, "%", from_code=999.0, low=0.0, high=110.0),
    9: Spec("Atmospheric Station Pressure", "pressure", 1.0, 0.0, "Pa", from_code=999999.0, low=31000.0, high=120000.0),
    12: Spec("Horizontal Infrared Radiation Intensity", "long_wave", 1.0, 0.0, "Wh/m2", from_code=9999.0),
    13: Spec("Global Horizontal Radiation", "level", 1.0, 0.0, "Wh/m2", from_code=9999.0),
    14: Spec("Direct Normal Radiation", "beam", 1.0, 0.0, "Wh/m2", from_code=9999.0),
    15: Spec("Diffuse Horizontal Radiation", "diffuse", 1.0, 0.0, "Wh/m2", from_code=9999.0),
    20: Spec("Wind Direction", "wind_from", DEGREE, 0.0, "deg", from_code=999.0, low=0.0, high=360.0),
    21: Spec("Wind Speed", "wind", 1.0, 0.0, "m/s", from_code=999.0, low=0.0, high=40.0),
    22: Spec("Total Sky Cover", "cloud", 0.1, 0.0, "tenths", from_code=99.0, low=0.0, high=10.0),
}
INFRARED_RATIO = (0.7, 1.3)
RAIN_DEPTH, RAIN_HOURS = 33, 34
SUMS = ("long_wave", "level", "beam", "diffuse")  # per period, so a period of half an hour counts twice


def read(file: TextFile, log: Log) -> Imported:
    """Hourly or sub-hourly weather of an EPW file. Raises InputError without a place or without rows."""
    place, said, first = _header(file, log)
    rows, numbers, rows_read = _rows(file, log, first)
    per_hour = _records_per_hour(rows, said, log)
    dates = [tuple(int(part) for part in row[:3]) for row in rows]
    days = [(year, month, day) for year, month, day in dates]
    seconds = _seconds(rows, per_hour, log)
    time, calendar = times(days, seconds, place.zone, log)
    reading = Reading(log, numbers)
    for column, spec in COLUMNS.items():
        scaled = spec if spec.key not in SUMS else _per_hour(spec, per_hour)
        reading.take(scaled, [row[column] if column < len(row) else "" for row in rows])
    _take_rain(reading, rows)
    _check_infrared(reading)
    reading.mark_calm()
    minutes = 60.0 / per_hour
    check_sun(reading, time - 30.0 * minutes, place)
    zone = f"UTC{place.zone:+g} h, standard time all year" if place.zone else "UTC"
    because = f"LOCATION line: {place.zone:+g}"
    return finished(
        reading, file, Ends("weather", "epw", time, rows_read, zone, because, extra=notes(place, minutes, calendar))
    )


def _header(file: TextFile, log: Log) -> tuple[Place, int | None, int]:
    """Place, records per hour that are said, and the index of the first line behind the header."""
    place, said, last = None, None, -1
    for index, line in enumerate(file.lines[:40]):
        word = line.split(",", 1)[0].strip().upper()
        cells = [cell.strip() for cell in line.split(",")]
        if word == "LOCATION" and place is None:
            place = _place(file, cells)
        if word == "DATA PERIODS" and len(cells) > 2:
            said = weather_clock.whole(cells[2])
        if any(word.startswith(header) for header in HEADERS):
            last = index
        elif place is not None and word.isdigit():
            break
    if place is None:
        raise InputError(f"{file.source.name} has no place.", [Problem("LOCATION", "nothing", "the line LOCATION")])
    log.flag(
        "wind-height", "the height of the wind is not stated; 10 m above open ground is assumed", column="Wind Speed"
    )
    return place, said, last + 1


def _place(file: TextFile, cells: Sequence[str]) -> Place:
    try:
        numbers = [float(cell) for cell in cells[6:9]]
        latitude, longitude, zone = numbers
    except ValueError:
        latitude = longitude = zone = math.nan
    return checked_place(file.source.name, Place(latitude, longitude, zone, cells[9] if len(cells) > 9 else ""))


def _rows(file: TextFile, log: Log, first: int) -> tuple[list[list[str]], list[int], int]:
    """Data rows as cells, their line numbers, and how many were read."""
    rows, numbers, count = [], [], 0
    for number, line in enumerate(file.lines[first:], start=first + 1):
        if not line.strip():
            continue
        cells = cells_of(line)
        if any(cells[0].upper().startswith(header) for header in HEADERS):
            _repeated(file, number, cells, log)
            continue
        count += 1
        why = _unfit(cells)
        if why:
            log.drop(number, line, why)
        else:
            rows.append(cells)
            numbers.append(number)
    if not rows:
        raise InputError(
            f"{file.source.name} has no rows.", [Problem(file.source.name, "no data row", "rows of 35 columns")]
        )
    return rows, numbers, count


def _repeated(file: TextFile, number: int, cells: list[str], log: Log) -> None:
    """A header line among the rows: said once; another place is refused."""
    log.flag("header-again", "header lines stand among the rows; they are left out")
    if cells[0].upper() == "LOCATION":
        old = next(line for line in file.lines if line.strip().upper().startswith("LOCATION"))
        if [cell.strip() for cell in old.split(",")][6:9] != cells[6:9]:
            problem = Problem(f"line {number}", ",".join(cells)[:80], "one place in one file", "split the file")
            raise InputError(f"{file.source.name} holds two places.", [problem])


def _unfit(cells: list[str]) -> str:
    """Why a row cannot be used, or nothing."""
    if len(cells) < FEWEST:
        return f"{len(cells)} columns, at least {FEWEST} are needed: the row is cut"
    if any(cell for cell in cells[MOST:]):
        return f"{len(cells)} columns, the format has {MOST}"
    when = weather_clock.wholes(cells[:5])
    if when is None or weather_clock.day_start(*when[:3]) is None or not (0 <= when[3] <= 24 and 0 <= when[4] <= 60):
        return "no date and hour"
    cells[:5] = [str(part) for part in when]
    return ""


def _records_per_hour(rows: list[list[str]], said: int | None, log: Log) -> int:
    """Rows of one hour as the rows themselves tell, against what the header says."""
    hours = Counter(Counter(tuple(row[:4]) for row in rows).values())
    told = {tuple(row[:5]) for row in rows}
    seen = hours.most_common(1)[0][0] if len(told) > len({tuple(row[:4]) for row in rows}) else 1
    if said is not None and said != seen:
        text = f"the header says {said} records an hour, the rows show {seen}; the rows are believed"
        log.flag("records-per-hour", text, "caution")
    return min(seen, 60)


def _seconds(rows: list[list[str]], per_hour: int, log: Log) -> Array:
    """Seconds from the start of each date to the end of the row's period."""
    hours = np.array([float(row[3]) for row in rows])
    minutes = np.array([float(row[4]) for row in rows])
    if np.any(hours == 0.0) and not np.any(hours == 24.0):
        log.flag("hour-from-zero", "hours run from 0 to 23; hour 0 is read as the first hour of the day", "caution")
        hours = hours + 1.0
    if per_hour == 1:
        if np.any(minutes != 0.0):
            log.flag("minute-ignored", f"hourly rows: the minute field ({minutes.max():g}) is not used")
        return hours * HOUR
    late = _zero_ends_the_hour(rows)
    if np.any(minutes == 0.0):
        told = "the end of its hour" if late else "the start of its hour"
        log.flag("minute-zero", f"minute 0 is read as {told}, by the order of the rows", "caution")
    minutes = np.where((minutes == 0.0) & late, 60.0, minutes)
    return (hours - 1.0) * HOUR + minutes * 60.0


def _zero_ends_the_hour(rows: list[list[str]]) -> bool:
    """Whether minute 0 follows the other minutes of its hour."""
    pairs = [(first, second) for first, second in pairwise(rows) if first[:4] == second[:4]]
    return any(first[4] != "0" and second[4] == "0" for first, second in pairs)


def _per_hour(spec: Spec, per_hour: int) -> Spec:
    """A radiation column as the mean of its period [W/m2]: Wh/m2 of a part of an hour times the parts."""
    return Spec(
        spec.name,
        spec.key,
        float(per_hour),
        0.0,
        spec.unit,
        f"Wh/m2 over {60 / per_hour:g} min",
        from_code=spec.from_code,
    )


def infrared(air: Array, dew_point: Array, cloud: Array) -> Array:
    """Infrared light of the sky [W/m2] by the format's dictionary: air and dew point [K], cloud 0 to 1."""
    tenths = 10.0 * cloud
    clear = 0.787 + 0.764 * np.log(dew_point / 273.0)
    return clear * (1.0 + 0.0224 * tenths - 0.0035 * tenths**2 + 0.00028 * tenths**3) * 5.6697e-8 * air**4


def _check_infrared(reading: Reading) -> None:
    """The infrared column against the dictionary's law: a mean that is far off is flagged."""
    values = reading.values
    law = infrared(values["air"], values["dew_point"], values["cloud"])
    ratio = values["long_wave"] / law
    if not np.isfinite(ratio).any():
        return
    mean = float(np.nanmean(ratio))
    reading.log.notes["infrared_over_law"] = round(mean, 3)
    if not INFRARED_RATIO[0] <= mean <= INFRARED_RATIO[1]:
        text = f"infrared light is {mean:.2f} times what dew point and cloud give: check its unit and codes"
        reading.log.flag("infrared-differs", text, "caution", reading.specs["long_wave"].name)


def _take_rain(reading: Reading, rows: list[list[str]]) -> None:
    """Depth over its hours; hours that are not given count as one."""
    depth = [row[RAIN_DEPTH] if len(row) > RAIN_DEPTH else "" for row in rows]
    if not any(depth):
        return
    spec = Spec(
        "Liquid Precipitation Depth",
        "rain",
        1e-3,
        0.0,
        "mm",
        "over the hours of the next column, else one",
        from_code=999.0,
    )
    rain = reading.take(spec, depth)
    hours = [weather_clock.whole(row[RAIN_HOURS]) if len(row) > RAIN_HOURS else None for row in rows]
    reading.put(spec, rain / np.array([float(hour) if hour and 1 <= hour < 99 else 1.0 for hour in hours]))
