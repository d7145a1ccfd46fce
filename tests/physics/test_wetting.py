"""The water of a rope: closed forms of one hour after another, limits, conservation."""

import numpy as np
import pytest

from linewright.physics.wetting import water_store, wetness_through

# By hand: 44 mm, 1.1 dry and 2.5 MJ/m3K soaked: (2.5e6 - 1.1e6) x 1.5205e-3 m2/4180 = 0.509 kg/m. Of that 0.05 kg/m go
# in an hour: 1/e after 10.2 h, and rain of 0.01 kg/m an hour keeps it at 0.2.
STORE = 0.509


def test_store_is_what_soaking_adds() -> None:
    assert water_store(1.1e6, 2.5e6, 0.25 * np.pi * 0.044**2) == pytest.approx(STORE, rel=1e-3)


def test_soaked_rope_dries_by_its_exponential() -> None:
    hours = np.arange(1, 49)
    found = wetness_through(np.zeros(48), np.full(48, 0.05), STORE, start=1.0)
    ends = np.exp(-0.05 / STORE * np.r_[0, hours])

    assert found == pytest.approx(0.5 * (ends[1:] + ends[:-1]), rel=1e-12)


def test_steady_rain_ends_where_rain_and_drying_balance() -> None:
    found = wetness_through(np.full(400, 0.01), np.full(400, 0.05), STORE)

    assert found[-1] == pytest.approx(0.2, rel=1e-6)
    assert (np.diff(found) >= 0.0).all()


def test_dry_air_without_rain_stays_dry_and_spray_keeps_its_share() -> None:
    assert not wetness_through(np.zeros(10), np.full(10, 0.05), STORE).any()
    assert wetness_through(np.zeros(10), np.full(10, 0.05), STORE, least=0.3) == pytest.approx(0.3)


def test_heavy_rain_runs_off_and_dew_wets() -> None:
    assert wetness_through(np.full(5, 9.0), np.full(5, 0.05), STORE)[-1] == 1.0
    dew = wetness_through(np.zeros(4), np.full(4, -0.02), STORE)
    assert dew[-1] == pytest.approx(3.5 * 0.02 / STORE)  # the mean of the last hour's two ends


def test_water_is_kept() -> None:
    """What fell less what is held has dried; the mean of an hour's ends is near its mean while it changes slowly."""
    rain = np.where(np.arange(240) % 24 < 2, 0.02, 0.0)
    drying = np.full(240, 0.01)
    found = wetness_through(rain, drying, STORE)
    held = 2.0 * found[-1] - (2.0 * found[-2] - found[-3])  # an estimate of the last end
    gone = float(np.sum(drying * found))

    assert rain.sum() == pytest.approx(gone + held * STORE, rel=0.02)


@pytest.mark.parametrize(("rain", "drying", "store"), [(-1.0, 0.1, 1.0), (0.1, np.nan, 1.0), (0.1, 0.1, 0.0)], ids=str)
def test_what_cannot_be_is_refused(rain: float, drying: float, store: float) -> None:
    with pytest.raises(ValueError, match="must be"):
        wetness_through(np.array([rain]), np.array([drying]), store)
