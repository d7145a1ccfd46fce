"""A validation case as data: what was published, how far we may be from it, and why."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

Kind = Literal["analytic", "textbook", "standard", "experiment", "cross-check", "practice"]
Verdict = Literal["agrees", "known disagreement", "off"]
Numbers = tuple[float, ...]


@dataclass(frozen=True)
class Tolerance:
    """How far a value may be from the published one: absolute, relative, or an accepted range."""

    absolute: float | None = None
    relative: float | None = None
    low: float | None = None
    high: float | None = None

    def bounds(self, published: float) -> tuple[float, float]:
        """Smallest and largest accepted value."""
        if self.absolute is not None:
            return published - self.absolute, published + self.absolute
        if self.relative is not None:
            width = self.relative * abs(published)
            return published - width, published + width
        return -math.inf if self.low is None else self.low, math.inf if self.high is None else self.high

    def text(self, unit: str) -> str:
        """The tolerance in words."""
        if self.absolute is not None:
            return f"{self.absolute:g} {unit}".strip() if self.absolute else "exact"
        if self.relative is not None:
            return f"{100.0 * self.relative:.3g} %"
        if self.low is None:
            return f"at most {self.high:g} {unit}".strip()
        if self.high is None:
            return f"at least {self.low:g} {unit}".strip()
        return f"{self.low:g} to {self.high:g} {unit}".strip()


@dataclass(frozen=True)
class Known:
    """A disagreement that is known: why, and the value of ours that it stays known for."""

    reason: str
    value: float
    within: float


@dataclass(frozen=True)
class Point:
    """One published quantity; several values are one point, judged by the worst."""

    quantity: str
    unit: str
    published: Numbers
    tolerance: Tolerance
    because: str
    known: Known | None = None


@dataclass(frozen=True)
class CheckCase:
    """A case: where its values come from, which subject answers it, and its points.

    `not_counted` says why a case is shown but proves nothing; practice never counts.
    """

    id: str
    area: str
    kind: Kind
    title: str
    source: str
    where: str
    subject: str
    inputs: Mapping[str, Any]
    points: tuple[Point, ...]
    not_counted: str = ""

    @property
    def counts(self) -> bool:
        """Whether the case is evidence."""
        return self.kind != "practice" and not self.not_counted
