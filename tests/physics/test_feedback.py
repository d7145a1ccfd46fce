"""Heat that feeds on its own temperature: a single node by hand, and a plane slab of the literature."""

import numpy as np
import pytest

from linewright.physics.feedback import runs_away

AIR, FEED, FILM = 300.0, 0.02, 10.0


def node(first: float):
    """One node: q0 exp(b (T - Ta)) = h (T - Ta), heat in W/m2."""
    return lambda kelvin: AIR + first * np.exp(FEED * (kelvin - AIR)) / FILM


@pytest.mark.parametrize("part", [0.2, 0.7, 0.99])
def test_node_when_the_tangent_is_not_reached_settles(part: float) -> None:
    # By hand: h x - q0 e^(b x) is largest at b x = ln(h/(q0 b)); it reaches 0 there if and only if q0 b e <= h.
    # The limit is q0 = 10/(0.02 e) = 183.94 W/m2, whose field lies 1/b = 50 K above the air, at 350 K.
    assert not runs_away(node(part * FILM / (FEED * np.e)), np.full(1, AIR))


@pytest.mark.parametrize("part", [1.01, 1.2, 3.0, 50.0])
def test_node_when_the_tangent_is_passed_runs_away(part: float) -> None:
    assert runs_away(node(part * FILM / (FEED * np.e)), np.full(1, AIR))


def test_node_when_heat_is_great_but_does_not_grow_is_hot_and_settles() -> None:
    assert not runs_away(lambda kelvin: AIR + 5000.0 + 0.0 * kelvin, np.full(1, AIR))


def test_node_when_heat_falls_with_temperature_settles() -> None:
    # Gain -2 at first: substitution swings about the field, h x = 900 - 20 x at x = 30 K, and is no runaway.
    assert not runs_away(lambda kelvin: AIR + np.maximum(900.0 - 20.0 * (kelvin - AIR), 0.0) / FILM, np.full(1, AIR))


def test_node_when_its_heat_is_too_much_without_growing_is_not_said_to_run_away() -> None:
    # q0 = 500 W/m2 over 10 W/m2K are 50 K: beyond a limit 40 K up at any gain, within one 60 K up.
    assert not runs_away(node(500.0), np.full(1, AIR), AIR + 40.0)
    assert runs_away(node(500.0), np.full(1, AIR), AIR + 60.0)


def saturating(kelvin: np.ndarray) -> np.ndarray:
    """Heat that rises in a step of 30 K about 30 and then no more."""
    return 26.0 + 30.0 / (1.0 + np.exp((30.0 - kelvin) / 3.0))


@pytest.mark.parametrize(("limit", "away"), [(np.inf, False), (60.0, False), (55.9, False), (45.0, True)])
def test_node_when_its_heat_saturates_settles_above_the_step(limit: float, away: bool) -> None:
    # By hand: at 56 the step is 30/(1 + e^(-26/3)) = 29.995 K, so that 55.995 is its field, with a gain of 0.002; on
    # the way the gain is up to 30/(4 3) = 2.5. Passed at 45 the steps still grow: what heat does beyond is not asked.
    assert saturating(np.full(1, 55.995)) == pytest.approx(55.995, abs=1e-3)
    assert runs_away(saturating, np.full(1, 20.0), limit) is away


@pytest.mark.parametrize(("delta", "away"), [(0.85, False), (0.91, True)])
def test_slab_runs_away_beyond_the_critical_parameter_of_the_literature(delta: float, away: bool) -> None:
    """Frank-Kamenetskii 1955 (from memory): a slab with cold faces, theta'' + delta exp(theta) = 0 on -1 < z < 1,
    has a steady field if and only if delta <= 0.878."""
    cells = 200
    width = 2.0 / cells
    conduction = (np.diag(np.full(cells, 2.0)) - np.eye(cells, k=1) - np.eye(cells, k=-1)) / width**2
    conduction[0, 0] = conduction[-1, -1] = 3.0 / width**2
    inverse = np.linalg.inv(conduction)

    def respond(theta: np.ndarray) -> np.ndarray:
        return np.asarray(inverse @ (delta * np.exp(theta / 100.0))) * 100.0  # 100 K for each unit of theta

    assert runs_away(respond, np.zeros(cells)) is away
