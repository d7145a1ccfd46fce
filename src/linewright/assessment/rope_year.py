"""The free span through a year of hourly weather: heat stored, the sun on one side, wet by rain and dry again."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from linewright.assessment import contact as contact_stage
from linewright.assessment import temperature as stage
from linewright.assessment.central import Prepared
from linewright.assessment.draws import Draws
from linewright.assessment.weather import Weather, hours_of
from linewright.cards.model import Climate
from linewright.importers.model import HourlyYear
from linewright.physics import film, sun
from linewright.physics.field_grid import Grid, angle_edges, radial_edges
from linewright.physics.field_year import Hours, section_year
from linewright.physics.types import Array, Flags
from linewright.physics.wetting import water_store, wetness_through

LATENT = 2.43e6  # [J/kg] at 30 C, as the film of a wet rope has it
RINGS, ROUND = 8, 12
ROUNDS = 3


@dataclass(frozen=True)
class RopeYear:
    """Hours of a year, shape (n,): core, hottest skin, the coolest [K], wetness [-], whether the berth is called at.

    closure of the energies over the year [-].
    """

    core: Array
    skin: Array
    shade: Array
    wetness: Array
    is_called: Flags
    closure: float


def rope_year(item: Prepared, state: int, climate: Climate, year: HourlyYear) -> RopeYear | None:
    """A state's tension all the year round on the free span; None where the card has no heat capacities."""
    setup = item.setup
    draws = Draws(setup.subject.data, {}, 1)
    if not draws.has("volumetric_heat_dry", "volumetric_heat_wet"):
        return None
    weather = _as_states(hours_of(climate, (), year))
    diameter = float(draws.of("diameter", 1)[0])
    area = 0.25 * np.pi * diameter**2
    dry, soaked = (float(draws.of(f"volumetric_heat_{name}", 1)[0]) for name in ("dry", "wet"))
    least = float(setup.duty.wetness[state])
    wetness = np.full(year.air.size, least)
    core, skin = weather.air[:, 0].copy(), weather.air[:, 0].copy()
    stiffness = contact_stage.axial_stiffness(draws, setup.duty)
    base = float(stage.base_heat(draws, setup.duty, stiffness)[0, state, 0]) / area
    grid = Grid(radial_edges(0.5 * diameter, RINGS), angle_edges(ROUND), np.array([0.0, 1.0]))
    for _ in range(ROUNDS):
        duty = replace(setup.duty, wetness=wetness)
        around = stage.surroundings(weather, duty, diameter, (skin - weather.air[:, 0])[:, None])
        rope = stage.rope_of(draws, duty, around)
        heat = base * stage.loss_ratio(draws, duty, core[None, :, None])[0, :, 0]
        across = np.broadcast_to(rope.across[0, :, 0], wetness.shape)
        found = section_year(grid, Hours(
            weather.air[:, 0], rope.film[0, :, 0], _flux(draws, weather, around, grid), heat, across,
            dry + wetness * (soaked - dry),
        ))  # fmt: skip
        core, skin = found.core, found.skin.mean(axis=1)
        drying = _drying(draws, around, weather, skin) * np.pi * diameter
        wetness = wetness_through(1e3 * year.rain * diameter, drying, float(water_store(dry, soaked, area)), least)
    months = setup.duty.berths[state].months
    called = np.isin(year.month, months) if months else np.ones(year.month.size, dtype=bool)
    return RopeYear(core, found.skin.max(axis=1), found.skin.min(axis=1), wetness, called, found.balance.closure)


def _as_states(hours: Weather) -> Weather:
    """Hours on the axis of the states, so that each may have a wetness of its own, shape (n, 1)."""
    return Weather(**{name: getattr(hours, name)[:, None] for name in Weather.__dataclass_fields__})


def _flux(draws: Draws, weather: Weather, around: stage.Surroundings, grid: Grid) -> Array:
    """Heat on the skin, shape (n, angle): the sun's beam on one side, all else even round the rope [W/m2]."""
    outer = stage.outside_of(draws, around)
    total = np.asarray(sum(outer.values()))[0, :, 0]
    absorptance = float(draws.of("solar_absorptance", 1)[0])
    none = np.zeros_like(weather.beam)
    beam = np.asarray(sun.absorbed_sun(absorptance, 2.0 * grid.skin, weather.sine, weather.beam, (none, none, 0.0)))[
        :, 0
    ]
    side = np.maximum(np.diff(np.sin(grid.angle)) / np.diff(grid.angle), 0.0)  # mean of cos over each cell in the sun
    even = (total - beam) / (2.0 * np.pi * grid.skin)
    return even[:, None] + beam[:, None] / (2.0 * grid.skin) * side


def _drying(draws: Draws, around: stage.Surroundings, weather: Weather, skin: Array) -> Array:
    """Water that a soaked skin loses in an hour [kg/m2]; below 0 it is dew."""
    convection = float(draws.of("film_factor", 1)[0]) * around.convection[:, 0]
    air = weather.air[:, 0]
    flux, slope = film.evaporation(convection, air, weather.dew_point[:, 0], 1.0, skin)
    return np.asarray((flux + slope * (skin - air)) / LATENT * 3600.0)
