"""What a card is once it is read: frozen data in SI."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from linewright.base.data import Datum
from linewright.base.sources import Source

CardKind = Literal["fibre", "rope", "contact", "climate", "practice"]


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

    def with_data(self, extra: Mapping[str, Datum]) -> Card:
        """The same card with some data replaced (the nearest layer wins and keeps its own source)."""
        merged = {**self.data, **extra}
        return Card(self.kind, self.name, self.title, self.words, merged, self.note, self.digest)


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
    """A climate card: place of the sun, twelve months, and where the numbers come from."""

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


@dataclass(frozen=True)
class Shelf:
    """All cards that a run may name, and the sources they cite."""

    fibres: Mapping[str, Card] = field(default_factory=dict)
    ropes: Mapping[str, Card] = field(default_factory=dict)
    contacts: Mapping[str, Card] = field(default_factory=dict)
    practices: Mapping[str, Card] = field(default_factory=dict)
    climates: Mapping[str, Climate] = field(default_factory=dict)
    sources: Mapping[str, Source] = field(default_factory=dict)

    def rope(self, name: str) -> Card:
        """A rope with its fibre's data underneath: fibre, then rope; the nearer layer wins."""
        rope = self.ropes[name]
        fibre = self.fibres[rope.words["fibre"]]
        words = {**fibre.words, **rope.words, "fibre_title": fibre.title}
        merged = {**fibre.data, **rope.data}
        return Card("rope", rope.name, rope.title, words, merged, rope.note, rope.digest + fibre.digest)
