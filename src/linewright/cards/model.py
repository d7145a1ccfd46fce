"""What a card is once it is read: frozen data in SI."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from linewright.base.data import Datum
from linewright.base.sources import Source
from linewright.cards.curves import all_curves

CardKind = Literal["fibre", "rope", "contact", "climate", "practice"]
Origin = Literal["shipped", "own"]


@dataclass(frozen=True)
class Card:
    """A card: its kind and name, its words, and its data by key."""

    kind: CardKind
    name: str
    title: str
    words: Mapping[str, str]
    data: Mapping[str, Datum]
    note: str = ""
    digest: str = ""
    origin: Origin = "shipped"
    sealed: bool = False

    def with_data(self, extra: Mapping[str, Datum]) -> Card:
        """The same card with some data replaced (the nearest layer wins and keeps its own source)."""
        merged = {**self.data, **extra}
        return replace(self, data=merged)


@dataclass(frozen=True)
class Month:
    """One month of a climate card: typical day, spread between days (SI)."""

    air_low: float
    air_high: float
    day_spread: float
    dew_point: float
    wind: float
    cloud: float


@dataclass(frozen=True)
class Climate:
    """A climate card: place of the sun, twelve months or a file of hours, and where the numbers come from."""

    name: str
    title: str
    latitude: float
    longitude: float
    months: tuple[Month, ...]
    basis: str
    source: str
    where: str
    note: str = ""
    digest: str = ""
    hourly: str = ""
    wind_at_line: float = 1.0
    origin: Origin = "shipped"
    confidential: bool = False
    sealed: bool = False


@dataclass(frozen=True)
class Shelf:
    """All cards that a run may name, and the sources they cite."""

    fibres: Mapping[str, Card] = field(default_factory=dict)
    ropes: Mapping[str, Card] = field(default_factory=dict)
    contacts: Mapping[str, Card] = field(default_factory=dict)
    practices: Mapping[str, Card] = field(default_factory=dict)
    climates: Mapping[str, Climate] = field(default_factory=dict)
    sources: Mapping[str, Source] = field(default_factory=dict)
    shadowed: frozenset[tuple[str, str]] = frozenset()  # kind and name of own cards in a shipped card's place

    def rope(self, name: str) -> Card:
        """A rope with its fibre's data underneath: fibre, then the curve it names, then rope; the nearer layer wins."""
        rope = self.ropes[name]
        fibre = self.fibres[rope.words["fibre"]]
        words = {**fibre.words, **rope.words, "fibre_title": fibre.title}
        named = all_curves().get(words.get("tension_curve", ""))
        merged = {**(named.over(fibre.data) if named else fibre.data), **rope.data}
        return replace(rope, words=words, data=merged, digest=rope.digest + fibre.digest)

    def kinds(self) -> dict[str, Mapping[str, Card | Climate]]:
        """The cards by kind, each by name."""
        return {
            "fibre": self.fibres,
            "rope": self.ropes,
            "contact": self.contacts,
            "practice": self.practices,
            "climate": self.climates,
        }
