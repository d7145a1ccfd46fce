"""METAR and SPECI text: one or many stations, one or many reports; trends are not read, of remarks only the tenths.

The text holds day and hour only: the month is asked, unless a date stands before the reports.
"""

from __future__ import annotations

import calendar
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from linewright.base.errors import InputError, Problem
from linewright.base.units import ZERO_CELSIUS
from linewright.importers import weather_clock
from linewright.importers.report import Array, Imported, Log, Question
from linewright.importers.text import TextFile
from linewright.importers.weather_clock import HOUR
from linewright.importers.weather_series import DEGREE, Ends, Reading, Spec, finished

HEAD = re.compile(
    r"(?:(?P<kind>METAR|SPECI)\s+)?(?:(?P<corrected>COR|CC[A-Z])\s+)?(?P<station>[A-Z][A-Z0-9]{3})\s+(?P<day>\d{2})(?P<hour>\d{2})(?P<minute>\d{2})Z\b(?P<rest>.*)",
    re.DOTALL,
)
_DATE = re.compile(r"(?<!\d)(\d{4})[-/]?(\d{2})[-/]?(\d{2})[ T,]*(\d{2}):?(\d{2})(?::\d{2})?Z?(?!\d)")
_WIND = re.compile(
    r"(?P<way>\d{3}|VRB|///)(?P<above>P)?(?P<speed>\d{2,3}|//)(?:G(?P<gust>P?\d{2,3}|//))?(?P<unit>KT|MPS|KMH)"
)
_AIR = re.compile(r"(?P<air>M?\d{2}|//)/(?P<dew>M?\d{2}|//)?")
_TENTHS = re.compile(r"T([01])(\d{3})(?:([01])(\d{3}))?")  # T01230101: 12.3 and 10.1 degC, 1 before minus (FMH-1, 12.7)
_PRESSURE = re.compile(r"(?P<unit>[QA])(?P<figure>\d{4}|////)")
_CLOUD = re.compile(r"(FEW|SCT|BKN|OVC|VV)(\d{3}|///)(?:CB|TCU|///)?|(SKC|CLR|NSC|NCD|CAVOK)")
AMOUNT = {
    "FEW": "0.1875",
    "SCT": "0.4375",
    "BKN": "0.75",
    "OVC": "1",
    "VV": "1",
    "SKC": "0",
    "CLR": "0",
    "NSC": "0",
    "NCD": "0",
    "CAVOK": "0",
}
ENDS_BODY = ("TEMPO", "BECMG", "NOSIG", "RMK", "INTER", "PROB30", "PROB40")
SPEED = {"KT": 1852.0 / 3600.0, "MPS": 1.0, "KMH": 1.0 / 3.6}
PRESSURE = {"Q": ("hPa", 100.0), "A": ("0.01 inHg", 33.86389)}
ROUNDED = 0.6  # [K] between tenths and the whole degrees that they round to
_HALF_MONTH = 15
LONGEST_REPORT = 20  # physical lines


@dataclass(frozen=True)
class Observation:
    """One report: line, kind, whether it corrects, station, day, time of day [s], full date if told, its groups."""

    row: int
    kind: str
    is_correction: bool
    station: str
    day: int
    second: float
    date: tuple[int, int, int] | None
    groups: tuple[str, ...]
    remarks: tuple[str, ...] = ()
    text: str = field(compare=False, default="")


def is_report(line: str) -> bool:
    """Whether a line is or holds the start of a report: station, time with Z, and a wind, AUTO or NIL."""
    match = HEAD.search(line)
    if match is None:
        return False
    return bool(match["kind"] or re.search(r"(?:^|\s)(?:\S+(?:KT|MPS|KMH)|AUTO|NIL|COR)\b", match["rest"]))


def read(file: TextFile, log: Log) -> Imported:
    """Reports, stations and kinds kept apart. Raises InputError without a report or with an impossible month."""
    found, count = _observations(file, log)
    if not found:
        problem = Problem(file.source.name, "no report", "METAR text: station, DDHHMMZ, wind, ...")
        raise InputError(f"{file.source.name} holds no report that can be used.", [problem])
    found = _corrected(found, log)
    reading = Reading(log, [item.row for item in found])
    _take_wind(reading, found)
    _take_rest(reading, found)
    reading.text("station", [item.station for item in found])
    reading.text("report_type", [item.kind for item in found])
    time = _times(found, log)
    stations = sorted(set(reading.texts["station"]))
    if len(stations) > 1:
        log.flag("stations", f"several stations are kept apart: {', '.join(stations[:20])}")
    extra = {
        "wind": "direction from, degrees true; 10 m by convention",
        "state_centre_seconds": 0.0,
        "air": "whole degrees, where no remark holds the tenths",
    }
    log.flag("wind-height", "the height of the wind is not stated; 10 m above open ground is assumed")
    because = "the text marks its times with Z"
    return finished(
        reading, file, Ends("weather", "metar", time, count, "UTC", because, ("station", "report_type"), extra=extra)
    )


def _observations(file: TextFile, log: Log) -> tuple[list[Observation], int]:
    found, count = [], 0
    for row, text, date in _texts(file.lines):
        count += 1
        match = HEAD.search(text)
        groups = match["rest"].split() if match else []
        if match is None:
            log.drop(row, text, "no report: no station and DDHHMMZ")
            continue
        if text.startswith("TAF"):
            log.drop(row, text, "a forecast, no observation")
            continue
        if "NIL" in groups:
            log.drop(row, text, "NIL: no report was made")
            continue
        day, hour, minute = int(match["day"]), int(match["hour"]), int(match["minute"])
        if not (1 <= day <= 31 and hour <= 23 and minute <= 59):
            log.drop(row, text, "no day and hour")
            continue
        corrects = bool(match["corrected"]) or any(re.fullmatch(r"COR|CC[A-Z]", group) for group in groups[:2])
        body = _body(groups)
        remarks = tuple(groups[groups.index("RMK") :]) if "RMK" in groups else ()
        dated = date if date is not None and date[2] == day else None
        kind = match["kind"] or "METAR"
        found.append(
            Observation(
                row, kind, corrects, match["station"], day, hour * HOUR + minute * 60.0, dated, body, remarks, text
            )
        )
    return found, count


def _body(groups: Sequence[str]) -> tuple[str, ...]:
    """Groups before any trend or remark."""
    end = next((index for index, group in enumerate(groups) if group in ENDS_BODY), len(groups))
    return tuple(groups[:end])


def _texts(lines: Sequence[str]) -> Iterator[tuple[int, str, tuple[int, int, int] | None]]:
    """Line number, text and date of each report; a report goes on over lines until = or the next start."""
    start, date = 0, None
    parts: list[str] = []
    for number, line in enumerate([*lines, ""], start=1):
        told = _DATE.search(line)
        begins = HEAD.search(line) is not None
        ends = bool(parts) and (begins or not line.strip() or "=" in parts[-1] or len(parts) >= LONGEST_REPORT)
        if ends:
            yield start, " ".join(parts).split("=")[0].strip(), date
            parts = []
        if told and not (parts and not begins):
            date = int(told[1]), int(told[2]), int(told[3])
        if begins or (parts and line.strip()):
            start = start if parts else number
            parts.append(line.strip())
        elif line.strip() and not told:
            yield number, line.strip(), None


def _corrected(found: list[Observation], log: Log) -> list[Observation]:
    """Corrections in the place of what they correct."""
    last: dict[tuple[str, str, int, float, tuple[int, int, int] | None], Observation] = {}
    for item in found:
        if item.is_correction:
            last[item.kind, item.station, item.day, item.second, item.date] = item
    kept = []
    for item in found:
        correction = last.get((item.kind, item.station, item.day, item.second, item.date), item)
        if correction is item:
            kept.append(item)
        else:
            log.drop(item.row, item.text, f"replaced by its correction in line {correction.row}")
    return kept


def _take_wind(reading: Reading, found: list[Observation]) -> None:
    """Direction, speed and gusts, each in the unit of its own report."""
    winds = [next((match for group in item.groups if (match := _WIND.fullmatch(group))), None) for item in found]
    units = sorted({match["unit"] for match in winds if match})
    because = "unit of each report: " + ", ".join(units)
    factors = np.array([SPEED[match["unit"]] if match else 1.0 for match in winds])
    above = [int(item.row) for item, match in zip(found, winds, strict=True) if match and match["above"]]
    if above:
        reading.log.flag(
            "above-scale", "wind above the scale (P): its figure is a lower bound", "caution", "wind", above
        )
    ways = ["///" if match is None else match["way"] for match in winds]
    words = ("///", "//", "VRB")
    variable = ["variable" if match is not None and match["way"] == "VRB" else "" for match in winds]
    reading.take(Spec("direction", "wind_from", DEGREE, 0.0, "deg", words=words), ways)
    for name, key in (("speed", "wind"), ("gust", "gust")):
        cells = [_figure_of(match, name) for match in winds]
        spec = Spec(name, key, 1.0, 0.0, "/".join(units), because, words=words)
        reading.put(spec, _scaled(reading, spec, cells, factors))
    reading.mark_calm(variable)


def _figure_of(match: re.Match[str] | None, name: str) -> str:
    return "" if match is None or match[name] is None else match[name].lstrip("P")


def _scaled(reading: Reading, spec: Spec, cells: list[str], factors: Array) -> Array:
    """Speeds in m/s of reports in different units; a gust that is not given is no fault."""
    if spec.key == "gust":
        return np.array([float(cell) if cell.isdigit() else np.nan for cell in cells]) * factors
    scaled = [
        f"{float(cell) * factor:.6f}" if cell.isdigit() else cell for cell, factor in zip(cells, factors, strict=True)
    ]
    figures = reading.take(spec, scaled)
    exact = np.array(
        [float(cell) * factor if cell.isdigit() else np.nan for cell, factor in zip(cells, factors, strict=True)]
    )
    return np.where(np.isnan(figures), np.nan, exact)


def _take_rest(reading: Reading, found: list[Observation]) -> None:
    """Air, dew point, pressure and cloud."""
    words = ("//", "////", "")
    airs = [next((match for group in item.groups if (match := _AIR.fullmatch(group))), None) for item in found]
    for name, key in (("air", "air"), ("dew", "dew_point")):
        cells = [(match[name] or "").replace("M", "-") if match else "" for match in airs]
        cells = _to_tenths(reading, found, cells, 1 if key == "air" else 3)
        reading.take(Spec(name, key, 1.0, ZERO_CELSIUS, "degC", "M means minus", words=words), cells)
    pressures = [
        next((match for group in item.groups if (match := _PRESSURE.fullmatch(group))), None) for item in found
    ]
    units = sorted({match["unit"] for match in pressures if match})
    told = ", ".join(f"{unit}: {PRESSURE[unit][0]}" for unit in units)
    raw = [match["figure"] if match else "" for match in pressures]
    factors = np.array([PRESSURE[match["unit"]][1] if match else 1.0 for match in pressures])
    cells = [
        f"{float(cell) * factor:.4f}" if cell.isdigit() else cell for cell, factor in zip(raw, factors, strict=True)
    ]
    reading.take(
        Spec("pressure", "pressure", 1.0, 0.0, "hPa/inHg" if len(units) > 1 else told, told, words=words), cells
    )
    reading.take(
        Spec("cloud", "cloud", 1.0, 0.0, "words", "the largest amount of any layer", words=words), _clouds(found)
    )
    reading.log.flag(
        "cloud-assumed",
        "cloud is of words (FEW 1.5, SCT 3.5, BKN 6 of 8), clear where low cloud is denied",
        column="cloud",
    )


def _to_tenths(reading: Reading, found: list[Observation], cells: list[str], part: int) -> list[str]:
    """Whole degrees with the tenths of the remark; one that does not round to them is said and left."""
    told, off = [], []
    for item, cell in zip(found, cells, strict=True):
        match = next((match for group in item.remarks if (match := _TENTHS.fullmatch(group))), None)
        tenths = (
            "" if match is None or match[part] is None else f"{'-' * int(match[part])}{int(match[part + 1]) / 10.0}"
        )
        fits = bool(tenths) and (not cell or abs(float(tenths) - float(cell)) <= ROUNDED)
        off += [item.row] if tenths and not fits else []
        told.append(tenths if fits else cell)
    name = "air" if part == 1 else "dew"
    if off:
        text = f"{name}: the tenths of the remark do not round to the whole degrees of the report, which are used"
        reading.log.flag("tenths-differ", text, "caution", name, off)
    if told != cells:
        reading.log.flag("tenths", f"{name}: tenths of a degree are those of the remark (T group)", column=name)
    return told


def _clouds(found: list[Observation]) -> list[str]:
    cells = []
    for item in found:
        layers = [match[1] or match[3] for group in item.groups if (match := _CLOUD.fullmatch(group))]
        amounts = [AMOUNT[layer] for layer in layers]
        cells.append(max(amounts, key=float) if amounts else "")
    return cells


def _times(found: list[Observation], log: Log) -> Array | None:
    """UTC times: from the dates told, else from the month that is asked."""
    if all(item.date is not None for item in found):
        starts = [weather_clock.day_start(*item.date) for item in found if item.date is not None]
        if None not in starts:
            log.flag("month-told", "year and month stand before the reports")
            return np.array(starts, dtype=float) + np.array([item.second for item in found])
    text = f"Which month is the first report of (day {found[0].day})? The reports give the day only. Write YYYY-MM."
    answer = log.ask(Question("month", text, because="a report holds day, hour and minute only"))
    if answer is None:
        return None
    match = re.fullmatch(r"(\d{4})-(\d{2})", answer)
    if not match or not (1800 <= int(match[1]) <= 2200 and 1 <= int(match[2]) <= 12):
        raise InputError("The answer to month cannot be used.", [Problem("month", answer, "YYYY-MM, as 2025-07")])
    return _from_month(found, int(match[1]) * 12 + int(match[2]) - 1)


def _from_month(found: list[Observation], first: int) -> Array:
    """Times counted on from a month; where the day leaps by more than half a month, the month has changed."""
    month: dict[str, int] = {}
    day: dict[str, int] = {}
    times = np.zeros(len(found))
    for index, item in enumerate(found):
        leap = item.day - day.get(item.station, found[0].day)
        change = 1 if leap < -_HALF_MONTH else -1 if leap > _HALF_MONTH else 0
        month[item.station] = month.get(item.station, first) + change
        day[item.station] = item.day
        year, number = divmod(month[item.station], 12)
        start = weather_clock.day_start(year, number + 1, item.day)
        if start is None:
            read = f"day {item.day} of {year}-{number + 1:02d}"
            problem = Problem(
                f"line {item.row}", read, f"a month with this day: it has {calendar.monthrange(year, number + 1)[1]}"
            )
            raise InputError("The answer to month cannot be used.", [problem])
        times[index] = start + item.second
    return times
