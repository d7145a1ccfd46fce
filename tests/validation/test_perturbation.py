"""Every tolerance bites: our value moved by twice the tolerance turns the point red."""

import math
from typing import Any

import pytest

from linewright.validation.form import read_cases
from linewright.validation.model import CheckCase, Point
from linewright.validation.runner import as_numbers, judge, run
from linewright.validation.subjects.catalogue import SUBJECTS

SLOW = {"hot_harbour_core", "better_fibre"}
SMALLEST = 1e-9  # for values that must be exact


def marked(case: CheckCase) -> Any:
    return pytest.param(case, id=case.id, marks=[pytest.mark.slow] if case.subject in SLOW else [])


def shifts(point: Point, published: float, ours: float) -> list[float]:
    """Twice the tolerance in every direction in which it must be noticed."""
    low, high = point.tolerance.bounds(published)
    if not low <= ours <= high:
        assert point.known is not None
        return [2.0 * point.known.within * math.copysign(1.0, ours - published)]
    least = SMALLEST * max(1.0, abs(published))
    if math.isfinite(low) and math.isfinite(high):
        width = max(high - low, least)
        return [width, -width]
    return [2.0 * (high - ours) + least] if math.isfinite(high) else [2.0 * (low - ours) - least]


@pytest.mark.parametrize("case", [marked(case) for case in read_cases()])
def test_case_when_moved_by_twice_its_tolerance_is_off(case: CheckCase) -> None:
    outcome = SUBJECTS[case.subject](case.inputs)

    for index, point in enumerate(case.points):
        ours = as_numbers(outcome[point.quantity])
        assert len(ours) == len(point.published), point.quantity
        for position, published in enumerate(point.published):
            for shift in shifts(point, published, ours[position]):
                moved = [value + shift * (k == position) for k, value in enumerate(ours)]
                verdict = judge(case, {**outcome, point.quantity: moved})[index].verdict
                assert verdict == "off", f"{point.quantity}: {ours[position]:g} moved by {shift:g} is {verdict}"


def test_case_when_it_gives_too_few_values_is_off() -> None:
    case = next(case for case in read_cases() if case.id == "RF-01")
    outcome = SUBJECTS[case.subject](case.inputs)

    rows = judge(case, {**outcome, "ranges": outcome["ranges"][:-1]})

    assert [row.verdict for row in rows] == ["off", "agrees"]


def test_case_when_it_gives_no_number_is_off() -> None:
    case = next(case for case in read_cases() if case.id == "HT-01")
    assert [row.verdict for row in judge(case, {"dT": math.nan})] == ["off"]


def test_case_when_run_as_it_is_agrees() -> None:
    case = next(case for case in read_cases() if case.id == "HT-01")
    assert [row.verdict for row in run(case)] == ["agrees"]
