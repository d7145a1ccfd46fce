"""Hours of weather inside a state, and the classes that stand for them."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from linewright.cards.model import Climate
from linewright.importers.model import HourlyYear
from linewright.physics import film, sun
from linewright.physics.types import Array

ALBEDO = 0.1
CLASSES = 24
DAY_NODES = np.array([-np.sqrt(3.0), 0.0, np.sqrt(3.0)])
DAY_WEIGHTS = np.array([1.0, 4.0, 1.0]) / 6.0
WIND_THIRDS = np.array([0.4594, 0.9431, 1.5975])  # means of the thirds of a Rayleigh law of mean 1
MIDDLE_DAY = np.array([17, 47, 75, 105, 135, 162, 198, 228, 258, 288, 318, 344], dtype=float)
HOT_HOUR = 0.95


@dataclass(frozen=True)
class Weather:
    """Weather of hours or classes, shape (..., H); weights of a state add to 1."""

    air: Array
    dew_point: Array
    wind: Array
    sky: Array
    beam: Array
    diffuse: Array
    level: Array
    sine: Array
    weight: Array

    def stack(self, others: list[Weather]) -> Weather:
        """Several states' weather on one axis J, shape (J, H)."""
        rows = [self, *others]
        return Weather(
            **{field.name: np.stack([getattr(row, field.name) for row in rows]) for field in fields(Weather)}
        )


def hours_of(climate: Climate, months: tuple[int, ...], year: HourlyYear | None = None) -> Weather:
    """Hours of the months of a climate: those of its typical year, or made from its monthly table."""
    return _typical_hours(climate, months) if year is None else _year_hours(climate, months, year)


def calendar(climate: Climate, months: tuple[int, ...], year: HourlyYear | None = None) -> tuple[Array, Array]:
    """Month (1 to 12) and solar hour (0 to 23) of each of `hours_of`; noon is when the sun stands highest."""
    if year is None:
        chosen = list(months) or list(range(1, 13))
        kinds = len(DAY_NODES) * len(WIND_THIRDS) * 3
        return np.repeat(chosen, 24 * kinds).astype(float), np.tile(np.repeat(np.arange(24.0), kinds), len(chosen))
    hour = np.arange(len(year.month)) % 24
    noon = int(np.argmax(np.bincount(hour, year.elevation, 24)))
    own = np.isin(year.month, months) if months else np.ones(len(year.month), dtype=bool)
    return year.month[own].astype(float), ((hour - noon + 12) % 24)[own].astype(float)


def _year_hours(climate: Climate, months: tuple[int, ...], year: HourlyYear) -> Weather:
    """The hours of a typical year that fall into the months; sun where the year's station lies."""
    chosen = np.isin(year.month, months) if months else np.ones(len(year.month), dtype=bool)
    air, dew, cloud = year.air[chosen], year.dew_point[chosen], year.cloud[chosen]
    sky = np.asarray(film.sky_temperature(air, dew, cloud))
    sine = np.asarray(sun.mean_sine_to_axis(np.maximum(year.elevation[chosen], 0.0)))
    weight = np.full(len(air), 1.0 / len(air))
    wind = climate.wind_at_line * year.wind[chosen]
    return Weather(air, dew, wind, sky, year.beam[chosen], year.diffuse[chosen], year.level[chosen], sine, weight)


def _typical_hours(climate: Climate, months: tuple[int, ...]) -> Weather:
    """Hours of the months of a climate card: 24 solar hours, kinds of day, of wind and of sky.

    The day's temperature is a cosine with its peak at 15 h; three days stand at the nodes of a Gauss-Hermite
    rule of the card's spread between days. Wind follows Rayleigh's law about its mean, in thirds. The sky is
    clear, half covered or overcast, a binomial law about the mean cloud: the laws of sun and sky are made for
    hours, not for means.
    """
    chosen = [month - 1 for month in months] or list(range(12))
    names = climate.months[0].__dataclass_fields__
    table = {name: np.array([getattr(climate.months[m], name) for m in chosen]) for name in names}
    month = {name: values[:, None, None, None, None] for name, values in table.items()}
    hour = np.asarray(np.arange(24) + 0.5, dtype=np.float64)[None, :, None, None, None]
    middle, half = 0.5 * (month["air_high"] + month["air_low"]), 0.5 * (month["air_high"] - month["air_low"])
    day = month["day_spread"] * DAY_NODES[None, None, :, None, None]
    air = middle + half * np.cos(2.0 * np.pi * (hour - 15.0) / 24.0) + day
    elevation = np.asarray(sun.solar_elevation(climate.latitude, MIDDLE_DAY[chosen][:, None, None, None, None], hour))
    cloud = np.array([0.0, 0.5, 1.0])
    level = np.asarray(sun.cloudy_global(sun.clear_sky_global(elevation), cloud))
    beam, diffuse = sun.beam_and_diffuse(level, elevation + 0.0 * cloud)
    dew = np.minimum(month["dew_point"], air)
    wind = climate.wind_at_line * month["wind"] * WIND_THIRDS[None, None, None, :, None]
    sky_share = np.where(cloud == 0.5, 2.0, 1.0) * month["cloud"] ** (2.0 * cloud)
    sky_share = sky_share * (1.0 - month["cloud"]) ** (2.0 * (1.0 - cloud))
    weight = DAY_WEIGHTS[None, None, :, None, None] * sky_share / (3.0 * 24.0 * len(chosen))
    sine = sun.mean_sine_to_axis(np.maximum(elevation, 0.0))
    parts = [air, dew, wind, film.sky_temperature(air, dew, cloud), beam, diffuse, level, sine, weight]
    return Weather(*(np.ascontiguousarray(part).ravel() for part in np.broadcast_arrays(*parts)))


def classes(hours: Weather, core: Array) -> Weather:
    """The hot hour (weight 0, index 0) and 24 classes of one state's hours, ordered by core temperature.

    `core` is the central core temperature at the hottest place of each hour, shape (H,). The hot
    hour is the 95 % point. Classes are finer at the hot end, where the laws are steep.
    """
    order = np.argsort(core, kind="stable")
    cumulative = np.cumsum(hours.weight[order])
    cumulative /= cumulative[-1]
    hot = order[min(int(np.searchsorted(cumulative, HOT_HOUR)), len(order) - 1)]
    edges = 1.0 - (1.0 - np.linspace(0.0, 1.0, CLASSES + 1)) ** 1.6
    label = np.clip(np.searchsorted(edges, cumulative - 1e-12) - 1, 0, CLASSES - 1)
    weight = np.bincount(label, hours.weight[order], CLASSES)
    safe = np.maximum(weight, 1e-300)
    rows = {}
    for field in fields(Weather):
        values = getattr(hours, field.name)[order]
        mean = np.bincount(label, values * hours.weight[order], CLASSES) / safe
        mean = np.where(weight > 0.0, mean, values[0])
        rows[field.name] = np.r_[getattr(hours, field.name)[hot], mean]
    rows["weight"] = np.r_[0.0, weight]
    return Weather(**rows)
