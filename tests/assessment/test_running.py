"""A study of a running rope assessed: what is sustainable, limits in time, cooling, cards and bands."""

from importlib import resources
from pathlib import Path

import numpy as np
import pytest

from linewright.assessment.running import Assessed, assess_running, jumps, reached
from linewright.assessment.running_setup import highest_tension, pieces_of, scene_of, setup
from linewright.base.errors import CardError, InputError
from linewright.cards.loader import load_shelf
from linewright.case.running.form import read_running
from linewright.physics import section
from linewright.physics.running_field import run

SHELF = load_shelf()
GOOD = (resources.files("linewright.services") / "running_study" / "deep-sea.toml").read_text(encoding="utf-8")
FEW = GOOD + "\n[spread]\nsamples = 16\n"


def assessed(folder: Path, text: str) -> Assessed:
    path = folder / "running.toml"
    path.write_text(text, encoding="utf-8")
    return assess_running(read_running(path), SHELF)


@pytest.fixture(scope="module")
def example(tmp_path_factory: pytest.TempPathFactory) -> Assessed:
    return assessed(tmp_path_factory.mktemp("example"), FEW)


def test_example_when_cooled_is_sustainable_and_dry_is_not(example: Assessed) -> None:
    # By hand, wet: 2 x 0.027/25 x 644 kN/10 s = 139.1 W/m; through 0.40 W/mK and 300 W/m2K over 0.2136 m:
    # 139.1 (1/(4 pi 0.40) + 1/(0.2136 x 300)) = 29.8 K above 22 C where the sheave does not cover it and no metre
    # leaves the spray; part of the time in air at h near 20 adds some kelvins.
    steady = example.given.steady[0]
    by_hand = 22.0 + section.core_rise(139.1, 0.068, 0.40, 300.0)
    assert by_hand == pytest.approx(51.8, abs=0.1)
    assert steady.is_sustainable
    assert by_hand < steady.core - 273.15 < by_hand + 5.0
    # Dry: 154.6 W/m through 0.12 W/mK alone are 102 K, and the film of 20 W/m2K 36 K more: beyond 147 C from 28 C.
    assert section.core_rise(154.6, 0.068, 0.12, 20.0) == pytest.approx(102.5 + 36.2, abs=0.5)
    assert example.dry is not None
    assert not example.dry.steady[0].is_sustainable
    assert example.dry.past.melted


def test_example_when_dry_comes_to_its_limits_one_after_another(example: Assessed) -> None:
    assert example.dry is not None
    order = ("50 C", "60 C", "65 C", "70 C", "short-term limit", "melting range")
    times = [example.dry.times[name] for name in order]
    assert None not in times
    assert times == sorted(times, key=float)  # type: ignore[arg-type]
    # No heat lost: 154.6 W/m over 1.1 MJ/m3K x 3.632e-3 m2 = 0.0387 K/s; 22 K to 50 C take at least 568 s.
    assert times[0] == pytest.approx(568.0, rel=0.02)


def test_example_when_run_closes_its_balance(example: Assessed) -> None:
    assert example.given.past.balance.closure < 1e-9
    assert example.given.past.steel_balance.closure < 1e-9


def test_example_when_sampled_stands_about_the_central_run(example: Assessed) -> None:
    assert abs(example.coarse) < 1.0
    assert np.ptp(example.band.core) > 5.0
    assert example.band.wide_because == ()  # 16 draws tell nothing of that


def test_band_when_there_are_draws_enough_is_made_wide_by_the_bending_loss(tmp_path: Path) -> None:
    short = FEW.replace("samples = 16", "samples = 64").replace('duration = "6 h"', 'duration = "1 h"')
    key, share = assessed(tmp_path, short).band.wide_because[0]
    assert (key, share > 0.5) == ("bending_loss", True)


def test_cooling_when_the_film_found_is_used_holds_the_core_at_the_limit(example: Assessed, tmp_path: Path) -> None:
    need = example.cooling
    assert need is not None
    assert need.film is not None
    text = FEW.replace('film = { value = "300 W/m2K", low = "100 W/m2K", high = "1000 W/m2K", basis = "estimate" }',
                       f'film = "{need.film:.3f} W/m2K"')  # fmt: skip
    text = text.replace(
        'length = "6 m"\n[[path]]\nname = "in', 'length = "6 m"\nsurroundings = "spray"\n[[path]]\nname = "in'
    )
    held = assessed(tmp_path, text)
    assert held.given.steady[0].core == pytest.approx(need.limit, abs=0.3)


def test_cooling_when_heat_cannot_leave_the_inside_finds_no_film(tmp_path: Path) -> None:
    # 45 % LDBF: 313 W/m through 0.40 W/mK are 62 K above 22 C whatever the film: beyond 65 C.
    hard = assessed(tmp_path, FEW.replace('"20 %LDBF"', '"45 %LDBF"'))
    assert hard.cooling is not None
    assert hard.cooling.film is None
    assert hard.cooling.share is not None
    assert hard.cooling.share < 1.0
    assert hard.given.steady[0].core > hard.cooling.limit


def test_tension_when_it_swings_significantly_makes_half_the_heat_of_a_constant_swing(tmp_path: Path) -> None:
    made = []
    for kind in ("constant", "significant"):
        one = assessed(tmp_path, FEW.replace('"constant"', f'"{kind}"').replace('"2 %LDBF"', '"8 %LDBF"'))
        made.append(one.given.past.balance.made["tension"])
    assert made[1] == pytest.approx(
        0.5 * made[0], rel=0.01
    )  # temperatures differ a little, and the loss tangent with them


@pytest.mark.parametrize(("amplitude", "fate"), [(8, "settles"), (16, "runs away")])
def test_heave_when_damping_feeds_itself_is_named_a_runaway(amplitude: int, fate: str, tmp_path: Path) -> None:
    # Dry, few bends: the card's loss tangent doubles from 60 to 100 C. By hand at 20 C and 16 %: pi 0.045 (515 kN)^2/
    # (58 x 3220 kN x 8 s) = 25 W/m; at 100 C with 0.12 over a stiffness of 0.42 six times as much.
    dry = FEW.replace('"spray"', '"air"').replace('"10 s"', '"60 s"').replace('duration = "6 h"', 'duration = "1 h"')
    one = assessed(tmp_path, dry.replace('"2 %LDBF"', f'"{amplitude} %LDBF"\ntension_period = "8 s"'))
    (steady,) = one.given.steady
    assert (steady.is_sustainable, steady.is_runaway) == ((True, False) if fate == "settles" else (False, True))


def test_programme_when_repeated_bends_each_time(tmp_path: Path) -> None:
    short = FEW.replace('duration = "6 h"', 'duration = "10 min"')
    once, thrice = (assessed(tmp_path, text) for text in (short, short.replace("format = 1", "format = 1\nrepeat = 3")))
    assert np.max(thrice.given.past.bends) == pytest.approx(3.0 * np.max(once.given.past.bends))
    assert np.max(once.given.past.bends) == pytest.approx(120.0)  # two a cycle of 10 s


def test_programme_when_repeated_often_is_counted_once_its_cycles_repeat_themselves(tmp_path: Path) -> None:
    # 40 min at work and 20 min of rest; the rope's own time is below an hour (docs/explanation/running.md), so that
    # 12 cycles have forgotten the cold start: cycles that are only counted end where cycles that are run do.
    cycle = FEW.replace('duration = "6 h"', 'duration = "40 min"')
    cycle += (
        '\n[[phase]]\nname = "rest"\nmotion = "rest"\npayout = "1500 m"\nduration = "20 min"\ntension = "20 %LDBF"\n'
    )
    path = tmp_path / "running.toml"
    path.write_text(cycle.replace("format = 1", "format = 1\nrepeat = 100"), encoding="utf-8")
    found = setup(read_running(path), SHELF)
    draws = found.draws().block(slice(0, 1))
    pieces = pieces_of(found, draws)
    scene = scene_of(found, draws, pieces, (5, 0.3))
    past = run(scene, pieces, repeat=100)
    whole = run(scene, pieces * 12)
    assert past.periodic < 12 * 3600.0
    assert past.time[-1] == pytest.approx(100 * 3600.0)
    assert past.core[-1] == pytest.approx(whole.core[-1], abs=0.1)
    assert np.max(past.core) == pytest.approx(np.max(whole.core), abs=0.1)
    assert np.max(past.bends) == pytest.approx(100 * 2 * 240.0)  # two a cycle of 10 s
    assert past.balance.made["bending"] == pytest.approx(100.0 / 12.0 * whole.balance.made["bending"], rel=1e-6)
    assert past.balance.closure < 1e-6
    assert past.steel_balance.closure < 1e-6


def test_phases_that_do_not_join_are_told_with_the_way_between(tmp_path: Path) -> None:
    def told(start: str, repeat: int = 1) -> tuple[tuple[str, str, float], ...]:
        travel = f'\n[[phase]]\nname = "hoist"\nmotion = "travel"\nstart = "{start}"\nend = "40 m"\nspeed = "1 m/s"\n'
        path = tmp_path / "running.toml"
        text = FEW.replace("format = 1", f"format = 1\nrepeat = {repeat}")
        path.write_text(text + travel + 'tension = "10 %LDBF"\n', encoding="utf-8")
        return jumps(read_running(path))

    assert told("1498 m") == ()  # the heave of 2 m ends there at times
    assert told("1000 m") == (("heave compensation", "hoist", pytest.approx(498.0)),)
    assert told("1500 m", 2) == (("hoist", "heave compensation", pytest.approx(1458.0)),)


def test_band_when_a_sheave_is_seized_counts_the_skin_that_melts_on_it(tmp_path: Path) -> None:
    # 198 kJ for each metre that slides (F (1 - exp(-mu theta)) of 644 kN over 90 deg): the skin melts, no core does.
    seized = FEW.replace('wrap = "90 deg"', 'wrap = "90 deg"\nseized = true')
    found = assessed(tmp_path, seized.replace('duration = "6 h"', 'duration = "2 min"'))
    assert np.max(found.given.past.skin) > found.limits["melting range"] > np.max(found.given.past.core)
    assert not found.band.ended[0]
    assert found.band.melted[0]


@pytest.mark.parametrize("share", [60, 95])
def test_tension_when_it_nears_the_break_force_ends_in_a_finding(share: int, tmp_path: Path) -> None:
    one = assessed(tmp_path, FEW.replace('"20 %LDBF"', f'"{share} %LDBF"'))
    assert one.given.past.melted
    # By hand: 417 W/m of bending at 60 % through 0.40 W/mK and 300 W/m2K over 0.2136 m are 90 K above 22 C, below 147 C
    # without creep; 661 W/m at 95 % are 142 K: too much without any growth.
    assert one.given.steady[0].is_runaway is (share == 60)
    assert highest_tension(one.setup) == pytest.approx(share / 100 + 0.02)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [('diameter = "1.7 m"\nwrap = "60', 'diameter = "0.3 m"\nwrap = "60', "D/d of at least 5"),
     ('"20 %LDBF"', '"101 %LDBF"', "less than the break force"),
     ('"20 %LDBF"', '"20 %SDMBL"', "write kN or %LDBF"),
     ('"2 %LDBF"', '"30 %LDBF"', "a rope cannot push"),
     ('"2.41 kg/m"', '"24 kg/m"', "fibre fills"),
     ('card = "hmpe-standard-12-strand"', 'card = "hmpe"', "a rope card")],
)  # fmt: skip
def test_setup_when_it_cannot_be_is_refused(old: str, new: str, words: str, tmp_path: Path) -> None:
    assert old in FEW
    path = tmp_path / "running.toml"
    path.write_text(FEW.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(InputError, match=words):
        setup(read_running(path), SHELF)


def test_setup_when_a_contact_is_no_sheave_says_what_it_lacks(tmp_path: Path) -> None:
    path = tmp_path / "running.toml"
    path.write_text(FEW.replace('wrap = "60 deg"', 'wrap = "60 deg"\ncard = "closed-chock"'), encoding="utf-8")
    with pytest.raises(CardError, match="bearing_loss"):
        setup(read_running(path), SHELF)


@pytest.mark.parametrize("card", sorted(SHELF.ropes))
def test_setup_when_any_shipped_rope_runs_finds_its_data(card: str, tmp_path: Path) -> None:
    path = tmp_path / "running.toml"
    text = FEW.replace("hmpe-standard-12-strand", card).replace('mass_per_length = "2.41 kg/m"\n', "")
    path.write_text(text.replace('design_break_force = "3220 kN" ', ""), encoding="utf-8")
    if "design_break_force" in path.read_text(encoding="utf-8"):
        path.write_text(path.read_text(encoding="utf-8").replace("design_break_force", "# "), encoding="utf-8")
    assert setup(read_running(path), SHELF).name == card


def test_reached_when_crossed_between_two_steps_takes_the_part() -> None:
    time, hottest = np.array([0.0, 10.0, 20.0]), np.array([300.0, 310.0, 330.0])
    assert reached(time, hottest, 320.0) == pytest.approx(15.0)
    assert reached(time, hottest, 331.0) is None
    assert reached(time, hottest, 290.0) == 0.0
