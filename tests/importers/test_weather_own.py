"""Own CSV of weather and monthly tables: words, units and marks that are known, and the questions for the rest."""

import csv
import tomllib

import numpy as np
import pytest

from linewright.base.errors import InputError
from linewright.cards import tables
from linewright.importers import climate_table, weather_own
from linewright.importers.report import Log
from linewright.importers.text import read_text
from linewright.importers.weather import recognise_weather

ZERO = 273.15


@pytest.fixture
def load(tmp_path):
    def load_text(text: str | bytes, answers=None, form: str | None = "weather-csv"):
        path = tmp_path / "made.csv"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        log = Log(answers)
        file = read_text(path, log)
        assert recognise_weather("made.csv", file.lines) == form
        return (climate_table.read if form == "climate-table" else weather_own.read)(file, log)

    return load_text


def keys(imported) -> list[str]:
    return [question.key for question in imported.report.questions]


def test_own_when_headings_say_all_asks_nothing(load) -> None:
    got = load(
        "Time (UTC),Air temp [degC],RH [%],Wind speed [kn],Wind dir [deg],Pressure [hPa]\n"
        "2025-07-15 00:00,28.1,75,12,230,1004\n2025-07-15 01:00,28.4,,13,231,1004\n2025-07-15 02:00,,74,-999,232,1004\n"
    )
    assert not keys(got)
    assert got.values["air"] == pytest.approx([28.1 + ZERO, 28.4 + ZERO, np.nan], nan_ok=True)
    assert got.values["wind"][0] == pytest.approx(12 * 1852 / 3600)
    assert np.isnan(got.values["wind"][2])
    assert got.values["relative_humidity"] == pytest.approx([0.75, np.nan, 0.74], nan_ok=True)
    assert got.report.time.first == "2025-07-15T00:00:00Z"
    assert {(item.row, item.column) for item in got.report.replaced} == {
        (3, "RH [%]"),
        (4, "Air temp [degC]"),
        (4, "Wind speed [kn]"),
    }


def test_own_when_units_interval_and_zone_are_open_asks_for_each(load) -> None:
    text = "Date;T2m;Wind;Global radiation\n15.07.2025 00:00;28,1;6,1;0\n16.07.2025 00:00;28,4;6,2;0\n"
    got = load(text)
    assert set(keys(got)) == {"time.zone", "unit.Wind", "unit.Global radiation", "column.air", "interval"}
    answers = {
        "time.zone": "UTC+4",
        "unit.Wind": "kn",
        "unit.Global radiation": "W/m2",
        "column.air": "T2m",
        "unit.T2m": "degC",
        "interval": "end",
    }
    got = load(text, answers)
    assert not keys(got)
    assert got.values["air"] == pytest.approx([28.1 + ZERO, 28.4 + ZERO])
    assert got.values["wind"] == pytest.approx(np.array([6.1, 6.2]) * 1852 / 3600)
    assert got.report.time.first == "2025-07-14T20:00:00Z"
    assert got.report.notes["interval"]["label"] == "end"


def test_own_when_an_answer_names_no_column_or_quantity_is_refused(load) -> None:
    text = "Time (UTC),Air temp [degC],Wind speed [m/s]\n2025-07-15 00:00,28.1,6\n2025-07-15 01:00,28.4,6\n"
    for answers in ({"column.air": "T9"}, {"column.colour": "Air temp [degC]"}, {"unit.Wind speed [m/s]": "kN"}):
        with pytest.raises(InputError):
            load(text, answers)


def test_own_when_waves_only_is_waves(load) -> None:
    got = load("Time UTC,Hs (m),Tp (s),MWD (deg)\n2025-07-15 00:00,1.6,12.4,235\n2025-07-15 01:00,1.7,-,236\n")
    assert got.report.kind == "waves"
    assert got.values["peak_period"] == pytest.approx([12.4, np.nan], nan_ok=True)
    assert not keys(got)


@pytest.mark.parametrize(
    "text",
    [
        "Time,L01 [kN],Wind [m/s],RH [%]\n2025-07-15 00:00,120,6,70\n",
        "Time,TC1 [degC],TC2 [degC],Ambient [degC]\n2025-07-15 00:00,20,21,22\n",
        "time,Load,Temp\n0,1,2\n1,2,3\n",
        "Time,Core [degC],Air [degC],Wind [m/s]\n2025-07-15 00:00,20,21,22\n",
        "a,b\n1,2\n",
        "x",
        "Time,Hook 1,Wind speed\n2025-07-15 00:00,1,2\n",
    ],
)
def test_own_when_a_log_of_loads_or_probes_is_not_claimed(text: str) -> None:
    assert recognise_weather("weather.csv", text.splitlines()) is None


def test_own_when_percent_are_fractions_asks_and_takes_the_answer(load) -> None:
    text = "Time (UTC),Air temp [degC],RH [%]\n2025-07-15 00:00,28.1,0.75\n2025-07-15 01:00,28.4,0.8\n"
    assert keys(load(text)) == ["unit.RH [%]"]
    assert load(text, {"unit.RH [%]": "1"}).values["relative_humidity"] == pytest.approx([0.75, 0.8])
    got = load(text, {"unit.RH [%]": "%"})
    assert got.values["relative_humidity"] == pytest.approx([0.0075, 0.008])
    assert "share-small" in [flag.code for flag in got.report.flags]
    assert not keys(load(text.replace("0.8", "1.2")))  # a value above 1 cannot be a fraction


# --- monthly tables ------------------------------------------------------------------------------


def months(extra: str = "", cell: str = "") -> str:
    rows = [f"Quay,{month},{10 + month},{5 + month},80,6{cell}" for month in range(1, 13)]
    return f"place,month,air high [degC],air low [degC],RH [%],wind [m/s]{extra}\n" + "\n".join(rows) + "\n"


def test_table_when_made_a_card_is_read_by_the_cards_own_reader(load, tmp_path) -> None:
    got = load(months(",cloud [%]", ",60"), form="climate-table")
    log = Log()
    assert climate_table.card_tables(got, "Quay", log) is None
    assert [question.key for question in log.questions] == ["latitude", "day_spread"]
    made = climate_table.card_tables(got, "Quay", Log({"latitude": "-33.5", "day_spread": "2"}))
    assert made is not None
    toml, table = made
    card = tomllib.loads(toml)
    path = tmp_path / card["months"]
    path.write_text(table, encoding="utf-8")
    found = tables.read_months(path)

    assert (card["kind"], card["latitude"], card["title"]) == ("climate", "-33.5 deg", "Quay, monthly")
    assert [month.air_high - ZERO for month in found] == pytest.approx([10 + month for month in range(1, 13)])
    assert {month.cloud for month in found} == {0.6}
    assert {month.wind for month in found} == {6.0}
    assert {month.day_spread for month in found} == {2.0}
    # Magnus at 80 %: about 3.5 K below air around 10 to 20 C
    middle = [0.5 * (month.air_high + month.air_low) for month in found]
    assert np.array(middle) - [month.dew_point for month in found] == pytest.approx(3.35, abs=0.2)


def test_table_when_the_sample_lacks_cloud_asks_for_it(read) -> None:
    got = read("monthly_climate_two_places.csv")
    log = Log()
    assert climate_table.card_tables(got, "North Quay", log) is None
    assert [question.key for question in log.questions] == ["latitude", "day_spread", "cloud"]
    toml, table = climate_table.card_tables(
        got, "North Quay", Log({"latitude": "58", "day_spread": "3", "cloud": "70"})
    )
    rows = list(csv.reader(table.splitlines()))
    assert len(rows) == 14
    assert float(rows[4][rows[0].index("wind")]) == pytest.approx(0.5 * (9.5 + 9.2), abs=0.01)  # March
    assert tomllib.loads(toml)["where"] == "monthly_climate_two_places.csv"


def test_table_when_a_month_is_missing_doubled_or_empty_is_flagged_and_no_card(load) -> None:
    text = months(",cloud [%]", ",60").replace("Quay,3,13", "Quay,2,13").replace("Quay,5,15,10", "Quay,5,15,-")
    got = load(text + "mean,all,15,10,80,6,60\n", form="climate-table")
    assert {"months"} <= {flag.code for flag in got.report.flags}
    assert got.content["Quay"].values["air_high"][1] == pytest.approx(12 + ZERO)  # the first of two
    assert [item.row for item in got.report.dropped] == [14]
    with pytest.raises(InputError, match="air_low in months 3, 5"):
        climate_table.card_tables(got, "Quay", Log({"latitude": "58", "day_spread": "3"}))


@pytest.mark.parametrize("answers", [{"latitude": "100", "day_spread": "3"}, {"latitude": "50", "day_spread": "x"}])
def test_card_when_an_answer_cannot_be_is_refused(load, answers) -> None:
    got = load(months(",cloud [%]", ",60"), form="climate-table")
    with pytest.raises(InputError):
        climate_table.card_tables(got, "Quay", Log(answers))


def test_table_when_a_unit_is_not_said_asks_and_takes_names_of_months(load) -> None:
    text = "month;air high;air low [°C];wind [kn]\n" + "".join(
        f"{name};20,5;10,5;10\n"
        for name in ("Jan", "Feb", "March", "Apr", "May", "June", "Jul", "Aug", "Sept", "Oct", "Nov", "December")
    )
    got = load(text, form="climate-table")
    assert keys(got) == ["unit.air high"]
    got = load(text, {"unit.air high": "Celsius"}, form="climate-table")
    assert got.values["air_high"] == pytest.approx(20.5 + ZERO)
    assert got.values["wind"] == pytest.approx(10 * 1852 / 3600)


@pytest.mark.parametrize(
    ("air", "humidity", "dew"), [(20.0, 0.5, 9.26), (30.0, 0.8, 26.2), (0.0, 1.0, 0.0), (-10.0, 0.7, -14.4)]
)
def test_dew_point_when_from_humidity_is_that_of_tables(air: float, humidity: float, dew: float) -> None:
    """Psychrometric tables over water: 20 C at 50 % -> 9.3 C, 30 C at 80 % -> 26.2 C."""
    assert climate_table.dew_point(np.array([air + ZERO]), np.array([humidity]))[0] - ZERO == pytest.approx(
        dew, abs=0.1
    )


def test_table_when_percent_are_fractions_asks_and_takes_the_answer(load) -> None:
    text = months().replace(",80,6", ",0.8,6")
    assert keys(load(text, form="climate-table")) == ["unit.RH [%]"]
    got = load(text, {"unit.RH [%]": "1"}, form="climate-table")
    assert got.values["relative_humidity"] == pytest.approx(np.full(12, 0.8))


# --- units, words and clocks of own instruments ---------------------------------------------------

CLOCK = "Time (UTC),Air temp [degC],RH [%],"


def rows_of(head: str, *cells: str, minutes: int = 60) -> str:
    lines = [f"2025-07-15 {n * minutes // 60:02d}:{n * minutes % 60:02d},20,50,{cell}" for n, cell in enumerate(cells)]
    return "\n".join([CLOCK + head, *lines]) + "\n"


@pytest.mark.parametrize(
    ("head", "cell", "unit", "key", "expected"),
    [
        ("Wind", "10", "knots", "wind", 10 * 1852 / 3600),  # a knot is 1852 m in an hour
        ("Wind", "10", "mph", "wind", 10 * 1609.344 / 3600),  # a mile is 1609.344 m
        ("Wind", "10", "ft/s", "wind", 3.048),
        ("Pressure", "760", "mmHg", "pressure", 101325.0),  # the standard atmosphere is 760 mm of mercury
        ("Pressure", "14.5", "psi", "pressure", 14.5 * 0.45359237 * 9.80665 / 0.0254**2),
        ("Dew point", "10", "F", "dew_point", (10 - 32) / 1.8 + 273.15),
        ("Global radiation", "0.5", "kWh/m2", "level", 500.0),
    ],
)
def test_own_when_a_unit_is_answered_takes_it(load, head, cell, unit, key, expected) -> None:
    answers = {f"unit.{head}": unit, **({"interval": "end"} if key == "level" else {})}
    got = load(rows_of(head, cell, cell), answers)
    assert not keys(got)
    assert got.values[key] == pytest.approx([expected] * 2, rel=1e-6)


def test_own_when_energy_is_of_ten_minutes_is_divided_by_them(load) -> None:
    """By hand: 50 Wh/m2 in 10 minutes is a mean of 300 W/m2."""
    got = load(rows_of("Global radiation [Wh/m2]", "50", "50", minutes=10), {"interval": "end"})
    assert got.values["level"] == pytest.approx([300.0, 300.0])
    assert "energy-per-interval" in [flag.code for flag in got.report.flags]


@pytest.mark.parametrize("given", [{"unit.Wind": "Beaufort"}, {}])
def test_own_when_wind_is_in_beaufort_has_the_middle_of_the_class(load, given) -> None:
    """Limits of the scale in m/s (WMO): 4 is 5.5 to 7.9, 8 is 17.2 to 20.7; 0 is calm."""
    got = load(rows_of("Wind" if given else "Wind [Bft]", "0", "4", "8"), given)
    assert got.values["wind"][0] == 0.0
    assert 5.5 <= got.values["wind"][1] <= 7.9
    assert 17.2 <= got.values["wind"][2] <= 20.7
    assert "beaufort" in [flag.code for flag in got.report.flags]


def test_own_when_directions_are_words_reads_the_compass(load) -> None:
    got = load(rows_of("Wind [m/s],Wind dir", "5,N", "5,SSW", "5,north-west", "5,calm", "5,E"))
    assert np.degrees(got.values["wind_from"]) == pytest.approx([0.0, 202.5, 315.0, np.nan, 90.0], nan_ok=True)
    assert [item.why for item in got.report.replaced] == ["calm stands for missing"]


def test_own_when_o_stands_for_east_or_west_is_told_by_its_neighbours_or_asked(load) -> None:
    german = load(rows_of("Wind [m/s],Windrichtung", "5,O", "5,W", "5,NO"))
    assert np.degrees(german.values["wind_from"]) == pytest.approx([90.0, 270.0, 45.0])
    spanish = load(rows_of("Viento [m/s],Dirección del viento", "5,O", "5,E", "5,NO"))
    assert np.degrees(spanish.values["wind_from"]) == pytest.approx([270.0, 90.0, 315.0])
    open_one = rows_of("Wind [m/s],Wind dir", "5,O", "5,SO", "5,N")
    assert keys(load(open_one)) == ["compass.o"]
    assert np.degrees(load(open_one, {"compass.o": "west"}).values["wind_from"]) == pytest.approx([270.0, 225.0, 0.0])


def test_own_when_a_column_is_skipped_by_answer_is_not_used(load) -> None:
    text = rows_of("Wind", "5", "5")
    assert keys(load(text)) == ["unit.Wind"]
    got = load(text, {"unit.Wind": "skip"})
    assert "wind" not in got.values
    assert "Wind is not used, by answer" in [flag.text for flag in got.report.flags]
    got = load("Time (UTC),RH [%],Wind [m/s],Inside\n2025-07-15 00:00,80,5,1\n", {"column.air": "none"})
    assert not keys(got)
    assert "air" not in got.values


def test_own_when_its_clock_counts_milliseconds_asks_for_the_start(load) -> None:
    text = "Millis,Air temp [degC],RH [%]\n0,20,80\n60000,21,81\n120000,22,82\n"
    assert keys(load(text)) == ["time.start", "time.zone"]
    got = load(text, {"time.start": "2026-03-01 08:00", "time.zone": "UTC+4"})
    assert got.report.time.first == "2026-03-01T04:00:00Z"
    assert np.diff(got.time) == pytest.approx([60.0, 60.0])
    with pytest.raises(InputError, match=r"time\.start"):
        load(text, {"time.start": "at noon", "time.zone": "UTC+4"})


@pytest.mark.parametrize(
    ("names", "time"),
    [
        (("Temperatura del aire (°C)", "Humedad relativa (%)", "Velocidad del viento (m/s)"), "Fecha y hora (UTC)"),
        (("Температура воздуха, °С", "Влажность (%)", "Скорость ветра (м/с)"), "Дата (UTC)"),
        (("気温(℃)", "相対湿度(%)", "平均風速(m/s)"), "日時 (UTC)"),
    ],
)
def test_own_when_headings_are_spanish_russian_or_japanese_are_read(load, names, time) -> None:
    text = f"{time};{';'.join(names)}\n2025-07-15 00:00;20;80;5\n2025-07-15 01:00;21;81;6\n"
    answers = {"unit.Температура воздуха, °С": "degC"} if "°С" in text else None
    got = load(text, answers)
    assert not keys(got)
    assert got.values["air"] == pytest.approx([20 + ZERO, 21 + ZERO])
    assert got.values["relative_humidity"] == pytest.approx([0.8, 0.81])
    assert got.values["wind"] == pytest.approx([5.0, 6.0])


@pytest.mark.parametrize(
    ("above", "heading", "says"),
    [
        ("# wind at 25 m\n", "Wind speed [kt]", "at 25 m, above the table"),
        ("Mast 3; 12,5 m anemometer, mean of 10 min\n", "Wind speed [kt]", "at 12.5 m, above the table"),
        ("# Station 4 m above the sea, wind in kt\n", "Wind speed [kt]", "not stated"),
        ("# mean wind of 10 min\n", "Wind speed [kt]", "not stated"),
        ("", "Wind speed 25 m (kt)", "at 25 m, in its heading"),
        ("", "ws_10m [m/s]", "at 10 m, in its heading"),
        ("# wind at 25 m\n", "Wind 80 ft [m/s]", "at 80 ft, in its heading"),
        ("", "Wind speed (m/s)", "not stated"),
    ],
)
def test_own_when_the_height_of_the_wind_is_stated_says_it(load, above, heading, says) -> None:
    """The wind itself stays as measured: a card's wind_at_line takes it to the line."""
    got = load(f"{above}Time (UTC);Air temp [degC];{heading}\n2025-07-15 00:00;28.1;12\n2025-07-15 01:00;28.2;12\n")

    (flag,) = [item for item in got.report.flags if item.code == "wind-height"]
    assert says in flag.text
    assert "wind" in got.values
