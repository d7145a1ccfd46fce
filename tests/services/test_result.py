"""The stored result: its keys, its sums, its digest, and how it is kept."""

import json
import math

import pytest

from linewright.services.answer import answer_lines
from linewright.services.assess import assess_study, text_of
from linewright.services.demo import write_demo
from linewright.services.result import digest


@pytest.fixture(scope="module")
def study(tmp_path_factory: pytest.TempPathFactory):
    """The demo study with few samples."""
    folder = tmp_path_factory.mktemp("demo") / "study"
    assert write_demo(folder)
    case = folder / "case.toml"
    case.write_text(case.read_text(encoding="utf-8").replace("samples = 2048", "samples = 256"), encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def result(study):
    """Its result."""
    return assess_study(study)


def test_result_when_written_then_it_has_the_promised_keys(result) -> None:
    assert result["schema"] == "linewright.result/1"
    for rope in result["ropes"]:
        assert {"name", "life", "not_assessed", "shares", "lines", "states"} <= set(rope)
        if rope["life"] is not None:
            assert {"p10", "p50", "p90", "beyond", "central", "ends_by"} <= set(rope["life"])
            assert 0.0 < rope["life"]["p10"] <= rope["life"]["p50"] <= rope["life"]["p90"] <= 30.0
        for line in rope["lines"]:
            assert {"name", "life", "ends_by", "ends_at", "tail"} <= set(line)
        for state in rope["states"]:
            assert {"name", "line", "berth", "core_temperature", "core_temperature_mean", "skin_temperature",
                    "rise_by_source", "margin", "damage_per_year"} <= set(state)  # fmt: skip
    assert {"findings", "used", "stamp"} <= set(result)


def test_result_when_shares_and_rises_are_summed_then_they_close(result) -> None:
    sources = {"hysteresis", "bending", "sliding", "sun", "contact", "creep", "sky", "evaporation", "rest"}
    for rope in result["ropes"]:
        assert math.fsum(rope["shares"].values()) == pytest.approx(1.0, abs=1e-12)
        for state in rope["states"]:
            assert set(state["rise_by_source"]) == sources
            rise = state["core_temperature_central"] - state["air_temperature"]
            assert math.fsum(state["rise_by_source"].values()) == pytest.approx(rise, abs=1e-6)


def test_result_when_a_rope_is_outside_its_tests_then_it_has_no_life_but_a_reason(result) -> None:
    refused = [rope for rope in result["ropes"] if rope["card"] == "polyester-parallel-strand"]

    assert len(refused) == 2
    for rope in refused:
        assert rope["life"] is None
        assert rope["not_comparable"].startswith("not comparable: D/d 5.4")
    assert all(item["rope"] != refused[0]["name"] for item in result["comparisons"])


def test_result_when_stored_then_it_is_json_without_nan_and_its_digest_is_its_body(result, study) -> None:
    folder = study / "results"
    stored = json.loads(next(folder.glob("*/result.json")).read_text(encoding="utf-8"))

    assert "NaN" not in text_of(stored)
    assert "Infinity" not in text_of(stored)
    assert stored["stamp"]["digest"] == digest(stored)
    assert digest({**stored, "title": "another"}) != digest(stored)


def test_result_when_run_twice_then_the_body_is_the_same_and_both_are_kept(study, result) -> None:
    again = assess_study(study)

    assert again["stamp"]["digest"] == result["stamp"]["digest"]
    assert len(list((study / "results").glob("*/samples.npz"))) >= 1


def test_used_when_listed_then_every_datum_has_basis_source_and_band(result) -> None:
    keys = {row["key"] for row in result["used"]}

    assert {"bending_reference_cycles", "creep_rate_constant", "friction_on_steel", "payout_spread", "bend_radius",
            "ship_design_break_load", "months"} <= keys  # fmt: skip
    for row in result["used"]:
        assert row["basis"], row
        assert row["source"], row
        if row["basis"] == "given":
            assert row["source"].startswith("case.toml:"), row
            assert not row["source"].endswith(":0"), row


def test_answer_when_printed_then_it_is_short_and_says_the_caution(result) -> None:
    lines = answer_lines(result)

    assert len(lines) <= 28
    assert max(len(line) for line in lines if not line.startswith("Kept")) <= 140
    text = "\n".join(lines)
    assert "A parted line kills" in text
    assert "not comparable: D/d 5.4" in text
    assert "above WLL" in text
    for rope in result["ropes"]:
        assert rope["name"] in text
