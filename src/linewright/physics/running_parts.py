"""What a running rope is made of: material, stretches of its path, surroundings, pieces of a programme."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from linewright.physics.field_grid import Grid, along_edges, angle_edges, radial_edges
from linewright.physics.running import Heave, Motion, Travel
from linewright.physics.types import Array

Medium = Literal["air", "spray", "water"]
Law = Callable[[Array], Array]  # of temperature [K]
BEYOND = 3.0  # rope modelled beyond what moves [m]


@dataclass(frozen=True)
class Fabric:
    """The rope itself; pairs are dry and wet.

    Attributes
    ----------
    radius : of the loaded rope [m]
    across : conductivity in radius, dry and wet [W/(m K)]
    along : conductivity along the rope [W/(m K)]
    capacity : heat capacity per volume, dry and wet [J/(m3 K)]
    bending_loss : c_b, dry and wet [-]
    friction : of rope on steel, dry and wet [-]
    damping : loss tangent over relative stiffness at temperature, dry [-]
    wet_damping : damping wet over dry [-]
    creep : creep rate at tension and temperature [1/s]
    lay : length of a lay; a shorter travel bends only partly [m]
    partial : share of a full bend that a shorter travel makes [-]
    emissivity : long-wave emissivity of the skin [-]
    absorptance : share of sunlight that the skin keeps [-]
    melting : start of the melting range [K]
    """

    radius: float
    across: tuple[float, float]
    along: float
    capacity: tuple[float, float]
    bending_loss: tuple[float, float]
    friction: tuple[float, float]
    damping: Law
    wet_damping: float
    creep: Callable[[float, Array], Array]
    lay: float
    partial: float
    emissivity: float
    absorptance: float
    melting: float

    @property
    def area(self) -> float:
        """Of the section [m2]."""
        return float(np.pi * self.radius**2)

    @property
    def round(self) -> float:
        """Circumference [m]."""
        return 2.0 * float(np.pi) * self.radius


@dataclass(frozen=True)
class Sheave:
    """The steel that the rope bends over.

    Attributes
    ----------
    radius : of the bend [m]
    wrap : angle of contact [rad]
    half_angle : half of the touching angle of the section [rad]
    interface : conductance of the touching faces [W/(m2 K)]
    share : of sliding heat born on the rope's side [-]
    slides : whether it is seized, so that the rope slides over it [-]
    bearing : tension lost in the bearing over tension, while it turns [-]
    capacity : heat capacity of the steel [J/K]
    to_air : conductance of the steel to the air [W/K]
    to_spray : conductance of its rim to spray or sea [W/K]
    """

    radius: float
    wrap: float
    half_angle: float
    interface: float
    share: float
    slides: bool
    bearing: float
    capacity: float
    to_air: float
    to_spray: float


@dataclass(frozen=True)
class Stretch:
    """A part of the path: a span, the drum, or the rope on a sheave.

    Attributes
    ----------
    name : for reports [-]
    low : place where it begins; -inf for the drum [m]
    high : place where it ends; inf for the last [m]
    medium : what its open skin meets [-]
    exposed : share of its round that is open [-]
    sheave : the steel under it, if any [fields]
    """

    name: str
    low: float
    high: float
    medium: Medium
    exposed: float = 1.0
    sheave: Sheave | None = None


@dataclass(frozen=True)
class Path:
    """The fixed places, from the drum out.

    Attributes
    ----------
    drum : radius of the drum [m]
    stretches : the drum first, each beginning where the last one ended [fields]
    """

    drum: float
    stretches: tuple[Stretch, ...]

    @property
    def tangents(self) -> list[tuple[float, float]]:
        """Place of each tangent point and the radius of the bend there [m]."""
        found = [(0.0, self.drum)]
        for stretch in self.stretches:
            if stretch.sheave is not None:
                found += [(stretch.low, stretch.sheave.radius), (stretch.high, stretch.sheave.radius)]
        return found

    @property
    def sheaves(self) -> list[Stretch]:
        """The stretches on sheaves."""
        return [stretch for stretch in self.stretches if stretch.sheave is not None]

    @property
    def edges(self) -> list[float]:
        """Places where a stretch begins [m]."""
        return [stretch.low for stretch in self.stretches[1:]]

    @property
    def reach(self) -> float:
        """Where the last stretch begins [m]."""
        return self.stretches[-1].low


@dataclass(frozen=True)
class Around:
    """Air, sun, spray and sea.

    Attributes
    ----------
    air : temperature of the air [K]
    dew_point : of the air [K]
    wind : across the rope [m/s]
    sun : irradiance on a plane square to the beam [W/m2]
    film_factor : film over that of a smooth cylinder [-]
    spray : temperature of the spray [K]
    spray_film : film of sprayed rope [W/(m2 K)]
    water : temperature of the sea [K]
    current : across the rope [m/s]
    """

    air: float
    dew_point: float
    wind: float
    sun: float
    film_factor: float
    spray: float
    spray_film: float
    water: float
    current: float

    @property
    def coldest(self) -> float:
        """The lowest temperature that cools the rope [K]."""
        return min(self.air, self.spray, self.water)


@dataclass(frozen=True)
class Piece:
    """A part of the programme.

    Attributes
    ----------
    name : of its phase [-]
    motion : of the paid-out length [fields]
    duration : of the piece [s]
    tension : mean tension [N]
    swing : mean square of the tension's amplitude over period and stiffness: heat is pi x damping x it [W/m]
    duty : share of the time that it moves and swings, in bouts short beside the rope's own time [-]
    """

    name: str
    motion: Motion
    duration: float
    tension: float
    swing: float = 0.0
    duty: float = 1.0


def running_grid(radius: float, path: Path, pieces: list[Piece], length: float, rings: int, finest: float) -> Grid:
    """Cells of the rope that a programme moves, fine where the bends of each standing travel end.

    Parameters
    ----------
    radius : of the rope [m]
    path : the fixed places [fields]
    pieces : the programme [fields]
    length : of the rope [m]
    rings : cells in radius [-]
    finest : length of the cells at the ends of a travel [m]

    Returns
    -------
    cells; one cell round the rope, marks along it [fields]

    From
    ----
    Geometric series between the marks where shares of time or bends begin and end.
    """
    low = max(0.0, min(piece.motion.low for piece in pieces) - path.reach - BEYOND)
    high = min(length, max(piece.motion.high for piece in pieces) + BEYOND)
    marks: set[float] = set()
    for piece in pieces:
        if not isinstance(piece.motion, Travel):
            marks |= {end - place for end in (piece.motion.low, piece.motion.high) for place in (0.0, *path.edges)}
    kept: list[float] = []
    for mark in sorted(marks):
        if low + finest < mark < high - finest and (not kept or mark - kept[-1] > finest):
            kept.append(mark)
    along = along_edges(low, high, kept, finest, 1.3)
    return Grid(radial_edges(radius, rings), angle_edges(1), along)


def bend_share(motion: Motion, fabric: Fabric) -> float:
    """Share of a full bend that a motion makes: a travel shorter than a lay bends only partly.

    Parameters
    ----------
    motion : of the paid-out length [fields]
    fabric : the rope [fields]

    Returns
    -------
    share [-]

    From
    ----
    Estimate: the datum `partial`, 1 unless given.
    """
    return fabric.partial if isinstance(motion, Heave) and 2.0 * motion.amplitude < fabric.lay else 1.0
