"""One sheet with a scatter table: its axes, its figures, what they are, and its totals compared."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from linewright.base.errors import InputError, Problem
from linewright.importers import cells, header
from linewright.importers.grid import Cell, Numbers, Row, Sheet, numbers_of
from linewright.importers.report import Array, Log, Question
from linewright.importers.scatter_frame import HEIGHT, PERIOD, TOTAL, Frame, frame_of
from linewright.importers.wave_bins import Axis, Bin, axis_of, flag_open, without_dates

KINDS = ("Tp", "Tz", "Te", "T01")
WHOLE = {"percent": 100.0, "per mille": 1000.0, "fraction": 1.0}
PERIODS = (
    ("Tp", re.compile(r"(?i)\bt ?_?p\b|peak|spitzen|\bpic\b|de pico|\bpiek|\btopp")),
    ("Tz", re.compile(r"(?i)\bt ?_?(z|m?02|m0,2)\b|zero|null|zéro|\bcero")),
    ("Te", re.compile(r"(?i)\bt ?_?(e|m-?1,?0?|m-10)\b|energy|energie")),
    ("T01", re.compile(r"(?i)\bt ?_?(m?01|m0,1)\b")),
)
CUMULATIVE = re.compile(r"(?i)cum|kum|exceed|übersch|überschreit|dépass")


class SheetTable(NamedTuple):
    """Figures (heights down, periods across) as written, axes, and what the figures are."""

    name: str
    figures: Array
    heights: Axis
    periods: Axis
    kind: str
    unit: str
    scale: float


def table_of_sheet(sheet: Sheet, counts: list[int], log: Log) -> SheetTable | None:
    """One sheet's table; None while a question is open."""
    numbers = numbers_of(sheet, log)
    frame = frame_of(sheet, numbers)
    if frame is None:
        raise InputError(
            "The sheet holds no scatter table.", [Problem(sheet.name or "file", "no bins", "bins of height and period")]
        )
    is_turned = _is_turned(frame, log)
    down, across = (frame.across, frame.down) if is_turned else (frame.down, frame.across)
    words = (frame.across_words, frame.down_words) if is_turned else (frame.down_words, frame.across_words)
    factor = _height_factor(f"{words[0]} {frame.title if HEIGHT.search(frame.title) else ''}", log)
    heights = _axis("height", down, words[0], log)
    periods = _axis("period", across, words[1], log)
    kind = _period_kind(f"{words[1]} {frame.title} {sheet.name}", log)
    figures = _figures(sheet, frame, numbers, log)
    counts[0] += len(frame.down)
    counts[1] += len(frame.down)
    figures = figures.T if is_turned else figures
    _totals(sheet, frame, numbers, log)
    unit, scale = _unit(figures, f"{frame.title} {frame.down_words} {frame.across_words} {sheet.name}", log)
    if heights is None or periods is None or not kind or not unit or math.isnan(factor):
        return None
    scaled = heights._replace(edges=tuple(factor * edge for edge in heights.edges))
    flag_open(scaled, "height", "m", log)
    flag_open(periods, "period", "s", log)
    figures = figures[np.ix_(heights.order, periods.order)]
    return SheetTable(sheet.name, figures, scaled, periods, kind, unit, scale)


def _is_turned(frame: Frame, log: Log) -> bool:
    """Whether heights stand across: by the words at the axes, else by the title and the numbers, else asked."""
    down, across = frame.down_words, frame.across_words
    for words, height, period in ((down, False, True), (across, True, False)):
        if bool(HEIGHT.search(words)) != bool(PERIOD.search(words)):
            return height if HEIGHT.search(words) else period
    text = "Which bins stand down the rows?"
    answer = log.ask(Question("axes", text, ("heights", "periods"), "no heading tells heights from periods"))
    return answer == "periods"


def _axis(key: str, bins: Sequence[tuple[int, Bin]], words: str, log: Log) -> Axis | None:
    known = without_dates([item for _, item in bins], key, log)
    axis = axis_of(known, key, words, log)
    if axis is not None:
        log.notes[f"{key}_bins"] = axis.said
    return axis


def _height_factor(words: str, log: Log) -> float:
    found = re.search(
        r"(?i)[\[(,]\s*(m|ft|feet|metres?|meters?|meter)\s*[\])]|\b(ft|feet|metres?|meters?)\b|hs?\s+(m)\b|_(m)\b",
        words,
    )
    spelled = next((part for part in found.groups() if part), "").lower() if found else ""
    if not spelled:
        spelled = (
            log.ask(Question("unit.height", "In which unit are the wave heights?", ("m", "ft"), "no unit is stated"))
            or ""
        )
    if not spelled:
        return math.nan
    return header.UNITS["ft"].factor if spelled.startswith("f") else 1.0


def _period_kind(words: str, log: Log) -> str:
    kinds = [kind for kind, pattern in PERIODS if pattern.search(words)]
    if len(kinds) == 1:
        return kinds[0]
    why = f"the words name several: {', '.join(kinds)}" if kinds else "no heading says which"
    return (
        log.ask(
            Question(
                "period.kind",
                "Which period is it: peak (Tp), zero-crossing (Tz), energy (Te) or mean (T01)?",
                KINDS,
                why,
            )
        )
        or ""
    )


def _figures(sheet: Sheet, frame: Frame, numbers: Numbers, log: Log) -> Array:
    """Figures between the bins; blank and dash are zero, '<0.1' is half of it, what is no number is asked."""
    told = {"blank": 0, "dash": 0, "censored": 0, "unread": 0}
    found = np.zeros((len(frame.down), len(frame.across)))
    for i, (index, height) in enumerate(frame.down):
        row = sheet.rows[index]
        for j, (column, period) in enumerate(frame.across):
            name = f"{height.text}, {period.text}"
            found[i, j] = _figure(row.cell(column), name, row.line, numbers, told)
    if told["blank"] or told["dash"]:
        log.flag("blank-is-zero", f"{told['blank']} blank cells and {told['dash']} with a dash count as zero")
    if told["censored"]:
        text = f"{told['censored']} cells hold only an upper bound (<); each counts as half of it"
        text += f"; the clear numbers add to {_clear(found, sheet, frame):g}"
        log.flag("censored", text, "caution")
    if told["unread"]:
        text = "Some cells hold no number. Do they count as zero?"
        log.ask(Question("unread", text, ("zero",), f"{told['unread']} cells, listed in the report"))
    if (found < 0.0).any():
        raise InputError(
            "A scatter table holds a number below zero.",
            [Problem(sheet.name or "table", f"{found.min():g}", "counts or shares from 0")],
        )
    return found


def _figure(cell: Cell, name: str, line: int, numbers: Numbers, told: dict[str, int]) -> float:
    if not cell.is_filled:
        told["blank"] += 1
        return 0.0
    if re.fullmatch(r"[-–—.]+", cells.plain(cell.text)) and cell.value is None:
        told["dash"] += 1
        return 0.0
    figure = numbers.figure(cell, name, line)
    if figure.sign in ("<", "≤") and not figure.why:
        told["censored"] += 1
        numbers.log.replace(line, name, cell.text, "an upper bound only: half of it", f"{0.5 * figure.value:g}")
        return 0.5 * figure.value
    if figure.why or figure.sign or figure.unit not in ("", "%"):
        told["unread"] += 1
        numbers.log.replace(line, name, cell.text, figure.why or "no plain number", "zero, if so answered")
        return 0.0
    return figure.value


def _clear(found: Array, sheet: Sheet, frame: Frame) -> float:
    """Sum without the cells that hold an upper bound."""
    clear = [
        found[i, j]
        for i, (index, _) in enumerate(frame.down)
        for j, (column, _) in enumerate(frame.across)
        if not sheet.rows[index].cell(column).text.startswith(("<", "≤"))
    ]
    return round(math.fsum(clear), 9)


def _totals(sheet: Sheet, frame: Frame, numbers: Numbers, log: Log) -> None:
    """Rows and columns of totals are no data; where they hold numbers they are compared."""
    head = sheet.rows[frame.at]
    columns = {column for column, _ in frame.across}
    rows = [sheet.rows[index] for index, _ in frame.down]
    for n in range(frame.first + 1, max(len(row.cells) for row in [head, *rows])):
        if n in columns or not any(row.cell(n).is_filled for row in rows):
            continue
        title = head.cell(n).text or f"column {n + 1}"
        if CUMULATIVE.search(title) or not (TOTAL.fullmatch(title) or not head.cell(n).text):
            log.flag("column-unused", f"the column {title} is no bin; it is not used", column=title)
            continue
        sums = [(row, [row.cell(column) for column in sorted(columns)], row.cell(n)) for row in rows]
        _compare_totals(f"column {title}", sums, numbers, log)
    down = {index for index, _ in frame.down}
    for index in range(frame.at + 1, len(sheet.rows)):
        row = sheet.rows[index]
        if index in down:
            continue
        name = next((cell.text for cell in row.cells[: frame.first + 1] if cell.text), "")
        is_total = TOTAL.fullmatch(name or "total") and any(row.cell(n).is_filled for n in columns)
        if is_total:
            sums = [(row, [other.cell(n) for other in rows], row.cell(n)) for n in sorted(columns)]
            _compare_totals(f"row {name or row.line}", sums, numbers, log)
        log.drop(row.line, row.joined(), "a row of totals" if is_total else "no bin: a remark")


def _compare_totals(name: str, sums: list[tuple[Row, list[Cell], Cell]], numbers: Numbers, log: Log) -> None:
    """Stated totals against the sums of their cells, within what rounding leaves."""
    unstored, off = 0, []
    for row, parts, total in sums:
        stated = numbers.figure(total)
        unstored += bool(total.note)
        told = [numbers.figure(part) for part in parts]
        added = math.fsum(
            figure.value * (0.5 if figure.sign else 1.0) for figure in told if not math.isnan(figure.value)
        )
        step = 10.0 ** -max((len(part.text.replace(",", ".").partition(".")[2]) for part in (*parts, total)), default=0)
        if not math.isnan(stated.value) and abs(stated.value - added) > 0.5 * step * (len(told) + 1) + 1e-9:
            off.append((row.line, stated.value, added))
    if unstored:
        log.flag(
            "total-not-stored", f"{name}: {unstored} totals are formulas without a stored value; they are computed"
        )
    if off:
        line, stated_value, added = off[0]
        text = f"{name}: {len(off)} stated totals are not the sums of their cells"
        text += f" (row {line}: {stated_value:g}, the cells add to {added:g})"
        log.flag("total-differs", text, "caution", rows=sorted({line for line, _, _ in off}))


def _unit(figures: Array, words: str, log: Log) -> tuple[str, float]:
    """What the figures are, and their whole: by words, else by their sum, else asked."""
    total = math.fsum(figures.ravel())
    if not total > 0.0:
        raise InputError("The scatter table is empty.", [Problem("table", "nothing above zero", "counts or shares")])
    for unit, pattern in (
        ("per mille", r"‰|per ?mille|promille|pro mille|per thousand|parts? per 1000|/1000|tausend"),
        ("percent", r"%|percent|prozent|pourcent|por ?ciento|\bpct\b|prosent"),
        ("hours", r"hours|stunden|heures|horas|\bhrs\b|h/yr|timer"),
        ("counts", r"count|number of|anzahl|nombre|observations|occurrences\b|n[uú]mero|aantal|antall"),
    ):
        if re.search(pattern, words, re.IGNORECASE):
            if unit in ("percent", "per mille") and total <= 1.02:
                return _asked(f"the words say {unit}, but they add to {total:g} only: are they fractions?", total, log)
            return unit, WHOLE.get(unit, total)
    for unit, whole in WHOLE.items():
        if abs(total / whole - 1.0) <= 0.02:
            log.flag("unit-by-sum", f"no unit is stated; the figures add to {total:g}: they are read as {unit}")
            return unit, whole
    return _asked(f"no unit is stated, and they add to {total:g}", total, log)


def _asked(because: str, total: float, log: Log) -> tuple[str, float]:
    text = "What are the figures of the scatter table?"
    choices = ("percent", "per mille", "fraction", "hours", "counts")
    answer = log.ask(Question("unit.share", text, choices, because))
    return answer or "", WHOLE.get(answer or "", total)
