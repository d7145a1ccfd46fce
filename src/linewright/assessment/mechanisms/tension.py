"""Tension fatigue: Miner over the cycle table, everywhere along the rope."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from linewright.assessment.draws import Draws, endurance_scatter
from linewright.assessment.exposure import Exposure, RateTable
from linewright.physics import fatigue
from linewright.physics.types import Real


class Tension:
    """Ranges are referred to the strength left after the other mechanisms."""

    name = "tension"

    def needs(self, words: Mapping[str, str]) -> tuple[str, ...]:
        """Curve, design factor and what damage 1 leaves."""
        return ("tension_fatigue_exponent", "tension_fatigue_constant", "tension_unit_strength")

    def rate(self, exposure: Exposure, draws: Draws) -> RateTable:
        """N R^m = K, of wire falling with the mean; the design factor divides the life, apart from the curve."""
        duty = exposure.duty
        unit = -np.log(draws.of("tension_unit_strength", 1))
        m, k = draws.of("tension_fatigue_exponent", 3), draws.of("tension_fatigue_constant", 3)
        factor = draws.of("tension_design_factor", 2) if draws.has("tension_design_factor") else np.ones((1, 1))
        relative = 2.0 * duty.amplitude / draws.of("design_break_force", 3)
        moment = np.sum(duty.weight * relative**m, axis=-1)
        constant: Real = k[..., 0]
        if draws.has("tension_fatigue_mean_slope"):
            mean = duty.mean[None, :] / draws.of("design_break_force", 2)
            constant = fatigue.wire_rope_constant(np.log10(constant), draws.of("tension_fatigue_mean_slope", 2), mean)
        damage = duty.cycles_per_hour * moment / constant * factor / endurance_scatter(draws, 2)
        at_new = damage[..., None, None] * unit.reshape(-1, 1, 1, 1)
        if exposure.words.get("tension_reference") == "at temperature" and draws.has("strength_factor"):
            at_new = at_new * draws.curve("strength_factor", exposure.temperatures.mean) ** -m[..., None]
        return RateTable(at_new, "everywhere", unit, strength_power=m.ravel())
