"""An operating window as pictures: core temperature with limits, and hours left; and the files they go to."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from linewright.physics.types import Array
from linewright.services.figures_card import crew_card
from linewright.services.figures_colours import BESIDE, cells, contours, scale
from linewright.services.figures_paper import (
    DPI,
    INK,
    INK2,
    MARGIN,
    PAPER,
    WIDTH,
    Row,
    encoded,
    paper,
    sheet,
    told_limits,
)
from linewright.services.figures_zones import AXIS, mark_own, zones
from linewright.services.store import write_whole
from linewright.services.window import check_card

KINDS = ("png", "svg")
HOURS = tuple(base * 10.0**power for power in range(6) for base in (1.0, 3.0))
MORE = 1.2  # height for the map [in]
STYLE: Any = {"colors": INK, "linewidths": 1.0}


@paper()
def core_map(row: Row) -> Figure:
    """Core P90 over air temperature and what stands across it, with the limits, the zones and the state's own place."""
    values = np.array(row["core"]["p90"])
    head = "Operating window: where core, margin and highest tension keep their limits"
    small = (
        "Colour and thin lines: core in °C that 10 of 100 draws exceed. Dots: a limit for long use is passed; hatched: "
        "stop, by a limit for short use, the margin, or a stay that takes a new line's life."
    )
    made = sheet(row, head, small, MORE)
    axes = _axes(made, row)
    air, across = np.array(row["air"]), np.array(row["across"]["values"])
    cells(axes, _edges(air), _edges(across), values.T)
    contours(axes, air, across, values.T, told_limits(row))
    zones(axes, row, plain=False)
    mark_own(axes, row)
    scale(made, made.bottom + 0.5, made.top - 0.1, told_limits(row))
    return made.figure


@paper()
def hours_map(row: Row) -> Figure:
    """Hours of the state until a new line is finished, with what a stay takes of it."""
    head = "Hours of this state until a new line is finished"
    stay = row["duty"]["stay"]
    small = (
        "Lines: hours that 9 of 10 draws reach in the weather of the hot hour, were there nothing else, and the share "
        f"of them that a stay takes (the state's own: {stay:.0f} h). Dots: a limit for long use passed; hatched: stop."
    )
    made = sheet(row, head, small, MORE)
    axes = _axes(made, row, MARGIN)
    hours = np.maximum(np.array(row["hours_left"]["p10"]), 1e-2)
    x, y = np.array(row["air"]), np.array(row["across"]["values"])
    levels = [level for level in HOURS if hours.min() < level < hours.max()]
    if levels:
        lines = axes.contour(x, y, np.log10(hours).T, levels=np.log10(levels), **STYLE)
        names = {np.log10(level): _hours(row, level) for level in levels}
        for text in axes.clabel(lines, fmt=names, fontsize=8.0, inline=True, inline_spacing=2):
            text.set(color=INK, bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.6})
    zones(axes, row)
    mark_own(axes, row)
    return made.figure


def _hours(row: Row, level: float) -> str:
    words = f"{level:,.0f} h".replace(",", "\u202f")
    if row["across"]["kind"] == "hours":
        return words
    return f"{words}, a stay {100.0 * min(row['duty']['stay'] / level, 1.0):.2g} %"


def _axes(made: Any, row: Row, beside: float = BESIDE + 0.1) -> Axes:
    axes: Axes = made.axes(MARGIN + 0.55, made.bottom + 0.5, WIDTH - beside, made.top - 0.1)
    axes.set(xlim=(row["air"][0], row["air"][-1]), xlabel="air temperature, °C", ylabel=AXIS[row["across"]["kind"]])
    axes.set_ylim(row["across"]["values"][0], row["across"]["values"][-1])
    axes.tick_params(colors=INK2)
    return axes


def _edges(middles: Array) -> Array:
    """Edges of cells round points; the outer ones at the points themselves, so that the map ends where they do."""
    return np.r_[middles[0], 0.5 * (middles[1:] + middles[:-1]), middles[-1]]


def write_window(row: Row, folder: Path) -> list[Path]:
    """The pictures as PNG and SVG; the same row gives the same bytes. Raises StorageError."""
    drawn = {"operating-window": core_map(row), "hours-left": hours_map(row)}
    files = {folder / f"{name}.{kind}": encoded(one, kind) for name, one in drawn.items() for kind in KINDS}
    for path, content in files.items():
        write_whole(path, content)
    return list(files)


def write_card(row: Row, path: Path, made_on: str = "") -> Path:
    """The crew card as one page, of a day in words. Raises InputError or StorageError."""
    check_card(path)
    kind, figure = path.suffix.lower()[1:], crew_card(row, made_on)
    write_whole(path, _pdf(figure) if kind == "pdf" else encoded(figure, kind))
    return path


def _pdf(figure: Figure) -> bytes:
    """A figure as the bytes of a PDF file, without date or maker."""
    meta = {"CreationDate": None, "Creator": None, "Producer": None, "Title": figure.get_label()}
    stream = io.BytesIO()
    with paper():
        figure.savefig(stream, format="pdf", dpi=DPI, metadata=meta)
    return stream.getvalue()
