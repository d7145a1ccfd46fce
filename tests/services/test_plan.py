"""Material over the ship's life: kg by hand from the sets, factors, options, words."""

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from linewright.base.errors import InputError
from linewright.services.plan import least, plan_of
from linewright.services.plan_asked import options_of
from linewright.services.plan_text import in_short, plan_lines

CASE = """
format = 1
title = "One berth"
[ship]
design_break_load = "900 kN"
[spread]
samples = 256
[[line]]
name = "springs"
count = 4
rope = "hmpe-standard-12-strand"
diameter = "36 mm"
mass_per_length = "0.68 kg/m"
inboard_length = "10 m"
outboard_length = "35 m"
tail = { rope = "polyester-tail-double-braid", length = "11 m" }
[[line.contact]]
card = "closed-chock"
bend_radius = "200 mm"
[[berth]]
name = "Swell berth"
climate = "swell-coast-monthly"
calls_per_year = 25
hours_per_call = "36 h"
[[berth.state]]
name = "swell"
share = "100 %"
tension.springs = { mean = "20 %LDBF", amplitude = "6.5 %LDBF", amplitude_kind = "significant", period = "13 s" }
[[compare]]
rope = "hmpe-low-creep-12-strand"
diameter = "36 mm"
[[compare]]
rope = "polyester-8-strand"
"""  # invented


def study(folder: Path, *changes: tuple[str, str], plan: str = "") -> Path:
    text = CASE
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    (folder / "case.toml").write_text(text + plan, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return study(tmp_path_factory.mktemp("plan"))


@pytest.fixture(scope="module")
def row(root: Path) -> dict[str, Any]:
    return plan_of(root)


def test_kg_when_a_set_is_counted_by_hand_is_that_many_times_its_lines(row: dict[str, Any]) -> None:
    # By hand: 4 lines of 10 + 35 m at 0.68 kg/m are 4 x 30.6 = 122.4 kg a set; tails 17 sets of 4 x 11 m.
    (group,) = row["ropes"][0]["groups"]
    assert (group["count"], group["length"]) == (4, 45.0)
    assert group["kg_per_line"] == pytest.approx(30.6)
    for name in ("p10", "p50", "p90"):
        assert row["ropes"][0]["kg"]["ropes"][name] == pytest.approx(122.4 * group["sets"][name])
        assert group["sets"][name] == int(group["sets"][name])
    assert group["tail"]["sets"] == {"p10": 17.0, "p50": 17.0, "p90": 17.0}
    assert row["ropes"][0]["kg"]["tails"]["p50"] == pytest.approx(17 * 4 * group["tail"]["kg"])
    per_year = row["ropes"][0]["kg_per_year"]
    assert per_year["p50"] == pytest.approx(row["ropes"][0]["kg"]["total"]["p50"] / 25.0)


def test_sets_when_their_median_is_told_are_those_of_the_median_life(row: dict[str, Any]) -> None:
    # By hand: fewer sets with a longer life, in whole numbers: the median of the one is the number of the other's,
    # up to the one draw that lies between two halves.
    (group,) = row["ropes"][0]["groups"]
    assert abs(group["sets"]["p50"] - math.ceil(25.0 / group["life"]["p50"])) <= 1
    assert group["sets"]["p10"] == pytest.approx(math.ceil(25.0 / group["life"]["p90"]), abs=1)


def test_columns_when_no_factor_is_given_are_left_out(row: dict[str, Any]) -> None:
    assert all("cost" not in rope and "co2e" not in rope for rope in row["ropes"])
    text = "\n".join(plan_lines(row))
    assert "cost" not in text
    assert "CO2e" not in text
    assert "A line is inboard plus outboard length" in text
    assert "it lasts to the first line that finishes" in text
    assert "usual in the trade, second-hand" in text
    assert all(len(line) <= 120 for line in text.splitlines())


def test_rope_when_it_is_not_comparable_is_not_planned(row: dict[str, Any]) -> None:
    rope = row["ropes"][2]
    assert rope["not_planned"].startswith("not comparable: ")
    assert "kg" not in rope
    assert row["least"] in ("A", "B")
    assert 0.0 <= row["ropes"][1]["less_than_board"] <= 1.0


def test_cost_when_factors_are_given_is_by_hand(root: Path, row: dict[str, Any]) -> None:
    # By hand: kg x price; 2 spares of 30.6 kg are bought once; the tails have no price and are left out of it.
    told = plan_of(root, {"price_per_kg": "10", "currency": "EUR", "co2e_per_kg": "8", "tail_co2e_per_kg": "3",
                          "spares": "2"})  # fmt: skip
    before, after = row["ropes"][0], told["ropes"][0]
    for name in ("p10", "p50", "p90"):
        rope = before["kg"]["ropes"][name] + 61.2
        assert after["cost"][name] == pytest.approx(10.0 * rope)
        assert after["co2e"][name] == pytest.approx(8.0 * rope + 3.0 * before["kg"]["tails"]["p50"])
        assert after["kg"]["total"][name] == pytest.approx(before["kg"]["total"][name] + 61.2)
    text = "\n".join(plan_lines(told))
    assert "EUR; ropes, spares" in text
    assert "kg; ropes, spares, tails" in text
    keys = {(item["owner"], item["key"]): item for item in told["used"]}
    assert keys["plan", "price_per_kg"]["source"] == "option price_per_kg"
    assert ("plan", "price_per_line") not in keys


def test_cost_when_priced_by_the_line_counts_lines(root: Path, row: dict[str, Any]) -> None:
    told = plan_of(root, {"price_per_line": "3000", "price_per_tail": "500"})
    lines = 4 * row["ropes"][0]["groups"][0]["sets"]["p50"]
    assert told["ropes"][0]["cost"]["p50"] == pytest.approx(3000.0 * lines + 500.0 * 4 * 17)


def test_docking_when_given_brings_renewals_forward_and_says_where_it_cannot(root: Path, row: dict[str, Any]) -> None:
    told = plan_of(root, options_of(None, "5y", []))
    before, after = (item["ropes"][0]["groups"][0] for item in (row, told))
    assert told["plan"]["docking"] == pytest.approx(5.0, rel=1e-4)
    assert all(after["sets"][name] >= before["sets"][name] for name in ("p10", "p50", "p90"))
    assert 0.0 < after["reaches_docking"] < 1.0
    assert "does not reach a docking in" in "\n".join(plan_lines(told))


def test_years_when_given_change_the_number_of_sets(root: Path) -> None:
    told = plan_of(root, options_of(1.0, "", []))
    assert told["plan"]["ship_life"] == pytest.approx(1.0)
    assert told["ropes"][0]["groups"][0]["sets"]["p10"] == 1.0
    assert told["ropes"][0]["groups"][0]["tail"]["sets"]["p50"] == 1.0


def test_plan_when_the_case_has_a_table_takes_it_and_an_option_wins(tmp_path: Path) -> None:
    root = study(tmp_path, plan='[plan]\nship_life = "20 years"\nprice_per_kg = 10\nspares = 1\n')
    told = plan_of(root, {"price_per_line": "3000"})
    assert told["plan"]["ship_life"] == pytest.approx(20.0, rel=1e-4)
    assert told["plan"]["spares"] == 1
    assert "price_per_kg" not in told["plan"]
    sources = {item["key"]: item["source"] for item in told["used"] if item["owner"] == "plan"}
    assert sources["ship_life"].startswith("case.toml:")
    assert sources["price_per_line"] == "option price_per_line"


def test_plan_when_a_new_rope_is_finished_says_that_there_is_no_end(tmp_path: Path) -> None:
    # a highest tension above the strength in every tenth draw or more: those draws are finished when new
    root = study(tmp_path, ('amplitude = "6.5 %LDBF"', 'amplitude = "6.5 %LDBF", highest = "95 %LDBF"'))
    told = plan_of(root)
    group = told["ropes"][0]["groups"][0]
    assert group["finished_when_new"] > 0.1
    assert group["sets"]["p90"] is None
    text = "\n".join(plan_lines(told))
    assert "finished when new in" in text
    assert "no end" in text


def test_least_when_medians_tie_goes_on_to_the_rest_of_the_band() -> None:
    def rope(letter: str, less: float | None, p90: float | None = 9.0) -> dict[str, Any]:
        return {"letter": letter, "kg": {"ropes": {"p10": 1.0, "p50": 4.0, "p90": p90}}, "less_than_board": less}

    assert least([rope("A", None), rope("B", 0.6)]) == "B"
    assert least([rope("A", None), rope("B", 0.4)]) == "A"
    assert least([rope("A", None, None), rope("B", 0.1)]) == "B"


def test_least_when_nothing_has_an_end_is_none() -> None:
    assert least([{"letter": "A", "kg": {"ropes": {"p50": None}}}, {"letter": "B", "not_planned": "x"}]) is None
    assert "No rope of this study" in in_short({"ropes": [], "least": None})


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ({"ship_life": "0 years"}, "a ship's life more than 0 and at most 60 years"),
        ({"ship_life": "-5 years"}, "a ship's life more than 0"),
        ({"ship_life": "nan years"}, "a number followed by its unit"),
        ({"docking": "30y"}, "at most the ship's life, 25 years"),
        ({"docking": "5"}, "write the unit"),
        ({"docking": "5 knots"}, "needs"),
        ({"price_per_kg": "-1"}, "a price from 0"),
        ({"price_per_kg": "14 EUR"}, "a number"),
        ({"price_per_kg": "1", "price_per_line": "1"}, "one price of the rope"),
        ({"spares": "-1"}, "0 or more"),
        ({"spares": "two"}, "a whole number"),
        ({"tail_interval": "0y"}, "a time from 0.1 to 30 years"),
        ({"discount": "3 %"}, "a known key"),
    ],
)
def test_options_when_they_cannot_be_are_refused(root: Path, options: dict[str, str], said: str) -> None:
    with pytest.raises(InputError) as refused:
        plan_of(root, options)
    assert said in refused.value.render()


@pytest.mark.parametrize("text", ["price", "=3", ""])
def test_options_when_they_are_no_pairs_are_refused(text: str) -> None:
    with pytest.raises(InputError, match="KEY=VALUE"):
        options_of(None, "", [text])


def test_bands_when_ropes_are_told_follow_the_lives_of_their_draws(row: dict[str, Any]) -> None:
    kg = row["ropes"][0]["kg"]["ropes"]
    assert kg["p10"] <= kg["p50"] <= kg["p90"]
    assert np.isfinite([kg["p10"], kg["p50"], kg["p90"]]).all()


def test_text_when_there_are_several_groups_says_whose_years_they_are(told_study: Path) -> None:
    # A whole rope ends with its first group in each draw: no later than any group alone.
    row = plan_of(told_study, samples=256)
    text = " ".join(" ".join(plan_lines(row)).split())
    assert "Years are those of each group by itself; run tells the whole rope" in text
    whole = row["results"][0]["life"]["p50"]
    assert all(whole <= group["life"]["p50"] for group in row["ropes"][0]["groups"])
