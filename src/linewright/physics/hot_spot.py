"""The hot spot: a rope over one or several contacts, in radius, round the rope and along it.

Bending heat lies about both tangent points over the stroke, friction in the faces that touch, steel carries its own
balance. All contacts touch on one plane of symmetry, which halves the rope; a single contact that is bent alike on
both sides has a second one in its middle.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np

from linewright.physics.field import HOTTEST, Balance, core, even_state, section_mean, shares, steady
from linewright.physics.field_grid import Grid, along_edges, angle_edges, radial_edges, strip
from linewright.physics.field_parts import Contact, Load, Property, Rope, Steel, Surface
from linewright.physics.field_system import State
from linewright.physics.field_time import Steps, history
from linewright.physics.profile import decay_length
from linewright.physics.types import Array, Real

DECAYS = 8.0  # lengths of the slowest decay beyond the last contact: what is left there is 0.03 %
LEAST_BEYOND = 0.1  # [m]
CELLS = (16, 20)  # in radius, and round half of the rope
FINEST = 1.0 / 6.0  # of the radius, cells beside a tangent
GROWTH = 1.15


@dataclass(frozen=True)
class Touch:
    """A contact and the bending at its ends.

    Attributes
    ----------
    contact : place, steel and friction of the whole contact, its angle 0 or pi [fields]
    bend : bending heat at the lower and at the higher tangent point [W]
    stroke : length about each tangent point that the heat spreads over [m]
    """

    contact: Contact
    bend: tuple[float, float]
    stroke: float

    def __post_init__(self) -> None:
        """Refuse a stroke of nothing, bending that cools, and contacts off the plane of symmetry."""
        if not (np.isfinite(self.stroke) and self.stroke > 0.0):
            raise ValueError(f"the stroke that bending heat spreads over must be above 0, not {self.stroke:g} m")
        if not (np.all(np.isfinite(self.bend)) and min(self.bend) >= 0.0):
            raise ValueError("bending heat must be 0 or more")
        if not np.any(np.isclose(self.contact.angle, (0.0, np.pi))):
            raise ValueError(f"contacts of a hot spot touch at the angle 0 or pi, not {self.contact.angle:g}")

    @property
    def ends(self) -> tuple[float, float]:
        """Where the rope meets and leaves the steel [m]."""
        half = 0.5 * self.contact.length
        return self.contact.middle - half, self.contact.middle + half


@dataclass(frozen=True)
class Spot:
    """A rope at its contacts.

    Attributes
    ----------
    radius : of the rope [m]
    across : conductivity across the rope [W/(m K)]
    along : conductivity along the rope [W/(m K)]
    surface : what the free skin meets; numbers, the same all round [fields]
    tension : hysteresis and other heat of the section by name [W/m3]
    touches : the contacts in order along the rope; none for a free span [fields]
    capacity : heat capacity per volume; plays no part while nothing changes [J/(m3 K)]
    outer : parts of the surface's flux by name, which add up to it; their shares are told apart [W/m2]
    """

    radius: float
    across: Property
    along: Property
    surface: Surface
    tension: dict[str, Property]
    touches: tuple[Touch, ...]
    capacity: float = 1.1e6
    outer: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class SpotField:
    """Temperatures of a hot spot.

    Attributes
    ----------
    place : along the rope, middle of the cells [m]
    core : on the axis [K]
    mean : of the sections [K]
    skin : hottest face of each section [K]
    at : core at lower tangent, middle and higher tangent of each contact, shape (c, 3) [K]
    face : mean of the touching faces of each contact [K]
    hottest_face : of each contact [K]
    steel : at each contact [K]
    free : core of the free span, far from all contacts [K]
    decay : lengths over which the rise of section mean, core and skin above the free span falls to 1/e behind the
        last contact, NaN where there is none [m]
    rises : rise of the hottest core above the air by source; they add up [K]
    balance : of the part modelled [fields]
    state : temperatures of all cells and faces [fields]
    grid : cells of the part modelled [fields]
    """

    place: Array
    core: Array
    mean: Array
    skin: Array
    at: Array
    face: Array
    hottest_face: Array
    steel: Array
    free: float
    decay: tuple[float, float, float]
    rises: dict[str, float]
    balance: Balance
    state: State
    grid: Grid

    @property
    def hottest(self) -> tuple[float, float]:
        """Place [m] and temperature [K] of the hottest core."""
        n = int(np.argmax(self.core))
        return float(self.place[n]), float(self.core[n])


def hot_spot(spot: Spot, cells: tuple[int, int] = CELLS, finest: float = FINEST, limit: float = HOTTEST) -> SpotField:
    """Steady temperatures of a rope at its contacts.

    Parameters
    ----------
    spot : rope, surroundings and contacts [fields]
    cells : in radius and round half of the rope [-]
    finest : length of the cells beside a tangent, over the radius [-]
    limit : temperature below which a steady field is sought; Runaway is raised where there is none [K]

    Returns
    -------
    temperatures, shares of the sources, balance [fields]

    From
    ----
    Finite volumes, docs/explanation/field.md; the rope is a cylinder that steel touches along a strip.
    """
    part = 0.25 if is_mirrored(spot) else 0.5
    grid = _grid(spot, cells, finest)
    rope = Rope(grid, spot.across, spot.along, spot.capacity)
    load = load_of(spot, grid, part)
    found = steady(rope, load, limit=limit)
    state, balance = found.state, found.balance
    axis, mean = core(grid, state.cells), section_mean(grid, state.cells)
    skin = state.skin.max(axis=0)
    place = grid.middle[1]
    free = float(axis[-1])
    by_source = shares(rope, load, state)
    n = int(np.argmax(axis))
    rises = {name: float(core(grid, rise.cells)[n]) for name, rise in by_source.items()}
    if spot.outer:
        even = shares(rope, replace(load, surface=replace(spot.surface, flux=1.0)), state)["surface"]
        per_flux = float(core(grid, even.cells)[n])
        rises = {**{name: rise for name, rise in rises.items() if name != "surface"},
                 **{name: flux * per_flux for name, flux in spot.outer.items()}}  # fmt: skip
    covers = [contact.cover(grid) * grid.area for contact in load.contacts]
    face = np.array([np.sum(cover * state.skin) / np.sum(cover) for cover in covers])
    hottest = np.array([state.skin[cover > 0.0].max() for cover in covers])
    end = spot.touches[-1].ends[1] if spot.touches else 0.0
    decay = tuple(_falls_to_1_e(place, values - values[-1], end) for values in (mean, axis, skin))
    at = np.array([[_at(place, axis, z) for z in (*_mirrored(touch, part), touch.ends[1])] for touch in spot.touches])
    return SpotField(place, axis, mean, skin, at.reshape(-1, 3), face, hottest, state.steel, free,
                     (decay[0], decay[1], decay[2]), rises, balance, state, grid)  # fmt: skip


def is_mirrored(spot: Spot) -> bool:
    """Whether the rope is alike on both sides of its only contact, which then lies at 0.

    Parameters
    ----------
    spot : rope, surroundings and contacts [fields]

    Returns
    -------
    True where half the length is enough [-]

    From
    ----
    Definition.
    """
    if len(spot.touches) != 1:
        return False
    (touch,) = spot.touches
    return touch.bend[0] == touch.bend[1] and touch.contact.middle == 0.0


def _mirrored(touch: Touch, part: float) -> tuple[float, float]:
    """Places of the lower tangent and the middle, on the modelled side."""
    low, high = touch.ends
    return (high if part == 0.25 else low), touch.contact.middle


def load_of(spot: Spot, grid: Grid, part: float) -> Load:
    """What acts on the modelled part of a hot spot.

    Parameters
    ----------
    spot : rope, surroundings and contacts [fields]
    grid : cells of the part [fields]
    part : of the whole contact that is modelled, 0.25 or 0.5 [-]

    Returns
    -------
    load with the powers of the part [fields]

    From
    ----
    Symmetry: powers are those of the part, resistances and capacities those of the whole over it and times it.
    """
    bending = np.zeros(grid.shape)
    for touch in spot.touches:
        for end, power in zip(touch.ends, touch.bend, strict=True):
            low, high = max(end - 0.5 * touch.stroke, grid.length[0]), end + 0.5 * touch.stroke
            if high > low:  # of a mirrored rope, what lies on this side of the plane
                bending = bending + strip(grid, low, high, 0.5 * power * (high - low) / touch.stroke)
    contacts = tuple(_part_of(touch.contact, part) for touch in spot.touches)
    return Load(spot.surface, {**spot.tension, "bending": bending}, contacts)


def _part_of(contact: Contact, part: float) -> Contact:
    """The modelled part of a contact."""
    steel = contact.steel
    smaller = Steel(steel.far, steel.spreading / part, steel.capacity * part, steel.film * part, steel.air,
                    steel.absorbed * part)  # fmt: skip
    return replace(contact, steel=smaller, friction=contact.friction * part)


def _grid(spot: Spot, cells: tuple[int, int], finest: float) -> Grid:
    """Cells about the contacts, and as far beyond them as heat reaches."""
    reach = DECAYS * _decay(spot) + LEAST_BEYOND
    ends = [touch.ends for touch in spot.touches] or [(0.0, 0.0)]
    strokes = [0.5 * touch.stroke for touch in spot.touches] or [0.0]
    low = 0.0 if is_mirrored(spot) else min(a - s for (a, _), s in zip(ends, strokes, strict=True)) - reach
    high = max(b + s for (_, b), s in zip(ends, strokes, strict=True)) + reach
    marks = [place for (a, b), s in zip(ends, strokes, strict=True) for z in (a, b) for place in (z - s, z, z + s)]
    places = sorted({round(place, 9) for place in marks if low < place < high})
    kept = [place for n, place in enumerate(places) if n == 0 or place - places[n - 1] > 1e-6]
    along = along_edges(low, high, kept, finest * spot.radius, GROWTH)
    return Grid(radial_edges(spot.radius, cells[0]), _round(spot, cells[1]), along)


def _round(spot: Spot, cells: int) -> Array:
    """Edges round half of the rope, finer where a contact ends."""
    halves = {(touch.contact.half_angle, touch.contact.angle) for touch in spot.touches}
    places = {round(float(abs(angle - half)), 9) for half, angle in halves}
    inner = sorted(place for place in places if 1e-3 < place < np.pi - 1e-3)
    return along_edges(0.0, np.pi, inner, np.pi / (2.0 * cells), GROWTH) if inner else angle_edges(cells, np.pi)


def _decay(spot: Spot) -> float:
    """Longest decay that properties and film allow [m]."""
    film = float(np.min(spot.surface.film)) + 4.0 * 5.67e-8 * float(np.min(spot.surface.air)) ** 3 * float(
        np.min(spot.surface.emissivity)
    )
    across, along = (_typical(value, spot.surface) for value in (spot.across, spot.along))
    return float(decay_length(spot.radius, (across, along), film))


def _typical(value: Property, surface: Surface) -> float:
    air = np.full(1, float(np.mean(surface.air)))
    return float(np.mean(value(air) if callable(value) else value))


def _at(place: Array, values: Array, z: float) -> float:
    return float(np.interp(z, place, values))


def _falls_to_1_e(place: Array, rise: Array, end: float) -> float:
    """Distance beyond a place over which a rise falls to 1/e of what it is there; NaN where it does not rise [m]."""
    beyond = place >= end
    first = _at(place, rise, end)
    if not beyond.any() or not first > 1e-6:
        return float("nan")
    below = np.flatnonzero(beyond & (rise <= first / math.e))
    if not below.size:
        return float("nan")
    n = int(below[0])
    z0, z1, r0, r1 = (place[n - 1], place[n], rise[n - 1], rise[n]) if n else (end, place[n], first, rise[n])
    if z0 < end:
        z0, r0 = end, first
    return float(z0 + (r0 - first / math.e) / (r0 - r1) * (z1 - z0) - end)


def free_core(spot: Spot) -> Real:
    """Core of the free span by its closed form, for constant properties, above the air.

    Parameters
    ----------
    spot : rope and surroundings [fields]

    Returns
    -------
    rise of the core above the air [K]

    From
    ----
    Even heat in a cylinder (Incropera ch. 3); check value HT-02.
    """
    heat = sum(_typical(value, spot.surface) for value in spot.tension.values()) * np.pi * spot.radius**2
    outside = float(np.mean(spot.surface.flux)) * 2.0 * np.pi * spot.radius
    film, across = float(np.mean(spot.surface.film)), _typical(spot.across, spot.surface)
    return (heat + outside) / (2.0 * np.pi * spot.radius * film) + heat / (4.0 * np.pi * across)


@dataclass(frozen=True)
class HeatUp:
    """A hot spot through time; the first axis is time.

    Attributes
    ----------
    time : since the load began [s]
    core : hottest on the axis [K]
    skin : hottest face [K]
    steel : hottest steel [K]
    closure : of the energies over all of it [-]
    """

    time: Array
    core: Array
    skin: Array
    steel: Array
    closure: float


def heat_up(spot: Spot, duration: float, begin: float, cells: tuple[int, int] = (10, 12)) -> HeatUp:
    """How a hot spot warms from one temperature on, under a load that stays.

    Parameters
    ----------
    spot : rope, surroundings and contacts, at least one [fields]
    duration : of the load [s]
    begin : temperature of rope and steel before [K]
    cells : in radius and round half of the rope [-]

    Returns
    -------
    hottest core, face and steel at every step [fields]

    From
    ----
    `field_time.history`, steps within 0.2 K.
    """
    part = 0.25 if is_mirrored(spot) else 0.5
    grid = _grid(spot, cells, 2.0 * FINEST)
    rope, load = Rope(grid, spot.across, spot.along, spot.capacity), load_of(spot, grid, part)
    found = history(rope, [(duration, load)], even_state(rope, load, begin), Steps(tolerance=0.2))
    last = found.time.size
    return HeatUp(found.time, found.core.max(axis=1), found.skin.reshape(last, -1).max(axis=1),
                  found.steel.max(axis=1), found.balance.closure)  # fmt: skip
