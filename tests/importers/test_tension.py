"""Tension logs: what is read, flagged, asked and refused. Samples are invented; a test each holds what is expected."""

from pathlib import Path

import numpy as np
import pytest
import rainflow as library

from linewright.assessment.record import BINS, count
from linewright.base.errors import InputError
from linewright.importers.recognise import import_file
from linewright.importers.tension import read_record
from linewright.physics import cycles

HEAD = "time,tension\ns,kN\n"
TONNE_FORCE = 9.80665  # [kN] exactly, standard gravity


# --- the samples -------------------------------------------------------------------------------


def test_sample_good_is_read_without_a_word(read, told) -> None:
    found = read("tension_good_kN_utc.csv")

    assert (found.report.kind, found.report.rows_read, found.report.rows_kept) == ("tension", 60, 60)
    assert found.report.flags == ()
    assert found.report.questions == ()
    one, four = told.column(found, "L01"), told.column(found, "L04")
    assert (one.low, one.high) == (105.7, 134.3)
    assert one.mean == pytest.approx(120.0, abs=5e-4)
    assert (four.low, four.high) == (150.4, 269.6)
    assert (found.report.time.zone, found.report.time.step) == ("UTC", 1.0)
    assert found.report.time.first == "2026-02-01T00:00:00Z"


def test_sample_tonne_force_semicolons_and_decimal_commas(read, told) -> None:
    """13.63 tf = 133.66 kN; the units row shows the order of day and month, the zone is asked."""
    found = read("tension_tf_semicolon_decimalcomma_cp1252.csv")

    assert found.report.rows_read == found.report.rows_kept == 40
    assert found.report.encoding == "cp1252"
    assert found.report.notes["delimiter"] == "semicolon"
    assert told.column(found, "Haken 1 Zugkraft").high == pytest.approx(13.63 * TONNE_FORCE)
    assert told.column(found, "Haken 2 Zugkraft (geprüft)").read_unit == "tf"
    assert told.questions(found) == ["time.zone"]
    assert found.report.time.first == "2026-02-01T00:00:00"

    answered = read("tension_tf_semicolon_decimalcomma_cp1252.csv", time__zone="Europe/Berlin")
    assert answered.report.questions == ()
    assert answered.report.time.first == "2026-01-31T23:00:00Z"


def test_sample_tonnes_are_shown_and_tons_are_asked(read, told) -> None:
    found = read("tension_unit_t_and_ton.csv")

    assert told.column(found, "L01").low == pytest.approx(14.9 * TONNE_FORCE)
    assert found.values["L01"][0] == pytest.approx(147.10e3, rel=1e-4)
    assert "tonne-force" in told.flags(found)
    assert told.questions(found) == ["unit.L02"]
    assert found.report.questions[0].choices == ("short", "metric", "long")
    assert told.column(found, "L02").unit == "?"
    assert told.column(found, "L03").high == 149.0
    for answer, force in (("short", 8.896), ("metric", 9.807), ("long", 9.964)):
        assert read("tension_unit_t_and_ton.csv", unit__L02=answer).values["L02"][0] == pytest.approx(
            15e3 * force, rel=1e-3
        )


def test_sample_autumn_hour_is_told_apart_by_the_order_of_rows(read, told) -> None:
    found = read("tension_dst_autumn_local.csv")

    assert found.report.rows_kept == 25
    assert (found.report.time.first, found.report.time.last) == ("2026-10-24T23:00:00Z", "2026-10-25T03:00:00Z")
    np.testing.assert_allclose(np.diff(found.time), 600.0)
    assert found.report.dropped == ()
    assert "hour-doubled" in told.flags(found)


def test_sample_gap_duplicates_and_disorder(read, told) -> None:
    found = read("tension_gap_duplicate_outoforder.csv")

    assert (found.report.rows_read, found.report.rows_kept) == (62, 60)
    assert found.report.dropped[0].why == "the same row again"
    assert "other values" in found.report.dropped[1].why
    assert told.flags(found)["duplicate-conflict"] == "caution"
    assert len(told.rows(found, "out-of-order")) == 4
    assert found.report.time.segments == 2
    assert np.all(np.diff(found.time) > 0.0)
    history = found.content.series[0]
    assert [b - a for a, b in history.parts] == [30, 30]
    rows = np.concatenate([cycles.rainflow(history.values[a:b]) for a, b in history.parts])
    assert rows[:, 0].max() < np.ptp(history.values) - 1.0  # no range across the gap


def test_sample_spikes_dropouts_and_saturation(read, told) -> None:
    found = read("tension_spikes_dropout_saturation.csv")

    assert found.report.rows_read == 50
    replaced = {(item.read, item.why) for item in found.report.replaced}
    assert ("9999", "a code for a missing value") in replaced
    assert ("-999", "a code for a missing value") in replaced
    assert ("OL", "a word for a missing value") in replaced
    assert ("", "blank") in replaced
    flags = told.flags(found)
    assert flags["dropout"] == flags["saturated"] == flags["negative"] == "caution"
    assert len(told.rows(found, "dropout")) == 3
    assert len(told.rows(found, "saturated")) == 5
    column = told.column(found, "L02")
    assert (column.low, column.high, column.missing) == (-3.2, 1250.0, 7)
    kept = read("tension_spikes_dropout_saturation.csv", dropouts="keep")
    assert told.column(kept, "L02").missing == 4


def test_sample_with_a_missing_channel_a_repeated_heading_and_trailing_commas(read, told) -> None:
    found = read("tension_missing_channel_dup_header_trailing_comma.csv")

    assert found.report.rows_kept == 20
    assert {"trailing-delimiter", "channel-missing", "name-twice"} <= set(told.flags(found))
    assert told.questions(found) == ["unit"]
    assert told.column(found, "L02").values == 0
    answered = read("tension_missing_channel_dup_header_trailing_comma.csv", unit="kN")
    assert answered.values["L01"][0] == 120e3
    assert answered.values["L03"][0] == 130e3
    assert answered.values["L03 (2)"][0] == 131e3
    assert np.isnan(answered.values["L02"]).all()


def test_sample_in_utf16_with_tabs(read, told) -> None:
    found = read("tension_utf16le_tab.txt")

    assert found.report.columns[0].name == "Time"
    assert found.report.rows_kept == 25
    assert [column.name for column in found.report.columns[1:]] == ["Hook 1", "Hook 2"]
    assert told.column(found, "Hook 2").high == 123.4


def test_sample_of_whole_newtons_counts_as_the_standard_says(read) -> None:
    """ASTM E1049-85 5.4.4, the worked example scaled by 100 kN: 300:0.5, 400:1.5, 600:0.5, 800:1.0, 900:0.5."""
    history = read("tension_integer_newton_astm.csv").content.series[0]

    table: dict[float, float] = {}
    for span, _, number in cycles.rainflow(history.values):
        table[span / 1e3] = table.get(span / 1e3, 0.0) + number
    assert table == {300.0: 0.5, 400.0: 1.5, 600.0: 0.5, 800.0: 1.0, 900.0: 0.5}


def test_sample_with_days_up_to_twelve_is_asked(read, told) -> None:
    found = read("tension_ambiguous_day_month.csv")

    assert "time.order" in told.questions(found)
    assert found.report.time.first is None
    answers = {"time__order": "day first", "time__zone": "UTC"}
    answered = read("tension_ambiguous_day_month.csv", **answers)
    assert (answered.report.time.first, answered.report.time.last) == ("2026-02-01T06:00:00Z", "2026-02-12T06:00:00Z")
    months = read("tension_ambiguous_day_month.csv", **{**answers, "time__order": "month first"})
    assert months.report.time.last == "2026-12-02T06:00:00Z"


def test_sample_of_block_statistics_is_refused_for_counting(read, told, tmp_path: Path) -> None:
    found = read("tension_stats_10min_min_mean_max.csv")

    assert told.flags(found)["statistics-not-history"] == "refused"
    notes = found.report.notes["statistics"]
    assert (notes["blocks"], notes["hours"], notes["highest_kN"]) == (18, 3.0, 337.7)
    assert told.column(found, "L04_min").low == 85.3
    assert set(found.content.channels["L04"]) == {"min", "mean", "max", "std"}
    with pytest.raises(InputError, match="no history"):
        read_record(Path(__file__).parent / "samples" / "tension_stats_10min_min_mean_max.csv")


def test_sample_of_day_serials(read, told) -> None:
    """Day 46054 from 1899-12-30 is 1 February 2026 (date arithmetic of the standard library)."""
    found = read("tension_excel_serial_dates.csv")

    assert told.questions(found) == ["time.zone"]
    assert found.report.time.first == "2026-02-01T00:30:00"
    np.testing.assert_allclose(np.diff(found.time), 600.0)
    assert found.report.rows_kept == 12


# --- files of the same kinds -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "names"),
    [
        (
            "sep=;\nTime;Hook 1 (kN)\n2026-02-13 10:00Z;12,5\n2026-02-13 10:01Z;13,5\n2026-02-13 10:02Z;12,5\n",
            ["Hook 1"],
        ),
        (
            "﻿time_utc|L1 [kN]|L2 [kN]\n2026-02-13T10:00|1.5|2\n2026-02-13T10:01|1.6|2\n2026-02-13T10:02|1.5|2\n",
            ["L1", "L2"],
        ),
        ("note: a\nnote: b\n\nt_s L1_kN\n0 1.5\n1 1.6\n2 1.7\n", ["L1"]),
        (
            "Date,Time,L1 kN\n13/02/2026,10:00:00 AM,1.5\n13/02/2026,10:00:01 AM,1.6\n13/02/2026,10:00:02 AM,1.7\n",
            ["L1"],
        ),
        ("t_s,L1_kN\r\n0,1.5\r\n1,1.6\r\n2,1.7", ["L1"]),
        ('"t [s]","Last, Leine 1 [kN]"\n0,1.5\n1,1.6\n2,1.7\n', ["Last, Leine 1"]),
    ],
    ids=[
        "sep line",
        "bars and a mark",
        "blanks and preamble",
        "date and 12 h clock",
        "no last line end",
        "quoted comma",
    ],
)
def test_log_when_laid_out_otherwise_then_the_channels_are_found(made, text: str, names: list[str]) -> None:
    found = made(text)

    assert [column.name for column in found.report.columns if column.quantity == "force"] == names
    assert found.report.rows_kept == 3
    assert found.report.dropped == ()


def test_log_when_long_then_each_hook_is_a_history_and_ids_stay_text(made, told) -> None:
    rows = "".join(
        f"2026-02-13T10:00:{n:02d}Z,{hook},{100 + n + k}\n" for n in range(30) for k, hook in enumerate(("007", "1E5"))
    )
    found = made("time,hook,load_kN\n" + rows)

    assert found.report.form == "long table"
    assert [item.name for item in found.content.series] == ["007", "1E5"]
    assert told.column(found, "1E5").low == 101.0
    assert found.report.rows_kept == 60


def test_log_when_the_headings_come_again_with_another_unit_then_the_values_follow(made, told) -> None:
    """1 tf is 9806.65 N."""
    found = made("t,L1\ns,kN\n0,98.0665\n1,98.0665\nt,L1\ns,kN\n2,98.0665\nt,L1\ns,tf\n3,10\n4,10\n")

    np.testing.assert_allclose(found.values["L1"], 98066.5)
    assert told.flags(found)["unit-changed"] == "caution"
    assert found.report.rows_read == found.report.rows_kept == 5


def test_log_when_one_cell_is_no_number_then_it_is_named_and_the_rest_stays(made, told) -> None:
    found = made('t_s,L1_kN\n0,27.0\n1,"42731,00"\n2,27.2\n3,1_2\n4,٣\n')

    assert found.report.rows_kept == 5
    assert [(item.row, item.read) for item in found.report.replaced] == [(3, "42731,00"), (5, "1_2"), (6, "٣")]
    assert told.flags(found)["cell-unreadable"] == "caution"
    assert told.column(found, "L1").values == 2


def test_log_when_a_thousands_mark_stands_in_one_cell_then_it_is_read(made) -> None:
    found = made("t_s;L1_kN\n0;98,1\n1;1.204,5\n2;1 204,5\n3;98,2\n")

    np.testing.assert_allclose(found.values["L1"], [98.1e3, 1204.5e3, 1204.5e3, 98.2e3])


def test_log_when_every_number_has_three_digits_behind_its_mark_then_it_is_asked(made, told) -> None:
    text = "t_s;L1_kN\n0;1,340\n1;1,350\n2;1,360\n"

    assert told.questions(made(text)) == ["decimal"]
    np.testing.assert_allclose(made(text, answers={"decimal": "comma"}).values["L1"], [1340.0, 1350.0, 1360.0])
    np.testing.assert_allclose(made(text, answers={"decimal": "point"}).values["L1"], [1340e3, 1350e3, 1360e3])


def test_log_in_percent_when_the_base_is_not_named_then_it_is_asked(made, told) -> None:
    text = "t_s,L1 load (%)\n0,20\n1,30\n2,20\n3,30\n"

    assert told.questions(made(text)) == ["base"]
    found = made(text, answers={"base": "SDMBL"})
    assert told.column(found, "L1 load").unit == "%SDMBL"
    np.testing.assert_allclose(found.values["L1 load"], [0.2, 0.3, 0.2, 0.3])


@pytest.mark.parametrize(
    ("heading", "name", "unit"),
    [
        ("Wind m/s", "Wind", "m/s"), ("L1 (% SDMBL)", "L1", "%SDMBL"), ("L1 [% of LDBF]", "L1", "%LDBF"),
        ("Kraft/kN", "Kraft", "kN"), ("Load, kN", "Load", "kN"), ("L1_t", "L1", "kN"), ("L1 daN", "L1", "kN"),
        ("Spring aft [MT]", "Spring aft", "kN"),
    ],
)  # fmt: skip
def test_log_when_a_unit_stands_in_a_heading_then_it_is_taken_off(made, heading: str, name: str, unit: str) -> None:
    found = made(f"t_s;L9 [kN];{heading}\n0;1;20\n1;2;21\n2;1;20\n")

    column = found.report.columns[2]
    assert (column.name, column.unit) == (name, unit)


def test_log_when_percent_is_of_an_unnamed_strength_then_the_base_is_asked(made, told) -> None:
    assert told.questions(made("t_s;L1 [% MBL]\n0;20\n1;21\n2;20\n")) == ["base"]


def test_log_when_its_units_row_holds_other_words_then_it_is_still_one(made, told) -> None:
    """1 tf is 9806.65 N."""
    rows = "".join(f"A{k},2026-02-01 00:00:0{n},{20 + k + n % 2}\n" for n in range(4) for k in (1, 2))
    found = made("Hook,Time,Load\n-,UTC,t\n" + rows)

    assert [item.name for item in found.content.series] == ["A1", "A2"]
    assert found.content.series[0].values[0] == pytest.approx(21 * 9806.65)
    assert "tonne-force" in told.flags(found)


def test_log_when_most_times_repeat_then_it_is_refused_for_counting(made, told) -> None:
    rows = "".join(f"2026-02-13T10:00:0{n}Z,{100 + 7 * k + n}\n" for n in range(5) for k in range(2))

    assert told.flags(made("time_utc,L1_kN\n" + rows))["times-repeat"] == "refused"


def test_log_when_unquoted_commas_part_the_numbers_then_a_caution_says_so(made, told) -> None:
    found = made("time_utc,L1_kN\n2026-02-01T00:00:00Z,1,234.5\n2026-02-01T00:00:01Z,1,235.5\n", answers={"unit": "kN"})

    assert told.flags(found)["name-missing"] == "caution"


def test_log_when_newest_stands_first_then_it_is_turned_round(made, told) -> None:
    found = made("time_utc,L1_kN\n2026-02-13 10:00:02,3\n2026-02-13 10:00:01,2\n2026-02-13 10:00:00,1\n")

    np.testing.assert_allclose(found.values["L1"], [1e3, 2e3, 3e3])
    assert "newest-first" in told.flags(found)


@pytest.mark.parametrize(
    ("rows", "answer", "step"),
    [
        ("02:10:00,1\n02:20:00,2\n02:30:00,3\n", "first", 600.0),
        ("02:00:00,1\n02:00:00,2\n02:15:00,3\n02:15:00,4\n", "pairs", 900.0),
    ],
    ids=["one pass", "pairs"],
)
def test_log_when_the_doubled_hour_is_not_in_order_then_it_is_asked(
    made, told, rows: str, answer: str, step: float
) -> None:
    """Europe/Oslo turns its clock back at 01:00 UTC on 25 October 2026 (zone data of the standard library)."""
    lines = "".join(f"2026-10-25 {row}\n" for row in rows.split())
    text = f"time (Europe/Oslo),L1_kN\n{lines}"

    assert told.questions(made(text)) == ["time.fold"]
    found = made(text, answers={"time.fold": answer})
    assert found.report.questions == ()
    assert len(np.unique(found.time)) == len(found.time) == found.report.rows_kept
    assert float(np.min(np.diff(found.time))) >= step


def test_log_when_spring_skips_an_hour_then_its_rows_are_left_out(made, told) -> None:
    found = made(
        "time (Europe/Oslo),L1_kN\n2026-03-29 01:50,1\n2026-03-29 02:10,2\n2026-03-29 03:10,3\n2026-03-29 03:20,3\n"
    )

    assert found.report.rows_kept == 3
    assert any("skips" in item.why for item in found.report.replaced)
    assert told.flags(found)["time-unreadable"] == "caution"


def test_log_when_the_clock_is_too_slow_then_counting_is_refused(made, told, tmp_path: Path) -> None:
    """Swell of 12 s read every 10 s: the cycles are not in the file."""
    text = "t_s,L1_kN\n" + "".join(f"{10 * n},{300 + 80 * np.sin(2 * np.pi * 10 * n / 12):.1f}\n" for n in range(60))
    found = made(text)

    assert told.flags(found)["sampling-coarse"] == "refused"
    with pytest.raises(InputError, match="cannot be counted"):
        read_record(tmp_path / "made.csv")


def test_log_when_a_reading_stands_alone_then_it_is_flagged_and_goes_by_answer(made, told) -> None:
    values = 200.0 + 20.0 * np.sin(np.arange(120) / 3.0)
    values[50] = 900.0
    text = "t_s,L1_kN\n" + "".join(f"{n},{value:.2f}\n" for n, value in enumerate(values))

    assert told.rows(made(text), "spike") == [52]
    assert made(text).content.series[0].values.max() == 900e3
    assert "kept, the answer spikes=drop leaves it out" in next(
        flag.text for flag in made(text).report.flags if flag.code == "spike"
    )
    dropped = made(text, answers={"spikes": "drop"})
    assert dropped.content.series[0].values.max() < 221e3
    (column,) = [item for item in dropped.report.columns if item.quantity == "force"]
    assert column.high < 221.0
    assert column.missing == 1
    assert np.isnan(dropped.values["L1"][50])
    (flag,) = [item for item in dropped.report.flags if item.code == "spike"]
    assert "left out, by the answer spikes" in flag.text
    assert [(item.row, item.read) for item in dropped.report.replaced] == [(52, "900 kN")]


def test_log_when_the_zero_drifts_then_it_is_said(made, told) -> None:
    load = np.r_[np.zeros(20), 300.0 + 30.0 * np.sin(np.arange(100) / 2.0), np.full(20, 7.0)]
    found = made("t_s,L1_kN\n" + "".join(f"{n},{value:.2f}\n" for n, value in enumerate(load)))

    assert told.flags(found)["zero-drift"] == "caution"
    assert told.flags(found)["zero-offset"] == "caution"


@pytest.mark.parametrize(("peak", "clipped"), [(400.0, False), (340.0, True)])
def test_log_when_a_smooth_crest_is_rounded_then_it_is_no_saturation(made, told, peak: float, clipped: bool) -> None:
    """10 Hz, 12 s swell, read to 0.1 kN: equal readings at a crest are the rounding, at a clipped top they are not."""
    load = np.minimum(300.0 + 80.0 * np.sin(2.0 * np.pi * np.arange(1200) / 120.0), peak)
    found = made("t_s,L1_kN\n" + "".join(f"{n / 10:.1f},{value:.1f}\n" for n, value in enumerate(load)))

    assert ("saturated" in told.flags(found)) is clipped


@pytest.mark.parametrize(
    ("text", "first", "kept"),
    [
        ("timestamp_ms,L1_kN\n1770000000000,3\n1770000001000,4\n1770000002000,3\n", "2026-02-02T02:40:00Z", 3),
        ("t_s,L1_kN\n1770000000,3\n1770000001,4\n1770000002,3\n", "2026-02-02T02:40:00Z", 3),
        ("Zeit (UTC);Kraft [kN]\n01.02.26 10:00:00;100,0\n13.02.26 10:00:01;101,0\n", "2026-02-01T10:00:00Z", 2),
        ("time_utc,L1_kN\n1899-12-31T23:59Z,1\n2026-02-01T10:00Z,2\n2150-01-01T00:00Z,3\n", "2026-02-01T10:00:00Z", 1),
    ],
    ids=["milliseconds from 1970", "seconds from 1970", "two-digit years", "years that no log has"],
)
def test_log_when_its_clock_is_unusual_then_it_is_read_right(made, text: str, first: str, kept: int) -> None:
    """1770000000 s from 1970 is 2 February 2026, 02:40 UTC (date arithmetic of the standard library)."""
    found = made(text)

    assert found.report.time.first == first
    assert found.report.rows_kept == kept


@pytest.mark.parametrize(
    "head", ["Time [s],Hook 1 [kN],Hook 2 [tf]", "t [s],Hook 1 [kN],Hook 2 [tf]", "n,Hook 1 [kN],Hook 2 [tf]"]
)
def test_log_when_readings_look_like_times_of_day_then_they_stay_readings(made, told, head: str) -> None:
    """20.40 is a number, not twenty to nine; 1 tf is 9806.65 N."""
    found = made(f"{head}\n0,200.0,20.40\n1,230.0,21.46\n2,200.0,20.40\n", as_kind="tension")

    assert told.column(found, "Hook 2").high == pytest.approx(21.46 * TONNE_FORCE)
    assert found.report.rows_kept == 3


def test_log_when_one_heading_stands_with_two_units_then_both_channels_have_a_name(made) -> None:
    found = made("t [s],Hook 1 [kN],Hook 1 [tf]\n0,100,10\n1,110,11\n2,100,10\n")

    assert [item.name for item in found.content.series] == ["Hook 1", "Hook 1 (2)"]
    assert found.content.series[1].values[0] == pytest.approx(98066.5)


def test_log_when_a_column_says_the_unit_row_by_row_then_it_is_followed(made, told) -> None:
    rows = "".join(f"2026-02-13T10:00:0{n}Z,H{k},{100 if k == 1 else 10 + n % 2},{'kN' if k == 1 else 'tf'}\n"
                   for n in range(5) for k in (1, 2))  # fmt: skip
    found = made("Time UTC,Hook,Tension,Unit\n" + rows)

    assert found.content.series[0].values[0] == pytest.approx(100e3)
    assert found.content.series[1].values[0] == pytest.approx(98066.5)
    assert "unit-by-row" in told.flags(found)


def test_log_when_a_column_beside_it_is_no_tension_then_it_can_be_said(made, told) -> None:
    text = "time_utc,L1,Alarm\n2026-02-13T10:00:00Z,100,0\n2026-02-13T10:00:01Z,110,0\n2026-02-13T10:00:02Z,100,1\n"
    found = made(text, answers={"unit": "kN", "unit.Alarm": "no tension"})

    assert [item.name for item in found.content.series] == ["L1"]


def test_file_that_is_a_pipe_or_far_too_wide_is_refused_at_once(tmp_path: Path, made) -> None:
    import os

    os.mkfifo(tmp_path / "pipe.csv")
    with pytest.raises(InputError, match="cannot be read"):
        import_file(tmp_path / "pipe.csv")
    wide = ",".join(f"L{n}_kN" for n in range(5000))
    with pytest.raises(InputError, match="too wide"):
        made(f"t_s,{wide}\n" + "\n".join(f"{n}," + ",".join("1" * 5000) for n in range(3)))


def test_answers_that_no_question_asks_are_refused(read) -> None:
    with pytest.raises(InputError, match="does not ask"):
        read("tension_good_kN_utc.csv", time__zone="UTC")
    with pytest.raises(InputError, match="metric"):
        read("tension_unit_t_and_ton.csv", unit__L02="tonnes")


# --- records of a case -------------------------------------------------------------------------


def record_of(folder: Path, text: str, **more):
    path = folder / "record.csv"
    path.write_text(text, encoding="utf-8")
    return read_record(path, **more)


def test_record_when_units_are_given_then_they_are_used(tmp_path: Path) -> None:
    """1 tf is 9806.65 N, exactly."""
    record = record_of(tmp_path, "# invented\ntime,tension\nms,tf\n0,10\n1000,12\n2000,11\n3000,12\n")

    np.testing.assert_allclose(record.time, [0.0, 1.0, 2.0, 3.0])
    np.testing.assert_allclose(record.tension, [98066.5, 117679.8, 107873.15, 117679.8])


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("time,tension\ns,ton\n0,1\n1,2\n2,1\n", "unit.tension"),
        ("time,tension\ns,%\n0,1\n1,2\n2,1\n", "base"),
        ("time,a,b\ns,kN,kN\n0,1,1\n1,2,2\n2,1,1\n", "channel"),
        ("", "is empty"),
        ("time,tension\n", "no table"),
        (HEAD + "0,-100\n1,-50\n2,20\n", "check zero and sign"),
        (HEAD + "0,0\n1,0\n2,0\n", "check zero and sign"),
        (HEAD + "0,1e300\n1,2e300\n2,3e300\n", "tensions of a mooring line"),
        (HEAD + "0,1\n1,2\n2," + "9" * 1_400_000 + "\n", "characters"),
    ],
    ids=["ton", "percent", "two channels", "empty", "headings", "negative", "nothing", "huge", "long cell"],
)
def test_record_when_it_cannot_be_counted_then_the_reason_is_named(tmp_path: Path, text: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        record_of(tmp_path, text)

    assert says in caught.value.render()


def test_record_when_it_is_absent_then_it_is_said(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="No such file"):
        read_record(tmp_path / "none.csv")


def test_record_when_readings_are_doubted_then_the_doubts_go_along(tmp_path: Path) -> None:
    record = record_of(tmp_path, HEAD + "0,1\n1,x7\n2,3\n3,1\n4,3\n5,2\n")

    assert len(record.time) == 5
    assert any("first at row 4" in text for text in record.report["doubts"])


def test_record_when_it_stays_at_its_top_then_it_is_flagged(tmp_path: Path) -> None:
    flat = HEAD + "".join(f"{n},{min(100 + 10 * (n % 9), 150)}\n" for n in range(50))

    assert record_of(tmp_path, flat).report["is_saturated"] is True
    assert record_of(tmp_path, HEAD + "0,1\n1,3\n2,1\n3,2\n").report["is_saturated"] is False


def test_record_in_percent_is_counted_as_a_share_of_its_strength(tmp_path: Path) -> None:
    text = "time,tension\ns,%LDBF\n" + "".join(f"{n},{20 + 5 * (n % 2)}\n" for n in range(40))
    counted = count(record_of(tmp_path, text))

    assert counted.base == "LDBF"
    assert counted.newton({"LDBF": 1e6, "SDMBL": 2e6}).highest == pytest.approx(250e3)


def test_count_when_binned_then_cycles_heat_and_peak_are_kept(tmp_path: Path) -> None:
    """Referee: the rainflow library on the same history (ASTM E1049-85, half cycles for the residue)."""
    rng = np.random.default_rng(3)
    tension = 250.0 + np.cumsum(rng.normal(0.0, 5.0, 4000)) * 0.1 + 30.0 * np.sin(np.arange(4000) / 3.0)
    record = record_of(tmp_path, HEAD + "".join(f"{n},{value:.3f}\n" for n, value in enumerate(tension)))
    counted = count(record)

    rows = [(0.5 * span, number) for span, _, number, _, _ in library.extract_cycles(np.round(tension, 3) * 1e3)]
    amplitude, number = np.array(rows).T
    assert counted.weight.sum() == pytest.approx(1.0)
    assert len(counted.weight) == BINS
    assert 3999.0 / counted.period == pytest.approx(number.sum(), rel=1e-9)
    square = np.sum(number * amplitude**2) / number.sum()
    assert np.sum(counted.weight * counted.amplitude**2) == pytest.approx(square, rel=1e-9)
    assert counted.amplitude.max() == pytest.approx(amplitude.max(), rel=0.02)
    assert counted.highest == pytest.approx(1e3 * np.round(tension, 3).max())
    ninth = np.sum(number * amplitude**9) / number.sum()
    assert np.sum(counted.weight * counted.amplitude**9) == pytest.approx(ninth, rel=0.05)


def test_count_when_the_swing_is_scaled_then_the_mean_stays(tmp_path: Path) -> None:
    counted = count(record_of(tmp_path, HEAD + "".join(f"{n},{100 + 20 * (n % 2)}\n" for n in range(40))))
    half = counted.swung(0.5)

    assert half.mean == counted.mean
    np.testing.assert_allclose(half.amplitude, 0.5 * counted.amplitude)
    assert half.highest - half.mean == pytest.approx(0.5 * (counted.highest - counted.mean))


def test_record_when_it_pauses_then_the_pause_is_no_time_and_no_cycle(tmp_path: Path) -> None:
    """By hand: 100 s, a pause of 10 h, 100 s: 200 s of record, no range from one part to the other.

    First part between 1 and 3 kN, second between 11 and 13 kN: the largest range is 2 kN, the mean 7 kN.
    """
    first = "".join(f"{n},{1 + 2 * (n % 2)}\n" for n in range(101))
    second = "".join(f"{36100 + n},{11 + 2 * (n % 2)}\n" for n in range(101))
    found = count(record_of(tmp_path, HEAD + first + second))

    assert found.duration == pytest.approx(200.0)
    assert found.unrecorded == pytest.approx(36000.0)
    assert found.mean == pytest.approx(7e3)
    assert found.amplitude.max() == pytest.approx(1e3)
    assert found.period == pytest.approx(2.0, rel=0.02)


def test_reading_when_no_line_carries_it_is_missing_and_the_log_stays(made, told) -> None:
    found = made(HEAD + "0,100\n1,1e30\n2,102\n3,103\n")
    assert told.column(found, "tension").high == 103.0
    assert told.rows(found, "implausible") == [4]
    assert [(item.row, item.read) for item in found.report.replaced] == [(4, "1e+30 kN")]


def test_cells_when_all_have_one_unit_are_numbers_in_it(made, told) -> None:
    found = made("time,Hook 1,Hook 2\n2026-03-01T10:00:00Z,100 kN,20.5 tf\n2026-03-01T10:00:01Z,110 kN,21 tf\n")
    assert told.questions(found) == []
    assert found.values["Hook 1"] == pytest.approx([100e3, 110e3])
    assert found.values["Hook 2"] == pytest.approx([20.5 * 9806.65, 21 * 9806.65])  # 1 tf = 9806.65 N
    assert told.flags(found)["unit-in-cells"] == "note"


def test_cells_when_some_have_another_unit_or_none_are_flagged(made, told) -> None:
    cells_ = ["100 kN", "110 kN", "120", "13 tf", "140 kN"]
    found = made("t [s],Hook 1\n" + "".join(f"{n},{cell}\n" for n, cell in enumerate(cells_)))
    assert found.values["Hook 1"] == pytest.approx([100e3, 110e3, 120e3, np.nan, 140e3], nan_ok=True)
    assert told.rows(found, "unit-in-some") == [4]
    assert told.rows(found, "cell-unreadable") == [5]


def test_cells_when_their_unit_is_not_the_headings_are_believed_and_said(made, told) -> None:
    found = made("t [s],Hook 1 [tf]\n0,100 kN\n1,110 kN\n")
    assert found.values["Hook 1"] == pytest.approx([100e3, 110e3])
    assert told.flags(found)["unit-differs"] == "caution"


@pytest.mark.parametrize("row", ["0;bad!;7", "0;ERR!;bad!"])
def test_headings_when_the_first_row_has_bad_cells_are_kept(made, told, row: str) -> None:
    rows = "".join(f"{n};{100 + n};{7 + n}\n" for n in range(1, 6))
    found = made(f"t [s];Hook 1 [kN];Hook 2 [tf]\n{row}\n{rows}")
    assert [column.name for column in found.report.columns] == ["t [s]", "Hook 1", "Hook 2"]
    assert found.values["Hook 1"][-1] == 105e3
    assert {item.read for item in found.report.replaced} == {cell for cell in row.split(";") if not cell.isdigit()}


def test_headings_when_the_first_row_has_a_bad_time_are_kept(made, told) -> None:
    found = made("t [s];Hook 1 [kN]\nbad!;100\n" + "".join(f"{n};{100 + n}\n" for n in range(1, 6)))
    assert [column.name for column in found.report.columns] == ["t [s]", "Hook 1"]
    assert [(item.row, item.why) for item in found.report.dropped] == [(2, "no time")]


@pytest.mark.parametrize(
    ("zone", "since"),
    [("UTC", "2026-02-13T10:00:29Z"), ("UTC+4", "2026-02-13T06:00:29Z"), ("", "10:00:29 (zone open)")],
)
def test_gap_names_its_time_with_the_zone_and_its_row(made, told, zone: str, since: str) -> None:
    """Thirty readings from 10:00:00, thirty from 10:10:00: 571 s from the last, in row 31, to the next."""
    rows = "".join(f"2026-02-13 10:{10 * (n // 30):02d}:{n % 30:02d},{100 + n % 5}\n" for n in range(60))
    found = made("time,L1_kN\n" + rows, answers={"time.zone": zone} if zone else {})

    (flag,) = [item for item in found.report.flags if item.code == "gap"]
    assert "1 gap of 571 s after" in flag.text
    assert f"{since} in row 31, 2 segments" in flag.text
    assert flag.rows == (32,)
