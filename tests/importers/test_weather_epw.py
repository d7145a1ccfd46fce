"""EPW: codes, minutes, calendars, cut and doubled rows, the sun's noon."""

import numpy as np
import pytest
from pvlib import clearsky, solarposition

from linewright.base.errors import InputError
from linewright.importers.report import Log
from linewright.importers.text import read_text
from linewright.importers.weather import year_of
from linewright.importers.weather_epw import COLUMNS, infrared, read

ZERO = 273.15
HEAD = """LOCATION,Anywhere,-,ZZZ,invented,999999,{latitude},{longitude},{zone},3
DESIGN CONDITIONS,0
TYPICAL/EXTREME PERIODS,0
GROUND TEMPERATURES,0
HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0
COMMENTS 1,invented
COMMENTS 2,none
DATA PERIODS,1,{records},Data,Monday,1/1,12/31
"""


def row(date: str, hour: int, minute: int = 0, **given: str) -> str:
    """One data row: date as y,m,d; cells by our keys."""
    cells = [
        *date.split(","),
        str(hour),
        str(minute),
        "?9?9",
        "20.0",
        "15.0",
        "70",
        "101300",
        "0",
        "0",
        "350",
        "0",
        "0",
        "0",
        "0",
        "0",
        "0",
        "0",
        "225",
        "3.0",
        "5",
        "4",
        "9999",
        "99999",
        "9",
        "999999999",
        "15",
        "0.1",
        "0",
        "88",
        "0.2",
        "0",
        "1",
    ]
    places = {spec.key: at for at, spec in COLUMNS.items()}
    for key, cell in given.items():
        cells[places[key] if key in places else int(key.removeprefix("c"))] = cell
    return ",".join(cells)


def epw(rows: list[str], records: int = 1, latitude: float = 15.0, longitude: float = 60.0, zone: float = 4.0) -> str:
    return HEAD.format(latitude=latitude, longitude=longitude, zone=zone, records=records) + "\n".join(rows) + "\n"


@pytest.fixture
def load(tmp_path):
    def load_text(text: str | bytes):
        path = tmp_path / "made.epw"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        log = Log()
        return read(read_text(path, log), log)

    return load_text


def codes(imported) -> set[str]:
    return {flag.code for flag in imported.report.flags}


@pytest.mark.parametrize(
    ("key", "cell"),
    [
        ("air", "99.9"),
        ("air", "99.90"),
        ("air", "999"),
        ("dew_point", "99.9"),
        ("relative_humidity", "999"),
        ("relative_humidity", "9999"),
        ("pressure", "999999"),
        ("pressure", "999999."),
        ("level", "9999"),
        ("level", "9999.0"),
        ("level", "99999"),
        ("beam", "9999"),
        ("diffuse", "9999"),
        ("long_wave", "9999"),
        ("wind", "999"),
        ("wind", "999.0"),
        ("wind_from", "999"),
        ("cloud", "99"),
        ("wind", ""),
        ("air", "n/a"),
        ("air", "-71"),
        ("wind", "41"),
        ("pressure", "30000"),
        ("cloud", "11"),
        ("wind_from", "361"),
        ("level", "-9999"),
        ("air", "1_0"),
        ("air", "٢٠"),
    ],
)
def test_cell_when_a_code_or_implausible_is_missing_and_listed(load, key: str, cell: str) -> None:
    got = load(epw([row("2019,6,21", 1), row("2019,6,21", 2, **{key: cell}), row("2019,6,21", 3)]))

    assert np.isnan(got.values[key]).tolist() == [False, True, False]
    assert [(item.row, item.read) for item in got.report.replaced] == [(10, cell)]


@pytest.mark.parametrize(
    ("key", "cell"), [("air", "-70"), ("wind", "0"), ("cloud", "10"), ("pressure", "31000"), ("wind", "40")]
)
def test_cell_when_at_its_limit_is_kept(load, key: str, cell: str) -> None:
    got = load(epw([row("2019,6,21", 1), row("2019,6,21", 2, **{key: cell})]))
    assert np.isfinite(got.values[key]).all()
    assert not [item for item in got.report.replaced if item.why != "a dew point above the air"]


@pytest.mark.parametrize("end", ["\r\n", "\r"])
def test_file_when_it_has_a_mark_and_other_line_ends_is_the_same(load, end: str) -> None:
    text = epw([row("2019,6,21", hour) for hour in range(1, 25)])
    plain, other = load(text), load(b"\xef\xbb\xbf" + text.replace("\n", end).encode() + b"\r\n \r\n")

    assert np.array_equal(plain.time, other.time)
    assert other.report.rows_kept == 24
    assert not other.report.dropped


def test_rows_when_cut_doubled_or_late_are_dropped_or_sorted(load) -> None:
    rows = [row("2019,6,21", hour, air=f"{hour}.0") for hour in range(1, 7)]
    rows[2], rows[3] = rows[3], rows[2]
    rows += [rows[0], row("2019,6,21", 2, air="9.0"), "", "2019,6,21,7,0,?9,21.0", "the end"]
    got = load(epw(rows))

    assert got.report.rows_read == 10
    assert got.report.rows_kept == 6
    assert (got.values["air"] - ZERO).tolist() == pytest.approx([1.0, 2.0, 3.0, 4.0, 5.0, 6.0])
    assert sorted(item.row for item in got.report.dropped) == [15, 16, 18, 19]
    assert {"out-of-order", "conflicting-duplicate"} <= codes(got)


def test_header_when_it_stands_again_is_left_out_and_another_place_refused(load) -> None:
    one = epw([row("2019,6,21", 1)])
    got = load(one + epw([row("2019,6,21", 2)]))
    assert (got.report.rows_read, got.report.rows_kept) == (2, 2)
    assert "header-again" in codes(got)

    with pytest.raises(InputError, match="two places"):
        load(one + epw([row("2019,6,21", 2)], latitude=-15.0))


@pytest.mark.parametrize("minutes", [(30, 60), (30, 0)])
def test_rows_when_two_an_hour_use_their_minutes(load, minutes: tuple[int, int]) -> None:
    rows = [row("2019,6,21", hour, minute, level="100") for hour in (7, 8) for minute in minutes]
    got = load(epw(rows, records=2))

    local = (got.time + 4 * 3600.0) % 86400.0 / 3600.0
    assert local.tolist() == [6.5, 7.0, 7.5, 8.0]
    assert got.values["level"] == pytest.approx(200.0)  # Wh/m2 of half an hour
    assert got.report.notes["interval"]["minutes"] == 30.0
    assert ("minute-zero" in codes(got)) == (0 in minutes)


def test_rows_when_minutes_start_the_hour_are_said(load) -> None:
    rows = [row("2019,6,21", hour, minute) for hour in (7, 8) for minute in (0, 30)]
    got = load(epw(rows, records=2))
    assert ((got.time + 4 * 3600.0) % 86400.0 / 3600.0).tolist() == [6.0, 6.5, 7.0, 7.5]
    assert "minute-zero" in codes(got)


@pytest.mark.parametrize(("said", "minutes"), [(1, (30, 60)), (2, (60,)), (4, (60,))])
def test_records_per_hour_when_wrong_in_the_header_are_those_of_the_rows(load, said: int, minutes) -> None:
    got = load(epw([row("2019,6,21", hour, minute) for hour in (7, 8, 9) for minute in minutes], records=said))
    assert "records-per-hour" in codes(got)
    assert got.report.rows_kept == 3 * len(minutes)
    assert got.report.time.step == 3600.0 / len(minutes)


def test_hours_when_they_run_from_0_to_23_are_the_same_hours(load) -> None:
    usual = load(epw([row("2019,6,21", hour) for hour in range(1, 25)]))
    other = load(epw([row("2019,6,21", hour) for hour in range(24)]))
    assert np.array_equal(usual.time, other.time)
    assert "hour-from-zero" in codes(other)


def test_months_when_from_different_years_make_one_calendar(load) -> None:
    rows = [
        row(f"{year},{month},1", hour) for month, year in ((1, 2009), (2, 1998), (3, 2012)) for hour in range(1, 25)
    ]
    got = load(epw(rows))
    assert "typical-year" in codes(got)
    assert got.report.notes["typical_year"] == {"1": 2009, "2": 1998, "3": 2012}
    assert np.all(np.diff(got.time) > 0)


def test_months_when_a_real_winter_crosses_the_new_year_stay_real(load) -> None:
    rows = [row(date, hour) for date in ("2018,12,31", "2019,1,1") for hour in range(1, 25)]
    got = load(epw(rows))
    assert "typical-year" not in codes(got)
    assert np.diff(got.time) == pytest.approx(3600.0)
    assert got.report.time.last == "2019-01-01T20:00:00Z"


def test_leap_day_when_given_is_a_day(load) -> None:
    got = load(epw([row(date, hour) for date in ("2020,2,28", "2020,2,29", "2020,3,1") for hour in range(1, 25)]))
    assert got.report.rows_kept == 72
    assert np.diff(got.time) == pytest.approx(3600.0)
    got = load(epw([row("2019,2,29", 1), row("2019,2,28", 1)]))
    assert [item.why for item in got.report.dropped] == ["no date and hour"]


@pytest.mark.parametrize(
    "place",
    [("95", "60", "4"), ("15", "400", "4"), ("15", "60", "40"), ("x", "60", "4"), ("nan", "60", "4"), ("15", "", "4")],
)
def test_place_when_nowhere_is_refused(load, place: tuple[str, str, str]) -> None:
    text = epw([row("2019,6,21", 1)]).replace("15.0,60.0,4.0", ",".join(place))
    with pytest.raises(InputError, match="nowhere"):
        load(text)


def clear_year(latitude: float, longitude: float, zone: float, shift: float = 0.0, year: int = 2019) -> list[str]:
    """Rows of a year of clear days: light of each hour before its label, from pvlib; shift moves the light [h]."""
    import pandas as pd

    hours = 8784 if year % 4 == 0 else 8760
    middle = pd.date_range(f"{year}-01-01", periods=hours, freq="h", tz="UTC") + pd.Timedelta(hours=0.5 - zone - shift)
    sun = solarposition.get_solarposition(middle, latitude, longitude)
    light = clearsky.haurwitz(sun["apparent_zenith"])["ghi"].to_numpy()
    days = pd.date_range(f"{year}-01-01", periods=hours, freq="h")
    return [
        row(f"{day.year},{day.month},{day.day}", day.hour + 1, level=f"{value:.0f}", beam="9999", diffuse="9999")
        for day, value in zip(days, light, strict=True)
    ]


@pytest.mark.parametrize(("latitude", "longitude", "zone"), [(15.0, 60.0, 4.0), (-34.0, 151.0, 10.0), (58.0, 5.0, 1.0)])
def test_sun_when_at_its_noon_is_not_flagged_and_when_an_hour_off_is(load, latitude, longitude, zone) -> None:
    place = {"latitude": latitude, "longitude": longitude, "zone": zone}
    right = load(epw(clear_year(**place), **place))
    assert "sun-shifted" not in codes(right)
    assert len(right.report.notes["solar_noon_minutes"]) >= 11
    for shift in (1.0, -1.0, 12.0):
        assert "sun-shifted" in codes(load(epw(clear_year(**place, shift=shift), **place)))


def test_sun_when_half_a_year_is_in_summer_time_is_flagged_for_those_months(load) -> None:
    place = {"latitude": 50.0, "longitude": 0.0, "zone": 0.0}
    winter, summer = clear_year(**place), clear_year(**place, shift=1.0)
    got = load(epw(winter[:2880] + summer[2880:6552] + winter[6552:], **place))
    text = next(flag.text for flag in got.report.flags if flag.code == "sun-shifted")
    assert [f"month {month}:" in text for month in (1, 3, 6, 8, 11)] == [False, False, True, True, False]


def test_sun_when_a_gap_by_day_reads_0_is_missing(load) -> None:
    rows = clear_year(15.0, 60.0, 4.0)
    cells = rows[12].split(",")
    cells[13] = "0"
    rows[12] = ",".join(cells)
    got = load(epw(rows))
    assert np.isnan(got.values["level"][12])
    assert "sun-gap" in codes(got)
    assert got.values["level"][2] == 0.0


def test_year_when_made_of_an_epw_has_its_sun_at_the_middle_of_the_hour(load) -> None:
    got = load(epw(clear_year(-34.0, 151.0, 10.0), latitude=-34.0, longitude=151.0, zone=10.0))
    year = year_of(got, Log())

    assert len(year.air) == 8760
    bright = year.level > 50.0
    own = 1098.0 * np.sin(year.elevation[bright]) * np.exp(-0.057 / np.sin(year.elevation[bright]))
    assert year.level[bright] == pytest.approx(own, abs=8.0)  # Haurwitz in pvlib has -0.059, air refraction apart
    assert np.allclose(year.beam * np.maximum(np.sin(year.elevation), 0.0) + year.diffuse, year.level, atol=25.0)
    assert year.month[[0, 743, 744, 8759]].tolist() == [1, 1, 2, 12]
    assert np.unique(year.cloud) == pytest.approx(0.5)
    noon = int(np.argmax(year.elevation[:24]))
    assert noon in (11, 12)


def test_year_when_real_and_leap_leaves_the_29th_out(load) -> None:
    year = year_of(load(epw(clear_year(15.0, 60.0, 4.0, year=2020))), Log())
    assert len(year.air) == 8760
    assert "leap-day" in {flag["code"] for flag in year.report["flags"]}
    assert np.sum(year.month == 2) == 672


def test_infrared_when_by_the_format_has_its_check_value(load) -> None:
    """EPW data dictionary, infrared radiation: clear sky, T 293 K, dew point 283 K -> emissivity 0.815, 340.6 W/m2."""
    air, dew, clear = np.array([293.0]), np.array([283.0]), np.array([0.0])
    found = infrared(air, dew, clear)
    assert found / (5.6697e-8 * air**4) == pytest.approx(0.815, abs=6e-4)  # printed with three digits
    assert found == pytest.approx(340.6, rel=1e-3)
    assert infrared(air, dew, np.array([1.0])) > 1.1 * found


@pytest.mark.parametrize(("cell", "flagged"), [("340", False), ("35", True), ("660", True), ("9999", False)])
def test_infrared_when_far_from_its_law_is_flagged(load, cell: str, flagged: bool) -> None:
    got = load(epw([row("2019,6,21", hour, long_wave=cell) for hour in (1, 2, 3)]))
    assert ({"infrared-differs", "out-of-range"} & codes(got) != set()) == flagged


def test_columns_when_compared_with_another_reader_are_the_same(load, tmp_path) -> None:
    """pvlib's reader of the same file (which passes codes through)."""
    from pvlib import iotools

    text = epw(clear_year(15.0, 60.0, 4.0))
    got = load(text)
    frame, place = iotools.read_epw(str(tmp_path / "made.epw"))
    assert place["latitude"] == got.report.notes["latitude"]
    for key, name in (
        ("air", "temp_air"),
        ("wind", "wind_speed"),
        ("level", "ghi"),
        ("pressure", "atmospheric_pressure"),
    ):
        theirs = frame[name].to_numpy(dtype=float) + (ZERO if key == "air" else 0.0)
        assert np.array_equal(got.values[key], theirs), key
    starts = frame.index.tz_convert("UTC").tz_localize(None).to_numpy().astype("datetime64[s]").astype(float)
    assert got.time == pytest.approx(starts + 3600.0)  # theirs label the start of the hour
