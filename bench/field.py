"""Figures of the temperature field: a hot spot steady and through time, cost against cells, a section's year."""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

from bench import field_fipy
from bench.figures import medians
from linewright.physics.field import core, even_state, steady
from linewright.physics.field_grid import Grid, along_edges, angle_edges, radial_edges
from linewright.physics.field_parts import Contact, Load, Rope, Steel, Surface
from linewright.physics.field_system import assemble
from linewright.physics.field_time import Steps, history
from linewright.physics.field_year import Hours, section_year
from linewright.physics.types import Array

Row = dict[str, object]
AIR, RADIUS = 304.15, 0.022
DAYS = 10  # of the year that the general integrator does


def figure(value: float, unit: str, goal: str, against: str) -> Row:
    """One figure."""
    return {"value": float(f"{value:.3g}"), "unit": unit, "goal": goal, "against": against}


def median(work: Callable[[], object], times: int = 5) -> float:
    """Median of the seconds that some work takes."""
    taken = []
    for _ in range(times):
        begin = time.perf_counter()
        work()
        taken.append(time.perf_counter() - begin)
    return statistics.median(taken)


def spot(cells: tuple[int, int, float]) -> tuple[Rope, Load]:
    """A hot spot of a 44 mm rope, all round and on both sides; rings, cells round, finest along [m]."""
    grid = Grid(
        radial_edges(RADIUS, cells[0]), angle_edges(cells[1]), along_edges(0.0, 1.6, [0.7, 0.9], cells[2], 1.12)
    )
    contact = Contact(Steel(313.15, 0.15), 0.8, 0.2, 0.7, 2000.0, 159.0)
    return Rope(grid, 0.12, 22.0, 1.1e6), Load(Surface(14.0, AIR), {"tension": 1.3e3}, (contact,))


SIZES = ((8, 12, 0.02), (12, 18, 0.012), (18, 26, 0.006), (24, 36, 0.0035))


def hot_spot() -> list[Row]:
    """Seconds of a steady hot spot in three dimensions, and how they grow with the cells."""
    counts, taken = [], []
    for size in SIZES:
        rope, load = spot(size)
        counts.append(int(np.prod(rope.grid.shape)))
        taken.append(median(lambda rope=rope, load=load: steady(rope, load)))  # type: ignore[misc]
    slope = float(np.polyfit(np.log(counts), np.log(taken), 1)[0])
    listed = ", ".join(f"{count} in {seconds:.3f} s" for count, seconds in zip(counts, taken, strict=True))
    return [
        figure(taken[-1], "s", "< 1.5", f"{counts[-1]} cells, steady, one contact with its steel"),
        figure(slope, "-", "<= 1.3", f"exponent of seconds over cells: {listed}"),
    ]


def hot_spot_ratio() -> list[Row]:
    """The steady hot spot against FiPy on the same cells, in one run; the steel held, as FiPy has no such node."""
    fipy = field_fipy.library()
    if fipy is None:
        print("field_ratio skipped: FiPy is not installed; pip install fipy", file=sys.stderr)
        return []
    rope, load = spot(SIZES[-1])
    load = replace(load, contacts=(replace(load.contacts[0], steel=Steel(313.15, 1e-9), share=1.0),))
    solve = field_fipy.hot_spot_solver(fipy, rope, load)
    ours, theirs = medians(5, lambda: steady(rope, load), solve)
    cores = [core(rope.grid, cells) for cells in (steady(rope, load).state.cells, solve() + AIR)]
    off = float(np.abs(cores[1] - cores[0]).max())
    count = int(np.prod(rope.grid.shape))
    told = f"FiPy {theirs:.2f} s, ours {ours:.3f} s, {count} cells; axes differ by {off:.3f} K at most"
    return [figure(theirs / ours, "x", ">= 20", told)]


def hot_spot_time() -> list[Row]:
    """Seconds of 200 steps in time of the largest hot spot."""
    rope, load = spot(SIZES[-1])
    start = even_state(rope, load, AIR)
    seconds = median(lambda: history(rope, [(1600.0, load), (5600.0, load)], start, Steps(np.inf, 128)), 1)
    count = int(np.prod(rope.grid.shape))
    return [figure(seconds / 256 * 200, "s", "< 10", f"200 steps of {count} cells, three solutions each")]


def weather(count: int) -> Hours:
    """Invented weather of some hours."""
    random, hour = np.random.default_rng(1), np.arange(count)
    day = np.sin(2.0 * np.pi * hour / 24.0)
    return Hours(
        AIR + 5.0 * day, random.uniform(8.0, 40.0, count), 400.0 * np.maximum(day, 0.0) - 30.0, 1.3e3, 0.12, 1.1e6
    )


def integrated(grid: Grid, hours: Hours) -> tuple[Array, float]:
    """Core at the end of each hour by SciPy's BDF at 0.05 K, begun anew at every change, and its seconds."""
    from scipy.integrate import solve_ivp

    film, flux = np.asarray(hours.film), np.asarray(hours.flux)
    rise, cores, taken = np.full(grid.shape[0], hours.air[0]), [], 0.0
    rope = Rope(grid, 0.12, 1.0, 1.1e6)
    for hour in range(hours.air.size):
        load = Load(Surface(film[hour], hours.air[hour], flux[hour]), {"heat": 1.3e3})
        system = assemble(rope, load, even_state(rope, load, AIR))
        matrix = -system.matrix.toarray() / system.capacity[:, None]
        heat = system.heat / system.capacity - matrix @ np.full(rise.size, system.zero)

        def rate(_: float, state: Array, matrix: Array = matrix, heat: Array = heat) -> Array:
            return matrix @ state + heat

        begin = time.perf_counter()
        found = solve_ivp(rate, (0.0, hours.length), rise, method="BDF", rtol=1e-9, atol=0.05, jac=matrix)
        taken += time.perf_counter() - begin
        rise = found.y[:, -1]
        cores.append(float(grid.axis @ rise[: grid.axis.size]))
    return np.array(cores), taken


def section() -> list[Row]:
    """A section through a year of hourly weather against SciPy's BDF at 0.05 K."""
    grid = Grid(radial_edges(RADIUS, 8), angle_edges(1), np.array([0.0, 1.0]))  # 0.002 K beside 48 rings
    hours, days = weather(8760), weather(24 * DAYS)
    before = median(lambda: section_year(grid, hours))
    cores, taken = integrated(grid, days)
    theirs = taken * 365.0 / DAYS
    ours = 0.5 * (before + median(lambda: section_year(grid, hours)))
    off = float(np.abs(section_year(grid, days).core - cores).max())
    around = Grid(grid.radius, angle_edges(12), grid.length)
    side = np.asarray(hours.flux)[:, None] * np.maximum(np.cos(around.middle[0]), 0.0)
    round_ = median(lambda: section_year(around, Hours(hours.air, hours.film, side, 1.3e3, 0.12, 1.1e6)), 3)
    told = f"BDF at 0.05 K {theirs:.0f} s a year (from {DAYS} days); ours {ours:.2f} s; cores differ by {off:.3f} K"
    return [
        figure(theirs / ours, "x", ">= 100", f"{told}; both in 8 rings"),
        figure(round_, "s", "none", "the year in 8 rings of 12 cells, sun on one side"),
    ]


def spread() -> list[Row]:
    """Seconds of 8192 samples of one state through the fast model, all hours' classes and places."""
    from linewright.assessment import contact as contact_stage
    from linewright.assessment import temperature as stage
    from linewright.assessment.central import prepared
    from linewright.assessment.draws import Draws, score_matrix
    from linewright.services.demo import write_demo
    from linewright.services.gather import gather
    from linewright.services.study import open_study

    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder) / "demo"
        write_demo(root)
        study = open_study(root)
        case, shelf = study.read()
        setup = prepared(case, shelf, gather(study.root, case, shelf))[0].setup
    data = setup.subject.data
    draws = Draws(data, score_matrix(Draws(data, {}, 1).columns, 8192, 1), 8192)
    states = len(setup.duty.states)

    def once() -> None:
        for start in range(0, 8192, 256):
            block = draws.block(slice(start, start + 256))
            stiffness = contact_stage.axial_stiffness(block, setup.duty)
            loads = [contact_stage.contact_load(block, setup.duty, item, stiffness) for item in setup.subject.contacts]
            stage.temperatures(block, setup.duty, loads, setup.around, stiffness)

    seconds = median(once)
    told = f"8192 samples, 25 classes of weather; {states} states at once take {seconds:.2f} s"
    return [figure(seconds / states, "s", "< 3", told)]
