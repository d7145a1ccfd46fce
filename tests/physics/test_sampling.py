"""Sampling verdicts: swell at rates that can and cannot carry it, and the reading that a step can hide."""

import numpy as np
import pytest

from linewright.physics import sampling, spectra, waves


def test_sampling_when_a_swell_of_twelve_seconds_is_read_every_ten_cannot_be_counted() -> None:
    # 1.2 samples a period, below two: everything may be hidden.
    found = sampling.judge_sampling(10.0, 12.0)
    assert (found.verdict, found.samples_per_period, found.under_reading) == ("too coarse", pytest.approx(1.2), 1.0)


@pytest.mark.parametrize(("step", "verdict"), [(1.2, "ok"), (1.0, "ok"), (1.21, "too coarse"), (2.0, "too coarse")])
def test_sampling_when_ten_values_fit_into_the_period_is_enough(step: float, verdict: str) -> None:
    # 12 s: at 1.2 s exactly ten.
    assert sampling.judge_sampling(step, 12.0).verdict == verdict


def test_under_reading_when_worked_by_hand_agrees() -> None:
    # Ten samples: 1 - cos(18 degrees) = 0.0489435; four: 1 - cos(45 degrees) = 0.2928932.
    assert sampling.judge_sampling(1.0, 10.0).under_reading == pytest.approx(0.0489434837, rel=1e-9)
    assert sampling.judge_sampling(3.0, 12.0).under_reading == pytest.approx(1.0 - np.sqrt(0.5), rel=1e-12)


@pytest.mark.parametrize("samples", [3, 4, 7, 10, 25])
def test_under_reading_when_every_phase_is_tried_is_the_worst(samples: int) -> None:
    # A sine read at a whole number of samples a period, over all phases: the crest lies half a step away at worst.
    phase = np.linspace(0.0, 2.0 * np.pi, 20_001)
    read = np.sin(2.0 * np.pi * np.arange(samples) / samples + phase[:, None]).max(axis=1)
    found = sampling.judge_sampling(1.0, float(samples)).under_reading
    assert 1.0 - read.min() == pytest.approx(found, abs=1e-6)


def test_crossing_period_when_a_sine_is_read_is_its_period() -> None:
    # 12 s read every 1 s over an uneven number of periods; straight lines cross a sine's mean close by.
    t = np.arange(1000) * 1.0
    assert sampling.crossing_period(300e3 + 50e3 * np.sin(2.0 * np.pi * t / 12.0 + 0.3), 1.0) == pytest.approx(
        12.0, rel=1e-3
    )


def test_crossing_period_when_the_step_aliases_is_that_of_the_alias() -> None:
    # 1/10 - 1/10.5 = 1/210 Hz: a 10.5 s swell read every 10 s shows as 210 s, which the record cannot tell.
    t = np.arange(2000) * 10.0
    history = np.sin(2.0 * np.pi * t / 10.5)
    assert sampling.crossing_period(history, 10.0) == pytest.approx(210.0, rel=1e-2)


@pytest.mark.parametrize("history", [[], [1.0], [1.0, 1.0, 1.0], [0.0, 1.0, 2.0]])
def test_crossing_period_when_nothing_swings_is_infinite(history: list[float]) -> None:
    assert sampling.crossing_period(np.array(history), 1.0) == np.inf


def test_spectrum_period_when_a_sea_is_given_is_its_peak() -> None:
    assert sampling.spectrum_period(waves.jonswap(2.0, 14.0, 3.3)) == pytest.approx(14.0, rel=1e-12)


def test_record_spectrum_when_a_sine_is_read_has_its_period_and_variance() -> None:
    # 50 kN at 12.8 s, segments of 256 s hold 20 periods: peak on a line, variance 50^2/2 (Hann side lines included).
    t = np.arange(1152) * 1.0
    found = sampling.record_spectrum(400.0 + 50.0 * np.sin(2.0 * np.pi * t / 12.8), 1.0)
    assert sampling.spectrum_period(found) == pytest.approx(12.8, rel=1e-9)
    assert spectra.moment(found, 0) == pytest.approx(1250.0, rel=1e-6)


@pytest.mark.parametrize(("step", "period"), [(0.0, 12.0), (1.0, 0.0), (np.nan, 12.0), (1.0, np.inf)])
def test_sampling_when_step_or_period_is_none_refuses(step: float, period: float) -> None:
    with pytest.raises(ValueError, match="must be above zero"):
        sampling.judge_sampling(step, period)


def test_record_when_too_short_or_broken_is_refused() -> None:
    with pytest.raises(ValueError, match="too few for 8 segments"):
        sampling.record_spectrum(np.zeros(50), 1.0)
    with pytest.raises(ValueError, match="split the history"):
        sampling.crossing_period(np.array([1.0, np.nan]), 1.0)
