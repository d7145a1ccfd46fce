"""Air films and the sun."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

import numpy as np

from linewright.base.units import ZERO_CELSIUS
from linewright.importers import weather_hours
from linewright.physics import film, sun

Inputs = Mapping[str, Any]


def still_air_film(given: Inputs) -> dict[str, Any]:
    """Film coefficient of a warm rope in still air, with our own air."""
    air = given["T_air"] + ZERO_CELSIUS
    return {"h": film.convection_coefficient(given["D"], 0.0, air + given["dT"], air)}


def air(given: Inputs) -> dict[str, Any]:
    """Properties of air."""
    conductivity, _, prandtl = film.air_properties(np.array(given["T"]))
    return {"k": 1e3 * conductivity, "Pr": prandtl}


def air_at_one_bar(given: Inputs) -> dict[str, Any]:
    """Kinematic viscosity at the pressure of the textbook's table."""
    return {"nu": 1e6 * np.asarray(film.air_properties(np.array(given["T"]), 1e5)[1])}


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


def wet_rope(given: Inputs) -> dict[str, Any]:
    """What a wet rope gives to the air as vapour, per area and per metre."""
    around, surface = given["air"] + ZERO_CELSIUS, given["surface"] + ZERO_CELSIUS
    flux, slope = film.evaporation(given["h"], around, given["dew_point"] + ZERO_CELSIUS, 1.0, surface)
    given_off = flux + slope * (surface - around)
    return {"flux": given_off, "per metre": np.pi * given["d"] * given_off}


def clear_skies(given: Inputs) -> dict[str, Any]:
    """Sky temperature at shares of cloud."""
    around, dew = given["air"] + ZERO_CELSIUS, given["dew_point"] + ZERO_CELSIUS
    clear, half, closed = (film.sky_temperature(around, dew, cloud) for cloud in (0.0, 0.5, 1.0))
    return {"Swinbank": clear, "Brunt": clear, "Clark_Allen": clear, "half": half, "overcast": closed}


def sun_height(given: Inputs) -> dict[str, Any]:
    """Zenith angle from place, day and true solar time."""
    moment = datetime.fromisoformat(given["time_UTC"])
    clock = moment.hour + moment.minute / 60.0 + moment.second / 3600.0
    solar_hour = clock + given["lon"] / 15.0 + given["eot"] / 60.0
    day = float(moment.timetuple().tm_yday)
    elevation = np.degrees(sun.solar_elevation(np.radians(given["lat"]), day, solar_hour))
    return {"apparent_zenith": 90.0 - elevation}


def sun_of_a_typical_year(given: Inputs) -> dict[str, Any]:
    """Zenith angle as the hours of a typical year get it."""
    moment = datetime.fromisoformat(given["time_UTC"]).replace(tzinfo=UTC).timestamp()
    grid = weather_hours.Grid(moment - 1800.0, 1, 2003, given["lat"], given["lon"], 0.0)
    return {"zenith": 90.0 - np.degrees(weather_hours.elevation_of(grid))}


def clear_sky(given: Inputs) -> dict[str, Any]:
    """Clear-sky irradiance at the published height of the sun, its parts, and what a cylinder across it meets."""
    height = np.radians(90.0 - np.array([given["apparent_zenith"]]))
    level = np.asarray(sun.clear_sky_global(height))
    beam, diffuse = sun.beam_and_diffuse(level, height)
    met = sun.absorbed_sun(1.0, 1.0, 1.0, beam, (diffuse, level, 0.1))
    return {"GHI_haurwitz": level, "GHI_ineichen": level, "DNI_ineichen": beam, "DHI_ineichen": diffuse, "met": met,
            "dni_extra": sun.SOLAR_CONSTANT}  # fmt: skip


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
        still_air_film, air, air_at_one_bar, vapour, wet_bulb, wet_rope, clear_skies, sun_height, sun_of_a_typical_year,
        clear_sky, cylinder_sun,
    )
}  # fmt: skip
