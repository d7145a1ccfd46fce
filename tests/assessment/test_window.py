"""The operating window: `run`'s own numbers at the state's place, life state by state, swells by hand, crossings."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from linewright.assessment import life
from linewright.assessment import line as line_stage
from linewright.assessment.bounds import SLACK, SUSTAINED, bounds_of, crossing, falls, points_of
from linewright.assessment.duty import Elastic
from linewright.assessment.rope import tail_subject
from linewright.assessment.swung import hauled, swung
from linewright.assessment.whole import Gathered, assess_case
from linewright.assessment.window import HOT, YEAR, Scene, Window, central_cores, own_places, scene_of, window
from linewright.base.units import ZERO_CELSIUS, Load
from linewright.case.model import Response, State, Tension, Wave
from linewright.importers.curves import Curve
from linewright.services.gather import gather
from linewright.services.study import open_study
from linewright.services.window_places import sea_row

SAMPLES = 64
SETTLED = 0.1  # a round of heat that depends on temperature leaves a core that it moves by less [K]

CASE = """
format = 1
title = "One berth"
[ship]
design_break_load = "900 kN"
[[line]]
name = "springs"
rope = "hmpe-standard-12-strand"
diameter = "36 mm"
inboard_length = "10 m"
outboard_length = "35 m"
tail = { rope = "polyester-tail-double-braid", length = "11 m" }
[[line.contact]]
card = "closed-chock"
bend_radius = "200 mm"
wrap = "50 deg"
[[berth]]
name = "Swell berth"
climate = "swell-coast-monthly"
calls_per_year = 25
hours_per_call = "36 h"
[[berth.state]]
name = "calm"
share = "30 %"
tension.springs = { mean = "32 %LDBF", amplitude = "0 kN" }
[[berth.state]]
name = "swell"
share = "40 %"
tension.springs = { mean = "20 %LDBF", amplitude = "6.5 %LDBF", amplitude_kind = "significant", period = "13 s" }
[[berth.state]]
name = "surge"
share = "20 %"
wetness = 0.5
tension.springs = { mean = "20 %LDBF", motion = "0.4 m", amplitude_kind = "significant", period = "70 s" }
[[berth.state]]
name = "seas"
share = "10 %"
sea = [{ height = "1.2 m", period = "11 s" }]
tension.springs = { mean = "20 %LDBF", response = "40 kN/m" }
[[compare]]
rope = "polyester-parallel-strand"
same = "motion"
"""  # invented


@pytest.fixture(scope="module")
def given(tmp_path_factory: pytest.TempPathFactory) -> tuple[Any, Any, Gathered]:
    """Case, cards and files of an invented study with every kind of swing."""
    folder = tmp_path_factory.mktemp("window")
    (folder / "case.toml").write_text(CASE, encoding="utf-8")
    case, shelf = open_study(folder).read()
    return replace(case, samples=SAMPLES), shelf, gather(folder, case, shelf)


@pytest.fixture(scope="module")
def scene(given: tuple[Any, Any, Gathered]) -> Scene:
    return scene_of(*given, 0, 0)


@pytest.fixture(scope="module")
def mapped(scene: Scene) -> Window:
    """The swell from -10 to 60 C and a tenth to three times."""
    return window(scene, 1, ZERO_CELSIUS + np.linspace(-10.0, 60.0, 8), ("swell", np.linspace(0.1, 3.0, 9)))


@pytest.mark.parametrize("rope", [0, 1], ids=["on board", "compared, same motion"])
@pytest.mark.parametrize("state", [1, 2, 3], ids=["load", "motion", "sea"])
def test_window_when_at_the_states_own_place_is_the_number_of_run(
    given: tuple[Any, Any, Gathered], state: int, rope: int
) -> None:
    # `run` gives core, skin and margin of the hot hour; the window goes there by another way (a grid of states with
    # one hour of weather each), so draw by draw nothing may differ.
    scene = scene_of(*given, 0, rope)
    line = assess_case(*given[:2], None, given[2]).ropes[rope].lines[0]
    air = scene.weather.air[state, HOT]
    found = window(scene, state, np.array([air - 8.0, air]), ("swell", np.array([0.5, 1.0])))
    assert found.own == (pytest.approx(air), 1.0)
    for mine, runs in (("core", "core"), ("skin", "skin"), ("margin", "margin"), ("sustained", "sustained")):
        np.testing.assert_allclose(getattr(found, mine)[:, 1, 1], getattr(line.blocks, runs)[:, state], rtol=1e-9)
    assert found.core[0, 1, 1] == pytest.approx(central_cores(scene)[state])


@pytest.mark.parametrize("kind", ["wind", "hours"])
def test_window_across_wind_and_hours_meets_run_too(given: tuple[Any, Any, Gathered], scene: Scene, kind: Any) -> None:
    line = assess_case(*given[:2], None, given[2]).ropes[0].lines[0]
    own = {"wind": scene.weather.wind[1, HOT], "hours": scene.duty.call_hours[1]}[kind]
    found = window(scene, 1, scene.weather.air[1, HOT : HOT + 1], (kind, np.array([own, own + 6.0])))
    np.testing.assert_allclose(found.core[:, 0, 0], line.blocks.core[:, 1], rtol=1e-9)
    np.testing.assert_allclose(found.margin[:, 0, 0], line.blocks.margin[:, 1], rtol=1e-9)
    cooler = found.core[:, 0, 1] < found.core[:, 0, 0]
    assert cooler.all() if kind == "wind" else np.allclose(found.core[:, 0, 1], found.core[:, 0, 0])


@pytest.mark.parametrize("state", [0, 1, 2, 3], ids=["calm", "load", "motion", "sea"])
def test_window_across_mean_tension_meets_run_and_its_sustained_margin_goes_with_the_mean(
    given: tuple[Any, Any, Gathered], scene: Scene, state: int
) -> None:
    # At its own mean a point is that of `run`. By hand: what is held for hours is strength over mean, so half the mean
    # has twice the sustained margin where the rope is as warm (no swing: no heat but that of its creep, under 1 mK;
    # strength falls by less than 2 % a kelvin, so 2e-5).
    line = assess_case(*given[:2], None, given[2]).ropes[0].lines[0]
    found = window(scene, state, scene.weather.air[state, HOT : HOT + 1], ("tension", np.array([0.5, 1.0, 1.5])))
    for name in ("core", "margin", "sustained"):
        np.testing.assert_allclose(getattr(found, name)[:, 0, 1], getattr(line.blocks, name)[:, state], rtol=1e-9)
    np.testing.assert_allclose(found.duty.mean, np.array([0.5, 1.0, 1.5]) * scene.duty.mean[state])
    if state == 0:
        np.testing.assert_allclose(found.core[:, 0, 0], found.core[:, 0, 1], atol=1e-3)
        np.testing.assert_allclose(found.sustained[:, 0, 0], 2.0 * found.sustained[:, 0, 1], rtol=2e-5)
        bounds = bounds_of(scene, found, points_of(found, np.ones(SAMPLES)), "tension")
        low = np.quantile(found.sustained[:, 0], 0.1, axis=0)
        np.testing.assert_allclose(bounds.excess[SUSTAINED][0], 1.0 - low, atol=0.02)
    if state == 1:
        np.testing.assert_allclose(found.swing, scene.duty.swing[1])
    assert (np.diff(found.margin[:, 0], axis=1) < 0.0).all()


def test_slack_across_mean_tension_is_what_lies_below(given: tuple[Any, Any, Gathered]) -> None:
    # By hand: a significant amplitude of 8 %LDBF is 1.5 times a mean of 5.33 %, 0.533 of its own 10 %.
    case, shelf, files = given
    berth = case.berths[0]
    tension = replace(berth.states[1].tension["springs"], mean=Load(0.10, "LDBF"), amplitude=Load(0.08, "LDBF"))
    states = (berth.states[0], replace(berth.states[1], tension={"springs": tension}), *berth.states[2:])
    scene = scene_of(replace(case, berths=(replace(berth, states=states),)), shelf, files, 0, 0)
    values = np.linspace(0.5, 1.5, 21)
    found = window(scene, 1, np.array([ZERO_CELSIUS + 25.0]), ("tension", values))
    bounds = bounds_of(scene, found, points_of(found, np.ones(SAMPLES)), "tension")
    assert -bounds.first[SLACK][0] == pytest.approx(0.8 / 1.5, rel=1e-2)  # linear between points, curved like 1/mean
    np.testing.assert_array_equal(bounds.passed((SLACK,))[0], values < 0.8 / 1.5)


@pytest.mark.parametrize("rope", [0, 1], ids=["on board", "compared, same motion"])
def test_own_places_are_the_numbers_of_run_in_every_state(given: tuple[Any, Any, Gathered], rope: int) -> None:
    line = assess_case(*given[:2], None, given[2]).ropes[rope].lines[0]
    found = own_places(scene_of(*given, 0, rope))
    for name in ("core", "skin", "margin", "sustained"):
        np.testing.assert_allclose(getattr(found, name)[:, 0], getattr(line.blocks, name), rtol=1e-9)
    np.testing.assert_allclose(found.highest[0], line.setup.duty.highest)


def test_sea_of_a_swell_is_its_significant_height(scene: Scene) -> None:
    # A sea of 1.2 m has m0 = (1.2/4)^2 (definition), so 4 sqrt(m0) is 1.2 m, and a height goes with the swell.
    assert sea_row(scene, 3, "swell", np.array([0.5, 2.0])) == pytest.approx([0.6, 2.4], rel=1e-2)
    assert sea_row(scene, 1, "swell", np.array([0.5, 2.0])) is None
    assert sea_row(scene, 3, "wind", np.array([0.5, 2.0])) is None


def test_hours_left_are_the_life_of_a_line_that_has_only_this_state(scene: Scene) -> None:
    # The same physics on the way of `run`: one state, one hour of weather that fills the year, one line; its age in
    # years times 8766 h is what the window gives for the point.
    air = ZERO_CELSIUS + 34.0
    found = window(scene, 1, np.array([air]), ("swell", np.array([0.6, 1.4])))
    hot = {name: getattr(scene.weather, name)[1:2, HOT : HOT + 1] for name in scene.weather.__dataclass_fields__}
    moved = air - hot["air"][0, 0]
    weather = replace(scene.weather, **{**hot, **{n: hot[n] + moved for n in ("air", "dew_point", "sky")}})
    weather = replace(weather, weight=np.ones((1, 1)))
    for n in (0, 1):
        duty = scene.duty
        rows = {name: getattr(found.duty, name)[n : n + 1] for name in duty.__dataclass_fields__ if name != "slack"}
        slack = replace(
            duty.slack,
            **{k: getattr(found.duty.slack, k)[n : n + 1] for k in duty.slack.__dataclass_fields__},
        )
        one = replace(duty, **{**rows, "slack": slack, "hours": np.full(1, YEAR), "air": duty.air[1:2] + moved})
        setup = line_stage.prepare(scene.case, scene.subject, one, weather, scene.draws)
        lives = line_stage.assess(setup, scene.draws).lives
        np.testing.assert_allclose(found.hours[:, 0, n], YEAR * lives.age, rtol=1e-6)
    assert (found.hours[:, 0, 1] < found.hours[:, 0, 0]).all()


def test_window_is_monotone_in_air_and_swell(mapped: Window) -> None:
    # Heat of the cycles goes with the square of the swing, the fibre weakens with heat and the highest tension grows
    # with the swing: core and skin can only rise, margin and hours only fall, in every draw.
    for values, sign, room in (
        (mapped.core, 1.0, SETTLED),
        (mapped.skin, 1.0, SETTLED),
        (mapped.margin, -1.0, 1e-9),
        (mapped.hours, -1.0, 1e-3 * YEAR),
    ):
        for axis in (1, 2):
            assert (sign * np.diff(values, axis=axis)).min() > -room
    assert np.ptp(mapped.hours) > 1e3  # it bites: the map is not flat
    assert np.ptp(mapped.core) > 60.0


def test_margin_when_it_rises_with_air_has_a_draw_whose_strength_does(given: tuple[Any, Any, Gathered]) -> None:
    # LCP: 1.05 (1.00 to 1.10) at -40, 1.02 (1.00 to 1.04) at 0 C. By hand a draw at z = -1.8 of the band (5 % at
    # -1.645) has 1.05 (1/1.05)^(1.8/1.645) = 0.995 and 1.02 (1/1.02)^1.094 = 0.998: such a draw gains, no other.
    case, shelf, files = given
    line = replace(case.lines[0], rope="lcp-12-strand")
    scene = scene_of(replace(case, lines=(line,), compared=()), shelf, files, 0, 0)
    air = ZERO_CELSIUS + np.linspace(-40.0, 0.0, 5)
    found = window(scene, 1, air, ("swell", np.array([1.0])))
    strength = scene.draws.curve("strength_factor", air[None, :])
    gains = np.diff(strength, axis=1).max(axis=1) > 1e-6
    assert 0 < gains.sum() < 0.15 * SAMPLES
    rises = np.diff(found.margin[:, :, 0], axis=1).max(axis=1) > 1e-6
    np.testing.assert_array_equal(rises, gains)


def test_highest_tension_over_the_swell_is_the_most_probable_one_by_hand(scene: Scene, mapped: Window) -> None:
    # By hand, Longuet-Higgins 1952 (from memory): of n Rayleigh waves the highest is sigma sqrt(2 ln n) above the
    # mean, sigma half the significant amplitude. LDBF of the 36 mm rope 1230 (36/42)^2 = 903.7 kN; mean 180.7 kN,
    # amplitude 58.7 kN, 40 % of 36 h = 14.4 h of 13 s: n = 3988, sqrt(2 ln n) = 4.072, so 300.3 kN at the own swell.
    force, n = 1230e3 * (36.0 / 42.0) ** 2, 14.4 * 3600.0 / 13.0
    expected = 0.20 * force + mapped.across * 0.5 * 0.065 * force * np.sqrt(2.0 * np.log(n))
    np.testing.assert_allclose(mapped.duty.highest, expected, rtol=1e-6)
    assert 0.20 * force + 0.5 * 0.065 * force * 4.072 == pytest.approx(300.3e3, rel=1e-3)


def test_window_when_a_motion_drives_the_swing_pulls_harder_in_cold_air(scene: Scene) -> None:
    # By hand, of two springs in series: EA of the rope goes with the card's factor at the state's mean air, moved with
    # the air of the map (the tail's card has no factor at all or its own). A swing in kN stays what it is.
    own = scene.weather.air[2, HOT]
    air = own + np.array([-45.0, 0.0, 20.0])
    found = window(scene, 2, air, ("swell", np.array([0.5, 1.0])))
    line = scene.subject.line
    rope = Elastic.of(scene.subject.data)
    tail = Elastic.of(tail_subject(scene.case, scene.shelf, line).data)  # type: ignore[union-attr]
    for n, moved in enumerate(air - own):
        cold, soft = (part.at(scene.duty.air[2] + moved) for part in (rope, tail))
        swing = found.swing[n, 1]
        pulls = [part.axial(found.duty.mean[1], swing) / length for part, length in ((cold, 45.0), (soft, 11.0))]
        assert swing == pytest.approx(0.4 / (1.0 / pulls[0] + 1.0 / pulls[1]), rel=1e-6)
    assert found.swing[0, 1] > 1.05 * found.swing[1, 1] > 1.05 * found.swing[2, 1] * 0.96
    assert (found.highest[0] > found.highest[1]).all()
    np.testing.assert_allclose(found.swing[1], found.duty.swing)
    typed = window(scene, 1, air, ("swell", np.array([1.0])))
    assert np.ptp(typed.swing) == 0.0


def test_window_when_the_air_is_that_of_a_run_meets_its_cold_margin(given: tuple[Any, Any, Gathered]) -> None:
    # The same study in a climate that is 30 K colder, by `run`, is the window's column 30 K colder.
    case, shelf, files = given
    scene = scene_of(*given, 0, 0)
    own = scene.weather.air[2, HOT]
    name = case.berths[0].climate
    card = shelf.climates[name]
    moved = ("air_low", "air_high", "dew_point")
    months = tuple(replace(row, **{key: getattr(row, key) - 30.0 for key in moved}) for row in card.months)
    colder = replace(shelf, climates={**shelf.climates, name: replace(card, months=months)})
    line = assess_case(case, colder, None, files).ropes[0].lines[0]
    found = window(scene, 2, np.array([own - 30.0, own]), ("swell", np.array([1.0])))
    assert line.setup.weather.air[2, HOT] == pytest.approx(own - 30.0, abs=1.0)  # another hour may be the hot one
    assert found.highest[0, 0] == pytest.approx(line.setup.duty.highest[2], rel=1e-6)
    assert found.highest[0, 0] > 1.05 * found.highest[1, 0]
    np.testing.assert_allclose(found.margin[:, 0, 0], line.blocks.margin[:, 2], rtol=5e-3)


@pytest.mark.parametrize(("kind", "mean", "amplitude", "taut"), [
    ("significant", 10.0, 8.0, 1.5 * 10.0 / 8.0),
    ("constant", 10.0, 6.0, 10.0 / 6.0),
])  # fmt: skip
def test_window_when_the_swell_leaves_the_line_slack_says_where(
    given: tuple[Any, Any, Gathered], kind: str, mean: float, amplitude: float, taut: float
) -> None:
    # By hand: what a typed state is refused for, a sine beyond its mean and an irregular swing beyond 1.5 times it,
    # ends the map at 1.875 and 1.667 times the swell. Cut at zero at twice the swell: 2 x 6 - 10 of 12 = 1/6 of a sine.
    case, shelf, files = given
    berth = case.berths[0]
    tension = replace(berth.states[1].tension["springs"], mean=Load(mean / 100.0, "LDBF"),
                      amplitude=Load(amplitude / 100.0, "LDBF"), amplitude_kind=kind)  # fmt: skip
    states = (berth.states[0], replace(berth.states[1], tension={"springs": tension}), *berth.states[2:])
    case = replace(case, berths=(replace(berth, states=states),))
    scene = scene_of(case, shelf, files, 0, 0)
    air = ZERO_CELSIUS + np.array([0.0, 25.0, 40.0])
    found = window(scene, 1, air, ("swell", np.linspace(0.1, 2.0, 20)))
    bounds = bounds_of(scene, found, points_of(found, np.ones(SAMPLES)))
    np.testing.assert_allclose(bounds.first[SLACK], taut, rtol=1e-6)
    assert bounds.passed((SLACK,)).sum() == 3 * int(np.sum(np.linspace(0.1, 2.0, 20) > taut))
    assert (np.diff(found.clipped, axis=1) >= 0.0).all()
    if kind == "constant":
        assert found.clipped[0, -1] == pytest.approx(1.0 / 6.0)
    for values, sign, room in ((found.core, 1.0, SETTLED), (found.margin, -1.0, 1e-9), (found.hours, -1.0, 1e-3)):
        for axis in (1, 2):
            assert (sign * np.diff(values, axis=axis)).min() > -room * (YEAR if room == 1e-3 else 1.0)


def state_with(**tension: Any) -> State:
    given = {"mean": Load(100e3, "N"), "amplitude": None, "motion": None, "period": 10.0}
    one = Tension(**{**given, "amplitude_kind": "significant", **tension})
    return State("sea", 1.0, 0.0, {"springs": one}, sea=(Wave(2.0, 9.0),), sea_file=tension.get("file", ""))


def test_swung_scales_what_a_state_is_given_by() -> None:
    bases, files, factors = {"N": 1.0, "LDBF": 1e6, "SDMBL": 9e5}, Gathered(), np.array([0.5, 3.0])
    (half, _), _ = swung(state_with(amplitude=Load(0.1, "LDBF")), "springs", factors, bases, files)
    assert half.tension["springs"].amplitude == Load(0.05, "LDBF")
    (_, three), _ = swung(state_with(motion=0.2), "springs", factors, bases, files)
    assert three.tension["springs"].motion == pytest.approx(0.6)
    (_, three), _ = swung(state_with(response=Response(tension=5e4)), "springs", factors, bases, files)
    assert [wave.height for wave in three.sea] == [6.0]


def test_swung_keeps_the_mean_under_a_stated_highest_tension() -> None:
    # By hand: mean 100 kN, stated highest 25 %LDBF of 1000 kN = 250 kN; at half the swell 100 + 150/2 = 175 kN.
    state = state_with(amplitude=Load(5e4, "N"), highest=Load(0.25, "LDBF"))
    (half,), _ = swung(state, "springs", np.array([0.5]), {"N": 1.0, "LDBF": 1e6}, Gathered())
    assert half.tension["springs"].highest == Load(175e3, "N")


def test_hauled_moves_the_mean_and_leaves_the_swing() -> None:
    # By hand: a mean of 100 kN at 1.2 is 120 kN, what is stated as highest, 250 kN, is 270 kN, the swing is as it was.
    bases, factors = {"N": 1.0, "LDBF": 1e6}, np.array([1.2])
    state = state_with(amplitude=Load(0.05, "LDBF"), highest=Load(0.25, "LDBF"))
    (more,), _ = hauled(state, "springs", factors, bases, Gathered())
    tension = more.tension["springs"]
    assert tension.mean.value == pytest.approx(120e3)
    assert tension.highest is not None
    assert tension.highest.value == pytest.approx(270e3)
    assert tension.amplitude == Load(0.05, "LDBF")
    (more,), _ = hauled(state_with(motion=0.2), "springs", factors, bases, Gathered())
    assert more.tension["springs"].motion == pytest.approx(0.2)


def test_swung_scales_a_spectrum_file_by_the_square() -> None:
    # Variance goes with the square of the height (definition of a spectrum): three times the swell is nine times S.
    curve = Curve(np.linspace(0.05, 0.2, 4), np.ones(4), "spectrum of tension")
    files = Gathered(curves={"own.csv": curve})
    state = state_with(response=Response(spectrum="own.csv"))
    (three,), known = swung(state, "springs", np.array([3.0]), {"N": 1.0}, files)
    name = three.tension["springs"].response.spectrum  # type: ignore[union-attr]
    np.testing.assert_allclose(known.curves[name].values, 9.0)
    assert set(files.curves) == {"own.csv"}


def test_crossing_is_the_first_linear_zero_from_the_mild_side() -> None:
    # By hand: -1, 1 between 2 and 4 crosses at 3; beyond at once is -inf, never beyond is inf; only the first counts.
    across = np.array([1.0, 2.0, 4.0, 5.0])
    rows = np.array([[-2.0, -1.0, 1.0, 2.0], [0.5, 1.0, 2.0, 3.0], [-1.0, -1.0, -1.0, -0.1], [-1.0, 1.0, -1.0, 1.0]])
    assert crossing(across, rows).tolist() == [3.0, -np.inf, np.inf, 1.5]


def test_bounds_when_wind_cools_count_from_the_windy_side(scene: Scene) -> None:
    found = window(scene, 1, ZERO_CELSIUS + np.array([20.0, 52.0]), ("wind", np.linspace(0.0, 12.0, 7)))
    points = points_of(found, np.ones(SAMPLES))
    bounds = bounds_of(scene, found, points, "wind")
    limit = scene.subject.data["long_term_limit"].value
    least = -bounds.first["core above the long-term limit"][1]
    assert 0.0 < least < 12.0
    assert np.interp(least, found.across, points.core_high[1]) == pytest.approx(limit, abs=1e-6)
    assert np.isposinf(bounds.first["core above the long-term limit"][0])


def test_bounds_when_the_largest_swell_is_used_meet_their_criterion(scene: Scene, mapped: Window) -> None:
    points = points_of(mapped, np.ones(SAMPLES))
    bounds = bounds_of(scene, mapped, points)
    least, names = bounds.tightest(tuple(bounds.first))
    for n, name in enumerate(names):
        if np.isfinite(least[n]):
            assert np.interp(least[n], mapped.across, bounds.excess[name][n]) == pytest.approx(0.0, abs=1e-9)
    assert (np.diff(least[np.isfinite(least)]) <= 1e-9).all()  # hotter air never allows more
    assert falls(points.core_high, 1, SETTLED) == 0
    assert falls(np.array([[1.0, 0.5, 2.0]]), 1) == 1


def test_window_when_a_study_is_on_disk_reads_its_record(tmp_path: Path) -> None:
    # The record of the demo is swung about its mean: at its own swing the highest tension is `run`'s.
    from linewright.services.demo import write_demo

    write_demo(tmp_path / "demo")
    study = open_study(tmp_path / "demo")
    case, shelf = study.read()
    case = replace(case, samples=SAMPLES, lines=case.lines[:1], compared=())
    scene = scene_of(case, shelf, gather(study.root, case, shelf), 0, 0)
    number = [state.name for state in scene.duty.states].index("harbour surge")
    found = window(scene, number, scene.weather.air[number, HOT : HOT + 1], ("swell", np.array([0.5, 1.0, 2.0])))
    own, mean = scene.duty.highest[number], scene.duty.mean[number]
    assert found.duty.highest[1] == pytest.approx(own, rel=1e-9)
    np.testing.assert_allclose(found.duty.highest - mean, np.array([0.5, 1.0, 2.0]) * (own - mean), rtol=1e-6)
    pulled = window(scene, number, scene.weather.air[number, HOT : HOT + 1], ("tension", np.array([0.5, 1.0, 1.5])))
    np.testing.assert_allclose(pulled.duty.mean, np.array([0.5, 1.0, 1.5]) * mean, rtol=1e-9)
    np.testing.assert_allclose(pulled.duty.highest - pulled.duty.mean, own - mean, rtol=1e-6)
    np.testing.assert_allclose(pulled.duty.swing, scene.duty.swing[number], rtol=1e-9)
    line = assess_case(case, shelf, None, scene.files).ropes[0].lines[0]
    np.testing.assert_allclose(found.margin[:, 0, 1], line.blocks.margin[:, number], rtol=1e-9)
    assert life.HORIZON * YEAR >= found.hours.max() > 0.0
