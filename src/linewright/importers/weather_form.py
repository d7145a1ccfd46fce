"""Which weather or wave format a text is, by its content; and the reader of each."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from linewright.base.errors import InputError
from linewright.importers import (
    buoy,
    buoy_waves,
    climate_table,
    metar,
    reanalysis,
    stations,
    weather_epw,
    weather_own,
    weather_tmy,
    weather_year,
)
from linewright.importers.report import Flag, Imported, Log, Source
from linewright.importers.table import read_table
from linewright.importers.text import TextFile

MONTHLY = ("climate-table",)  # forms that become no year of hours
LOOKED_AT = 60  # lines
Lines = Sequence[str]

READERS: dict[str, Callable[[TextFile, Log], Imported]] = {
    "epw": weather_epw.read,
    "tmy3": weather_tmy.read,
    "tm2": weather_tmy.read_tm2,
    "isd-lite": stations.read_lite,
    "isd-csv": stations.read_global,
    "metar": metar.read,
    "reanalysis": reanalysis.read,
    "buoy": buoy.read,
    "buoy-summary": buoy_waves.read_summary,
    "buoy-spectra": buoy_waves.read_spectra,
    "climate-table": climate_table.read,
    "weather-csv": weather_own.read,
}


def recognise_weather(name: str, lines: Sequence[str]) -> str | None:
    """Form of a weather or wave file by its first lines, or None for what is none; the name is not looked at."""
    del name
    head = [line for line in lines[: 4 * LOOKED_AT] if line.strip()][:LOOKED_AT]
    return next((form for form, fits in TESTS if head and fits(head)), None)


def read_weather(file: TextFile, form: str, log: Log) -> Imported:
    """Values and report of a file of a form that `recognise_weather` names.

    Answers for the year of hours that may be made of it (YEAR_KEYS) are taken and kept. Raises InputError.
    """
    if form not in MONTHLY:
        for key in [key for key in log.answers if key in weather_year.YEAR_KEYS]:
            weather_year.check_answer(key, log.answers[key])
            log.used[key] = log.answers[key]
    found = READERS[form](file, log)
    for key in weather_year.PLACE:
        if key in log.used and key in found.report.notes:
            text = f"the file states its {key}, {found.report.notes[key]:g} deg; the answer {log.used[key]} is not used"
            flag = Flag("place-stated", text, "caution")
            found = replace(found, report=replace(found.report, flags=(*found.report.flags, flag)))
    return found


def _is_epw(head: Lines) -> bool:
    return any(line.strip().upper().startswith("LOCATION,") and line.count(",") >= 8 for line in head[:3])


def _is_tmy3(head: Lines) -> bool:
    return weather_tmy.site(head[0]) is not None and any(weather_tmy.is_header(line) for line in head[1:4])


def _is_tm2(head: Lines) -> bool:
    return weather_tmy.TM2_HEAD.fullmatch(head[0]) is not None


def _is_lite(head: Lines) -> bool:
    fits = sum(1 for line in head if stations.LITE.fullmatch(line))
    return fits >= 1 and fits >= 0.8 * len(head)


def _any(test: Callable[[str], bool]) -> Callable[[Lines], bool]:
    return lambda head: any(test(line) for line in head)


def _is_metar(head: Lines) -> bool:
    return sum(1 for line in head if metar.is_report(line)) >= max(1, 0.3 * len(head))


def _is_own(head: Lines) -> bool:
    try:
        table = read_table(TextFile(Source("", "", ""), "\n".join(head), tuple(head)), Log())
    except InputError:
        return False
    return weather_own.recognises(table)


TESTS: tuple[tuple[str, Callable[[Lines], bool]], ...] = (
    ("epw", _is_epw),
    ("tmy3", _is_tmy3),
    ("tm2", _is_tm2),
    ("isd-lite", _is_lite),
    ("isd-csv", _any(stations.is_global_header)),
    ("buoy-spectra", buoy_waves.is_spectra),
    ("buoy-summary", _any(buoy_waves.is_summary)),
    ("buoy", _any(buoy.is_header)),
    ("reanalysis", _any(reanalysis.is_header)),
    ("metar", _is_metar),
    ("climate-table", _any(climate_table.is_header)),
    ("weather-csv", _is_own),
)
