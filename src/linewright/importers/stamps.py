"""Stamps of date and time as text: the patterns, and their seconds."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from typing import Literal

from linewright.importers.zones import EPOCH, offset_of

Order = Literal["ymd", "dmy", "mdy"]
_MONTHS = (
    "jan januar january janvier januari enero jän", "feb februar february février fev febrero",
    "mar märz march mrz mars mrt maart marzo", "apr april avril abril", "may mai mei mayo maj",
    "jun juni june juin junio", "jul juli july juillet julio", "aug august août augustus agosto",
    "sep sept september septembre septiembre", "oct okt oktober october octobre octubre",
    "nov november novembre noviembre",
    "dec dez dezember december décembre diciembre des desember",
)  # fmt: skip
MONTHS = {word: number for number, words in enumerate(_MONTHS, start=1) for word in words.split()}
_CLOCK = r"(?P<h>\d{1,2})[:.h](?P<m>\d{2})(?:[:.](?P<s>\d{2})(?:[.,:](?P<f>\d{1,9}))?)?\s*(?P<ap>[AaPp]\.?[Mm]\.?)?"
_ZONE = r"\s*(?P<z>Z|UTC|GMT|[+-]\d{2}:?\d{2}|[+-]\d{2}|(?:UTC|GMT)[+-]\d{1,2}(?::?\d{2})?)?"
STAMP = re.compile(
    rf"(?:(?P<a>\d{{1,4}})(?P<sep>[-./])(?P<b>\d{{1,2}}|[A-Za-zäéû]{{3,10}})(?P=sep)(?P<c>\d{{1,4}})|(?P<p>\d{{8}})|"
    rf"(?P<d>\d{{1,2}})[. ]\s*(?P<n>[A-Za-zäéû]{{3,10}})\.?,? (?P<y>\d{{4}}))(?:[T ,]+{_CLOCK}{_ZONE})?"
)
COMPACT = re.compile(r"(?P<p>\d{8})T?(?P<h>\d{2})(?P<m>\d{2})(?P<s>\d{2})?(?P<z>Z|[+-]\d{2}:?\d{2})?")
ONLY_CLOCK = re.compile(_CLOCK.replace("[:.h]", "[:h]").replace("[:.]", ":") + _ZONE)  # 12.34 is a number


def seconds_of(match: re.Match[str] | None, order: Order) -> float:
    """Seconds from 1970 of a stamp as it stands, NaN where it is no date."""
    if match is None:
        return float("nan")
    try:
        year, month, day = _date(match, order)
        hour, minute, second = int(match["h"] or 0), int(match["m"] or 0), int(match["s"] or 0)
        groups = match.groupdict()
        half = (groups.get("ap") or "").lower().replace(".", "")
        if half and not 1 <= hour <= 12:
            return float("nan")
        hour = hour % 12 + (12 if half == "pm" else 0) if half else hour
        late = hour == 24 and minute == second == 0
        stamp = datetime(year, month, day, 0 if late else hour, minute, min(second, 59)) + timedelta(days=int(late))
    except (ValueError, OverflowError):
        return float("nan")
    fraction = float(f"0.{groups.get('f') or 0}") + max(second - 59, 0)
    return (stamp - EPOCH).total_seconds() + fraction


def _date(match: re.Match[str], order: Order) -> tuple[int, int, int]:
    groups = match.groupdict()
    if groups["p"]:
        return int(groups["p"][:4]), int(groups["p"][4:6]), int(groups["p"][6:])
    if groups.get("n"):
        return int(groups["y"]), MONTHS[groups["n"].lower()], int(groups["d"])
    a, b, c = groups["a"], groups["b"], groups["c"]
    if len(a) == 4:
        return int(a), _month(b), int(c)
    year = int(c) if len(c) == 4 else 2000 + int(c) if int(c) < 70 else 1900 + int(c)
    day, month = (a, b) if order != "mdy" else (b, a)
    return year, _month(month), int(day)


def _month(text: str) -> int:
    if text.isdigit():
        return int(text)
    if text.lower() not in MONTHS:
        raise ValueError(text)
    return MONTHS[text.lower()]


def order_of(match: re.Match[str], seconds: float) -> Order:
    """The order of year, month and day by which a stamp reads as a known time of its own clock."""
    if len(match["a"]) == 4:
        return "ymd"
    off = [abs(seconds_of(match, order) - seconds) for order in ("dmy", "mdy")]
    return "mdy" if off[1] < off[0] or off[0] != off[0] else "dmy"


def stated_offset(match: re.Match[str] | None) -> float | None:
    """Seconds east of UTC that a stamp states itself."""
    zone = match.groupdict().get("z") if match else None
    return None if not zone else offset_of(zone)
