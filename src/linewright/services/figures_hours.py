"""The core by hour of the day and month of the year."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from linewright.physics.types import Array
from linewright.services.figures_colours import BESIDE, cells, contours, fitted, is_dark, scale
from linewright.services.figures_paper import (
    INK,
    MARGIN,
    NORM,
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
    limits = {} if own.get("limit") is None else {"long-term limit": float(own["limit"])}
    norm = NORM if np.all(np.isnan(values)) else fitted(values)
    if norm is NORM:
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
    cells(axes, np.arange(len(months) + 1.0), np.arange(HOURS + 1.0), values, norm)
    if norm is not NORM:
        contours(
            axes,
            np.linspace(0.0, len(months), 2 * len(months) + 1),
            np.arange(0.5, HOURS),
            _to_edges(values),
            limits,
            norm,
        )
        ring = PAPER if is_dark(norm, values[hour, month]) else INK
        axes.plot(month + 0.5, hour + 0.5, "o", markersize=8, markerfacecolor="none", markeredgecolor=ring, zorder=7)
    axes.set(xlim=(0.0, len(months)), ylim=(HOURS, 0.0), yticks=range(0, HOURS + 1, 6),
             xlabel="month", ylabel="hour of the day")  # fmt: skip
    axes.set_xticks(np.arange(len(months)) + 0.5, [name[:3] for name in months])
    axes.tick_params(axis="x", length=0.0)
    scale(made, bottom, top, limits, norm)
    return made.figure


def _to_edges(values: Array) -> Array:
    """Months with what is between them, so that lines go to the end of a season."""
    found = np.full((HOURS, 2 * values.shape[1] + 1), np.nan)
    found[:, 1::2] = values
    found[:, 2::2] = np.where(np.isnan(values), np.roll(values, -1, axis=1), values)
    both = 0.5 * (values[:, :-1] + values[:, 1:])
    found[:, 2:-1:2] = np.where(np.isnan(both), found[:, 2:-1:2], both)
    found[:, 0], found[:, -1] = values[:, 0], values[:, -1]
    return found


def _numbers(column: list[float | None] | None) -> list[float]:
    """The hours of a month; nothing where there is no value."""
    return [np.nan if value is None else value for value in column or [None] * HOURS]
