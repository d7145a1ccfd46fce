"""What a rope under water gives to it: properties of water, and the film by the same forms as in air."""

from __future__ import annotations

import numpy as np

from linewright.physics.film_forms import FORCED, FREE, MIXED, Forms
from linewright.physics.types import GRAVITY, Real

USUAL = Forms()


def water_properties(temperature: Real) -> tuple[Real, Real, Real, Real]:
    """Conductivity, kinematic viscosity, Prandtl number and expansion of water.

    Parameters
    ----------
    temperature : film temperature, 273 to 373 K [K]

    Returns
    -------
    conductivity [W/(m K)], kinematic viscosity [m2/s], Prandtl number [-], thermal expansion [1/K]

    From
    ----
    Viscosity 2.414e-5 x 10^(247.8/(T - 140)), conductivity a cubic in T, density 1000 [1 - (t + 288.94)
    (t - 3.9863)^2/(508929 (t + 68.13))], all from memory; c_p 4180 J/(kg K). Sea water's viscosity is 6 to 8 %
    higher: nothing beside the resistance inside a rope.
    """
    celsius = np.asarray(temperature) - 273.15
    viscosity = 2.414e-5 * 10.0 ** (247.8 / (np.asarray(temperature) - 140.0))
    conductivity = -0.8691 + 0.0089490 * temperature - 1.58366e-5 * temperature**2 + 7.97543e-9 * temperature**3
    density, beside = _density(celsius), _density(celsius + 0.5)
    expansion = np.maximum((_density(celsius - 0.5) - beside) / density, 0.0)
    return conductivity, viscosity / density, viscosity * 4180.0 / conductivity, expansion


def _density(celsius: Real) -> Real:
    return 1000.0 * (1.0 - (celsius + 288.9414) * (celsius - 3.9863) ** 2 / (508929.2 * (celsius + 68.12963)))


def water_film(diameter: Real, speed: Real, surface: Real, water: Real, forms: Forms = USUAL) -> Real:
    """Film coefficient of a cylinder in water, forced and free convection together.

    Parameters
    ----------
    diameter : outer diameter [m]
    speed : of the water across the rope, 0 to 10 m/s [m/s]
    surface : surface temperature, 273 to 373 K; held there [K]
    water : temperature of the water, 273 to 373 K [K]
    forms : rows of the tables in `film_forms` [fields]

    Returns
    -------
    film coefficient [W/(m2 K)]

    Raises
    ------
    ValueError : the Reynolds, Rayleigh or Prandtl number lies beyond a form's range

    From
    ----
    Definition of the Nusselt number; the forms name their sources.
    """
    forced, free = FORCED[forms.forced], FREE[forms.free]
    at = np.clip(0.5 * (np.minimum(surface, 373.0) + water), 274.0, 373.0)
    conductivity, viscosity, prandtl, expansion = water_properties(at)
    drop = np.abs(np.minimum(surface, 373.0) - water)
    rayleigh = GRAVITY * expansion * drop * diameter**3 * prandtl / viscosity**2
    still = free.up_to_its_end(np.maximum(rayleigh, 1e-9), prandtl)
    windy = forced.up_to_its_end(np.maximum(speed, 1e-6) * diameter / viscosity, prandtl)
    return MIXED[forms.mixed].law(windy, still) * conductivity / diameter
