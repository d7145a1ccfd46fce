"""Motions of a running rope, its means, its temperatures: against brute force in time, closed forms, handbooks."""

import itertools
import math
from copy import copy
from dataclasses import replace

import numpy as np
import pytest

from linewright.physics import heat, section
from linewright.physics.field import core, steady
from linewright.physics.field_grid import Grid, angle_edges
from linewright.physics.field_parts import Load, Rope, Surface
from linewright.physics.field_time import Steps, history
from linewright.physics.film import convection_coefficient
from linewright.physics.profile import constriction
from linewright.physics.running import (
    Heave,
    Motion,
    Rest,
    Travel,
    passages,
    seized_work,
    strip_conductance,
    time_share,
)
from linewright.physics.running_field import PERIODIC, Pace, _Run, run
from linewright.physics.running_load import Scene, means_of
from linewright.physics.running_parts import Around, Fabric, Path, Piece, Sheave, Stretch, running_grid
from linewright.physics.running_steady import runs_away, settle
from linewright.physics.types import Array
from linewright.physics.water import water_film, water_properties

BREAK = 3300e3  # break force of the example rope of 68 mm [N]
TENSION = 0.3 * BREAK
TURNING = Sheave(0.85, math.pi / 2, math.pi / 3, 500.0, 0.5, False, 5e-4, 4e5, 60.0, 30.0)
ARC = 0.85 * math.pi / 2


def fabric(**changes: object) -> Fabric:
    """68 mm HMPE, dry and wet alike unless changed; no damping, no creep."""
    plain = Fabric(
        0.034, (0.12, 0.12), 22.0, (1.1e6, 1.1e6), (0.03, 0.03), (0.08, 0.08), lambda t: 0.0 * t, 1.0,
        lambda force, t: 0.0 * t, 0.408, 1.0, 0.0, 0.0, 420.15,
    )  # fmt: skip
    return replace(plain, **changes)  # type: ignore[arg-type]


def path(medium: str = "air", sheave: Sheave = TURNING) -> Path:
    """Drum, span, one sheave, span."""
    air = Stretch("span", 0.0, 6.0, medium)  # type: ignore[arg-type]
    on = Stretch("sheave", 6.0, 6.0 + ARC, medium, 2.0 / 3.0, sheave)  # type: ignore[arg-type]
    last = Stretch("hanging", 6.0 + ARC, math.inf, medium)  # type: ignore[arg-type]
    return Path(0.85, (Stretch("drum", -math.inf, 0.0, medium, 1.0), air, on, last))  # type: ignore[arg-type]


AROUND = Around(303.15, 293.15, 3.0, 0.0, 1.0, 293.15, 300.0, 293.15, 0.3)
HEAVE = Piece("heave", Heave(500.0, 2.0, 10.0), 6 * 3600.0, TENSION)


def scene(cloth: Fabric, way: Path, pieces: list[Piece], finest: float = 0.1) -> Scene:
    return Scene(cloth, way, AROUND, running_grid(cloth.radius, way, pieces, 3000.0, 8, finest))


def payouts(motion: Motion, count: int = 200_000) -> Array:
    """The paid-out length at even instants, by hand."""
    part = (np.arange(count) + 0.5) / count
    if isinstance(motion, Heave):
        return motion.payout + motion.amplitude * np.sin(2.0 * np.pi * part)
    if isinstance(motion, Travel):
        return motion.start + (motion.end - motion.start) * part
    return np.full(count, motion.payout)


@pytest.mark.parametrize("motion", [Heave(100.0, 2.0, 10.0), Travel(104.0, 97.0, 0.5), Rest(100.0)], ids=str)
def test_time_share_when_compared_with_instants_one_by_one_agrees(motion: Motion) -> None:
    edges = np.array([90.0, 94.0, 94.3, 95.7, 98.0, 101.5, 110.0])
    for low, high in ((-math.inf, 0.0), (0.0, 3.0), (3.0, 4.335), (4.335, math.inf)):
        share = time_share(motion, edges, low, high)
        for cell in range(edges.size - 1):
            marks = np.linspace(edges[cell], edges[cell + 1], 201)[:-1] + (edges[cell + 1] - edges[cell]) / 400.0
            places = payouts(motion, 4000)[:, None] - marks[None, :]
            by_hand = np.mean((places >= low) & (places < high))
            assert share[cell] == pytest.approx(by_hand, abs=3e-3)


@pytest.mark.parametrize("motion", [Heave(100.0, 2.0, 10.0), Travel(104.0, 97.0, 0.5), Rest(100.0)], ids=str)
def test_time_share_when_summed_over_the_path_is_one(motion: Motion) -> None:
    edges = np.linspace(80.0, 120.0, 57)
    stops = (-math.inf, 0.0, 3.0, 4.3, math.inf)
    shares = [time_share(motion, edges, low, high) for low, high in itertools.pairwise(stops)]
    assert np.sum(shares, axis=0) == pytest.approx(np.ones(56), abs=1e-12)


def test_passages_when_a_mark_heaves_over_a_place_are_two_a_cycle() -> None:
    edges = np.array([94.9, 95.0, 99.0, 99.1])  # place 3: marks 95 to 99 pass it
    assert passages(Heave(100.0, 2.0, 10.0), edges, 3.0) == pytest.approx([0.0, 0.2, 0.0])


def test_means_when_a_metre_heaves_over_a_sheave_make_two_hundred_watts() -> None:
    # F = 0.3 x 3300 kN = 990 kN, D/d 25: eps_b = 0.024/25 = 9.6e-4, 950 J/m a bend; two tangents, once a cycle each:
    # 2 x 950/10 = 190 W/m with c_b 0.024, 238 W/m with 0.03. Derived, read as "about 200".
    way = path()
    for loss, power in ((0.024, 190.08), (0.03, 237.6)):
        seen = scene(fabric(bending_loss=(loss, loss)), way, [HEAVE])
        means = means_of(HEAVE, seen.fabric, way, seen.grid)
        assert np.max(means.bending) == pytest.approx(power, rel=1e-12)
        assert np.max(means.bends) * 10.0 == pytest.approx(2.0, rel=1e-12)


def test_means_when_added_up_make_the_tension_lost_over_the_sheave() -> None:
    # Identity: bends cost eps_b F for each metre; 4 a metres pass a tangent a cycle, each passage half a bend.
    way, lost = path(), TENSION * 0.03 * 0.068 / 1.70
    seen = scene(fabric(), way, [HEAVE])
    means = means_of(HEAVE, seen.fabric, way, seen.grid)
    power = float(np.sum(means.bending * seen.grid.steps[2]))
    assert power == pytest.approx(3 * 0.5 * lost * 4.0 * 2.0 / 10.0, rel=1e-9)  # drum and two tangents


def test_means_when_a_travel_is_shorter_than_a_lay_bend_in_part() -> None:
    short = replace(HEAVE, motion=Heave(500.0, 0.15, 10.0))
    way, half = path(), fabric(partial=0.5)
    for piece, share in ((HEAVE, 1.0), (short, 0.5)):
        seen = scene(half, way, [piece])
        full = means_of(piece, fabric(), way, seen.grid).bending
        assert means_of(piece, half, way, seen.grid).bending == pytest.approx(share * full)


def test_first_rise_when_heave_begins_is_that_of_the_first_bends() -> None:
    # BND-01: c_b sigma/((D/d) rho_f c) = energy over capacity: 2 bends x 1188 J/m/(1.1e6 x 3.632e-3 m2) = 0.5949 K
    # a cycle in the middle of the double zone, nothing lost yet: 60 s are six cycles.
    seen = scene(fabric(), path(), [HEAVE])
    past = run(seen, [replace(HEAVE, duration=60.0)], Pace(first=60.0, tolerance=0.005))
    double = np.flatnonzero(past.bends > 0.999 * np.max(past.bends))
    cell = double[double.size // 2]
    energy = 2.0 * heat.bending_heat(0.03 * 0.068 / 1.70, TENSION, 1.0, 10.0) * 60.0
    assert energy / (1.1e6 * math.pi * 0.034**2) == pytest.approx(6 * 0.5949, rel=1e-3)
    assert past.core[-1, cell] - 303.15 == pytest.approx(6 * 0.5949, rel=0.01)


def test_steady_core_when_the_travel_is_long_is_the_closed_form_of_the_section() -> None:
    # +-40 m, bends of the two tangents overlap over 78 m: k_z reaches 1 m, so that mid-band is a free section with
    # 2 eps_b F/P, P 200 s. Film: h held by 300 W/m2K of spray everywhere, so that the closed form is exact.
    wide = replace(HEAVE, motion=Heave(500.0, 40.0, 200.0))
    bare = replace(TURNING, interface=1e-9)
    way = path("spray", bare)
    open_round = tuple(replace(part, exposed=1.0) for part in way.stretches)
    way = replace(way, stretches=open_round)
    seen = scene(fabric(), way, [wide], 0.3)
    found = settle(seen, wide)
    middle = int(np.argmin(np.abs(seen.grid.middle[1] - (500.0 - 3.0))))
    bends = means_of(wide, seen.fabric, way, seen.grid).bends[middle] * 200.0
    assert bends == pytest.approx(3.0)  # drum and both tangents
    power = 3.0 * TENSION * 0.03 * 0.068 / 1.70 / 200.0
    assert found.core[middle] - 293.15 == pytest.approx(section.core_rise(power, 0.068, 0.12, 300.0), rel=1e-3)


def test_steady_film_when_the_rope_moves_in_air_is_that_of_the_mean_wind() -> None:
    # A rope that lies still in 3 m/s: one bend-free stretch; sun alone warms it: alpha G/pi over h.
    still = replace(HEAVE, motion=Rest(500.0))
    cloth = fabric(absorptance=0.6)
    seen = replace(scene(cloth, path(), [still]), around=replace(AROUND, sun=900.0))
    found = settle(seen, still)
    far = -1  # on the drum
    rise = found.skin[far] - 303.15
    film = float(convection_coefficient(0.068, 3.0, found.skin[far], 303.15, math.pi / 2))
    assert rise == pytest.approx(0.6 * 900.0 / math.pi / film, rel=1e-3)


def test_means_when_compared_with_every_instant_give_the_same_temperatures() -> None:
    # Brute force, no formula shared: a rope of one temperature across, cells of 0.1 m, 0.05 s steps through 180 cycles;
    # heat falls where a mark passes a tangent, the film is 40 in spans, 400 on the sheave's spray.
    way = Path(
        0.85,
        (
            Stretch("drum", -math.inf, 0.0, "air", 0.0),
            Stretch("span", 0.0, 6.0, "air", 0.0),
            Stretch("sheave", 6.0, 6.0 + ARC, "spray", 1.0, replace(TURNING, interface=1e-9)),
            Stretch("hanging", 6.0 + ARC, math.inf, "air", 0.0),
        ),
    )
    piece = replace(HEAVE, duration=1800.0)
    cloth = fabric(across=(1e4, 1e4), along=1e-6)
    seen = Scene(cloth, way, AROUND, running_grid(cloth.radius, way, [piece], 3000.0, 2, 0.05))
    past = run(seen, [piece], Pace(tolerance=0.01))
    marks = seen.grid.middle[1]
    temperature = np.full(marks.size, 303.15)
    step, area = 0.02, math.pi * 0.034**2
    energy = 0.5 * TENSION * 0.03 * 0.068 / 1.70
    payout = 500.0
    for number in range(int(1800.0 / step)):
        new = 500.0 + 2.0 * math.sin(2.0 * math.pi * (number + 1) * step / 10.0)
        for tangent in (0.0, 6.0, 6.0 + ARC):
            passed = (payout - marks - tangent) * (new - marks - tangent) <= 0.0
            temperature += passed * energy / (1.1e6 * area)
        place = new - marks
        cooled = (place >= 6.0) & (place < 6.0 + ARC)
        temperature -= cooled * step * 300.0 * 2.0 * math.pi * 0.034 / (1.1e6 * area) * (temperature - 293.15)
        payout = new
    inside = (marks > 480.0) & (np.abs(past.core[-1] - 303.15) > 5.0)
    rise = past.core[-1][inside] - 303.15
    assert np.count_nonzero(inside) > 30
    # a cell of the grid is a mean over its marks, one instant hits or misses: a few cells at the ends differ
    close = np.abs(rise - (temperature[inside] - 303.15)) < 0.02 * np.max(rise)
    assert np.mean(close) > 0.9
    hot = int(np.argmax(past.core[-1]))
    assert past.core[-1, hot] - 303.15 == pytest.approx(temperature[hot] - 303.15, rel=0.02)


def test_means_when_spray_and_air_alternate_every_five_seconds_are_a_little_low() -> None:
    # Between them the outer millimetres swing, so that a cycle cools less than the mean film: 1.7 % of the core's rise
    # for a wet rope in 300 W/m2K of spray and 20 of air, by every cycle in turn on rings that are fine at the skin.
    edges = 0.034 * (1.0 - np.linspace(1.0, 0.0, 31) ** 2.2)
    grid = Grid(np.maximum(edges, 0.0), angle_edges(1), np.array([0.0, 1.0]))
    rope, heat_rate = Rope(grid, 0.4, 1.0, 2.5e6), 140.0 / (math.pi * 0.034**2)
    spray, air, mean = (
        Load(Surface(film, stream), {"bending": heat_rate})
        for film, stream in ((300.0, 295.0), (20.0, 301.0), (160.0, 0.5 * (300.0 * 295.0 + 20.0 * 301.0) / 160.0))
    )
    settled = steady(rope, mean).state
    past = history(rope, [(5.0, spray), (5.0, air)] * 600, settled, Steps(math.inf, 1))
    rise = core(grid, settled.cells)[0] - 295.375
    assert 1.0 < (past.core[-1, 0] - 295.375) / rise < 1.03


def test_balance_when_a_programme_ends_closes() -> None:
    lower = Travel(100.0, 500.0, 1.0)
    pieces = [
        Piece("lower", lower, lower.duration, TENSION),
        replace(HEAVE, duration=1800.0, swing=(0.1 * TENSION) ** 2 / 10.0 / (60 * BREAK)),
        Piece("rest", Rest(500.0), 900.0, TENSION),
    ]
    wet = fabric(across=(0.12, 0.4), damping=lambda t: 0.05 + 0.0 * t, emissivity=0.9)
    past = run(scene(wet, path("spray"), pieces), pieces, Pace(travel=16))
    assert past.balance.closure < 1e-9
    assert past.steel_balance.closure < 1e-9
    assert past.balance.made["tension"] > 0.0
    # streams are added up from the mean skin of each stretch of time, the balance by the field's own steps
    assert sum(past.streams.values()) == pytest.approx(
        past.balance.lost["air"] - past.balance.made["surface"], rel=0.02
    )
    # each tangent is passed once on the way by all that is lowered: 0.5 bend each, then 180 cycles of 2
    assert np.max(past.bends) == pytest.approx(1.5 + 180 * 2.0, abs=0.2)


def test_steps_when_halved_move_the_core_by_little() -> None:
    piece = replace(HEAVE, duration=3600.0, swing=(0.1 * TENSION) ** 2 / 10.0 / (60 * BREAK))
    cloth = fabric(across=(0.12, 0.4), emissivity=0.9, damping=lambda t: 0.05 * (t / 293.15) ** 4)
    seen = scene(cloth, path("spray"), [piece])
    coarse = run(seen, [piece])
    fine = run(seen, [piece], Pace(first=15.0, longest=150.0, tolerance=0.01))
    finer = Scene(cloth, path("spray"), AROUND, running_grid(0.034, path("spray"), [piece], 3000.0, 24, 0.03))
    sharp = run(finer, [piece])
    assert np.max(coarse.core[-1]) == pytest.approx(np.max(fine.core[-1]), abs=0.1)
    assert np.max(coarse.core[-1]) == pytest.approx(np.max(sharp.core[-1]), rel=0.01)


def test_transient_when_it_goes_on_comes_to_the_steady_state() -> None:
    long = replace(HEAVE, duration=48 * 3600.0)
    seen = scene(fabric(across=(0.12, 0.4)), path("spray"), [long])
    past, found = run(seen, [long]), settle(seen, long)
    assert found.sustainable
    assert np.max(past.core[-1]) == pytest.approx(np.max(found.core), abs=0.1)
    assert past.steel[-1] == pytest.approx(found.steel, abs=0.1)


def test_heave_when_dry_is_not_sustainable_and_stops_at_the_melting_range() -> None:
    # closed form: 238 W/m through 0.12 W/mK alone are 158 K between core and skin, beyond 147 C from 30 C
    seen = scene(fabric(), path(), [HEAVE])
    assert section.core_rise(237.6, 0.068, 0.12, 1e9) == pytest.approx(157.6, abs=0.1)
    assert not settle(seen, HEAVE).sustainable
    past = run(seen, [HEAVE])
    assert past.melted
    assert past.time[-1] < 3600.0


def test_heave_when_damping_rises_with_temperature_runs_away() -> None:
    # At 20 C damping sustainable; where it doubles every 10 K, no steady state is left.
    calm = replace(HEAVE, motion=Heave(500.0, 2.0, 1000.0), swing=(0.1 * BREAK) ** 2 / 10.0 / (60 * BREAK))
    even = fabric(damping=lambda t: 0.15 + 0.0 * t)
    steep = fabric(damping=lambda t: 0.15 * 2.0 ** ((t - 303.15) / 10.0))
    assert settle(scene(even, path(), [calm]), calm).sustainable
    assert not settle(scene(steep, path(), [calm]), calm).sustainable
    assert settle(replace(scene(steep, path(), [calm]), held=303.15), calm).sustainable


def test_heave_when_its_field_lies_just_above_the_melting_range_is_too_hot_and_does_not_run_away() -> None:
    # Damping D exp(b (T - T0)), b = 0.01/K. By hand for one node, r = rise of constant damping D: a field exists where
    # r b e <= 1, at most 1/b = 100 K up.
    calm = replace(HEAVE, motion=Heave(500.0, 2.0, 1000.0), swing=(0.1 * BREAK) ** 2 / 10.0 / (60 * BREAK))

    def rope(level: float, growth: float, melting: float):
        return replace(fabric(damping=lambda t: level * np.exp(growth * (t - 303.15))), melting=melting)

    def hottest(fed) -> float:
        return float(np.max(settle(scene(fed, path(), [calm]), calm).core))

    bare, one = (hottest(rope(level, 0.0, 1000.0)) for level in (1e-9, 0.1))
    critical = 0.1 / ((one - bare) * 0.01 * np.e)
    high = hottest(rope(0.7 * critical, 0.01, 1000.0))
    assert bare < high < bare + 100.0
    for part, melting, away in ((0.7, high - 2.0, False), (1.5, bare + 90.0, True)):
        seen = scene(rope(part * critical, 0.01, melting), path(), [calm])
        assert not settle(seen, calm).sustainable
        assert settle(replace(seen, held=303.15), calm).sustainable  # without growth: 1.5/(b e) = 55 K up
        assert runs_away(seen, calm) is away


def test_sheave_when_seized_heats_rope_and_steel_by_the_capstan_difference() -> None:
    # F (1 - exp(-mu theta)) = 990 kN (1 - exp(-0.08 pi/2)) = 116.91 kJ for each metre that passes; 0.8 m/s: 93.5 kW.
    assert seized_work(TENSION, 0.08, math.pi / 2) == pytest.approx(116.91e3, rel=1e-4)
    way = path(sheave=replace(TURNING, slides=True))
    seen = scene(fabric(), way, [HEAVE])
    past = run(seen, [replace(HEAVE, duration=5.0)], Pace(first=5.0))
    made = past.steel_balance.made["friction"] + past.balance.made["surface"]
    assert made / 5.0 == pytest.approx(93.5e3, rel=0.02)
    assert np.max(past.skin) > np.max(past.core)


def test_strip_when_it_goes_all_round_has_no_constriction_left() -> None:
    conductance, part = strip_conductance(500.0, math.pi, 0.034, 0.12)
    assert conductance == pytest.approx(2.0 * math.pi * 0.034 * 500.0)
    assert part == pytest.approx(1.0)


def test_strip_when_it_is_narrow_adds_what_the_section_mean_model_has() -> None:
    half, k = math.pi / 3, 0.12
    conductance, _ = strip_conductance(500.0, half, 0.034, k)
    expected = 1.0 / (2.0 * half * 0.034 * 500.0) + constriction(half, k) - 1.0 / (8.0 * math.pi * k)
    assert 1.0 / conductance == pytest.approx(expected)


@pytest.mark.parametrize(
    ("kelvin", "viscosity", "conductivity", "prandtl", "expansion"),
    [(285.0, 1225e-6, 0.590, 8.81, 114.1e-6), (295.0, 959e-6, 0.606, 6.62, 227.5e-6),
     (315.0, 631e-6, 0.634, 4.16, 400.4e-6), (345.0, 389e-6, 0.668, 2.45, 595.4e-6)],
)  # fmt: skip
def test_water_when_compared_with_a_table_agrees(
    kelvin: float, viscosity: float, conductivity: float, prandtl: float, expansion: float
) -> None:
    # saturated water, Incropera table A.6, from memory; conductivity is 1 to 2 % lower here
    k, nu, pr, beta = water_properties(kelvin)
    assert nu * 1000.0 == pytest.approx(viscosity, rel=0.03)
    assert k == pytest.approx(conductivity, rel=0.02)
    assert pr == pytest.approx(prandtl, rel=0.03)
    assert beta == pytest.approx(expansion, rel=0.03)


def test_water_film_when_it_flows_across_is_churchill_and_bernstein() -> None:
    # 68 mm, 0.5 m/s, 22 C: nu 0.96e-6, Re 35 400, Pr 6.65, Nu by hand 0.3 + 0.62 x 188.2 x 1.880/1.034 x 1.185 = 251.6
    k, nu, pr, _ = water_properties(295.15)
    reynolds = 0.5 * 0.068 / nu
    base = 0.62 * math.sqrt(reynolds) * pr ** (1 / 3) / (1.0 + (0.4 / pr) ** (2 / 3)) ** 0.25
    by_hand = 0.3 + base * (1.0 + (reynolds / 282000.0) ** 0.625) ** 0.8
    assert by_hand == pytest.approx(251.6, rel=0.03)
    assert water_film(0.068, 0.5, 295.15, 295.15) == pytest.approx(by_hand * k / 0.068, rel=1e-3)


@pytest.mark.parametrize(
    ("make", "words"),
    [(lambda: Heave(100.0, 0.0, 10.0), "amplitude"), (lambda: Heave(100.0, 1.0, 0.0), "period"),
     (lambda: Travel(1.0, 2.0, 0.0), "speed"), (lambda: Travel(2.0, 2.0, 1.0), "differ")],
)  # fmt: skip
def test_motion_when_it_cannot_be_is_refused(make: object, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        make()  # type: ignore[operator]


@pytest.mark.parametrize("slow", [0.005, 0.0005])
def test_run_when_a_slow_sheave_hides_behind_a_fast_rope_goes_on(slow: float) -> None:
    # Closed form: the rope's cycles change it by 1 K x 0.5^n, the steel (in one cell also the rope) by slow x 0.99^n.
    # From cycle n on the steel still moves by slow x 0.99^(n + 1)/(1 - 0.99): 0.5 K after the rope has come to rest, by
    # a change that is the smaller one in the sixth cycle, where the larger adds up to 0.03 K.
    seen = scene(fabric(), path(), [HEAVE])
    going, left = _Run(seen), 100_000
    for n in range(2000):
        before = copy(going)
        change = np.full_like(going.state.cells, 0.5**n)
        change[..., 0] += slow * 0.99**n
        going.state = replace(going.state, cells=going.state.cells + change)
        going.steels = going.steels + slow * 0.99**n
        if going.has_come_round(before, left - n):
            break
    remains = slow * 0.99 ** (n + 1) / 0.01 + 0.5**n
    assert 0.04 < remains < PERIODIC
