"""The line from drum to shore end as a thermogram."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import Normalize
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from linewright.physics.types import Array
from linewright.services.figures_colours import cells, fitted
from linewright.services.figures_curves import CURVES, KEY, NEAR, End, curve, end_names, frame, numbers
from linewright.services.figures_paper import (
    ACCENT,
    FREE_SPAN,
    HAIR,
    INK,
    INK2,
    MARGIN,
    PAPER,
    SCALE,
    WIDTH,
    ZONE,
    Row,
    Sheet,
    at_place,
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

STRIP = 0.14  # the rope's body [in]
SHARE = 0.4  # a warm stretch shorter than this part of the line is also drawn magnified
WARM = 0.05  # of the highest rise, where the warm stretch ends
LEAST_WARM = 0.5  # a line whose temperatures differ less has no warm stretch [K]
USUAL = 0.6  # height of what is said above the strip [in]
WIDEST = 1.7  # of a contact's words [in]


@dataclass(frozen=True)
class _Line:
    """A thermogram: metres, curves by name, whole length with the tail, the stretch to magnify, if any [m], colours."""

    metre: Array
    curves: dict[str, Array]
    whole: float
    warm: tuple[float, float] | None
    norm: Normalize


@paper()
def thermogram(row: Row) -> Figure:
    """Core, section mean and skin from the drum to the shore end, and the warm stretch about the hottest core."""
    own, hottest = row["thermogram"], row["hottest"]
    curves = {key: numbers(own[key]) for key in ("core", "mean", "skin")}
    metre = np.array(own["metre"], dtype=float)
    whole = float(row["length"] + (row["tail_length"] or 0.0))
    warm = _warm((metre, np.fmax(curves["core"], curves["skin"])), hottest["metre"], whole)
    tail = row.get("tail_core")
    norm = fitted(curves["core"], np.array([] if tail is None else [tail], dtype=float))
    line = _Line(metre, curves, whole, warm, norm)
    head = f"The core is hottest {_where(hottest)}: {celsius(hottest['core'])}{_margin(row)}"
    small = (
        f"°C from drum to shore end, air {celsius(row['air'])}. Colours: core, {norm.vmin:g} (pale) to {norm.vmax:g} °C"
    )
    small += "; framed: drawn larger below." if warm else "."
    left, right = MARGIN + 0.5, WIDTH - MARGIN - KEY
    said = _said(row, right - left + KEY)
    above = 0.22 + max((tall(len(lines)) for _, lines in said), default=0.0)
    made = sheet(row, head, small, max(0.0, above - USUAL))
    strip = made.top - above
    _strip(made, row, line, said, strip)
    low, high = made.bottom + 0.42, strip - STRIP - 0.1
    split = low if warm is None else 0.5 * (low + high) + 0.1
    panel = made.axes(left, split, right, high)
    limits = _panel(panel, row, line, (0.0, whole))
    names = [End(CURVES[key][0], float(values.max()), CURVES[key][1], False) for key, values in curves.items()]
    end_names(made, panel, limits if warm else names + limits)
    if warm:
        panel = made.axes(left, low, right, split - 0.3)
        _panel(panel, row, line, warm)
        end_names(made, panel, names)
    panel.set_xlabel("m from the drum")
    return made.figure


def _where(hottest: Row) -> str:
    """Where the core is hottest, in words; the free span has no single metre."""
    place = at_place(hottest["place"])
    return place if hottest["place"] == FREE_SPAN else f"{hottest['metre']:.2f}\u00a0m from the drum, {place}"


def _margin(row: Row) -> str:
    """How far the hottest core is from its long-term limit, in words."""
    limit = row["limits"].get("long_term")
    if limit is None:
        return ""
    apart = limit - row["hottest"]["core"]
    return f", {abs(apart):.0f}\u00a0K {'below' if apart >= 0.0 else 'above'} its long-term limit"


def _warm(line: tuple[Array, Array], at: float, whole: float) -> tuple[float, float] | None:
    """The warm stretch about the hottest core, if it is short beside the line [m]."""
    metre, warmest = line
    rise = warmest - np.nanmin(warmest)
    if np.nanmax(rise) < LEAST_WARM:
        return None
    cold = ~(rise > WARM * np.nanmax(rise))
    before, after = metre[cold & (metre < at)], metre[cold & (metre > at)]
    low, high = before.max(initial=0.0), after.min(initial=whole)
    pad = 0.1 * (high - low)
    low, high = max(low - pad, 0.0), min(high + pad, whole)
    return (float(low), float(high)) if high - low < SHARE * whole else None


def _said(row: Row, wide: float) -> list[tuple[float, list[str]]]:
    """Places on the line [m] and what is said of them, in lines that stand side by side."""
    told = [(one["metre"], literal(one["name"]), f"core {celsius(max(one['core']))}") for one in row["contacts"]]
    if row["tail_length"]:
        known = row.get("tail_core")
        middle = row["length"] + 0.5 * row["tail_length"]
        told.append((middle, "tail", "" if known is None else f"core {celsius(known)}"))
    each = min(WIDEST, wide / max(len(told), 1) - 0.12)
    return [(at, wrapped(name, each) + (wrapped(core, each) if core else [])) for at, name, core in told]


def _strip(made: Sheet, row: Row, line: _Line, said: list[tuple[float, list[str]]], top: float) -> None:
    """The rope's body in the colours of its core, with the names of contacts and tail above."""
    left, right = MARGIN + 0.5, WIDTH - MARGIN - KEY
    axes = made.axes(left, top - STRIP, right, top)
    edges = np.r_[line.metre[0], 0.5 * (line.metre[1:] + line.metre[:-1]), line.metre[-1]]
    cells(axes, edges, np.array([0.0, 1.0]), line.curves["core"][None, :], line.norm)
    tail = row.get("tail_core")
    axes.add_patch(Rectangle((0.0, 0.0), row["length"], 1.0, fill=False, edgecolor=INK, linewidth=0.8, clip_on=False))
    if row["tail_length"]:
        shade = PAPER if tail is None else SCALE(line.norm(tail))
        axes.add_patch(Rectangle((row["length"], 0.25), row["tail_length"], 0.5, facecolor=shade, edgecolor=INK,
                                 linewidth=0.8, clip_on=False))  # fmt: skip
    if line.warm is not None:
        low, high = line.warm
        axes.add_patch(
            Rectangle((low, -0.35), high - low, 1.7, fill=False, edgecolor=ACCENT, linewidth=1.6, clip_on=False)
        )
    axes.set(xlim=(0.0, line.whole), ylim=(0.0, 1.0), label="strip")
    axes.set_axis_off()
    places = [left + (right - left) * at / line.whole for at, _ in said]
    sizes = [max(width_of(text) for text in lines) + 0.12 for _, lines in said]
    for (_, lines), place, middle in zip(said, places, spread(places, sizes, left, right + KEY), strict=True):
        made.line([middle, place], [top + 0.2, top + 0.06], color=INK2, linewidth=0.6)
        made.words(middle, top + 0.22, lines, ha="center", va="bottom")


def _panel(axes: Axes, row: Row, line: _Line, ends: tuple[float, float]) -> list[End]:
    """The curves between two places, arcs of contacts shaded, their cores as dots; what is to be said of limits."""
    for one in row["contacts"]:
        low, high = one["metre"] - 0.5 * one["arc"], one["metre"] + 0.5 * one["arc"]
        axes.axvspan(low, high, facecolor=ZONE, edgecolor=HAIR, linewidth=0.8, zorder=0.5)
    for key, values in line.curves.items():
        curve(axes, key, line.metre, values)
    if row["tail_length"] and row.get("tail_core") is not None:
        curve(axes, "core", np.array([row["length"], line.whole]), np.full(2, float(row["tail_core"])))
    is_near = ends[1] - ends[0] < line.whole
    for one in row["contacts"]:
        at = one["metre"] + 0.5 * one["arc"] * np.array([-1.0, 0.0, 1.0])
        core = np.array(one["core"], dtype=float)
        if not is_near:
            at, core = at[[np.argmax(core)]], core[[np.argmax(core)]]
        axes.scatter(at, core, 36, SCALE(line.norm(core)), edgecolors=INK, linewidths=0.9, zorder=5, label="contacts")
    axes.set(xlim=ends, ylabel="°C")
    axes.locator_params(axis="x", nbins=8)
    return frame(axes, list(line.curves.values()), told_limits(row), 0.0 if is_near else NEAR)
