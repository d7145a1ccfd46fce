"""Where a state's operating window ends: statistics of its points, marks, and the first crossing of every criterion."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from linewright.assessment.duty import MOST_SWING
from linewright.assessment.judge import WORKING_LOAD
from linewright.assessment.window import Across, Scene, Window
from linewright.physics.statistics import weighted_quantile
from linewright.physics.types import Array, Flags

SLACK = "slack line, snatch loads"
STOP = ("core above the short-term limit", "margin below the criterion", "one stay takes the life", SLACK)
SUSTAINED = "sustained margin below 1"
CARE = ("core above the long-term limit", "skin above the long-term limit", "highest tension above WLL", SUSTAINED)
LEAST_MEAN, ROUNDED = 1.0, 1e-9  # tension [N]; of a swing
LEAST_HOURS = 1e-3  # [h], so that a life of nothing has a logarithm


@dataclass(frozen=True)
class Points:
    """Statistics of every point, shape (X, Y): core P50, P90, skin P50, P90 [K], margin P10, P50, hours P10, P50 [h].

    sustained: P10 of the sustained margin [-].
    """

    core: Array
    core_high: Array
    skin: Array
    skin_high: Array
    margin_low: Array
    margin: Array
    hours_low: Array
    hours: Array
    sustained: Array


@dataclass(frozen=True)
class Bounds:
    """How far each criterion is passed, shape (X, Y), positive where it is; `first` is the last value that keeps it.

    first, shape (X,), counts from the mild side, so with a minus where small values across are worse: -inf where the
    mildest point already breaks it, inf where none does.
    """

    excess: Mapping[str, Array]
    first: Mapping[str, Array]

    def tightest(self, names: tuple[str, ...]) -> tuple[Array, list[str]]:
        """The smallest of some criteria's bounds at each air temperature, and which it is; "" where none ends it."""
        known = [name for name in names if name in self.first]
        if not known:
            some = next(iter(self.first.values()))
            return np.full(some.shape, np.inf), [""] * some.size
        table = np.stack([self.first[name] for name in known])
        which = table.argmin(axis=0)
        least = table.min(axis=0)
        return least, [known[n] if np.isfinite(v) or v < 0.0 else "" for n, v in zip(which, least, strict=True)]

    def passed(self, names: tuple[str, ...]) -> Flags:
        """Points where one of some criteria is passed, shape (X, Y)."""
        known = [self.excess[name] > 0.0 for name in names if name in self.excess]
        return np.asarray(np.any(known, axis=0)) if known else np.zeros(next(iter(self.excess.values())).shape, bool)


def points_of(found: Window, weights: Array) -> Points:
    """Quantiles over the draws."""

    def over(values: Array, p: float) -> Array:
        s, x, y = values.shape
        flat = values.reshape(s, -1)
        return np.array([weighted_quantile(flat[:, n], weights, p) for n in range(x * y)]).reshape(x, y)

    return Points(
        over(found.core, 0.5), over(found.core, 0.9), over(found.skin, 0.5), over(found.skin, 0.9),
        over(found.margin, 0.1), over(found.margin, 0.5), over(found.hours, 0.1), over(found.hours, 0.5),
        over(found.sustained, 0.1),
    )  # fmt: skip


def bounds_of(scene: Scene, found: Window, points: Points, kind: Across = "swell") -> Bounds:
    """Criteria of the case and limits of the card at every point.

    Large values across are worse, but small ones of the wind for all and of the mean tension for a slack line.
    """
    excess: dict[str, Array] = {}
    for name, limit in (("short", limit_of(scene, "short_term_limit")), ("long", limit_of(scene, "long_term_limit"))):
        if limit is not None:
            excess[f"core above the {name}-term limit"] = points.core_high - limit
            if name == "long":
                excess["skin above the long-term limit"] = points.skin_high - limit
    excess["margin below the criterion"] = scene.case.criteria.margin - points.margin_low
    stay = np.broadcast_to(found.duty.call_hours, points.hours.shape)
    excess[SUSTAINED] = 1.0 - points.sustained
    excess["one stay takes the life"] = np.log(
        np.maximum(stay, LEAST_HOURS) / np.maximum(points.hours_low, LEAST_HOURS)
    )
    excess["highest tension above WLL"] = found.highest / (WORKING_LOAD * scene.case.ship_design_break_load) - 1.0
    most = np.where(found.duty.is_sine, 1.0, MOST_SWING) * np.maximum(found.duty.mean, LEAST_MEAN)
    excess[SLACK] = found.swing / (most * (1.0 + ROUNDED)) - 1.0  # what a typed state is refused for
    first = {}
    for name, values in excess.items():
        if kind == "wind" or (kind == "tension" and name == SLACK):
            first[name] = crossing(-found.across[::-1], values[:, ::-1])
        else:
            first[name] = crossing(found.across, values)
    return Bounds(excess, first)


def limit_of(scene: Scene, key: str) -> float | None:
    """A limit of the card [K], central; None where the card has none."""
    datum = scene.subject.data.get(key)
    return None if datum is None else datum.value


def crossing(across: Array, excess: Array) -> Array:
    """First value, from the first point on, where an excess (X, Y) turns positive, shape (X,); linear between points.

    -inf where the first point is beyond already, inf where none is.
    """
    beyond = excess > 0.0
    at = beyond.argmax(axis=1)
    rows = np.arange(len(excess))
    before = np.maximum(at - 1, 0)
    low, high = excess[rows, before], excess[rows, at]
    share = np.clip(-low / np.maximum(high - low, 1e-300), 0.0, 1.0)
    found = across[before] + share * (across[at] - across[before])
    return np.asarray(np.where(beyond[:, 0], -np.inf, np.where(beyond.any(axis=1), found, np.inf)))


def falls(values: Array, axis: int, room: float = 0.0) -> int:
    """How often a statistic falls along an axis by more than some room: 0 where it only rises."""
    return int(np.sum(np.diff(values, axis=axis) < -room))
