"""The commands on cards, and what `run --for` prints."""

import json
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from linewright import cli

CASE = """
format = 1
title = "One berth"
[ship]
design_break_load = "1350 kN"
[spread]
samples = 256
[[line]]
name = "springs"
rope = "ours"
inboard_length = "10 m"
outboard_length = "35 m"
[[line.contact]]
card = "closed-chock"
bend_radius = "200 mm"
wrap = "50 deg"
[[berth]]
name = "Jetty"
climate = "swell-coast-monthly"
calls_per_year = 25
hours_per_call = "36 h"
[[berth.state]]
name = "swell"
share = "100 %"
tension.springs = { mean = "20 %LDBF", amplitude = "6.5 %LDBF", amplitude_kind = "significant", period = "13 s" }
"""
BASE = "hmpe-standard-12-strand"
Run = Callable[..., tuple[int, str]]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    def command(*words: object) -> tuple[int, str]:
        monkeypatch.setattr(sys, "argv", ["linewright", *map(str, words)])
        with pytest.raises(SystemExit) as ended:
            cli.main()
        code = ended.value.code or 0
        assert isinstance(code, int)
        return code, "".join(capsys.readouterr())

    return command


@pytest.fixture
def study(tmp_path: Path, run: Run) -> Path:
    """A study whose rope on board has a confidential certificate."""
    (tmp_path / "case.toml").write_text(CASE, "utf-8")
    values = ("--value", "ldbf=1383.7 kN", "--value", "diameter=44.31 mm", "--value", "mass=0.9873 kg/m")
    rest = ("--source", "certificate.pdf", "--page", 3, "--confidential")
    code, text = run("cards", "new", "ours", "--from", BASE, "--study", tmp_path, *values, *rest)
    assert (code, text.splitlines()[-1]) == (0, 'rope = "ours"')
    return tmp_path


def test_cards_when_listed_name_the_own_one(study: Path, run: Run) -> None:
    code, text = run("cards", "list", study)

    assert code == 0
    assert "own, confidential" in text
    assert "own" not in {word for line in run("cards", "list")[1].splitlines() for word in line.split()}


def test_card_when_shown_on_the_own_screen_says_everything(study: Path, run: Run) -> None:
    code, text = run("cards", "show", "ours", study)

    assert code == 0
    assert all(value in text for value in ("1383.7 kN", "44.31 mm", "0.9873 kg/m", "page 3", "confidential"))


def test_cards_when_compared_show_both_values(study: Path, run: Run) -> None:
    code, text = run("cards", "diff", BASE, "ours", study)

    assert code == 0
    assert "1230 kN" in text
    assert "1383.7 kN" in text


def test_card_when_unknown_ends_with_two_and_the_nearest_name(run: Run) -> None:
    code, text = run("cards", "show", BASE[:-1])

    assert (code, f"did you mean {BASE}?" in text) == (2, True)


def test_card_when_wrong_ends_with_three_and_its_line(study: Path, run: Run) -> None:
    path = study / "cards" / "ropes" / "ours.toml"
    assert run("cards", "check", path)[0] == 0
    path.write_text(path.read_text("utf-8").replace("1383.7 kN", "1383.7 t"), "utf-8")

    for target in (path, study):
        code, text = run("cards", "check", target)
        assert code == 3
        assert "ours.toml:" in text
        assert "write tf" in text


def test_card_when_it_cannot_be_written_ends_with_five(tmp_path: Path, run: Run) -> None:
    (tmp_path / "case.toml").write_text(CASE, "utf-8")
    (tmp_path / "cards").mkdir()
    (tmp_path / "cards" / "ropes").write_text("a file in the way", "utf-8")

    assert run("cards", "new", "ours", "--from", BASE, "--study", tmp_path)[0] == 5


def test_run_when_for_a_client_prints_no_confidential_digit(study: Path, run: Run) -> None:
    def digits(text: str) -> list[str]:
        return [value for value in ("1383", "1384", "44.31", "44 mm", "0.04431", "0.987") if value in text]

    for form in ((), ("--json",)):
        own = run("run", study, "--no-keep", *form)
        client = run("run", study, "--no-keep", *form, "--for", "client")
        assert (own[0], client[0]) == (0, 0)
        assert digits(own[1])
        assert digits(client[1]) == []
        assert "maker's data, on file" in client[1]


def test_run_when_for_a_client_keeps_the_full_result(study: Path, run: Run) -> None:
    code, text = run("run", study, "--json", "--for", "client")

    kept = json.loads(next((study / "results").glob("*/result.json")).read_text("utf-8"))
    assert code == 0
    assert json.loads(text)["made_for"] == "client"
    assert str(study) not in text
    assert kept["ropes"][0]["diameter"] == pytest.approx(0.04431)


def test_run_when_for_nobody_known_ends_with_two(study: Path, run: Run) -> None:
    assert run("run", study, "--for", "anyone")[0] == 2


def test_check_when_the_case_wins_over_a_certificate_says_so_instead_of_no_problems(study: Path, run: Run) -> None:
    assert "No problems found." in run("check", study)[1]
    (study / "case.toml").write_text(CASE.replace('rope = "ours"\n', 'rope = "ours"\ndiameter = "42 mm"\n'), "utf-8")

    code, text = run("check", study)

    assert (code, "No problems found." in text) == (0, False)
    assert "! springs, HMPE, standard grade, 12-strand, ours: the case wins over the card ours: " in text
    assert "diameter 42 mm, not 44.31 mm (measured)" in text
