"""Sizes by hand, windows at their ends, and each check against a line of which only what it asks is known."""

from itertools import pairwise
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from linewright.assessment.contact import Contact
from linewright.assessment.sizing import TAIL_WINDOW, Target, checks, sizes, strength, usual_ratio
from linewright.base.units import ZERO_CELSIUS

N = 2001


def card(diameter: float, force: float) -> Any:
    return SimpleNamespace(data=values(diameter=diameter, design_break_force=force))


def values(**numbers: float) -> dict[str, Any]:
    return {key: SimpleNamespace(value=value) for key, value in numbers.items()}


def test_sizes_by_hand() -> None:
    # By hand, LDBF by the square: 1230 kN at 42 mm. For SDMBL 1200 kN: 40 mm 1115.6 kN = 93.0 %, 42 mm 102.5 %,
    # 44 mm 1349.9 kN = 112.5 %. One in the window, one below, one above.
    found = sizes(card(0.042, 1230e3), 1200e3, 0.002)
    assert [round(1e3 * size) for size, _ in found] == [40, 42, 44]
    assert [100.0 * share for _, share in found] == pytest.approx([92.97, 102.5, 112.49], abs=0.01)


def test_sizes_when_a_step_lies_on_the_edge_takes_it_in() -> None:
    # 42 mm has 1200 kN: exactly 100 % of SDMBL, which the window holds.
    found = sizes(card(0.042, 1200e3), 1200e3, 0.002)
    assert [strength(share).verdict for _, share in found] == ["fails", "ok", "fails"]


@given(st.floats(10e3, 5e6), st.floats(100e3, 3e6), st.floats(0.5e-3, 5e-3))
def test_sizes_hold_every_step_of_the_window_and_one_on_each_side(force: float, ship: float, step: float) -> None:
    found = sizes(card(0.04, force), ship, step)
    inside = [share for _, share in found if strength(share).verdict == "ok"]
    assert len(inside) >= len(found) - 2
    low = 0.04 * np.sqrt(ship / force)
    held = sum(1 for n in range(1, int(1.2 * low / step) + 2) if 1.0 <= force * (n * step / 0.04) ** 2 / ship <= 1.05)
    assert abs(held - len(inside)) <= 1  # a step on the edge itself may round either way
    assert all(b > a for (a, _), (b, _) in pairwise(found))


@pytest.mark.parametrize(
    ("share", "verdict", "said"),
    [(0.999, "fails", "below SDMBL"), (1.0, "ok", ""), (1.05, "ok", ""), (1.051, "fails", "fittings and brake")],
)
def test_strength_of_a_line_is_100_to_105_percent(share: float, verdict: str, said: str) -> None:
    # Three web pages that restate the tanker industry's mooring guidelines, 4th edition (second-hand).
    check = strength(share)
    assert (check.verdict, said in check.text) == (verdict, True)


def test_strength_of_a_tail_is_125_to_130_percent() -> None:
    # A maker's page that restates the same guidelines: 125 to 130 %SDMBL, tested wet (second-hand).
    found = [strength(share, "tail", TAIL_WINDOW).verdict for share in (1.24, 1.25, 1.30, 1.31)]
    assert found == ["fails", "ok", "ok", "fails"]


def line(**given: Any) -> Any:
    """A line with one contact and two states; the second has no hours."""
    told = {"highest": [400e3, 900e3], "core": 50.0, "margin": 1.5, "age": 8.0, "radius": 0.2, **given}
    spread = np.linspace(-1.0, 1.0, N)  # P90 is +0.8, P10 is -0.8
    duty = SimpleNamespace(
        hours=np.array([100.0, 0.0]), highest=np.array(told["highest"]),
        berths=[SimpleNamespace(name="berth")] * 2,
        states=[SimpleNamespace(name="swell"), SimpleNamespace(name="storm")],
    )  # fmt: skip
    data = values(
        diameter=0.04, bending_minimum_ratio=8.0, bending_tested_ratio=10.0, long_term_limit=65.0 + ZERO_CELSIUS,
        **{"0.bend_radius": told["radius"], "0.wrap_angle": 1.0},
    )  # fmt: skip
    setup = SimpleNamespace(
        duty=duty, case=SimpleNamespace(criteria=SimpleNamespace(margin=1.0)),
        subject=SimpleNamespace(
            data=data, words={"fibre": told.get("fibre", "hmpe-own")},
            contacts=(Contact("chock", 0, False, False, False),),
        ),
    )  # fmt: skip
    blocks = SimpleNamespace(
        core=np.stack([told["core"] + ZERO_CELSIUS + 10.0 * spread, np.full(N, 999.0)], axis=1),
        margin=np.stack([told["margin"] + spread, np.full(N, 0.1)], axis=1),
    )
    return SimpleNamespace(setup=setup, blocks=blocks, lives=SimpleNamespace(age=told["age"] + 5.0 * spread))


def checked(target: Target | None = None, **told: Any) -> dict[str, Any]:
    rope = SimpleNamespace(refusal="")
    rows = checks(rope, [line(**told)], 1000e3, np.ones(N), target or Target(None))  # type: ignore[arg-type]
    return {check.name: check for check in rows}


def test_checks_leave_out_states_without_hours() -> None:
    # The storm has no hours: its 900 kN, 999 K and margin of 0.1 do not count.
    assert {name: check.verdict for name, check in checked().items()} == {
        "bend": "caution", "tension": "ok", "core": "ok", "margin": "fails", "life": "ok",
    }  # fmt: skip


def test_tension_is_held_against_half_of_sdmbl() -> None:
    # WLL of synthetic lines 50 %SDMBL (web page that restates the guidelines, second-hand): 500 of 1000 kN.
    assert checked(highest=[500e3, 0.0])["tension"].verdict == "ok"
    check = checked(highest=[510e3, 0.0])["tension"]
    assert (check.verdict, check.needs) == ("fails", "a highest tension of 500 kN in berth, swell (now 510 kN)")


def test_core_and_margin_by_hand() -> None:
    # By hand: core 50 +- 10 C evenly has P90 58 C; 60 +- 10 has 68 C, 3 K above 65. Margin 2 +- 1 has P10 1.2;
    # 1.5 +- 1 has 0.7, so 400 kN must fall to 280 kN.
    assert checked(core=50.0)["core"].value == pytest.approx(58.0, abs=0.2)
    hot = checked(core=60.0)["core"]
    assert (hot.verdict, hot.needs) == ("fails", "a core P90 cooler by 3 K in berth, swell")
    assert checked(margin=2.0)["margin"].value == pytest.approx(1.2, abs=0.02)
    weak = checked(margin=1.5)["margin"]
    assert (weak.verdict, weak.needs) == ("fails", "a highest tension of 280 kN in berth, swell (now 400 kN)")


def test_life_is_held_against_the_target_by_the_quantile_asked() -> None:
    # By hand: 8 +- 5 years evenly: P10 4, P50 8.
    assert checked(Target(5.0))["life"].verdict == "fails"
    assert checked(Target(5.0, "p50"))["life"].verdict == "ok"
    assert checked(Target(3.9))["life"].verdict == "ok"
    assert checked(Target(5.0))["life"].needs == "a life P10 of 5 years (now 4.0, 20 % less)"


@pytest.mark.parametrize(
    ("radius", "verdict", "said"),
    [
        (0.15, "fails", "bending tests end at 8"),
        (0.18, "caution", "below the tests (10)"),
        (0.25, "caution", "usual is 15 (common practice, no source)"),
        (0.40, "ok", "at the chock"),
    ],
)
def test_bend_by_tests_and_by_what_is_usual(radius: float, verdict: str, said: str) -> None:
    # D/d is the fitting's diameter over the line's (MSC.1/Circ.1620, para 2.1): 2 x radius / 40 mm.
    check = checked(radius=radius)["bend"]
    assert (check.verdict, said in check.text) == (verdict, True)
    assert check.value == pytest.approx(2.0 * radius / 0.04, rel=1e-6)
    if verdict == "fails":  # by hand: half of 8 x 40 mm
        assert "a radius of 160 mm at the chock (now 150 mm)" in check.needs


LOW_AND_HIGH = (  # check, what the worse line has and what the other, the value of the worse by hand
    ("bend", {"radius": 0.17}, {"radius": 0.20}, 8.5),  # a caution by the tests (10) against one by what is usual (15)
    ("bend", {"radius": 0.32}, {"radius": 0.80}, 16.0),
    ("tension", {"highest": [480e3, 0.0]}, {"highest": [100e3, 0.0]}, 480e3),
    ("tension", {"highest": [700e3, 0.0]}, {"highest": [510e3, 0.0]}, 700e3),
    ("core", {"core": 50.0}, {"core": 10.0}, 58.0),
    ("core", {"core": 90.0}, {"core": 70.0}, 98.0),
    ("margin", {"margin": 2.0}, {"margin": 9.0}, 1.2),
    ("margin", {"margin": 0.9}, {"margin": 1.7}, 0.1),
)


@pytest.mark.parametrize(("name", "worse", "better", "value"), LOW_AND_HIGH)
@pytest.mark.parametrize("is_first", [True, False])
def test_check_of_two_lines_is_that_of_the_one_with_the_least_left(
    name: str, worse: dict[str, Any], better: dict[str, Any], value: float, is_first: bool
) -> None:
    # Every value by hand from `line`: D/d 2 x radius / 40 mm, core +- 10 K evenly has P90 +8, margin +- 1 P10 -0.8.
    pair = [line(**worse), line(**better)]
    rope: Any = SimpleNamespace(refusal="")
    rows = checks(rope, pair if is_first else pair[::-1], 1000e3, np.ones(N), Target(None))
    (found,) = (check for check in rows if check.name == name)
    assert found.value == pytest.approx(value, rel=0.02)


def test_usual_ratio_of_an_unknown_fibre_is_none() -> None:
    assert usual_ratio("own-fibre") is None
    assert usual_ratio("para-aramid") == 20.0
