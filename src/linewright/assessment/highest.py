"""Highest tension of a recorded state: the record's own, raised to the time that the state lasts."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from linewright.assessment.record import Counted
from linewright.physics import cycles
from linewright.physics.types import Array

WORTH = 1.01  # over the record's own, below which raising it is not worth a word
Z90 = 1.2816  # normal score of P90


@dataclass(frozen=True)
class Raised:
    """What a record says of the highest tension while its state lasts.

    record, its name in the study; own, its highest [N] in `recorded` [s]; lasts, how long the state does [s];
    expected, the highest of that time [N]; deviation of the tension [N] and crossings of its mean in the record, which
    say how much luck is in its own highest (deviation 0: none, the study states the tension).
    """

    record: str
    own: float
    recorded: float
    lasts: float
    expected: float
    deviation: float
    crossings: float

    @staticmethod
    def of(name: str, counted: Counted, lasts: float) -> Raised:
        """A counted record [N] for a state that lasts so long [s]."""
        expected = counted.raised(lasts)
        return Raised(
            name, counted.highest, counted.duration, lasts, expected, counted.deviation, max(counted.crossings, 2.0)
        )

    def stated(self, highest: float) -> Raised:
        """The same where the study states the tension [N], which takes the place of what is extrapolated."""
        return replace(self, expected=max(self.own, highest), deviation=0.0)

    @property
    def column(self) -> str:
        """Name of the scores of the luck in the record."""
        return f"highest|{self.record}"

    def at(self, score: Array) -> Array:
        """Highest tension for scores of that luck, 0 the middle, high where it was low; never below the own [N]."""
        return np.asarray(
            np.maximum(self.expected - cycles.maximum_scatter(self.deviation, self.crossings, -score), self.own)
        )

    @property
    def band(self) -> tuple[float, float]:
        """P10 and P90 of the highest tension [N]."""
        low, high = self.at(np.array([-Z90, Z90]))
        return float(low), float(high)

    @property
    def text(self) -> str:
        """What was done, or nothing where it is not worth a word."""
        if self.expected <= WORTH * self.own or self.deviation == 0.0:
            return ""
        low, high = (value / 1e3 for value in self.band)
        own = f"{self.record}: its highest {self.own / 1e3:.0f} kN is of {self.recorded / 3600.0:.2g} h"
        more = f"{self.expected / 1e3:.0f} kN ({low:.0f} to {high:.0f})"
        return f"{own}; the margin takes {more} for {self.lasts / 3600.0:.2g} h at a stretch"
