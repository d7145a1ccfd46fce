"""Which line hung on which hook, call by call: a log by hooks becomes a log by lines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from linewright.base.errors import InputError, Problem
from linewright.importers import cells, clock, header, spellings, text
from linewright.importers.report import Array, Column, Flag, Imported, Log
from linewright.importers.series import Series
from linewright.importers.table import Table, delimiter_of, table_of
from linewright.importers.tension import TensionLog

WORDS = {
    "hook": {"hook", "haken", "pin", "channel", "kanal", "krok", "sensor"},
    "line": {"line", "leine", "rope", "trosse", "lina"},
    "from": {"from", "begin", "start", "von", "beginn", "first", "arrival", "on"},
    "to": {"to", "end", "bis", "ende", "until", "last", "departure", "off"},
}


@dataclass(frozen=True)
class Use:
    """A line on a hook from `begin` to `end` [s]; minus and plus infinity where the table gives no times.

    spelled is the line as its own row spells it.
    """

    hook: str
    line: str
    begin: float
    end: float
    row: int
    spelled: str = ""


def read_hooks(path: Path, log: Log) -> tuple[Use, ...]:
    """The table of hooks: columns hook and line, and from and to where lines change.

    Raises InputError, also for a question that it leaves open.
    """
    uses = hooks_of(path, log)
    if log.questions:
        asked = [
            Problem(f"{path.name}  {item.key}", item.because, item.text, f"--answer {item.key}=...")
            for item in log.questions
        ]
        raise InputError(f"{path.name} leaves questions open.", asked)
    return uses


def hooks_of(path: Path, log: Log) -> tuple[Use, ...]:
    """The table of hooks as `read_hooks`, its open questions left in the log. Raises InputError."""
    file = text.read_text(path, log)
    table = _text_table(file, log)
    columns = {kind: _column(table, kind) for kind in WORDS}
    for kind in ("hook", "line"):
        if columns[kind] is None:
            raise InputError(
                f"{path.name} is no table of hooks.", [Problem(path.name, ", ".join(table.names), f"a column {kind}")]
            )
    ends = [_times(table, columns[kind], log, open_end) for kind, open_end in (("from", -np.inf), ("to", np.inf))]
    hooks, lines = (table.column(columns[kind] or 0) for kind in ("hook", "line"))
    rows = zip(hooks, lines, *ends, table.lines, strict=True)
    uses = [Use(hook.strip(), line.strip(), float(a), float(b), row) for hook, line, a, b, row in rows]
    needs = "a hook, a line, and an end after its begin"
    problems = [Problem(f"{path.name}:{use.row}", f"{use.hook or 'no hook'}, {use.line or 'no line'}", needs)
                for use in uses if not (use.hook and use.line and use.begin < use.end)]  # fmt: skip
    if problems:
        raise InputError(f"{path.name} has rows that cannot be used.", problems)
    uses = _one_spelling(uses)
    _refuse_twice(path, uses)
    return tuple(uses)


def _one_spelling(uses: Sequence[Use]) -> list[Use]:
    """Uses with each line under its first spelling; capitals and blanks make no other line."""
    lines = list(dict.fromkeys(use.line for use in uses))
    first = {
        line: next(other for other in lines if spellings.folded(other) == spellings.folded(line)) for line in lines
    }
    return [replace(use, line=first[use.line], spelled=use.line) for use in uses]


def _refuse_twice(path: Path, uses: Sequence[Use]) -> None:
    """Refuse a line that hangs on two hooks at one time. Raises InputError."""
    for n, use in enumerate(uses):
        for other in uses[:n]:
            if use.line == other.line and use.hook != other.hook and use.begin < other.end and other.begin < use.end:
                read = f"{use.line} on {other.hook} and on {use.hook} (rows {other.row} and {use.row})"
                raise InputError(
                    f"{path.name} hangs a line on two hooks.", [Problem(path.name, read, "one hook at a time")]
                )


def _text_table(file: text.TextFile, log: Log) -> Table:
    """The table of a file whose cells are all text: its first row names the columns."""
    lines = [line for line in file.lines if line.strip() and not line.startswith("#")]
    marks = [mark for mark in (";", "\t", ",", "|") if mark in lines[0]]
    mark = marks[0] if marks else delimiter_of(lines)
    rows = [
        (number, [cell.strip().strip('"') for cell in line.split(mark)])
        for number, line in enumerate(file.lines, 1)
        if line in lines
    ]
    width = len(rows[0][1])
    body = [(number, row) for number, row in rows[1:] if len(row) == width]
    if not body or len(body) < len(rows) - 1:
        return table_of(rows, mark, file.source.name, log)
    return Table(
        tuple(rows[0][1]),
        ("",) * width,
        tuple(row for _, row in body),
        tuple(number for number, _ in body),
        (),
        mark,
        len(body),
    )


def _column(table: Table, kind: str) -> int | None:
    """Index of the column of a kind, by its heading."""
    found = [n for n, name in enumerate(table.names) if set(header.words_of(name)) & WORDS[kind]]
    return found[0] if found else None


def _times(table: Table, index: int | None, log: Log, open_end: float) -> Array:
    """Times of a column [s]; where it is blank or absent the use is open on this side."""
    if index is None:
        return np.full(len(table.rows), open_end)
    told = [n for n, row in enumerate(table.rows) if not cells.is_missing(row[index])]
    if not told:
        return np.full(len(table.rows), open_end)
    part = replace(table, names=(table.names[index],), units=("",), rows=tuple([table.rows[n][index]] for n in told),
                   lines=tuple(table.lines[n] for n in told))  # fmt: skip
    result = np.full(len(table.rows), open_end)
    read = clock.read_clock(part, log)
    if read.form != "stamp" or not np.isfinite(read.time).all():
        bad = next(
            (row[0] for row, time in zip(part.rows, read.time, strict=True) if not np.isfinite(time)), part.rows[0][0]
        )
        raise InputError(
            "A table of hooks has times that cannot be read.", [Problem(table.names[index], bad, "date and time")]
        )
    result[told] = read.time
    return result


def by_line(found: Imported, uses: Sequence[Use]) -> Imported:
    """The log of an import by lines instead of hooks; what hangs on no line is left out and said.

    Raises InputError for an import that is no history in memory.
    """
    if not isinstance(found.content, TensionLog):
        problem = Problem(found.report.file, found.report.form, "a history that fits in memory")
        raise InputError("Hooks can be given lines in a history of tension only.", [problem])
    parts: dict[str, list[Series]] = {}
    known = [item.name for item in found.content.series]
    uses, flags = _of_log(uses, known)
    for hook in dict.fromkeys(use.hook for use in uses if use.hook not in known):
        text_ = f"the log has no hook {hook}; it has {', '.join(known)}"
        flags.append(Flag("hook-unknown", text_, "caution", hook))
    for item in found.content.series:
        own = [use for use in uses if use.hook == item.name]
        shared = _shared(own)
        flags += [
            Flag(
                "hook-shared", f"{item.name}: {text_} hang on it at one time: it reads their sum", "caution", item.name
            )
            for text_ in shared
        ]
        used = np.zeros(item.time.size, dtype=bool)
        for use in own:
            inside = (item.time >= use.begin) & (item.time < use.end)
            used |= inside
            if inside.any():
                parts.setdefault(use.line, []).append(_part(item, use.line, inside))
        if not used.all():
            count = int((~used).sum())
            flags.append(
                Flag(
                    "hook-unnamed",
                    f"{item.name}: {count} readings while no line is named for it are left out",
                    "caution",
                    item.name,
                )
            )
    series = tuple(_joined(name, items) for name, items in parts.items())
    columns = tuple(_described(item) for item in series)
    report = replace(
        found.report, form="by line", flags=(*found.report.flags, *flags), columns=(*found.report.columns, *columns)
    )
    return replace(found, report=report, content=TensionLog(series))


def _of_log(uses: Sequence[Use], known: Sequence[str]) -> tuple[list[Use], list[Flag]]:
    """Uses with each hook as the log spells it, and what is to be said of other spellings."""
    found = [replace(use, hook=spellings.match(use.hook, known)) for use in uses]
    flags = [
        Flag("hook-spelled", f"{use.hook} of the table is {new.hook} of the log", "note", new.hook)
        for use, new in zip(uses, found, strict=True) if use.hook != new.hook
    ]  # fmt: skip
    flags += [
        Flag("line-spelled", f"{use.spelled} is taken for the line {use.line}", "note", use.line)
        for use in uses if use.spelled not in ("", use.line)
    ]  # fmt: skip
    return found, list(dict.fromkeys(flags))


def _shared(own: Sequence[Use]) -> list[str]:
    """Pairs of lines that a hook carries at one time."""
    return [f"{a.line} and {b.line}" for n, a in enumerate(own) for b in own[:n] if a.begin < b.end and b.begin < a.end]


def _part(item: Series, line: str, inside: np.ndarray) -> Series:
    return Series(line, item.quantity, item.time[inside], item.values[inside], item.lines[inside])


def _joined(name: str, items: Sequence[Series]) -> Series:
    """Parts of a line from several hooks, in order of time."""
    order = np.argsort(np.concatenate([item.time for item in items]), kind="stable")
    time, values, lines = (
        np.concatenate([getattr(item, key) for item in items])[order] for key in ("time", "values", "lines")
    )
    return Series(name, items[0].quantity, time, values, lines)


def _described(item: Series) -> Column:
    shown, factor, _ = header.SHOWN[item.quantity]
    figures = item.values / factor
    return Column(item.name, item.quantity, shown, "", "by the table of hooks", figures.size, 0,
                  float(figures.min()), float(figures.max()), float(figures.mean()), item.name)  # fmt: skip
