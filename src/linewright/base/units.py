"""Text with units to SI floats and back.

Typed text names its unit: a bare number for a dimensional quantity is refused with the remedy.
Each kind of quantity has a short list of spellings; pint turns a spelling into a factor.
`kn` (knot) and `kN` are never case-folded; `t` and `ton` are refused for force.
"""

from __future__ import annotations

import difflib
import functools
import math
import re
from dataclasses import dataclass, field
from typing import Any

from linewright.base.sources import Basis

ZERO_CELSIUS = 273.15
YEAR_HOURS = 8766.0
LARGEST_YEAR_HOURS = 8784.0

_NUMBER = re.compile(r"^\s*([+-]?(?:\d+(?:[ _]\d{3})*\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(.*?)\s*$", re.DOTALL)


@dataclass(frozen=True)
class Kind:
    """A kind of quantity: its SI unit for display, and spellings to pint's names."""

    name: str
    si: str
    spellings: dict[str, str]
    example: str
    refused: dict[str, str] | None = None


_LENGTHS = {"m": "m", "mm": "mm", "cm": "cm", "km": "km", "ft": "ft", "in": "inch", "fathom": "6*ft"}
_FORCES = {"N": "N", "kN": "kN", "MN": "MN", "kgf": "kgf", "tf": "1000*kgf", "lbf": "lbf", "kip": "kip"}
_TONNE = {
    "t": "write tf (tonne-force) or kN",
    "ton": "a ton is three different forces: write tf or kN",
    "tons": "tons are three different forces: write tf or kN",
    "tonne": "write tf (tonne-force) or kN",
    "kn": "kn is a knot, a speed: write kN",
    "KN": "write kN",
}
_DURATIONS = {"s": "s", "sec": "s", "second": "s", "seconds": "s", "min": "min", "minute": "min", "minutes": "min",
              "h": "h", "hr": "h", "hrs": "h", "hour": "h", "hours": "h", "d": "day", "day": "day", "days": "day",
              "month": "month", "months": "month", "a": "year", "year": "year", "years": "year"}  # fmt: skip
_FRACTIONS = {"%": "percent", "": "", "percent": "percent"}

KINDS: dict[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind("number", "", {"": ""}, "2.5"),
        Kind("fraction", "", _FRACTIONS, "75 %"),
        Kind("length", "m", _LENGTHS, "44 mm"),
        Kind("force", "N", _FORCES, "310 kN", _TONNE),
        Kind(
            "mass_per_length",
            "kg/m",
            {"kg/m": "kg/m", "g/m": "g/m", "ktex": "g/m", "kg/100m": "kg/(100*m)"},
            "0.98 kg/m",
        ),
        Kind("force_per_length", "N/m", {"N/m": "N/m", "kN/m": "kN/m"}, "40 kN/m"),
        Kind("motion_per_wave", "m/m", {"m/m": "m/m"}, "0.08 m/m"),
        Kind("density", "kg/m3", {"kg/m3": "kg/m**3", "g/cm3": "g/cm**3"}, "970 kg/m3"),
        Kind("temperature", "K", {"degC": "degC", "C": "degC", "degF": "degF", "K": "K"}, "31 degC"),
        Kind("temperature_difference", "K", {"K": "K"}, "5 K", {"degC": "a difference is written in K"}),
        Kind("duration", "s", _DURATIONS, "14 s"),
        Kind(
            "speed",
            "m/s",
            {"m/s": "m/s", "kn": "knot", "km/h": "km/h", "mph": "mph", "ft/s": "ft/s"},
            "5 m/s",
            {"kN": "kN is a force: write kn (knot) or m/s"},
        ),
        Kind("angle", "rad", {"deg": "deg", "rad": "rad"}, "60 deg"),
        Kind("stress", "Pa", {"Pa": "Pa", "kPa": "kPa", "MPa": "MPa", "GPa": "GPa", "psi": "psi"}, "600 MPa"),
        Kind(
            "molar_energy",
            "J/mol",
            {"kJ/mol": "kJ/mol", "J/mol": "J/mol", "eV": "eV*avogadro_constant"},
            "145 kJ/mol",
        ),
        Kind("molecular_volume", "m3", {"m3": "m**3", "nm3": "nm**3", "A3": "angstrom**3"}, "4.5e-29 m3"),
        Kind("strain_rate", "1/s", {"1/s": "1/s", "%/day": "percent/day", "%/h": "percent/h"}, "1e-6 1/s"),
        Kind("per_year", "1/year", {"1/year": "", "%/year": "percent"}, "3 %/year"),
        Kind("conductivity", "W/mK", {"W/mK": "W/(m*K)", "W/(m K)": "W/(m*K)"}, "0.12 W/mK"),
        Kind("conductance", "W/m2K", {"W/m2K": "W/(m**2*K)"}, "2000 W/m2K"),
        Kind("thermal_resistance", "K/W", {"K/W": "K/W"}, "0.15 K/W"),
        Kind("heat_capacity", "J/K", {"J/K": "J/K", "kJ/K": "kJ/K"}, "3 kJ/K"),
        Kind("volumetric_heat", "J/m3K", {"J/m3K": "J/(m**3*K)", "MJ/m3K": "MJ/(m**3*K)"}, "1.1 MJ/m3K"),
        Kind("wear", "m3/Nm", {"m3/Nm": "m**3/(N*m)", "m2/N": "m**2/N"}, "3e-15 m3/Nm"),
        Kind("relative_load", "", {"%LDBF": "percent", "%SDMBL": "percent"}, "25 %LDBF"),
        Kind("irradiance", "W/m2", {"W/m2": "W/m**2"}, "900 W/m2"),
        Kind("irradiation", "J/m2", {"J/m2": "J/m**2", "kWh/m2": "kW*h/m**2"}, "1000 kWh/m2"),
    )
}

LOAD_BASES = ("LDBF", "SDMBL")


@dataclass(frozen=True)
class Load:
    """A force in newton, or a fraction of a named base strength."""

    value: float
    base: str  # "N", "LDBF" or "SDMBL"
    text: str = field(default="", compare=False)
    basis: Basis = field(default="given", compare=False)

    def newton(self, design_break_force: float, ship_design_break_load: float) -> float:
        """The force in N for a rope and a ship."""
        bases = {"N": 1.0, "LDBF": design_break_force, "SDMBL": ship_design_break_load}
        return self.value * bases[self.base]


class UnitError(ValueError):
    """A text that is not a quantity of the kind asked for: what it needs and what to do."""

    def __init__(self, read: str, needs: str, do: str = "") -> None:
        super().__init__(f"{read!r}: needs {needs}" + (f"; {do}" if do else ""))
        self.read, self.needs, self.do = read, needs, do


@functools.cache
def _registry() -> Any:
    import pint

    return pint.UnitRegistry()


@functools.cache
def factor_and_offset(kind: str, spelling: str) -> tuple[float, float]:
    """SI value = number * factor + offset, for a spelling of a kind of quantity."""
    quick = _quick(kind, spelling)
    if quick is not None:
        return quick
    registry = _registry()
    name = KINDS[kind].spellings[spelling]
    if kind == "temperature":
        zero = float(registry.Quantity(0.0, name).to("K").magnitude)
        return float(registry.Quantity(1.0, name).to("K").magnitude) - zero, zero
    if not name:
        return 1.0, 0.0
    return float(registry.parse_expression(name).to_base_units().magnitude), 0.0


def _quick(kind: str, spelling: str) -> tuple[float, float] | None:
    """The SI unit itself needs no library."""
    if spelling in ("", KINDS[kind].si) and kind not in ("temperature", "per_year"):
        return 1.0, 0.0
    if kind == "temperature" and spelling == "degC":
        return 1.0, ZERO_CELSIUS
    return None


def split(text: str) -> tuple[float, str]:
    """The number and the unit spelling of a text such as "44 mm"."""
    match = _NUMBER.match(text)
    if not match:
        raise UnitError(text, "a number followed by its unit")
    number = float(match.group(1).replace(" ", "").replace("_", ""))
    if not math.isfinite(number):
        raise UnitError(text, "a finite number")
    return number, match.group(2)


def parse(text: str, kind: str) -> float:
    """The SI value of a text, for a kind of quantity. Raises UnitError with the remedy."""
    spec = KINDS[kind]
    number, spelling = split(text)
    needs = f'{_article(kind)} with its unit, e.g. "{spec.example}"'
    if spec.refused and spelling in spec.refused:
        raise UnitError(text, needs, spec.refused[spelling])
    if spelling not in spec.spellings:
        raise UnitError(text, needs, _suggest(spelling, spec))
    factor, offset = factor_and_offset(kind, spelling)
    value = number * factor + offset
    if kind == "temperature" and value < 0.0:
        raise UnitError(text, "a temperature above absolute zero (-273.15 degC)")
    return value


def _article(kind: str) -> str:
    words = kind.replace("_", " ")
    return ("an " if words[0] in "aeiou" else "a ") + words


def _suggest(spelling: str, spec: Kind) -> str:
    first = {unit: name for name, unit in reversed(spec.spellings.items()) if name}
    known = list(reversed(first.values()))  # one spelling of each unit
    if not spelling:
        return f"write the unit: {', '.join(known)}"
    near = difflib.get_close_matches(spelling, [name for name in spec.spellings if name], n=1, cutoff=0.5)
    hint = f"did you mean {near[0]}? " if near else ""
    return f"{hint}known units: {', '.join(known)}" if known else "leave the unit out"


def parse_load(text: str) -> Load:
    """A tension: a force, or a percentage that names its base strength (LDBF or SDMBL)."""
    number, spelling = split(text)
    needs = 'a percentage with its base, e.g. "25 %LDBF", or a force, e.g. "310 kN"'
    compact = spelling.replace(" ", "")
    if compact.startswith("%"):
        base = compact[1:]
        if base in LOAD_BASES:
            return Load(number / 100.0, base, text.strip())
        raise UnitError(text, needs, "write %LDBF (strength of this rope) or %SDMBL (ship)")
    if not spelling:
        raise UnitError(text, needs, "write the unit: kN, tf, %LDBF or %SDMBL")
    return Load(parse(text, "force"), "N", text.strip())


def show(value: float, kind: str, unit: str, digits: int = 4) -> str:
    """An SI value as text in a unit of its kind."""
    factor, offset = factor_and_offset(kind, unit)
    number = f"{(value - offset) / factor:.{digits}g}"
    return f"{number} {unit}".strip()
