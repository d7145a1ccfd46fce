"""Dates of weather files: civil time to UTC seconds, spans, and the calendar of a typical year."""

from __future__ import annotations

import datetime as dt
import functools
import re
from collections.abc import Sequence

import numpy as np

from linewright.importers.report import Array, Span

DAY, HOUR = 86400.0, 3600.0
EARLIEST, LATEST = 1800, 2200
COMMON_YEAR, LEAP_YEAR = 2001, 2000  # the calendar a typical year is laid on
_EPOCH = dt.date(1970, 1, 1).toordinal()
_STAMP = re.compile(
    r"(\d{4})[-/](\d{1,2})[-/](\d{1,2})(?:[T ]+(\d{1,2}):(\d{2})(?::(\d{2})(?:\.\d+)?)?)?\s*(Z|UTC|[+-]00:?00)?"
)


@functools.lru_cache(maxsize=4096)
def day_start(year: int, month: int, day: int) -> float | None:
    """Seconds from 1970 to the start of a date, or None for what is no date."""
    if not EARLIEST <= year <= LATEST:
        return None
    try:
        return (dt.date(year, month, day).toordinal() - _EPOCH) * DAY
    except ValueError:
        return None


def iso(time: float) -> str:
    """A time as ISO text with Z, to the second."""
    moment = dt.datetime(1970, 1, 1) + dt.timedelta(seconds=round(float(time)))
    return moment.isoformat() + "Z"


def stamp(text: str) -> float | None:
    """Seconds of an ISO-like stamp in UTC (T or blank, Z or +00:00 or nothing); None for anything else."""
    match = _STAMP.fullmatch(text.strip())
    if not match:
        return None
    year, month, day, hour, minute, second = (int(part or 0) for part in match.groups()[:6])
    start = day_start(year, month, day)
    if start is None or hour > 24 or minute > 59 or second > 60 or (hour == 24 and minute + second > 0):
        return None
    return start + hour * HOUR + minute * 60.0 + second


def whole(text: str) -> int | None:
    """A whole number of at most nine ASCII digits with an optional sign, also written 7.0; else None."""
    match = re.fullmatch(r"\s*([+-]?[0-9]{1,9})(?:\.0*)?\s*", text)
    return int(match.group(1)) if match else None


def wholes(cells: Sequence[str]) -> list[int] | None:
    """Whole numbers of several cells, or None if one is none."""
    found = [whole(cell) for cell in cells]
    return None if None in found else [value for value in found if value is not None]


def span(time: Array, zone: str | None, because: str) -> Span:
    """First and last time, usual step, and how many stretches without a longer gap."""
    if not len(time):
        return Span(zone, because, segments=0)
    steps = np.diff(np.unique(time))
    step = float(np.median(steps)) if len(steps) else None
    gaps = int(np.sum(steps > 1.5 * step)) if step else 0
    return Span(zone, because, iso(time.min()), iso(time.max()), step, gaps + 1)


def month_day(time: float) -> tuple[int, int, int]:
    """Year, month and day of a time."""
    moment = dt.datetime(1970, 1, 1) + dt.timedelta(seconds=float(time))
    return moment.year, moment.month, moment.day


def source_years(days: Sequence[tuple[int, int, int]]) -> dict[int, int] | None:
    """Year of each month if every month comes from one year and there are several years, else None."""
    years: dict[int, set[int]] = {}
    for year, month, _ in days:
        years.setdefault(month, set()).add(year)
    if any(len(found) > 1 for found in years.values()) or len({year for year, _, _ in days}) < 2:
        return None
    return {month: found.pop() for month, found in sorted(years.items())}


def on_one_calendar(days: Sequence[tuple[int, int, int]], seconds: Array) -> tuple[Array | None, dict[int, int]]:
    """Local times of a typical year on one calendar year, and the source year of each month; else None.

    Rows are typical when months come from different years, and laid on one year they hang together better
    than in their own years. `seconds` counts from the start of each row's date.
    """
    months = source_years(days)
    if months is None:
        return None, {}
    year = LEAP_YEAR if any((month, day) == (2, 29) for _, month, day in days) else COMMON_YEAR
    own = np.array([day_start(*day) for day in days], dtype=float) + seconds
    laid = np.array([day_start(year, month, day) for _, month, day in days], dtype=float) + seconds
    if np.diff(np.sort(own)).max() <= np.diff(np.sort(laid)).max():
        return None, {}
    return laid, months
