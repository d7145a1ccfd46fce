"""Time histories of a spectrum, seeded, and rainflow on them as the referee of the spectral methods."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from linewright.physics import cycles
from linewright.physics.spectra import Spectrum, moment, variance_below
from linewright.physics.types import Array

Amplitudes = Literal["random", "fixed"]
LEFT_OUT = 0.01  # largest share of the variance above the highest frequency that a step can carry


@dataclass(frozen=True)
class Refereed:
    """Damage rates of several histories of one spectrum.

    Attributes
    ----------
    rate : mean damage per second [1/s]
    spread : standard deviation between histories, over the mean [-]
    standard_error : of the mean, over the mean [-]
    lowest : smallest rate of a history [1/s]
    highest : largest rate of a history [1/s]
    histories : number of them [-]
    duration : of each [s]
    """

    rate: float
    spread: float
    standard_error: float
    lowest: float
    highest: float
    histories: int
    duration: float


def realise(
    spectrum: Spectrum, step: float, number: int, generator: np.random.Generator, amplitudes: Amplitudes = "random"
) -> Array:
    """A Gaussian history of a spectrum, about zero.

    Parameters
    ----------
    spectrum : density [fields]
    step : time between values [s]
    number : values, even [-]
    generator : random numbers, from a seed [-]
    amplitudes : `random`: every component has its own Rayleigh amplitude, so that the variance of a short history
        scatters as that of the sea does; `fixed`: only phases are random and the variance is that of the spectrum [-]

    Returns
    -------
    values, shape (number,) [N]

    From
    ----
    x = sum A_k cos(2 pi f_k t + phi_k), f_k = k/(number step), mean square of A_k twice the variance of the spectrum
    within half a frequency step of f_k; summed by an inverse Fourier transform.
    """
    if number < 2 or number % 2:
        raise ValueError(f"a history needs an even number of values; read {number}")
    if amplitudes not in ("random", "fixed"):
        raise ValueError(f"no amplitudes {amplitudes!r}; there are: random, fixed")
    variance = _line_variances(spectrum, step, number)
    if amplitudes == "random":
        lines = np.sqrt(variance) * (generator.normal(size=variance.size) + 1j * generator.normal(size=variance.size))
    else:
        lines = np.sqrt(2.0 * variance) * np.exp(2j * np.pi * generator.random(variance.size))
    return np.asarray(np.fft.irfft(np.r_[0.0, 0.5 * number * lines, 0.0], number))


def _line_variances(spectrum: Spectrum, step: float, number: int) -> Array:
    """Variance within half a frequency step of each line below the highest frequency that the step can carry."""
    spacing = 1.0 / (number * step)
    edges = np.asarray((np.arange(number // 2) + 0.5) * spacing, dtype=np.float64)
    below = variance_below(spectrum, edges)
    left_out = 1.0 - float(below[-1] - below[0]) / moment(spectrum, 0)
    if left_out > LEFT_OUT:
        raise ValueError(
            f"{100.0 * left_out:.1f} % of the variance lies outside {0.5 * spacing:.3g} to {0.5 / step:.3g} Hz: "
            "take a shorter step or more values"
        )
    return np.asarray(np.diff(below))


def referee(
    spectrum: Spectrum,
    curve: tuple[float, float],
    step: float,
    number: int,
    seeds: range,
    amplitudes: Amplitudes = "random",
) -> Refereed:
    """Damage of rainflow counts of seeded histories, and how much it differs from one to the next.

    Parameters
    ----------
    spectrum : density [fields]
    curve : exponent m and constant K of N R^m = K on the range [-]
    step : time between values [s]
    number : values of a history, even [-]
    seeds : one history each, two or more [-]
    amplitudes : random or fixed, as in `realise` [-]

    Returns
    -------
    damage rates [fields]

    From
    ----
    ASTM E1049-85 on `realise`; the referee of narrow-band, Dirlik and Tovo-Benasciutti.
    Crests between values are lost: with n values in a period the mean range is (pi/n)^2/6 low, 0.16 % at n = 32.
    """
    exponent, constant = curve
    if len(seeds) < 2:
        raise ValueError("a spread needs two histories or more")
    rates = np.empty(len(seeds))
    for index, seed in enumerate(seeds):
        rows = cycles.rainflow(realise(spectrum, step, number, np.random.default_rng(seed), amplitudes))
        rates[index] = np.sum(rows[:, 2] * rows[:, 0] ** exponent) / (constant * number * step)
    mean, spread = float(rates.mean()), float(rates.std(ddof=1))
    return Refereed(
        mean, spread / mean, spread / mean / float(np.sqrt(rates.size)), float(rates.min()), float(rates.max()),
        rates.size, number * step,
    )  # fmt: skip
