"""Renewals over a ship's life: by hand, and against a ship that is stepped from renewal to renewal."""

import math

import numpy as np
import pytest

from linewright.assessment.renewals import interval, may_be_fewer, quantile, sets


@pytest.mark.parametrize(
    ("life", "years", "docking", "bought"),
    [
        # By hand, without dockings: renewals at 4.6, 9.2, 13.8, 18.4 and 23.0 years, with the first one 6 sets.
        (4.6, 25.0, None, 6),
        # With a docking every 5 years it reaches none: own time, 6 sets.
        (4.6, 25.0, 5.0, 6),
        # A life of 6.2 years is renewed at 5, 10, 15 and 20 years: 5 sets instead of the 5 at 6.2, 12.4, 18.6, 24.8.
        (6.2, 25.0, 5.0, 5),
        (6.2, 25.0, None, 5),
        # 6.2 years with a docking every 2.5: renewed at 5, 10, 15, 20; 7.4 the same; 7.6 at 7.5, 15, 22.5.
        (6.2, 25.0, 2.5, 5),
        (7.4, 25.0, 2.5, 5),
        (7.6, 25.0, 2.5, 4),
        # What ends with the ship is not renewed: 5 years over 25 are 5 sets, 12.5 are 2, 25 is 1.
        (5.0, 25.0, None, 5),
        (5.0, 25.0, 5.0, 5),
        (12.5, 25.0, None, 2),
        (25.0, 25.0, None, 1),
        (30.0, 25.0, None, 1),
        (30.0, 25.0, 5.0, 1),
        # Tails every 18 months over 25 years: renewed at 1.5, 3.0 ... 24.0, 16 times: 17 sets.
        (1.5, 25.0, None, 17),
        # 0.1 in binary: 2.5 / 0.1 is 25 and not 26
        (0.1, 2.5, None, 25),
    ],
)
def test_sets_when_counted_by_hand_are_so_many(life: float, years: float, docking: float | None, bought: int) -> None:
    assert sets(np.array([life]), years, docking).bought.tolist() == [bought]


def stepped(life: float, years: float, docking: float | None) -> int:
    """Sets of a ship that is stepped in time: at each set's start, look for the last docking before its end."""
    start, count = 0.0, 1
    while True:
        end = start + life
        if docking is not None and life >= docking:
            end = max(n * docking for n in range(1, 10_000) if n * docking <= end + 1e-9)
        if end >= years - 1e-9:
            return count
        start, count = end, count + 1


@pytest.mark.parametrize("docking", [None, 5.0, 2.5])
def test_sets_when_a_ship_is_stepped_from_renewal_to_renewal_are_the_same(docking: float | None) -> None:
    lives = np.random.default_rng(5).uniform(0.3, 30.0, 200)
    found = sets(lives, 25.0, docking).bought
    assert found.tolist() == [stepped(float(life), 25.0, docking) for life in lives]


def test_sets_when_brought_forward_are_never_fewer() -> None:
    lives = np.linspace(0.2, 30.0, 500)
    assert (sets(lives, 25.0, 5.0).bought >= sets(lives, 25.0).bought).all()
    assert (interval(lives, 5.0) <= lives + 1e-9).all()


def test_sets_when_a_new_one_is_finished_have_no_end() -> None:
    found = sets(np.array([0.0, 5.0]), 25.0, 5.0)
    assert found.bought.tolist() == [math.inf, 5.0]
    assert found.reaches.tolist() == [False, True]


def test_sets_when_lives_are_cut_at_the_horizon_are_at_most_so_many_beyond_it() -> None:
    # By hand: a life beyond 30 years takes one set in 25 years, whatever it is; in 40 years one or two.
    lives, weights = np.full(100, 30.0), np.ones(100)
    assert not may_be_fewer(sets(lives, 25.0), weights, 1.0)
    forty = sets(lives, 40.0)
    assert forty.bought[0] == 2.0
    assert may_be_fewer(forty, weights, 2.0)
    # a docking every 7 years within 29: renewed at 28 if it lasts 30, at no time if it lasts 35
    assert may_be_fewer(sets(lives, 29.0, 7.0), weights, 2.0)


def test_quantile_when_of_whole_numbers_is_a_whole_number() -> None:
    # By hand: of 1, 2, 3, 4 with equal weight the P50 is 2: half of the weight does not exceed it; the P90 is 4.
    values, weights = np.array([4.0, 1.0, 3.0, 2.0]), np.ones(4)
    assert [quantile(values, weights, p) for p in (0.1, 0.5, 0.9)] == [1.0, 2.0, 4.0]
    assert quantile(values, np.array([0.0, 1.0, 0.0, 0.0]), 0.9) == 1.0
    assert quantile(np.array([2.0, math.inf]), np.ones(2), 0.9) == math.inf
    assert quantile(values, weights, 0.5) == np.quantile(values, 0.5, method="inverted_cdf")
