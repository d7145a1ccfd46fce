"""Sizes told: a candidate's numbers are those of `compare` for the same rope, the winner's rule, tails."""

from pathlib import Path
from typing import Any

import pytest

from linewright.services.compare import compare_of
from linewright.services.size import Wanted, size_of
from linewright.services.size_text import in_short, size_lines

Row = dict[str, Any]
CARD = "hmpe-very-low-creep-12-strand"


@pytest.fixture(scope="module")
def row(told_study: Path) -> Row:
    return size_of(told_study, Wanted(ropes=(CARD, "lcp-12-strand", "polyester-parallel-strand"), line="springs"))


def test_candidate_has_the_numbers_of_run_for_the_same_rope(told_study: Path, row: Row) -> None:
    # `compare` takes the study's own ropes and draws: highest tension and D/d rest on no draw and must be equal; core,
    # margin and life are of 256 draws with other columns beside them, so near.
    (other,) = (rope for rope in compare_of(told_study, samples=256)["ropes"] if rope["card"] == CARD)
    mine = next(one for one in row["candidates"] if one["card"] == CARD and one["life"])
    found = {check["name"]: check for check in mine["checks"]}
    states = [state for state in other["states"] if state["line"] == "forward springs"]
    assert found["tension"]["value"] == pytest.approx(max(state["highest_tension"] for state in states), rel=1e-9)
    assert found["core"]["value"] == pytest.approx(max(s["core_temperature"]["p90"] for s in states), abs=2.0)
    assert found["margin"]["value"] == pytest.approx(min(s["margin_band"]["p10"] for s in states), rel=0.1)
    (life,) = (line["life"] for line in other["lines"] if line["name"] == "forward springs")
    assert mine["life"]["p50"] == pytest.approx(life["p50"], rel=0.25)


def test_demo_rejects_what_the_winter_gale_pulls_above_the_working_load(row: Row) -> None:
    # By hand: WLL 50 % of 1200 kN = 600 kN; the demo's gale goes above it on purpose with the rope on board.
    mine = next(one for one in row["candidates"] if one["card"] == CARD and one["life"])
    assert mine["status"] == "rejected"
    assert any("above WLL 600 kN" in reason for reason in mine["reasons"])


def test_rope_that_bends_below_its_tests_is_not_comparable_and_says_so_once(row: Row) -> None:
    one = next(
        one for one in row["candidates"] if one["card"] == "polyester-parallel-strand" and len(one["checks"]) > 1
    )
    assert (one["status"], one["life"]) == ("not comparable", None)
    assert sum("D/d" in reason for reason in one["reasons"]) == 1


def test_passing_ropes_stand_first_by_diameter_then_life(row: Row) -> None:
    passing = [one for one in row["candidates"] if one["status"] == "passes"]
    assert row["candidates"][: len(passing)] == passing
    keys = [(one["diameter"], -one["life"]["p50"]) for one in passing]
    assert keys == sorted(keys)
    assert row["winner"] == (0 if passing else None)


def test_tail_of_125_percent_passes_and_another_is_told_with_its_sizes(row: Row) -> None:
    # By hand: 1500 of 1200 kN is 125.0 %; of a card of 1500 kN at 80 mm, 82 mm has 1576 kN = 131 %: only 80 mm fits.
    (tail,) = row["tails"]
    assert (tail["check"]["verdict"], tail["check"]["value"]) == ("ok", pytest.approx(125.0))
    assert tail["fits"] == [pytest.approx(0.080)]
    bad = {**tail, "check": {**tail["check"], "verdict": "fails", "text": "tail 140.0 %: above 130 %SDMBL"}}
    told = {**row, "tails": [bad]}
    assert "of its card 80 mm would be in 125 to 130 %" in " ".join(" ".join(size_lines(told)).split())
    if row["winner"] is not None:
        assert "a tail fails its window" in in_short(told)


def test_when_no_rope_passes_what_would_have_to_change_is_told(told_study: Path) -> None:
    told = size_of(told_study, Wanted(ropes=("polyester-tail-double-braid",)))
    assert told["winner"] is None
    assert told["needs"]
