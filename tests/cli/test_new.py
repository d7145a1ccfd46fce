"""`linewright new`: asked on a terminal, piped, or from a file; nothing is written when an answer is wrong."""

import io
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from linewright import cli

Run = Callable[..., tuple[int, str, str]]


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    def command(stdin: io.StringIO, *words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "stdin", stdin)
        monkeypatch.setattr(sys, "argv", ["linewright", *map(str, words)])
        with pytest.raises(SystemExit) as ended:
            cli.main()
        code = ended.value.code or 0
        assert isinstance(code, int)
        return code, *capsys.readouterr()

    return command


def test_new_when_asked_on_a_terminal_takes_enter_as_kept_and_asks_again(tmp_path: Path, run: Run) -> None:
    answers = Terminal("My ship\n900\n900 kN\n" + "\n" * 30)

    code, said, wrong = run(answers, "new", tmp_path / "study")

    assert code == 0
    assert said.count("SDMBL, e.g. 900 kN [1200 kN]") == 2
    assert "This answer cannot be used." in wrong
    assert 'design_break_load = "900 kN"' in (tmp_path / "study" / "case.toml").read_text("utf-8")
    assert run(io.StringIO(), "check", tmp_path / "study")[0] == 0


def test_new_when_asked_what_is_meant_explains_and_asks_again(tmp_path: Path, run: Run) -> None:
    code, said, wrong = run(Terminal("My ship\n\n\n?\n?\n" + "\n" * 30), "new", tmp_path / "study")

    assert (code, wrong) == (0, "")
    assert said.count("Rope on board, one of ") == 3
    assert said.count("Polyester, 8-strand") == 2
    assert 'rope = "hmpe-standard-12-strand"' in (tmp_path / "study" / "case.toml").read_text("utf-8")


def test_new_when_answers_are_piped_takes_them_in_order(tmp_path: Path, run: Run) -> None:
    code, said, _ = run(io.StringIO("My ship\n\nbreasts\n"), "new", tmp_path / "study")

    text = (tmp_path / "study" / "case.toml").read_text("utf-8")
    assert (code, 'name = "breasts"' in text, "19 estimates kept" in said) == (0, True, True)


@pytest.mark.parametrize("how", ["piped", "file"])
def test_new_when_an_answer_is_wrong_ends_with_two_and_writes_nothing(tmp_path: Path, run: Run, how: str) -> None:
    (tmp_path / "answers.toml").write_text('design_break_load = "900"\n')
    words = ["--answers", tmp_path / "answers.toml"] if how == "file" else []

    code, _, wrong = run(io.StringIO("My ship\n900\n"), "new", tmp_path / "study", *words)

    assert code == 2
    assert "SDMBL" in wrong
    assert not (tmp_path / "study").exists()


def test_new_when_a_study_is_there_ends_with_two_before_it_asks(tmp_path: Path, run: Run) -> None:
    (tmp_path / "case.toml").write_text("mine")

    code, said, _ = run(Terminal(), "new", tmp_path)

    assert (code, said, (tmp_path / "case.toml").read_text()) == (2, "", "mine")
