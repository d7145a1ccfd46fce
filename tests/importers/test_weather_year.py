"""From reports, reanalysis and own tables to 8760 hours: gaps, estimates, years, stations, the hot day."""

from dataclasses import replace

import numpy as np
import pytest
from pvlib import clearsky, solarposition

from linewright.base.errors import InputError
from linewright.importers.files import find
from linewright.importers.recognise import import_file
from linewright.importers.report import Imported, Log, Source
from linewright.importers.weather import hot_day, read_year, year_of

HOURS = 8760


def imported(year: int = 2019, hours: int = HOURS, notes=None, texts=None, **values) -> Imported:
    """Hourly weather of a year from its first hour on, 20 C and 5 m/s unless given; nothing where None is given."""
    start = np.datetime64(f"{year}-01-01T00:00:00").astype("datetime64[s]").astype(float)
    wave = 293.15 + 5.0 * np.sin(np.arange(hours) * 2 * np.pi / 24.0)
    parts = {
        "air": wave,
        "wind": np.full(hours, 5.0),
        "dew_point": np.full(hours, 283.15),
        "cloud": np.full(hours, 0.5),
        **values,
    }
    log = Log()
    log.notes.update(notes if notes is not None else {"latitude": 15.0, "longitude": 60.0})
    report = log.report("weather", "made", Source("made.csv", "0" * 16, "utf-8"), hours, hours)
    known = {key: np.asarray(part, dtype=float) for key, part in parts.items() if part is not None}
    return Imported(report, start + np.arange(hours) * 3600.0, known, texts or {})


def codes(year) -> set[str]:
    return {flag["code"] for flag in year.report["flags"]}


def gapped(key: str, first: int, count: int):
    whole = imported()
    values = whole.values[key].copy()
    values[first : first + count] = np.nan
    return imported(**{key: values})


@pytest.mark.parametrize("key", ["air", "wind", "dew_point"])
@pytest.mark.parametrize("first", [0, 100, HOURS - 3])
def test_gap_when_of_three_hours_is_interpolated_and_said(key: str, first: int) -> None:
    whole, year = year_of(imported(), Log()), year_of(gapped(key, first, 3), Log())
    part = getattr(year, key)
    assert np.isfinite(part).all()
    assert "gap-filled" in codes(year)
    assert "gap-filled" not in codes(whole)
    outside = np.delete(part, range(first, first + 3))
    assert np.array_equal(outside, np.delete(getattr(whole, key), range(first, first + 3)))
    if first == 100:
        ends = part[[99, 103]]
        assert part[100:103] == pytest.approx(ends[0] + (ends[1] - ends[0]) * np.array([0.25, 0.5, 0.75]))


@pytest.mark.parametrize("key", ["air", "wind", "dew_point"])
def test_gap_when_of_four_hours_is_refused_with_its_date(key: str) -> None:
    with pytest.raises(InputError) as caught:
        year_of(gapped(key, 31 * 24 + 6, 4), Log())
    assert [(problem.where, problem.read) for problem in caught.value.problems] == [
        (key, "no value from 2019-02-01 06 h UTC for 4 h")
    ]


def test_sky_when_cloud_is_given_makes_the_radiation() -> None:
    """Under a clear sky the light is that of pvlib's Haurwitz law within its refraction; cloud takes 75 % N^3.4."""
    clear, grey = (year_of(imported(cloud=np.full(HOURS, cloud)), Log()) for cloud in (0.0, 1.0))
    assert {"radiation-estimated", "radiation-split"} <= codes(clear)
    middle = np.datetime64("2019-01-01T00:30:00") + np.arange(HOURS).astype("timedelta64[h]")
    import pandas as pd

    sun = solarposition.get_solarposition(pd.DatetimeIndex(middle, tz="UTC"), 15.0, 60.0)
    light = clearsky.haurwitz(sun["apparent_zenith"])["ghi"].to_numpy()
    assert np.mean(clear.level) == pytest.approx(np.mean(light), rel=0.005)
    assert np.max(np.abs(clear.level - light)) < 12.0
    assert grey.level.sum() == pytest.approx(0.25 * clear.level.sum())
    assert np.allclose(clear.beam * np.maximum(np.sin(clear.elevation), 0.0) + clear.diffuse, clear.level, atol=25.0)
    assert grey.beam.mean() < 0.05 * clear.beam.mean()
    assert clear.level[clear.elevation < 0.0].max() == 0.0


def test_sky_when_radiation_is_given_tells_the_cloud() -> None:
    given = year_of(imported(cloud=np.full(HOURS, 0.6)), Log())
    year = year_of(
        imported(
            cloud=None,
            level=given.level,
            notes={"latitude": 15.0, "longitude": 60.0, "interval": {"centre_seconds": 1800.0}},
        ),
        Log(),
    )
    assert year.cloud == pytest.approx(0.6, abs=0.01)
    assert "cloud-estimated" in codes(year)
    assert np.array_equal(year.level, given.level)


def test_sky_when_nothing_tells_it_is_asked() -> None:
    with pytest.raises(InputError) as caught:
        year_of(imported(cloud=None, dew_point=None), Log())
    assert [problem.where for problem in caught.value.problems] == ["relative_humidity", "cloud"]
    year = year_of(imported(cloud=None, dew_point=None), Log({"relative_humidity": "80", "cloud": "40"}))
    assert year.cloud == pytest.approx(0.4)
    assert {"cloud-answered", "relative-humidity-answered", "dew-point-made"} <= codes(year)
    assert np.all(year.dew_point < year.air)


def test_dew_point_when_humidity_is_given_is_made_of_it() -> None:
    year = year_of(imported(dew_point=None, air=np.full(HOURS, 293.15), relative_humidity=np.full(HOURS, 0.5)), Log())
    assert year.dew_point - 273.15 == pytest.approx(9.26, abs=0.05)
    assert "dew-point-made" in codes(year)


def test_radiation_when_labelled_at_the_end_lies_in_the_hour_before() -> None:
    level = np.zeros(HOURS)
    level[[9, 10]] = (300.0, 500.0)
    notes = {"latitude": 15.0, "longitude": 60.0, "interval": {"centre_seconds": -1800.0}, "state_centre_seconds": 0.0}
    year = year_of(imported(level=level, notes=notes), Log())
    assert year.level[[8, 9]].tolist() == [300.0, 500.0]


def test_years_when_several_are_whole_are_asked() -> None:
    two = imported(2019, HOURS + 8784, air=np.r_[np.full(HOURS, 290.0), np.full(8784, 300.0)])
    two = imported(2019, HOURS + 8784, **two.values)
    with pytest.raises(InputError) as caught:
        year_of(two, Log())
    assert [problem.where for problem in caught.value.problems] == ["year"]
    late, early = (year_of(two, Log({"year": year})) for year in ("2020", "2019"))
    assert (late.air.min(), early.air.max()) == (300.0, 290.0)
    assert len(late.air) == HOURS
    assert "leap-day" in codes(late)
    with pytest.raises(InputError):
        year_of(two, Log({"year": "2018"}))


def test_year_when_only_part_of_it_is_there_is_refused_with_dates() -> None:
    with pytest.raises(InputError, match="4000 hours of air") as caught:
        year_of(imported(hours=4000), Log())
    assert "2019-06-16 16 h UTC for 4760 h" in str(caught.value)


def test_local_year_when_the_zone_is_stated_has_its_months() -> None:
    start = np.datetime64("2018-12-31T20:00:00").astype("datetime64[s]").astype(float)
    notes = {"latitude": 15.0, "longitude": 60.0, "utc_offset_hours": 4.0, "state_centre_seconds": 1800.0}
    year = year_of(replace(imported(notes=notes), time=start + np.arange(HOURS) * 3600.0), Log())
    assert np.bincount(year.month.astype(int))[1:].tolist() == [
        744,
        672,
        744,
        720,
        744,
        720,
        744,
        744,
        720,
        744,
        720,
        744,
    ]
    assert int(np.argmax(year.elevation[:24])) in (11, 12)


def test_kinds_when_several_stand_in_the_file_are_asked_one_after_the_other() -> None:
    station = tuple("AB"[n % 2] for n in range(2 * HOURS))
    one = imported()
    both = Imported(
        one.report,
        np.repeat(one.time, 2),
        {key: np.repeat(part, 2) for key, part in one.values.items()},
        {"station": station},
    )
    both.values["air"][1::2] += 5.0
    with pytest.raises(InputError) as caught:
        year_of(both, Log())
    assert [problem.where for problem in caught.value.problems] == ["station"]
    warm, cool = (year_of(both, Log({"station": name})) for name in "BA")
    assert warm.air - cool.air == pytest.approx(5.0)


def test_reports_when_within_the_hour_are_averaged() -> None:
    one = imported()
    time = np.sort(np.r_[one.time, one.time + 1800.0])
    twice = Imported(one.report, time, {key: np.repeat(part, 2) for key, part in one.values.items()}, {})
    twice.values["wind"][1::2] = 7.0
    assert year_of(twice, Log()).wind == pytest.approx(6.0)


def test_place_when_not_in_the_file_is_asked_and_checked() -> None:
    with pytest.raises(InputError) as caught:
        year_of(imported(notes={}), Log())
    assert [problem.where for problem in caught.value.problems] == ["latitude", "longitude"]
    year = year_of(imported(notes={}), Log({"latitude": "-33", "longitude": "18"}))
    assert np.degrees(year.latitude) == pytest.approx(-33.0)
    with pytest.raises(InputError):
        year_of(imported(notes={}), Log({"latitude": "99", "longitude": "18"}))


@pytest.mark.parametrize("key", ["air", "wind"])
def test_weather_when_it_lacks_air_or_wind_is_refused(key: str) -> None:
    with pytest.raises(InputError, match=f"no {key}"):
        year_of(imported(**{key: None}), Log())


def test_hot_day_when_asked_is_the_day_of_that_rank() -> None:
    air = np.repeat(np.arange(365.0)[::-1], 24) * 0.05 + 280.0
    year = year_of(imported(air=air, dew_point=np.full(HOURS, 270.0)), Log())
    for share, day in ((1.0, 0), (0.95, 364 - 346), (0.5, 364 - 182), (0.0, 364)):
        found = hot_day(year, share)
        assert found.air == pytest.approx(280.0 + 0.05 * (364 - day))
        assert found.air.shape == found.level.shape == found.month.shape == (24,)
        assert found.report["day"] == day + 1
        assert np.array_equal(found.elevation, year.elevation[day * 24 : day * 24 + 24])
    for share in (-0.1, 1.1, float("nan")):
        with pytest.raises(InputError):
            hot_day(year, share)


def test_hot_day_when_of_a_public_year_is_hotter_than_most(tmp_path) -> None:
    year = read_year(find(tmp_path, "pvlib:data/12839.tm2"))
    means = year.air.reshape(365, 24).mean(axis=1)
    assert np.mean(means <= hot_day(year, 0.98).air.mean() + 1e-9) == pytest.approx(0.98, abs=0.003)


def test_read_year_when_a_file_of_reports_is_given_takes_all_answers_in_one_table(tmp_path) -> None:
    rows = [
        f"{2019} {month:02d} {day:02d} {hour:02d}   281   250 10042   230    56     4 -9999 -9999"
        for month in range(1, 13)
        for day in range(1, 32)
        for hour in range(24)
        if day <= [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31][month - 1]
    ]
    path = tmp_path / "made.any"
    path.write_text("\n".join(rows), encoding="ascii")
    with pytest.raises(InputError, match="latitude"):
        read_year(path)
    year = read_year(path, {"latitude": "15", "longitude": "60"})
    assert len(year.air) == HOURS
    assert year.air == pytest.approx(301.25)
    assert year.report["answers"] == {"latitude": "15", "longitude": "60"}
    with pytest.raises(InputError, match="colour"):
        read_year(path, {"latitude": "15", "longitude": "60", "colour": "red"})


def moved(hours: int, **more) -> Imported:
    """A year whose rows begin so many hours after 00 UTC of 1 January, each hour with its own air."""
    whole = imported(air=290.0 + np.arange(HOURS) / HOURS, **more)
    return replace(whole, time=whole.time + hours * 3600.0)


@pytest.mark.parametrize("hours", [-4, 8])
def test_year_when_whole_in_another_zone_takes_the_hours_beyond_one_end_for_the_other(hours: int) -> None:
    """At UTC+4 midnight is 20 UTC of the day before: four hours stand before the UTC year, four lack at its end."""
    year = year_of(moved(hours), Log())

    assert np.array_equal(year.air, np.roll(moved(hours).values["air"], hours))
    (flag,) = [item for item in year.report["flags"] if item["code"] == "year-wrapped"]
    assert f"{abs(hours)} hours" in flag["text"]
    assert "gap-filled" not in codes(year)


def test_year_when_more_lacks_than_a_zone_makes_is_refused_still() -> None:
    with pytest.raises(InputError, match="gaps"):
        year_of(moved(20), Log())


def test_year_when_the_file_states_no_place_takes_that_of_the_card_and_says_so() -> None:
    year = year_of(imported(notes={}), Log(), (20.0, 58.0))

    assert np.degrees([year.latitude, year.longitude]) == pytest.approx([20.0, 58.0])
    assert "place-of-card" in codes(year)
    answered = year_of(imported(notes={}), Log({"latitude": "10", "longitude": "50"}), (20.0, 58.0))
    assert np.degrees(answered.latitude) == pytest.approx(10.0)
    stated = year_of(imported(), Log(), (20.0, 58.0))
    assert np.degrees(stated.latitude) == pytest.approx(15.0)


def test_own_year_of_local_hours_is_a_year_of_that_zone(tmp_path) -> None:
    """8760 rows of 2025 at UTC+4; the answers for the year may be given at the import already."""
    stamps = np.datetime64("2025-01-01T00:00") + np.arange(HOURS) * np.timedelta64(1, "h")
    rows = "".join(f"{str(stamp).replace('T', ' ')};20.5;5;70;50\n" for stamp in stamps)
    path = tmp_path / "mast.csv"
    path.write_text("Local time;Air temp [degC];Wind speed [m/s];RH [%];Cloud cover [%]\n" + rows, encoding="utf-8")
    answers = {"time.zone": "UTC+4", "latitude": "20", "longitude": "58"}
    found = import_file(path, answers)

    assert not found.report.questions
    assert found.report.answers == answers
    year = read_year(path, answers)
    assert not {"gap-filled", "year-wrapped"} & codes(year)
    assert year.month[:24].tolist() == [1.0] * 24
    assert np.degrees(year.elevation[11:13]).min() > 40.0  # noon stands in the middle of the local day
    with pytest.raises(InputError, match="latitude"):
        import_file(path, {**answers, "latitude": "120"})
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    path.write_text("".join([*lines[:101], *lines[105:]]), encoding="utf-8")  # hours 100 to 103 of the year are lost
    with pytest.raises(InputError) as caught:
        read_year(path, answers)
    assert caught.value.problems[0].read == "no value from 2025-01-05 04 h UTC+04:00 for 4 h, behind row 101"


def test_import_when_a_stated_place_is_answered_says_that_it_is_not_used(tmp_path) -> None:
    found = import_file(find(tmp_path, "pvlib:data/12839.tm2"), {"latitude": "20"})

    assert any(flag.code == "place-stated" for flag in found.report.flags)
