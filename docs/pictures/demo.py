"""Draws docs/pictures/demo.png from a stored result of the demo.

    python docs/pictures/demo.py demo-study/results/.../result.json docs/pictures/demo.png

Needs matplotlib, which linewright itself does not need: use an environment of its own.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import matplotlib as mpl

mpl.use("Agg")
import matplotlib.pyplot as plt
from matplotlib.axes import Axes

LINE = "forward springs"
INK, PALE = "#23303a", "#8b98a3"
COLOURS = {
    "sun": "#e0b04c", "contact": "#9aa5ad", "hysteresis": "#6f9f8f", "bending": "#3f6f9f", "sliding": "#b5643c",
}  # fmt: skip
NAMES = {"contact": "warm steel", "sliding": "sliding", "bending": "bending", "hysteresis": "hysteresis", "sun": "sun"}
HORIZON = 30.0


def rises(axes: Axes, states: list[dict[str, Any]]) -> None:
    """Rise of the core above the air at the hot hour of every state, stacked by source."""
    for row, state in enumerate(states):
        parts = state["rise_by_source"]
        at = sum(value for value in parts.values() if value < 0.0)
        for number, (name, colour) in enumerate(COLOURS.items()):
            width = max(parts[name], 0.0)
            axes.barh(row, width, left=at, height=0.5, color=colour, edgecolor="white", lw=0.6)
            if row == 0:
                name_segment(axes, (at + width / 2, row), NAMES[name], number)
            at += width
        air, band = state["air_temperature"], state["core_temperature"]
        low, high = band["p10"] - air, band["p90"] - air
        axes.plot([low, high], [row + 0.36] * 2, color=INK, lw=1.6, solid_capstyle="butt")
        label = f"core {band['p50']:.0f} C ({band['p10']:.0f} to {band['p90']:.0f})"
        axes.text(max(at, high) + 0.4, row + 0.08, label, va="center", fontsize=9.5, color=INK)
    axes.axvline(0.0, color=INK, lw=1.0, zorder=4)
    names = [f"{state['berth']}, {state['name']}\nair {state['air_temperature']:.0f} C" for state in states]
    axes.set_yticks(range(len(states)), names, fontsize=9.5)
    axes.set_xlabel("rise of the core above the air, K\n"
                    "bars begin left of zero by what sky and evaporation take; black line: P10 to P90",
                    fontsize=9.5, color=INK)  # fmt: skip
    axes.set_xlim(-4.2, 26)
    axes.set_ylim(len(states) - 0.4, -0.85)
    axes.set_title(f"Where the heat comes from: {LINE}, hot hour", loc="left", fontsize=11.5, color=INK)


def name_segment(axes: Axes, at: tuple[float, float], name: str, number: int) -> None:
    """A segment's name above it; names stand side by side, each with a thin line to its segment."""
    x, row = at
    place = ((1.1, 4.1, 8.5, 12.1, 14.9)[number], row - 0.62)
    axes.annotate(name, (x, row - 0.25), place, ha="center", va="center", fontsize=9, color=INK,
                  arrowprops={"arrowstyle": "-", "color": PALE, "lw": 0.7, "shrinkB": 0})  # fmt: skip


def lives(axes: Axes, ropes: list[dict[str, Any]]) -> None:
    """Band of life of every rope, on a logarithmic axis of years."""
    for row, rope in enumerate(ropes):
        name = "ABCDEFGHIJ"[row] + "  " + ", ".join(rope["name"].split(", ")[:2])
        note = "on board" if rope["on_board"] else f"same {rope['same']}"
        life = rope["life"]
        axes.text(0.82, row - 0.30, f"{name} ({note})", fontsize=9.5, color=INK, va="center")
        if life is None:
            axes.text(0.82, row + 0.05, rope["not_comparable"], fontsize=8.5, color=PALE, va="center")
            continue
        axes.plot([life["p10"], life["p90"]], [row, row], color=COLOURS["bending"], lw=6, solid_capstyle="butt")
        axes.plot(life["p50"], row, "o", color="white", markeredgecolor=INK, markersize=8, zorder=4)
        for key, where in (("p10", "right"), ("p90", "left")):
            value = min(life[key], HORIZON)
            gap = 0.94 if where == "right" else 1.06
            axes.text(value * gap, row, figure(life[key]), ha=where, va="center", fontsize=9, color=INK)
        axes.text(life["p50"], row + 0.26, figure(life["p50"]), ha="center", va="center", fontsize=9.5, color=INK)
    axes.set_xscale("log")
    ticks = [1, 2, 5, 10, 20, 30]
    axes.set_xticks(ticks, [str(tick) for tick in ticks])
    axes.minorticks_off()
    axes.set_xlim(0.8, 42)
    axes.set_ylim(len(ropes) - 0.4, -0.6)
    axes.set_yticks([])
    axes.set_xlabel("life, years (circle: P50; bar: P10 to P90)\n ", fontsize=9.5, color=INK)
    axes.set_title("How long the ropes last", loc="left", fontsize=11.5, color=INK)


def figure(years: float) -> str:
    """Two figures; beyond the horizon as such."""
    if years >= HORIZON:
        return f">{HORIZON:.0f}"
    return f"{years:.0f}" if years >= 9.95 else f"{years:.1f}"


def main(source: str, target: str) -> None:
    """Read the result, draw, save."""
    result = json.loads(Path(source).read_text(encoding="utf-8"))
    board = result["ropes"][0]
    states = [state for state in board["states"] if state["line"] == LINE]
    states.sort(key=lambda state: -float(state["core_temperature"]["p50"]))
    drawing, (left, right) = plt.subplots(1, 2, figsize=(12.6, 5.0), width_ratios=[1.25, 1.0], layout="constrained")
    rises(left, states)
    lives(right, result["ropes"])
    for axes in (left, right):
        axes.spines[["top", "right", "left"]].set_visible(False)
        axes.spines["bottom"].set_color(PALE)
        axes.tick_params(axis="y", length=0, colors=INK)
        axes.tick_params(axis="x", colors=INK, labelsize=9)
    drawing.savefig(target, dpi=110, metadata={"Software": None})


if __name__ == "__main__":
    main(*sys.argv[1:3])
