"""Life of a running rope in words, from invented rows."""

from typing import Any

import pytest

from linewright.services.running_lives import life_cautions, life_lines, number

Row = dict[str, Any]


@pytest.fixture
def row() -> Row:
    """An invented life of some runs, with one crop left."""
    band = {"runs": {"p10": 0.0, "p50": 20.0, "p90": 300.0}, "hours": {"p10": 0.0, "p50": 40.0, "p90": 600.0},
            "years": None}  # fmt: skip
    life = {
        "reason": None, "duties_per_year": None, "crop": band, "discard": band, "share_none": 0.0,
        "criterion": "strength left", "mark": 80.04, "at_places": ["overboard"],
        "losses": {"creep": 0.1, "bending": 0.896, "tension": 0.004, "abrasion": 0.0, "ageing": 0.0},
        "zone": [78.0, 81.0], "piece": 81.0, "times": 1, "shift": 6.0, "shifts": 3, "without_spray": None,
        "is_capped": False, "not_assessed": [], "hottest_is_most_bent": False, "extrapolated": [],
    }  # fmt: skip
    return {"life": life, "wire_rope": None, "as_given": {"steady": [{"is_sustainable": True}]}}


def test_life_tells_runs_metres_crop_and_shift(row: Row) -> None:
    said = "\n".join(life_lines(row))
    assert (
        "to the crop: 20 runs (0 to 300); then mark 80.0 m, bent over overboard, has 75 % of its strength left" in said
    )
    assert "(bending 90 %, creep 10 %)" in said
    assert "a crop, past every metre that does, is 81 m from the outboard end: the length allows it once" in said
    assert "slip and cut: 6.0 m at half of the life halves" in said


def test_life_with_runs_a_year_tells_years_too(row: Row) -> None:
    row["life"]["duties_per_year"] = 10.0
    row["life"]["crop"]["years"] = {"p10": 0.0, "p50": 2.0, "p90": 30.0}
    assert "20 runs (0 to 300), 2 years at 10 runs a year" in life_lines(row)[0]


def test_life_below_one_run_tells_its_time(row: Row) -> None:
    row["life"]["crop"] = {"runs": {"p10": 0.0, "p50": 0.25, "p90": 3e4}, "hours": {"p50": 0.5}, "years": None}
    assert "0.25 runs (0 to more than 30000), 30 min" in life_lines(row)[0]


def test_life_without_an_end_names_no_limit(row: Row) -> None:
    row["life"] |= {"criterion": "", "at_places": []}
    assert "; the most worn is mark 80.0 m (bending" in life_lines(row)[0]


def test_life_that_ends_at_once_tells_no_cutting(row: Row) -> None:
    row["life"] |= {"criterion": "temperature", "losses": {"bending": 0.0}, "share_none": 0.69, "without_spray": 3e4}
    row["life"]["crop"]["runs"]["p50"] = 0.0
    first, none, dry = life_lines(row)
    assert first.endswith("then mark 80.0 m, bent over overboard, has been hotter than its limits allow")
    assert "in 69 % of the draws no run can be done" in none
    assert dry == "without spray: more than 30000 runs"


def test_life_that_is_none_says_why(row: Row) -> None:
    row["life"] = {"reason": "not sustainable"}
    assert life_lines(row) == ["not sustainable, no life"]
    assert life_cautions(row) == []
    row["life"] = {"reason": "the rope's card has no bending test"}
    assert life_lines(row) == ["no life is told: the rope's card has no bending test"]


def test_rope_too_short_to_crop_or_slip_says_so(row: Row) -> None:
    row["life"] |= {"times": 0, "shifts": 0}
    said = "\n".join(life_lines(row))
    assert "the length allows no crop past every metre that does, 81 m from the outboard end: discard with it" in said
    assert "to discard" not in said
    assert "the length does not allow it" in said


def test_wire_rope_stands_beside_with_what_its_form_leaves_out(row: Row) -> None:
    row["wire_rope"] = {"cycles": 6.2e5, "runs": 143.0, "mark": 80.0, "over_fibre": 7.15,
                        "outside": ["D/d 11.0 of drum below 12"], "ranged": True}  # fmt: skip
    assert (
        "6.2e+05 bends at the hardest bend, 143 runs at mark 80.0 m, 7.2 times the fibre rope's P50"
        in life_lines(row)[-1]
    )
    said = "\n".join(life_cautions(row))
    assert "! wire rope: D/d 11.0 of drum below 12: extrapolated" in said
    assert "form from memory, coefficients yours" in said


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"hottest_is_most_bent": True}, "the hottest metre is one of the most bent"),
        ({"is_capped": True}, "held at the most cycles that the card claims"),
        ({"not_assessed": ["creep"]}, "not assessed, the card has no data: creep"),
        ({"extrapolated": [{"name": "drum", "ratio": 9.0, "tested": 10.0}]}, "D/d 9 at drum is below the tests (10)"),
    ],
)
def test_caution_stands_where_its_reason_does(changed: Row, said: str, row: Row) -> None:
    assert said not in "\n".join(life_cautions(row))
    row["life"] |= changed
    assert said in "\n".join(life_cautions(row))


def test_heave_that_is_not_sustainable_binds_life_to_the_runs_as_given(row: Row) -> None:
    row["as_given"]["steady"].append({"is_sustainable": False})
    assert "life holds only for runs that begin cold" in "\n".join(life_cautions(row))


@pytest.mark.parametrize(("value", "told"), [(0.0, "0"), (0.123, "0.12"), (7.46, "7.5"), (1234.4, "1234")])
def test_number_is_told_as_exactly_as_it_is_known(value: float, told: str) -> None:
    assert number(value) == told
