"""Files brought into a study with their answers; samples are invented."""

from pathlib import Path

import pytest

from linewright.base.errors import InputError
from linewright.importers import files
from linewright.services import bring, bring_text, gather
from linewright.services.demo import write_demo

STATED = "time_utc,Hook 1_kN,Hook 2_kN\n"  # the log states its zone, the table of hooks does not
OPEN = "time,Hook 1_kN,Hook 2_kN\n"
ROWS = "2026-02-13 {:02d}:00:{:02d},{},{}\n"
HOOKS = "hook;line;from;to\nHook 1;L01;13.02.2026 10:00;13.02.2026 11:00\nHook 2;L02;13.02.2026 10:00;\n"


def both(folder: Path, head: str, hour: int) -> tuple[Path, Path]:
    """A log of a minute that begins at this hour of its clock, and a table of hooks."""
    log, table = folder / "log.csv", folder / "hooks.csv"
    log.write_text(head + "".join(ROWS.format(hour, n, 100 + n % 7, 200 + n % 7) for n in range(60)), encoding="utf-8")
    table.write_text(HOOKS, encoding="utf-8")
    return log, table


@pytest.mark.parametrize(("head", "hour"), [(STATED, 6), (OPEN, 10)], ids=["stated", "open"])
def test_answer_goes_to_whichever_of_log_and_hooks_asks(tmp_path: Path, head: str, hour: int) -> None:
    """By hand: 10:00 at UTC+4 is 06:00 UTC, so the lines hang while the log reads in both cases."""
    log, table = both(tmp_path, head, hour)
    found = bring.read(log, {}, table=table)
    assert [item.key for item in found.report.questions] == ["time.zone"]

    found = bring.read(log, {"time.zone": "UTC+4"}, table=table)
    assert not found.report.questions
    assert found.report.time.first == "2026-02-13T06:00:00Z"
    assert [(item.name, item.values.size) for item in found.content.series] == [("L01", 60), ("L02", 60)]


def test_answer_that_neither_file_asks_is_refused(tmp_path: Path) -> None:
    log, table = both(tmp_path, STATED, 6)

    with pytest.raises(InputError, match="does not ask"):
        bring.read(log, {"time.zone": "UTC+4", "base": "LDBF"}, table=table)


@pytest.mark.parametrize(("head", "hour"), [(STATED, 6), (OPEN, 10)], ids=["stated", "open"])
def test_kept_log_is_read_by_lines_again_with_the_answers_of_both(tmp_path: Path, head: str, hour: int) -> None:
    write_demo(tmp_path / "study")
    log, table = both(tmp_path, head, hour)
    found = bring.read(log, {"time.zone": "UTC+4"}, table=table)
    inside = bring.keep(tmp_path / "study", log, found, table)

    assert files.answers_path(files.hooks_path(tmp_path / "study" / inside)).is_file()
    record = gather.read_record(tmp_path / "study", inside.as_posix(), "L02")
    assert record.tension.size == 60
    assert record.tension.min() == 200e3


def test_report_gathers_blank_cells_and_flags_that_differ_in_their_column_only(tmp_path: Path) -> None:
    """Nine hooks in t, blank in every second of thirty rows: one line for each hook's blanks, one for the unit."""
    heads = ",".join(f"Hook {n} [t]" for n in range(1, 10))
    rows = "".join(
        f"2026-02-13T10:00:{n:02d}Z," + ",".join("" if n % 2 else f"{15 + 0.1 * k}" for k in range(9)) + "\n"
        for n in range(30)
    )
    path = tmp_path / "log.csv"
    path.write_text(f"time,{heads}\n{rows}", encoding="utf-8")
    lines = bring_text.report_lines(bring.read(path, {}))

    units = [line for line in lines if "tonne-force" in line]
    assert len(units) == 1
    assert "9 columns (Hook 1 [t], Hook 2 [t]" in units[0]
    blanks = [line for line in lines if "blank" in line]
    assert len(blanks) == 8  # and one more
    assert blanks[0] == "  rows 3, 5, 7, 9, 11, 13 ... 31 (15 of them): Hook 1: -> missing, blank"


def test_report_names_a_single_row_as_before(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text("time,Hook 1 [kN]\n" + "".join(
        f"2026-02-13T10:00:{n:02d}Z,{'OL' if n == 3 else 100 + n}\n" for n in range(9)), encoding="utf-8")  # fmt: skip

    assert "  row 5: Hook 1: 'OL' -> missing, a word for a missing value" in bring_text.report_lines(
        bring.read(path, {})
    )
