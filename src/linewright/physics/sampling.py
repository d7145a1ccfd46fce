"""Whether a record is sampled often enough to count its cycles."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from linewright.physics.spectra import Spectrum, periods
from linewright.physics.types import Array

SAMPLES_PER_PERIOD = 10.0


@dataclass(frozen=True)
class Sampling:
    """Verdict on a step against a period.

    Attributes
    ----------
    verdict : ok or too coarse [-]
    step : time between values [s]
    period : dominant period [s]
    samples_per_period : period over step [-]
    under_reading : largest share of a sine's amplitude that the step can hide; 1 from two samples a period down [-]
    """

    verdict: Literal["ok", "too coarse"]
    step: float
    period: float
    samples_per_period: float
    under_reading: float


def judge_sampling(step: float, period: float) -> Sampling:
    """Verdict: ten samples or more in the dominant period.

    A record cannot tell its own aliasing: a 10.5 s swell read every 10 s looks like one of 210 s. Give the period of
    the sea where it is known.

    Parameters
    ----------
    step : time between values [s]
    period : dominant period [s]

    Returns
    -------
    verdict [fields]

    From
    ----
    A crest lies at most half a step from a value, which then reads cos(pi step/period) of it: 1 - cos(pi/10) = 4.9 %
    for ten samples. From two samples a period down the cosine is zero or less: all may be hidden.
    """
    if not (0.0 < step < np.inf and 0.0 < period < np.inf):
        raise ValueError(f"step {step:g} s and period {period:g} s must be above zero")
    samples = period / step
    hidden = 1.0 - float(np.cos(np.pi / samples)) if samples > 2.0 else 1.0
    enough = samples >= SAMPLES_PER_PERIOD * (1.0 - 1e-9)
    return Sampling("ok" if enough else "too coarse", step, period, samples, hidden)


def crossing_period(history: Array, step: float) -> float:
    """Dominant period of a record from up-crossings of its mean.

    Parameters
    ----------
    history : values in time order, a step apart, shape (n,) [N]
    step : time between values [s]

    Returns
    -------
    mean time between up-crossings, infinite with fewer than two [s]

    From
    ----
    Definition of the zero-crossing period; crossings lie on straight lines between values.
    """
    values = np.asarray(history, dtype=np.float64)
    if not np.isfinite(values).all():
        raise ValueError("a value is not a finite number: split the history at its gaps")
    swing = values - values.mean() if values.size else values
    rise = np.flatnonzero((swing[:-1] < 0.0) & (swing[1:] >= 0.0))
    if rise.size < 2:
        return float("inf")
    at = rise + swing[rise] / (swing[rise] - swing[rise + 1])
    return float((at[-1] - at[0]) * step / (rise.size - 1))


def spectrum_period(spectrum: Spectrum) -> float:
    """Dominant period of a spectrum, that of its peak.

    Parameters
    ----------
    spectrum : density with some variance [fields]

    Returns
    -------
    period [s]

    From
    ----
    Definition.
    """
    return periods(spectrum).peak


def record_spectrum(history: Array, step: float, segments: int = 8) -> Spectrum:
    """Spectrum of a record, the mean over overlapping segments.

    Parameters
    ----------
    history : values in time order, a step apart, shape (n,), 16 per segment or more [N]
    step : time between values [s]
    segments : parts the record is cut into, each half over the next [-]

    Returns
    -------
    density at multiples of the inverse of a segment's length, the mean tension left out [fields]

    From
    ----
    Welch 1967, Hann window; SciPy.
    """
    from scipy import signal

    values = np.asarray(history, dtype=np.float64)
    length = 2 * values.size // (segments + 1)
    if length < 16:
        raise ValueError(f"{values.size} values are too few for {segments} segments")
    frequency, density = signal.welch(values, 1.0 / step, nperseg=length)
    return Spectrum(frequency, np.r_[0.0, np.maximum(density[1:], 0.0)])
