"""ISD-Lite, the global hourly CSV and METAR: codes, qualities, kinds of report, units in one text."""

import numpy as np
import pytest

from linewright.base.errors import InputError
from linewright.importers import metar, stations
from linewright.importers.report import Log
from linewright.importers.text import read_text
from linewright.importers.weather import recognise_weather

ZERO = 273.15
KNOT = 1852.0 / 3600.0


@pytest.fixture
def load(tmp_path):
    def load_text(text: str, reader, form: str, **answers: str):
        path = tmp_path / "made.txt"
        path.write_bytes(text.encode("utf-8"))
        log = Log(answers)
        file = read_text(path, log)
        assert recognise_weather("made.txt", file.lines) == form
        return reader(file, log)

    return load_text


def codes(imported) -> set[str]:
    return {flag.code for flag in imported.report.flags}


# --- ISD-Lite ------------------------------------------------------------------------------------


def lite(*figures: int, hour: int = 0) -> str:
    return f"2025 01 31 {hour:02d}" + "".join(f"{figure:6d}" for figure in figures)


def test_lite_when_values_are_below_zero_and_coded_scales_only_values(load) -> None:
    """Format document: scale 10 on air, dew point, pressure and speed; -9999 missing; trace of rain -1."""
    rows = [
        lite(-105, -151, 10230, 360, 15, 8, -1, 25),
        lite(-9999, -9999, -9999, -9999, -9999, -9999, -9999, -9999, hour=1),
        lite(-99, -100, 9990, 10, 999, 9, 12, -9999, hour=2),
        lite(0, -1, 10005, 0, 0, 0, 0, 0, hour=3),
    ]
    got = load("\r\n".join(rows) + "\r\n", stations.read_lite, "isd-lite")

    assert got.values["air"][[0, 2, 3]] == pytest.approx([ZERO - 10.5, ZERO - 9.9, ZERO])
    assert all(np.isnan(part[1]) for part in got.values.values())
    assert got.values["pressure"][2] == pytest.approx(99900.0)
    assert np.isnan(got.values["wind"][2])  # 99.9 m/s
    assert "out-of-range" in codes(got)
    assert got.values["cloud"][[0, 3]].tolist() == [1.0, 0.0]
    assert np.isnan(got.values["cloud"][2])  # obscured
    assert got.values["rain"] == pytest.approx([0.0, np.nan, 0.0012, 0.0], nan_ok=True)
    assert got.texts["wind_kind"] == ("", "", "", "calm")
    assert ("liquid precipitation, 1 h", "-1", "0") in {
        (item.column, item.read, item.by) for item in got.report.replaced
    }


@pytest.mark.parametrize(("code", "cloud"), [(12, 3.5 / 8), (15, 0.75), (18, 1.0), (5, 0.625)])
def test_lite_when_the_sky_is_a_word_has_its_oktas(load, code: int, cloud: float) -> None:
    got = load(lite(100, 50, 10000, 90, 30, code, 0, 0) + "\n", stations.read_lite, "isd-lite")
    assert got.values["cloud"] == pytest.approx(cloud)


def test_lite_when_blanks_part_it_or_lines_are_cut_reads_what_is_whole(load) -> None:
    rows = [
        lite(100, 50, 10000, 90, 30, 4, 0, 0),
        "2025 01 31 01 110 50 10000 90 31 4 0 0",
        lite(120, 50, 10000, hour=2),
        "",
    ]
    rows += [lite(130, 50, 10000, 90, 30, 4, 0, 0, hour=3), lite(130, 50, 10000, 90, 30, 4, 0, 0, hour=3)]
    got = load("\n".join(rows), stations.read_lite, "isd-lite")
    assert (got.values["air"] - ZERO).tolist() == pytest.approx([10.0, 11.0, 13.0])
    assert got.report.rows_read == 5
    assert [item.row for item in got.report.dropped] == [3, 6]


# --- global hourly CSV ---------------------------------------------------------------------------

FIXED = ("STATION", "DATE", "SOURCE", "LATITUDE", "LONGITUDE", "ELEVATION", "NAME", "REPORT_TYPE", "CALL_SIGN")
FIELDS = ("WND", "CIG", "VIS", "TMP", "DEW", "SLP", "AA1", "GF1", "OC1")
HEAD = ",".join(f'"{name}"' for name in (*FIXED, "QUALITY_CONTROL", *FIELDS))


def report(date: str = "2025-07-15T00:00:00", kind: str = "FM-12", station: str = "99999900001", **packed: str) -> str:
    cells = {
        "WND": "230,1,N,0056,1",
        "TMP": "+0281,1",
        "DEW": "+0250,1",
        "SLP": "10042,1",
        "AA1": "",
        "GF1": "",
        "OC1": "",
        **packed,
    }
    row = [
        station,
        date,
        "4",
        "15.0",
        "60.0",
        "3.0",
        "ANYWHERE, PIER",
        kind,
        "99999",
        "V020",
        *(cells.get(name, "99999,9,9,N") for name in FIELDS),
    ]
    return ",".join(f'"{cell}"' for cell in row)


def read_rows(load, *rows: str):
    return load("\n".join([HEAD, *rows]) + "\n", stations.read_global, "isd-csv")


def test_global_when_packed_is_unpacked_after_its_codes(load) -> None:
    got = read_rows(
        load,
        report(AA1="01,0012,9,1", GF1="06,99,1,05,1,04,1", OC1="0180,1"),
        report(
            "2025-07-15T01:00:00", TMP="-0035,1", DEW="+9999,9", SLP="99999,9", WND="999,9,9,9999,9", AA1="06,0100,9,1"
        ),
    )
    values = got.values

    assert values["air"] == pytest.approx([28.1 + ZERO, -3.5 + ZERO])
    assert values["dew_point"] == pytest.approx([25.0 + ZERO, np.nan], nan_ok=True)
    assert values["pressure"] == pytest.approx([100420.0, np.nan], nan_ok=True)
    assert values["wind"] == pytest.approx([5.6, np.nan], nan_ok=True)
    assert values["cloud"][0] == 0.75
    assert values["gust"][0] == 18.0
    assert values["rain"] == pytest.approx([0.0012, np.nan], nan_ok=True)
    assert "rain-period" in codes(got)
    assert (got.report.notes["latitude"], got.report.notes["longitude"]) == (15.0, 60.0)
    assert got.report.time.first == "2025-07-15T00:00:00Z"


@pytest.mark.parametrize(
    ("quality", "kept"),
    [
        ("1", True),
        ("5", True),
        ("0", True),
        ("A", True),
        ("4", True),
        ("2", False),
        ("3", False),
        ("6", False),
        ("7", False),
    ],
)
def test_global_when_a_quality_is_poor_is_missing_and_said(load, quality: str, kept: bool) -> None:
    got = read_rows(
        load, report(), report("2025-07-15T01:00:00", TMP=f"+0300,{quality}", WND=f"230,1,N,0056,{quality}")
    )
    assert np.isfinite(got.values["air"]).tolist() == [True, kept]
    assert np.isfinite(got.values["wind"]).tolist() == [True, kept]
    assert ("poor-quality" in codes(got)) is not kept


def test_global_when_wind_is_calm_or_variable_has_no_direction(load) -> None:
    got = read_rows(
        load,
        report(WND="999,9,C,0000,1"),
        report("2025-07-15T01:00:00", WND="999,9,V,0010,1"),
        report("2025-07-15T02:00:00", WND="360,1,N,0050,1"),
        report("2025-07-15T03:00:00", WND="090,1,C,0050,1"),
    )
    assert got.texts["wind_kind"] == ("calm", "variable", "", "")
    assert got.values["wind"] == pytest.approx([0.0, 1.0, 5.0, 5.0])
    assert np.isfinite(got.values["wind_from"]).tolist() == [False, False, True, True]
    assert "calm-with-speed" in codes(got)


def test_global_when_types_and_stations_stand_at_one_hour_keeps_them_apart(load) -> None:
    rows = [
        report(kind="FM-15", TMP="+0290,1"),
        report(kind="FM-12"),
        report(kind="FM-12"),
        report(kind="SOD  ", TMP="+9999,9"),
        report(station="99999900002", TMP="+0100,1"),
        report("2025-07-14T23:30:00", kind="FM-16"),
        "cut,row",
    ]
    got = read_rows(load, *rows, HEAD)

    assert (got.report.rows_read, got.report.rows_kept) == (7, 4)
    assert got.texts["report_type"][0] == "FM-16"
    assert sorted(zip(got.texts["station"][1:], got.texts["report_type"][1:], strict=True)) == [
        ("99999900001", "FM-12"),
        ("99999900001", "FM-15"),
        ("99999900002", "FM-12"),
    ]
    assert {"report-types", "stations", "header-again"} <= codes(got)


# --- METAR ---------------------------------------------------------------------------------------


def reports(load, *lines: str, **answers: str):
    return load("\n".join(lines) + "\n", metar.read, "metar", **({"month": "2025-07"} | answers))


@pytest.mark.parametrize(
    ("wind", "speed", "gust", "way"),
    [
        ("22012KT", 12 * KNOT, None, 220),
        ("22036KMH", 10.0, None, 220),
        ("22012G25KT", 12 * KNOT, 25 * KNOT, 220),
        ("31018MPS", 18.0, None, 310),
        ("31018G30MPS", 18.0, 30.0, 310),
        ("240105KT", 105 * KNOT, None, 240),
        ("36000KT", 0.0, None, None),
        ("VRB02KT", 2 * KNOT, None, None),
        ("/////KT", None, None, None),
        ("///12KT", 12 * KNOT, None, None),
        ("220P99KT", 99 * KNOT, None, 220),
    ],
)
def test_metar_when_wind_is_given_in_any_way(load, wind, speed, gust, way) -> None:
    got = reports(load, f"METAR ZZKM 210000Z {wind} 180V260 9999 FEW020 33/26 Q1004=")
    found = [float(got.values[key][0]) for key in ("wind", "gust", "wind_from")]
    expected = [np.nan if value is None else value for value in (speed, gust, way if way is None else np.radians(way))]
    assert found == pytest.approx(expected, nan_ok=True)
    assert ("above-scale" in codes(got)) == ("P" in wind.removesuffix("MPS"))


@pytest.mark.parametrize(
    ("body", "air", "pressure", "cloud"),
    [
        ("9999 FEW020 33/26 Q1004", 33, 100400, 0.1875),
        ("1 1/2SM BR OVC005 01/M00 A2992", 1, 101325, 1.0),
        ("10SM CLR M05/M12 A3012 RMK AO2 T10501117", -5, 102000, 0),
        ("CAVOK 31/26 Q1004 BECMG 24025KT 12/10 Q0990", 31, 100400, 0),
        ("4000 BKN010 OVC020 10/08 Q1000 TEMPO 2000 35/30", 10, 100000, 1.0),
        ("9999 SCT/// 10// Q1000", None, 100000, 0.4375),
        ("9999 // ////// ///// Q////", None, None, None),
        ("R27/1200 VV002 00/00 Q1013", 0, 101300, 1.0),
    ],
)
def test_metar_when_the_body_has_trends_and_remarks_reads_the_observation(load, body, air, pressure, cloud) -> None:
    got = reports(load, f"METAR ZZKM 210000Z AUTO 22012KT {body}=")
    expected = [
        np.nan if air is None else air + ZERO,
        np.nan if pressure is None else pressure,
        np.nan if cloud is None else cloud,
    ]
    assert [float(got.values[key][0]) for key in ("air", "pressure", "cloud")] == pytest.approx(
        expected, rel=1e-4, nan_ok=True
    )
    assert got.values["wind"][0] == pytest.approx(12 * KNOT)


@pytest.mark.parametrize(
    ("body", "air", "dew", "code"),
    [
        ("12/10 A2992 RMK AO2 T01230101", 12.3, 10.1, "tenths"),
        ("M05/M12 A3012 RMK AO2 T10541117", -5.4, -11.7, "tenths"),
        ("00/M01 A3012 RMK T00021006", 0.2, -0.6, "tenths"),
        ("12/ A2992 RMK T0123", 12.3, None, "tenths"),
        ("15/10 A2992 RMK T01230101", 15.0, 10.1, "tenths-differ"),
        ("12/10 A2992 T01230101", 12.0, 10.0, ""),
    ],
)
def test_metar_when_the_remark_has_tenths_takes_them(load, body, air, dew, code) -> None:
    """Tsn T'T'T' sn T'dT'dT'd, sn 1 below zero (Federal Meteorological Handbook No. 1, 12.7; from memory)."""
    got = reports(load, f"METAR ZZKM 210000Z AUTO 22012KT 10SM CLR {body}=")
    expected = [air + ZERO, np.nan if dew is None else dew + ZERO]
    assert [float(got.values[key][0]) for key in ("air", "dew_point")] == pytest.approx(expected, nan_ok=True)
    assert (code in codes(got)) if code else not codes(got) & {"tenths", "tenths-differ"}


def test_metar_when_the_dew_point_is_above_the_air_drops_it_and_says_it(load) -> None:
    got = reports(load, "METAR ZZKM 210000Z 22012KT CAVOK 10/25 Q1004=\nMETAR ZZKM 210100Z 22012KT CAVOK 10/10 Q1004=")
    assert got.values["dew_point"] == pytest.approx([np.nan, 10.0 + ZERO], nan_ok=True)
    assert got.values["air"] == pytest.approx([10.0 + ZERO] * 2)
    assert "dew-above-air" in codes(got)
    assert [item.why for item in got.report.replaced if item.column == "dew"] == ["a dew point above the air"]


def test_metar_when_lines_go_on_and_kinds_are_not_named(load) -> None:
    got = reports(
        load,
        "ZZKM 210000Z 22012KT 9999",
        "     FEW020 33/26",
        "     Q1004=",
        "",
        "SPECI ZZKM 210017Z 23020KT 5000 31/26 Q1003=",
        "METAR ZZKM 210000Z 22012KT 9999 FEW020 33/26 Q1004=",
    )
    assert got.report.rows_kept == 2
    assert got.texts["report_type"] == ("METAR", "SPECI")
    assert got.values["air"] == pytest.approx([33 + ZERO, 31 + ZERO])
    assert [item.why[:13] for item in got.report.dropped] == ["the same time"]


@pytest.mark.parametrize("line", ["2025/07/21 00:00", "202507210000"])
def test_metar_when_a_date_stands_before_asks_nothing(load, line: str) -> None:
    got = load(f"{line}\nZZKM 210000Z 22012KT 9999 33/26 Q1004\n", metar.read, "metar")
    assert not got.report.is_open
    assert got.report.time.first == "2025-07-21T00:00:00Z"


def test_metar_when_the_month_changes_goes_on(load) -> None:
    days = [f"METAR ZZKM {day}0000Z 22012KT 9999 33/26 Q1004=" for day in ("30", "31", "01", "02")]
    assert reports(load, *days).report.time.last == "2025-08-02T00:00:00Z"
    back = reports(load, *days[::-1], month="2025-08")
    assert back.report.time.first == "2025-07-30T00:00:00Z"
    assert reports(load, *days, month="2024-12").report.time.last == "2025-01-02T00:00:00Z"


@pytest.mark.parametrize("month", ["July", "2025-13", "2025-02"])
def test_metar_when_the_month_cannot_be_is_refused(load, month: str) -> None:
    with pytest.raises(InputError, match="month"):
        reports(load, "METAR ZZKM 310000Z 22012KT 9999 33/26 Q1004=", month=month)


def test_metar_when_corrected_twice_keeps_the_last(load) -> None:
    got = reports(
        load,
        "METAR ZZKM 210000Z 22012KT 9999 33/26 Q1004=",
        "METAR COR ZZKM 210000Z 22013KT 9999 33/26 Q1004=",
        "METAR ZZKM 210000Z CCB 22014KT 9999 33/26 Q1004=",
        "SPECI ZZKM 210000Z 22015KT 9999 33/26 Q1004=",
    )
    assert got.values["wind"] == pytest.approx([14 * KNOT, 15 * KNOT])


def test_metar_when_in_a_table_with_dates_asks_nothing(load) -> None:
    lines = [
        "station,valid,metar",
        "ZZKM,2025-07-31 23:50,METAR ZZKM 312350Z 22012KT 9999 33/26 Q1004",
        "ZZKM,2025-08-01 00:20,SPECI ZZKM 010020Z 22013KT 9999 33/26 Q1004",
    ]
    got = load("\n".join(lines) + "\n", metar.read, "metar")
    assert (got.report.time.first, got.report.time.last) == ("2025-07-31T23:50:00Z", "2025-08-01T00:20:00Z")
    assert not got.report.is_open


def test_metar_when_a_forecast_stands_among_reports_leaves_it_out(load) -> None:
    got = reports(
        load,
        "METAR ZZKM 210500Z 22012KT 9999 33/26 Q1004=",
        "TAF ZZKM 210500Z 2106/2212 22025KT 9999 FEW020",
        "  BECMG 2108/2110 24030KT=",
        "METAR ZZKM 210600Z 22013KT 9999 33/26 Q1004=",
    )
    assert got.values["wind"] == pytest.approx([12 * KNOT, 13 * KNOT])
    assert [item.why for item in got.report.dropped] == ["a forecast, no observation"]
