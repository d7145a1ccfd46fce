"""The streaming counter: worked tables, bins, sums, refusals, and the same Python interpreted."""

import tracemalloc

import fatpack
import numpy as np
import pytest

from linewright.physics import _kernels, _rainflow, counting

STANDARD = np.array([-2.0, 1.0, -3.0, 5.0, -1.0, 3.0, -4.0, 4.0, -2.0])
WIDE = counting.even_bins(-10.0, 10.0, (20, 20, 6), (1.0, 64.0))
KERNELS = ("first_turn", "turns", "every_turn", "four_point", "bins", "tally")


def counter(**options: object) -> counting.Counter:
    return counting.Counter(WIDE, **options)  # type: ignore[arg-type]


def table(found: counting.Counted) -> dict[float, float]:
    """Counts by range, of unit bins that begin at whole numbers."""
    counts = found.cycles.sum(axis=(1, 2))
    return {float(WIDE.ranges[k - 1]): float(counts[k]) for k in np.flatnonzero(counts)}


@pytest.mark.parametrize(
    ("residue", "expected"),
    [
        ("half", {3.0: 0.5, 4.0: 1.5, 6.0: 0.5, 8.0: 1.0, 9.0: 0.5}),
        ("repeat", {3.0: 1.0, 4.0: 1.0, 7.0: 1.0, 9.0: 1.0}),
        ("drop", {4.0: 1.0}),
    ],
)
def test_counter_when_given_the_standards_example_gives_the_table_of_the_rule(
    residue: counting.Residue, expected: dict[float, float]
) -> None:
    # ASTM E1049-85 figure 6 (half), 5.4.5 from its peak (repeat); the one closed cycle is E-F (drop).
    taken = counter(residue=residue)
    taken.push(STANDARD)
    assert table(taken.counted()) == expected


def test_cycles_when_worked_by_hand_have_their_periods() -> None:
    # E-F from the 5th to the 6th value at 10 s: half a cycle in 10 s, period 20 s. Repeating: the nine come again
    # after 90 s, so that -4 at 60 s rises to the 5 of the next lap at 90 + 30 s: 2 x 60 s.
    rows, rest = counting.cycles_and_residue(STANDARD, 10.0, "drop")
    np.testing.assert_array_equal(rows, [[4.0, 1.0, 20.0, 1.0]])
    np.testing.assert_array_equal(rest, [-2.0, 1.0, -3.0, 5.0, -4.0, 4.0, -2.0])
    again = {row[0]: row[2] for row in counting.cycles_and_residue(STANDARD, 10.0, "repeat")[0]}
    assert again[4.0] == 20.0
    assert again[9.0] == 120.0


def test_hysteresis_when_worked_by_hand_passes_small_reversals_over() -> None:
    # 0 5 4 9 2 3 0, gate 1: 5-4 and 2-3 come back by 1, not by more; left 0 9 0, two halves of 9.
    rows, rest = counting.cycles_and_residue(np.array([0.0, 5.0, 4.0, 9.0, 2.0, 3.0, 0.0]), hysteresis=1.0)
    np.testing.assert_array_equal(rest, [0.0, 9.0, 0.0])
    np.testing.assert_array_equal(rows[:, [0, 3]], [[9.0, 0.5], [9.0, 0.5]])


def test_hysteresis_when_the_history_begins_within_it_keeps_its_whole_range() -> None:
    # 0, -0.9, 0.9: no move from the first value passes 1, but -0.9 to 0.9 does.
    rows, _ = counting.cycles_and_residue(np.array([0.0, -0.9, 0.9]), hysteresis=1.0)
    np.testing.assert_allclose(rows[:, [0, 3]], [[1.8, 0.5]])


def test_bins_when_a_value_lies_on_an_edge_take_it_from_below() -> None:
    # Half-open [low, high): range 3 belongs to the bin that begins at 3, 2.9999... to the one that begins at 2.
    for size, low in ((3.0, 3.0), (np.nextafter(3.0, 0.0), 2.0)):
        taken = counter()
        taken.push(np.array([0.0, size]))
        assert table(taken.counted()) == {low: 0.5}


def test_bins_when_a_cycle_lies_outside_keep_it_at_the_rim() -> None:
    # Range 200 about 100, 3 s (bin 2, from 2 to 4 s), at the top of range and mean; the count is whole.
    taken = counter(step=1.5)
    taken.push(np.array([0.0, 200.0, 0.0]))
    found = taken.counted()
    assert found.cycles[-1, -1, 2] == 1.0
    assert found.count == 1.0


def test_places_when_edges_are_uneven_are_those_of_a_plain_search() -> None:
    # Referee: numpy.searchsorted from the right, on the edges themselves too.
    edges = np.r_[np.geomspace(0.1, 300.0, 25)]
    values = np.r_[np.random.default_rng(3).lognormal(1.0, 3.0, 5000), edges, np.nextafter(edges, 0.0), 0.0]
    places = np.zeros(values.size, dtype=np.intp)
    _kernels.bins(values, edges, _rainflow.guide(edges), 1, places)
    np.testing.assert_array_equal(places, np.searchsorted(edges, values, side="right"))


def test_cells_when_read_keep_heat_mean_and_period() -> None:
    # Two closed cycles in one cell, ranges 3.0 and 3.5, means 1.5 and 1.75, periods 2 and 4 s inside 0 -> 9 -> 0: rms
    # amplitude sqrt((1.5^2 + 1.75^2)/2), mean of means 1.625, mean period 3 s.
    bins = counting.Bins(np.array([2.0, 4.0]), np.array([0.0, 4.0]), np.array([1.0, 8.0]))
    taken = counting.Counter(bins, residue="drop", powers=(2.0, 2.5))
    taken.push(
        np.array([-9.0, 3.0, 0.0, 5.0, 0.0, 0.0, 3.5, -1.0, 9.0, -9.0]), np.array([0, 1, 2, 3, 4, 5, 6, 7, 8, 9.0])
    )
    found = taken.counted()
    assert found.cycles[1, 1, 1] == 2.0
    assert found.amplitude[1, 1, 1] == pytest.approx(np.sqrt((1.5**2 + 1.75**2) / 2.0), rel=1e-14)
    assert found.mean[1, 1, 1] == pytest.approx(1.625, rel=1e-14)
    assert found.period[1, 1, 1] == pytest.approx(3.0, rel=1e-14)


def test_power_sums_when_compared_with_the_rows_are_theirs() -> None:
    # Whole and broken exponents; from cycles, so the bins do not matter.
    values = np.random.default_rng(7).normal(size=20_000)
    taken = counter(powers=(0.0, 3.0, 4.09, 13.46))
    taken.push(values)
    rows, _ = counting.cycles_and_residue(values)
    expected = [np.sum(rows[:, 3] * rows[:, 0] ** m) for m in (0.0, 3.0, 4.09, 13.46)]
    found = taken.counted()
    np.testing.assert_allclose(found.power_sums, expected, rtol=1e-11)
    assert (found.largest_range, found.lowest, found.highest) == (rows[:, 0].max(), values.min(), values.max())


def test_counter_when_the_history_has_integers_near_their_limit_does_not_overflow() -> None:
    # Newtons as 32-bit integers: 2e9 - (-2e9) does not fit in them; it is 4e9.
    taken = counter(powers=(1.0,))
    taken.push(np.array([-2_000_000_000, 2_000_000_000, -2_000_000_000], dtype=np.int32))
    assert taken.counted().largest_range == 4e9
    assert counting.cycles_and_residue(np.array([-100, 100], dtype=np.int8))[0][0, 0] == 200.0


@pytest.mark.parametrize("history", [[], [5.0], [5.0, 5.0, 5.0]])
@pytest.mark.parametrize("residue", counting.RESIDUES)
def test_counter_when_nothing_moves_counts_nothing(history: list[float], residue: counting.Residue) -> None:
    taken = counter(residue=residue)
    taken.push(np.array(history))
    found = taken.counted()
    assert (found.count, found.largest_range, found.points) == (0.0, 0.0, len(history))
    assert counting.cycles_and_residue(np.array(history), residue=residue)[0].shape == (0, 4)


@pytest.mark.parametrize("wrong", [np.nan, np.inf, -np.inf])
def test_counter_when_a_value_is_no_number_refuses_and_keeps_what_it_had(wrong: float) -> None:
    taken = counter()
    taken.push(STANDARD)
    with pytest.raises(ValueError, match="value 1 of 3 is"):
        taken.push(np.array([0.0, wrong, 1.0]))
    found = taken.counted()
    assert (found.count, found.points) == (4.0, 9)
    with pytest.raises(ValueError, match="split the history at its gaps"):
        counting.cycles_and_residue(np.array([0.0, wrong]))


@pytest.mark.parametrize(
    ("values", "times", "word"),
    [
        ([1.0, 2.0], [0.0], "2 values, but 1 times"),
        ([1.0, 2.0], [1.0, 1.0], "must rise"),
        ([1.0, 2.0], [-1.0, 3.0], "must rise"),
        ([1.0, 2.0], [1.0, np.inf], "be finite"),
        ([1.0, 2.0], [1.0, np.nan], "must rise"),
        ([1.0, 2.0], None, "with every chunk or with none"),
        ([[1.0], [2.0]], [[1.0], [2.0]], "one axis"),
    ],
)
def test_counter_when_times_or_shape_are_wrong_refuses(
    values: list[float], times: list[float] | None, word: str
) -> None:
    taken = counter()
    taken.push(np.array([0.0, 1.0]), np.array([-3.0, -1.0]))
    with pytest.raises(ValueError, match=word):
        taken.push(np.array(values), None if times is None else np.array(times))


@pytest.mark.parametrize(
    ("options", "word"),
    [
        ({"residue": "double"}, "no residue rule 'double'; there are: half, repeat, drop"),
        ({"step": 0.0}, "step must be above zero"),
        ({"step": np.nan}, "step must be above zero"),
        ({"hysteresis": -1.0}, "hysteresis"),
        ({"powers": (-1.0,)}, "exponents"),
        ({"powers": (np.nan,)}, "exponents"),
    ],
)
def test_counter_when_set_up_wrongly_refuses(options: dict[str, object], word: str) -> None:
    with pytest.raises(ValueError, match=word):
        counter(**options)


def test_counter_when_edges_do_not_rise_refuses() -> None:
    bins = counting.Bins(np.array([0.0, 1.0]), np.array([1.0, 1.0]), np.array([0.0, 1.0]))
    with pytest.raises(ValueError, match="edges of means"):
        counting.Counter(bins)


def test_counter_when_split_at_a_gap_is_two_counters_added() -> None:
    # No cycle across a gap: 0 9 | 9 0 are two halves of 9, and so is each part alone.
    rng = np.random.default_rng(11)
    first, second = rng.integers(-9, 9, 200), rng.integers(-9, 9, 300)
    both = counter()
    both.push(first)
    both.split()
    both.push(second)
    alone = [counter(), counter()]
    for one, part in zip(alone, (first, second), strict=True):
        one.push(part)
    np.testing.assert_array_equal(both.counted().cycles, sum(one.counted().cycles for one in alone))


def test_counted_when_asked_twice_is_the_same_and_the_counter_goes_on() -> None:
    # Asking does not touch the counter.
    asked, plain = counter(powers=(3.0,)), counter(powers=(3.0,))
    for part in (STANDARD, STANDARD[::-1], STANDARD):
        asked.push(part)
        asked.counted()
        plain.push(part)
    np.testing.assert_array_equal(asked.counted().cycles, plain.counted().cycles)
    np.testing.assert_array_equal(asked.counted().power_sums, plain.counted().power_sums)


@pytest.mark.parametrize("gate", [0.0, 0.7])
@pytest.mark.parametrize("residue", counting.RESIDUES)
def test_counter_when_compiled_is_the_plain_python(
    monkeypatch: pytest.MonkeyPatch, gate: float, residue: counting.Residue
) -> None:
    # The same Python, interpreted: equal to the last bit.
    values = np.random.default_rng(5).normal(size=3000).round(2)
    found = []
    for _ in range(2):
        taken = counter(step=0.5, powers=(3.0,), residue=residue, hysteresis=gate)
        taken.push(values)
        found.append(taken.counted())
        for name in KERNELS:
            monkeypatch.setattr(_kernels, name, getattr(_kernels, f"plain_{name}"))
    for name in ("cycles", "mean", "amplitude", "period"):
        np.testing.assert_array_equal(getattr(found[0], name), getattr(found[1], name))
    np.testing.assert_allclose(found[0].power_sums, found[1].power_sums, rtol=1e-14)
    assert found[0].count > 100.0


def test_cell_table_when_added_up_keeps_count_heat_and_nearly_the_damage() -> None:
    # Count and sum of range^2 are those of the cycles; powers above 2 come out low, by the spread of ranges in a bin of
    # width w: about m (m - 2)/2 (w/R)^2/12, at m 3, R 3 and w 0.15625: 0.03 %.
    bins = counting.even_bins(-5.0, 5.0, (64, 32, 6), (1.0, 64.0))
    taken = counting.Counter(bins, powers=(2.0, 3.0, 9.0))
    values = np.random.default_rng(4).normal(size=50_000)
    taken.push(values)
    found = taken.counted()
    rows, _ = counting.cycles_and_residue(values)
    table = counting.cell_table(found)
    assert table[:, 3].sum() == rows[:, 3].sum()
    assert np.sum(table[:, 3] * table[:, 0]) == pytest.approx(np.sum(rows[:, 3] * rows[:, 1]), abs=1e-8)
    ratio = counting.damage_in_cells(found)
    assert ratio[0] == pytest.approx(1.0, rel=1e-12)
    assert 1.0 - 1e-3 < ratio[1] < 1.0
    assert 1.0 - 2e-2 < ratio[2] < 1.0


@pytest.mark.slow
def test_counter_when_the_history_is_long_holds_no_more_than_when_it_is_short() -> None:
    # 3e6 values in chunks of 1e5 need as much as 3e5: blocks, matrix, and some tens of open reversals.
    peaks = []
    for chunks in (3, 30):
        rng, taken = np.random.default_rng(1), counter(step=0.1)
        tracemalloc.start()
        for _ in range(chunks):
            taken.push(rng.normal(size=100_000))
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
        assert taken.residue().shape[1] < 100
    assert peaks[1] < 1.2 * peaks[0] < 8e6


def test_counter_when_the_history_only_shrinks_keeps_every_open_reversal() -> None:
    # 40 000 reversals, each smaller: nothing closes, the residue outgrows the first stack; 39 999 half cycles.
    size = np.arange(40_000, 0, -1) * 1e-4
    taken = counter()
    taken.push(size * np.where(np.arange(size.size) % 2 == 0, 1.0, -1.0))
    assert taken.residue().shape == (2, 40_000)
    assert taken.counted().count == 0.5 * 39_999


def test_repeating_count_when_compared_with_a_library_is_its() -> None:
    # Referee: fatpack 0.7.8, whose closing is the repeating one, fed with integers that its classes hold exactly
    # (2001 values in 2000 classes of width 1).
    values = np.random.default_rng(21).integers(-1000, 1001, 4000)
    values[:2] = (-1000, 1000)
    theirs = fatpack.find_rainflow_ranges(values.astype(float), k=2000)
    rows, _ = counting.cycles_and_residue(values, residue="repeat")
    np.testing.assert_allclose(np.sort(rows[:, 0]), np.sort(theirs), atol=1e-6)
