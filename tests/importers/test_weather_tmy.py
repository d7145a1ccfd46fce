"""TMY3 near the standard and TM2: spellings, units, midnights, codes, the sun; whole files against another reader."""

from pathlib import Path

import numpy as np
import pytest
from pvlib import clearsky, iotools, solarposition

from linewright.base.errors import InputError
from linewright.importers import weather_tmy
from linewright.importers.files import find
from linewright.importers.report import Log
from linewright.importers.text import read_text
from linewright.importers.weather import recognise_weather

ZERO = 273.15
SITE = '999999,"ANYWHERE (INVENTED), PIER 2",ZZ,{zone},{latitude},{longitude},3'
NAMES = (
    "Date (MM/DD/YYYY),Time (HH:MM),GHI (W/m^2),DNI (W/m^2),DHI (W/m^2),Dry-bulb (C),Dew-point (C),"
    "RHum (%),Pressure (mbar),Wdir (degrees),Wspd (m/s)"
)
SUFFIX = ",28.5,25.0,80,1004,230,6.1"
HOT, COLD, MILD = "pvlib:data/12839.tm2", "pvlib:data/703165TY.csv", "pvlib:data/723170TYA.CSV"


def tmy(rows, names: str = NAMES, zone: float = 4.0, latitude: float = 15.0, longitude: float = 60.0) -> str:
    return "\n".join([SITE.format(zone=zone, latitude=latitude, longitude=longitude), names, *rows]) + "\n"


def day(times, date: str = "07/15/1998") -> list[str]:
    return [f"{date},{time},0,0,0{SUFFIX}" for time in times]


@pytest.fixture
def load(tmp_path):
    def load_text(text: str):
        path = tmp_path / "made.dat"
        path.write_text(text, encoding="utf-8")
        log = Log()
        file = read_text(path, log)
        assert recognise_weather("made.dat", file.lines) == "tmy3"
        return weather_tmy.read(file, log)

    return load_text


def codes(imported) -> set[str]:
    return {flag.code for flag in imported.report.flags}


ENDS = [f"{hour:02d}:00" for hour in range(1, 25)]


@pytest.mark.parametrize(
    "times",
    [
        ENDS,
        [f"{hour}:00" for hour in range(1, 25)],
        [str(hour) for hour in range(1, 25)],
        [f"{hour:02d}:00:00" for hour in range(1, 25)],
    ],
)
def test_times_when_spelled_otherwise_are_the_same(load, times) -> None:
    got = load(tmy(day(times)))
    assert got.report.rows_kept == 24
    assert got.report.time.first == "1998-07-14T21:00:00Z"
    assert got.report.time.last == "1998-07-15T20:00:00Z"
    assert got.report.notes["interval"]["label"] == "end"


def test_midnight_when_written_00_behind_23_of_the_same_date_is_24(load) -> None:
    got = load(tmy(day([*ENDS[:-1], "00:00"]) + day([*ENDS[:-1], "00:00"], "07/16/1998")))
    assert np.diff(got.time) == pytest.approx(3600.0)
    assert got.report.time.first == "1998-07-14T21:00:00Z"
    assert "midnight-late" in codes(got)


def test_midnight_when_written_00_of_the_next_date_stays_with_its_month(load) -> None:
    """A typical year's July from 1998 ends at 08/01/1998 00:00; its August is from 1993."""
    july = day(ENDS[:-1], "07/31/1998") + day(["00:00"], "08/01/1998")
    august = day(ENDS[:-1], "08/01/1993") + day(["00:00"], "08/02/1993")
    got = load(tmy(july + august))
    assert got.report.notes["typical_year"] == {"7": 1998, "8": 1993}
    assert np.diff(got.time) == pytest.approx(3600.0)
    assert "out-of-order" not in codes(got)


def lit(start: int, label_shift: float, days: int = 3) -> list[str]:
    """Rows of clear days from hour `start` on; light is that of the hour around label + label_shift."""
    import pandas as pd

    labels = pd.date_range("2015-03-01", periods=24 * days, freq="h") + pd.Timedelta(hours=start)
    middle = (labels + pd.Timedelta(hours=label_shift - 4.0)).tz_localize("UTC")
    light = clearsky.haurwitz(solarposition.get_solarposition(middle, 15.0, 60.0)["apparent_zenith"])["ghi"].to_numpy()
    return [
        f"{stamp:%m/%d/%Y,%H:%M},{value:.0f},-9900,-9900{SUFFIX}" for stamp, value in zip(labels, light, strict=True)
    ]


@pytest.mark.parametrize(("shift", "label"), [(0.5, "start"), (-0.5, "end")])
def test_hours_when_they_run_from_00_are_told_by_the_sun(load, shift: float, label: str) -> None:
    got = load(tmy(lit(0, shift)))
    assert got.report.notes["interval"]["label"] == label
    assert "label-by-sun" in codes(got)
    assert abs(got.report.notes["solar_noon_minutes"]["3"]) < 10.0


def test_hours_when_they_run_from_00_in_the_dark_are_assumed_and_said(load) -> None:
    got = load(tmy(day([f"{hour:02d}:00" for hour in range(24)])))
    assert got.report.notes["interval"]["label"] == "start"
    assert "label-assumed" in codes(got)


def test_zone_when_wrong_is_seen_by_the_sun(load) -> None:
    assert "sun-shifted" not in codes(load(tmy(lit(1, -0.5))))
    assert "sun-shifted" in codes(load(tmy(lit(1, -0.5), zone=7.0)))


@pytest.mark.parametrize(
    ("names", "cell", "air"),
    [
        ("Dry-bulb (C)", "28.5", 301.65),
        ("Dry bulb (C)", "28.5", 301.65),
        ("DryBulb", "28.5", 301.65),
        ("Dry-bulb (F)", "83.3", 301.65),
        ("temp_air", "28.5", 301.65),
        ("DRY-BULB (K)", "301.65", 301.65),
        ("Tdry [degC]", "28.5", 301.65),
    ],
)
def test_names_when_near_the_standard_are_known_with_their_unit(load, names: str, cell: str, air: float) -> None:
    rows = [row.replace("28.5", cell) for row in day(ENDS)]
    got = load(tmy(rows, NAMES.replace("Dry-bulb (C)", names)))
    assert got.values["air"] == pytest.approx(air)
    assert got.report.columns[0].name == names


def test_unit_when_no_unit_of_its_quantity_is_refused(load) -> None:
    with pytest.raises(InputError, match="unit"):
        load(tmy(day(ENDS), NAMES.replace("Dry-bulb (C)", "Dry-bulb (V)")))
    with pytest.raises(InputError, match="drybulb"):
        load(tmy(day(ENDS), NAMES.replace("Dry-bulb (C)", "Bulb (C)")))


@pytest.mark.parametrize("order", ["15/07/1998", "1998-07-15", "1998/07/15"])
def test_dates_when_in_another_order_follow_their_heading(load, order: str) -> None:
    names = NAMES.replace("MM/DD/YYYY", "DD/MM/YYYY") if order.startswith("15") else NAMES
    got = load(tmy(day(ENDS, order), names))
    assert got.report.time.first == "1998-07-14T21:00:00Z"


def test_rows_when_cut_or_odd_are_dropped_and_heads_left_out(load) -> None:
    rows = [*day(ENDS[:3]), NAMES, "", "07/15/1998,04:00,0,0", "13/45/1998,05:00,0,0,0" + SUFFIX, "end of file"]
    got = load(tmy(rows))
    assert (got.report.rows_read, got.report.rows_kept) == (6, 3)
    assert [item.row for item in got.report.dropped] == [8, 9, 10]
    assert "header-again" in codes(got)


def test_codes_when_missing_are_each_listed(load) -> None:
    rows = day(ENDS)
    rows[4] = rows[4].replace("28.5", "-9900").replace("1004", "-9900")
    rows[5] = rows[5].replace("6.1", "-9900.0")
    got = load(tmy(rows))
    assert {(item.row, item.column) for item in got.report.replaced if item.read.startswith("-9900")} == {
        (7, "Dry-bulb (C)"),
        (7, "Pressure (mbar)"),
        (8, "Wspd (m/s)"),
    }
    assert np.isnan(got.values["air"][4])


@pytest.mark.parametrize(("head", "tail"), [(",", ""), ("", ","), (",,", ",")])
def test_commas_when_left_at_ends_of_lines_shift_nothing(load, head: str, tail: str) -> None:
    got = load(tmy([row + tail for row in day(ENDS)], NAMES + head))
    assert got.report.rows_kept == 24
    assert got.values["wind"] == pytest.approx(6.1)


@pytest.mark.parametrize("name", [COLD, MILD])
def test_tmy3_when_whole_is_what_another_reader_reads(name: str) -> None:
    path = find(Path("."), name)
    log = Log()
    got = weather_tmy.read(read_text(path, log), log)
    frame, place = iotools.read_tmy3(str(path), map_variables=True)

    theirs = {
        "air": frame["temp_air"] + ZERO,
        "dew_point": frame["temp_dew"] + ZERO,
        "wind": frame["wind_speed"],
        "level": frame["ghi"],
        "beam": frame["dni"],
        "diffuse": frame["dhi"],
        "cloud": frame["TotCld (tenths)"] / 10,
        "pressure": frame["pressure"] * 100,
    }
    for key, column in theirs.items():
        assert got.values[key] == pytest.approx(column.to_numpy(dtype=float), abs=1e-9), key
    assert (got.report.notes["latitude"], got.report.notes["utc_offset_hours"]) == (place["latitude"], place["TZ"])
    assert "typical-year" in codes(got)
    assert "sun-shifted" not in codes(got)
    assert np.diff(got.time) == pytest.approx(3600.0)


def test_tm2_when_whole_is_what_another_reader_reads() -> None:
    path = find(Path("."), HOT)
    log = Log()
    file = read_text(path, log)
    got = weather_tmy.read_tm2(file, log)
    frame, place = iotools.read_tmy2(str(path))

    theirs = {
        "air": frame["DryBulb"] / 10 + ZERO,
        "dew_point": frame["DewPoint"] / 10 + ZERO,
        "wind": frame["Wspd"] / 10,
        "level": frame["GHI"],
        "beam": frame["DNI"],
        "diffuse": frame["DHI"],
        "cloud": frame["TotCld"] / 10,
        "pressure": frame["Pressure"] * 100,
        "relative_humidity": frame["RHum"] / 100,
    }
    for key, column in theirs.items():
        assert got.values[key] == pytest.approx(column.to_numpy(dtype=float), abs=1e-9), key
    assert got.report.notes["longitude"] == pytest.approx(place["longitude"], abs=1e-9)
    assert recognise_weather("any", file.lines) == "tm2"


def test_tm2_when_codes_and_cut_lines_stand_in_it(tmp_path) -> None:
    lines = find(Path("."), HOT).read_text(encoding="ascii").splitlines()[:26]
    lines[3] = lines[3][:67] + "9999" + lines[3][71:95] + "999" + lines[3][98:]
    lines[25] = lines[25][:60]
    path = tmp_path / "made.txt"
    path.write_text("\r\n".join(lines), encoding="ascii")
    log = Log()
    got = weather_tmy.read_tm2(read_text(path, log), log)

    assert (got.report.rows_read, got.report.rows_kept) == (25, 24)
    assert np.flatnonzero(np.isnan(got.values["air"])).tolist() == [2]
    assert np.flatnonzero(np.isnan(got.values["wind"])).tolist() == [2]
    assert [item.row for item in got.report.dropped] == [26]
