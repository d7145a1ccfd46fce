"""Which kind of file this is, by its content; and the one door through which every file comes in."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path

from linewright.base.errors import InputError, Problem
from linewright.importers import cells, clock, header, tensile, tension, thermocouple
from linewright.importers.report import Imported, Log
from linewright.importers.table import Table, read_table
from linewright.importers.text import SMALL, TextFile, read_text, regular

Progress = Callable[[int, int], None]
KINDS = ("tension", "thermocouple", "tensile", "weather", "waves", "records", "load-table")
SHEETS = (".xlsx", ".xlsm", ".xltx", ".xls", ".ods")
AIR = re.compile(r"(?i)\b(air|ambient|luft|umgebung|outside|aussen)")


def import_file(
    path: Path,
    answers: Mapping[str, str] | None = None,
    as_kind: str | None = None,
    store: Path | None = None,
    progress: Progress | None = None,
) -> Imported:
    """Values and report of any file that is known here; a log too large for memory is kept in the Parquet file `store`.

    Raises InputError for what is not known.
    """
    if as_kind is not None and as_kind not in KINDS:
        raise InputError(f"There is no kind {as_kind}.", [Problem("--as", as_kind, " or ".join(KINDS))])
    log = Log(answers)
    regular(path)
    if _is_sheet(path):
        from linewright.importers import records

        return records.read_sheet_file(path, log, as_kind)
    if regular(path) > SMALL and as_kind in (None, "tension"):
        return _large(path, log, store, progress)
    return _text(read_text(path, log), log, as_kind)


def _large(path: Path, log: Log, store: Path | None, progress: Progress | None) -> Imported:
    from linewright.importers import large

    if store is not None:
        return large.read_large(path, store, log, progress)
    with tempfile.TemporaryDirectory() as folder:
        return large.read_large(path, Path(folder) / "log.parquet", log, progress)


def _is_sheet(path: Path) -> bool:
    """Whether a file is a spreadsheet, by its first bytes or its name."""
    try:
        with path.open("rb") as stream:
            head = stream.read(4)
    except OSError:
        return False
    return head == b"PK\x03\x04" or path.suffix.lower() in SHEETS


def _text(file: TextFile, log: Log, as_kind: str | None) -> Imported:
    from linewright.importers import weather_form

    if log.questions:  # in an encoding that is not known there is nothing to recognise
        return Imported(log.report(as_kind or "text", "not read", file.source, 0, 0), None, {})
    if as_kind in (None, "weather", "waves"):
        form = weather_form.recognise_weather(file.source.name, file.lines)
        if form is not None:
            return weather_form.read_weather(file, form, log)
    if as_kind in (None, "records", "load-table", "tensile", "waves"):
        from linewright.importers import records

        found = records.read_record_text(file, log, as_kind)
        if found is not None:
            return found
    if as_kind in ("weather", "waves"):
        return weather_form.read_weather(file, "weather-csv", log)
    table = read_table(file, log)
    kind = as_kind or kind_of(table)
    reader = {
        "tension": tension.tension_of,
        "thermocouple": thermocouple.thermocouples_of,
        "tensile": tensile.tensile_of,
    }.get(kind)
    if reader is None:
        needs = f"a file of the kind {as_kind}" if as_kind else f"a file of a kind known here: {', '.join(KINDS)}"
        raise InputError(f"{file.source.name} is of no kind that is known here.", [
            Problem(file.source.name, ", ".join(table.names)[:120], needs, "say the kind with --as")])  # fmt: skip
    return reader(table, file, log)


def kind_of(table: Table) -> str:
    """tension, thermocouple or tensile, by quantities and words of the headings; empty for none of them."""
    quantities, temperatures, lengths = [], 0, 0
    skipped = set(clock.time_columns(table)) | {index for index in (clock.time_column(table),) if index is not None}
    for index, name in enumerate(table.names):
        split = header.split(name)
        unit = header.unit_of(table.units[index]) or header.unit_of(split.unit)
        words = header.words_of(split.name)
        if index in skipped:
            continue
        if unit is not None:
            quantities.append(unit.quantity)
            temperatures += unit.quantity == "temperature" and not AIR.search(name)
            lengths += unit.quantity == "length"
        else:
            temperatures += header.is_word(words, "temperature") or bool(
                re.fullmatch(r"(?i)tc\s*_?\d+.*", name.strip())
            )
            lengths += header.is_word(words, "length")
            quantities += (
                ["force"] if header.is_word(words, "force") or re.match(r"(?i)(l|h|hook|line)[ _-]?\d", name) else []
            )
    if temperatures:
        return "thermocouple"
    if lengths and quantities.count("force"):
        return "tensile"
    has_force = any(name in ("force", "share of LDBF", "share of SDMBL", "fraction") for name in quantities)
    return "tension" if has_force or (skipped and _all_numbers(table, skipped)) else ""


def _all_numbers(table: Table, skipped: set[int]) -> bool:
    """Whether every column beside the clock holds numbers: a log whose headings say nothing."""
    others = [n for n in range(len(table.names)) if n not in skipped]
    sample = table.rows[:50]
    return bool(others) and all(
        cells.number(row[n], ".") is not None or cells.number(row[n], ",") is not None or cells.is_missing(row[n])
        for row in sample for n in others
    )  # fmt: skip
