"""Hourly reports of weather stations: fixed-width ISD-Lite, and the global hourly CSV with packed, quoted fields.

Times are UTC. A figure is scaled only after its code for missing and its quality have been looked at.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

import numpy as np

from linewright.base.errors import InputError, Problem
from linewright.base.units import ZERO_CELSIUS
from linewright.importers import weather_clock
from linewright.importers.report import Imported, Log
from linewright.importers.text import TextFile
from linewright.importers.weather_clock import HOUR
from linewright.importers.weather_series import DEGREE, Ends, Reading, Spec, cells_of, figure, finished, names_of

WIND = "direction from, degrees true; 10 m by convention, the file does not say"
LITE = re.compile(r"\d{4} \d{2} \d{2} \d{2}( +-?\d+){1,8}\s*")
LITE_PLACES = ((13, 19), (19, 25), (25, 31), (31, 37), (37, 43), (43, 49), (49, 55), (55, 61))
LITE_COLUMNS = (
    Spec("air temperature", "air", 0.1, ZERO_CELSIUS, "0.1 degC", codes=(-9999.0,)),
    Spec("dew point temperature", "dew_point", 0.1, ZERO_CELSIUS, "0.1 degC", codes=(-9999.0,)),
    Spec("sea level pressure", "pressure", 10.0, 0.0, "0.1 hPa", codes=(-9999.0,)),
    Spec("wind direction", "wind_from", DEGREE, 0.0, "deg", codes=(-9999.0,)),
    Spec("wind speed rate", "wind", 0.1, 0.0, "0.1 m/s", codes=(-9999.0,)),
    Spec("sky condition", "cloud", 0.125, 0.0, "oktas", codes=(-9999.0,)),
    Spec("liquid precipitation, 1 h", "rain", 1e-4, 0.0, "0.1 mm", codes=(-9999.0,)),
)
# Codes 11 to 19 of the sky condition are words: scattered 3-4, broken 5-7, overcast 8 oktas; 9 and 10 tell no amount.
SKY_WORDS = {**dict.fromkeys(("11", "12", "13"), "3.5"), **dict.fromkeys(("14", "15", "16"), "6"),
             **dict.fromkeys(("17", "18", "19"), "8")}  # fmt: skip
OBSCURED = ("9", "10", "09")
SUSPECT = {"2": "suspect", "3": "erroneous", "6": "suspect", "7": "erroneous"}
SUMMARIES = ("SOD", "SOM", "SOY")


def read_lite(file: TextFile, log: Log) -> Imported:
    """Hours of an ISD-Lite file. Raises InputError without rows."""
    rows, numbers, times, count = [], [], [], 0
    for number, line in enumerate(file.lines, start=1):
        if not line.strip():
            continue
        count += 1
        cells = _lite_cells(line)
        when = weather_clock.wholes([line[0:4], line[5:7], line[8:10], line[11:13]])
        start = weather_clock.day_start(*when[:3]) if when else None
        if cells is None or when is None or start is None or not 0 <= when[3] <= 23:
            log.drop(number, line, "not twelve columns with a date and hour: cut or no row of the format")
            continue
        rows.append(cells)
        numbers.append(number)
        times.append(start + when[3] * HOUR)
    _refuse_empty(file, rows, "rows of twelve columns")
    reading = Reading(log, numbers)
    for index, spec in enumerate(LITE_COLUMNS):
        cells = [row[index] for row in rows]
        if spec.key == "cloud":
            cells = _sky(reading, spec.name, cells)
        if spec.key == "rain":
            cells = _trace(reading, spec.name, cells)
        reading.take(spec, cells)
    reading.mark_calm()
    log.flag("wind-height", "the height of the wind is not stated; 10 m above open ground is assumed")
    extra = {
        "wind": WIND,
        "state_centre_seconds": 0.0,
        "observed": "nearest the hour; air and dew point may differ by 10 min",
    }
    ends = Ends("weather", "isd-lite", np.array(times), count, "UTC", "the format's times are UTC", extra=extra)
    return finished(reading, file, ends)


def _lite_cells(line: str) -> list[str] | None:
    """The eight figures: by their places, or by blanks where a line keeps no places."""
    placed = [line[start:end].strip() for start, end in LITE_PLACES]
    if len(line.rstrip()) >= 60 and all(re.fullmatch(r"-?\d+", cell) for cell in placed):
        return placed
    parted = line.split()
    if len(parted) == 12 and all(re.fullmatch(r"-?\d+", cell) for cell in parted):
        return parted[4:]
    return None


def _sky(reading: Reading, name: str, cells: Sequence[str]) -> list[str]:
    """Oktas of sky codes; an obscured sky has no amount."""
    found = []
    for index, cell in enumerate(cells):
        amount = SKY_WORDS.get(cell, cell)
        if cell in OBSCURED:
            reading.log.replace(int(reading.rows[index]), name, cell, "obscured sky: no amount is told")
            amount = "-9999"
        elif amount != cell:
            reading.log.replace(int(reading.rows[index]), name, cell, "a word of amount", f"{amount} oktas")
        found.append(amount)
    return found


def _trace(reading: Reading, name: str, cells: Sequence[str]) -> list[str]:
    """A trace of rain, written -1, is no depth."""
    rows = [int(reading.rows[index]) for index, cell in enumerate(cells) if cell == "-1"]
    for row in rows:
        reading.log.replace(row, name, "-1", "a trace, too little to measure", "0")
    return ["0" if cell == "-1" else cell for cell in cells]


def _refuse_empty(file: TextFile, rows: Sequence[object], needs: str) -> None:
    if not rows:
        raise InputError(f"{file.source.name} has no rows.", [Problem(file.source.name, "no data row", needs)])


# --- global hourly CSV ---------------------------------------------------------------------------

PACKED = ("TMP", "DEW", "SLP", "WND")
CSV_COLUMNS = {
    "TMP": Spec("TMP", "air", 0.1, ZERO_CELSIUS, "0.1 degC", codes=(9999.0,)),
    "DEW": Spec("DEW", "dew_point", 0.1, ZERO_CELSIUS, "0.1 degC", codes=(9999.0,)),
    "SLP": Spec("SLP", "pressure", 10.0, 0.0, "0.1 hPa", codes=(99999.0,)),
    "OC1": Spec("OC1", "gust", 0.1, 0.0, "0.1 m/s", codes=(9999.0,)),
}
USED = ("STATION", "DATE", "LATITUDE", "LONGITUDE", "REPORT_TYPE", "")
QUALITY = frozenset("01456789ACIMPRU23")


def is_global_header(line: str) -> bool:
    """Whether a line is the head of the CSV: station, date and at least one packed field."""
    names = [name.strip().upper() for name in cells_of(line)]
    return {"STATION", "DATE"} <= set(names) and bool(set(PACKED) & set(names))


def read_global(file: TextFile, log: Log) -> Imported:
    """Reports of the global hourly CSV, report types and stations kept apart. Raises InputError without rows."""
    header = next((index for index, line in enumerate(file.lines) if is_global_header(line)), None)
    if header is None:
        raise InputError(
            f"{file.source.name} has no head.", [Problem(file.source.name, "no head", "STATION, DATE, TMP ...")]
        )
    names = [name.upper() for name in names_of(file.lines[header])]
    rows, numbers, times, count = _global_rows(file, log, names, header)
    _refuse_empty(file, rows, "rows with a date")
    reading = Reading(log, numbers)
    for name, spec in CSV_COLUMNS.items():
        if name in names:
            reading.take(spec, _packed(reading, name, [row[name] for row in rows], (0, 1)))
    if "WND" in names:
        _take_wind(reading, [row["WND"] for row in rows])
    _take_sky(reading, names, rows)
    _take_hour_rain(reading, names, rows)
    reading.text("station", [row["STATION"] for row in rows])
    if "REPORT_TYPE" in names:
        reading.text("report_type", [row["REPORT_TYPE"].strip() for row in rows])
    _say_types(reading)
    log.unused([name for name in names if name not in {*USED, *(spec.name for spec in reading.specs.values())}])
    extra = {"wind": WIND, "state_centre_seconds": 0.0, **_global_place(rows)}
    log.flag("wind-height", "the height of the wind is not stated; 10 m above open ground is assumed")
    apart = tuple(name for name in ("station", "report_type") if name in reading.texts)
    ends = Ends("weather", "isd-csv", np.array(times), count, "UTC", "the format's times are UTC", apart, extra=extra)
    return finished(reading, file, ends)


def _global_rows(
    file: TextFile, log: Log, names: list[str], header: int
) -> tuple[list[dict[str, str]], list[int], list[float], int]:
    rows, numbers, times, count = [], [], [], 0
    for number, line in enumerate(file.lines[header + 1 :], start=header + 2):
        if not line.strip():
            continue
        if is_global_header(line):
            log.flag("header-again", "the head stands again among the rows; it is left out")
            continue
        count += 1
        cells = cells_of(line)
        row = dict(zip(names, cells, strict=False))
        time = weather_clock.stamp(row.get("DATE", ""))
        if time is None or len(cells) < len(names) or any(cells[len(names) :]):
            log.drop(number, line, f"{len(cells)} columns of {len(names)}, or no date: the row is cut")
        elif row.get("REPORT_TYPE", "").strip() in SUMMARIES:
            log.drop(number, line, "a summary of a day or month, no report of an hour")
        else:
            rows.append(row)
            numbers.append(number)
            times.append(time)
    return rows, numbers, times, count


def _packed(reading: Reading, name: str, cells: Sequence[str], places: tuple[int, int]) -> list[str]:
    """One part of packed cells; a suspect or erroneous quality makes it missing and is listed."""
    found, bad = [], []
    for index, cell in enumerate(cells):
        parts = [part.strip() for part in cell.split(",")]
        value = parts[places[0]] if len(parts) > places[0] else ""
        quality = parts[places[1]] if len(parts) > places[1] else ""
        if value and quality in SUSPECT and set(value.strip("+-")) != {"9"}:
            reading.log.replace(int(reading.rows[index]), name, cell, f"quality {quality}: {SUSPECT[quality]}")
            bad.append(int(reading.rows[index]))
            value = "9" * len(value.strip("+-"))
        found.append(value)
    if bad:
        text = f"{name} has values whose quality is suspect or erroneous (2, 3, 6, 7); they are missing"
        reading.log.flag("poor-quality", text, "caution", name, bad)
    return found


def _take_wind(reading: Reading, cells: Sequence[str]) -> None:
    """Direction, its quality, type (C calm, V variable, N normal), speed and its quality."""
    direction = Spec("WND", "wind_from", DEGREE, 0.0, "deg", codes=(999.0,))
    speed = Spec("WND", "wind", 0.1, 0.0, "0.1 m/s", codes=(9999.0,))
    kinds = [([part.strip() for part in cell.split(",")] + [""] * 3)[2] for cell in cells]
    named = ["variable" if kind == "V" else "calm" if kind == "C" else "" for kind in kinds]
    ways = _packed(reading, "WND", cells, (0, 1))
    reading.take(direction, ways)
    wind = reading.take(speed, _packed(reading, "WND", cells, (3, 4)))
    calm = np.array([kind == "calm" for kind in named], dtype=bool)
    odd = calm & ~(wind == 0.0)
    if odd.any():
        text = "wind is called calm with a speed or without one; the speed is taken as written"
        reading.log.flag("calm-with-speed", text, "caution", "WND", reading.rows[odd])
        named = ["" if item == "calm" and other else item for item, other in zip(named, odd, strict=True)]
    reading.mark_calm(named)


def _take_sky(reading: Reading, names: Sequence[str], rows: Sequence[dict[str, str]]) -> None:
    """Total sky cover of GF1, else the cover of the lowest layer GA1 that is told, in oktas."""
    name = next((name for name in ("GF1", "GA1") if name in names), None)
    if name is None:
        return
    quality = 2 if name == "GF1" else 1
    cells = _packed(reading, name, [row[name] for row in rows], (0, quality))
    plain = [cell.lstrip("0") or "0" if cell else "" for cell in cells]
    spec = Spec(name, "cloud", 0.125, 0.0, "oktas", codes=(99.0, -9999.0))
    reading.take(spec, _sky(reading, name, plain))
    if name == "GA1":
        text = "cloud is the cover of the lowest layer (GA1), a lower bound of the whole"
        reading.log.flag("cloud-assumed", text, "caution", name)


def _take_hour_rain(reading: Reading, names: Sequence[str], rows: Sequence[dict[str, str]]) -> None:
    """Depth of one hour from AA1; sums of other periods are not used."""
    if "AA1" not in names:
        return
    cells, other = [], []
    for index, row in enumerate(rows):
        hours, depth = ([part.strip() for part in row["AA1"].split(",")] + [""])[:2]
        is_hour = figure(hours) == 1.0
        cells.append(depth if is_hour else "")
        if depth and not is_hour and figure(hours) != 99.0:
            other.append(int(reading.rows[index]))
    if other:
        text = "rain of other periods than one hour is not used"
        reading.log.flag("rain-period", text, column="AA1", rows=other)
    reading.take(Spec("AA1", "rain", 1e-4, 0.0, "0.1 mm", "sums of one hour", codes=(9999.0,)), cells)


def _say_types(reading: Reading) -> None:
    kinds = Counter(reading.texts.get("report_type", ()))
    if len(kinds) > 1:
        told = ", ".join(f"{kind} {count}" for kind, count in sorted(kinds.items()))
        reading.log.flag("report-types", f"several types of report stand beside each other and are kept apart: {told}")
    stations = sorted(set(reading.texts["station"]))
    if len(stations) > 1:
        reading.log.flag("stations", f"several stations are kept apart: {', '.join(stations[:20])}")


def _global_place(rows: Sequence[dict[str, str]]) -> dict[str, float]:
    """Latitude and longitude where all rows agree."""
    found = {}
    for name, key in (("LATITUDE", "latitude"), ("LONGITUDE", "longitude")):
        told = {value for row in rows if (value := figure(row.get(name, "").strip())) is not None}
        if len(told) == 1:
            found[key] = told.pop()
    return found
