"""Spectra: moments, damage, seas, histories, sampling, and the stiffness a motion works through."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from linewright.physics import realisation, sampling, spectra, spectral_fatigue, stiffness, waves

Inputs = Mapping[str, Any]
PUBLISHED_NAMES = {
    "narrow-band": "narrow_band", "Dirlik": "Dirlik", "Tovo-Benasciutti": "Tovo_Benasciutti_2005",
}  # fmt: skip


def _bands(given: Inputs) -> spectra.Spectrum:
    return spectra.combined(*(spectra.band(*part) for part in given["bands"]))


def spectral_damage(given: Inputs) -> dict[str, Any]:
    """Moments, rates and damage of flat bands by every method."""
    found = spectra.moments(_bands(given))
    form = spectral_fatigue.shape(found)
    exponent = given["m"]
    constant = given["K"] if "K" in given else spectral_fatigue.range_constant(given["C"], exponent)
    damage = {
        f"damage_rate_{PUBLISHED_NAMES[name]}": spectral_fatigue.damage_rate(method(found), exponent, constant)
        for name, method in spectral_fatigue.METHODS.items()
    }
    return {
        "m0": found.zero, "m1": found.one, "m2": found.two, "m4": found.four, "nu0": form.zero_crossing_rate,
        "nu_peak": form.peak_rate, "alpha1": form.alpha_one, "alpha2": form.alpha_two, **damage,
    }  # fmt: skip


def sea_periods(given: Inputs) -> dict[str, Any]:
    """Periods of JONSWAP spectra over their peak period."""
    found = [waves.jonswap_periods(gamma) for gamma in given["gamma"]]
    return {
        "Tz/Tp": [part.zero_crossing for part in found],
        "T1/Tp": [part.mean for part in found],
        "Te/Tp": [part.energy for part in found],
    }


def sea_normaliser(given: Inputs) -> dict[str, Any]:
    """Factor that keeps the variance of a JONSWAP spectrum, and the variance of ours."""
    gamma = np.array(given["gamma"])
    exact = np.array([waves.jonswap_normaliser(g) for g in gamma])
    ours = [spectra.moment(waves.jonswap(4.0, 10.0, g), 0) for g in gamma]
    return {
        "exact_normaliser": exact,
        "m0_over_Hs2_16": (1.0 - 0.287 * np.log(gamma)) / exact,
        "m0_over_Hs2_16 of our spectrum": ours,
    }


def narrow_band_over_counted(given: Inputs) -> dict[str, Any]:
    """Narrow-band damage over that of counted histories."""
    spectrum, seeds = _bands(given), range(100, 100 + int(given["histories"]))
    mixture = spectral_fatigue.narrow_band(spectra.moments(spectrum))
    found = {}
    for exponent in (3.0, 9.0):
        counted = realisation.referee(spectrum, (exponent, 1.0), given["step"], int(given["number"]), seeds)
        found[f"m {exponent:g}"] = spectral_fatigue.damage_rate(mixture, exponent, 1.0) / counted.rate
    return found


def hidden_crest(given: Inputs) -> dict[str, Any]:
    """Verdicts on steps against one period."""
    found = [sampling.judge_sampling(step, given["period"]) for step in given["step"]]
    return {
        "under_reading": [part.under_reading for part in found],
        "ok": [float(part.verdict == "ok") for part in found],
    }


def line_and_tail(given: Inputs) -> dict[str, Any]:
    """Stiffness, tension of a motion and energy of a line with its tail."""
    together = stiffness.series_stiffness(given["EA"], given["length"])
    each = [ea / length for ea, length in zip(given["EA"], given["length"], strict=True)]
    return {
        "stiffness": together,
        "tension amplitude": stiffness.tension_amplitude(given["motion"], together),
        "energy of each": [stiffness.spring_energy(given["tension"], k) for k in each],
        "energy of the pair": stiffness.spring_energy(given["tension"], together),
    }


SUBJECTS = {
    part.__name__: part
    for part in (
        spectral_damage, sea_periods, sea_normaliser, narrow_band_over_counted, hidden_crest, line_and_tail,
    )
}  # fmt: skip
