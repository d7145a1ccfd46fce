"""A case once it is read: frozen, SI, every typed number with its line."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from linewright.base.data import Datum
from linewright.base.units import Load

SEA_STATE = 3.0  # [h] that a sea state lasts: the usual length of one (common practice, no source)

AmplitudeKind = Literal["constant", "significant"]
SameDuty = Literal["load", "motion"]
LARGEST_SAMPLES = 8192


Method = Literal["Dirlik", "Tovo-Benasciutti", "narrow-band", "histories"]


@dataclass(frozen=True)
class Wave:
    """A part of a sea state: significant height [m], peak period [s] with peakedness, or a band of long waves [s]."""

    height: float
    period: float
    peakedness: float = 1.0
    band: tuple[float, float] | None = None


@dataclass(frozen=True)
class Response:
    """What a wave of one metre gives: tension [N/m], or motion along the line [m/m]; `file` is a table over frequency.

    spectrum names a file with the spectrum of the tension, or of the motion along the line, instead.
    """

    tension: float | None = None
    motion: float | None = None
    file: str = ""
    spectrum: str = ""
    method: Method = "Dirlik"


@dataclass(frozen=True)
class Tension:
    """Tension of a line group in a state: mean, swing (a load, or metres of ship motion), period [s].

    Instead of a swing: a log, or the response to the sea of the state. highest is what a study states of the extreme;
    at_room, that the motion was read off a tension and meets the stiffness at 20 C, as it was read; may_slack, that
    the swing was scaled and may leave the line slack.
    """

    mean: Load
    amplitude: Load | None
    motion: float | None
    period: float
    amplitude_kind: AmplitudeKind
    log: str = ""
    channel: str = ""
    where: str = ""
    response: Response | None = None
    highest: Load | None = None
    at_room: bool = False
    may_slack: bool = False

    @property
    def record(self) -> str:
        """Name of a recorded tension: its file, and its channel where one is told."""
        return f"{self.log}, {self.channel}" if self.channel else self.log


@dataclass(frozen=True)
class State:
    """A mooring state: share of the call, wetness, tension per line group, payout spread, hours it lasts if stated."""

    name: str
    share: float
    wetness: float
    tension: Mapping[str, Tension]
    payout_spread: Datum | None = None
    sea: tuple[Wave, ...] = ()
    sea_file: str = ""
    lasts: float | None = None

    def hours_at_a_stretch(self, call: float) -> float:
        """Hours that the state lasts when it comes in a call of so many hours: stated, or its share, at least 3 h."""
        return min(call, max(self.share * call, SEA_STATE) if self.lasts is None else self.lasts)


@dataclass(frozen=True)
class Berth:
    """A berth: climate card, calls and hours, months (1 to 12; empty means all the year)."""

    name: str
    climate: str
    calls_per_year: float
    hours_per_call: float
    months: tuple[int, ...]
    states: tuple[State, ...]
    where: str = ""
    place: tuple[float, float] | None = None

    @property
    def hours_per_year(self) -> float:
        """Hours alongside in a year [h]."""
        return self.calls_per_year * self.hours_per_call


@dataclass(frozen=True)
class ContactUse:
    """A contact on a line: its card, the case's own values, how it is named, and reuse of a metre."""

    name: str
    card: str
    data: Mapping[str, Datum]
    reuse: bool


@dataclass(frozen=True)
class Tail:
    """A tail: rope card and length [m]."""

    rope: str
    length: float


@dataclass(frozen=True)
class LineGroup:
    """A group of equal lines: rope, lengths [m], contacts from drum to shore, tail.

    length is that of the whole rope with the turns that stay on the drum; where it is not told, none stay there.
    """

    name: str
    count: int
    rope: str
    rope_data: Mapping[str, Datum]
    inboard_length: Datum
    outboard_length: float
    contacts: tuple[ContactUse, ...]
    tail: Tail | None
    practice: str
    where: str = ""
    length: float | None = None

    @property
    def rope_length(self) -> float:
        """Length of the whole rope [m]."""
        in_use = self.inboard_length.value + self.outboard_length
        return in_use if self.length is None else max(self.length, in_use)


@dataclass(frozen=True)
class Compared:
    """A rope to compare, at the same load or the same ship motion."""

    rope: str
    same: SameDuty
    data: Mapping[str, Datum]
    where: str = ""


@dataclass(frozen=True)
class Past:
    """An earlier trade of the rope on board: its name, how long it lasted [years], its berths."""

    name: str
    years: float
    berths: tuple[Berth, ...]


EvidenceKind = Literal["retired_at", "in_service_at", "residual", "core", "elongation"]


@dataclass(frozen=True)
class Evidence:
    """Something known of the rope on board, with its doubt (one standard deviation, a share of it; of a core in K).

    value: years for a retirement or a line still good, N or a share of LDBF (`base`) for a residual strength, K for
    the highest core of a state, m for a lengthening. age [years since new] and state (berth, state) say when and where.
    """

    kind: EvidenceKind
    line: str
    value: float
    doubt: float
    age: float = 0.0
    state: tuple[str, str] = ("", "")
    base: str = "N"
    where: str = ""

    @property
    def mark(self) -> float | None:
        """Age at which the state of the line is asked for [years since new], or None."""
        return self.age if self.kind in ("residual", "elongation") else None


@dataclass(frozen=True)
class Plan:
    """What a study says of buying ropes: times [years], spare lines, and the user's own factors, None where not given.

    Prices in the currency named; co2e in kg CO2e per kg. `typed` is what was typed, with its line.
    """

    ship_life: float = 25.0
    docking: float | None = None
    tail_interval: float = 1.5
    spares: int = 0
    currency: str = ""
    price_per_kg: float | None = None
    price_per_line: float | None = None
    price_per_tail: float | None = None
    co2e_per_kg: float | None = None
    tail_co2e_per_kg: float | None = None
    typed: tuple[Datum, ...] = ()


@dataclass(frozen=True)
class Criteria:
    """When a line is finished; None means that the criterion is not used."""

    strength_left: float = 0.75
    creep_damage: float = 1.0 / 3.0
    tension_damage: float = 1.0 / 3.0
    margin: float = 1.0
    age: float | None = None


@dataclass(frozen=True)
class Case:
    """The whole case."""

    title: str
    ship_design_break_load: float
    lines: tuple[LineGroup, ...]
    berths: tuple[Berth, ...]
    compared: tuple[Compared, ...]
    criteria: Criteria
    mechanisms: tuple[str, ...]
    samples: int
    seed: int
    typed: tuple[Datum, ...] = ()
    file: str = "case.toml"
    note: str = ""
    digest: str = ""
    past: tuple[Past, ...] = ()
    evidence: tuple[Evidence, ...] = ()
    plan: Plan = Plan()

    @property
    def every_berth(self) -> tuple[Berth, ...]:
        """The berths of this trade, then those of earlier ones."""
        return (*self.berths, *(berth for item in self.past for berth in item.berths))

    def of_past(self, item: Past) -> Case:
        """The same case as it was on an earlier trade."""
        return replace(self, berths=item.berths, past=(), evidence=(), compared=())
