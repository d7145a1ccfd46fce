"""The temperature field: cells in radius and along the rope, steady and through time."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from linewright.base.units import ZERO_CELSIUS
from linewright.physics.field import core, even_state, section_mean, steady
from linewright.physics.field_grid import Grid, angle_edges, radial_edges
from linewright.physics.field_parts import End, Load, Rope, Surface
from linewright.physics.field_time import History, Steps, history
from linewright.physics.field_year import Hours, section_year
from linewright.physics.types import Array

Inputs = Mapping[str, Any]
HELD = 1e12  # film that holds a surface at the temperature of its stream [W/(m2 K)]
EVEN = 1e9  # conductivity that leaves no difference across [W/(m K)]
COLD = 300.0  # surroundings of the scaled problems, and their excess [K]
EXCESS = 100.0


def _section(radius: float, cells: int) -> Grid:
    return Grid(radial_edges(radius, cells), angle_edges(1), np.array([0.0, 1.0]))


def _rod(radius: float, edges: Array) -> Grid:
    return Grid(np.array([0.0, radius]), angle_edges(1), edges)


def cooled_cylinder(given: Inputs) -> dict[str, Any]:
    """Surface, centre and mean of an evenly heated cylinder in a stream, on a coarse grid."""
    grid = _section(given["r"], 8)
    surface = Surface(given["h"], given["T_inf"] + ZERO_CELSIUS)
    state = steady(Rope(grid, given["k"], 1.0, 1e6), Load(surface, {"heat": given["q"]})).state
    found = {
        "T_surface": state.skin,
        "T_centre": core(grid, state.cells),
        "T_area_mean": section_mean(grid, state.cells),
    }
    return {name: value - ZERO_CELSIUS for name, value in found.items()}


def jacketed_cylinder(given: Inputs) -> dict[str, Any]:
    """Heated core in a passive jacket."""
    inner, outer = given["r_core"], given["r_out"]
    edges = np.concatenate([np.linspace(0.0, inner, 601), np.linspace(inner, outer, 301)[1:]])
    grid = Grid(edges, angle_edges(1), np.array([0.0, 1.0]))
    is_core = (np.arange(900) < 600)[:, None, None]
    across = np.where(is_core, float(given["k_core"]), float(given["k_jacket"]))
    load = Load(
        Surface(given["h"], given["T_inf"] + ZERO_CELSIUS), {"heat": np.where(is_core, float(given["q_core"]), 0.0)}
    )
    state = steady(Rope(grid, across, 1.0, 1e6), load).state
    rings = state.cells[:, 0, 0] - ZERO_CELSIUS
    within = inner**2 - grid.square[599]  # heat q r^2/2 through half a cell of the core: fall q (u_f - u)/(4 k)
    interface = rings[599] - given["q_core"] * within / (4.0 * given["k_core"])
    return {"T_surface": state.skin - ZERO_CELSIUS, "T_interface": interface,
            "T_centre": core(grid, state.cells) - ZERO_CELSIUS}  # fmt: skip


def sudden_surface(given: Inputs) -> dict[str, Any]:
    """What is left of the excess at centre and mean of a cylinder of unit radius, diffusivity and conductivity."""
    grid = _section(1.0, 120)
    found: dict[str, list[float]] = {"centre": [], "mean": []}
    for fourier in given["Fo"]:
        hours = Hours(np.array([COLD]), HELD, 0.0, 0.0, 1.0, 1.0, fourier)
        year = section_year(grid, hours, COLD + EXCESS)
        found["centre"].append((year.core[0] - COLD) / EXCESS)
        found["mean"].append((year.mean[0] - COLD) / EXCESS)
    return found


def _scaled(biot: float, times: list[float], heat: float, excess: float) -> tuple[Grid, History]:
    """A cylinder of unit radius, diffusivity and conductivity through increasing Fourier numbers."""
    grid = _section(1.0, 100)
    rope, load = Rope(grid, 1.0, 1.0, 1.0), Load(Surface(biot, COLD), {"heat": heat})
    pieces = [(float(length), load) for length in np.diff([0.0, *times])]
    return grid, history(rope, pieces, even_state(rope, load, COLD + excess), Steps(0.002))


def cooling_cylinder(given: Inputs) -> dict[str, Any]:
    """What is left of the excess at three radii, for pairs of Biot and Fourier number."""
    found: dict[str, list[float]] = {"theta_r0": [], "theta_r0.5": [], "theta_r1": []}
    for biot, fourier in given["Bi_Fo"]:
        grid, past = _scaled(biot, [fourier], 0.0, EXCESS)
        rings = past.end.cells[:, 0, 0]
        values = (past.core[-1, 0], np.interp(0.25, grid.square, rings), past.skin[-1, 0, 0])
        for row, value in zip(found.values(), values, strict=True):
            row.append(float(value - COLD) / EXCESS)
    return found


def heated_from_cold(given: Inputs) -> dict[str, Any]:
    """Scaled rise of the centre after the heat is switched on, k (T - T_inf)/(q R^2)."""
    _, past = _scaled(given["Bi"], given["Fo"], EXCESS, 0.0)
    at = [int(np.argmin(np.abs(past.time - fourier))) for fourier in given["Fo"]]
    return {"centre": (past.core[at, 0] - COLD) / EXCESS}


def fin(given: Inputs) -> dict[str, Any]:
    """A rope that touches a hot body with its end."""
    radius, air = 0.5 * given["d"], given["T_inf"] + ZERO_CELSIUS
    found: dict[str, Any] = {}
    for name, length in (("infinite", 2.0), ("adiabatic", given["L_adiabatic"])):
        grid = _rod(radius, np.linspace(0.0, length, 4001))
        load = Load(Surface(given["h"], air), ends=(End(given["T_base"] + ZERO_CELSIUS), None))
        field = steady(Rope(grid, EVEN, given["k_axial"], 1e6), load)
        found[f"heat_{name}"] = -field.balance.lost["ends"]
        rope = field.state.cells[0, 0] - ZERO_CELSIUS
        if name == "infinite":
            found["T_infinite_at_0.2m"] = np.interp(0.2, grid.middle[1], rope)
        else:
            found["T_adiabatic_tip"] = rope[-1]
    return found


def radiating_cylinder(given: Inputs) -> dict[str, Any]:
    """Temperature at which a cylinder without film radiates a flux away."""
    grid = _section(0.03, 6)
    load = Load(Surface(0.0, given["T_sur"], flux=given["flux"], emissivity=given["eps"]))
    return {"T_s": steady(Rope(grid, 0.3, 1.0, 1e6), load).state.skin}


def lumped_rope(given: Inputs) -> dict[str, Any]:
    """What is left of the excess of a rope of one cell."""
    grid = _rod(0.5 * given["d"], np.array([0.0, 1.0]))
    rope, load = Rope(grid, EVEN, 1.0, given["rho"] * given["c"]), Load(Surface(given["h"], COLD))
    past = history(rope, [(600.0, load)], even_state(rope, load, COLD + EXCESS), Steps(1e-4))
    return {"T_ratio_after_600s": (past.mean[-1] - COLD) / EXCESS}


def running_rope(given: Inputs) -> dict[str, Any]:
    """A rope that runs warm into air, conduction along it neglected: excess at a place, and heat lost till there."""
    grid = _rod(0.5 * given["d"], np.linspace(0.0, given["z"], 40001))
    rope = Rope(grid, EVEN, 1e-9, given["rho_c"], speed=given["v"])
    load = Load(Surface(given["h"], COLD), ends=(End(COLD + given["excess"], 0.0), None))
    field = steady(rope, load)
    return {"excess": field.state.cells[0, 0, -1] - COLD, "heat": field.balance.lost["air"]}


SUBJECTS = {
    "field_cooled_cylinder": cooled_cylinder,
    "field_jacketed_cylinder": jacketed_cylinder,
    "field_sudden_surface": sudden_surface,
    "field_cooling_cylinder": cooling_cylinder,
    "field_heated_from_cold": heated_from_cold,
    "field_fin": fin,
    "field_radiating_cylinder": radiating_cylinder,
    "field_lumped_rope": lumped_rope,
    "field_running_rope": running_rope,
}
