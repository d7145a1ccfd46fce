"""Heat and film of a running rope, averaged over a piece of its programme, cell by cell.

The period of a heave is short beside the rope's own time, so that a metre sees means: of heat by how
often it is bent, of film and temperature by where it spends its time.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linewright.physics import film, running, water
from linewright.physics.field_grid import Grid
from linewright.physics.field_parts import Load, Rope, Surface
from linewright.physics.running_parts import Around, Fabric, Path, Piece, Stretch, bend_share
from linewright.physics.types import Array

HOTTEST_SKIN = 373.0  # films and vapour are taken at no higher skin [K]
ARC = 16  # points of an arc at which passages are taken


@dataclass(frozen=True)
class Exchange:
    """What the skin of each cell exchanges with one stream, weighted with the time spent there.

    Attributes
    ----------
    to : air, spray, water or the name of a sheave [-]
    coefficient : share of time times film [W/(m2 K)]
    temperature : of the stream or the steel [K]
    flux : share of time times heat that the skin takes up besides [W/m2]
    """

    to: str
    coefficient: Array
    temperature: float
    flux: Array

    def lost(self, skin: Array) -> Array:
        """Heat that leaves the skin [W/m2]."""
        return self.coefficient * (skin - self.temperature) - self.flux


@dataclass(frozen=True)
class Means:
    """A piece's means: what does not depend on temperature.

    Attributes
    ----------
    shares : of time in each stretch, shape (stretch, cell) [-]
    wetness : of each cell [-]
    bends : full bends that each cell makes [1/s]
    bending : heat of bending [W/m]
    slides : passages over each sheave's arc, shape (sheave, cell) [1/s]
    outboard : share of time off the drum [-]
    """

    shares: Array
    wetness: Array
    bends: Array
    bending: Array
    slides: Array
    outboard: Array


def means_of(piece: Piece, fabric: Fabric, path: Path, grid: Grid) -> Means:
    """What a piece does to each cell.

    Parameters
    ----------
    piece : of the programme [fields]
    fabric : the rope [fields]
    path : the fixed places [fields]
    grid : cells; marks along the rope [fields]

    Returns
    -------
    means [fields]

    From
    ----
    A passage of a tangent point is half a bend-and-straighten, of energy eps_b F per metre, eps_b = c_b d/D.
    Wet is what water or spray reaches during the piece, for the whole of it.
    """
    motion, edges = piece.motion, grid.length
    shares = np.array([running.time_share(motion, edges, part.low, part.high) for part in path.stretches])
    wetness = np.zeros(edges.size - 1)
    for part in path.stretches:
        if part.medium != "air":
            wetness = np.maximum(wetness, reached(motion, edges, part))
    loss = fabric.bending_loss[0] * (1.0 - wetness) + fabric.bending_loss[1] * wetness
    bends, bending = np.zeros_like(wetness), np.zeros_like(wetness)
    for place, radius in path.tangents:
        rate = 0.5 * piece.duty * running.passages(motion, edges, place)
        bends += rate
        bending += rate * bend_share(motion, fabric) * loss * fabric.radius / radius * piece.tension
    slides = piece.duty * np.array([_over_arc(motion, edges, part) for part in path.sheaves]).reshape(
        -1, edges.size - 1
    )
    return Means(shares, wetness, bends, bending, slides, 1.0 - shares[0])


def reached(motion: running.Motion, edges: Array, part: Stretch) -> Array:
    """Share of each cell that comes into a stretch at some time.

    Parameters
    ----------
    motion : of the paid-out length [fields]
    edges : edges of the cells [m]
    part : the stretch [fields]

    Returns
    -------
    share of the cell's length [-]

    From
    ----
    Definition: the mark x is in the stretch at some time if L_min - high < x < L_max - low.
    """
    low = -np.inf if np.isinf(part.high) else motion.low - part.high
    high = np.inf if np.isinf(part.low) else motion.high - part.low
    inside = np.minimum(edges[1:], high) - np.maximum(edges[:-1], low)
    return np.clip(inside / np.diff(edges), 0.0, 1.0)


def _over_arc(motion: running.Motion, edges: Array, part: Stretch) -> Array:
    points = part.low + (np.arange(ARC) + 0.5) / ARC * (part.high - part.low)
    return np.mean([running.passages(motion, edges, float(point)) for point in points], axis=0)


def wet_mix(pair: tuple[float, float], wetness: Array) -> Array:
    """A property of partly wet cells between its dry and its wet value, in logarithms.

    Parameters
    ----------
    pair : dry and wet, above 0 [-]
    wetness : of each cell [-]

    Returns
    -------
    value of each cell, in its own unit [-]

    From
    ----
    Geometric mean, as for moored lines.
    """
    return np.asarray(pair[0] ** (1.0 - wetness) * pair[1] ** wetness)


def field_rope(fabric: Fabric, means: Means, grid: Grid) -> Rope:
    """The rope of the field: conductivity and capacity by wetness.

    Parameters
    ----------
    fabric : the rope [fields]
    means : of the piece [fields]
    grid : cells [fields]

    Returns
    -------
    rope at rest in its own frame [fields]

    From
    ----
    Definition.
    """
    across = np.broadcast_to(wet_mix(fabric.across, means.wetness), grid.shape)
    capacity = np.broadcast_to(wet_mix(fabric.capacity, means.wetness), grid.shape)
    return Rope(grid, across, fabric.along, capacity)


@dataclass(frozen=True)
class Scene:
    """Rope, path, surroundings and cells of one run.

    Attributes
    ----------
    fabric : the rope [fields]
    path : the fixed places [fields]
    around : air, spray and sea [fields]
    grid : cells [fields]
    held : temperatures at which heat is taken whatever the rope's; None for its own, to the melting range [K]
    """

    fabric: Fabric
    path: Path
    around: Around
    grid: Grid
    held: Array | float | None = None


def exchanges(scene: Scene, piece: Piece, means: Means, skin: Array, steels: Array) -> list[Exchange]:
    """What the skin exchanges with every stream and steel, films taken at a skin temperature.

    Parameters
    ----------
    scene : of the run [fields]
    piece : of the programme [fields]
    means : of the piece [fields]
    skin : of each cell [K]
    steels : of each sheave [K]

    Returns
    -------
    exchanges [fields]

    From
    ----
    Time-weighted means; docs/explanation/running.md.
    """
    fabric, path = scene.fabric, scene.path
    at = np.minimum(skin, HOTTEST_SKIN)
    found: list[Exchange] = []
    opened = dict.fromkeys(("air", "spray", "water"), np.zeros_like(skin))
    sheave = 0
    for part, share in zip(path.stretches, means.shares, strict=True):
        opened[part.medium] = opened[part.medium] + share * part.exposed
        if part.sheave is None:
            continue
        steel, across = part.sheave, wet_mix(fabric.across, means.wetness)
        conductance, into = running.strip_conductance(steel.interface, steel.half_angle, fabric.radius, across, share)
        born = steel.share * np.asarray(into) * sliding(scene, piece, means, sheave)
        touch = np.asarray(conductance) / fabric.round
        found.append(Exchange(part.name, touch, float(steels[sheave]), born / fabric.round))
        sheave += 1
    return [_air(scene, piece, means, at, opened["air"]), *_wet(scene, at, opened), *found]


def _air(scene: Scene, piece: Piece, means: Means, skin: Array, share: Array) -> Exchange:
    """Air: convection by wind across and the rope's own speed along, radiation, evaporation, sun."""
    fabric, around = scene.fabric, scene.around
    speeds = piece.motion.speeds[:, None]
    wind = np.hypot(around.wind, speeds)
    angle = np.arctan2(np.maximum(around.wind, 1e-9), speeds)
    each = film.convection_coefficient(2.0 * fabric.radius, wind, skin[None, :], around.air, angle)
    convection = around.film_factor * np.mean(each, axis=0)
    radiation = film.radiation_coefficient(fabric.emissivity, skin, around.air)
    dry, slope = film.evaporation(convection, around.air, around.dew_point, means.wetness, skin)
    sun = fabric.absorptance * around.sun / np.pi
    return Exchange("air", share * (convection + radiation + slope), around.air, share * (sun - dry))


def _wet(scene: Scene, skin: Array, opened: dict[str, Array]) -> list[Exchange]:
    """Spray and sea."""
    around, still = scene.around, np.zeros_like(skin)
    found = []
    if np.any(opened["spray"]):
        found.append(Exchange("spray", opened["spray"] * around.spray_film, around.spray, still))
    if np.any(opened["water"]):
        under = water.water_film(2.0 * scene.fabric.radius, around.current, skin, around.water)
        found.append(Exchange("water", opened["water"] * around.film_factor * under, around.water, still))
    return found


def sliding(scene: Scene, piece: Piece, means: Means, sheave: int) -> Array:
    """Heat of sliding over a seized sheave, rope's and steel's together.

    Parameters
    ----------
    scene : of the run [fields]
    piece : of the programme [fields]
    means : of the piece [fields]
    sheave : its number from the drum out [-]

    Returns
    -------
    heat by cell; nothing while the sheave turns [W/m]

    From
    ----
    `running.seized_work` for each metre that passes the arc.
    """
    steel = scene.path.sheaves[sheave].sheave
    if steel is None or not steel.slides:
        return np.zeros_like(means.wetness)
    friction = wet_mix(scene.fabric.friction, means.wetness)
    return np.asarray(running.seized_work(piece.tension, friction, steel.wrap)) * means.slides[sheave]


def load_of(scene: Scene, piece: Piece, means: Means, cells: Array, found: list[Exchange]) -> Load:
    """The load of the field: heat at the cells' temperatures, one film of all exchanges.

    Parameters
    ----------
    scene : of the run [fields]
    piece : of the programme [fields]
    means : of the piece [fields]
    cells : temperatures at which heat is taken [K]
    found : exchanges of the skin [fields]

    Returns
    -------
    load [fields]

    From
    ----
    Heat balance; the sum of linear exchanges is one.
    """
    fabric = scene.fabric
    at = np.minimum(cells, fabric.melting) if scene.held is None else np.broadcast_to(scene.held, cells.shape)
    wet = 1.0 + (fabric.wet_damping - 1.0) * means.wetness
    tension = np.pi * fabric.damping(at) * wet * piece.swing * piece.duty * means.outboard
    creep = piece.tension * fabric.creep(piece.tension, at) * means.outboard
    heat = {"bending": np.broadcast_to(means.bending / fabric.area, cells.shape),
            "tension": tension / fabric.area, "creep": creep / fabric.area}  # fmt: skip
    coefficient = np.sum([part.coefficient for part in found], axis=0)
    drive = np.sum([part.coefficient * part.temperature for part in found], axis=0)
    stream = np.where(coefficient > 0.0, drive / np.maximum(coefficient, 1e-300), scene.around.air)
    flux = np.sum([part.flux for part in found], axis=0)
    return Load(Surface(coefficient[None, :], stream[None, :], flux[None, :]), heat)
