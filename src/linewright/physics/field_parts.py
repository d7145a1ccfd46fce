"""What a temperature field is made of: the rope, its surface, its ends, its contacts; each refuses what cannot be.

Powers, resistances and capacities are those of the part that the grid models: of a quarter of a
contact a quarter of the power and four times the resistance.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np

from linewright.physics.field_grid import CLOSE, ROUND, Grid, covered
from linewright.physics.section import GAUSS_POINTS, GAUSS_WEIGHTS
from linewright.physics.types import Array, Real

Property = float | Array | Callable[[Array], Array]  # a function takes the cells' temperatures [K]

SOURCES = ("friction", "steel", "surface", "air", "ends")  # besides the heat that a load names


def _require(holds: bool | np.bool_, name: str, what: str) -> None:
    if not holds:
        raise ValueError(f"{name} must be {what}")


def _finite(name: str, value: Real) -> None:
    _require(np.all(np.isfinite(value)), name, "a finite number")


def _not_negative(name: str, value: Real) -> None:
    _require(np.all(np.isfinite(value)) and np.all(np.asarray(value) >= 0.0), name, "0 or more")


def _positive(name: str, value: Real) -> None:
    _require(np.all(np.isfinite(value)) and np.all(np.asarray(value) > 0.0), name, "above 0")


def evaluated(value: Property, temperature: Array, name: str, positive: bool) -> Array:
    """A property at the cells' temperatures.

    Parameters
    ----------
    value : number, array over the cells, or function of temperature [-]
    temperature : of the cells [K]
    name : of the property, for the message [-]
    positive : whether it has to be above 0, else finite only [-]

    Returns
    -------
    value at each cell, in its own unit [-]

    From
    ----
    Definition.
    """
    found = np.asarray(value(temperature) if callable(value) else value, dtype=float)
    (_positive if positive else _finite)(name, found)
    return np.broadcast_to(found, temperature.shape)


@dataclass(frozen=True)
class Rope:
    """Cells and material. A property is a number, an array over the cells or a function of their temperature.

    Attributes
    ----------
    grid : cells [fields]
    across : conductivity in radius [W/(m K)]
    along : conductivity along the rope [W/(m K)]
    capacity : heat capacity per volume [J/(m3 K)]
    around : conductivity round the rope; that across when left out [W/(m K)]
    speed : of the rope through the grid, positive towards larger z [m/s]
    """

    grid: Grid
    across: Property
    along: Property
    capacity: Property
    around: Property | None = None
    speed: float = 0.0

    def __post_init__(self) -> None:
        """Refuse conductivities and capacities that are not above 0."""
        for name in ("across", "along", "capacity", "around"):
            value = getattr(self, name)
            if value is not None and not callable(value):
                _positive({"capacity": "heat capacity"}.get(name, f"conductivity {name}"), value)
        _finite("speed", self.speed)
        if self.speed and callable(self.capacity):
            raise ValueError("a running rope needs a heat capacity that does not depend on temperature")

    @property
    def is_linear(self) -> bool:
        """Whether no property depends on temperature."""
        return not any(map(callable, (self.across, self.along, self.capacity, self.around)))


@dataclass(frozen=True)
class Surface:
    """What the skin meets where no steel covers it; numbers or arrays over the faces (angle, length).

    Attributes
    ----------
    film : film coefficient to air or water; a linearised radiation coefficient may be in it [W/(m2 K)]
    air : temperature of the air or water [K]
    flux : absorbed sun less what sky and evaporation take [W/m2]
    emissivity : of exact radiation, eps sigma (T^4 - T_s^4); 0 for none [-]
    surroundings : temperature that is radiated to; that of the air when left out [K]
    """

    film: Real
    air: Real
    flux: Real = 0.0
    emissivity: Real = 0.0
    surroundings: Real | None = None

    def __post_init__(self) -> None:
        """Refuse a negative film or temperature."""
        _not_negative("film coefficient", self.film)
        _positive("air temperature in kelvins", self.air)
        _finite("surface flux", self.flux)
        _not_negative("emissivity", self.emissivity)
        _require(np.all(np.asarray(self.emissivity) <= 1.0), "emissivity", "at most 1")
        if self.surroundings is not None:
            _positive("temperature of the surroundings in kelvins", self.surroundings)


@dataclass(frozen=True)
class End:
    """An end of the modelled rope that is not insulated; a running rope brings its temperature in.

    Attributes
    ----------
    temperature : beyond the end [K]
    coefficient : film of the end; infinite holds the end at its temperature [W/(m2 K)]
    """

    temperature: float
    coefficient: float = np.inf

    def __post_init__(self) -> None:
        """Refuse a negative coefficient or temperature."""
        _positive("temperature of the end in kelvins", self.temperature)
        _require(self.coefficient >= 0.0, "coefficient of the end", "0 or more")


@dataclass(frozen=True)
class Steel:
    """Steel behind a contact, one node with its own balance.

    Attributes
    ----------
    far : temperature of the steel far away [K]
    spreading : resistance from the touching face into the far steel [K/W]
    capacity : heat capacity of the steel that takes part while the rope warms, docs/explanation/field.md [J/K]
    film : conductance of its bare surface to the air [W/K]
    air : temperature of that air [K]
    absorbed : sun on it [W]
    """

    far: float
    spreading: float
    capacity: float = 3e3
    film: float = 0.0
    air: float = 293.15
    absorbed: float = 0.0

    def __post_init__(self) -> None:
        """Refuse a spreading resistance or capacity that is not above 0."""
        _positive("temperature of the steel in kelvins", self.far)
        _positive("spreading resistance", self.spreading)
        _positive("heat capacity of the steel", self.capacity)
        _not_negative("film of the steel", self.film)
        _positive("air at the steel in kelvins", self.air)
        _finite("sun on the steel", self.absorbed)


@dataclass(frozen=True)
class Contact:
    """A contact: where steel covers the skin, how it conducts, the heat of friction.

    Attributes
    ----------
    steel : the steel [fields]
    middle : place of its middle along the rope [m]
    length : of rope on it [m]
    half_angle : half of the angle of the section that touches [rad]
    interface : conductance of the touching faces [W/(m2 K)]
    friction : power of sliding [W]
    share : of the friction that is born on the rope's side of the interface [-]
    angle : middle of the touching angle [rad]
    """

    steel: Steel
    middle: float
    length: float
    half_angle: float
    interface: float
    friction: float = 0.0
    share: float = 0.5
    angle: float = 0.0

    def __post_init__(self) -> None:
        """Refuse a contact without length or interface, and one that goes round more than once."""
        _finite("middle of the contact", self.middle)
        _positive("length of the contact", self.length)
        _positive("interface conductance", self.interface)
        _not_negative("friction power", self.friction)
        _require(0.0 < self.half_angle <= 0.5 * ROUND + CLOSE, "half of the touching angle", "above 0 and at most pi")
        _require(0.0 <= self.share <= 1.0, "share of friction on the rope's side", "0 to 1")
        _finite("angle of the contact", self.angle)

    def cover(self, grid: Grid) -> Array:
        """Share of each face (angle, length) that the steel covers."""
        low, high = self.middle - 0.5 * self.length, self.middle + 0.5 * self.length
        whole = grid.length[-1] - grid.length[0]
        if self.length > 2.0 * whole or not grid.length[0] <= self.middle <= grid.length[-1]:
            raise ValueError(f"a contact of {self.length:g} m about {self.middle:g} m does not fit {whole:g} m of rope")
        outside = (low < grid.length[0] - CLOSE) + (high > grid.length[-1] + CLOSE)
        at_plane = np.any(np.abs(grid.length[[0, -1]] - self.middle) < CLOSE)
        if outside > int(at_plane):
            raise ValueError(f"the contact from {low:g} to {high:g} m reaches beyond the modelled rope")
        turns = [covered(grid.angle, self.angle + turn - self.half_angle, self.angle + turn + self.half_angle)
                 for turn in (-ROUND, 0.0, ROUND)]  # fmt: skip
        return np.minimum(sum(turns), 1.0)[:, None] * covered(grid.length, low, high)[None, :]


def arc_length(bend_radius: float, wrap: float) -> float:
    """Length of rope on a contact.

    Parameters
    ----------
    bend_radius : of the contact [m]
    wrap : angle that the rope wraps [rad]

    Returns
    -------
    length of the contact [m]

    From
    ----
    Definition.
    """
    _positive("bend radius", bend_radius)
    _require(0.0 < wrap <= ROUND, "wrap angle", "above 0 and at most 2 pi")
    return bend_radius * wrap


@dataclass(frozen=True)
class Load:
    """What acts on the rope while nothing changes.

    Attributes
    ----------
    surface : what the skin meets [fields]
    heat : heat per volume by name of its source: number, array over the cells or function of temperature [W/m3]
    contacts : the contacts, the same number in every load of a history [fields]
    ends : low and high end; None is insulated or a plane of symmetry [fields]
    """

    surface: Surface
    heat: Mapping[str, Property] = field(default_factory=dict)
    contacts: tuple[Contact, ...] = ()
    ends: tuple[End | None, End | None] = (None, None)

    def __post_init__(self) -> None:
        """Refuse a heat by the name of another source."""
        taken = sorted(set(SOURCES) & set(self.heat))
        if taken:
            raise ValueError(f"heat must not be called {', '.join(taken)}: these sources have a place of their own")

    @property
    def is_linear(self) -> bool:
        """Whether neither heat nor surface depends on temperature in other ways than linearly."""
        return not any(map(callable, self.heat.values())) and not np.any(self.surface.emissivity)


def chord_capacity(rope: Rope, load: Load, old: Array, new: Array) -> Array:
    """Heat capacity of the unknowns between two temperatures, so that capacity x change is the heat stored.

    Parameters
    ----------
    rope : cells and material [fields]
    load : what acts on it [fields]
    old : temperatures of the cells before [K]
    new : temperatures of the cells after [K]

    Returns
    -------
    heat capacity of cells and steel [J/K]

    From
    ----
    Mean over the change by three Gauss points, exact to the fifth power.
    """
    points = [evaluated(rope.capacity, old + part * (new - old), "heat capacity", True) for part in GAUSS_POINTS]
    mean = np.tensordot(GAUSS_WEIGHTS, np.array(points), 1)
    return np.append((mean * rope.grid.volume).ravel(), [contact.steel.capacity for contact in load.contacts])
