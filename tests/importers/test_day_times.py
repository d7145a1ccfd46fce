"""Clocks without dates or without AM and PM: the order of rows tells what they leave out, the start is asked."""

from datetime import datetime

import numpy as np
import pytest

from linewright.base.errors import InputError

EPOCH = datetime(1970, 1, 1)
GIVEN = {"time.zone": "UTC"}


def seconds(*stamps: str) -> list[float]:
    return [(datetime.fromisoformat(stamp) - EPOCH).total_seconds() for stamp in stamps]


def log(stamps, heading="Time") -> str:
    rows = "".join(f"{stamp},{100 + n % 7}\n" for n, stamp in enumerate(stamps))
    return f"{heading},Hook 1 [kN]\n{rows}"


def half(day: int, hour: int, minute: int) -> str:
    """A stamp as a clock of twelve hours shows it (by hand: 00:30 is 12:30, 13:30 is 1:30)."""
    return f"2026-03-{day:02d} {(hour - 1) % 12 + 1}:{minute:02d}:00"


WHOLE = [(day, hour, minute) for day in (14, 15) for hour in range(24) for minute in (0, 30)]


def test_half_clock_when_am_and_pm_are_missing_is_asked_and_unfolded(made, told) -> None:
    text = log([half(*item) for item in WHOLE])
    found = made(text, answers=GIVEN)
    assert told.questions(found) == ["time.half"]
    found = made(text, answers={**GIVEN, "time.half": "before noon"})
    assert found.time.tolist() == seconds(*(f"2026-03-{d:02d}T{h:02d}:{m:02d}" for d, h, m in WHOLE))
    assert found.report.rows_kept == len(WHOLE)
    assert told.flags(found)["half-days"] == "caution"


def test_half_clock_when_rows_stand_newest_first_is_unfolded_backwards(made) -> None:
    text = log([half(*item) for item in reversed(WHOLE)])
    found = made(text, answers={**GIVEN, "time.half": "after noon"})
    assert found.time.tolist() == seconds(*(f"2026-03-{d:02d}T{h:02d}:{m:02d}" for d, h, m in WHOLE))


def test_half_clock_when_it_is_one_of_24_hours_keeps_rows_as_they_stand(made, told) -> None:
    text = log(["2026-03-01 12:00:00", "2026-03-01 12:30:00", "2026-03-01 1:00:00", "2026-03-01 1:30:00"])
    found = made(text, answers={**GIVEN, "time.half": "24 hours"})
    assert found.time.tolist() == seconds(
        "2026-03-01T01:00", "2026-03-01T01:30", "2026-03-01T12:00", "2026-03-01T12:30"
    )
    assert "out-of-order" in told.flags(found)


@pytest.mark.parametrize("stamps", [
    ["2026-03-01 11:59:00", "2026-03-01 12:00:00", "2026-03-01 13:00:00"],
    ["2026-03-01 11:59:00", "2026-03-01 12:00:00", "2026-03-02 01:00:00"],
    ["2026-03-01 12:59 PM", "2026-03-01 1:00 PM", "2026-03-01 1:01 PM"],
])  # fmt: skip
def test_half_clock_when_hours_say_the_half_asks_nothing(made, told, stamps) -> None:
    assert told.questions(made(log(stamps), answers=GIVEN)) == []


def test_times_of_day_when_without_a_date_ask_for_it_and_pass_midnight(made, told) -> None:
    text = log(["23:59:58", "23:59:59", "00:00:00", "00:00:01"])
    found = made(text, answers=GIVEN)
    assert told.questions(found) == ["date"]
    assert found.report.time.first is None
    found = made(text, answers={**GIVEN, "date": "2026-02-28"})
    assert found.time.tolist() == seconds(
        "2026-02-28T23:59:58", "2026-02-28T23:59:59", "2026-03-01T00:00:00", "2026-03-01T00:00:01"
    )
    assert told.rows(found, "midnight") == [4]


def test_times_of_day_when_of_twelve_hours_ask_for_the_half_too(made, told) -> None:
    text = log(["11:00:00", "12:00:00", "1:00:00", "2:00:00"])
    assert set(told.questions(made(text, answers=GIVEN))) == {"date", "time.half"}
    found = made(text, answers={**GIVEN, "date": "2026-03-01", "time.half": "after noon"})
    assert found.time.tolist() == seconds(
        "2026-03-01T23:00", "2026-03-02T00:00", "2026-03-02T01:00", "2026-03-02T02:00"
    )


def test_times_of_day_when_the_answer_is_no_date_are_refused(made) -> None:
    with pytest.raises(InputError, match="date"):
        made(log(["10:00:00", "10:00:01"]), answers={**GIVEN, "date": "1.3.2026"})


def test_times_of_day_when_a_bench_needs_durations_only_ask_nothing(made, told) -> None:
    found = made("Time,TC1 [degC],TC2 [degC]\n23:59:30,20,20\n00:00:30,21,22\n00:01:30,22,24\n")
    assert found.report.kind == "thermocouple"
    assert told.questions(found) == []
    assert np.diff(found.time).tolist() == [60.0, 60.0]
    assert "date-unknown" in told.flags(found)


def test_date_when_it_stands_behind_the_time_is_taken(made, told) -> None:
    found = made("Time,Date,Hook 1 [kN]\n10:00:00,2026-03-01,100\n10:00:01,2026-03-01,101\n", answers=GIVEN)
    assert told.questions(found) == []
    assert found.time.tolist() == seconds("2026-03-01T10:00:00", "2026-03-01T10:00:01")


def test_time_when_unreadable_is_flagged_once(made) -> None:
    found = made(log(["2026-03-01 10:00:00", "2026-03-01 10:00:01", "never", "2026-03-01 10:00:03"]), answers=GIVEN)
    assert [flag.code for flag in found.report.flags].count("time-unreadable") == 1
