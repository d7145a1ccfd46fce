"""Spreadsheets and tables of records: which form a table has, and the reader of that form."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from linewright.base.errors import InputError, Problem
from linewright.importers import calls, certificates, load_table, register, residual, scatter, scatter_frame
from linewright.importers.grid import Sheet, sheet_of_text
from linewright.importers.report import Imported, Log, Question, Source
from linewright.importers.table import Table, table_of
from linewright.importers.text import TextFile

LOOKED_AT = 200  # lines of a text that tell its form
Test = Callable[[Sheet], bool]
Reader = Callable[[Sheet, Source, Log], Imported]
FORMS: dict[str, tuple[str, Test]] = {  # form: its kind, its test of one sheet; the first that fits is taken
    "calls": ("records", calls.is_calls),
    "scatter": ("waves", scatter_frame.is_scatter),
    "residual": ("tensile", residual.is_residual),
    "load-table": ("load-table", lambda sheet: load_table.is_load_table([sheet])),
    "certificates": ("records", certificates.is_certificates),
    "register": ("records", register.is_register),
    "particulars": ("records", certificates.is_particulars),
}
SINGLE: dict[str, Reader] = {
    "calls": calls.calls_of,
    "residual": residual.residual_of,
    "certificates": certificates.certificates_of,
    "register": register.register_of,
    "particulars": certificates.particulars_of,
}


@dataclass(frozen=True)
class _Found:
    """Sheets that belong together under one form."""

    form: str
    sheets: tuple[Sheet, ...]


def recognise_sheet(sheet: Sheet, as_kind: str | None = None) -> str | None:
    """The form of one sheet, of the forms that make a kind; None for what is none of them."""
    return next((form for form, (kind, test) in FORMS.items() if as_kind in (None, kind) and test(sheet)), None)


def read_record_text(file: TextFile, log: Log, as_kind: str | None = None) -> Imported | None:
    """A delimited text of one of the forms; None for what is none of them."""
    head = replace(file, lines=file.lines[:LOOKED_AT])
    form = recognise_sheet(sheet_of_text(head), as_kind)
    return None if form is None else _read(_Found(form, (sheet_of_text(file),)), file.source, log)


def read_sheet_file(path: Path, log: Log, as_kind: str | None = None) -> Imported:
    """A spreadsheet of one of the forms, or of a log. Raises InputError for what is none."""
    from linewright.importers.spreadsheet import read_workbook

    book = read_workbook(path, log)
    found = _chosen(_found(book.sheets, as_kind), log)
    if found is not None:
        return _read(found, book.source, log)
    if log.questions:
        return Imported(log.report(as_kind or "records", "spreadsheet", book.source, 0, 0), None, {})
    return _as_log(book.sheets, book.source, as_kind, log)


def _found(sheets: Sequence[Sheet], as_kind: str | None) -> list[_Found]:
    """What the sheets hold, the sheets of one load table or scatter table together."""
    forms = [(recognise_sheet(sheet, as_kind), sheet) for sheet in sheets]
    found = [_Found(form, (sheet,)) for form, sheet in forms if form in SINGLE]
    tables = tuple(sheet for form, sheet in forms if form == "scatter")
    if tables:
        found.insert(0, _Found("scatter", tables))
    if any(form == "load-table" for form, _ in forms) or _is_joint(sheets, forms, as_kind):
        others = tuple(sheet for form, sheet in forms if form in (None, "load-table", "residual"))
        found = [item for item in found if item.form != "residual"]
        found.insert(0, _Found("load-table", others))
    return found


def _is_joint(sheets: Sequence[Sheet], forms: Sequence[tuple[str | None, Sheet]], as_kind: str | None) -> bool:
    """Whether sheets make a load table only together: one per statistic."""
    alone = [sheet for form, sheet in forms if form is None]
    named = sum(1 for sheet in alone if load_table.is_statistic(sheet.name))
    return as_kind in (None, "load-table") and named >= 2 and len(sheets) > 1


def _chosen(found: Sequence[_Found], log: Log) -> _Found | None:
    """The one that is meant; asked where there are several."""
    if len(found) <= 1:
        return found[0] if found else None
    names = [f"{item.sheets[0].name}" for item in found]
    because = ", ".join(f"{name}: {item.form}" for name, item in zip(names, found, strict=True))
    answer = log.ask(Question("sheet", "Which sheet is meant?", tuple(names), because))
    return next((item for name, item in zip(names, found, strict=True) if name == answer), None)


def _read(found: _Found, source: Source, log: Log) -> Imported:
    if found.form == "load-table":
        return load_table.load_table_of(found.sheets, source, log)
    if found.form == "scatter":
        return scatter.scatter_of(found.sheets, source, log)
    return SINGLE[found.form](found.sheets[0], source, log)


def _as_log(sheets: Sequence[Sheet], source: Source, as_kind: str | None, log: Log) -> Imported:
    """A spreadsheet that holds a log: its cells as a text table would have them."""
    from linewright.importers import recognise, tensile, tension, thermocouple

    sheet = max(sheets, key=lambda sheet: len(sheet.rows))
    width = sheet.width
    rows = [(row.line, [row.cell(n).text for n in range(width)]) for row in sheet.rows]
    table: Table = table_of(rows, "", source.name, log)
    kind = as_kind or recognise.kind_of(table)
    readers = {
        "tension": tension.tension_of,
        "thermocouple": thermocouple.thermocouples_of,
        "tensile": tensile.tensile_of,
    }
    if kind not in readers:
        needs = "records, a load table, a scatter table, or a log"
        read = f"sheet {sheet.name}: {', '.join(table.names)}"[:120]
        raise InputError(
            f"{source.name} is of no kind that is known here.",
            [Problem(source.name, read, needs, "say the kind with --as")],
        )
    if len(sheets) > 1:
        log.flag("sheet-used", f"the sheet {sheet.name}, the longest of {len(sheets)}, is read", "caution")
    return readers[kind](table, TextFile(source, "", ()), log)
