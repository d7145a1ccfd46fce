"""The temperature field where books have the answer: plane bodies, touching bodies, moving sources, a box.

A plane body is a thin wedge at the skin of a rope so thick that its skin is flat; the rest of the rope is
one cell behind it, which conducts nothing worth mentioning because of its size.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np
from scipy import interpolate

from linewright.base.units import ZERO_CELSIUS
from linewright.physics.field import even_state, steady
from linewright.physics.field_grid import Grid, along_edges, angle_edges, radial_edges
from linewright.physics.field_parts import End, Load, Rope, Surface
from linewright.physics.field_time import Steps, history
from linewright.physics.field_year import Hours, section_year
from linewright.physics.types import Array

Inputs = Mapping[str, Any]
HELD, COLD, FLAT = 1e12, 300.0, 1e4  # film that holds [W/(m2 K)]; start [K]; radius that is flat [m]
DIFFUSE = 1e6  # heat capacity where only the diffusivity counts [J/(m3 K)]


def _flat(depths: Array, width: Array, along: Array) -> Grid:
    """A plane body: edges of depth from the skin, of width and along [m]."""
    radius = np.concatenate([[0.0], FLAT - np.asarray(depths)[::-1]])
    return Grid(radius, np.asarray(width) / FLAT, along)


def _thin(finest: float, depth: float, growth: float = 1.1) -> Grid:
    """A plane body without width, finest at its skin."""
    one = np.array([0.0, 1.0])
    return _flat(_deepening(finest, depth, growth), one, one)


def _deepening(finest: float, depth: float, growth: float) -> Array:
    """Edges from 0 to the depth, finest at 0."""
    edges = along_edges(-depth, depth, [0.0], finest, growth)
    return edges[edges >= 0.0]


def one_term(given: Inputs) -> dict[str, Any]:
    """First root and coefficient of the cooling cylinder, from its slowest decay between Fourier number 1 and 2."""
    grid = Grid(radial_edges(1.0, 200), angle_edges(1), np.array([0.0, 1.0]))
    found: dict[str, list[float]] = {"zeta1": [], "C1": []}
    for biot in given["Bi"]:
        year = section_year(grid, Hours(np.full(2, COLD), biot, 0.0, 0.0, 1.0, 1.0, 1.0), COLD + 100.0)
        first, second = (year.core - COLD) / 100.0
        found["zeta1"].append(float(np.sqrt(np.log(first / second))))
        found["C1"].append(float(first**2 / second))
    return found


def _wave(time: Array, values: Array, period: float) -> complex:
    """Amplitude and phase of a sine through values that also drift."""
    turn = 2.0 * np.pi * time / period
    columns = np.column_stack([np.cos(turn), np.sin(turn), np.ones(turn.size), turn])
    cosine, sine = np.linalg.lstsq(columns, values, rcond=None)[0][:2]
    return complex(cosine, -sine)


def _swing(number: int, cycles: int) -> tuple[Array, float]:
    """Means of a cosine over even pieces of its period, and how much smaller the wave of the means is."""
    middles = 2.0 * np.pi * (np.arange(number * cycles) + 0.5) / number
    return np.cos(middles), float(np.sinc(1.0 / number))


def daily_wave(given: Inputs) -> dict[str, Any]:
    """Damping and lag at a depth below a surface whose temperature swings."""
    pieces, cycles, depth = 48, 4, given["depth"]
    grid = Grid(np.array([0.0, 0.02]), angle_edges(1), along_edges(0.0, 0.6, [depth], 0.002, 1.08))
    rope = Rope(grid, 1.0, given["alpha"] * DIFFUSE, DIFFUSE)
    swing, less = _swing(pieces, cycles)
    loads = [Load(Surface(0.0, COLD), ends=(End(COLD + 10.0 * float(value)), None)) for value in swing]
    length = given["period"] / pieces
    past = history(rope, [(length, load) for load in loads], even_state(rope, loads[0], COLD), Steps(0.02))
    last = past.time > (cycles - 1) * given["period"] - 1.0
    there = np.array([np.interp(depth, grid.middle[1], row) for row in past.mean[last]])
    wave = _wave(past.time[last], there, given["period"]) / (10.0 * less)
    return {
        "amplitude_ratio": abs(wave),
        "lag": -np.angle(wave) / (2.0 * np.pi) * given["period"] / 3600.0,
        "penetration_depth": depth / -np.log(abs(wave)),
    }


def _joined(given: Inputs, heat: float) -> tuple[Grid, Rope, Load]:
    """Rope at z < 0 and steel at z > 0, heat per area born in the first layer of steel."""
    grid = Grid(np.array([0.0, 0.02]), angle_edges(1), along_edges(-0.1, 1.0, [0.0], 2e-5, 1.08))
    steel = (grid.middle[1] > 0.0)[None, None, :]
    materials = zip(given["rope_k_rho_c"], given["steel_k_rho_c"], strict=True)
    along, density, specific = (np.where(steel, there, here) for here, there in materials)
    first = int(np.argmax(grid.middle[1] > 0.0))
    made = np.zeros(grid.shape)
    made[0, 0, first] = heat / grid.steps[2][first]
    return grid, Rope(grid, 1.0, along, density * specific), Load(Surface(0.0, COLD), {"born": made})


def _between(grid: Grid, rope: Rope, cells: Array) -> float:
    """Temperature of the face at z = 0, flux being the same on both sides."""
    second = int(np.argmax(grid.middle[1] > 0.0))
    pair = [second - 1, second]
    conductance = np.asarray(rope.along)[0, 0, pair] / grid.steps[2][pair]
    return float(np.average(cells[0, 0, pair], weights=conductance))


def bodies_brought_together(given: Inputs) -> dict[str, Any]:
    """Face between rope and steel that were of different temperatures, after 20 s."""
    grid, rope, load = _joined(given, 0.0)
    warm = grid.middle[1] > 0.0
    start = even_state(rope, load, COLD)
    cells = start.cells + np.where(warm, given["T_steel"], given["T_rope"]) - COLD + ZERO_CELSIUS
    past = history(rope, [(20.0, load)], replace(start, cells=cells), Steps(0.005))
    return {"T_contact": _between(grid, rope, past.end.cells) - ZERO_CELSIUS}


def friction_at_a_fixed_place(given: Inputs) -> dict[str, Any]:
    """Share of friction heat into the rope, rise of the face, and rise where the other side takes none."""
    grid, rope, load = _joined(given, given["q"])
    past = history(rope, [(given["t"], load)], even_state(rope, load, COLD), Steps(0.002))
    stored = np.asarray(rope.capacity) * grid.volume * (past.end.cells - COLD)
    share = stored[..., grid.middle[1] < 0.0].sum() / stored.sum()
    conductivity, density, specific = given["rope_k_rho_c"]
    alone = _thin(2e-5, 0.1)
    slab = Rope(alone, conductivity, 1.0, density * specific)
    flux = Load(Surface(0.0, COLD, given["q"]))
    skin = history(slab, [(given["t"], flux)], even_state(slab, flux, COLD), Steps(0.005)).end.skin
    return {"share_rope": share, "dT_surface": _between(grid, rope, past.end.cells) - COLD,
            "dT_if_insulated_other_side": float(np.mean(skin)) - COLD}  # fmt: skip


def swinging_flux(given: Inputs) -> dict[str, Any]:
    """Amplitude and lag of a surface whose heat flux swings."""
    pieces, cycles = 24, 12
    conductivity, density, specific = given["rope_k_rho_c"]
    grid = _thin(2e-5, 0.1)
    rope = Rope(grid, conductivity, 1.0, density * specific)
    swing, less = _swing(pieces, cycles)
    loads = [Load(Surface(0.0, COLD, given["q0"] * float(value))) for value in swing]
    length = given["period"] / pieces
    past = history(rope, [(length, load) for load in loads], even_state(rope, loads[0], COLD), Steps(0.005))
    last = past.time > (cycles - 5) * given["period"]
    wave = _wave(past.time[last], past.skin[last, 0, 0], given["period"]) / less
    return {"amplitude": abs(wave), "lag": -np.angle(wave)}


def moving_band(given: Inputs) -> dict[str, Any]:
    """Scaled hottest and mean temperature under a band of heat of half width 1 on a moving half-space."""
    found: dict[str, list[float]] = {"max": [], "mean": []}
    for length in given["L"]:
        speed = 2.0 * length
        low, high = -1.0 - 12.0 / speed, 1.0 + 60.0 / speed
        layer = np.sqrt(2.0 / speed)
        along = along_edges(low, high, [-1.0, 1.0], min(0.004, 0.04 / speed), 1.04)
        grid = _flat(_deepening(0.01 * layer, 20.0 * layer + 20.0 / speed, 1.08), np.array([0.0, 1.0]), along)
        rope = Rope(grid, 1.0, 1.0, 1.0, speed=speed)
        under = np.abs(grid.middle[1]) < 1.0
        load = Load(Surface(0.0, COLD, np.where(under, 1.0, 0.0)[None, :]), ends=(End(COLD, 0.0), None))
        skin = steady(rope, load).state.skin[0, under] - COLD
        scale = 0.5 * np.pi * speed
        found["max"].append(scale * float(skin.max()))
        found["mean"].append(scale * float(np.average(skin, weights=grid.steps[2][under])))
    return found


def box(given: Inputs) -> dict[str, Any]:
    """A box held at one temperature on all faces, heated as the product of three sines; then left to decay.

    Half of its depth and one wave of its width are cells, from crest to crest, with planes of symmetry.
    """
    deep, wide, long = given["L"]
    count = 24
    depth, width, along = (
        np.linspace(0.0, 0.5 * deep, count + 1),
        np.linspace(0.5, 1.5, 2 * count + 1) * wide,
        (np.linspace(0.0, long, 2 * count + 1)),
    )
    grid = _flat(depth, width - width[0], along)
    below = np.concatenate([[0.5 * deep], 0.5 * (depth[1:] + depth[:-1])[::-1]])
    across = 0.5 * (width[1:] + width[:-1])
    shape = (
        np.sin(np.pi * below / deep)[:, None, None] * np.sin(np.pi * across / wide)[None, :, None]
        * np.sin(np.pi * grid.middle[1] / long)
    )  # fmt: skip
    shape[0] = 0.0
    rope = Rope(grid, given["k"][0], given["k"][2], given["rho_c"], given["k"][1])
    outer = given["T0"] + ZERO_CELSIUS
    load = Load(Surface(HELD, outer), {"source": given["q_peak"] * shape}, ends=(End(outer), End(outer)))
    field = steady(rope, load).state.cells[1:] - ZERO_CELSIUS
    inside = interpolate.RegularGridInterpolator((below[1:][::-1], across, grid.middle[1]), field[::-1], "cubic")
    x, y, z = given["point"]
    x = min(x, deep - x)
    near = 0.02 * deep
    sides = inside([[x, y, z], [x - near, y, z], [x + near, y, z]])
    idle = replace(load, heat={})
    start = even_state(rope, idle, outer)
    past = history(rope, [(600.0, idle)], replace(start, cells=start.cells + given["A"] * shape), Steps(0.002))
    left = past.end.cells[1:] - outer
    rate = -np.log(np.sum(left * shape[1:]) / np.sum(given["A"] * shape[1:] ** 2)) / 600.0
    return {"T": sides[0], "flux_x": -given["k"][0] * (sides[2] - sides[1]) / (2.0 * near), "free_decay_rate": rate}


SUBJECTS = {
    f"field_{part.__name__}": part
    for part in (
        one_term, daily_wave, bodies_brought_together, friction_at_a_fixed_place, swinging_flux, moving_band, box,
    )
}  # fmt: skip
