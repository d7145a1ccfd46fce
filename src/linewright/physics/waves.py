"""Wave spectra of a sea state: JONSWAP and, with a peakedness of 1, Pierson-Moskowitz or Bretschneider."""

from __future__ import annotations

import numpy as np
from scipy import special

from linewright.physics.spectra import Periods, Spectrum, moment
from linewright.physics.types import Array

POINTS = 1200
LOWEST, HIGHEST = 0.3, 8.0  # frequencies over that of the peak
WIDTH_BELOW, WIDTH_ABOVE = 0.07, 0.09  # of the peak
PEAK_GAUSS = np.polynomial.legendre.leggauss(80)


def jonswap(
    significant_height: float, peak_period: float, peakedness: float, frequency: Array | None = None
) -> Spectrum:
    """JONSWAP wave spectrum, scaled so that its variance is Hs^2/16.

    Parameters
    ----------
    significant_height : Hs; of a wave [m], so that the density is in [m2 s]
    peak_period : Tp [s]
    peakedness : gamma; 1 is the spectrum of Pierson-Moskowitz and Bretschneider [-]
    frequency : points, shape (n,); 1200 from 0.3/Tp to 8/Tp if not given [Hz]

    Returns
    -------
    density [fields]

    From
    ----
    S ~ f^-5 exp[-1.25 (f Tp)^-4] gamma^exp[-(f Tp - 1)^2/(2 s^2)], s 0.07 below and 0.09 above the peak
    (Hasselmann et al. 1973). Scaled by the variance of the linear pieces, not by 1 - 0.287 ln(gamma): check value
    SE-04. Cut at 8/Tp, Tz is 1 % longer than without an end, and m4 would grow without one: the cut matters to the rate
    of peaks of the wave itself, hardly to a tension that answers slow waves.
    """
    if not (significant_height >= 0.0 and peak_period > 0.0 and peakedness >= 1.0):
        raise ValueError(
            f"height {significant_height:g} must not be below zero, peak period {peak_period:g} must be above zero, "
            f"peakedness {peakedness:g} at least 1"
        )
    points = _wave_frequencies(peak_period) if frequency is None else np.asarray(frequency, dtype=np.float64)
    raw = Spectrum(points, _jonswap_shape(points * peak_period, peakedness))
    variance = moment(raw, 0)
    if not variance > 0.0:
        raise ValueError("no variance at the frequencies given")
    return Spectrum(points, raw.density * (significant_height**2 / 16.0 / variance))


def _wave_frequencies(peak_period: float) -> Array:
    return np.unique(np.r_[np.geomspace(LOWEST, HIGHEST, POINTS), 1.0]) / peak_period


def _jonswap_shape(ratio: Array, peakedness: float) -> Array:
    """Density over frequency ratio to the peak, without its scale."""
    x = np.maximum(ratio, 1e-3)  # exp(-1.25e12) is zero
    width = np.where(x <= 1.0, WIDTH_BELOW, WIDTH_ABOVE)
    return np.asarray(x**-5.0 * np.exp(-1.25 * x**-4.0) * peakedness ** np.exp(-0.5 * ((x - 1.0) / width) ** 2))


def jonswap_moment(peakedness: float, order: int) -> float:
    """Moment of the JONSWAP shape without cut-off, the integral of x^n S(x) over x = f Tp.

    Parameters
    ----------
    peakedness : gamma [-]
    order : n, from -1 to 3 [-]

    Returns
    -------
    moment, 1/5 for gamma 1 and n = 0 [-]

    From
    ----
    gamma 1: 1.25^((n-4)/4) Gamma(1 - n/4)/4, by u = x^-4; the rest, (gamma^r - 1), is narrow and
    integrated with 80 Gauss points on either side of the peak. Check values SE-01, SE-03, SE-04.
    """
    if not -1 <= order <= 3:
        raise ValueError(f"order must be from -1 to 3, beyond that the integral is infinite; read {order}")
    total = 0.25 * 1.25 ** ((order - 4) / 4.0) * float(special.gamma(1.0 - order / 4.0))
    nodes, weights = PEAK_GAUSS
    for low, high in ((1.0 - 8.0 * WIDTH_BELOW, 1.0), (1.0, 1.0 + 8.0 * WIDTH_ABOVE)):
        x = 0.5 * (low + high) + 0.5 * (high - low) * nodes
        excess = _jonswap_shape(x, peakedness) - _jonswap_shape(x, 1.0)
        total += 0.5 * (high - low) * float(np.sum(weights * x**order * excess))
    return total


def jonswap_normaliser(peakedness: float) -> float:
    """Factor that gives the JONSWAP shape the variance of Pierson-Moskowitz.

    Parameters
    ----------
    peakedness : gamma [-]

    Returns
    -------
    factor, 1 for gamma 1 [-]

    From
    ----
    Ratio of `jonswap_moment` of order 0; check value SE-04. 1 - 0.287 ln(gamma) is within 0.25 % of it.
    """
    return 0.2 / jonswap_moment(peakedness, 0)


def jonswap_periods(peakedness: float) -> Periods:
    """Periods of a JONSWAP spectrum without cut-off, over its peak period.

    Parameters
    ----------
    peakedness : gamma [-]

    Returns
    -------
    periods of a peak period of 1 s, so each is a ratio to Tp [fields]

    From
    ----
    `jonswap_moment`; check values SE-01, SE-03.
    """
    before, zero, one, two = (jonswap_moment(peakedness, order) for order in (-1, 0, 1, 2))
    return Periods(1.0, float(np.sqrt(zero / two)), zero / one, before / zero)
