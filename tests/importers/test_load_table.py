"""Load tables of moored-ship studies: layouts, languages, units, probabilities, checks, and the states they become."""

import json
import math
from pathlib import Path

import openpyxl
import pytest

from linewright.base.errors import InputError
from linewright.case.form import read_case
from linewright.importers.load_states import LoadState, completed, most_probable_maximum, states_toml
from linewright.importers.recognise import import_file

LONG = """Study of berth North, tensions in kN
Case,Hs [m],Tp [s],Line,Mean [kN],StDev [kN],Max (3h) [kN],Prob [%]
LC1,0.5,8,L1,210,12,255,40
LC1,0.5,8,L2,180,10,215,40
LC2,1.5,12,L1,230,35,360,10
LC2,1.5,12,L2,190,28,290,10
Note: the springs only
"""
ANSWERS = {"hours": "1200", "calm": "100 kN", "period": "60 s"}
KN = 1e3


def table(**columns):
    """A CSV with one row per value of the columns."""
    names = list(columns)
    rows = zip(*columns.values(), strict=True)
    return "\n".join([",".join(names), *(",".join(map(str, row)) for row in rows)]) + "\n"


def by(found):
    """States by case and line."""
    return {(state.case, state.line): state for state in found.content}


@pytest.fixture
def sheets(tmp_path):
    """A workbook with named sheets of rows."""

    def make(**content) -> Path:
        book = openpyxl.Workbook()
        book.remove(book.active)
        for name, rows in content.items():
            made = book.create_sheet(name.replace("_", " "))
            for row in rows:
                made.append(row)
        path = tmp_path / "made.xlsx"
        book.save(path)
        return path

    return make


@pytest.fixture
def read_book(sheets, made):
    def read(answers=None, as_kind=None, **content):
        return made(sheets(**content).read_bytes(), "made.xlsx", answers, as_kind)

    return read


# --- layouts -------------------------------------------------------------------------------------


def test_rows_of_case_and_line_when_read_become_states_with_hours_and_the_calm(made, told):
    found = made(LONG, answers=ANSWERS)
    states = by(found)

    assert (found.report.kind, found.report.form, found.report.is_open) == ("load-table", "moored-ship study", False)
    assert (found.report.rows_read, found.report.rows_kept) == (4, 4)
    assert states["LC2", "L1"].mean == 230 * KN
    assert states["LC2", "L1"].std == 35 * KN
    assert states["LC2", "L1"].amplitude == 70 * KN
    assert states["LC2", "L1"].max == 360 * KN
    assert states["LC2", "L1"].duration == 3 * 3600.0
    assert states["LC2", "L1"].where == "row 5"
    assert {state.case: round(state.hours_per_year, 9) for state in found.content} == {
        "LC1": 480,
        "LC2": 120,
        "calm": 600,
    }
    assert states["calm", "L2"].mean == 100 * KN
    assert states["calm", "L2"].amplitude == 0.0
    assert told.flags(found)["calm-remainder"] == "note"
    assert [item.why for item in found.report.dropped] == ["no figures: a remark"]
    assert told.column(found, "Mean").unit == "kN"
    assert told.column(found, "Mean").high == 230.0


def test_long_table_when_nothing_is_answered_asks_what_it_does_not_say(made, told):
    found = made(LONG)
    assert told.questions(found) == ["period", "hours", "calm"]
    assert found.content == ()


def test_lines_across_under_merged_groups_when_german_with_decimal_commas_are_read(made):
    text = (
        "Lastfall;Häufigkeit [%];Leine 1;;Leine 2;\n"
        ";;Mittelwert [kN];Standardabw. [kN];Mittelwert [kN];Standardabw. [kN]\n"
        "ruhig;80;200,5;10,5;180;9,5\nDünung;15;220;40;190;35\nSturm;5;1.300,5;80;260;70,5\n"
    )
    found = made(text, answers={"hours": "1000", "period": "20 s"})
    states = by(found)
    assert states["ruhig", "Leine 1"].mean == 200.5 * KN
    assert states["Sturm", "Leine 1"].mean == 1300.5 * KN
    assert states["Sturm", "Leine 2"].std == 70.5 * KN
    assert {state.case: state.hours_per_year for state in found.content} == pytest.approx(
        {"ruhig": 800, "Dünung": 150, "Sturm": 50}
    )


def test_merged_headings_of_a_sheet_when_read_give_each_line_its_statistics(sheets, made):
    path = sheets(study=[["Case", "Prob (%)", "Spring", None, "Breast", None],
                         [None, None, "Mean", "Std", "Mean", "Std"],
                         [None, None, "[kN]", "[kN]", "[kN]", "[kN]"],
                         ["A", 60, 200, 10, 150, 8], ["B", 40, 220, 30, 160, 25]])  # fmt: skip
    book = openpyxl.load_workbook(path)
    for cells in ("A1:A2", "B1:B2", "C1:D1", "E1:F1"):
        book.active.merge_cells(cells)
    book.save(path)
    found = made(path.read_bytes(), "made.xlsx", {"hours": "100", "period": "20 s"})
    states = by(found)
    assert states["B", "Breast"].std == 25 * KN
    assert states["A", "Spring"].mean == 200 * KN


def test_one_sheet_per_case_when_read_takes_the_case_from_its_name(read_book):
    head = ["Line", "Mean (kN)", "Std (kN)", "Max (kN)", "Tz (s)"]
    swell = [head, ["L1", 200, 20, 270, 40], ["L2", 210, 22, 280, 40]]
    storm = [head, ["L1", 240, 60, 450, 50], ["L2", 250, 66, 480, 50]]
    found = read_book({"shares": "30 %, 20 %", "hours": "100", "calm": "swell"}, swell=swell, storm=storm)
    states = by(found)
    assert states["storm", "L2"].std == 66 * KN
    assert states["storm", "L2"].period == 50.0
    assert states["storm", "L2"].where == "sheet storm, row 3"
    assert states["calm", "L1"].std == states["swell", "L1"].std
    assert states["calm", "L1"].hours_per_year == pytest.approx(50.0)


def test_statistics_down_and_lines_across_when_read_are_turned(read_book, told):
    rows = [[None, "L01", "L02"], ["Mean [kN]", 200, 210], ["Std [kN]", 20, 25], ["Max [kN]", 280, 300]]
    found = read_book({"shares": "equal", "hours": "100", "period": "20 s"}, swell=rows)
    assert by(found)["case 1", "L02"].std == 25 * KN
    assert by(found)["case 1", "L02"].where == "sheet swell, column 3"
    assert "first-column" in told.flags(found)


def test_one_sheet_per_statistic_when_read_is_joined(read_book):
    head = ["Case", "Probability (%)", "FS1", "HL1"]
    answers = {"hours": "100", "period": "20 s", "unit": "kN"}
    found = read_book(answers, Mean=[head, ["A", 70, 200, 150], ["B", 30, 220, 170]],
                      StDev=[head, ["A", 70, 20, 15], ["B", 30, 40, 30]])  # fmt: skip
    assert by(found)["B", "HL1"].mean == 170 * KN
    assert by(found)["B", "HL1"].std == 30 * KN
    assert by(found)["B", "HL1"].share == pytest.approx(0.3)


def test_cases_down_with_a_column_per_line_when_the_title_names_the_statistic_are_read(made, told):
    text = "Max line tension (% MBL)\nCase,FS1,FS2\n1,25,26\n2,35,36\n"
    assert told.questions(made(text)) == ["base", "mean", "max.duration", "period", "shares"]
    answers = {
        "base": "SDMBL",
        "mean": "10 %SDMBL",
        "max.duration": "3 h",
        "period": "30 s",
        "shares": "equal",
        "hours": "10",
    }
    state = by(made(text, answers=answers))["2", "FS2"]
    assert (state.base, state.mean, state.max) == ("SDMBL", 0.10, 0.36)
    assert state.std == pytest.approx(0.26 / math.sqrt(2.0 * math.log(360.0)))
    assert state.estimated == ("std",)


def test_case_titles_between_blocks_of_lines_when_read_hold_for_the_rows_below(made):
    text = "Line,Mean [kN],Std [kN],Tz [s]\nCase 1: swell,,,\nL1,200,20,30\nL2,210,21,30\n"
    text += "Case 2: storm,,,\nL1,240,50,30\nL2,250,52,30\n"
    found = made(text, answers={"shares": "equal", "hours": "100"})
    assert set(by(found)) == {(case, line) for case in ("Case 1: swell", "Case 2: storm") for line in ("L1", "L2")}


def test_blank_case_cells_when_below_a_case_belong_to_it(made):
    text = "Case,Prob (%),Line,Mean (kN),Std (kN),Tz (s)\nA,100,L1,200,20,30\n,,L2,210,21,30\n"
    assert set(by(made(text, answers={"hours": "10"}))) == {("A", "L1"), ("A", "L2")}


def test_cases_without_names_when_read_are_named_by_their_environment(made):
    text = "Hs (m);Wind (m/s);Line;Mean (kN);Std (kN);P (%)\n1,5;12;L1;200;20;50\n2,5;18;L1;220;30,5;50\n"
    found = made(text, answers={"hours": "10", "period": "30 s"})
    assert [state.case for state in found.content] == ["Hs 1,5 m, Wind 12 m/s", "Hs 2,5 m, Wind 18 m/s"]


@pytest.mark.parametrize(
    ("mean", "std", "share", "case", "line"),
    [
        ("Moyenne (kN)", "Écart-type (kN)", "Probabilité (%)", "Cas", "Amarre"),
        ("Media (kN)", "Desviación típica (kN)", "Frecuencia (%)", "Caso", "Línea"),
        ("Gemiddelde (kN)", "Standaardafwijking (kN)", "Kans (%)", "Geval", "Tros"),
        ("Gjennomsnitt (kN)", "Standardavvik (kN)", "Sannsynlighet (%)", "Tilstand", "Trosse"),
        ("avg_kN", "sigma_kN", "occurrence_pct", "cond", "line_id"),
        ("T_mean [kN]", "RMS [kN]", "P [%]", "LC", "Mooring line"),
        ("Mittel, kN", "St. Dev., kN", "%", "Fall", "Festmacher"),
    ],
)
def test_headings_of_other_languages_and_habits_when_read_are_known(made, mean, std, share, case, line):
    mark = ";" if "," in mean + std else ","
    text = mark.join((case, line, mean, std, share)) + "\n" + mark.join(("A", "L1", "200", "20", "100")) + "\n"
    text += mark.join(("A", "L2", "210", "21", "100")) + "\n"
    state = by(made(text, answers={"hours": "10", "period": "30 s"}, as_kind="load-table"))["A", "L2"]
    assert (state.mean, state.std, state.share) == (210 * KN, 21 * KN, 1.0)


def test_summary_rows_and_repeated_headings_when_read_are_no_cases(made):
    text = LONG.replace(
        "LC2,1.5,12,L1", "Case,Hs [m],Tp [s],Line,Mean [kN],StDev [kN],Max (3h) [kN],Prob [%]\nLC2,1.5,12,L1"
    )
    found = made(text.replace("Note: the springs only", "Max,,,,230,35,360,"), answers=ANSWERS)
    assert {item.why for item in found.report.dropped} == {"the headings again", "a summary row, not a case"}
    assert "Max" not in {state.case for state in found.content}


def test_hidden_sheet_when_it_repeats_the_table_is_asked_about(sheets, made, told):
    head = ["Line", "Mean (kN)", "Std (kN)", "Tz (s)"]
    path = sheets(now=[head, ["L1", 200, 20, 30]], old=[head, ["L1", 100, 10, 30]])
    book = openpyxl.load_workbook(path)
    book["old"].sheet_state = "hidden"
    book.save(path)
    assert "sheets.hidden" in told.questions(made(path.read_bytes(), "made.xlsx"))
    answers = {"sheets.hidden": "visible", "shares": "equal", "hours": "10"}
    assert [state.mean for state in made(path.read_bytes(), "made.xlsx", answers).content] == [200 * KN]


# --- units ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("heading", "value", "base"),
    [("Mean [t]", 20 * 9806.65, "N"), ("Mean [kips]", 20 * 4448.2216152605, "N"), ("Mean [% LDBF]", 0.2, "LDBF"),
     ("Mean (% SDMBL)", 0.2, "SDMBL"), ("Mean %LDBF", 0.2, "LDBF"),
     ("Mean (MN)", 2e7, "N"), ("Mean [daN]", 200.0, "N")],
)  # fmt: skip
def test_units_when_stated_are_read(made, heading, value, base):
    text = table(**{"Case": ["A"], "Line": ["L1"], heading: [20], heading.replace("Mean", "Std"): [2], "P (%)": [100]})
    state = made(text, answers={"hours": "10", "period": "30 s"}).content[0]
    assert state.mean == pytest.approx(value, rel=1e-12)
    assert state.base == base


def test_units_when_open_are_asked(made, told):
    def asked(mean):
        text = table(**{"Case": ["A"], "Line": ["L1"], mean: [20], mean.replace("Mean", "Std"): [2], "P (%)": [100]})
        return [key for key in told.questions(made(text)) if key not in ("hours", "period")]

    assert asked("Mean") == ["unit"]
    assert asked("Mean [%]") == ["base"]
    assert asked("Mean [%MBL]") == ["base"]
    assert asked("Mean [tons]") == ["unit.ton"]


def test_percent_cells_of_a_sheet_when_read_are_percentages(sheets, made):
    path = sheets(study=[["Case", "Line", "Mean", "Std", "P"], ["A", "L1", 0.2, 0.02, 1.0]])
    book = openpyxl.load_workbook(path)
    for cell in ("C2", "D2", "E2"):
        book.active[cell].number_format = "0.0%"
    book.save(path)
    state = made(path.read_bytes(), "made.xlsx", {"base": "LDBF", "hours": "10", "period": "30 s"}).content[0]
    assert (state.mean, state.std, state.base, state.share) == (0.2, 0.02, "LDBF", 1.0)


def test_statistics_in_two_units_when_read_are_refused(made):
    text = table(**{"Case": ["A"], "Line": ["L1"], "Mean [kN]": [200], "Std [% LDBF]": [2], "P (%)": [100]})
    with pytest.raises(InputError, match="mixes units"):
        made(text)


# --- how long ------------------------------------------------------------------------------------


def shares_of(made, heading, values, **answers):
    text = table(
        **{"Case": list("ABC"), "Line": ["L1"] * 3, "Mean [kN]": [200] * 3, "Std [kN]": [20] * 3, heading: values}
    )
    found = made(text, answers={"period": "30 s", **{key.replace("__", "."): value for key, value in answers.items()}})
    return {state.case: (round(state.share, 9), round(state.hours_per_year, 6)) for state in found.content} or found


def test_probabilities_when_of_any_kind_become_shares_and_hours(made):
    whole = {"A": (0.5, 500.0), "B": (0.3, 300.0), "C": (0.2, 200.0)}
    assert shares_of(made, "Prob [%]", [50, 30, 20], hours="1000") == whole
    assert shares_of(made, "Occurrence (‰)", [500, 300, 200], hours="1000") == whole
    assert shares_of(made, "Probability", [0.5, 0.3, 0.2], hours="1000") == whole
    assert shares_of(made, "Weight", [5, 3, 2], hours="1000 h") == whole
    assert shares_of(made, "Hours per year", [500, 300, 200], hours="1000") == whole
    half = {"A": (0.25, 500.0), "B": (0.15, 300.0), "C": (0.1, 200.0), "calm": (0.5, 1000.0)}
    assert shares_of(made, "Hours per year", [500, 300, 200], hours="2000", calm="50 kN") == half


def test_probabilities_when_they_are_more_than_the_whole_are_refused(made):
    with pytest.raises(InputError, match="more than the whole time") as error:
        shares_of(made, "Prob [%]", [50, 40, 20], hours="1000")
    assert "110 %" in str(error.value)
    with pytest.raises(InputError, match="longer than the ship lies alongside"):
        shares_of(made, "Hours per year", [500, 300, 201], hours="1000")


def test_probability_without_unit_when_its_sum_does_not_tell_is_asked(made, told):
    found = shares_of(made, "Probability", [5, 3, 2])
    assert "unit.share" in told.questions(found)


def test_probabilities_of_one_case_when_they_differ_are_refused(made):
    with pytest.raises(InputError, match="lasts two times"):
        made(LONG.replace("180,10,215,40", "180,10,215,41"), answers=ANSWERS)


def test_hours_alongside_when_the_title_states_them_are_not_asked(made, told):
    found = made(LONG.replace("Study of", "Time alongside per year: 1500 h;"))
    assert "hours" not in told.questions(found)


@pytest.mark.parametrize(
    ("key", "answer"),
    [("hours", "many"), ("hours", "9000"), ("calm", "100"), ("calm", "20 %"), ("period", "0 s"), ("period", "often")],
)
def test_answers_when_they_cannot_be_read_are_refused(made, key, answer):
    with pytest.raises(InputError, match=f"answer to {key}"):
        made(LONG, answers={**ANSWERS, key: answer})


def test_calm_when_the_table_states_pretension_takes_it(made, told):
    text = "Case,Line,Pretension [kN],Mean [kN],Std [kN],Tz [s],P [%]\nA,L1,90,200,20,30,40\nA,L2,80,210,21,30,40\n"
    found = made(text, answers={"hours": "100"})
    assert by(found)["calm", "L2"].mean == 80 * KN
    assert "calm-pretension" in told.flags(found)


# --- checks --------------------------------------------------------------------------------------


def test_maximum_when_outside_two_to_six_sigma_is_flagged(made, told):
    text = LONG.replace("230,35,360", "230,35,450").replace("190,28,290", "190,28,230")
    found = made(text, answers=ANSWERS)
    sentences = [flag.text for flag in found.report.flags if flag.code == "max-outside"]
    assert [sentence[: sentence.index(" standard")] for sentence in sentences] == [
        "LC2, L1: the maximum lies 6.3", "LC2, L2: the maximum lies 1.4"]  # fmt: skip
    assert told.rows(found, "max-outside") == [5, 6]


def test_mean_when_below_two_sigma_is_flagged_as_slack(made, told):
    found = made(LONG.replace("190,28,290", "190,100,590"), answers=ANSWERS)
    assert told.rows(found, "slack-negative") == [6]
    assert "max-outside" not in told.flags(found)


def test_rows_when_they_cannot_be_are_dropped_with_the_reason(made):
    text = (
        LONG.replace("210,12,255", "210,12,200").replace("180,10,215", ",10,215").replace("230,35,360", "230,-35,360")
    )
    found = made(text, answers={key: value for key, value in ANSWERS.items() if key != "calm"} | {"calm": "100 kN"})
    assert {(item.row, item.why) for item in found.report.dropped if item.row < 7} == {
        (3, "a maximum below the mean"), (4, "no mean tension"), (5, "a standard deviation or amplitude below zero"),
    }  # fmt: skip
    assert (found.report.rows_read, found.report.rows_kept) == (4, 1)


def test_maximum_alone_when_its_duration_is_not_stated_is_asked(made, told):
    text = table(
        **{"Case": ["A"], "Line": ["L1"], "Mean [kN]": [200], "Max [kN]": [300], "Tz [s]": [10], "P [%]": [100]}
    )
    assert told.questions(made(text)) == ["max.duration", "hours"]
    found = made(text, answers={"max.duration": "3 h", "hours": "10"})
    assert found.content[0].std == pytest.approx(100 * KN / math.sqrt(2.0 * math.log(1080.0)), rel=1e-12)
    assert found.content[0].estimated == ("std",)
    assert told.flags(found)["estimate"] == "caution"


def test_most_probable_maximum_when_compared_with_published_values_agrees():
    published = {100: 3.034854259, 1000: 3.716922189, 10000: 4.291932053}  # sigma, SE-06
    for cycles, sigmas in published.items():
        assert most_probable_maximum(cycles) == pytest.approx(sigmas, rel=1e-9)


def test_extremes_alone_when_completed_give_mean_and_std():
    state = completed(LoadState("A", "L", 1.0, 1.0, max=300.0, min=100.0, period=10.0, duration=10800.0))
    assert state.mean == 200.0
    assert state.std == pytest.approx(100.0 / most_probable_maximum(1080.0))
    assert state.estimated == ("mean", "std")


def test_significant_when_it_is_a_range_is_halved_and_asked_where_unsaid(made, told):
    def read(heading, **answers):
        text = table(
            **{"Case": ["A"], "Line": ["L1"], "Mean [kN]": [200], heading: [80], "Tz [s]": [10], "P [%]": [100]}
        )
        return made(text, answers={"hours": "10", **answers})

    assert read("Significant amplitude [kN]").content[0].amplitude == 80 * KN
    assert read("Significant double amplitude [kN]").content[0].amplitude == 40 * KN
    assert told.questions(read("Significant [kN]")) == ["significant"]
    assert read("Significant [kN]", significant="range").content[0].amplitude == 40 * KN


def test_means_alone_when_read_are_steady_only_by_an_answer(made, told):
    text = table(**{"Case": ["A"], "Line": ["L1"], "Mean [kN]": [200], "P [%]": [100]})
    assert "steady" in told.questions(made(text))
    assert made(text, answers={"steady": "yes", "hours": "10"}).content[0].amplitude == 0.0


def test_unreadable_cells_when_read_are_missing_with_their_reason(made):
    found = made(LONG.replace("230,35,360", "230,35*,360"), answers=ANSWERS)
    assert [(item.row, item.read) for item in found.report.replaced] == [(5, "35*")]
    state = by(found)["LC2", "L1"]
    assert state.estimated == ("std",)


# --- into a case ---------------------------------------------------------------------------------


def test_states_when_pasted_under_a_berth_are_accepted(made, tmp_path):
    found = made(LONG.replace("LC2", 'LC2 "swell"\x07'), answers=ANSWERS)
    text = states_toml(found.content, {"L1": "forward springs", "L2": "forward breasts"}, "made.csv")
    demo = (Path(__file__).parents[2] / "src/linewright/services/demo_study/case.toml").read_text(encoding="utf-8")
    head = demo[: demo.index("[[berth]]")]
    lines = [name.split('"')[1] for name in head.splitlines() if name.startswith("name = ")]
    extra = "".join(f'[berth.state.tension."{line}"]\nmean = "90 kN"\namplitude = "0 kN"\n' for line in lines[2:])
    text = text.replace("\n[[berth.state]]", f"\n{extra}\n[[berth.state]]") + extra
    path = tmp_path / "case.toml"
    berth = '[[berth]]\nname = "North"\nclimate = "hot-typical-year"\ncalls_per_year = 30\nhours_per_call = "40 h"\n\n'
    path.write_text(head + berth + text, encoding="utf-8")

    case = read_case(path)

    states = {state.name: state for state in case.berths[0].states}
    assert math.fsum(state.share for state in states.values()) == pytest.approx(1.0, abs=1e-12)
    swell = next(state for name, state in states.items() if name.startswith("LC2"))
    assert swell.tension["forward springs"].mean.value == 230 * KN
    assert swell.tension["forward springs"].amplitude.value == 70 * KN
    assert swell.tension["forward springs"].amplitude_kind == "significant"
    assert swell.tension["forward springs"].period == 60.0
    assert "# made.csv, row 5; row 6" in text


def test_states_when_several_lines_share_a_group_write_the_hardest_loaded(made):
    text = states_toml(made(LONG, answers=ANSWERS).content, {"L1": "springs", "L2": "springs"})
    assert text.count('[berth.state.tension."springs"]') == 3
    assert 'mean = "230 kN"' in text
    assert 'mean = "190 kN"' not in text


def test_shares_when_written_add_to_a_hundred_exactly():
    states = [LoadState(str(n), "L", 1.0 / 7.0, 1.0, 1000.0, 0.0) for n in range(7)]
    written = [
        line.split('"')[1].removesuffix(" %") for line in states_toml(states).splitlines() if line.startswith("share")
    ]
    assert sum(round(float(share) * 1e5) for share in written) == 10**7


def test_states_when_they_are_no_whole_berth_are_not_written():
    with pytest.raises(InputError, match="no whole berth"):
        states_toml([LoadState("A", "L", 0.5, 1.0, 1000.0, 0.0)])


def test_report_when_printed_is_json(made):
    assert json.loads(json.dumps(made(LONG, answers=ANSWERS).report.as_dict()))["kind"] == "load-table"


def test_table_of_unnamed_figures_with_cases_and_probabilities_is_one_and_asks_what_they_are(tmp_path: Path) -> None:
    path = tmp_path / "table.csv"
    path.write_text("Case,Line 1,Line 2,Prob\nWind N 20 kn,120,130,20%\nSwell W 1.5 m,180,170,10%\n")
    found = import_file(path)

    assert found.report.kind == "load-table"
    assert "statistic" in {question.key for question in found.report.questions}


def test_shares_when_percent_add_to_one_only_are_asked_for(made, told):
    columns = {"Line": ["L1"] * 2, "Mean [kN]": [200, 220], "Std [kN]": [20, 30], "Tz [s]": [10, 10]}
    text = table(**{"Case": ["A", "B"], **columns, "P [%]": ["0.30", "0.50"]})
    given = {"hours": "1000", "calm": "100 kN"}
    assert told.questions(made(text, answers=given)) == ["unit.share"]
    found = made(text, answers={**given, "unit.share": "fraction"})
    assert [state.share for state in found.content] == pytest.approx([0.3, 0.5, 0.2])
    found = made(text, answers={**given, "unit.share": "percent"})
    assert [state.share for state in found.content] == pytest.approx([0.003, 0.005, 0.992])


def test_doubt_when_a_mean_is_missing_has_no_nan_in_its_words(made):
    columns = {"Line": ["L1", "L2"], "Mean [kN]": ["", 200], "Std [kN]": [20, 20], "Max [kN]": [300, 270]}
    found = made(table(**{"Case": ["A", "A"], **columns, "Tz [s]": [10, 10], "P [%]": [40, 40]}))
    assert found.report.is_open
    assert not [flag.text for flag in found.report.flags if "nan" in flag.text]


def test_state_when_no_line_carries_it_is_refused(made):
    columns = {"Line": ["L1", "L2"], "Mean [kN]": ["1e30", 200], "Std [kN]": [20, 20], "Tz [s]": [10, 10]}
    found = made(table(**{"Case": ["A", "A"], **columns, "P [%]": [100, 100]}), answers={"hours": "1000"})
    assert [state.line for state in found.content] == ["L2"]
    assert [item.why for item in found.report.dropped if "no line carries" in item.why]
