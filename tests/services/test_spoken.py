"""Ratios as they are spoken: bounds, silence where a band is too wide, and the rope that lasts longest."""

import pytest

from linewright.services.spoken import best, is_too_wide, place_of, times


def ratio(low: float, middle: float, high: float, **more) -> dict:
    return {"p10": low, "p50": middle, "p90": high, **more}


def test_times_when_a_bound_is_known_says_it() -> None:
    bounds = {"p10": "", "p50": "at least", "p90": "open"}
    assert times(ratio(1.0, 2.06, 3.0, bounds=bounds), "p50") == "at least 2.1"
    assert times(ratio(1.0, 2.06, 3.0, is_lower_bound=True), "p50") == "at least 2.1"
    assert times(ratio(1.0, 2.06, 3.0, bounds=bounds), "p10") == "1.0"
    assert times(ratio(1.0, 2.0, 3e6), "p90") == "more than 100"


def test_best_when_bands_are_too_wide_or_none_is_longer_is_none() -> None:
    wide, short, long = ratio(0.1, 5.0, 50.0), ratio(0.5, 0.9, 1.0), ratio(1.0, 2.0, 3.0)
    assert is_too_wide(wide)
    assert best([{"ratio": wide}, {"ratio": short}]) is None
    assert best([{"ratio": wide}, {"ratio": short}, {"ratio": long}]) == {"ratio": long}


@pytest.mark.parametrize(("told", "name"), [("closed chock, metre 12", "closed chock"),
                                            ("roller, 2, 18 m from the drum", "roller, 2"),
                                            ("free span", "free span")])  # fmt: skip
def test_place_of_when_told_is_the_contact(told: str, name: str) -> None:
    assert place_of(told) == name
