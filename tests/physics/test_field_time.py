"""The field through time: closed forms, order, bounds, energy, an independent integrator."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, optimize, special

from linewright.physics.field import Runaway, even_state, rises, steady
from linewright.physics.field_grid import Grid, along_edges, angle_edges, radial_edges
from linewright.physics.field_parts import Contact, End, Load, Rope, Steel, Surface
from linewright.physics.field_system import assemble
from linewright.physics.field_time import Steps, history

AIR, RADIUS = 293.15, 0.022
LINEAR, DEPENDENT = 1e-9, 1e-6


def section(cells: int, angles: int = 1, power: float = 0.7) -> Grid:
    return Grid(radial_edges(RADIUS, cells, power), angle_edges(angles), np.array([0.0, 1.0]))


def roots(biot: float, count: int) -> np.ndarray:
    """Roots of x J1(x) = Bi J0(x): one between each zero of J1 and the next zero of J0."""
    low, high = np.r_[1e-9, special.jn_zeros(1, count - 1)], special.jn_zeros(0, count)
    ends = zip(low, high, strict=True)
    return np.array([optimize.brentq(lambda x: x * special.j1(x) - biot * special.j0(x), *pair) for pair in ends])


def series(biot: float, fourier: np.ndarray, place: float) -> np.ndarray:
    """Share of the first excess that is left: sum C J0(x rho) exp(-x^2 Fo), C = 2 J1/[x (J0^2 + J1^2)]."""
    x = roots(biot, 60)
    weight = 2.0 * special.j1(x) / (x * (special.j0(x) ** 2 + special.j1(x) ** 2))
    return np.sum(weight * special.j0(x * place) * np.exp(-np.multiply.outer(fourier, x**2)), axis=-1)


# --- closed forms ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("biot", "fourier", "left"),
    [
        (2.0, 0.05, (0.9979605476, 0.6128554415)),
        (2.0, 0.3, (0.6192904247, 0.2838282131)),
        (0.5, 1.0, (0.4598460048, 0.3635911443)),
        (8.0, 0.1, (0.9082370424, 0.1644734952)),
    ],
)
def test_cooling_cylinder_is_the_series(biot: float, fourier: float, left: tuple[float, float]) -> None:
    # HT-07. One term by hand, Bi 0.5, Fo 1: x 0.9408, C 1.1143: 1.1143 exp(-0.8851) = 0.4598 at the centre.
    assert series(biot, np.array(fourier), 0.0) == pytest.approx(left[0], abs=1e-9)
    grid = section(80)
    load = Load(Surface(biot * 0.12 / RADIUS, AIR))
    rope = Rope(grid, 0.12, 1.0, 1e6)
    duration = fourier * RADIUS**2 * 1e6 / 0.12
    found = history(rope, [(duration, load)], even_state(rope, load, AIR + 100.0), Steps(0.005))
    assert (found.core[-1, 0] - AIR) / 100.0 == pytest.approx(left[0], abs=2e-4)
    assert (found.skin[-1, 0, 0] - AIR) / 100.0 == pytest.approx(left[1], abs=2e-4)
    assert found.balance.closure <= LINEAR


def test_one_cell_is_the_lumped_time_constant() -> None:
    # HT-30: rho c d/(4 h) = 700 x 1850 x 0.02/60 = 431.667 s; after 600 s exp(-1.39) = 0.24908 is left.
    grid = Grid(np.array([0.0, 0.01]), angle_edges(1), np.array([0.0, 1.0]))
    rope = Rope(grid, 1e9, 1.0, 700.0 * 1850.0)
    load = Load(Surface(15.0, AIR))
    found = history(rope, [(600.0, load)], even_state(rope, load, AIR + 50.0), Steps(0.001))
    assert (found.mean[-1, 0] - AIR) / 50.0 == pytest.approx(0.2490849216, abs=2e-5)


def test_heat_switched_on_is_the_steady_rise_less_the_series() -> None:
    # HT-09: k (T - T_air)/(q R^2) at the centre, Bi 1.5: 0.3252 at Fo 0.4, 0.5111 at Fo 1; steady 1/4 + 1/3 = 0.5833.
    grid = section(60)
    rope, load = Rope(grid, 0.12, 1.0, 1e6), Load(Surface(1.5 * 0.12 / RADIUS, AIR), {"tension": 1e4})
    unit = RADIUS**2 * 1e6 / 0.12
    found = history(rope, [(0.4 * unit, load), (0.6 * unit, load)], even_state(rope, load, AIR), Steps(0.01))
    scaled = (found.core[:, 0] - AIR) * 0.12 / (1e4 * RADIUS**2)
    at = np.flatnonzero(np.isclose(found.time, 0.4 * unit))[0]
    assert scaled[at] == pytest.approx(0.325246203, abs=2e-4)
    assert scaled[-1] == pytest.approx(0.5111104941, abs=2e-4)


def test_wave_along_the_rope_decays_as_its_own_mode() -> None:
    # As HT-25's free decay, along the rope: cos(pi z/L) with insulated ends and skin decays at k pi^2/(rho c L^2);
    # k 22, rho c 1.1e6, L 0.5: 7.896e-4 1/s, after 1000 s 0.4540 is left. 100 cells: 1 - (pi/100)^2/12 of the rate.
    grid = Grid(np.array([0.0, RADIUS]), angle_edges(1), np.linspace(0.0, 0.5, 101))
    rope, load = Rope(grid, 0.12, 22.0, 1.1e6), Load(Surface(0.0, AIR))
    start = even_state(rope, load, AIR)
    wave = 10.0 * np.cos(np.pi * grid.middle[1] / 0.5)
    found = history(rope, [(1000.0, load)], replace(start, cells=start.cells + wave), Steps(0.001))
    assert found.end.cells[0, 0] - AIR == pytest.approx(0.4540 * wave, abs=0.002)


def test_moving_front_is_carried_by_the_speed() -> None:
    # A rope that comes in 30 K warmer at 0.01 m/s has filled 2 m after 200 s: balance of heat, no film, no mixing of
    # the amount: stored = rho c A v t x 30 = 1.1e6 x 1.5205e-3 x 2 x 30 = 100.36 kJ.
    grid = Grid(np.array([0.0, RADIUS]), angle_edges(1), np.linspace(0.0, 4.0, 401))
    rope = Rope(grid, 0.12, 0.8, 1.1e6, speed=0.01)
    load = Load(Surface(0.0, AIR), ends=(End(AIR + 30.0, 0.0), None))
    found = history(rope, [(200.0, load)], even_state(rope, load, AIR), Steps(0.5))
    assert found.balance.stored == pytest.approx(100.36e3, rel=1e-3)
    assert found.balance.closure <= LINEAR
    front = np.interp(-15.0, -(found.end.cells[0, 0] - AIR), grid.middle[1])
    assert front == pytest.approx(2.0, abs=0.02)


def test_daily_wave_is_damped_and_late_at_depth() -> None:
    # HT-10: 1.2e-7 m2/s, a day, 0.05 m deep: depth of penetration sqrt(1.2e-7 x 86400/pi) = 0.05745 m, so exp(-0.8703)
    # = 0.4188 of the amplitude arrives 0.8703/(2 pi) x 24 h = 3.3245 h late. The end is held at the wave's mean over
    # half hours, whose amplitude is sin(x)/x, x = pi/48, of the wave: 0.9993. Two days to settle, the third is read.
    grid = Grid(np.array([0.0, RADIUS]), angle_edges(1), along_edges(0.0, 0.5, [0.05], 0.002, 1.08))
    rope = Rope(grid, 0.12, 0.12, 1e6)
    swing = 10.0 * np.sin(2.0 * np.pi * (np.arange(144) + 0.5) / 48.0)
    loads = [Load(Surface(0.0, AIR), ends=(End(AIR + float(rise)), None)) for rise in swing]
    found = history(rope, [(1800.0, load) for load in loads], even_state(rope, loads[0], AIR), Steps(0.05))
    depth = np.array([np.interp(0.05, grid.middle[1], row) for row in found.mean]) - AIR
    last = found.time >= 2.0 * 86400.0 - 1.0
    angle = 2.0 * np.pi * found.time[last] / 86400.0
    waves = np.column_stack([np.sin(angle), np.cos(angle), np.ones(angle.size)])
    sine, cosine, _ = np.linalg.lstsq(waves, depth[last], rcond=None)[0]
    assert np.hypot(sine, cosine) / 10.0 == pytest.approx(0.4188019936 * 0.9993, rel=0.01)
    assert -np.arctan2(cosine, sine) / (2.0 * np.pi) * 24.0 == pytest.approx(3.324519, abs=0.05)


# --- order, bounds, breaks ------------------------------------------------------------------------


def test_fixed_steps_converge_with_the_square_of_their_length() -> None:
    # The same cells without error in time: exp of the balances, by eigenvalues.
    grid = section(8)
    rope, load = Rope(grid, 0.12, 1.0, 1e6), Load(Surface(14.0, AIR), {"tension": 5e3})
    start = even_state(rope, load, AIR)
    wave = 10.0 * np.cos(np.pi * np.sqrt(grid.square) / RADIUS)[:, None, None]
    start = replace(start, cells=start.cells + wave)
    system = assemble(rope, load, start)
    values, vectors = np.linalg.eig(system.matrix.toarray() / system.capacity[:, None])
    settled = np.linalg.solve(system.matrix.toarray(), system.heat)
    off = np.linalg.solve(vectors, rises(start, AIR) - settled)
    exact = settled + vectors @ (np.exp(-values * 600.0) * off)
    errors = []
    for number in (32, 64, 128, 256, 512):
        found = history(rope, [(600.0, load)], start, Steps(np.inf, number))
        assert found.time.size == number + 1
        errors.append(float(np.abs(found.end.cells.ravel() - AIR - exact).max()))
    orders = np.log2(np.array(errors[:-1]) / np.array(errors[1:]))
    assert np.all(orders >= 1.9)
    assert orders[-1] >= 1.97


def test_against_an_independent_integrator_within_the_tolerance() -> None:
    # SciPy's BDF at 1e-8 on the same balances, contact and steel in it, over two loads.
    grid = Grid(radial_edges(RADIUS, 5), angle_edges(1), along_edges(0.0, 0.5, [0.1], 0.03))
    contact = Contact(Steel(AIR + 25.0, 0.6, capacity=2000.0), 0.0, 0.2, np.pi, 400.0, 12.0)
    rope = Rope(grid, 0.12, 10.0, 1.1e6)
    loads = [Load(Surface(14.0, AIR), {"tension": 4e3}, (contact,))]
    loads.append(Load(Surface(30.0, AIR - 5.0), {"tension": 0.0}, (replace(contact, friction=0.0),)))
    state = even_state(rope, loads[0], AIR)
    found = history(rope, [(900.0, loads[0]), (700.0, loads[1])], state, Steps(0.02))
    rise = rises(state, 0.0)
    for duration, load in ((900.0, loads[0]), (700.0, loads[1])):
        system = assemble(rope, load, state)
        matrix = -system.matrix.toarray() / system.capacity[:, None]
        given_heat = system.heat / system.capacity - matrix @ np.full(rise.size, system.zero)
        solution = integrate.solve_ivp(
            lambda _, y, m=matrix, b=given_heat: m @ y + b, (0.0, duration), rise,
            method="BDF", rtol=1e-8, atol=1e-8, jac=matrix,
        )  # fmt: skip
        rise = solution.y[:, -1]
    np.testing.assert_allclose(rises(found.end, 0.0), rise, atol=0.05)


def test_pulse_of_a_minute_in_a_day_is_not_stepped_over() -> None:
    # 60 s of 2e5 W/m3 after twelve quiet hours: the core rises by q t/(rho c) = 2e5 x 60/1e6 = 12 K, hardly less.
    rope = Rope(section(10), 0.12, 1.0, 1e6)
    quiet = Load(Surface(14.0, AIR), {"passing": 0.0})
    pulse = replace(quiet, heat={"passing": 2e5})
    found = history(rope, [(43200.0, quiet), (60.0, pulse), (43140.0, quiet)], even_state(rope, quiet, AIR))
    assert found.time[-1] == pytest.approx(86400.0)
    assert found.core[:, 0].max() - AIR == pytest.approx(12.0, abs=0.1)
    assert found.time[np.argmax(found.core[:, 0])] == pytest.approx(43260.0, abs=200.0)
    assert found.time.size < 400
    assert found.balance.closure <= LINEAR


@settings(max_examples=25, deadline=None)
@given(
    temperatures=st.tuples(*[st.floats(250.0, 370.0)] * 3),
    film=st.floats(1.0, 5000.0),
    duration=st.floats(1.0, 1e6),
    number=st.sampled_from([1, 2, 8]),
)
def test_unheated_rope_never_leaves_what_surrounds_it(
    temperatures: tuple, film: float, duration: float, number: int
) -> None:
    # Maximum principle, for steps of any length and no control of the error.
    start, air, steel = temperatures
    grid = Grid(radial_edges(RADIUS, 5), angle_edges(1), along_edges(0.0, 0.6, [0.2, 0.3], 0.05))
    rope = Rope(grid, 0.12, 22.0, 1e6)
    contact = Contact(Steel(steel, 0.3, air=air), 0.25, 0.1, 0.8, 2000.0)
    load = Load(Surface(film, air), contacts=(contact,))
    found = history(rope, [(duration, load)], even_state(rope, load, start), Steps(np.inf, number))
    every = np.concatenate([found.mean.ravel(), found.skin.ravel(), found.steel.ravel(), found.end.cells.ravel()])
    assert min(temperatures) - 1e-6 <= every.min()
    assert every.max() <= max(temperatures) + 1e-6


@pytest.mark.parametrize("tolerance", [0.01, 0.05, 1.0])
@pytest.mark.parametrize("film", [14.0, 5000.0])
def test_cooling_never_rings(film: float, tolerance: float) -> None:
    # A cold shock on thin outer cells, then steps far longer than their time constant: every temperature only falls.
    rope = Rope(section(12, power=0.5), 0.12, 1.0, 1e6)
    load = Load(Surface(film, AIR))
    found = history(rope, [(40000.0, load)], even_state(rope, load, AIR + 80.0), Steps(tolerance))
    assert np.diff(found.time).max() > 1000.0
    for row in (found.core, found.mean, found.skin[:, 0]):
        assert np.all(np.diff(row[:, 0]) <= 1e-6)


def test_properties_that_depend_on_temperature_keep_the_energy() -> None:
    # Heat stored is the integral of the capacity: of 1e6 (1 + 0.01 (T - T_air)) from 0 to x it is 1e6 (x + 0.005 x^2).
    grid = section(5, 3)
    rope = Rope(grid, lambda t: 0.12 * (1.0 + 0.004 * (t - AIR)), 1.0, lambda t: 1e6 * (1.0 + 0.01 * (t - AIR)))
    load = Load(Surface(8.0, AIR, emissivity=0.9), {"tension": lambda t: 2e4 * (1.0 + 0.01 * (t - AIR))})
    found = history(rope, [(1800.0, load), (900.0, replace(load, heat={"tension": 0.0}))], even_state(rope, load, AIR))
    assert found.balance.closure <= DEPENDENT
    rise = found.end.cells - AIR
    assert found.balance.stored == pytest.approx(float(np.sum(grid.volume * 1e6 * (rise + 0.005 * rise**2))), rel=1e-9)


def test_long_history_ends_at_the_steady_field() -> None:
    grid = Grid(radial_edges(RADIUS, 5), angle_edges(4), along_edges(0.0, 0.6, [0.2, 0.4], 0.03))
    contact = Contact(Steel(AIR + 10.0, 0.15, capacity=500.0), 0.3, 0.2, 0.7, 2000.0, 100.0)
    rope, load = Rope(grid, 0.12, 22.0, 1e6), Load(Surface(14.0, AIR), {"tension": 3e3}, (contact,))
    found = history(rope, [(2e5, load)], even_state(rope, load, AIR))
    still = steady(rope, load)
    np.testing.assert_allclose(found.end.cells, still.state.cells, atol=0.05)
    np.testing.assert_allclose(found.end.skin, still.state.skin, atol=0.05)


def test_history_beyond_the_limit_says_when() -> None:
    # One cell without losses to speak of: q/(rho c) = 1e5/1e6 = 0.1 K/s; 100 K after 1000 s.
    grid = Grid(np.array([0.0, RADIUS]), angle_edges(1), np.array([0.0, 1.0]))
    rope, load = Rope(grid, 1e9, 1.0, 1e6), Load(Surface(1e-6, AIR), {"tension": 1e5})
    with pytest.raises(Runaway, match=r"above 393\.1 K after 1[01]\d\d"):
        history(rope, [(8000.0, load)], even_state(rope, load, AIR), Steps(1.0, 128, limit=AIR + 100.0))


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda r, x, s: history(r, [], s), "needs loads"),
        (lambda r, x, s: history(r, [(0.0, x)], s), "durations are above 0"),
        (lambda r, x, s: history(r, [(float("nan"), x)], s), "durations are above 0"),
        (lambda r, x, s: history(r, [(1.0, x)], replace(s, steel=np.array([300.0]))), "as many contacts"),
        (lambda r, x, s: Steps(0.0), "tolerance of the steps"),
        (lambda r, x, s: Steps(0.1, 3), "power of two"),
    ],
)
def test_history_that_cannot_be_is_refused(make: object, words: str) -> None:
    rope, load = Rope(section(3), 0.12, 1.0, 1e6), Load(Surface(14.0, AIR))
    with pytest.raises(ValueError, match=words):
        make(rope, load, even_state(rope, load, AIR))
