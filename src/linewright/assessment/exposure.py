"""What a mechanism sees, and what it answers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, Protocol

from linewright.assessment.contact import ContactLoad
from linewright.assessment.draws import Draws
from linewright.assessment.duty import Duty
from linewright.assessment.temperature import Temperatures
from linewright.assessment.weather import Weather
from linewright.base.data import Datum
from linewright.physics.types import Array

Presence = Literal["bend", "heat", "wear", "everywhere"]


@dataclass(frozen=True)
class Exposure:
    """States of one rope on one line: duty, weather, contacts, temperatures. Axes s, J, H, X."""

    duty: Duty
    weather: Weather
    loads: tuple[ContactLoad, ...]
    temperatures: Temperatures
    words: Mapping[str, str]

    @property
    def n_places(self) -> int:
        """Places on the X axis: three per contact and the free span."""
        return 3 * len(self.loads) + 1


@dataclass(frozen=True)
class RateTable:
    """Loss of ln strength per hour at strength 1, and how it grows.

    at_new broadcasts to (s, J, H, X). strength_power (s,): the rate goes as x**-power, x the strength
    left after the OTHER mechanisms. growth broadcasts like at_new: the rate goes as exp(growth times
    strain and lost area). unit (s,): ln strength lost at damage 1, or None for a loss without damage.
    """

    at_new: Array
    presence: Presence
    unit: Array | None
    strength_power: Array | None = None
    growth: Array | None = None


class Mechanism(Protocol):
    """A mechanism of loss: its name, the card keys it needs, its rate."""

    name: str

    def needs(self, words: Mapping[str, str]) -> tuple[str, ...]:
        """Card keys that this mechanism cannot do without, for a rope's words."""
        ...

    def rate(self, exposure: Exposure, draws: Draws) -> RateTable:
        """Loss of ln strength per hour at every place."""
        ...


def missing(mechanism: Mechanism, words: Mapping[str, str], data: Mapping[str, Datum]) -> tuple[str, ...]:
    """The needed keys that a rope's data lack."""
    return tuple(key for key in mechanism.needs(words) if key not in data)
