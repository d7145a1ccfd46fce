"""The commands that put choices side by side: text, JSON, and how they end on bad input."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

Run = Callable[..., tuple[int, str, str]]

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
inboard_length = "10 m"
outboard_length = "35 m"
tail = { rope = "polyester-tail-double-braid", length = "11 m" }
[[line.contact]]
card = "closed-chock"
bend_radius = "200 mm"
wrap = "50 deg"
[[berth]]
name = "Swell berth"
climate = "swell-coast-monthly"
calls_per_year = 25
hours_per_call = "36 h"
[[berth.state]]
name = "calm"
share = "60 %"
tension.springs = { mean = "32 %LDBF", amplitude = "0 kN" }
[[berth.state]]
name = "swell"
share = "40 %"
tension.springs = { mean = "20 %LDBF", amplitude = "6.5 %LDBF", amplitude_kind = "significant", period = "13 s" }
"""  # invented


@pytest.fixture(scope="module")
def study(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A study without a rope to compare."""
    folder = tmp_path_factory.mktemp("decide") / "study"
    folder.mkdir()
    (folder / "case.toml").write_text(CASE, encoding="utf-8")
    return folder


def test_compare_when_no_other_rope_is_there_says_so(run: Run, study: Path) -> None:
    code, out, _ = run("compare", study)
    assert (code, "there is nothing to compare it with" in out, "pair" in out) == (0, True, False)


def test_compare_when_asked_for_json_prints_the_pairs(run: Run, study: Path) -> None:
    code, out, _ = run("compare", study, "--rope", "hmpe-low-creep-12-strand, 36 mm", "--json")
    row = json.loads(out)
    assert (code, row["schema"], row["samples"]) == (0, "linewright.compare/1", 256)
    (pair,) = row["pairs"]
    assert (pair["rope"], pair["against"]) == ("B", "A")
    assert 0.0 <= pair["outlives"]["independent"] <= 1.0
    assert set(pair["estimates"]) <= set(pair["rests_on"])
    assert {item["key"] for item in row["used"]} >= set(pair["rests_on"])
    assert not list(study.glob("results/*"))


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--rope", "no-such-rope"], "There is no rope card 'no-such-rope'."),
        (["--rope", "hmpe-standard-12-strand, 4 m"], "a diameter from 5 mm to 500 mm"),
        (["--samples", "100"], "one of 256, 512, 1024, 2048, 4096, 8192"),
        (["--samples", "many"], "valid integer"),
    ],
)
def test_compare_when_input_is_wrong_ends_with_2_and_what_is_needed(
    run: Run, study: Path, words: list[str], said: str
) -> None:
    code, out, err = run("compare", study, *words)
    assert (code, out) == (2, "")
    assert said in err


def test_what_if_when_asked_for_json_prints_every_change(run: Run, study: Path) -> None:
    code, out, _ = run("what-if", study, "--json")
    row = json.loads(out)
    assert (code, row["schema"], row["samples"]) == (0, "linewright.what-if/1", 256)
    assert {item["kind"] for item in row["changes"]} >= {"climate", "tail", "inboard length", "payout spread"}
    for item in (row["as_it_is"], *row["changes"]):
        assert item["life"]["p10"] <= item["life"]["p50"] <= item["life"]["p90"]
    assert not list(study.glob("results/*"))


def test_what_if_when_samples_are_wrong_ends_with_2(run: Run, study: Path) -> None:
    code, out, err = run("what-if", study, "--samples", "1000")
    assert (code, out, "one of 256, 512" in err) == (2, "", True)


def test_plan_when_asked_for_json_prints_sets_and_kg(run: Run, study: Path) -> None:
    code, out, _ = run("plan", study, "--years", "20", "--docking", "2.5y", "--with", "price_per_kg=12", "--json")
    row = json.loads(out)
    assert (code, row["schema"], row["samples"]) == (0, "linewright.plan/1", 256)
    assert row["plan"]["docking"] == pytest.approx(2.5, rel=1e-3)
    (rope,) = row["ropes"]
    assert rope["cost"]["p50"] == pytest.approx(12.0 * rope["kg"]["ropes"]["p50"])
    assert "co2e" not in rope
    assert not list(study.glob("results/*"))


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--years", "0"], "a ship's life more than 0 and at most 60 years"),
        (["--years", "-3"], "a ship's life more than 0"),
        (["--years", "nan"], "a number followed by its unit"),
        (["--years", "ten"], "valid number"),
        (["--docking", "30y"], "at most the ship's life, 25 years"),
        (["--years", "4", "--docking", "5y"], "at most the ship's life, 4 years"),
        (["--docking", "5"], "write the unit"),
        (["--with", "price_per_kg=-1"], "a price from 0"),
        (["--with", "price_per_kg"], "KEY=VALUE"),
        (["--with", "prise_per_kg=1"], "did you mean price_per_kg?"),
        (["--samples", "7"], "one of 256, 512"),
    ],
)
def test_plan_when_input_is_wrong_ends_with_2_and_what_is_needed(
    run: Run, study: Path, words: list[str], said: str
) -> None:
    code, out, err = run("plan", study, *words)
    assert (code, out) == (2, "")
    assert said in err


@pytest.mark.parametrize("command", ["compare", "what-if", "plan"])
def test_command_when_there_is_no_study_says_how_to_begin(run: Run, tmp_path: Path, command: str) -> None:
    code, _, err = run(command, tmp_path / "nothing")
    assert (code, "There is no study" in err) == (2, True)
