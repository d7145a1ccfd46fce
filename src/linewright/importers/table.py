"""A text file as a table: delimiter, preamble, names, units, rows, with the line number of each row.

The delimiter is the candidate under which most cells are numbers, times or blanks and most rows have one width.
Names and units are found by content: the units row stands directly above the numbers or within the headings.
"""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from linewright.base.errors import InputError, Problem
from linewright.importers import cell_units, cells, header
from linewright.importers.report import Log
from linewright.importers.text import TextFile

PARTED = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar", " ": "blanks"}
LOOKED_AT = 300  # lines that decide
MOST_COLUMNS = 1000
MOST_PREAMBLE = 40
OFTEN = 0.1  # share of rows without their last cells from which the file is taken to leave blank ends out
HEADINGS = 4  # rows of names, units, processing, at most
NO_UNIT = {"ts", "rn", "utc", "gmt", "local", "lt", "text", "id", "name", "no", "nr", "hh:mm:ss", "date", "time"}
PROCESSING = {"smp", "avg", "min", "max", "tot", "std", "stdev", "mean", "sample", "average", "ts", "rn", ""}
TIME_LIKE = re.compile(
    r"\d{1,4}[-./]\d{1,2}[-./]\d{1,4}([T ,]+\d[\d:., ]*([AaPp]\.?[Mm]\.?)?\s*(Z|UTC|GMT|[+-]\d{2}:?\d{0,2})?)?"
    r"|\d{1,2}:\d{2}(:\d{2}([.,:]\d+)?)?\s*([AaPp]\.?[Mm]\.?)?|\d{8}T?\d{0,6}Z?"
)
PATTERN_UNIT = re.compile(r"[\[(]?\s*(?:[dDmMyYhHsStTjJ:./\- ]{4,})\s*[\])]?")

COMMENT, UNITS_AGAIN, TEXT = "a comment line", "a row of units again", "a row of text"
HEADINGS_AGAIN, HEADINGS_CHANGED = "the headings again", "the headings again, with other units"
NO_DATA = {COMMENT, UNITS_AGAIN, TEXT, HEADINGS_AGAIN, HEADINGS_CHANGED}

Cells = list[str]


@dataclass(frozen=True)
class Table:
    """Names, units (empty where none), rows of cells of that width, the line of each row, and what stood above.

    later holds headings that came again with other units: (index of the first row they hold for, units).
    """

    names: tuple[str, ...]
    units: tuple[str, ...]
    rows: tuple[Cells, ...]
    lines: tuple[int, ...]
    preamble: tuple[str, ...]
    parted_by: str
    read: int
    later: tuple[tuple[int, tuple[str, ...]], ...] = ()

    def column(self, index: int) -> list[str]:
        """Cells of one column."""
        return [row[index] for row in self.rows]


def read_table(file: TextFile, log: Log) -> Table:
    """The table of a text file. Raises InputError where there is none."""
    lines = list(file.lines)
    parted, skip = _stated(lines)
    delimiter = parted or delimiter_of([line for line in lines[skip : skip + LOOKED_AT] if line.strip()])
    rows = _split(lines[skip:], delimiter, skip)
    return table_of(rows, delimiter, file.source.name, log)


def _stated(lines: Sequence[str]) -> tuple[str, int]:
    """The delimiter of a `sep=;` line, and lines to skip."""
    first = lines[0].strip().strip('"') if lines else ""
    if re.fullmatch(r"(?i)sep=.", first):
        return first[-1], 1
    if re.fullmatch(r"(?i)sep=", first):
        return "\t", 1
    return "", 0


def _split(lines: Sequence[str], delimiter: str, skip: int) -> list[tuple[int, Cells]]:
    """Numbered rows; a quoted cell may hold the delimiter, not a line end."""
    if delimiter == " ":
        return [(number, line.split()) for number, line in enumerate(lines, skip + 1)]
    csv.field_size_limit(2_000_000)
    return [(number, next(csv.reader([line], delimiter=delimiter), []) if '"' in line else line.split(delimiter))
            for number, line in enumerate(lines, skip + 1)]  # fmt: skip


def delimiter_of(lines: Sequence[str]) -> str:
    """The delimiter under which the lines look most like a table of numbers."""
    return max(PARTED, key=lambda mark: _likeness(lines, mark))


def _likeness(lines: Sequence[str], mark: str) -> tuple[float, float]:
    """How much lines look like a table: rows of one width times the share of cells that say something."""
    rows = [cells_ for _, cells_ in _split(lines, mark, 0)]
    widths = Counter(len(row) for row in rows if len(row) > 1)
    if not widths:
        return (0.0, 0.0)
    width, count = max(widths.items(), key=lambda item: (item[1], item[0]))
    body = [row for row in rows if len(row) == width]
    clean = sum(1 for row in body for cell in row if _says_something(cell))
    share = clean / (width * len(body))
    return (count / len(rows) * share * (0.9 if mark == " " else 1.0), width)


def _says_something(cell: str) -> bool:
    text = cells.plain(cell)
    is_number = cells.number(text, ".") is not None or cells.number(text, ",") is not None
    return is_number or cells.is_missing(text) or cell_units.parted(text) is not None or bool(TIME_LIKE.fullmatch(text))


def _is_datum(cell: str) -> bool:
    """Whether a cell is a number or a time."""
    text = cells.plain(cell)
    return bool(text) and (
        cells.number(text, ".") is not None
        or cells.number(text, ",") is not None
        or bool(TIME_LIKE.fullmatch(text))
        or cell_units.parted(text) is not None
    )


def table_of(rows: list[tuple[int, Cells]], delimiter: str, name: str, log: Log) -> Table:
    """The table of numbered rows, from a text or a sheet. Raises InputError where there is none."""
    filled = [(number, row) for number, row in rows if any(cell.strip() for cell in row)]
    width, start = _body_start(filled, name)
    if width > MOST_COLUMNS:
        raise InputError(f"{name} is too wide.", [Problem(name, f"{width} columns", f"at most {MOST_COLUMNS}")])
    heads, under, top = _headings(filled, start, width)
    names = _named(heads, filled[start:], width, log)
    units = tuple(_padded(under, len(names)))
    preamble = tuple(" ".join(cell.strip() for cell in row if cell.strip()) for _, row in filled[:top])
    if preamble:
        log.notes["preamble"] = list(preamble[:MOST_PREAMBLE])
    bare, units = cell_units.taken_out(filled[start:], names, units, log)
    body, lines, later = _body(bare, names, units, log)
    if not body:
        raise InputError(f"{name} has no rows of data.", [Problem(name, "headings only", "rows of numbers")])
    read = len(filled) - start - sum(1 for item in log.dropped if item.why in NO_DATA)
    return Table(names, units, tuple(body), tuple(lines), preamble, delimiter, read, later)


def _body_start(filled: list[tuple[int, Cells]], name: str) -> tuple[int, int]:
    """Width of the table and index of its first row of data: the first that looks like the bulk of the rows."""
    sample = filled[: LOOKED_AT * 2]
    widths = Counter(len(row) for _, row in sample if len(row) > 1 and any(map(_is_datum, row)))
    if not widths:
        needs = "rows of numbers in columns parted by comma, semicolon, tab or blanks"
        raise InputError(f"{name} is no table.", [Problem(name, f"{len(filled)} lines without columns", needs)])
    width = max(widths.items(), key=lambda item: (item[1], item[0]))[0]
    rows = [row for _, row in sample[len(sample) // 2 :] if len(row) == width and any(map(_is_datum, row))]
    rows = rows or [row for _, row in sample if len(row) == width]
    numeric = [n for n in range(width) if _share(rows, n) >= 0.5]
    for index, (_, row) in enumerate(filled):
        if abs(len(row) - width) <= 1 and _is_data_row(row) and _fits(row, numeric):
            return width, _below_headings(filled, index, width)
    raise InputError(f"{name} is no table.", [Problem(name, "no row of numbers", "rows of numbers")])


def _below_headings(filled: list[tuple[int, Cells]], index: int, width: int) -> int:
    """The first row of data, were it one with bad cells: rows with a number or time between headings and good rows."""
    top = index
    while top > 0 and abs(len(filled[top - 1][1]) - width) <= 1 and any(map(_is_datum, filled[top - 1][1])):
        top -= 1
    return top if top == index or (top > 0 and _may_head(filled[top - 1][1], width)) else index


def _share(rows: list[Cells], column: int) -> float:
    """Share of the filled cells of a column that are numbers or times."""
    told = [row[column] for row in rows if row[column].strip() and not cells.is_missing(row[column])]
    return sum(map(_is_datum, told)) / len(told) if told else 0.0


def _fits(row: Cells, numeric: list[int]) -> bool:
    """Whether a row has numbers or times where the bulk has them; a third of them may be words, not the first."""
    bad = [n for n in numeric if n < len(row) and not _is_datum(row[n]) and not cells.is_missing(row[n])]
    return 3 * len(bad) <= len(numeric) and numeric[:1] != bad[:1]


def _is_data_row(row: Cells) -> bool:
    """A row of data holds a number or a time, and is not a row of headings that hold digits."""
    told = [cell for cell in row if cell.strip()]
    data = sum(map(_is_datum, told))
    return data >= 1 and 2 * (data + sum(cells.is_missing(cell) for cell in told)) >= min(len(told), 3)


def _is_heading(row: Cells) -> bool:
    told = [cell for cell in row if cell.strip()]
    return len(told) >= 2 and not any(_is_datum(cell) for cell in told)


def _headings(filled: list[tuple[int, Cells]], start: int, width: int) -> tuple[Cells, Cells, int]:
    """Names, units and the index of the first heading row; both empty where there are none."""
    above: list[Cells] = []
    top = start
    while top > 0 and len(above) < HEADINGS and _may_head(filled[top - 1][1], width):
        above.insert(0, filled[top - 1][1])
        top -= 1
    units: Cells = []
    names: Cells = []
    for n in range(len(above) - 1, -1, -1):
        row = above[n]
        if all(cell.strip().lower() in PROCESSING for cell in row) and n > 0:
            continue
        if not units and n > 0 and _is_units(row):
            units = row
            continue
        names = row
        top += n
        break
    return [cell.strip().lstrip("#").strip() for cell in names], [cell.strip() for cell in units], top


def _may_head(row: Cells, width: int) -> bool:
    told = [cell for cell in row if cell.strip()]
    close = abs(len(row) - width) <= 1
    return close and (len(told) >= 2 or width == 1) and not any(_is_datum(cell) for cell in told)


def _is_units(row: Cells) -> bool:
    """Whether most filled cells of a row are units or patterns of time."""
    told = [cell for cell in row if cell.strip() and not cells.is_missing(cell)]
    fits = sum(
        1
        for cell in told
        if header.unit_of(cell) or PATTERN_UNIT.fullmatch(cell.strip()) or cell.strip().lower() in NO_UNIT
    )
    return bool(told) and fits >= 0.6 * len(told)


def _padded(row: Sequence[str], width: int) -> Cells:
    """Exactly one cell per column."""
    return ([*row] + [""] * (width - len(row)))[:width]


def _named(names: Cells, rows: list[tuple[int, Cells]], width: int, log: Log) -> tuple[str, ...]:
    """One name per column: none beyond the last that is named or filled, none twice."""
    while names and not names[-1]:
        names = names[:-1]
    filled = [
        n
        for n in range(len(names), width)
        if sum(1 for _, row in rows if len(row) > n and row[n].strip()) * 2 > len(rows)
    ]
    wide = max([len(names), *(n + 1 for n in filled)]) if names else width
    given = [name or f"column {n + 1}" for n, name in enumerate(_padded(names, wide))]
    if names and wide > len(names):
        text = f"{wide - len(names)} columns behind {names[-1]} have no heading: does a comma part the numbers?"
        log.flag("name-missing", text, "caution")
    found: list[str] = []
    for name in given:
        again = found.count(name) + sum(1 for other in found if other.startswith(f"{name} ("))
        if name in found:
            log.flag(
                "name-twice",
                f"the heading {name} stands twice; the later column is called {name} ({again + 1})",
                "caution",
                name,
            )
        found.append(f"{name} ({again + 1})" if name in found else name)
    return tuple(found)


def _body(
    filled: list[tuple[int, Cells]], names: tuple[str, ...], units: tuple[str, ...], log: Log
) -> tuple[list[Cells], list[int], tuple[tuple[int, tuple[str, ...]], ...]]:
    """Rows of data of one width, their lines, and headings that came again with other units."""
    width = len(names)
    body: list[Cells] = []
    lines: list[int] = []
    later: list[tuple[int, tuple[str, ...]]] = []
    trailing: list[int] = []
    short = [number for number, row in filled if len(row) < width]
    are_often_short = len(short) > OFTEN * len(filled)
    if are_often_short:
        text = f"{len(short)} rows have fewer cells than headings; the cells missing at their ends count as blank"
        log.flag("short-rows", text, "caution", rows=short)
    for number, row in filled:
        if row[0].lstrip().startswith("#") and not _is_data_row(row):
            log.drop(number, _joined(row), COMMENT)
        elif _is_heading(row) and not any(map(_is_datum, row)) and not _all_missing(row):
            _heading_again(number, row, names, units, len(body), later, log)
        elif len(row) > width and any(cell.strip() for cell in row[width:]):
            log.drop(number, _joined(row), f"{len(row)} cells in a table of {width} columns")
        elif len(row) < width and (not are_often_short or number == filled[-1][0]):
            log.drop(number, _joined(row), f"cut short: {len(row)} cells in a table of {width} columns")
        else:
            trailing += [number] if len(row) > width else []
            body.append(_padded(row, width))
            lines.append(number)
    if trailing:
        text = f"{len(trailing)} rows end with an extra empty cell (a delimiter at the end); the columns were not moved"
        log.flag("trailing-delimiter", text, rows=trailing)
    return body, lines, tuple(later)


def _all_missing(row: Cells) -> bool:
    return all(cells.is_missing(cell) for cell in row)


def _joined(row: Cells) -> str:
    return " ".join(cell.strip() for cell in row)


def _heading_again(
    number: int, row: Cells, names: tuple[str, ...], units: tuple[str, ...], at: int,
    later: list[tuple[int, tuple[str, ...]]], log: Log,
) -> None:  # fmt: skip
    """Headings in the middle: the same names again, a row of units (which may have changed), or text."""
    padded = _padded([cell.strip().lstrip("#").strip() for cell in row], len(names))
    if _is_units(row):
        later.append((at, tuple(padded)))
        log.drop(number, _joined(row), UNITS_AGAIN)
    elif tuple(padded) == names:
        log.drop(number, _joined(row), HEADINGS_AGAIN)
    elif [header.split(cell).name for cell in padded] == [header.split(cell).name for cell in names]:
        later.append((at, tuple(header.split(cell).unit for cell in padded)))
        log.drop(number, _joined(row), HEADINGS_CHANGED)
    else:
        log.drop(number, _joined(row), TEXT)
