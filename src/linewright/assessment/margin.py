"""Strength at the hot hour over the tension expected then: for a wave crest and for the mean load."""

from __future__ import annotations

import numpy as np

from linewright.assessment.contact import wet_mix
from linewright.assessment.draws import Draws
from linewright.assessment.exposure import Exposure
from linewright.assessment.rope import Subject
from linewright.physics import section, strength
from linewright.physics.types import Array

LEAST_TENSION = 1e-3  # of LDBF; a slack line's margin is 1000, not infinite


def margins(subject: Subject, draws: Draws, exposure: Exposure) -> tuple[Array, Array]:
    """Margins of a new line in each state, shape (s, J): crest over highest, sustained over mean.

    The crest lasts a quarter period and gets no credit for being quick; the sustained strength is
    that of a load held for the whole call.
    """
    duty = exposure.duty
    factor = _weakest(subject, draws, exposure) * draws.of("design_break_force", 2)
    factor = factor * wet_mix(draws, "wet_strength", duty.wetness)
    slope = draws.of("strength_per_decade", 2) if draws.has("strength_per_decade") else np.zeros((1, 1))
    crest = np.minimum(strength.rate_factor(slope, 0.25 * duty.period[None, :]), 1.0)
    crest = np.where(duty.swing[None, :] > 0.0, crest, strength.rate_factor(slope, 3600.0 * duty.call_hours[None, :]))
    long = strength.rate_factor(slope, 3600.0 * duty.call_hours[None, :])
    shape = (draws.samples, len(duty.states))
    least = LEAST_TENSION * draws.data["design_break_force"].value
    highest, mean = np.maximum(duty.highest, least), np.maximum(duty.mean, least)
    return np.broadcast_to(factor * crest / highest, shape), np.broadcast_to(factor * long / mean, shape)


def _weakest(subject: Subject, draws: Draws, exposure: Exposure) -> Array:
    """Least product of temperature and bend factor over the places of the hot hour, shape (s, J)."""
    hot = exposure.temperatures
    core, mean = hot.core[:, :, 0], hot.mean[:, :, 0]
    points = section.section_points(core, mean)
    factor = (
        strength.section_mean(draws.curve("strength_factor", points))
        if draws.has("strength_factor")
        else np.ones(core.shape)
    )
    if draws.has("bend_strength"):
        for number, load in enumerate(exposure.loads):
            bend = draws.curve("bend_strength", load.ratio)
            for place in range(3 * number, 3 * number + 3):
                factor[..., place] = factor[..., place] * bend
    return np.asarray(factor.min(axis=-1))
