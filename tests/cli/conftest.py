"""What tests of commands share."""

import sys
from collections.abc import Callable

import pytest

from linewright import cli

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """A command as a user calls it: exit code, output, errors."""

    def command(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["linewright", *map(str, words)])
        with pytest.raises(SystemExit) as ended:
            cli.main()
        shown = capsys.readouterr()
        return int(ended.value.code or 0), shown.out, shown.err

    return command
