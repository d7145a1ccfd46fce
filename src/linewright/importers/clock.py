"""Times of a table: which columns, which form, which zone; UTC seconds inside, the file's own text outside.

Nothing is guessed: the order of day and month, and the zone, are proven by the file or asked.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from linewright.importers import cells, day_times, header, stamps, zones
from linewright.importers.report import Array, Log, Question, Span
from linewright.importers.table import Table

DAY = 86400.0
SERIAL_DAYS = 25569.0  # day serial of 1 January 1970
SERIALS = (20000.0, 80000.0)  # 1954 to 2119
YEARS = (-631152000.0, 4102444800.0)  # [s] 1950 to 2100: a log has no other
COUNTERS = {
    word: header.Unit("duration", factor)
    for factor, words in ((1e-3, "millis millisecond milliseconds"), (1e-6, "micros microseconds"), (1.0, "seconds"))
    for word in words.split()
}  # headings of a running clock that are its unit
EPOCHS = (3e8, 4e9)  # [s] 1979 to 2096
GAP_STEPS, GAP_LEAST = 5.0, 60.0  # a gap is longer than five usual steps and a minute
EVEN, EVEN_SHARE = 0.1, 0.75  # a logger is even when three quarters of its steps are within a tenth of the usual one


@dataclass(frozen=True)
class Clock:
    """Times of the rows [s]: UTC from 1970 where `zone` is known, else of the file's own clock; NaN where unreadable.

    columns are those used; form names what they hold: stamp, elapsed, serial, epoch, rows; is_open while the order of
    day and month, the date or the half of the day is not known; factor is the seconds of one unit of a running clock.
    """

    time: Array
    columns: tuple[int, ...]
    form: str
    zone: str | None
    because: str
    is_open: bool = False
    factor: float = 1.0


def read_clock(table: Table, log: Log, needs_zone: bool = True) -> Clock:
    """The clock of a table, its unreadable stamps reported, its questions asked.

    Without `needs_zone` a zone that is not stated is noted, not asked: a bench test needs durations only.
    """
    index = time_column(table)
    if index is None:
        return Clock(np.arange(len(table.rows), dtype=float), (), "rows", None, "no column of times")
    text = table.column(index)
    numeric = _numbers(text)
    if numeric is not None:
        return _numeric(table, index, numeric, log, needs_zone)
    columns = _date_and_clock(table, index)
    if len(columns) == 2:
        text = [
            f"{date.strip()} {clock.strip()}"
            for date, clock in zip(table.column(columns[0]), table.column(columns[1]), strict=True)
        ]
    return _stamped(table, columns, text, log, needs_zone)


def time_column(table: Table) -> int | None:
    """Index of the (first) column of times: by its content, then by its heading; None where there is none."""
    sample = min(len(table.rows), 50)
    for index in range(len(table.names)):
        told = [cells.plain(row[index]) for row in table.rows[:sample] if row[index].strip()]
        if told and not _has_unit(table, index) and sum(map(_looks_stamped, told)) >= 0.8 * len(told):
            return index
    for index, name in enumerate(table.names):
        unit = header.unit_of(table.units[index]) or header.unit_of(header.split(name).unit)
        words = header.words_of(header.split(name).name)
        of_time = header.is_word(words, "time") or words == ["t"] or bool(words and words[0] in COUNTERS)
        if of_time and (unit is None or unit.quantity == "duration"):
            return index
    return None


def _has_unit(table: Table, index: int) -> bool:
    """Whether a heading or the units row gives a column a unit: stamps have none."""
    unit = header.unit_of(table.units[index]) or header.unit_of(header.split(table.names[index]).unit)
    return unit is not None


def time_columns(table: Table) -> list[int]:
    """Every column whose heading names a running clock with a unit of duration."""
    found = []
    for index, name in enumerate(table.names):
        unit = header.unit_of(table.units[index]) or header.unit_of(header.split(name).unit)
        words = header.words_of(header.split(name).name)
        if unit is not None and unit.quantity == "duration" and (header.is_word(words, "time") or words[:1] == ["t"]):
            found.append(index)
    return found


def _looks_stamped(cell: str) -> bool:
    is_stamp = stamps.STAMP.fullmatch(cell) or stamps.ONLY_CLOCK.fullmatch(cell)
    return bool(is_stamp or (stamps.COMPACT.fullmatch(cell) and len(cell) >= 12))


def _date_and_clock(table: Table, index: int) -> tuple[int, ...]:
    """The columns of date and of time of day where they stand side by side, else the one column."""
    for date, clock in ((index, index + 1), (index + 1, index)):
        if index + 1 < len(table.names):
            first, second = _first_of(table, date), _first_of(table, clock)
            if stamps.STAMP.fullmatch(first) and ":" not in first and stamps.ONLY_CLOCK.fullmatch(second):
                return (date, clock)
    return (index,)


def _first_of(table: Table, index: int) -> str:
    """The first filled cell of a column."""
    return next((cells.plain(row[index]) for row in table.rows if row[index].strip()), "")


def _numbers(text: Sequence[str]) -> Array | None:
    """The cells as numbers if nearly all are."""
    mark, _ = cells.decimal_mark(text[:2000], "")
    values = np.array([_or_nan(cells.number(cell, mark or ".")) for cell in text])
    return values if np.isfinite(values).sum() >= 0.8 * len(values) else None


def _or_nan(value: float | None) -> float:
    return float("nan") if value is None else value


def _numeric(table: Table, index: int, values: Array, log: Log, needs_zone: bool) -> Clock:
    """Seconds of a running clock, day serials of a spreadsheet, seconds from 1970, or compact stamps."""
    heading = header.split(table.names[index])
    unit = header.unit_of(table.units[index]) or header.unit_of(heading.unit)
    unit = unit or COUNTERS.get((header.words_of(heading.name) or [""])[0])
    known = values[np.isfinite(values)]
    if unit is not None and not (known.size and EPOCHS[0] < known.min() * unit.factor and unit.factor <= 1.0):
        return _elapsed(values, unit.factor, index, f"unit {table.units[index] or heading.unit}")
    if known.size and SERIALS[0] < known.min() and known.max() < SERIALS[1]:
        seconds = np.round((values - SERIAL_DAYS) * DAY)
        log.flag("day-serials", "times are day numbers of a spreadsheet (from 1900), rounded to the second")
        return _zoned(table, (index,), seconds, "serial", log, needs_zone)
    for factor, name in ((1.0, "seconds"), (1e-3, "milliseconds")):
        if known.size and EPOCHS[0] < known.min() * factor and known.max() * factor < EPOCHS[1]:
            log.flag("epoch", f"times are {name} from 1970, UTC")
            return Clock(values * factor, (index,), "epoch", "UTC", f"{name} from 1970", factor=factor)
    if known.size and known.min() > 19e6:
        return _stamped(table, (index,), [cells.plain(cell) for cell in table.column(index)], log, needs_zone)
    if header.words_of(heading.name)[:1] in (["n"], ["record"], ["row"], ["index"], ["nr"], ["no"]):
        return Clock(np.arange(len(values), dtype=float), (index,), "rows", None, "a column of row numbers")
    text = f"In which unit is the time column {heading.text!r}?"
    answer = log.ask(Question("unit.time", text, ("s", "ms", "min", "h"), "a running clock without a unit"))
    factor = header.UNITS[answer].factor if answer else 1.0
    return _elapsed(values, factor, index, f"unit {answer or 'unknown'}")


def _elapsed(values: Array, factor: float, index: int, because: str) -> Clock:
    because = f"seconds of the record's own clock, {because}"
    return Clock(values * factor, (index,), "elapsed", None, because, factor=factor)


# --- stamps ------------------------------------------------------------------------------------


def _stamped(table: Table, columns: tuple[int, ...], text: Sequence[str], log: Log, needs_zone: bool) -> Clock:
    """Stamps of text as seconds; the order of day and month is proven or asked."""
    plain = [cells.plain(cell) for cell in text]
    matches = [stamps.STAMP.fullmatch(cell) or stamps.COMPACT.fullmatch(cell) for cell in plain]
    order, because, seconds, is_open = "ymd", "", np.zeros(0), False
    if any(matches):
        order, because = _order(table, columns, matches, log)
        seconds = np.array([stamps.seconds_of(match, order) for match in matches])
        if len(columns) == 2 or any(match and match["h"] for match in matches):
            seconds, is_open = day_times.half_days(matches, seconds, table.lines, log, has_dates=True)
    else:
        matches = [stamps.ONLY_CLOCK.fullmatch(cell) for cell in plain]
        seconds, is_open = _of_days(matches, table.lines, log, needs_zone)
    seconds[(seconds < YEARS[0]) | (seconds >= YEARS[1])] = np.nan
    bad = np.flatnonzero(~np.isfinite(seconds))
    for n in bad[:1000]:
        log.replace(table.lines[n], table.names[columns[0]], text[n], "no time that can be read")
    if bad.size:
        text = f"{bad.size} rows have no time that can be read"
        log.flag("time-unreadable", text, "caution", table.names[columns[0]], [table.lines[n] for n in bad])
    if because:
        log.notes["date_order"] = {"order": order, "because": because}
    offsets = [stamps.stated_offset(match) for match in matches]
    if any(offset is not None for offset in offsets):
        shift = np.array([_or_nan(offset) for offset in offsets])
        if np.isnan(shift[np.isfinite(seconds)]).any():
            log.flag("zone-mixed", "some stamps state a zone and some do not; those without are left out", "caution")
        kinds = sorted({zones.offset_text(offset) for offset in offsets if offset is not None})
        return Clock(seconds - shift, columns, "stamp", " and ".join(kinds), "stated in every stamp", is_open)
    clock = _zoned(table, columns, seconds, "stamp", log, needs_zone)
    return replace(clock, is_open=is_open or because == "open")


def _of_days(
    matches: Sequence[re.Match[str] | None], lines: Sequence[int], log: Log, needs_date: bool
) -> tuple[Array, bool]:
    """Times of day without a date as seconds from 1970, and whether a question for them is open."""
    seconds, is_open = day_times.half_days(matches, day_times.of_day(matches), lines, log, has_dates=False)
    start, has_no_date = day_times.date_asked(log, needs_date)
    return seconds + start, is_open or has_no_date


def _order(
    table: Table, columns: tuple[int, ...], matches: Sequence[re.Match[str] | None], log: Log
) -> tuple[stamps.Order, str]:
    """Order of year, month and day, and its evidence."""
    dated = [match for match in matches if match and match.re is stamps.STAMP and match["a"]]
    parts = [(match["a"], match["b"], match["c"]) for match in dated]
    if not parts or all(len(a) == 4 for a, _, _ in parts):
        return "ymd", ""
    numbers = [(int(a), int(b)) for a, b, _ in parts if b.isdigit() and len(a) <= 2]
    if not numbers:
        return "dmy", "the month is a word"
    first, second = any(a > 12 for a, _ in numbers), any(b > 12 for _, b in numbers)
    if first != second:
        return ("dmy", "a first number is above 12") if first else ("mdy", "a second number is above 12")
    shown = _order_shown(table, columns, numbers)
    if shown and not first:
        return shown
    if all(a == b for a, b in numbers):
        return "dmy", "day and month are equal in every row"
    why = "both orders occur" if first else "no number is above 12: day and month cannot be told apart"
    answer = log.ask(Question("time.order", "Is the day or the month first?", ("day first", "month first"), why))
    return ("mdy" if answer == "month first" else "dmy"), f"answer: {answer}" if answer else "open"


def _order_shown(
    table: Table, columns: tuple[int, ...], numbers: list[tuple[int, int]]
) -> tuple[stamps.Order, str] | None:
    """The order as headings, units or a date written out in the preamble show it."""
    heads = " ".join([table.names[columns[0]], table.units[columns[0]], *table.preamble]).lower()
    if re.search(r"\b(dd|tt)[-./ ]mm[-./ ](yy|jj)", heads):
        return "dmy", "the heading shows dd mm yyyy"
    if re.search(r"\bmm[-./ ]dd[-./ ]yy", heads):
        return "mdy", "the heading shows mm dd yyyy"
    for day, word in re.findall(r"(\d{1,2})[. ]+([a-zäéû]{3,10})", " ".join(table.preamble).lower()):
        month = stamps.MONTHS.get(word)
        a, b = numbers[0]
        if month is not None and int(day) != month and {a, b} == {int(day), month}:
            return ("dmy" if b == month else "mdy"), f"the preamble says {day} {word}"
    return None


def _zoned(table: Table, columns: tuple[int, ...], seconds: Array, form: str, log: Log, needs_zone: bool) -> Clock:
    """Local stamps as UTC: the zone is stated in the file, or asked."""
    zone, because = zones.stated_zone(
        [*(table.names[n] for n in columns), *(table.units[n] for n in columns), *table.preamble]
    )
    if zone is None and not needs_zone and "time.zone" not in log.answers:
        log.flag("zone-unknown", "the file states no time zone; only durations are used")
        return Clock(seconds, columns, form, None, "not stated, durations only")
    if zone is None:
        answer = log.ask(zone_question())
        if answer is None:
            return Clock(seconds, columns, form, None, "not stated")
        zone, because = answer, "answer"
    return Clock(zones.to_utc(seconds, zone, table.lines, log), columns, form, zone, because)


def zone_question() -> Question:
    """The question for the zone of times that state none."""
    text = "In which time zone are the times? (UTC, UTC+4, or a name such as Europe/Oslo)"
    return Question("time.zone", text, (), "the file states none")


# --- what the report says ----------------------------------------------------------------------


def span_of(clock: Clock, time: Array) -> Span:
    """Zone, first, last and usual step of times in order."""
    known = time[np.isfinite(time)]
    if not known.size or clock.form == "rows":
        return Span(None, clock.because)
    step = float(np.median(np.diff(known))) if known.size > 1 else None
    parts = len(segments(known))
    if clock.form == "elapsed":
        return Span(None, clock.because, f"{known[0]:g} s", f"{known[-1]:g} s", step, parts)
    if clock.is_open:
        return Span(None, clock.because, None, None, step, parts)
    mark = "Z" if clock.zone else ""
    return Span(clock.zone, clock.because, zones.iso(known[0]) + mark, zones.iso(known[-1]) + mark, step, parts)


def moment(clock: Clock, time: float) -> str:
    """A time of a clock as text, in UTC where its zone is known."""
    if clock.form in ("elapsed", "rows"):
        return f"{time:g} s"
    return zones.iso(time) + ("Z" if clock.zone else " (zone open)")


def segments(time: Array) -> list[tuple[int, int]]:
    """Stretches without a gap, as index pairs [begin, end); a gap is longer than five usual steps and a minute."""
    if time.size < 2:
        return [(0, int(time.size))] if time.size else []
    steps = np.diff(time)
    limit = max(GAP_STEPS * float(np.median(steps)), GAP_LEAST)
    cuts = [0, *(np.flatnonzero(steps > limit) + 1).tolist(), int(time.size)]
    return [(a, b) for a, b in itertools.pairwise(cuts)]


def longest_recorded(time: Array) -> float:
    """Longest step [s] over which a reading is known to stand: five usual steps of an even logger, else any."""
    if time.size < 2:
        return np.inf
    steps = np.diff(time)
    usual = float(np.median(steps))
    return GAP_STEPS * usual if np.mean(np.abs(steps - usual) <= EVEN * usual) >= EVEN_SHARE else np.inf
