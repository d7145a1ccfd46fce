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


def rate_factor(loss_per_decade: Real, duration: Real) -> Real:
    """Change of strength with the time that the load lasts, 1 - p log10(t / 10 s).

    Parameters
    ----------
    loss_per_decade : strength lost per decade of slower loading [-]
    duration : time under load; shorter than 1 s counts as 1 s [s]

    Returns
    -------
    factor, 1 at 10 s [-]

    From
    ----
    Slope of the activated flow law; none above about 0.1 1/s (seen as abstract). A wave crest of a few
    seconds and a load of hours are two numbers.
    """
    return np.maximum(1.0 - loss_per_decade * np.log10(np.maximum(duration, 1.0) / TEST_DURATION), 0.05)


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
