"""Damaged and random files: refused with words, or imported so that every cell is a number or missing with a reason."""

import json
import time
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from linewright.base.errors import InputError
from linewright.importers import tensile, tension, thermocouple
from linewright.importers.recognise import import_file
from linewright.importers.report import Log
from linewright.importers.table import table_of
from linewright.importers.text import read_text

SAMPLES = sorted((Path(__file__).parent / "samples").glob("t[ce]*"))
READERS = {
    "tension": tension.read_tension,
    "thermocouple": thermocouple.read_thermocouples,
    "tensile": tensile.read_tensile,
}
ODD = [
    "",
    "-9999",
    "9999",
    "OL",
    "1,5",
    "1.234,5",
    "1 234",
    "1_2",
    "-",
    "--",
    "nan",
    "inf",
    "=1+1",
    "\x00",
    "٣",
    "1e400",
]
ODD += ["2026-02-01 00:00:00", "01/02/2026", "25:61", "2026-02-30", "24:00", "\ufeff1", "ton", "[kN]", "#", '"', "'"]
NO_TABLES = [b"", b"\x00" * 100, b"\xff\xfe", b"PK\x03\x04rest", b"\x1f\x8b", b"%PDF-1.7", b"\n\n\n", b"a\rb\rc"]
SECONDS = 20.0  # far above any honest reader of a few kB, far below a hang
CELL = st.one_of(
    st.floats(allow_nan=True, allow_infinity=True, width=32).map(str),
    st.integers(-(10**6), 10**10).map(str),
    st.sampled_from(ODD),
    st.text(max_size=8),
)  # fmt: skip
UNITS = st.sampled_from(["kN", "t", "ton", "tf", "N", "%", "degC", "s", "mm", "", "?"])
NAMES = st.sampled_from(["time", "t", "Date", "L1", "Hook 2", "TC1", "T_ref", "Load", "Extension", "max", "mean", "n"])


def judged(path: Path, kind: str | None) -> None:
    """Import a file and hold its report to the rule."""
    begin, told, found = time.monotonic(), "", None
    try:
        if kind is None:
            found = import_file(path)
        else:
            log = Log()
            found = READERS[kind](read_text(path, log), log)
    except InputError as error:
        told = error.render()
    finally:
        assert time.monotonic() - begin < SECONDS
    if found is None:
        assert told.strip()
        return
    report = found.report.as_dict()
    json.dumps(report, allow_nan=False)
    assert report["rows_kept"] <= report["rows_read"]
    if report["form"] != "wide table":
        return
    gone = {flag["column"] for flag in report["flags"] if flag["code"] in ("channel-missing", "implausible")}
    for column in report["columns"]:
        if column["quantity"] in ("time", "text", "status", "not used") or column["name"] in gone:
            continue
        told = [item for item in report["replaced"] if item["column"] == column["name"]]
        assert column["missing"] <= len(told), column
        assert column["values"] + column["missing"] == report["rows_kept"]


@st.composite
def damaged(draw) -> bytes:
    """A sample with bytes changed, cut out, doubled, or its lines mixed."""
    content = bytearray(draw(st.sampled_from(SAMPLES)).read_bytes())
    for _ in range(draw(st.integers(1, 6))):
        at = draw(st.integers(0, max(len(content) - 1, 0)))
        what = draw(st.sampled_from(["change", "cut", "double", "insert", "lines"]))
        length = draw(st.integers(1, 60))
        if what == "change" and content:
            content[at] = draw(st.integers(0, 255))
        elif what == "cut":
            del content[at : at + length]
        elif what == "double":
            content[at:at] = content[at : at + length]
        elif what == "insert":
            content[at:at] = draw(st.binary(max_size=20))
        else:
            lines = bytes(content).split(b"\n")
            content = bytearray(b"\n".join(draw(st.permutations(lines)) if len(lines) < 40 else lines[::-1]))
    return bytes(content)


@settings(max_examples=300, suppress_health_check=list(HealthCheck))
@given(content=damaged(), kind=st.sampled_from([None, *READERS]))
def test_damaged_sample_is_refused_or_told(tmp_path_factory, content: bytes, kind: str | None) -> None:
    path = tmp_path_factory.mktemp("fuzz") / "file.csv"
    path.write_bytes(content)
    judged(path, kind)


@st.composite
def tables(draw) -> str:
    """A random table with headings, units, and cells of every sort."""
    width = draw(st.integers(1, 5))
    mark = draw(st.sampled_from([",", ";", "\t", "|", " "]))
    rows = draw(st.lists(st.lists(CELL, min_size=max(width - 1, 1), max_size=width + 1), max_size=25))
    head = [f"{draw(NAMES)} [{draw(UNITS)}]" for _ in range(width)]
    preamble = draw(st.lists(st.text(max_size=15), max_size=3))
    return "\n".join([*preamble, mark.join(head), *(mark.join(row) for row in rows)])


@settings(max_examples=400, suppress_health_check=list(HealthCheck))
@given(text=tables(), kind=st.sampled_from([None, *READERS]))
def test_random_table_is_refused_or_told(tmp_path_factory, text: str, kind: str | None) -> None:
    path = tmp_path_factory.mktemp("fuzz") / "file.csv"
    path.write_bytes(text.encode("utf-8", "surrogatepass"))
    judged(path, kind)


@settings(max_examples=200)
@given(rows=st.lists(st.lists(st.text(max_size=6), max_size=6), max_size=20))
def test_table_of_any_cells_has_one_width(rows: list[list[str]]) -> None:
    try:
        table = table_of(list(enumerate(rows, start=1)), ",", "any", Log())
    except InputError:
        return
    assert {len(row) for row in table.rows} == {len(table.names)} == {len(table.units)}
    assert len(set(table.names)) == len(table.names)


@pytest.mark.parametrize("content", NO_TABLES)
def test_file_that_is_no_table_is_refused_in_words(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "file.csv"
    path.write_bytes(content)

    with pytest.raises(InputError) as caught:
        import_file(path, as_kind="tension")
    assert "file.csv" in caught.value.render()


def test_folder_and_device_are_refused(tmp_path: Path) -> None:
    for path in (tmp_path, Path("/dev/zero"), tmp_path / "nothing.csv"):
        with pytest.raises(InputError):
            import_file(path)
