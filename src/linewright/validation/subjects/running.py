"""A running rope: shares of time, bends, steady core of a long heave, a moving source, water."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from linewright.base.units import ZERO_CELSIUS
from linewright.physics.field_grid import Grid, angle_edges, radial_edges
from linewright.physics.running import Heave, Travel, seized_work, time_share
from linewright.physics.running_field import Pace, run
from linewright.physics.running_load import Scene, means_of
from linewright.physics.running_parts import Around, Fabric, Path, Piece, Sheave, Stretch, running_grid
from linewright.physics.running_steady import settle
from linewright.physics.water import water_properties

Inputs = Mapping[str, Any]
START = 300.0  # rope, air and spray of the scaled problems [K]
EVEN = 1e5  # conductivity that leaves no difference across [W/(m K)]


def _fabric(given: Inputs, across: float, along: float) -> Fabric:
    """A rope without damping, creep, radiation or sun, dry and wet alike."""

    def nothing(*at: Any) -> Any:
        return 0.0 * np.asarray(at[-1])

    loss, capacity = given["c_b"], given["rho_c"]
    return Fabric(
        0.5 * given["d"], (across, across), along, (capacity, capacity), (loss, loss), (0.0, 0.0), nothing, 1.0,
        nothing, 0.0, 1.0, 0.0, 0.0, 1e4,
    )  # fmt: skip


def _around(film: float) -> Around:
    return Around(START, START - 10.0, 0.0, 0.0, 1.0, START, film, START, 0.0)


def _path(given: Inputs, wrap: float) -> Path:
    """Drum and one sheave of the same D/d, sprayed all along and not covered by steel."""
    radius = 0.5 * given["D_over_d"] * given["d"]
    bare = Sheave(radius, wrap, math.pi / 3.0, 1e-9, 0.5, False, 0.0, 1e5, 10.0, 0.0)
    arc = 20.0 + radius * wrap
    return Path(radius, (
        Stretch("drum", -math.inf, 0.0, "spray"), Stretch("span", 0.0, 20.0, "spray"),
        Stretch("sheave", 20.0, arc, "spray", 1.0, bare), Stretch("last", arc, math.inf, "spray"),
    ))  # fmt: skip


def sheave_heat(given: Inputs) -> dict[str, Any]:
    """Heat of a metre that heaves over one sheave."""
    fabric, path = _fabric(given, 0.12, 22.0), _path(given, 0.5 * math.pi)
    piece = Piece("heave", Heave(500.0, given["amplitude"], given["P"]), 1.0, given["load"] * given["LDBF"])
    grid = running_grid(fabric.radius, path, [piece], 1000.0, 2, 0.1)
    return {"heat": float(np.max(means_of(piece, fabric, path, grid).bending))}


def heave_residence(given: Inputs) -> dict[str, Any]:
    """Share of the time that a sine stays within parts of its amplitude."""
    motion, edges = Heave(0.0, 1.0, 10.0), np.array([-1e-6, 1e-6])
    return {"share": [float(time_share(motion, edges, -part, part)[0]) for part in given["within"]]}


def long_heave(given: Inputs) -> dict[str, Any]:
    """Steady core in the middle of a long heave: an evenly heated rope."""
    fabric, path = _fabric(given, given["k_r"], 22.0), _path(given, 0.5 * math.pi)
    piece = Piece("heave", Heave(500.0, given["amplitude"], given["P"]), 1.0, given["load"] * given["LDBF"])
    grid = running_grid(fabric.radius, path, [piece], 1000.0, 8, 0.5)
    found = settle(Scene(fabric, path, _around(given["h"]), grid), piece)
    middle = int(np.argmin(np.abs(grid.middle[1] - (500.0 - 0.5 * path.reach))))
    return {"rise": float(found.core[middle]) - START}


def moving_source(given: Inputs) -> dict[str, Any]:
    """Rope that is lowered over the drum's tangent point: rise where the source has come to."""
    fabric, way = _fabric(given, EVEN, given["k_z"]), given["v"] * given["time"]
    radius = 0.5 * given["D_over_d"] * given["d"]
    path = Path(radius, (Stretch("drum", -math.inf, 0.0, "spray"), Stretch("last", 0.0, math.inf, "spray")))
    motion = Travel(100.0, 100.0 + way, given["v"])
    piece = Piece("lower", motion, motion.duration, given["load"] * given["LDBF"])
    along = np.linspace(99.0, 101.0 + way, int(given["cells"]) + 1)
    grid = Grid(radial_edges(fabric.radius, 1), angle_edges(1), along)
    scene = Scene(fabric, path, _around(given["h"]), grid)
    past = run(scene, [piece], Pace(travel=int(given["parts"]), tolerance=given["tolerance"]))
    return {"rise": float(np.max(past.core[-1])) - START}


def seized(given: Inputs) -> dict[str, Any]:
    """Work of sliding over a sheave that does not turn."""
    return {"work": float(seized_work(given["F"], given["mu"], given["theta"]))}


def water_table(given: Inputs) -> dict[str, Any]:
    """Properties of water at temperatures."""
    conductivity, viscosity, prandtl, expansion = water_properties(np.asarray(given["t"]) + ZERO_CELSIUS)
    return {"k": conductivity, "nu": viscosity, "Pr": prandtl, "beta": expansion}


SUBJECTS = {
    "running_sheave_heat": sheave_heat,
    "running_heave_residence": heave_residence,
    "running_long_heave": long_heave,
    "running_moving_source": moving_source,
    "running_seized_sheave": seized,
    "running_water_table": water_table,
}
