"""Ratios of lives as they are spoken: bounds at the horizon, silence where a band is too wide."""

from __future__ import annotations

from typing import Any

Row = dict[str, Any]
WIDE_RATIO = 10.0  # a band wider than this factor says nothing firm
LARGEST_RATIO = 100.0


def times(ratio: Row, quantile: str) -> str:
    """A quantile of a ratio of lives with its bound, as in "at least 2.1"; large ones need no digits."""
    if ratio[quantile] > LARGEST_RATIO:
        return f"more than {LARGEST_RATIO:.0f}"
    lower = "at least" if ratio.get("is_lower_bound") and quantile == "p50" else ""
    bound = ratio.get("bounds", {}).get(quantile, lower)
    return f"{bound} {ratio[quantile]:.1f}".lstrip()


def is_too_wide(ratio: Row) -> bool:
    """Whether a ratio's band says nothing."""
    return bool(ratio["p90"] > WIDE_RATIO * max(ratio["p10"], 1e-3))


def best(comparisons: list[Row]) -> Row | None:
    """The comparison with the largest middle ratio among those that say something; None if no rope lasts longer."""
    told = [item for item in comparisons if not is_too_wide(item["ratio"]) and item["ratio"]["p50"] > 1.0]
    return max(told, key=lambda item: float(item["ratio"]["p50"]), default=None)


def place_of(ends_at: str) -> str:
    """The contact's name in what ends a life, without its metre."""
    return ends_at.rpartition(", ")[0] or ends_at
