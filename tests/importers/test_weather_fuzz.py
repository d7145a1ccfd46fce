"""Damaged weather and wave files: each is refused with what is wrong, or its values are accounted for."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from linewright.base.errors import InputError
from linewright.importers import weather
from linewright.importers.files import find
from linewright.importers.report import Imported, Log, Source
from linewright.importers.text import TextFile
from linewright.importers.weather_form import READERS
from linewright.importers.weather_series import QUANTITIES

SAMPLES = Path(__file__).parent / "samples"
SPECTRA = """#YY  MM DD hh mm Sep_Freq  < spec_1 (freq_1) spec_2 (freq_2) spec_3 (freq_3) ... >
2026 07 02 12 40 0.150 0.000 (0.033) 1.500 (0.100) 0.500 (0.200) 0.100 (0.400)
2026 07 02 11 40 9.999 0.000 (0.033) 1.200 (0.100) 0.700 (0.200) 0.100 (0.400)
"""
GLOBAL = """"STATION","DATE","LATITUDE","LONGITUDE","REPORT_TYPE","WND","TMP","DEW","SLP","AA1","GF1"
"99999900001","2025-07-15T00:00:00","15.0","60.0","FM-12","230,1,N,0056,1","+0281,1","+0250,1","10042,1","01,0005,9,1","04,99,1,05,1,04,1"
"99999900001","2025-07-15T00:00:00","15.0","60.0","FM-15","999,9,V,0010,1","+9999,9","+0250,1","99999,9","","08,99,1,05,1,04,1"
"""
OWN = """Time (UTC);Air temp [degC];RH [%];Wind speed [m/s];Solar [W/m2];Hs [m];Tp [s]
2025-07-15 00:00;28,1;75;6,1;0;1,6;12,4
2025-07-15 01:00;28,4;;6,2;0;1,7;12,4
2025-07-15 02:00;28,9;74;6,3;0;1,7;12,4
"""
TEXTS = {
    "epw": "weather_epw_missing_codes_minute60.epw",
    "tmy3": "weather_tmy3_24h_mixed_years.csv",
    "isd-lite": "weather_isd_lite_fixed_width.txt",
    "metar": "weather_metar_two_stations.txt",
    "reanalysis": "reanalysis_point_hourly.csv",
    "buoy": "buoy_historical_old_header.txt",
    "buoy-summary": "buoy_spectral_summary.spec",
    "climate-table": "monthly_climate_two_places.csv",
}
WHOLE = {name: (SAMPLES / file).read_text(encoding="utf-8") for name, file in TEXTS.items()}
WHOLE["tm2"] = "\n".join(find(Path("."), "pvlib:data/12839.tm2").read_text(encoding="ascii").splitlines()[:30])
WHOLE |= {"buoy-spectra": SPECTRA, "isd-csv": GLOBAL, "weather-csv": OWN}
NASTY = [
    *(
        "",
        "nan",
        "inf",
        "-inf",
        "1e400",
        "1_000",
        "9" * 30,
        "-9999",
        "9999",
        "99",
        "٣",
        "\x00",
        "NULL",
        "-",
        "0",
        "1e5",
    ),
    *('"', '""', "MM", "24:00", "00:00", "02/30/2001", "2025-13-01", "#YY", ",", ";", " ", "M", "=", "(", "A9999"),
    *("VRB99KT", "-0.0", "1,5"),
]
ANSWERS = {"month": "2025-07", "time.zone": "UTC", "interval": "end"}
HIDDEN = {
    "wind_from",
    "gust",
    "swell_period",
    "swell_from",
    "wind_sea_period",
    "wind_sea_from",
    "level",
    "beam",
    "diffuse",
}


def text_file(text: str) -> TextFile:
    lines = text.splitlines()
    return TextFile(Source("fuzz.txt", "0" * 16, "utf-8"), text, tuple(lines))


@st.composite
def damaged(draw: st.DrawFn, text: str) -> str:
    """A text with some of: cells replaced, lines swapped, doubled, cut or lost, characters changed, the end cut."""
    lines = text.splitlines()
    for _ in range(draw(st.integers(1, 6))):
        kind = draw(st.sampled_from(["cell", "swap", "double", "lose", "cut", "insert", "character"]))
        at = draw(st.integers(0, len(lines) - 1))
        line = lines[at]
        if kind == "cell":
            mark = "," if "," in line else ";" if ";" in line else " "
            cells = line.split(mark)
            cells[draw(st.integers(0, len(cells) - 1))] = draw(st.sampled_from(NASTY))
            lines[at] = mark.join(cells)
        elif kind == "swap":
            other = draw(st.integers(0, len(lines) - 1))
            lines[at], lines[other] = lines[other], line
        elif kind == "double":
            lines.insert(draw(st.integers(0, len(lines))), line)
        elif kind == "lose" and len(lines) > 1:
            del lines[at]
        elif kind == "cut":
            lines[at] = line[: draw(st.integers(0, len(line)))]
        elif kind == "insert":
            lines.insert(at, draw(st.text(max_size=60)).replace("\n", " "))
        elif line:
            place = draw(st.integers(0, len(line) - 1))
            lines[at] = line[:place] + draw(st.characters()) + line[place + 1 :]
    return "\n".join(lines)


def read_or_refuse(form: str, file: TextFile, log: Log) -> Imported | None:
    """What a reader returns, or nothing where it refuses and says why."""
    problems = ()
    try:
        return READERS[form](file, log)
    except InputError as error:
        problems = error.problems
    assert problems
    return None


def account(imported: Imported) -> None:
    """Every value is plausible or missing, every missing one has a reason, times rise, lengths agree."""
    report = imported.report
    listed = {item.column for item in report.replaced}
    for column in report.columns:
        if column.quantity not in QUANTITIES:
            continue
        quantity, figures = QUANTITIES[column.quantity], imported.values[column.quantity]
        assert figures.shape == (report.rows_kept,)
        assert not np.isinf(figures).any()
        shown = (figures[np.isfinite(figures)] - quantity.offset) / quantity.factor
        assert np.all((shown >= quantity.low - 1e-6) & (shown <= quantity.high + 1e-6)), column
        if column.missing and column.quantity not in HIDDEN and not column.because.startswith(("made", "components")):
            assert column.name in listed or column.name in ("speed", "air", "dew"), column
    if imported.time is not None:
        assert imported.time.shape == (report.rows_kept,)
        assert np.all(np.diff(imported.time) >= 0.0)
        assert np.isfinite(imported.time).all()
    assert all(len(cells) == report.rows_kept for cells in imported.texts.values())
    assert report.rows_kept + report.dropped_count >= report.rows_read
    report.as_dict()


@pytest.mark.parametrize("form", sorted(WHOLE))
def test_reader_when_its_own_sample_is_whole_accounts_for_it(form: str) -> None:
    file = text_file(WHOLE[form])

    assert weather.recognise_weather("any.bin", file.lines) == form
    account(READERS[form](file, Log()))


@pytest.mark.parametrize("form", sorted(WHOLE))
@settings(max_examples=60, deadline=2000, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_reader_when_its_file_is_damaged_refuses_or_accounts(form: str, data: st.DataObject) -> None:
    file = text_file(data.draw(damaged(WHOLE[form])))
    log = Log(ANSWERS)
    log.used = dict(ANSWERS)  # answers that the damaged file may not ask for any more
    imported = read_or_refuse(form, file, log)
    if imported is not None:
        account(imported)


@settings(max_examples=150, deadline=2000, suppress_health_check=list(HealthCheck))
@given(text=st.one_of(st.text(max_size=400), st.lists(st.sampled_from(NASTY), max_size=60).map("\n".join)))
def test_text_when_it_is_nothing_known_is_refused_or_read(text: str) -> None:
    file = text_file(text)
    form = weather.recognise_weather("x", file.lines)
    for name in [form] if form else list(READERS):
        imported = read_or_refuse(name, file, Log())
        if imported is not None:
            account(imported)


@pytest.mark.parametrize("form", sorted(WHOLE))
@settings(max_examples=15, deadline=4000, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_year_when_made_of_a_damaged_file_is_refused(form: str, data: st.DataObject) -> None:
    file = text_file(data.draw(damaged(WHOLE[form])))
    log = Log(ANSWERS)
    log.used = dict(ANSWERS)
    with pytest.raises(InputError) as caught:
        weather.year_of(READERS[form](file, log), Log())
    assert caught.value.problems
