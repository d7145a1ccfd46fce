"""Air films and the sun."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

import numpy as np

from linewright.base.units import ZERO_CELSIUS
from linewright.physics import film, sun

Inputs = Mapping[str, Any]


def forced_convection(given: Inputs) -> dict[str, Any]:
    """Forced convection of a cylinder."""
    number = film.nusselt_cylinder_churchill_bernstein(np.array(given["Re"]), given["Pr"])
    return {"Nu_Churchill_Bernstein": number}


def forced_convection_example(given: Inputs) -> dict[str, Any]:
    """The textbook's cylinder in cross-flow."""
    number = film.nusselt_cylinder_churchill_bernstein(given["Re_film"], given["Pr_film"])
    return {"Nu_Churchill_Bernstein": number}


def free_convection_of_rope(given: Inputs) -> dict[str, Any]:
    """Free convection with the published Rayleigh number."""
    return {"Nu": film.nusselt_cylinder_churchill_chu(given["Ra"], given["nu"] / given["alpha"])}


def still_air_film(given: Inputs) -> dict[str, Any]:
    """Film coefficient of a warm rope in still air, with our own air."""
    air = given["T_air"] + ZERO_CELSIUS
    return {"h": film.convection_coefficient(given["D"], 0.0, air + given["dT"], air)}


def free_convection(given: Inputs) -> dict[str, Any]:
    """Free convection by Grashof number."""
    return {"Nu": film.nusselt_cylinder_churchill_chu(given["Gr"] * given["Pr"], given["Pr"])}


def air(given: Inputs) -> dict[str, Any]:
    """Properties of air."""
    conductivity, _, prandtl = film.air_properties(np.array(given["T"]))
    return {"k": 1e3 * conductivity, "Pr": prandtl}


def air_at_one_bar(given: Inputs) -> dict[str, Any]:
    """Kinematic viscosity at the pressure of the textbook's table."""
    return {"nu": 1e6 * np.asarray(film.air_properties(np.array(given["T"]), 1e5)[1])}


def conductor_losses(given: Inputs) -> dict[str, Any]:
    """What a warm cylinder gives off per metre: still air, wind, radiation."""
    surface, around = given["T_s"] + ZERO_CELSIUS, given["T_air"] + ZERO_CELSIUS
    per_metre = np.pi * given["d"] * (surface - around)
    return {
        "free": per_metre * film.convection_coefficient(given["d"], 0.0, surface, around),
        "wind": per_metre * film.convection_coefficient(given["d"], given["wind"], surface, around),
        "radiation": per_metre * film.radiation_coefficient(given["eps"], surface, around),
    }


def vapour(given: Inputs) -> dict[str, Any]:
    """Density of saturated water vapour."""
    return {"density": 1e3 * np.asarray(film.saturation_density(np.array(given["T"]) + ZERO_CELSIUS))}


def wet_bulb(given: Inputs) -> dict[str, Any]:
    """Surface temperature at which a wet surface gives and takes no heat, the line touching where it settles."""
    around, dew = given["air"] + ZERO_CELSIUS, given["dew_point"] + ZERO_CELSIUS
    surface = around
    for _ in range(ROUNDS):
        flux, slope = film.evaporation(given["h"], around, dew, 1.0, surface)
        surface = around - flux / (given["h"] + slope)
    return {"wet bulb": surface - ZERO_CELSIUS}


def sun_height(given: Inputs) -> dict[str, Any]:
    """Zenith angle from place, day and true solar time."""
    moment = datetime.fromisoformat(given["time_UTC"])
    clock = moment.hour + moment.minute / 60.0 + moment.second / 3600.0
    solar_hour = clock + given["lon"] / 15.0 + given["eot"] / 60.0
    day = float(moment.timetuple().tm_yday)
    elevation = np.degrees(sun.solar_elevation(np.radians(given["lat"]), day, solar_hour))
    return {"apparent_zenith": 90.0 - elevation}


def clear_sky(given: Inputs) -> dict[str, Any]:
    """Clear-sky irradiance at the published height of the sun."""
    return {"GHI_haurwitz": sun.clear_sky_global(np.radians(90.0 - given["apparent_zenith"]))}


def cylinder_sun(given: Inputs) -> dict[str, Any]:
    """Mean sine of the sun to a level rope at horizon and zenith; sun kept across the beam."""
    return {
        "mean sine": sun.mean_sine_to_axis(np.radians(np.array(given["elevation"]))),
        "kept": sun.absorbed_sun(given["alpha"], given["d"], 1.0, given["beam"], (0.0, 0.0, 0.0)),
    }


ROUNDS = 6  # Newton steps to the wet bulb

SUBJECTS = {
    part.__name__: part
    for part in (
        forced_convection, forced_convection_example, free_convection_of_rope, still_air_film, free_convection, air,
        air_at_one_bar,
        conductor_losses, vapour, wet_bulb, sun_height, clear_sky, cylinder_sun,
    )
}  # fmt: skip
