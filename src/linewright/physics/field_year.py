"""A section of rope through a year of hourly weather, exact in time.

While the weather stays the section is linear, and its change over an hour is a matrix. Round the
rope the film is even, so that the waves round it do not mix: each is a problem in radius alone,
whose matrices for all hours come from one batch of small symmetric eigenproblems.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linewright.physics.field import Balance
from linewright.physics.field_grid import Grid
from linewright.physics.field_solve import radial_parts, ring_modes
from linewright.physics.types import Array, Flags, Real

BATCH = 2048  # hours whose matrices are held together


@dataclass(frozen=True)
class Hours:
    """What acts in each hour and what the rope is like in it, numbers or shape (hours,).

    Attributes
    ----------
    air : temperature of the air [K]
    film : total film coefficient, radiation in it [W/(m2 K)]
    flux : absorbed sun less what sky and evaporation take, (hours,) or (hours, angle) [W/m2]
    heat : heat per volume [W/m3]
    across : conductivity across and round the rope; a wet rope has another [W/(m K)]
    capacity : heat capacity per volume [J/(m3 K)]
    length : of an hour [s]
    """

    air: Array
    film: Real
    flux: Real
    heat: Real
    across: Real
    capacity: Real
    length: float = 3600.0

    def __post_init__(self) -> None:
        """Refuse gaps and what must be above 0."""
        for name in ("air", "film", "across", "capacity", "length"):
            value = np.asarray(getattr(self, name), dtype=float)
            if not np.all(np.isfinite(value)) or np.any(value <= 0.0):
                raise ValueError(f"{name} of every hour must be a number above 0: {_where(value <= 0.0, value)}")
        for name in ("flux", "heat"):
            value = np.asarray(getattr(self, name), dtype=float)
            if not np.all(np.isfinite(value)):
                raise ValueError(f"{name} of every hour must be a finite number: {_where(value != value, value)}")


@dataclass(frozen=True)
class Year:
    """Temperatures at the end of each hour, first axis the hours.

    Attributes
    ----------
    core : on the axis [K]
    mean : of the section [K]
    skin : of the faces round the rope, shape (hours, angle) [K]
    core_mean : on the axis, mean over each hour [K]
    cells : of the cells after the last hour, shape (radius, angle) [K]
    balance : energies of one metre over all hours [fields]
    """

    core: Array
    mean: Array
    skin: Array
    core_mean: Array
    cells: Array
    balance: Balance


@dataclass(frozen=True)
class _Given:
    """The hours as arrays (hours,), flux (hours, angle), rises above the mean air; D half a cell, H the film."""

    hours: Hours
    zero: float
    air: Array
    film: Array
    flux: Array
    heat: Array
    across: Array
    capacity: Array
    inner: Array


def section_year(grid: Grid, hours: Hours, start: float | Array | None = None) -> Year:
    """Temperatures of a section through hours of weather, each hour's weather even.

    Parameters
    ----------
    grid : cells in radius and angle, one along the rope [fields]
    hours : weather, heat and properties [fields]
    start : temperature before the first hour, or of the cells (radius, angle); the first air when left out [K]

    Returns
    -------
    temperatures hour by hour, and energies [fields]

    From
    ----
    Matrix exponential of the heat balances, docs/explanation/field.md.
    """
    if grid.shape[2] != 1:
        raise ValueError("a section has one cell along the rope")
    given = _given(grid, hours)
    first = given.air[0] + given.zero if start is None else start
    before = np.broadcast_to(np.asarray(first, dtype=float), grid.shape[:2]) - given.zero
    values, waves = ring_modes(grid)
    width = grid.steps[1]
    inputs = (given.flux * width) @ waves  # of each wave, (hours, wave)
    starts = (before * width) @ waves  # (radius, wave)
    even_weight = np.where(np.arange(values.size) == 0, width @ waves, 0.0)  # of what is the same all round
    outer = np.zeros((given.air.size, values.size))
    end, even = np.zeros(grid.shape[:2]), np.zeros((0, 0, 0))
    for wave, value in enumerate(values):
        if wave and not np.any(inputs[:, wave]) and not np.any(starts[:, wave]):
            continue
        after, during = _wave(grid, given, (float(value), float(even_weight[wave])), inputs[:, wave], starts[:, wave])
        outer[:, wave] = after[:, -1]
        end += after[-1][:, None] * waves[:, wave]
        even = np.stack([after, during]) * waves[0, 0] if wave == 0 else even
    return _year(grid, given, (outer @ waves.T, even, end, before))


def _given(grid: Grid, hours: Hours) -> _Given:
    air = np.asarray(hours.air, dtype=float)
    count = air.size
    film, heat, across, capacity = (
        np.broadcast_to(np.asarray(value, dtype=float), (count,))
        for value in (hours.film, hours.heat, hours.across, hours.capacity)
    )
    flux = np.asarray(hours.flux, dtype=float)
    flux = np.broadcast_to(flux[:, None] if flux.ndim == 1 else flux, (count, grid.shape[1]))
    zero = float(np.mean(air))
    inner = 2.0 * across * grid.skin / (grid.skin**2 - grid.square[-1])
    return _Given(hours, zero, air - zero, film, flux, heat, across, capacity, inner)


def _wave(grid: Grid, given: _Given, which: tuple[float, float], flux: Array, start: Array) -> tuple[Array, Array]:
    """One wave round the rope: rises (hours, radius) at the end of each hour, and their mean over it."""
    value, even = which
    weight = 0.5 * grid.steps[0]
    radial, ring = radial_parts(grid)
    shape = radial + value * np.diag(ring)
    passed = given.inner / (given.inner + given.film)
    into = grid.skin * passed * flux
    after, during = np.empty((given.air.size, weight.size)), np.empty((given.air.size, weight.size))
    rise = start
    for begin in range(0, given.air.size, BATCH):
        part = slice(begin, begin + BATCH)
        matrices = given.across[part, None, None] * shape
        matrices[:, -1, -1] += grid.skin * (passed * given.film)[part]
        inputs = given.heat[part, None] * weight * even
        inputs[:, -1] += into[part] + grid.skin * (passed * given.film * given.air)[part] * even
        scale = np.sqrt(given.capacity[part, None] * weight)
        after[part], during[part] = _hourly(matrices, inputs, scale, given.hours.length, rise)
        rise = after[part][-1]
    return after, during


def _hourly(matrices: Array, inputs: Array, scale: Array, length: float, rise: Array) -> tuple[Array, Array]:
    """Rises at the end of each hour and their mean over it, from that before the first."""
    rates, vectors = np.linalg.eigh(matrices / (scale[:, :, None] * scale[:, None, :]))
    left, right = vectors / scale[:, :, None], np.swapaxes(vectors, 1, 2) * scale[:, None, :]
    gone = rates * length
    ahead = (left * np.exp(-gone)[:, None, :]) @ right
    settled = _times(left, _times(np.swapaxes(left, 1, 2), inputs) / rates)
    added = settled - _times(ahead, settled)
    rises = np.vstack([rise, added])
    for hour, matrix in enumerate(ahead):
        rises[hour + 1] += matrix @ rises[hour]
    during = settled + _times(left, -np.expm1(-gone) / gone * _times(right, rises[:-1] - settled))
    return rises[1:], during


def _times(matrices: Array, vectors: Array) -> Array:
    """Each hour's matrix times its vector."""
    return (matrices @ vectors[:, :, None])[:, :, 0]


def _year(grid: Grid, given: _Given, found: tuple[Array, Array, Array, Array]) -> Year:
    """Rises as temperatures, with the energies of one metre: waves round the rope carry none of it."""
    outer, (after, during), end, before = found
    total, length = given.inner + given.film, given.hours.length
    skin = (given.inner[:, None] * outer + (given.film * given.air)[:, None] + given.flux) / total[:, None]
    weight = grid.steps[0] / grid.skin**2
    area = 0.5 * grid.span * grid.skin**2
    flux = given.flux @ grid.steps[1] / grid.span
    face = (given.inner * during[:, -1] + given.film * given.air + flux) / total
    lost = float(np.sum(given.film * (face - given.air))) * grid.skin * grid.span * length
    made = {
        "heat": float(np.sum(given.heat)) * area * length,
        "surface": float(np.sum(flux)) * grid.skin * grid.span * length,
    }
    held = np.vstack([(before @ grid.steps[1] / grid.span), after]) @ weight
    stored = float(np.sum(given.capacity * np.diff(held))) * area
    inner = grid.axis.size
    return Year(
        after[:, :inner] @ grid.axis + given.zero, after @ weight + given.zero, skin + given.zero,
        during[:, :inner] @ grid.axis + given.zero, end + given.zero, Balance(made, {"air": lost}, stored),
    )  # fmt: skip


def _where(wrong: Flags, value: Array) -> str:
    """How many hours are wrong and which is the first."""
    hours = np.flatnonzero(
        np.any((wrong | ~np.isfinite(value)).reshape(value.shape[0] if value.ndim else 1, -1), axis=1)
    )
    return f"{hours.size} are not, first hour {int(hours[0])}"
