"""The zones of an operating window, told apart without colour: plain, dotted, hatched; and the state's own place."""

from __future__ import annotations

import matplotlib as mpl
import numpy as np
from matplotlib import patheffects
from matplotlib.axes import Axes

from linewright.physics.types import Array
from linewright.services.figures_colours import DARK
from linewright.services.figures_paper import INK, PAPER, Row

AXIS = {
    "swell": "times the state's own swell",
    "tension": "times the state's own mean tension",
    "wind": "wind at the line, m/s",
    "hours": "hours at a stretch",
}
OWN = {
    "swell": "the state's swell in its hot hour",
    "tension": "the state's mean in its hot hour",
    "wind": "the state's hot hour",
    "hours": "the state's stay, hot hour",
}
DOTS, HATCH = "..", "////"
PLATE = {"facecolor": PAPER, "edgecolor": INK, "linewidth": 0.6, "pad": 2.0}
BEYOND = 0.02  # of the map
ASIDE = 0.08  # of the map, that a name keeps from its sides
LOW = 0.12  # of the map, below which words stand above their place
FAR = 0.25  # of the map, beyond which width and distance count no more
PLACES = 60  # where a name may stand
INSIDE = 0.06  # of the map, that the middle of a name keeps from its frame
LEAST = 0.02  # of the map, below which a zone is too small for its name


def zones(axes: Axes, row: Row, plain: bool = True) -> None:
    """Bounds as lines, the zones beyond them dotted and hatched, with their names; not `plain` on a map of cores."""
    air = np.array(row["air"])
    low, high = float(row["across"]["values"][0]), float(row["across"]["values"][-1])
    good, bad = (low, high) if row["across"]["kind"] != "wind" else (high, low)
    ok, stop = (_line(row, key, good, bad) for key in ("ok", "stop"))
    inks = {mark: INK if plain else _ink(row, mark) for mark in ("caution", "stop")}
    for mark, hatch, one, other in (("caution", DOTS, ok, stop), ("stop", HATCH, stop, bad)):
        with mpl.rc_context({"hatch.color": inks[mark]}):
            axes.fill_between(
                air, one, other, facecolor="none", edgecolor=inks[mark], hatch=hatch, linewidth=0, zorder=3
            )
    if row["across"]["kind"] == "tension":  # slack below, where every other criterion ends above
        with mpl.rc_context({"hatch.color": inks["stop"]}):
            axes.fill_between(air, np.full(air.size, low), _line(row, "taut", high, low), facecolor="none",
                              edgecolor=inks["stop"], hatch=HATCH, linewidth=0, zorder=3)  # fmt: skip
    outline = [patheffects.withStroke(linewidth=3.6, foreground=PAPER)]
    axes.plot(air, ok, color=INK, linewidth=1.2, linestyle=(0, (5, 2)), path_effects=outline, zorder=4)
    axes.plot(air, stop, color=INK, linewidth=2.0, path_effects=outline, zorder=4)
    size = abs(high - low)
    named = [("CAUTION", ok, stop), ("STOP", stop, np.full(air.size, bad))]
    for word, one, other in [*([("OK", np.full(air.size, good), ok)] if plain else []), *named]:
        _name(axes, word, (air, one, other), size)


def _line(row: Row, key: str, good: float, bad: float) -> Array:
    """A bound at every air temperature, just beyond the map where it lies outside."""
    beyond = BEYOND * (bad - good)
    ends = {"nowhere": good - beyond, "everywhere": bad + beyond}
    return np.array([item[key]["at"] if item[key]["at"] is not None else ends[item[key]["reach"]]
                     for item in row["bounds"]])  # fmt: skip


def _ink(row: Row, mark: str) -> str:
    """What is seen on the colours of the cells with a mark."""
    marks = ("stop", "slack") if mark == "stop" else (mark,)
    cores = np.array(row["core"]["p90"])[np.isin(row["marks"], marks)]
    return PAPER if cores.size and np.median(cores) >= DARK else INK


def _name(axes: Axes, word: str, zone: tuple[Array, Array, Array], size: float) -> None:
    """The name of a zone where it is wide and no other word stands near."""
    air, one, other = zone
    reach = float(air[-1] - air[0])
    x = np.linspace(air[0] + ASIDE * reach, air[-1] - ASIDE * reach, PLACES)
    low, high = sorted(axes.get_ylim())
    ends = [np.interp(x, air, np.clip(line, low, high)) for line in (one, other)]
    y, wide = 0.5 * (ends[0] + ends[1]), np.abs(ends[1] - ends[0]) / size
    if wide.max() < LEAST:
        return
    said = [text.get_position() for text in axes.texts]
    far = np.min([np.hypot((x - u) / reach, (y - v) / size) for u, v in said] or [np.full(PLACES, FAR)], axis=0)
    n = int(np.argmax(np.where(wide < LEAST, -1.0, np.minimum(wide, FAR) + np.minimum(far, FAR))))
    inside = np.clip(y[n], low + INSIDE * size, high - INSIDE * size)
    axes.text(x[n], inside, word, ha="center", va="center", fontsize=9.0, fontweight="bold", color=INK, bbox=PLATE,
              zorder=7)  # fmt: skip


def mark_own(axes: Axes, row: Row) -> None:
    """The state's own place: its swell, wind or hours in its hot hour."""
    x, y = row["weather"]["air"], row["across"]["own"]
    axes.plot([x], [y], marker="o", markersize=8.0, markerfacecolor=PAPER, markeredgecolor=INK, markeredgewidth=1.6,
              zorder=8, clip_on=False)  # fmt: skip
    right = x < 0.5 * (row["air"][0] + row["air"][-1])
    low, high = axes.get_ylim()
    below = y - low > LOW * (high - low)
    axes.annotate(OWN[row["across"]["kind"]], (x, y), (10 if right else -10, -12 if below else 12),
                  textcoords="offset points", ha="left" if right else "right", va="top" if below else "bottom",
                  fontsize=8.0, color=INK, zorder=8,
                  bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.8})  # fmt: skip
