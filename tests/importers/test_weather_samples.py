"""The invented sample files of weather and waves: each sentence of their expectations."""

import json

import numpy as np
import pytest

from linewright.base.errors import InputError
from linewright.importers.report import Log
from linewright.importers.weather import year_of

ZERO = 273.15


def test_epw_when_good_has_its_day_in_utc_and_its_sun(read, told) -> None:
    """W01: 24 rows, zone +4, 8078 Wh/m2, hour 1 is 20:00 to 21:00 UTC of the day before, hottest hour 37.0 C."""
    got = read("weather_hot_port_one_day.epw")
    report = got.report

    assert (report.kind, report.form, report.rows_read, report.rows_kept) == ("weather", "epw", 24, 24)
    assert (report.notes["latitude"], report.notes["longitude"], report.notes["utc_offset_hours"]) == (15.0, 60.0, 4.0)
    assert got.values["level"].sum() == pytest.approx(8078.0)
    assert report.time.first == "2019-06-20T21:00:00Z"
    assert report.time.because == "LOCATION line: +4"
    interval = report.notes["interval"]
    assert (interval["label"], interval["minutes"]) == ("end", 60.0)
    assert got.time[0] + interval["centre_seconds"] - 1800.0 == np.datetime64("2019-06-20T20:00:00").astype(float)
    assert got.values["air"].max() == pytest.approx(37.0 + ZERO)
    assert told.column(got, "Dry Bulb Temperature").high == pytest.approx(37.0)
    assert np.argmax(got.values["air"]) == 14
    assert set(told.flags(got)) == {"wind-height"}
    assert not report.replaced
    assert not report.dropped


def test_epw_when_codes_are_missing_no_code_gets_through(read, told) -> None:
    """W02: minute 60 is not the next hour; 99.9 twice, 9999, 999, 999999 once each; the gap at noon is no 0."""
    got = read("weather_epw_missing_codes_minute60.epw")
    report = got.report

    assert report.time.first == "2019-06-20T21:00:00Z"
    assert report.time.step == 3600.0
    assert "minute-ignored" in told.flags(got)
    listed = sorted((item.column, item.row, item.read) for item in report.replaced)
    assert listed == [
        ("Atmospheric Station Pressure", 28, "999999"),
        ("Dew Point Temperature", 28, "99.9"),
        ("Diffuse Horizontal Radiation", 20, "9999"),
        ("Direct Normal Radiation", 20, "9999"),
        ("Dry Bulb Temperature", 13, "99.9"),
        ("Dry Bulb Temperature", 14, "99.9"),
        ("Global Horizontal Radiation", 20, "9999"),
        ("Wind Direction", 22, "999"),
        ("Wind Speed", 22, "999"),
    ]
    assert np.nanmax(got.values["air"]) < 38.0 + ZERO
    assert np.nanmax(got.values["level"]) == 1015.0
    assert np.isnan(got.values["level"][11])
    assert np.flatnonzero(np.isnan(got.values["air"])).tolist() == [4, 5]
    assert np.flatnonzero(np.isnan(got.values["wind"])).tolist() == [13]


def test_tmy3_when_months_are_of_different_years_is_one_typical_year(read, told) -> None:
    """W04: 24:00 is the end of the day, 1998 then 1993 is no jump back, -9900 is missing (one wind row), 25 rows."""
    got = read("weather_tmy3_24h_mixed_years.csv")
    report = got.report

    assert (report.form, report.rows_read, report.rows_kept) == ("tmy3", 25, 25)
    assert "typical-year" in told.flags(got)
    assert report.notes["typical_year"] == {"7": 1998, "8": 1993}
    assert np.all(np.diff(got.time) > 0.0)
    assert np.diff(got.time)[:23] == pytest.approx(3600.0)
    assert report.time.first.endswith("-07-14T21:00:00Z")
    assert got.time[23] - got.time[0] == 23 * 3600.0
    assert report.time.last.endswith("-07-31T21:00:00Z")
    assert told.column(got, "Wspd (m/s)").missing == 1
    assert np.isnan(got.values["wind"][8])
    assert np.nanmin(got.values["wind"]) == 6.1
    assert "-9900" in {item.read for item in report.replaced}


def test_tmy3_when_direct_and_diffuse_are_filled_with_0_reads_them_as_gaps(read, told) -> None:
    got = read("weather_tmy3_24h_mixed_years.csv")

    sunny = got.values["level"] > 0.0
    assert sunny.sum() == 12
    assert np.isnan(got.values["beam"][sunny]).all()
    assert np.isnan(got.values["diffuse"][sunny]).all()
    assert told.flags(got)["sun-parts-zero"] == "caution"


def test_isd_lite_when_read_scales_after_its_codes(read, told) -> None:
    """W05: 20 rows, scale 10, -9999 once in air and once in wind, calm at hour 02, 28.1 C at 00 UTC."""
    got = read("weather_isd_lite_fixed_width.txt")

    assert (got.report.form, got.report.rows_kept) == ("isd-lite", 20)
    assert got.values["air"][0] == pytest.approx(28.1 + ZERO)
    assert got.report.time.first == "2025-07-15T00:00:00Z"
    assert told.column(got, "air temperature").missing == 1
    assert told.column(got, "wind speed rate").missing == 1
    assert np.nanmin(got.values["air"]) > 280.0
    assert got.values["wind"][2] == 0.0
    assert np.isnan(got.values["wind_from"][2])
    assert got.texts["wind_kind"][2] == "calm"
    assert got.values["pressure"][0] == pytest.approx(100420.0)
    assert got.values["cloud"] == pytest.approx(0.5)
    assert got.values["wind_from"][0] == pytest.approx(np.radians(230.0))


def test_metar_when_the_month_is_open_asks_for_it(read, told) -> None:
    """W07: day 21 has no month."""
    got = read("weather_metar_two_stations.txt")

    assert told.questions(got) == ["month"]
    assert got.report.is_open
    assert got.time is None
    assert (got.report.rows_read, got.report.rows_kept) == (11, 9)


def test_metar_when_two_stations_and_units_stand_in_one_text_keeps_them_apart(read, told) -> None:
    """W07: KT and MPS, gusts, VRB, calm, slashes, NIL, COR, M03, inHg, SPECI; 11 lines, 9 usable."""
    got = read("weather_metar_two_stations.txt", month="2025-07")
    values, texts = got.values, got.texts
    row = {(texts["station"][n], texts["report_type"][n], got.time[n]): n for n in range(9)}

    def at(station: str, moment: str, kind: str = "METAR") -> int:
        return row[station, kind, np.datetime64(f"2025-07-21T{moment}").astype("datetime64[s]").astype(float)]

    assert got.report.rows_kept == 9
    assert sorted(item.row for item in got.report.dropped) == [2, 8]
    corrected = at("ZZKM", "01:00")
    assert values["wind"][corrected] == pytest.approx(7.7167, abs=1e-4)  # 15 kt
    assert values["gust"][corrected] == pytest.approx(25 * 1852 / 3600)
    assert values["wind"][at("ZZYS", "02:00")] == 18.0
    assert values["gust"][at("ZZYS", "00:00")] == 24.0
    assert values["air"][at("ZZYS", "00:00")] == pytest.approx(-3.0 + ZERO)
    assert values["air"][at("ZZYS", "02:00")] == pytest.approx(ZERO)
    assert values["pressure"][at("ZZYS", "03:00")] == pytest.approx(99220.0, abs=5.0)  # 29.30 inHg
    variable, calm, slashed = at("ZZKM", "02:00"), at("ZZKM", "03:00"), at("ZZKM", "04:00")
    assert texts["wind_kind"][variable] == "variable"
    assert values["wind"][variable] == pytest.approx(2 * 1852 / 3600)
    assert np.isnan(values["wind_from"][variable])
    assert texts["wind_kind"][calm] == "calm"
    assert values["wind"][calm] == 0.0
    assert np.isnan(values["wind"][slashed])
    assert np.isnan(values["pressure"][slashed])
    assert values["air"][slashed] == pytest.approx(30.0 + ZERO)
    assert texts["report_type"].count("SPECI") == 1
    assert at("ZZYS", "02:17", "SPECI") >= 0
    assert got.report.time.first == "2025-07-21T00:00:00Z"


def test_metar_when_a_year_is_made_asks_for_the_station(read) -> None:
    got = read("weather_metar_two_stations.txt", month="2025-07")
    with pytest.raises(InputError) as caught:
        year_of(got, Log())
    assert {"station", "latitude", "longitude"} <= {problem.where for problem in caught.value.problems}


def test_reanalysis_when_read_turns_sums_and_components(read, told) -> None:
    """W08: K, J/m2 over the hour before, 7.50 m/s from 233.1 deg, two blank wave rows, UTC."""
    got = read("reanalysis_point_hourly.csv")
    values = got.values

    assert got.report.rows_kept == 24
    assert values["air"][0] == 301.25
    assert values["level"][3] == pytest.approx(635268 / 3600)
    interval = got.report.notes["interval"]
    assert (interval["label"], interval["minutes"], interval["centre_seconds"]) == ("end", 60.0, -1800.0)
    assert values["wind"] == pytest.approx(7.5)
    assert np.degrees(values["wind_from"]) == pytest.approx(233.13, abs=0.01)
    assert np.flatnonzero(np.isnan(values["wave_height"])).tolist() == [6, 7]
    assert told.column(got, "swh").missing == 2
    assert (got.report.time.zone, got.report.time.first) == ("UTC", "2025-07-15T00:00:00Z")
    assert "sun-shifted" not in told.flags(got)


def test_buoy_when_real_time_is_turned_to_rising_time(read, told) -> None:
    """W10: newest first, 16 rows, waves in every second, MM the month is not MM the missing value."""
    got = read("buoy_realtime_stdmet.txt")

    assert (got.report.kind, got.report.form, got.report.rows_kept) == ("waves", "buoy", 16)
    assert np.all(np.diff(got.time) == 1800.0)
    assert (got.report.time.first, got.report.time.last) == ("2026-07-02T05:20:00Z", "2026-07-02T12:50:00Z")
    assert (told.column(got, "WVHT").values, told.column(got, "WVHT").missing) == (8, 8)
    assert np.nanmax(got.values["peak_period"]) == 14.0
    assert got.values["wave_height"][-1] == 1.7
    assert np.isnan(got.values["wave_height"][-2])
    assert "newest-first" in told.flags(got)


def test_buoy_when_historical_judges_nines_by_column(read, told) -> None:
    """W11: old header, no minute; heights 99.00 in 6 of 18 rows, wind missing in 1, MWD never given."""
    got = read("buoy_historical_old_header.txt")

    assert got.report.rows_kept == 18
    assert told.column(got, "WVHT").missing == 6
    assert told.column(got, "WSPD").missing == 1
    assert told.column(got, "MWD").values == 0
    assert [flag.column for flag in got.report.flags if flag.code == "never-given"] == ["MWD", "DEWP"]
    assert np.nanmax(got.values["wave_height"]) == 1.8
    assert got.values["pressure"] == pytest.approx(100350.0)
    assert told.column(got, "BAR").quantity == "pressure"
    assert told.column(got, "WD").quantity == "wind_from"


def test_buoy_summary_when_there_is_no_swell_keeps_height_0(read, told) -> None:
    """W12: compass letters, no swell in one row, one row missing, newest first; the heights add up."""
    got = read("buoy_spectral_summary.spec")
    values = got.values

    assert (got.report.form, got.report.rows_kept) == ("buoy-summary", 6)
    assert np.degrees(values["swell_from"][-1]) == pytest.approx(202.5)
    assert values["swell_height"][3] == 0.0
    assert np.isnan(values["swell_period"][3])
    assert np.isnan(values["wave_height"][2])
    assert all(np.isnan(part[2]) for part in values.values())
    assert got.texts["steepness"][2] == ""
    assert got.texts["steepness"][3] == "VERY_STEEP"
    assert np.all(np.diff(got.time) == 3600.0)
    assert "split-differs" not in told.flags(got)
    assert told.rows(got, "no-swell") == [5]


def test_climate_table_when_read_has_two_places(read, told) -> None:
    """W14: 24 rows, two places, twelve months, day and night air, noon sun, wind, swell, share of severe calls."""
    got = read("monthly_climate_two_places.csv")

    assert (got.report.kind, got.report.form, got.report.rows_kept) == ("weather", "climate-table", 24)
    assert sorted(got.content) == ["Equator Terminal", "North Quay"]
    hot = got.content["Equator Terminal"].values
    assert hot["air_high"][4] == pytest.approx(34.0 + ZERO)
    assert hot["level_noon"][7] == 1035.0
    assert got.content["North Quay"].values["wave_height"][0] == 3.6
    assert hot["severe_share"][6] == pytest.approx(0.85)
    assert hot["wind_night"][5] == 8.0
    assert hot["peak_period"][8] == 13.0
    assert not got.report.questions


@pytest.mark.parametrize(
    "name",
    [
        "weather_hot_port_one_day.epw",
        "weather_tmy3_24h_mixed_years.csv",
        "weather_isd_lite_fixed_width.txt",
        "weather_metar_two_stations.txt",
        "reanalysis_point_hourly.csv",
        "buoy_realtime_stdmet.txt",
        "buoy_spectral_summary.spec",
        "monthly_climate_two_places.csv",
    ],
)
def test_report_when_written_as_json_is_whole(read, name: str) -> None:
    text = json.dumps(read(name).report.as_dict(), allow_nan=False)
    assert json.loads(text)["rows_kept"] > 0
