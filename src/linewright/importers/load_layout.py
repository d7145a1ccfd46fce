"""How a load table lies on its sheet: which cell belongs to which case, line and statistic.

Known layouts: cases and lines down with statistics across; one sheet per case; one sheet per statistic; statistics down
and lines across; cases down and, across, every line with its statistics or with one statistic that the title names.
"""

from __future__ import annotations

import functools
import itertools
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from linewright.importers import header, stamps
from linewright.importers.grid import Cell, Row, Sheet, is_unit, transposed
from linewright.importers.load_words import (
    CASE,
    ENVIRONMENT,
    GENERIC,
    HOURS,
    LINE,
    LINE_NAME,
    OTHER,
    SHARE,
    STATISTICS,
    SUMMARY,
    WAVE_HEIGHT,
)  # fmt: skip
from linewright.importers.report import Log

DEPTH = 3  # rows of headings, at most
TENSIONS_AND_TIMES = {"force", "fraction", "share of LDBF", "share of SDMBL", "duration"}


class Role(NamedTuple):
    """What a column is: its kind, the statistic, the line that its heading names, its unit, its heading."""

    kind: str  # case, line, share, environment, wave period, statistic, name (words that may name a line), other, empty
    statistic: str = ""
    line: str = ""
    unit: str = ""
    heading: str = ""


class Told(NamedTuple):
    """One cell with what it belongs to."""

    case: str
    line: str
    role: Role
    cell: Cell
    row: int
    where: str


@dataclass(frozen=True)
class Layout:
    """A sheet with the roles of its columns and its rows of data; title is what stands above.

    assumed says what a first column without heading was taken for.
    """

    sheet: Sheet
    roles: tuple[Role, ...]
    rows: tuple[Row, ...]
    title: str
    assumed: str = ""

    def first(self, kind: str) -> int | None:
        """The first column of a kind."""
        return next((n for n, role in enumerate(self.roles) if role.kind == kind), None)

    @property
    def statistics(self) -> set[str]:
        """The statistics that headings name."""
        return {role.statistic for role in self.roles if role.kind == "statistic"}


@functools.lru_cache(maxsize=8192)
def role_of(text: str) -> Role:
    """What a heading says of its column."""
    heading = " ".join(text.split()).strip(" :;")
    if not heading:
        return Role("empty")
    unit, words = _unit_of(heading)
    plain = re.sub(r"[\s_]+", " ", words).strip().lower()
    if OTHER.search(plain):
        return Role("other", heading=heading)
    statistic = next((name for name, pattern in STATISTICS.items() if pattern.search(plain)), "")
    if ENVIRONMENT.search(plain) and statistic in ("", "period", "mean", "max", "significant"):
        is_period = statistic == "period" and not WAVE_HEIGHT.search(plain)
        return Role("wave period" if is_period else "environment", statistic, unit=unit, heading=heading)
    is_share = SHARE.search(plain) and statistic in ("", "std")
    if is_share or plain in ("%", "h") or (not plain and unit in ("%", "h")):
        return Role("share", unit=unit, heading=heading)
    measured = header.unit_of(unit)
    if statistic and measured is not None and measured.quantity not in TENSIONS_AND_TIMES:
        return Role("other", heading=heading)
    if statistic:
        return Role("statistic", statistic, _line_of(words, statistic), unit, heading)
    if LINE.search(plain) and not re.search(r"\d|\bspring|breast", plain) and _is_generic(LINE.sub(" ", plain)):
        return Role("line", heading=heading)
    if CASE.search(plain) and not re.search(r"\d", plain):
        return Role("case", heading=heading)
    return Role("name", "", _bare_line(words), unit, heading)


def _unit_of(heading: str) -> tuple[str, str]:
    """The unit of a heading, and the heading without it."""
    for found in reversed(list(re.finditer(r"[\[(]\s*([^\])]*?)\s*[\])]", heading))):
        if is_unit(found[1]) or found[1] in ("-", "‰"):
            return found[1], f"{heading[: found.start()]} {heading[found.end() :]}"
    split = header.split(heading)
    if split.unit:
        return split.unit, split.name
    percent = re.search(r"(?i)\s*(%\s*(?:of\s+)?(?:\w*MBL|LDBF|MBF|MBS|BL)?|‰)\s*$", heading)
    return (percent[1], heading[: percent.start()]) if percent else ("", heading)


def _is_generic(text: str) -> bool:
    return all(word in GENERIC or not re.search(r"[^\W_]", word) for word in re.split(r"[\s_,;:/()-]+", text.lower()))


def _line_of(words: str, statistic: str) -> str:
    """The line that a heading names beside its statistic."""
    rest = HOURS.sub(" ", re.sub(r"[_]+", " ", words))
    rest = STATISTICS[statistic].sub(" ", rest)
    return _bare_line(rest)


def _bare_line(text: str) -> str:
    rest = re.sub(r"[\[\](){}]", " ", text)
    if _is_generic(rest):
        return ""
    tokens = rest.split()
    keeps = {"line", "leine", "hook", "trosse", "mooring"}
    while tokens and (tokens[0].lower().strip(".,:-") in GENERIC - keeps or not re.search(r"[^\W_]", tokens[0])):
        tokens = tokens[1:]
    while tokens and (tokens[-1].lower().strip(".,:-") in GENERIC - {"lines"} or not re.search(r"[^\W_]", tokens[-1])):
        tokens = tokens[:-1]
    return " ".join(tokens).strip(" -–:,;/|.")


# --- where the headings stand --------------------------------------------------------------------


def layout_of(sheet: Sheet) -> Layout | None:
    """The layout of a sheet; None where nothing on it is the heading of a load table."""
    upright = _upright(sheet)
    if len(upright.statistics) < 2 <= sheet.width and len(sheet.rows) < 400:
        turned = _upright(transposed(sheet))
        upright = turned if len(turned.statistics) > max(len(upright.statistics), 1) else upright
    return _with_first(upright) if _is_used(upright) else None


def _with_first(layout: Layout) -> Layout:
    """The layout with a role for a first column of names that has no heading."""
    told = [row.cell(0).text for row in layout.rows if row.cell(0).text]
    names = [text for text in told if not role_of(text).statistic]
    known = {role.kind for role in layout.roles}
    if layout.roles[0].kind != "empty" or not names or {"case", "line"} <= known:
        return layout
    is_line = sum(bool(LINE_NAME.match(text)) for text in names) * 2 > len(names)
    kind = "line" if "line" not in known and (is_line or "case" in known) else "case"
    roles = (Role(kind, heading=kind), *layout.roles[1:])
    return replace(layout, roles=roles, assumed=f"the first column has no heading; it is read as {kind}s")


def is_record_in_time(layout: Layout) -> bool:
    """Whether a column counts time or months: then the rows are a log or a climate, not cases."""
    for n, role in enumerate(layout.roles):
        told = [row.cell(n) for row in layout.rows[:100] if row.cell(n).text]
        dated = sum(1 for cell in told if cell.date is not None or stamps.STAMP.fullmatch(cell.text))
        if 2 * dated > len(told) or re.search(
            r"(?i)\b(time|date|months?|monat|zeit|datum|mois|fecha|mes)\b", role.heading
        ):
            return True
    return False


def names_statistic(layout: Layout) -> bool:
    """Whether the title or the name of a sheet says which statistic its figures are."""
    return any(role_of(text).kind == "statistic" for text in (layout.title, layout.sheet.name) if text)


def _is_used(layout: Layout) -> bool:
    kinds = {role.kind for role in layout.roles}
    return bool(layout.rows) and bool(layout.statistics or kinds & {"case", "line", "share"})


def _upright(sheet: Sheet) -> Layout:
    """The block of headings that names most columns, with the rows below it."""
    best: tuple[tuple[int, int], int, int, tuple[Role, ...]] = ((0, 0), 0, 0, ())
    for top in range(min(30, len(sheet.rows))):
        for depth in range(1, DEPTH + 1):
            block = sheet.rows[top : top + depth]
            if len(block) < depth or not _may_head(block[-1]) or len({c.text for c in block[0].cells if c.text}) < 2:
                break
            roles = _roles(block, sheet.width)
            score = (_score(roles), -depth)
            if score > best[0]:
                best = (score, top, depth, roles)
    _, top, depth, roles = best
    title = " ".join(dict.fromkeys(cell.text for row in sheet.rows[:top] for cell in row.cells if cell.text))
    return Layout(sheet, roles, sheet.rows[top + depth :] if roles else (), title)


def _may_head(row: Row) -> bool:
    told = [cell for cell in row.cells if cell.is_filled]
    figures = sum(1 for cell in told if not cell.is_words)
    return bool(told) and 3 * figures <= len(told)


def _score(roles: Sequence[Role]) -> int:
    """Columns that a block of headings tells apart."""
    named = {(role.kind, role.statistic, role.line) for role in roles if role.kind not in ("name", "other", "empty")}
    kinds = {role.kind for role in roles}
    lines = {role.line for role in roles if role.kind == "name" and role.line}
    units = sum(1 for role in roles if role.kind == "statistic" and role.unit)
    return 10 * len(named) + (len(lines) if kinds & {"case", "line", "statistic", "environment"} else 0) + units


def _roles(block: Sequence[Row], width: int) -> tuple[Role, ...]:
    """Roles of the columns under one to three rows of headings; a blank group heading holds on to the right."""
    texts = [[row.cell(n).text for n in range(width)] for row in block]
    for upper, lower in itertools.pairwise(texts):
        _carry(upper, lower)
    joined = [" ".join(dict.fromkeys(_bracketed_unit(row[n]) for row in texts if row[n])) for n in range(width)]
    return tuple(role_of(text) for text in joined)


def _bracketed_unit(text: str) -> str:
    """A cell that is a unit alone stands in brackets when it is joined to the heading above."""
    bare = text.strip("[]() ")
    return f"[{bare}]" if is_unit(bare) or bare in ("-", "‰") else text


def _carry(upper: list[str], lower: list[str]) -> None:
    """Group headings hold on over the columns to the right whose lower headings repeat."""
    kept = ""
    seen: set[str] = set()
    for n, text in enumerate(upper):
        if text:
            kept, seen = text, {lower[n]}
        elif kept and lower[n] and lower[n] not in seen and not is_unit(lower[n].strip("[]() ")):
            seen.add(lower[n])
            if role_of(lower[n]).kind in ("statistic", "name") and role_of(kept).kind in ("name", "statistic"):
                upper[n] = kept
        else:
            kept = ""


# --- what the rows say ---------------------------------------------------------------------------


def told_by(layout: Layout, default_case: str, log: Log) -> list[Told]:
    """Every cell of a layout with its case, line and statistic; rows that are none are dropped with the reason."""
    found: list[Told] = []
    case = ""
    last = max((row.line for row in layout.rows if any(c.is_filled and not c.is_words for c in row.cells)), default=0)
    if layout.assumed:
        log.flag("first-column", layout.assumed, "caution")
    used = [n for n, role in enumerate(layout.roles) if role.kind in ("statistic", "share", "wave period")]
    used = used + [n for n, role in enumerate(layout.roles) if role.kind == "name" and _is_numeric(layout, n)]
    for row in layout.rows:
        first = next((cell.text for cell in row.cells if cell.text), "")
        if not any(row.cell(n).is_filled for n in used):
            case = _headline(row, layout, row.line > last, log) or case
        elif SUMMARY.fullmatch(first):
            log.drop(row.line, row.joined(), "a summary row, not a case")
        elif _is_heading_again(row, layout):
            log.drop(row.line, row.joined(), "the headings again")
        else:
            case = _case_of(row, layout, case) or default_case
            found += _cells_of(row, layout, case, used)
    return found


def _is_numeric(layout: Layout, column: int) -> bool:
    told = [row.cell(column) for row in layout.rows if row.cell(column).is_filled]
    return bool(told) and 2 * sum(1 for cell in told if not cell.is_words) > len(told)


def _headline(row: Row, layout: Layout, is_last: bool, log: Log) -> str:
    """A row without figures: the title of the case that follows, or a remark (empty)."""
    words = [text for text in dict.fromkeys(cell.text for cell in row.cells) if text]
    if len(words) == 1 and not is_last and layout.first("case") in (None, 0):
        return words[0]
    log.drop(row.line, row.joined(), "no figures: a remark")
    return ""


def _is_heading_again(row: Row, layout: Layout) -> bool:
    headings = {role.heading for role in layout.roles if role.heading}
    told = [cell.text for cell in row.cells if cell.text]
    return len(told) > 1 and all(text in headings or role_of(text).kind == "statistic" for text in told)


def _case_of(row: Row, layout: Layout, before: str) -> str:
    """The case of a row: its own column (a blank one holds on), else its environment, else the title above."""
    column = layout.first("case")
    if column is not None:
        return row.cell(column).text or before
    parts = []
    for n, role in enumerate(layout.roles):
        if role.kind in ("environment", "wave period") and row.cell(n).text:
            name = _unit_of(role.heading)[1].strip()
            parts.append(f"{name} {row.cell(n).text} {role.unit}".strip())
    return ", ".join(parts) or before


def _cells_of(row: Row, layout: Layout, case: str, used: Sequence[int]) -> list[Told]:
    column = layout.first("line")
    own = row.cell(column).text if column is not None else ""
    found = []
    for n in used:
        role = layout.roles[n]
        line = role.line if role.kind in ("statistic", "name") and role.line else own
        if role.kind == "name" and column is not None and layout.first("case") is None and own:
            found.append(Told(role.line, own, role, row.cell(n), row.line, layout.sheet.where(row)))
        else:
            found.append(Told(case, line, role, row.cell(n), row.line, layout.sheet.where(row)))
    return found
