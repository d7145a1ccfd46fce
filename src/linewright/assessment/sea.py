"""A line in a sea state: the spectrum of its tension or motion, as cycles, and what other methods would say."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from linewright.assessment.record import BINS, bins_of
from linewright.assessment.slack import Troughs, troughs_of
from linewright.base.errors import InputError, Problem
from linewright.case.model import Response, State, Tension, Wave
from linewright.importers.curves import Curve
from linewright.physics import cycles, realisation, spectra, spectral_fatigue, waves
from linewright.physics.spectra import Moments, Spectrum
from linewright.physics.types import Array

Curves = Mapping[str, Curve]
SEEDS = range(16)
VALUES = 2**17  # of a history
PER_PERIOD = 32.0  # values in the shortest period that matters: crests between values cost 0.2 % of the heat
TAIL = 0.002  # share of the variance in quicker waves, which play no part
ONE_BAND = 0.8  # m1/sqrt(m0 m2) below which a spectrum has bands apart
EXPONENTS = (2.0, 5.0, 9.0)  # heat, and slopes of fatigue curves, at which methods are held against each other
LEFT_OUT = 0.02  # share of a sea's variance beyond a table of responses that is worth a word
LEAST_COVERED = 1e-4  # share of a sea's variance without which a table of responses does not answer it


@dataclass(frozen=True)
class Answer:
    """What a line does in a sea, in its own unit: tension [N], or motion along the line [m].

    deviation of the unit; mean zero-crossing period [s]; 64 amplitudes and the offsets of their means, both over the
    deviation, with weights adding to 1; slack, the same cycles by their troughs, over the deviation; cycles a second by
    the method named; is_motion.
    """

    deviation: float
    zero_crossing: float
    amplitudes: Array
    offsets: Array
    weights: Array
    slack: Troughs
    rate: float
    is_motion: bool


def answer(state: State, tension: Tension, curves: Curves) -> Answer:
    """The answer of a line to the sea of a state."""
    response = tension.response
    assert response is not None
    spectrum, is_motion = spectrum_of(state, response, curves, tension.where)
    moments = spectra.moments(spectrum)
    if moments.zero <= 0.0:
        none, even = np.zeros(BINS), np.full(BINS, 1.0 / BINS)
        return Answer(0.0, np.inf, none, none, even, Troughs.of_bins(none, none, even), 0.0, is_motion)
    deviation = float(np.sqrt(moments.zero))
    zero_crossing = spectra.periods(spectrum).zero_crossing
    if response.method == "histories":
        rows, rate = _counted(spectrum, deviation)
        offsets, amplitudes, weights = bins_of(rows)
        return Answer(deviation, zero_crossing, amplitudes, offsets, weights, troughs_of(rows), rate, is_motion)
    mixture = spectral_fatigue.METHODS[response.method](moments)
    table = spectral_fatigue.cycle_table(mixture)
    rate, amplitudes, offsets = table.count_per_hour / 3600.0, table.amplitudes / deviation, np.zeros(BINS)
    shares = mixture.rates / spectral_fatigue.cycle_rate(mixture)
    slack = Troughs.of_law(0.0, mixture.scales / deviation, shares, mixture.exponential)
    return Answer(deviation, zero_crossing, amplitudes, offsets, table.weights, slack, rate, is_motion)


def _counted(spectrum: Spectrum, deviation: float) -> tuple[Array, float]:
    """Cycles (range and mean over the deviation, count) of seeded histories, and cycles a second."""
    step, number = _length(spectrum)
    rows = [cycles.rainflow(realisation.realise(spectrum, step, number, np.random.default_rng(seed))) for seed in SEEDS]
    whole = np.concatenate(rows)
    return whole / [deviation, deviation, 1.0], float(whole[:, 2].sum()) / (len(SEEDS) * number * step)


def _length(spectrum: Spectrum) -> tuple[float, int]:
    """Step [s] that follows the quickest waves that matter, and an even number of values of a long history."""
    total = spectra.moment(spectrum, 0)
    ends = spectrum.frequency[spectra.variance_below(spectrum, spectrum.frequency) >= (1.0 - TAIL) * total]
    highest = float(ends[0]) if ends.size else float(spectrum.frequency[-1])
    return 1.0 / (PER_PERIOD * highest), VALUES


def spectrum_of(state: State, response: Response, curves: Curves, where: str) -> tuple[Spectrum, bool]:
    """Spectrum of the tension [N2/Hz] or of the motion along the line [m2/Hz], and whether it is a motion.

    Raises InputError for a file of another kind, a spectrum of zeros, a table of responses beside the sea.
    """
    if response.spectrum:
        curve = _of_kind(curves[response.spectrum], ("spectrum of tension", "wave or motion"), response.spectrum, where)
        return _density(curve, response.spectrum, where), curve.kind != "spectrum of tension"
    sea = sea_of(state, curves, where)
    if response.file:
        curve = _of_kind(curves[response.file], ("tension per wave", "motion per wave"), response.file, where)
        _check_covered(sea, curve, response.file, where)
        return spectra.respond(sea, curve.frequency, curve.values), curve.kind == "motion per wave"
    gain = response.tension if response.tension is not None else response.motion or 0.0
    return Spectrum(sea.frequency, sea.density * gain**2), response.tension is None


def _of_kind(curve: Curve, kinds: tuple[str, ...], file: str, where: str) -> Curve:
    if curve.kind not in kinds:
        raise InputError(f"{file} is of another kind.", [Problem(f"{where}  {file}", curve.kind, " or ".join(kinds))])
    return curve


def _density(curve: Curve, file: str, where: str) -> Spectrum:
    """Spectrum of a file. Raises InputError where it is zero everywhere."""
    if not curve.values.any():
        read = f"a density of 0 at all {curve.values.size} frequencies"
        do = 'a state without waves has sea = [{ height = "0 m", period = "8 s" }]'
        raise InputError(f"{file} holds no spectrum.", [Problem(f"{where}  {file}", read, "a density above 0", do)])
    return Spectrum(curve.frequency, curve.values)


def _check_covered(sea: Spectrum, curve: Curve, file: str, where: str) -> None:
    """Refuse a table of responses that misses the sea."""
    low, high = float(curve.frequency[0]), float(curve.frequency[-1])
    if not sea.density.any() or spectra.share_outside(sea, low, high) <= 1.0 - LEAST_COVERED:
        return
    below = spectra.variance_below(sea, sea.frequency)
    longest_wave, shortest_wave = 1.0 / np.interp(np.array([0.05, 0.95]) * below[-1], below, sea.frequency)
    longest = f"{1.0 / low:.3g} s" if low > 0.0 else "any length"
    problem = Problem(
        f"{where}  {file}",
        f"responses to waves of {1.0 / high:.3g} s to {longest}, where the sea has less than 0.01 % of its energy",
        f"responses to this sea: nine tenths of its energy lie from {shortest_wave:.3g} to {longest_wave:.3g} s",
        "check the unit of the first column (Hz or s), or extend the table",
    )
    raise InputError(f"{file} does not answer to the sea.", [problem])


def sea_of(state: State, curves: Curves, where: str = "") -> Spectrum:
    """Wave spectrum of a state [m2/Hz]. Raises InputError for a file of another kind, or of zeros."""
    if state.sea_file:
        curve = _of_kind(curves[state.sea_file], ("wave or motion",), state.sea_file, where)
        return _density(curve, state.sea_file, where)
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
    slopes = _listed([f"{m:.0f}" for m in EXPONENTS[1:]])
    return f"cycles by {response.method}; heat, and damage at slopes {slopes}, would be {'; '.join(parts)} times that"


def _times(moments: Moments, one: str, other: str) -> str:
    """Heat and damage of one method over another, in words; heat goes with the square of the amplitude."""
    return _listed([f"{_ratio(moments, one, other, exponent):.2g}" for exponent in EXPONENTS])


def _listed(words: list[str]) -> str:
    return f"{', '.join(words[:-1])} and {words[-1]}"


def _ratio(moments: Moments, one: str, other: str, exponent: float) -> float:
    first, second = (
        spectral_fatigue.damage_rate(spectral_fatigue.METHODS[name](moments), exponent, 1.0) for name in (one, other)
    )
    return first / second


def doubt_of(method: str) -> str:
    """How far a closed form was off where bands lie apart, against rainflow of histories (two bands, SP-03)."""
    if method == "narrow-band":
        return "narrow-band makes up to 1.6 times the heat and twice the damage"
    return f"{method} makes the heat within 5 %, but can make a quarter too little damage"


def has_bands_apart(state: State, tension: Tension, curves: Curves) -> bool:
    """Whether the closed forms are in doubt: a spectrum of bands apart, and cycles by one of them."""
    response = tension.response
    if response is None or response.method == "histories":
        return False
    moments = spectra.moments(spectrum_of(state, response, curves, tension.where)[0])
    return moments.zero > 0.0 and spectral_fatigue.shape(moments).alpha_one < ONE_BAND


def left_out(state: State, tension: Tension, curves: Curves) -> float:
    """Share of the sea's variance that a table of responses does not cover; 0 without waves."""
    response = tension.response
    if response is None or not response.file:
        return 0.0
    curve, sea = curves[response.file], sea_of(state, curves)
    if not sea.density.any():
        return 0.0
    return spectra.share_outside(sea, float(curve.frequency[0]), float(curve.frequency[-1]))
