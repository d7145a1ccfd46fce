"""Hooks and lines: a log by hooks, read by lines, call by call."""

from pathlib import Path

import numpy as np
import pytest

from linewright.base.errors import InputError
from linewright.importers import hooks, tension
from linewright.importers.report import Log

LOG = "time_utc,Hook 1_kN,Hook 2_kN\n" + "".join(
    f"2026-02-13T10:00:{n:02d}Z,{100 + n % 5},{200 + n % 5}\n" for n in range(60)
)


@pytest.fixture
def by_line(made, tmp_path: Path):
    def read(table: str, answers: dict[str, str] | None = None):
        path = tmp_path / "hooks.csv"
        path.write_text(table)
        return hooks.by_line(made(LOG), hooks.read_hooks(path, Log(answers)))

    return read


def test_hooks_when_lines_change_between_calls_then_each_line_has_its_own_readings(by_line, told) -> None:
    """Hook 1 carries L01 for 30 s, then L07; hook 2 carries L02 for the last 40 s."""
    found = by_line(
        "call,hook,line,from (UTC),to (UTC)\n"
        "1,Hook 1,L01,2026-02-13 10:00:00,2026-02-13 10:00:30\n"
        "2,Hook 1,L07,2026-02-13 10:00:30,2026-02-13 10:01:00\n"
        "1,Hook 2,L02,2026-02-13 10:00:20,\n"
    )

    lines = {item.name: item for item in found.content.series}
    assert {name: len(item.time) for name, item in lines.items()} == {"L01": 30, "L07": 30, "L02": 40}
    assert lines["L02"].values.min() >= 200e3
    assert told.flags(found)["hook-unnamed"] == "caution"
    assert told.column(found, "L07").values == 30


def test_hooks_when_a_line_moves_to_another_hook_then_its_history_goes_on(by_line) -> None:
    found = by_line(
        "hook;line;from (UTC);to (UTC)\nHook 1;L01;;2026-02-13 10:00:30\nHook 2;L01;2026-02-13 10:00:30;\n",
    )

    (line,) = found.content.series
    assert len(line.time) == 60
    assert np.all(np.diff(line.time) == 1.0)
    assert line.values[0] < 110e3 < 190e3 < line.values[-1]


def test_hooks_when_two_lines_hang_on_one_then_the_sum_is_flagged(by_line, told) -> None:
    found = by_line("hook,line\nHook 1,L01\nHook 1,L02\nHook 2,L03\n")

    assert told.flags(found)["hook-shared"] == "caution"


@pytest.mark.parametrize(
    "table",
    [
        "hook,line\nHook 1,L01\nHook 2,L01\n",
        "hook,line,from\nHook 1,L01,03.02.2026 10:00\n",
        "hook,rank\nHook 1,1\n",
        "hook,line\nHook 1,\n",
        "hook,line,from,to\nHook 1,L1,2026-02-13T10Z,2026-02-13 09:00Z\n",
    ],
    ids=["one line on two hooks", "day or month first", "no line", "blank", "backwards"],
)
def test_hooks_when_the_table_cannot_be_used_then_it_is_refused(by_line, table: str) -> None:
    with pytest.raises(InputError):
        by_line(table)


def test_record_by_line_is_read_for_a_case(tmp_path: Path) -> None:
    log, table = tmp_path / "log.csv", tmp_path / "hooks.csv"
    log.write_text(LOG)
    table.write_text("hook,line\nHook 1,forward spring\nHook 2,aft spring\n")
    uses = hooks.read_hooks(table, Log())

    record = tension.read_record(log, "aft spring", to_lines=lambda found: hooks.by_line(found, uses))
    assert record.tension.max() == 204e3


def test_hooks_when_the_log_lacks_one_then_it_is_said(by_line, told) -> None:
    assert told.flags(by_line("hook,line\nHook 1,L01\nHook 9,L02\n"))["hook-unknown"] == "caution"


def test_hooks_when_names_differ_in_capitals_and_blanks_are_matched_and_said(by_line, told) -> None:
    found = by_line("hook,line\nhook1,L01\nHOOK 2,L02\n")
    assert [item.name for item in found.content.series] == ["L01", "L02"]
    assert [flag.text for flag in found.report.flags if flag.code == "hook-spelled"] == [
        "hook1 of the table is Hook 1 of the log",
        "HOOK 2 of the table is Hook 2 of the log",
    ]


def test_hooks_when_a_line_is_spelled_in_two_ways_is_one_line(by_line, told) -> None:
    found = by_line("hook;line;from (UTC);to (UTC)\nHook 1;L01;;2026-02-13 10:00:30\nHook 2;l01;2026-02-13 10:00:30;\n")
    assert [item.name for item in found.content.series] == ["L01"]
    assert told.flags(found)["line-spelled"] == "note"
    with pytest.raises(InputError, match="two hooks"):
        by_line("hook,line\nHook 1,L01\nHook 2,l01\n")


@pytest.mark.parametrize(("row", "said"), [(",L02", "no hook, L02"), ("Hook 2,", "Hook 2, no line")])
def test_hooks_when_a_cell_is_blank_are_refused_with_the_row(by_line, row: str, said: str) -> None:
    with pytest.raises(InputError) as error:
        by_line(f"hook,line\nHook 1,L01\n{row}\n")
    assert (error.value.problems[0].where, error.value.problems[0].read) == ("hooks.csv:3", said)


def long_log(*hooks: str) -> str:
    """A row a second and hook."""
    rows = "".join(f"2026-02-13T10:00:{n:02d}Z,{hook},{100 + n}\n" for n, hook in enumerate(hooks))
    return f"time,hook,tension [kN]\n{rows}"


def test_long_log_when_a_hook_is_blank_drops_the_row_and_says_it(made, told) -> None:
    found = made(long_log("H1", "H1", "", "H2", "H2", "H1"))
    assert {item.name: item.values.size for item in found.content.series} == {"H1": 3, "H2": 2}
    assert told.rows(found, "hook-blank") == [4]
    assert [(item.row, item.why) for item in found.report.dropped] == [(4, "no hook is named")]


def test_long_log_when_a_hook_has_two_spellings_is_joined_if_they_share_no_time(made, told) -> None:
    found = made(long_log("H1", "h1", "H1", "h1", "H2", "H2"))
    assert {item.name: item.values.size for item in found.content.series} == {"H1": 4, "H2": 2}
    assert told.flags(found)["hook-spelled"] == "caution"
    text = long_log("H1", "H1", "H1")
    both = made(text + text.partition("\n")[2].replace("H1", "h1"))
    assert {item.name: item.values.size for item in both.content.series} == {"H1": 3, "h1": 3}
