"""The heat balances of all cells as one linear system, properties held at given temperatures.

Unknowns are rises above the mean air temperature: of the cells, then of the steel of each contact.
A face of the skin has no heat of its own and is eliminated: per area, the half cell D, the air H_a
and the steel H_c meet in it with what is born there, T_f = (D T + H_a T_a + H_c T_s + s)/(D + H_a + H_c).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import sparse

from linewright.physics.field_grid import Grid
from linewright.physics.field_parts import SOURCES, End, Load, Rope, Surface, evaluated
from linewright.physics.types import STEFAN_BOLTZMANN, Array, Index

Links = list[tuple[Index, Index, Array, Array]]  # from, to, conductance forwards and backwards [W/K]
WASHED = 500.0  # flow beside conduction beyond which conduction no longer counts


@dataclass(frozen=True)
class State:
    """Temperatures.

    Attributes
    ----------
    cells : of the cells, shape (radius, angle, length) [K]
    skin : of the faces, shape (angle, length) [K]
    steel : of the steel at each contact [K]
    """

    cells: Array
    skin: Array
    steel: Array


@dataclass(frozen=True)
class Material:
    """Properties of the cells at some temperatures.

    Attributes
    ----------
    across : conductivity in radius [W/(m K)]
    around : conductivity round the rope [W/(m K)]
    along : conductivity along the rope [W/(m K)]
    capacity : heat capacity per volume [J/(m3 K)]
    """

    across: Array
    around: Array
    along: Array
    capacity: Array


@dataclass(frozen=True)
class Skin:
    """What meets in each face, shape (angle, length).

    Attributes
    ----------
    inner : half a cell [W/(m2 K)]
    air : air and radiation, of the share that steel leaves free [W/(m2 K)]
    steel : steel of each contact [W/(m2 K)]
    born : heat born on the face, by source; air above the mean is one of them [W/m2]
    """

    inner: Array
    air: Array
    steel: tuple[Array, ...]
    born: dict[str, Array]

    @property
    def total(self) -> Array:
        """Sum of all that meets [W/(m2 K)]."""
        return self.inner + self.air + sum(self.steel)


@dataclass(frozen=True)
class EndFlow:
    """Exchange of the cells at one end with what is beyond: heat in = into T_end - out T, shape (radius, angle).

    Attributes
    ----------
    side : 0 for the low end, -1 for the high end [-]
    into : coefficient of the temperature beyond [W/K]
    out : coefficient of the cell's own [W/K]
    beyond : rise beyond the end above the mean air [K]
    """

    side: int
    into: Array
    out: Array
    beyond: float


@dataclass(frozen=True)
class System:
    """matrix x rise = sum of inputs - capacity d(rise)/dt.

    Attributes
    ----------
    matrix : conductances [W/K]
    inputs : heat into each unknown by source [W]
    capacity : heat capacity of each unknown [J/K]
    zero : temperature that rises are counted from [K]
    material : of the cells [fields]
    skin : of the faces [fields]
    ends : of the two ends [fields]
    """

    matrix: sparse.csr_matrix
    inputs: dict[str, Array]
    capacity: Array
    zero: float
    material: Material
    skin: Skin
    ends: tuple[EndFlow, ...]

    @property
    def heat(self) -> Array:
        """Heat into each unknown from all sources [W]."""
        return np.asarray(sum(self.inputs.values()))


def properties(rope: Rope, temperature: Array) -> Material:
    """The rope's properties at some temperatures.

    Parameters
    ----------
    rope : cells and material [fields]
    temperature : of the cells [K]

    Returns
    -------
    properties of the cells [fields]

    From
    ----
    Definition.
    """
    around = rope.across if rope.around is None else rope.around
    return Material(
        evaluated(rope.across, temperature, "conductivity across", True),
        evaluated(around, temperature, "conductivity around", True),
        evaluated(rope.along, temperature, "conductivity along", True),
        evaluated(rope.capacity, temperature, "heat capacity", True),
    )


def mean_air(load: Load) -> float:
    """Temperature that rises are counted from.

    Parameters
    ----------
    load : what acts on the rope [fields]

    Returns
    -------
    mean temperature of the air [K]

    From
    ----
    Definition.
    """
    return float(np.mean(load.surface.air))


def assemble(rope: Rope, load: Load, state: State) -> System:
    """Heat balances of cells and steel, with the properties that they have at a state.

    Parameters
    ----------
    rope : cells and material [fields]
    load : what acts on it [fields]
    state : temperatures at which properties and radiation are taken [fields]

    Returns
    -------
    linear system [fields]

    From
    ----
    Finite volumes of the heat equation; docs/explanation/field.md.
    """
    grid, zero = rope.grid, mean_air(load)
    material = properties(rope, state.cells)
    covers = [contact.cover(grid) for contact in load.contacts]
    skin = _skin(grid, load, (material, covers), state.skin, zero)
    ends = tuple(_end(rope, material, side, end, zero) for side, end in zip((0, -1), load.ends, strict=True))
    index = np.arange(np.prod(grid.shape)).reshape(grid.shape)
    inputs = {name: np.zeros(index.size + len(covers)) for name in (*load.heat, *SOURCES)}
    for name, value in load.heat.items():
        inputs[name][: index.size] += (evaluated(value, state.cells, f"heat {name}", False) * grid.volume).ravel()
    diagonal = np.zeros(index.size + len(covers))
    for end in ends:
        diagonal[index[:, :, end.side]] += end.out
        inputs["ends"][index[:, :, end.side]] += end.into * end.beyond
    steel = _steel_links(grid, load, skin, index, (diagonal, inputs))
    matrix = _matrix([*_links(rope, material, index), *steel], diagonal)
    capacity = np.append((material.capacity * grid.volume).ravel(), [c.steel.capacity for c in load.contacts])
    return System(matrix, inputs, capacity, zero, material, skin, ends)


def face_rise(skin: Skin, outer: Array, steel: Array, born: Array) -> Array:
    """Rise of the faces from that of the outer cells and of the steel.

    Parameters
    ----------
    skin : what meets in each face [fields]
    outer : rise of the outer cells, shape (angle, length) [K]
    steel : rise of the steel at each contact [K]
    born : heat born on the faces [W/m2]

    Returns
    -------
    rise of the faces [K]

    From
    ----
    Heat balance of a face.
    """
    from_steel = sum((part * rise for part, rise in zip(skin.steel, steel, strict=True)), np.zeros_like(outer))
    return (skin.inner * outer + from_steel + born) / skin.total


def bernoulli(x: Array) -> Array:
    """x/(exp x - 1) for x of 0 and more: how much a flow leaves of conduction against it.

    Parameters
    ----------
    x : flow beside conduction [-]

    Returns
    -------
    factor, 1 at rest [-]

    From
    ----
    Exact flux of steady conduction and flow between two points (exponential scheme).
    """
    held = np.clip(x, 1e-12, WASHED)
    return held / np.expm1(held)


# --- inside the rope ------------------------------------------------------------------------------


def _links(rope: Rope, material: Material, index: Index) -> Links:
    """Neighbours and what conducts between them."""
    grid = rope.grid
    steps = [np.expand_dims(step, tuple({0, 1, 2} - {axis})) for axis, step in enumerate(grid.steps)]
    face, centre = (grid.radius[1:-1] ** 2)[:, None, None], grid.square[:, None, None]
    inner = (face - centre[:-1]) / (2.0 * face * material.across[:-1])
    outer = (centre[1:] - face) / (2.0 * face * material.across[1:])
    radial = steps[1] * steps[2] / (inner + outer)
    found: Links = [(index[:-1], index[1:], radial, radial)]
    ring = np.diff(grid.radius)[:, None, None] / np.sqrt(centre) * steps[2]
    half = 0.5 * steps[1] / material.around
    between = ring / (half[:, 1:] + half[:, :-1])
    found.append((index[:, :-1], index[:, 1:], between, between))
    if grid.is_closed:
        closing = ring / (half[:, :1] + half[:, -1:])
        found.append((index[:, -1:], index[:, :1], closing, closing))
    half = 0.5 * steps[2] / material.along
    axial = grid.section / (half[:, :, 1:] + half[:, :, :-1])
    found.append((index[:, :, :-1], index[:, :, 1:], *_carried(axial, flow(rope, material))))
    return found


def flow(rope: Rope, material: Material) -> Array:
    """Heat that the moving rope carries per kelvin, shape (radius, angle, 1).

    Parameters
    ----------
    rope : cells, material and speed [fields]
    material : properties of the cells [fields]

    Returns
    -------
    capacity flow, positive towards larger z [W/K]

    From
    ----
    Definition.
    """
    capacity = material.capacity[:, :, :1]
    if rope.speed and np.any(material.capacity != capacity):
        raise ValueError("the heat capacity of a running rope must not change along it")
    return rope.speed * capacity * rope.grid.section


def _carried(conductance: Array, moving: Array) -> tuple[Array, Array]:
    """Conductances forwards and backwards between places that the rope moves through."""
    if not np.any(moving):
        return conductance, conductance
    ratio = np.abs(moving) / np.maximum(conductance, 1e-300)
    against = conductance * bernoulli(ratio)
    return against + np.maximum(moving, 0.0), against + np.maximum(-moving, 0.0)


def _end(rope: Rope, material: Material, side: int, end: End | None, zero: float) -> EndFlow:
    """What an end exchanges; an end that is left open lets the rope out and nothing in."""
    grid, moving = rope.grid, flow(rope, material)[:, :, 0] * (1.0 if side == 0 else -1.0)
    if end is None:
        if rope.speed and moving.flat[0] > 0.0:
            raise ValueError("a running rope needs the temperature of the end where it comes in")
        return EndFlow(side, np.zeros(grid.shape[:2]), np.maximum(-moving, 0.0), 0.0)
    half = 0.5 * grid.steps[2][side] / material.along[:, :, side]
    resistance = np.inf if end.coefficient == 0.0 else 1.0 / end.coefficient + half
    into, out = _carried(grid.section[:, :, 0] / resistance, moving)
    return EndFlow(side, into, out, end.temperature - zero)


# --- at the skin ----------------------------------------------------------------------------------


def _skin(grid: Grid, load: Load, inside: tuple[Material, list[Array]], face: Array, zero: float) -> Skin:
    """What meets in each face; radiation is taken at the faces' last temperatures."""
    material, covers = inside
    free = 1.0 - sum(covers, np.zeros(grid.shape[1:]))
    if covers and np.any(np.count_nonzero(covers, axis=0) > 1):
        raise ValueError("two contacts share a face: move them apart, or put an edge of the grid between them")
    inner = 2.0 * material.across[-1] * grid.skin / (grid.skin**2 - grid.square[-1])
    film, drive = _film(load.surface, face, zero)
    born = {"surface": free * load.surface.flux, "air": free * drive, "friction": np.zeros_like(free)}
    for contact, cover in zip(load.contacts, covers, strict=True):
        born["friction"] += contact.share * contact.friction * cover / np.sum(cover * grid.area)
    steel = tuple(contact.interface * cover for contact, cover in zip(load.contacts, covers, strict=True))
    return Skin(inner, np.maximum(free, 0.0) * film, steel, born)


def _film(surface: Surface, face: Array, zero: float) -> tuple[Array, Array]:
    """Film with radiation, and what drives it above the mean air: film times rise of air and surroundings."""
    around = surface.air if surface.surroundings is None else surface.surroundings
    radiation = surface.emissivity * STEFAN_BOLTZMANN * (face**2 + np.square(around)) * (face + around)
    drive = surface.film * (surface.air - zero) + radiation * (around - zero)
    return np.broadcast_to(surface.film + radiation, face.shape), np.broadcast_to(drive, face.shape)


def _steel_links(grid: Grid, load: Load, skin: Skin, index: Index, into: tuple[Array, dict[str, Array]]) -> Links:
    """Links of the outer cells to the steel; sinks and inputs of cells and steel are added to `into`."""
    diagonal, inputs = into
    outer, area, total, zero = index[-1], grid.area, skin.total, mean_air(load)
    diagonal[outer] += area * skin.inner * skin.air / total
    for name, born in skin.born.items():
        inputs[name][outer] += area * born * skin.inner / total
    found: Links = []
    for node, (contact, part) in enumerate(zip(load.contacts, skin.steel, strict=True), start=index.size):
        if not np.any(part > 0.0):
            raise ValueError("a contact covers no face of the modelled rope")
        touching, steel = part > 0.0, contact.steel
        joint = (area * skin.inner * part / total)[touching]
        found.append((outer[touching], np.full(joint.size, node), joint, joint))
        diagonal[node] += np.sum(area * part * skin.air / total) + 1.0 / steel.spreading + steel.film
        inputs["steel"][node] += (steel.far - zero) / steel.spreading + steel.film * (steel.air - zero) + steel.absorbed
        inputs["friction"][node] += (1.0 - contact.share) * contact.friction
        for name, born in skin.born.items():
            inputs[name][node] += np.sum(area * born * part / total)
    return found


def _matrix(links: Links, diagonal: Array) -> sparse.csr_matrix:
    """Conductances as a matrix; heat from a to b is forwards x T_a - backwards x T_b."""
    size, total = diagonal.size, diagonal.copy()
    rows: list[Index] = [np.arange(size)]
    columns: list[Index] = [np.arange(size)]
    values: list[Array] = []
    for first, second, forwards, backwards in links:
        one, two = first.ravel(), second.ravel()
        ahead, back = (np.broadcast_to(g, first.shape).ravel() for g in (forwards, backwards))
        total += np.bincount(one, ahead, size) + np.bincount(two, back, size)
        rows += [one, two]
        columns += [two, one]
        values += [-back, -ahead]
    entries = np.concatenate([total, *values])
    return sparse.csr_matrix((entries, (np.concatenate(rows), np.concatenate(columns))), shape=(size, size))
