"""A referee for contact temperatures: finite volumes in three dimensions, steady, for tests only.

It shares no formula with the package's series solution. A quarter of the rope is solved: the angle
from the middle of the touching strip (0) to its back (pi), the length from mid-arc (0) outwards;
both cuts are planes of symmetry. Conductances between cells are those of the exact one-dimensional
problem between cell centres. The steel is one more unknown, joined to the touching faces by the
interface and to the steel far away by the spreading resistance. Friction heat enters at the
interface: the share on the rope's side at the rope's face, the rest in the steel.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy import sparse
from scipy.sparse import linalg

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Spot:
    """A contact: geometry [m, rad], conductivities [W/(m K)], film and interface [W/(m2 K)], heat [W].

    `bending` is the heat at each of the two tangents, spread over `stroke`; `hysteresis` is per metre
    of the whole rope [W/m]; `steel` is the rise of the steel far away above the air [K].
    """

    radius: float
    arc: float
    half_angle: float
    stroke: float
    across: float
    along: float
    film: float
    interface: float
    spreading: float
    share: float
    hysteresis: float
    bending: float
    sliding: float
    steel: float


@dataclass(frozen=True)
class Rise:
    """Rises above the air [K]: core at the tangent and at mid-arc, mean of the touching face, steel.

    `loss` is the heat that leaves through the films and into the far steel, `made` what is put in [W].
    """

    tangent: float
    middle: float
    skin: float
    steel: float
    loss: float
    made: float


@dataclass(frozen=True)
class _Grid:
    """Edges and centres; axes (radius, angle, length)."""

    r: Array
    phi: Array
    z: Array

    @property
    def shape(self) -> tuple[int, int, int]:
        return len(self.r) - 1, len(self.phi) - 1, len(self.z) - 1

    @property
    def section(self) -> Array:
        """Area of the cells' cross-section [m2], shape (r, phi, 1)."""
        return 0.5 * np.diff(self.r**2)[:, None, None] * np.diff(self.phi)[None, :, None]

    @property
    def volume(self) -> Array:
        return self.section * np.diff(self.z)[None, None, :]


def _middle(edges: Array) -> Array:
    return 0.5 * (edges[1:] + edges[:-1])


def _grid(spot: Spot, cells: tuple[int, int, int]) -> _Grid:
    """Edges that fall on the strip's rim, on the arc's end and on both ends of the stroke."""
    nr, nphi, nz = cells
    strip = max(4, round(0.3 * nphi))
    half, swing = 0.5 * spot.arc, 0.5 * spot.stroke
    decay = np.sqrt(0.5 * spot.along * spot.radius * (1.0 / spot.film + spot.radius / (4.0 * spot.across)))
    beyond = max(12.0 * decay, 6.0 * spot.radius)
    r = spot.radius * np.linspace(0.0, 1.0, nr + 1) ** 0.7
    phi = np.r_[np.linspace(0.0, spot.half_angle, strip + 1), np.linspace(spot.half_angle, np.pi, nphi - strip + 1)[1:]]
    # Finer towards the tangent from both sides.
    inner = (half - swing) * (1.0 - np.linspace(1.0, 0.0, nz + 1) ** 1.4)
    outer = half + swing + beyond * np.linspace(0.0, 1.0, 3 * nz + 1) ** 1.8
    zone = np.linspace(half - swing, half + swing, 9)
    return _Grid(r, phi, np.r_[inner, zone[1:], outer[1:]])


def _inner_links(spot: Spot, grid: _Grid, index: npt.NDArray[np.intp]) -> tuple[Array, Array, Array]:
    """Pairs of neighbouring cells and the conductance between them [W/K]."""
    dphi, dz = np.diff(grid.phi)[None, :, None], np.diff(grid.z)[None, None, :]
    r, phi, z = _middle(grid.r), _middle(grid.phi), _middle(grid.z)
    radial = spot.across * grid.r[1:-1, None, None] * dphi * dz / np.diff(r)[:, None, None]
    # Mean of dr/r over the cell, so that the conductance round the rope is exact for a thin wedge.
    ring = np.diff(grid.r)[:, None, None] / r[:, None, None]
    round_ = spot.across * ring * dz / np.diff(phi)[None, :, None]
    axial = spot.along * grid.section / np.diff(z)[None, None, :]
    pairs = [
        (index[:-1], index[1:], radial),
        (index[:, :-1], index[:, 1:], round_),
        (index[:, :, :-1], index[:, :, 1:], axial),
    ]
    first, second, value = zip(*((a.ravel(), b.ravel(), (g + 0.0 * a).ravel()) for a, b, g in pairs), strict=True)
    return np.concatenate(first), np.concatenate(second), np.concatenate(value)


def solve(spot: Spot, cells: tuple[int, int, int] = (12, 18, 13)) -> Rise:
    """Steady rises of a contact; `cells` counts radius, angle, and half the arc (three times that outside)."""
    grid = _grid(spot, cells)
    shape = grid.shape
    count = int(np.prod(shape))
    index = np.arange(count).reshape(shape)
    steel, size = count, count + 1
    first, second, value = _inner_links(spot, grid, index)
    diagonal, heat = np.zeros(size), np.zeros(size)

    # Surface: half a cell in series with the air film, or with the interface where steel covers it.
    outer = index[-1]
    area = spot.radius * np.diff(grid.phi)[:, None] * np.diff(grid.z)[None, :]
    depth = spot.across / (spot.radius - _middle(grid.r)[-1])
    touching = (_middle(grid.phi)[:, None] < spot.half_angle) & (_middle(grid.z)[None, :] < 0.5 * spot.arc)
    to_air = np.where(touching, 0.0, area / (1.0 / spot.film + 1.0 / depth))
    to_steel = np.where(touching, area / (1.0 / spot.interface + 1.0 / depth), 0.0)
    np.add.at(diagonal, outer.ravel(), to_air.ravel())
    first = np.r_[first, outer[touching]]
    second = np.r_[second, np.full(int(touching.sum()), steel)]
    value = np.r_[value, to_steel[touching]]

    # Friction on the rope's face splits between cell and steel by the two conductances that meet there.
    friction = 0.25 * spot.sliding * area[touching] / area[touching].sum()
    inward = depth / (depth + spot.interface)
    np.add.at(heat, outer[touching], spot.share * friction * inward)
    heat[steel] += np.sum(friction * (1.0 - spot.share * inward)) + 0.25 * spot.steel / spot.spreading
    diagonal[steel] += 0.25 / spot.spreading

    # Heat in the rope: even along it, and the bends' over the stroke (half a stroke's heat is in a quarter).
    z = _middle(grid.z)
    bent = np.abs(z - 0.5 * spot.arc) < 0.5 * spot.stroke
    per_metre = spot.hysteresis + np.where(bent, spot.bending / spot.stroke, 0.0)
    source = per_metre[None, None, :] / (np.pi * spot.radius**2) * grid.volume
    heat[:count] += source.ravel()

    np.add.at(diagonal, first, value)
    np.add.at(diagonal, second, value)
    rows = np.r_[first, second, np.arange(size)]
    columns = np.r_[second, first, np.arange(size)]
    matrix = sparse.csr_matrix((np.r_[-value, -value, diagonal], (rows, columns)), shape=(size, size))
    rise = linalg.spsolve(matrix.tocsc(), heat)
    return _read(spot, grid, rise, (to_air, touching, area, depth, source))


def _read(spot: Spot, grid: _Grid, rise: Array, surface: tuple[Array, Array, Array, float, Array]) -> Rise:
    to_air, touching, area, depth, source = surface
    field, steel = rise[:-1].reshape(grid.shape), float(rise[-1])
    core, z = field[0].mean(axis=0), _middle(grid.z)
    skin = (field[-1][touching] * depth + spot.interface * steel) / (depth + spot.interface)
    skin = skin + spot.share * 0.25 * spot.sliding / area[touching].sum() / (depth + spot.interface)
    lost = np.sum(to_air * field[-1]) + 0.25 * (steel - spot.steel) / spot.spreading
    made = source.sum() + 0.25 * spot.sliding
    return Rise(
        float(np.interp(0.5 * spot.arc, z, core)), float(core[0]), float(np.average(skin, weights=area[touching])),
        steel, float(lost), float(made),
    )  # fmt: skip
