"""The progress line, and how a run ends that is stopped."""

import io
import sys
from pathlib import Path

import pytest

from linewright import cli, cli_progress
from linewright.services import jobs
from linewright.services.blocks import Progress


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def drawn(stream: io.StringIO, monkeypatch: pytest.MonkeyPatch, quiet: float) -> str:
    monkeypatch.setattr(sys, "stderr", stream)
    monkeypatch.setattr(cli_progress, "QUIET_SECONDS", quiet)
    line = cli_progress.ProgressLine()
    line.show(Progress(1, 4, None))
    line.show(Progress(2, 4, 7.0))
    line.close()
    return stream.getvalue()


def test_line_when_a_run_takes_its_time_on_a_terminal_says_how_far_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    text = drawn(Terminal(), monkeypatch, -1.0)

    assert "block 2 of 4" in text
    assert "about 7 s left" in text


def test_line_when_a_run_is_quick_is_not_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    assert drawn(Terminal(), monkeypatch, 60.0) == ""


def test_line_when_stderr_is_a_pipe_is_not_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    assert drawn(io.StringIO(), monkeypatch, -1.0) == ""


@pytest.mark.parametrize(("option", "advice"), [("--keep", "goes on from there"), ("--no-keep", "from the start")])
def test_run_when_stopped_by_hand_ends_with_130_and_says_how_to_go_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], option: str, advice: str
) -> None:
    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    (tmp_path / "case.toml").write_text("format = 1\n")
    monkeypatch.setattr(jobs, "assess_study", interrupted)
    monkeypatch.setattr(sys, "argv", ["linewright", "run", str(tmp_path), option])

    with pytest.raises(SystemExit) as ended:
        cli.main()

    said = capsys.readouterr().err
    assert ended.value.code == 130
    assert "was stopped" in said
    assert advice in said
