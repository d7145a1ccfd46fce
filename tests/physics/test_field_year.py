"""A section through hours of weather: closed forms, the solver in time, an independent integrator, energy."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import integrate

from linewright.physics.field import even_state, rises
from linewright.physics.field_grid import Grid, angle_edges, radial_edges
from linewright.physics.field_parts import Load, Rope, Surface
from linewright.physics.field_system import assemble
from linewright.physics.field_time import Steps, history
from linewright.physics.field_year import Hours, section_year

AIR, RADIUS = 293.15, 0.022


def section(angles: int = 1, cells: int = 8, span: float = 2.0 * np.pi) -> Grid:
    return Grid(radial_edges(RADIUS, cells), angle_edges(angles, span), np.array([0.0, 1.0]))


def weather(count: int, grid: Grid, seed: int = 3) -> Hours:
    """Invented: days, gusts, sun from one side, a rope that is wet for some hours."""
    rng, hour = np.random.default_rng(seed), np.arange(count)
    sun = 400.0 * np.maximum(np.sin(2.0 * np.pi * hour / 24.0), 0.0)
    side = np.maximum(np.cos(grid.middle[0] - 0.7), 0.0)
    wet = rng.random(count) < 0.2
    return Hours(
        AIR + 5.0 * np.sin(2.0 * np.pi * hour / 24.0), rng.uniform(8.0, 40.0, count), sun[:, None] * side - 30.0,
        rng.uniform(0.0, 3e3, count), np.where(wet, 0.4, 0.12), np.where(wet, 2.5e6, 1.1e6),
    )  # fmt: skip


def load_of(hours: Hours, hour: int) -> Load:
    surface = Surface(hours.film[hour], hours.air[hour], hours.flux[hour][:, None])
    return Load(surface, {"heat": float(hours.heat[hour])})


def test_hours_that_are_all_alike_settle_at_the_closed_form() -> None:
    # q 5e3, h 14, R 0.022, k 0.12: skin q R/2h = 3.929 K, core + q R^2/4k = 5.042: 8.970 K above the air.
    found = section_year(section(), Hours(np.full(200, AIR), 14.0, 0.0, 5e3, 0.12, 1.1e6))
    assert found.skin[-1, 0] - AIR == pytest.approx(3.92857, abs=1e-5)
    assert found.core[-1] - AIR == pytest.approx(8.97024, abs=1e-5)
    assert found.mean[-1] - AIR == pytest.approx(6.44940, abs=1e-5)


def test_one_ring_is_the_lumped_balance_to_rounding() -> None:
    # One cell, k so large that the film is all: 10 K of excess fall by exp(-3600/tau), tau = rho c R/(2 h) =
    # 1e6 x 0.022/28 = 785.71 s: 0.10234 K; over the hour they are 10 (1 - exp(-4.5818)) 785.71/3600 = 2.1602 K.
    grid = Grid(np.array([0.0, RADIUS]), angle_edges(1), np.array([0.0, 1.0]))
    found = section_year(grid, Hours(np.array([AIR]), 14.0, 0.0, 0.0, 1e9, 1e6), AIR + 10.0)
    assert found.mean[0] - AIR == pytest.approx(10.0 * np.exp(-3600.0 / 785.714286), rel=1e-6)
    assert found.core_mean[0] - AIR == pytest.approx(2.16020, abs=1e-4)


@pytest.mark.parametrize(("angles", "span"), [(1, 2.0 * np.pi), (6, np.pi), (9, 2.0 * np.pi)])
def test_day_of_weather_is_that_of_the_solver_in_time(angles: int, span: float) -> None:
    grid = section(angles, span=span)
    hours = weather(24, grid)
    found = section_year(grid, hours)
    state, cores = None, []
    for hour in range(24):
        rope = Rope(grid, float(hours.across[hour]), 1.0, float(hours.capacity[hour]))
        load = load_of(hours, hour)
        state = even_state(rope, load, hours.air[0]) if state is None else state
        step = history(rope, [(3600.0, load)], state, Steps(0.003))
        state = step.end
        cores.append(step.core[-1, 0])
    np.testing.assert_allclose(found.core, cores, atol=2e-3)
    np.testing.assert_allclose(found.skin[-1], state.skin[:, 0], atol=2e-3)
    np.testing.assert_allclose(found.cells, state.cells[:, :, 0], atol=2e-3)


def test_hours_against_an_independent_integrator() -> None:
    # SciPy's BDF at 1e-9 on the balances of the general solver.
    grid = section(5)
    hours = weather(4, grid)
    rise = np.full(40, AIR + 15.0)
    for hour in range(4):
        rope = Rope(grid, float(hours.across[hour]), 1.0, float(hours.capacity[hour]))
        system = assemble(rope, load_of(hours, hour), even_state(rope, load_of(hours, hour), AIR))
        matrix = -system.matrix.toarray() / system.capacity[:, None]
        given_heat = system.heat / system.capacity - matrix @ np.full(40, system.zero)
        rise = integrate.solve_ivp(
            lambda _, y, m=matrix, b=given_heat: m @ y + b, (0.0, 3600.0), rise,
            method="BDF", rtol=1e-9, atol=1e-9, jac=matrix,
        ).y[:, -1]  # fmt: skip
    found = section_year(grid, hours, AIR + 15.0)
    np.testing.assert_allclose(found.cells.ravel(), rise, atol=1e-5)


def test_start_may_be_uneven_and_hours_may_be_cut_anywhere() -> None:
    # Ten hours at once are six and then four that begin with what the six left.
    grid = section(7)
    hours = weather(10, grid)
    names = ("air", "film", "flux", "heat", "across", "capacity")
    first = replace(hours, **{name: getattr(hours, name)[:6] for name in names})
    second = replace(hours, **{name: getattr(hours, name)[6:] for name in names})
    whole = section_year(grid, hours)
    rest = section_year(grid, second, section_year(grid, first).cells)
    np.testing.assert_allclose(rest.core, whole.core[6:], atol=1e-9)
    np.testing.assert_allclose(rest.skin, whole.skin[6:], atol=1e-9)


def test_year_closes_its_energy_balance() -> None:
    grid = section(6, 10)
    found = section_year(grid, weather(8760, grid))
    assert found.core.shape == (8760,)
    assert found.balance.closure <= 1e-9
    # Independent of the balance: what is stored is capacity times the change of the mean, when capacity is constant.
    even = replace(weather(100, grid), capacity=1.1e6)
    part = section_year(grid, even, AIR)
    area = np.pi * RADIUS**2
    assert part.balance.stored == pytest.approx(1.1e6 * area * (part.mean[-1] - AIR), abs=1e-3)


def test_without_heat_and_sun_the_section_stays_between_the_airs() -> None:
    # Maximum principle over a year.
    grid = section(1)
    hours = replace(weather(8760, grid), flux=0.0, heat=0.0)
    found = section_year(grid, hours)
    for row in (found.core, found.mean, found.core_mean, found.skin):
        assert hours.air.min() - 1e-9 <= row.min()
        assert row.max() <= hours.air.max() + 1e-9


def test_means_over_the_hour_lie_between_its_ends_for_a_slow_change() -> None:
    found = section_year(section(), Hours(np.full(5, AIR), 14.0, 0.0, 0.0, 0.12, 1.1e6), AIR + 20.0)
    assert np.all(found.core_mean[1:] < found.core[:-1])
    assert np.all(found.core_mean[1:] > found.core[1:])


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"air": np.array([AIR, np.nan, AIR])}, "air of every hour must be a number above 0: 1 are not, first hour 1"),
        ({"film": np.array([1.0, 2.0, 0.0])}, "film of every hour must be a number above 0: 1 are not, first hour 2"),
        ({"across": -0.1}, "across of every hour"),
        ({"capacity": 0.0}, "capacity of every hour"),
        ({"flux": np.array([np.inf, 0.0, 0.0])}, "flux of every hour must be a finite number: 1 are not, first hour 0"),
        ({"heat": np.nan}, "heat of every hour"),
        ({"length": 0.0}, "length of every hour"),
    ],
)
def test_weather_with_gaps_is_refused_with_its_hours(change: dict, words: str) -> None:
    good = {"air": np.full(3, AIR), "film": 14.0, "flux": 0.0, "heat": 0.0, "across": 0.12, "capacity": 1e6}
    with pytest.raises(ValueError, match=words):
        Hours(**{**good, **change})


def test_section_with_cells_along_is_refused() -> None:
    grid = Grid(radial_edges(RADIUS, 3), angle_edges(1), np.array([0.0, 0.5, 1.0]))
    with pytest.raises(ValueError, match="one cell along"):
        section_year(grid, Hours(np.full(3, AIR), 14.0, 0.0, 0.0, 0.12, 1e6))


def test_rises_of_a_state_come_cells_first() -> None:
    rope = Rope(section(2, 3), 0.12, 1.0, 1e6)
    state = even_state(rope, Load(Surface(14.0, AIR)), AIR + 2.0)
    assert rises(state, AIR) == pytest.approx(np.full(6, 2.0))
