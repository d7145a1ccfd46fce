"""Sea states and tensions as spectra: densities over frequency, their moments, periods and responses.

A density is linear between its points, so that moments are exact integrals of what is given. Two points at one
frequency are a step. Units are those of a tension; of a wave read m for N.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linewright.physics.types import Array

GAUSS = np.polynomial.legendre.leggauss(3)  # exact to the fifth power
BENT = 1e-3  # what the straight line over a part of a response may be off, of its variance, before it is made to agree
MOST_PARTS = 32


@dataclass(frozen=True)
class Spectrum:
    """One-sided density, linear between its points.

    Attributes
    ----------
    frequency : not falling, not below zero, shape (n,) [Hz]
    density : variance per frequency, not below zero, shape (n,) [N2 s]
    """

    frequency: Array
    density: Array

    def __post_init__(self) -> None:
        """Refuse what is no density."""
        frequency = np.asarray(self.frequency, dtype=np.float64)
        density = np.asarray(self.density, dtype=np.float64)
        if frequency.ndim != 1 or frequency.size < 2 or density.shape != frequency.shape:
            raise ValueError(
                f"frequency {frequency.shape} and density {density.shape}: give as many of both, two or more"
            )
        if not (np.isfinite(frequency).all() and np.isfinite(density).all()):
            raise ValueError("frequency and density must be finite numbers")
        if frequency[0] < 0.0 or (np.diff(frequency) < 0.0).any() or frequency[-1] <= frequency[0]:
            raise ValueError("frequencies must not be below zero and must rise; two equal ones are a step")
        if (density < 0.0).any():
            raise ValueError(f"density must not be below zero; read {density.min():g}")
        object.__setattr__(self, "frequency", frequency)
        object.__setattr__(self, "density", density)


@dataclass(frozen=True)
class Moments:
    """Moments of a density, integrals of f^n S.

    Attributes
    ----------
    minus_one : n = -1 [N2 s]
    zero : n = 0, the variance [N2]
    one : n = 1 [N2/s]
    two : n = 2 [N2/s2]
    four : n = 4 [N2/s4]
    """

    minus_one: float
    zero: float
    one: float
    two: float
    four: float


@dataclass(frozen=True)
class Periods:
    """Periods of a spectrum.

    Attributes
    ----------
    peak : Tp, of the highest density [s]
    zero_crossing : Tz = sqrt(m0/m2) [s]
    mean : T1 = m0/m1 [s]
    energy : Te = m-1/m0 [s]
    """

    peak: float
    zero_crossing: float
    mean: float
    energy: float


# --- moments ------------------------------------------------------------------------------------------


def moment(spectrum: Spectrum, order: int) -> float:
    """Moment of a density, the integral of f^n S.

    Parameters
    ----------
    spectrum : density [fields]
    order : n, from -1 to 4 [-]

    Returns
    -------
    moment, infinite for n = -1 if the density does not vanish at f = 0, as N2/s^n, for n = 0 [N2]

    From
    ----
    Three Gauss points a segment, exact for the polynomial f^n (a + b f) up to n = 4; n = -1 in logarithms.
    Check values SP-01, SP-03.
    """
    if order == -1:
        return _inverse_moment(spectrum)
    if not 0 <= order <= 4:
        raise ValueError(f"order must be from -1 to 4; read {order}")
    return float(_segment_moments(spectrum, order).sum())


def _segment_moments(spectrum: Spectrum, order: int) -> Array:
    """Moment of each segment between neighbouring points."""
    f, s = spectrum.frequency, spectrum.density
    nodes, weights = GAUSS
    half, middle = 0.5 * np.diff(f), 0.5 * (f[1:] + f[:-1])
    at = middle[:, None] + half[:, None] * nodes
    density = 0.5 * (s[1:] + s[:-1])[:, None] + 0.5 * np.diff(s)[:, None] * nodes
    return np.asarray(half * np.sum(weights * at**order * density, axis=1))


def _inverse_moment(spectrum: Spectrum) -> float:
    """Integral of S/f. On a segment from a, with x = length/a: S_a ln(1+x) + dS [1 - ln(1+x)/x]."""
    f, s = spectrum.frequency, spectrum.density
    keep = np.diff(f) > 0.0
    begin, length = f[:-1][keep], np.diff(f)[keep]
    first, rise = s[:-1][keep], np.diff(s)[keep]
    if begin[0] == 0.0 and first[0] > 0.0:
        return float("inf")
    at_zero = float(rise[0]) if begin[0] == 0.0 else 0.0
    inside = begin > 0.0
    x = length[inside] / begin[inside]
    log = np.log1p(x)
    return at_zero + float(np.sum(first[inside] * log + rise[inside] * (1.0 - log / x)))


def moments(spectrum: Spectrum) -> Moments:
    """Moments -1, 0, 1, 2 and 4 of a density.

    Parameters
    ----------
    spectrum : density [fields]

    Returns
    -------
    moments [fields]

    From
    ----
    As `moment`; check values SP-01, SP-03.
    """
    return Moments(*(moment(spectrum, order) for order in (-1, 0, 1, 2, 4)))


def periods(spectrum: Spectrum) -> Periods:
    """Peak, zero-crossing, mean and energy period of a density.

    Parameters
    ----------
    spectrum : density with some variance [fields]

    Returns
    -------
    periods; a flat top has its peak in the middle [fields]

    From
    ----
    Definitions; check value SE-01.
    """
    found = moments(spectrum)
    if not found.zero > 0.0:
        raise ValueError("a spectrum without variance has no periods")
    highest = spectrum.frequency[spectrum.density == spectrum.density.max()]
    return Periods(
        1.0 / float(0.5 * (highest[0] + highest[-1])),
        float(np.sqrt(found.zero / found.two)), found.zero / found.one, found.minus_one / found.zero,
    )  # fmt: skip


def share_outside(spectrum: Spectrum, low: float, high: float) -> float:
    """Share of the variance outside a band of frequencies.

    Parameters
    ----------
    spectrum : density with some variance [fields]
    low, high : ends of the band [Hz]

    Returns
    -------
    share, 0 to 1 [-]

    From
    ----
    Definition.
    """
    inside = np.diff(variance_below(spectrum, np.array([low, high])))[0]
    return float(1.0 - inside / moment(spectrum, 0))


def variance_below(spectrum: Spectrum, frequency: Array) -> Array:
    """Variance below some frequencies.

    Parameters
    ----------
    spectrum : density [fields]
    frequency : shape (m,) [Hz]

    Returns
    -------
    variance, shape (m,) [N2]

    From
    ----
    Integral of the linear pieces, S_a d + (dS/df) d^2/2.
    """
    f, s = spectrum.frequency, spectrum.density
    summed = np.r_[0.0, np.cumsum(_segment_moments(spectrum, 0))]
    at = np.clip(np.asarray(frequency, dtype=np.float64), f[0], f[-1])
    index = np.clip(np.searchsorted(f, at, side="right") - 1, 0, f.size - 2)
    length, inside = f[index + 1] - f[index], at - f[index]
    slope = np.where(length > 0.0, (s[index + 1] - s[index]) / np.where(length > 0.0, length, 1.0), 0.0)
    return np.asarray(np.where(at >= f[-1], summed[-1], summed[index] + s[index] * inside + 0.5 * slope * inside**2))


# --- sums and responses -------------------------------------------------------------------------------


def band(low: float, high: float, variance: float) -> Spectrum:
    """Flat density between two frequencies: a long wave of 30 to 300 s is a band from 1/300 to 1/30 Hz.

    Parameters
    ----------
    low, high : ends [Hz]
    variance : of the band; Hs^2/16 of a wave [N2]

    Returns
    -------
    density [fields]

    From
    ----
    Definition.
    """
    level = variance / (high - low) if high > low else np.inf
    return Spectrum(np.array([low, high]), np.array([level, level]))


def combined(*spectra: Spectrum) -> Spectrum:
    """Sum of independent parts, such as swell, wind sea and long wave.

    Parameters
    ----------
    spectra : parts, at least one [fields]

    Returns
    -------
    density on all their frequencies, each twice: its value from below and from above [fields]

    From
    ----
    Variances of independent parts add; the sum of linear pieces is linear between all their points, so exact.
    """
    points = np.unique(np.concatenate([part.frequency for part in spectra]))
    density = np.sum([_between(part, points) for part in spectra], axis=0)
    return Spectrum(np.repeat(points, 2)[1:-1], density)


def _between(spectrum: Spectrum, points: Array) -> Array:
    """Density at both ends of every gap between points, seen from inside; zero where it is not given."""
    f, s = spectrum.frequency, spectrum.density
    low, high = points[:-1], points[1:]
    index = np.searchsorted(f, low, side="right") - 1
    inside = (index >= 0) & (index < f.size - 1)
    index = np.clip(index, 0, f.size - 2)
    length = np.where(inside, f[index + 1] - f[index], 1.0)
    slope = (s[index + 1] - s[index]) / length
    ends = np.stack([s[index] + slope * (at - f[index]) for at in (low, high)], axis=1)
    return np.asarray(np.maximum(np.where(inside[:, None], ends, 0.0), 0.0).ravel())


def respond(spectrum: Spectrum, frequency: Array, gain: Array) -> Spectrum:
    """Spectrum of a linear response, |H|^2 S.

    Parameters
    ----------
    spectrum : of the cause, such as a wave [fields]
    frequency : where the gain is given, rising, shape (n,) [Hz]
    gain : |H|, response amplitude over amplitude of the cause, linear between, zero outside; per metre of wave [N/m]

    Returns
    -------
    density of the response; its variance is exact on every piece [fields]

    From
    ----
    Linear filter of a stationary process. Density and gain are linear, so S |H|^2 is a cubic and Simpson's rule exact.
    A piece that bends is cut into parts, and a part's straight line scaled to the part's own variance.
    What the table of gains leaves out is `share_outside`.
    """
    at, size = np.asarray(frequency, dtype=np.float64), np.asarray(gain, dtype=np.float64)
    if at.shape != size.shape or at.size < 2 or not (np.diff(at) > 0.0).all() or not (size >= 0.0).all():
        raise ValueError("gains need as many rising frequencies, two or more, and must not be below zero")
    points = np.unique(np.r_[spectrum.frequency, at])
    _, straight, exact = _response_ends(spectrum, at, size, points)
    bend = np.abs(straight - exact) / np.where(exact > 0.0, exact, 1.0)
    parts = np.minimum(np.ceil(np.sqrt(bend / BENT)), MOST_PARTS).astype(int)
    cuts = [np.linspace(points[n], points[n + 1], parts[n] + 1)[1:-1] for n in np.flatnonzero(parts > 1)]
    points = np.unique(np.concatenate([points, *cuts]))
    ends, straight, exact = _response_ends(spectrum, at, size, points)
    factor = np.divide(exact, straight, out=np.zeros_like(exact), where=straight > 0.0)
    return Spectrum(np.repeat(points, 2)[1:-1], (ends * factor[:, None]).ravel())


def _response_ends(spectrum: Spectrum, at: Array, size: Array, points: Array) -> tuple[Array, Array, Array]:
    """S |H|^2 at both ends of every gap between points, and its mean: of the straight line, and exact."""
    low, high = points[:-1], points[1:]
    covered = (low >= at[0]) & (high <= at[-1])
    gains = np.stack([np.interp(low, at, size), np.interp(high, at, size)], axis=1) * covered[:, None]
    densities = _between(spectrum, points).reshape(-1, 2)
    ends = densities * gains**2
    straight, middle = ends.mean(axis=1), densities.mean(axis=1) * gains.mean(axis=1) ** 2
    return ends, straight, (straight + 2.0 * middle) / 3.0


def through_stiffness(motion: Spectrum, stiffness: float) -> Spectrum:
    """Tension spectrum of an imposed motion, k^2 S.

    Parameters
    ----------
    motion : spectrum of the fairlead's motion along the line, density in [m2 s] [fields]
    stiffness : k of line and tail [N/m]

    Returns
    -------
    density of the tension [fields]

    From
    ----
    F = k x at every frequency.
    """
    return Spectrum(motion.frequency, motion.density * stiffness**2)
