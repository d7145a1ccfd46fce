"""Moist air: the dew point when the air warms and keeps its relative humidity."""

from __future__ import annotations

from linewright.base.units import ZERO_CELSIUS
from linewright.physics.types import Real

SLOPE, SHIFT = 17.625, 243.04  # of the Magnus form, [-] and [K]


def warmed_dew_point(air: Real, dew_point: Real, rise: Real) -> Real:
    """Dew point of air that warms at the same relative humidity.

    e_s(dew') / e_s(air + rise) = e_s(dew) / e_s(air), with e_s the pressure of saturation

    Parameters
    ----------
    air : air temperature before, 233 to 333 K [K]
    dew_point : dew point before, at most the air [K]
    rise : how much the air warms [K]

    Returns
    -------
    dew point in the warmer air [K]

    From
    ----
    Magnus form of Alduchov and Eskridge 1996, solved for the temperature.
    """
    exponent = _magnus(dew_point) - _magnus(air) + _magnus(air + rise)
    return ZERO_CELSIUS + SHIFT * exponent / (SLOPE - exponent)


def _magnus(temperature: Real) -> Real:
    celsius = temperature - ZERO_CELSIUS
    return SLOPE * celsius / (celsius + SHIFT)
