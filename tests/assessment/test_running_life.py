"""Life of a running rope against hand cases: bends of a heave, the anchor's law, tension cycles, cutting, limits."""

from importlib import resources
from pathlib import Path

import numpy as np
import pytest
from scipy.special import gamma

from linewright.assessment import life
from linewright.assessment.running import Assessed, assess_running
from linewright.assessment.running_life import (
    MOST,
    RUNS,
    cutting_of,
    halving_shift,
    limits_of,
    rates_of,
    wire_life,
)
from linewright.assessment.running_setup import Setup, pieces_of, scene_of, setup
from linewright.assessment.running_wear import NAMES, Worn, stays, worn
from linewright.base.errors import InputError
from linewright.cards.loader import load_shelf
from linewright.case.running.form import read_running
from linewright.physics.running_field import Pace, Past, run
from linewright.physics.running_load import Scene

SHELF = load_shelf()
EXAMPLE = (resources.files("linewright.services") / "running_study" / "deep-sea.toml").read_text(encoding="utf-8")
FEW = EXAMPLE + "\n[spread]\nsamples = 16\n"
BENDING, TENSION, CREEP, ABRASION = (NAMES.index(name) for name in ("bending", "tension", "creep", "abrasion"))
HEAD = """
format = 1
title = "Invented winch"
[rope]
card = "hmpe-standard-12-strand"
length = "500 m"
diameter = "40 mm"
mass_per_length = "0.83 kg/m"
design_break_force = "1000 kN"
[drum]
diameter = "0.8 m"
[weather]
air = "20 degC"
dew_point = "10 degC"
wind = "5 m/s"
[spread]
samples = 16
[[path]]
name = "deck"
kind = "span"
length = "20 m"
[[path]]
name = "overboard"
kind = "sheave"
diameter = "0.8 m"
wrap = "90 deg"
[[path]]
name = "out"
kind = "span"
"""
HEAVE = """
[[phase]]
name = "hold"
motion = "heave"
payout = "100 m"
amplitude = "1 m"
period = "100 s"
duration = "1000 s"
tension = "15 %LDBF"
"""


def read(folder: Path, text: str) -> Setup:
    path = folder / "running.toml"
    path.write_text(text, encoding="utf-8")
    return setup(read_running(path), SHELF)


def one_run(found: Setup, kelvin: float | None = None) -> tuple[Worn, Scene, Past]:
    """The central run's losses; at a temperature that is held, where one is named."""
    draws = found.draws().block(slice(0, 1))
    pieces = pieces_of(found, draws)
    scene = scene_of(found, draws, pieces, (4, 0.05))
    past = run(scene, pieces, Pace(), found.study.repeat)
    if kelvin is not None:
        flat = np.full_like(past.core, kelvin)
        past = Past(past.time, flat, flat, past.steel, past.bends, past.balance, past.streams, past.steel_balance,
                    False, past.periodic)  # fmt: skip
    return worn(found, draws, scene, pieces, past, Pace()), scene, past


def at(scene: Scene, mark: float) -> int:
    """Number of the cell that holds a mark."""
    return int(np.searchsorted(scene.grid.length, mark)) - 1


def test_bend_when_a_metre_takes_two_a_wave_lasts_what_the_anchor_allows(tmp_path: Path) -> None:
    # By hand, card hmpe-standard: 15 % load for 30 %, D/d 20 as the anchor, 20 C as the anchor:
    # N = 1.8e4 x (0.15/0.30)^-2.5 = 1.8e4 x 5.657 = 1.018e5, capped at 1e5. 1000 s of 100 s are 10 waves. The sheave's
    # arc is 0.628 m: a metre that goes over the whole of it is bent twice a wave, 20 times a run: damage 20/1e5 = 2e-4;
    # one that the arc's one end only reaches 10 times. ln loss at damage 1 is -ln 0.30 = 1.204.
    loss, scene, past = one_run(read(tmp_path, HEAD + HEAVE), 293.15)
    over, inner = at(scene, 79.7), at(scene, 80.6)
    assert past.bends[over] == pytest.approx(20.0)
    assert past.bends[inner] == pytest.approx(10.0)
    assert loss.loss[BENDING, over] == pytest.approx(2e-4 * 1.2040, rel=1e-3)
    assert loss.loss[BENDING, inner] == pytest.approx(1e-4 * 1.2040, rel=1e-3)


def test_bend_when_warm_and_loaded_follows_the_anchor_law(tmp_path: Path) -> None:
    # 30 % load at 50 C: N = 1.8e4 exp[45000/8.314 (1/323.15 - 1/293.15)] = 1.8e4 x 0.1801 = 3242; 20 bends.
    text = HEAD + HEAVE.replace('"15 %LDBF"', '"30 %LDBF"')
    loss, scene, _ = one_run(read(tmp_path, text), 323.15)
    assert loss.loss[BENDING, at(scene, 79.7)] / 1.2040 == pytest.approx(20.0 / 3242.0, rel=2e-3)


def test_life_when_bending_is_all_is_the_anchor_over_the_bends(tmp_path: Path) -> None:
    # Closed form: 25 % of the strength gone is ln(4/3) = 0.28768, so runs = 0.28768/(1.2040 x 20/3242) = 38.73.
    found = read(tmp_path, HEAD + HEAVE.replace('"15 %LDBF"', '"30 %LDBF"'))
    loss, _, _ = one_run(found, 323.15)
    only = np.zeros_like(loss.loss)
    only[BENDING] = loss.loss[BENDING]
    alone = Worn(only, 0.0 * loss.power, 0.0 * loss.growth, loss.unit, 0.0, np.full_like(loss.hot, np.inf), False)
    ended = life.live(rates_of([alone]), limits_of(found, [alone]))
    assert RUNS * ended.age[0] == pytest.approx(38.73, rel=3e-3)
    assert life.CRITERIA[ended.criterion[0]] == "strength left"


def test_heave_bends_no_metre_beyond_its_amplitude(tmp_path: Path) -> None:
    # Marks within 1 m of 100 - 20 m and of 100 - 20.628 m pass an end of the arc; within 1 m of 100 m the drum.
    loss, scene, past = one_run(read(tmp_path, HEAD + HEAVE), 293.15)
    middle = scene.grid.middle[1]
    away = ((middle < 78.3) | ((middle > 81.1) & (middle < 98.9)))  # fmt: skip
    assert away.sum() > 10
    assert not past.bends[away].any()
    assert not loss.loss[BENDING, away].any()
    assert past.bends[at(scene, 100.0)] == pytest.approx(10.0)  # the drum's one tangent point: one bend a wave


def test_stroke_when_it_goes_to_zero_takes_no_bending(tmp_path: Path) -> None:
    found = []
    for stroke in ("1 m", "10 mm", "1 mm", "0.1 mm"):
        loss, _, _ = one_run(read(tmp_path, HEAD + HEAVE.replace('"1 m"', f'"{stroke}"')), 293.15)
        found.append(float(loss.loss[BENDING].max()))
    assert found == sorted(found, reverse=True)
    # Below one diameter damage goes with the stroke's power 1.8, and the metres that the cell means hold are fewer too.
    assert found[3] < 1e-4 * found[0]
    rest = HEAVE.replace('"heave"', '"rest"').replace('amplitude = "1 m"\nperiod = "100 s"\n', "")
    still, _, _ = one_run(read(tmp_path, HEAD + rest), 293.15)
    assert not still.loss[BENDING].any()


def test_tension_when_it_swings_counts_the_phase_and_the_whole_run(tmp_path: Path) -> None:
    # Card: N R^9 = 7.5. Even: 10 cycles of range 0.2: 10 x 0.2^9/7.5 = 6.827e-7; from slack to 25 % and back: one cycle
    # of range 0.25: 0.25^9/7.5 = 5.086e-7. Irregular (Rayleigh, sigma half of 0.1): 10 (2 sqrt2 0.05)^9 Gamma(5.5)/7.5.
    text = HEAD + HEAVE + 'tension_amplitude = "10 %LDBF"\namplitude_kind = "{}"\n'
    even, scene, _ = one_run(read(tmp_path, text.format("constant")), 293.15)
    rough, _, _ = one_run(read(tmp_path, text.format("significant")), 293.15)
    cell, unit = at(scene, 77.0), -np.log(0.40)
    whole = 0.25**9 / 7.5
    assert even.loss[TENSION, cell] / unit == pytest.approx(10 * 0.2**9 / 7.5 + whole, rel=1e-6)
    irregular = 10.0 * (2.0 * np.sqrt(2.0) * 0.05) ** 9 * gamma(5.5) / 7.5
    assert rough.loss[TENSION, cell] / unit == pytest.approx(irregular + whole, rel=1e-6)
    assert not even.loss[TENSION, at(scene, 102.5)].any()  # on the drum for all of the run


def test_creep_when_the_rope_is_warmer_takes_more_and_none_on_the_drum(tmp_path: Path) -> None:
    # Arrhenius between 20 and 50 C at one stress: exp[145000/8.314 (1/293.15 - 1/323.15)] = 250.6, less what the stress
    # does at a lower temperature: sinh(sigma v/kT), sigma = 150 kN x 970/0.83 = 175.3 MPa: x = 1.949 and 1.768.
    found = read(tmp_path, HEAD + HEAVE)
    cold, scene, _ = one_run(found, 293.15)
    warm, _, _ = one_run(found, 323.15)
    cell = at(scene, 77.0)
    by_hand = 250.6 * np.sinh(1.768) / np.sinh(1.949)
    assert warm.loss[CREEP, cell] / cold.loss[CREEP, cell] == pytest.approx(by_hand, rel=0.01)
    assert warm.loss[CREEP, at(scene, 102.5)] == 0.0


def test_sheave_when_seized_rubs_off_what_slides_over_it(tmp_path: Path) -> None:
    # Card: k_w 3e-15 m2/N, mu 0.08 dry. A metre that passes the whole arc twice a wave, 10 waves:
    # 20 x 3e-15 x 150 kN (1 - exp(-0.08 pi/2))/0.08 = 20 x 3e-15 x 220.9e3/m... over pi/4 x 0.04^2 = 1.2566e-3 m2.
    seized = HEAD.replace('wrap = "90 deg"', 'wrap = "90 deg"\nseized = true')
    loss, scene, _ = one_run(read(tmp_path, seized + HEAVE), 293.15)
    by_hand = 20.0 * 3e-15 * 150e3 * (1.0 - np.exp(-0.08 * np.pi / 2.0)) / 0.08 / (np.pi * 0.02**2)
    assert loss.loss[ABRASION, at(scene, 79.7)] == pytest.approx(by_hand, rel=1e-3)
    turning, _, _ = one_run(read(tmp_path, HEAD + HEAVE), 293.15)
    assert not turning.loss[ABRASION].any()


def test_programme_when_repeated_takes_as_often_as_much(tmp_path: Path) -> None:
    # At one temperature; cycles that are counted instead of run must count too.
    once, scene, _ = one_run(read(tmp_path, HEAD + HEAVE), 293.15)
    often, _, past = one_run(read(tmp_path, HEAD.replace("format = 1", "format = 1\nrepeat = 50") + HEAVE), 293.15)
    cell = at(scene, 79.7)
    assert np.isfinite(past.periodic)
    assert often.loss[BENDING, cell] == pytest.approx(50.0 * once.loss[BENDING, cell], rel=1e-6)
    assert often.loss[CREEP, cell] == pytest.approx(50.0 * once.loss[CREEP, cell], rel=1e-6)


def test_travel_when_lowered_and_hoisted_bends_each_metre_twice_at_each_sheave(tmp_path: Path) -> None:
    ways = ""
    for name, start, end in (("lower", 30, 300), ("hoist", 300, 30)):
        ways += f'[[phase]]\nname = "{name}"\nmotion = "travel"\nstart = "{start} m"\nend = "{end} m"\n'
        ways += 'speed = "1 m/s"\ntension = "30 %LDBF"\n'
    loss, scene, past = one_run(read(tmp_path, HEAD + ways), 293.15)
    cell = at(scene, 100.0)
    # Out and back over the drum's point and the sheave's two: six passages, three full bends of 1.8e4.
    assert past.bends[cell] == pytest.approx(3.0)
    assert loss.loss[BENDING, cell] == pytest.approx(3.0 / 1.8e4 * 1.2040, rel=1e-3)


def test_shift_when_one_zone_is_bent_is_as_long_as_the_zone() -> None:
    edges = np.linspace(0.0, 100.0, 1001)
    middle = 0.5 * (edges[1:] + edges[:-1])
    box = np.where(np.abs(middle - 50.0) < 2.0, 1.0, 0.0)
    assert halving_shift(edges, box) == pytest.approx(4.0, abs=0.01)
    two = box + np.where(np.abs(middle - 40.0) < 2.0, 1.0, 0.0)  # zones of 4 m, 6 m apart: 4 m brings none on another
    assert halving_shift(edges, two) == pytest.approx(4.0, abs=0.02)
    near = box + np.where(np.abs(middle - 45.0) < 2.0, 1.0, 0.0)  # 1 m apart: both must go past both
    assert halving_shift(edges, near) == pytest.approx(9.0, abs=0.02)
    assert halving_shift(edges, 0.0 * box) is None


def test_cutting_when_the_rope_is_long_takes_the_zone_and_all_below(tmp_path: Path) -> None:
    # 500 m of rope, 101 m paid out at most: 399 m to spare. Zone up to 81 m: four crops, the fifth does not fit.
    study = read(tmp_path, HEAD + HEAVE).study
    edges = np.linspace(60.0, 110.0, 101)
    loss = np.where((edges[:-1] >= 78.0) & (edges[:-1] < 81.0), 1.0, 0.1)
    cutting = cutting_of(study, edges, loss, loss, int(np.argmax(loss)))
    assert cutting.zone == pytest.approx((78.0, 81.0))
    assert (cutting.piece, cutting.times) == (pytest.approx(81.0), 4)
    # A second zone from 90 to 93 m that loses 0.8 of it must go too.
    both = np.where((edges[:-1] >= 90.0) & (edges[:-1] < 93.0), 0.8, loss)
    further = cutting_of(study, edges, both, both, int(np.argmax(both)))
    assert further.zone == pytest.approx((78.0, 81.0))
    assert (further.piece, further.times) == (pytest.approx(93.0), 4)


@pytest.fixture(scope="module")
def example(tmp_path_factory: pytest.TempPathFactory) -> Assessed:
    path = tmp_path_factory.mktemp("life") / "running.toml"
    path.write_text(FEW, encoding="utf-8")
    return assess_running(read_running(path), SHELF)


def test_example_when_sprayed_has_a_life_by_hand(example: Assessed) -> None:
    # 20 % load, D/d 25, the worst metre near 54 C for most of six hours: N = 1.8e4 (2/3)^-2.5 1.25^1.8
    # exp[45000/8.314 (1/327 - 1/293.15)] = 1.8e4 x 2.756 x 1.494 x 0.1478 = 1.095e4; 4320 bends a run:
    # 0.28768/(1.2040 x 4320/1.095e4) = 0.606 runs; a little longer, for the first hour is cooler.
    assert example.life is not None
    assert 0.606 < example.life.crop[0] < 0.606 * 1.15
    assert 1483.1 < example.life.mark < 1485.8
    assert example.life.losses[BENDING] > 0.99 * example.life.losses.sum()
    assert np.all(example.life.discard >= example.life.crop)
    assert example.life.discard[0] == pytest.approx(2.0 * example.life.crop[0], rel=0.01)  # one crop, new rope again


def test_example_when_dry_has_no_life(example: Assessed, tmp_path: Path) -> None:
    assert example.life is not None
    assert example.life.without == 0.0
    path = tmp_path / "running.toml"
    path.write_text(FEW.replace('"spray"', '"air"'), encoding="utf-8")
    dry = assess_running(read_running(path), SHELF)
    assert (dry.no_life, dry.life) == ("not sustainable", None)


def test_draws_that_melt_or_pass_the_short_term_limit_have_no_life(example: Assessed) -> None:
    assert example.life is not None
    hot = example.band.melted | (example.band.core > 100.0 + 273.15)  # beyond any draw of 75 to 90 C
    assert hot.any()
    assert not example.life.crop[hot].any()


def test_rope_that_never_moves_has_no_end_of_bending(tmp_path: Path) -> None:
    rest = HEAVE.replace('"heave"', '"rest"').replace('amplitude = "1 m"\nperiod = "100 s"\n', "")
    path = tmp_path / "running.toml"
    path.write_text(HEAD + rest.replace('"15 %LDBF"', '"1 %LDBF"'), encoding="utf-8")
    found = assess_running(read_running(path), SHELF).life
    assert found is not None
    assert found.crop[0] == MOST
    assert found.losses[BENDING] == 0.0
    assert found.cutting.shift is None


def test_bend_when_the_card_claims_no_longer_life_says_so(example: Assessed, tmp_path: Path) -> None:
    # 10 % load at D/d 20 and 20 C: 1.8e4 x 3^2.5 = 2.8e5 by the law, held at 1e5. The example: 1.1e4 bends.
    path = tmp_path / "running.toml"
    path.write_text(HEAD + HEAVE.replace('"15 %LDBF"', '"10 %LDBF"'), encoding="utf-8")
    low = assess_running(read_running(path), SHELF).life
    assert low is not None
    assert low.is_capped
    assert example.life is not None
    assert not example.life.is_capped


def test_bend_when_sharper_than_any_test_has_no_life(tmp_path: Path) -> None:
    path = tmp_path / "running.toml"
    path.write_text(HEAD.replace('diameter = "0.8 m"\nwrap', 'diameter = "0.28 m"\nwrap') + HEAVE, encoding="utf-8")
    found = assess_running(read_running(path), SHELF)
    assert found.life is None
    assert found.no_life == "D/d 7.0, bending tests end at 8"


def test_runs_that_do_not_fit_into_a_year_are_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        read(tmp_path, FEW + "[service]\nduties_per_year = 2000\n")
    assert "2000 runs of 6 h: 12000 h a year" in str(caught.value.problems[0])


def test_wire_rope_when_worked_by_hand_agrees(tmp_path: Path) -> None:
    # Invented coefficients. S = 150 kN on 32 mm: S/d2 = 146.5 N/mm2; wires 1770: no term of strength. D/d = 25:
    # lg N = 1 + (-1 - 0.5 x 1.39794) 2.16579 + 5 x 1.39794 = 4.3100; 20 bends a run: N/20 runs.
    wire = '[wire_rope]\ndiameter = "32 mm"\nwire_strength = "1770 MPa"\nb0 = 1\nb1 = -1\nb2 = 5\nb4 = -0.5\n'
    found = read(tmp_path, HEAD + HEAVE + wire)
    draws = found.draws().block(slice(0, 1))
    pieces = pieces_of(found, draws)
    scene = scene_of(found, draws, pieces, (4, 0.05))
    assert found.study.wire is not None
    one = wire_life(found, found.study.wire, scene, stays(scene, pieces, Pace()))
    assert np.log10(one.cycles) == pytest.approx(4.3100, abs=2e-4)
    assert one.runs == pytest.approx(one.cycles / 20.0, rel=1e-6)
    assert not one.ranged


def test_wire_rope_when_its_coefficients_give_no_life_is_refused(tmp_path: Path) -> None:
    # lg N = 1 + 2.166 x 50 + ...: the slope of the load with the wrong sign.
    wire = '[wire_rope]\ndiameter = "32 mm"\nwire_strength = "1770 MPa"\nb0 = 1\nb1 = 50\nb2 = 5\nb4 = -0.5\n'
    path = tmp_path / "running.toml"
    path.write_text(HEAD + HEAVE + wire, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        assess_running(read_running(path), SHELF)
    assert "check signs and logarithms" in str(caught.value.problems[0])


def test_wire_rope_when_used_beyond_its_ranges_says_where(tmp_path: Path) -> None:
    # D/d 25 of both bends below 30; S/d2 = 150 kN/(32 mm)^2 = 146 N/mm2 above 100.
    wire = '[wire_rope]\ndiameter = "32 mm"\nwire_strength = "1770 MPa"\nb0 = 1\nb1 = -1\nb2 = 5\nb4 = -0.5\n'
    wire += 'lowest_ratio = 30\nhighest_ratio = 60\nhighest_stress = "100 MPa"\n'
    path = tmp_path / "running.toml"
    path.write_text(HEAD + HEAVE + wire, encoding="utf-8")
    found = assess_running(read_running(path), SHELF).wire
    assert found is not None
    assert found.ranged
    assert found.outside == ("D/d 25.0 of drum below 30", "D/d 25.0 of overboard below 30", "S/d2 146 above 100 N/mm2")
