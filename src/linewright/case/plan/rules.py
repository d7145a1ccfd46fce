"""Rules between the keys of `[plan]`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from linewright.base import units
from linewright.base.form import Broken, shown
from linewright.base.units import YEAR_HOURS
from linewright.case import model

YEAR = 3600.0 * YEAR_HOURS
TABLE = "plan"


def broken(raw: Any) -> Iterator[Broken]:
    """Rules between the keys of the table."""
    if not isinstance(raw, dict):
        return
    if "price_per_kg" in raw and "price_per_line" in raw:
        read = "price_per_kg and price_per_line"
        yield Broken((TABLE, "price_per_line"), read, "one price of the rope", "leave one out")
    life, docking = _years(raw, "ship_life", model.Plan().ship_life), _years(raw, "docking", None)
    if life is not None and docking is not None and docking > life:
        needs = f"at most the ship's life, {life:.3g} years"
        yield Broken((TABLE, "docking"), shown(raw["docking"]), needs, "leave docking out where there is none")


def _years(raw: dict[str, Any], key: str, default: float | None) -> float | None:
    """A time in years if it can be read, the default where it is left out."""
    if key not in raw:
        return default
    value = raw[key].get("value") if isinstance(raw[key], dict) else raw[key]
    try:
        return units.parse(value, "duration") / YEAR if isinstance(value, str) else None
    except units.UnitError:
        return None
