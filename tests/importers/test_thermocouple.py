"""Thermocouple logs: faults that thermocouples have told apart from heat. Samples are invented."""

import numpy as np
import pytest
from scipy.optimize import curve_fit

from linewright.importers import thermocouple


def test_sample_good_with_four_heading_lines(read, told) -> None:
    """The core of the sample rises by 14 K with 900 s, fitted here by SciPy."""
    found = read("tc_good_four_header_lines.dat")

    assert (found.report.kind, found.report.rows_kept, found.report.time.step) == ("thermocouple", 40, 60.0)
    core = told.column(found, "T_core")
    assert (core.low, core.high) == (pytest.approx(23.0), pytest.approx(35.96))
    (rise, constant), _ = curve_fit(lambda t, a, tau: 296.15 + a * (1.0 - np.exp(-t / tau)),
                                    found.time - found.time[0], found.values["T_core"], p0=(10.0, 600.0))  # fmt: skip
    assert (rise, constant) == (pytest.approx(14.0, abs=0.05), pytest.approx(900.0, rel=0.01))
    np.testing.assert_allclose(found.values["Load"], 200e3)
    assert found.content.reference == "TRef"
    assert all(flag.severity == "note" for flag in found.report.flags)


def test_sample_with_open_circuit_codes(read, told) -> None:
    found = read("tc_degree_sign_cp1252_open_codes.csv")

    assert (found.report.rows_kept, found.report.time.step, found.report.encoding) == (30, 30.0, "cp1252")
    assert [item.read for item in found.report.replaced] == ["1300,0", "1300,0", "-9999", "7999"]
    assert sum(column.missing for column in found.report.columns) == 4
    assert max(column.high for column in found.report.columns if column.high is not None) < 50.0


def test_sample_with_a_step_of_the_reference_junction(read, told) -> None:
    """All channels jump by 6 K from data row 18 to 29 and back."""
    found = read("tc_cold_junction_step.csv")

    assert told.flags(found)["reference-junction"] == "caution"
    assert told.rows(found, "reference-junction") == list(range(20, 32))
    assert np.flatnonzero(found.content.excluded).tolist() == list(range(18, 30))


def test_sample_with_words_for_open_circuits(read, told) -> None:
    found = read("tc_open_circuit_words.csv")

    one, two = told.column(found, "TC1"), told.column(found, "TC2")
    assert (one.missing, one.values, two.values) == (10, 6, 16)
    assert len(found.report.replaced) == 10
    assert "cell-unreadable" not in told.flags(found)


def test_log_when_a_word_is_unknown_then_its_row_is_named(made, told) -> None:
    found = made("t_s,TC1_degC\n0,20.0\n60,20.5\n120,hot!\n180,21.0\n")

    assert told.rows(found, "cell-unreadable") == [4]
    assert [(item.row, item.read) for item in found.report.replaced] == [(4, "hot!")]


def test_sample_with_reversed_polarity(read, told) -> None:
    found = read("tc_reversed_polarity.csv")

    assert told.flags(found)["polarity-reversed"] == "refused"
    assert found.content.refused == ("TC3",)
    assert "TC3" not in thermocouple.usable(found.content)
    assert found.values["TC3"].min() < 273.15 + 24.0  # not corrected
    accepted = read("tc_reversed_polarity.csv", polarity__TC3="accepted")
    assert "TC3" in thermocouple.usable(accepted.content)


def test_sample_with_a_clock_per_channel(read, told) -> None:
    found = read("tc_paired_time_columns.csv")

    one, two = found.content.series
    assert (len(one.time), len(two.time)) == (20, 9)
    assert (one.time[1] - one.time[0], two.time[1] - two.time[0]) == (10.0, 25.0)
    assert (two.time[0], two.time[-1]) == (3.0, 203.0)
    assert "clock-per-channel" in told.flags(found)
    assert told.column(found, "TC2").values == 9
    assert found.report.replaced == ()


@pytest.mark.parametrize("degree", ["°C", "Â°C", "℃", "degC", "deg C", "C", "º C"])
def test_log_when_the_degree_is_written_otherwise_then_it_is_celsius(made, told, degree: str) -> None:
    found = made(f"t_s,TC1 core [{degree}]\n0,20.0\n60,21.0\n120,22.0\n")

    assert told.column(found, "TC1 core").unit == "degC"
    np.testing.assert_allclose(found.values["TC1 core"], [293.15, 294.15, 295.15])


def test_log_in_fahrenheit_is_kelvin_inside(made) -> None:
    """212 F is 100 C, 32 F is 0 C."""
    np.testing.assert_allclose(made("t_s,TC1 [°F]\n0,32\n60,212\n120,50\n").values["TC1"], [273.15, 373.15, 283.15])


def test_log_when_no_unit_is_stated_then_it_is_asked(made, told) -> None:
    text = "t_s,TC1,TC2\n0,20.0,21\n60,21.0,22\n120,21.5,22\n"

    assert told.questions(made(text, as_kind="thermocouple")) == ["unit"]
    found = made(text, answers={"unit": "degC"}, as_kind="thermocouple")
    assert found.values["TC1"][0] == pytest.approx(293.15)


def test_log_when_a_recorder_writes_a_colon_before_the_milliseconds(made) -> None:
    found = made(
        "time\tTC1 [C]\n2026-03-03 09:00:00:000\t20.0\n2026-03-03 09:00:00:500\t20.1\n2026-03-03 09:00:01:000\t-inf\n"
    )

    assert found.report.time.step == pytest.approx(0.5)
    assert found.report.columns[1].missing == 1


def test_log_when_an_open_channel_reads_at_random_then_it_is_no_temperature(made, told) -> None:
    found = made("t_s,TC1_degC\n0,20.0\n60,834.2\n120,20.4\n180,20.6\n")

    assert told.flags(found)["implausible"] == "caution"
    assert told.column(found, "TC1").high == pytest.approx(20.6)
