"""Waves of buoys: the spectral summary with swell and wind sea apart, and raw spectral densities."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from linewright.base.errors import InputError, Problem
from linewright.importers import buoy
from linewright.importers.report import Array, Imported, Log
from linewright.importers.text import TextFile
from linewright.importers.weather_cells import COMPASS
from linewright.importers.weather_clock import HOUR, day_start, wholes
from linewright.importers.weather_series import DEGREE, Ends, Reading, Spec, figure, finished

_NINES = (99.0, 999.0, 9999.0)
SUMMARY: dict[str, Spec] = {
    "WVHT": Spec("WVHT", "wave_height", 1.0, 0.0, "m", "significant height", codes=_NINES),
    "SwH": Spec("SwH", "swell_height", 1.0, 0.0, "m", codes=_NINES),
    "SwP": Spec("SwP", "swell_period", 1.0, 0.0, "sec", "period of the swell's largest energy", codes=_NINES),
    "WWH": Spec("WWH", "wind_sea_height", 1.0, 0.0, "m", codes=_NINES),
    "WWP": Spec("WWP", "wind_sea_period", 1.0, 0.0, "sec", "period of the wind sea's largest energy", codes=_NINES),
    "SwD": Spec("SwD", "swell_from", DEGREE, 0.0, "degT", codes=(999.0,)),
    "WWD": Spec("WWD", "wind_sea_from", DEGREE, 0.0, "degT", codes=(999.0,)),
    "APD": Spec("APD", "mean_period", 1.0, 0.0, "sec", "average period of all waves (zero crossing)", codes=_NINES),
    "MWD": Spec("MWD", "wave_from", DEGREE, 0.0, "degT", "direction at the dominant period, from", codes=(999.0,)),
}
SPLIT_ROUNDING = 0.15  # [m] what rounding of three heights to 0.1 m can do
SPLIT_SHARE = 0.05


def is_summary(line: str) -> bool:
    """Whether a line is the header of a spectral summary."""
    names = buoy.header_names(line)
    return names is not None and {"WVHT", "SwH", "WWH"} <= set(names)


def read_summary(file: TextFile, log: Log) -> Imported:
    """Heights, periods and directions of swell and wind sea. Raises InputError without header or rows."""
    table = buoy.table_of(file, log)
    rows = [
        {**row, **{name: _degrees(row[name]) for name in ("SwD", "WWD", "MWD") if name in row}} for row in table.rows
    ]
    units = {name: unit for name, unit in table.units.items() if name not in ("SwD", "WWD", "MWD")}
    turned = replace(table, units=units, rows=tuple(rows))
    reading = Reading(log, table.numbers)
    buoy.take_columns(reading, turned, SUMMARY)
    _without_system(reading, "swell", "SwH")
    _without_system(reading, "wind_sea", "WWH")
    _check_split(reading)
    if "STEEPNESS" in table.names:
        reading.text("steepness", [_word(row.get("STEEPNESS", "MM")) for row in table.rows])
    return finished(reading, file, buoy.ends("buoy-summary", table, log))


def _word(cell: str) -> str:
    """A word, empty where it stands for missing."""
    return "" if cell in buoy.WORDS else cell


def _degrees(cell: str) -> str:
    """Degrees of a compass letter, as text; anything else as it stands."""
    return f"{COMPASS[cell.upper()]:g}" if cell.upper() in COMPASS else cell


def _without_system(reading: Reading, system: str, name: str) -> None:
    """Where the height is 0 the system is absent: it keeps the height, and has no period or direction."""
    height = reading.values.get(f"{system}_height")
    if height is None:
        return
    absent = height == 0.0
    for part in ("period", "from"):
        if f"{system}_{part}" in reading.values:
            reading.values[f"{system}_{part}"] = np.where(absent, np.nan, reading.values[f"{system}_{part}"])
    if absent.any():
        text = f"no {system.replace('_', ' ')}: height 0, no period"
        reading.log.flag(f"no-{system.replace('_', '-')}", text, "note", name, reading.rows[absent])


def _check_split(reading: Reading) -> None:
    """WVHT^2 = SwH^2 + WWH^2 within rounding: energy adds."""
    whole, swell, sea = (reading.values.get(f"{name}_height") for name in ("wave", "swell", "wind_sea"))
    if whole is None or swell is None or sea is None:
        return
    differs = np.abs(whole - np.hypot(swell, sea)) > np.maximum(SPLIT_ROUNDING, SPLIT_SHARE * whole)
    if differs.any():
        text = "swell and wind sea do not add to the whole height (WVHT^2 against SwH^2 + WWH^2)"
        reading.log.flag("split-differs", text, "caution", "WVHT", reading.rows[differs])


# --- raw spectra ---------------------------------------------------------------------------------


@dataclass(frozen=True)
class Spectra:
    """Spectral densities: frequencies [Hz] shape (f,), densities [m2/Hz] (t, f), separation of swell [Hz] (t,)."""

    frequencies: Array
    densities: Array
    separation: Array

    def rows(self, order: Array) -> Spectra:
        """These rows, in this order."""
        return Spectra(self.frequencies, self.densities[order], self.separation[order])


_PAIR = re.compile(r"(\S+)\s*\(\s*([0-9.]+)\s*\)")
NO_SEPARATION = 9.999
HIGHEST_DENSITY = 1e4  # [m2/Hz]
Raw = tuple[int, float, float, tuple[float, ...], list[str]]  # line, time, separation, frequencies, cells


def is_table_header(line: str) -> bool:
    """Whether a line is a date header followed by rising frequencies."""
    parts = line.lstrip("# ").split()
    if [buoy.DATES.get(name) for name in parts[:4]] != ["year", "month", "day", "hour"]:
        return False
    numbers = [figure(part) for part in parts[4 + (buoy.DATES.get(([*parts, ""])[4]) == "minute") :]]
    known = [value for value in numbers if value is not None]
    return len(known) == len(numbers) > 3 and all(0.0 < a < b for a, b in pairwise(known))


def is_spectra(lines: Sequence[str]) -> bool:
    """Whether lines hold raw spectral densities, in pairs or as a table."""
    pairs = any("sep_freq" in line.lower() for line in lines[:3]) or any(
        len(_PAIR.findall(line)) > 3 for line in lines[:5]
    )
    return pairs or any(is_table_header(line) for line in lines[:3])


def read_spectra(file: TextFile, log: Log) -> Imported:
    """Densities by frequency, with height and periods made from them. Raises InputError without rows."""
    _refuse_directions(file)
    raw, count = _raw_rows(file, log)
    raw = _of_one_axis(raw, log)
    if not raw:
        problem = Problem(file.source.name, "no row", "rows of value (frequency) pairs, or a header of frequencies")
        raise InputError(f"{file.source.name} has no rows.", [problem])
    reading = Reading(log, [row[0] for row in raw])
    densities = np.array([_densities(row, log) for row in raw])
    spectra = Spectra(np.array(raw[0][3]), densities, np.array([row[2] for row in raw]))
    _put_moments(reading, spectra)
    log.notes["frequencies"] = {
        "count": len(spectra.frequencies),
        "low": raw[0][3][0],
        "high": raw[0][3][-1],
        "unit": "Hz",
    }
    extra = {"densities": "m2/Hz, of the minutes before the time", "state_centre_seconds": 0.0}
    times = np.array([row[1] for row in raw])
    ends = Ends(
        "waves", "buoy-spectra", times, count, "UTC", "the format's times are UTC", content=spectra, extra=extra
    )
    return finished(reading, file, ends)


def _refuse_directions(file: TextFile) -> None:
    """Files of mean directions and of their spread have the same rows as densities; their header tells."""
    head = next((line for line in file.lines if line.lstrip().startswith("#")), "")
    if re.search(r"(?i)alpha|\br1|\br2|swdir|swr", head):
        problem = Problem(file.source.name, head[:80], "spectral densities, value (frequency)")
        raise InputError(f"{file.source.name} holds directions by frequency, no densities.", [problem])


def _raw_rows(file: TextFile, log: Log) -> tuple[list[Raw], int]:
    names: list[str] = []
    raw: list[Raw] = []
    count = 0
    for number, line in enumerate(file.lines, start=1):
        if not line.strip():
            continue
        if is_table_header(line):
            names = line.lstrip("# ").split()
            continue
        if line.startswith("#") or line.lstrip("# ")[:2].upper() in ("YY", "YR"):
            continue
        count += 1
        found = _pairs(number, line) if "(" in line else _table_row(number, line, names)
        if isinstance(found, str):
            log.drop(number, line, found)
        else:
            raw.append(found)
    return raw, count


def _time(cells: Sequence[str], with_minute: bool) -> float | None:
    count = 5 if with_minute else 4
    when = wholes(cells[:count])
    if when is None or len(when) < count:
        return None
    year = when[0] + (1900 if when[0] >= buoy.CENTURY else 2000) if when[0] < 100 else when[0]
    start = day_start(year, when[1], when[2])
    minute = when[4] if with_minute else 0
    if start is None or not (0 <= when[3] <= 23 and 0 <= minute <= 59):
        return None
    return start + when[3] * HOUR + minute * 60.0


def _pairs(number: int, line: str) -> Raw | str:
    """A row of pairs: date, separation frequency, then density (frequency) again and again."""
    pairs = _PAIR.findall(line)
    parts = line.split("(", 1)[0].split()
    time = _time(parts, True)
    frequencies = [figure(pair[1]) for pair in pairs]
    known = tuple(value for value in frequencies if value is not None)
    if time is None or len(parts) < 6 or line.count("(") != len(pairs) or line.rstrip()[-1:] != ")" or len(known) < 2:
        return "no date, or the pairs of value (frequency) are cut"
    if len(known) != len(frequencies) or any(a >= b for a, b in pairwise(known)) or known[0] <= 0.0:
        return "the frequencies do not rise"
    separation = figure(parts[5]) if len(parts) == 7 else None
    told = separation if separation is not None and 0.0 < separation < NO_SEPARATION else np.nan
    return number, time, float(told), known, [pair[0] for pair in pairs]


def _table_row(number: int, line: str, names: Sequence[str]) -> Raw | str:
    """A row of the older table: date, then one density for each frequency of the header."""
    if not names:
        return "no header of frequencies stands above"
    with_minute = buoy.DATES.get(names[4]) == "minute"
    cells, first = line.split(), 5 if with_minute else 4
    time = _time(cells, with_minute)
    if len(cells) != len(names) or time is None:
        return f"{len(cells)} columns, the header has {len(names)}, or no date"
    return number, time, float("nan"), tuple(float(name) for name in names[first:]), cells[first:]


def _of_one_axis(raw: list[Raw], log: Log) -> list[Raw]:
    """The rows of the commonest frequencies; the others are dropped and said."""
    if not raw:
        return []
    axis = Counter(row[3] for row in raw).most_common(1)[0][0]
    for row in raw:
        if row[3] != axis:
            log.drop(row[0], f"{len(row[3])} frequencies", f"other frequencies than most rows ({len(axis)})")
    return [row for row in raw if row[3] == axis]


def _densities(row: Raw, log: Log) -> Array:
    """Densities of one row [m2/Hz]; nines, words and impossible values are missing."""
    found = np.full(len(row[4]), np.nan)
    for index, cell in enumerate(row[4]):
        value = figure(cell)
        name = f"{row[3][index]:g} Hz"
        if value is None or value in _NINES:
            log.replace(
                row[0], name, cell, "stands for missing" if value is not None or cell in buoy.WORDS else "not a number"
            )
        elif not 0.0 <= value <= HIGHEST_DENSITY:
            log.flag("out-of-range", f"densities outside of 0 to {HIGHEST_DENSITY:g} m2/Hz are missing", "caution")
            log.replace(row[0], name, cell, "implausible")
        else:
            found[index] = value
    return found


def _put_moments(reading: Reading, spectra: Spectra) -> None:
    """Height 4 sqrt(m0), mean period sqrt(m0/m2) and peak period of each spectrum; none where a density is missing."""
    f, s = spectra.frequencies, spectra.densities
    zeroth, second = np.trapezoid(s, f, axis=1), np.trapezoid(s * f**2, f, axis=1)
    because = "made from the densities"
    reading.made(Spec("4 sqrt(m0)", "wave_height", unit="m", because=because), 4.0 * np.sqrt(zeroth))
    wavy = zeroth > 0.0
    mean = np.where(wavy, np.sqrt(zeroth / np.where(wavy, second, 1.0)), np.nan)
    reading.made(Spec("sqrt(m0/m2)", "mean_period", unit="s", because=because), mean)
    peak = 1.0 / f[np.argmax(np.where(np.isnan(s), -1.0, s), axis=1)]
    reading.made(Spec("1/f of the peak", "peak_period", unit="s", because=because), np.where(wavy, peak, np.nan))
