"""`why`, `explain`, `page` and the stale mark of `check` on the command line."""

import html
import json
import shutil
from collections.abc import Callable
from importlib import resources
from pathlib import Path

import pytest

DEMO = resources.files("linewright.services") / "demo_study"
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture(scope="module")
def study(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's files with few samples, not run yet."""
    folder = tmp_path_factory.mktemp("telling") / "study"
    folder.mkdir()
    for part in DEMO.iterdir():
        if part.name.endswith((".toml", ".csv")):
            text = part.read_text(encoding="utf-8").replace("samples = 2048", "samples = 256")
            (folder / part.name).write_text(text, encoding="utf-8")
    return folder


def test_commands_when_used_in_turn_run_once_and_answer(study: Path, run: Run) -> None:
    code, out, err = run("why", study, "margin.gale")
    assert code == 0
    assert "No result yet; running the study." in err
    assert out.startswith("margin: ")

    code, out, err = run("why", study)
    assert (code, err) == (0, "")
    assert "core.swell" in out

    code, out, _ = run("why", study, "life", "--json")
    assert (code, json.loads(out)["unit"]) == (0, "years")

    code, out, _ = run("explain", study)
    assert (code, " ".join(out.split()).count("What would change it most")) == (0, 6)

    code, out, _ = run("page", study, "--for", "own")
    assert code == 0
    assert Path(out.removeprefix("Wrote ").strip()).name == "answer-own.html"
    assert len(list((study / "results").glob("*/result.json"))) == 1


def test_why_when_the_key_is_wrong_ends_with_two(study: Path, run: Run) -> None:
    run("why", study)
    code, _, err = run("why", study, "core.swel")
    assert (code, "did you mean core.swell" in err) == (2, True)


def test_stale_when_the_case_changed_is_said_by_all(study: Path, run: Run) -> None:
    run("why", study)
    case = study / "case.toml"
    case.write_text(case.read_text(encoding="utf-8") + "\n# later\n", encoding="utf-8")

    assert "Out of date" in run("check", study)[1]
    assert "Out of date" in run("why", study, "life")[2]
    assert run("explain", study)[1].startswith("Out of date")
    page = Path(run("page", study)[1].removeprefix("Wrote ").strip())
    assert "Out of date" in page.read_text(encoding="utf-8")


@pytest.mark.parametrize("broken", ["case", "card"])
def test_result_when_todays_case_or_card_has_an_error_is_told_as_it_was_kept(
    study: Path, run: Run, tmp_path: Path, broken: str
) -> None:
    run("why", study)
    copy = tmp_path / "study"
    shutil.copytree(study, copy)
    if broken == "case":
        (copy / "case.toml").write_text("format = 1\ntitel = 3\n", encoding="utf-8")
    else:
        (copy / "cards" / "ropes").mkdir(parents=True)
        (copy / "cards" / "ropes" / "bad.toml").write_text("format = 1\nkind = 'rope'\n", encoding="utf-8")
    note = "Today's case or cards have an error"

    assert run("check", copy)[0] in (2, 3)
    for word in ("explain", "show"):
        code, out, _ = run(word, copy)
        assert (code, out.startswith(note)) == (0, True)
    code, out, wrong = run("page", copy)
    assert (code, wrong.startswith(note)) == (0, True)
    page = html.unescape(Path(out.removeprefix("Wrote ").strip()).read_text(encoding="utf-8"))
    assert note in page
