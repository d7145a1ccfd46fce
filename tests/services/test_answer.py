"""The answer for people: both margins, ends that are not reached, lines that fit, commands that can be copied."""

import sys
from pathlib import Path

import pytest

from linewright.services.answer import answer_lines, fit_title
from linewright.services.page import page
from linewright.services.program import command
from linewright.services.show import caution_lines, show_lines


def test_answer_when_printed_names_the_smallest_sustained_margin(told_result) -> None:
    state = min(told_result["ropes"][0]["states"], key=lambda row: row["margin_sustained"])
    text = " ".join(" ".join(answer_lines(told_result)).split())

    assert f"sustained margin {state['margin_sustained']:.1f} (" in text
    assert f"x mean {state['mean_tension'] / 1e3:.0f} kN" in text
    assert f"a sustained margin of {state['margin_sustained']:.1f}, below 1 in" in text
    assert "the creep law does not confirm it" in text
    assert "sustained margin" in page(told_result)


def test_show_when_printed_calls_the_column_by_its_name(told_result) -> None:
    assert any("sustained margin" in line for line in show_lines(told_result))


def test_cautions_when_listed_are_all_of_the_result_in_full(told_result) -> None:
    """The answer names four kinds and the command that lists the rest; each finding stands in the list once."""
    told_result["study"], told_result["kept"] = "my study", "my study/results/one"
    told_result["findings"] += [
        {"code": f"made-{n}", "severity": "caution", "text": f"doubt {n}", "about": "Quay, swell"} for n in range(6)
    ]
    more = [line for line in answer_lines(told_result) if "of caution:" in line]
    assert len(more) == 1
    assert more[0].endswith(command("show", "my study", "--cautions"))

    told_result["findings"].append({"code": "made", "severity": "refused", "text": "too weak", "about": "springs"})
    lines = " ".join(" ".join(caution_lines(told_result)).split())
    for item in told_result["findings"]:
        assert " ".join(item["text"].split()) in lines
    assert lines.startswith("A HMPE, standard grade")
    assert 0 < lines.index("x too weak springs") < lines.index("! ")
    assert "! doubt 5 Quay, swell" in lines
    assert not [line for line in caution_lines(told_result) if len(line) > 120]
    assert caution_lines({**told_result, "findings": []}) == ["no cautions and no notes"]


def test_cautions_when_of_several_ropes_and_lines_stand_once_with_their_letters(told_result) -> None:
    names = [rope["name"] for rope in told_result["ropes"]]
    told_result["findings"] = [
        {"code": "c", "severity": "caution", "text": "too tight", "about": f"{line}, {name}"}
        for line in ("springs", "breasts") for name in names[:2]
    ]  # fmt: skip
    assert caution_lines(told_result)[-2:] == ["! too tight", "    A B: springs; breasts"]


def test_show_when_printed_keeps_to_120_columns_and_every_number_by_its_name(told_result) -> None:
    rises = {f"source {n}": 1.5 + n for n in range(9)}
    told_result["ropes"][0]["states"][0]["rise_by_source"] = rises
    lines = show_lines(told_result)
    assert not [line for line in lines if len(line) > 120]
    for name, value in rises.items():
        assert any(f"{name} {value:+.1f}" in line for line in lines)


def test_show_when_a_state_is_of_a_sea_says_what_the_period_and_the_method_are(told_result) -> None:
    told_result["duty"]["states"][0]["from"] = "sea 1.6 m of 14 s"
    note = {"code": "spectral-method", "severity": "note", "about": "Quay, swell: springs", "text": "cycles by Dirlik"}
    told_result["findings"] += [{**note, "text": f"cycles by Dirlik {n}"} for n in range(10)]
    text = "\n".join(show_lines(told_result))

    assert "mean time of all cycles counted" in text
    assert "Quay, swell: springs: cycles by Dirlik 0" in text
    assert "and 2 more: " in text
    told_result["duty"]["states"] = [{**row, "from": "given, steady"} for row in told_result["duty"]["states"]]
    assert "mean time of all cycles" not in "\n".join(show_lines(told_result))


def test_answer_when_names_are_long_keeps_to_120_columns_and_the_diameter(told_result) -> None:
    rope = told_result["ropes"][1]
    rope["name"] = "HMPE, low-creep grade with a long name of its own, 12-strand braid, 42 mm"
    told_result["comparisons"][0]["rope"] = rope["name"]
    lines = answer_lines(told_result)

    assert not [line for line in lines if len(line) > 120]
    assert any(line.startswith(" B") and "..., 42 mm" in line for line in lines)


def test_fit_title_when_no_size_ends_it_cuts_the_end() -> None:
    assert fit_title("x" * 60) == "x" * 41 + "..."
    assert fit_title("short, 42 mm") == "short, 42 mm"


def test_fit_title_when_it_ends_in_a_cards_own_name_keeps_it_with_the_size() -> None:
    titles = [f"HMPE, standard grade, 12-strand, cert{number}, 40 mm" for number in (40, 41)]
    assert [fit_title(title)[-16:] for title in titles] == ["., cert40, 40 mm", "., cert41, 40 mm"]
    assert all(len(fit_title(title)) == 44 for title in titles)


def test_answer_when_the_end_is_not_reached_names_the_largest_loss(told_result) -> None:
    life = told_result["ropes"][0]["life"]
    life.update(p10=30.0, p50=30.0, p90=30.0)
    told_result["wide_because"] = []
    name, share = max(told_result["ropes"][0]["shares"].items(), key=lambda item: item[1])
    text = "\n".join(answer_lines(told_result))

    assert f"A, on board: not reached in 30 years; largest loss: {name} {100 * share:.0f} %" in text
    assert "ends by" not in text
    assert "Wide because:     not told: at least 90 of 100 draws live longer than 30 years" in text
    assert f"its end is not reached in 30 years; largest loss: {name}" in page(told_result)


def test_answer_when_the_rope_on_board_has_no_life_says_why_no_band_is_told(told_result) -> None:
    told_result["ropes"][0].update(life=None, not_comparable="not comparable: too sharp a bend")
    told_result["comparisons"] = []
    assert "Wide because:     not told: the rope on board gets no life" in answer_lines(told_result)


@pytest.mark.parametrize(
    ("found", "called", "shown"),
    [("/usr/bin/linewright", ".venv/bin/linewright", "linewright"),
     (None, ".venv/bin/linewright", ".venv/bin/linewright"),
     (None, "/a b/linewright", "'/a b/linewright'"),
     (None, "cli.py", "linewright")],
)  # fmt: skip
def test_command_when_shown_can_be_copied(monkeypatch, tmp_path, found, called, shown) -> None:
    monkeypatch.setattr("shutil.which", lambda name: found)
    monkeypatch.setattr(sys, "argv", [called])
    monkeypatch.setattr(sys, "executable", str(tmp_path / "python"))
    assert command("show", "my study") == f"{shown} show 'my study'"


def test_command_when_only_the_module_was_run_finds_the_program_beside_it(monkeypatch, tmp_path: Path) -> None:
    (tmp_path / ".venv" / "bin").mkdir(parents=True)
    (tmp_path / ".venv" / "bin" / "linewright").touch()
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("shutil.which", lambda name: None)
    monkeypatch.setattr(sys, "argv", ["cli.py"])
    monkeypatch.setattr(sys, "executable", str(tmp_path / ".venv" / "bin" / "python"))
    assert command("cautions") == ".venv/bin/linewright cautions"
