"""The life integrator against closed forms, and against itself with half the step."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from linewright.assessment import life

Inputs = Mapping[str, Any]
NAMES = ("creep", "bending", "abrasion")


def _rates(given: Inputs, order: Sequence[int] = (0, 1, 2)) -> life.YearlyRates:
    """One sample and one metre; mechanisms in the order asked."""
    names = tuple(NAMES[k] for k in order)
    loss, power, unit = (np.array(given[key])[list(order)] for key in ("loss", "power", "unit"))
    return life.YearlyRates(
        loss.reshape(1, 3, 1), power.reshape(1, 3), np.array([[given["growth"]]]), unit.reshape(1, 3),
        np.array([given["strain"]]), names.index("creep"), names.index("abrasion"), names,
    )  # fmt: skip


def _limits(given: Inputs) -> life.Limits:
    never = np.full(3, np.inf)
    return life.Limits(given["strength_left"], never, np.full(1, np.inf), np.full((1, 1), np.inf), np.inf)


def _live(given: Inputs, order: Sequence[int] = (0, 1, 2), step: float = 1.0) -> life.Lives:
    return life.live(_rates(given, order), _limits(given), step)


def age(given: Inputs) -> dict[str, Any]:
    """Age at the end, and its change when the step is halved."""
    first = _live(given).age[0]
    return {"age": first, "half step over full step": _live(given, step=0.5).age[0] / first}


def order(given: Inputs) -> dict[str, Any]:
    """Largest change of age and of any share when the mechanisms are listed in another order."""
    plain = _live(given)
    orders = ([1, 2, 0], [2, 1, 0], [0, 2, 1])
    others = [(order, _live(given, order)) for order in orders]
    shares = [
        other.losses[0] / other.losses.sum() - (plain.losses[0] / plain.losses.sum())[order] for order, other in others
    ]
    return {
        "change of age": max(abs(other.age[0] - plain.age[0]) for _, other in others),
        "change of a share": float(np.max(np.abs(shares))),
    }


SUBJECTS = {"life_age": age, "life_order": order}
