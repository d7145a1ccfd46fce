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
    """A question: key, what it asks, an example, the estimate, help, and when it is asked.

    `kind` names the cards that are the choices. `of_card`: where the estimate is kept nothing is written, since the
    card holds it with its source. `origin` says where the estimate comes from.
    """

    key: str
    asks: str
    example: str
    estimate: str | Callable[[Known], str]
    help: str
    when: Callable[[Known], bool] = lambda known: True
    of_card: bool = False
    kind: str = ""
    origin: Callable[[Known], str] = lambda known: ""

    def offered(self, known: Known) -> str:
        """The estimate that Enter keeps."""
        return self.estimate if isinstance(self.estimate, str) else self.estimate(known)

    def choices(self, known: Known) -> dict[str, str]:
        """The names that may be answered, each with what it is; none where anything may be."""
        if not self.kind:
            return {}
        return {name: card.title for name, card in sorted(known.shelf.kinds()[self.kind].items())}


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


def _taut(known: Known) -> units.Load:
    """A mean tension with which the line does not go slack in the swell."""
    amplitude = units.parse_load(known.text("swell"))
    if amplitude.base == "N":
        value = max(3.0 * amplitude.value, 1e3)
        return units.Load(value, "N", units.show(value, "force", "kN"))
    share = max(0.2, 1.2 * amplitude.value)
    return units.Load(share, amplitude.base, f"{100.0 * share:.4g} %{amplitude.base}")


def _calm_is_more(known: Known) -> bool:
    """Whether the calm mean is at least what keeps the line taut in the swell."""
    if not _has_calm(known):
        return False
    strengths = known.value("design_break_force", "force"), known.value("design_break_load", "force")
    return units.parse_load(known.text("calm_mean")).newton(*strengths) >= _taut(known).newton(*strengths)


def _swell_mean(known: Known) -> str:
    """At least the calm mean, and enough that the line does not go slack."""
    return known.text("calm_mean") if _calm_is_more(known) else _taut(known).text


def _of_swell_mean(known: Known) -> str:
    return "as in calm" if _calm_is_more(known) else "above the calm mean, so that the swell leaves no slack"


SHIP = (
    Question("title", "Title of the case", "Bulk carrier, two berths", "New case",
             "Stands above every result. Any words."),
    Question("design_break_load", "Ship's design break load, SDMBL", "900 kN", "1200 kN",
             "From the ship's mooring plan: the load that fittings and lines are sized from."),
    Question("line", "Name of the line group", "forward springs", "springs",
             "Equal lines that do the same work are one group. Add other groups in the file."),
    Question("rope", "Rope on board", "polyester-8-strand", "hmpe-standard-12-strand",
             "The card of the fibre and construction that is nearest; its size is asked next.", kind="rope"),
    Question("diameter", "Diameter of that rope", "36 mm", _diameter,
             "Of the loaded rope, from its certificate.", of_card=True),
    Question("design_break_force", "Its break force, LDBF of the certificate", "920 kN", _break_force,
             "New, spliced, dry (polyamide wet); kept, it follows the card by the diameter squared.", of_card=True),
    Question("inboard_length", "Rope from fairlead to drum", "10 m", "12 m",
             "It drives how far the rope slips in the fairlead, and so the heat."),
    Question("outboard_length", "Rope from fairlead to shore", "35 m", "40 m",
             "To the bollard, or to the tail."),
    Question("contact", "Fairlead", "roller", "closed-chock",
             "What the rope bends over at the ship's side. Add other contacts in the file.", kind="contact"),
    Question("bend_radius", "Bend radius of its steel", "200 mm", _bend_radius,
             "Of the surface that the rope lies on, from a drawing or a template.", of_card=True),
    Question("wrap", "Angle over which the rope touches it", "50 deg", _wrap,
             "The angle between the rope's directions before and behind the fairlead.", of_card=True),
    Question("berths", f"Number of berths, 1 to {MOST_BERTHS}", "2", "1",
             "Each is asked for its climate, calls and swell."),
)  # fmt: skip
BERTH = (
    Question("name", "Name of the berth", "Ore jetty", _berth_name, "A name of its own. Any words."),
    Question("climate", "Its climate", "hot-harbour-monthly", "temperate-monthly",
             "The card that is nearest; linewright cards new --shift makes one of your own.", kind="climate"),
    Question("calls_per_year", "Calls a year", "25", "10", "Of this ship at this berth."),
    Question("hours_per_call", "Hours a call", "40 h", _hours, "From the first line ashore to the last one in."),
    Question("swell_share", "Share of the call with swell", "40 %", "30 %",
             "0 % for a berth that is always calm, 100 % for one that never is."),
    Question("calm_mean", "Mean tension in calm", "180 kN", "15 %LDBF",
             "Of one line of the group: a force, or a share of %LDBF (this rope) or %SDMBL (the ship).", _has_calm),
    Question("swell", "Significant amplitude in swell, or a log file", "60 kN or log.csv", "5 %LDBF",
             "Half the significant range of tension (2 sigma), or a CSV of time and tension.", _has_swell),
    Question("swell_mean", "Mean tension in swell", "240 kN", _swell_mean,
             "The tension about which the swell swings.", _swings, origin=_of_swell_mean),
    Question("swell_period", "Period of the cycles in swell", "14 s", "12 s",
             "From crest to crest of the tension.", _swings),
)  # fmt: skip
