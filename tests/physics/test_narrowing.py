"""What a test would narrow, against the linear Gaussian answer."""

import numpy as np
import pytest
from scipy import stats

from linewright.physics.narrowing import expected_width


def draws(dimensions: int, samples: int = 4096) -> np.ndarray:
    return stats.norm.ppf(stats.qmc.Sobol(dimensions, rng=np.random.default_rng(3)).random(samples))


@pytest.mark.parametrize("doubt", [0.3, 1.0, 3.0])
def test_width_when_the_outcome_itself_is_read_is_the_conjugate_normals(doubt: float) -> None:
    # By hand: prior variance 1, reading variance d^2: posterior sd d/sqrt(1 + d^2), whatever is read. d 0.3: 0.287.
    z = draws(1)[:, 0]
    assert expected_width(z, z, doubt) == pytest.approx(doubt / np.sqrt(1.0 + doubt**2), rel=0.02)


def test_width_when_only_a_part_is_read_keeps_the_rest() -> None:
    # Outcome 0.8 a + 0.6 b (variance 1); a read with doubt 0.5: variance left 0.64 (1 - 1/(1 + 0.25)) + 0.36 = 0.488.
    z = draws(2)
    assert expected_width(z @ [0.8, 0.6], z[:, 0], 0.5) == pytest.approx(np.sqrt(0.488), rel=0.03)


def test_width_when_something_else_is_read_stays() -> None:
    z = draws(2)
    assert expected_width(z[:, 0], z[:, 1], 0.5) == pytest.approx(1.0, abs=0.03)


def test_width_when_nothing_is_open_is_one() -> None:
    assert expected_width(np.ones(16), np.arange(16.0), 0.5) == 1.0


def test_width_when_draws_are_weighted_is_of_the_weighted_band() -> None:
    # Weights turn N(0, 1) into N(0, 0.5^2): as if read once before with doubt d, 1/0.25 - 1 = 3 = 1/d^2. A reading
    # with doubt 0.5 then leaves 1/sqrt(2) of 0.5.
    z = draws(1)[:, 0]
    weights = np.exp(-0.5 * 3.0 * z**2)
    assert expected_width(z, z, 0.5, weights) == pytest.approx(np.sqrt(0.5), rel=0.02)
