"""Changes that die away as geometric rows: their sum to come in closed form."""

import numpy as np
import pytest

from linewright.physics.series import remainder


def changes(fast: tuple[float, float], slow: tuple[float, float]) -> np.ndarray:
    """Four changes of two rows, told by their size in the last of them and their ratio."""
    back = np.arange(-3.0, 1.0)
    return np.sum([size * ratio**back for size, ratio in (fast, slow)], axis=0)


@pytest.mark.parametrize(
    ("fast", "slow"),
    [
        ((0.02, 0.5), (0.005, 0.99)),
        ((0.05, 0.5), (1e-3, 0.999)),
        ((1.0, 0.1), (0.01, 0.3)),
        ((0.02, 0.5), (-0.005, 0.99)),
        ((0.02, -0.4), (0.005, 0.9)),
        ((0.0, 0.5), (0.01, 0.9)),
    ],
)
def test_remainder_is_the_sum_of_both_rows(fast: tuple[float, float], slow: tuple[float, float]) -> None:
    # A geometric row adds up to size r/(1 - r). The first pair: 0.02 + 0.495 = 0.515; by the ratio of the last two
    # changes alone, 0.025/0.04505 = 0.555, it would be 0.031.
    expected = sum(size * ratio / (1.0 - ratio) for size, ratio in (fast, slow))
    assert remainder(changes(fast, slow)) == pytest.approx(expected, rel=1e-6)


def test_remainder_when_changes_do_not_die_away_is_inf() -> None:
    assert np.isinf(remainder(changes((0.02, 0.5), (0.001, 1.01))))
    assert np.isinf(remainder(np.array([0.1, 0.1, 0.1, 0.1])))


def test_remainder_goes_element_by_element_and_nothing_adds_nothing() -> None:
    rows = np.stack([changes((0.0, 0.5), (0.1, 0.5)), np.zeros(4)], axis=1)
    assert remainder(rows) == pytest.approx([0.1, 0.0])
