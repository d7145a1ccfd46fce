"""Changes beside the study as it is: rows, order, what cannot be told, text."""

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from linewright.assessment.evidence import another
from linewright.base.errors import InputError
from linewright.services.trial import assessed, assessed_new, read_given
from linewright.services.what_if import what_if_of
from linewright.services.what_if_text import in_short, what_if_lines

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


@pytest.fixture(scope="module")
def row(told_study: Path) -> dict[str, Any]:
    return what_if_of(told_study)


def test_rows_when_a_study_is_read_are_all_that_apply(row: dict[str, Any]) -> None:
    assert row["schema"] == "linewright.what-if/1"
    names = {item["name"] for item in (*row["changes"], *row["not_told"])}
    berths = ("Equator Terminal", "Swell Jetty", "North Quay")
    assert names == {
        *(f"without {berth}" for berth in berths), *(f"{berth} twice as often" for berth in berths),
        *(f"climate +{rise} K" for rise in range(1, 5)), "no tails", "tails half as long", "tails twice as long",
        "inboard length -25 %", "inboard length -50 %", "payout spread doubled", "rope +2 mm",
        "steady pull -10 %", "bend radius x 1.5", "roughness halved", "in the shade",
    }  # fmt: skip


def test_rows_when_ordered_begin_with_the_largest_effect(row: dict[str, Any]) -> None:
    moved = [abs(math.log(item["ratio"]["p50"])) for item in row["changes"]]
    large = [value for value in moved if value > 0.005]
    assert large == sorted(large, reverse=True)


def test_rope_when_size_would_reject_it_is_marked_and_not_advised(row: dict[str, Any]) -> None:
    # By hand: 1230 kN at 42 mm; at 44 mm (44/42)^2 of it = 1350 kN = 112.5 % of 1200 kN, above 105 %.
    (item,) = (item for item in row["changes"] if item["kind"] == "size")
    assert item["too_strong"].startswith("LDBF 112.5 %: above 105 %SDMBL")
    text = "\n".join(what_if_lines(row))
    assert "rope +2 mm *" in text
    assert "* rope +2 mm: LDBF 112.5 %" in text
    best = {**row, "changes": [item, *(one for one in row["changes"] if one["ratio"]["p50"] < 1.0)]}
    assert "rope +2 mm" not in in_short(best)


def test_samples_when_there_is_evidence_are_those_of_the_case(tmp_path: Path) -> None:
    (tmp_path / "case.toml").write_text(SMALL.replace("samples = 256", "samples = 512") + KNOWN, encoding="utf-8")
    row = what_if_of(tmp_path)
    assert row["samples"] == 512
    assert what_if_lines(row)[0].startswith("Weighted by evidence")


def test_row_when_a_berth_is_left_out_tells_no_state_of_it(row: dict[str, Any]) -> None:
    item = next(item for item in row["changes"] if item["name"] == "without Equator Terminal")
    assert "Equator Terminal" not in item["core"]["state"]
    assert "Equator Terminal" not in item["margin"]["state"]
    assert item["core"]["p90"] < row["as_it_is"]["core"]["p50"]


def test_row_when_as_it_is_is_what_a_run_says(row: dict[str, Any], told_result: dict[str, Any]) -> None:
    board = told_result["ropes"][0]
    for name in ("p10", "p50", "p90"):  # the luck in a record is drawn behind the other ropes' data: not the same
        assert row["as_it_is"]["life"][name] == pytest.approx(board["life"][name], rel=0.01)
    assert row["as_it_is"]["life"]["p50"] == row["ropes"][0]["life"]["p50"]


def test_ratio_when_paired_is_narrower_than_lives(row: dict[str, Any]) -> None:
    # By hand: of a study whose life spans a factor of five, one more kelvin in the air moves every draw alike.
    item = next(item for item in row["changes"] if item["name"] == "climate +1 K")
    life, ratio = row["as_it_is"]["life"], item["ratio"]
    assert math.log(ratio["p90"] / ratio["p10"]) < 0.2 * math.log(life["p90"] / life["p10"])


def test_text_when_told_fits_and_says_how(row: dict[str, Any]) -> None:
    lines = what_if_lines(row)
    text = "\n".join(lines)
    assert all(len(line) <= 120 for line in lines)
    assert "the dew point keeps the relative humidity" in text
    assert "the ship moves as before" in text
    assert lines[1].startswith("Longest life: ")


def small(folder: Path, *changes: tuple[str, str]) -> Path:
    """The study of one berth, changed."""
    text = SMALL
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    (folder / "case.toml").write_text(text, encoding="utf-8")
    return folder


def test_text_when_a_change_cannot_be_told_says_why(tmp_path: Path) -> None:
    row = what_if_of(small(tmp_path, ("36 h", "200 h")))
    (item,) = row["not_told"]
    assert item["name"] == "Swell berth twice as often"
    assert "do not fit into a year" in "\n".join(what_if_lines(row))
    assert not [item for item in row["changes"] if item["kind"] == "berth left out"]


def test_text_when_the_rope_gets_no_life_tells_core_and_margin_only(tmp_path: Path) -> None:
    row = what_if_of(small(tmp_path, ("200 mm", "100 mm")))  # D/d 5.6: tests end at 8
    assert row["as_it_is"]["life"] is None
    assert "no change has a ratio: not comparable: D/d" in in_short(row)
    assert row["as_it_is"]["core"]["p50"] > 0.0
    assert all("not comparable: D/d" in item["why"] for item in row["not_told"])
    assert "no life" in "\n".join(what_if_lines(row))


def test_climate_when_four_kelvin_warmer_warms_the_core_by_about_as_much(row: dict[str, Any]) -> None:
    # the film, sun and work stay: a rise above the air that is the same to first order; the hours of a typical year too
    item = next(item for item in row["changes"] if item["name"] == "climate +4 K")
    assert item["core"]["p50"] - row["as_it_is"]["core"]["p50"] == pytest.approx(4.0, abs=0.6)


PAST = """
[[history]]
name = "first trade"
lasted = "4 years"
[[history.berth]]
name = "Old berth"
climate = "swell-coast-monthly"
calls_per_year = 20
hours_per_call = "30 h"
[[history.berth.state]]
name = "swell"
share = "100 %"
tension.springs = { mean = "20 %LDBF", amplitude = "6 %LDBF", amplitude_kind = "significant", period = "13 s" }
"""  # invented
KNOWN = """
[[evidence]]
line = "springs"
in_service_at = "4 years"
doubt = "20 %"
"""


def with_text(folder: Path, more: str) -> Path:
    (folder / "case.toml").write_text(SMALL + more, encoding="utf-8")
    return folder


def test_new_when_the_rope_has_a_history_is_the_new_rope_weighted_by_what_is_known(tmp_path: Path) -> None:
    whole = assessed_new(read_given(with_text(tmp_path, PAST + KNOWN)))
    given = read_given(with_text(tmp_path, ""))
    drawn = assessed(given)
    bare = assessed(given, another(drawn.scores, given.case.samples, given.case.seed))
    # the same laws, and not the luck of the rope that is known
    assert (whole.ropes[0].ages == bare.ropes[0].ages).all()
    assert whole.weights.std() > 0.0
    short = whole.ropes[0].ages < np.median(bare.ropes[0].ages)
    assert (
        whole.weights[short].mean() < whole.weights[~short].mean()
    )  # still good after four years: short lives weigh less


def test_text_when_the_rope_has_a_history_says_what_lives_are(tmp_path: Path) -> None:
    row = what_if_of(with_text(tmp_path, PAST + KNOWN))
    text = "\n".join(what_if_lines(row))
    assert "Lives are those of new ropes on today's trade" in text
    assert text.startswith("Weighted by evidence: still good at 4 years")
    assert row["known"]["effective"] < row["samples"]


def test_new_when_the_rope_has_no_history_is_the_assessment_itself(told_study: Path) -> None:
    given = read_given(told_study, 256)
    given = given.with_case(replace(given.case, compared=()))
    whole = assessed_new(given)
    assert whole.case.past == ()
    assert (whole.weights == 1.0).all()


def test_row_when_lives_are_cut_off_and_heat_does_not_last_says_so() -> None:
    ratio = {"p10": 0.5, "p50": 1.0, "p90": 250.0, "bounds": {"p10": "at most", "p50": "open", "p90": "at least"}}
    life = {"p10": 4.0, "p50": 8.0, "p90": 30.0, "ends_by": "bending"}
    core = {"is_sustainable": False, "p50": 144.0, "p90": 144.0}
    item = {"name": "n", "kind": "size", "life": life, "ratio": ratio, "core": core, "margin": None}
    row = {"title": "t", "rope": "r", "samples": 256, "horizon": 30.0, "as_it_is": item, "changes": [item],
           "not_told": [], "is_new": False, "study": "s", "known": None, "ropes": [{"name": "r", "lines": []}],
           "findings": [], "used": []}  # fmt: skip
    text = "\n".join(what_if_lines(row))
    assert "?1.00 (<0.50 to >100)" in text
    assert " melting " in text  # a draw that heat takes there has no temperature
    assert "No change moves the median life" in text


def test_samples_when_wrong_are_refused(told_study: Path) -> None:
    with pytest.raises(InputError, match="256, 512"):
        what_if_of(told_study, 1000)
