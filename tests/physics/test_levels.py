"""Time above levels, crossings, stays, troughs, equivalent amplitude: by hand and against each other."""

import numpy as np
import pytest

from linewright.physics import counting, cycles, fatigue, levels

UP_AND_DOWN = np.array([0.0, 10.0, 0.0, 10.0])
TIMES = np.array([0.0, 10.0, 30.0, 40.0])


def test_time_above_when_worked_by_hand_agrees() -> None:
    # Triangles: above 4 is 6/10 of every step: 6 + 12 + 6 = 24 s; above 10 nothing; above -1 all 40 s; above 0 all.
    np.testing.assert_allclose(
        levels.time_above(UP_AND_DOWN, TIMES, np.array([4.0, 10.0, -1.0, 0.0])), [24.0, 0.0, 40.0, 40.0], atol=1e-12
    )


def test_time_above_when_a_level_is_held_does_not_count_it() -> None:
    # 5 held for 10 s: not above 5, all above 4.9.
    np.testing.assert_array_equal(
        levels.time_above(np.array([5.0, 5.0]), np.array([0.0, 10.0]), np.array([5.0, 4.9])), [0.0, 10.0]
    )


def test_time_above_when_a_sine_is_finely_sampled_is_its_arc() -> None:
    # sin above 0.5 from 30 to 150 degrees: a third of the time.
    t = np.linspace(0.0, 1.0, 20_001)
    assert levels.time_above(np.sin(2.0 * np.pi * t), t, np.array([0.5]))[0] == pytest.approx(1.0 / 3.0, abs=1e-6)


def test_time_above_when_the_history_is_cut_into_overlapping_chunks_adds_up() -> None:
    # Each chunk begins with the last value of the one before.
    rng = np.random.default_rng(2)
    values, times = rng.normal(size=1000), np.cumsum(rng.uniform(0.5, 1.5, 1000))
    every = np.array([-1.0, 0.0, 0.7])
    cuts = [(0, 301), (300, 302), (301, 1000)]
    for found in (
        (levels.time_above(values, times, every), [levels.time_above(values[a:b], times[a:b], every) for a, b in cuts]),
        (levels.up_crossings(values, every), [levels.up_crossings(values[a:b], every) for a, b in cuts]),
    ):
        np.testing.assert_allclose(found[0], np.sum(found[1], axis=0), rtol=1e-12)


def test_up_crossings_when_worked_by_hand_agree() -> None:
    # 0 10 0 10 rises through 5 twice; touching 10 from below counts, leaving it does not; from 0 upwards not through 0.
    np.testing.assert_array_equal(levels.up_crossings(UP_AND_DOWN, np.array([5.0, 10.0, 0.0, 11.0])), [2, 2, 0, 0])


def test_dwells_when_worked_by_hand_agree() -> None:
    # Above 4: up at 4 s, down at 10 + 20 * 0.6 = 22 s: 18 s; up at 34 s, cut at 40 s: 6 s.
    np.testing.assert_allclose(levels.dwells(UP_AND_DOWN, TIMES, 4.0), [18.0, 6.0])
    np.testing.assert_allclose(levels.dwells(UP_AND_DOWN[::-1], TIMES, 4.0), [6.0, 18.0])
    assert levels.dwells(UP_AND_DOWN, TIMES, 20.0).size == 0
    np.testing.assert_allclose(levels.dwells(UP_AND_DOWN, TIMES, -1.0), [40.0])


@pytest.mark.parametrize("level", [-0.8, 0.0, 1.2])
def test_dwells_when_added_are_the_time_above(level: float) -> None:
    # The same straight lines, by crossings and by shares.
    values, times = np.random.default_rng(6).normal(size=500), np.arange(500) * 0.5
    stays = levels.dwells(values, times, level)
    assert stays.sum() == pytest.approx(levels.time_above(values, times, np.array([level]))[0], rel=1e-12)
    assert stays.size > 10


def test_troughs_when_worked_by_hand_are_counted() -> None:
    # Cycles 0..10, 4..6 and half of 2..20: troughs 0, 4, 2. Below 3: 1.5; below 2: the first; below 0: none.
    rows = np.array([[10.0, 5.0, 1.0], [2.0, 5.0, 1.0], [18.0, 11.0, 0.5]])
    size, mean, count = rows.T
    assert [levels.cycles_with_trough_below(mean, size, count, at) for at in (3.0, 2.0, 0.0)] == [1.5, 1.0, 0.0]


def test_equivalent_amplitude_when_worked_by_hand_agrees() -> None:
    # 100 cycles of 2 and 10 of 4 at m 3: (800 + 640)/N = a^3; N 1440: a 1; N 180: a 2.
    counts, sizes = np.array([100.0, 10.0]), np.array([2.0, 4.0])
    assert levels.equivalent_amplitude(counts, sizes, 3.0, 1440.0) == pytest.approx(1.0, rel=1e-14)
    assert levels.equivalent_amplitude(counts, sizes, 3.0, 180.0) == pytest.approx(2.0, rel=1e-14)


@pytest.mark.parametrize("exponent", [3.0, 9.0, 13.46])
def test_equivalent_amplitude_when_counted_does_the_damage_of_the_history(exponent: float) -> None:
    # Miner's sums of both sides, in newtons, whose powers are large.
    rows, _ = counting.cycles_and_residue(np.random.default_rng(9).normal(3e5, 6e4, 5000))
    size, count = rows[:, 0], rows[:, 3]
    one = levels.equivalent_amplitude(count, 0.5 * size, exponent, 1e6)
    damage = [fatigue.miner_damage(n, a, exponent, 1.0) for n, a in ((count, 0.5 * size), ([1e6], [one]))]
    assert damage[0] == pytest.approx(damage[1], rel=1e-11)


def test_equivalent_amplitude_when_there_is_no_cycle_is_zero() -> None:
    assert levels.equivalent_amplitude(np.array([]), np.array([]), 3.0, 1e6) == 0.0
    with pytest.raises(ValueError, match="must be above zero"):
        levels.equivalent_amplitude(np.ones(1), np.ones(1), 3.0, 0.0)


def test_levels_when_a_value_is_missing_or_time_falls_are_refused() -> None:
    with pytest.raises(ValueError, match="split the history"):
        levels.time_above(np.array([1.0, np.nan]), np.array([0.0, 1.0]), np.array([0.0]))
    with pytest.raises(ValueError, match="split the history"):
        levels.up_crossings(np.array([1.0, np.nan]), np.array([0.0]))
    with pytest.raises(ValueError, match="must rise"):
        levels.dwells(np.array([1.0, 2.0]), np.array([1.0, 1.0]), 0.0)
    with pytest.raises(ValueError, match="2 values, but 1 times"):
        levels.time_above(np.array([1.0, 2.0]), np.array([1.0]), np.array([0.0]))


def test_up_crossings_when_read_from_cycles_are_those_of_the_history() -> None:
    # Definition on the history itself: a record that begins and ends below has whole crossings, else half a one more
    # or less. Cycles of a history with ripples: more of them than up-crossings of the mean.
    rng = np.random.default_rng(3)
    history = np.cumsum(rng.normal(size=4000)) * 0.1 + rng.normal(size=4000)
    rows = cycles.rainflow(history)
    for level in (-2.0, 0.0, 1.5):
        found = levels.cycles_through(rows[:, 1], rows[:, 0], rows[:, 2], level)
        assert found == pytest.approx(levels.up_crossings(history, np.array([level]))[0], abs=0.5)
    assert rows[:, 2].sum() > 3.0 * levels.cycles_through(rows[:, 1], rows[:, 0], rows[:, 2], float(history.mean()))
