"""The newest kept result and its mark when case or cards have changed."""

import json
import shutil
from importlib import resources
from pathlib import Path

import pytest

from linewright.base.errors import StorageError
from linewright.services.kept import check_note, digests_of, mark, newest, newest_folder, scene
from linewright.services.study import open_study


@pytest.fixture
def study(told_study: Path, tmp_path: Path) -> Path:
    """A copy of the study that may be changed."""
    return Path(shutil.copytree(told_study, tmp_path / "study"))


def note(study: Path) -> str:
    opened = open_study(study)
    return check_note(opened, *opened.read())


def test_check_note_when_nothing_changed_says_up_to_date(study: Path) -> None:
    assert note(study).endswith("up to date.")
    assert scene(study)[1] == ""


def test_check_note_when_there_is_no_result_says_so(study: Path) -> None:
    shutil.rmtree(study / "results")
    assert note(study) == "No result yet."


def test_check_note_when_the_case_changed_says_so(study: Path) -> None:
    case = study / "case.toml"
    case.write_text(case.read_text(encoding="utf-8") + "\n# more\n", encoding="utf-8")
    assert note(study).startswith(f"Out of date: since {newest_folder(study).name} the case")
    assert "the case changed" in note(study)
    assert "the case changed" in scene(study)[1]


CHANGED = [("contacts", "roller", "roller"), ("fibres", "hmpe-standard", "hmpe-standard-12-strand")]


@pytest.mark.parametrize(("kind", "name", "shown"), CHANGED)
def test_check_note_when_a_card_changed_names_it_alone(study: Path, kind: str, name: str, shown: str) -> None:
    shipped = resources.files("linewright.cards") / kind
    own = study / "cards" / kind
    own.mkdir(parents=True)
    for part in shipped.iterdir():
        if part.name == f"{name}.toml" or (part.name.endswith(".csv") and part.name.startswith("hmpe")):
            (own / part.name).write_text(part.read_text(encoding="utf-8"), encoding="utf-8")
    card = own / f"{name}.toml"
    card.write_text(card.read_text(encoding="utf-8") + "\n# changed\n", encoding="utf-8")

    assert f"card {shown} changed" in note(study)
    assert note(study).count("card ") == 1
    assert "the case" not in note(study)


def test_digests_when_a_card_is_named_with_its_kind_are_of_that_kind(told_scene) -> None:
    shelf = told_scene.shelf
    assert digests_of(shelf, "contacts/roller") == digests_of(shelf, "roller") == [shelf.contacts["roller"].digest]
    assert digests_of(shelf, "climates/roller") == []
    assert digests_of(shelf, "gone") == []


def test_newest_when_there_are_several_is_the_last(study: Path) -> None:
    first = newest_folder(study)
    later = first.with_name("29990101T000000Z-00000000")
    shutil.copytree(first, later)
    found = newest(open_study(study))
    assert found is not None
    assert found[0] == later


@pytest.mark.parametrize(
    "content",
    ["{", "[]", '{"schema": "other/1"}', '{"schema": "linewright.result/10"}', '{"schema": "linewright.result/1"}',
     "[" * 100000],
    ids=["cut", "list", "other", "later", "bare", "deep"],
)  # fmt: skip
def test_newest_when_damaged_says_which_file(study: Path, content: str) -> None:
    path = newest_folder(study) / "result.json"
    path.write_text(content, encoding="utf-8")
    with pytest.raises(StorageError, match=r"result\.json"):
        newest(open_study(study))


def test_check_note_when_a_record_changed_names_it(study: Path) -> None:
    log = study / "harbour-surge.csv"
    log.write_text(log.read_text("utf-8") + "10800,999\n", encoding="utf-8")
    assert "harbour-surge.csv changed" in note(study)

    log.unlink()
    assert "harbour-surge.csv is gone" in note(study)


def test_newest_when_a_figure_was_changed_is_not_read(study: Path) -> None:
    path = newest_folder(study) / "result.json"
    row = json.loads(path.read_text("utf-8"))
    row["ropes"][0]["states"][0]["core_temperature"]["p50"] = None
    path.write_text(json.dumps(row), "utf-8")
    with pytest.raises(StorageError, match="not whole"):
        newest(open_study(study))


def test_newest_when_an_old_folder_was_renamed_is_not_that_one(study: Path) -> None:
    first = newest_folder(study)
    shutil.copytree(first, first.with_name("old backup"))
    assert newest_folder(study) == first


def test_mark_when_the_case_changed_or_is_broken_says_so(study: Path) -> None:
    assert mark(study) == ""
    case = study / "case.toml"
    case.write_text(case.read_text("utf-8") + "\n", "utf-8")
    assert "the case changed" in mark(study)
    case.write_text("format =", "utf-8")
    assert "case or cards have an error" in mark(study)
