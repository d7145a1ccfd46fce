"""What the trade knows without a source, asked of the whole assessment."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any

import numpy as np

from linewright.assessment.draws import Draws, score_matrix
from linewright.assessment.duty import Elastic, duty_of
from linewright.assessment.line import assess, condense, prepare
from linewright.assessment.record import count
from linewright.assessment.rope import subject
from linewright.assessment.temperature import activated, fibre_stress
from linewright.assessment.weather import Weather, hours_of
from linewright.assessment.whole import Gathered, assess_case
from linewright.base.units import ZERO_CELSIUS
from linewright.cards.loader import load_shelf
from linewright.case.form import read_case
from linewright.case.model import Case
from linewright.importers.files import find
from linewright.importers.tension import read_record
from linewright.importers.weather import read_year
from linewright.physics import creep
from linewright.physics.statistics import weighted_quantile
from linewright.validation.subjects import bench

Inputs = Mapping[str, Any]
DAYLIGHT = 50.0  # [W/m2]


def _case(file: Traversable, samples: int) -> Case:
    with resources.as_file(file) as path:
        return replace(read_case(Path(path)), samples=samples)


def hot_harbour_core(given: Inputs) -> dict[str, Any]:
    """Core of a swell-worked line by day at an air temperature, in the sun and in the shade."""
    file = resources.files("linewright.validation") / "studies" / "hot-harbour.toml"
    case, shelf = _case(file, given["samples"]), load_shelf()
    line, air = case.lines[0], given["air"] + ZERO_CELSIUS
    rope = subject(case, shelf, line, line.rope, line.where)
    own = Elastic.of(rope.data)
    duty = duty_of(case, line, (own, own), None, "load")
    names = Draws(rope.data, {}, case.samples, "", rope.laws).columns
    draws = Draws(rope.data, score_matrix(names, case.samples, case.seed), case.samples, "", rope.laws)
    day = _day_hour(hours_of(shelf.climates[case.berths[0].climate], ()), air)
    dark = replace(day, beam=0.0 * day.beam, diffuse=0.0 * day.diffuse, level=0.0 * day.level)
    weights = np.ones(case.samples)
    found = {}
    for name, weather in (("in the sun", day), ("in the shade", dark)):
        core = assess(prepare(case, rope, duty, condense(rope, duty, weather, draws), draws), draws).blocks.core[:, 0]
        found[f"core P50, {name}"] = weighted_quantile(core, weights, 0.5) - ZERO_CELSIUS
    return found


def _day_hour(hours: Weather, air: float) -> Weather:
    """Mean weather of the day's hours within half a degree of an air temperature, shape (1, 1)."""
    chosen = (np.abs(hours.air - air) < 0.5) & (hours.level > DAYLIGHT)
    weight = hours.weight[chosen]
    names = [field.name for field in fields(Weather)]
    means = {name: np.array([[np.average(getattr(hours, name)[chosen], weights=weight)]]) for name in names}
    return Weather(**{**means, "weight": np.ones((1, 1))})


def better_fibre(given: Inputs) -> dict[str, Any]:
    """Median life of a better grade over that of the grade on board, on the demo's duty."""
    demo, shelf = Path(str(resources.files("linewright") / "services" / "demo_study")), load_shelf()
    case = _case(demo / "case.toml", given["samples"])
    compared = tuple(item for item in case.compared if item.rope == given["rope"])
    cards = {berth.climate: shelf.climates[berth.climate] for berth in case.berths}
    years = {name: read_year(find(demo, card.hourly)) for name, card in cards.items() if card.hourly}
    tensions = [item for berth in case.berths for state in berth.states for item in state.tension.values() if item.log]
    records = {item.record: count(read_record(find(demo, item.log), item.channel)) for item in tensions}
    whole = assess_case(replace(case, compared=compared), shelf, None, Gathered(years, records))
    board, other = (weighted_quantile(rope.ages, whole.weights, 0.5) for rope in whole.ropes)
    return {"ratio of P50 lives": other / board}


def hot_hours(given: Inputs) -> dict[str, Any]:
    """What some hot hours a year cost a grade, and what its strength is when it has cooled."""
    table = bench.draws(load_shelf(), {}, given["rope"])
    tension = given["load"] * table.of("design_break_force", 2)
    stress = fibre_stress(table, tension.ravel(), 2)
    rate = creep.creep_rate(activated(table, 2), stress, given["T"] + ZERO_CELSIUS)
    damage = (rate * given["hours"] * 3600.0 / table.of("creep_retirement_strain", 2)).item()
    lost = 1.0 - float(table.of("creep_unit_strength", 1)[0]) ** damage
    back = table.curve("strength_factor", np.array([20.0 + ZERO_CELSIUS]))[0]
    return {"creep budget": 100.0 * damage, "strength lost": 100.0 * lost, "strength factor back at 20 C": float(back)}


def card_per_square(given: Inputs) -> dict[str, Any]:
    """Break force and mass of a shipped rope at another diameter, by the rule of its card (d squared)."""
    data = load_shelf().rope(given["rope"]).data
    scale = (given["d"] / 1e3 / data["diameter"].value) ** 2
    return {
        "break force": data["design_break_force"].value / 1e3 * scale,
        "mass": data["mass_per_length"].value * scale,
    }


SUBJECTS = {part.__name__: part for part in (hot_harbour_core, better_fibre, hot_hours, card_per_square)}
