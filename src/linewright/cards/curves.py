"""Tension-fatigue curves by name: published lines N R^m = K, kept as data with source and range.

A rope card names one with the word `tension_curve`; without it the fibre card's own constants hold, whose band carries
the doubt of which curve is right. A named curve has no band: it is a choice, and what the choice is worth is told by
putting the curves against each other (`curves_for`).
"""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from linewright.base import units
from linewright.base.data import Datum

FILE = Path(__file__).parent / "tension-curves.toml"
KEYS = {
    "tension_fatigue_exponent": ("exponent", "number"),
    "tension_fatigue_constant": ("constant", "number"),
    "tension_fatigue_mean_slope": ("mean_load_slope", "number"),
    "tension_fatigue_range_limit": ("range_limit", "fraction"),
}


@dataclass(frozen=True)
class TensionCurve:
    """A named curve: its title, the beginnings of the fibre cards it is shown for, and its data by card key."""

    name: str
    title: str
    fibres: tuple[str, ...]
    data: Mapping[str, Datum]

    def value(self, key: str) -> float | None:
        """Value of one of its data in SI, or None where the document does not give it."""
        return self.data[key].value if key in self.data else None

    def over(self, data: Mapping[str, Datum]) -> dict[str, Datum]:
        """A rope's data with this curve in the place of the one they have."""
        kept = {key: datum for key, datum in data.items() if key not in KEYS}
        return {**kept, **self.data}


@functools.cache
def all_curves() -> Mapping[str, TensionCurve]:
    """Every curve by name."""
    return {name: _curve(name, row) for name, row in tomllib.loads(FILE.read_text(encoding="utf-8")).items()}


def curves_for(fibre: str) -> tuple[TensionCurve, ...]:
    """The curves shown for a fibre card, by the beginning of its name; none for a fibre that no curve is known for."""
    return tuple(curve for curve in all_curves().values() if curve.fibres and fibre.startswith(curve.fibres))


def _curve(name: str, row: Mapping[str, Any]) -> TensionCurve:
    data = {}
    for key, (word, kind) in KEYS.items():
        if word in row:
            value = units.parse(row[word], kind)
            unit = units.split(row[word])[1]
            data[key] = Datum(
                key, kind, value, value, value, row["basis"], row["source"], row["where"], unit, owner=name
            )
    return TensionCurve(name, row["title"], tuple(row.get("fibres", ())), data)
