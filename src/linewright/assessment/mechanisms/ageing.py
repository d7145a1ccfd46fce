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
    """Hours alongside only; time on the drum is not counted."""

    name = "ageing"

    def needs(self, words: Mapping[str, str]) -> tuple[str, ...]:
        """Oven and outdoor data of the fibre."""
        return ("ageing_loss", "ageing_activation_energy", "ageing_reference_temperature",
                "uv_yarn_loss", "uv_depth", "uv_year_dose")  # fmt: skip

    def rate(self, exposure: Exposure, draws: Draws) -> RateTable:
        """Arrhenius rate at the mean section temperature plus the sunlight of the hour."""
        factor = wear.arrhenius(
            draws.of("ageing_activation_energy"),
            exposure.temperatures.mean,
            draws.of("ageing_reference_temperature"),
        )
        chemical = draws.of("ageing_loss") / YEAR_HOURS * factor
        reach = draws.of("uv_cover") if draws.has("uv_cover") else 1.0
        light = wear.sunlight_loss_rate(
            draws.of("uv_yarn_loss"), draws.of("uv_year_dose"), draws.of("uv_depth"), draws.of("diameter"),
            reach * exposure.weather.level[None, :, :, None] * _open(exposure),
        )  # fmt: skip
        return RateTable(np.asarray(chemical + 3600.0 * light), "heat", None)
