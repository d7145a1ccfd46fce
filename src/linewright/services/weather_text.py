"""The weather of a climate in words: its months as the card gives them, and the hot hour that each state took."""

from __future__ import annotations

from typing import Any

from linewright.base.units import ZERO_CELSIUS
from linewright.cards.model import Month
from linewright.services.scene import Scene

Row = dict[str, Any]
HEAD = f"{'month':<7}{'air, C':>14}{'between days, K':>17}{'dew point, C':>14}{'wind, m/s':>11}{'cloud, %':>10}"


def weather_lines(scene: Scene, used: tuple[Row, ...]) -> tuple[str, ...]:
    """For each climate used: its months where it has them, then the hot hour of every state at its berths."""
    lines: list[str] = []
    for row in used:
        climate = scene.shelf.climates.get(row["owner"])
        months = climate.months if climate is not None and not climate.hourly else ()
        lines += [f"{row['owner']}:"]
        lines += (
            [f"  {HEAD}", *(f"  {month_line(number, month)}" for number, month in enumerate(months, 1))]
            if months
            else []
        )
        berths = {berth.name for berth in scene.case.berths if berth.climate == row["owner"]}
        lines += [f"  {_hot_hour(state)}" for state in scene.result["ropes"][0]["states"] if state["berth"] in berths]
    return tuple(lines)


def month_line(number: int, month: Month) -> str:
    """A month of a climate card: typical day, spread between days, dew point, wind, cloud."""
    low, high, dew = (value - ZERO_CELSIUS for value in (month.air_low, month.air_high, month.dew_point))
    air = f"{low:.1f} to {high:.1f}"
    rest = f"{month.day_spread:>17.1f}{dew:>14.1f}{month.wind:>11.1f}{100.0 * month.cloud:>10.0f}"
    return f"{number:<7}{air:>14}{rest}"


def _hot_hour(state: Row) -> str:
    where = f"hot hour of {state['berth']}, {state['name']}, {state['line']}: air {state['air_temperature']:.0f} C"
    if "hot_hour_wind" not in state:
        return where
    return f"{where}, wind {state['hot_hour_wind']:.1f} m/s, sun on level ground {state['hot_hour_sun']:.0f} W/m2"
