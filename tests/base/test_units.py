"""Every spelling of every unit against pint and hand-typed factors, and the spellings that are refused."""

import math

import pint
import pytest

from linewright.base import units
from linewright.base.units import KINDS, UnitError, parse, parse_load

# Factors to SI typed from the SI brochure and NIST SP 811 (from memory), not from the package's own table. A year is
# the Julian year of 365.25 days and a month a twelfth of it.
POUND_FORCE = 0.45359237 * 9.80665
FACTORS = {
    "length": {
        "m": 1.0, "mm": 1e-3, "cm": 1e-2, "km": 1e3, "ft": 0.3048, "in": 0.0254, "fathom": 1.8288,
    },
    "force": {
        "N": 1.0, "kN": 1e3, "MN": 1e6, "kgf": 9.80665, "tf": 9806.65, "lbf": POUND_FORCE, "kip": 1e3 * POUND_FORCE,
    },
    "mass_per_length": {"kg/m": 1.0, "g/m": 1e-3, "ktex": 1e-3, "kg/100m": 1e-2},
    "density": {"kg/m3": 1.0, "g/cm3": 1e3},
    "temperature_difference": {"K": 1.0},
    "duration": {
        "s": 1.0, "sec": 1.0, "second": 1.0, "seconds": 1.0, "min": 60.0, "minute": 60.0, "minutes": 60.0,
        "h": 3600.0, "hr": 3600.0, "hrs": 3600.0, "hour": 3600.0, "hours": 3600.0, "month": 2629800.0,
        "d": 86400.0, "day": 86400.0, "days": 86400.0, "a": 31557600.0,
        "year": 31557600.0, "years": 31557600.0, "months": 2629800.0,
    },
    "speed": {"m/s": 1.0, "kn": 1852.0 / 3600.0, "km/h": 1.0 / 3.6, "mph": 0.44704, "ft/s": 0.3048},
    "angle": {"rad": 1.0, "deg": math.pi / 180.0},
    "stress": {"Pa": 1.0, "kPa": 1e3, "MPa": 1e6, "GPa": 1e9, "psi": POUND_FORCE / 0.0254**2},
    "molar_energy": {"J/mol": 1.0, "kJ/mol": 1e3, "eV": 1.602176634e-19 * 6.02214076e23},
    "molecular_volume": {"m3": 1.0, "nm3": 1e-27, "A3": 1e-30},
    "force_per_length": {"N/m": 1.0, "kN/m": 1e3},
    "motion_per_wave": {"m/m": 1.0},
    "strain_rate": {"1/s": 1.0, "%/day": 0.01 / 86400.0, "%/h": 0.01 / 3600.0},
    "per_year": {"1/year": 1.0, "%/year": 0.01},
    "conductivity": {"W/mK": 1.0, "W/(m K)": 1.0},
    "conductance": {"W/m2K": 1.0},
    "thermal_resistance": {"K/W": 1.0},
    "heat_capacity": {"J/K": 1.0, "kJ/K": 1e3},
    "volumetric_heat": {"J/m3K": 1.0, "MJ/m3K": 1e6},
    "wear": {"m3/Nm": 1.0, "m2/N": 1.0},
    "irradiance": {"W/m2": 1.0},
    "irradiation": {"J/m2": 1.0, "kWh/m2": 3.6e6},
    "number": {"": 1.0},
    "fraction": {"": 1.0, "%": 0.01, "percent": 0.01},
    "relative_load": {"%LDBF": 0.01, "%SDMBL": 0.01},
}  # fmt: skip
OFFSETS = {"K": (1.0, 0.0), "degC": (1.0, 273.15), "C": (1.0, 273.15), "degF": (5.0 / 9.0, 459.67 * 5.0 / 9.0)}


def test_factors_when_listed_cover_every_kind_and_spelling() -> None:
    # A new unit needs its factor here.
    listed = {kind: set(table) for kind, table in FACTORS.items()} | {"temperature": set(OFFSETS)}
    assert listed == {kind: set(spec.spellings) for kind, spec in KINDS.items()}


@pytest.mark.parametrize(
    ("kind", "spelling"), [(kind, spelling) for kind, table in FACTORS.items() for spelling in table]
)
def test_unit_when_read_is_its_factor(kind: str, spelling: str) -> None:
    assert parse(f"2.5 {spelling}", kind) == pytest.approx(2.5 * FACTORS[kind][spelling], rel=1e-12)


@pytest.mark.parametrize("spelling", OFFSETS)
def test_temperature_when_read_is_kelvin(spelling: str) -> None:
    factor, offset = OFFSETS[spelling]
    assert parse(f"68 {spelling}", "temperature") == pytest.approx(68.0 * factor + offset, rel=1e-12)


@pytest.mark.parametrize("kind", KINDS)
def test_example_when_read_is_of_its_kind(kind: str) -> None:
    # What an error proposes must be accepted.
    assert math.isfinite(parse(KINDS[kind].example, kind))


# --- refused ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "kind", "remedy"),
    [
        ("310 t", "force", "tf"),
        ("310 ton", "force", "three different forces"),
        ("310 tons", "force", "three different forces"),
        ("310 tonne", "force", "tf"),
        ("310 kn", "force", "knot"),
        ("310 KN", "force", "kN"),
        ("310", "force", "write the unit"),
        ("310 %", "force", "known units"),
        ("5 kN", "speed", "kn (knot)"),
        ("5", "speed", "write the unit"),
        ("5 degC", "temperature_difference", "written in K"),
        ("44 mtr", "length", "did you mean m"),
        ("44 Mm", "length", "known units"),
        ("2.5 m", "number", "leave the unit out"),
        ("-300 degC", "temperature", "absolute zero"),
        ("-1 K", "temperature", "absolute zero"),
    ],
)
def test_spelling_when_wrong_is_refused_with_the_remedy(text: str, kind: str, remedy: str) -> None:
    with pytest.raises(UnitError) as caught:
        parse(text, kind)
    assert remedy in str(caught.value)


@pytest.mark.parametrize(
    "text", ["", "kN", "1,5 kN", "1.2.3 kN", "nan kN", "inf kN", "1e999 kN", "- 5 kN", "5e kN", "0x5 N"]
)
def test_text_when_it_is_no_number_is_refused(text: str) -> None:
    with pytest.raises(UnitError):
        parse(text, "force")


def test_knot_and_kilonewton_when_typed_differ() -> None:
    # One letter's case apart, a speed and a force: never folded.
    assert parse("10 kn", "speed") == pytest.approx(5.144444, rel=1e-6)
    assert parse("10 kN", "force") == 10e3


@pytest.mark.parametrize("text", ["1 000 kN", "1_000 kN", "1000kN", " 1000  kN ", "1e3 kN", "+1000. kN", "0.1e4 kN"])
def test_number_when_spelt_in_usual_ways_is_read(text: str) -> None:
    assert parse(text, "force") == 1e6


# --- loads --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "newton"),
    # A rope of 1380 kN on a ship of 1350 kN.
    [
        ("25 %LDBF", 345e3),
        ("25 % LDBF", 345e3),
        ("25%LDBF", 345e3),
        ("20 %SDMBL", 270e3),
        ("310 kN", 310e3),
        ("31 tf", 304006.15),
    ],
)
def test_load_when_read_is_newton_by_its_own_base(text: str, newton: float) -> None:
    assert parse_load(text).newton(1380e3, 1350e3) == pytest.approx(newton, rel=1e-12)


@pytest.mark.parametrize("text", ["25 %", "25", "25 %MBL", "25 %ldbf", "25 LDBF", "25 m", "25 t"])
def test_load_when_its_base_is_unclear_is_refused(text: str) -> None:
    with pytest.raises(UnitError):
        parse_load(text)


# --- against pint -----------------------------------------------------------------------------------------

PINT = {
    ("length", "ft"): "foot", ("length", "in"): "inch", ("force", "kip"): "kip", ("force", "lbf"): "pound_force",
    ("force", "kgf"): "kilogram_force", ("force", "tf"): "metric_ton * standard_gravity", ("speed", "kn"): "knot",
    ("speed", "mph"): "mile / hour", ("stress", "psi"): "pound_force / inch ** 2",
    ("mass_per_length", "ktex"): "kilotex",
    ("duration", "months"): "month", ("duration", "a"): "julian_year",
    ("irradiation", "kWh/m2"): "kilowatt_hour / meter ** 2",
    ("molecular_volume", "A3"): "angstrom ** 3", ("angle", "deg"): "degree",
    ("density", "g/cm3"): "gram / centimeter ** 3",
    ("molar_energy", "eV"): "electron_volt * avogadro_constant", ("strain_rate", "%/day"): "percent / day",
}  # fmt: skip


@pytest.mark.parametrize(("kind", "spelling"), PINT)
def test_unit_when_compared_with_pint_is_the_same(kind: str, spelling: str) -> None:
    # Referee: pint, by its long names.
    registry = pint.UnitRegistry()
    exact = registry.Quantity(1.0, PINT[kind, spelling]).to_base_units().magnitude
    assert parse(f"1 {spelling}", kind) == pytest.approx(exact, rel=1e-12)


def test_show_when_given_digits_rounds() -> None:
    assert units.show(312.4e3, "force", "kN", 3) == "312 kN"
    assert units.show(304.15, "temperature", "degC") == "31 degC"
