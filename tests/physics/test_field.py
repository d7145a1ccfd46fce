"""The steady field against closed forms, a second discretisation, finite elements and its own energy balance."""

from dataclasses import replace
from types import ModuleType

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.physics.field import Field, Runaway, core, section_mean, shares, steady
from linewright.physics.field_grid import Grid, along_edges, angle_edges, radial_edges, strip
from linewright.physics.field_parts import Contact, End, Load, Rope, Steel, Surface, arc_length
from linewright.physics.field_solve import FieldError

AIR = 293.15
RADIUS = 0.022
LINEAR, DEPENDENT = 1e-9, 1e-6  # what the energy balance promises


def section(cells: int, radius: float = RADIUS, power: float = 0.7) -> Grid:
    return Grid(radial_edges(radius, cells, power), angle_edges(1), np.array([0.0, 1.0]))


def fin(cells: int, length: float, radius: float) -> Grid:
    return Grid(np.array([0.0, radius]), angle_edges(1), np.linspace(0.0, length, cells + 1))


def order(errors: list[float]) -> np.ndarray:
    """Observed order of convergence, each grid half as wide as the last."""
    return np.log2(np.array(errors[:-1]) / np.array(errors[1:]))


# --- section --------------------------------------------------------------------------------------


@pytest.mark.parametrize("cells", [2, 7, 40])
@pytest.mark.parametrize("power", [0.5, 0.7, 1.0])
def test_even_heat_on_any_grid_is_the_closed_form(cells: int, power: float) -> None:
    # HT-02 by hand: surface = 20 + q R/(2h) = 20 + 5e4 x 0.03/24 = 82.5; centre = + q R^2/4k = 82.5 + 37.5 = 120;
    # mean halfway, 101.25. Linear in r^2, so every grid is exact.
    grid = section(cells, 0.03, power)
    found = steady(Rope(grid, 0.3, 1.0, 1e6), Load(Surface(12.0, AIR), {"tension": 5e4}))
    assert found.state.skin == pytest.approx(AIR + 62.5, abs=1e-8)
    assert core(grid, found.state.cells) == pytest.approx(AIR + 100.0, abs=1e-8)
    assert section_mean(grid, found.state.cells) == pytest.approx(AIR + 81.25, abs=1e-8)
    assert found.balance.closure <= LINEAR


def jacket_error(cells: int) -> float:
    # HT-03: heated core, passive jacket. q' = 3e4 pi 0.02^2 = 37.70 W/m; surface 20 + q'/(2 pi 0.03 12) = 36.667;
    # interface + q' ln(1.5)/(2 pi 0.15) = 52.885; centre + 3e4 0.02^2/(4 x 0.4) = 60.385.
    edges = np.concatenate([np.linspace(0.0, 0.02, 2 * cells + 1), np.linspace(0.02, 0.03, cells + 1)[1:]])
    grid = Grid(edges, angle_edges(1), np.array([0.0, 1.0]))
    inside = (np.arange(3 * cells) < 2 * cells)[:, None, None]
    rope = Rope(grid, np.where(inside, 0.4, 0.15), 1.0, 1e6)
    found = steady(rope, Load(Surface(12.0, AIR), {"tension": np.where(inside, 3e4, 0.0)}))
    assert found.state.skin == pytest.approx(AIR + 16.66666667, abs=1e-7)
    return abs(float(core(grid, found.state.cells)[0]) - AIR - 40.38527099)


def test_heated_core_in_a_jacket_converges_with_the_square_of_the_cells() -> None:
    errors = [jacket_error(cells) for cells in (8, 16, 32, 64)]
    assert np.all(order(errors) >= 1.9)
    assert errors[-1] < 1e-3


def rosette_error(cells: int) -> float:
    # A flux f = 100 cos(2 phi) on an unheated rope: T = A r^2 cos 2 phi, k 2 A R + h A R^2 = 100;
    # k 0.12, h 14, R 0.022: A = 100/(0.00528 + 0.006776) = 8294.6 K/m2, skin 4.0146 cos 2 phi.
    grid = Grid(radial_edges(RADIUS, cells, 0.5), angle_edges(2 * cells), np.array([0.0, 1.0]))
    phi = grid.middle[0][:, None]
    found = steady(Rope(grid, 0.12, 1.0, 1e6), Load(Surface(14.0, AIR, flux=100.0 * np.cos(2.0 * phi))))
    return float(np.abs(found.state.skin - AIR - 4.01460 * np.cos(2.0 * phi)).max())


def test_flux_round_the_rope_converges_with_the_square_of_the_cells() -> None:
    errors = [rosette_error(cells) for cells in (8, 16, 32, 64)]
    assert np.all(order(errors) >= 1.9)


def test_conductivity_round_the_rope_may_differ_from_that_across() -> None:
    # T = A r^m cos(2 phi) with m^2 k_r = 4 k_phi: k_phi = k_r/4 makes m = 1, k A + h A R = f, A R = f R/(k + h R).
    grid = Grid(radial_edges(RADIUS, 60, 1.0), angle_edges(80), np.array([0.0, 1.0]))
    phi = grid.middle[0][:, None]
    rope = Rope(grid, 0.12, 1.0, 1e6, around=0.03)
    found = steady(rope, Load(Surface(14.0, AIR, flux=100.0 * np.cos(2.0 * phi))))
    exact = 100.0 * RADIUS / (0.12 + 14.0 * RADIUS) * np.cos(2.0 * phi)
    np.testing.assert_allclose(found.state.skin - AIR, exact, atol=0.003 * np.abs(exact).max())


def test_radiation_settles_at_the_balance_of_the_fourth_power() -> None:
    # HT-24: a face of 60 C sends 0.9 sigma (333.15^4 - 293.15^4) = 251.767 W/m2 to 20 C. So much heat, 2 x 251.767/R
    # per volume and no film, must bring the face to 60 C.
    grid = section(5, 0.03)
    heat = 2.0 * 251.7673257 / 0.03
    found = steady(Rope(grid, 0.3, 1.0, 1e6), Load(Surface(0.0, AIR, emissivity=0.9), {"tension": heat}))
    assert found.state.skin == pytest.approx(333.15, abs=1e-5)
    assert found.rounds > 1
    assert found.balance.closure <= DEPENDENT


def test_conductivity_that_rises_with_temperature_is_the_kirchhoff_integral() -> None:
    # k = 0.2 (1 + 0.01 (T - Ts)), skin held by a large film: (T - Ts) + 0.005 (T - Ts)^2 = q (R^2 - r^2)/(4 x 0.2).
    # q 2e4, R 0.03: 22.5 at the centre, T - Ts = (sqrt(1 + 0.02 x 22.5) - 1)/0.01 = 20.416.
    grid = section(60, 0.03)
    rope = Rope(grid, lambda t: 0.2 * (1.0 + 0.01 * (t - AIR)), 1.0, 1e6)
    found = steady(rope, Load(Surface(1e8, AIR), {"tension": 2e4}))
    assert core(grid, found.state.cells)[0] - AIR == pytest.approx(20.4159, abs=0.01)
    assert found.balance.closure <= DEPENDENT


# --- along the rope -------------------------------------------------------------------------------


def fin_error(cells: int) -> float:
    # HT-12 by hand: L = sqrt(k d/(4h)) = sqrt(10 x 0.06/60) = 0.1 m; adiabatic tip at 0.3 m:
    # 20 + 60/cosh 3 = 25.9597. One cell across: half a section's resistance goes into the film, 1/h' = 1/h + R/(4 k_r);
    # k_r 1e9 takes it out.
    grid = fin(cells, 0.3, 0.03)
    load = Load(Surface(15.0, AIR), ends=(End(AIR + 60.0), None))
    found = steady(Rope(grid, 1e9, 10.0, 1e6), load)
    heat = 16.8807062  # tanh 3 sqrt(h P k A) 60
    assert found.balance.lost["ends"] == pytest.approx(-heat, rel=1.0 / cells)
    assert found.balance.closure <= LINEAR
    exact = AIR + 60.0 * np.cosh((0.3 - grid.middle[1]) / 0.1) / np.cosh(3.0)
    return float(np.abs(found.state.cells[0, 0] - exact).max())


def test_fin_on_a_hot_end_converges_with_the_square_of_the_cells() -> None:
    errors = [fin_error(cells) for cells in (20, 40, 80, 160)]
    assert np.all(order(errors) >= 1.9)
    assert errors[-1] < 0.01


def test_graded_cells_along_converge_too() -> None:
    # The same fin on cells that are fine beside a place at 0.1 m and grow by 1 + 10 x the finest away from it.
    errors = []
    for finest in (0.004, 0.002, 0.001, 0.0005):
        edges = along_edges(0.0, 0.3, [0.1], finest, 1.0 + 10.0 * finest)
        grid = Grid(np.array([0.0, 0.03]), angle_edges(1), edges)
        found = steady(Rope(grid, 1e9, 10.0, 1e6), Load(Surface(15.0, AIR), ends=(End(AIR + 60.0), None)))
        exact = AIR + 60.0 * np.cosh((0.3 - grid.middle[1]) / 0.1) / np.cosh(3.0)
        errors.append(float(np.abs(found.state.cells[0, 0] - exact).max()))
    assert np.all(order(errors) >= 1.9)


@pytest.mark.parametrize("speed", [0.002, 0.5, -0.5])
def test_running_rope_cools_towards_the_air(speed: float) -> None:
    # Heat balance of a metre that moves: theta = 60 exp(-a z), a = 4 h/(d rho c v) = 4 x 15/(0.06 x 1.1e6 x 0.002)
    # = 0.4545 1/m; conduction, k a/(rho c v) = 1e-4 of it, is taken out by k 1e-6. Upwinded: a cell of width w is
    # 1/(1 + a w) of the one before, by which theta at the cell's outlet is wrong by at most a^2 w z/2.
    errors = []
    for cells in (100, 200):
        grid = fin(cells, 4.0, 0.03)
        ends = (End(AIR + 60.0), None) if speed > 0.0 else (None, End(AIR + 60.0))
        found = steady(Rope(grid, 1e9, 1e-6, 1.1e6, speed=speed), Load(Surface(15.0, AIR), ends=ends))
        rise = (found.state.cells[0, 0] - AIR)[:: 1 if speed > 0.0 else -1]
        a, width = 4.0 * 15.0 / (0.06 * 1.1e6 * abs(speed)), 4.0 / cells
        outlet = width * np.arange(1, cells + 1)
        assert rise == pytest.approx(60.0 / (1.0 + a * width) ** np.arange(1, cells + 1), rel=1e-6)
        errors.append(float(np.max(np.abs(rise / (60.0 * np.exp(-a * outlet)) - 1.0))))
        assert errors[-1] <= 0.51 * a**2 * width * 4.0
        assert found.balance.closure <= LINEAR
    assert np.all(order(errors) >= 0.98)


def test_running_rope_when_flow_is_weak_is_of_second_order() -> None:
    # v so slow that a cell holds little flow beside conduction: theta = exp(m z) as above with rho c v = 50 W/(m2 K),
    # k 10, L^2 = 0.01: m = [50 - sqrt(2500 + 4 x 10 x 1000)]/20 = -7.808 1/m; the far end is held on the solution.
    m, errors = (50.0 - np.sqrt(2500.0 + 4.0 * 10.0 * 1000.0)) / 20.0, []
    for cells in (20, 40, 80, 160):
        grid = fin(cells, 0.3, 0.03)
        ends = (End(AIR + 60.0), End(AIR + 60.0 * float(np.exp(0.3 * m))))
        found = steady(Rope(grid, 1e9, 10.0, 1e6, speed=5e-5), Load(Surface(15.0, AIR), ends=ends))
        errors.append(float(np.abs(found.state.cells[0, 0] - AIR - 60.0 * np.exp(m * grid.middle[1])).max()))
    assert np.all(order(errors) >= 1.9)


# --- contacts -------------------------------------------------------------------------------------

# The spot of docs/explanation/temperature.md.
SPOT = {
    "radius": 0.022, "arc": 0.21, "half_angle": 0.698, "stroke": 0.04, "across": 0.12, "along": 22.0, "film": 14.0,
    "interface": 2000.0, "spreading": 0.15, "share": 0.5, "hysteresis": 6.0, "bending": 8.0, "sliding": 159.0,
    "steel": 9.0,
}  # fmt: skip


def quarter(along: float, cells: tuple[int, int, float]) -> tuple[Rope, Load]:
    """A quarter of the spot: half round from the middle of the strip, from mid-arc outwards."""
    radius, half, swing = SPOT["radius"], 0.5 * SPOT["arc"], 0.5 * SPOT["stroke"]
    edges = along_edges(0.0, half + 3.0 * np.sqrt(along / 22.0), [half - swing, half, half + swing], cells[2], 1.15)
    strips = np.linspace(0.0, SPOT["half_angle"], max(cells[1] // 3, 2) + 1)
    rest = np.linspace(SPOT["half_angle"], np.pi, cells[1] - strips.size + 2)
    grid = Grid(radial_edges(radius, cells[0]), np.concatenate([strips, rest[1:]]), edges)
    bend = strip(grid, half - swing, half + swing, 0.5 * SPOT["bending"])
    steel = Steel(AIR + SPOT["steel"], 4.0 * SPOT["spreading"])
    contact = Contact(
        steel, 0.0, SPOT["arc"], SPOT["half_angle"], SPOT["interface"], 0.25 * SPOT["sliding"], SPOT["share"]
    )
    heat = {"tension": SPOT["hysteresis"] / (np.pi * radius**2), "bending": bend}
    return Rope(grid, SPOT["across"], along, 1.1e6), Load(Surface(SPOT["film"], AIR), heat, (contact,))


@pytest.mark.parametrize("along", [22.0, 2.0])
def test_contact_when_set_beside_the_referee_agrees(referee: ModuleType, along: float) -> None:
    # The referee differs in its grid, in r for r^2, and in how it treats faces; both within about 1 % of no grid.
    rope, load = quarter(along, (12, 18, 0.004))
    found = steady(rope, load)
    other = referee.solve(referee.Spot(**{**SPOT, "along": along}), (12, 18, 13))
    rise = core(rope.grid, found.state.cells) - AIR
    z = rope.grid.middle[1]
    assert rise[0] == pytest.approx(other.middle, rel=0.01)
    assert np.interp(0.5 * SPOT["arc"], z, rise) == pytest.approx(other.tangent, rel=0.01)
    assert found.state.steel[0] - AIR == pytest.approx(other.steel, rel=0.002)
    touching = load.contacts[0].cover(rope.grid) * rope.grid.area
    assert np.average(found.state.skin, weights=touching) - AIR == pytest.approx(other.skin, rel=0.005)
    assert found.balance.closure <= LINEAR


def test_whole_rope_is_four_quarters() -> None:
    # Closed round and along, with the contact in the middle at another angle; mirrored by hand from the quarter.
    quarter_rope, quarter_load = quarter(22.0, (5, 12, 0.02))
    part = quarter_rope.grid
    angle = np.concatenate([-part.angle[:0:-1], part.angle])
    grid = Grid(part.radius, angle, np.concatenate([-part.length[:0:-1], part.length]))
    one = quarter_load.contacts[0]
    whole = replace(one, steel=replace(one.steel, spreading=SPOT["spreading"]), friction=SPOT["sliding"])
    bend = quarter_load.heat["bending"]
    mirrored = np.concatenate([bend[:, :, ::-1], bend], axis=2)
    heat = {**quarter_load.heat, "bending": np.concatenate([mirrored[:, ::-1], mirrored], axis=1)}
    found = steady(Rope(grid, 0.12, 22.0, 1.1e6), replace(quarter_load, contacts=(whole,), heat=heat))
    quarter_found = steady(quarter_rope, quarter_load)
    half = part.shape[2]
    np.testing.assert_allclose(found.state.cells[:, part.shape[1] :, half:], quarter_found.state.cells, atol=1e-7)
    assert found.state.steel == pytest.approx(quarter_found.state.steel, abs=1e-7)


def test_iterations_and_factorisation_give_one_field() -> None:
    # Three dimensions go through modes and conjugate gradients, one cell round the rope directly: an even contact all
    # round is the same problem in both.
    steel = Steel(AIR + 20.0, 0.5)
    contact = Contact(steel, 0.3, 0.2, np.pi, 500.0, 30.0)
    along = along_edges(0.0, 0.9, [0.2, 0.4], 0.02)
    fields = []
    for angles in (1, 5):
        grid = Grid(radial_edges(RADIUS, 8), angle_edges(angles), along)
        rope = Rope(grid, lambda t: 0.12 + 1e-3 * (t - AIR), 5.0, 1e6)
        fields.append(steady(rope, Load(Surface(14.0, AIR, emissivity=0.5), {"tension": 4e3}, (contact,))))
    np.testing.assert_allclose(fields[1].state.cells, np.repeat(fields[0].state.cells, 5, axis=1), atol=1e-5)
    assert fields[1].balance.closure <= DEPENDENT


def test_three_dimensions_without_a_contact_are_the_section() -> None:
    # HT-02 again, and a film that differs from face to face against the same rope without symmetry along it.
    grid = Grid(radial_edges(0.03, 5), angle_edges(6), np.linspace(0.0, 1.0, 5))
    rope = Rope(grid, 0.3, 1.0, 1e6)
    found = steady(rope, Load(Surface(12.0, AIR), {"tension": 5e4}))
    assert core(grid, found.state.cells) == pytest.approx(AIR + 100.0, abs=1e-8)
    film = np.linspace(5.0, 60.0, 6)[:, None]
    uneven = Load(Surface(film, AIR + np.linspace(0.0, 9.0, 6)[:, None]), {"tension": 5e4})
    flat = Grid(grid.radius, grid.angle, np.array([0.0, 1.0]))
    one = steady(Rope(flat, 0.3, 1.0, 1e6), uneven)
    np.testing.assert_allclose(steady(rope, uneven).state.cells, np.repeat(one.state.cells, 4, axis=2), atol=1e-8)
    assert one.balance.closure <= LINEAR


def test_steel_has_its_own_balance() -> None:
    # By hand, no rope to speak of (interface 1e-9): (T - 300)/0.2 + 2 (T - 290) = 50 -> 7 T = 50 + 1500 + 580.
    steel = Steel(300.0, 0.2, film=2.0, air=290.0, absorbed=50.0)
    grid = Grid(radial_edges(RADIUS, 3), angle_edges(1), np.linspace(0.0, 1.0, 5))
    found = steady(
        Rope(grid, 0.12, 1.0, 1e6), Load(Surface(14.0, AIR), contacts=(Contact(steel, 0.5, 0.2, 1.0, 1e-9),))
    )
    assert found.state.steel[0] == pytest.approx(2130.0 / 7.0, abs=1e-6)


def test_friction_splits_by_the_conductances_that_meet() -> None:
    # Contact all round and along a section, no air: rope insulated inside, so all of Q = 10 W leaves through the
    # interface and R_s. Steel = far + R_s Q = 300 + 2; the face, with share 0.3 born on it, stands Q 0.3/(h_c A)
    # above the steel: A = 2 pi 0.022 = 0.13823 m2, h_c 100: 0.2170 K. Rope at the face's temperature throughout.
    grid = section(4)
    contact = Contact(Steel(300.0, 0.2), 0.5, 1.0, np.pi, 100.0, 10.0, 0.3)
    found = steady(Rope(grid, 0.12, 1.0, 1e6), Load(Surface(0.0, AIR), contacts=(contact,)))
    assert found.state.steel[0] == pytest.approx(302.0, abs=1e-8)
    assert found.state.cells == pytest.approx(302.21703, abs=1e-4)


# --- shares, runaway, principle -------------------------------------------------------------------


def test_shares_add_up_to_the_rise_and_are_linear() -> None:
    rope, load = quarter(22.0, (5, 8, 0.02))
    load = replace(load, surface=replace(load.surface, flux=40.0))
    found = steady(rope, load)
    parts = shares(rope, load, found.state)
    assert set(parts) == {"tension", "bending", "friction", "steel", "surface", "air", "ends"}
    np.testing.assert_allclose(sum(part.cells for part in parts.values()), found.state.cells - AIR, atol=1e-8)
    np.testing.assert_allclose(sum(part.skin for part in parts.values()), found.state.skin - AIR, atol=1e-8)
    # Twice the friction, by superposition and by a solution of its own.
    rougher = replace(load, contacts=(replace(load.contacts[0], friction=2.0 * load.contacts[0].friction),))
    expected = found.state.cells + parts["friction"].cells
    np.testing.assert_allclose(steady(rope, rougher).state.cells, expected, atol=1e-8)


def heated(slope: float, limit: float = 500.0) -> Field:
    """HT-01's rope with heat that grows by a share per kelvin above the air, in one cell across."""
    grid = Grid(np.array([0.0, 0.03]), angle_edges(1), np.array([0.0, 1.0]))
    heat = {"tension": lambda t: 1e4 * (1.0 + slope * (t - AIR))}
    return steady(Rope(grid, 0.3, 1.0, 1e6), Load(Surface(12.0, AIR), heat), limit=limit)


def test_heat_that_grows_with_temperature_is_amplified_until_it_runs_away() -> None:
    # One cell: rise = q (R/2h + R^2/8k) = q x 1.625e-3 m3 K/W; q = 1e4 (1 + s rise) -> rise = 16.25/(1 - 16.25 s):
    # s 0.03 makes 31.71 K; s 1/16.25 = 0.0615 and more leave no steady field.
    found = heated(0.03)
    assert found.state.cells[0, 0, 0] - AIR == pytest.approx(16.25 / (1.0 - 16.25 * 0.03), rel=1e-6)
    assert found.balance.closure <= DEPENDENT
    with pytest.raises(Runaway, match=r"no steady field below 500\.0 K"):
        heated(0.065)
    # Below a limit between: 293.15 + 31.71 = 324.9.
    with pytest.raises(Runaway, match=r"320\.0 K"):
        heated(0.03, 320.0)


def test_properties_that_jump_are_refused_with_stage_residual_and_advice() -> None:
    # Heat of 1e4 below 300 K and none above: rise would be 16 K, then 0, and so on; no steady field exists.
    grid = section(1)
    heat = {"tension": lambda t: np.where(t < 300.0, 1e4, 0.0)}
    with pytest.raises(FieldError, match=r"did not settle: residual .*; heat and conductivity change too fast"):
        steady(Rope(grid, 0.12, 1.0, 1e6), Load(Surface(12.0, AIR), heat))


@settings(max_examples=40, deadline=None)
@given(
    films=st.tuples(st.floats(1.0, 200.0), st.floats(10.0, 1e4)),
    conductivity=st.tuples(st.floats(0.05, 1.0), st.floats(0.1, 30.0)),
    temperatures=st.tuples(*[st.floats(250.0, 370.0)] * 3),
    speed=st.floats(-0.01, 0.01),
)
def test_unheated_field_lies_between_what_surrounds_it(
    films: tuple, conductivity: tuple, temperatures: tuple, speed: float
) -> None:
    # Maximum principle: without heat nothing is warmer or colder than air, steel and ends.
    air, steel, end = temperatures
    grid = Grid(radial_edges(RADIUS, 4), angle_edges(4), along_edges(0.0, 0.6, [0.2, 0.3], 0.03))
    contact = Contact(Steel(steel, 0.3), 0.25, 0.1, 0.8, films[1])
    load = Load(Surface(films[0], air), contacts=(contact,), ends=(End(end, 50.0), End(end)))
    found = steady(Rope(grid, *conductivity, 1e6, speed=speed), load).state
    every = np.concatenate([found.cells.ravel(), found.skin.ravel(), found.steel])
    assert min(temperatures) - 1e-7 <= every.min()
    assert every.max() <= max(temperatures) + 1e-7


# --- bad input ------------------------------------------------------------------------------------


GRID = Grid(radial_edges(RADIUS, 3), angle_edges(4), np.linspace(0.0, 1.0, 6))
STEEL = Steel(310.0, 0.15)


def contact_on(grid: Grid, **changes: float) -> Field:
    contact = replace(Contact(STEEL, 0.5, 0.2, 0.7, 500.0), **changes)
    return steady(Rope(grid, 0.12, 1.0, 1e6), Load(Surface(14.0, AIR), contacts=(contact,)))


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Rope(GRID, 0.0, 1.0, 1e6), "conductivity across must be above 0"),
        (lambda: Rope(GRID, 0.12, -1.0, 1e6), "conductivity along must be above 0"),
        (lambda: Rope(GRID, 0.12, float("nan"), 1e6), "conductivity along must be above 0"),
        (lambda: Rope(GRID, 0.12, 1.0, 0.0), "heat capacity must be above 0"),
        (lambda: Rope(GRID, 0.12, 1.0, 1e6, speed=float("nan")), "speed must be a finite number"),
        (lambda: Rope(GRID, 0.12, 1.0, lambda t: t, speed=1.0), "does not depend on temperature"),
        (lambda: steady(Rope(GRID, lambda t: 0.0 * t, 1.0, 1e6), Load(Surface(1.0, AIR))), "conductivity across"),
        (lambda: steady(Rope(GRID, 0.1, 1.0, 1e6), Load(Surface(1.0, AIR), {"a": float("nan")})), "heat a must be"),
        (lambda: Surface(-1.0, AIR), "film coefficient must be 0 or more"),
        (lambda: Surface(1.0, -20.0), "air temperature in kelvins must be above 0"),
        (lambda: Surface(1.0, AIR, emissivity=1.2), "emissivity must be at most 1"),
        (lambda: contact_on(GRID, length=3.0), "does not fit 1 m of rope"),
        (lambda: contact_on(GRID, middle=0.05), "reaches beyond the modelled rope"),
        (lambda: contact_on(GRID, length=0.0), "length of the contact must be above 0"),
        (lambda: contact_on(GRID, half_angle=0.0), "half of the touching angle"),
        (lambda: contact_on(GRID, half_angle=3.2), "half of the touching angle"),
        (lambda: contact_on(GRID, interface=0.0), "interface conductance must be above 0"),
        (lambda: contact_on(GRID, share=1.1), "share of friction"),
        (lambda: contact_on(GRID, friction=float("nan")), "friction power"),
        (lambda: Steel(300.0, 0.0), "spreading resistance must be above 0"),
        (lambda: arc_length(0.2, 0.0), "wrap angle must be above 0 and at most 2 pi"),
        (lambda: arc_length(0.2, 6.3), "wrap angle must be above 0 and at most 2 pi"),
        (lambda: Load(Surface(1.0, AIR), {"friction": 1.0}), "must not be called friction"),
        (lambda: strip(GRID, 0.9, 1.1, 5.0), "does not lie on the modelled rope"),
        (lambda: Grid(np.array([0.1, 0.2]), angle_edges(1), np.array([0.0, 1.0])), "begin at the axis"),
        (lambda: Grid(np.array([0.0, 0.2]), angle_edges(2, 7.0), np.array([0.0, 1.0])), "at most 2 pi"),
        (lambda: Grid(np.array([0.0, np.nan]), angle_edges(1), np.array([0.0, 1.0])), "edges of radius"),
        (lambda: radial_edges(-1.0, 4), "radius above 0"),
        (lambda: along_edges(0.0, 1.0, [], 0.0), "finest cell above 0"),
    ],
)
def test_input_that_cannot_be_is_refused_by_name(make: object, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        make()


def test_two_contacts_on_one_face_are_refused() -> None:
    pair = (Contact(STEEL, 0.3, 0.2, 0.7, 500.0), Contact(STEEL, 0.45, 0.2, 0.7, 500.0))
    with pytest.raises(ValueError, match="two contacts share a face"):
        steady(Rope(GRID, 0.12, 1.0, 1e6), Load(Surface(14.0, AIR), contacts=pair))


@pytest.mark.parametrize("grid", [section(3), GRID], ids=["section", "three dimensions"])
def test_rope_without_any_surroundings_is_refused(grid: Grid) -> None:
    with pytest.raises(FieldError, match="nothing fixes the temperature"):
        steady(Rope(grid, 0.12, 1.0, 1e6), Load(Surface(0.0, AIR), {"tension": 1e3}))


def test_contrast_of_conductivities_too_great_for_the_iterations_is_said() -> None:
    # Cells of 1e-9 and 1e9 W/mK at random: no even rope is near that.
    spread = 10.0 ** np.random.default_rng(2).uniform(-9.0, 9.0, GRID.shape)
    with pytest.raises(FieldError, match=r"conjugate gradients: residual .*; smooth the grid"):
        steady(Rope(GRID, spread, 1.0, 1e6), Load(Surface(14.0, AIR), {"tension": 1e3}))


def test_running_rope_needs_the_temperature_it_comes_with() -> None:
    with pytest.raises(ValueError, match="temperature of the end where it comes in"):
        steady(Rope(GRID, 0.12, 1.0, 1e6, speed=0.1), Load(Surface(14.0, AIR)))


def test_strip_adds_up_to_its_power() -> None:
    heat = strip(GRID, 0.25, 0.5, 7.0)
    assert np.sum(heat * GRID.volume) == pytest.approx(7.0)
    # Cells of 0.2 m: 0.25-0.5 lies in the second (0.15 of it) and the third (0.1).
    along = np.sum(heat * GRID.volume, axis=(0, 1))
    assert along == pytest.approx([0.0, 4.2, 2.8, 0.0, 0.0])
