"""Any number in any spelling survives the way to SI and back, and means what pint says."""

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from linewright.base.units import KINDS, UnitError, parse, show

SPELLINGS = [(kind, spelling) for kind, spec in KINDS.items() for spelling in spec.spellings]
NUMBERS = st.floats(1e-12, 1e12) | st.integers(0, 10**9).map(float)
REGISTRY = pint.UnitRegistry()


@given(pair=st.sampled_from(SPELLINGS), number=NUMBERS)
def test_number_when_shown_in_its_unit_is_read_back(pair: tuple[str, str], number: float) -> None:
    # 15 digits are printed; an offset of 273.15 or 255.4 K costs the last ones of a small temperature.
    kind, spelling = pair
    value = parse(f"{number!r} {spelling}", kind)
    again = parse(show(value, kind, spelling, 15), kind)
    assert again == pytest.approx(value, rel=1e-12)


# What pint calls the spellings that it does not know as they stand.
NAMES = {
    "in": "inch", "kn": "knot", "tf": "tonne * standard_gravity", "ktex": "kilotex", "days": "day", "months": "month",
    "a": "julian_year", "years": "year", "kg/m3": "kg/m**3", "g/cm3": "g/cm**3", "kg/100m": "kg/(100 m)",
    "nm3": "nm**3", "A3": "angstrom**3", "m3": "m**3", "W/mK": "W/m/K", "W/m2K": "W/m**2/K", "J/m3K": "J/m**3/K",
    "MJ/m3K": "MJ/m**3/K", "m3/Nm": "m**3/N/m", "m2/N": "m**2/N", "W/m2": "W/m**2", "J/m2": "J/m**2",
    "kWh/m2": "kWh/m**2", "C": "degC", "fathom": "6 ft", "eV": "eV*avogadro_constant",
    "%": "percent", "": "dimensionless",
    "1/s": "1/s", "%/day": "percent/day", "%/h": "percent/hour", "W/(m K)": "W/(m*K)", "%LDBF": "percent",
    "%SDMBL": "percent",
}  # fmt: skip


@given(pair=st.sampled_from([pair for pair in SPELLINGS if pair[0] != "per_year"]), number=NUMBERS)
def test_number_when_converted_by_pint_is_the_same(pair: tuple[str, str], number: float) -> None:
    # Referee: pint. Rates per year are kept per year and have no SI unit to compare with.
    kind, spelling = pair
    name = NAMES.get(spelling, spelling)
    if kind == "temperature":
        exact = REGISTRY.Quantity(number, name).to("K").magnitude
    else:
        exact = (number * REGISTRY.parse_expression(name)).to_base_units().magnitude
    assert parse(f"{number!r} {spelling}", kind) == pytest.approx(float(exact), rel=1e-12)


@given(kind=st.sampled_from(sorted(KINDS)), text=st.text(max_size=12))
def test_text_when_it_is_anything_is_a_number_or_a_unit_error(kind: str, text: str) -> None:
    # Nothing else may escape: an error at the rim names what to do.
    answer: float | str
    try:
        answer = parse(text, kind)
    except UnitError as error:
        answer = error.needs
    assert isinstance(answer, float) or len(answer) > 0
