"""A line in a sea state: the spectrum of its tension or motion, as cycles, and what other methods would say."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from linewright.assessment.record import BINS, bins_of
from linewright.base.errors import InputError, Problem
from linewright.case.model import Response, State, Tension, Wave
from linewright.importers.curves import Curve
from linewright.physics import cycles, realisation, spectra, spectral_fatigue, waves
from linewright.physics.spectra import Moments, Spectrum
from linewright.physics.types import Array

Curves = Mapping[str, Curve]
SEEDS = range(16)
VALUES = 2**15  # of a history
PER_PERIOD = 8.0  # values in the shortest period that matters
TAIL = 0.002  # share of the variance in quicker waves, which play no part
ONE_BAND = 0.8  # m1/sqrt(m0 m2) below which a spectrum has bands apart
EXPONENTS = (5.0, 9.0)  # slopes of fatigue curves at which methods are held against each other
LEFT_OUT = 0.02  # share of a sea's variance beyond a table of responses that is worth a word


@dataclass(frozen=True)
class Answer:
    """What a line does in a sea, in its own unit: tension [N], or motion along the line [m].

    deviation of the unit; mean zero-crossing period [s]; 64 amplitudes and the offsets of their means, both over the
    deviation, with weights adding to 1; cycles a second by the method named; is_motion.
    """

    deviation: float
    zero_crossing: float
    amplitudes: Array
    offsets: Array
    weights: Array
    rate: float
    is_motion: bool


def answer(state: State, tension: Tension, curves: Curves) -> Answer:
    """The answer of a line to the sea of a state."""
    response = tension.response
    assert response is not None
    spectrum, is_motion = spectrum_of(state, response, curves, tension.where)
    moments = spectra.moments(spectrum)
    if moments.zero <= 0.0:
        return Answer(0.0, np.inf, np.zeros(BINS), np.zeros(BINS), np.full(BINS, 1.0 / BINS), 0.0, is_motion)
    deviation = float(np.sqrt(moments.zero))
    zero_crossing = spectra.periods(spectrum).zero_crossing
    if response.method == "histories":
        offsets, amplitudes, weights, rate = _counted(spectrum)
        return Answer(deviation, zero_crossing, amplitudes / deviation, offsets / deviation, weights, rate, is_motion)
    table = spectral_fatigue.cycle_table(spectral_fatigue.METHODS[response.method](moments))
    rate = table.count_per_hour / 3600.0
    return Answer(
        deviation, zero_crossing, table.amplitudes / deviation, np.zeros(BINS), table.weights, rate, is_motion
    )


def _counted(spectrum: Spectrum) -> tuple[Array, Array, Array, float]:
    """Offsets, amplitudes, weights and cycles a second of rainflow counts of seeded histories."""
    step, number = _length(spectrum)
    rows = [cycles.rainflow(realisation.realise(spectrum, step, number, np.random.default_rng(seed))) for seed in SEEDS]
    whole = np.concatenate(rows)
    offsets, amplitudes, weights = bins_of(whole)
    return offsets, amplitudes, weights, float(whole[:, 2].sum()) / (len(SEEDS) * number * step)


def _length(spectrum: Spectrum) -> tuple[float, int]:
    """Step [s] that follows the quickest waves that matter, and an even number of values of a long history."""
    total = spectra.moment(spectrum, 0)
    ends = spectrum.frequency[spectra.variance_below(spectrum, spectrum.frequency) >= (1.0 - TAIL) * total]
    highest = float(ends[0]) if ends.size else float(spectrum.frequency[-1])
    return 1.0 / (PER_PERIOD * highest), VALUES


def spectrum_of(state: State, response: Response, curves: Curves, where: str) -> tuple[Spectrum, bool]:
    """Spectrum of the tension [N2/Hz] or of the motion along the line [m2/Hz], and whether it is a motion.

    Raises InputError for a file of another kind.
    """
    if response.spectrum:
        curve = _of_kind(curves[response.spectrum], ("spectrum of tension", "wave or motion"), response.spectrum, where)
        return Spectrum(curve.frequency, curve.values), curve.kind != "spectrum of tension"
    sea = sea_of(state, curves, where)
    if response.file:
        curve = _of_kind(curves[response.file], ("tension per wave", "motion per wave"), response.file, where)
        return spectra.respond(sea, curve.frequency, curve.values), curve.kind == "motion per wave"
    gain = response.tension if response.tension is not None else response.motion or 0.0
    return Spectrum(sea.frequency, sea.density * gain**2), response.tension is None


def _of_kind(curve: Curve, kinds: tuple[str, ...], file: str, where: str) -> Curve:
    if curve.kind not in kinds:
        raise InputError(f"{file} is of another kind.", [Problem(f"{where}  {file}", curve.kind, " or ".join(kinds))])
    return curve


def sea_of(state: State, curves: Curves, where: str = "") -> Spectrum:
    """Wave spectrum of a state [m2/Hz]. Raises InputError for a file of another kind."""
    if state.sea_file:
        curve = _of_kind(curves[state.sea_file], ("wave or motion",), state.sea_file, where)
        return Spectrum(curve.frequency, curve.values)
    return spectra.combined(*(_part(wave) for wave in state.sea))


def _part(wave: Wave) -> Spectrum:
    if wave.band is None:
        return waves.jonswap(wave.height, wave.period, wave.peakedness)
    shortest, longest = wave.band
    return spectra.band(1.0 / longest, 1.0 / shortest, wave.height**2 / 16.0)


def files_of(state: State, tension: Tension) -> tuple[str, ...]:
    """Files of curves that a tension needs."""
    response = tension.response
    if response is None:
        return ()
    own = (response.spectrum,) if response.spectrum else (response.file, state.sea_file)
    return tuple(name for name in own if name)


def other_methods(state: State, tension: Tension, curves: Curves) -> str:
    """The method used, and the damage of the others over its own, in words."""
    response = tension.response
    assert response is not None
    moments = spectra.moments(spectrum_of(state, response, curves, tension.where)[0])
    if moments.zero <= 0.0:
        return ""
    if response.method == "histories":
        return f"cycles by rainflow (ASTM E1049-85) of {len(SEEDS)} seeded histories of {VALUES} values"
    others = [name for name in spectral_fatigue.METHODS if name != response.method]
    parts = [f"{name} {_times(moments, name, response.method)}" for name in others]
    slopes = " and ".join(f"{m:.0f}" for m in EXPONENTS)
    return f"cycles by {response.method}; damage at slopes {slopes} would be {', '.join(parts)} times that"


def _times(moments: Moments, one: str, other: str) -> str:
    """Damage of one method over another at the slopes, in words."""
    return " and ".join(f"{_ratio(moments, one, other, exponent):.2g}" for exponent in EXPONENTS)


def _ratio(moments: Moments, one: str, other: str, exponent: float) -> float:
    first, second = (
        spectral_fatigue.damage_rate(spectral_fatigue.METHODS[name](moments), exponent, 1.0) for name in (one, other)
    )
    return first / second


def has_bands_apart(state: State, tension: Tension, curves: Curves) -> bool:
    """Whether the closed forms are in doubt: a spectrum of bands apart, and cycles by one of them."""
    response = tension.response
    if response is None or response.method == "histories":
        return False
    moments = spectra.moments(spectrum_of(state, response, curves, tension.where)[0])
    return moments.zero > 0.0 and spectral_fatigue.shape(moments).alpha_one < ONE_BAND


def left_out(state: State, tension: Tension, curves: Curves) -> float:
    """Share of the sea's variance that a table of responses does not cover."""
    response = tension.response
    if response is None or not response.file:
        return 0.0
    curve = curves[response.file]
    return spectra.share_outside(sea_of(state, curves), float(curve.frequency[0]), float(curve.frequency[-1]))
