"""A study of a running rope once it is read: frozen, in SI."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from linewright.base.data import Datum
from linewright.base.units import Load

Medium = Literal["air", "spray", "water"]
Kind = Literal["span", "sheave"]
MotionKind = Literal["heave", "travel", "rest"]


@dataclass(frozen=True)
class Part:
    """A part of the path, from the drum out: a span with its length (none for the last), or a sheave."""

    name: str
    kind: Kind
    medium: Medium
    length: float | None = None
    card: str = ""
    seized: bool = False
    data: Mapping[str, Datum] = field(default_factory=dict)
    where: str = ""


@dataclass(frozen=True)
class Phase:
    """A phase of the programme: a heave about a payout, a travel between two, or a rest at one."""

    name: str
    motion: MotionKind
    tension: Load
    payout: float = 0.0
    amplitude: float = 0.0
    period: float = 0.0
    start: float = 0.0
    end: float = 0.0
    speed: float = 0.0
    duration: float = 0.0
    tension_amplitude: Load | None = None
    tension_period: float = 0.0
    amplitude_kind: str = ""
    where: str = ""


@dataclass(frozen=True)
class Wire:
    """A wire rope beside: size, strength of its wires, the user's coefficients and the ranges that they hold in."""

    diameter: float
    strength: float
    b0: float
    b1: float
    b2: float
    b3: float
    b4: float
    b5: float | None
    bent_length: float
    lowest_ratio: float | None
    highest_ratio: float | None
    highest_stress: float | None


@dataclass(frozen=True)
class Running:
    """The whole study. Surroundings, spray, drum and rope hold their data by key."""

    title: str
    rope: str
    rope_where: str
    rope_data: Mapping[str, Datum]
    length: float
    drum_medium: Medium
    data: Mapping[str, Datum]
    parts: tuple[Part, ...]
    phases: tuple[Phase, ...]
    practice: str
    limit: float | None
    repeat: int = 1
    samples: int = 128
    seed: int = 1
    typed: tuple[Datum, ...] = ()
    file: str = ""
    note: str = ""
    digest: str = ""
    duties_per_year: float | None = None
    wire: Wire | None = None
