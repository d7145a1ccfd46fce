"""Monthly climate tables: one row a month and place, and the tables that make a climate card of one place."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from linewright.base.errors import InputError, Problem
from linewright.base.units import ZERO_CELSIUS
from linewright.importers import weather_units
from linewright.importers.report import Array, Imported, Log, Question
from linewright.importers.text import TextFile
from linewright.importers.weather_series import Ends, Reading, Spec, cells_of, figure, finished, names_of

MONTHS = 12
NAMES = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
PLACES = ("port", "place", "site", "berth", "station", "harbour", "location", "name")
# Words that must all stand in a name, by quantity; the first that fits wins.
WORDS: tuple[tuple[str, tuple[tuple[str, ...], ...]], ...] = (
    (
        "air_high",
        (("t", "day"), ("t", "max"), ("air", "high"), ("temp", "max"), ("temp", "day"), ("tmax",), ("air", "day")),
    ),
    (
        "air_low",
        (("t", "night"), ("t", "min"), ("air", "low"), ("temp", "min"), ("temp", "night"), ("tmin",), ("air", "night")),
    ),
    ("dew_point", (("dew",), ("dewpoint",), ("td",))),
    ("relative_humidity", (("rh",), ("humidity",))),
    ("level_noon", (("ghi",), ("sun", "noon"), ("noon",), ("solar",))),
    ("wind_day", (("wind", "day"),)),
    ("wind_night", (("wind", "night"),)),
    ("wind", (("wind",),)),
    ("cloud", (("cloud",), ("sky",))),
    ("wave_height", (("hs",), ("swh",), ("wave", "height"), ("swell", "height"), ("hm",))),
    ("peak_period", (("tp",), ("peak", "period"))),
    ("mean_period", (("tz",), ("tm",), ("mean", "period"))),
    ("wave_from", (("wave", "from"), ("wave", "direction"), ("wave", "dir"))),
    ("severe_share", (("severe",),)),
)
MISSING = ("-", "--", "NA", "n/a", "N/A", "nan", "NaN")


@dataclass(frozen=True)
class MonthlyPlace:
    """Twelve months of one place in SI, NaN where missing, shape (12,) each."""

    place: str
    values: Mapping[str, Array]


def is_header(line: str) -> bool:
    """Whether a line names a month and at least two quantities of a climate, and no date or time."""
    mark = _mark(line)
    words = [_words(name) for name in cells_of(line, mark)]
    months = [part for part in words if part and part[0] in ("month", "monat", "mo")]
    quantities = {key for name in cells_of(line, mark) if (key := _quantity(name))}
    dated = any(
        {"date", "time", "year", "day", "hour"} == set(part) or part in (["date"], ["time"], ["year"], ["hour"])
        for part in words
    )
    return bool(months) and len(quantities) >= 2 and not dated


def _mark(line: str) -> str:
    return max(",;\t", key=line.count)


def _words(name: str) -> list[str]:
    return [word for word in re.split(r"[^A-Za-z0-9]+", name.lower()) if word]


def _quantity(name: str) -> str:
    words = set(_words(re.sub(r"[\[(].*?[\])]", "", name)))
    return next((key for key, options in WORDS if any(set(option) <= words for option in options)), "")


def read(file: TextFile, log: Log) -> Imported:
    """Months by place. Raises InputError without rows; asks for units that no name tells."""
    header = next((index for index, line in enumerate(file.lines) if is_header(line)), None)
    if header is None:
        raise InputError(
            f"{file.source.name} has no head.",
            [Problem(file.source.name, "no head", "a head with month and quantities")],
        )
    mark = _mark(file.lines[header])
    names = names_of(file.lines[header], mark)
    rows, numbers, count = _rows(file, log, names, header)
    if not rows:
        raise InputError(
            f"{file.source.name} has no rows.", [Problem(file.source.name, "no data row", "rows of months")]
        )
    month_at = next(index for index, name in enumerate(names) if _words(name)[:1] in (["month"], ["monat"], ["mo"]))
    place_at = next((index for index, name in enumerate(names) if set(_words(name)) & set(PLACES)), None)
    reading = Reading(log, numbers)
    reading.put(Spec(names[month_at], "month", unit="-"), np.array([float(_month(row[month_at]) or 0) for row in rows]))
    decimal_comma = mark == ";" and any(re.fullmatch(r"-?\d+,\d+", cell) for row in rows for cell in row)
    for spec, at in _specs(names, {month_at, place_at}, log):
        cells = [row[at].replace(",", ".") if decimal_comma else row[at] for row in rows]
        stated, doubt = weather_units.doubted(log, spec.name, spec.key, spec.unit, [figure(cell) for cell in cells])
        factor = weather_units.unit(stated, spec.key)
        if factor is not None:
            reading.take(replace(spec, factor=factor[0], unit=stated, because=doubt or spec.because), cells)
    places = [row[place_at] if place_at is not None else "" for row in rows]
    reading.text("place", places)
    content = _by_place(reading, places, log)
    extra = {
        "place_count": len(content),
        "wind": "height not stated",
        "waves": "heights are means of the month as the table says",
    }
    return finished(
        reading, file, Ends("weather", "climate-table", None, count, None, "", content=content, extra=extra)
    )


def _rows(file: TextFile, log: Log, names: Sequence[str], header: int) -> tuple[list[list[str]], list[int], int]:
    mark = _mark(file.lines[header])
    month_at = next(index for index, name in enumerate(names) if _words(name)[:1] in (["month"], ["monat"], ["mo"]))
    rows, numbers, count = [], [], 0
    for number, line in enumerate(file.lines[header + 1 :], start=header + 2):
        if not line.replace(mark, "").strip():
            continue
        if is_header(line):
            log.flag("header-again", "the head stands again among the rows; it is left out")
            continue
        count += 1
        cells = cells_of(line, mark)
        if len(cells) < len(names) or any(cells[len(names) :]):
            log.drop(number, line, f"{len(cells)} columns, the head has {len(names)}")
        elif _month(cells[month_at]) is None:
            log.drop(number, line, f"{cells[month_at]} is no month: a unit, a sum or a remark")
        else:
            rows.append(cells)
            numbers.append(number)
    return rows, numbers, count


def _month(cell: str) -> int | None:
    """1 to 12 of a number or an English name."""
    value = figure(cell.strip())
    if value is not None:
        return int(value) if value in range(1, MONTHS + 1) else None
    return NAMES.index(cell.strip().lower()[:3]) + 1 if cell.strip().lower()[:3] in NAMES else None


def _specs(names: Sequence[str], taken: set[int | None], log: Log) -> list[tuple[Spec, int]]:
    found: list[tuple[Spec, int]] = []
    for at, name in enumerate(names):
        key = _quantity(name) if at not in taken else ""
        if at in taken:
            continue
        if not key or key in [spec.key for spec, _ in found]:
            log.flag("not-used", f"{name} is not used", column=name)
            continue
        stated = weather_units.of_heading(name, key)
        because = "unit of the heading"
        if stated is None or weather_units.unit(stated, key) is None:
            stated = weather_units.ask(log, name, key, "its heading does not say")
            because = "answered"
        factor = weather_units.unit(stated, key) if stated else (1.0, 0.0)
        if stated == weather_units.SKIP:
            log.flag("not-used", f"{name} is not used, by answer", column=name)
        if factor is not None and stated:
            found.append((Spec(name, key, factor[0], factor[1], stated, because, words=MISSING), at))
    return found


def _by_place(reading: Reading, places: Sequence[str], log: Log) -> dict[str, MonthlyPlace]:
    """The months of each place; a place with missing or doubled months is flagged."""
    found = {}
    months = reading.values["month"].astype(int)
    for place in dict.fromkeys(places):
        rows = np.array([index for index, name in enumerate(places) if name == place])
        values = {key: np.full(MONTHS, np.nan) for key in reading.values if key != "month"}
        told = months[rows]
        if sorted(told) != list(range(1, MONTHS + 1)):
            text = f"{place or 'the place'} has the months {sorted(told.tolist())}, not each of 1 to 12 once"
            log.flag("months", text, "caution", rows=reading.rows[rows])
        for key, part in values.items():
            for row in rows[::-1]:  # of a month given twice the first counts
                part[months[row] - 1] = reading.values[key][row]
        found[place] = MonthlyPlace(place, values)
    return found


# --- a climate card ------------------------------------------------------------------------------

CARD_HEAD = "month,air_low,air_high,day_spread,dew_point,wind,cloud\nmonth,degC,degC,K,degC,m/s,%\n"


def card_tables(imported: Imported, place: str, log: Log) -> tuple[str, str] | None:
    """The TOML of a climate card and the CSV beside it, of one place of a monthly table; None while a question is open.

    Asked where the table does not say: `latitude` [deg], `day_spread` [K], `cloud` [%]. Wind is the mean of day and
    night, the dew point that of the stated humidity at the middle of day and night.
    """
    months: MonthlyPlace = imported.content[place]
    values = dict(months.values)
    latitude = _asked(log, "latitude", f"At which latitude does {place} lie [deg, north positive]?", (-90.0, 90.0))
    spread = _asked(log, "day_spread", "What is the standard deviation of the daily mean temperature [K]?", (0.0, 20.0))
    if "cloud" not in values:
        cloud = _asked(log, "cloud", "What is the mean cloud [%]? The table does not say.", (0.0, 100.0))
        values["cloud"] = np.full(MONTHS, np.nan if cloud is None else 0.01 * cloud)
    if latitude is None or spread is None or np.isnan(values["cloud"]).all():
        return None
    rows = _card_rows(place, _completed(values, place), spread)
    name = re.sub(r"[^a-z0-9]+", "-", place.lower()).strip("-") or "place"
    toml = (
        'format = 1\nkind = "climate"\n'
        f"title = {_quoted(place + ', monthly')}\n"
        f'latitude = "{latitude:g} deg"\nlongitude = "0 deg"\nmonths = "{name}-monthly.csv"\n'
        f'wind_at_line = "1"\nbasis = "estimate"\nsource = "{name}-table"\n'
        f"where = {_quoted(imported.report.file)}\n"
    )
    return toml, CARD_HEAD + rows


def _quoted(text: str) -> str:
    """A TOML text: backslash, quote and control characters escaped."""
    plain = text.replace("\\", "\\\\").replace('"', '\\"')
    return (
        '"'
        + "".join(char if char.isprintable() else f"\\u{ord(char):04x}" for char in plain if ord(char) < 0x10000)
        + '"'
    )


def _asked(log: Log, key: str, text: str, limits: tuple[float, float]) -> float | None:
    answer = log.ask(Question(key, text, because="a monthly table does not say it"))
    if answer is None:
        return None
    value = figure(answer)
    if value is None or not limits[0] <= value <= limits[1]:
        problem = Problem(key, answer, f"a number from {limits[0]:g} to {limits[1]:g}")
        raise InputError(f"The answer to {key} cannot be used.", [problem])
    return value


def _completed(values: dict[str, Array], place: str) -> dict[str, Array]:
    """Wind and dew point from what the table has. Raises InputError for months that lack what a card needs."""
    if "wind" not in values and {"wind_day", "wind_night"} <= set(values):
        values["wind"] = 0.5 * (values["wind_day"] + values["wind_night"])
    if "dew_point" not in values and {"relative_humidity", "air_low", "air_high"} <= set(values):
        middle = 0.5 * (values["air_low"] + values["air_high"])
        values["dew_point"] = dew_point(middle, values["relative_humidity"])
    problems = []
    for key in ("air_low", "air_high", "dew_point", "wind", "cloud"):
        if key not in values or np.isnan(values[key]).any():
            absent = np.flatnonzero(np.isnan(values[key])) + 1 if key in values else np.arange(1, MONTHS + 1)
            problems.append(Problem(place, f"no {key} in months {', '.join(map(str, absent))}", "twelve months"))
    if problems:
        raise InputError(f"{place} cannot be made a climate card.", problems)
    return values


def _card_rows(place: str, values: Mapping[str, Array], spread: float) -> str:
    rows = []
    for month in range(MONTHS):
        low, high, dew = (values[key][month] - ZERO_CELSIUS for key in ("air_low", "air_high", "dew_point"))
        cells = (low, high, spread, min(dew, high), values["wind"][month], 100.0 * values["cloud"][month])
        rows.append(",".join([str(month + 1), *(f"{cell + 0.0:.4g}" for cell in cells)]))
    return "\n".join(rows) + "\n"


def dew_point(air: Array, humidity: Array) -> Array:
    """Dew point [K] of air [K] and relative humidity [0-1], by Magnus' formula (Alduchov and Eskridge 1996)."""
    celsius = air - ZERO_CELSIUS
    known = np.where(humidity > 0.0, np.minimum(humidity, 1.0), math.nan)
    gamma = np.log(known) + 17.625 * celsius / (243.04 + celsius)
    return 243.04 * gamma / (17.625 - gamma) + ZERO_CELSIUS
