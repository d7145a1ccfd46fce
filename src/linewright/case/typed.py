"""What a study's file types becomes data that know their file and line."""

from __future__ import annotations

from typing import Any

from linewright.base import places, units
from linewright.base.data import Datum
from linewright.base.form import Typed


class TypedReader:
    """Turns typed quantities into data and notes where every one was typed."""

    def __init__(self, found: dict[places.Path, int], file: str) -> None:
        self.found, self.file = found, file
        self.typed: list[Datum] = []

    def at(self, path: places.Path) -> str:
        """File and line of a key."""
        return places.at(self.file, self.found, path)

    def datum(self, key: str, kind: str, typed: Typed, path: places.Path, owner: str = "case") -> Datum:
        """A typed quantity with its band."""
        low = typed.value if typed.low is None else typed.low
        high = typed.value if typed.high is None else typed.high
        shape: Any = "fixed" if low == high else ("lognormal" if low > 0.0 else "normal")
        unit = units.split(typed.text)[1]
        datum = Datum(key, kind, typed.value, low, high, typed.basis, self.at(path), "", unit, shape, owner=owner)
        self.typed.append(datum)
        return datum

    def number(self, key: str, kind: str, typed: Typed | None, path: places.Path, owner: str) -> float | None:
        """The value of a quantity that carries no band, noted as typed; None where it is not given."""
        return None if typed is None else self.datum(key, kind, typed, (*path, key), owner).value

    def load(self, key: str, load: units.Load | None, path: places.Path, owner: str) -> None:
        """Note a typed tension."""
        if load is not None:
            kind, unit = ("force", "kN") if load.base == "N" else ("relative_load", f"%{load.base}")
            fixed = (load.value, load.value, load.value)
            self.typed.append(Datum(key, kind, *fixed, load.basis, self.at((*path, key)), "", unit, owner=owner))
