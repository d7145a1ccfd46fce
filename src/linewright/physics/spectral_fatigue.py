"""Cycles and damage of a Gaussian tension from the moments of its spectrum.

Every method is a mixture of amplitude distributions: Rayleigh parts and, for Dirlik, one exponential part. From the
mixture follow damage, densities and cycle tables alike. `METHODS` is the list and the dispatch.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy import special

from linewright.physics.spectra import Moments
from linewright.physics.types import Array

PANELS = 32
LARGEST = 8.0  # standard deviations
NARROW = 1e-6  # of 1 - alpha2, below which a spectrum is a single line


@dataclass(frozen=True)
class Shape:
    """Rates and bandwidth of a Gaussian process.

    Attributes
    ----------
    deviation : standard deviation [N]
    zero_crossing_rate : nu0 = sqrt(m2/m0), up-crossings of the mean [1/s]
    peak_rate : nup = sqrt(m4/m2) [1/s]
    alpha_one : m1/sqrt(m0 m2), 1 for a single line [-]
    alpha_two : m2/sqrt(m0 m4) = nu0/nup, 1 for a single line [-]
    """

    deviation: float
    zero_crossing_rate: float
    peak_rate: float
    alpha_one: float
    alpha_two: float


@dataclass(frozen=True)
class Mixture:
    """Cycles as a sum of amplitude distributions, part by part.

    Attributes
    ----------
    rates : cycles per second of each part, shape (p,) [1/s]
    scales : scale of its amplitude, sigma of a Rayleigh part, mean of the exponential one, shape (p,) [N]
    exponential : whether the first part is exponential; the others are Rayleigh [-]
    deviation : standard deviation of the tension [N]
    """

    rates: Array
    scales: Array
    exponential: bool
    deviation: float


@dataclass(frozen=True)
class CycleTable:
    """Amplitude bins of a spectrum.

    Attributes
    ----------
    amplitudes : half the ranges, shape (64,) [N]
    weights : shares of the cycles, adding to 1, shape (64,) [-]
    count_per_hour : cycles in an hour [-]
    """

    amplitudes: Array
    weights: Array
    count_per_hour: float


def shape(moments: Moments) -> Shape:
    """Rates and bandwidth from moments.

    Parameters
    ----------
    moments : of the tension's spectrum [fields]

    Returns
    -------
    rates and bandwidth [fields]

    From
    ----
    Rice 1944; check values SP-01, SP-03.
    """
    zero, one, two, four = moments.zero, moments.one, moments.two, moments.four
    if not (zero > 0.0 and two > 0.0 and four > 0.0):
        raise ValueError("a spectrum without variance has no cycles")
    return Shape(
        float(np.sqrt(zero)), float(np.sqrt(two / zero)), float(np.sqrt(four / two)),
        float(one / np.sqrt(zero * two)), float(two / np.sqrt(zero * four)),
    )  # fmt: skip


def narrow_band(moments: Moments) -> Mixture:
    """Cycles of a narrow-band tension: one Rayleigh part, at the rate of zero up-crossings.

    Parameters
    ----------
    moments : of the tension's spectrum [fields]

    Returns
    -------
    mixture [fields]

    From
    ----
    Miles 1954; check values SP-01, SP-03. Never below the damage of rainflow, 1.5 to 3 times it for two separate bands.
    """
    form = shape(moments)
    return Mixture(np.array([form.zero_crossing_rate]), np.array([form.deviation]), False, form.deviation)


def dirlik(moments: Moments) -> Mixture:
    """Cycles by Dirlik's fit to rainflow counts: an exponential and two Rayleigh parts, at the rate of peaks.

    Parameters
    ----------
    moments : of the tension's spectrum [fields]

    Returns
    -------
    mixture [fields]

    From
    ----
    Dirlik 1985, with xm = (m1/m0) sqrt(m2/m4); check values SP-01, SP-03.
    """
    form = shape(moments)
    alpha = form.alpha_two
    if 1.0 - alpha < NARROW:
        return narrow_band(moments)
    mean_frequency = form.alpha_one * alpha
    first = 2.0 * (mean_frequency - alpha**2) / (1.0 + alpha**2)
    rest = 1.0 - alpha - first + first**2
    inner = (alpha - mean_frequency - first**2) / rest
    second = rest / (1.0 - inner)
    third = 1.0 - first - second
    slope = 1.25 * (alpha - third - second * inner) / first
    return Mixture(
        form.peak_rate * np.array([first, second, third]),
        form.deviation * np.array([slope, abs(inner), 1.0]),
        True, form.deviation,
    )  # fmt: skip


def tovo_benasciutti(moments: Moments) -> Mixture:
    """Cycles between level crossings and ranges: a Rayleigh part of each, weighted by the bandwidth.

    Parameters
    ----------
    moments : of the tension's spectrum [fields]

    Returns
    -------
    mixture [fields]

    From
    ----
    Tovo 2002, with the weight of Benasciutti and Tovo 2005 (their second); check values SP-01, SP-03.
    """
    form = shape(moments)
    one, two = form.alpha_one, form.alpha_two
    if 1.0 - two < NARROW:
        return narrow_band(moments)
    inner = 1.112 * (1.0 + one * two - (one + two)) * np.exp(2.11 * two) + (one - two)
    weight = (one - two) * inner / (two - 1.0) ** 2
    return Mixture(
        np.array([weight * form.zero_crossing_rate, (1.0 - weight) * form.peak_rate]),
        form.deviation * np.array([1.0, two]),
        False, form.deviation,
    )  # fmt: skip


METHODS: dict[str, Callable[[Moments], Mixture]] = {
    "narrow-band": narrow_band,
    "Dirlik": dirlik,
    "Tovo-Benasciutti": tovo_benasciutti,
}


# --- what follows from a mixture ----------------------------------------------------------------------


def damage_rate(mixture: Mixture, exponent: float, constant: float) -> float:
    """Damage per second on a curve N R^m = K, R the range.

    Parameters
    ----------
    mixture : cycles of a method [fields]
    exponent : m [-]
    constant : K of ranges in the unit of the tension, N^m, as a number [-]

    Returns
    -------
    damage per second, 1 = failure [1/s]

    From
    ----
    Moments of the parts: Rayleigh (2 sqrt2 s)^m Gamma(1 + m/2), exponential (2 s)^m Gamma(1 + m).
    Check values SP-01, SP-03.
    """
    double = 2.0 * mixture.scales
    powers = np.power(np.sqrt(2.0) * double, exponent) * special.gamma(1.0 + 0.5 * exponent)
    if mixture.exponential:
        powers[0] = double[0] ** exponent * special.gamma(1.0 + exponent)
    return float(np.sum(mixture.rates * powers) / constant)


def range_constant(amplitude_constant: float, exponent: float) -> float:
    """K of N R^m = K on the range, from C of N = C a^-m on the amplitude a = R/2.

    Parameters
    ----------
    amplitude_constant : C [-]
    exponent : m [-]

    Returns
    -------
    K = C 2^m [-]

    From
    ----
    R = 2 a; check value SP-01.
    """
    return amplitude_constant * 2.0**exponent


def cycle_rate(mixture: Mixture) -> float:
    """Cycles per second.

    Parameters
    ----------
    mixture : cycles of a method [fields]

    Returns
    -------
    cycles per second [1/s]

    From
    ----
    Sum of the parts.
    """
    return float(mixture.rates.sum())


def range_density(mixture: Mixture, ranges: Array) -> Array:
    """Probability density of the ranges.

    Parameters
    ----------
    mixture : cycles of a method [fields]
    ranges : not below zero, shape (n,) [N]

    Returns
    -------
    density, its integral over all ranges is 1, shape (n,) [1/N]

    From
    ----
    Half the density of the amplitude R/2.
    """
    return 0.5 * _amplitude_rates(mixture, 0.5 * np.asarray(ranges, dtype=np.float64)) / cycle_rate(mixture)


def _amplitude_rates(mixture: Mixture, amplitudes: Array) -> Array:
    """Cycles per second and per newton of amplitude."""
    over = amplitudes[:, None] / mixture.scales
    density = over * np.exp(-0.5 * over**2) / mixture.scales
    if mixture.exponential:
        density[:, 0] = np.exp(-over[:, 0]) / mixture.scales[0]
    return np.asarray(density @ mixture.rates)


def cycle_table(mixture: Mixture) -> CycleTable:
    """Amplitude bins and their weights, two Gauss points in 32 panels up to 8 standard deviations.

    Parameters
    ----------
    mixture : cycles of a method [fields]

    Returns
    -------
    bins; a negative weight of a fit's parts is kept, so that its damage is kept [fields]

    From
    ----
    Quadrature of the density; panels grow from zero as u^2, for the small cycles of a wide band.
    """
    edges = LARGEST * (np.arange(PANELS + 1) / PANELS) ** 2
    half, middle = 0.5 * np.diff(edges), 0.5 * (edges[1:] + edges[:-1])
    nodes = (middle[:, None] + half[:, None] * np.array([-1.0, 1.0]) / np.sqrt(3.0)).ravel()
    amplitudes = nodes * mixture.deviation
    rates = _amplitude_rates(mixture, amplitudes) * np.repeat(half, 2) * mixture.deviation
    return CycleTable(amplitudes, rates / rates.sum(), 3600.0 * cycle_rate(mixture))
