"""Shapes, quantiles and bounds against tables, numpy and definitions."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from linewright.physics import statistics

Z = statistics.Z95


def test_z95_when_looked_up_is_the_normal_quantile() -> None:
    # Referee: scipy.stats.norm; tables give 1.6449.
    assert pytest.approx(float(stats.norm.ppf(0.95)), rel=1e-12) == Z


@pytest.mark.parametrize(
    "shape", [statistics.split_lognormal, statistics.split_normal, statistics.split_logit], ids=lambda one: one.__name__
)
@given(
    value=st.floats(0.05, 0.9),
    down=st.floats(0.1, 0.95),
    up=st.floats(0.05, 0.95),
)
def test_shapes_when_at_the_five_percent_points_hit_low_value_high(shape, value: float, down: float, up: float) -> None:
    # Definition: the 5 and 95 % points of each shape are low and high, the middle is the value.
    low, high = down * value, value + up * (1.0 - value)
    found = shape(value, low, high, np.array([-Z, 0.0, Z]))
    np.testing.assert_allclose(found, [low, value, high], rtol=1e-9)
    # One more score up, one more value up.
    assert np.all(np.diff(shape(value, low, high, np.linspace(-4.0, 4.0, 81))) > 0.0)


def test_shapes_when_far_out_keep_their_hard_limits() -> None:
    # A scale stays above 0, a fraction within 0 and 1: by the shape, not by clipping.
    far = np.array([-8.0, 8.0])
    assert statistics.split_lognormal(1.0, 0.5, 3.0, far)[0] > 0.0
    found = statistics.split_logit(0.7, 0.3, 0.95, far)
    assert np.all((found > 0.0) & (found < 1.0))


@given(
    values=st.lists(st.floats(-1e3, 1e3), min_size=2, max_size=40),
    probability=st.floats(0.0, 1.0),
)
def test_weighted_quantile_when_weights_are_equal_is_numpys_hazen(values: list[float], probability: float) -> None:
    # Referee: numpy.quantile(method="hazen"), the same plotting position.
    array = np.array(values)
    exact = np.quantile(array, probability, method="hazen")
    assert statistics.weighted_quantile(array, np.ones(array.size), probability) == pytest.approx(exact, abs=1e-9)


def test_weighted_quantile_when_a_weight_is_nil_ignores_its_value() -> None:
    # By hand: 1, 2 with weights 1, 1 and an outlier of weight 0.
    found = statistics.weighted_quantile(np.array([1.0, 2.0, 99.0]), np.array([1.0, 1.0, 0.0]), 0.5)
    assert found == pytest.approx(1.5)


@pytest.mark.parametrize(("n", "factor"), [(2, 26.26), (3, 7.656), (5, 4.203), (8, 3.187), (10, 2.911), (30, 2.220)])
def test_tolerance_factor_when_compared_with_the_tables_agrees(n: int, factor: float) -> None:
    # Published one-sided factors, content 95 %, confidence 95 % (from memory, as in the usual tables): four digits.
    assert statistics.tolerance_factor(n) == pytest.approx(factor, abs=6e-4 if n > 2 else 6e-3)


def test_tolerance_bound_when_sampled_holds_as_often_as_promised() -> None:
    # Referee: 40 000 random batches of 5: mean - k s lies below the population's 5 % point in 95 % of them; the count
    # has a standard deviation of 0.11 %.
    batches = np.random.default_rng(11).normal(size=(40_000, 5))
    bound = batches.mean(axis=1) - statistics.tolerance_factor(5) * batches.std(axis=1, ddof=1)
    assert np.mean(bound < stats.norm.ppf(0.05)) == pytest.approx(0.95, abs=0.0045)


def test_rank_shares_when_one_input_decides_give_it_all() -> None:
    # By construction: the output is a rising function of the second input.
    inputs = np.random.default_rng(2).normal(size=(500, 3))
    np.testing.assert_allclose(statistics.rank_shares(inputs, np.exp(inputs[:, 1])), [0.0, 1.0, 0.0], atol=1e-12)


def test_rank_shares_when_two_inputs_count_equally_are_halves() -> None:
    # By construction; sampling error of a squared rank correlation of 0.5 on 4000 rows is about 0.015.
    inputs = np.random.default_rng(3).normal(size=(4000, 2))
    found = statistics.rank_shares(inputs, inputs.sum(axis=1))
    np.testing.assert_allclose(found, [0.5, 0.5], atol=0.05)


def test_rank_shares_when_nothing_moves_are_nil() -> None:
    # No spread to share.
    np.testing.assert_array_equal(statistics.rank_shares(np.ones((8, 2)), np.ones(8)), [0.0, 0.0])
    assert statistics.rank_shares(np.ones((8, 0)), np.arange(8.0)).shape == (0,)
