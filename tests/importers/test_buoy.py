"""Buoy files: headers of all ages, nines by column, spectra in pairs and tables."""

import numpy as np
import pytest

from linewright.base.errors import InputError
from linewright.importers import buoy, buoy_waves
from linewright.importers.report import Log
from linewright.importers.text import read_text
from linewright.importers.weather import recognise_weather

ZERO = 273.15
MODERN = "#YY  MM DD hh mm WDIR WSPD GST  WVHT   DPD   APD MWD   PRES  ATMP  WTMP  DEWP  VIS  TIDE"
UNITS = "#yr  mo dy hr mn degT m/s  m/s     m   sec   sec degT   hPa  degC  degC  degC  nmi   ft"
READERS = {"buoy": buoy.read, "buoy-summary": buoy_waves.read_summary, "buoy-spectra": buoy_waves.read_spectra}


@pytest.fixture
def load(tmp_path):
    def load_lines(form: str, *lines: str, end: str = "\n"):
        path = tmp_path / "made.txt"
        path.write_bytes((end.join(lines) + end).encode())
        log = Log()
        file = read_text(path, log)
        assert recognise_weather("made.txt", file.lines) == form
        return READERS[form](file, log)

    return load_lines


def codes(imported) -> set[str]:
    return {flag.code for flag in imported.report.flags}


def test_nines_when_real_in_their_column_are_kept(load) -> None:
    """99 deg and 999.0 hPa are real; 999 deg, 9999.0 hPa, 99.00 m and 999.0 degC are not."""
    got = load(
        "buoy",
        MODERN,
        UNITS,
        "2019 01 01 00 00  99  9.9 99.0  9.90 99.00  9.00  99  999.0   9.9 999.0  -9.9 99.0 99.00",
        "2019 01 01 01 00 999 99.0 10.0 99.00  9.00 99.00 999 9999.0 999.0   9.9 999.0 99.0 99.00",
    )
    values = got.values
    assert np.degrees(values["wind_from"]) == pytest.approx([99.0, np.nan], nan_ok=True)
    assert np.degrees(values["wave_from"]) == pytest.approx([99.0, np.nan], nan_ok=True)
    assert values["pressure"] == pytest.approx([99900.0, np.nan], nan_ok=True)
    assert values["wave_height"] == pytest.approx([9.9, np.nan], nan_ok=True)
    assert values["wind"] == pytest.approx([9.9, np.nan], nan_ok=True)
    assert values["gust"] == pytest.approx([np.nan, 10.0], nan_ok=True)
    assert values["air"] == pytest.approx([9.9 + ZERO, np.nan], nan_ok=True)
    assert values["dew_point"] == pytest.approx([-9.9 + ZERO, np.nan], nan_ok=True)
    assert values["mean_period"] == pytest.approx([9.0, np.nan], nan_ok=True)


@pytest.mark.parametrize(
    ("header", "date"),
    [
        ("YY MM DD hh WD   WSPD GST  WVHT  DPD   APD  MWD  BAR    ATMP  WTMP  DEWP  VIS", "98 12 31 23"),
        ("YYYY MM DD hh WD   WSPD GST  WVHT  DPD   APD  MWD  BAR    ATMP  WTMP  DEWP  VIS", "1998 12 31 23"),
        ("YYYY MM DD hh mm WD   WSPD GST  WVHT  DPD   APD  MWD  BAR    ATMP  WTMP  DEWP  VIS", "1998 12 31 23 00"),
        ("#YY MM DD hh mm WDIR   WSPD GST  WVHT  DPD   APD  MWD  PRES    ATMP  WTMP  DEWP  VIS", "1998 12 31 23 00"),
    ],
)
def test_header_when_of_any_age_is_found_by_its_names(load, header: str, date: str) -> None:
    got = load("buoy", header, f"{date} 225  7.0  9.1  1.80 13.80  9.10 215 1003.5  30.1  29.4  25.0 99.0", end="\r\n")
    assert got.report.time.first == "1998-12-31T23:00:00Z"
    assert got.values["wave_height"][0] == 1.8
    assert got.values["pressure"][0] == pytest.approx(100350.0)


def test_columns_when_in_another_order_follow_their_names(load) -> None:
    got = load("buoy", "#YY MM DD hh mm WTMP WVHT WSPD ATMP", "2026 07 02 12 50 29.5 1.7 7.0 MM")
    assert (got.values["water"][0], got.values["wave_height"][0], got.values["wind"][0]) == (29.5 + ZERO, 1.7, 7.0)
    assert np.isnan(got.values["air"][0])


def test_units_when_stated_are_used(load) -> None:
    got = load(
        "buoy", "#YY MM DD hh mm WSPD WVHT ATMP", "#yr mo dy hr mn kts ft degF", "2026 07 02 12 50 10.0 10.0 50.0"
    )
    assert got.values["wind"][0] == pytest.approx(5.1444, abs=1e-4)
    assert got.values["wave_height"][0] == pytest.approx(3.048)
    assert got.values["air"][0] == pytest.approx(283.15)
    with pytest.raises(InputError, match="unit"):
        load("buoy", "#YY MM DD hh mm WSPD WVHT ATMP", "#yr mo dy hr mn furl m degC", "2026 07 02 12 50 10.0 10.0 50.0")


def test_rows_when_cut_doubled_and_headed_again_are_accounted_for(load) -> None:
    rows = [
        "2019 01 01 00 00 225  7.0  9.0  1.80 13.80  9.10 215 1003.5  30.1  29.4  25.0 99.0 99.00",
        "2019 01 01 01 00 225  7.1  9.0  1.80 13.80  9.10 215 1003.5  30.1  29.4  25.0 99.0 99.00",
    ]
    got = load(
        "buoy",
        MODERN,
        UNITS,
        rows[1],
        rows[0],
        rows[0],
        "",
        MODERN.replace("WDIR", "WD"),
        rows[0].replace("00 00", "02 00", 1),
        rows[0].replace("7.0", "8.0"),
        rows[0][:40],
        "2019 02 30 00 00" + rows[0][16:],
    )
    assert got.report.rows_read == 7
    assert got.report.rows_kept == 3
    assert np.all(np.diff(got.time) == 3600.0)
    assert {"conflicting-duplicate", "header-again"} <= codes(got)
    assert {item.row for item in got.report.dropped} == {5, 9, 10, 11}


def test_calm_when_speed_is_0_has_no_direction(load) -> None:
    got = load(
        "buoy",
        MODERN,
        UNITS,
        "2019 01 01 00 00   0  0.0  0.0  1.80 13.80  9.10   0 1003.5  30.1  29.4  25.0 99.0 99.00",
    )
    assert np.isnan(got.values["wind_from"][0])
    assert got.values["wave_from"][0] == 0.0
    assert got.texts["wind_kind"] == ("calm",)


# --- spectral summary ----------------------------------------------------------------------------

SUMMARY = "#YY  MM DD hh mm WVHT  SwH  SwP  WWH  WWP SwD WWD  STEEPNESS  APD MWD"


@pytest.mark.parametrize(
    ("letters", "degrees"), [("N", 0.0), ("NNE", 22.5), ("E", 90.0), ("SSW", 202.5), ("NNW", 337.5), ("247", 247.0)]
)
def test_summary_when_directions_are_letters_or_degrees(load, letters: str, degrees: float) -> None:
    got = load(
        "buoy-summary", SUMMARY, f"2026 07 02 12 40  1.9  1.6 14.3  1.0  5.0  {letters}  {letters} SWELL  8.6  205"
    )
    assert np.degrees(got.values["swell_from"][0]) == pytest.approx(degrees)
    assert np.degrees(got.values["wind_sea_from"][0]) == pytest.approx(degrees)


def test_summary_when_parts_do_not_add_up_is_flagged(load) -> None:
    got = load(
        "buoy-summary",
        SUMMARY,
        "2026 07 02 12 40  1.9  1.6 14.3  1.0  5.0  S SW SWELL  8.6  205",
        "2026 07 02 13 40  3.9  1.6 14.3  1.0  5.0  S SW SWELL  8.6  205",
        "2026 07 02 14 40  2.0  2.0 14.3  0.0   MM  S MM SWELL  8.6  205",
        "2026 07 02 15 40  2.0  2.0 14.3  0.0  9.0  X SW SWELL  8.6  205",
    )
    flag = next(flag for flag in got.report.flags if flag.code == "split-differs")
    assert flag.rows == (3,)
    assert np.isnan(got.values["wind_sea_period"][2:]).all()
    assert np.isnan(got.values["swell_from"][3])
    assert ("SwD", "X") in {(item.column, item.read) for item in got.report.replaced}


# --- raw spectra ---------------------------------------------------------------------------------

PAIRS = "#YY  MM DD hh mm Sep_Freq  < spec_1 (freq_1) spec_2 (freq_2) spec_3 (freq_3) ... >"


def test_spectra_when_in_pairs_have_their_moments(load) -> None:
    """A triangle of 2 m2/Hz at 0.1 Hz over 0.05 to 0.15 Hz: m0 = 0.1 m2, so 4 sqrt(m0) = 1.265 m."""
    row = "0.000 (0.050) 2.000 (0.100) 0.000 (0.150) 0.000 (0.400)"
    got = load("buoy-spectra", PAIRS, f"2026 07 02 12 40 0.120 {row}", f"2026 07 02 11 40 9.999 {row}")
    spectra = got.content
    assert spectra.frequencies.tolist() == [0.05, 0.1, 0.15, 0.4]
    assert spectra.densities.shape == (2, 4)
    assert spectra.separation.tolist() == pytest.approx([np.nan, 0.12], nan_ok=True)  # rows now ascend
    assert got.values["wave_height"] == pytest.approx(4.0 * np.sqrt(0.1))
    assert got.values["peak_period"] == pytest.approx(10.0)
    assert got.values["mean_period"] == pytest.approx(10.0)  # all of m2 at the one inner point
    assert got.report.time.first == "2026-07-02T11:40:00Z"


@pytest.mark.parametrize(
    ("header", "date"),
    [("#YY MM DD hh mm", "2007 07 02 12 40"), ("YYYY MM DD hh", "2004 07 02 12"), ("YY MM DD hh", "98 07 02 12")],
)
def test_spectra_when_a_table_are_the_same(load, header: str, date: str) -> None:
    got = load("buoy-spectra", f"{header}  .0500 .1000  .1500  .4000", f"{date} 0.00 2.00 0.00 0.00", f"{date} 0.00")
    assert got.values["wave_height"] == pytest.approx(4.0 * np.sqrt(0.1))
    assert got.content.densities.tolist() == [[0.0, 2.0, 0.0, 0.0]]
    assert got.report.rows_read == 2


def test_spectra_when_missing_impossible_or_of_other_frequencies(load) -> None:
    got = load(
        "buoy-spectra",
        PAIRS,
        "2026 07 02 12 40 0.120 0.0 (0.050) 999.00 (0.100) 0.0 (0.150)",
        "2026 07 02 13 40 0.120 0.0 (0.050) -1.0 (0.100) 0.0 (0.150)",
        "2026 07 02 14 40 0.120 0.0 (0.050) 1.0 (0.110) 0.0 (0.150)",
        "2026 07 02 15 40 0.120 0.0 (0.050) 0.0 (0.100) 0.0 (0.150)",
        "2026 07 02 16 40 0.120 0.0 (0.050) 1.0 (0.040) 0.0 (0.150)",
        "2026 07 02 17 40 0.120 0.0 (0.050) 1.0 (0.100) 0.0 (0.1",
    )
    assert got.report.rows_kept == 3
    assert {item.row for item in got.report.dropped} == {4, 6, 7}
    assert np.isnan(got.values["wave_height"][:2]).all()
    assert got.values["wave_height"][2] == 0.0
    assert np.isnan(got.values["peak_period"]).all()
    assert {item.read for item in got.report.replaced} == {"999.00", "-1.0"}


def test_spectra_when_of_directions_are_refused(load) -> None:
    with pytest.raises(InputError, match="directions"):
        load(
            "buoy-spectra",
            "#YY  MM DD hh mm alpha1_1 (freq_1) alpha1_2 (freq_2) alpha1_3 (freq_3) ... >",
            "2026 07 02 12 40 204.0 (0.050) 210.0 (0.100) 220.0 (0.150) 230.0 (0.200)",
        )


def test_units_when_they_are_not_the_usual_ones_are_used_and_said(load) -> None:
    """By hand: 10 kn is 18520 m in 3600 s; 50 degF is 10 degC; 10 ft is 3.048 m."""
    row = "2019 01 01 00 00  99  10.0 10.0  10.0  9.00  9.00  99  999.0  50.0  50.0  50.0 99.0 99.00"
    for units in (
        "#yr  mo dy hr mn degT kts  kts    ft   sec   sec degT   hPa  degF  degF  degF  nmi   ft",
        "#Year mon d h m degT kts  kts    ft   sec   sec degT   hPa  degF  degF  degF  nmi   ft",
    ):
        got = load("buoy", MODERN, units, row)
        assert got.values["wind"] == pytest.approx([18520.0 / 3600.0])
        assert got.values["wave_height"] == pytest.approx([3.048])
        assert got.values["air"] == pytest.approx([10.0 + ZERO])
        assert "units-line" in codes(got)
        assert got.report.rows_read == 1


def test_units_when_their_row_has_another_width_are_not_used_and_it_is_said(load) -> None:
    row = "2019 01 01 00 00  99  10.0 10.0  9.90  9.00  9.00  99  999.0  9.9  9.9  9.9 99.0 99.00"
    got = load("buoy", MODERN, "#units: kts and ft", row)
    assert got.values["wind"] == pytest.approx([10.0])
    assert "units-line" in codes(got)


@pytest.mark.parametrize("remark", ["# anemometer height: 4.1 m above site elevation", "# Wind measured at 4.1 m"])
def test_height_of_the_wind_that_a_remark_above_the_header_states_is_read(load, remark: str) -> None:
    row = "2024 01 01 00 00 220  6.0  8.0   1.5     9   6.0 210 1010.0  15.0  16.0  12.0   MM   MM"
    got = load("buoy", remark, "# an invented buoy", MODERN, UNITS, row)
    bare = load("buoy", MODERN, UNITS, row)

    flags = ([flag.text for flag in item.report.flags if flag.code == "wind-height"] for item in (got, bare))
    (told,), (untold,) = flags
    assert told.startswith("the wind is measured at 4.1 m, above the table; it is kept as measured")
    assert "not stated" in untold
    assert got.report.dropped == bare.report.dropped
