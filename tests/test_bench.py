"""The measurements of speed can be started; the figures themselves belong to no test."""

import json
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


def bench(*words: str) -> subprocess.CompletedProcess[str]:
    call = [sys.executable, "-m", "bench", *words]
    return subprocess.run(call, cwd=ROOT, capture_output=True, encoding="utf-8", check=False)


def test_bench_when_asked_lists_every_figure_with_what_it_measures() -> None:
    done = bench("--list")

    assert done.returncode == 0, done.stderr
    rows = dict(line.split(maxsplit=1) for line in done.stdout.splitlines())
    assert {"demo", "help", "rainflow", "life", "jobs", "scaling"} <= set(rows)
    assert all(len(text) > 20 for text in rows.values())


def test_bench_when_one_figure_is_asked_prints_a_line_of_json() -> None:
    done = bench("help")

    assert done.returncode == 0, done.stderr
    (line,) = done.stdout.splitlines()
    assert set(json.loads(line)) == {"name", "value", "unit", "goal", "against"}


def test_bench_when_a_figure_is_not_there_says_which_are() -> None:
    done = bench("speed")

    assert (done.returncode, "no figure speed; there are: demo" in done.stderr) == (2, True)


def test_bench_when_a_library_to_compare_with_is_absent_says_so_and_goes_on() -> None:
    code = "import sys; sys.modules['fipy'] = None; from bench.__main__ import main; sys.exit(main(['field_ratio']))"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, encoding="utf-8", check=False)

    assert (done.returncode, done.stdout) == (0, ""), done.stderr
    assert done.stderr == "field_ratio skipped: FiPy is not installed; pip install fipy\n"
