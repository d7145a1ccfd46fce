"""Creep: strain of the activated law over the retirement strain, or stress rupture of other fibres."""

from __future__ import annotations

import functools
from collections.abc import Mapping

import numpy as np

from linewright.assessment.draws import Draws
from linewright.assessment.exposure import Exposure, RateTable
from linewright.assessment.temperature import activated, fibre_stress
from linewright.physics import creep
from linewright.physics.section import GAUSS_WEIGHTS, section_points
from linewright.physics.types import Array, Real

_ACTIVATED = (
    "creep_rate_constant", "creep_activation_energy", "creep_activation_volume", "creep_crossover_stress",
    "creep_high_stress_volume", "creep_retirement_strain", "creep_unit_strength",
)  # fmt: skip
_NETWORK = ("creep_network_rate_constant", "creep_network_activation_energy", "creep_network_volume")


class Creep:
    """Damage 1 is the retirement strain (HMPE) or stress rupture (the others)."""

    name = "creep"

    def needs(self, words: Mapping[str, str]) -> tuple[str, ...]:
        """Keys of the law that the fibre follows."""
        return _ACTIVATED if words["creep_law"] == "activated" else ("rupture_slope", "creep_unit_strength")

    def rate(self, exposure: Exposure, draws: Draws) -> RateTable:
        """Cycle-averaged rate at the section temperature that the rope's section rule names."""
        unit = -np.log(draws.of("creep_unit_strength", 1))
        if exposure.words["creep_law"] != "activated":
            return RateTable(_rupture_rate(exposure, draws) * unit.reshape(-1, 1, 1, 1), "heat", unit)
        law = activated(draws, 4)
        mean = fibre_stress(draws, exposure.duty.mean, 4)
        points = _section_temperatures(exposure)
        temperature = points[0][1]
        if draws.has(*_NETWORK):
            network = creep.Network(*(draws.of(key) for key in _NETWORK))
            rate = functools.partial(_by_state, exposure, draws, law, temperature)
            mean = np.asarray(creep.behind_network(network, mean, temperature, rate))
        strain_rate = sum(weight * _by_state(exposure, draws, law, at, mean) for weight, at in points)
        damage = strain_rate * 3600.0 / draws.of("creep_retirement_strain")
        growth = creep.stress_exponent(law, mean, fibre_stress(draws, exposure.duty.deviation, 4), temperature)
        return RateTable(damage * unit.reshape(-1, 1, 1, 1), "heat", unit, growth=np.asarray(growth))


def _section_temperatures(exposure: Exposure) -> list[tuple[float, Array]]:
    """Weights and temperatures by the rope's section rule.

    `core` for braids; `equal strain` takes the mean, for hot fibres shed load; `equal stress` is the area
    mean of the rate, an upper bound.
    """
    hot = exposure.temperatures
    rule = exposure.words.get("creep_section", "core")
    if rule == "equal stress":
        points = section_points(hot.core, hot.mean)
        return [(float(weight), points[..., n]) for n, weight in enumerate(GAUSS_WEIGHTS)]
    return [(1.0, hot.mean if rule == "equal strain" else hot.core)]


def _by_state(exposure: Exposure, draws: Draws, law: creep.Activated, temperature: Array, mean: Real) -> Array:
    """Cycle-averaged creep rate; states with sine and with irregular tension each by its own form."""
    duty = exposure.duty
    swing = fibre_stress(draws, duty.swing, 4)
    spread = fibre_stress(draws, duty.deviation, 4)
    irregular = np.asarray(creep.cycle_mean_rate(law, mean, (spread, False), temperature))
    if not duty.is_sine.any():
        return irregular
    sine = creep.cycle_mean_rate(law, mean, (swing, True), temperature)
    return np.asarray(np.where(duty.is_sine[None, :, None, None], sine, irregular))


def _rupture_rate(exposure: Exposure, draws: Draws) -> Array:
    """Damage per hour by stress rupture at the mean tension, shape (s, J, 1, 1)."""
    load = exposure.duty.mean.reshape(1, -1, 1, 1) / draws.of("design_break_force")
    return np.asarray(3600.0 / creep.rupture_time(load, draws.of("rupture_slope")))
