"""The core by hour of the day and month of the year."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from linewright.services.figures_colours import BESIDE, DARK, cells, contours, scale
from linewright.services.figures_paper import (
    INK,
    MARGIN,
    PAPER,
    RULE,
    WIDTH,
    Row,
    celsius,
    paper,
    sheet,
)

MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
HOURS = 24


@paper()
def hours(row: Row) -> Figure:
    """Mean core of each hour of the day by month; what is outside the berth's season is hatched."""
    own = row["hours"]
    months = [MONTHS[int(month) - 1] for month in own["months"]]
    values = np.array([_numbers(column) for column in own["core"]]).T
    limits = {} if own.get("limit") is None else {"limit": float(own["limit"])}
    if np.all(np.isnan(values)):
        head = "No month of the year is in the berth's season"
    else:
        hour, month = np.unravel_index(np.nanargmax(values), values.shape)
        head = (
            f"The core is hottest in {months[month]}, from {hour}:00 to {hour + 1}:00: {celsius(values[hour, month])}"
        )
    small = "Mean core in °C of each hour of the day by month."
    made = sheet(row, head, f"{small} Hatched: outside the berth's season." if np.any(np.isnan(values)) else small)
    bottom, top = made.bottom + 0.45, made.top - 0.05
    axes = made.axes(MARGIN + 0.55, bottom, WIDTH - BESIDE - 0.2, top)
    whole = Rectangle((0.0, 0.0), len(months), HOURS, facecolor=PAPER, edgecolor=RULE, hatch="///", linewidth=0.0)
    axes.add_patch(whole)
    cells(axes, np.arange(len(months) + 1.0), np.arange(HOURS + 1.0), values)
    if not np.all(np.isnan(values)):
        contours(axes, np.arange(0.5, len(months)), np.arange(0.5, HOURS), values, limits)
        ring = INK if values[hour, month] < DARK else PAPER
        axes.plot(month + 0.5, hour + 0.5, "o", markersize=8, markerfacecolor="none", markeredgecolor=ring, zorder=7)
    axes.set(xlim=(0.0, len(months)), ylim=(HOURS, 0.0), yticks=range(0, HOURS + 1, 6),
             xlabel="month", ylabel="hour of the day")  # fmt: skip
    axes.set_xticks(np.arange(len(months)) + 0.5, [name[:3] for name in months])
    axes.tick_params(axis="x", length=0.0)
    scale(made, bottom, top, limits)
    return made.figure


def _numbers(column: list[float | None] | None) -> list[float]:
    """The hours of a month; nothing where there is no value."""
    return [np.nan if value is None else value for value in column or [None] * HOURS]
