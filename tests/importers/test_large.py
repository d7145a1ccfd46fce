"""Logs larger than memory: streamed in blocks, they say what the small reader says."""

from pathlib import Path

import numpy as np
import pyarrow.parquet as pq
import pytest

from linewright.base.errors import InputError
from linewright.importers import large, recognise
from linewright.importers.recognise import import_file

SAMPLES = Path(__file__).parent / "samples"


@pytest.fixture
def both(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """The same text through the small and the large reader, blocks of 64 rows."""

    def read_both(content: str | bytes, **answers: str):
        path = tmp_path / "log.csv"
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        given = {key.replace("__", "."): value for key, value in answers.items()}
        small = import_file(path, given)
        monkeypatch.setattr(recognise, "SMALL", 10)
        monkeypatch.setattr(large, "BLOCK", 64)
        streamed = import_file(path, given, store=tmp_path / "log.parquet")
        monkeypatch.undo()
        return small, streamed, pq.read_table(tmp_path / "log.parquet").to_pydict()

    return read_both


def rows(count: int, stamp, delimiter: str = ";", comma: bool = True) -> str:
    wave = 300.0 + 60.0 * np.sin(np.arange(count) / 4.0)
    text = "\n".join(f"{stamp(n)}{delimiter}{wave[n]:.2f}{delimiter}{wave[n] / 9.80665:.3f}" for n in range(count))
    return text.replace(".", ",") if comma else text


def clock_of(n: int) -> str:
    return f"13/02/2026 10:{n // 600:02d}:{n // 10 % 60:02d}.{n % 10}"


LOGS = {
    "seconds": "t [s];L1 [kN];L2 [tf]\n" + rows(500, lambda n: f"{n / 10:.1f}"),
    "stamps": "Zone: UTC+1\ntime;L1 [kN];L2 [t]\n" + rows(500, clock_of),
    "iso": "time_utc,L1_kN,L2_tf\n" + rows(300, lambda n: f"2026-02-13T10:{n // 60:02d}:{n % 60:02d}Z", ",", False),
    "offset": "time,L1_kN,L2_tf\n" + rows(300, lambda n: f"2026-02-13T10:{n // 60:02d}:{n % 60:02d}+04:00", ",", False),
    "two columns": "date\ttime (UTC)\tL1_kN\tL2_tf\n"
    + rows(300, lambda n: f"2026/02/13\t10:{n // 60:02d}:{n % 60:02d}", "\t", False),
    "blanks": "t_s L1_kN L2_tf\n" + rows(300, lambda n: f"  {n}", "   ", False),
    "serials": "time (UTC);L1_kN;L2_tf\n" + rows(300, lambda n: f"{46054 + n / 86400:.8f}"),
    "epoch": "time,L1_kN,L2_tf\n" + rows(300, lambda n: f"{1770000000 + n}", ",", False),
}


@pytest.mark.parametrize("name", LOGS)
def test_large_log_says_what_the_small_reader_says(both, name: str) -> None:
    small, streamed, stored = both(LOGS[name])

    assert streamed.report.form == "large table"
    np.testing.assert_allclose(stored["time"], small.time, atol=1e-4)
    for channel in ("L1", "L2"):
        np.testing.assert_allclose(stored[channel], small.values[channel], rtol=1e-12)
    for one, other in zip(small.report.columns, streamed.report.columns, strict=True):
        assert (one.name, one.unit, one.values, one.missing) == (other.name, other.unit, other.values, other.missing)
        assert (one.low, one.high, one.mean) == (
            pytest.approx(other.low),
            pytest.approx(other.high),
            pytest.approx(other.mean),
        )
    assert (small.report.time.first, small.report.time.last) == (streamed.report.time.first, streamed.report.time.last)


def test_large_log_when_cells_are_missing_or_wrong_then_each_is_reported(both, told) -> None:
    lines = LOGS["seconds"].split("\n")
    lines[100], lines[150], lines[200], lines[250] = "9,9;OL;30,0", "14,9;-9999;30,0", "19,9;kaputt;30,0", "24,9;;30,0"
    lines.insert(300, "t [s];L1 [kN];L2 [tf]")
    small, streamed, stored = both("\n".join(lines))

    assert np.isnan(np.array(stored["L1"], dtype=float)).sum() == 4
    assert told.column(streamed, "L1").missing == told.column(small, "L1").missing == 4
    assert {item.read for item in streamed.report.replaced} >= {"OL", "-9999", "kaputt", ""}
    assert told.flags(streamed)["cell-unreadable"] == "caution"
    assert streamed.report.rows_kept == small.report.rows_kept == 500


def test_large_log_when_rows_repeat_or_pause_then_it_is_said(both, told) -> None:
    lines = LOGS["seconds"].split("\n")
    lines.insert(71, lines[70])
    lines.insert(201, lines[200].split(";")[0] + ";999,0;30,0")
    late = [f"{float(first.replace(',', '.')) + 900:.1f};{rest}".replace(".", ",")
            for first, _, rest in (line.partition(";") for line in lines[400:])]  # fmt: skip
    small, streamed, stored = both("\n".join(lines[:400] + late))

    assert streamed.report.time.segments == small.report.time.segments == 2
    assert streamed.report.dropped_count == small.report.dropped_count == 2
    assert told.flags(streamed)["duplicate-conflict"] == "caution"
    assert len(stored["time"]) == small.report.rows_kept


def test_large_log_through_the_end_of_summer_time(both) -> None:
    """Europe/Oslo, every 10 s from 01:00 to 04:00 wall clock: four hours of UTC, in order."""
    walls = [f"2026-10-25 0{h}:{m:02d}:{s:02d}" for h in (1, 2, 2, 3) for m in range(60) for s in range(0, 60, 10)]
    text = "time (Europe/Oslo),L1_kN\n" + "\n".join(f"{wall},{200 + n % 7}" for n, wall in enumerate(walls))
    small, _, stored = both(text)

    np.testing.assert_allclose(stored["time"], small.time)
    np.testing.assert_allclose(np.diff(stored["time"]), 10.0)


def test_large_log_when_time_runs_back_then_it_is_refused_and_nothing_stays(tmp_path: Path, monkeypatch) -> None:
    lines = LOGS["seconds"].split("\n")
    lines[300], lines[301] = lines[301], lines[300]
    path = tmp_path / "log.csv"
    path.write_text("\n".join(lines))
    monkeypatch.setattr(recognise, "SMALL", 10)

    with pytest.raises(InputError, match="in order of time"):
        import_file(path, store=tmp_path / "log.parquet")
    assert not (tmp_path / "log.parquet").exists()


def test_large_log_when_its_unit_changes_in_the_middle_then_it_is_refused(tmp_path: Path, monkeypatch) -> None:
    lines = LOGS["seconds"].split("\n")
    lines.insert(300, "t [s];L1 [tf];L2 [tf]")
    path = tmp_path / "log.csv"
    path.write_text("\n".join(lines))
    monkeypatch.setattr(recognise, "SMALL", 10)

    with pytest.raises(InputError, match="unit changes"):
        import_file(path, store=tmp_path / "log.parquet")


def test_large_log_when_a_question_is_open_then_only_the_head_is_read(tmp_path: Path, monkeypatch, told) -> None:
    path = tmp_path / "log.csv"
    path.write_text(LOGS["stamps"].replace("Zone: UTC+1\n", "").replace("[t]", "[ton]"))
    monkeypatch.setattr(recognise, "SMALL", 10)
    found = import_file(path, store=tmp_path / "log.parquet")

    assert set(told.questions(found)) == {"time.zone", "unit.L2"}
    assert not (tmp_path / "log.parquet").exists()
    answered = import_file(path, {"time.zone": "UTC", "unit.L2": "long"}, store=tmp_path / "log.parquet")
    assert told.column(answered, "L2").high == pytest.approx(360.0 / 9.80665 * 9.964, rel=1e-3)


@pytest.mark.parametrize("content", [b"a" * 40_000_000, b"0,1\n" + b"9" * 40_000_000], ids=["one line", "one cell"])
def test_large_file_when_it_is_no_table_then_it_is_refused(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "log.csv"
    path.write_bytes(content)

    with pytest.raises(InputError):
        import_file(path)


def test_large_log_when_its_clock_has_no_date_then_it_is_refused(tmp_path: Path, monkeypatch) -> None:
    path = tmp_path / "log.csv"
    path.write_text("time;L1 [kN]\n" + "".join(f"10:00:{n:02d};{100 + n}\n" for n in range(60)))
    monkeypatch.setattr(recognise, "SMALL", 10)
    with pytest.raises(InputError, match="clock") as error:
        import_file(path, {}, store=tmp_path / "log.parquet")
    assert "date" in error.value.problems[0].needs


def grouped(value: float, mark: str) -> str:
    """By hand: 1234.5 as 1.234,5, 1'234.5, 1 234,5 or 1’234.5."""
    whole = f"{value:,.1f}"
    return whole.translate(str.maketrans({",": mark, ".": "." if mark in ",'’" else ","}))


@pytest.mark.parametrize("mark", [".", "'", "’", ",", " ", "\u00a0"])
def test_large_log_when_thousands_are_parted_by_marks_then_numbers_are_whole(both, told, mark: str) -> None:
    wave = 1000.0 + 600.0 * np.sin(np.arange(200) / 4.0)
    text = "t [s];L1 [kN]\n" + "".join(f"{n};{grouped(value, mark)}\n" for n, value in enumerate(wave))
    small, streamed, stored = both(text)
    np.testing.assert_allclose(stored["L1"], np.round(wave, 1) * 1e3)
    np.testing.assert_allclose(small.values["L1"], np.round(wave, 1) * 1e3)
    assert streamed.report.replaced_count == 0


def test_large_log_when_a_reading_is_more_than_any_line_carries_then_it_is_missing(both, told) -> None:
    small, streamed, stored = both(LOGS["seconds"].replace("\n9,9;", "\n9,9;1e30;30\n9,95;", 1))
    assert [item.read for item in streamed.report.replaced] == ["1e+30 kN"]
    assert np.isnan(np.array(stored["L1"], dtype=float)).sum() == told.column(small, "L1").missing == 1


def test_large_log_leaves_spikes_out_as_the_small_one_does(both) -> None:
    wave = 200.0 + 20.0 * np.sin(np.arange(120) / 3.0)
    wave[40] = 900.0
    text = "t_s,L1_kN\n" + "".join(f"{n},{value:.2f}\n" for n, value in enumerate(wave))
    for answers in ({}, {"spikes": "drop"}):
        small, streamed, stored = both(text, **answers)
        np.testing.assert_array_equal(stored["L1"], small.values["L1"])
        told = [[item.text for item in found.report.flags if item.code == "spike"] for found in (small, streamed)]
        assert told[0] == told[1]
        assert len(told[0]) == 1
