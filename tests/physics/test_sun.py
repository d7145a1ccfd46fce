"""Sun and sky against pvlib, and against integrals worked numerically."""

import numpy as np
import pandas as pd
import pvlib
import pytest
from scipy import integrate

from linewright.physics import sun


@pytest.mark.parametrize("latitude", [-34.0, 1.3, 24.5, 56.0, 70.0])
def test_elevation_when_compared_with_the_library_is_within_a_third_of_a_degree(latitude: float) -> None:
    # Referee: pvlib's solar position algorithm, geometric elevation at longitude 0. True solar time is UTC plus pvlib's
    # equation of time, so only declination and trigonometry are compared. Every seventh hour of a year in the middle of
    # the leap cycle: a day number does not know where in the cycle it is, which alone is worth 0.25 degrees here.
    times = pd.date_range("2026-01-01 00:30", "2026-12-31 23:30", freq="7h", tz="UTC")
    exact = pvlib.solarposition.get_solarposition(times, latitude, 0.0)
    clock = (times.hour + times.minute / 60.0).to_numpy()
    solar = clock + exact["equation_of_time"].to_numpy() / 60.0
    found = sun.solar_elevation(np.deg2rad(latitude), times.day_of_year.to_numpy() + clock / 24.0, solar)
    assert np.max(np.abs(np.rad2deg(found) - exact["elevation"].to_numpy())) < 0.3


def test_elevation_when_at_the_pole_is_the_declination_of_the_library() -> None:
    # Referee: pvlib.solarposition.declination_spencer71; at the pole the sun stands at its declination all day.
    day = np.arange(1.0, 366.0)
    exact = pvlib.solarposition.declination_spencer71(day)
    np.testing.assert_allclose(sun.solar_elevation(np.pi / 2.0, day, 5.0), exact, rtol=0.0, atol=1e-12)


@pytest.mark.parametrize(("latitude", "day"), [(56.0, 172.0), (24.5, 217.0), (-34.0, 10.0)])
def test_elevation_when_it_is_any_hour_is_that_of_the_library_for_its_declination(latitude: float, day: float) -> None:
    # Referee: pvlib.solarposition.solar_zenith_analytical with the same declination; 15 degrees an hour.
    hour = np.linspace(0.0, 24.0, 49)
    declination = pvlib.solarposition.declination_spencer71(day)
    exact = pvlib.solarposition.solar_zenith_analytical(
        np.deg2rad(latitude), np.deg2rad(15.0 * (hour - 12.0)), declination
    )
    found = sun.solar_elevation(np.deg2rad(latitude), day, hour)
    np.testing.assert_allclose(found, np.pi / 2.0 - exact, rtol=0.0, atol=1e-7)


def test_elevation_when_day_and_night_are_equal_is_that_of_the_latitude() -> None:
    # By hand: at the equinox the noon sun stands 90 - latitude high; 20 March is day 79 to half a degree of
    # declination (0.4 degrees a day).
    found = np.rad2deg(sun.solar_elevation(np.deg2rad(50.0), 79.0, 12.0))
    assert found == pytest.approx(40.0, abs=0.5)


def test_clear_sky_when_compared_with_the_library_is_haurwitz() -> None:
    # Referee: pvlib.clearsky.haurwitz. Exact above 0.1 degrees, where both are in use; 0 below the horizon.
    elevation = np.r_[-20.0, -0.5, np.linspace(0.1, 90.0, 200)]
    exact = pvlib.clearsky.haurwitz(pd.Series(90.0 - elevation))["ghi"].to_numpy()
    np.testing.assert_allclose(sun.clear_sky_global(np.deg2rad(elevation)), exact, rtol=1e-9, atol=1e-12)


def test_split_when_compared_with_the_library_is_erbs() -> None:
    # Referee: pvlib.irradiance.erbs. It takes the extraterrestrial beam of the day, 1366.1 W/m2 times 0.967 to 1.033
    # with the distance of the sun; the package takes 1361 all the year, up to 3.5 % of the clearness index. The same
    # index is made here by calling pvlib with its own extraterrestrial beam scaled out: level irradiance in
    # proportion. Sun above 5 degrees, where the beam is used.
    day = 80
    extra = float(pvlib.irradiance.get_extra_radiation(day))
    elevation = np.deg2rad(np.linspace(5.0, 90.0, 60))[:, None]
    level = np.linspace(0.02, 0.85, 60)[None, :] * sun.SOLAR_CONSTANT * np.sin(elevation)
    beam, diffuse = sun.beam_and_diffuse(level, elevation + 0.0 * level)
    zenith = 90.0 - np.rad2deg(elevation) + 0.0 * level
    exact = pvlib.irradiance.erbs(level * extra / sun.SOLAR_CONSTANT, zenith, day)
    np.testing.assert_allclose(diffuse * extra / sun.SOLAR_CONSTANT, exact["dhi"], rtol=1e-9)
    np.testing.assert_allclose(beam * extra / sun.SOLAR_CONSTANT, exact["dni"], rtol=1e-9)


def test_split_when_added_up_is_the_global_irradiance() -> None:
    # Definition: level = beam sin(elevation) + diffuse, for a sun above the cut-off of 2 degrees.
    elevation = np.deg2rad(np.linspace(3.0, 90.0, 50))
    level = 0.6 * sun.SOLAR_CONSTANT * np.sin(elevation)
    beam, diffuse = sun.beam_and_diffuse(level, elevation)
    np.testing.assert_allclose(beam * np.sin(elevation) + diffuse, level, rtol=1e-12)


def test_split_when_the_sun_is_down_is_dark() -> None:
    # Night.
    beam, diffuse = sun.beam_and_diffuse(np.zeros(2), np.array([-0.5, 0.0]))
    np.testing.assert_array_equal(beam, 0.0)
    np.testing.assert_array_equal(diffuse, 0.0)


def test_cloud_when_overcast_leaves_a_quarter() -> None:
    # Kasten and Czeplak 1980 (from memory): 1 - 0.75 N^3.4; half cover 1 - 0.75 * 0.09473 = 0.92895.
    np.testing.assert_allclose(sun.cloudy_global(800.0, np.array([0.0, 0.5, 1.0])), [800.0, 743.16, 200.0], rtol=1e-4)


@pytest.mark.parametrize("degrees", [0.0, 5.0, 30.0, 60.0, 89.0])
def test_mean_sine_when_averaged_over_headings_agrees(degrees: float) -> None:
    # Referee: numerical mean over the azimuth p of sqrt(1 - cos^2 e cos^2 p).
    height = np.deg2rad(degrees)
    total = integrate.quad(lambda p: np.sqrt(1.0 - (np.cos(height) * np.cos(p)) ** 2), 0.0, np.pi / 2.0)[0]
    assert sun.mean_sine_to_axis(height) == pytest.approx(total / (np.pi / 2.0), rel=1e-6)


def test_mean_sine_when_the_sun_is_low_or_overhead_meets_the_limits() -> None:
    # By hand: mean of |sin p| is 2/pi; at the zenith the sun is square to every level rope.
    assert sun.mean_sine_to_axis(0.0) == pytest.approx(2.0 / np.pi, rel=1e-9)
    assert sun.mean_sine_to_axis(np.pi / 2.0) == pytest.approx(1.0, rel=1e-9)


def test_absorbed_sun_when_worked_by_hand_agrees() -> None:
    # alpha 0.6, d 0.044, beam 900 square to the rope, diffuse 100, level 1000, albedo 0.1:
    # 0.6 * 0.044 * (900 + 1.570796 * (100 + 100)) = 0.0264 * 1214.159 = 32.0538 W/m.
    assert sun.absorbed_sun(0.6, 0.044, 1.0, 900.0, (100.0, 1000.0, 0.1)) == pytest.approx(32.0538, rel=1e-5)


def test_diffuse_when_summed_over_a_cylinder_is_half_pi_of_the_level() -> None:
    # Referee: an even sky seen by a surface tilted by t is (1 + cos t)/2 of the level value (ground: (1 - cos t)/2);
    # round a cylinder of diameter d: d/2 int_0^2pi (1 + cos t)/2 dt = pi d / 2.
    around = integrate.quad(lambda t: 0.5 * (1.0 + np.cos(t)) * 0.5, 0.0, 2.0 * np.pi)[0]
    assert sun.absorbed_sun(1.0, 1.0, 1.0, 0.0, (1.0, 0.0, 0.0)) == pytest.approx(around, rel=1e-9)
