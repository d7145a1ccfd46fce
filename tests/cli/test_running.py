"""The command `running`: example, answer, JSON, kept files, errors."""

import csv
import json
from collections.abc import Callable
from pathlib import Path

import pytest

from linewright import cli
from linewright.services.running import EXAMPLE, run_running, study_file
from linewright.services.running_text import joules, running_lines, span

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def study(run: Run, tmp_path: Path) -> Path:
    """The example with few draws."""
    code, out, _ = run("running", "--example", tmp_path)
    assert (code, "Next: linewright running" in out) == (0, True)
    path = tmp_path / EXAMPLE
    path.write_text(path.read_text(encoding="utf-8") + "\n[spread]\nsamples = 16\n", encoding="utf-8")
    return path


def test_answer_when_dry_never_tells_a_temperature_of_what_is_not_sustainable(study: Path) -> None:
    study.write_text(study.read_text(encoding="utf-8").replace('"spray"', '"air"'), encoding="utf-8")
    row = run_running(study)
    text = "\n".join(running_lines(row))

    assert "not sustainable, too hot: steady heat would take it to the melting range" in text
    assert "Life     not sustainable, no life" in text
    assert row["life"] == {"reason": "not sustainable", "duties_per_year": None}
    (steady,) = row["as_given"]["steady"]
    assert (steady["core"], steady["skin"], steady["is_sustainable"]) == (None, None, False)
    assert row["as_given"]["hottest_core"] is None
    melting = row["limits"]["melting range"]
    assert max(max(line) for line in row["as_given"]["field"]["core"]) < melting
    for name in ("core", "steady_core"):
        known = [value for value in row["band"][name].values() if value is not None]
        assert all(value < 160.0 for value in known)
    assert "melting" in text


def test_command_when_asked_keeps_result_answer_and_tables(run: Run, study: Path, tmp_path: Path) -> None:
    code, out, _ = run("running", study, "--into", tmp_path / "kept")
    assert code == 0
    assert "sustainable" in out
    assert "without spray: not sustainable" in out
    row = json.loads((tmp_path / "kept" / "result.json").read_text(encoding="utf-8"))
    assert row["kind"] == "running"
    assert all(item["basis"] and (item["source"] or item["where"]) for item in row["used"])
    rows = list(csv.reader((tmp_path / "kept" / "core.csv").read_text(encoding="utf-8").splitlines()))
    assert len(rows[0]) == len(rows[1]) == len(row["as_given"]["field"]["mark"]) + 1
    assert float(rows[-1][0]) == pytest.approx(6 * 3600.0)
    bends = [row.split(",") for row in (tmp_path / "kept" / "bends.csv").read_text(encoding="utf-8").splitlines()[1:]]
    assert max(float(count) for _, count in bends) == pytest.approx(2 * 6 * 360.0)  # two a cycle of 10 s
    worn = [row.split(",") for row in (tmp_path / "kept" / "wear.csv").read_text(encoding="utf-8").splitlines()[1:]]
    worst = max(worn, key=lambda line: float(line[1]))
    assert 1483.1 < float(worst[0]) < 1485.8
    assert row["life"]["by_mark"]["loss"][0] == 0.0 or row["life"]["by_mark"]["loss"][0] < 1e-3 * float(worst[1])
    assert (tmp_path / "kept" / "answer.txt").read_text(encoding="utf-8") in out


def test_command_when_asked_for_json_prints_the_stored_form(run: Run, study: Path) -> None:
    code, out, _ = run("running", study, "--json")
    row = json.loads(out)
    assert code == 0
    assert row["required_cooling"]["film"] > 0.0
    assert {item["key"] for item in row["used"]} >= {"bending_loss", "radial_conductivity_wet", "film", "period"}


def test_command_when_told_of_service_and_a_wire_rope_answers_in_years_beside_it(run: Run, study: Path) -> None:
    more = '[service]\nduties_per_year = 12\n[wire_rope]\ndiameter = "68 mm"\nwire_strength = "1960 MPa"\n'
    more += "b0 = 0.5\nb1 = -0.6\nb2 = 7.5\nb4 = -1.6\n"
    study.write_text(study.read_text(encoding="utf-8") + more, encoding="utf-8")
    code, out, _ = run("running", study, "--json")
    row = json.loads(out)
    life, wire = row["life"], row["wire_rope"]
    assert code == 0
    assert life["crop"]["years"]["p50"] == pytest.approx(life["crop"]["runs"]["p50"] / 12.0, rel=1e-3)
    assert life["crop"]["hours"]["p50"] == pytest.approx(life["crop"]["runs"]["p50"] * 6.0, rel=1e-3)
    assert wire["runs"] == pytest.approx(wire["cycles"] / 4320.0, rel=1e-3)  # two bends a wave of 10 s for six hours
    assert wire["over_fibre"] == pytest.approx(wire["runs"] / life["crop"]["runs"]["p50"], rel=1e-3)
    assert {item["key"] for item in row["used"]} >= {"bending_reference_cycles", "duties_per_year", "b2"}


def test_folder_when_it_holds_one_study_is_that_study(tmp_path: Path) -> None:
    # `--example FOLDER` names its file otherwise than running.toml: the folder alone must lead to it.
    only = tmp_path / "deep-sea.toml"
    only.write_text("", encoding="utf-8")
    assert study_file(tmp_path) == only
    (tmp_path / "other.toml").write_text("", encoding="utf-8")
    assert study_file(tmp_path) == tmp_path / "running.toml"
    assert study_file(only) == only


def test_example_when_it_is_there_already_is_not_overwritten(run: Run, study: Path) -> None:
    before = study.read_text(encoding="utf-8")
    code, _, err = run("running", "--example", study.parent)
    assert (code, "is there already" in err) == (2, True)
    assert study.read_text(encoding="utf-8") == before


def test_command_when_no_study_is_named_says_what_to_do(run: Run) -> None:
    code, _, err = run("running")
    assert (code, "--example FOLDER" in err) == (2, True)


def test_command_when_the_study_is_wrong_ends_with_its_line(run: Run, study: Path) -> None:
    study.write_text(study.read_text(encoding="utf-8").replace('"10 s"', '"0 s"'), encoding="utf-8")
    code, _, err = run("running", study)
    assert (code, f"{EXAMPLE}:" in err, "a period from" in err) == (2, True, True)


def test_command_when_own_cards_lie_beside_the_study_takes_them(run: Run, study: Path) -> None:
    folder = study.parent / "cards" / "practices"
    folder.mkdir(parents=True)
    shipped = Path(cli.__file__).parent / "cards" / "practices" / "running-rope.toml"
    text = shipped.read_text(encoding="utf-8").replace('value = "0.30", low = "0.15", high = "0.50"', 'value = "0.9"')
    (folder / "running-rope.toml").write_text(text, encoding="utf-8")
    code, out, _ = run("running", study, "--json")
    used = {(item["owner"], item["key"]): item for item in json.loads(out)["used"]}
    assert code == 0
    assert used["running-rope", "drum_exposure"]["value"] == 0.9


@pytest.mark.parametrize(
    ("seconds", "said"), [(None, "not reached"), (30.0, "30 s"), (600.0, "10 min"), (9000.0, "2.5 h")]
)
def test_span_when_spoken_takes_the_fitting_unit(seconds: float | None, said: str) -> None:
    assert span(seconds) == said


@pytest.mark.parametrize(("energy", "told"), [(-67.3e3, "-67.3 kJ"), (30.1e6, "30.1 MJ"), (3.0e9, "3 GJ")])
def test_energy_is_told_in_the_unit_of_its_size(energy: float, told: str) -> None:
    assert joules(energy) == told
