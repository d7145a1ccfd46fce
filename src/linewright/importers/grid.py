"""A sheet of cells, from a spreadsheet or a text: what each cell says, where the headings stand, which rows are data.

A spreadsheet's number is exact and needs no decimal mark; a text's number is read under the mark that the file proves,
or that the user states.
"""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import NamedTuple

from linewright.base.errors import InputError, Problem
from linewright.importers import cells, header
from linewright.importers.report import Log, Question
from linewright.importers.table import delimiter_of
from linewright.importers.text import TextFile

LOOKED_AT = 60  # filled rows among which the headings are looked for
LONGEST_GROUP = 30  # characters of a heading above several others
_NUMBER = re.compile(r"[+-]?(?:[\d.,'](?:[\d.,' ]*[\d.,'])?)(?:[eE][+-]?\d{1,3})?")
_SEPARATOR = re.compile(r"(?i)sep=(.?)")


class Cell(NamedTuple):
    """What a cell says: its text, its exact number and unit, its date, and why it says nothing."""

    text: str = ""
    value: float | None = None
    unit: str = ""
    date: datetime | None = None
    note: str = ""

    @property
    def is_filled(self) -> bool:
        """Whether the cell says anything, be it why it says nothing."""
        return bool(self.text or self.note)

    @property
    def is_words(self) -> bool:
        """Whether the cell is a text that is neither number nor date."""
        return bool(self.text) and self.value is None and self.date is None and not looks_numeric(self.text)


BLANK = Cell()


class Row(NamedTuple):
    """A filled row: its number in the file, its cells, whether a spreadsheet hides it."""

    line: int
    cells: tuple[Cell, ...]
    is_hidden: bool = False

    def cell(self, index: int) -> Cell:
        """The cell of a column; blank beyond the last."""
        return self.cells[index] if index < len(self.cells) else BLANK

    def joined(self) -> str:
        """The row as one text, for a report."""
        return " ".join(cell.text for cell in self.cells if cell.text)


@dataclass(frozen=True)
class Sheet:
    """Filled rows of one sheet; parted_by is the delimiter of a text, empty for a spreadsheet.

    numbered says what the numbers of the rows count: rows, or columns of a sheet that is read across.
    """

    name: str
    rows: tuple[Row, ...]
    parted_by: str = ""
    is_hidden: bool = False
    numbered: str = "row"

    @property
    def width(self) -> int:
        """Columns of the widest row."""
        return max((len(row.cells) for row in self.rows), default=0)

    def where(self, row: Row) -> str:
        """A row's place, as a person finds it."""
        place = f"{self.numbered} {row.line}"
        return f"sheet {self.name}, {place}" if self.name else place


def sheet_of_text(file: TextFile) -> Sheet:
    """The filled rows of a delimited text; a quoted cell may hold delimiters and line ends. Raises InputError."""
    lines = list(file.lines)
    stated = _SEPARATOR.fullmatch(lines[0].strip().strip('"')) if lines else None
    skip = 1 if stated else 0
    told = [line for line in lines[skip : skip + 300] if line.strip()]
    parted = (stated[1] or "\t") if stated else delimiter_of(told)
    if parted == " ":
        numbered = [(number, line.split()) for number, line in enumerate(lines, 1) if number > skip]
    else:
        numbered = _parted("\n".join(lines[skip:]), parted, skip, file.source.name)
    rows = [Row(number, tuple(Cell(cells.plain(text)) for text in row)) for number, row in numbered]
    return Sheet("", tuple(_trimmed(row) for row in rows if any(cell.text for cell in row.cells)), parted)


def _parted(text: str, delimiter: str, skip: int, name: str) -> list[tuple[int, list[str]]]:
    csv.field_size_limit(2_000_000)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    found, before = [], 0
    try:
        for row in reader:
            found.append((skip + before + 1, row))
            before = reader.line_num
    except csv.Error as error:
        problem = Problem(f"{name}, row {skip + before + 1}", str(error), "cells parted by one delimiter")
        raise InputError(f"{name} is no table of text.", [problem]) from None
    return found


def _trimmed(row: Row) -> Row:
    """The row without blank cells at its end."""
    last = max((n for n, cell in enumerate(row.cells) if cell.is_filled), default=-1)
    return row._replace(cells=row.cells[: last + 1])


def transposed(sheet: Sheet) -> Sheet:
    """Columns as rows, numbered by column; for tables whose headings stand in the first column."""
    rows = [Row(n + 1, tuple(row.cell(n) for row in sheet.rows)) for n in range(sheet.width)]
    filled = tuple(_trimmed(row) for row in rows if any(cell.is_filled for cell in row.cells))
    return replace(sheet, rows=filled, numbered="column")


# --- numbers -----------------------------------------------------------------------------------


def looks_numeric(text: str) -> bool:
    """Whether a text is a number under one of the decimal marks."""
    return cells.number(text, ".") is not None or cells.number(text, ",") is not None


class Figure(NamedTuple):
    """A number with the unit that stands behind it in its cell, and a sign before it (<, >); NaN with the reason."""

    value: float
    unit: str = ""
    sign: str = ""
    why: str = ""


NOTHING = Figure(math.nan, why="blank")


@dataclass
class Numbers:
    """Reads the numbers of a file: under its decimal mark where the file has one, cell by cell where not."""

    log: Log
    mark: cells.Mark | None = None
    doubts: list[str] = field(default_factory=list)

    def figure(self, cell: Cell, column: str = "", line: int = 0) -> Figure:
        """The number of a cell; NaN and why where it has none; an open mark is asked."""
        if cell.value is not None:
            return Figure(cell.value, cell.unit)
        if cell.note or not cell.text:
            return Figure(math.nan, why=cell.note or "blank")
        if cell.date is not None:
            return Figure(math.nan, why="a date where a number is expected")
        if cells.is_missing(cell.text):
            return Figure(math.nan, why="a word for a missing value")
        return self._parsed(cell.text, column, line)

    def _parsed(self, text: str, column: str, line: int) -> Figure:
        sign = text[0] if text[:1] in "<>~≤≥≈" else ""
        rest = text[len(sign) :].lstrip("= ").strip()
        found = _NUMBER.match(rest)
        if not found:
            return Figure(math.nan, why="no number")
        digits, unit = found.group().strip(), rest[found.end() :].strip()
        mark = self.mark or self._own_mark(digits, column, line)
        value = cells.number(digits, mark) if mark else None
        if value is None:
            return Figure(math.nan, unit, sign, "no number under the file's decimal mark" if mark else "an open mark")
        if unit and not re.match(r"[^\W\d_]|[%°‰\"]", unit):
            return Figure(math.nan, why="no number")
        return Figure(value, unit, sign)

    def _own_mark(self, digits: str, column: str, line: int) -> cells.Mark | None:
        """The mark that one cell shows by itself; asked where its only mark may part thousands."""
        mark, _ = cells.decimal_mark([digits], "")
        if mark is not None:
            return mark
        if len(self.doubts) < 5:
            readings = sorted(value for value in (cells.number(digits, m) for m in (".", ",")) if value is not None)
            self.doubts.append(f"row {line}, {column}: {digits!r} is " + " or ".join(f"{v:g}" for v in readings))
        text = "Which mark stands before the decimals, where one cell alone does not show it?"
        answer = self.log.ask(Question("decimal", text, ("point", "comma"), self.doubts[0]))
        return {"point": ".", "comma": ","}.get(answer or "")  # type: ignore[return-value]

    def read(self, cell: Cell, column: str, line: int) -> Figure:
        """As figure, with whatever is missing reported with its reason."""
        found = self.figure(cell, column, line)
        if found.why:
            self.log.replace(line, column, cell.text, found.why)
        return found


def numbers_of(sheet: Sheet, log: Log) -> Numbers:
    """How the numbers of a sheet are read: a spreadsheet cell by cell, a text under the mark that its cells prove."""
    if not sheet.parted_by:
        return Numbers(log)
    texts = [part for row in sheet.rows for cell in row.cells for part in _digits(cell.text)]
    mark, because = cells.decimal_mark(texts, sheet.parted_by)
    if mark is not None:
        log.notes["decimal"] = {"mark": "comma" if mark == "," else "point", "because": because}
    names = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar", " ": "blanks"}
    log.notes["delimiter"] = names.get(sheet.parted_by, sheet.parted_by)
    return Numbers(log, mark)


def _digits(text: str) -> list[str]:
    """The number with which a text begins, if what follows can be its unit."""
    rest = text.lstrip("<>~≤≥≈= ")
    found = _NUMBER.match(rest)
    if not found or re.match(r"\s*[-–/:]\s*\d", rest[found.end() :]):
        return []
    return [found.group().strip()]


# --- headings ----------------------------------------------------------------------------------


class Head(NamedTuple):
    """The headings: index of their row, their texts, the column of each known one, first row of data, row of units."""

    at: int
    names: tuple[str, ...]
    columns: Mapping[str, int]
    start: int
    units: tuple[str, ...]


Words = Mapping[str, re.Pattern[str]]


def find_head(sheet: Sheet, words: Words) -> Head:
    """The row with most headings of a vocabulary among the first rows, under group headings where they tell more."""
    best = Head(0, (), {}, 0, ())
    for index, row in enumerate(sheet.rows[:LOOKED_AT]):
        plain = tuple(cell.text if cell.is_words else "" for cell in row.cells)
        for names in (plain, _under_groups(sheet, index, plain)):
            found = headings_of(names, words)
            if len(found) > len(best.columns):
                best = Head(index, names, found, index + 1, ())
    if not best.columns:
        return best
    units = units_below(sheet, best.at)
    return best._replace(start=best.at + (2 if units else 1), units=units)


def _under_groups(sheet: Sheet, index: int, names: tuple[str, ...]) -> tuple[str, ...]:
    """Headings with those of the groups above them, which hold on to the right."""
    above = sheet.rows[index - 1].cells if index else ()
    told = [cell for cell in above if cell.text]
    texts = {cell.text for cell in told}
    if not 2 <= len(texts) < len(above) or not all(cell.is_words and len(cell.text) <= LONGEST_GROUP for cell in told):
        return ()
    joined, group = [], ""
    for n, name in enumerate(names):
        group = above[n].text if n < len(above) and above[n].text else group
        joined.append(f"{group} {name}".strip() if group != name else name)
    return tuple(joined)


def headings_of(names: Sequence[str], words: Words) -> dict[str, int]:
    """The column of each known heading of a row; the first that fits, every column once."""
    found: dict[str, int] = {}
    for index, text in enumerate(names):
        if not text or len(text) > 80:
            continue
        plain = plainly(text)
        name = next((key for key, pattern in words.items() if key not in found and pattern.search(plain)), None)
        if name is not None:
            found[name] = index
    return found


def units_below(sheet: Sheet, at: int) -> tuple[str, ...]:
    """The units of the row below the headings, if that is a row of units."""
    if at + 1 >= len(sheet.rows):
        return ()
    texts = [cell.text.strip("[]() ") for cell in sheet.rows[at + 1].cells]
    told = [text for text in texts if text and text != "-"]
    fits = sum(1 for text in told if is_unit(text))
    return tuple(texts) if told and fits >= 0.6 * len(told) and fits >= 1 else ()


def is_unit(text: str) -> bool:
    """Whether a text is a unit of a column, also a percentage of a strength or a share of time."""
    return header.known(text) or bool(re.fullmatch(r"(?i)[%‰].{0,12}|per ?mille|m2|m²|kg/m|deg|h/(a|y|yr|year)", text))


def plainly(text: str) -> str:
    """A heading in small letters on one line, marks of words made blanks."""
    return re.sub(r"[\s_]+", " ", text).strip().lower()


def unit_in(head: Head, column: int) -> str:
    """The unit of a column: from the row of units, else from its heading."""
    below = head.units[column] if column < len(head.units) else ""
    return below or named_unit(head.names[column])[1]


def named_unit(heading: str) -> tuple[str, str]:
    """A heading without its unit, and the unit (empty where it states none)."""
    text = " ".join(heading.split())
    slashed = re.search(r"(?i)[\s_,\[(]*(kg ?/ ?(?:100 ?)?m)\b[\])]?", text)
    if slashed:
        return text[: slashed.start()] + text[slashed.end() :], slashed[1].replace(" ", "")
    for found in reversed(list(re.finditer(r"[\[(]\s*([^\])]*?)\s*[\])]", text))):
        if is_unit(found[1]):
            return f"{text[: found.start()].rstrip()} {text[found.end() :].lstrip()}".strip(), found[1]
    name, mark, unit = text.rpartition("_")
    if mark and is_unit(unit) and name:
        return name, unit
    if len(text) > 2 and header.known(text.lower()):
        return text, text.lower()
    split = header.split(text)
    return split.name, split.unit


def bare(heading: str) -> str:
    """A heading without its unit."""
    return named_unit(heading)[0] or heading
