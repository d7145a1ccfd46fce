"""Ageing: sunlight on the outer layer, oxidation or hydrolysis at the local temperature."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from linewright.assessment.draws import Draws
from linewright.assessment.exposure import Exposure, RateTable
from linewright.base.units import YEAR_HOURS
from linewright.physics import wear
from linewright.physics.types import Array


def _open(exposure: Exposure) -> Array:
    """1 where light falls on the rope, 0 at mid-arc where steel covers it, shape (X,)."""
    lit = np.ones(exposure.n_places)
    lit[1:-1:3] = 0.0
    return lit


class Ageing:
    """Hours alongside; time on the drum, without light, where the practice card tells it."""

    name = "ageing"

    def needs(self, words: Mapping[str, str]) -> tuple[str, ...]:
        """Oven and outdoor data of the fibre."""
        return ("ageing_loss", "ageing_activation_energy", "ageing_reference_temperature",
                "uv_yarn_loss", "uv_depth", "uv_year_dose")  # fmt: skip

    def rate(self, exposure: Exposure, draws: Draws) -> RateTable:
        """Arrhenius rate at the mean section temperature plus the sunlight of the hour."""
        law = draws.of("ageing_activation_energy"), draws.of("ageing_reference_temperature")
        factor = wear.arrhenius(law[0], exposure.temperatures.mean, law[1])
        if draws.has("hours_stored"):
            factor = factor + _stored(exposure, draws) * _at_air(exposure, law)
        chemical = draws.of("ageing_loss") / YEAR_HOURS * factor
        reach = draws.of("uv_cover") if draws.has("uv_cover") else 1.0
        light = wear.sunlight_loss_rate(
            draws.of("uv_yarn_loss"), draws.of("uv_year_dose"), draws.of("uv_depth"), draws.of("diameter"),
            reach * exposure.weather.level[None, :, :, None] * _open(exposure),
        )  # fmt: skip
        return RateTable(np.asarray(chemical + 3600.0 * light), "heat", None)


def _stored(exposure: Exposure, draws: Draws) -> Array:
    """Hours on the drum for each hour alongside, by the hours of the berths in a year, shape (s, 1, 1, 1) [-]."""
    alongside = sum({berth.name: berth.hours_per_year for berth in exposure.duty.berths}.values())
    return draws.of("hours_stored") / 3600.0 / max(alongside, 1.0)


def _at_air(exposure: Exposure, law: tuple[Array, Array]) -> Array:
    """Arrhenius factor of a rope at the air of each state, its mean over the hours, shape (s, J, 1, 1) [-]."""
    weather = exposure.weather
    factor = wear.arrhenius(law[0], weather.air[None, :, :, None], law[1])
    return np.asarray(np.sum(weather.weight[None, :, :, None] * factor, axis=2, keepdims=True))
