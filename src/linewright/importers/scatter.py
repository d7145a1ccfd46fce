"""Scatter tables: how often which wave height comes with which period, as shares of time and as states with hours."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from linewright.base.errors import InputError, Problem
from linewright.importers.grid import Sheet
from linewright.importers.report import Array, Imported, Log, Question, Source
from linewright.importers.scatter_sheet import WHOLE, SheetTable, table_of_sheet
from linewright.importers.wave_bins import middles

MOST_OFF = 0.05  # of the whole: a sum further away is refused
ALL = re.compile(r"(?i)\ball\b|omni|total|gesamt|alle\b|toutes|todas|all.?year|all.?dir")


@dataclass(frozen=True)
class Scatter:
    """Shares of the time by wave height and period.

    height_edges [m] and period_edges [s] rise, the last is inf where the table leaves it open; share (h, t) is part of
    all the time that the table is about; period_kind is Tp, Tz, Te or T01; parts are the tables of directions.
    """

    name: str
    height_edges: tuple[float, ...]
    period_edges: tuple[float, ...]
    share: Array
    period_kind: str
    parts: tuple[Scatter, ...] = ()


class WaveState(NamedTuple):
    """Middle of a bin: wave height [m], period [s], hours a year."""

    height: float
    period: float
    hours: float


def states_of(scatter: Scatter, hours: float) -> tuple[WaveState, ...]:
    """The filled bins as states, at their middles; an open bin is taken as wide as its neighbour."""
    heights, periods = middles(scatter.height_edges, False), middles(scatter.period_edges, True)
    return tuple(
        WaveState(float(heights[i]), float(periods[j]), float(scatter.share[i, j]) * hours)
        for i, j in zip(*np.nonzero(scatter.share > 0.0), strict=True)
    )


def scatter_of(sheets: Sequence[Sheet], source: Source, log: Log) -> Imported:
    """The scatter table of a file, or of its sheets by direction. Raises InputError for what cannot be one."""
    counts = [0, 0]
    tables = [table for sheet in sheets if (table := table_of_sheet(sheet, counts, log)) is not None]
    chosen = _chosen(tables, sheets, log)
    content = None
    if chosen is not None and not log.questions:
        parts = [table for table in tables if table is not chosen]
        _compare_parts(chosen, parts, log)
        content = _scatter(chosen, parts, log)
        _describe(content, log)
    report = log.report("waves", "scatter table", source, counts[0], counts[1])
    if content is None:
        return Imported(report, None, {})
    values = {name: figures for name, _, _, figures in _columns(content)}
    return Imported(report, None, values, content=content)


# --- several sheets, sums ------------------------------------------------------------------------


def _chosen(tables: list[SheetTable], sheets: Sequence[Sheet], log: Log) -> SheetTable | None:
    """The table that is meant: the only one, the one for all directions, else asked."""
    if len(sheets) == 1:
        return tables[0] if tables else None
    every = [sheet.name for sheet in sheets if ALL.search(sheet.name)]
    if len(every) == 1:
        return next((table for table in tables if table.name == every[0]), None)
    text = "Which sheet is meant?"
    answer = log.ask(
        Question(
            "sheet",
            text,
            tuple(sheet.name for sheet in sheets),
            "several hold a scatter table, none for all directions",
        )
    )
    return next((table for table in tables if table.name == answer), None)


def _compare_parts(whole: SheetTable, parts: list[SheetTable], log: Log) -> None:
    """Directions against the table for all of them."""
    same = [
        part
        for part in parts
        if part.heights.edges == whole.heights.edges and part.periods.edges == whole.periods.edges
    ]
    if not same:
        return
    for part in parts:
        if part not in same:
            log.flag("bins-differ", f"the sheet {part.name} has other bins; it is not compared", "caution")
    alone = [math.fsum(part.figures.ravel()) for part in same]
    added, total = math.fsum(alone), math.fsum(whole.figures.ravel())
    if len(same) > 1 and all(abs(value / whole.scale - 1.0) < 0.02 for value in alone) and whole.unit in WHOLE:
        log.flag(
            "parts-conditional",
            "the sheets of single directions each add to the whole: they are shares within a direction",
        )
        return
    cells_off = int((np.abs(sum(part.figures for part in same) - whole.figures) > 1e-6 * max(total, 1.0)).sum())
    if cells_off:
        text = f"the {len(same)} other sheets add to {added:g}, the sheet {whole.name} to {total:g}"
        text += f"; {cells_off} cells differ: {whole.name} is used"
        log.flag("parts-differ", text, "caution")


def _scatter(table: SheetTable, parts: list[SheetTable], log: Log) -> Scatter:
    total = math.fsum(table.figures.ravel())
    off = total - table.scale
    share = table.figures / table.scale
    normalise = log.option("normalise", "no", ("yes", "no"))
    if abs(off) > MOST_OFF * table.scale and (off > 0.0 or normalise == "yes"):
        needs = f"a sum within {100.0 * MOST_OFF:g} % of {table.scale:g}"
        raise InputError(
            "The scatter table does not add up.",
            [Problem(table.name or "table", f"{total:g} of {table.scale:g} {table.unit}", needs)],
        )
    if abs(off) > 1e-9 * table.scale:
        done = (
            "each is scaled, as answered" if normalise == "yes" else "nothing is scaled (answer normalise=yes to scale)"
        )
        log.flag("sum-differs", f"the cells add to {total:.10g} of {table.scale:g} {table.unit}; {done}", "caution")
        share = share / math.fsum(share.ravel()) if normalise == "yes" else share
    log.notes["sum"] = {"figures": total, "whole": table.scale, "unit": table.unit}
    own = Scatter(table.name, table.heights.edges, table.periods.edges, share, table.kind)
    others = tuple(
        Scatter(
            part.name,
            part.heights.edges,
            part.periods.edges,
            part.figures / (part.scale if part.unit in WHOLE else table.scale),
            part.kind,
        )
        for part in parts
    )
    return replace(own, parts=others)


def _columns(scatter: Scatter) -> list[tuple[str, str, str, Array]]:
    """Name, quantity, unit and values of the bins, one value a cell of the table."""
    axes = middles(scatter.height_edges, False), middles(scatter.period_edges, True)
    heights, periods = np.meshgrid(*axes, indexing="ij")
    return [
        ("wave height", "length", "m", heights.ravel()),
        (f"period {scatter.period_kind}", "duration", "s", periods.ravel()),
        ("share", "fraction", "%", scatter.share.ravel()),
    ]


def _describe(scatter: Scatter, log: Log) -> None:
    for name, quantity, unit, figures in _columns(scatter):
        because = "" if quantity == "fraction" else "middles of the bins"
        log.column(name, quantity, unit, figures / (0.01 if unit == "%" else 1.0), because=because)
