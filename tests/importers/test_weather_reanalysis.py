"""Point CSV of a reanalysis: sums, components, versions, points, names, packing."""

import numpy as np
import pytest

from linewright.base.errors import InputError
from linewright.importers import reanalysis
from linewright.importers.report import Log
from linewright.importers.text import read_text
from linewright.importers.weather import recognise_weather

HEAD = "valid_time,latitude,longitude,t2m,u10,v10,ssrd,swh"


@pytest.fixture
def load(tmp_path):
    def load_text(text: str, **answers: str):
        path = tmp_path / "made.csv"
        path.write_text(text, encoding="utf-8")
        log = Log(answers)
        file = read_text(path, log)
        assert recognise_weather("made.csv", file.lines) == "reanalysis"
        return reanalysis.read(file, log)

    return load_text


def codes(imported) -> set[str]:
    return {flag.code for flag in imported.report.flags}


@pytest.mark.parametrize(
    "stamp",
    [
        "2025-07-15 06:00:00",
        "2025-07-15T06:00:00",
        "2025-07-15T06:00:00Z",
        "2025-07-15T06:00",
        "2025-07-15 06:00:00+00:00",
        "2025-07-15T06:00:00.000000000",
        "2025/07/15 06:00",
    ],
)
def test_time_when_spelled_in_any_way_is_utc(load, stamp: str) -> None:
    got = load(f"{HEAD}\n{stamp},15.0,60.0,300,1,0,0,1.5\n")
    assert got.report.time.first == "2025-07-15T06:00:00Z"


@pytest.mark.parametrize(
    ("u", "v", "way"), [(0, -5, 0), (-5, 0, 90), (0, 5, 180), (5, 0, 270), (-3, -3, 45), (3, -3, 315)]
)
def test_wind_when_components_blow_towards_comes_from_the_other_side(load, u: float, v: float, way: float) -> None:
    got = load(f"{HEAD}\n2025-07-15 06:00:00,15.0,60.0,300,{u},{v},0,1.5\n")
    assert np.degrees(got.values["wind_from"][0]) % 360.0 == pytest.approx(way, abs=1e-9)
    assert got.values["wind"][0] == pytest.approx(np.hypot(u, v))


def test_wind_when_both_components_are_0_is_calm(load) -> None:
    got = load(f"{HEAD}\n2025-07-15 06:00:00,15.0,60.0,300,0,0,0,1.5\n")
    assert got.values["wind"][0] == 0.0
    assert np.isnan(got.values["wind_from"][0])


def test_longitude_when_from_0_to_360_is_turned_and_the_sun_agrees(load) -> None:
    got = load(
        f"{HEAD}\n2025-07-15 06:00:00,-33.0,289.0,300,1,0,0,1.5\n2025-07-15 07:00:00,-33.0,289.0,300,1,0,0,1.5\n"
    )
    assert got.report.notes["longitude"] == -71.0
    assert "longitude-turned" in codes(got)


def test_points_when_several_are_asked_and_the_others_left_out(load) -> None:
    rows = "".join(
        f"2025-07-15 0{hour}:00:00,{lat},60.0,{300 + hour},1,0,0,1.5\n" for hour in (5, 6) for lat in (15.0, 15.25)
    )
    assert [question.key for question in load(f"{HEAD}\n{rows}").report.questions] == ["point"]
    got = load(f"{HEAD}\n{rows}", point="15.25,60")
    assert (got.report.rows_read, got.report.rows_kept, got.report.dropped_count) == (4, 2, 2)
    assert got.report.notes["latitude"] == 15.25
    with pytest.raises(InputError):
        load(f"{HEAD}\n{rows}", point="0,0")


def test_versions_when_final_and_early_stand_side_by_side_prefers_final(load) -> None:
    rows = [
        "05:00:00,0001,300,1,0",
        "05:00:00,0005,301,1,0",
        "06:00:00,0005,302,1,0",
        "07:00:00,0001,,,",
        "07:00:00,0005,303,1,0",
    ]
    got = load("valid_time,expver,t2m,u10,v10\n" + "".join(f"2025-07-15 {row}\n" for row in rows))
    assert got.values["air"].tolist() == [300.0, 302.0, 303.0]
    assert [item.row for item in got.report.dropped] == [3, 5]
    flag = next(flag for flag in got.report.flags if flag.code == "preliminary")
    assert flag.rows == (4, 6)


def day_of_sums(since_midnight: bool) -> str:
    light = np.maximum(np.sin((np.arange(1, 49) - 2.5) / 12.0 * np.pi), 0.0) * 3.2e6
    sums = light.reshape(2, 24).cumsum(axis=1).ravel() if since_midnight else light
    stamps = np.datetime64("2025-07-15T01:00:00") + np.arange(48).astype("timedelta64[h]")
    return "valid_time,t2m,d2m,ssrd\n" + "".join(
        f"{stamp},300,295,{value:.0f}\n" for stamp, value in zip(stamps, sums, strict=True)
    )


def test_sums_when_since_midnight_are_asked_and_taken_apart(load) -> None:
    hourly = load(day_of_sums(False))
    assert not hourly.report.questions
    assert [question.key for question in load(day_of_sums(True)).report.questions] == ["accumulation"]
    got = load(day_of_sums(True), accumulation="day")
    assert got.values["level"] == pytest.approx(hourly.values["level"], abs=0.01)
    refused = load(day_of_sums(True), accumulation="hour")
    assert "out-of-range" in codes(refused)
    assert np.nanmax(refused.values["level"]) <= 1500.0


def sums_of(columns: dict[str, np.ndarray], first: str) -> str:
    """A file of hours from a time on, with the air and the sums given."""
    number = len(next(iter(columns.values())))
    stamps = np.datetime64(first) + np.arange(number).astype("timedelta64[h]")
    rows = zip(stamps, *columns.values(), strict=True)
    return f"valid_time,t2m,{','.join(columns)}\n" + "".join(
        f"{stamp},280,{','.join(f'{value:.8g}' for value in values)}\n" for stamp, *values in rows
    )


def since_midnight(hours: np.ndarray, total_before: float) -> np.ndarray:
    """Sums since 00 UTC of hours from 00 UTC on; the first row, at 00, is the whole of the day before."""
    return np.r_[total_before, hours[1:].reshape(-1, 24).cumsum(axis=1).ravel()]


# Two days of rain in metres an hour, from the hour that ends at 00 UTC on: 2 mm from 03 to 04, 1 mm from 22 to 24.
RAIN = np.zeros(49)
RAIN[[4, 23, 24, 28, 47, 48]] = [0.002, 0.001, 0.001, 0.002, 0.001, 0.001]
# A dark winter: an hour of 0.2 MJ/m2 about noon, so that the day has 0.8 MJ/m2, less than one hour of summer.
WINTER = np.zeros(49)
WINTER[[10, 11, 12, 13, 34, 35, 36, 37]] = 2e5


def test_rain_when_summed_since_midnight_is_asked_and_taken_apart_from_a_file_that_starts_at_00(load) -> None:
    """By hand: 2 mm then 1 mm + 1 mm a day; the 4 mm at the first 00 UTC belong to hours that are not in the file."""
    text = sums_of({"tp": since_midnight(RAIN, 0.004)}, "2025-07-15T00:00:00")
    (question,) = load(text).report.questions
    assert (question.key, question.because) == ("accumulation", "tp never falls in a day")

    got = load(text, accumulation="day")
    assert got.values["rain"][1:] == pytest.approx(RAIN[1:], abs=1e-9)
    assert np.isnan(got.values["rain"][0])
    flag = next(flag for flag in got.report.flags if flag.code == "sum-alone")
    assert flag.rows == (2,)
    assert load(text, accumulation="hour").values["rain"][24] == pytest.approx(0.004)


def test_light_when_the_winter_is_dark_is_still_seen_to_be_summed_since_midnight(load) -> None:
    text = sums_of({"ssrd": since_midnight(WINTER, 8e5), "tp": since_midnight(RAIN, 0.004)}, "2025-12-15T00:00:00")
    assert [question.because for question in load(text).report.questions] == ["ssrd never falls in a day"]
    got = load(text, accumulation="day")
    assert got.values["level"][1:] == pytest.approx(WINTER[1:] / 3600.0, abs=0.01)
    assert got.values["rain"][1:] == pytest.approx(RAIN[1:], abs=1e-9)


def test_sums_when_they_fall_within_a_day_are_of_the_hour_and_nothing_is_asked(load) -> None:
    for columns in ({"ssrd": WINTER}, {"tp": RAIN}, {"ssrd": WINTER, "tp": np.r_[np.zeros(47), 0.001, 0.002]}):
        assert not load(sums_of(columns, "2025-12-15T00:00:00")).report.questions


def test_sums_when_there_is_no_light_and_no_rain_ask_nothing(load) -> None:
    dark = sums_of({"ssrd": np.zeros(49), "tp": np.zeros(49)}, "2025-12-15T00:00:00")
    assert not load(dark).report.questions


def test_sums_when_packed_and_a_little_below_the_hour_before_are_no_negative_rain(load) -> None:
    """0.01 mm of 2 mm, half a per cent, is the rounding of a packed file."""
    packed = since_midnight(RAIN, 0.004)
    packed[10] -= 1e-5
    got = load(sums_of({"tp": packed}, "2025-07-15T00:00:00"), accumulation="day")
    assert got.values["rain"][10] == 0.0
    assert "out-of-range" not in codes(got)


def test_values_when_fill_or_packed_wrong_are_missing(load) -> None:
    rows = [
        "00:00:00,-32767,0,0",
        "01:00:00,300,-0.001,9.96921e+36",
        "02:00:00,27.0,3600,nan",
        "03:00:00,300,3600000,2.0",
    ]
    got = load("valid_time,t2m,ssrd,swh\n" + "".join(f"2025-07-15 {row}\n" for row in rows))
    assert np.isfinite(got.values["air"]).tolist() == [False, True, False, True]
    assert got.values["level"] == pytest.approx([0.0, 0.0, 1.0, 1000.0])
    assert got.values["wave_height"] == pytest.approx([0.0, np.nan, np.nan, 2.0], nan_ok=True)
    assert {"out-of-range", "night-offset"} <= codes(got)


def test_names_when_long_are_the_short_ones(load) -> None:
    wind = "10m_u_component_of_wind,10m_v_component_of_wind"
    head = f"time,2m_temperature,2m_dewpoint_temperature,{wind},total_cloud_cover,sst"
    got = load(f"{head}\n2025-07-15T00:00:00Z,300,295,3,4,0.25,301.5\n{head}\n2025-07-15T01:00:00Z,300,295\n")
    assert {key: float(part[0]) for key, part in got.values.items() if key != "wind_from"} == {
        "air": 300.0,
        "dew_point": 295.0,
        "cloud": 0.25,
        "water": 301.5,
        "wind": 5.0,
    }
    assert (got.report.rows_read, got.report.rows_kept) == (2, 1)
    assert "header-again" in codes(got)


def test_kind_when_only_waves_stand_in_it_is_waves(load) -> None:
    got = load("valid_time,swh,mwp,pp1d,mwd,shts,mdts\n2025-07-15 00:00:00,1.6,9.1,12.4,235,1.4,200\n")
    assert got.report.kind == "waves"
    assert np.degrees(got.values["swell_from"][0]) == pytest.approx(200.0)
    assert "energy period" in got.report.notes["waves"]


def test_local_offset_when_stated_in_the_stamps_is_not_taken_for_utc(load) -> None:
    with pytest.raises(InputError, match="no rows"):
        load(f"{HEAD}\n2025-07-15T06:00:00+04:00,15.0,60.0,300,1,0,0,1.5\n")
