"""Columns of numbers: unit and its evidence, cells to SI, missing codes told apart, all of it reported."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from linewright.importers import cells, header, status
from linewright.importers.clock import Clock
from linewright.importers.header import Unit
from linewright.importers.report import Array, Log, Question
from linewright.importers.table import Table

CODES = (
    -999.0, 999.0, -9999.0, 9999.0, -99999.0, 99999.0, 32767.0, -32768.0, 65535.0, 999999999.0, 7999.0, -7999.0,
    99999.9, 9999.9, -999.9, 9.9e37, 1e31,
)  # fmt: skip
APART = 3.0  # a code stands this far beyond the other values
TEMPERATURE_UNITS = ("degC", "degF", "K")
_NO_MEASUREMENT = (
    "record rn n nr no index status state flag batt battery voltage remark comment quality row id "
    "bemerkung counter sample"
)
NO_MEASUREMENT = frozenset(_NO_MEASUREMENT.split())
NO_TENSION = "no tension"
FORCE_UNITS = ("kN", "N", "tf", "daN", "kip", "lbf", "% LDBF", "% SDMBL", NO_TENSION)
TONS = {"short": 2000.0 * header.POUND, "metric": 1e3 * header.G, "long": 2240.0 * header.POUND}


@dataclass(frozen=True)
class Channel:
    """One column of numbers in SI: name, heading as it stands, quantity, its unit as read, values (missing = NaN).

    slack says where a status calls the line slack, shape of the values; None where no status stands beside it.
    """

    name: str
    heading: str
    quantity: str
    read_unit: str
    because: str
    values: Array
    known: bool = True
    slack: npt.NDArray[np.bool_] | None = None

    def part(self, rows: npt.NDArray[np.intp]) -> Channel:
        """The channel in these rows only."""
        return replace(self, values=self.values[rows], slack=None if self.slack is None else self.slack[rows])


def mark_of(table: Table, clock: Clock, log: Log) -> cells.Mark:
    """The decimal mark of a table; asked where its numbers contradict each other."""
    others = [n for n in range(len(table.names)) if n not in clock.columns or clock.form == "elapsed"]
    sample = [row[n] for row in table.rows[:5000] for n in others]
    mark, because = cells.decimal_mark(sample, table.parted_by)
    if mark is None:
        answer = log.ask(Question("decimal", "Which mark stands before the decimals?", ("point", "comma"), because))
        mark, because = ("," if answer == "comma" else "."), f"answer: {answer}" if answer else "open"
    log.notes["decimal"] = {"mark": "comma" if mark == "," else "point", "because": because}
    log.notes["delimiter"] = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}.get(table.parted_by, "blanks")
    return mark


def read_channels(
    table: Table, clock: Clock, log: Log, quantity: str = "", codes: Sequence[float] = CODES
) -> list[Channel]:
    """Every column that is not a time and holds numbers, in SI; `quantity` is what an unstated unit is asked for."""
    mark = mark_of(table, clock, log)
    found: dict[int, Channel] = {}
    others = [index for index in range(len(table.names)) if index not in clock.columns]
    told = [index for index in others if status.is_status(table, index)]
    for index in others:
        heading = table.names[index]
        if index not in told and is_text(table, index):
            log.text_column(heading, [cell.strip() for cell in table.column(index)], "not used")
        elif index not in told:
            name = own_name(heading, [channel.name for channel in found.values()], log)
            found[index] = read_channel(table, index, name, mark, log, quantity, codes)
    return marked(found, statuses(table, told, log), table, quantity, log)


def statuses(table: Table, columns: Sequence[int], log: Log) -> list[status.Status]:
    """The columns of status words whose words are known."""
    return [item for index in columns if (item := status.status_of(table, index, log)) is not None]


def marked(
    found: Mapping[int, Channel], told: Sequence[status.Status], table: Table, quantity: str, log: Log
) -> list[Channel]:
    """The channels, by index, without readings of a quantity that a status beside them calls bad."""
    judged = {index: item for index, item in found.items() if told and _is_of(item.heading, quantity) and item.known}
    names = {index: item.name for index, item in judged.items()}
    seen = status.Marked()
    for index, item in judged.items():
        words = [(one, table.column(one.index)) for one in status.beside(told, index, names)]
        values, slack = seen.take(item.name, item.values, words, table.lines, log)
        judged[index] = replace(item, values=values, slack=slack)
    seen.tell(log)
    return [judged.get(index, item) for index, item in found.items()]


def own_name(heading: str, taken: Sequence[str], log: Log) -> str:
    """The name of a heading without its unit, numbered where it is taken: one heading may stand with two units."""
    bare = header.split(heading).name or heading
    name, number = bare, 1
    while name in taken:
        number += 1
        name = f"{bare} ({number})"
    if number > 1:
        log.flag("name-twice", f"the heading {bare} stands twice; the later column is called {name}", "caution", name)
    return name


def is_text(table: Table, index: int) -> bool:
    """Whether a column holds words: most filled cells are neither numbers nor words for missing."""
    told = [cell for cell in table.column(index) if cell.strip()]
    words = sum(
        1
        for cell in told
        if not cells.is_missing(cell) and all(cells.number(cell, mark) is None for mark in (".", ","))
    )
    return 2 * words > len(told)


def read_channel(
    table: Table, index: int, name: str, mark: cells.Mark, log: Log, quantity: str, codes: Sequence[float]
) -> Channel:  # fmt: skip
    """One column in SI; what its cells do not say is asked or reported."""
    heading = table.names[index]
    split = header.split(heading)
    spelling = table.units[index].strip("[]() ") or split.unit
    figures = _figures(table, index, name, mark, log)
    _mask_codes(table, index, name, figures, codes, log)
    unit, read, because = _unit(heading, spelling, quantity if _is_of(heading, quantity) else "", log)
    if unit is None:
        return Channel(name, heading, quantity, read, because, figures, known=False)
    values = figures * unit.factor + unit.offset
    for first, units in table.later:
        again = header.unit_of(units[index])
        if again is not None and again is not unit and not again.is_open:
            values[first:] = figures[first:] * again.factor + again.offset
            row = table.lines[min(first, len(table.lines) - 1)]
            log.flag("unit-changed", f"{name}: the unit changes to {units[index]} from row {row}", "caution", name)
    return Channel(name, heading, unit.quantity, read, because, values)


def _is_of(heading: str, quantity: str) -> bool:
    """Whether a heading may be asked for a quantity: one of a counter, or with another quantity's word, is not."""
    words = header.words_of(heading)
    if set(words) & NO_MEASUREMENT:
        return False
    if quantity == "temperature":
        return header.is_word(words, quantity) or (bool(words) and words[0] in ("t", "tc", "ch", "probe"))
    others = [group for group in header.WORDS if group not in (quantity, "time")]
    return not any(header.is_word(words, group) for group in others) or header.is_word(words, quantity)


def _figures(table: Table, index: int, name: str, mark: cells.Mark, log: Log) -> Array:
    """Numbers as written; words for missing and unreadable cells are reported with their rows."""
    figures = np.empty(len(table.rows))
    blanks, unread = [], []
    for n, row in enumerate(table.rows):
        cell = row[index]
        value = cells.number(cell, mark)
        if value is not None:
            figures[n] = value
            continue
        figures[n] = np.nan
        if not cell.strip():
            blanks.append(table.lines[n])
        elif cells.is_missing(cell):
            log.replace(table.lines[n], name, cell, "a word for a missing value")
        else:
            log.replace(table.lines[n], name, cell, "no number")
            unread.append(table.lines[n])
    if len(blanks) == len(table.rows):
        log.flag("channel-missing", f"{name} has no data: missing, not zero", "caution", name)
    elif blanks:
        for line in blanks:
            log.replace(line, name, "", "blank")
    if unread:
        text = f"{name}: {len(unread)} cells are no number, first at row {unread[0]}; they count as missing"
        log.flag("cell-unreadable", text, "caution", name, unread)
    return figures


def codes_among(figures: Array, codes: Sequence[float]) -> npt.NDArray[np.bool_]:
    """Which figures are codes for missing: equal to one, and far from all that are none."""
    is_code = np.isin(figures, np.array(codes))
    if not is_code.any():
        return is_code
    rest = figures[np.isfinite(figures) & ~is_code]
    low, high = (float(rest.min()), float(rest.max())) if rest.size else (0.0, 0.0)
    above = figures > APART * max(abs(low), abs(high))
    below = figures < low - 0.5 * max(high - low, abs(low))
    return is_code & (above | below)


def _mask_codes(table: Table, index: int, name: str, figures: Array, codes: Sequence[float], log: Log) -> None:
    """Codes for missing become NaN in place, reported; one that lies among the other values is kept and flagged."""
    bad = codes_among(figures, codes)
    for n in np.flatnonzero(bad):
        log.replace(table.lines[n], name, table.rows[n][index].strip(), "a code for a missing value")
    left = np.flatnonzero(np.isin(figures, np.array(codes)) & ~bad)
    if left.size:
        text = f"{name}: {left.size} values equal a usual code for missing but lie among the others; kept"
        log.flag("code-or-value", text, "caution", name, [table.lines[n] for n in left])
    figures[bad] = np.nan


def _unit(heading: str, spelling: str, quantity: str, log: Log) -> tuple[Unit | None, str, str]:
    """The unit of a column, how it reads, and its evidence; None while it is open."""
    unit = header.unit_of(spelling) if spelling else None
    if unit is None:
        return _asked(heading, spelling, quantity, log)
    if unit.is_open and unit.quantity == "force":
        text = f"{heading}: a ton is three different forces. Which?"
        because = "short 8.896 kN, metric 9.807 kN, long 9.964 kN"
        answer = log.ask(Question(f"unit.{header.split(heading).name}", text, tuple(TONS), because))
        return (Unit("force", TONS[answer]), f"{answer} ton", "answer") if answer else (None, spelling, "open")
    if unit.quantity == "fraction" and (quantity == "force" or unit.is_open):
        return _based(heading, spelling, log)
    if unit.note:
        log.flag("tonne-force", f"{heading}: {spelling} in a column of force is {unit.note}", column=heading)
    return unit, spelling, "stated in the heading"


def _asked(heading: str, spelling: str, quantity: str, log: Log) -> tuple[Unit | None, str, str]:
    """A column without a unit, or with one that is not known."""
    if quantity == "temperature":
        answer = log.ask(
            Question(
                "unit", "In which unit are the temperatures?", TEMPERATURE_UNITS, f"no unit is stated for {heading}"
            )
        )
        return (header.UNITS[answer], answer, "answer") if answer else (None, spelling, "open")
    if quantity != "force":
        return Unit(quantity or "number", 1.0), spelling, "no unit stated"
    own = f"unit.{header.split(heading).name}"
    key = own if own in log.answers else "unit"
    why = f"the unit {spelling!r} is not known" if spelling else f"no unit is stated for {heading}"
    answer = log.ask(Question(key, "In which unit are the tensions?", FORCE_UNITS, why))
    if answer is None:
        return None, spelling, "open"
    if answer == NO_TENSION:
        return Unit("number", 1.0), spelling, "answer"
    if answer.startswith("%"):
        base = answer.removeprefix("%").strip()
        return header.UNITS[f"%{base}"], answer, "answer"
    return header.UNITS[answer], answer, "answer"


def _based(heading: str, spelling: str, log: Log) -> tuple[Unit | None, str, str]:
    """A percentage of strength: its base stands in the heading or is asked."""
    upper = heading.upper()
    stated = next((base for base in ("LDBF", "SDMBL") if base in upper), None)
    if stated:
        return header.UNITS[f"%{stated}"], f"%{stated}", "stated in the heading"
    answer = log.ask(
        Question(
            "base",
            "Percent of which strength?",
            ("LDBF", "SDMBL"),
            f"{heading} is in {spelling} of an unnamed strength",
        )
    )
    return (header.UNITS[f"%{answer}"], f"%{answer}", "answer") if answer else (None, spelling, "open")


def describe(channels: Sequence[Channel], log: Log, named: Callable[[Channel], str] | None = None) -> None:
    """Columns of the report, in the units the trade reads."""
    for channel in channels:
        shown, factor, offset = header.SHOWN.get(channel.quantity, ("", 1.0, 0.0)) if channel.known else ("", 1.0, 0.0)
        if not channel.known:
            shown = "?"
        elif not shown:
            shown = channel.read_unit
            known = header.unit_of(shown)
            factor, offset = (known.factor, known.offset) if known else (1.0, 0.0)
        name = named(channel) if named else channel.heading
        log.column(
            name,
            channel.quantity,
            shown,
            (channel.values - offset) / factor,
            read_unit=channel.read_unit,
            because=channel.because,
            heading=channel.heading,
        )
