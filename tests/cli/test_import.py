"""The commands import and states: reports, questions and their exit codes, what a study keeps."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from linewright.services.study import open_study

SAMPLES = Path(__file__).resolve().parents[1] / "importers" / "samples"
TON = SAMPLES / "tension_unit_t_and_ton.csv"
GOOD = SAMPLES / "tension_good_kN_utc.csv"


def run(*words: object, folder: Path | None = None) -> subprocess.CompletedProcess[str]:
    call = [sys.executable, "-m", "linewright.cli", *map(str, words)]
    return subprocess.run(
        call, capture_output=True, encoding="utf-8", check=False, cwd=folder, stdin=subprocess.DEVNULL
    )


def test_import_when_all_is_said_then_it_ends_with_zero_and_json_has_its_keys() -> None:
    done = run("import", GOOD, "--json")

    assert (done.returncode, done.stderr) == (0, "")
    report = json.loads(done.stdout)
    assert {"kind", "rows_read", "rows_kept", "dropped", "replaced", "flags", "questions", "columns", "time"} <= set(
        report
    )
    assert {"zone", "first", "last"} <= set(report["time"])
    assert {"name", "unit", "min", "max", "mean"} <= set(report["columns"][1])


def test_import_when_a_question_is_open_then_it_ends_with_seven_and_says_how_to_answer() -> None:
    done = run("import", TON)

    assert done.returncode == 7
    assert '--answer "unit.L02=short"' in done.stdout
    assert run("import", TON, "--answer", "unit.L02=metric").returncode == 0


def test_import_when_answered_by_a_file_then_it_goes_through(tmp_path: Path) -> None:
    (tmp_path / "answers.toml").write_text('[unit]\nL02 = "long"\n')

    done = run("import", TON, "--answers", tmp_path / "answers.toml")
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("import", "nothing.csv"), "No such file"),
        (("import", GOOD, "--as", "rope"), "There is no kind rope"),
        (("import", GOOD, "--answer", "x"), "KEY=VALUE"),
        (("import", GOOD, "--answer", "time.zone=UTC"), "does not ask"),
        (("import", TON, "--answer", "unit.L02=tonne"), "short or metric or long"),
        (("import", GOOD, "--answers", "nothing.toml"), "cannot be read"),
        (("import", GOOD, "--into", "nowhere"), "nowhere"),
        (("import", TON, "--answer", "unit.L02=metric", "--answer", "unit.L02=short"), "given twice"),
    ],
)
def test_import_when_it_cannot_be_done_then_it_ends_with_two(tmp_path: Path, words, says: str) -> None:
    done = run(*words, folder=tmp_path)

    assert done.returncode == 2, done.stdout
    assert says in done.stderr
    assert "Traceback" not in done.stderr


def test_log_when_brought_into_a_study_then_a_case_names_its_channel_and_runs(tmp_path: Path) -> None:
    study = tmp_path / "study"
    assert run("new", study).returncode == 0
    done = run("import", TON, "--answer", "unit.L02=metric", "--into", study)
    assert done.returncode == 0, done.stderr
    (raw,) = (study / "data" / "raw").glob("*.csv")
    assert raw.read_bytes() == TON.read_bytes()
    assert 'unit.L02" = "metric"' in (raw.parent / f"{raw.name}.answers.toml").read_text()
    assert json.loads((raw.parent / f"{raw.name}.import.json").read_text())["rows_kept"] == 3

    case = study / "case.toml"
    text = case.read_text("utf-8")
    swell = text[text.rindex("mean = ") :]
    log = f'log = "data/raw/{raw.name}"\nchannel = "L03"\n'
    case.write_text(text.replace(swell, log), "utf-8")
    checked = run("check", study)
    assert checked.returncode == 0, checked.stderr
    case.write_text(text.replace(swell, log.replace("L03", "L04")), "utf-8")
    assert "one of L01, L02, L03" in run("check", study).stderr


def test_states_when_put_by_command_then_the_case_holds_them(tmp_path: Path) -> None:
    study, table = tmp_path / "study", tmp_path / "table.csv"
    run("new", study)
    table.write_text("case;line;mean [kN];std [kN];Tp [s];probability [%]\ncalm;A;150;10;9;60\nswell;A;220;40;14;40\n")
    done = run("states", table, study, "--berth", "Berth 1", "--line", "A=springs", "--answer", "hours=360")

    assert done.returncode == 0, done.stderr
    assert "2 states replaced by 2: calm; swell" in done.stdout
    assert run("check", study).returncode == 0
    own = run("states", table, study, "--berth", "Berth 1", "--line", "A=springs")
    assert own.returncode == 0, own.stderr
    assert "hours a year: those of the case, 360 h" in own.stdout
    table.write_text("case;line;mean [kN];std [kN];Tp [s];probability [%]\ncalm;A;150;10;9;60\nswell;A;220;40;14;30\n")
    less = run("states", table, study, "--berth", "Berth 1", "--line", "A=springs")
    assert less.returncode == 7
    assert "calm=" in less.stdout
    assert "hours=" not in less.stdout


def test_count_when_asked_shows_cycles_levels_and_the_rule(tmp_path: Path) -> None:
    """ASTM E1049-85, the worked example scaled to kN: four cycles with halves."""
    log = SAMPLES / "tension_integer_newton_astm.csv"
    done = run("count", log, "--rule", "above=500 kN", "--rule", "slope=3")

    assert done.returncode == 0, done.stderr
    assert "4 cycles by rainflow (ASTM E1049-85, half cycles for what stays open, no filter)" in done.stdout
    assert "above 500 kN" in done.stdout
    row = json.loads(run("count", log, "--rule", "residue=drop", "--json").stdout)
    assert (row["cycles"], row["rule"]["residue"]) == (1.0, "drop")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--rule", "residue=all"), "residue=half"),
        (("--rule", "above=300"), "kN"),
        (("--rule", "slope=99"), "1 to 20"),
        (("--rule", "filter=-2 kN"), "not below zero"),
        (("--channel", "L9"), "one of L01"),
    ],
)
def test_count_when_it_cannot_be_done_then_the_reason_is_named(words, says: str) -> None:
    done = run("count", GOOD, *words)

    assert done.returncode == 2
    assert says in done.stderr


def test_states_when_study_or_berth_is_wrong_then_it_is_said_before_any_question(tmp_path: Path) -> None:
    study = tmp_path / "study"
    assert run("new", study).returncode == 0
    table = tmp_path / "table.csv"
    table.write_text("Case,Line,Mean [kN],Std [kN],Tz [s],P [%]\nswell,A,200,20,60,30\n")  # the hours are open
    for where, berth, says in ((tmp_path / "none", "Berth 1", "none"), (study, "Berth 9", "There is no such berth")):
        done = run("states", table, where, "--berth", berth)
        assert done.returncode == 2
        assert says in done.stderr
        assert "open question" not in done.stdout


def test_import_when_a_monthly_table_is_made_a_card_then_a_study_uses_it(tmp_path: Path) -> None:
    """By hand, of the sample: in March 9.5 m/s by day and 9.2 by night, 9.35 in the mean."""
    study, table = tmp_path / "study", SAMPLES / "monthly_climate_two_places.csv"
    run("new", study)
    words = ("import", table, "--into", study, "--card", "north-quay")
    asked = run(*words, "--answer", "place=North Quay")
    assert asked.returncode == 7
    assert all(f'--answer "{key}=' in asked.stdout for key in ("latitude", "day_spread", "cloud"))
    assert not (study / "cards").exists()

    answers = ("place=North Quay", "latitude=58", "day_spread=3", "cloud=70")
    done = run(*words, *(word for answer in answers for word in ("--answer", answer)))
    assert done.returncode == 0, done.stderr
    assert 'climate = "north-quay"' in done.stdout
    case = study / "case.toml"
    before = next(line for line in case.read_text().splitlines() if line.startswith("climate = "))
    case.write_text(case.read_text().replace(before, 'climate = "north-quay"'))
    assert run("check", study).returncode == 0
    shown = run("cards", "show", "north-quay", study)
    assert "climate card north-quay, own" in shown.stdout
    opened, shelf = open_study(study).read()
    assert opened.berths[0].climate == "north-quay"
    assert shelf.climates["north-quay"].months[2].wind == pytest.approx(9.35)
    assert shelf.sources[shelf.climates["north-quay"].source].title == table.name
    told = run("run", study, "--no-keep", "--json")
    assert "north-quay" in told.stdout, told.stderr
    case.write_text(f"spread.samples = 256\n{case.read_text()}")
    result = run("run", study, "--no-keep", "--json")
    assert "climates/north-quay" in result.stdout, result.stderr  # the digests of the cards that were used
    again = run(*words)
    assert again.returncode == 2
    assert "a name that is free" in again.stderr


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--card", "mine"), "needs a study"),
        (("--card", "Mine!", "--into", "."), "small letters"),
        ((), "no climate card"),
    ],
)
def test_import_when_no_card_can_be_made_then_it_says_why(tmp_path: Path, words, says: str) -> None:
    run("new", tmp_path / "study")
    done = run("import", GOOD, *(words or ("--card", "mine", "--into", ".")), folder=tmp_path / "study")
    assert done.returncode == 2
    assert says in done.stderr
