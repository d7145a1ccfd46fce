"""Two kept results side by side: inputs that changed, outcomes before and after, names that pick one."""

import copy
import shutil
from pathlib import Path

import pytest

from linewright.base.errors import InputError
from linewright.services.assess import assess_study
from linewright.services.diff import changes, chosen, diff_lines, outcomes
from linewright.services.kept import kept_folders, read_result
from linewright.services.study import open_study
from linewright.services.words import years


@pytest.fixture(scope="module")
def two_runs(told_study: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo, run again with another wrap and a longer record."""
    study = tmp_path_factory.mktemp("diff") / "study"
    shutil.copytree(told_study, study)
    case = study / "case.toml"
    case.write_text(case.read_text(encoding="utf-8").replace('wrap = "60 deg"', 'wrap = "50 deg"'), encoding="utf-8")
    record = study / "harbour-surge.csv"
    text = record.read_text(encoding="utf-8")
    record.write_text(text + "# a remark at the end\n" if text.startswith("#") else text + text.splitlines()[-1] + "\n")
    assess_study(study)
    return study


def test_diff_when_the_case_and_a_record_changed_names_them_and_the_lives(two_runs: Path) -> None:
    lines = diff_lines(two_runs)
    before, after = (read_result(folder / "result.json") for folder in kept_folders(open_study(two_runs)))

    assert "  forward springs, closed chock: wrap_angle: 60 deg -> 50 deg" in lines
    assert "  file harbour-surge.csv: changed" in lines
    assert lines[3] != "  nothing"
    told = [line.split() for line in lines if line.startswith("HMPE, standard")]
    assert years(before["ropes"][0]["life"]["p50"], 30.0) in told[0]
    assert any(years(after["ropes"][0]["life"]["p10"], 30.0) in line.split() for line in lines if "after" in line)
    assert not [line for line in lines if len(line) > 130]


def test_diff_when_named_the_other_way_round_turns_the_arrow(two_runs: Path) -> None:
    older, newer = (folder.name for folder in kept_folders(open_study(two_runs)))
    lines = diff_lines(two_runs, newer, older)
    assert lines[0] == f"{newer} -> {older}"
    assert "  forward springs, closed chock: wrap_angle: 50 deg -> 60 deg" in lines


def test_diff_when_there_is_one_result_is_refused(told_study: Path) -> None:
    with pytest.raises(InputError, match="no two results"):
        diff_lines(told_study)


@pytest.mark.parametrize("names", [("2", ""), ("nothing-like-it", "2"), ("2", "2")])
def test_chosen_when_a_name_picks_not_one_is_refused(two_runs: Path, names: tuple[str, str]) -> None:
    with pytest.raises(InputError):
        chosen(two_runs, *names)


def test_changes_when_nothing_changed_are_none(told_result) -> None:
    assert not list(changes(told_result, copy.deepcopy(told_result)))


def test_changes_when_cards_climates_and_origins_differ_name_each(told_result) -> None:
    other = copy.deepcopy(told_result)
    other["stamp"]["cards"]["contacts/roller"] = "another"
    del other["stamp"]["cards"]["contacts/closed-chock"]
    other["duty"]["berths"][0]["climate"] = "cold-quay-monthly"
    other["duty"]["states"][0]["from"] = "record a.csv"
    other["criteria"]["strength_left"] = 0.8
    row = next(row for row in other["used"] if row["key"] == "friction_on_steel")
    row["value"] = 0.5
    found = list(changes(told_result, other))

    for line in ("card contacts/roller: changed", "card contacts/closed-chock: gone",
                 "Equator Terminal: climate: hot-typical-year -> cold-quay-monthly",
                 "criteria, strength_left: 0.75 -> 0.8"):  # fmt: skip
        assert line in found
    assert any("tension: given, significant -> record a.csv" in line for line in found)
    assert any(line.startswith(f"{row['owner']}: friction_on_steel: ") for line in found)


def test_changes_when_a_rope_is_new_name_its_card_not_all_its_data(told_result) -> None:
    other = copy.deepcopy(told_result)
    told_result["used"] = [row for row in told_result["used"] if row["owner"] != "hmpe-low-creep"]
    del told_result["stamp"]["cards"]["ropes/hmpe-low-creep-12-strand"]
    told_result["ropes"].pop(1)

    assert list(changes(told_result, other)) == ["card ropes/hmpe-low-creep-12-strand: new"]
    assert any("not in this result" in line for line in outcomes(told_result, other))
