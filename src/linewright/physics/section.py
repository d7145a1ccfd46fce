"""The cross-section of a rope: fill, stress, and the steady radial temperature profile."""

from __future__ import annotations

import numpy as np

from linewright.physics.types import Array, Real

GAUSS_POINTS = np.array([0.5 - np.sqrt(0.15), 0.5, 0.5 + np.sqrt(0.15)])
GAUSS_WEIGHTS = np.array([5.0, 8.0, 5.0]) / 18.0


def fill(mass_per_length: Real, fibre_density: Real, diameter: Real) -> Real:
    """Share of the circumscribed circle that is fibre, V_f = m_l / (rho_f pi d^2 / 4).

    Parameters
    ----------
    mass_per_length : load-bearing mass per metre [kg/m]
    fibre_density : density of the fibre [kg/m3]
    diameter : circumscribed diameter of the loaded rope [m]

    Returns
    -------
    fibre fraction, plausible 0.5 to 0.85 [-]

    From
    ----
    Definition.
    """
    return mass_per_length / (fibre_density * np.pi * np.square(diameter) / 4.0)


def fibre_stress(tension: Real, fibre_density: Real, mass_per_length: Real) -> Real:
    """Mean stress in the fibre, sigma = F rho_f / m_l.

    Parameters
    ----------
    tension : line tension [N]
    fibre_density : density of the fibre [kg/m3]
    mass_per_length : load-bearing mass per metre [kg/m]

    Returns
    -------
    stress on the fibre's own area [Pa]

    From
    ----
    Definition: m_l / rho_f is the fibre area.
    """
    return tension * fibre_density / mass_per_length


def tilted_conductivity(along_fibre: Real, across_fibre: Real, tilt: Real) -> tuple[Real, Real, Real]:
    """Conductivities of packed fibres that lie at an angle to the rope's axis.

    Where tilts of both senses are mixed, as in a braid, the one between the two directions is nil.

    Parameters
    ----------
    along_fibre : along the packed fibres [W/(m K)]
    across_fibre : across the packed fibres [W/(m K)]
    tilt : angle between fibres and axis, 0 to pi/2 [rad]

    Returns
    -------
    along the axis, across it in the plane of the tilt, and between the two [W/(m K)]

    From
    ----
    Rotation of a tensor; check value HT-27.
    """
    cosine, sine = np.cos(tilt), np.sin(tilt)
    along = along_fibre * cosine**2 + across_fibre * sine**2
    return along, along_fibre * sine**2 + across_fibre * cosine**2, (along_fibre - across_fibre) * sine * cosine


def surface_resistance(diameter: Real, film_coefficient: Real) -> Real:
    """Thermal resistance from the surface to the air for one metre of rope, 1 / (pi d h).

    Parameters
    ----------
    diameter : outer diameter [m]
    film_coefficient : total film coefficient [W/(m2 K)]

    Returns
    -------
    resistance of one metre [m K/W]

    From
    ----
    Newton's law of cooling.
    """
    return 1.0 / (np.pi * diameter * film_coefficient)


def mean_resistance(radial_conductivity: Real) -> Real:
    """Resistance from the section mean to the surface for even heat, 1 / (8 pi k_r).

    Parameters
    ----------
    radial_conductivity : conductivity across the rope [W/(m K)]

    Returns
    -------
    resistance of one metre; the centre stands twice as far above the surface [m K/W]

    From
    ----
    Closed form of the evenly heated cylinder (Carslaw and Jaeger 1959); check values HT-01, HT-02.
    """
    return 1.0 / (8.0 * np.pi * radial_conductivity)


def core_rise(heat_per_length: Real, diameter: Real, radial_conductivity: Real, film_coefficient: Real) -> Real:
    """Steady rise of the centre of an evenly heated long rope above its surroundings.

    theta = q' [1/(pi d h) + 1/(4 pi k_r)]

    Parameters
    ----------
    heat_per_length : heat made per metre of rope [W/m]
    diameter : outer diameter [m]
    radial_conductivity : conductivity across the rope [W/(m K)]
    film_coefficient : total film coefficient [W/(m2 K)]

    Returns
    -------
    centre minus surroundings [K]

    From
    ----
    Closed form (Carslaw and Jaeger 1959); check values HT-01, HT-02.
    """
    return heat_per_length * (
        surface_resistance(diameter, film_coefficient) + 2.0 * mean_resistance(radial_conductivity)
    )


def section_points(core: Array, mean: Array) -> Array:
    """Temperatures at three Gauss points of the section; the profile is linear in (r/R)^2.

    Parameters
    ----------
    core : centre temperature, shape (...) [K]
    mean : section mean temperature, shape (...) [K]

    Returns
    -------
    temperatures, shape (..., 3); weights GAUSS_WEIGHTS add to 1 [K]

    From
    ----
    Parabolic profile of the evenly heated cylinder; three-point Gauss rule in u = (r/R)^2.
    """
    return core[..., None] + 2.0 * (mean - core)[..., None] * GAUSS_POINTS


def lumped_time_constant(volumetric_heat: Real, diameter: Real, film_coefficient: Real) -> Real:
    """Time constant of a rope of even temperature, rho c d / (4 h).

    Parameters
    ----------
    volumetric_heat : heat capacity per volume [J/(m3 K)]
    diameter : outer diameter [m]
    film_coefficient : total film coefficient [W/(m2 K)]

    Returns
    -------
    time constant [s]

    From
    ----
    Lumped heat balance; check value HT-30.
    """
    return volumetric_heat * diameter / (4.0 * film_coefficient)
