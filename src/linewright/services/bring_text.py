"""An import report as lines that an engineer reads: rows, time, columns, doubts, questions, a preview."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from linewright.base.errors import visible
from linewright.importers import header
from linewright.importers.large import LargeLog
from linewright.importers.report import Array, Column, Dropped, Flag, Imported, Replaced, Report
from linewright.importers.tension import TensionLog
from linewright.importers.weather_series import QUANTITIES

MOST_SHOWN = 8
MOST_ROWS = 6
PREVIEW = 5
MARKS = {"note": " ", "caution": "!", "refused": "x"}


def report_lines(found: Imported) -> list[str]:
    """The whole report as text."""
    report = found.report
    lines = [f"{report.file}: {report.kind}, {report.form}, {report.encoding}", _rows(report), _time(report)]
    lines += ["", *_columns(report.columns)]
    for title, items in (("dropped", report.dropped), ("replaced", report.replaced)):
        if items:
            lines += ["", f"{title}:", *_shortened(_cell_lines(items))]
    if report.flags:
        lines += ["", *(_flag_line(flag) for flag in _gathered(report.flags))]
    lines += _told(report)
    lines += _preview(found)
    lines += _questions(report)
    return [visible(line) for line in lines if line is not None]


def doubt_lines(found: Imported) -> list[str]:
    """The flags of an import as lines."""
    return [visible(_flag_line(flag)) for flag in _gathered(found.report.flags)]


def _rows(report: Report) -> str:
    text = f"{report.rows_read} rows read, {report.rows_kept} kept"
    if report.dropped_count:
        text += f", {report.dropped_count} dropped"
    if report.replaced_count:
        text += f", {report.replaced_count} cells replaced"
    return text


def _time(report: Report) -> str:
    span = report.time
    if span is None or span.first is None:
        return "time: not known" if span is not None and span.because else "time: none"
    step = "" if span.step is None else f", usually every {span.step:g} s"
    parts = f", {span.segments} segments" if span.segments > 1 else ""
    zone = "" if span.first.endswith(" s") else f"  zone: {span.zone or 'open'} ({span.because})"
    return f"time: {span.first} to {span.last}{step}{parts}{zone}"


def _columns(columns: Sequence[Column]) -> Iterator[str]:
    """One line per column: name, quantity, unit, counts, least, mean, largest."""
    if not columns:
        return
    width = min(max(len(column.name) for column in columns), 32)
    heads = " ".join(f"{word:>11}" for word in ("min", "mean", "max"))
    yield f"{'column':<{width}}  {'quantity':<18} {'unit':<7} {'values':>8} {'missing':>8} {heads}  read as"
    for column in columns:
        figures = " ".join(f"{_figure(value):>11}" for value in (column.low, column.mean, column.high))
        name = column.name if len(column.name) <= width else column.name[: width - 1] + "…"
        read = column.read_unit if column.read_unit != column.unit else ""
        counts = f"{column.values:>8} {column.missing:>8}"
        yield f"{name:<{width}}  {column.quantity:<18} {column.unit:<7} {counts} {figures}  {read}".rstrip()


def _figure(value: float | None) -> str:
    return "" if value is None else f"{value:.6g}"


def _cell_lines(items: Sequence[Dropped] | Sequence[Replaced]) -> list[str]:
    """One line for rows or cells of which all is the same but the row."""
    rows: dict[str, list[int]] = {}
    for item in items:
        rows.setdefault(_cell_text(vars(item)), []).append(item.row)
    return [f"  row{'s' if len(own) > 1 else ''} {_span(own)}{_counted(own)}: {text}" for text, own in rows.items()]


def _counted(rows: Sequence[int]) -> str:
    return f" ({len(rows)} of them)" if len(rows) > MOST_ROWS else ""


def _cell_text(row: Mapping[str, Any]) -> str:
    """What a row or cell reads, what stands for it, and why."""
    column = f"{row['column']}: " if row.get("column") else ""
    told = [f"{row['read']!r}" if row["read"] else "", f"-> {row['by']}" if row.get("by") else ""]
    what = " ".join(filter(None, told))
    return f"{column}{what}{', ' if what else ''}{row['why']}"


def _gathered(flags: Sequence[Flag]) -> list[Flag]:
    """Flags of which all is the same but the column as one that names the columns."""
    groups: dict[tuple[str, str, str], list[Flag]] = {}
    for flag in flags:
        bare = flag.text.removeprefix(f"{flag.column}: ") if flag.column else flag.text
        groups.setdefault((flag.code, flag.severity, bare), []).append(flag)
    return [_one_of(own, bare) for (_, _, bare), own in groups.items()]


def _one_of(flags: Sequence[Flag], bare: str) -> Flag:
    """One flag for several columns."""
    names = list(dict.fromkeys(flag.column for flag in flags))
    if len(names) < 2:
        return flags[0]
    shown = ", ".join(names) if len(names) <= MOST_ROWS else f"{', '.join(names[: MOST_ROWS - 1])} ... {names[-1]}"
    rows = tuple(sorted({row for flag in flags for row in flag.rows}))
    return replace(flags[0], text=f"{len(names)} columns ({shown}): {bare}", rows=rows)


def _shortened(lines: list[str]) -> list[str]:
    left = len(lines) - MOST_SHOWN
    return lines[:MOST_SHOWN] + ([f"  and {left} more (--json lists them)"] if left > 0 else [])


def _flag_line(flag: Flag) -> str:
    rows = f" (row{'s' if len(flag.rows) > 1 else ''} {_span(flag.rows)})" if flag.rows else ""
    return f"{MARKS[flag.severity]} {flag.text}{rows}"


def _span(rows: Sequence[int]) -> str:
    shown = ", ".join(map(str, rows[:MOST_ROWS]))
    return shown if len(rows) <= MOST_ROWS else f"{shown} ... {rows[-1]}"


def _told(report: Report) -> list[str]:
    """What a file of calls, tests or block statistics comes to."""
    lines: list[str] = []
    for row in report.notes.get("hours", ()) if isinstance(report.notes.get("hours"), list) else ():
        lines.append(f"{row['port']}, {row['condition'] or 'no condition'}: {row['hours']:.2f} h in {row['year']}")
    for row in report.notes.get("pulls", ()):
        elongation = row["elongation_percent"]
        stretch = "" if elongation is None else f", elongation {elongation:.3g} %"
        lines.append(f"{row['name']}: break at {row['break_force_kN']:.6g} kN{stretch}")
    for row in _rows_of(report.notes.get("percent_of_strength")):
        lines.append(f"{row['name']}: {row['percent']:.4g} % of {row['base']} {row['base_kN']:.6g} kN")
    statistics = report.notes.get("statistics")
    if isinstance(statistics, dict) and statistics.get("highest_kN") is not None:
        lines.append(
            f"{statistics['blocks']} blocks, {statistics['hours']:.4g} h, highest {statistics['highest_kN']:.6g} kN"
        )
    return ["", *lines] if lines else []


def _rows_of(value: object) -> list[dict[str, Any]]:
    """Rows of a note, or none where it holds a text."""
    return value if isinstance(value, list) else []


def _preview(found: Imported) -> list[str]:
    """The first rows as they are kept, in the units of the columns."""
    held = {column.name: _values(found, column) for column in found.report.columns}
    shown = [column for column in found.report.columns if held[column.name] is not None][:6]
    if not shown or found.report.kind == "load-table":
        return []
    heads = [_head(column) for column in shown]
    rows = [[_kept(held[column.name], n, column) for column in shown] for n in range(PREVIEW)]
    rows = [[cell or "missing" for cell in row] for row in rows if any(row)]
    widths = [max(map(len, cells)) for cells in zip(heads, *rows, strict=True)]
    lines = ["  ".join(f"{cell:>{width}}" for cell, width in zip(row, widths, strict=True)) for row in (heads, *rows)]
    return ["", "first rows kept:", *(f"  {line}" for line in lines)]


def _head(column: Column) -> str:
    """Name and unit of a column of the preview."""
    unit = _shown_in(column)[0]
    name = header.split(column.name).name[:20]
    return f"{name} [{unit}]" if unit else name


def _values(found: Imported, column: Column) -> Array | None:
    """The values of a column: held by its name, or by its quantity where a file has one column of it."""
    values = found.values.get(column.name)
    return found.values.get(column.quantity) if values is None else values


def _kept(values: Array | None, n: int, column: Column) -> str:
    if values is None or n >= len(values) or not np.isfinite(values[n]):
        return ""
    _, factor, offset = _shown_in(column)
    return f"{(values[n] - offset) / factor:.6g}"


def _shown_in(column: Column) -> tuple[str, float, float]:
    """Unit, factor and offset in which a column's figures are shown."""
    weather = QUANTITIES.get(column.quantity)
    if column.unit == "?":
        return "?", 1.0, 0.0
    if weather is not None:
        return weather.unit, weather.factor, weather.offset
    return header.SHOWN.get(column.quantity, (column.unit, 1.0, 0.0))


def _questions(report: Report) -> list[str]:
    if not report.questions:
        return []
    lines = [
        "",
        f"{len(report.questions)} open question{'s' if len(report.questions) > 1 else ''}; nothing is guessed:",
    ]
    for question in report.questions:
        lines.append(f"? {question.text}")
        if question.because:
            lines.append(f"    because   {question.because}")
        example = question.choices[0] if question.choices else "..."
        choices = f"   ({', '.join(question.choices)})" if question.choices else ""
        lines.append(f'    answer    --answer "{question.key}={example}"{choices}')
    return lines


def kept_lines(inside: Path, found: Imported, study: str) -> list[str]:
    """Where a file was kept, and what to write into the case."""
    lines = [f"Kept: {inside.as_posix()} in {study}, with its answers and report"]
    if found.report.kind == "weather" and found.report.form != "climate-table":
        lines.append(f'In a climate card of the study: hourly = "{inside.as_posix()}"')
    if isinstance(found.content, TensionLog | LargeLog):
        channel = _channel(found)
        lines.append(f'In a state of the case: tension."your line" = {{ log = "{inside.as_posix()}"{channel} }}')
    return lines


def _channel(found: Imported) -> str:
    """The first channel of a log, as a case names it, where there are several."""
    if isinstance(found.content, TensionLog):
        names = [item.name for item in found.content.series]
    else:
        names = [column.name for column in found.report.columns if column.quantity != "time" and column.values]
    return f', channel = "{names[0]}"' if len(names) > 1 else ""
