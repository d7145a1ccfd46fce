"""Spreadsheets (.xlsx, .xlsm) as sheets of cells: safely, with what is hidden, merged, dated or not computed.

The parts of the file are read as a stream. Its size unpacked is bounded before anything is parsed, entities are
refused, and cells that hold a format only cost next to nothing. Formulas are never run: a cell shows the value that
was stored with it, or says that none was.
"""

from __future__ import annotations

import hashlib
import re
import zipfile
import zlib
from dataclasses import dataclass, field
from datetime import datetime, time, timedelta
from pathlib import Path
from xml.parsers.expat import ExpatError

from openpyxl.styles.numbers import BUILTIN_FORMATS, is_date_format, is_timedelta_format
from openpyxl.utils.cell import column_index_from_string, get_column_letter
from openpyxl.utils.datetime import CALENDAR_MAC_1904, CALENDAR_WINDOWS_1900, from_excel

from linewright.base.errors import InputError, Problem
from linewright.importers.grid import BLANK, Cell, Row, Sheet
from linewright.importers.report import Log, Source
from linewright.importers.text import regular
from linewright.importers.xml_parts import elements, links, parse

LARGEST_FILE = 64_000_000  # bytes as stored
LARGEST_UNPACKED = 600_000_000  # bytes of all parts that are read
LARGEST_RATIO = 300.0  # unpacked over stored, of parts above the size below
RATIO_FROM = 20_000_000
MOST_CELLS = 500_000  # filled cells of a sheet, merged ones counted
NO_VALUE = "no value stored with the formula - open and save in a spreadsheet"
_REFERENCE = re.compile(r"\$?([A-Z]{1,3})\$?(\d{1,7})")
_DAMAGED = (
    zipfile.BadZipFile, ExpatError, zlib.error, KeyError, EOFError, RuntimeError, NotImplementedError, OSError,
    ValueError, IndexError, OverflowError,
)  # fmt: skip


@dataclass(frozen=True)
class Workbook:
    """A spreadsheet file: its source and its filled sheets in order."""

    source: Source
    sheets: tuple[Sheet, ...]


def read_workbook(path: Path, log: Log) -> Workbook:
    """Every filled sheet of a workbook. Raises InputError for what is none, damaged, locked or too large."""
    size = regular(path)
    if size > LARGEST_FILE:
        raise _refused(path, f"{size / 1e6:.0f} MB", f"at most {LARGEST_FILE / 1e6:.0f} MB", "save the table as CSV")
    content = path.read_bytes()
    _refuse_others(path, content)
    source = Source(path.name, hashlib.sha256(content).hexdigest()[:16], "xlsx")
    try:
        with zipfile.ZipFile(path) as archive:
            _refuse_bombs(path, archive)
            sheets = _sheets(archive, log)
    except _DAMAGED as error:
        read = f"{type(error).__name__}: {error}".strip(": ")[:100]
        raise _refused(path, read, "a whole .xlsx file", "open it in a spreadsheet and save it again") from None
    if not sheets:
        raise _refused(path, "no filled cell", "a sheet with rows")
    return Workbook(source, tuple(sheets))


def _refused(path: Path, read: str, needs: str, do: str = "") -> InputError:
    return InputError(f"{path.name} cannot be read as a spreadsheet.", [Problem(path.name, read, needs, do)])


def _refuse_others(path: Path, content: bytes) -> None:
    """Files that only look like it."""
    needs = "a .xlsx or .xlsm file without a password"
    if content.startswith(b"\xd0\xcf\x11\xe0"):
        do = "open it in a spreadsheet and save it as .xlsx without a password"
        raise _refused(path, "an old .xls file, or one locked with a password", needs, do)
    if not content.startswith(b"PK"):
        raise _refused(path, "no spreadsheet, by its first bytes", needs)
    if b"opendocument.spreadsheet" in content[:200]:
        raise _refused(path, "an OpenDocument spreadsheet", needs, "save it as .xlsx")


def _refuse_bombs(path: Path, archive: zipfile.ZipFile) -> None:
    """Sizes as the archive states them; no more than that is ever unpacked."""
    parts = [part for part in archive.infolist() if part.filename.endswith((".xml", ".rels"))]
    names = [part.filename for part in parts]
    if "xl/workbook.bin" in archive.namelist():
        raise _refused(path, "a binary .xlsb file", "a .xlsx file", "save it as .xlsx")
    if "[Content_Types].xml" not in names:
        raise _refused(path, "a zip file without a workbook", "a .xlsx or .xlsm file")
    whole = sum(part.file_size for part in parts)
    worst = max(
        (part.file_size / max(part.compress_size, 1) for part in parts if part.file_size > RATIO_FROM), default=0.0
    )
    if whole > LARGEST_UNPACKED or worst > LARGEST_RATIO:
        read = f"{whole / 1e6:.0f} MB unpacked, {worst:.0f} times what is stored"
        needs = f"at most {LARGEST_UNPACKED / 1e6:.0f} MB and {LARGEST_RATIO:.0f} times"
        raise _refused(path, read, needs, "save the sheet that is needed as CSV")


# --- the book -------------------------------------------------------------------------------------


def _sheets(archive: zipfile.ZipFile, log: Log) -> list[Sheet]:
    """The filled sheets of a workbook."""
    roots = [path for kind, path in links(archive, "").values() if kind == "officeDocument"]
    book = roots[0] if roots else "xl/workbook.xml"
    found = links(archive, book)
    told = elements(archive, book, {"sheet", "workbookPr"})
    is_1904 = any(item.get("date1904") in ("1", "true") for name, item in told if name == "workbookPr")
    if is_1904:
        log.flag("dates-1904", "the workbook counts its days from 1904; dates are read so")
    of_kind = dict(found.values())
    shared = _shared(archive, of_kind.get("sharedStrings", ""))
    shows = _Shows(_formats(archive, of_kind.get("styles", "")), shared, is_1904)
    sheets = []
    for name, item in told:
        kind, path = found.get(item.get("id", ""), ("", "")) if name == "sheet" else ("", "")
        if kind == "worksheet":
            sheet = _read_sheet(archive, path, item.get("name", ""), shows, log)
            sheets.append(_said_hidden(sheet, item.get("state", "visible"), log))
    return [sheet for sheet in sheets if sheet.rows]


def _said_hidden(sheet: Sheet, state: str, log: Log) -> Sheet:
    if state == "visible" or not sheet.rows:
        return sheet
    log.flag("sheet-hidden", f"the sheet {sheet.name} is hidden in the workbook; it is read", "caution")
    return Sheet(sheet.name, sheet.rows, is_hidden=True)


def _shared(archive: zipfile.ZipFile, part: str) -> list[str]:
    """The texts that cells share, without phonetic readings."""
    if part not in archive.namelist():
        return []
    found: list[str] = []
    state = {"text": False, "reading": 0}
    kept: list[str] = []

    def start(name: str, attributes: dict[str, str]) -> None:
        state["text"] = name == "t"
        state["reading"] += name == "rPh"

    def end(name: str) -> None:
        state["text"] = False
        state["reading"] -= name == "rPh"
        if name == "si":
            found.append("".join(kept))
            kept.clear()

    def text(content: str) -> None:
        if state["text"] and not state["reading"]:
            kept.append(content)

    with archive.open(part) as stream:
        parse(stream, start, end, text)
    return found


def _formats(archive: zipfile.ZipFile, part: str) -> list[str]:
    """What each style shows: date, time span, percent or nothing special."""
    if part not in archive.namelist():
        return []
    codes = dict(BUILTIN_FORMATS)
    shown: list[str] = []
    inside = {"xfs": False}

    def start(name: str, attributes: dict[str, str]) -> None:
        inside["xfs"] = inside["xfs"] or name == "cellXfs"
        if name == "numFmt":
            codes[int(attributes.get("numFmtId", "0"))] = attributes.get("formatCode", "")
        elif name == "xf" and inside["xfs"]:
            shown.append(codes.get(int(attributes.get("numFmtId", "0")), ""))

    def end(name: str) -> None:
        inside["xfs"] = inside["xfs"] and name != "cellXfs"

    with archive.open(part) as stream:
        parse(stream, start, end, lambda text: None)
    return [_shown_by(code) for code in shown]


def _shown_by(code: str) -> str:
    if is_timedelta_format(code):
        return "span"
    if is_date_format(code):
        return "date"
    return "percent" if "%" in re.sub(r'"[^"]*"|\\.', "", code) else ""


# --- cells ---------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Shows:
    """What is needed to show a cell: formats by style, shared texts, the day that counting starts from."""

    formats: list[str]
    shared: list[str]
    is_1904: bool

    def cell(self, kind: str, style: str, raw: str, is_formula: bool) -> Cell:
        """A cell by its type, style and stored value."""
        if raw == "" and is_formula and kind != "str":
            return Cell(note=NO_VALUE)
        if kind == "e":
            return Cell(raw, note=f"an error of the spreadsheet: {raw}")
        if kind == "s":
            return Cell(_clean(self.shared[_index(raw)]) if raw else "")
        if kind == "b":
            return Cell("TRUE" if raw == "1" else "FALSE")
        if kind == "d":
            stamp = datetime.fromisoformat(raw.replace("Z", ""))
            return Cell(_stamp_text(stamp), date=stamp)
        if kind in ("inlineStr", "str"):
            return Cell(_clean(raw))
        return self._number(style, raw) if raw else BLANK

    def _number(self, style: str, raw: str) -> Cell:
        value = float(raw)
        index = int(style or "0")
        shown = self.formats[index] if index < len(self.formats) else ""
        if abs(value) == float("inf") or value != value:
            return Cell(raw, note="no finite number")
        if shown == "percent":
            return Cell(f"{100.0 * value:.12g}%", float(f"{100.0 * value:.14g}"), "%")
        if shown == "span":
            return Cell(f"{24.0 * value:.12g} h", 24.0 * value, "h")
        return self._dated(value) if shown == "date" else Cell(f"{value:.15g}", value)

    def _dated(self, value: float) -> Cell:
        """A day number as its date; a number below one is a time of day."""
        epoch = CALENDAR_MAC_1904 if self.is_1904 else CALENDAR_WINDOWS_1900
        try:
            stamp = from_excel(value, epoch)
        except (ValueError, OverflowError):
            return Cell(f"{value:.15g}", value)
        if isinstance(stamp, datetime):
            rounded = (stamp + timedelta(microseconds=500)).replace(microsecond=0) if _is_whole(stamp) else stamp
            return Cell(_stamp_text(rounded), date=rounded)
        return Cell(stamp.isoformat(timespec="seconds") if isinstance(stamp, time) else str(stamp))


def _index(raw: str) -> int:
    """A place in a list, counted from its begin only."""
    if not raw.strip().isdecimal():
        raise ValueError(f"{raw[:20]!r} is no index")
    return int(raw)


def _is_whole(stamp: datetime) -> bool:
    """Whether a stamp misses a whole second by the rounding of day numbers only."""
    return stamp.microsecond > 999_000 or stamp.microsecond < 1000


def _stamp_text(stamp: datetime) -> str:
    at_midnight = stamp.time() == time()
    return (
        stamp.date().isoformat()
        if at_midnight
        else stamp.isoformat(" ", "milliseconds" if stamp.microsecond else "seconds")
    )


def _clean(text: str) -> str:
    """A text with ordinary blanks and line ends."""
    return re.sub(r"_x000[dD]_|\r", "", text).replace("\u00a0", " ").replace("\u202f", " ").strip()


@dataclass
class _Reading:
    """A sheet while it is read: rows of cells by column, and what is hidden and merged."""

    shows: _Shows
    rows: dict[int, dict[int, Cell]] = field(default_factory=dict)
    hidden_rows: set[int] = field(default_factory=set)
    hidden_columns: list[tuple[int, int]] = field(default_factory=list)
    merged: list[str] = field(default_factory=list)
    at: list[int] = field(default_factory=lambda: [0, 0])
    cell: dict[str, str] = field(default_factory=dict)
    kept: list[str] = field(default_factory=list)
    inside: str = ""
    is_formula: bool = False
    reading: bool = False
    filled: int = 0

    def start(self, name: str, attributes: dict[str, str]) -> None:
        """An element begins."""
        if name == "row":
            self._row(attributes)
        elif name == "c":
            found = _REFERENCE.fullmatch(attributes.get("r", ""))
            self.at[1] = column_index_from_string(found[1]) if found else self.at[1] + 1
            self.cell, self.kept, self.is_formula = attributes, [], False
        elif name in ("v", "t"):
            self.inside = name
        elif name == "f":
            self.is_formula = True
        elif name == "rPh":
            self.reading = True
        elif name == "mergeCell":
            self.merged.append(attributes.get("ref", ""))
        elif name == "col" and attributes.get("hidden") in ("1", "true"):
            self.hidden_columns.append((int(attributes["min"]), int(attributes["max"])))

    def _row(self, attributes: dict[str, str]) -> None:
        self.at = [int(attributes.get("r", self.at[0] + 1)), 0]
        if attributes.get("hidden") in ("1", "true"):
            self.hidden_rows.add(self.at[0])

    def text(self, content: str) -> None:
        """Text within an element."""
        if self.inside and not self.reading:
            self.kept.append(content)

    def end(self, name: str) -> None:
        """An element ends."""
        if name in ("v", "t"):
            self.inside = ""
        elif name == "rPh":
            self.reading = False
        elif name == "c":
            shown = self.shows.cell(
                self.cell.get("t", "n"), self.cell.get("s", ""), "".join(self.kept), self.is_formula
            )
            if shown.is_filled:
                self.filled += 1
                self.rows.setdefault(self.at[0], {})[self.at[1]] = shown
                _refuse_many(self.filled)


def _refuse_many(filled: int) -> None:
    if filled > MOST_CELLS:
        needs = f"at most {MOST_CELLS} filled cells"
        raise InputError(
            "The sheet is too large.", [Problem("sheet", f"more than {MOST_CELLS} cells", needs, "use CSV")]
        )


def _read_sheet(archive: zipfile.ZipFile, part: str, name: str, shows: _Shows, log: Log) -> Sheet:
    """One sheet: its filled rows, merged cells spread, hidden rows and columns said."""
    reading = _Reading(shows)
    with archive.open(part) as stream:
        parse(stream, reading.start, reading.end, reading.text)
    _say_hidden(reading, name, log)
    _spread(reading)
    _refuse_many(sum(max(row) for row in reading.rows.values()) // 8)
    return Sheet(name, tuple(_row(reading, number) for number in sorted(reading.rows)))


def _row(reading: _Reading, number: int) -> Row:
    found = reading.rows[number]
    cells = tuple(found.get(n, BLANK) for n in range(1, max(found) + 1))
    return Row(number, cells, number in reading.hidden_rows)


def _say_hidden(reading: _Reading, name: str, log: Log) -> None:
    rows = sorted(reading.hidden_rows & reading.rows.keys())
    if rows:
        text = f"sheet {name}: {len(rows)} hidden rows hold data; they are read like the others"
        log.flag("rows-hidden", text, "caution", rows=rows)
    used = {column for row in reading.rows.values() for column in row}
    hidden = sorted(n for n in used if any(low <= n <= high for low, high in reading.hidden_columns))
    if hidden:
        told = ", ".join(get_column_letter(n) for n in hidden[:20])
        text = f"sheet {name}: hidden columns hold data ({told}); they are read like the others"
        log.flag("columns-hidden", text, "caution")


def _spread(reading: _Reading) -> None:
    """Every cell of a merged block says what its first cell says, in rows that hold something."""
    lines = sorted(reading.rows)
    widest = max((max(row) for row in reading.rows.values()), default=0)
    for reference in reading.merged:
        corners = [_REFERENCE.fullmatch(corner) for corner in reference.split(":")]
        if len(corners) != 2 or corners[0] is None or corners[1] is None:
            continue
        (left, right), (top, bottom) = ([column_index_from_string(corner[1]) for corner in corners if corner],
                                        [int(corner[2]) for corner in corners if corner])  # fmt: skip
        first = reading.rows.get(top, {}).get(left)
        for line in lines if first is not None else ():
            for column in range(left, min(right, widest) + 1) if top <= line <= bottom else ():
                if first is not None and column not in reading.rows[line]:
                    reading.filled += 1
                    reading.rows[line][column] = first
        _refuse_many(reading.filled)
