"""Tension fatigue and cumulative damage."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import special

from linewright.physics.types import Array, Real


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


@dataclass(frozen=True)
class Line:
    """A T-N line through endurance tests.

    Attributes
    ----------
    exponent : m [-]
    log_constant : log10 K of the mean line [-]
    scatter : standard deviation of log10 N about the line, n - 2 degrees of freedom [-]
    """

    exponent: float
    log_constant: float
    scatter: float

    def lowered(self, deviations: float) -> float:
        """Log10 K of the line that lies some standard deviations of log10 N lower."""
        return self.log_constant - deviations * self.scatter


def fitted_line(relative_ranges: Array, lives: Array) -> Line:
    """Line of log10 N on log10 R through endurance tests, by least squares.

    Parameters
    ----------
    relative_ranges : ranges over reference strength, three or more, not all equal, shape (n,) [-]
    lives : cycles to failure, shape (n,) [-]

    Returns
    -------
    the mean line and the scatter about it [fields]

    Raises
    ------
    ValueError
        if there are fewer than three tests or one range only: a line and its scatter need more.

    From
    ----
    Normal equations of a straight line; check value FA-13.
    """
    if len(relative_ranges) < 3 or np.ptp(relative_ranges) == 0.0:
        raise ValueError("a line and its scatter need three tests at two ranges or more")
    x, y = np.log10(relative_ranges), np.log10(lives)
    slope = float(np.sum((x - x.mean()) * (y - y.mean())) / np.sum(np.square(x - x.mean())))
    intercept = float(y.mean() - slope * x.mean())
    rest = y - intercept - slope * x
    return Line(-slope, intercept, float(np.sqrt(np.sum(np.square(rest)) / (len(x) - 2))))


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
