"""Clocks that say less than a time: without a date, or of twelve hours without a word for the half of the day.

The order of the rows tells what the clock leaves out: each row is the first moment with its figures that is not before
the row above; the first row's date or half of the day is asked.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime

import numpy as np
import numpy.typing as npt

from linewright.base.errors import InputError, Problem
from linewright.importers.report import Array, Log, Question
from linewright.importers.zones import EPOCH

DAY, HALF = 86400.0, 43200.0
BACK = 3600.0  # [s] a row may stand this far before the one above it without being of the next half or day
LATE = 6  # [h] behind noon at most: how far the first row after 12:59 is looked for
KEYS = {"date", "time.half"}  # of the questions asked here
HALVES = ("before noon", "after noon", "24 hours")
Match = re.Match[str] | None
Lines = Sequence[int] | npt.NDArray[np.int64]


def of_day(matches: Sequence[Match]) -> Array:
    """Seconds from midnight of times of day, NaN where there is none."""
    return np.array([_seconds(match) for match in matches])


def _seconds(match: Match) -> float:
    hour, minute, second = (int(match[key] or 0) if match else 99 for key in "hms")
    half = ((match["ap"] if match else "") or "").lower().replace(".", "")
    if hour > 24 or minute > 59 or second > 60 or (half and not 1 <= hour <= 12):
        return float("nan")
    hour = hour % 12 + (12 if half == "pm" else 0) if half else hour
    fraction = float(f"0.{(match['f'] if match else '') or 0}")
    return hour * 3600.0 + minute * 60.0 + second + fraction


def is_half_clock(matches: Sequence[Match], seconds: Array) -> bool:
    """Whether a clock runs from 12 to 1 on one date, with hours of 1 to 12 only and no word for the half."""
    told = [(match, second) for match, second in zip(matches, seconds, strict=True) if match and second == second]
    if len(told) < 2 or any(match["h"] is None or match.groupdict().get("ap") for match, _ in told):
        return False
    hours = np.array([int(match["h"]) for match, _ in told])
    if hours.min() < 1 or hours.max() > 12:
        return False
    steps = np.diff([second for _, second in told])
    onward = (hours[:-1] == 12) & (hours[1:] <= LATE) & (steps < -BACK) & (steps > -HALF)
    back = (hours[1:] == 12) & (hours[:-1] <= LATE) & (steps > BACK) & (steps < HALF) & (np.sum(steps < 0.0) > 1)
    return bool(onward.any() or (back.any() and np.sum(steps < 0.0) > np.sum(steps > 0.0)))


def half_days(matches: Sequence[Match], seconds: Array, lines: Lines, log: Log, has_dates: bool) -> tuple[Array, bool]:
    """Times of a clock of twelve hours as those of the whole day, and whether the question for them is open.

    seconds [s] are from 1970 where the clock `has_dates`, else from midnight.
    """
    if not is_half_clock(matches, seconds):
        return (seconds, False) if has_dates else _next_days(seconds, lines, log)
    text = "The clock has twelve hours and no AM or PM. Is the first row before or after noon (or a clock of 24 hours)?"
    why = "its hours are 1 to 12 only, and it runs from 12 to 1 on one date"
    answer = log.ask(Question("time.half", text, HALVES, why))
    if answer == "24 hours":
        return (seconds, False) if has_dates else _next_days(seconds, lines, log)
    noon = np.floor(seconds / DAY) * DAY + np.mod(seconds, HALF)
    start = HALF if answer == "after noon" else 0.0
    found = _of_dates(noon, start) if has_dates else _unfolded(noon, HALF, start)
    log.flag(
        "half-days",
        "a clock of twelve hours without AM or PM: the order of the rows tells the half of the day",
        "caution",
    )
    return found, answer is None


def _next_days(seconds: Array, lines: Lines, log: Log) -> tuple[Array, bool]:
    """Times of day over as many days as the rows pass midnight, said with the rows that begin a day."""
    found = _unfolded(seconds, DAY, 0.0)
    told = np.flatnonzero(np.isfinite(found))
    passed = told[1:][np.diff(np.floor(found[told] / DAY)) != 0.0]
    if passed.size:
        text = f"a clock without date passes midnight {passed.size} times"
        log.flag("midnight", text, "caution", rows=[lines[int(n)] for n in passed])
    return found, False


def _falls(seconds: Array) -> bool:
    """Whether rows stand newest first."""
    steps = np.diff(seconds[np.isfinite(seconds)])
    return bool(np.sum(steps < 0.0) > np.sum(steps > 0.0))


def _unfolded(seconds: Array, period: float, start: float) -> Array:
    """Times that repeat after a period, each the next (newest first: the last) not before (behind) the row above."""
    found = np.full(seconds.shape, np.nan)
    sign = -1.0 if _falls(seconds) else 1.0
    before = None
    for n in np.flatnonzero(np.isfinite(seconds)).tolist():
        value = float(seconds[n])
        if before is None:
            before = value + start
        else:
            before = sign * (sign * value + period * np.ceil((sign * before - BACK - sign * value) / period))
        found[n] = before
    return found


def _of_dates(mornings: Array, start: float) -> Array:
    """Times of stated dates, each in the first (newest first: last) half of its day that the row above allows."""
    found = np.full(mornings.shape, np.nan)
    falls = _falls(mornings)
    before = None
    for n in np.flatnonzero(np.isfinite(mornings)).tolist():
        early, late = float(mornings[n]), float(mornings[n]) + HALF
        if before is None:
            before = early + start
        elif falls:
            before = late if late <= before + BACK else early
        else:
            before = early if early >= before - BACK else late
        found[n] = before
    return found


def date_asked(log: Log, is_needed: bool) -> tuple[float, bool]:
    """Seconds from 1970 to the date of the first row, and whether it is open; it is asked where it is needed.

    Raises InputError.
    """
    if not is_needed and "date" not in log.answers:
        log.flag("date-unknown", "the file states times of day without a date; only durations are used")
        return 0.0, True
    text = "Which date is the first row of? (such as 2026-03-01)"
    answer = log.ask(Question("date", text, (), "the file states times of day only"))
    if answer is None:
        return 0.0, True
    try:
        return (datetime.strptime(answer, "%Y-%m-%d") - EPOCH).total_seconds(), False
    except ValueError:
        problem = Problem("date", answer, "a date, as 2026-03-01")
        raise InputError("The answer to date cannot be used.", [problem]) from None
