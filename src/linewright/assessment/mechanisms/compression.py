"""Axial compression: cycles whose trough is near zero tension."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from linewright.assessment.draws import Draws
from linewright.assessment.exposure import Exposure, RateTable
from linewright.assessment.record import Troughs
from linewright.physics.types import Array


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


def slack_shares(slack: Troughs, trough: Array, least: Array) -> Array:
    """Share of the cycles of J states with a trough below `trough` and a range of `least` or more, shape (N, J).

    Limits have the shape (N,) [N]. Smaller ranges are a sensor's noise on a slack line: the strands do not come taut.
    """
    below = (
        np.sum(weight * ((low < trough[:, None]) & (span >= least[:, None])), axis=1)
        for low, span, weight in zip(slack.trough, slack.range, slack.weight, strict=True)
    )
    return np.stack(list(below), axis=1)
