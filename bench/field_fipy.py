"""The steady hot spot by FiPy, a general library of finite volumes, on the same cells taken as a box."""

from __future__ import annotations

import importlib
import os
from collections.abc import Callable
from typing import Any

import numpy as np

from linewright.physics.field_parts import Load, Rope
from linewright.physics.types import Array


def library() -> Any:
    """FiPy with SciPy's solvers, or None where it is not installed."""
    os.environ.setdefault("FIPY_SOLVERS", "scipy")
    try:
        return importlib.import_module("fipy")
    except ImportError:
        return None


def hot_spot_solver(fipy: Any, rope: Rope, load: Load) -> Callable[[], Array]:
    """Makes the mesh; what it returns sets the equation up, solves it and gives the rise above the air of each cell.

    Polar coordinates are a box whose conductances and heat carry the radius. The contact's steel must be held (little
    spreading resistance, all friction on the rope's side). Of FiPy's solvers BiCGSTAB with ILU is the quickest here.
    """
    grid, contact = rope.grid, load.contacts[0]
    solvers = importlib.import_module("fipy.solvers")
    mesh = fipy.PeriodicGrid3DTopBottom(dx=np.diff(grid.radius), dy=np.diff(grid.angle), dz=np.diff(grid.length))
    middle = 0.5 * (grid.radius[1:] + grid.radius[:-1])

    def flat(values: Array) -> Any:
        return fipy.CellVariable(mesh=mesh, value=np.ascontiguousarray(values.T).ravel())

    def solve() -> Array:
        radius, normal = np.array(mesh.faceCenters[0]), np.abs(np.array(mesh.faceNormals))
        across, along = float(np.asarray(rope.across)), float(np.asarray(rope.along))
        conductance = normal[0] * across * radius + normal[1] * across / np.maximum(radius, 1e-12)
        conductance += normal[2] * along * radius
        cover = contact.cover(grid)
        inner, steel = across / (grid.skin - middle[-1]), cover * contact.interface
        total = (1.0 - cover) * load.surface.film + steel
        born = contact.friction * cover / np.sum(cover * grid.area)
        per_volume = grid.skin / (grid.radius[-1] - grid.radius[-2]) * inner / (inner + total)
        taken, made = np.zeros(grid.shape), np.zeros(grid.shape)
        made += float(np.asarray(load.heat["tension"])) * middle[:, None, None]
        taken[-1] = per_volume * total
        made[-1] += per_volume * (steel * (contact.steel.far - load.surface.air) + born)
        rise = fipy.CellVariable(mesh=mesh, value=0.0)
        spread = fipy.DiffusionTerm(coeff=fipy.FaceVariable(mesh=mesh, value=conductance))
        equation = spread - fipy.ImplicitSourceTerm(coeff=flat(taken)) + flat(made)
        ilu = solvers.ILUPreconditioner()
        equation.solve(rise, solver=solvers.LinearBicgstabSolver(tolerance=1e-10, iterations=20000, precon=ilu))
        return np.array(rise.value).reshape(grid.shape[::-1]).T

    return solve
