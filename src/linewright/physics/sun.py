"""Sun on a rope: position, clear sky, cloud, split into beam and diffuse, and what a rope keeps."""

from __future__ import annotations

import numpy as np
from scipy import special

from linewright.physics.types import Array, Real

SOLAR_CONSTANT = 1361.0  # [W/m2]


def solar_elevation(latitude: Real, day_of_year: Real, solar_hour: Real) -> Real:
    """Height of the sun above the horizon.

    Parameters
    ----------
    latitude : north positive [rad]
    day_of_year : 1 to 366 [-]
    solar_hour : true solar time, 12 = noon [h]

    Returns
    -------
    elevation, negative at night [rad]

    From
    ----
    Spencer 1971 for the declination; spherical trigonometry. Check values SU-03, SU-04 within 0.3 deg.
    """
    turn = 2.0 * np.pi * (day_of_year - 1.0) / 365.0
    declination = (
        0.006918 - 0.399912 * np.cos(turn) + 0.070257 * np.sin(turn) - 0.006758 * np.cos(2 * turn)
        + 0.000907 * np.sin(2 * turn) - 0.002697 * np.cos(3 * turn) + 0.00148 * np.sin(3 * turn)
    )  # fmt: skip
    hour_angle = np.pi * (solar_hour - 12.0) / 12.0
    height = np.sin(latitude) * np.sin(declination) + np.cos(latitude) * np.cos(declination) * np.cos(hour_angle)
    return np.arcsin(np.clip(height, -1.0, 1.0))


def clear_sky_global(elevation: Real) -> Real:
    """Global irradiance on the level under a clear sky, 1098 cos z exp(-0.059 / cos z).

    Parameters
    ----------
    elevation : height of the sun [rad]

    Returns
    -------
    irradiance, zero at night [W/m2]

    From
    ----
    Haurwitz 1945; check values SU-03, SU-04.
    """
    cosine = np.sin(np.maximum(elevation, 0.0))
    safe = np.maximum(cosine, 1e-3)
    return np.where(cosine > 1e-3, 1098.0 * safe * np.exp(-0.059 / safe), 0.0)


def cloudy_global(clear: Real, cloud: Real) -> Real:
    """Global irradiance under cloud, G (1 - 0.75 N^3.4).

    Parameters
    ----------
    clear : clear-sky global irradiance [W/m2]
    cloud : cloud cover, 0 to 1 [-]

    Returns
    -------
    global irradiance [W/m2]

    From
    ----
    Kasten and Czeplak 1980, from memory.
    """
    return clear * (1.0 - 0.75 * np.power(cloud, 3.4))


def beam_and_diffuse(global_level: Array, elevation: Array) -> tuple[Array, Array]:
    """Split of global irradiance into direct normal and diffuse, by the clearness index.

    Parameters
    ----------
    global_level : global irradiance on the level, shape (...) [W/m2]
    elevation : height of the sun, shape (...) [rad]

    Returns
    -------
    direct normal irradiance [W/m2], diffuse irradiance on the level [W/m2]

    From
    ----
    Erbs, Klein and Duffie 1982.
    """
    cosine = np.maximum(np.sin(elevation), 0.02)
    index = np.clip(global_level / (SOLAR_CONSTANT * cosine), 0.0, 1.0)
    middle = 0.9511 - 0.1604 * index + 4.388 * index**2 - 16.638 * index**3 + 12.336 * index**4
    share = np.where(index <= 0.22, 1.0 - 0.09 * index, np.where(index <= 0.8, middle, 0.165))
    diffuse = share * global_level
    beam = np.where(elevation > 0.035, (global_level - diffuse) / cosine, 0.0)
    return np.minimum(beam, SOLAR_CONSTANT), diffuse


def mean_sine_to_axis(elevation: Real) -> Real:
    """Sine of the angle between sun and a level rope, averaged over all headings.

    The mean over azimuth of sqrt(1 - cos^2 e cos^2 p) is (2/pi) E(cos^2 e).

    Parameters
    ----------
    elevation : height of the sun [rad]

    Returns
    -------
    mean sine, 2/pi at the horizon and 1 at the zenith [-]

    From
    ----
    Complete elliptic integral of the second kind, definition.
    """
    mean: Real = 2.0 / np.pi * special.ellipe(np.cos(elevation) ** 2)
    return mean


def absorbed_sun(absorptance: Real, diameter: Real, sine: Real, beam: Real, sky: tuple[Real, Real, Real]) -> Real:
    """Sunlight kept by one metre of cylinder, alpha d [DNI sin w + (pi/2)(DHI + albedo GHI)].

    Parameters
    ----------
    absorptance : share of sunlight kept [-]
    diameter : outer diameter [m]
    sine : sine of the angle between sun and axis [-]
    beam : direct normal irradiance [W/m2]
    sky : diffuse and global irradiance on the level, and albedo, in this order [W/m2]

    Returns
    -------
    heat taken up per metre [W/m]

    From
    ----
    Projected area of a cylinder for the beam; half its surface sees the sky, half the ground.
    """
    diffuse, global_level, albedo = sky
    return absorptance * diameter * (beam * sine + 0.5 * np.pi * (diffuse + albedo * global_level))
