"""Doubts about files: weather from elsewhere, a record whose sensor was at its end."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from linewright.assessment.judge import findings_of
from linewright.assessment.record import count
from linewright.assessment.whole import Gathered, _on_files, assess_case
from linewright.importers.model import Record
from linewright.physics import realisation, spectra


def test_weather_when_it_lies_more_than_a_degree_away_then_a_caution_is_raised(case, shelf) -> None:
    """The hot harbour card stands at 1 deg north, 0 deg east."""
    near, far = np.radians((1.5, 0.5)), np.radians((2.5, 0.0))
    for place, codes in (
        (near, []),
        (far, ["weather-place"]),
        (np.radians((1.0, -359.6)), []),
        (np.radians((2.0, 0.0)), []),
    ):
        berth = replace(case.berths[0], place=tuple(map(float, place)))
        found = _on_files(replace(case, berths=(berth,)), shelf, Gathered())
        assert [finding.code for finding in found] == codes


def test_record_when_it_stays_at_its_top_then_a_caution_is_raised(case, shelf) -> None:
    time, tension = np.arange(6.0), np.array([1.0, 3.0, 3.0, 3.0, 1.0, 2.0])
    for saturated in (True, False):
        records = {"log.csv": count(Record(time, tension, {"is_saturated": saturated}))}
        found = _on_files(case, shelf, Gathered({}, records))
        assert [finding.code for finding in found] == (["log-saturated"] if saturated else [])


def test_record_when_the_call_is_longer_than_it_then_its_highest_is_raised_and_said(make_case, shelf) -> None:
    """By hand: 500 cycles of 20 s seen, hours 28 of a call are 5040 cycles; sigma [sqrt(2 ln 5040) - sqrt(2 ln 500)].

    The record's own luck: the largest of 500 crests is sqrt(-2 ln(1 - p^(1/500))): 4.114 at p = 0.9, 3.628 at 0.5 and
    3.281 at 0.1. A lucky record met its P10, so the band is 442.7 - 70.71 x 0.486 = 408.3 to 442.7 + 70.71 x 0.347 =
    467.2 kN.

    Source: Longuet-Higgins 1952, most probable maximum of n narrow-band Gaussian cycles.
    """
    time = np.arange(0.0, 10000.0, 1.0)
    records = {"log.csv": count(Record(time, 300e3 + 100e3 * np.cos(2.0 * np.pi * time / 20.0), {}))}
    typed = '{ mean = "40 %LDBF", amplitude = "1 %LDBF", amplitude_kind = "significant", period = "10 s" }'
    case = make_case((typed, '{ log = "log.csv" }'))
    sigma = 100e3 / np.sqrt(2.0)

    found = records["log.csv"].raised(28.0 * 3600.0)

    assert found == pytest.approx(400e3 + sigma * (4.1292 - 3.5255), rel=2e-3)
    assert records["log.csv"].raised(60.0) == records["log.csv"].highest
    whole = assess_case(case, shelf, gathered=Gathered({}, records))
    line = whole.ropes[0].lines[0]
    assert line.setup.duty.highest[0] == pytest.approx(found)
    short = [row for row in whole.findings if row.code == "log-short"]
    assert [row.text for row in short] == [
        "log.csv: its highest 400 kN is of 2.8 h; the margin takes 443 kN (408 to 467) for 28 h at a stretch"
    ]
    assert [row.about for row in short] == ["hot berth, calm: springs"]


def test_record_when_its_band_is_wide_then_the_crossings_of_its_mean_raise_it_not_its_cycles() -> None:
    """By hand, two bands apart (SP-03): m0 500, m2 = 400 (0.015^3 - 0.005^3)/0.03 + 100 (0.12^3 - 0.08^3)/0.12 = 1.057.

    Rice 1944: nu0 = sqrt(m2/m0) = 0.04597 1/s, 753 up-crossings of the mean in 2^14 s, where there are 1657 peaks. In
    16 times as long the highest grows by sqrt(2 ln 12050) - sqrt(2 ln 753) = 0.695 sigma; with the peaks it were 0.662.
    """
    bands = spectra.combined(spectra.band(0.005, 0.015, 400.0), spectra.band(0.08, 0.12, 100.0))
    histories = [realisation.realise(bands, 0.5, 2**15, np.random.default_rng(seed)) for seed in range(16)]
    records = [count(Record(0.5 * np.arange(2**15), history, {})) for history in histories]

    assert np.mean([item.crossings for item in records]) == pytest.approx(753.0, rel=0.01)
    assert np.mean([item.duration / item.period for item in records]) == pytest.approx(1657.0, rel=0.01)
    grown = [(item.raised(16.0 * item.duration) - item.highest) / item.deviation for item in records]
    assert np.mean(grown) == pytest.approx(0.695, abs=0.003)


def test_load_when_held_beyond_the_rate_law_then_a_caution_is_raised(make_case, whole, shelf) -> None:
    """By hand at 40 %LDBF for 28 h: (0.89 - 0.09 x 4.0)/0.40 = 1.3, low end below 1; at 8 % never. Slope: estimate."""
    slack = make_case(('"40 %LDBF"', '"8 %LDBF"'), ('"25 %LDBF"', '"8 %LDBF"'))
    for found, codes in ((whole, True), (assess_case(slack, shelf), False)):
        rows = findings_of(found.ropes[0].lines[0])
        about = [row.about for row in rows if row.code == "sustained-margin-below-one"]
        assert any("calm" in text for text in about) is codes


def test_weather_when_its_file_is_of_another_place_than_its_card_then_a_caution_is_raised(case, shelf) -> None:
    climate = shelf.climates["hot-typical-year"]
    berth = replace(case.berths[0], climate="hot-typical-year", place=(climate.latitude, climate.longitude))
    for latitude, codes in ((climate.latitude, []), (-climate.latitude, ["weather-place"])):
        year = SimpleNamespace(latitude=latitude, longitude=climate.longitude)
        found = _on_files(replace(case, berths=(berth,)), shelf, Gathered({"hot-typical-year": year}, {}))
        assert [finding.code for finding in found] == codes


def test_record_when_it_falls_below_zero_or_pauses_then_cautions_are_raised(case, shelf) -> None:
    time = np.r_[np.arange(30.0), 9000.0 + np.arange(30.0)]
    tension = 100e3 + 120e3 * np.sin(time)
    found = _on_files(case, shelf, Gathered({}, {"log.csv": count(Record(time, tension, {}))}))
    assert [finding.code for finding in found] == ["log-negative", "log-paused"]
