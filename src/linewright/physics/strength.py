"""Strength at temperature, at a loading rate, and over a bend."""

from __future__ import annotations

import numpy as np

from linewright.physics.section import GAUSS_WEIGHTS
from linewright.physics.types import Array, Real

TEST_DURATION = 10.0  # [s] time to break in the strength-temperature tests, about 1e-2 1/s and 3 to 4 % strain


def section_mean(factor_at_points: Array) -> Array:
    """Area mean over the section of a factor known at the three Gauss points.

    Parameters
    ----------
    factor_at_points : shape (..., 3) [-]

    Returns
    -------
    area mean, shape (...) [-]

    From
    ----
    Gauss rule in (r/R)^2; parallel fibres share the load.
    """
    return np.asarray(factor_at_points @ GAUSS_WEIGHTS)


def rate_loss(loss_per_decade: Real, temperature: Real, duration: Real) -> Real:
    """Strength lost to slow loading, as a share of the 20 C strength, p (T/293) log10(t / 10 s).

    Parameters
    ----------
    loss_per_decade : share of the 20 C strength lost per decade of slower loading at 20 C [-]
    temperature : mean temperature of the section [K]
    duration : time under load; shorter than 1 s counts as 1 s [s]

    Returns
    -------
    share of the 20 C strength to take off, 0 at 10 s, negative for quicker loads [-]

    From
    ----
    Slope kT/v of the activated flow law: it rises with temperature and does not fall with the strength
    there. None above about 0.1 1/s (seen as abstract). A wave crest and a load of hours are two numbers.
    """
    return loss_per_decade * temperature / 293.15 * np.log10(np.maximum(duration, 1.0) / TEST_DURATION)


def efficiency_over_pin(ratio: Real) -> Real:
    """Static strength over a pin, 1 - 0.5 / sqrt(D/d).

    Parameters
    ----------
    ratio : D/d, at least 1 [-]

    Returns
    -------
    share of the straight strength [-]

    From
    ----
    Engineering rule of wire-sling tables (from memory); beside the card's own table as a check.
    """
    return 1.0 - 0.5 / np.sqrt(ratio)
