"""The section's closed forms, worked by hand."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate

from linewright.physics import section, strength


def test_core_rise_when_the_film_is_perfect_is_the_closed_form() -> None:
    # Carslaw and Jaeger: q R^2/(4k). By hand: 50 kW/m3, R 0.03, k 0.3: 50000 * 0.0009 / 1.2 = 37.5 K.
    per_metre = 50e3 * np.pi * 0.03**2
    assert section.core_rise(per_metre, 0.06, 0.3, 1e12) == pytest.approx(37.5, rel=1e-6)


def test_core_rise_when_cooled_by_air_adds_the_film() -> None:
    # The same rope in a film of 12 W/m2K at 20 C: surface q R/(2h) = 62.5 K, centre 100 K, area mean 81.25 K above air.
    per_metre = 50e3 * np.pi * 0.03**2
    assert section.core_rise(per_metre, 0.06, 0.3, 12.0) == pytest.approx(100.0, rel=1e-9)
    surface = per_metre * section.surface_resistance(0.06, 12.0)
    assert surface == pytest.approx(62.5, rel=1e-9)
    assert surface + per_metre * section.mean_resistance(0.3) == pytest.approx(81.25, rel=1e-9)


@pytest.mark.parametrize("power", [0, 2, 4, 6, 8, 10])
def test_gauss_rule_when_a_power_of_the_radius_is_averaged_is_exact(power: int) -> None:
    # Area mean of (r/R)^p is 2/(p+2); three Gauss points in u = (r/R)^2 are exact to u^5.
    found = np.sum(section.GAUSS_WEIGHTS * section.GAUSS_POINTS ** (power / 2.0))
    assert found == pytest.approx(2.0 / (power + 2.0), rel=1e-14)


@given(core=st.floats(-50.0, 150.0), drop=st.floats(-30.0, 60.0))
def test_section_points_when_averaged_give_the_mean_back(core: float, drop: float) -> None:
    # The mean of a parabola lies half-way between centre and surface.
    points = section.section_points(np.array([core]), np.array([core - drop]))
    assert strength.section_mean(points)[0] == pytest.approx(core - drop, abs=1e-9)


def test_section_points_when_core_is_hotter_fall_outwards() -> None:
    # By hand: core 60, mean 50: surface 40; at u = 0.5 it is the mean itself, 50.
    (points,) = section.section_points(np.array([60.0]), np.array([50.0]))
    assert points[1] == pytest.approx(50.0)
    assert 60.0 > points[0] > points[1] > points[2] > 40.0


def test_strength_mean_when_the_factor_is_curved_is_the_integral() -> None:
    # Referee: numerical area mean of a factor exp(-(T - 20)/60) over a parabola from 70 (core) to 40 (surface).
    points = section.section_points(np.array([70.0]), np.array([55.0]))
    found = strength.section_mean(np.exp(-(points - 20.0) / 60.0))[0]
    exact = integrate.quad(lambda u: np.exp(-(70.0 - 30.0 * u - 20.0) / 60.0), 0.0, 1.0)[0]
    assert found == pytest.approx(exact, rel=1e-6)


def test_fill_and_stress_when_worked_by_hand_agree() -> None:
    # 0.98 kg/m, 970 kg/m3, 44 mm: fibre area 1.01031e-3 m2, circle 1.52053e-3 m2: fill 0.66445. 1380 kN: 1.36592 GPa.
    assert section.fill(0.98, 970.0, 0.044) == pytest.approx(0.66445, rel=1e-4)
    assert section.fibre_stress(1380e3, 970.0, 0.98) == pytest.approx(1.36592e9, rel=1e-5)


def test_time_constant_when_worked_by_hand_agrees() -> None:
    # rho c d / (4 h): 700 * 1850 * 0.02 / 60 = 431.667 s (lumped balance).
    assert section.lumped_time_constant(700.0 * 1850.0, 0.02, 15.0) == pytest.approx(431.6667, rel=1e-6)


# --- strength -----------------------------------------------------------------------------------------


def test_rate_loss_when_the_load_lasts_a_thousand_times_longer_takes_three_decades() -> None:
    # p (T/293.15) log10(t / 10 s): p 0.08 at 20 C, 10 000 s: 0.24; 10 s: 0; below 1 s as 1 s: -0.08.
    found = strength.rate_loss(0.08, 293.15, np.array([1e4, 10.0, 1.0, 0.01]))
    np.testing.assert_allclose(found, [0.24, 0.0, -0.08, -0.08], rtol=1e-12)


def test_rate_loss_when_the_rope_is_warm_then_it_is_a_share_of_the_cold_strength() -> None:
    # Worked for HMPE: f(50 C) 0.80, p 0.09, 30 h (4.03 decades): 0.80 - 0.09 * 323.15/293.15 * 4.03 = 0.400.
    left = 0.80 - strength.rate_loss(0.09, 323.15, 30.0 * 3600.0)
    assert left == pytest.approx(0.400, abs=1e-3)


def test_efficiency_over_a_pin_when_worked_by_hand_agrees() -> None:
    # Rule of wire-sling tables (from memory): D/d 1 keeps half, D/d 25 keeps 0.9.
    np.testing.assert_allclose(strength.efficiency_over_pin(np.array([1.0, 25.0])), [0.5, 0.9], rtol=1e-12)
