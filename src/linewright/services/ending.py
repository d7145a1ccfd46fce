"""How a life ends in words: whether it is reached, what takes most where it is not, why no band is told."""

from __future__ import annotations

from typing import Any

Row = dict[str, Any]


def is_reached(life: Row, horizon: float) -> bool:
    """Whether at least half of the draws of a life end before the horizon."""
    return bool(life["p50"] < horizon) and not str(life["ends_by"]).startswith("nothing")


def not_reached(shares: Row, horizon: float) -> str:
    """What is said instead of an end: the largest loss, or that there is none."""
    name, share = max(shares.items(), key=lambda item: float(item[1]))
    largest = "no loss" if name == "none" else f"largest loss: {name} {100 * share:.0f} %"
    return f"not reached in {horizon:.0f} years; {largest}"


def why_no_band(result: Row) -> str:
    """Why no datum is named that makes the band of the rope on board wide."""
    life, horizon = result["ropes"][0]["life"], result["horizon"]
    if life is None:
        return "not told: the rope on board gets no life"
    if life["p10"] >= horizon:
        return f"not told: at least 90 of 100 draws live longer than {horizon:.0f} years"
    return "not told: no datum with a band moves this life by more than 1 %"
