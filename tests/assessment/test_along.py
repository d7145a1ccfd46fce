"""Wear along the rope: the metres against the classes of a run, and operations against closed forms."""

import numpy as np
import pytest

from linewright.assessment import along, spread
from linewright.assessment import line as line_stage
from linewright.assessment.draws import Draws, score_matrix
from linewright.assessment.whole import Gathered
from linewright.case.model import Case

SAMPLES = 32
BENDING = ('title = "Two states"', 'title = "Two states"\nmechanisms = ["bending"]')
HARD = ('amplitude = "8 %LDBF"', 'amplitude = "12 %LDBF"')


def rope_of(case: Case, shelf, *pieces: float) -> tuple[along.Rope, line_stage.LineResult]:
    board = spread.board_of(case, shelf, Gathered())
    runner, item = board.runner, board.runner.plan.mains[0]
    scores = score_matrix(board.columns, SAMPLES, 1)
    draws = Draws(item.data, scores, SAMPLES, "", item.laws)
    setup = runner.setup(0, item, draws)
    return along.rope_of(setup, draws, pieces), runner.line(0, item, scores, SAMPLES)


def test_metres_when_they_lie_where_classes_do_lose_the_same(case, shelf) -> None:
    # The chock has 0.2 m and 60 deg: an arc of 0.2094 m; its classes lie half of it outboard, mid-arc, half inboard.
    rope, result = rope_of(case, shelf)
    assert rope.length == 55.0
    assert rope.contacts[0] == pytest.approx(40.0)
    half = 0.5 * 0.2 * np.pi / 3.0
    rates = along.worn_at(rope, np.array([40.0 - half, 40.0, 40.0 + half, 5.0])).rates
    np.testing.assert_allclose(rates.loss[0], result.central.rates.loss[0], rtol=1e-9)


def test_life_when_taken_along_the_rope_is_that_of_the_run_or_a_little_less(case, shelf) -> None:
    # The run looks at three metres of a contact; between them lies a metre that is a little worse.
    rope, result = rope_of(case, shelf)
    found = along.lives(rope)
    assert (found <= result.lives.age * 1.001).all()
    assert np.median(found) == pytest.approx(np.median(result.lives.age), rel=0.03)


def test_turning_when_bending_alone_ends_the_rope_doubles_its_life_at_most(make_case, shelf) -> None:
    # By hand: bending loses r a year at the chock and nothing elsewhere. Turned at t < T0 = 0.2877/r, a new metre comes
    # to the chock and lasts T0 again: t + T0; turned after T0 the rope is done at T0.
    rope, _ = rope_of(make_case(BENDING, HARD), shelf)
    first = along.lives(rope)
    some = first < 12.0
    assert some.sum() > 5
    for share in (0.25, 0.75):
        for k in np.flatnonzero(some)[:4]:
            date = float(share * first[k])
            assert along.dates(rope, along.turned(rope), [date])[0, k] == pytest.approx(first[k] + date, rel=5e-3)
    late = float(first[some].max() + 0.1)
    np.testing.assert_allclose(along.dates(rope, along.turned(rope), [late])[0, some], first[some])


def test_turning_when_the_contact_lies_in_the_middle_changes_nothing(make_case, shelf) -> None:
    case = make_case(('inboard_length = "15 m"', 'inboard_length = "40 m"'))
    rope, _ = rope_of(case, shelf)
    assert rope.contacts[0] == pytest.approx(0.5 * rope.length)
    np.testing.assert_allclose(along.dates(rope, along.turned(rope), [1.0])[0], along.lives(rope), rtol=5e-3, atol=1e-3)


@pytest.mark.parametrize(("piece", "is_fresh"), [(0.05, False), (5.0, True), (7.37, True)])
def test_cropping_when_the_piece_is_long_brings_a_new_metre_to_the_chock(
    make_case, shelf, piece: float, is_fresh: bool
) -> None:
    rope, _ = rope_of(make_case(BENDING, HARD), shelf, piece)
    first = along.lives(rope)
    k = int(np.flatnonzero(first < 12.0)[0])
    date = float(0.5 * first[k])
    found = along.dates(rope, along.cropped(piece), [date])[0, k]
    if is_fresh:
        assert found == pytest.approx(first[k] + date, rel=5e-3)
    else:
        assert found < first[k] + 0.6 * date


def test_metres_when_cut_off_neither_wear_nor_end(case, shelf) -> None:
    rope, _ = rope_of(case, shelf)
    found = along.worn_at(rope, along.cropped(3.0)(np.array([1.0, 2.9, 3.0, 30.0])))
    assert not found.rates.loss[:, :, :2].any()
    assert np.isinf(found.limits.hot_years[:, :2]).all()
    assert found.rates.loss[0, :, 2].sum() > 0.0


def test_best_when_dates_are_equal_is_the_latest() -> None:
    found = np.array([[1.0, 2.0, 3.0], [2.0, 3.0, 4.0], [2.0, 3.0, 4.0], [1.0, 1.0, 1.0]])
    assert along.best(found) == 2


def test_rope_when_its_length_is_told_keeps_turns_on_the_drum(make_case, shelf) -> None:
    case = make_case(('outboard_length = "40 m"', 'outboard_length = "40 m"\nlength = "220 m"'))
    rope, _ = rope_of(case, shelf)
    assert rope.length == 220.0
    assert rope.contacts[0] == pytest.approx(40.0)
    assert along.turned(rope)(np.array([180.0]))[0] == pytest.approx(40.0)


def test_metres_when_on_the_drum_rest(make_case, shelf) -> None:
    # In use are 15 + 40 m of 220: what lies beyond carries nothing and is not warmed. Turned, it comes out as new.
    case = make_case(('outboard_length = "40 m"', 'outboard_length = "40 m"\nlength = "220 m"'), BENDING, HARD)
    rope, _ = rope_of(case, shelf)
    found = along.worn_at(rope, np.array([54.0, 56.0, 219.0]))
    assert not found.rates.loss[:, :, 1:].any()
    assert np.isinf(found.limits.hot_years[:, 1:]).all()


def test_age_limit_when_the_rope_is_turned_does_not_start_again(make_case, shelf) -> None:
    case = make_case(
        ('title = "Two states"', 'title = "Two states"\nmechanisms = ["ageing"]\n[criteria]\nage = "4 years"')
    )
    rope, _ = rope_of(case, shelf)
    np.testing.assert_allclose(along.dates(rope, along.turned(rope), [2.0, 3.0]), 4.0)


def test_life_when_the_rope_has_a_history_is_that_of_the_run(make_case, shelf) -> None:
    from tests.assessment.conftest import SMALL
    from tests.assessment.test_trail import past

    case = make_case((SMALL[SMALL.index("[[compare]]") :], past(SMALL, "1 year")))
    rope, result = rope_of(case, shelf)
    assert rope.earlier[0][1] == pytest.approx(1.0)
    found = along.lives(rope)
    assert (found <= result.lives.age * 1.001 + 1e-9).all()
    assert np.median(found) == pytest.approx(np.median(result.lives.age), rel=0.05)
