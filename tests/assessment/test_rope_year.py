"""The free span through a year: against the steady fast model, sun and shade, rain."""

from dataclasses import replace

import numpy as np
import pytest

from linewright.assessment.central import prepared
from linewright.assessment.rope_year import rope_year
from linewright.assessment.whole import Gathered
from linewright.importers.model import HourlyYear

SWELL = 1
HOURS = 8760


@pytest.fixture(scope="module")
def year() -> HourlyYear:
    """An invented year: even days, sun from 6 to 18 h, no rain."""
    hour = np.arange(HOURS) % 24
    height = np.maximum(np.sin(2.0 * np.pi * (hour - 6.0) / 24.0), 0.0)
    even = np.ones(HOURS)
    month = np.minimum(np.arange(HOURS) // 730 + 1, 12).astype(float)
    return HourlyYear(
        303.15 + 4.0 * np.sin(2.0 * np.pi * (hour - 9.0) / 24.0), 296.15 * even, 3.0 * even, 0.2 * even, 700.0 * height,
        100.0 * height, 800.0 * height, np.arcsin(height), month, 0.0 * even, 0.2, 0.0, {},
    )  # fmt: skip


@pytest.fixture(scope="module")
def item(case, shelf, year):
    """The rope on board of the small case, in that year."""
    climate = case.berths[0].climate
    return prepared(case, shelf, Gathered({climate: year}))[0]


def told(item, shelf, year):
    """The swell state through the year."""
    climate = shelf.climates[item.setup.duty.berths[SWELL].climate]
    return rope_year(item, SWELL, climate, year)


def test_year_is_near_the_steady_span_and_late_behind_it(item, shelf, year) -> None:
    found = told(item, shelf, year)
    day = found.core.reshape(-1, 24).mean(axis=0)

    assert found.closure < 1e-9
    assert not found.wetness.any()
    assert found.core.max() == pytest.approx(found.core[24 * 100 : 24 * 101].max(), abs=0.1)  # even days
    assert 12 <= int(np.argmax(day)) <= 15
    assert (found.skin >= found.shade - 1e-9).all()
    assert (found.skin - found.shade)[12::24].min() > 3.0  # the sun stands on one side
    assert (found.skin - found.shade)[0::24].max() < 1.0


def test_rain_cools_and_dries_again(item, shelf, year) -> None:
    """A shower of 20 mm in two hours of one day; a rope near the wet bulb while it has water, dry some days later."""
    rain = np.zeros(HOURS)
    shower = 24 * 100 + 8
    rain[shower : shower + 2] = 0.010
    dry, wet = told(item, shelf, year), told(item, shelf, replace(year, rain=rain))
    noon = 24 * 100 + 13

    assert wet.wetness[shower + 2] > 0.5
    assert wet.core[noon] < dry.core[noon] - 2.0
    assert wet.wetness[24 * 110] < 0.05
    assert wet.core[24 * 112 + 13] == pytest.approx(dry.core[24 * 112 + 13], abs=0.3)
    assert wet.core[: 24 * 100] == pytest.approx(dry.core[: 24 * 100], abs=1e-6)
    assert wet.closure < 1e-9
