"""What a new case asks, in order: each question with its example and the estimate that Enter keeps."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from linewright.base import units
from linewright.base.units import LARGEST_YEAR_HOURS
from linewright.cards.model import Shelf

MOST_BERTHS = 12
HOURS = 36.0
LOG_ENDS = (".csv", ".txt")


@dataclass(frozen=True)
class Answer:
    """An answer as text, and whether it is the estimate that was offered."""

    text: str
    kept: bool = False


@dataclass(frozen=True)
class Known:
    """What is known when a question is asked: cards, answers on the ship, on earlier berths and on this one."""

    shelf: Shelf
    ship: Mapping[str, Answer]
    earlier: tuple[Mapping[str, Answer], ...] = ()
    berth: Mapping[str, Answer] | None = None

    def text(self, key: str) -> str:
        """The answer to an earlier question."""
        here = self.berth or {}
        return (here[key] if key in here else self.ship[key]).text

    def value(self, key: str, kind: str) -> float:
        """The answer in SI."""
        return units.parse(self.text(key), kind)


@dataclass(frozen=True)
class Question:
    """A question: key, what it asks, an example, the estimate, when it is asked, and whether a card knows better.

    `of_card`: where the estimate is kept nothing is written, since the card holds it with its band and source.
    """

    key: str
    asks: str
    example: str
    estimate: str | Callable[[Known], str]
    when: Callable[[Known], bool] = lambda known: True
    of_card: bool = False

    def offered(self, known: Known) -> str:
        """The estimate that Enter keeps."""
        return self.estimate if isinstance(self.estimate, str) else self.estimate(known)


def is_log(text: str) -> bool:
    """Whether an answer on swell names a recorded tension."""
    return text.lower().endswith(LOG_ENDS)


def _diameter(known: Known) -> str:
    return units.show(known.shelf.rope(known.text("rope")).data["diameter"].value, "length", "mm")


def _break_force(known: Known) -> str:
    """The card's break force, by the square of the diameter."""
    data = known.shelf.rope(known.text("rope")).data
    ratio = known.value("diameter", "length") / data["diameter"].value
    return units.show(data["design_break_force"].value * ratio**2, "force", "kN")


def _bend_radius(known: Known) -> str:
    """The contact card's radius."""
    datum = known.shelf.contacts[known.text("contact")].data.get("bend_radius")
    return "200 mm" if datum is None else units.show(datum.value, "length", "mm")


def _wrap(known: Known) -> str:
    datum = known.shelf.contacts[known.text("contact")].data.get("wrap_angle")
    return "60 deg" if datum is None else units.show(datum.value, "angle", "deg")


def _berth_name(known: Known) -> str:
    return f"Berth {len(known.earlier) + 1}"


def _hours(known: Known) -> str:
    """Usual hours, or what the year has left."""
    spent = sum(
        units.parse(berth["calls_per_year"].text, "number") * units.parse(berth["hours_per_call"].text, "duration")
        for berth in known.earlier
    )
    left = LARGEST_YEAR_HOURS - spent / 3600.0
    calls = known.value("calls_per_year", "number")
    return f"{min(HOURS, int(left / calls) if calls > 0.0 else HOURS):g} h"


def _has_swell(known: Known) -> bool:
    return known.value("swell_share", "fraction") > 0.0


def _has_calm(known: Known) -> bool:
    return known.value("swell_share", "fraction") < 1.0


def _swings(known: Known) -> bool:
    """Whether the swell is typed, not recorded."""
    return _has_swell(known) and not is_log(known.text("swell"))


def _swell_mean(known: Known) -> str:
    """The calm mean, or enough that the line does not go slack."""
    amplitude = units.parse_load(known.text("swell"))
    if amplitude.base == "N":
        return units.show(max(3.0 * amplitude.value, 1e3), "force", "kN")
    return f"{max(20.0, 120.0 * amplitude.value):.4g} %{amplitude.base}"


SHIP = (
    Question("title", "Title of the case", "Bulk carrier, two berths", "New case"),
    Question("design_break_load", "Ship's design break load, SDMBL", "900 kN", "1200 kN"),
    Question("line", "Name of the line group", "forward springs", "springs"),
    Question("rope", "Rope on board, a card's name", "polyester-8-strand", "hmpe-standard-12-strand"),
    Question("diameter", "Diameter of that rope", "36 mm", _diameter, of_card=True),
    Question("design_break_force", "Its break force, LDBF of the certificate", "920 kN", _break_force, of_card=True),
    Question("inboard_length", "Rope from fairlead to drum", "10 m", "12 m"),
    Question("outboard_length", "Rope from fairlead to shore", "35 m", "40 m"),
    Question("contact", "Fairlead, a contact card's name", "roller", "closed-chock"),
    Question("bend_radius", "Bend radius of its steel", "200 mm", _bend_radius, of_card=True),
    Question("wrap", "Angle over which the rope touches it", "50 deg", _wrap, of_card=True),
    Question("berths", f"Number of berths, 1 to {MOST_BERTHS}", "2", "1"),
)
BERTH = (
    Question("name", "Name of the berth", "Ore jetty", _berth_name),
    Question("climate", "Its climate, a card's name", "hot-harbour-monthly", "temperate-monthly"),
    Question("calls_per_year", "Calls a year", "25", "10"),
    Question("hours_per_call", "Hours a call", "40 h", _hours),
    Question("swell_share", "Share of the call with swell", "40 %", "30 %"),
    Question("calm_mean", "Mean tension in calm", "180 kN", "15 %LDBF", _has_calm),
    Question("swell", "Significant amplitude in swell, or a log file", "60 kN or log.csv", "5 %LDBF", _has_swell),
    Question("swell_mean", "Mean tension in swell", "240 kN", _swell_mean, _swings),
    Question("swell_period", "Period of the cycles in swell", "14 s", "12 s", _swings),
)
