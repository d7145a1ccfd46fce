"""Status words beside readings. Good and bad are the words of IEC 62541-8 (from memory); the others are common practice
of loggers, no source. What is expected is counted by hand in each table; all of them are invented."""

from pathlib import Path

import numpy as np
import pyarrow.parquet as pq
import pytest

from linewright.importers import large, recognise
from linewright.importers.recognise import import_file
from linewright.importers.tension import read_record

WORDS = ["OK", "OK", "BAD", "OK", "UNLOADED", "UNLOADED", "Good", "NO_COMM", "", "FAULT", "OK", "invalid"]
LOADS = [120, 121, 410, 123, 0, 0, 119, 125, 118, 131, 117, 122]
BAD = (2, 7, 9, 11)


def stamp(n: int) -> str:
    return f"2026-02-13T10:00:{n:02d}Z"


WIDE = "time,Hook 1 [kN],quality,operator\n" + "".join(
    f"{stamp(n)},{load},{word},first shift\n" for n, (load, word) in enumerate(zip(LOADS, WORDS, strict=True))
)
LONG = "time,hook,tension [kN],quality,operator\n" + "".join(
    f"{stamp(n)},Hook 1,{load},{word},first shift\n{stamp(n)},Hook 2,{load + 9},OK,first shift\n"
    for n, (load, word) in enumerate(zip(LOADS, WORDS, strict=True))
)


@pytest.fixture
def log(tmp_path: Path):
    def write(text: str) -> Path:
        path = tmp_path / "log.csv"
        path.write_text(text, encoding="utf-8")
        return path

    return write


@pytest.mark.parametrize("text", [WIDE, LONG], ids=["wide", "long"])
def test_bad_readings_are_missing_slack_ones_stay_and_all_are_counted(log, text: str) -> None:
    """Four bad words; the two zeros lie between loads of 123 and 119 kN and would else be a dropout."""
    found = import_file(log(text), {})

    told_column = next(item for item in found.report.columns if item.heading == "Hook 1 [kN]" or item.name == "Hook 1")
    assert (told_column.values, told_column.missing) == (8, 4)
    assert (told_column.low, told_column.high) == (0.0, 123.0)
    kept = [load * 1e3 for n, load in enumerate(LOADS) if n not in BAD]
    assert found.content.series[0].values.tolist() == kept
    kinds = {item.name: item.quantity for item in found.report.columns}
    assert (kinds["quality"], kinds["operator"]) == ("status", "not used")
    flags = {item.code: item for item in found.report.flags if item.code.startswith("status")}
    assert sorted(flags) == ["status-bad", "status-slack"]
    assert flags["status-bad"].severity == "caution"
    for word in ("1 BAD", "1 NO_COMM", "1 FAULT", "1 invalid"):
        assert word in flags["status-bad"].text
    assert "2 UNLOADED" in flags["status-slack"].text
    assert found.report.replaced_count == len(BAD)


def test_record_of_a_case_lacks_bad_readings_and_says_so(log) -> None:
    record = read_record(log(WIDE))

    assert record.tension.max() == 123e3
    assert any("1 BAD" in doubt for doubt in record.report["doubts"])


def test_unknown_word_is_asked_and_a_known_one_can_be_overruled(log) -> None:
    path = log(WIDE.replace("NO_COMM", "HMPF"))
    found = import_file(path, {})

    assert [(item.key, item.choices) for item in found.report.questions] == [("status.HMPF", ("good", "bad", "slack"))]
    assert import_file(path, {"status.HMPF": "good"}).content.series[0].values.size == 9
    assert import_file(path, {"status.HMPF": "bad"}).content.series[0].values.size == 8
    assert import_file(path, {"status.HMPF": "bad", "status.BAD": "good"}).content.series[0].values.max() == 410e3


def test_status_names_its_hook_stands_behind_it_or_speaks_for_all(log) -> None:
    """Hook 1 reads 100 to 103 kN, Hook 2 200 to 203 kN; the second row is bad for whom the status speaks."""
    body = [f"{stamp(n)},{100 + n},{200 + n}" for n in range(4)]
    words = ["OK", "BAD", "OK", "OK"]

    def kept(head: str, rows: list[str]) -> list[int]:
        found = import_file(log("\n".join([head, *rows]) + "\n"), {})
        return [item.values.size for item in found.content.series]

    one = [f"{row},{word}" for row, word in zip(body, words, strict=True)]
    assert kept("time,Hook 1 [kN],Hook 2 [kN],status", one) == [3, 3]
    assert kept("time,Hook 1 [kN],Hook 2 [kN],Hook 2 status", one) == [4, 3]
    pairs = [f"{stamp(n)},{100 + n},OK,{200 + n},{word}" for n, word in enumerate(words)]
    assert kept("time,Hook 1 [kN],status,Hook 2 [kN],status", pairs) == [4, 3]


def test_tension_with_words_of_status_is_no_long_table_of_hooks(log) -> None:
    """Two words again and again looked like the names of two hooks."""
    rows = "".join(f"{stamp(n)},{100 + n},{'BAD' if n % 4 == 1 else 'OK'}\n" for n in range(12))
    found = import_file(log("time,tension [kN],comm state\n" + rows), {})

    assert found.report.form == "wide table"
    assert [item.values.size for item in found.content.series] == [9]


def test_words_of_no_status_are_named_and_not_used(log) -> None:
    rows = "".join(f"{stamp(n)},{100 + n},{'loading' if n < 6 else 'idle'},12.5\n" for n in range(12))
    found = import_file(log("time,Hook 1 [kN],state,battery\n" + rows), {})

    assert [item.quantity for item in found.report.columns if item.name == "state"] == ["not used"]
    texts = [item.text for item in found.report.flags]
    assert any("loading, idle" in text and "not used" in text for text in texts)
    assert "not used: battery" in texts


def test_true_and_false_are_asked(log) -> None:
    rows = "".join(f"{stamp(n)},{100 + n},{'FALSE' if n == 3 else 'TRUE'}\n" for n in range(6))
    path = log("time,Hook 1 [kN],valid\n" + rows)

    assert [item.key for item in import_file(path, {}).report.questions] == ["status.TRUE", "status.FALSE"]
    found = import_file(path, {"status.TRUE": "good", "status.FALSE": "bad"})
    assert found.content.series[0].values.tolist() == [100e3, 101e3, 102e3, 104e3, 105e3]


def test_large_log_takes_status_as_the_small_one_does(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Blocks of five rows; a word beyond the head (a head of 300 bytes ends before it) is kept and flagged."""
    path, store = tmp_path / "log.csv", tmp_path / "log.parquet"
    rows = [f"{stamp(n)},{LOADS[n % 12]},{WORDS[n % 12]},first shift" for n in range(36)]
    path.write_text("\n".join(["time,Hook 1 [kN],quality,operator", *rows]) + "\n", encoding="utf-8")
    small = import_file(path, {})
    monkeypatch.setattr(recognise, "SMALL", 10)
    monkeypatch.setattr(large, "BLOCK", 5)
    streamed = import_file(path, {}, store=store)

    values = np.array(pq.read_table(store).to_pydict()["Hook 1"])
    np.testing.assert_array_equal(values, small.values["Hook 1"])
    expected = {item.text for item in small.report.flags if item.code.startswith("status")}
    assert {item.text for item in streamed.report.flags if item.code.startswith("status")} == expected
    assert "not used: operator" in [item.text for item in streamed.report.flags]
    assert [item.name for item in streamed.report.columns if item.quantity == "status"] == ["quality"]

    monkeypatch.setattr(large, "HEAD", 600)
    path.write_text(path.read_text(encoding="utf-8") + f"{stamp(36)},120,HMPF,first shift\n", encoding="utf-8")
    later = import_file(path, {}, store=store)
    unknown = [item.text for item in later.report.flags if item.code == "status-unknown"]
    assert unknown == ["Hook 1: 1 HMPF by the column quality; the words are not known; the readings are kept"]
