"""Solution of the heat balances: a sparse factorisation, or conjugate gradients in three dimensions.

A rope of even conductivities under an even film is separable: it has modes in radius, angle and
length, found one direction at a time. Contacts change a few faces only, which a dense system of
that size adds (Woodbury). That solution is exact for constant properties, and the preconditioner
of conjugate gradients for all others.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy import linalg, sparse
from scipy.sparse.linalg import splu

from linewright.physics.field_grid import Grid
from linewright.physics.field_system import System
from linewright.physics.types import Array, Index

Solve = Callable[[Array], Array]
CLOSED = 1e-12  # residual beside the heat at which iterations end
ENOUGH = 1e-10  # residual that is accepted when rounding allows no less
MOST = 400  # iterations
LOOSE = 1e-15  # conductance to the surroundings beside that between cells, below which nothing fixes the temperature
DENSE = 1500  # faces that differ from the rest, beyond which they are left to the iterations


class FieldError(ValueError):
    """A temperature field that was not found: the stage, how far it was off, what to try."""

    def __init__(self, stage: str, residual: float, advice: str) -> None:
        """Keep the three parts for the caller."""
        super().__init__(f"{stage}: residual {residual:.2g}; {advice}")
        self.stage, self.residual, self.advice = stage, residual, advice


@dataclass(frozen=True)
class Modes:
    """Modes of an even rope: vectors by direction, and their rates per unit of volume.

    Attributes
    ----------
    radius : vectors of each mode round the rope, shape (angle mode, cell, mode) [-]
    angle : vectors, shape (cell, mode) [-]
    length : vectors, shape (cell, mode) [-]
    rates : conductance over volume, shape (angle mode, radius mode, length mode) [W/(m3 K)]
    film : outer cell to air that the modes contain [W/(m2 K)]
    """

    radius: Array
    angle: Array
    length: Array
    rates: Array
    film: float

    def solve(self, heat: Array, rates: Array) -> Array:
        """Rise of the cells for heat into them."""
        ahead = np.swapaxes(self.angle.T @ (heat @ self.length), 0, 1)
        modal = np.swapaxes(self.radius, 1, 2) @ ahead / rates
        return self.angle @ np.swapaxes(self.radius @ modal, 0, 1) @ self.length.T


def solver(system: System, rate: Array, first: Solve | None = None) -> Solve:
    """A function from heat into the unknowns to their rises, for (matrix + rate) rise = heat.

    Parameters
    ----------
    system : heat balances [fields]
    rate : of each unknown: 0 for steady, capacity over step in time [W/K]
    first : near solution, made by `preconditioner`; None solves directly [-]

    Returns
    -------
    solution [-]

    From
    ----
    Sparse LU; conjugate gradients (Hestenes and Stiefel 1952).
    """
    matrix = (system.matrix + sparse.diags_array(rate)).tocsr()
    if matrix.sum() <= LOOSE * matrix.diagonal().sum():
        raise FieldError("heat balances", 1.0, "nothing fixes the temperature: give a film, an end or a contact")
    if first is None:
        return _direct(matrix)
    return lambda heat: _conjugate(matrix, heat, first)


def even_modes(grid: Grid, system: System) -> Modes | None:
    """Modes of the rope with mean conductivities; None where a direct solution is quicker or needed.

    Parameters
    ----------
    grid : cells [fields]
    system : heat balances [fields]

    Returns
    -------
    modes, for three dimensions at rest [fields]

    From
    ----
    Separation of variables, direction by direction.
    """
    is_moving = any(np.any(end.out > 0.0) and not np.allclose(end.into, end.out) for end in system.ends)
    if min(grid.shape) < 2 or is_moving:
        return None
    across, around, along = (
        float(np.average(k, weights=grid.volume))
        for k in (system.material.across, system.material.around, system.material.along)
    )
    du, _, dz = grid.steps
    film = float(np.median(system.skin.inner * (1.0 - system.skin.inner / system.skin.total)))
    radial, ring = radial_parts(grid)
    radial = across * radial
    radial[-1, -1] += grid.skin * film
    angles, phi = ring_modes(grid)
    lengths, z = _vectors(_chain(along / (0.5 * (dz[1:] + dz[:-1])), 0.0) + np.diag(_end_terms(grid, system)), dz)
    pairs = [_vectors(radial + around * value * np.diag(ring), 0.5 * du) for value in angles]
    rates = np.stack([pair[0] for pair in pairs])[:, :, None] + lengths
    return Modes(np.stack([pair[1] for pair in pairs]), phi, z, rates, film)


def preconditioner(grid: Grid, system: System, rate: Array, modes: Modes | None) -> Solve | None:
    """Exact solution of the even rope with its contacts; it need not be made again when properties change a little.

    Parameters
    ----------
    grid : cells [fields]
    system : heat balances [fields]
    rate : of each unknown: 0 for steady, capacity over step in time [W/K]
    modes : of the even rope; without them there is none [fields]

    Returns
    -------
    function from heat into the unknowns to their rises [-]

    From
    ----
    Separable solution with the contacts' faces added (Woodbury 1950).
    """
    if modes is None:
        return None
    count = int(np.prod(grid.shape))
    stored = float(np.sum(rate[:count]) / np.sum(grid.volume))
    rates = np.maximum(modes.rates + stored, 1e-12 * modes.rates.max())
    own = system.matrix.diagonal()[count:] + rate[count:]
    joints, differs, places = _differences(grid, system, modes)
    outer = np.sum(modes.radius[:, -1, :, None] ** 2 / rates, axis=1).ravel()
    faces = (modes.angle[places[0]][:, :, None] * modes.length[places[1]][:, None, :]).reshape(differs.size, outer.size)
    extra = np.diag(differs) - (joints / own) @ joints.T
    answer = linalg.solve(np.eye(differs.size) + extra @ ((faces * outer) @ faces.T), extra)

    def solve(heat: Array) -> Array:
        cells, steel = heat[:count].reshape(grid.shape).copy(), heat[count:] / own
        cells[-1][places] += joints @ steel
        rise = modes.solve(cells, rates)
        if differs.size:
            change = np.zeros(grid.shape)
            change[-1][places] = answer @ rise[-1][places]
            rise -= modes.solve(change, rates)
        return np.append(rise.ravel(), steel + joints.T @ rise[-1][places] / own)

    return solve


def radial_parts(grid: Grid) -> tuple[Array, Array]:
    """Conduction across a wedge of one radian and one metre, for a conductivity of 1, skin insulated.

    Parameters
    ----------
    grid : cells [fields]

    Returns
    -------
    balances in radius, and what conduction round the rope weighs in each ring [-]

    From
    ----
    Differences in r^2, docs/explanation/field.md.
    """
    centre = grid.square
    return _chain(2.0 * grid.radius[1:-1] ** 2 / np.diff(centre), 0.0), np.diff(grid.radius) / np.sqrt(centre)


def ring_modes(grid: Grid) -> tuple[Array, Array]:
    """Modes round the rope: cosines and sines of the cells.

    Parameters
    ----------
    grid : cells [fields]

    Returns
    -------
    values, rising from 0, and vectors (cell, mode) that are orthonormal over the angle [-]

    From
    ----
    Differences in the angle.
    """
    dphi = grid.steps[1]
    closing = float(2.0 / (dphi[0] + dphi[-1])) if grid.is_closed else 0.0
    return _vectors(_chain(2.0 / (dphi[1:] + dphi[:-1]), closing), dphi)


def _direct(matrix: sparse.csr_matrix) -> Solve:
    factors = splu(matrix.tocsc(), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0)
    return lambda heat: np.asarray(factors.solve(heat))


def _chain(conductance: Array, closing: float) -> Array:
    """Balances of a row of cells, closed to a ring if the last conducts to the first."""
    size = conductance.size + 1
    edges = np.zeros((size + 1, size))
    row = np.arange(conductance.size)
    edges[row, row], edges[row, row + 1] = np.sqrt(conductance), -np.sqrt(conductance)
    if closing:
        edges[size, 0], edges[size, -1] = np.sqrt(closing), -np.sqrt(closing)
    return edges.T @ edges


def _end_terms(grid: Grid, system: System) -> Array:
    """What the ends add to their cells, per area of section."""
    terms = np.zeros(grid.shape[2])
    for end in system.ends:
        terms[end.side] += np.mean(end.out / grid.section[:, :, 0])
    return terms


def _vectors(stiffness: Array, weight: Array) -> tuple[Array, Array]:
    """Modes of a symmetric problem with diagonal weights."""
    scale = 1.0 / np.sqrt(weight)
    values, vectors = linalg.eigh(scale[:, None] * stiffness * scale)
    return np.maximum(values, 0.0), scale[:, None] * vectors


def _differences(grid: Grid, system: System, modes: Modes) -> tuple[Array, Array, tuple[Index, ...]]:
    """Faces that are not as the modes have them: joints to the steels, conductance to spare, which faces."""
    skin = system.skin
    excess = grid.area * (skin.inner * (skin.total - skin.inner) / skin.total - modes.film)
    touching = sum(skin.steel, np.zeros_like(excess)) > 0.0
    unlike = touching | (np.abs(excess) > 1e-9 * modes.film * grid.area)
    places = np.nonzero(unlike if np.count_nonzero(unlike) <= DENSE else touching)
    joints = [(grid.area * skin.inner * part / skin.total)[places] for part in skin.steel]
    return np.array(joints).reshape(len(joints), places[0].size).T, excess[places], places


def _conjugate(matrix: sparse.csr_matrix, heat: Array, first: Solve) -> Array:
    """Conjugate gradients; ends when the residual is closed, or small and no longer falling."""
    size = _dot(heat, heat) ** 0.5
    rise = first(heat)
    rest = heat - matrix @ rise
    best, best_rise, waited = _dot(rest, rest) ** 0.5, rise, 0
    toward, before = np.zeros_like(rest), np.inf
    for _ in range(MOST):
        if best <= CLOSED * size or (waited > 3 and best <= ENOUGH * size):
            return best_rise
        step = first(rest)
        now = _dot(rest, step)
        toward, before = step + now / before * toward, now
        pushed = matrix @ toward
        length = now / _dot(toward, pushed)
        rise = rise + length * toward
        rest = rest - length * pushed
        off = _dot(rest, rest) ** 0.5
        best, best_rise, waited = (off, rise, 0) if off < best else (best, best_rise, waited + 1)
    advice = "smooth the grid, or lessen the contrast of conductivities between cells"
    raise FieldError("conjugate gradients", best / max(size, 1e-300), advice)


def _dot(one: Array, two: Array) -> float:
    """Inner product without the threads that a busy machine makes slow."""
    return float(np.sum(one * two))
