"""The bending law, worked by hand at its anchor and around it."""

import dataclasses

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from linewright.physics import bending

D = 0.044
ANCHOR = bending.Anchor(
    cycles=1.8e4, load=0.3, ratio=20.0, stroke=6.0, temperature=293.15, load_exponent=2.5, ratio_exponent=1.8,
    stroke_exponent=1.0, activation_energy=45e3, cap=1e5,
)  # fmt: skip


def test_cycles_when_at_the_anchor_are_the_anchors() -> None:
    # Definition.
    assert bending.cycles_full_stroke(ANCHOR, 0.3, 20.0, 293.15) == pytest.approx(1.8e4, rel=1e-12)


def test_cycles_when_worked_by_hand_agree() -> None:
    # Load 0.45, D/d 10, 50 C: (1.5)^-2.5 = 0.362887; (0.5)^1.8 = 0.287175; exp(45000/8.314463 (1/323.15 - 1/293.15)) =
    # exp(-1.71394) = 0.180154; 18000 times these = 337.9.
    found = bending.cycles_full_stroke(ANCHOR, 0.45, 10.0, 323.15)
    assert found == pytest.approx(337.9, rel=1e-3)


@given(load=st.floats(1e-3, 1.0), ratio=st.floats(3.0, 60.0), celsius=st.floats(-20.0, 120.0))
def test_cycles_when_heavier_sharper_or_hotter_are_never_more(load: float, ratio: float, celsius: float) -> None:
    # Physics of the law.
    kelvin = celsius + 273.15
    here = bending.cycles_full_stroke(ANCHOR, load, ratio, kelvin)
    assert bending.cycles_full_stroke(ANCHOR, 1.1 * load, ratio, kelvin) <= here
    assert bending.cycles_full_stroke(ANCHOR, load, 0.9 * ratio, kelvin) <= here
    assert bending.cycles_full_stroke(ANCHOR, load, ratio, kelvin + 5.0) <= here
    assert here <= 1e5


def test_stroke_when_its_pieces_meet_is_continuous() -> None:
    # At one diameter both pieces give (d/s_ref)^c, at s_ref both give 1. A step of 1e-9 d moves by less than 1e-8.
    for edge, value in ((1.0, 1.0 / 6.0), (6.0, 1.0)):
        below, above = (bending.stroke_damage(ANCHOR, np.array([edge + shift]) * D, D)[0] for shift in (-1e-9, 1e-9))
        assert below == pytest.approx(value, abs=1e-8)
        assert above == pytest.approx(value, abs=1e-8)


@pytest.mark.parametrize(
    ("relative", "expected"),
    # By hand, c 1, b 1.8: 12 d -> 1; 3 d -> 0.5; 1 d -> 1/6; 0.5 d -> 1/6 * 0.5^1.8 = 0.0478625; none -> 0.
    [(12.0, 1.0), (3.0, 0.5), (1.0, 1.0 / 6.0), (0.5, 0.0478625), (0.0, 0.0)],
)
def test_stroke_when_worked_by_hand_agrees(relative: float, expected: float) -> None:
    assert bending.stroke_damage(ANCHOR, np.array([relative * D]), D)[0] == pytest.approx(expected, rel=1e-5)


def test_stroke_when_longer_never_does_less() -> None:
    # Physics of the law: monotone over all three pieces.
    found = bending.stroke_damage(ANCHOR, np.linspace(0.0, 10.0, 2001) * D, D)
    assert np.all(np.diff(found) >= 0.0)


def test_cap_when_it_limits_the_cycles_leaves_the_stroke_alone() -> None:
    # The cap limits load, bend and temperature only: a light load on a big roller is capped, and a third of the
    # reference stroke still does a third of the damage.
    light = {"load": 0.05, "ratio": 40.0, "temperature": 283.15}
    damage = bending.stroke_damage(ANCHOR, np.array([2.0, 6.0]) * D, D) / bending.cycles_full_stroke(ANCHOR, **light)
    np.testing.assert_allclose(damage, [1.0 / 3.0 / 1e5, 1.0 / 1e5], rtol=1e-12)
    lifted = dataclasses.replace(ANCHOR, cap=1e9)
    np.testing.assert_array_equal(
        bending.stroke_damage(lifted, np.array([2.0]) * D, D), bending.stroke_damage(ANCHOR, np.array([2.0]) * D, D)
    )


def test_other_forms_when_worked_by_hand_agree() -> None:
    # log10 N = 6.5 - 1.5/GPa * 1.2 GPa = 4.7: 50118.7. N = 5e6 max(p, 8)^-2: 600 MPa on D/d 30 is p 20: 12500; p
    # below 8 counts as 8: 78125.
    assert bending.semi_log_cycles(6.5, 1.5e-9, 1.2e9) == pytest.approx(50118.72, rel=1e-6)
    np.testing.assert_allclose(bending.pressure_cycles(np.array([600e6, 90e6]), 30.0), [12500.0, 78125.0], rtol=1e-12)


def test_mean_factor_when_worked_by_hand_agrees() -> None:
    # Student's t, 95 % one-sided (any table): 1.895 for 7, 1.833 for 9 degrees of freedom. One rope, scatter not told:
    # 10^(1.8946 x 0.15) = 1.924; three: 10^(1.8946 x 0.15/sqrt 3) = 1.459. Three ropes of 1e4, 2e4 and 4e4 cycles: s_n
    # = 0.30103, s^2 = (7 x 0.0225 + 2 x 0.090619)/9 = 0.037638, 10^(1.8331 x 0.19400/sqrt 3) = 1.604.
    assert bending.mean_factor(1) == pytest.approx(1.924, abs=5e-4)
    assert bending.mean_factor(3) == pytest.approx(1.459, abs=5e-4)
    assert bending.mean_factor(3, np.std(np.log10([1e4, 2e4, 4e4]), ddof=1)) == pytest.approx(1.604, abs=5e-4)


def test_mean_factor_when_ropes_are_many_follows_their_own_scatter() -> None:
    # Limit: the belief of seven degrees of freedom fades, and the factor goes to 1 as 1/sqrt(n).
    assert np.log10(bending.mean_factor(4000, 0.3)) == pytest.approx(1.645 * 0.3 / np.sqrt(4000.0), rel=3e-3)
    found = [bending.mean_factor(n) for n in (1, 2, 5, 20)]
    assert found == sorted(found, reverse=True)


def test_mean_factor_when_one_rope_is_told_a_scatter_makes_nothing_of_it() -> None:
    # One rope has no scatter of its own.
    assert bending.mean_factor(1, 0.5) == bending.mean_factor(1)


@pytest.mark.parametrize("form", sorted(bending.FORMS))
def test_form_when_relative_to_its_own_anchor_gives_the_anchors_cycles(form: str) -> None:
    # Definition: every form passes through the test.
    life = bending.FORMS[form]
    assert bending.cycles_of_form(ANCHOR, life(4e8, 20.0) / life(4e8, 20.0), 293.15) == pytest.approx(1.8e4)


def test_forms_when_worked_by_hand_agree() -> None:
    # From 411 MPa on D/d 20 to 548 MPa on D/d 10: semi-log 10^(5.4 - 5.8 - 2.6 x 0.137) = 0.1753, pressure from 20.55
    # to 54.8 MPa: (20.55/54.8)^2 = 0.1406.
    ratios = {form: life(548e6, 10.0) / life(411e6, 20.0) for form, life in bending.FORMS.items()}
    assert ratios["semi-log"] == pytest.approx(0.1753, rel=1e-3)
    assert ratios["pressure"] == pytest.approx(0.1406, rel=1e-3)
