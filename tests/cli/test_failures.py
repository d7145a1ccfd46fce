"""How the command line ends when something is wrong: code, message, and nothing half-written."""

import re
import subprocess
import sys
from collections.abc import Callable
from importlib import resources
from pathlib import Path

import pytest

from linewright import cli

DEMO = (resources.files("linewright.services") / "demo_study" / "case.toml").read_text("utf-8")
TYPED = 'mean = "21 %LDBF"\namplitude = "8 %LDBF"\namplitude_kind = "significant"\nperiod = "80 s"'
SMALL = (
    re.sub(r"log = .*", TYPED, DEMO)
    .replace("samples = 2048", "samples = 256")
    .replace('"hot-typical-year"', '"hot-harbour-monthly"')
    .replace('"cold-typical-year"', '"cold-quay-monthly"')
)
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


def test_check_when_all_is_right_ends_with_zero(tmp_path: Path, run: Run) -> None:
    (tmp_path / "case.toml").write_text(SMALL, "utf-8")

    code, text = run("check", tmp_path)

    assert (code, "No problems found" in text) == (0, True)


def test_check_when_the_case_is_wrong_ends_with_two_and_lists_all(tmp_path: Path, run: Run) -> None:
    wrong = SMALL.replace('"43 %LDBF"', '"43 %"').replace('"40 h"', '"-40 h"').replace('"12 m"', "12")
    (tmp_path / "case.toml").write_text(wrong, "utf-8")

    code, text = run("check", tmp_path)

    assert code == 2
    assert "3 of 3 problems, all listed" in text
    assert "Traceback" not in text


def test_check_when_a_card_is_wrong_ends_with_three(tmp_path: Path, run: Run) -> None:
    (tmp_path / "case.toml").write_text(SMALL, "utf-8")
    (tmp_path / "cards" / "ropes").mkdir(parents=True)
    (tmp_path / "cards" / "ropes" / "mine.toml").write_text("format = 1\nformat = 1\n")

    code, text = run("check", tmp_path)

    assert (code, "mine.toml:2" in text) == (3, True)


def test_check_when_the_case_is_a_folder_ends_with_five(tmp_path: Path, run: Run) -> None:
    (tmp_path / "case.toml").mkdir()

    assert run("check", tmp_path)[0] == 5


def test_demo_when_a_file_is_in_the_way_ends_with_two(tmp_path: Path, run: Run) -> None:
    (tmp_path / "file").write_text("x")

    assert run("demo", "--into", tmp_path / "file")[0] == 2


def test_demo_when_it_cannot_be_written_ends_with_five(tmp_path: Path, run: Run) -> None:
    (tmp_path / "file").write_text("x")

    code, text = run("demo", "--into", tmp_path / "file" / "below")

    assert (code, "nothing was changed" in text) == (5, True)


# The limit is set inside the child, so that the test's own process keeps writing.
LIMITED = """
import resource, sys
resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))
sys.argv = ["linewright", *sys.argv[1:]]
from linewright import cli
cli.main()
"""


@pytest.mark.skipif(sys.platform == "win32", reason="Windows limits no file sizes")
def test_run_when_the_disk_is_full_keeps_the_results_it_had(tmp_path: Path) -> None:
    (tmp_path / "case.toml").write_text(SMALL, "utf-8")
    old = tmp_path / "results" / "20200101T000000Z-00000000"
    old.mkdir(parents=True)
    (old / "result.json").write_text("{}")
    before = {path: path.is_file() and path.read_bytes() for path in tmp_path.rglob("*")}

    done = subprocess.run(
        [sys.executable, "-B", "-c", LIMITED, "run", str(tmp_path)], capture_output=True, encoding="utf-8", check=False
    )

    assert done.returncode == 5, done.stderr
    assert "free some space" in done.stderr
    assert {path: path.is_file() and path.read_bytes() for path in tmp_path.rglob("*")} == before
