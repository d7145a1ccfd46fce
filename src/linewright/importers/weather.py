"""Weather and waves from files: which format it is, its values and report, and the hours of a year.

Formats are told by content. `read_year` takes any of them that has air and wind hour by hour.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from linewright.base.errors import InputError, Problem
from linewright.importers import weather_form, weather_year
from linewright.importers.model import HourlyYear
from linewright.importers.report import Log
from linewright.importers.text import read_text
from linewright.importers.weather_form import read_weather, recognise_weather
from linewright.importers.weather_year import YEAR_KEYS, hot_day, year_of

__all__ = ["YEAR_KEYS", "hot_day", "read_weather", "read_year", "recognise_weather", "year_of"]

HOURLY = "an hourly file: .tm2 or TMY3, EPW, station reports, METAR, reanalysis or an own CSV of weather"


def read_year(
    path: Path, answers: Mapping[str, str] | None = None, place: tuple[float, float] | None = None
) -> HourlyYear:
    """8760 hours of a file. Raises InputError where hours are missing, out of range or a question is open.

    The answers to the year's own questions (YEAR_KEYS) and to the reader's stand in one table. place, degrees north and
    east, is where the weather is from if the file states none.
    """
    given = dict(answers or {})
    for_year = {key: given.pop(key) for key in YEAR_KEYS if key in given}
    log = Log(given)
    file = read_text(path, log)
    asked = [Problem(f"{path.name}  {item.key}", item.because, item.text) for item in log.questions]
    if asked:
        raise InputError(f"{path.name} leaves questions open.", asked)
    form = weather_form.recognise_weather(path.name, file.lines)
    if form is None:
        read = (file.lines[0] if file.lines else "nothing")[:80]
        raise InputError(f"{path.name} cannot be read as a typical year.", [Problem(path.name, read, HOURLY)])
    return weather_year.year_of(weather_form.read_weather(file, form, log), Log(for_year), place)
