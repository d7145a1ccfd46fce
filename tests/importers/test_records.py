"""Registers, certificates, particulars, port calls, residual strength: the samples' sentences and nasty relatives."""

import math
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import openpyxl
import pytest

from linewright.base.errors import InputError
from linewright.importers import calls
from linewright.importers.header import G
from linewright.importers.recognise import import_file

KN = 1e3
SAMPLES = Path(__file__).parent / "samples"


@pytest.fixture
def book(tmp_path, made):
    """Import a workbook of named sheets of rows."""

    def read(answers=None, as_kind=None, **content):
        made_book = openpyxl.Workbook()
        made_book.remove(made_book.active)
        for name, rows in content.items():
            sheet = made_book.create_sheet(name)
            for row in rows:
                sheet.append(row)
        made_book.save(tmp_path / "book.xlsx")
        return made((tmp_path / "book.xlsx").read_bytes(), "book.xlsx", answers, as_kind)

    return read


def texts(found, code):
    return [flag.text for flag in found.report.flags if flag.code == code]


# --- particulars ---------------------------------------------------------------------------------


def test_particulars_sample_when_read_takes_units_from_the_sheet(read, told):
    found = read("vessel_particulars_good.xlsx")
    items = {item.key: item for item in found.content if item.key}

    assert (found.report.kind, found.report.form, found.report.rows_read) == ("records", "ship particulars", 8)
    assert (items["sdmbl"].value, items["sdmbl"].unit) == (1300 * KN, "kN")
    assert items["lines"].value == 18.0
    assert (items["length_overall"].value, items["length_overall"].unit) == (290.0, "m")
    assert (items["windage"].value, items["windage"].unit) == (6800.0, "m2")
    assert told.questions(found) == []
    assert found.report.flags == ()
    assert told.column(found, "Length over all").because == "stated beside the value"


def test_particulars_when_in_feet_and_tonnes_are_converted_and_said(book, told):
    found = book(P=[["Item", "Value", "Unit"], ["LOA", 951.4, "ft"], ["SDMBL", 132.6, "t"], ["Beam", "46 m", None]])
    items = {item.key: item.value for item in found.content}
    assert items["length_overall"] == pytest.approx(951.4 * 0.3048)
    assert items["sdmbl"] == pytest.approx(132.6 * 1e3 * G)
    assert items["beam"] == 46.0
    assert "tonne-force" in told.flags(found)


def test_particulars_when_a_unit_is_missing_ask_for_it(book, told):
    found = book(P=[["Item", "Value", "Unit"], ["LOA", 290, None], ["SDMBL", 1300, None], ["Beam", 46, "m"]])
    assert told.questions(found) == ["unit.length_overall", "unit.sdmbl"]


def test_particulars_when_a_form_of_labels_is_read_across(book):
    rows = [
        ["Ship's particulars"],
        ["LOA (m)", 290, None, "Beam (m)", 46],
        ["SDMBL:", 1300, "kN", "Number of lines", 18],
    ]
    items = {item.key: item.value for item in book(Form=rows).content if item.key}
    assert items == {"length_overall": 290.0, "beam": 46.0, "sdmbl": 1300 * KN, "lines": 18.0}


def test_particulars_when_not_plausible_are_flagged_with_what_they_look_like(book):
    found = book(P=[["Item", "Value", "Unit"], ["LOA", 2900, "m"], ["SDMBL", 20, "kN"], ["Beam", 46, "m"]])
    assert texts(found, "item-implausible") == [
        "LOA: 2900 m is not plausible", "SDMBL: 20 kN is not plausible; read as tf it would be 196 kN"]  # fmt: skip


# --- certificates --------------------------------------------------------------------------------


def test_certificates_sample_when_read_holds_every_sentence(read, told):
    found = read("line_certificates_text_numbers.xlsx")
    by = {item.number: item for item in read("line_certificates_text_numbers.xlsx", decimal="comma").content}

    assert (found.report.kind, found.report.rows_read, found.report.rows_kept) == ("records", 6, 6)  # not row 400
    assert told.rows(found, "rows-hidden") == [5]
    assert list(by) == ["00120", "00121", "00122", "00123", "00124", "00125"]
    assert by["00121"].ldbf == 1340.0 * KN
    assert by["00122"].ldbf == pytest.approx(1339.6 * KN, abs=50.0)
    assert math.isnan(by["00123"].ldbf)
    assert [(item.row, item.why) for item in found.report.replaced if item.row == 5] == [
        (5, "no value stored with the formula - open and save in a spreadsheet")]  # fmt: skip
    assert told.questions(found) == ["decimal"]
    assert "1.34 or 1340" in found.report.questions[0].because
    assert by["00124"].diameter == pytest.approx(44.5e-3, abs=5e-5)
    assert by["00125"].ldbf == pytest.approx(13.4 * KN)
    assert any("13.4 kN is not plausible" in text for text in texts(found, "strength-implausible"))


def test_ambiguous_number_when_answered_is_read_so(read):
    def force(mark):
        found = read("line_certificates_text_numbers.xlsx", decimal=mark)
        return next(item.ldbf for item in found.content if item.number == "00124")

    assert force("point") == 1340.0 * KN
    assert force("comma") == 1.34 * KN


def test_certificates_when_german_and_in_tonnes_are_read(made):
    text = (
        "Zeugnis-Nr.;Leine;Bruchkraft (t);Durchmesser [mm];Gewicht [kg/100m];Datum\n007;L1;136,6;44;99,5;31.03.2024\n"
    )
    item = made(text).content[0]
    assert (item.number, item.diameter, item.mass) == ("007", pytest.approx(0.044), pytest.approx(0.995))
    assert item.ldbf == pytest.approx(136.6e3 * G)


def test_certificates_when_a_number_stands_twice_are_flagged(made, told):
    text = "Cert no,Line,LDBF (kN),Diameter (mm)\n01,L1,1340,44\n01,L2,1340,44\n"
    assert told.flags(made(text))["id-twice"] == "refused"


def test_certificates_when_the_ton_is_open_ask_for_it(made, told):
    text = "Cert no,Line,LDBF (tons),Diameter (mm)\n01,L1,136.6,44\n"
    assert told.questions(made(text)) == ["unit.ton"]
    assert made(text, answers={"unit.ton": "metric"}).content[0].ldbf == pytest.approx(136.6e3 * G)


# --- registers -----------------------------------------------------------------------------------


def test_good_register_sample_when_read_has_no_warning(read, told):
    found = read("line_register_good.csv")
    assert (found.report.kind, found.report.form, found.report.rows_kept) == ("records", "line register", 18)
    assert found.report.flags == ()
    assert found.report.dropped == found.report.replaced == found.report.questions == ()
    assert {round(item.bend_ratio, 12) for item in found.content} == {10.0}
    assert {round(100 * item.ldbf / item.sdmbl, 1) for item in found.content} == {103.1}
    assert {round(100 * item.tail_strength / item.sdmbl, 1) for item in found.content} == {126.9}
    assert told.column(found, "LDBF").unit == "kN"


def test_bad_register_sample_when_read_holds_every_sentence(read, told):
    found = read("line_register_bad.csv")
    faults = [(item.id, item.faults) for item in found.content]

    assert [name for name, _ in faults] == [
        "NA",
        "1E5",
        "03-04",
        "L04",
        "L04",
        "L05",
        "L06",
        "L07",
        "L08",
        "007",
        "=1+1",
    ]
    assert faults[3][1] == ("the id stands 2 times, in rows 5, 6", "it is retired before it is installed")
    assert faults[5][1] == ("LDBF is 96.2 % of SDMBL, outside 100 to 105 %",)
    assert faults[6][1] == ("LDBF is 112.3 % of SDMBL, outside 100 to 105 %",)
    assert faults[7][1] == ("the tail has 103.1 % of SDMBL, below 125 %",)
    assert faults[8][1] == (
        "a tail of 220 m is not plausible (5 to 60 m)",
        "the diameter of the fairlead is missing: D/d is unknown",
    )
    assert faults[9][1] == ("LDBF 137 looks like tf in a column of kN: 137 tf are 1343.5 kN",
                            "D 0.44 looks like metres in a column of mm: D/d is unknown")  # fmt: skip
    assert all(not own for name, own in faults if name in ("NA", "1E5", "03-04", "=1+1"))
    assert math.isnan(found.content[8].bend_ratio)
    assert told.flags(found)["id-twice"] == told.flags(found)["dates-order"] == "refused"
    assert told.column(found, "D/d").missing == 2


def test_register_when_of_a_spreadsheet_with_number_ids_keeps_them_as_text(book):
    head = ["Line no", "Position", "Winch", "LDBF (t)", "SDMBL (t)", "Diameter (mm)", "Tail length (m)"]
    found = book(
        Lines=[head, ["0012", "HL1", 1, 136.6, 132.6, 44, 22], [13, "HL2", 2, 136.6, 132.6, 44, 11], ["Total", None, 2]]
    )
    assert [item.id for item in found.content] == ["0012", "13"]
    assert found.content[0].ldbf == pytest.approx(136.6e3 * G)
    assert [item.why for item in found.report.dropped] == ["a total, not a record"]


def test_register_when_headings_stand_under_groups_is_read(book, told):
    rows = [
        ["Line", None, "Main rope", None, None, "Tail", None, None, "Owner"],
        ["No.", "Position", "LDBF", "SDMBL", "Diameter", "Material", "Length", "TDBF", "mark"],
        [None, None, "t", "kN", "mm", None, "m", "t", None],
        ["0012", "HL1", 136.6, 1300, 44, "polyester", 22, 168, "x"],
    ]
    found = book(Lines=rows)
    line = found.content[0]
    assert (line.id, line.position, line.sdmbl, line.diameter, line.tail_length) == (
        "0012",
        "HL1",
        1300 * KN,
        0.044,
        22.0,
    )
    assert line.ldbf == pytest.approx(136.6e3 * G)
    assert line.tail_strength == pytest.approx(168e3 * G)
    assert told.column(found, "Owner mark").quantity == "not used"


def test_register_when_it_states_the_radius_of_the_roller_doubles_it(made):
    text = "line_id,position,winch,LDBF_kN,diameter_mm,roller radius (mm)\nL1,H1,W1,1340,44,220\n"
    assert made(text).content[0].bend_ratio == pytest.approx(10.0)


def test_register_when_dates_do_not_tell_day_from_month_asks(made, told):
    text = "line_id,position,install_date,retire_date,LDBF_kN,SDMBL_kN\nL1,H1,03/04/2024,05/03/2024,1340,1300\n"
    assert told.questions(made(text)) == ["time.order"]
    assert "dates-order" in told.flags(made(text, answers={"time.order": "day first"}))
    assert "dates-order" not in told.flags(made(text, answers={"time.order": "month first"}))


# --- calls ---------------------------------------------------------------------------------------


def test_calls_sample_when_read_holds_every_sentence(read, told):
    found = read("mooring_calls_local_times.csv")
    by = {call.id: call for call in found.content}

    hours = {name: round(call.hours, 9) for name, call in by.items() if not call.fault}
    assert hours == {"1": 29.5, "2": 30.5, "3": 30.0, "4": 25.0, "6": 25.0, "8": 32.0}
    assert by["5"].fault.startswith("ends before it starts")
    assert by["7"].fault == "overlaps call 6 by 8.00 h"
    assert by["8"].hours_by_year() == pytest.approx({2026: 14.0, 2027: 18.0})
    assert {(item.row, item.why[:8]) for item in found.report.dropped} == {(6, "ends bef"), (8, "overlaps")}
    assert (found.report.rows_read, found.report.rows_kept) == (8, 6)
    assert told.flags(found)["call-negative"] == told.flags(found)["call-overlaps"] == "refused"
    assert told.questions(found) == []


def test_calls_when_held_against_the_zone_database_agree(read):
    zones = {"UTC+04:00": ZoneInfo("Asia/Dubai"), "Europe/Oslo": ZoneInfo("Europe/Oslo")}
    found = read("mooring_calls_local_times.csv")
    lines = (
        line.split(",")
        for line in (SAMPLES / "mooring_calls_local_times.csv").read_text(encoding="utf-8").splitlines()[1:]
    )
    for call, (name, _, zone, start, end, _) in zip(found.content, lines, strict=True):
        utc = [
            datetime.fromisoformat(text).replace(tzinfo=zones[zone]).astimezone(UTC).timestamp()
            for text in (start, end)
        ]
        assert (call.id, call.start, call.end) == (name, *utc)


def test_hours_by_condition_when_summed_are_split_by_port_and_year(read):
    found = calls.hours_by_condition(read("mooring_calls_local_times.csv").content)
    assert found["Equator Terminal", "swell"] == pytest.approx({2026: 30.0 + 14.0, 2027: 18.0})
    assert found["North Quay", "storm"] == pytest.approx({2026: 30.5 + 25.0})
    assert found["North Quay", "benign"] == pytest.approx({2026: 25.0})


CALLS = "call,port,zone,all fast,last line,condition\n{}\n"


@pytest.mark.parametrize(
    ("row", "why"),
    [
        ("1,A,Europe/Oslo,2026-03-29 02:30,2026-03-29 12:00,x", "an hour that the change to summer time skips"),
        ("1,A,Middle/Earth,2026-03-28 02:30,2026-03-29 12:00,x", "no time zone that is known: Middle/Earth"),
        ("1,A,UTC,2026-03-28 02:30,soon,x", "no time that can be read: soon"),
        ("1,A,UTC,2026-03-28 02:30,,x", "no time that can be read: blank"),
        ("1,A,UTC,2026-03-28 02:30,2026-03-28 02:30,x", "ends before it starts"),
    ],
)
def test_calls_when_they_cannot_be_are_dropped_with_the_reason(made, row, why):
    good = "0,A,UTC,2026-01-01 00:00,2026-01-02 00:00,x"
    found = made(CALLS.format(f"{good}\n{row}"))
    assert [(item.row, why in item.why) for item in found.report.dropped] == [(3, True)]
    assert found.report.rows_kept == 1


def test_calls_when_in_the_doubled_hour_ask_which_pass(made, told):
    text = CALLS.format("1,A,Europe/Oslo,2026-10-25 02:30,2026-10-25 12:00,x")
    assert told.questions(made(text)) == ["time.fold"]
    assert made(text, answers={"time.fold": "first"}).content[0].hours == pytest.approx(10.5)
    assert made(text, answers={"time.fold": "second"}).content[0].hours == pytest.approx(9.5)


def test_calls_when_stamps_state_their_offset_need_no_zone(made):
    text = "call,port,arrival,departure\n1,A,2026-01-04T06:10+04:00,2026-01-05T02:10Z\n"
    assert made(text).content[0].hours == pytest.approx(24.0)


def test_calls_when_no_zone_is_stated_ask_for_it(made, told):
    text = "Reise;Hafen;Ankunft;Abfahrt\n1;A;28.03.2026 20:00;29.03.2026 22:00\n"
    assert told.questions(made(text)) == ["time.zone"]
    assert made(text, answers={"time.zone": "Europe/Berlin"}).content[0].hours == pytest.approx(25.0)


def test_calls_when_dates_and_times_stand_apart_are_joined(made):
    text = "call,port,zone,arrival date,time,departure date,time\n1,A,UTC,2026-01-04,06:10,2026-01-05,07:10\n"
    assert made(text).content[0].hours == pytest.approx(25.0)


def test_calls_when_of_a_spreadsheet_have_its_dates(book):
    rows = [
        ["Call", "Port", "Zone", "All fast", "Last line"],
        [1, "A", "UTC+4", datetime(2026, 1, 4, 6, 10), datetime(2026, 1, 5, 7, 10)],
    ]
    call = book(Calls=rows).content[0]
    assert call.start == datetime(2026, 1, 4, 2, 10, tzinfo=UTC).timestamp()
    assert call.hours == pytest.approx(25.0)


def test_calls_of_two_ships_when_at_the_same_time_do_not_overlap(made, told):
    rows = "1,A,UTC,{},2026-01-01 00:00,2026-01-02 00:00\n2,A,UTC,{},2026-01-01 12:00,2026-01-02 12:00"
    head = "call,port,zone,ship,all fast,last line\n"
    assert "call-overlaps" not in told.flags(made(head + rows.format("one", "two") + "\n"))
    assert "call-overlaps" in told.flags(made(head + rows.format("one", "one") + "\n"))


def test_calls_when_port_and_berth_stand_apart_both_are_kept_and_remarks_are_no_condition(made):
    text = (
        "call;port;berth;arrival;departure;remarks\n"
        "1;South Harbour;Q1;04.01.2026 06:00;05.01.2026 06:00;line parted\n"
        "2;South Harbour;Q2;14.01.2026 06:00;15.01.2026 18:00;\n"
    )
    found = made(text, answers={"time.zone": "UTC+4"})

    assert [(call.place, call.condition, call.hours) for call in found.content] == [
        ("South Harbour, Q1", "", 24.0),
        ("South Harbour, Q2", "", 36.0),
    ]
    assert {item.name: item.quantity for item in found.report.columns}["remarks"] == "not used"
    assert [row["port"] for row in found.report.notes["hours"]] == ["South Harbour, Q1", "South Harbour, Q2"]
    assert (found.report.time.zone, found.report.time.because) == ("UTC+4", "answer")


# --- residual strength ---------------------------------------------------------------------------

STRENGTHS = {"sdmbl": "1300 kN", "ldbf": "1340 kN"}


def test_residual_sample_when_read_holds_every_sentence(read, told):
    assert told.questions(read("residual_strength_table.csv")) == ["sdmbl", "ldbf"]
    found = read("residual_strength_table.csv", **STRENGTHS)
    tests = {test.id: test for test in found.content}

    assert (found.report.kind, found.report.form, found.report.rows_read) == ("tensile", "residual strength", 5)
    assert (round(100 * tests["L04"].of_sdmbl, 1), round(100 * tests["L04"].of_ldbf, 1)) == (85.0, 82.5)
    assert "bases-mixed" in told.flags(found)
    assert texts(found, "base-missing") == ["L13: 91.5 % without a base; it fits SDMBL: 91.5 % SDMBL, 88.8 % LDBF"]
    assert texts(found, "retire") == ["L06: 74.0 % of SDMBL is below 75 %: retire the line"]
    assert told.rows(found, "retire") == [5]
    assert texts(found, "strength-in-tonnes") == [
        "L01: 137 looks like tf in a column of kN (137 tf are 1343.5 kN); it is not used"
    ]
    assert math.isnan(tests["L01"].force)
    assert told.column(found, "share of SDMBL").missing == 1


def test_residual_when_a_stated_percentage_is_not_what_the_force_says_is_flagged(made):
    text = "line_id,hours,test_kN,stated_pct,basis\nL1,1000,1105,90,LDBF\n"
    assert texts(made(text, answers=STRENGTHS), "percent-differs") == [
        "L1: 90 % of LDBF is stated, the force says 85.0 % SDMBL, 82.5 % LDBF"]  # fmt: skip


def test_residual_when_strengths_stand_in_columns_asks_nothing(made, told):
    text = "Line,Hours,Test break load (kN),Stated (%),Basis,SDMBL (kN),LDBF (kN)\nL1,1000,1105,85,SDMBL,1300,1340\n"
    found = made(text)
    assert told.questions(found) == []
    assert found.content[0].of_ldbf == pytest.approx(1105 / 1340)


@pytest.mark.parametrize("answer", ["1300", "-5 kN", "many kN", "130 t"])
def test_residual_when_an_answer_is_no_force_is_refused(read, answer):
    with pytest.raises(InputError, match="answer to sdmbl"):
        read("residual_strength_table.csv", sdmbl=answer)


# --- which sheet, which kind ---------------------------------------------------------------------


def test_sheets_when_several_could_be_meant_are_asked(book, told):
    particulars = [["Item", "Value", "Unit"], ["LOA", 290, "m"], ["SDMBL", 1300, "kN"]]
    certificates = [["Cert no", "Line", "LDBF (kN)", "Diameter (mm)"], ["01", "L1", 1340, 44]]
    assert told.questions(book(Ship=particulars, Lines=certificates, Notes=[["read me"]])) == ["sheet"]
    assert book({"sheet": "Lines"}, Ship=particulars, Lines=certificates).report.form == "line certificates"
    assert told.questions(book(Ship=particulars, Notes=[["read me"]])) == []


def test_sheet_when_it_holds_a_tension_log_is_read_as_one(book):
    rows = [["Time UTC", "L01 [kN]"], *([datetime(2026, 7, 2, 2, n), 100.0 + n] for n in range(30))]
    found = book(Log=rows)
    assert found.report.kind == "tension"
    assert found.report.rows_read == 30


def test_sheet_when_of_no_known_kind_is_refused_with_the_kinds(book):
    with pytest.raises(InputError, match="no kind"):
        book(Notes=[["Name", "Colour"], ["a", "red"], ["b", 3]])
    with pytest.raises(InputError):
        book(as_kind="load-table", Ship=[["Item", "Value", "Unit"], ["LOA", 290, "m"], ["SDMBL", 1300, "kN"]])


def test_residual_when_both_strengths_stand_beside_the_break_loads_then_both_shares_follow(tmp_path: Path) -> None:
    """990 of 1300 kN is 76.2 %, 990 of 1340 kN is 73.9 %; 970 of 1300 kN is 74.6 %: retire."""
    path = tmp_path / "tests.csv"
    path.write_text("specimen,break load kN,ldbf kN,sdmbl kN,position\nA,990,1340,1300,eye\nB,970,1340,1300,fairlead\n")
    found = import_file(path)

    assert found.report.form == "residual strength"
    assert [round(100.0 * item.of_sdmbl, 1) for item in found.content] == [76.2, 74.6]
    assert [round(100.0 * item.of_ldbf, 1) for item in found.content] == [73.9, 72.4]
    assert any("retire" in flag.text for flag in found.report.flags)
