"""A datum: value, band, basis, source and place always travel together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from linewright.base.sources import Basis

Shape = Literal["lognormal", "normal", "logit", "fixed"]


@dataclass(frozen=True)
class Curve:
    """A quantity tabulated over another one: abscissa, central, low and high ordinates (SI)."""

    over: str
    points: tuple[float, ...]
    value: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]


@dataclass(frozen=True)
class Datum:
    """One number (or curve) that the physics uses, with all that is known about it.

    `low` and `high` are the 5 % and 95 % points of what we believe. `unit` is the unit it was
    typed in, for display only: value, low and high are SI. `luck_of` names the line group whose rope's luck a
    scatter is: what differs between equal ropes is not common to them.
    """

    key: str
    kind: str
    value: float
    low: float
    high: float
    basis: Basis
    source: str
    where: str = ""
    unit: str = ""
    shape: Shape = "fixed"
    doubt: Literal["ignorance", "scatter"] = "ignorance"
    curve: Curve | None = None
    tested: tuple[float, float] | None = None
    confidential: bool = False
    owner: str = ""
    luck_of: str = ""

    @property
    def has_band(self) -> bool:
        """Whether the datum moves between samples."""
        return self.shape != "fixed"

    @property
    def is_weak(self) -> bool:
        """Whether the datum is our estimate rather than something read or measured."""
        return self.basis == "estimate"
