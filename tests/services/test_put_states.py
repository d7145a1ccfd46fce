"""The cases of a load table become the states of a berth; the case's other text stays as it was."""

import tomllib
from pathlib import Path

import pytest

from linewright.base.errors import InputError
from linewright.importers.recognise import import_file
from linewright.services.demo import write_demo
from linewright.services.put_states import put_states
from linewright.services.study import open_study

TABLE = (
    "case;line;mean [kN];std [kN];max [kN];Tp [s];probability [%]\n"
    "calm;L1;150;10;180;9;60\ncalm;L2;140;10;170;9;60\n"
    "swell;L1;220;40;370;14;40\nswell;L2;210;30;330;14;40\n"
)
LINES = {"L1": "forward springs", "L2": "forward breasts"}


@pytest.fixture
def study(tmp_path: Path) -> Path:
    write_demo(tmp_path / "study")
    return tmp_path / "study"


def table(folder: Path, text: str = TABLE, **answers: str):
    path = folder / "table.csv"
    path.write_text(text, encoding="utf-8")
    return import_file(path, {"hours": "400", **answers}, "load-table")


def test_states_when_put_into_a_berth_then_the_case_reads_them(study: Path, tmp_path: Path) -> None:
    """By hand: a standard deviation of 40 kN is a significant amplitude of 80 kN."""
    before = (study / "case.toml").read_text("utf-8")
    said = put_states(study, "Swell Jetty", table(tmp_path), LINES)
    case, _ = open_study(study).read()
    berth = next(item for item in case.berths if item.name == "Swell Jetty")

    assert [(state.name, state.share) for state in berth.states] == [("calm", 0.6), ("swell", 0.4)]
    tension = berth.states[1].tension["forward springs"]
    assert (tension.mean.value, tension.amplitude.value, tension.period) == (220e3, 80e3, 14.0)
    assert (study / ".history" / "0001-case.toml").read_text("utf-8") == before
    assert any("400 h a year" in line for line in said)
    after = tomllib.loads((study / "case.toml").read_text("utf-8"))
    was = tomllib.loads(before)
    assert {**after, "berth": None} == {**was, "berth": None}
    assert [item for item in after["berth"] if item["name"] != "Swell Jetty"] == [
        item for item in was["berth"] if item["name"] != "Swell Jetty"
    ]


def test_states_when_put_twice_then_both_cases_before_are_kept(study: Path, tmp_path: Path) -> None:
    put_states(study, "Swell Jetty", table(tmp_path), LINES)
    put_states(study, "North Quay", table(tmp_path), LINES)

    assert sorted(path.name for path in (study / ".history").iterdir()) == ["0001-case.toml", "0002-case.toml"]


@pytest.mark.parametrize(
    ("berth", "lines", "says"),
    [
        ("Nowhere", LINES, "Equator Terminal"),
        ("Swell Jetty", {"L1": "forward springs"}, "--line"),
        ("Swell Jetty", {"L1": "forward springs", "L2": "aft springs"}, "line group"),
        ("Swell Jetty", {**LINES, "L9": "forward springs"}, "L9"),
    ],
)
def test_states_when_they_do_not_fit_then_nothing_is_changed(study: Path, tmp_path: Path, berth, lines, says) -> None:
    before = (study / "case.toml").read_bytes()

    with pytest.raises(InputError) as caught:
        put_states(study, berth, table(tmp_path), lines)
    assert says in caught.value.render()
    assert (study / "case.toml").read_bytes() == before
    assert not (study / ".history").exists()


def test_states_when_the_case_then_breaks_a_rule_then_nothing_is_changed(study: Path, tmp_path: Path) -> None:
    """An amplitude above 1.5 times the mean is no tension of a line: the case refuses it."""
    before = (study / "case.toml").read_bytes()
    text = TABLE.replace("swell;L1;220;40;370", "swell;L1;20;40;170")

    with pytest.raises(InputError):
        put_states(study, "Swell Jetty", table(tmp_path, text), LINES)
    assert (study / "case.toml").read_bytes() == before
