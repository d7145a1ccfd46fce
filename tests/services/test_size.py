"""Sizes told: a candidate's numbers are those of `compare` for the same rope, the winner's rule, tails."""

from pathlib import Path
from typing import Any

import pytest

from linewright.services.compare import compare_of
from linewright.services.size import Wanted, outlived, size_of
from linewright.services.size_text import in_short, size_lines

Row = dict[str, Any]
SMALL = """
format = 1
title = "One berth"
[ship]
design_break_load = "900 kN"
[spread]
samples = 256
[[line]]
name = "springs"
rope = "hmpe-standard-12-strand"
diameter = "36 mm"
inboard_length = "10 m"
outboard_length = "35 m"
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
"""  # invented
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


def test_ropes_have_no_letters_that_run_gives_to_others(row: Row) -> None:
    assert all("letter" not in one for one in row["candidates"])
    text = "\n".join(size_lines(row))
    assert "A is the rope" not in text
    assert not [
        line for line in text.splitlines() if line.startswith(("! A ", "! B ", " A ", " B ")) and "parted" not in line
    ]


def test_cards_made_as_tails_are_no_lines_unless_named(tmp_path: Path) -> None:
    # The study has no tail of its own, so that only the card can say what it is made for.
    found = size_of(study(tmp_path))
    assert "polyester-tail-double-braid" not in {one["card"] for one in found["candidates"]}
    named = size_of(tmp_path, Wanted(ropes=("polyester-tail-double-braid",)))
    assert {one["card"] for one in named["candidates"]} == {"polyester-tail-double-braid"}


def test_winner_that_rejected_ropes_outlive_says_so() -> None:
    def one(name: str, status: str, low: float) -> Row:
        return {"name": name, "status": status, "life": {"p10": low, "p50": 2 * low}}

    rows = [one("first", "passes", 2.0), one("a", "rejected", 3.0), one("b", "rejected", 5.0),
            one("c", "rejected", 1.0), one("d", "passes", 9.0)]  # fmt: skip
    assert outlived(rows) == ["b", "a"]
    assert outlived(rows[1:]) == []


def test_need_of_a_life_says_by_how_much_and_what_lengthens_it(told_study: Path) -> None:
    told = size_of(told_study, Wanted(ropes=("lcp-12-strand",), years=9.0))
    now = told["candidates"][0]["life"]["p10"]
    assert told["needs"][0] == f"a life P10 of 9 years (now {now:.1f}, {100 * (1 - now / 9):.0f} % less)"
    assert "bend radius" in told["needs"][1]
    assert "Nearest is LCP, 12-strand, 42 mm, but for life" in in_short(told)


EVIDENCE = """
[[evidence]]
line = "springs"
in_service_at = "4 years"
doubt = "20 %"
"""


def study(folder: Path, more: str = "") -> Path:
    """The study of one berth without a tail (invented), 1024 draws."""
    (folder / "case.toml").write_text(SMALL.replace("samples = 256", "samples = 1024") + more, encoding="utf-8")
    return folder


def test_evidence_weighs_the_draws_of_the_case_and_stands_first(tmp_path: Path) -> None:
    rope = ("hmpe-standard-12-strand",)
    bare, known = (size_of(study(tmp_path, more), Wanted(ropes=rope)) for more in ("", EVIDENCE))
    assert (bare["samples"], known["samples"]) == (256, 1024)
    first = size_lines(known)[0]
    assert first.startswith("Weighted by evidence: still good at 4 years")
    assert not size_lines(bare)[0].startswith("Weighted")
    lives = [next(one["life"]["p50"] for one in found["candidates"] if one["life"]) for found in (bare, known)]
    assert lives[1] > lives[0]  # still good after four years: short lives weigh less


def test_when_no_rope_passes_what_would_have_to_change_is_told(told_study: Path) -> None:
    told = size_of(told_study, Wanted(ropes=("polyester-tail-double-braid",)))
    assert told["winner"] is None
    assert told["needs"]
