"""Any table ends as figures, reported gaps, questions or a refusal: never a crash, a hang or a silent value."""

import json
import math
import time
from pathlib import Path

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as some

from linewright.base.errors import InputError
from linewright.importers import records
from linewright.importers.grid import Cell, Numbers, sheet_of_text
from linewright.importers.report import Log
from linewright.importers.text import read_text

SAMPLES = Path(__file__).parent / "samples"
TEXTS = [
    "residual_strength_table.csv", "metocean_scatter_percent_tokens.csv", "line_register_good.csv",
    "line_register_bad.csv", "mooring_calls_local_times.csv",
]  # fmt: skip
STUDY = """Case;Prob [%];Line;Mean [kN];Std [kN];Max 3h [kN];Tz [s]
A;40;L1;200,5;20;270;30
A;40;L2;210;22;280;30
B;10;L1;240;50;420;40
B;10;L2;250;55;440;40
"""
WORDS = [
    "", "-", "<0,1", ">4", "1,340", "1.340", "1 340,0", "NaN", "#REF!", "1e999", "-5", "0", "Line", "Mean", "Std",
    "Prob", "Case", "Hs", "Tp", "%", "kN", "ton", "44 mm", "5.5 in circ.", "2026-02-30", "31/02/2026",
    "Total", "=1+1", "١٢", "1_2",
    "\u2212", "∞", "0-1", "1-2", "<1", "8 Oct", "NA", "00120", "UTC+99:99", "Europe/Oslo", "../..", "\x07",
]  # fmt: skip
QUICK = settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
ANSWERS = {"hours": "1000", "calm": "50 kN", "sdmbl": "1300 kN", "ldbf": "1340 kN"}


def read(path: Path, kind: str | None = None):
    """An import by this room's doors, with the answers that it asks for, or its refusal."""
    answers: dict[str, str] = {}
    for _ in range(8):
        try:
            log = Log(answers)
            if path.suffix == ".xlsx":
                found = records.read_sheet_file(path, log, kind)
            else:
                found = records.read_record_text(read_text(path, Log()), log, kind)
        except InputError as error:
            return str(error)
        if found is None or not found.report.is_open:
            return found
        for question in found.report.questions:
            answers[question.key] = question.choices[0] if question.choices else ANSWERS.get(question.key, "10 s")
    return found


def held(found) -> None:
    """What every import owes: counts that agree, a report that JSON holds, and no infinite figure."""
    if found is None or isinstance(found, str):
        return
    report = found.report
    json.dumps(report.as_dict(), allow_nan=False)
    assert 0 <= report.rows_kept <= report.rows_read
    assert report.dropped_count >= len(report.dropped)
    for values in found.values.values():
        assert not any(math.isinf(value) for value in values.tolist())
    gaps = sum(
        int(math.isnan(value)) for name, values in found.values.items() for value in values.tolist() if name == "ldbf"
    )
    if gaps and report.form in ("line certificates", "line register"):
        assert report.replaced_count or report.questions or report.is_open or not report.rows_kept


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("fuzz")


@QUICK
@given(some.data())
def test_samples_when_cells_and_marks_are_changed_end_well(folder, data):
    text = data.draw(some.sampled_from([*((SAMPLES / name).read_text(encoding="utf-8") for name in TEXTS), STUDY]))
    rows = [line.split(";" if ";" in text else ",") for line in text.splitlines()]
    for _ in range(data.draw(some.integers(1, 6))):
        row = data.draw(some.sampled_from(rows))
        if row:
            row[data.draw(some.integers(0, len(row) - 1))] = data.draw(some.sampled_from(WORDS))
    if data.draw(some.booleans()):
        rows = data.draw(some.permutations(rows))
    mark = data.draw(some.sampled_from([",", ";", "\t", "|"]))
    path = folder / "a.csv"
    path.write_text("\n".join(mark.join(row) for row in rows), encoding="utf-8")
    held(read(path))


@QUICK
@given(
    some.lists(
        some.lists(some.sampled_from(WORDS) | some.floats() | some.integers(-5, 10**6) | some.datetimes(), max_size=6),
        max_size=9,
    ),
    some.sampled_from([None, "records", "load-table", "waves"]),
)
def test_sheets_when_of_anything_end_well(folder, rows, kind):
    path = folder / "a.xlsx"
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append([value.replace("\x07", "") if isinstance(value, str) else value for value in row])
    book.save(path)
    held(read(path, kind))


@QUICK
@given(some.binary(max_size=400))
def test_bytes_when_called_a_spreadsheet_end_well(folder, content):
    path = folder / "b.xlsx"
    path.write_bytes(b"PK\x03\x04" + content)
    assert isinstance(read(path), str)


@QUICK
@given(some.text(max_size=30), some.sampled_from([None, ".", ","]))
def test_any_cell_when_read_is_a_number_or_says_why_not(text, mark):
    log = Log()
    figure = Numbers(log, mark).figure(Cell(text), "column", 1)
    assert math.isfinite(figure.value) != bool(figure.why)
    if figure.why == "an open mark":
        assert log.questions


@pytest.mark.parametrize(
    ("head", "row"),
    [
        ("line_id,position,winch,LDBF_kN,SDMBL_kN", "same,H,W,1000,1300"),
        ("line_id,hours,test_kN,stated_pct,basis", "L{},1000,700,90,?"),
        ("call,port,zone,all fast,last line", "{},A,UTC,2026-01-02 00:00,2026-01-01 00:00"),
        ("Cert no,Line,LDBF (kN),Diameter (mm)", "{},L,13,44"),
        ("Case;Line;Mean [kN];Std [kN];Max [kN];Tz [s];P [%]", "C{};L;200;150;210;30;0.01"),
    ],
)
def test_thousands_of_bad_rows_when_read_are_told_in_bounded_words_and_time(folder, head, row):
    path = folder / "bad.csv"
    path.write_text("\n".join([head, *(row.replace("{}", str(n)) for n in range(5000))]), encoding="utf-8")
    begin = time.perf_counter()
    found = read(path)
    assert time.perf_counter() - begin < 15.0
    assert found.report.rows_read == 5000
    flags = [flag for flag in found.report.flags if "more of this kind" in flag.text]
    assert flags
    assert len(found.report.flags) < 500


@pytest.mark.parametrize("size", [200, 20000])
def test_long_registers_when_read_take_time_in_proportion(folder, size):
    head, *rows = (SAMPLES / "line_register_good.csv").read_text(encoding="utf-8").splitlines()
    path = folder / "long.csv"
    path.write_text(
        "\n".join([head, *(row.replace("L", f"{n}L", 1) for n in range(size // 18) for row in rows)]), encoding="utf-8"
    )
    begin = time.perf_counter()
    assert read(path).report.rows_read == size // 18 * 18
    assert time.perf_counter() - begin < 1.0 + size * 1e-3


def test_one_endless_line_when_read_is_refused(folder):
    path = folder / "line.csv"
    path.write_text("Case,Mean,Std\n" + "1," * 900_000, encoding="utf-8")
    assert "no table of text" in read(path)


def test_quoted_cells_when_they_hold_delimiters_and_line_ends_are_one_cell(folder):
    path = folder / "quoted.csv"
    path.write_text('Case,"Mean\n[kN]",Std [kN],Line\n"A, swell",200,20,L1\n', encoding="utf-8")
    sheet = sheet_of_text(read_text(path, Log()))
    assert [row.line for row in sheet.rows] == [1, 3]
    assert sheet.rows[1].cells[0].text == "A, swell"
