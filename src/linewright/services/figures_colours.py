"""Maps in the house's temperature colours: cells, labelled contours, the limit's line, and the scale itself.

The colours are spread over what a picture shows, between round temperatures; without that, over 0 to 80 C.
"""

from __future__ import annotations

import numpy as np
from matplotlib import patheffects
from matplotlib.axes import Axes
from matplotlib.colors import Normalize
from matplotlib.ticker import MaxNLocator

from linewright.physics.types import Array
from linewright.services.figures_paper import (
    INK,
    INK2,
    MARGIN,
    NORM,
    PAPER,
    SCALE,
    Sheet,
    celsius,
    spread,
    tall,
    width_of,
    wrapped,
)
from linewright.services.temperature_scale import LAST

MOST_LINES = 5
PLATE = 8.0  # size of the figures on lines [pt]
LONG, FAR = 1.2, 0.9  # a piece of line that gets its own figure, and how far apart figures need not be [in]
DARK = 46.0  # where white reads better than ink on the scale to 80 [degC]
LEAST_SPAN = 2.0  # of a scale [K]
BAR = 0.14  # width of the scale [in]
WORDS = 0.72  # beside it [in]
BESIDE = MARGIN + WORDS + BAR + 0.5  # the scale with its figures and words, from the right edge of the sheet [in]


def fitted(*values: Array) -> Normalize:
    """The scale of what is shown: round temperatures about it, at least 2 K apart [degC]."""
    every = np.concatenate([np.ravel(one) for one in values])
    low, high = float(np.nanmin(every)), float(np.nanmax(every))
    pad = max(0.0, 0.5 * (LEAST_SPAN - (high - low)))
    ends = _ticks(low - pad, high + pad)
    return Normalize(float(ends[0]), float(ends[-1]))


def is_dark(norm: Normalize, celsius: float) -> bool:
    """Whether white reads better than ink on a temperature's colour."""
    return bool(norm(celsius) > DARK / LAST)


def _ticks(low: float, high: float) -> Array:
    return np.asarray(MaxNLocator(MOST_LINES, steps=[1, 2, 5, 10]).tick_values(low, high))


def cells(axes: Axes, x: Array, y: Array, values: Array, norm: Normalize = NORM) -> None:
    """Cells between edges in the colours of their temperatures [degC]; NaN stays empty."""
    shown = np.ma.masked_invalid(values)
    axes.pcolormesh(x, y, shown, cmap=SCALE, norm=norm, shading="flat", rasterized=True)


def levels_between(low: float, high: float) -> list[float]:
    """At most five round temperatures between two [degC]."""
    return [float(tick) for tick in _ticks(low, high) if low < tick < high]


def contours(axes: Axes, x: Array, y: Array, values: Array, limits: dict[str, float], norm: Normalize = NORM) -> None:
    """Lines of equal temperature with their figures, through the middles of cells, and the limits' lines [degC]."""
    shown = np.ma.masked_invalid(values)
    low, high = float(shown.min()), float(shown.max())
    placed: list[Array] = []
    for limit in limits.values():
        if low < limit < high:
            line = axes.contour(x, y, shown, levels=[limit], colors=PAPER, linewidths=2.0, linestyles="solid")
            line.set_path_effects([patheffects.withStroke(linewidth=4.6, foreground=INK)])
            _label(axes, line.allsegs, [f"limit {celsius(limit)}"], placed)
    levels = [level for level in levels_between(low, high) if level not in limits.values()]
    if levels:
        figures = 0 if all(level == round(level) for level in levels) else 1
        inks = [PAPER if is_dark(norm, level) else INK for level in levels]
        lines = axes.contour(x, y, shown, levels=levels, colors=inks, linewidths=0.9, linestyles="solid")
        _label(axes, lines.allsegs, [celsius(level, figures) for level in levels], placed)


def _label(axes: Axes, levels: list[list[Array]], texts: list[str], placed: list[Array]) -> None:
    """A plate with its figure on the longest piece of each line, and on every long one, away from other plates."""
    inch = axes.transData + axes.figure.dpi_scale_trans.inverted()
    box = axes.get_window_extent().transformed(axes.figure.dpi_scale_trans.inverted())
    for pieces, text in zip(levels, texts, strict=True):
        drawn = sorted((inch.transform(piece) for piece in pieces if len(piece) > 1), key=_length, reverse=True)
        half = np.array([0.5 * width_of(text, PLATE), 0.08])
        for n, piece in enumerate(drawn):
            if n and _length(piece) < LONG:
                break
            inside = np.all((piece - half > box.min) & (piece + half < box.max), axis=1)
            points = piece[inside] if inside.any() else piece
            ends = points.shape[0] // 5  # where a plate would hang over the end of its line
            points = points[ends : points.shape[0] - ends]
            apart = np.min([np.hypot(*(points - other).T) for other in placed] or [np.full(len(points), FAR)], axis=0)
            off_middle = np.abs(np.arange(len(points)) / len(points) - 0.5)
            at = points[np.argmin(off_middle - np.minimum(apart, FAR) / FAR)]
            placed.append(at)
            across, up = inch.inverted().transform(at)
            axes.text(across, up, text, fontsize=PLATE, ha="center", va="center", zorder=6,
                      bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.8})  # fmt: skip


def _length(piece: Array) -> float:
    return float(np.sum(np.hypot(*np.diff(piece, axis=0).T)))


def scale(made: Sheet, bottom: float, top: float, limits: dict[str, float], norm: Normalize = NORM) -> None:
    """The temperature scale at the right edge; limits are marked on it, or at its end where they lie beyond."""
    low, high = float(norm.vmin or 0.0), float(norm.vmax or LAST)
    right = float(made.figure.get_size_inches()[0]) - MARGIN
    left, top = right - WORDS - BAR - 0.08, top - 0.2
    axes = made.axes(left, bottom, left + BAR, top)
    ends = np.linspace(low, high, 321)
    cells(axes, np.array([0.0, 1.0]), ends, 0.5 * (ends[1:] + ends[:-1])[:, None], norm)
    ticks = np.arange(0.0, LAST + 1.0, 20.0) if norm is NORM else _ticks(low, high)
    axes.set(xticks=[], yticks=ticks, ylim=(low, high), label="scale")
    axes.tick_params(labelsize=8)
    axes.spines[:].set(visible=True, color=INK, linewidth=0.8)
    made.words(left - 0.25, top + 0.2, ["°C"], color=INK2)
    sides = {True: "above: ", False: "below: "}
    told = [
        wrapped(f"{'' if low <= limit <= high else sides[limit > high]}{words} {celsius(limit)}", WORDS, 8.0)
        for words, limit in limits.items()
    ]
    places = [bottom + (top - bottom) * min(max((limit - low) / (high - low), 0.0), 1.0) for limit in limits.values()]
    middles = spread(places, [tall(len(lines)) for lines in told], bottom, top)
    for limit, lines, middle in zip(limits.values(), told, middles, strict=True):
        made.words(left + BAR + 0.08, middle, lines, va="center", fontsize=8.0)
        if low <= limit <= high:
            axes.axhline(limit, color=PAPER, linewidth=3.0)
            axes.axhline(limit, color=INK, linewidth=1.2)
        else:
            at, mark = (1.03, "^") if limit > high else (-0.03, "v")
            axes.plot(0.5, at, mark, transform=axes.transAxes, color=INK, markersize=6, clip_on=False, zorder=7)
