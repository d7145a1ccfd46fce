"""Where the sun stands, to half a degree: enough to see a radiation column that is an hour off."""

from __future__ import annotations

import numpy as np

from linewright.importers.report import Array
from linewright.importers.weather_clock import DAY, month_day
from linewright.importers.weather_series import Reading

NOON_LIMIT = 30.0  # [min]
DAYLIGHT = np.radians(15.0)
BRIGHT_DAY = 3.6e6  # [J/m2] clear-sky light of a day that can be judged
CLEAR = 0.8  # of the clear-sky sum: a clear day


def _turn(time: Array) -> Array:
    """Angle of the year [rad], 0 at the start of January."""
    return 2.0 * np.pi * np.mod(time / DAY, 365.2425) / 365.2425


def equation_of_time(time: Array) -> Array:
    """Sundial minus clock [s] (Spencer 1971)."""
    turn = _turn(time)
    minutes = 229.18 * (
        0.000075
        + 0.001868 * np.cos(turn)
        - 0.032077 * np.sin(turn)
        - 0.014615 * np.cos(2 * turn)
        - 0.040849 * np.sin(2 * turn)
    )
    return minutes * 60.0


def elevation(time: Array, latitude: float, longitude: float) -> Array:
    """Height of the sun [rad] at UTC times [s], of a place in degrees (declination after Spencer 1971)."""
    turn = _turn(time)
    declination = (
        0.006918 - 0.399912 * np.cos(turn) + 0.070257 * np.sin(turn) - 0.006758 * np.cos(2 * turn)
        + 0.000907 * np.sin(2 * turn) - 0.002697 * np.cos(3 * turn) + 0.00148 * np.sin(3 * turn)
    )  # fmt: skip
    hour_angle = _solar_angle(time, longitude)
    place = np.radians(latitude)
    height = np.sin(place) * np.sin(declination) + np.cos(place) * np.cos(declination) * np.cos(hour_angle)
    return np.arcsin(np.clip(height, -1.0, 1.0))


def _solar_angle(time: Array, longitude: float) -> Array:
    """Hour angle [rad], 0 at solar noon."""
    solar = time + longitude * 240.0 + equation_of_time(time)
    return 2.0 * np.pi * (solar / DAY - 0.5)


def clear_sky(height: Array) -> Array:
    """Global irradiance under a clear sky [W/m2] (Haurwitz 1945)."""
    sine = np.maximum(np.sin(height), 1e-3)
    return np.where(sine > 1e-3, 1098.0 * sine * np.exp(-0.059 / sine), 0.0)


def noon_shifts(centre: Array, sun: Array, place: tuple[float, float]) -> dict[int, list[float]]:
    """Minutes from solar noon to the radiation-weighted centre of each clear whole day, by month.

    A day is 24 h from the first row on; the centre is that of angles, so that any start of the day will do.
    """
    steps = np.diff(np.unique(centre))
    if not len(steps):
        return {}
    step = float(np.median(steps))
    days, first, of = np.unique(np.floor((centre - centre.min()) / DAY), return_index=True, return_inverse=True)

    def total(values: Array) -> Array:
        return np.asarray(np.bincount(of, values, minlength=len(days)), dtype=np.float64)

    angle = _solar_angle(centre, place[1])
    light, clear = total(np.nan_to_num(sun)), total(clear_sky(elevation(centre, *place)))
    whole = (total(np.ones(len(centre))) * step >= 0.95 * DAY) & (total(np.isnan(sun).astype(np.float64)) == 0.0)
    fit = whole & (clear * step > BRIGHT_DAY) & (light >= CLEAR * clear)
    minutes = np.arctan2(total(np.nan_to_num(sun) * np.sin(angle)), total(np.nan_to_num(sun) * np.cos(angle)))
    found: dict[int, list[float]] = {}
    for day in np.flatnonzero(fit):
        month = month_day(float(centre[first[day]]))[1]
        found.setdefault(month, []).append(float(minutes[day]) / (2.0 * np.pi) * 1440.0)
    return found


def check_noon(reading: Reading, centre: Array, place: tuple[float, float]) -> None:
    """Flag months whose clear days have the sun's centre more than half an hour off solar noon; else look at gaps."""
    log, sun, column = reading.log, reading.values["level"], reading.specs["level"].name
    months = {month: float(np.median(shifts)) for month, shifts in noon_shifts(centre, sun, place).items()}
    if months:
        log.notes["solar_noon_minutes"] = {str(month): round(shift, 1) for month, shift in sorted(months.items())}
    wrong = {month: shift for month, shift in sorted(months.items()) if abs(shift) > NOON_LIMIT}
    if wrong:
        told = ", ".join(f"month {month}: {shift:+.0f} min" for month, shift in wrong.items())
        text = f"the sun of clear days does not stand at solar noon ({told}): check time zone, place and interval"
        log.flag("sun-shifted", text, "caution", column)
        return
    _check_dark(reading, elevation(centre, *place))


def _check_dark(reading: Reading, height: Array) -> None:
    """No light with the sun well up is a gap; light with the sun well down is doubtful."""
    log, sun, column = reading.log, reading.values["level"], reading.specs["level"].name
    gap = (sun == 0.0) & (height > DAYLIGHT)
    if gap.any():
        text = f"{column} is 0 with the sun more than 15 degrees up: a gap, read as missing"
        log.flag("sun-gap", text, "caution", column, reading.rows[gap])
        for row in reading.rows[gap]:
            log.replace(int(row), column, "0", "no light by day is a gap")
        reading.values["level"] = np.where(gap, np.nan, sun)
    night = (sun > 50.0) & (height < -DAYLIGHT)
    if night.any():
        text = f"{column} has light with the sun more than 15 degrees down: check time zone and place"
        log.flag("sun-at-night", text, "caution", column, reading.rows[night])


def check_parts(reading: Reading) -> None:
    """Where the level has sun and both its parts are 0, the parts are filled in and become missing."""
    level, beam, diffuse = (reading.values.get(name) for name in ("level", "beam", "diffuse"))
    if level is None or beam is None or diffuse is None:
        return
    filled = (level > 20.0) & (beam == 0.0) & (diffuse == 0.0)
    if not filled.any():
        return
    names = [reading.specs[name].name for name in ("beam", "diffuse")]
    text = f"{' and '.join(names)} are 0 where the global radiation is not: they are gaps, read as missing"
    reading.log.flag("sun-parts-zero", text, "caution", names[0], reading.rows[filled])
    for name in ("beam", "diffuse"):
        for row in reading.rows[filled]:
            reading.log.replace(
                int(row), reading.specs[name].name, "0", "no diffuse light under a shining sky is impossible"
            )
        reading.values[name] = np.where(filled, np.nan, reading.values[name])
