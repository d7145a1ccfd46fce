"""Doubts about files: weather from elsewhere, a record whose sensor was at its end."""

from dataclasses import replace

import numpy as np

from linewright.assessment.record import count
from linewright.assessment.whole import Gathered, _on_files
from linewright.importers.model import Record


def test_weather_when_it_lies_more_than_a_degree_away_then_a_caution_is_raised(case, shelf) -> None:
    """The hot harbour card stands at 1 deg north, 0 deg east."""
    near, far = np.radians((1.5, 0.5)), np.radians((2.5, 0.0))
    for place, codes in ((near, []), (far, ["weather-place"]), (np.radians((1.0, -359.6)), [])):
        berth = replace(case.berths[0], place=tuple(map(float, place)))
        found = _on_files(replace(case, berths=(berth,)), shelf, Gathered())
        assert [finding.code for finding in found] == codes


def test_record_when_it_stays_at_its_top_then_a_caution_is_raised(case, shelf) -> None:
    time, tension = np.arange(6.0), np.array([1.0, 3.0, 3.0, 3.0, 1.0, 2.0])
    for saturated in (True, False):
        records = {"log.csv": count(Record(time, tension, {"is_saturated": saturated}))}
        found = _on_files(case, shelf, Gathered({}, records))
        assert [finding.code for finding in found] == (["log-saturated"] if saturated else [])
