"""Axial compression: cycles whose trough is near zero tension."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from linewright.assessment.draws import Draws
from linewright.assessment.exposure import Exposure, RateTable


class Compression:
    """The failure that visual inspection misses."""

    name = "compression"

    def needs(self, words: Mapping[str, str]) -> tuple[str, ...]:
        """Cycle limit, trough and the construction's weight."""
        return ("compression_cycles", "compression_trough", "compression_weight", "compression_unit_strength")

    def rate(self, exposure: Exposure, draws: Draws) -> RateTable:
        """Cycles per hour with a trough below the limit, weighted for the construction."""
        duty = exposure.duty
        unit = -np.log(draws.of("compression_unit_strength", 1))
        trough = duty.centre - duty.amplitude
        limit = draws.of("compression_trough", 3) * draws.of("design_break_force", 3)
        share = np.sum(duty.weight * (trough < limit), axis=-1)
        weight = draws.of("compression_weight", 2) / draws.of("compression_cycles", 2)
        damage = np.where(duty.swing > 0.0, duty.cycles_per_hour * share, 0.0) * weight
        return RateTable(damage[..., None, None] * unit.reshape(-1, 1, 1, 1), "everywhere", unit)
