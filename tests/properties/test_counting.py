"""Streaming counts of any history: chunks do not matter, the rules agree with each other and with the batch count."""

import itertools

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from linewright.physics import counting, cycles

HISTORIES = st.lists(st.integers(-6, 6), max_size=60) | st.lists(st.integers(-(10**6), 10**6), max_size=60)
FLOATS = st.lists(st.floats(-6.0, 6.0), min_size=2, max_size=60)
BINS = counting.even_bins(-6.0, 6.0, (12, 6, 5), (0.5, 50.0))
RULES = st.sampled_from(counting.RESIDUES)
NAMES = ("cycles", "mean", "amplitude", "period", "power_sums", "count", "largest_range", "points", "lowest", "highest")


def count(parts: list[list[float]], residue: counting.Residue, gate: float) -> counting.Counted:
    counter = counting.Counter(BINS, 0.5, powers=(3.0, 4.09), residue=residue, hysteresis=gate)
    for part in parts:
        counter.push(np.array(part))
    return counter.counted()


def by_range(rows: np.ndarray) -> dict[float, float]:
    """Counts by range."""
    sizes, index = np.unique(rows[:, 0], return_inverse=True)
    return dict(zip(sizes.tolist(), np.bincount(index.ravel(), rows[:, -1]).tolist(), strict=True))


@given(values=FLOATS, cuts=st.lists(st.integers(0, 60), max_size=8), residue=RULES, gate=st.sampled_from([0.0, 1.5]))
def test_counter_when_the_history_is_cut_anywhere_gives_the_same_bits(
    values: list[float], cuts: list[int], residue: counting.Residue, gate: float
) -> None:
    edges = [0, *sorted(min(cut, len(values)) for cut in cuts), len(values)]
    parts = [values[a:b] for a, b in itertools.pairwise(edges)]
    whole, cut = count([values], residue, gate), count(parts, residue, gate)
    for name in NAMES:
        np.testing.assert_array_equal(getattr(whole, name), getattr(cut, name))


@given(values=HISTORIES)
def test_four_points_when_the_residue_is_halved_are_the_three_points(values: list[int]) -> None:
    # Same table of ranges and means; a tie may be two halves in one and a whole in the other. Integers: exact.
    rows, _ = counting.cycles_and_residue(np.array(values, float))
    three = cycles.rainflow(np.array(values, float))
    assert by_range(rows) == by_range(three)
    assert np.sum(rows[:, 1] * rows[:, 3]) == np.sum(three[:, 1] * three[:, 2])


@given(values=HISTORIES.filter(lambda values: len(set(values)) > 1))
def test_repeating_count_when_begun_at_the_peak_is_the_standards(values: list[int]) -> None:
    # E1049-85, 5.4.5: arrange the history to start and end with its largest value, then three points; the two halves at
    # the ends are one whole. Exactly the doubled residue.
    history = np.array(values, float)
    turned = np.roll(history, -int(history.argmax()))
    expected = by_range(cycles.rainflow(np.r_[turned, turned[0]]))
    assert by_range(counting.cycles_and_residue(history, residue="repeat")[0]) == expected


@given(values=HISTORIES, residue=RULES, gate=st.integers(1, 5))
def test_hysteresis_when_set_leaves_the_larger_ranges_of_a_repeating_history(
    values: list[int], residue: counting.Residue, gate: int
) -> None:
    # No range up to the gate is left, and reversals that are left are those of the history.
    rows, rest = counting.cycles_and_residue(np.array(values, float), residue=residue, hysteresis=float(gate))
    assert (rows[:, 0] > gate).all()
    assert set(rest.tolist()) <= set(map(float, values))
    if residue == "repeat":
        plain = by_range(counting.cycles_and_residue(np.array(values, float), residue="repeat")[0])
        assert by_range(rows) == {size: number for size, number in plain.items() if size > gate}


@given(values=FLOATS, residue=RULES)
def test_counter_when_compared_with_the_rows_holds_as_many_in_each_bin(
    values: list[float], residue: counting.Residue
) -> None:
    # Referee: numpy's search for each row; the period apart, since a repeating lap is a step longer by rule.
    rows, _ = counting.cycles_and_residue(np.array(values), 0.5, residue)
    expected = np.zeros(BINS.shape)
    places = [
        np.searchsorted(e, c, "right") for e, c in zip((BINS.ranges, BINS.means, BINS.periods), rows.T, strict=False)
    ]
    np.add.at(expected, tuple(places), rows[:, 3])
    np.testing.assert_array_equal(count([values], residue, 0.0).cycles.sum(axis=2), expected.sum(axis=2))
    if residue != "repeat":
        np.testing.assert_array_equal(count([values], residue, 0.0).cycles, expected)
