"""Cycle counting of any history, against a public library and against what counting must keep."""

import numpy as np
import rainflow as referee
from hypothesis import example, given
from hypothesis import strategies as st

from linewright.physics import _kernels, cycles, heat

# Few distinct values make ties and plateaus common; integers make every comparison exact.
HISTORIES = st.lists(st.integers(-6, 6), max_size=60) | st.lists(st.integers(-(10**6), 10**6), max_size=60)
RISING = st.lists(st.integers(-100, 100), min_size=2, max_size=20).map(sorted)


def rows(values: list[int]) -> list[tuple[float, float, float]]:
    return sorted(
        (float(size), float(mean), float(count)) for size, mean, count in cycles.rainflow(np.array(values, float))
    )


@given(values=HISTORIES | RISING)
@example(values=[])
@example(values=[3])
@example(values=[3, 3, 3])
@example(values=[0, 1, 2])
@example(values=[0, 1, 0, 1, 0])
@example(values=[0, 2, 1, 1, 2, 0])
def test_rainflow_when_any_history_is_counted_is_the_librarys(values: list[int]) -> None:
    # Referee: rainflow, the same standard (ASTM E1049-85, three points, residue as half cycles). Exactly equal. It
    # needs three values to see an end; a history of two is counted by hand beside the unit tests.
    exact = sorted((float(size), float(mean), float(count)) for size, mean, count, *_ in referee.extract_cycles(values))
    if len(values) != 2:
        assert rows(values) == [row for row in exact if row[0] > 0.0]


@given(values=HISTORIES)
def test_kernels_when_compiled_count_like_their_plain_twins(values: list[int]) -> None:
    points = cycles.turning_points(np.array(values, float))
    if points.size >= 2:
        np.testing.assert_array_equal(_kernels.three_point(points), _kernels.plain_three_point(points))
    if values:
        history = np.abs(np.array(values, float)) + 1.0
        plain = _kernels.plain_play_work(history, 1.2, 1e-3)
        np.testing.assert_allclose(_kernels.play_work(history, 1.2, 1e-3), plain, rtol=1e-12)


@given(values=HISTORIES)
def test_rainflow_when_added_up_keeps_the_length_of_the_path(values: list[int]) -> None:
    # Every reversal-to-reversal move is half of a cycle: sum of 2 count range = sum |differences|. Integers: exact.
    found = cycles.rainflow(np.array(values, float))
    assert np.sum(2.0 * found[:, 0] * found[:, 2]) == np.abs(np.diff(np.array(values, float))).sum()


@given(values=HISTORIES, factor=st.sampled_from([2.0, 0.5, -1.0]), shift=st.integers(-50, 50))
def test_rainflow_when_scaled_and_shifted_scales_and_shifts(values: list[int], factor: float, shift: int) -> None:
    # Ranges scale, means scale and shift, counts stay; powers of two keep it exact.
    plain = cycles.rainflow(np.array(values, float))
    moved = cycles.rainflow(factor * np.array(values, float) + shift)
    np.testing.assert_array_equal(moved[:, 0], abs(factor) * plain[:, 0])
    np.testing.assert_array_equal(moved[:, 1], factor * plain[:, 1] + shift)
    np.testing.assert_array_equal(moved[:, 2], plain[:, 2])


@given(
    values=st.lists(st.floats(0.0, 5e5), min_size=3, max_size=60),
    ratio=st.floats(1.001, 2.0),
)
def test_slip_work_when_a_closed_history_is_any_is_the_play_operators(values: list[float], ratio: float) -> None:
    # A history that starts and ends at its largest value is a closed loop once the first pass is over.
    history = np.array(values)
    history = np.roll(history, -int(history.argmax()))
    history = np.r_[history, history[0]]
    work = [cycles.play_work(part, ratio, 1e-6) for part in (history, np.r_[history, history[1:]])]
    size, mean, count = cycles.rainflow(history).T
    summed = np.sum(count * heat.slip_work(mean - 0.5 * size, mean + 0.5 * size, ratio, 1e-6))
    np.testing.assert_allclose(summed, work[1] - work[0], rtol=1e-7, atol=1e-7)
