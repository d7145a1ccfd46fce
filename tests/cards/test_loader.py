"""A card that is wrong is refused with file, line and remedy; a right one arrives in SI."""

from pathlib import Path

import pytest

from linewright.base.errors import CardError, LinewrightError
from linewright.cards import loader

HEAD = ["format = 1", 'kind = "fibre"', 'title = "Fibre of a test"', 'creep_law = "activated"', "[data]"]
RESTS = 'basis = "estimate", source = "own"'
GOOD = f'density = {{ value = "970 kg/m3", low = "960 kg/m3", high = "980 kg/m3", {RESTS} }}'
CURVE = f'strength_factor = {{ curve = "f.csv", {RESTS}, tested = ["-40 degC", "80 degC"] }}'
ROWS = "name,temperature,value,low,high\nunit,degC,,,\nsource,test,,,\n20,1,1,1\n60,0.7,0.6,0.8\n"
SOURCES = '[own]\ntitle = "A test of ours"\nseen = "own work"\n'
CLIMATE = [
    "format = 1", 'kind = "climate"', 'title = "Climate of a test"',
    'latitude = "1 deg"', 'longitude = "0 deg"', 'months = "c.csv"', 'basis = "estimate"', 'source = "own"',
]  # fmt: skip
MONTHS = (
    "month,air_low,air_high,day_spread,dew_point,wind,cloud\n,degC,degC,K,degC,m/s,%\n" + "1,20,25,1,15,3,40\n" * 12
)


@pytest.fixture
def own(tmp_path: Path) -> Path:
    for folder in loader.FOLDERS.values():
        (tmp_path / folder).mkdir()
    (tmp_path / "sources.toml").write_text(SOURCES, encoding="utf-8")
    return tmp_path


def write(own: Path, *lines: str) -> None:
    (own / "fibres" / "mine.toml").write_text("\n".join([*HEAD, *lines]), encoding="utf-8")


def refusal(own: Path) -> str:
    with pytest.raises(CardError) as caught:
        loader.load_shelf(own)
    return caught.value.render()


def test_card_when_right_arrives_in_si_with_its_source(own: Path) -> None:
    write(own, GOOD)

    density = loader.load_shelf(own).fibres["mine"].data["density"]

    assert (density.value, density.low, density.high) == (970.0, 960.0, 980.0)
    assert (density.source, density.unit, density.shape) == ("own", "kg/m3", "lognormal")


WRONG = {
    "unknown key": (GOOD.replace("density", "densty"), ["mine.toml:6", "densty", "did you mean density"]),
    "no source": (GOOD.replace(', source = "own"', ""), ["mine.toml:6", "source"]),
    "no basis": (GOOD.replace(', basis = "estimate"', ""), ["mine.toml:6", "basis"]),
    "unknown basis": (GOOD.replace("estimate", "guess"), ["mine.toml:6", "guess"]),
    "unknown source": (GOOD.replace('"own"', '"none"'), ["mine.toml:6", "none", "sources.toml"]),
    "bare number": (GOOD.replace('"970 kg/m3"', "970"), ["mine.toml:6", "970", "in quotes with its unit"]),
    "datum is a number": ("density = 970", ["mine.toml:6", "970"]),
    "unit missing": (GOOD.replace("970 kg/m3", "970"), ["mine.toml:6", "write the unit"]),
    "unit of another kind": (GOOD.replace("970 kg/m3", "970 kN"), ["mine.toml:6", "970 kN"]),
    "low above value": (GOOD.replace("960", "975"), ["mine.toml:6", "low, value and high in this order"]),
    "high below value": (GOOD.replace("980", "965"), ["mine.toml:6", "low, value and high in this order"]),
    "implausible": (GOOD.replace("9", "97"), ["mine.toml:6", "800 to 2000 kg/m3", "outside_because"]),
    "nothing given": (
        'density = { basis = "estimate", source = "own" }', ["mine.toml:6", "either a value or a curve"],
    ),
    "value and curve": (
        CURVE.replace("{", '{ value = "1",'), ["mine.toml:6", "either a value or a curve"],
    ),
    "no such curve": (CURVE, ["mine.toml:6", "f.csv", "beside the card"]),
}  # fmt: skip


@pytest.mark.parametrize("name", WRONG)
def test_card_when_wrong_names_file_line_and_remedy(own: Path, name: str) -> None:
    line, said = WRONG[name]
    write(own, line)

    text = refusal(own)

    assert [part for part in said if part not in text] == []


def test_card_when_wrong_twice_says_both(own: Path) -> None:
    write(own, GOOD.replace("970 kg/m3", "970"), CURVE)

    text = refusal(own)

    assert "mine.toml:6" in text
    assert "mine.toml:7" in text
    assert "2 of 2 problems" in text


def test_card_when_implausible_with_a_reason_is_taken(own: Path) -> None:
    write(own, GOOD.replace("9", "97").replace(" }", ', outside_because = "filled with metal" }'))

    assert loader.load_shelf(own).fibres["mine"].data["density"].value == 9770.0


def test_curve_when_right_is_read_in_si(own: Path) -> None:
    write(own, CURVE)
    (own / "fibres" / "f.csv").write_text(ROWS, encoding="utf-8")

    datum = loader.load_shelf(own).fibres["mine"].data["strength_factor"]

    assert datum.curve is not None
    assert datum.curve.points == pytest.approx((293.15, 333.15))
    assert datum.curve.low == (1.0, 0.6)
    assert datum.tested == pytest.approx((233.15, 353.15))
    assert datum.has_band


def test_curve_when_it_reaches_one_is_not_bounded_below_one(own: Path) -> None:
    rope = 'bend_strength = { curve = "p.csv", basis = "estimate", source = "own", tested = ["1", "30"] }'
    head = [
        "format = 1",
        'kind = "rope"',
        'title = "Rope"',
        'fibre = "mine"',
        'construction = "braid"',
        "[data]",
    ]
    write(own, GOOD)
    (own / "ropes" / "r.toml").write_text("\n".join([*head, rope]), encoding="utf-8")
    (own / "ropes" / "p.csv").write_text(
        "name,D/d,value,low,high\nunit,\nsource,x\n1,.5,.4,.6\n30,1,.9,1\n", encoding="utf-8"
    )

    datum = loader.load_shelf(own).ropes["r"].data["bend_strength"]

    assert datum.shape == "lognormal"
    assert datum.tested == (1.0, 30.0)


BAD_CURVES = {
    "no head": (ROWS.split("\n", 3)[3], "three first rows"),
    "empty": ("", "three first rows"),
    "no unit": (ROWS.replace("degC", ""), "write the unit"),
    "falling abscissa": (ROWS.replace("60,", "10,"), "rising abscissa"),
    "one row": (ROWS.replace("60,0.7,0.6,0.8\n", ""), "at least two rows"),
    "not a number": (ROWS.replace("0.7", "x"), "f.csv:5"),
    "too few columns": (ROWS.replace(",0.8", ""), "f.csv:5"),
    "out of order": (ROWS.replace("0.6", "0.75"), "f.csv:5"),
    "implausible": (ROWS.replace("0.8", "8"), "plausible values, 0.05 to 1.5"),
}


@pytest.mark.parametrize("name", BAD_CURVES)
def test_curve_when_wrong_names_card_line_and_row(own: Path, name: str) -> None:
    table, said = BAD_CURVES[name]
    write(own, CURVE)
    (own / "fibres" / "f.csv").write_text(table, encoding="utf-8")

    text = refusal(own)

    assert "mine.toml:6" in text
    assert said in text


def test_digest_when_only_a_curve_changes_changes(own: Path) -> None:
    write(own, CURVE)
    (own / "fibres" / "f.csv").write_text(ROWS, encoding="utf-8")
    before = loader.load_shelf(own).fibres["mine"].digest
    (own / "fibres" / "f.csv").write_text(ROWS.replace("0.7", "0.71"), encoding="utf-8")

    assert loader.load_shelf(own).fibres["mine"].digest != before


BAD_CLIMATES = {
    "no table": ("months", '"c.csv"', '"d.csv"', "c.toml:6"),
    "no source": ("source", '"own"', '"none"', "c.toml:8"),
    "bare angle": ("latitude", '"1 deg"', '"1"', "c.toml:4"),
    "table: missing column": ("", "dew_point", "dew", "c.csv:1"),
    "table: eleven months": ("", "1,20,25,1,15,3,40\n1,20", "1,20", "twelve months"),
    "table: not a number": ("", "1,20,25,1,15,3,40\n", "1,x,25,1,15,3,40\n", "c.csv:3"),
    "table: short row": ("", "1,20,25,1,15,3,40\n", "1,20,25\n", "c.csv:3"),
    "table: low above high": ("", "1,20,25", "1,30,25", "air_low not above air_high"),
    "table: too much cloud": ("", "3,40\n", "3,400\n", "cloud from 0 to 100 %"),
}


@pytest.mark.parametrize("name", BAD_CLIMATES)
def test_climate_when_wrong_names_file_and_line(own: Path, name: str) -> None:
    key, old, new, said = BAD_CLIMATES[name]
    card = "\n".join(line.replace(old, new) if key and line.startswith(key) else line for line in CLIMATE)
    (own / "climates" / "c.toml").write_text(card, encoding="utf-8")
    (own / "climates" / "c.csv").write_text(MONTHS if key else MONTHS.replace(old, new, 1), encoding="utf-8")

    assert said in refusal(own)


def test_rope_when_its_fibre_is_unknown_names_the_fibres(own: Path) -> None:
    lines = [
        "format = 1",
        'kind = "rope"',
        'title = "Rope"',
        'fibre = "none"',
        'construction = "braid"',
        "[data]",
    ]
    (own / "ropes" / "r.toml").write_text("\n".join(lines), encoding="utf-8")

    text = refusal(own)

    assert "r.toml" in text
    assert "hmpe-standard" in text


def test_source_when_wrong_names_its_line(own: Path) -> None:
    (own / "sources.toml").write_text(SOURCES + '\n[two]\ntitle = "Two"\nseen = "partly"\n', encoding="utf-8")

    text = refusal(own)

    assert "sources.toml:7" in text
    assert "partly" in text


def test_card_when_not_toml_is_refused_with_its_line(own: Path) -> None:
    write(own, "density = = 1")

    with pytest.raises(LinewrightError) as caught:
        loader.load_shelf(own)

    assert "mine.toml:6" in caught.value.render()
