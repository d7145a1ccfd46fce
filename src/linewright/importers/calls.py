"""Port calls in local time: hours alongside through summer time, by call, by condition and by calendar year."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np

from linewright.importers import stamps, zones
from linewright.importers.grid import Cell, Sheet, find_head
from linewright.importers.record_columns import Columns, date_order, read_columns, seconds_of
from linewright.importers.report import Imported, Log, Question, Source, Span
from linewright.importers.sentences import Sentence, flag_each

HOUR = 3600.0
TEXTS = ("id", "ship", "port", "berth", "condition", "zone")
LONG_STAY = 30 * 24 * HOUR
WORDS = {
    name: re.compile(pattern)
    for name, pattern in {
        "start": r"all ?fast|first line|arriv|start|\bfrom\b|\bata\b|\beta\b|berthed|made fast|moored|ankunft"
        r"|fest ?gemacht|\bvon\b|arriv[ée]e|llegada|aankomst|ankomst|\bin\b",
        "end": r"last line|let go|depart|\bend\b|\bto\b|\batd\b|\betd\b|sailed|unberth|cast off|abfahrt|abgelegt"
        r"|\bbis\b|d[ée]part|salida|vertrek|avgang|\bout\b",
        "zone": r"zone|\butc offset|time ?zone|\btz\b|zeitzone|fuseau|huso",
        "ship": r"ship|vessel|schiff|navire|buque|schip",
        "condition": r"condition|weather|\bstate|zustand|bedingung|wetter|état|\bsea\b",
        "berth": r"berth|quay|jetty|\bpier\b|\bkai|liegeplatz|muelle|kade\b",
        "port": r"port|terminal|hafen|puerto|haven",
        "id": r"call|voyage|^(id|no\.?|nr\.?|#)$|reise|anlauf|escale",
    }.items()
}


@dataclass(frozen=True)
class Call:
    """A call: texts as they stand, UTC seconds of all fast and last line, its zone; fault is why it does not count."""

    id: str
    ship: str
    port: str
    condition: str
    zone: str
    start: float
    end: float
    row: int
    fault: str = ""
    berth: str = ""

    @property
    def place(self) -> str:
        """Port and berth as they stand."""
        return ", ".join(filter(None, (self.port, self.berth)))

    @property
    def hours(self) -> float:
        """Hours alongside."""
        return (self.end - self.start) / HOUR

    def hours_by_year(self) -> dict[int, float]:
        """Hours alongside in each calendar year of the port's own time."""
        zone = _zone(self.zone)
        found: dict[int, float] = {}
        begin, last = self.start, self.end
        while zone is not None and begin < last:
            year = datetime.fromtimestamp(begin, UTC).astimezone(zone).year
            turn = min(datetime(year + 1, 1, 1, tzinfo=zone).timestamp(), last)
            found[year] = found.get(year, 0.0) + (turn - begin) / HOUR
            begin = turn
        return found


def hours_by_condition(calls: Iterable[Call]) -> dict[tuple[str, str], dict[int, float]]:
    """Hours alongside a year by place (port, berth) and condition, from the calls that count."""
    found: dict[tuple[str, str], dict[int, float]] = {}
    for call in calls:
        if not call.fault:
            own = found.setdefault((call.place, call.condition), {})
            for year, hours in call.hours_by_year().items():
                own[year] = own.get(year, 0.0) + hours
    return found


def is_calls(sheet: Sheet) -> bool:
    """Whether a sheet lists stays with a begin and an end that are dates."""
    head = find_head(sheet, WORDS)
    if not {"start", "end"} <= set(head.columns) or not set(head.columns) & {
        "port",
        "berth",
        "zone",
        "condition",
        "ship",
    }:
        return False
    told = [row.cell(head.columns["start"]) for row in sheet.rows[head.at + 1 :] if row.cell(head.columns["end"]).text]
    dated = sum(1 for cell in told if cell.date is not None or stamps.STAMP.fullmatch(cell.text))
    return 2 * dated > len(told)


def calls_of(sheet: Sheet, source: Source, log: Log) -> Imported:
    """The calls of a table; those that end before they start or overlap another are refused with the reason."""
    columns = read_columns(sheet, WORDS, ("start", "end"), log)
    starts, ends = _joined(columns, "start"), _joined(columns, "end")
    order = date_order([starts, ends], log)
    zone_cells, because = _zones(columns, log)
    ids = columns.texts("id") if columns.has("id") else tuple(str(row.line) for row in columns.rows)
    texts = {name: columns.texts(name) for name in ("ship", "port", "berth", "condition")}
    calls = []
    for n, row in enumerate(columns.rows):
        clock = _Clock(zone_cells[n], row.line, log)
        begin, end = clock.utc(starts[n], order), clock.utc(ends[n], order)
        own = {name: cells[n] for name, cells in texts.items()}
        calls.append(Call(ids[n], **own, zone=zone_cells[n], start=begin, end=end, row=row.line, fault=clock.fault))
    calls = _without_overlaps([_sound(call) for call in calls])
    for call, row in zip(calls, columns.rows, strict=True):
        if call.fault and not log.questions:
            log.drop(call.row, row.joined(), call.fault)
    return _imported(calls, because, source, log)


def _imported(calls: list[Call], because: str, source: Source, log: Log) -> Imported:
    kept = [call for call in calls if not call.fault]
    if not log.questions:
        _tell(calls, log)
        log.notes["hours"] = [
            {"port": place, "condition": condition, "year": year, "hours": round(hours, 6)}
            for (place, condition), years in hours_by_condition(kept).items()
            for year, hours in sorted(years.items())
        ]
        log.span = _span(kept, because)
    alongside = np.array([call.hours for call in kept])
    log.column("hours alongside", "hours", "h", alongside, because="last line - all fast, in UTC")
    for key in ("berth", "years"):  # a study's berth may need them
        log.option(key, "", ())
    report = log.report("records", "port calls", source, len(calls), len(kept))
    values = {"start": np.array([call.start for call in kept]), "end": np.array([call.end for call in kept])}
    values["hours alongside"] = HOUR * alongside
    texts = {name: tuple(getattr(call, name) for call in kept) for name in TEXTS}
    return Imported(report, None, values, texts, tuple(calls))


def _tell(calls: list[Call], log: Log) -> None:
    """What is wrong or worth knowing of single calls."""
    kept = [call for call in calls if not call.fault]
    for code, text in (("call-negative", "ends before it starts"), ("call-overlaps", "overlaps")):
        faults = [call for call in calls if call.fault.startswith(text)]
        told = [Sentence(f"call {call.id} {call.fault}; it does not count", (call.row,)) for call in faults]
        flag_each(log, code, "refused", told)
    long = [call for call in kept if call.end - call.start > LONG_STAY]
    told = [Sentence(f"call {call.id} lasts {call.hours / 24:.1f} days", (call.row,)) for call in long]
    flag_each(log, "stay-long", "caution", told)
    told = []
    for call in kept:
        years = call.hours_by_year()
        if len(years) > 1:
            parts = ", ".join(f"{hours:.2f} h in {year}" for year, hours in years.items())
            told.append(Sentence(f"call {call.id} runs over the turn of the year: {parts}", (call.row,)))
    flag_each(log, "year-turns", "note", told)


def _span(calls: list[Call], because: str) -> Span | None:
    if not calls:
        return None
    told = " and ".join(sorted({call.zone for call in calls}))
    first, last = min(call.start for call in calls), max(call.end for call in calls)
    return Span(told, because if told else "", zones.iso(first) + "Z", zones.iso(last) + "Z")


# --- times ---------------------------------------------------------------------------------------


def _joined(columns: Columns, name: str) -> list[Cell]:
    """Stamps of a column, with the time of day from the column beside it where they hold the date only."""
    found = columns.cells(name)
    column = columns.head.columns[name]
    beside = [row.cell(column + 1) for row in columns.rows]
    only_dates = all(":" not in cell.text for cell in found if cell.text)
    clocks = [cell for cell in beside if cell.text and stamps.ONLY_CLOCK.fullmatch(cell.text)]
    if not only_dates or 2 * len(clocks) <= len(found):
        return found
    return [
        Cell(f"{cell.text} {clock.text}") if clock.text else cell for cell, clock in zip(found, beside, strict=True)
    ]


def _zones(columns: Columns, log: Log) -> tuple[list[str], str]:
    """The zone of each row and its evidence: its own, else that of the headings or the title, else asked."""
    if columns.has("zone"):
        return [" ".join(cell.split()) for cell in columns.texts("zone")], "stated in each row"
    heads = [columns.heading(name) for name in ("start", "end")]
    zone, because = zones.stated_zone([*heads, *(str(text) for text in log.notes.get("preamble", []))])
    if zone is None:
        text = "In which time zone are the times? (UTC, UTC+4, or a name such as Europe/Oslo)"
        zone, because = log.ask(Question("time.zone", text, (), "the file states none")), "answer"
    return [zone or ""] * len(columns.rows), because


def _zone(name: str) -> tzinfo | None:
    """A zone by its name or offset; None for what is none."""
    offset = zones.offset_of(name.replace(" ", ""))
    if offset is not None:
        return timezone(timedelta(seconds=offset))
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return None


class _Clock:
    """Turns the stamps of one row into UTC; fault says why it cannot."""

    def __init__(self, zone: str, line: int, log: Log) -> None:
        self.name, self.zone, self.line, self.log, self.fault = zone, _zone(zone), line, log, ""

    def utc(self, cell: Cell, order: stamps.Order) -> float:
        """UTC seconds of a stamp; NaN with a fault where it has none."""
        seconds = seconds_of(cell, order)
        stated = None if cell.date is not None else stamps.stated_offset(stamps.STAMP.fullmatch(cell.text))
        if math.isnan(seconds):
            self.fault = self.fault or f"no time that can be read: {cell.text or 'blank'}"
        elif stated is not None:
            return seconds - stated
        elif self.zone is None:
            self.fault = self.fault or f"no time zone that is known: {self.name or 'blank'}"
        else:
            return self._through(zones.EPOCH + timedelta(seconds=seconds), self.zone)
        return math.nan

    def _through(self, wall: datetime, zone: tzinfo) -> float:
        """UTC of a wall-clock time; an hour that stands twice is asked, one that is skipped is a fault."""
        passes = [wall.replace(tzinfo=zone, fold=fold).astimezone(UTC) for fold in (0, 1)]
        if all(found.astimezone(zone).replace(tzinfo=None) != wall for found in passes):
            self.fault = self.fault or f"{wall} is an hour that the change to summer time skips"
            return math.nan
        if passes[0] == passes[1]:
            return passes[0].timestamp()
        text = "The hour that autumn doubles: is the time in it of the first or the second pass?"
        answer = self.log.ask(
            Question("time.fold", text, ("first", "second"), f"row {self.line}: {wall} in {self.name}")
        )
        return passes[1 if answer == "second" else 0].timestamp()


# --- what cannot be ------------------------------------------------------------------------------


def _sound(call: Call) -> Call:
    """The call, with the fault that it ends before it starts."""
    if call.fault or call.end > call.start:
        return call
    return replace(call, fault=f"ends before it starts ({call.hours:.2f} h)")


def _without_overlaps(calls: list[Call]) -> list[Call]:
    """Of two calls of a ship that overlap, the one that starts later is at fault."""
    faults: dict[int, str] = {}
    told = sorted((call for call in calls if not call.fault), key=lambda call: (call.ship, call.start))
    for _, own in itertools.groupby(told, key=lambda call: call.ship):
        before: Call | None = None
        for call in own:
            if before is not None and call.start < before.end:
                hours = (min(before.end, call.end) - call.start) / HOUR
                faults[call.row] = f"overlaps call {before.id} by {hours:.2f} h"
            else:
                before = call
    return [replace(call, fault=faults.get(call.row, call.fault)) for call in calls]
