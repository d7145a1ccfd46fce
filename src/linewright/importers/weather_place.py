"""Place, calendar, interval and sun of the hourly formats that state where they lie."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linewright.base.errors import InputError, Problem
from linewright.importers import weather_clock, weather_sun
from linewright.importers.report import Array, Log
from linewright.importers.weather_clock import HOUR
from linewright.importers.weather_series import Reading


@dataclass(frozen=True)
class Place:
    """What the LOCATION line says: degrees north and east, hours ahead of UTC, height [m] as text."""

    latitude: float
    longitude: float
    zone: float
    height: str


def checked_place(name: str, place: Place) -> Place:
    """The place, its longitude within 180 degrees. Raises InputError if it lies nowhere."""
    longitude = place.longitude - 360.0 if 180.0 < place.longitude <= 360.0 else place.longitude
    if not (abs(place.latitude) <= 90.0 and abs(longitude) <= 180.0 and abs(place.zone) <= 14.0):
        read = f"latitude {place.latitude:g}, longitude {place.longitude:g}, zone {place.zone:g}"
        raise InputError(f"{name} lies nowhere.", [Problem(name, read, "a place on the globe, zone in hours")])
    return Place(place.latitude, longitude, place.zone, place.height)


def notes(place: Place, minutes: float, calendar: dict[int, int], label: str = "end") -> dict[str, object]:
    """What must be known of place, interval and wind to use the hours of a typical-year format."""
    centre = -30.0 * minutes if label == "end" else 30.0 * minutes
    found: dict[str, object] = {
        "latitude": place.latitude,
        "longitude": place.longitude,
        "utc_offset_hours": place.zone,
        "height": place.height,
        "interval": {
            "label": label,
            "minutes": minutes,
            "centre_seconds": centre,
            "of": "radiation is the mean of the interval",
        },
        "state_centre_seconds": centre,
        "wind": "direction from, degrees true; 10 m above open ground by convention, the file does not say",
    }
    if calendar:
        found["typical_year"] = {str(month): year for month, year in calendar.items()}
    return found


def times(days: list[tuple[int, int, int]], seconds: Array, zone: float, log: Log) -> tuple[Array, dict[int, int]]:
    """UTC times, on one calendar if the months come from different years."""
    laid, months = weather_clock.on_one_calendar(days, seconds)
    if laid is None:
        laid = np.array([weather_clock.day_start(*day) for day in days], dtype=float) + seconds
    else:
        flag_typical(log, months)
    return laid - zone * HOUR, months


def flag_typical(log: Log, months: dict[int, int]) -> None:
    """Say that months come from different years."""
    told = ", ".join(f"{month}: {year}" for month, year in months.items())
    text = f"a typical year: months come from different years (month: year {told}); they are laid on one calendar"
    log.flag("typical-year", text)


def check_sun(reading: Reading, time: Array, place: Place) -> None:
    """Judge the radiation by the sun: parts, solar noon, gaps that read 0 by day."""
    if "level" not in reading.values:
        return
    weather_sun.check_parts(reading)
    weather_sun.check_noon(reading, time, (place.latitude, place.longitude))
