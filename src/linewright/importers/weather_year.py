"""From any weather with air and wind to the 8760 hours of a year; every hour that is made up is said."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Any

import numpy as np

from linewright.base.errors import InputError, Problem
from linewright.importers import climate_table, weather_clock
from linewright.importers.model import HourlyYear
from linewright.importers.report import Array, Imported, Log, Question
from linewright.importers.weather_clock import DAY, HOUR
from linewright.importers.weather_hours import SUN, Grid, complete_sky, elevation_of, filled

HOURS = 8760
LEAP_DAY = slice(59 * 24, 60 * 24)
LONGEST_GAP = 3  # hours that are interpolated
WRAPPED = 14  # hours beside the year that may take the place of its other end: the widest time zone
WHOLE = 0.95  # of a year's hours: a year to choose
Place = tuple[float, float]  # degrees north and east
PLACE = {"latitude": 90.0, "longitude": 180.0}  # largest of each [deg]
YEAR_KEYS = (
    "year",
    "station",
    "report_type",
    *PLACE,
    "relative_humidity",
    "cloud",
)
STATES = ("air", "dew_point", "wind", "cloud", "relative_humidity")


def year_of(imported: Imported, log: Log, place: Place | None = None) -> HourlyYear:
    """8760 hours of a year. Raises InputError for gaps above 3 h of air, wind or dew point, and for open questions.

    place is that of the climate card, degrees north and east, for a file that states none. A year that is whole in
    another time zone is used: hours beyond one end take the place of those that lack at the other, and it is said.
    A typical year stays as it is; of several real years one is asked (`year`); 29 February is left out. Cloud and
    radiation that are missing are made from each other, the sun and a clear sky, and flagged as estimates.
    """
    _refuse_without_hours(imported)
    rows = _chosen_rows(imported, log)
    grid = _grid(imported, rows, place, log)
    _flag_wrapped(imported, rows, grid, log)
    hours = {key: _binned(imported, key, rows, grid) for key in (*STATES, *SUN, "rain") if key in imported.values}
    asked = {key: _asked(log, key, hours) for key in ("relative_humidity", "cloud")}
    _refuse_open(imported, log)
    problems: list[Problem] = []
    for key in ("air", "wind"):
        hours[key] = filled(hours[key], key, (grid, log, problems), LONGEST_GAP)
    hours["dew_point"] = filled(_dew(hours, asked, log), "dew_point", (grid, log, problems), LONGEST_GAP)
    if problems:
        name = imported.report.file
        told = f"of {HOURS} hours, {np.isfinite(_binned(imported, 'air', rows, grid)).sum()} hours of air are given"
        raise InputError(f"{name} has gaps of more than {LONGEST_GAP} h; {told}.", problems)
    elevation = elevation_of(grid)
    complete_sky(hours, elevation, grid, (log, asked))
    return _year(imported, hours, elevation, (grid, log))


def hot_day(year: HourlyYear, share: float) -> HourlyYear:
    """The 24 hours of the day whose mean air stands at a share (0 to 1) of the year's days, by nearest rank."""
    if not 0.0 <= share <= 1.0:
        raise InputError("There is no such day.", [Problem("share", f"{share:g}", "a number from 0 to 1")])
    means = year.air.reshape(-1, 24).mean(axis=1)
    rank = min(max(int(np.ceil(share * len(means) - 1e-9)), 1), len(means)) - 1
    day = int(np.argsort(means, kind="stable")[rank])
    hours = slice(day * 24, day * 24 + 24)
    arrays = {item.name: getattr(year, item.name) for item in fields(year) if item.name != "report"}
    cut: dict[str, Any] = {name: part[hours] for name, part in arrays.items() if np.ndim(part)}
    return replace(year, **cut, report={**year.report, "day": day + 1, "share": share})


def _refuse_without_hours(imported: Imported) -> None:
    name, problems = imported.report.file, []
    if imported.time is None and not imported.report.is_open:
        problems.append(Problem(name, "no hours", "hourly weather; a monthly table becomes a climate card"))
    for key in ("air", "wind"):
        if key not in imported.values or not np.isfinite(imported.values[key]).any():
            problems.append(Problem(name, f"no {key}", "air temperature and wind speed, hour by hour"))
    if imported.report.is_open:
        problems = [Problem(item.key, "no answer", item.text) for item in imported.report.questions]
    if problems:
        raise InputError(f"{name} cannot become a year of hours.", problems)


def _refuse_open(imported: Imported, log: Log) -> None:
    if log.questions:
        do = f"linewright import {imported.report.file} --answer {{}}=... --into STUDY; name the kept file in the card"
        problems = [
            Problem(item.key, "no answer", f"{item.text} {' or '.join(item.choices)}".strip(), do.format(item.key))
            for item in log.questions
        ]
        raise InputError(f"{imported.report.file} leaves questions open.", problems)


def _chosen_rows(imported: Imported, log: Log) -> Array:
    """Rows of one station and one kind of report; of several the user's."""
    chosen = np.ones(len(imported.values["air"]), dtype=bool)
    for key, what in (("station", "station"), ("report_type", "type of report")):
        texts = np.array(imported.texts.get(key, ()), dtype=object)
        choices = tuple(sorted(set(texts[chosen].tolist()))) if len(texts) else ()
        if len(choices) < 2:
            continue
        answer = log.ask(
            Question(key, f"Which {what} shall make the year?", choices, f"{len(choices)} stand in the file")
        )
        if answer is not None:
            chosen &= texts == answer
    return chosen


def _place(imported: Imported, place: Place | None, log: Log) -> tuple[float, float]:
    """Degrees north and east: of the file, as answered, of the climate card, else asked."""
    found = []
    for n, (key, limit) in enumerate(PLACE.items()):
        value = imported.report.notes.get(key)
        if value is None and place is not None and key not in log.answers:
            value = place[n]
            log.flag("place-of-card", f"the file states no {key}; that of the climate card is used, {value:g} deg")
        elif value is None:
            answer = log.ask(
                Question(
                    key,
                    f"At which {key} does the station lie [deg, north and east positive]?",
                    (),
                    "the file does not say",
                )
            )
            value = _number(key, answer, (-limit, limit)) if answer is not None else 0.0
        found.append(float(value))
    return found[0], found[1]


def check_answer(key: str, answer: str) -> None:
    """Refuse an answer of YEAR_KEYS that cannot be a place or a share. Raises InputError."""
    if key in PLACE:
        _number(key, answer, (-PLACE[key], PLACE[key]))
    elif key in ("relative_humidity", "cloud"):
        _number(key, answer, (0.0, 100.0))


def _number(key: str, answer: str, limits: tuple[float, float]) -> float:
    """A number answered, within limits. Raises InputError."""
    try:
        value = float(answer)
    except ValueError:
        value = np.nan
    if not limits[0] <= value <= limits[1]:
        problem = Problem(key, answer, f"a number from {limits[0]:g} to {limits[1]:g}")
        raise InputError(f"The answer to {key} cannot be used.", [problem])
    return value


def _grid(imported: Imported, rows: Array, place: Place | None, log: Log) -> Grid:
    """The year's hours: of the typical year, of the only real one, or of the one that is asked."""
    notes = imported.report.notes
    latitude, longitude = _place(imported, place, log)
    zone = float(notes.get("utc_offset_hours", 0.0))
    known = rows & np.isfinite(imported.values["air"])
    middles = _centres(imported, "air")[known] + zone * HOUR
    if not middles.size:
        raise InputError(
            f"{imported.report.file} has no air.", [Problem("air", "no value in the chosen rows", "values")]
        )
    years, counts = np.unique(
        middles.astype("datetime64[s]").astype("datetime64[Y]").astype(int) + 1970, return_counts=True
    )
    hours = {int(year): len(np.unique(np.floor(middles[_is_year(middles, year)] / HOUR))) for year in years}
    whole = [year for year in sorted(hours) if hours[year] >= WHOLE * HOURS]
    year = whole[0] if whole else int(years[np.argmax(counts)])
    if len(whole) > 1:
        answer = log.ask(
            Question(
                "year",
                "Which year shall be used?",
                tuple(map(str, whole)),
                f"{len(whole)} whole years stand in the file",
            )
        )
        year = int(answer) if answer is not None else year
    if len(years) > 1 and not notes.get("typical_year"):
        log.flag("year-chosen", f"{year} is used of the years {years[0]} to {years[-1]}")
    start = weather_clock.day_start(year, 1, 1)
    days = 366 if weather_clock.day_start(year, 2, 29) is not None else 365
    first = (start or 0.0) - zone * HOUR
    lines: dict[int, int] = {}
    if imported.rows is not None:
        hours_of = np.floor((_centres(imported, "air")[known] - first) / HOUR + 1e-9).astype(np.int64)
        lines = dict(zip(hours_of.tolist(), imported.rows[known].tolist(), strict=True))
    return Grid(first, days * 24, year, latitude, longitude, zone, lines)


def _is_year(middles: Array, year: int) -> Array:
    first, last = weather_clock.day_start(int(year), 1, 1) or 0.0, weather_clock.day_start(int(year), 12, 31) or 0.0
    return np.asarray((middles >= first) & (middles < last + DAY))


def _centres(imported: Imported, key: str) -> Array:
    """The moment that each row's value stands for [UTC s]: the middle of its interval, or when it was observed."""
    assert imported.time is not None
    interval: Mapping[str, Any] = imported.report.notes.get("interval", {})
    shift = (
        interval.get("centre_seconds", 0.0) if key in SUN else imported.report.notes.get("state_centre_seconds", 0.0)
    )
    return imported.time + float(shift)


def _binned(imported: Imported, key: str, rows: Array, grid: Grid) -> Array:
    """Mean of the values that fall into each hour, else of those a year apart, NaN where there is neither."""
    values = imported.values[key]
    index = np.floor((_centres(imported, key) - grid.start) / HOUR + 1e-9).astype(np.int64)
    near = rows & np.isfinite(values) & (index >= -WRAPPED) & (index < grid.count + WRAPPED)
    inside = (index >= 0) & (index < grid.count)
    own, other = (
        _means(index[fits] % grid.count, values[fits], grid.count) for fits in (near & inside, near & ~inside)
    )
    return np.where(np.isnan(own), other, own)


def _means(index: Array, values: Array, size: int) -> Array:
    """Mean of the values of each index below size, NaN where there is none."""
    count = np.bincount(index, minlength=size)
    return np.where(count > 0, np.bincount(index, values, minlength=size) / np.maximum(count, 1), np.nan)


def _flag_wrapped(imported: Imported, rows: Array, grid: Grid, log: Log) -> None:
    """Say which hours of the year are those of a year before or after."""
    known = rows & np.isfinite(imported.values["air"])
    index = np.floor((_centres(imported, "air")[known] - grid.start) / HOUR + 1e-9).astype(np.int64)
    own = np.unique(index[(index >= 0) & (index < grid.count)])
    beside = index[(index >= -WRAPPED) & (index < grid.count + WRAPPED)]
    taken = np.setdiff1d(beside % grid.count, own)
    if taken.size:
        ends = f"{grid.date(int(taken[0]))} to {grid.date(int(taken[-1]))}"
        text = f"{taken.size} hours, {ends}, are those of the year beside: the file is cut in another time zone"
        log.flag("year-wrapped", text)


def _asked(log: Log, key: str, hours: Mapping[str, Array]) -> float | None:
    """A mean that the user gives where a file has nothing that tells it."""
    others = {"relative_humidity": ("dew_point", "relative_humidity"), "cloud": ("cloud", *SUN)}[key]
    if any(np.isfinite(hours[name]).any() for name in others if name in hours):
        return None
    text = {"relative_humidity": "What is the mean relative humidity [%]?", "cloud": "What is the mean cloud [%]?"}[key]
    answer = log.ask(Question(key, text, (), f"the file has no {' or '.join(others)}"))
    if answer is None:
        return None
    value = 0.01 * _number(key, answer, (0.0, 100.0))
    log.flag(f"{key.replace('_', '-')}-answered", f"{key} is {100 * value:g} % in every hour, as answered", "caution")
    return value


def _dew(hours: Mapping[str, Array], asked: Mapping[str, float | None], log: Log) -> Array:
    """Dew point as given, else from the humidity given or answered, by Magnus' formula."""
    dew = hours.get("dew_point", np.full(len(hours["air"]), np.nan))
    humidity = hours.get("relative_humidity", np.full(len(dew), np.nan))
    if asked["relative_humidity"] is not None:
        humidity = np.full(len(dew), asked["relative_humidity"])
    made = np.isnan(dew) & np.isfinite(humidity) & np.isfinite(hours["air"])
    if made.any():
        text = f"dew point of {made.sum()} hours from relative humidity (Magnus formula, Alduchov and Eskridge 1996)"
        log.flag("dew-point-made", text)
    return np.where(made, climate_table.dew_point(hours["air"], humidity), dew)


def _year(imported: Imported, hours: Mapping[str, Array], elevation: Array, known: tuple[Grid, Log]) -> HourlyYear:
    """The hours without a leap day, with the report of the file and of the year."""
    grid, log = known
    keep = np.ones(grid.count, dtype=bool)
    if grid.count > HOURS:
        keep[LEAP_DAY] = False
        log.flag("leap-day", "29 February is left out: a year has 8760 hours here")
    month = (grid.middle + grid.zone * HOUR).astype("datetime64[s]").astype("datetime64[M]").astype(int) % 12 + 1.0
    cut = {key: hours[key][keep] for key in ("air", "dew_point", "wind", "cloud", *SUN)}
    cut["dew_point"] = np.minimum(cut["dew_point"], cut["air"])
    cut["rain"] = _rain(hours, grid, log)[keep]
    report = imported.report.as_dict()
    told = [{**vars(flag), "rows": list(flag.rows)} for flag in log.flags]
    report["flags"] = [*report["flags"], *(flag for flag in told if flag not in report["flags"])]
    report["answers"] = {**report["answers"], **log.used}
    report.update(rows_kept=int(keep.sum()), year="typical" if imported.report.notes.get("typical_year") else grid.year)
    return HourlyYear(
        **cut,
        elevation=elevation[keep],
        month=month[keep].astype(np.float64),
        latitude=float(np.radians(grid.latitude)),
        longitude=float(np.radians(grid.longitude)),
        report=report,
    )


def _rain(hours: Mapping[str, Array], grid: Grid, log: Log) -> Array:
    """Rain of each hour [m]; hours without a reading count as dry."""
    rain = hours.get("rain", np.full(grid.count, np.nan))
    missing = int(np.sum(np.isnan(rain)))
    if 0 < missing < grid.count:
        log.flag("rain-missing", f"rain of {missing} hours is missing: they count as dry", column="rain")
    return np.maximum(np.nan_to_num(rain), 0.0)
