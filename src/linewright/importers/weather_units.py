"""Units as weather files spell them: factor and offset to SI, by quantity."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from linewright.base.units import ZERO_CELSIUS
from linewright.importers.report import Log, Question
from linewright.importers.weather_series import DEGREE

_TEMPERATURE = {
    "c": (1.0, ZERO_CELSIUS),
    "degc": (1.0, ZERO_CELSIUS),
    "celsius": (1.0, ZERO_CELSIUS),
    "k": (1.0, 0.0),
    "kelvin": (1.0, 0.0),
    "f": (5.0 / 9.0, ZERO_CELSIUS - 160.0 / 9.0),
    "degf": (5.0 / 9.0, ZERO_CELSIUS - 160.0 / 9.0),
    "fahrenheit": (5.0 / 9.0, ZERO_CELSIUS - 160.0 / 9.0),
}
_SPEED = {
    "m/s": 1.0,
    "ms-1": 1.0,
    "mps": 1.0,
    "m/sec": 1.0,
    "kt": 1852.0 / 3600.0,
    "kts": 1852.0 / 3600.0,
    "kn": 1852.0 / 3600.0,
    "knots": 1852.0 / 3600.0,
    "knot": 1852.0 / 3600.0,
    "km/h": 1.0 / 3.6,
    "kmh": 1.0 / 3.6,
    "kph": 1.0 / 3.6,
    "mph": 0.44704,
    "mi/h": 0.44704,
    "kmph": 1.0 / 3.6,
    "ft/s": 0.3048,
    "м/с": 1.0,
    "км/ч": 1.0 / 3.6,
}
_PRESSURE = {
    "pa": 1.0,
    "hpa": 100.0,
    "mbar": 100.0,
    "mb": 100.0,
    "kpa": 1e3,
    "inhg": 3386.389,
    "bar": 1e5,
    "гпа": 100.0,
    "mmhg": 133.322387415,
    "torr": 133.322368421,
    "ммрт.ст.": 133.322387415,
    "psi": 6894.757293,
}
_SUN = {
    "w/m2": 1.0,
    "wm-2": 1.0,
    "kw/m2": 1e3,
    "kwh/m2/h": 1e3,
    "вт/м2": 1.0,
}
_ENERGY = {  # over an hour
    "jm-2": 1.0 / 3600.0,
    "wh/m2": 1.0,
    "kwh/m2": 1e3,
    "j/m2": 1.0 / 3600.0,
    "kj/m2": 1.0 / 3.6,
    "mj/m2": 1e6 / 3600.0,
}
_SHARE = {
    "%": 0.01,
    "percent": 0.01,
    "1": 1.0,
    "-": 1.0,
    "0-1": 1.0,
    "fraction": 1.0,
    "tenths": 0.1,
    "oktas": 0.125,
    "okta": 0.125,
    "eighths": 0.125,
    "8ths": 0.125,
}
_LENGTH = {"m": 1.0, "metres": 1.0, "meters": 1.0, "cm": 0.01, "ft": 0.3048, "feet": 0.3048}
_DURATION = {"s": 1.0, "sec": 1.0, "seconds": 1.0}
_ANGLE = {
    "deg": DEGREE,
    "degt": DEGREE,
    "degrees": DEGREE,
    "degree": DEGREE,
    "°": DEGREE,
    "degtrue": DEGREE,
    "rad": 1.0,
}
_RAIN = {"mm": 1e-3, "mm/h": 1e-3, "m": 1.0, "in": 0.0254, "m/h": 1.0}
UNIT_ENDS = (
    ("_degc", "degC"),
    ("_c", "degC"),
    ("_k", "K"),
    ("_m_s", "m/s"),
    ("_w_m2", "W/m2"),
    ("_pct", "%"),
    ("_percent", "%"),
    ("_fraction", "1"),
    ("_kn", "kn"),
    ("_kt", "kn"),
    ("_m", "m"),
    ("_s", "s"),
    ("_deg", "deg"),
    ("_oktas", "oktas"),
    ("_ms", "m/s"),
    ("_degf", "degF"),
)
_BY_END = {
    ("air", "dew_point", "water", "air_high", "air_low"): "temperature",
    ("wind", "gust", "wind_day", "wind_night"): "speed",
    ("level", "beam", "diffuse", "long_wave", "level_noon"): "sun",
    ("cloud", "relative_humidity", "severe_share"): "share",
    ("wave_height", "swell_height", "wind_sea_height"): "length",
    ("peak_period", "mean_period", "swell_period", "wind_sea_period"): "duration",
    ("wind_from", "wave_from", "swell_from", "wind_sea_from"): "angle",
    ("pressure",): "pressure",
    ("rain",): "rain",
}
CHOICES = {
    "temperature": ("degC", "K", "degF"),
    "speed": ("m/s", "kn", "km/h", "mph", "ft/s"),
    "sun": ("W/m2", "kW/m2", "Wh/m2", "kWh/m2", "J/m2", "kJ/m2", "MJ/m2"),
    "share": ("%", "1", "tenths", "oktas"),
    "length": ("m", "cm", "ft"),
    "duration": ("s",),
    "angle": ("deg", "rad"),
    "pressure": ("hPa", "Pa", "kPa", "mbar", "inHg", "mmHg", "psi"),
    "rain": ("mm", "m", "in"),
}
SKIP = "skip"  # a column is not used
KIND = {key: kind for keys, kind in _BY_END.items() for key in keys}
_TABLES: dict[str, dict[str, tuple[float, float]]] = {
    "temperature": _TEMPERATURE,
    **{
        kind: {name: (factor, 0.0) for name, factor in table.items()}
        for kind, table in {
            "speed": _SPEED,
            "pressure": _PRESSURE,
            "sun": {**_SUN, **_ENERGY},
            "share": _SHARE,
            "length": _LENGTH,
            "duration": _DURATION,
            "angle": _ANGLE,
            "rain": _RAIN,
        }.items()
    },
}


def _folded(spelling: str) -> str:
    text = re.sub(r"\s+", "", spelling.strip().strip("[]()")).lower()
    return (
        text.replace("°c", "degc")
        .replace("ºc", "degc")
        .replace("℃", "degc")
        .replace("°с", "degc")
        .replace("m^2", "m2")
        .replace("m²", "m2")
        .replace("м²", "м2")
        .replace("°f", "degf")
        .replace("**-2", "-2")
        .replace("**-1", "-1")
    )


def unit(spelling: str, key: str) -> tuple[float, float] | None:
    """Factor and offset to SI of a spelling for a quantity, or None for what is no unit of it.

    Spellings are read in small letters, except that kN is a force and never the knot kn.
    """
    if spelling.strip() == "kN" or key not in KIND:
        return None
    return _TABLES[KIND[key]].get(_folded(spelling))


def known(spelling: str) -> bool:
    """Whether a text is a unit of any quantity of weather."""
    return any(_folded(spelling) in table for table in _TABLES.values())


def is_energy(spelling: str, key: str) -> bool:
    """Whether a spelling is an energy, the sum over an interval of its own, and no mean power."""
    return KIND.get(key) == "sun" and _folded(spelling) in _ENERGY


def ask(log: Log, name: str, key: str, because: str, more: tuple[str, ...] = ()) -> str | None:
    """The unit of a column as the user says it, in any spelling known here, or `skip`; None while it is open.

    more: choices beside the units of the quantity.
    """
    text = f"Which unit has {name} ({key})?"
    question = Question(f"unit.{name}", text, (*CHOICES[KIND[key]], *more, SKIP), because)
    is_known = unit(log.answers.get(question.key, ""), key) is not None
    return log.ask(replace(question, choices=()) if is_known else question)


def is_small_share(spelling: str, key: str, figures: Sequence[float | None]) -> bool:
    """Whether figures stated in percent all lie from 0 to 1, not all 0: they look like fractions."""
    if KIND.get(key) != "share" or unit(spelling, key) != _TABLES["share"]["%"]:
        return False
    told = [value for value in figures if value is not None and value >= 0.0]
    return bool(told) and 0.0 < max(told) <= 1.0


def doubted(log: Log, name: str, key: str, stated: str, figures: Sequence[float | None]) -> tuple[str, str]:
    """The unit of a column and its evidence; asked where figures in percent look like fractions; empty while open."""
    if f"unit.{name}" in log.used or not is_small_share(stated, key, figures):
        return stated, ""
    return ask(log, name, key, f"its heading says {stated}, but no value is above 1: 1 is a fraction") or "", "answered"


def of_heading(name: str, key: str) -> str | None:
    """The unit in a heading's brackets or at its end, as it is spelled there; None where there is none."""
    match = re.search(r"[\[(](.*?)[\])]", name)
    if match:
        return match.group(1).strip()
    lowered = name.strip().lower()
    return next((spelled for end, spelled in UNIT_ENDS if lowered.endswith(end) and unit(spelled, key)), None)
