"""Time zones: stated in a file or by the user; wall-clock times to UTC through summer time."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta, timezone
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np
import numpy.typing as npt

from linewright.base.errors import InputError, Problem
from linewright.importers.report import Array, Log, Question

EPOCH = datetime(1970, 1, 1)
QUARTER = 900.0  # [s]
OFFSET = re.compile(r"(?:UTC|GMT)?\s*([+-])\s*(\d{1,2})(?::?(\d{2}))?")
NAMED_ZONE = re.compile(
    r"\b(?:Africa|America|Antarctica|Asia|Atlantic|Australia|Europe|Indian|Pacific|Etc)/[A-Za-z0-9_+/-]+"
)

Lines = Sequence[int] | npt.NDArray[np.int64]


def offset_of(text: str) -> float | None:
    """Seconds east of UTC of a text such as Z, UTC, +04:00 or UTC+4; None for what is none."""
    if text.upper() in ("Z", "UTC", "GMT"):
        return 0.0
    found = OFFSET.fullmatch(text)
    if not found or int(found[2]) > 14:
        return None
    return (1.0 if found[1] == "+" else -1.0) * (int(found[2]) * 3600.0 + int(found[3] or 0) * 60.0)


def offset_text(seconds: float) -> str:
    """Seconds east of UTC as text."""
    if seconds == 0.0:
        return "UTC"
    sign, minutes = "+" if seconds > 0 else "-", round(abs(seconds) / 60.0)
    return f"UTC{sign}{minutes // 60:02d}:{minutes % 60:02d}"


def stated_zone(texts: Sequence[str]) -> tuple[str | None, str]:
    """The zone that headings or a preamble name, and where it stands."""
    for text in texts:
        named = NAMED_ZONE.search(text)
        if named and _zone_of(named.group()):
            return named.group(), f"stated: {text.strip()[:60]}"
        offset = re.search(r"\b(?:UTC|GMT)\s*[+-]\s*\d{1,2}(?::?\d{2})?", text)
        if offset:
            return offset.group().replace(" ", ""), f"stated: {text.strip()[:60]}"
    for text in texts:
        if re.search(r"(?<![A-Za-z])(utc|gmt|zulu)(?![A-Za-z])", text, re.IGNORECASE):
            return "UTC", f"stated: {text.strip()[:60]}"
    return None, ""


def _zone_of(name: str) -> ZoneInfo | timezone | None:
    if offset_of(name) is not None:
        return timezone(timedelta(seconds=offset_of(name) or 0.0))
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return None


def standard_hours(zone: str) -> float:
    """Hours east of UTC of a zone in winter time; 0 for one that does not exist."""
    found = _zone_of(zone)
    if isinstance(found, ZoneInfo):
        offsets = [datetime(2025, month, 1, tzinfo=found).utcoffset() or timedelta() for month in (1, 7)]
        return min(offsets).total_seconds() / 3600.0
    return (offset_of(zone) or 0.0) / 3600.0


def to_utc(seconds: Array, zone: str, lines: Lines, log: Log) -> Array:
    """Wall-clock seconds as UTC seconds; the doubled hour by the order of rows, a skipped hour reported.

    Raises InputError for a zone that does not exist.
    """
    found = _zone_of(zone)
    if found is None:
        raise InputError(
            "The time zone cannot be used.", [Problem("time.zone", zone, "UTC, UTC+4, or a name such as Europe/Oslo")]
        )
    if isinstance(found, timezone):
        return seconds - (offset_of(zone) or 0.0)
    return _through_summer(seconds, found, lines, log)


def _through_summer(seconds: Array, zone: ZoneInfo, lines: Lines, log: Log) -> Array:
    """UTC of local stamps of a zone with summer time."""
    early, late, exists = _passes(seconds, zone)
    for n in np.flatnonzero(np.isfinite(seconds) & ~exists):
        log.replace(int(lines[int(n)]), "time", iso(float(seconds[n])), "an hour that the change to summer time skips")
        early[n] = late[n] = np.nan
    doubled = np.flatnonzero(np.isfinite(early) & (early != late))
    return _folded(early, late, doubled, lines, log) if doubled.size else early


def _passes(seconds: Array, zone: ZoneInfo) -> tuple[Array, Array, npt.NDArray[np.bool_]]:
    """UTC of wall-clock seconds in both passes, and whether they exist; zones change on quarter hours."""
    quarter = np.floor(np.where(np.isfinite(seconds), seconds, 0.0) / QUARTER)
    starts, back = np.unique(quarter, return_inverse=True)
    both = [_both(float(start) * QUARTER, zone) for start in starts]
    shifts = [
        np.array([item[n] - start * QUARTER for item, start in zip(both, starts, strict=True)])[back] for n in (0, 1)
    ]
    early, late = (seconds + shift for shift in shifts)
    return early, late, np.array([item[2] for item in both], dtype=bool)[back]


def before_doubled_end(seconds: Array, zone: str) -> int:
    """Number of rows before a doubled hour in which the rows end; all of them if they do not end in one."""
    found = _zone_of(zone)
    if not isinstance(found, ZoneInfo) or not seconds.size:
        return int(seconds.size)
    early, late, _ = _passes(seconds, found)
    plain = np.flatnonzero(early == late)
    return int(plain[-1]) + 1 if plain.size else 0


def _folded(early: Array, late: Array, doubled: npt.NDArray[np.intp], lines: Lines, log: Log) -> Array:
    """The hour that autumn doubles: told by the order of rows where both passes stand in the file, else asked."""
    result = early.copy()
    before = -np.inf
    for n in np.flatnonzero(np.isfinite(early)):
        goes_on = before >= early[n] and late[n] > before - 3600.0
        result[n] = before = late[n] if early[n] != late[n] and goes_on else early[n]
    both_passes = np.unique(early[doubled]).size < doubled.size
    if both_passes and np.all(np.diff(result[np.isfinite(result)]) > 0.0):
        text = f"the hour that autumn doubles stands twice, in order: {doubled.size} rows told apart by it"
        log.flag("hour-doubled", text, rows=[int(lines[int(n)]) for n in doubled])
        return result
    why = "its two passes are not in order" if both_passes else "only one of its passes is in the file"
    text = "The hour that autumn doubles: are its rows the first or the second pass (or pairs of both)?"
    answer = log.ask(Question("time.fold", text, ("first", "second", "pairs"), why))
    result = early.copy()
    seen: set[float] = set()
    for n in doubled:
        if answer == "second" or (answer == "pairs" and early[n] in seen):
            result[n] = late[n]
        seen.add(float(early[n]))
    return result


def _both(value: float, zone: ZoneInfo) -> tuple[float, float, bool]:
    """UTC of a wall-clock second in both folds, and whether it exists at all."""
    wall = EPOCH + timedelta(seconds=value)
    first = wall.replace(tzinfo=zone, fold=0).astimezone(UTC)
    second = wall.replace(tzinfo=zone, fold=1).astimezone(UTC)
    exists = first.astimezone(zone).replace(tzinfo=None) == wall or second.astimezone(zone).replace(tzinfo=None) == wall
    return first.timestamp(), second.timestamp(), exists


def iso(seconds: float) -> str:
    """Seconds from 1970 as an ISO stamp without zone."""
    stamp = EPOCH + timedelta(seconds=float(seconds))
    return stamp.isoformat(timespec="seconds" if stamp.microsecond == 0 else "milliseconds")
