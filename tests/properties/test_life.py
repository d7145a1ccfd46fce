"""What every life must obey: order of the mechanisms, size of the steps, harder duty."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.assessment import life
from linewright.assessment.life import Limits, YearlyRates

NAMES = ("creep", "bending", "tension", "abrasion", "ageing", "compression")
ROWS = st.lists(st.floats(0.0, 0.4), min_size=6, max_size=6).filter(lambda rows: sum(rows) > 0.02)


def rates(rows: list[float], growth: float, power: float, order: list[int]) -> YearlyRates:
    """One metre that loses these shares of ln strength a year, its mechanisms in some order."""
    names = tuple(NAMES[n] for n in order)
    loss = np.array(rows)[order].reshape(1, 6, 1)
    powers = np.array([[power if name == "tension" else 0.0 for name in names]])
    units = np.array([[np.inf if name in ("ageing", "abrasion") else -np.log(0.5) for name in names]])
    return YearlyRates(loss, powers, np.full((1, 1), growth), units, np.full(1, 0.1), names.index("creep"),
                       names.index("abrasion"), names)  # fmt: skip


def limits() -> Limits:
    return Limits(0.75, np.ones(6), np.full(1, np.inf), np.full((1, 1), np.inf), np.inf)


@settings(max_examples=60)
@given(rows=ROWS, growth=st.floats(0.0, 15.0), power=st.floats(0.0, 13.5), order=st.permutations(range(6)))
def test_life_when_mechanisms_change_places_stays_with_its_shares(rows, growth, power, order) -> None:
    one = life.live(rates(rows, growth, power, list(range(6))), limits())
    other = life.live(rates(rows, growth, power, list(order)), limits())
    assert other.age[0] == pytest.approx(one.age[0], rel=1e-9)
    np.testing.assert_allclose(other.losses[0], one.losses[0][list(order)], rtol=1e-9, atol=1e-12)


@settings(max_examples=60)
@given(rows=ROWS, growth=st.floats(0.0, 15.0), power=st.floats(0.0, 13.5))
def test_life_when_steps_are_halved_moves_by_less_than_a_thousandth(rows, growth, power) -> None:
    found = [life.live(rates(rows, growth, power, list(range(6))), limits(), step).age[0] for step in (1.0, 0.5)]
    assert found[0] == pytest.approx(found[1], rel=1e-3)


@settings(max_examples=60)
@given(rows=ROWS, which=st.integers(0, 5), more=st.floats(0.0, 0.2), growth=st.floats(0.0, 15.0))
def test_life_when_one_mechanism_takes_more_is_never_longer(rows, which, more, growth) -> None:
    harder = [value + (more if n == which else 0.0) for n, value in enumerate(rows)]
    one = life.live(rates(rows, growth, 5.0, list(range(6))), limits()).age[0]
    other = life.live(rates(harder, growth, 5.0, list(range(6))), limits()).age[0]
    assert other <= one * (1.0 + 1e-3)
