"""A study is opened by its folder or case; what does not fit its cards is said at once."""

from pathlib import Path

import pytest

from linewright.base.errors import CardError, InputError, LinewrightError, StorageError
from linewright.services.demo import write_demo
from linewright.services.study import open_study


@pytest.fixture
def study(tmp_path: Path) -> Path:
    folder = tmp_path / "a study with spaces"
    write_demo(folder)
    return folder


def change(study: Path, *pairs: str) -> None:
    case = study / "case.toml"
    text = case.read_text("utf-8")
    for old, new in zip(pairs[::2], pairs[1::2], strict=True):
        assert old in text
        text = text.replace(old, new)
    case.write_text(text, "utf-8")


def refusal(folder: Path, kind: type[LinewrightError] = InputError) -> LinewrightError:
    with pytest.raises(kind) as caught:
        open_study(folder).read()
    return caught.value


def test_study_when_given_as_its_case_is_the_folder(study: Path) -> None:
    assert open_study(study / "case.toml").root == study


def test_study_when_the_current_folder_is_found(study: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(study)

    assert open_study(Path(".")).read()[0].title == open_study(Path("case.toml")).case().title


def test_study_when_given_another_file_does_not_run_the_case_beside_it(study: Path) -> None:
    (study / "other.toml").write_bytes((study / "case.toml").read_bytes())

    assert "call the file case.toml" in refusal(study / "other.toml").render()


@pytest.mark.parametrize("name", ["nowhere", "empty", "file", "file/below", "loop"])
def test_study_when_there_is_none_is_refused(tmp_path: Path, name: str) -> None:
    (tmp_path / "empty").mkdir()
    (tmp_path / "file").write_text("x")
    (tmp_path / "loop").symlink_to("loop")

    assert refusal(tmp_path / name).problems


@pytest.mark.parametrize("is_there", [False, True])
def test_study_when_there_is_none_names_both_ways_to_begin_one(tmp_path: Path, is_there: bool) -> None:
    folder = tmp_path / "my study"
    if is_there:
        folder.mkdir()

    told = refusal(folder).render()

    assert f"linewright new '{folder}'" in told
    assert f"linewright demo --into '{folder}'" in told


def test_rope_when_mistyped_is_answered_with_one_of_its_own_fibre(study: Path) -> None:
    change(study, 'rope = "polyester-parallel-strand"', 'rope = "polyester-12-strand"')

    assert "did you mean polyester-" in refusal(study).render()


def test_study_when_its_name_is_too_long_is_a_storage_error(tmp_path: Path) -> None:
    assert refusal(tmp_path / ("x" * 300), StorageError).exit_code == 5


def test_cards_when_many_are_missing_are_all_named_with_their_lines(study: Path) -> None:
    change(
        study,
        '"hmpe-standard-12-strand"', '"hmpe-standrad-12-strand"',
        '"closed-chock"', '"no-chock"',
        '"hot-typical-year"', '"nowhere"',
        '"polyester-tail-double-braid"', '"no-tail"',
        'rope = "hmpe-low-creep-12-strand"', 'rope = "no-rope"',
    )  # fmt: skip

    error = refusal(study)

    read = [problem.read for problem in error.problems]
    assert sorted(set(read)) == ['"hmpe-standrad-12-strand"', '"no-chock"', '"no-rope"', '"no-tail"', '"nowhere"']
    assert len(read) == 7  # rope and tail of both line groups
    assert "did you mean hmpe-standard-12-strand?" in error.render()
    assert f"{study / 'case.toml'}:19 " in error.problems[0].where
    assert all(problem.where.startswith(f"{study / 'case.toml'}:") for problem in error.problems)


def test_bend_when_sharper_than_the_rope_is_thick_is_refused_at_its_line(study: Path) -> None:
    change(study, '"178 mm"', '"20 mm"')

    text = refusal(study).render()

    assert "case.toml:25 " in text
    assert "D/d 0.95" in text
    assert "21 mm" in text


def test_bend_when_just_as_thick_as_the_rope_is_read(study: Path) -> None:
    change(study, '"178 mm"', '"21 mm"')

    open_study(study).read()


def test_cards_when_several_are_wrong_are_listed_together(study: Path) -> None:
    for folder in ("ropes", "fibres"):
        (study / "cards" / folder).mkdir(parents=True)
    (study / "cards" / "ropes" / "one.toml").write_text("a = = 1")
    (study / "cards" / "fibres" / "two.toml").write_text('format = 1\ntitle = "Two"\nkind = "fibre"\n[data]\n')

    error = refusal(study, CardError)

    assert error.exit_code == 3
    assert "one.toml:1" in error.render()
    assert "two.toml  creep_law" in error.render()


def test_cards_when_a_file_stands_for_their_folder_are_refused(study: Path) -> None:
    (study / "cards").write_text("x")

    assert "is not a folder" in refusal(study, StorageError).render()


def test_demo_when_a_case_is_there_keeps_it(study: Path) -> None:
    (study / "case.toml").write_text("mine")

    assert not write_demo(study)
    assert (study / "case.toml").read_text() == "mine"


@pytest.mark.parametrize("name", ["file", "loop", "full"])
def test_demo_when_its_place_is_taken_changes_nothing(tmp_path: Path, name: str) -> None:
    (tmp_path / "file").write_text("x")
    (tmp_path / "loop").symlink_to("loop")
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "mine").write_text("x")
    before = sorted(tmp_path.rglob("*"))

    with pytest.raises(InputError):
        write_demo(tmp_path / name)

    assert sorted(tmp_path.rglob("*")) == before
