"""The tension that a ship motion makes in a line whose stiffness falls with that very tension."""

import pytest

from linewright.assessment.duty import Elastic, _from_motion
from linewright.base.data import Datum
from linewright.case.model import LineGroup

# By hand, one rope alone: F = x k(F), k = (A + B Lm + C F/L) L/l, is linear in F, so that
#     F = x (A + B Lm) (L/l) / (1 - x C/l).
# Polyamide, A + B Lm = 11.8 at Lm 0.25, C = -21, L = 1000 kN, l = 40 m, x = 2 m: 2 x 11.8 x 25e3 / (1 + 2 x 21/40)
# = 590e3/2.05 = 287.8 kN.
FORCE, LENGTH, SLOPE = 1e6, 40.0, -21.0


@pytest.fixture
def line() -> LineGroup:
    inboard = Datum("inboard_length", "length", 15.0, 15.0, 15.0, "given", "own")
    return LineGroup("breast", 1, "own", {}, inboard, LENGTH - 15.0, (), None, "own")


@pytest.mark.parametrize("motion", [0.2, 1.0, 2.0, 4.0])
def test_motion_of_a_polyamide_rope_against_the_closed_form(line: LineGroup, motion: float) -> None:
    rope = Elastic(FORCE, 11.8, 39.0, SLOPE)
    expected = motion * 11.8 * FORCE / LENGTH / (1.0 - motion * SLOPE / LENGTH)

    assert 11.8 + SLOPE * expected / FORCE > 0.25 * 11.8  # the floor of the stiffness is not reached
    assert _from_motion(line, (rope, rope), None, 0.25 * FORCE, (motion, None)) == pytest.approx(expected, rel=1e-9)


def test_hand_figure() -> None:
    assert pytest.approx(287.8e3, rel=1e-3) == 2.0 * 11.8 * FORCE / LENGTH / (1.0 - 2.0 * SLOPE / LENGTH)


def test_stiffness_that_rises_with_the_swing_when_no_swing_balances_then_it_is_far_beyond_break(
    line: LineGroup,
) -> None:
    rope = Elastic(FORCE, 11.8, 39.0, 60.0)

    assert _from_motion(line, (rope, rope), None, 0.25 * FORCE, (4.0, None)) > 10.0 * FORCE


def test_motion_of_nothing_is_no_tension(line: LineGroup) -> None:
    rope = Elastic(FORCE, 11.8, 39.0, SLOPE)

    assert _from_motion(line, (rope, rope), None, 0.25 * FORCE, (0.0, None)) == 0.0
