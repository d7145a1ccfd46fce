"""Hours of a weather reanalysis at one point, as CSV: K, m/s towards, J/m2 of the hour before the time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from linewright.base.errors import InputError, Problem
from linewright.importers import weather_clock, weather_sun
from linewright.importers.report import Array, Imported, Log, Question
from linewright.importers.text import TextFile
from linewright.importers.weather_clock import DAY, HOUR
from linewright.importers.weather_series import DEGREE, Ends, Kind, Reading, Spec, cells_of, figure, finished, names_of

TIMES = ("valid_time", "time", "date", "datetime")
_HOURLY_SUM = "sum over the hour that ends at the time, over 3600 s"
KNOWN: dict[str, Spec] = {
    "t2m": Spec("t2m", "air", unit="K", because="the name's unit"),
    "d2m": Spec("d2m", "dew_point", unit="K", because="the name's unit"),
    "sst": Spec("sst", "water", unit="K", because="the name's unit"),
    "sp": Spec("sp", "pressure", unit="Pa", because="the name's unit"),
    "msl": Spec("msl", "pressure", unit="Pa", because="the name's unit"),
    "tcc": Spec("tcc", "cloud", unit="0-1", because="the name's unit"),
    "i10fg": Spec("i10fg", "gust", unit="m/s", because="the name's unit"),
    "fg10": Spec("fg10", "gust", unit="m/s", because="the name's unit"),
    "tp": Spec("tp", "rain", unit="m", because="sum over the hour that ends at the time"),
    "ssrd": Spec("ssrd", "level", 1.0 / HOUR, 0.0, "J/m2", _HOURLY_SUM),
    "strd": Spec("strd", "long_wave", 1.0 / HOUR, 0.0, "J/m2", _HOURLY_SUM),
    "swh": Spec("swh", "wave_height", unit="m", because="significant height of all waves"),
    "mwp": Spec("mwp", "mean_period", unit="s", because="energy period, from the moment of order -1"),
    "pp1d": Spec("pp1d", "peak_period", unit="s", because="peak of the spectrum"),
    "mwd": Spec("mwd", "wave_from", DEGREE, 0.0, "deg", "mean direction, from"),
    "shts": Spec("shts", "swell_height", unit="m", because="total swell"),
    "mpts": Spec("mpts", "swell_period", unit="s", because="mean period of total swell"),
    "mdts": Spec("mdts", "swell_from", DEGREE, 0.0, "deg", "from"),
    "shww": Spec("shww", "wind_sea_height", unit="m", because="wind waves"),
    "mpww": Spec("mpww", "wind_sea_period", unit="s", because="mean period of wind waves"),
    "mdww": Spec("mdww", "wind_sea_from", DEGREE, 0.0, "deg", "from"),
}
LONG = {
    "2m_temperature": "t2m",
    "2m_dewpoint_temperature": "d2m",
    "10m_u_component_of_wind": "u10",
    "10m_v_component_of_wind": "v10",
    "surface_solar_radiation_downwards": "ssrd",
    "total_cloud_cover": "tcc",
    "surface_thermal_radiation_downwards": "strd",
    "mean_sea_level_pressure": "msl",
    "surface_pressure": "sp",
    "significant_height_of_combined_wind_waves_and_swell": "swh",
    "mean_wave_period": "mwp",
    "peak_wave_period": "pp1d",
    "mean_wave_direction": "mwd",
    "sea_surface_temperature": "sst",
    "total_precipitation": "tp",
}
PLACED = ("valid_time", "time", "date", "latitude", "lat", "longitude", "lon", "expver", "number", "")
SUMS = ("ssrd", "strd", "tp")
MOST_IN_AN_HOUR = 1500.0 * HOUR  # [J/m2]
FALL = 0.01  # of a day's largest sum: less is the rounding of packed files
FINAL, EARLY = "1", "5"
WORDS = ("nan", "NaN", "NA", "--", "null", "None")
CODES = (-32767.0, -32768.0, 9999.0, 1e20, 9.969209968386869e36, 9.96921e36)


def short(name: str) -> str:
    """A column's short name."""
    plain = name.strip().lower()
    return LONG.get(plain, plain)


def is_header(line: str) -> bool:
    """Whether a line names a time and at least two variables of a reanalysis."""
    names = {short(name) for name in cells_of(line)}
    return bool(names & set(TIMES)) and len(names & (set(KNOWN) | {"u10", "v10"})) >= 2


def read(file: TextFile, log: Log) -> Imported:
    """Hours at one point. Raises InputError without rows; asks for the point if there are several."""
    header = next((index for index, line in enumerate(file.lines) if is_header(line)), None)
    if header is None:
        problem = Problem(file.source.name, "no head", "a head with valid_time and names as t2m, u10")
        raise InputError(f"{file.source.name} has no head.", [problem])
    names = [short(name) for name in names_of(file.lines[header])]
    rows, numbers, times, count = _rows(file, log, names, header)
    chosen, point = _one_point(rows, numbers, log)
    chosen = _one_version(rows, times, chosen, numbers, log)
    rows, numbers, times = ([part[index] for index in chosen] for part in (rows, numbers, times))  # type: ignore[assignment]
    reading = Reading(log, numbers)
    time = np.array(times)
    _take(reading, names, rows, time)
    taken = {part for spec in reading.specs.values() for part in spec.name.split(", ")}
    log.unused([name for name in names if name not in taken and name not in PLACED])
    kind: Kind = "weather" if {"air", "wind", "level"} & set(reading.values) else "waves"
    extra = _notes(point, names)
    if "level" in reading.values and point is not None:
        weather_sun.check_noon(reading, time - 0.5 * HOUR, point)
    because = "the format's times are UTC"
    return finished(reading, file, Ends(kind, "reanalysis", time, count, "UTC", because, extra=extra))


def _notes(point: tuple[float, float] | None, names: Sequence[str]) -> dict[str, object]:
    found: dict[str, object] = {
        "interval": {
            "label": "end",
            "minutes": 60.0,
            "centre_seconds": -1800.0,
            "of": "radiation, rain: of the hour before",
        },
        "state_centre_seconds": 0.0,
        "wind": "10 m; direction from, degrees true, turned from components that blow towards",
        "waves": "directions from, degrees true; mean_period is the energy period (order -1)",
    }
    if point is not None:
        found.update(latitude=point[0], longitude=point[1])
    return found


def _rows(
    file: TextFile, log: Log, names: Sequence[str], header: int
) -> tuple[list[Mapping[str, str]], list[int], list[float], int]:
    time_name = next(name for name in TIMES if name in names)
    rows: list[Mapping[str, str]] = []
    numbers, times, count = [], [], 0
    for number, line in enumerate(file.lines[header + 1 :], start=header + 2):
        if not line.strip():
            continue
        if is_header(line):
            log.flag("header-again", "the head stands again among the rows; it is left out")
            continue
        count += 1
        cells = cells_of(line)
        row = dict(zip(names, cells, strict=False))
        time = weather_clock.stamp(row.get(time_name, ""))
        if time is None or len(cells) < len(names) or any(cells[len(names) :]):
            log.drop(number, line, f"{len(cells)} columns of {len(names)}, or no time in UTC")
            continue
        rows.append(row)
        numbers.append(number)
        times.append(time)
    if not rows:
        raise InputError(
            f"{file.source.name} has no rows.", [Problem(file.source.name, "no data row", "rows with a time")]
        )
    return rows, numbers, times, count


def _point(row: Mapping[str, str]) -> tuple[float, float] | None:
    latitude = figure(row.get("latitude", row.get("lat", "")))
    longitude = figure(row.get("longitude", row.get("lon", "")))
    if latitude is None or longitude is None or not (abs(latitude) <= 90.0 and -180.0 <= longitude <= 360.0):
        return None
    return round(latitude, 4), round(longitude - 360.0 if longitude > 180.0 else longitude, 4)


def _one_point(
    rows: Sequence[Mapping[str, str]], numbers: Sequence[int], log: Log
) -> tuple[list[int], tuple[float, float] | None]:
    """Rows of the one point; of several the user's. Longitudes from 0 to 360 are turned to -180 to 180."""
    points = [_point(row) for row in rows]
    known = sorted({point for point in points if point is not None})
    if any("longitude" in row and (figure(row["longitude"]) or 0.0) > 180.0 for row in rows[:1]):
        log.flag("longitude-turned", "longitudes run from 0 to 360; they are turned to -180 to 180")
    if len(known) < 2:
        return list(range(len(rows))), known[0] if known else None
    choices = tuple(f"{latitude:g},{longitude:g}" for latitude, longitude in known[:200])
    answer = log.ask(
        Question(
            "point",
            "Which point (latitude,longitude) shall be used?",
            choices,
            f"{len(known)} points stand in the file",
        )
    )
    point = known[choices.index(answer)] if answer is not None else known[0]
    for number, found in zip(numbers, points, strict=True):
        if found != point:
            log.drop(number, f"line {number}", "another point than the one used, or no point")
    return [index for index, found in enumerate(points) if found == point], point


def _one_version(
    rows: Sequence[Mapping[str, str]], times: Sequence[float], chosen: list[int], numbers: Sequence[int], log: Log
) -> list[int]:
    """Of a final and an early version of one hour the final one, unless it holds nothing."""
    if not any("expver" in rows[index] for index in chosen):
        return chosen
    version = {index: rows[index].get("expver", "").lstrip("0") for index in chosen}
    final = {times[index] for index in chosen if version[index] == FINAL and not _is_empty(rows[index])}
    early = {times[index] for index in chosen if version[index] == EARLY and not _is_empty(rows[index])}
    kept = []
    for index in chosen:
        if version[index] == EARLY and times[index] in final:
            log.drop(
                numbers[index],
                f"line {numbers[index]}",
                "an early version (expver 5); the final one (expver 1) is used",
            )
        elif _is_empty(rows[index]) and version[index] in (FINAL, EARLY) and times[index] in final | early:
            log.drop(numbers[index], f"line {numbers[index]}", "a version of the hour that holds nothing")
        else:
            kept.append(index)
    left = [numbers[index] for index in kept if version[index] == EARLY]
    if left:
        log.flag("preliminary", f"{len(left)} hours are early versions (expver 5) and may change", "caution", rows=left)
    return kept


def _is_empty(row: Mapping[str, str]) -> bool:
    values = [cell for name, cell in row.items() if name in KNOWN or name in ("u10", "v10")]
    return not any(cell and cell not in WORDS for cell in values)


def _take(reading: Reading, names: Sequence[str], rows: Sequence[Mapping[str, str]], time: Array) -> None:
    sums = _hour_sums(reading, {name: [row[name] for row in rows] for name in SUMS if name in names}, time)
    for name, known in KNOWN.items():
        if name not in names or known.key in reading.values:
            continue
        cells = sums[name] if name in sums else [row[name] for row in rows]
        reading.take(replace(known, words=WORDS, codes=CODES), cells)
    if "u10" in names and "v10" in names:
        _take_wind(reading, [row["u10"] for row in rows], [row["v10"] for row in rows])


def _hour_sums(reading: Reading, columns: Mapping[str, list[str]], time: Array) -> Mapping[str, list[str]]:
    """Sums of the hour; those since midnight, seen by their size or since they only grow, are asked and taken apart."""
    figures = {name: _figures(cells) for name, cells in columns.items()}
    large = [name for name in figures if name != "tp" and np.any(figures[name] > MOST_IN_AN_HOUR)]
    days = {name: _whole_days(values, time) for name, values in figures.items()}
    falling = [name for name, each in days.items() if np.any(np.diff(each) < -FALL * each.max(axis=1, keepdims=True))]
    growing = [name for name, each in days.items() if name not in falling and np.any(each > 0.0)]
    if not large and (falling or not growing):
        return columns
    why = f"{large[0]} holds more than the sun can give in an hour" if large else f"{growing[0]} never falls in a day"
    text = f"Do sums ({', '.join(columns)}) run over one hour, or since 00 UTC of each day?"
    if reading.log.ask(Question("accumulation", text, ("hour", "day"), why)) != "day":
        return columns
    apart = [name for name in columns if name in large or name not in falling]
    return {
        name: _since_midnight(reading, name, figures[name], time) if name in apart else cells
        for name, cells in columns.items()
    }


def _figures(cells: Sequence[str]) -> Array:
    return np.array([np.nan if (value := figure(cell)) is None or value in CODES else value for cell in cells])


def _whole_days(figures: Array, time: Array) -> Array:
    """The sums of each day that is told whole, from 01 to 24 UTC, shape (days, 24)."""
    at = {float(moment): value for moment, value in zip(time, figures, strict=True)}
    days = np.unique(np.floor((time - HOUR) / DAY)) * DAY
    found = np.array([[at.get(float(day + n * HOUR), np.nan) for n in range(1, 25)] for day in days])
    return np.asarray(found[np.isfinite(found).all(axis=1)])


def _since_midnight(reading: Reading, name: str, figures: Array, time: Array) -> list[str]:
    """Differences of consecutive hours; the first hour of a day, ending at 01, counts from zero."""
    at = {float(moment): value for moment, value in zip(time, figures, strict=True)}
    first = np.isclose(np.mod(time, DAY), HOUR)
    before = np.where(first, 0.0, [at.get(float(moment) - HOUR, np.nan) for moment in time])
    hours = figures - before
    hours = np.where((hours < 0.0) & (hours >= -FALL * before), 0.0, hours)
    alone = np.isnan(before) & np.isfinite(figures)
    if alone.any():
        text = f"sums of {name} since 00 UTC without the hour before them: missing"
        reading.log.flag("sum-alone", text, column=name, rows=reading.rows[alone])
    return ["" if np.isnan(hour) else repr(float(hour)) for hour in hours]


def _take_wind(reading: Reading, east: Sequence[str], north: Sequence[str]) -> None:
    """Speed, and direction from, of components towards east and north."""
    spec = Spec("u10, v10", "wind_u", unit="m/s")
    u, v = (_component(reading, replace(spec, name=name), cells) for name, cells in (("u10", east), ("v10", north)))
    because = "components u10 (towards east) and v10 (towards north)"
    speed = np.hypot(u, v)
    reading.made(Spec("u10, v10", "wind", unit="m/s", because=because), speed)
    way = np.mod(1.5 * np.pi - np.arctan2(v, u), 2.0 * np.pi)
    reading.made(Spec("from u10, v10", "wind_from", unit="m/s", because=because), way)
    reading.mark_calm()


def _component(reading: Reading, spec: Spec, cells: Sequence[str]) -> Array:
    """A component of the wind; its plausible range is that of a speed, either way."""
    sign = np.array([-1.0 if cell.strip().startswith("-") else 1.0 for cell in cells])
    codes = tuple(abs(code) for code in CODES)
    speed = reading.take(
        replace(spec, key="wind", words=WORDS, codes=codes), [cell.strip().lstrip("-+") for cell in cells]
    )
    return speed * sign
