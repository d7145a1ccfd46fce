"""The table of correlations against a public library, a textbook's example, and its own promises; the film's band."""

import re
from collections.abc import Callable
from pathlib import Path

import ht
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from linewright.cards.loader import load_shelf
from linewright.physics import film
from linewright.physics.film_forms import FORCED, FREE, MIXED, SMOOTH, STRANDED, YAW, Form, Forms, spread
from linewright.validation.form import read_cases

KELVIN = 273.15
PAGE = Path(__file__).resolve().parents[2] / "docs" / "explanation" / "temperature.md"
ROWS = [(name, form) for table in (FORCED, FREE) for name, form in table.items()]

# --- the rows -------------------------------------------------------------------------------------

LIBRARY: dict[str, Callable[[float, float], float]] = {
    "churchill-bernstein": ht.conv_external.Nu_cylinder_Churchill_Bernstein,
    "zukauskas": ht.conv_external.Nu_cylinder_Zukauskas,
    # The library's text says Pr^0.4, as Whitaker 1972 does (from memory); its code has Pr^0.3.
    "whitaker": lambda number, prandtl: ht.conv_external.Nu_cylinder_Whitaker(number, prandtl) * prandtl**0.1,
    "sanitjai-goldstein": ht.conv_external.Nu_cylinder_Sanitjai_Goldstein,
    "perkins-leppert": ht.conv_external.Nu_cylinder_Perkins_Leppert_1964,
}
LIBRARY_FREE: dict[str, Callable[[float, float], float]] = {  # these take Pr and Gr = Ra/Pr
    "churchill-chu": ht.conv_free_immersed.Nu_horizontal_cylinder_Churchill_Chu,
    "morgan": ht.conv_free_immersed.Nu_horizontal_cylinder_Morgan,
    "kuehn-goldstein": ht.conv_free_immersed.Nu_horizontal_cylinder_Kuehn_Goldstein,
}


@pytest.mark.parametrize("name", LIBRARY)
@given(place=st.floats(0.0, 1.0), prandtl=st.floats(0.68, 0.75))
def test_forced_form_when_compared_with_the_library_is_the_same(name: str, place: float, prandtl: float) -> None:
    low, high = FORCED[name].holds
    reynolds = min(max(low * (high / low) ** place, low), high)
    exact = LIBRARY[name](reynolds, prandtl)
    assert FORCED[name].law(reynolds, prandtl) == pytest.approx(exact, rel=1e-10)


@pytest.mark.parametrize("name", LIBRARY_FREE)
@given(place=st.floats(0.0, 1.0), prandtl=st.floats(0.68, 0.75))
def test_free_form_when_compared_with_the_library_is_the_same(name: str, place: float, prandtl: float) -> None:
    low, high = FREE[name].holds
    grashof = low * (high / low) ** place / prandtl
    exact = LIBRARY_FREE[name](prandtl, grashof)
    assert FREE[name].law(grashof * prandtl, prandtl) == pytest.approx(exact, rel=1e-10)


def test_churchill_bernstein_when_worked_by_hand_gives_the_textbook_value() -> None:
    # Re 6071, Pr 0.70 (12.7 mm cylinder in air, a textbook example; Bergman et al. ch. 7, value as quoted by ht):
    # base = 0.62 * 77.92 * 0.8879 / (1 + (0.5714)^(2/3))^(1/4) = 42.894 / 1.1404 = 37.61;
    # (1 + (6071/282000)^0.625)^0.8 = (1 + 0.09087)^0.8 = 1.07206; Nu = 0.3 + 37.61 * 1.07206 = 40.6.
    assert FORCED["churchill-bernstein"].nusselt(6071.0, 0.70) == pytest.approx(40.637, rel=1e-4)


@pytest.mark.parametrize(
    ("name", "reynolds", "by_hand"),
    [
        ("hilpert", 500.0, 10.978),  # 0.683 x 500^0.466 x 0.70^(1/3) = 0.683 x 18.102 x 0.8879 (Incropera Table 7.2)
        ("cigre-601", 1e4, 60.59),  # 0.178 x 1e4^0.633 = 0.178 x 340.41 (CIGRE TB 601, from memory)
        ("cigre-601-rough", 1e4, 76.07),  # 0.048 x 1e4^0.8 = 0.048 x 1584.9 (CIGRE TB 601, from memory)
        ("ieee-738", 865.0, 14.790),  # [1.01 + 1.35 x 33.666]/pi (IEEE 738, low winds)
        ("ieee-738", 1e4, 60.29),  # 0.754 x 1e4^0.6/pi = 0.754 x 251.19/3.14159 (IEEE 738, high winds)
    ],
)
def test_form_when_worked_by_hand_agrees(name: str, reynolds: float, by_hand: float) -> None:
    assert FORCED[name].nusselt(reynolds, 0.70) == pytest.approx(by_hand, rel=3e-4)


@pytest.mark.parametrize(("name", "form"), ROWS, ids=[name for name, _ in ROWS])
def test_form_when_its_pieces_meet_jumps_by_a_fiftieth_at_most(name: str, form: Form) -> None:
    # Pieces of a power law do not meet; the worst step is that of Zukauskas at Re 1000, by hand 0.51 x 31.62 = 16.13
    # before and 0.26 x 63.10 = 16.40 after, 1.7 %. More is a slip in a table.
    low, high = form.holds
    number = np.geomspace(low, high, 20001)
    prandtl = min(max(0.7, form.prandtl[0]), form.prandtl[1])
    steps = np.diff(np.log(np.asarray(form.nusselt(np.clip(number, low, high), prandtl))))
    assert np.all(np.abs(steps) < 0.02), name


def test_every_row_is_checked_by_a_published_value() -> None:
    cases = {case.id: {point.quantity for point in case.points} for case in read_cases()}
    for name, form in ROWS:
        own = "Nu_" + name.title().replace("-", "_")
        assert form.check in cases, name
        assert own in cases[form.check] or name in ("ieee-738", "cigre-601", "cigre-601-rough"), name
    for table in (YAW, MIXED):
        for name, row in table.items():
            assert row.check in cases, name


def test_table_on_the_page_is_the_table_in_the_code() -> None:
    page = PAGE.read_text(encoding="utf-8")
    shown = {
        row[0]: (float(row[1]), float(row[2]), row[3])
        for row in re.findall(r"^\| `([\w-]+)` \|[^|]*\| ([\de.-]+) to ([\de.]+) \|[^|]*\| ([\w-]+) \|", page, re.M)
    }
    assert shown == {name: (*form.holds, form.check) for name, form in ROWS}


# --- ranges ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "form"), ROWS, ids=[name for name, _ in ROWS])
def test_form_when_outside_its_range_refuses_with_the_range(name: str, form: Form) -> None:
    prandtl = min(max(0.7, form.prandtl[0]), form.prandtl[1])
    for number in (0.99 * form.holds[0], 1.01 * form.holds[1]):
        assert not form.valid(number, prandtl)
        with pytest.raises(ValueError, match=re.escape(f"{form.holds[0]:g} to {form.holds[1]:g}")):
            form.nusselt(number, prandtl)
    assert form.valid(form.holds[0], prandtl)
    assert form.valid(form.holds[1], prandtl)


def test_form_for_liquids_is_refused_in_air() -> None:
    with pytest.raises(ValueError, match="Prandtl 1 to 7"):
        film.convection_coefficient(0.044, 2.0, 305.0, 300.0, forms=Forms("perkins-leppert"))


def test_film_when_wind_is_beyond_the_form_is_refused() -> None:
    # 44 mm in 30 m/s: Re 8e4, above the 5e4 of stranded conductors.
    with pytest.raises(ValueError, match="100 to 50000"):
        film.convection_coefficient(0.044, 30.0, 305.0, 300.0, forms=Forms("cigre-601"))


@pytest.mark.parametrize("wrong", [{"forced": "hilbert"}, {"free": "none"}, {"yaw": "45"}, {"mixed": "sum"}])
def test_form_that_is_not_there_is_refused_with_those_that_are(wrong: dict[str, str]) -> None:
    (table,) = wrong
    known = {"forced": FORCED, "free": FREE, "yaw": YAW, "mixed": MIXED}[table]
    with pytest.raises(ValueError, match=", ".join(known)):
        Forms(**wrong)


def test_default_forms_are_the_first_rows() -> None:
    usual = Forms()
    tables = (FORCED, FREE, YAW, MIXED)
    assert (usual.forced, usual.free, usual.yaw, usual.mixed) == tuple(next(iter(table)) for table in tables)


# --- the film from them ---------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "book"), [("zukauskas", 105.0), ("churchill-bernstein", 96.0), ("hilpert", 88.0)])
def test_film_by_each_form_is_that_of_the_textbook(name: str, book: float) -> None:
    # Incropera, cylinder example of ch. 7: 12.7 mm, 10 m/s, surface 128.4 C, air 26.2 C; 105, 96 and 88 W/m2K (from
    # memory). Zukauskas takes air of the stream, the others of the film; with that mixed up it would be 5 % lower. The
    # free part is 1e-3 of the cube. 2 %: our air, and 0.6 % of wall warmth.
    found = film.convection_coefficient(0.0127, 10.0, 128.4 + KELVIN, 26.2 + KELVIN, forms=Forms(name))
    assert found == pytest.approx(book, rel=0.02)


def test_wind_at_an_angle_counts_less_and_none_in_calm() -> None:
    # IEEE 738: along the axis 0.388 of the wind's part is left (1.194 - 1 + 0.194), at 60 deg 0.9157; 10 m/s, so that
    # the free part does not count.
    angles = np.radians([0.0, 60.0, 90.0])
    across = film.convection_coefficient(0.044, 10.0, 301.0, 300.0)
    assert film.convection_coefficient(0.044, 10.0, 301.0, 300.0, angles) == pytest.approx(
        across * np.array([0.388, 0.9157, 1.0]), rel=2e-3
    )
    calm = film.convection_coefficient(0.044, 0.0, 320.0, 300.0, angles)
    assert calm == pytest.approx(film.convection_coefficient(0.044, 0.0, 320.0, 300.0), rel=1e-4)


def test_yaw_forms_of_two_standards_agree_within_a_tenth() -> None:
    # Two committees, the same wind tunnels: 0.42 against 0.388 along the axis is the most they differ, 8 %.
    angle = np.radians(np.arange(0.0, 91.0))
    one, two = (np.asarray(turn.law(angle)) for turn in YAW.values())
    assert np.all(np.abs(two / one - 1.0) < 0.09)


def test_thin_air_cools_less() -> None:
    # At 0.7 bar Re falls to 0.7; between 1e3 and 2e5 Zukauskas goes with Re^0.6: 0.7^0.6 = 0.8073. There is
    # no free part to speak of at 10 m/s.
    at_sea, high = (
        film.convection_coefficient(0.044, 10.0, 301.0, 300.0, None, pressure, Forms("zukauskas"))
        for pressure in (101325.0, 0.7 * 101325.0)
    )
    assert high / at_sea == pytest.approx(0.8073, rel=1e-3)


def test_larger_of_forced_and_free_lies_below_the_blend_by_a_quarter_at_most() -> None:
    # Two equal parts: 2^(1/3) = 1.26 is the most that the cubic blend gives beyond the larger.
    wind = np.linspace(0.0, 3.0, 301)
    blend = film.convection_coefficient(0.044, wind, 330.0, 300.0)
    larger = film.convection_coefficient(0.044, wind, 330.0, 300.0, forms=Forms(mixed="larger"))
    ratio = np.asarray(blend) / np.asarray(larger)
    assert np.all(ratio >= 1.0 - 1e-12)
    assert 1.25 < ratio.max() <= 2.0 ** (1.0 / 3.0) + 1e-9


# --- spread and band ------------------------------------------------------------------------------


def test_spread_at_ten_thousand_is_that_of_the_published_forms() -> None:
    # By hand at Re 1e4, Pr 0.7: Hilpert 0.193 x 1e4^0.618 x 0.8879 = 50.81; Churchill-Bernstein 53.33; Whitaker
    # (40 + 0.06 x 464.16) x 0.8670 = 58.83. With strands, coarse ones are the highest: 0.048 x 1e4^0.8 = 76.07.
    low, value, high = spread(FORCED, 1e4)
    assert (low, value, high) == pytest.approx((50.81, 53.33, 58.83), rel=3e-4)
    assert spread(FORCED, 1e4, surfaces=(SMOOTH, STRANDED))[2] == pytest.approx(76.07, rel=3e-4)
    # In a liquid of Prandtl 1, Perkins and Leppert: 0.31 x 100 + 0.11 x 478.63 = 83.65.
    assert spread(FORCED, 1e4, 1.0)[2] == pytest.approx(83.65, rel=3e-4)


def test_spread_beyond_the_default_form_is_refused() -> None:
    with pytest.raises(ValueError, match=re.escape("0.3 to 1e+07")):
        spread(FORCED, np.array([1e4, 2e7]))


@pytest.mark.parametrize("practice", ["moored-line-one-mark", "cargo-bulk-loading"])
def test_band_of_the_film_holds_the_spread_of_the_forms(practice: str) -> None:
    # The band that the draws use must hold every published form for a smooth cylinder in air: 20 to 120 mm, 0 to
    # 30 m/s, 0.5 to 40 K above air; forced and free blended as in the model. Fine strands too; coarse strands up to
    # Re 8000 (docs/explanation/temperature.md says what lies beyond).
    factor = load_shelf().practices[practice].data["film_factor"]
    diameter, wind, rise = np.meshgrid([0.02, 0.044, 0.08, 0.12], np.geomspace(0.01, 30.0, 60), [0.5, 2.0, 10.0, 40.0])
    _, viscosity, prandtl = film.air_properties(300.0 + 0.5 * rise)
    reynolds = wind * diameter / viscosity
    rayleigh = 9.80665 * rise / (300.0 + 0.5 * rise) * diameter**3 * prandtl / viscosity**2
    for surfaces in ((SMOOTH,), (SMOOTH, STRANDED)):
        forced, free = spread(FORCED, np.maximum(reynolds, 0.3), surfaces=surfaces), spread(FREE, rayleigh)
        low, value, high = (np.cbrt(one**3 + two**3) for one, two in zip(forced, free, strict=True))
        known = np.full(reynolds.shape, True) if len(surfaces) == 1 else reynolds < 8000.0
        assert np.all(factor.low <= (low / value))
        assert np.all((high / value)[known] <= factor.high)
    own, fine, coarse = (FORCED[name] for name in ("churchill-bernstein", "cigre-601", "cigre-601-rough"))
    strands = np.geomspace(100.0, 5e4)
    assert np.all(fine.nusselt(strands, 0.7) / own.nusselt(strands, 0.7) <= factor.high)
    assert coarse.nusselt(9000.0, 0.7) / own.nusselt(9000.0, 0.7) > factor.high
