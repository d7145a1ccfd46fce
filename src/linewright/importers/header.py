"""What a column's heading says: its name, its unit, the quantity it may be.

Units of imported columns are a table of our own: `t` in a column of force is read as tonne-force and flagged,
`ton` is three different forces and is asked. kN and kn are never case-folded.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from linewright.base.units import ZERO_CELSIUS

G = 9.80665  # [m/s2] exactly
POUND = 0.45359237 * G  # [N] exactly


@dataclass(frozen=True)
class Unit:
    """A unit of a column: quantity, factor and offset to SI, and what must be said of it."""

    quantity: str
    factor: float
    offset: float = 0.0
    note: str = ""
    is_open: bool = False


_TONNE = "read as tonne-force, 9.80665 kN"
_CELSIUS = (
    "degC",
    "deg C",
    "Deg C",
    "DegC",
    "°C",
    "º C",
    "ºC",
    "℃",
    "C",
    "Â°C",
    "° C",
    "celsius",
    "Celsius",
    "grdC",
    "Grad C",
)
_FAHRENHEIT = ("degF", "deg F", "Deg F", "°F", "F", "Â°F", "℉")
_TONNES = ("t", "te", "mt", "MT", "tonne", "tonnes", "Tonnes", "Tonne", "metric ton", "metric tons", "T")
_TONS = ("ton", "tons", "Ton", "Tons", "TON", "TONS", "tonf", "ton-force")
_SPELLINGS: list[tuple[Unit, tuple[str, ...]]] = [
    (Unit("force", 1.0), ("N", "newton", "Newton")),
    (Unit("force", 10.0), ("daN", "dan")),
    (Unit("force", 1e3), ("kN", "KN", "kiloNewton", "kilonewton")),
    (Unit("force", 1e6), ("MN",)),
    (Unit("force", G), ("kgf", "kp")),
    (Unit("force", 1e3 * G), ("tf", "Tf", "tonnef", "tonne-force", "Mp")),
    (Unit("force", 1e3 * G, note=_TONNE), _TONNES),
    (Unit("force", 0.0, is_open=True), _TONS),
    (Unit("force", POUND), ("lbf", "lbs", "lb", "pounds")),
    (Unit("force", 1e3 * POUND), ("kip", "kips", "klbf", "klb")),
    (Unit("temperature", 1.0, ZERO_CELSIUS), _CELSIUS),
    (Unit("temperature", 5.0 / 9.0, ZERO_CELSIUS - 160.0 / 9.0), _FAHRENHEIT),
    (Unit("temperature", 1.0), ("K", "kelvin", "Kelvin")),
    (Unit("duration", 1.0), ("s", "sec", "secs", "second", "seconds", "Sekunden", "S")),
    (Unit("duration", 1e-3), ("ms", "msec")),
    (Unit("duration", 60.0), ("min", "mins", "minutes", "Minuten")),
    (Unit("duration", 3600.0), ("h", "hr", "hrs", "hours", "hour", "Stunden")),
    (Unit("duration", 86400.0), ("d", "day", "days")),
    (Unit("length", 1.0), ("m",)),
    (Unit("length", 1e-3), ("mm",)),
    (Unit("length", 1e-2), ("cm",)),
    (Unit("length", 1e-6), ("um", "µm")),
    (Unit("length", 1e3), ("km",)),
    (Unit("length", 0.3048), ("ft",)),
    (Unit("length", 0.0254), ("in", '"', "inch")),
    (Unit("fraction", 0.01), ("%", "percent", "pct", "Prozent")),
    (Unit("share of LDBF", 0.01), ("%LDBF",)),
    (Unit("share of SDMBL", 0.01), ("%SDMBL",)),
    (Unit("fraction", 0.01, is_open=True), ("%MBL",)),
    (Unit("speed", 1.0), ("m/s", "mps", "m s-1", "m/sec")),
    (Unit("speed", 1852.0 / 3600.0), ("kn", "kt", "kts", "knots", "knot")),
    (Unit("angle", math.radians(1.0)), ("deg", "°", "degT", "degrees", "º")),
    (Unit("frequency", 1.0), ("Hz", "1/s")),
    (Unit("irradiance", 1.0), ("W/m2", "W/m^2", "W/m²", "Wm-2")),
    (Unit("pressure", 100.0), ("hPa", "mbar")),
    (Unit("pressure", 1.0), ("Pa",)),
    (Unit("pressure", 1e3), ("kPa",)),
    (Unit("pressure", 1e5), ("bar",)),
    (Unit("pressure", 1e6), ("MPa",)),
    (Unit("mass per length", 1.0), ("kg/m",)),
    (Unit("wave or motion", 1.0), ("m2/Hz", "m^2/Hz", "m²/Hz", "m2s", "m2 s", "m**2/Hz")),
    (Unit("spectrum of tension", 1e6), ("kN2/Hz", "kN^2/Hz", "kN²/Hz", "kN2s", "kN2 s")),
    (Unit("spectrum of tension", 1.0), ("N2/Hz", "N^2/Hz", "N²/Hz")),
    (Unit("spectrum of tension", (1e3 * G) ** 2), ("tf2/Hz", "tf^2/Hz")),
    (Unit("tension per wave", 1e3), ("kN/m",)),
    (Unit("tension per wave", 1.0), ("N/m",)),
    (Unit("tension per wave", 1e3 * G), ("tf/m",)),
    (Unit("motion per wave", 1.0), ("m/m",)),
    (Unit("voltage", 1.0), ("V",)),
    (Unit("voltage", 1e-3), ("mV",)),
    (Unit("current", 1.0), ("A",)),
    (Unit("current", 1e-3), ("mA",)),
]
UNITS = {name: unit for unit, names in _SPELLINGS for name in names}
SHOWN = {"force": ("kN", 1e3, 0.0), "temperature": ("degC", 1.0, ZERO_CELSIUS), "duration": ("s", 1.0, 0.0),
         "length": ("m", 1.0, 0.0), "fraction": ("%", 0.01, 0.0), "share of LDBF": ("%LDBF", 0.01, 0.0),
         "share of SDMBL": ("%SDMBL", 0.01, 0.0), "speed": ("m/s", 1.0, 0.0), "irradiance": ("W/m2", 1.0, 0.0),
         "pressure": ("hPa", 100.0, 0.0), "angle": ("deg", 0.017453292519943295, 0.0),
         "mass per length": ("kg/m", 1.0, 0.0), "diameter": ("mm", 1e-3, 0.0), "area": ("m2", 1.0, 0.0),
         "hours": ("h", 3600.0, 0.0)}  # fmt: skip
_WORDS = {
    "force": "load tension force kraft zugkraft last hook haken pull kn strength trekkraft effort carga fuerza "
    "tensile line",
    "temperature": "temp temperature temperatur tc thermo core kern skin surface oberfl ambient tref",
    "length": "extension elongation displacement travel stroke weg dehnung stretch position crosshead traverse "
    "standardweg course allongement",
    "time": "time date zeit datum timestamp utc t elapsed uhrzeit tijd tid heure hora fecha clock prüfzeit pruefzeit "
    "stamp dato klokke klokkeslett",
}
WORDS = {group: frozenset(words.split()) for group, words in _WORDS.items()}
_BRACKETS = re.compile(r"^(.*?)[\s_]*[\[(]\s*([^\])]*?)\s*[\])]\s*(.*)$")


@dataclass(frozen=True)
class Heading:
    """A heading taken apart: the text as it stands, the bare name, the unit's spelling (or empty)."""

    text: str
    name: str
    unit: str


def split(text: str) -> Heading:
    """Name and unit of a heading: `L01 [t]`, `Hook 1 (kN)`, `L01_kN`, `Load, kN`, or a name alone."""
    cleaned = text.strip()
    match = _BRACKETS.match(cleaned)
    if match and known(match.group(2)):
        return Heading(
            cleaned, " ".join(part for part in (match.group(1), match.group(3)) if part).strip(), match.group(2)
        )
    for mark in (",", " ", "_", "/"):
        name, _, unit = cleaned.rpartition(mark)
        if (
            name
            and known(unit)
            and not (
                mark in "_ "
                and unit in ("t", "s", "m", "h", "C", "F", "K", "T", "S", "A", "V", "N", "d", "in", "day")
                and not _lone_letter(name, unit)
            )
        ):
            return Heading(cleaned, name.strip(" _,/"), unit.strip())
    return Heading(cleaned, cleaned, "")


def _lone_letter(name: str, unit: str) -> bool:
    """Whether a single letter behind a name is a unit: t_s, Load_N, L01_t, Temp_C, T_K."""
    words = words_of(name)
    if unit in ("s", "h", "d"):
        return is_word(words, "time") or name.lower() in ("t", "time")
    if unit in ("t", "T", "N"):
        return is_word(words, "force") or bool(re.search(r"\d$", name))
    if unit in ("C", "F", "K"):
        return is_word(words, "temperature") or name.lower().startswith("t")
    return unit == "m" and is_word(words, "length")


def _spelled(text: str) -> str:
    """A unit as the table spells it: no blank and no `of` behind a percent sign."""
    return re.sub(r"^%\s*(of\s+)?", "%", text.strip())


def known(spelling: str) -> bool:
    """Whether a text is the spelling of a unit."""
    return _spelled(spelling) in UNITS


def unit_of(spelling: str) -> Unit | None:
    """The unit of a spelling, blanks and brackets taken off; None for what is none."""
    return UNITS.get(_spelled(spelling.strip().strip("[]()")))


def words_of(text: str) -> list[str]:
    """Words of a heading in small letters, parted at blanks, marks and digits."""
    return [word for word in re.split(r"[^A-Za-zÀ-ɏ]+", text.lower()) if word]


def is_word(words: list[str], group: str) -> bool:
    """Whether one of the words belongs to a group: time, force, temperature, length."""
    known_words = WORDS[group]
    return any(
        word in known_words
        or (len(word) > 5 and any(len(known_word) > 3 and known_word in word for known_word in known_words))
        for word in words
    )
