"""Creep: the thermally activated law of HMPE, log-time creep and stress rupture of the others."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy import special

from linewright.physics.types import BOLTZMANN, GAS_CONSTANT, Array, Flags, Real

HALVINGS = 14  # of the mean stress: to a ten-thousandth
CREST = 4.0  # standard deviations that a crest reaches; beyond them the closed form needs no care


@dataclass(frozen=True)
class Activated:
    """Constants of the activated law.

    Attributes
    ----------
    rate_constant : e0 [1/s]
    activation_energy : H [J/mol]
    volume : v [m3]
    crossover_stress : s1, above which v2 replaces v [Pa]
    high_stress_volume : v2 [m3]
    """

    rate_constant: Real
    activation_energy: Real
    volume: Real
    crossover_stress: Real
    high_stress_volume: Real


def creep_rate(law: Activated, stress: Real, temperature: Real) -> Real:
    """Plateau creep rate of fibre under constant stress.

    rate = e0 exp(-H/RT) sinh(sigma v/kT) up to s1, beyond it times exp[(sigma - s1) v2/kT]

    Parameters
    ----------
    law : constants of the law [1/s]
    stress : fibre stress, zero or above [Pa]
    temperature : fibre temperature [K]

    Returns
    -------
    creep rate [1/s]

    From
    ----
    Eyring 1936; H and v from the abstract of a 2020 molecular model; the break above s1 derived from
    the strength at 1e-2 1/s. Check values CR-01, CR-03.
    """
    slope = law.volume / (BOLTZMANN * temperature)
    low = np.minimum(stress, law.crossover_stress)
    beyond = np.maximum(stress - law.crossover_stress, 0.0) * law.high_stress_volume / (BOLTZMANN * temperature)
    heat = law.activation_energy / (GAS_CONSTANT * temperature)
    return _exp(_log_sinh(low * slope) + beyond + np.log(law.rate_constant) - heat)


def _exp(x: Real) -> Real:
    """Exponential held at a size that no rope reaches, so that absurd stresses stay finite."""
    return np.exp(np.minimum(x, 150.0))


def _log_sinh(x: Real) -> Real:
    safe = np.maximum(x, 1e-300)
    return safe + np.log(-np.expm1(-2.0 * safe)) - np.log(2.0)


def gaussian_factor(law: Activated, deviation: Real, temperature: Real) -> Real:
    """Rate averaged over a Gaussian stress over the rate at its mean, exp[(s v/kT)^2 / 2].

    Parameters
    ----------
    law : constants of the law [1/s]
    deviation : standard deviation of the stress [Pa]
    temperature : fibre temperature [K]

    Returns
    -------
    factor, 1 for a steady stress [-]

    From
    ----
    Mean of cosh over a normal variable; also the Rayleigh mean of I0. Validation: creep-cycle-average.
    """
    return _exp(0.5 * np.square(deviation * law.volume / (BOLTZMANN * temperature)))


def sine_factor(law: Activated, amplitude: Real, temperature: Real) -> Real:
    """Rate averaged over a sine stress over the rate at its mean, I0(sigma_a v/kT).

    Parameters
    ----------
    law : constants of the law [1/s]
    amplitude : half the stress range [Pa]
    temperature : fibre temperature [K]

    Returns
    -------
    factor, 1 for a steady stress [-]

    From
    ----
    Integral of exp over a cycle: modified Bessel function I0. Validation: creep-cycle-average.
    """
    x = amplitude * law.volume / (BOLTZMANN * temperature)
    return special.i0e(x) * _exp(np.abs(x))


def cycle_mean_rate(law: Activated, mean: Real, swing: tuple[Real, bool], temperature: Real) -> Real:
    """Creep rate averaged over cycles: closed form below s1, quadrature where crests pass it.

    Parameters
    ----------
    law : constants of the law [1/s]
    mean : mean fibre stress [Pa]
    swing : (amplitude, True) for a sine or (standard deviation, False) for a Gaussian stress [Pa]
    temperature : fibre temperature [K]

    Returns
    -------
    mean creep rate [1/s]

    From
    ----
    `sine_factor`, `gaussian_factor`; 31-point Gauss-Hermite or 16 phases above the crossover.
    """
    size, is_sine = swing
    factor, reach = (sine_factor, 1.0) if is_sine else (gaussian_factor, CREST)
    rate = np.asarray(creep_rate(law, mean, temperature) * factor(law, size, temperature))
    high = np.broadcast_to(np.asarray(mean + reach * size > law.crossover_stress), rate.shape)
    if high.any():
        rate[high] = _quadrature(law, mean, swing, temperature, high)
    return rate


def _quadrature(law: Activated, mean: Real, swing: tuple[Real, bool], temperature: Real, where: Flags) -> Array:
    """Mean rate of the marked elements by 16 phases of a sine or 31 Gauss-Hermite points."""
    size, is_sine = swing

    def pick(values: Real) -> Array:
        return np.broadcast_to(np.asarray(values), where.shape)[where]

    constants = (law.rate_constant, law.activation_energy, law.volume, law.crossover_stress, law.high_stress_volume)
    some = Activated(*(pick(value) for value in constants))
    if is_sine:
        points, weights = np.cos(np.pi * (np.arange(16) + 0.5) / 16.0), np.full(16, 1.0 / 16.0)
    else:
        nodes, raw = np.polynomial.hermite_e.hermegauss(31)
        points, weights = nodes, raw / raw.sum()
    middle, spread, kelvin = pick(mean), pick(size), pick(temperature)
    total = np.zeros(middle.size)
    for point, weight in zip(points, weights, strict=True):
        total += weight * creep_rate(some, np.maximum(middle + point * spread, 0.0), kelvin)
    return total


@dataclass(frozen=True)
class Network:
    """The second process, of the network beside the crystals: it takes a share of the stress.

    Attributes
    ----------
    rate_constant : e01 [1/s]
    activation_energy : H1 [J/mol]
    volume : v1, ten times that of the first or so [m3]
    """

    rate_constant: Real
    activation_energy: Real
    volume: Real


def network_stress(network: Network, rate: Real, temperature: Real) -> Real:
    """Stress that the network takes at a creep rate, (kT/v1) asinh(rate / (e01 exp(-H1/RT))).

    Parameters
    ----------
    network : constants of the second process [fields]
    rate : creep rate, zero or above [1/s]
    temperature : fibre temperature [K]

    Returns
    -------
    stress [Pa]

    From
    ----
    Two activated processes in parallel, Wilding and Ward 1981 and 1984 (from memory).
    """
    own = network.rate_constant * np.exp(-np.asarray(network.activation_energy) / (GAS_CONSTANT * temperature))
    return BOLTZMANN * temperature / network.volume * np.arcsinh(rate / own)


def behind_network(network: Network, mean: Real, temperature: Real, rate: Callable[[Real], Real]) -> Real:
    """Mean stress that the network leaves to the first process at the rate of both.

    Parameters
    ----------
    network : constants of the second process [fields]
    mean : mean fibre stress [Pa]
    temperature : fibre temperature [K]
    rate : creep rate [1/s] of the first process, averaged over the cycles, at a mean stress [Pa] [fields]

    Returns
    -------
    mean stress of the first process, zero or above [Pa]

    Assumes
    -------
    The network follows the mean rate, not each cycle: its stress goes with the logarithm of the rate. Its volume is
    larger than that of the first process, so that bisection finds the one stress where both creep alike.

    From
    ----
    mean = left + `network_stress` of rate(left).
    """
    low, high = np.zeros_like(np.asarray(mean + 0.0 * temperature)), np.asarray(mean + 0.0 * temperature)
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        too_fast = middle + network_stress(network, rate(middle), temperature) > mean
        low, high = np.where(too_fast, low, middle), np.where(too_fast, middle, high)
    return 0.5 * (low + high)


def stress_exponent(law: Activated, stress: Real, deviation: Real, temperature: Real) -> Real:
    """Rise of ln(rate) per unit of strain or lost area, x coth x + (s v/kT)^2 with x = sigma v/kT.

    Parameters
    ----------
    law : constants of the law [fields]
    stress : mean fibre stress [Pa]
    deviation : standard deviation of the stress [Pa]
    temperature : fibre temperature [K]

    Returns
    -------
    exponent g: rate(strain) = rate(0) exp(g strain) [-]

    From
    ----
    Derivative of the law and of its Gaussian mean with true stress sigma (1 + strain).
    """
    slope = law.volume / (BOLTZMANN * temperature)
    x = np.maximum(stress * slope, 1e-9)
    return x / np.tanh(x) + np.square(deviation * slope)


def log_time_strain(strain_per_decade: Real, time: Real, start: Real) -> Real:
    """Log-time creep, eps = c log10(t / t0).

    Parameters
    ----------
    strain_per_decade : c [-]
    time : time under load, at least the start [s]
    start : t0 [s]

    Returns
    -------
    creep strain [-]

    From
    ----
    Usual form for polyester and aramid; check value CR-10.
    """
    return strain_per_decade * np.log10(np.maximum(time, start) / start)


def rupture_time(load: Real, slope: Real, reference: float = 60.0) -> Array:
    """Time to stress rupture of a strength that falls by `slope` per decade, t_ref 10^((1 - load)/slope).

    Parameters
    ----------
    load : load over short-time break force [-]
    slope : strength lost per decade of time [-]
    reference : time at which the short-time strength holds [s]

    Returns
    -------
    time to rupture, at most 1e30 [s]

    From
    ----
    Straight line of strength against log time; slope of aramid from two sets of strand lifetimes.
    """
    return np.asarray(reference * np.power(10.0, np.minimum((1.0 - load) / slope, 28.0)))
