"""Curves of temperature with their names, limits and scale; how a hot spot warms."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from linewright.physics.types import Array
from linewright.services.figures_paper import (
    ACCENT,
    HAIR,
    INK,
    INK2,
    MARGIN,
    WIDTH,
    Row,
    Sheet,
    celsius,
    paper,
    sheet,
    spread,
    tall,
    told_limits,
    wrapped,
)

Style = dict[str, Any]
CURVES: dict[str, tuple[str, Style]] = {  # words and line: told apart without colour
    "core": ("core", {"color": ACCENT, "linewidth": 2.2}),
    "mean": ("section mean", {"color": INK2, "linewidth": 1.4, "linestyle": (0, (7, 3))}),
    "skin": ("skin, hottest side", {"color": INK, "linewidth": 1.8, "linestyle": (0, (1, 1.2))}),
    "steel": ("steel", {"color": INK2, "linewidth": 1.6, "linestyle": (0, (6, 2, 1, 2))}),
}
LIMIT: Style = {"color": INK, "linewidth": 1.0, "linestyle": (0, (1, 3))}
LEAST = 5.0  # least height of the scale [K]
NEAR = 15.0  # a limit further above the hottest is said, not drawn [K]
KEY = 1.45  # words beside the curves [in]
NAMES = 8.0  # their size [pt]


class End(NamedTuple):
    """What is said at the right end of a line: words, its value [degC], its style, whether a thin line leads there."""

    words: str
    value: float
    style: Style
    leads: bool = True


@paper()
def heat_up(row: Row) -> Figure:
    """How core, skin and steel warm from the first minute on."""
    own = row["heat_up"]
    minutes = np.array(own["minutes"], dtype=float)
    curves = {key: numbers(own[key]) for key in ("core", "skin", "steel") if own.get(key)}
    last, limits = float(curves["core"][-1]), told_limits(row)
    head = f"From {celsius(curves['core'][0])} the core warms to {celsius(last)} in {minutes[-1]:.0f}\u00a0minutes"
    made = sheet(row, head, "Temperature in °C of the hottest place by minutes from the start.")
    right = WIDTH - MARGIN - KEY
    axes = made.axes(MARGIN + 0.5, made.bottom + 0.45, right, made.top - 0.1)
    for key, values in curves.items():
        curve(axes, key, minutes, values)
    said = frame(axes, list(curves.values()), limits)
    axes.set(xlim=(minutes[0], minutes[-1]), xlabel="minutes from the start", ylabel="°C")
    axes.locator_params(axis="x", nbins=8, steps=[1, 2, 3, 6, 10])
    ends = [End(f"{CURVES[key][0]} {celsius(v[-1])}", float(v[-1]), CURVES[key][1]) for key, v in curves.items()]
    low = axes.get_ylim()[0]
    end_names(made, axes, ends + [one if one.leads else one._replace(value=low) for one in said])
    return made.figure


def numbers(values: list[float | None]) -> Array:
    """Values as an array, NaN where there is none."""
    return np.array([np.nan if value is None else value for value in values])


def curve(axes: Axes, key: str, x: Array, y: Array) -> None:
    """A curve in its own colour and dash."""
    words, style = CURVES[key]
    axes.plot(x, y, label=words, **style)


def frame(axes: Axes, curves: list[Array], limits: dict[str, float], near: float = NEAR) -> list[End]:
    """Scale, grid and limits of temperatures [degC], and what is to be said of the limits at the right."""
    low = min(float(np.nanmin(values)) for values in curves)
    high = max(float(np.nanmax(values)) for values in curves)
    drawn = {words: limit for words, limit in limits.items() if low < limit < high + near}
    top = max([high, *drawn.values()])
    pad = max(0.08 * (top - low), 0.5 * (LEAST - top + low))
    axes.set_ylim(low - pad, top + pad)
    axes.locator_params(axis="y", nbins=5, steps=[1, 2, 5, 10])
    axes.grid(axis="y", color=HAIR, linewidth=0.8)
    axes.set_axisbelow(True)
    said = []
    for words, limit in limits.items():
        if words in drawn:
            axes.axhline(limit, label=words, **LIMIT)
            said.append(End(f"{words} {celsius(limit)}", limit, LIMIT))
        else:
            side = "above" if limit > high else "below"
            said.append(End(f"{side}: {words} {celsius(limit)}", limit, {}, False))
    return said


def end_names(made: Sheet, axes: Axes, ends: list[End]) -> None:
    """Names at the right ends of curves and limits, each with a piece of its line."""
    width, height = made.figure.get_size_inches()
    box, (low, high) = axes.get_position(), axes.get_ylim()
    right, bottom, top = box.x1 * width, box.y0 * height, box.y1 * height
    lines = [wrapped(end.words, KEY - 0.5, NAMES) for end in ends]
    places = [bottom + (top - bottom) * (min(max(end.value, low), high) - low) / (high - low) for end in ends]
    middles = spread(places, [tall(len(told), NAMES) + 0.04 for told in lines], bottom - 0.1, top + 0.1)
    for end, told, middle, place in zip(ends, lines, middles, places, strict=True):
        if end.leads:
            made.line([right + 0.03, right + 0.12], [place, middle], color=INK2, linewidth=0.6)
        if end.style:
            made.line([right + 0.12, right + 0.42], [middle, middle], **end.style)
        made.words(right + 0.47, middle, told, va="center", fontsize=NAMES)
