"""Axial compression: cycles whose trough is near zero tension."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from linewright.assessment.draws import Draws
from linewright.assessment.exposure import Exposure, RateTable
from linewright.assessment.slack import slack_shares


class Compression:
    """The failure that visual inspection misses."""

    name = "compression"

    def needs(self, words: Mapping[str, str]) -> tuple[str, ...]:
        """Cycle limit, trough and range that count, and the construction's weight."""
        return (
            "compression_cycles", "compression_trough", "compression_range", "compression_weight",
            "compression_unit_strength",
        )  # fmt: skip

    def rate(self, exposure: Exposure, draws: Draws) -> RateTable:
        """Cycles per hour that go slack and come back taut, weighted for the construction."""
        duty = exposure.duty
        unit = -np.log(draws.of("compression_unit_strength", 1))
        force = draws.of("design_break_force", 1)
        limits = draws.of("compression_trough", 1) * force, draws.of("compression_range", 1) * force
        share = slack_shares(duty.slack, *limits)
        weight = draws.of("compression_weight", 2) / draws.of("compression_cycles", 2)
        damage = np.where(duty.swing > 0.0, duty.cycles_per_hour * share, 0.0) * weight
        return RateTable(damage[..., None, None] * unit.reshape(-1, 1, 1, 1), "everywhere", unit)
