"""Films against the correlations of a public library, tables of air, and balances worked by hand."""

import ht
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize

from linewright.physics import film

KELVIN = 273.15


# --- air ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kelvin", "conductivity", "viscosity", "prandtl"),
    [(250.0, 22.3e-3, 11.44e-6, 0.720), (300.0, 26.3e-3, 15.89e-6, 0.707), (350.0, 30.0e-3, 20.92e-6, 0.700)],
)
def test_air_when_compared_with_a_table_agrees(
    kelvin: float, conductivity: float, viscosity: float, prandtl: float
) -> None:
    # Table A.4 of Incropera et al., from memory; its densities (1.1614 kg/m3 at 300 K) are those of 1 bar. The
    # docstring promises 1 % from 250 to 350 K.
    found = film.air_properties(kelvin, 1e5)
    assert found[0] == pytest.approx(conductivity, rel=0.01)
    assert found[1] == pytest.approx(viscosity, rel=0.01)
    assert found[2] == pytest.approx(prandtl, rel=0.01)


def test_air_when_pressure_halves_doubles_the_kinematic_viscosity() -> None:
    # Ideal gas: density halves, viscosity and conductivity stay.
    once, half = film.air_properties(300.0), film.air_properties(300.0, 101325.0 / 2.0)
    assert half[1] == pytest.approx(2.0 * float(once[1]), rel=1e-12)
    assert (half[0], half[2]) == (once[0], once[2])


# --- convection -----------------------------------------------------------------------------------


@given(
    diameter=st.floats(0.01, 0.12),
    rise=st.floats(-10.0, 60.0),
    air=st.floats(-30.0, 45.0),
)
def test_convection_when_wind_rises_is_continuous_and_rises(diameter: float, rise: float, air: float) -> None:
    # Physics: more wind never cools less, and no correlation may jump. On a grid of 1 cm/s from 0 to 30 m/s no step
    # may be larger than sqrt(step/wind)-like growth of a forced film: 20 % in the first centimetres, 1 % above 1 m/s.
    wind = np.arange(0.0, 30.0, 0.01)
    found = film.convection_coefficient(diameter, wind, air + KELVIN + rise, air + KELVIN)
    growth = np.diff(found) / found[:-1]
    assert np.all(np.isfinite(found))
    assert np.all(growth >= 0.0)
    assert np.all(growth[wind[:-1] >= 1.0] < 0.01)


def test_convection_when_calm_is_free_convection() -> None:
    # Still air: only Churchill-Chu (with the vanishing conduction term of the forced correlation, Nu 0.3: 0.001 % in
    # the cube). 60 mm at 60 C in 20 C air by hand: film 313.15 K; g/T dT d^3 Pr/nu^2 about 6.6e5 -> Nu 12.9, k 0.0271,
    # h 5.84 W/m2K (properties as in the textbook tables, from memory: 2 %).
    found = film.convection_coefficient(0.06, 0.0, 333.15, 293.15)
    assert found == pytest.approx(5.842, rel=0.02)


def test_convection_when_windy_is_forced_convection() -> None:
    # At 20 m/s and 5 K the free part is below 1e-3 of the cube.
    conductivity, viscosity, prandtl = film.air_properties(302.5)
    exact = ht.conv_external.Nu_cylinder_Churchill_Bernstein(Re=20.0 * 0.044 / float(viscosity), Pr=float(prandtl))
    found = film.convection_coefficient(0.044, 20.0, 305.0, 300.0)
    assert found == pytest.approx(exact * float(conductivity) / 0.044, rel=1e-3)


# --- radiation --------------------------------------------------------------------------------------


def test_radiation_when_linearised_is_the_exact_flux_over_the_difference() -> None:
    # By hand: 0.9 * 5.670374e-8 * (333.15^4 - 293.15^4) = 251.767 W/m2; over 40 K: 6.29418 W/m2K (Stefan-Boltzmann).
    assert film.radiation_coefficient(0.9, 333.15, 293.15) == pytest.approx(6.294183142, rel=1e-6)


def test_radiation_when_temperatures_meet_is_four_sigma_t_cubed() -> None:
    # Limit: 4 eps sigma T^3; by hand 4 * 0.9 * 5.670374e-8 * 2.7e7 = 5.511604.
    assert film.radiation_coefficient(0.9, 300.0, 300.0) == pytest.approx(5.511604, rel=1e-6)


def test_sky_when_clear_and_humid_is_nine_degrees_below_the_air() -> None:
    # By hand (Berdahl and Martin 1984): Tdp 24: eps = 0.711 + 0.1344 + 0.042048 = 0.887448; ^0.25 = 0.970589;
    # 304.15 * 0.970589 = 295.20 K = 22.05 C.
    assert film.sky_temperature(304.15, 297.15, 0.0) - KELVIN == pytest.approx(22.05, abs=0.005)


@given(air=st.floats(-20.0, 45.0), below=st.floats(0.0, 25.0))
def test_sky_when_clouds_close_warms_and_stays_below_the_air(air: float, below: float) -> None:
    # Physics: cloud radiates; the sky is never warmer than the air in this model.
    cloud = np.linspace(0.0, 1.0, 11)
    found = film.sky_temperature(air + KELVIN, air - below + KELVIN, cloud)
    assert np.all(np.diff(found) >= 0.0)
    assert np.all(found <= air + KELVIN)


def test_sky_loss_when_the_sky_is_as_warm_as_the_air_is_nil() -> None:
    # No difference, no net exchange; half of the rope sees the sky: by hand for 300 K air and 280 K sky
    # 0.5 * 0.9 * 5.670374e-8 * (8.1e9 - 6.146560e9) = 49.8454 W/m2.
    assert film.sky_loss(0.9, 300.0, 300.0) == 0.0
    assert film.sky_loss(0.9, 300.0, 280.0) == pytest.approx(49.8454, rel=1e-5)


# --- evaporation ------------------------------------------------------------------------------------


@pytest.mark.parametrize(("celsius", "pascal"), [(0.0, 611.2), (20.0, 2339.0), (30.0, 4247.0), (50.0, 12352.0)])
def test_saturation_when_compared_with_the_steam_tables_agrees(celsius: float, pascal: float) -> None:
    # Saturation pressure of water from the steam tables (from memory); ideal gas for the density. Magnus form 0.4 %.
    kelvin = celsius + KELVIN
    assert film.saturation_density(kelvin) == pytest.approx(pascal / (461.52 * kelvin), rel=0.004)


def balance(surface: float, air: float, dew: float, activity: float) -> float:
    """Heat that a wet surface still gains from the air [K]: Lewis relation as the docstring states it."""
    vapour = activity * film.saturation_density(surface) - film.saturation_density(dew) * dew / air
    return air - surface - 2.43e6 * vapour / (1.204 * 293.15 / air * 1006.5 * 0.86 ** (2.0 / 3.0))


def test_wet_bulb_when_air_is_half_saturated_is_that_of_the_psychrometer() -> None:
    # Air at 20 C and 50 % (dew point 9.27 C) has its wet bulb at 13.8 C: psychrometer formula e = e_w - 0.000662 p (T
    # - T_w): 1577 - 416 = 1161 Pa of 1169 Pa (from memory). Fresh water, no radiation. The formula's constant is that
    # of a ventilated wick with some radiation; the Lewis relation itself gives 13.4, as our notes say: 0.4 K.
    wet_bulb = optimize.brentq(balance, 270.0, 293.15, args=(293.15, 9.27 + KELVIN, 1.0))
    assert wet_bulb - KELVIN == pytest.approx(13.4, abs=0.05)
    assert wet_bulb - KELVIN == pytest.approx(13.8, abs=0.5)


def test_evaporation_when_at_air_temperature_is_the_lewis_relation() -> None:
    # The flux and its slope are that relation and its derivative at air temperature (difference over 1 K: 0.1 %).
    air, dew, convection = 303.15, 297.15, 20.0
    flux, slope = film.evaporation(convection, air, dew, 0.7)
    assert float(flux) == pytest.approx(-0.7 * convection * balance(air, air, dew, 0.98), rel=1e-9)
    around = [balance(air + step, air, dew, 0.98) for step in (-0.01, 0.01)]
    by_hand = 0.7 * convection * ((around[0] - around[1]) / 0.02 - 1.0)
    assert float(slope) == pytest.approx(by_hand, rel=1e-3)


@pytest.mark.parametrize(("celsius", "dew"), [(20.0, 9.27), (31.0, 24.0), (10.0, 8.0)])
def test_evaporation_when_linear_is_at_most_a_degree_warmer_than_the_exact_balance(celsius: float, dew: float) -> None:
    # The tangent of a convex curve lies below it, so the linear form evaporates less and settles warmer than the exact
    # wet bulb; a second-order error, 0.6 K where the wet bulb is 6 K below the air.
    air, point = celsius + KELVIN, dew + KELVIN
    flux, slope = film.evaporation(20.0, air, point, 1.0)
    linear = air - float(flux) / (20.0 + float(slope))
    exact = optimize.brentq(balance, 260.0, air, args=(air, point, 0.98))
    assert exact - 1e-6 <= linear < exact + 0.7


def test_evaporation_when_dry_is_nil() -> None:
    # No wet surface, no vapour.
    assert film.evaporation(20.0, 300.0, 290.0, 0.0) == (0.0, 0.0)


def test_evaporation_when_dew_point_is_the_air_wets_the_salt() -> None:
    # Sea water has an activity of 0.98: in saturated air it takes up vapour, 2 % of saturation.
    flux, _ = film.evaporation(20.0, 300.0, 300.0, 1.0)
    assert float(flux) < 0.0


@given(wind=st.floats(0.0, 30.0))
def test_steel_film_when_wind_rises_rises(wind: float) -> None:
    # Juerges 1924 (from memory): 5.7 + 3.8 v, and 6 W/m2K of radiation.
    assert film.steel_film(wind) == pytest.approx(5.7 + 6.0 + 3.8 * wind, rel=1e-12)
