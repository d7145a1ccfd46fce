"""Tension fatigue and cumulative damage."""

from __future__ import annotations

import numpy as np
from scipy import special

from linewright.physics.types import Real


def cycles_to_failure(relative_range: Real, exponent: Real, constant: Real) -> Real:
    """Life of a T-N curve, N = K R^-m.

    Parameters
    ----------
    relative_range : tension range over reference strength, above zero [-]
    exponent : m [-]
    constant : K [-]

    Returns
    -------
    cycles to failure [-]

    From
    ----
    Form of the offshore mooring codes; check values FA-03, FA-07, FA-08.
    """
    return constant * np.power(relative_range, -np.asarray(exponent))


def wire_rope_constant(intercept: Real, slope: Real, mean_load: Real) -> Real:
    """K of a wire-rope T-N curve that falls with mean load, 10^(a - b Lm).

    Parameters
    ----------
    intercept : a [-]
    slope : b [-]
    mean_load : mean load over reference strength [-]

    Returns
    -------
    constant K [-]

    From
    ----
    API RP 2SK (2005) Table 3, read second-hand; check value FA-05.
    """
    return np.power(10.0, intercept - slope * np.asarray(mean_load))


def miner_damage(counts: Real, relative_ranges: Real, exponent: Real, constant: Real) -> Real:
    """Damage of a cycle table, sum of n / N(R) over the last axis.

    Parameters
    ----------
    counts : cycles, shape (..., B) [-]
    relative_ranges : ranges over reference strength, shape (..., B) [-]
    exponent : m [-]
    constant : K [-]

    Returns
    -------
    damage, 1 = failure, shape (...) [-]

    From
    ----
    Palmgren 1924, Miner 1945; check value FA-01.
    """
    return np.sum(np.asarray(counts) * np.power(relative_ranges, exponent), axis=-1) / constant


def equivalent_range(counts: Real, ranges: Real, exponent: float) -> Real:
    """Constant range of the same number of cycles and damage, (sum n R^m / sum n)^(1/m).

    Parameters
    ----------
    counts : cycles, shape (B,) [-]
    ranges : ranges, shape (B,) [N]
    exponent : m [-]

    Returns
    -------
    equivalent range [N]

    From
    ----
    Definition; check value FA-02.
    """
    n = np.asarray(counts)
    return float(np.power(np.sum(n * np.power(ranges, exponent)) / np.sum(n), 1.0 / exponent))


def narrow_band_damage(rate: Real, duration: Real, relative_deviation: Real, exponent: Real, constant: Real) -> Real:
    """Damage of a narrow-band Gaussian tension, nu T / K (2 sqrt2 sigma)^m Gamma(1 + m/2).

    Parameters
    ----------
    rate : cycles per second [1/s]
    duration : time [s]
    relative_deviation : standard deviation over reference strength [-]
    exponent : m [-]
    constant : K [-]

    Returns
    -------
    damage [-]

    From
    ----
    Rayleigh amplitudes (Miles 1954); check value FA-10.
    """
    moment = np.power(2.0 * np.sqrt(2.0) * relative_deviation, exponent) * special.gamma(
        1.0 + 0.5 * np.asarray(exponent)
    )
    return rate * duration * moment / constant
