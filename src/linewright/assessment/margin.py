"""Strength at the hot hour over the tension expected then: for a wave crest and for the mean load."""

from __future__ import annotations

import numpy as np

from linewright.assessment.contact import wet_mix
from linewright.assessment.draws import Draws
from linewright.assessment.exposure import Exposure
from linewright.physics import section, strength
from linewright.physics.types import Array

LEAST_STRENGTH = 0.05  # of the 20 C strength; the slope is not carried below it
LEAST_TENSION = 1e-3  # of LDBF; a slack line's margin is 1000, not infinite


def margins(draws: Draws, exposure: Exposure) -> tuple[Array, Array]:
    """Margins of a new line in each state, shape (s, J): crest over highest, sustained over mean.

    The highest tension of a record has a band, the luck in its own. The crest lasts a quarter period and gets no credit
    for being quick; the sustained strength is that of a load held for the whole call.
    """
    duty = exposure.duty
    long = 3600.0 * duty.call_hours
    short = np.where(duty.swing > 0.0, 0.25 * duty.period, long)
    whole = draws.of("design_break_force", 2) * wet_mix(draws, "wet_strength", duty.wetness)
    shape = (draws.samples, len(duty.states))
    least = LEAST_TENSION * draws.data["design_break_force"].value
    highest, mean = np.maximum(duty.highest_at(draws.scores), least), np.maximum(duty.mean, least)
    crest = whole * _weakest(draws, exposure, np.maximum(short, strength.TEST_DURATION))
    held = whole * _weakest(draws, exposure, np.maximum(long, strength.TEST_DURATION))
    return np.broadcast_to(crest / highest, shape), np.broadcast_to(held / mean, shape)


def _weakest(draws: Draws, exposure: Exposure, duration: Array) -> Array:
    """Least product of strength at temperature and rate, and bend factor, over the places of the hot hour."""
    hot = exposure.temperatures
    core, mean = hot.core[:, :, 0], hot.mean[:, :, 0]
    factor = np.ones(core.shape)
    if draws.has("strength_factor"):
        points = section.section_points(core, mean)
        factor = strength.section_mean(draws.curve("strength_factor", points))
    if draws.has("strength_per_decade"):
        slope = draws.of("strength_per_decade", 3)
        factor = np.maximum(factor - strength.rate_loss(slope, mean, duration[None, :, None]), LEAST_STRENGTH)
    if draws.has("bend_strength"):
        for number, load in enumerate(exposure.loads):
            places = slice(3 * number, 3 * number + 3)
            factor[..., places] = factor[..., places] * draws.curve("bend_strength", load.ratio)[..., None]
    return np.asarray(factor.min(axis=-1))
