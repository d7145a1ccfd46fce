"""What makes a band wide: the indices on a known function, the split, the tests and the choices on a small case."""

import numpy as np
import pytest
from scipy import special

from linewright.assessment import spread
from linewright.assessment.draws import score_matrix
from linewright.assessment.whole import Gathered, assess_case
from linewright.cards.curves import all_curves

NAMES = ["a", "b", "c"]


def ishigami(scores):
    """Ishigami and Homma 1990 with a 7, b 0.1, its inputs uniform over -pi to pi."""
    x = [np.pi * (2.0 * special.ndtr(scores[name]) - 1.0) for name in NAMES]
    return np.sin(x[0]) + 7.0 * np.sin(x[1]) ** 2 + 0.1 * x[2] ** 4 * np.sin(x[0])


def test_indices_when_the_function_is_known_are_its_own() -> None:
    # Closed form (Saltelli et al. 2008, Global Sensitivity Analysis, from memory): V = a2/8 + b pi^4/5 + b2 pi^8/18 +
    # 1/2 = 13.845; V1 = (1 + b pi^4/5)^2/2 = 4.346, V2 = a2/8 = 6.125, V13 = 8 b2 pi^8/225 = 3.374.
    drawn = score_matrix([f"{name}{side}" for side in "AB" for name in NAMES], 4096, 7)
    one, two = ({name: drawn[f"{name}{side}"] for name in NAMES} for side in "AB")
    first, total = spread.sobol(ishigami, one, two, [["a"], ["b"], ["c"]])
    np.testing.assert_allclose(first, [0.3139, 0.4424, 0.0], atol=0.02)
    np.testing.assert_allclose(total, [0.5576, 0.4424, 0.2437], atol=0.02)
    group, _ = spread.sobol(ishigami, one, two, [["a", "c"], ["b"]])
    np.testing.assert_allclose(group, [0.5576, 0.4424], atol=0.02)


@pytest.fixture(scope="module")
def board(case, shelf):
    return spread.board_of(case, shelf, Gathered())


@pytest.fixture(scope="module")
def found(board, case):
    scores = score_matrix(board.columns, case.samples, case.seed)
    return scores, *spread.split(board, case, scores)


def test_band_when_nothing_is_frozen_is_that_of_the_run(case, shelf, found) -> None:
    _, parts, _ = found
    whole = assess_case(case, shelf).ropes[0]
    np.testing.assert_array_equal(parts.whole, whole.ages)


def test_band_when_one_doubt_is_frozen_is_narrower(board, found) -> None:
    _, parts, _ = found
    widths = [np.diff(np.quantile(np.log(np.maximum(ages, 0.02)), [0.1, 0.9]))[0] for ages in
              (parts.whole, parts.ignorance, parts.scatter)]  # fmt: skip
    assert widths[2] < widths[1]
    assert widths[1] < 1.02 * widths[0]
    assert {datum.doubt for datum in board.data.values()} == {"ignorance", "scatter"}


def test_tests_when_ranked_leave_less_the_more_they_tell(board, found) -> None:
    scores, parts, lines = found
    rows = spread.tests(board, parts, lines, scores)
    assert [row.left for row in rows] == sorted(row.left for row in rows)
    assert all(0.2 < row.left < 1.1 for row in rows)
    assert next(row.left for row in rows if row.name.startswith("break test of two lines")) < 0.9


def test_choices_when_made_move_the_life_the_way_they_must(board, found) -> None:
    scores, _, _ = found
    rows = {row.name: row for row in spread.choices(board, scores, 256)}
    assert (rows["bending at the crest's tension, not the mean"].ratio <= 1.001).all()  # steps differ
    equal = rows["creep by the section rule equal stress"], rows["creep by the section rule equal strain"]
    assert np.median(equal[0].ratio) <= np.median(equal[1].ratio) + 1e-9  # the upper bound of the rate lives shorter
    assert (rows["tension fatigue over the strength at temperature"].ratio <= 1.001).all()


def test_choices_when_another_curve_is_named_moves_by_its_lives(board) -> None:
    # HMPE stands on m 9, K 7.5; the other two are shown, that one is not. The constant keeps the card's relative band.
    names = [name for name, _ in spread._alternatives(board.runner.plan.mains)]
    assert [name for name in names if "curve" in name] == [
        "tension fatigue by the curve polyester-5", "tension fatigue by the curve polyester-13"
    ]  # fmt: skip
    own = board.runner.plan.mains[0].data["tension_fatigue_constant"]
    other = spread.curved(board.runner.plan.mains, all_curves()["polyester-13"])[0].data
    found = other["tension_fatigue_constant"]
    assert (found.value, other["tension_fatigue_exponent"].value) == (0.259, 13.46)
    assert found.low / found.value == pytest.approx(own.low / own.value)


def test_rules_when_losses_add_against_miner_by_hand(whole) -> None:
    # By hand at one metre: -ln 0.75/sum(l) against 1/sum(l/u): the ratio is sum(l)/(0.2877 sum(l/u)).
    line = whole.ropes[0].lines[0]
    metre = int(line.lives.metre[0])
    loss, unit = line.central.rates.loss[0, :, metre], line.central.rates.unit[0]
    summed, weakest, creep = spread.rules(line, 0.75)
    assert summed.ratio == pytest.approx(loss.sum() / (0.28768 * np.sum(loss / unit)), rel=1e-4)
    assert weakest.years >= summed.years
    # The margin of time against creep failure: damage 1 by creep alone over the life.
    n = line.central.rates.creep
    assert creep.ratio == pytest.approx(loss.sum() * unit[n] / (0.28768 * loss[n]), rel=1e-4)
    assert creep.years >= weakest.years
