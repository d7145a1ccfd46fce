"""The hours of one calendar year at a place: gaps, the sun over them, cloud and radiation from each other."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from linewright.base.errors import InputError, Problem
from linewright.importers import weather_clock, weather_sun, zones
from linewright.importers.report import Array, Log
from linewright.importers.weather_clock import DAY, HOUR

LONGEST_SKY_GAP = 24  # hours of cloud that are interpolated
SUN = ("level", "beam", "diffuse")
BRIGHT = 100.0  # [W/m2] clear-sky light from which a share of it tells the cloud


@dataclass(frozen=True)
class Grid:
    """The hours of one calendar year of a place: first hour [UTC s], their count, degrees, hours ahead of UTC."""

    start: float
    count: int
    year: int
    latitude: float
    longitude: float
    zone: float
    rows: Mapping[int, int] = field(default_factory=dict)  # last line of the file in each hour that has one

    def behind(self, hour: int) -> str:
        """The line of the file behind which an hour stands, in words; nothing where it is not known."""
        before = max((own for own in self.rows if own < hour), default=None)
        return "" if before is None else f", behind row {self.rows[before]}"

    @property
    def middle(self) -> Array:
        """Middles of the hours [UTC s]."""
        return np.asarray(self.start + (np.arange(self.count) + 0.5) * HOUR, dtype=np.float64)

    def date(self, hour: int) -> str:
        """Date and hour as text, in the zone of the year, which it names."""
        local = weather_clock.iso(self.start + self.zone * HOUR + hour * HOUR)[:13].replace("T", " ")
        return f"{local} h {zones.offset_text(self.zone * HOUR)}"


Filling = tuple[Grid, Log, list[Problem]]


def filled(values: Array, key: str, known: Filling, longest: int) -> Array:
    """Gaps up to `longest` hours interpolated and flagged; longer ones become problems with their dates and rows."""
    grid, log, problems = known
    gaps = _gaps(values)
    long = [(first, count) for first, count in gaps if count > longest]
    short = [(first, count) for first, count in gaps if count <= longest]
    for first, count in long[:20]:
        read = f"no value from {grid.date(first)} for {count} h{grid.behind(first)}"
        problems.append(Problem(key, read, f"gaps of at most {longest} h"))
    if len(long) > 20:
        problems.append(Problem(key, f"{len(long)} gaps in all", f"gaps of at most {longest} h"))
    if not short:
        return values
    total = sum(count for _, count in short)
    text = f"{key}: {total} missing hours in {len(short)} gaps of at most {longest} h are interpolated"
    log.flag("gap-filled", f"{text}, the first at {grid.date(short[0][0])}", "caution", key)
    good = np.flatnonzero(np.isfinite(values))
    filled = values.copy()
    for first, count in short:
        hours = np.arange(first, first + count)
        filled[hours] = np.interp(hours, good, values[good])
    return filled


def _gaps(values: Array) -> list[tuple[int, int]]:
    """First index and length of each run of missing values."""
    edges = np.diff(np.r_[0, np.isnan(values).astype(np.int8), 0])
    starts, ends = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    return [(int(first), int(last - first)) for first, last in zip(starts, ends, strict=True)]


def elevation_of(grid: Grid) -> Array:
    """Height of the sun in the middle of each hour [rad]."""
    import pandas as pd
    from pvlib import solarposition

    moments = pd.DatetimeIndex(np.round(grid.middle).astype("datetime64[s]").astype("datetime64[ns]"), tz="UTC")
    found = solarposition.get_solarposition(moments, grid.latitude, grid.longitude)
    return np.radians(found["elevation"].to_numpy(dtype=float))


def complete_sky(
    hours: dict[str, Array], elevation: Array, grid: Grid, known: tuple[Log, Mapping[str, float | None]]
) -> None:
    """Cloud, global, direct and diffuse radiation in every hour: what is missing from what is there."""
    from pvlib import irradiance

    log, asked = known
    nothing = np.full(grid.count, np.nan)
    level, beam, diffuse = (hours.get(key, nothing) for key in SUN)
    zenith = 90.0 - np.degrees(elevation)
    sine = np.maximum(np.sin(elevation), 0.0)
    clear = weather_sun.clear_sky(elevation)
    level = np.where(np.isnan(level), beam * sine + diffuse, level)
    cloud = hours.get("cloud", nothing) if asked["cloud"] is None else np.full(grid.count, asked["cloud"])
    cloud = _cloud(cloud, level, clear, (grid, log, []))
    dark = np.isnan(level) & (sine <= 0.0)
    level = np.where(dark, 0.0, level)
    made = np.isnan(level)
    if made.any():
        laws = "clear sky (Haurwitz 1945) under the cloud (Kasten and Czeplak 1980)"
        text = f"global radiation of {made.sum()} hours of day is an estimate: {laws}"
        log.flag("radiation-estimated", text, "caution", "level")
        level = np.where(made, clear * (1.0 - 0.75 * cloud**3.4), level)
    split = np.isnan(beam) | np.isnan(diffuse)
    if split.any():
        told = irradiance.erbs(level, zenith, _day_of_year(grid))
        if np.any(split & (sine > 0.0)):
            log.flag(
                "radiation-split",
                f"direct and diffuse light of {int(np.sum(split & (sine > 0.0)))} hours after Erbs 1982",
                "caution",
            )
        beam = np.where(split, np.where(sine > 0.0, np.asarray(told["dni"]), 0.0), beam)
        diffuse = np.where(split, np.where(sine > 0.0, np.asarray(told["dhi"]), level), diffuse)
    hours.update(level=level, beam=beam, diffuse=diffuse, cloud=cloud)


def _day_of_year(grid: Grid) -> Array:
    return np.floor((grid.middle + grid.zone * HOUR - (grid.start + grid.zone * HOUR)) / DAY) + 1.0


def _cloud(cloud: Array, level: Array, clear: Array, known: Filling) -> Array:
    """Cloud as given, short gaps interpolated, else from the light that comes through."""
    grid, log, _ = known
    problems: list[Problem] = []
    if np.isfinite(cloud).any():
        cloud = filled(cloud, "cloud", (grid, log, problems), LONGEST_SKY_GAP)
    absent = np.isnan(cloud)
    if not absent.any():
        return cloud
    seen = np.isfinite(level) & (clear > BRIGHT)
    if not seen.any():
        raise InputError(
            "The sky of the year is not known.",
            problems or [Problem("cloud", "no cloud and no radiation", "one of them")],
        )
    share = np.clip(np.where(seen, level, 0.0) / np.where(seen, clear, 1.0), 0.25, 1.0)
    by_light = ((1.0 - share) / 0.75) ** (1.0 / 3.4)
    known_hours = np.flatnonzero(seen)
    guess = np.interp(np.arange(grid.count), known_hours, by_light[known_hours], period=float(grid.count))
    text = f"cloud of {absent.sum()} hours is an estimate from the light of day (Kasten and Czeplak 1980)"
    log.flag("cloud-estimated", text, "caution", "cloud")
    return np.where(absent, guess, cloud)
