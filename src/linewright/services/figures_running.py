"""A running rope through its programme: its hottest core and skin over time, and its core by mark over time."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from linewright.physics.types import Array, Index
from linewright.services.figures_colours import BESIDE, cells, contours, fitted, is_dark, scale
from linewright.services.figures_curves import CURVES, KEY, End, Style, end_names, frame
from linewright.services.figures_paper import (
    HAIR,
    INK,
    MARGIN,
    PAPER,
    WIDTH,
    Row,
    Sheet,
    celsius,
    literal,
    paper,
    sheet,
)

LINES: dict[str, tuple[str, Style]] = {
    "core": ("hottest core", CURVES["core"][1]),
    "skin": ("hottest skin", CURVES["skin"][1]),
    "dry": ("core without spray", CURVES["steel"][1]),
}
WARM = 0.1  # of the highest rise, where the stretch of rope that is shown ends
MARGINS = 0.15  # of the stretch, shown beyond it
WORN = 0.02  # of the worst metre's loss, from which a metre is shown
HOURS = 3.0 * 3600.0  # from which on time is told in hours [s]
NEARER = 40.0  # a limit further above is said, not drawn [K]


@paper()
def course(row: Row) -> Figure:
    """Hottest core and skin over time, without spray too, with the limits."""
    unit, length = _unit(row)
    own, dry = row["as_given"]["field"], row["without_spray"]
    curves = {"core": _hottest(own, "core"), "skin": _hottest(own, "skin")}
    times = {"core": np.array(own["time"]) / length, "skin": np.array(own["time"]) / length}
    if dry is not None:
        curves["dry"], times["dry"] = _hottest(dry["field"], "core"), np.array(dry["field"]["time"]) / length
    made = _sheet(row, _ending(row), f"Temperature in °C of the hottest metre by {unit} from the start.")
    axes = made.axes(MARGIN + 0.5, made.bottom + 0.45, WIDTH - MARGIN - KEY, made.top - 0.1)
    for key, values in curves.items():
        axes.plot(times[key], values, label=LINES[key][0], **LINES[key][1])
    said = frame(axes, list(curves.values()), _limits(row), NEARER)
    axes.set(xlim=(0.0, max(float(one[-1]) for one in times.values())), xlabel=f"{unit} from the start", ylabel="°C")
    ends = [End(f"{LINES[key][0]} {celsius(v[-1])}", float(v[-1]), LINES[key][1]) for key, v in curves.items()]
    for key, values in curves.items():  # where a curve ends before the others
        axes.plot(times[key][-1], values[-1], "o", color=LINES[key][1]["color"], markersize=5, clip_on=False, zorder=6)
    end_names(made, axes, ends + [one if one.leads else one._replace(value=axes.get_ylim()[0]) for one in said])
    return made.figure


@paper()
def marks(row: Row) -> Figure:
    """Core of the warm stretch of rope by mark and time."""
    unit, length = _unit(row)
    own = row["as_given"]["field"]
    time, mark, core = np.array(own["time"]) / length, np.array(own["mark"]), np.array(own["core"], dtype=float)
    shown = _warm(mark, core.max(axis=0))
    mark, core = mark[shown], core[:, shown]
    hottest = np.unravel_index(int(np.argmax(core)), core.shape)
    head = f"Mark {mark[hottest[1]]:.1f}\u00a0m is hottest: {celsius(core[hottest])}"
    small = "Core in °C by time and by mark, the distance from the outboard end: the warm stretch of the rope."
    made = _sheet(row, head, small)
    bottom, top = made.bottom + 0.45, made.top - 0.05
    axes = made.axes(MARGIN + 0.65, bottom, WIDTH - BESIDE - 0.2, top)
    norm, limits = fitted(core), _limits(row)
    cells(axes, _edges(time), _edges(mark), core.T, norm)
    contours(axes, time, mark, core.T, limits, norm)
    ring = PAPER if is_dark(norm, core[hottest]) else INK
    axes.plot(time[hottest[0]], mark[hottest[1]], "o", markersize=8, markerfacecolor="none", markeredgecolor=ring,
              zorder=7)  # fmt: skip
    axes.set(xlim=(0.0, time[-1]), ylim=(_edges(mark)[0], _edges(mark)[-1]), xlabel=f"{unit} from the start",
             ylabel="mark, m from the outboard end")  # fmt: skip
    scale(made, bottom, top, limits, norm)
    return made.figure


@paper()
def wear(row: Row) -> Figure:
    """Strength that one run takes from each metre of the worn stretch, by mark, with its zone."""
    life = row["life"]
    mark, lost = np.array(life["by_mark"]["mark"]), 100.0 * np.array(life["by_mark"]["strength_lost"], dtype=float)
    over = f", bent over {literal(' and '.join(life['at_places']))}" if life["at_places"] else ""
    worst = int(np.argmax(lost))
    head = f"A run takes {lost[worst]:.2g}\u00a0% of its strength from mark {mark[worst]:.1f}\u00a0m{over}"
    low, high = life["zone"]
    small = f"Strength lost in one run by mark; grey, from {low:.1f} to {high:.1f} m: the zone of the worst metre."
    made = _sheet(row, head, small)
    axes = made.axes(MARGIN + 0.65, made.bottom + 0.45, WIDTH - MARGIN, made.top - 0.1)
    shown = np.flatnonzero(lost > WORN * lost.max()) if lost.any() else np.arange(mark.size)
    pad = MARGINS * (mark[shown[-1]] - mark[shown[0]])
    axes.axvspan(low, high, color=HAIR, linewidth=0.0)
    axes.step(mark, lost, where="mid", **CURVES["core"][1])
    axes.set(xlim=(mark[shown[0]] - pad, mark[shown[-1]] + pad), ylim=(0.0, 1.08 * max(float(lost.max()), 1e-9)),
             xlabel="mark, m from the outboard end", ylabel="% of strength lost in a run")  # fmt: skip
    return made.figure


def _unit(row: Row) -> tuple[str, float]:
    """Words and length of the unit of time [s]."""
    fields = [case["field"] for case in (row["as_given"], row["without_spray"]) if case is not None]
    last = max(field["time"][-1] for field in fields)
    return ("hours", 3600.0) if last > HOURS else ("minutes", 60.0)


def _sheet(row: Row, head: str, small: str) -> Sheet:
    rope = row["rope"]
    names = {"berth": row["title"], "state": rope["title"], "line": f"{rope['length']:g} m",
             "rope": f"LDBF {rope['design_break_force'] / 1000.0:.0f} kN"}  # fmt: skip
    return sheet(names, head, small)


def _ending(row: Row) -> str:
    """How the central run ends, in words."""
    given = row["as_given"]
    if given["reaches_melting"]:
        return f"The rope reaches its melting range at mark {given['at_mark']:.1f}\u00a0m: the programme ends there"
    over = f", bent over {literal(' and '.join(given['at_places']))}" if given["at_places"] else ""
    return f"The core comes to {celsius(given['hottest_core'])} at mark {given['at_mark']:.1f}\u00a0m{over}"


def _limits(row: Row) -> dict[str, float]:
    """The limits with a name of their own [degC]."""
    return {name: float(limit) for name, limit in row["limits"].items() if not name.endswith(" C")}


def _hottest(field: Row, name: str) -> Array:
    return np.array(field[name], dtype=float).max(axis=1)


def _warm(mark: Array, peak: Array) -> Index:
    """Numbers of the marks about the hottest one whose peak stands out, and some beyond."""
    rise = peak - np.median(peak)
    if not rise.max() > 0.5:
        return np.arange(mark.size)
    cold = np.flatnonzero(rise <= WARM * rise.max())
    at = int(np.argmax(peak))
    low = mark[cold[cold < at].max(initial=0)]
    high = mark[cold[cold > at].min(initial=mark.size - 1)]
    pad = MARGINS * (high - low)
    return np.flatnonzero((mark >= low - pad) & (mark <= high + pad))


def _edges(middle: Array) -> Array:
    """Edges half-way between places."""
    return np.r_[middle[0], 0.5 * (middle[1:] + middle[:-1]), middle[-1]]
