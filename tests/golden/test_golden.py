"""Stored examples of every format number: what was written once is read for ever."""

import json
import shutil
from pathlib import Path

from linewright.cards.loader import load_shelf
from linewright.case.form import read_case
from linewright.services.answer import answer_lines
from linewright.services.kept import newest_result
from linewright.services.result import digest
from linewright.services.show import show_lines

HERE = Path(__file__).resolve().parent


def test_case_1_when_read_then_it_says_what_it_said() -> None:
    case = read_case(HERE / "case-1.toml")

    assert case.title == "Stored example of format 1 (invented)"
    assert [state.name for state in case.berths[0].states] == ["calm", "ships", "swell"]
    assert case.lines[0].tail is not None
    assert case.lines[0].contacts[0].data["bend_radius"].value == 0.178


def test_card_1_when_read_then_it_stands_on_its_fibre(tmp_path: Path) -> None:
    (tmp_path / "ropes").mkdir()
    shutil.copy(HERE / "card-1.toml", tmp_path / "ropes" / "stored.toml")
    rope = load_shelf(tmp_path).rope("stored")

    assert rope.data["design_break_force"].value == 1.12e6
    assert rope.data["density"].owner == "hmpe-standard"


def test_result_1_when_read_then_it_is_answered_and_shown(tmp_path: Path) -> None:
    result = json.loads((HERE / "result-1.json").read_text(encoding="utf-8"))

    assert result["schema"] == "linewright.result/1"
    assert result["stamp"]["digest"] == digest(result)
    assert any("A parted line kills" in line for line in answer_lines(result))

    kept = tmp_path / "results" / "20260101T000000Z-00000000"
    kept.mkdir(parents=True)
    shutil.copy(HERE / "case-1.toml", tmp_path / "case.toml")
    shutil.copy(HERE / "result-1.json", kept / "result.json")
    assert show_lines(newest_result(tmp_path))[0].startswith(result["title"])
    assert show_lines({**result, "a key of later days": 1})
