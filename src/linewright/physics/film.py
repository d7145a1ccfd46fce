"""What a rope gives to the air and the sky: convection, radiation, evaporation."""

from __future__ import annotations

import numpy as np

from linewright.physics.film_forms import FORCED, FREE, MIXED, YAW, Forms
from linewright.physics.types import GRAVITY, STEFAN_BOLTZMANN, ZERO_CELSIUS, Array, Real

LEWIS = 0.86  # [-] Lewis number of water vapour in air
SEA_WATER_ACTIVITY = 0.98  # [-]
STANDARD_PRESSURE = 101325.0  # [Pa]
USUAL = Forms()


def air_properties(temperature: Real, pressure: Real = STANDARD_PRESSURE) -> tuple[Real, Real, Real]:
    """Conductivity, kinematic viscosity and Prandtl number of dry air.

    Parameters
    ----------
    temperature : film temperature, 230 to 400 K [K]
    pressure : air pressure [Pa]

    Returns
    -------
    conductivity [W/(m K)], kinematic viscosity [m2/s], Prandtl number [-]

    From
    ----
    Sutherland's law (1893) with the constants of the US Standard Atmosphere 1976 for viscosity and
    conductivity; c_p 1006.5 J/(kg K). Within 1 % of tables from 250 to 350 K.
    """
    viscosity = 1.458e-6 * temperature**1.5 / (temperature + 110.4)
    conductivity = 2.64638e-3 * temperature**1.5 / (temperature + 245.4 * 10.0 ** (-12.0 / temperature))
    density = pressure / (287.053 * temperature)
    return conductivity, viscosity / density, viscosity * 1006.5 / conductivity


def convection_coefficient(
    diameter: Real,
    wind: Real,
    surface: Real,
    air: Real,
    angle: Real | None = None,
    pressure: float = STANDARD_PRESSURE,
    forms: Forms = USUAL,
) -> Real:
    """Film coefficient of forced and free convection together.

    Parameters
    ----------
    diameter : outer diameter [m]
    wind : wind speed, 0 to 40 m/s [m/s]
    surface : surface temperature [K]
    air : air temperature [K]
    angle : between wind and axis, 0 to pi/2; across when left out [rad]
    pressure : air pressure [Pa]
    forms : rows of the tables in `film_forms` [fields]

    Returns
    -------
    convective film coefficient; with the default forms continuous and rising with wind [W/(m2 K)]

    Raises
    ------
    ValueError : the Reynolds, Rayleigh or Prandtl number lies beyond a form's range. Below its range a
        form goes on by its own law: there it is small beside the other convection, or both are small.

    From
    ----
    Definition of the Nusselt number; the forms name their sources.
    """
    forced, free = FORCED[forms.forced], FREE[forms.free]
    film = 0.5 * (surface + air)
    conductivity, viscosity, prandtl = air_properties(film, pressure)
    buoyancy = GRAVITY * np.abs(surface - air) / film * diameter**3
    still = free.up_to_its_end(buoyancy * prandtl / viscosity**2, prandtl)
    stream, thickness, number = (conductivity, viscosity, prandtl)
    if forced.at_stream:
        stream, thickness, number = air_properties(air, pressure)
    windy = forced.up_to_its_end(np.maximum(wind, 1e-6) * diameter / thickness, number) * (stream / conductivity)
    if angle is not None:
        windy = windy * YAW[forms.yaw].law(angle)
    return MIXED[forms.mixed].law(windy, still) * conductivity / diameter


def radiation_coefficient(emissivity: Real, surface: Real, surroundings: Real) -> Real:
    """Linearised long-wave exchange, eps sigma (Ts^2 + Tsur^2)(Ts + Tsur).

    Parameters
    ----------
    emissivity : long-wave emissivity [-]
    surface : surface temperature [K]
    surroundings : temperature of the surroundings [K]

    Returns
    -------
    radiative film coefficient [W/(m2 K)]

    From
    ----
    Stefan-Boltzmann law; check value HT-24.
    """
    return emissivity * STEFAN_BOLTZMANN * (surface**2 + surroundings**2) * (surface + surroundings)


def sky_temperature(air: Real, dew_point: Real, cloud: Real) -> Real:
    """Effective temperature of the sky half-space.

    clear: eps = 0.711 + 0.56 (Tdp/100) + 0.73 (Tdp/100)^2, Tdp in C; cloud closes the gap to the air
    with 0.8 of its share: eps = eps_0 + 0.8 N (1 - eps_0)

    Parameters
    ----------
    air : air temperature [K]
    dew_point : dew point temperature [K]
    cloud : cloud cover, 0 to 1 [-]

    Returns
    -------
    sky temperature, at most that of the air [K]

    From
    ----
    Berdahl and Martin 1984 for the clear sky (31 C, dew point 24 C gives 22.05 C); the cloud term is
    an estimate for low cloud.
    """
    celsius = (dew_point - ZERO_CELSIUS) / 100.0
    clear = 0.711 + 0.56 * celsius + 0.73 * celsius**2
    emissivity = np.clip(clear + 0.8 * cloud * (1.0 - clear), 0.0, 1.0)
    return air * emissivity**0.25


def saturation_density(temperature: Real) -> Real:
    """Density of saturated water vapour.

    Parameters
    ----------
    temperature : temperature, 233 to 373 K [K]

    Returns
    -------
    vapour density [kg/m3]

    From
    ----
    Magnus form of Alduchov and Eskridge 1996 for the pressure; ideal gas.
    """
    celsius = temperature - ZERO_CELSIUS
    pressure = 610.94 * np.exp(17.625 * celsius / (celsius + 243.04))
    return pressure / (461.52 * temperature)


def evaporation(
    convection: Real, air: Real, dew_point: Real, wetness: Real, surface: Real | None = None
) -> tuple[Real, Real]:
    """Heat flux of a wet surface as a line in its temperature: value at air temperature, and slope.

    q = w h / (rho c_p Le^2/3) [a_w rho_sat(T_s) - rho_v] h_fg, tangent at the surface temperature

    Parameters
    ----------
    convection : convective film coefficient [W/(m2 K)]
    air : air temperature [K]
    dew_point : dew point temperature [K]
    wetness : wet share of the surface, 0 to 1 [-]
    surface : surface temperature at which the line touches; the air's if not given [K]

    Returns
    -------
    flux that the line gives at air temperature [W/m2], slope that adds to the film coefficient [W/(m2 K)]

    From
    ----
    Lewis relation (Incropera ch. 6); activity of sea water 0.98; latent heat 2.43 MJ/kg.
    """
    transfer = wetness * convection / (1.204 * 293.15 / air * 1006.5 * LEWIS ** (2.0 / 3.0)) * 2.43e6
    at = air if surface is None else surface
    slope = transfer * SEA_WATER_ACTIVITY * (saturation_density(at + 0.5) - saturation_density(at - 0.5))
    vapour = saturation_density(dew_point) * dew_point / air
    flux = transfer * (SEA_WATER_ACTIVITY * saturation_density(at) - vapour)
    return flux - slope * (at - air), slope


def sky_loss(emissivity: Real, air: Real, sky: Real) -> Array | Real:
    """Flux averaged round the rope that the upper half loses to a sky colder than the air.

    Parameters
    ----------
    emissivity : long-wave emissivity [-]
    air : air temperature [K]
    sky : sky temperature [K]

    Returns
    -------
    flux lost beyond the exchange with surroundings at air temperature [W/m2]

    From
    ----
    Stefan-Boltzmann law, half sky and half sea or deck at air temperature.
    """
    return 0.5 * emissivity * STEFAN_BOLTZMANN * (air**4 - sky**4)


def steel_film(wind: Real) -> Real:
    """Film coefficient of a steel fitting, 5.7 + 3.8 v and 6 for radiation.

    Parameters
    ----------
    wind : wind speed [m/s]

    Returns
    -------
    film coefficient, convection and radiation [W/(m2 K)]

    From
    ----
    Flat-plate rule of Juerges 1924, from memory; black steel near 310 K radiates 6 W/(m2 K).
    """
    return 11.7 + 3.8 * wind
