"""The rope cut across at its hot spot, and cut lengthwise through the contact, as maps of temperature."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Arc, Circle
from scipy.interpolate import PchipInterpolator

from linewright.physics.types import Array
from linewright.services.figures_colours import BESIDE, cells, contours, fitted, scale
from linewright.services.figures_paper import (
    INK,
    MARGIN,
    WIDTH,
    Row,
    Sheet,
    celsius,
    literal,
    paper,
    sheet,
    spread,
    tall,
    told_limits,
    width_of,
    wrapped,
)

MILLI = 1000.0
SMOOTH = 4  # straight edges of a cell's arc
ROUND = 180  # points of a line round the rope
STEEL = 5.0  # width of its line [pt]
WORDS = 1.35  # beside the section [in]
LEADER: Any = {"arrowstyle": "-", "color": INK, "linewidth": 0.8, "shrinkA": 0, "shrinkB": 0}


@paper()
def section(row: Row) -> Figure:
    """Temperatures of a section, the side on the steel below."""
    own = row["section"]
    radius, angle = np.array(own["radius"]) * MILLI, np.array(own["angle"])
    values = np.array(own["temperature"], dtype=float)
    low, high = f"{np.nanmin(values):.0f}", celsius(np.nanmax(values))
    head = f"Section of the rope {own['metre']:.2f}\u00a0m from the drum: {low} to {high}"
    made = sheet(row, head, "Temperature in °C, seen along the rope, the side that lies on steel below.")
    _section_map(made, own, (radius, angle, values), told_limits(row))
    return made.figure


def _section_map(made: Sheet, own: Row, found: tuple[Array, Array, Array], limits: dict[str, float]) -> None:
    radius, angle, values = found
    left, right = MARGIN + 0.55, WIDTH - BESIDE - WORDS - 0.45
    side = min(right - left, made.top - made.bottom - 0.5)
    bottom = made.top - side
    axes = made.axes(left, bottom, left + side, made.top)
    whole = np.r_[-angle[:0:-1], angle]
    both = np.concatenate([values[:, ::-1], values], axis=1)
    fine = np.interp(np.arange((whole.size - 1) * SMOOTH + 1) / SMOOTH, np.arange(whole.size), whole)
    norm = fitted(values)
    cells(axes, *_across(radius, fine), np.repeat(both, SMOOTH, axis=1), norm)
    reached, turned, smooth = closed(radius, whole, both)
    contours(axes, *_across(reached, turned), smooth, limits, norm)
    edge, reach = float(radius[-1]), 1.12 * float(radius[-1])
    axes.add_patch(Circle((0.0, 0.0), edge, fill=False, edgecolor=INK, linewidth=1.0))
    axes.set(xlim=(-reach, reach), ylim=(-reach, reach), aspect="equal",
             xlabel="mm from the middle of the rope", ylabel="mm")  # fmt: skip
    axes.locator_params(nbins=6)
    half = np.degrees(float(own["half_angle"]))
    told = [_extreme(found, np.nanargmin(values), "coolest"), _extreme(found, np.nanargmax(values), "hottest")]
    if half > 0.0:
        size = 2.0 * edge * 1.03
        axes.add_patch(
            Arc((0.0, 0.0), size, size, theta1=270.0 - half, theta2=270.0 + half, color=INK, linewidth=STEEL)
        )
        foot = np.radians(0.7 * half)
        words = f"lies on steel over {2.0 * half:.0f}° of its skin"
        told.append((words, 1.03 * edge * np.sin(foot), -1.03 * edge * np.cos(foot)))
    texts = [wrapped(text, WORDS) for text, _, _ in told]
    places = [bottom + side * (0.5 + 0.5 * y / reach) for _, _, y in told]
    middles = spread(places, [tall(len(lines)) + 0.1 for lines in texts], bottom, made.top)
    axes_left = left + side + 0.15
    for (_, x, y), lines, height in zip(told, texts, middles, strict=True):
        made.words(axes_left + 0.05, height, lines, va="center")
        axes.annotate("", (x, y), ((axes_left - left) / side, (height - bottom) / side), xycoords="data",
                      textcoords="axes fraction", arrowprops=LEADER)  # fmt: skip
    scale(made, bottom, made.top, limits, norm)


def closed(radius: Array, angle: Array, values: Array) -> tuple[Array, Array, Array]:
    """Radii, angles and temperatures for lines that close round the rope and cross its axis.

    Of edges and cells of the whole section: the first angle comes again a turn later, smooth in between; the axis has
    the mean of the innermost ring.
    """
    middle, turned = 0.5 * (radius[1:] + radius[:-1]), 0.5 * (angle[1:] + angle[:-1])
    about = np.r_[turned[-2:] - 2.0 * np.pi, turned, turned[:2] + 2.0 * np.pi]
    fine = np.linspace(turned[0], turned[0] + 2.0 * np.pi, ROUND + 1)
    smooth = PchipInterpolator(about, np.concatenate([values[:, -2:], values, values[:, :2]], axis=1), axis=1)(fine)
    axis = np.full((1, fine.size), np.average(values[0], weights=np.diff(angle)))
    return np.r_[0.0, middle], fine, np.concatenate([axis, smooth])


def _across(radius: Array, angle: Array) -> tuple[Array, Array]:
    """Places of a section seen along the rope, angle 0 below."""
    return np.outer(radius, np.sin(angle)), -np.outer(radius, np.cos(angle))


def _extreme(found: tuple[Array, Array, Array], number: np.intp, word: str) -> tuple[str, float, float]:
    """What is said of a cell, and where it is, on the right half."""
    radius, angle, values = found
    r, phi = np.unravel_index(number, values.shape)
    far, turned = 0.5 * (radius[r] + radius[r + 1]), 0.5 * (angle[phi] + angle[phi + 1])
    text = f"{word} {celsius(values[r, phi])}, {radius[-1] - far:.1f}\u00a0mm below the skin"
    return text, float(far * np.sin(turned)), float(-far * np.cos(turned))


@paper()
def lengthwise(row: Row) -> Figure:
    """Temperatures of the plane through rope and contact, the side on the steel below."""
    own = row["lengthwise"]
    metre, radius = np.array(own["metre"]), np.array(own["radius"]) * MILLI
    towards, away = np.array(own["towards"], dtype=float), np.array(own["away"], dtype=float)
    values = np.concatenate([towards[::-1], away])
    edges = np.r_[-radius[:0:-1], radius]
    low, high = f"{np.nanmin(values):.0f}", celsius(np.nanmax(values))
    head = f"Lengthwise through rope and contact: {low} to {high}"
    made = sheet(row, head, "Temperature in °C, the side that lies on steel below; height drawn larger than length.")
    inside = [one for one in row["contacts"] if metre[0] < one["metre"] < metre[-1]]
    _length_map(made, (metre, edges, values), inside, told_limits(row))
    return made.figure


def _to_ends(edges: Array) -> Array:
    """Middles of cells, with both ends."""
    return np.r_[edges[0], 0.5 * (edges[1:] + edges[:-1]), edges[-1]]


def _length_map(made: Sheet, found: tuple[Array, Array, Array], contacts: list[Row], limits: dict[str, float]) -> None:
    metre, edges, values = found
    left, right, bottom = MARGIN + 0.55, WIDTH - BESIDE - 0.2, made.bottom + 0.45
    texts = [wrapped(literal(one["name"]), min(2.0, (right - left) / len(contacts) - 0.1)) for one in contacts]
    under = 0.15 + max((tall(len(lines)) for lines in texts), default=0.0)
    axes = made.axes(left, bottom, right, made.top)
    norm = fitted(values)
    cells(axes, metre, edges, values, norm)
    contours(axes, _to_ends(metre), _to_ends(edges), np.pad(values, 1, mode="edge"), limits, norm)
    inch = (edges[-1] - edges[0]) / (made.top - bottom - under)
    axes.set(xlim=(metre[0], metre[-1]), ylim=(edges[0] - under * inch, edges[-1]),
             xlabel="m from the drum", ylabel="mm from the axis of the rope")  # fmt: skip
    axes.set_yticks([tick for tick in axes.get_yticks() if edges[0] <= tick <= edges[-1]])
    axes.spines["left"].set_bounds(edges[0], edges[-1])
    per_metre = (right - left) / (metre[-1] - metre[0])
    for one in contacts:
        axes.plot(one["metre"] + 0.5 * one["arc"] * np.array([-1.0, 1.0]), [edges[0] - 0.05 * inch] * 2,
                  color=INK, linewidth=STEEL, solid_capstyle="butt", clip_on=True)  # fmt: skip
    places = [left + (one["metre"] - metre[0]) * per_metre for one in contacts]
    sizes = [max(width_of(line) for line in lines) + 0.1 for lines in texts]
    for lines, middle in zip(texts, spread(places, sizes, left, right), strict=True):
        made.words(middle, bottom + under - 0.12, lines, ha="center")
    scale(made, bottom, made.top, limits, norm)
