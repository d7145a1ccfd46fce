"""Spreadsheets: what each cell says, what is hidden or merged, and files that are refused in bounded time."""

import re
import time
import zipfile
from datetime import datetime
from pathlib import Path

import openpyxl
import pytest
from openpyxl.utils.datetime import CALENDAR_MAC_1904

from linewright.base.errors import InputError
from linewright.importers.report import Log
from linewright.importers.spreadsheet import NO_VALUE, read_workbook

SAMPLES = Path(__file__).parent / "samples"
SHEET = "xl/worksheets/sheet1.xml"


def book(path: Path, *rows, name: str = "Sheet", shape=None) -> Path:
    """A workbook made by the spreadsheet library."""
    made = openpyxl.Workbook()
    made.active.title = name
    for row in rows:
        made.active.append(row)
    if shape:
        shape(made)
    made.save(path)
    return path


def altered(path: Path, change, part: str = SHEET) -> Path:
    """The workbook with one part changed."""
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    parts[part] = change(parts[part])
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return path


def texts(path: Path, log: Log | None = None) -> list[tuple[int, list[str]]]:
    """Row numbers and texts of the first sheet."""
    sheet = read_workbook(path, log or Log()).sheets[0]
    return [(row.line, [cell.text for cell in row.cells]) for row in sheet.rows]


def test_cells_when_of_every_kind_agree_with_the_spreadsheet_library(tmp_path):
    rows = [
        ["name", 1, 2.5, -3e-7, True, datetime(2026, 3, 10), datetime(2026, 3, 10, 6, 10, 30)],
        ["0012", "1 340,0", 1e15, 0.1 + 0.2, False, datetime(1999, 12, 31, 23, 59), None],
    ]
    path = book(tmp_path / "a.xlsx", *rows)

    found = read_workbook(path, Log()).sheets[0].rows
    expected = list(openpyxl.load_workbook(path, data_only=True).active.iter_rows(values_only=True))

    for row, values in zip(found, expected, strict=True):
        for cell, value in zip(row.cells, values, strict=False):
            read = cell.date or (cell.value if cell.value is not None else cell.text)
            assert read == ({True: "TRUE", False: "FALSE"}[value] if isinstance(value, bool) else value)


def test_text_digits_when_read_stay_text_with_their_zeros(tmp_path):
    sheet = read_workbook(book(tmp_path / "a.xlsx", ["00120", "1E5", "NA", 120]), Log()).sheets[0]
    assert [cell.text for cell in sheet.rows[0].cells] == ["00120", "1E5", "NA", "120"]
    assert [cell.value for cell in sheet.rows[0].cells] == [None, None, None, 120.0]


def test_formula_when_it_has_no_stored_value_says_so_and_is_not_zero(tmp_path):
    cell = read_workbook(book(tmp_path / "a.xlsx", [1, "=A1*2"]), Log()).sheets[0].rows[0].cells[1]
    assert (cell.text, cell.value, cell.note) == ("", None, NO_VALUE)


def test_formula_when_its_value_is_stored_shows_it(tmp_path):
    path = altered(book(tmp_path / "a.xlsx", [1, "=A1*2"]), lambda xml: re.sub(rb"<v ?/>|<v></v>", b"<v>2</v>", xml))
    assert read_workbook(path, Log()).sheets[0].rows[0].cells[1].value == 2.0


def test_error_cell_when_read_is_missing_with_its_reason(tmp_path):
    path = altered(book(tmp_path / "a.xlsx", ["x"]), lambda xml: xml.replace(
        b"</row>", b'<c r="B1" t="e"><f>1/0</f><v>#DIV/0!</v></c></row>'))  # fmt: skip
    cell = read_workbook(path, Log()).sheets[0].rows[0].cells[1]
    assert cell.value is None
    assert "#DIV/0!" in cell.note


def test_percent_and_time_span_formats_when_read_carry_their_units(tmp_path):
    def shape(made):
        made.active["A1"].number_format, made.active["B1"].number_format = "0.0%", "[h]:mm"

    cells = read_workbook(book(tmp_path / "a.xlsx", [0.255, 1.25], shape=shape), Log()).sheets[0].rows[0].cells
    assert [(cell.value, cell.unit) for cell in cells] == [(25.5, "%"), (30.0, "h")]


def test_dates_when_the_book_counts_from_1904_are_the_same_days(tmp_path):
    def shape(made):
        made.epoch = CALENDAR_MAC_1904
        made.active["A1"] = datetime(2026, 3, 10)

    log = Log()
    assert texts(book(tmp_path / "a.xlsx", shape=shape), log) == [(1, ["2026-03-10"])]
    assert [flag.code for flag in log.flags] == ["dates-1904"]


def test_hidden_rows_columns_and_sheets_when_they_hold_data_are_read_and_said(tmp_path):
    def shape(made):
        made.active.row_dimensions[2].hidden = True
        made.active.column_dimensions["B"].hidden = True
        made.create_sheet("old")["A1"] = 7
        made["old"].sheet_state = "hidden"

    log = Log()
    found = read_workbook(book(tmp_path / "a.xlsx", ["a", "b"], [1, 2], shape=shape), log)

    assert [sheet.name for sheet in found.sheets] == ["Sheet", "old"]
    assert [row.is_hidden for row in found.sheets[0].rows] == [False, True]
    assert {flag.code for flag in log.flags} == {"rows-hidden", "columns-hidden", "sheet-hidden"}
    assert next(flag.rows for flag in log.flags if flag.code == "rows-hidden") == (2,)
    assert "(B)" in next(flag.text for flag in log.flags if flag.code == "columns-hidden")


def test_merged_headings_when_read_are_spread_over_their_cells(tmp_path):
    def shape(made):
        made.active.merge_cells("A1:A2")
        made.active.merge_cells("B1:C1")

    path = book(tmp_path / "a.xlsx", ["Case", "Line 1", None], [None, "Mean", "Std"], [1, 2, 3], shape=shape)
    assert texts(path)[:2] == [(1, ["Case", "Line 1", "Line 1"]), (2, ["Case", "Mean", "Std"])]


def test_stored_sheet_size_when_wrong_is_ignored_and_rows_after_a_gap_are_kept(tmp_path):
    path = book(tmp_path / "a.xlsx", ["a", "b"], [1, 2], *[[None]] * 50, [3, 4])
    altered(path, lambda xml: re.sub(rb'<dimension ref="[^"]*"', b'<dimension ref="A1"', xml))
    assert texts(path) == [(1, ["a", "b"]), (2, ["1", "2"]), (53, ["3", "4"])]


def by_hand(path: Path, cells: str, shared: str) -> Path:
    """A workbook with shared texts, prefixed names and paths from the root, as other writers make them."""
    space = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    linked = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    listed = "http://schemas.openxmlformats.org/package/2006/relationships"
    sheets = '<x:sheets><x:sheet name="S" sheetId="1" r:id="a"/></x:sheets>'
    parts = {
        "[Content_Types].xml": "<Types/>",
        "_rels/.rels": f'<Relationships xmlns="{listed}"><Relationship Id="o" Type="{linked}/officeDocument" '
        'Target="/book/main.xml"/></Relationships>',
        "book/_rels/main.xml.rels": f'<Relationships xmlns="{listed}"><Relationship Id="a" Type="{linked}/worksheet" '
        f'Target="/book/s.xml"/><Relationship Id="b" Type="{linked}/sharedStrings" Target="t.xml"/></Relationships>',
        "book/main.xml": f'<x:workbook xmlns:x="{space}" xmlns:r="{linked}">{sheets}</x:workbook>',
        "book/t.xml": f'<sst xmlns="{space}">{shared}</sst>',
        "book/s.xml": f'<x:worksheet xmlns:x="{space}"><x:sheetData>{cells}</x:sheetData></x:worksheet>',
    }
    with zipfile.ZipFile(path, "w") as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return path


def test_shared_and_rich_texts_when_read_leave_out_phonetic_readings(tmp_path):
    shared = "<si><r><t>Me</t></r><r><t>an</t></r><rPh sb='0' eb='1'><t>no</t></rPh></si><si><t>Std</t></si>"
    first = '<x:row><x:c t="s"><x:v>1</x:v></x:c><x:c t="s"><x:v>0</x:v></x:c></x:row>'
    cells = first + "<x:row><x:c><x:v>7</x:v></x:c></x:row>"
    assert texts(by_hand(tmp_path / "a.xlsx", cells, shared)) == [(1, ["Std", "Mean"]), (2, ["7"])]


def test_shared_text_when_its_number_is_out_of_range_is_refused(tmp_path):
    cells = '<x:row><x:c t="s"><x:v>9</x:v></x:c></x:row>'
    assert "IndexError" in refused(by_hand(tmp_path / "a.xlsx", cells, "<si><t>a</t></si>"))


def test_entities_when_shared_texts_declare_them_are_refused(tmp_path):
    path = by_hand(tmp_path / "a.xlsx", "", "<si><t>a</t></si>")
    altered(path, lambda xml: b'<!DOCTYPE a [<!ENTITY b "b">]>' + xml, "book/t.xml")
    assert "document type" in refused(path)


def test_million_formatted_empty_rows_when_read_take_seconds_and_are_no_data(tmp_path):
    def fill(xml):
        form = b'<row r="%d"><c r="A%d" s="0"/><c r="B%d" s="0"/></row>'
        rows = b"".join(form % (row, row, row) for row in range(2, 1_048_576))
        return xml.replace(b"</sheetData>", rows + b'<row r="1048576"><c r="A1048576"><v>5</v></c></row></sheetData>')

    path = altered(book(tmp_path / "a.xlsx", ["x"]), fill)
    begin = time.perf_counter()
    assert texts(path) == [(1, ["x"]), (1048576, ["5"])]
    assert time.perf_counter() - begin < 10.0


# --- refused -------------------------------------------------------------------------------------


def refused(path: Path) -> str:
    with pytest.raises(InputError) as error:
        read_workbook(path, Log())
    return str(error.value)


def test_zip_bomb_when_read_is_refused_before_it_is_unpacked(tmp_path):
    path = book(tmp_path / "a.xlsx", ["x"])
    with zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as archive, archive.open("xl/big.xml", "w") as stream:
        for _ in range(64):
            stream.write(b" " * (1 << 20))
    begin = time.perf_counter()
    assert "times" in refused(path)
    assert time.perf_counter() - begin < 1.0


@pytest.mark.parametrize("part", [SHEET, "xl/workbook.xml", "xl/styles.xml", "_rels/.rels"])
def test_entities_when_any_part_declares_them_are_refused(tmp_path, part):
    bomb = b'<!DOCTYPE a [<!ENTITY b "bbbbbbbbbb"><!ENTITY c "&b;&b;&b;&b;&b;&b;">]>'

    def declare(xml):
        return bomb + re.sub(rb"^<\?xml[^>]*\?>", b"", xml)

    assert "document type" in refused(altered(book(tmp_path / "a.xlsx", ["x"]), declare, part))


@pytest.mark.parametrize(
    ("content", "word"),
    [
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600, "password"),
        (b"PK\x03\x04 cut short", "whole .xlsx"),
        (b"Case;Mean\n1;2\n", "first bytes"),
        (b"PK\x03\x04" + b"\0" * 26 + b"mimetypeapplication/vnd.oasis.opendocument.spreadsheet", "OpenDocument"),
        (b"", "first bytes"),
    ],
)
def test_other_files_when_called_xlsx_are_refused_with_the_remedy(tmp_path, content, word):
    path = tmp_path / "a.xlsx"
    path.write_bytes(content)
    assert word in refused(path)


def test_zip_when_it_holds_no_workbook_is_refused(tmp_path):
    path = tmp_path / "a.xlsx"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("readme.xml", "<a/>")
    assert "without a workbook" in refused(path)


def test_empty_workbook_when_read_is_refused(tmp_path):
    assert "no filled cell" in refused(book(tmp_path / "a.xlsx"))


def test_every_cut_of_a_workbook_when_read_is_refused_or_read(tmp_path):
    whole = (SAMPLES / "line_certificates_text_numbers.xlsx").read_bytes()
    path = tmp_path / "a.xlsx"
    for end in range(4, len(whole), 131):
        path.write_bytes(whole[:end])
        with pytest.raises(InputError):
            read_workbook(path, Log())


def test_every_flipped_byte_of_a_workbook_when_read_ends_in_rows_or_a_refusal(tmp_path):
    whole = bytearray((SAMPLES / "vessel_particulars_good.xlsx").read_bytes())
    path = tmp_path / "a.xlsx"
    outcomes = set()
    for at in range(0, len(whole), 37):
        damaged = whole.copy()
        damaged[at] ^= 0x5A
        path.write_bytes(damaged)
        try:
            outcomes.add(bool(read_workbook(path, Log()).sheets))
        except InputError:
            outcomes.add("refused")
    assert outcomes == {True, "refused"}


def test_links_to_other_files_when_present_are_not_followed(tmp_path):
    def link(xml):
        return xml.replace(b"</Relationships>", b'<Relationship Id="rX" Type="http://x/externalLink" '
                           b'Target="file:///etc/passwd" TargetMode="External"/></Relationships>')  # fmt: skip

    assert texts(altered(book(tmp_path / "a.xlsx", ["x"]), link, "xl/_rels/workbook.xml.rels")) == [(1, ["x"])]
