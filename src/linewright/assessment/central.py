"""What every rope of a case brings to its states with central data, without samples: setups, hours, sensitivities."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from linewright.assessment import contact as contact_stage
from linewright.assessment import line as line_stage
from linewright.assessment import temperature as stage
from linewright.assessment.draws import Draws, column
from linewright.assessment.line import Setup
from linewright.assessment.runner import Variant, weathers_of
from linewright.assessment.weather import Weather
from linewright.assessment.whole import Gathered, plans_of
from linewright.cards.model import Shelf
from linewright.case.model import Case
from linewright.physics.statistics import Z95
from linewright.physics.types import Array

HOT = 0
WORTH = 0.05  # a datum that moves the core by less is not listed [K]


@dataclass(frozen=True)
class Prepared:
    """A rope on a line group: variant and title, setup in weather classes, hours of every state, tail's setup."""

    variant: Variant
    title: str
    setup: Setup
    hours: Weather
    tail: Setup | None = None


def prepared(case: Case, shelf: Shelf, gathered: Gathered | None = None) -> tuple[Prepared, ...]:
    """Every rope on every line group. Raises InputError or CardError for what cannot be assessed."""
    plans = plans_of(case, shelf, gathered or Gathered())
    weathers = weathers_of(plans[0])
    rows = []
    for plan in plans:
        for item, tail, duty, weather in zip(plan.mains, plan.tails, plan.duties, weathers, strict=True):
            setups = [
                None
                if one is None
                else line_stage.prepare(case, one, duty, weather, Draws(one.data, {}, 1, "", one.laws))
                for one in (item, tail)
            ]
            assert setups[0] is not None
            rows.append(Prepared(plan.variant, item.title, setups[0], plan.hours, setups[1]))
    return tuple(rows)


def hottest_by_hour(item: Prepared) -> Array:
    """Core at the hottest place of the line in every hour of every state, shape (J, H) [K]; steady, fast model."""
    draws = Draws(item.setup.subject.data, {}, 1)
    found = line_stage.over_hours(draws, item.setup.duty, item.hours, item.setup.subject)
    return np.asarray(stage.hottest_of(found.core[0]))


@dataclass(frozen=True)
class Moved:
    """A datum at its low and high: the hottest core of a state with it there, and with all data central [K]."""

    key: str
    low: float
    high: float
    central: float

    @property
    def width(self) -> float:
        """How far the datum moves the core; both ends of its band may lie on one side of the central core [K]."""
        found = (self.low, self.central, self.high)
        return max(found) - min(found)


def sensitivities(setup: Setup, state: int) -> tuple[Moved, ...]:
    """The hottest core of a state at the hot hour with each datum at its 5 % and 95 % point, the widest first.

    Fast model, one datum of one contact at a time: contacts of one card do not move together as they do in draws.
    """
    subject = setup.subject
    keys = [key for key, datum in subject.data.items() if datum.has_band]
    rows = 2 * len(keys) + 1
    data = {key: replace(datum, key=key) for key, datum in subject.data.items()}  # a column of its own for each
    scores = {column(data[key]): np.zeros(rows) for key in keys}
    for number, key in enumerate(keys):
        scores[column(data[key])][2 * number + 1 : 2 * number + 3] = (-Z95, Z95)
    draws = Draws(data, scores, rows)
    stiffness = contact_stage.axial_stiffness(draws, setup.duty)
    loads = [contact_stage.contact_load(draws, setup.duty, item, stiffness) for item in subject.contacts]
    found = stage.temperatures(draws, setup.duty, loads, setup.around, stiffness)
    core = np.broadcast_to(stage.hottest_of(found.core[:, state, HOT]), rows).astype(float)
    told = [Moved(key, float(core[2 * n + 1]), float(core[2 * n + 2]), float(core[0])) for n, key in enumerate(keys)]
    return tuple(sorted((item for item in told if item.width > WORTH), key=lambda item: -item.width))
