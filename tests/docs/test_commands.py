"""The pages' commands run, and the outputs that the pages show are today's."""

import importlib.util
import re
import sys
from pathlib import Path
from types import ModuleType

import pytest

from linewright.base.sources import BASES
from linewright.services.words import CAUTIONS

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "docs"
LINK = re.compile(r"\[[^\]]*\]\(([^)#\s]+)(?:#[\w-]+)?\)")
CASE_ID = re.compile(r"\b([A-Z]{2,4}-\d\d)\b")
PAGES = sorted([ROOT / "README.md", *DOCS.rglob("*.md")])
HOW_TO = [page.relative_to(ROOT).as_posix() for page in sorted((DOCS / "how-to").glob("*.md"))]


@pytest.fixture(scope="module")
def replay() -> ModuleType:
    spec = importlib.util.spec_from_file_location("docs_replay", DOCS / "replay.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["docs_replay"] = module
    spec.loader.exec_module(module)
    return module


def stale(replay: ModuleType, name: str, folder: Path, with_demo: bool) -> list[str]:
    page = (ROOT / name).read_text(encoding="utf-8")
    found = replay.play(page, folder, with_demo)
    assert found, f"{name} shows no output"
    return [f"{item.shown}\nnow:\n{item.now}" for item in found if item.differs]


@pytest.mark.slow
@pytest.mark.parametrize("name", ["README.md", "docs/tutorial.md", *HOW_TO])
def test_commands_when_run_again_print_what_the_page_shows(replay: ModuleType, name: str, tmp_path: Path) -> None:
    differing = stale(replay, name, tmp_path, with_demo=False)
    assert not differing, "run python docs/replay.py --write\n" + "\n".join(differing)


@pytest.mark.slow
def test_demo_when_run_again_prints_what_the_readme_shows(replay: ModuleType, tmp_path: Path) -> None:
    differing = stale(replay, "README.md", tmp_path, with_demo=True)
    assert not differing, "run python docs/replay.py --write\n" + "\n".join(differing)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.relative_to(ROOT).as_posix())
def test_links_when_followed_lead_to_a_file(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    targets = [target for target in LINK.findall(text) if "://" not in target]
    broken = [target for target in targets if not (page.parent / target).exists()]
    assert not broken


def test_validation_ids_when_named_in_an_explanation_exist() -> None:
    cases = (ROOT / "src" / "linewright" / "validation" / "cases").rglob("*.toml")
    known = {
        match.group(1) for path in cases if (match := re.search(r'^id = "([^"]+)"', path.read_text("utf-8"), re.M))
    }
    named = {name for page in (DOCS / "explanation").glob("*.md") for name in CASE_ID.findall(page.read_text("utf-8"))}
    assert named
    assert named <= known


def test_shown_when_only_the_kept_folder_differs_is_the_same(replay: ModuleType) -> None:
    first, second = "Kept: a/results/20200101T000000Z-0123abcd\n", "Kept: a/results/20210101T000000Z-deadbeef\n"
    assert not replay.Shown(0, 0, first, second).differs
    assert replay.Shown(0, 0, first, second + "more").differs


def test_block_when_it_runs_something_else_is_refused(replay: ModuleType, tmp_path: Path) -> None:
    with pytest.raises(AssertionError, match="only run linewright"):
        replay.play("```sh\nrm -r study\n```\n", tmp_path)


def test_readme_when_it_quotes_the_answer_quotes_what_it_shows() -> None:
    page = (ROOT / "README.md").read_text(encoding="utf-8")
    shown = page.partition("```text\n")[2].partition("```")[0]
    section = page.partition("## How to read the answer")[2].partition("\n## ")[0]
    quoted = [words for words in re.findall(r"\*\*([^*]+)\*\*", section) if re.search(r"\d", words)]
    quoted = [words for words in quoted if not words.startswith("not reached")]

    assert len(quoted) >= 2
    assert [words for words in quoted if words not in shown] == []


def test_readme_when_it_lists_cautions_lists_those_of_the_command() -> None:
    page = (ROOT / "README.md").read_text(encoding="utf-8")
    section = page.partition("\n## Cautions\n")[2].partition("\n## ")[0]
    listed = [" ".join(text.split()) for text in section.strip().removeprefix("- ").split("\n- ")]
    assert listed == list(CAUTIONS)


def test_tutorial_when_it_shows_a_line_number_the_line_is_there() -> None:
    page = (DOCS / "tutorial.md").read_text(encoding="utf-8")
    match = re.search(r"case\.toml:(\d+) .*\n +read +(\".*?\")", page)
    assert match is not None
    case = page.partition("```toml\n")[2].partition("```")[0].splitlines()
    assert match.group(2) in case[int(match.group(1)) - 1]


def test_glossary_when_read_is_linked_and_holds_the_words_of_the_answer() -> None:
    words = (DOCS / "explanation" / "glossary.md").read_text(encoding="utf-8")
    for word in ("Draw", "Central run", "Laws unrelated", "EA", "Anchor test", "Presence", "Payout spread",
                 "Same load, same motion", "Sustained margin", *(f"`{basis}`" for basis in BASES)):  # fmt: skip
        assert f"**{word}**" in words or word in words
    assert "](docs/explanation/glossary.md)" in (ROOT / "README.md").read_text(encoding="utf-8")
