"""A state of a study in depth, hour by hour: by month, above thresholds, through a year of weather."""

from __future__ import annotations

from typing import Any

import numpy as np

from linewright.assessment.central import Prepared
from linewright.assessment.line import THRESHOLDS
from linewright.assessment.rope_year import rope_year
from linewright.assessment.weather import calendar
from linewright.assessment.whole import Gathered
from linewright.base.units import ZERO_CELSIUS
from linewright.cards.model import Shelf
from linewright.physics.types import Array

Row = dict[str, Any]
WET = 0.1  # wetness of an hour that counts as wet


def by_month(item: Prepared, j: int, hours: Array, files: tuple[Shelf, Gathered]) -> Row:
    """Mean core of every hour of the day in every month [degC]; None in months that the berth is not called in."""
    shelf, gathered = files
    berth = item.setup.duty.berths[j]
    month, hour = calendar(shelf.climates[berth.climate], berth.months, gathered.years.get(berth.climate))
    weight, core = item.hours.weight[j, : month.size], hours[: month.size] - ZERO_CELSIUS
    cell = (24 * (month - 1) + hour).astype(int)
    total = np.bincount(cell, weight, 288)
    mean = np.bincount(cell, weight * core, 288) / np.where(total > 0.0, total, 1.0)
    rows = [
        [float(value) if held > 0.0 else None for value, held in zip(values, helds, strict=True)]
        for values, helds in zip(mean.reshape(12, 24), total.reshape(12, 24), strict=True)
    ]
    return {
        "months": list(range(1, 13)),
        "core": [None if all(value is None for value in values) else values for values in rows],
    }


def hours_above(item: Prepared, j: int, hours: Array) -> Row:
    """Hours a year that the hottest place is above each threshold, central, by steady temperatures of the hours."""
    weight, total = item.hours.weight[j], item.setup.duty.hours[j]
    return {
        f"{limit - ZERO_CELSIUS:.0f}": float(np.sum(weight * (hours > limit)) / np.sum(weight) * total)
        for limit in THRESHOLDS
    }


def year_of(item: Prepared, j: int, files: tuple[Shelf, Gathered]) -> Row | None:
    """The free span through the hours of its typical year, of those in which the berth is called at [degC, K]."""
    shelf, gathered = files
    name = item.setup.duty.berths[j].climate
    if name not in gathered.years:
        return None
    found = rope_year(item, j, shelf.climates[name], gathered.years[name])
    if found is None:
        return None
    own, total = found.is_called, item.setup.duty.hours[j]
    core = found.core[own]
    return {
        "core": float(core.max()) - ZERO_CELSIUS,
        "sun_side": float(found.skin[own].max()) - ZERO_CELSIUS,
        "sun_over_shade": float((found.skin - found.shade)[own].max()),
        "wet_share": float(np.mean(found.wetness[own] > WET)),
        "has_rain": bool(gathered.years[name].rain.any()),
        "hours_above": {f"{limit - ZERO_CELSIUS:.0f}": float(np.mean(core > limit) * total) for limit in THRESHOLDS},
        "closure": found.closure,
    }
