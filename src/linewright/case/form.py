"""The form of `case.toml`: every key, checked all at once, each error with its line."""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Annotated, Any, Literal

from pydantic import Field, field_validator, model_validator

from linewright.base import form as base_form
from linewright.base import places
from linewright.base.data import Datum
from linewright.base.errors import InputError, Problem
from linewright.base.form import (
    Angle,
    Duration,
    Force,
    Fraction,
    Length,
    MassPerLength,
    Number,
    Strict,
    Tension,
    Typed,
)
from linewright.base.units import LARGEST_YEAR_HOURS
from linewright.case import model

MECHANISMS = ("creep", "bending", "tension", "abrasion", "ageing", "compression")
HOUR = 3600.0
Name = Annotated[str, Field(min_length=1, max_length=300)]


class TensionForm(Strict):
    """Tension of one line group in one state."""

    mean: Tension = Field(description="mean tension")
    amplitude: Tension | None = Field(None, description="half the tension range; say which in amplitude_kind")
    motion: Length | None = Field(None, description="instead of amplitude: ship motion along the line, half its range")
    period: Duration | None = Field(None, description="period of the cycles")
    amplitude_kind: Literal["constant", "significant"] | None = Field(
        None, description="constant (bench test) or significant (2 sigma, Rayleigh within the state)"
    )

    @model_validator(mode="after")
    def _whole(self) -> TensionForm:
        if self.mean.value < 0.0:
            raise ValueError("the mean tension is zero or more")
        swings = [part for part in (self.amplitude, self.motion) if part is not None]
        if len(swings) != 1:
            raise ValueError("give either amplitude or motion (zero for a steady tension)")
        if swings[0].value < 0.0:
            raise ValueError("the amplitude is zero or more")
        if swings[0].value > 0.0 and (self.period is None or self.amplitude_kind is None):
            raise ValueError('an amplitude needs its period and its kind: amplitude_kind = "significant" or "constant"')
        if self.period is not None and self.period.value <= 0.0:
            raise ValueError("the period is more than 0 s")
        same_base = self.amplitude is not None and self.amplitude.base == self.mean.base
        if same_base and self.amplitude_kind == "constant" and self.amplitude.value > self.mean.value:  # type: ignore[union-attr]
            raise ValueError("the amplitude is larger than the mean: the line would be pushed")
        if same_base and self.amplitude.value > 1.5 * self.mean.value:  # type: ignore[union-attr]
            raise ValueError(
                "the significant amplitude is more than 1.5 times the mean: the line would be slack most of the time"
            )
        return self


class StateForm(Strict):
    """A mooring state of a berth."""

    name: Name
    share: Fraction = Field(description="share of the call; the shares of a berth add to 100 %")
    wetness: Fraction | None = Field(None, description="wet share of the rope's surface, 0 to 1 (default 0)")
    payout_spread: Length | None = Field(None, description="length of rope that passes a mark during the state")
    tension: dict[str, TensionForm] = Field(description="tension per line group, by its name")

    @model_validator(mode="after")
    def _in_range(self) -> StateForm:
        if not 0.0 <= self.share.value <= 1.0:
            raise ValueError(f"a share lies between 0 and 100 %, not {self.share.text}")
        if self.wetness is not None and not 0.0 <= self.wetness.value <= 1.0:
            raise ValueError(f"wetness lies between 0 and 1, not {self.wetness.text}")
        return self


class BerthForm(Strict):
    """A berth with its calls and states."""

    name: Name
    climate: Name = Field(description="name of a climate card")
    calls_per_year: Number
    hours_per_call: Duration
    months: list[Annotated[int, Field(ge=1, le=12)]] = Field(default_factory=list)
    state: list[StateForm] = Field(min_length=1)

    @model_validator(mode="after")
    def _adds_up(self) -> BerthForm:
        if self.calls_per_year.value < 0.0:
            raise ValueError("calls per year are zero or more")
        if self.hours_per_call.value < 0.0:
            raise ValueError("hours per call are zero or more")
        total = math.fsum(state.share.value for state in self.state)
        if abs(total - 1.0) > 1e-3:
            raise ValueError(f"the shares of the states add to {100 * total:.6g} %, not 100 %")
        names = [state.name for state in self.state]
        if len(set(names)) < len(names):
            raise ValueError("two states have the same name")
        return self


class ContactForm(Strict):
    """A contact of a line, in order from drum to shore, with the case's own values."""

    card: Name = Field(description="name of a contact card")
    name: str | None = None
    bend_radius: Length | None = Field(None, description="radius of the steel")
    wrap: Angle | None = Field(None, description="angle over which the rope touches")
    inboard_length: Length | None = Field(None, description="rope between this contact and the holding point")
    reuse: bool = Field(False, description="the same metre comes back to this contact at every call, on purpose")

    @model_validator(mode="after")
    def _in_range(self) -> ContactForm:
        if self.bend_radius is not None and not 0.005 <= self.bend_radius.value <= 3.0:
            raise ValueError("a bend radius lies between 5 mm and 3 m")
        if self.wrap is not None and not 0.0 < self.wrap.value <= 2.0 * math.pi:
            raise ValueError("a wrap angle is more than 0 and at most 360 deg")
        return self


class TailForm(Strict):
    """A tail in series."""

    rope: Name = Field(description="name of a rope card")
    length: Length


class LineForm(Strict):
    """A group of equal lines."""

    name: Name
    count: Annotated[int, Field(ge=1, le=200)] = 1
    rope: Name = Field(description="name of a rope card")
    design_break_force: Force | None = Field(None, description="LDBF of the certificate, over the card's")
    diameter: Length | None = Field(None, description="diameter of the loaded rope, over the card's")
    mass_per_length: MassPerLength | None = Field(None, description="load-bearing mass per metre, over the card's")
    inboard_length: Length = Field(description="rope between fairlead and the point that holds it")
    outboard_length: Length = Field(description="rope between fairlead and shore bollard or tail")
    practice: str = Field("moored-line-one-mark", description="name of a practice card: how the line is tended")
    tail: TailForm | None = None
    contact: list[ContactForm] = Field(default_factory=list)

    @model_validator(mode="after")
    def _positive(self) -> LineForm:
        if self.inboard_length.value <= 0.0 or self.outboard_length.value <= 0.0:
            raise ValueError("lengths are more than 0 m")
        return self


class ShipForm(Strict):
    """The ship."""

    design_break_load: Force = Field(description="SDMBL: the load that fittings and lines are sized from")

    @field_validator("design_break_load")
    @classmethod
    def _positive(cls, force: Typed) -> Typed:
        if force.value <= 0.0:
            raise ValueError("the ship design break load is more than 0")
        return force


class CriteriaForm(Strict):
    """When a line is finished."""

    strength_left: Fraction | None = Field(None, description="share of LDBF left at retirement (default 75 %)")
    creep_damage: Fraction | None = Field(None, description="creep damage at retirement (default 1/3)")
    tension_damage: Fraction | None = Field(None, description="tension-fatigue damage at retirement (default 1/3)")
    margin: Number | None = Field(None, description="smallest margin of strength over highest tension (default none)")
    age: Duration | None = Field(None, description="age limit (default none)")


class CompareForm(Strict):
    """A rope to compare."""

    rope: Name
    same: Literal["load", "motion"] = Field("motion", description="same kN, or same ship motion")


class SpreadForm(Strict):
    """Samples of the band."""

    samples: Literal[256, 512, 1024, 2048, 4096, 8192] = 2048
    seed: Annotated[int, Field(ge=0, le=2**31 - 1)] = 1


class CaseForm(Strict):
    """The whole of `case.toml`."""

    format: Literal[1]
    title: Name
    note: str = ""
    ship: ShipForm
    mechanisms: list[Literal["creep", "bending", "tension", "abrasion", "ageing", "compression"]] = Field(
        default_factory=lambda: list(MECHANISMS), description="mechanisms of loss to assess, by name"
    )
    criteria: CriteriaForm = CriteriaForm()
    spread: SpreadForm = SpreadForm()
    line: list[LineForm] = Field(min_length=1)
    berth: list[BerthForm] = Field(min_length=1)
    compare: list[CompareForm] = Field(default_factory=list)

    @model_validator(mode="after")
    def _consistent(self) -> CaseForm:
        names = [line.name for line in self.line]
        if len(set(names)) < len(names):
            raise ValueError("two line groups have the same name")
        hours = sum(berth.calls_per_year.value * berth.hours_per_call.value / HOUR for berth in self.berth)
        if hours > LARGEST_YEAR_HOURS:
            raise ValueError(f"the hours of all berths add to {hours:.6g} a year; a year has {LARGEST_YEAR_HOURS:.0f}")
        for berth in self.berth:
            for state in berth.state:
                _check_groups(berth.name, state, set(names))
        return self


def _check_groups(berth: str, state: StateForm, names: set[str]) -> None:
    missing, unknown = names - set(state.tension), set(state.tension) - names
    if missing:
        raise ValueError(f'berth "{berth}", state "{state.name}" has no tension for: {", ".join(sorted(missing))}')
    if unknown:
        raise ValueError(f'berth "{berth}", state "{state.name}" names no line group: {", ".join(sorted(unknown))}')


def read_case(path: Path) -> model.Case:
    """The case of a TOML file. Raises InputError with every problem and its line."""
    text, raw = base_form.read_toml(path, "case")
    if not raw:
        raise InputError(
            f"{path} is empty.",
            [Problem(path.name, "nothing", "a case", "linewright demo writes an example")],
        )
    filled = base_form.fill(CaseForm, raw, text, path.name)
    return to_model(filled, places.lines_of(text), path.name)


def to_model(form: CaseForm, found: Mapping[places.Path, int], file: str) -> model.Case:
    """The frozen case of a filled form; `found` maps key paths to lines."""
    reader = _Reader(dict(found), file)
    lines = tuple(reader.line(item, index) for index, item in enumerate(form.line))
    berths = tuple(reader.berth(item, index) for index, item in enumerate(form.berth))
    load = reader.datum("ship_design_break_load", "force", form.ship.design_break_load, ("ship", "design_break_load"))
    compared = tuple(
        model.Compared(item.rope, item.same, reader.at(("compare", index))) for index, item in enumerate(form.compare)
    )
    return model.Case(
        form.title, load.value, lines, berths, compared, _criteria(form.criteria), tuple(form.mechanisms),
        form.spread.samples, form.spread.seed, tuple(reader.typed), file, form.note,
    )  # fmt: skip


def _criteria(form: CriteriaForm) -> model.Criteria:
    default = model.Criteria()
    return model.Criteria(
        form.strength_left.value if form.strength_left else default.strength_left,
        form.creep_damage.value if form.creep_damage else default.creep_damage,
        form.tension_damage.value if form.tension_damage else default.tension_damage,
        form.margin.value if form.margin else None,
        form.age.value if form.age else None,
    )


class _Reader:
    """Turns filled forms into the model and notes where every number was typed."""

    def __init__(self, found: dict[places.Path, int], file: str) -> None:
        self.found, self.file = found, file
        self.typed: list[Datum] = []

    def at(self, path: places.Path) -> str:
        return f"{self.file}:{places.line_of(self.found, path)}"

    def datum(self, key: str, kind: str, typed: Typed, path: places.Path, owner: str = "case") -> Datum:
        low = typed.value if typed.low is None else typed.low
        high = typed.value if typed.high is None else typed.high
        shape: Any = "fixed" if low == high else ("lognormal" if low > 0.0 else "normal")
        unit = typed.text.lstrip("+-0123456789. eE_").strip()
        datum = Datum(key, kind, typed.value, low, high, "given", self.at(path), "", unit, shape, owner=owner)
        self.typed.append(datum)
        return datum

    def line(self, form: LineForm, index: int) -> model.LineGroup:
        path = ("line", index)
        inboard = self.datum("inboard_length", "length", form.inboard_length, (*path, "inboard_length"), form.name)
        own: dict[str, Datum] = {}
        for key, kind in (
            ("design_break_force", "force"),
            ("diameter", "length"),
            ("mass_per_length", "mass_per_length"),
        ):
            typed = getattr(form, key)
            if typed is not None:
                own[key] = self.datum(key, kind, typed, (*path, key), form.name)
        contacts = tuple(self.contact(item, (*path, "contact", n), form.name) for n, item in enumerate(form.contact))
        tail = model.Tail(form.tail.rope, form.tail.length.value) if form.tail else None
        return model.LineGroup(
            form.name, form.count, form.rope, MappingProxyType(own), inboard, form.outboard_length.value, contacts, tail,
            form.practice, self.at(path),
        )  # fmt: skip

    def contact(self, form: ContactForm, path: places.Path, line: str) -> model.ContactUse:
        name = form.name or form.card.replace("-", " ")
        own: dict[str, Datum] = {}
        owner = f"{line}, {name}"
        if form.bend_radius is not None:
            own["bend_radius"] = self.datum("bend_radius", "length", form.bend_radius, (*path, "bend_radius"), owner)
        if form.wrap is not None:
            own["wrap_angle"] = self.datum("wrap_angle", "angle", form.wrap, (*path, "wrap"), owner)
        inboard = form.inboard_length.value if form.inboard_length else None
        return model.ContactUse(name, form.card, MappingProxyType(own), inboard, form.reuse)

    def berth(self, form: BerthForm, index: int) -> model.Berth:
        path = ("berth", index)
        states = tuple(self.state(item, (*path, "state", n)) for n, item in enumerate(form.state))
        hours = form.hours_per_call.value / HOUR
        return model.Berth(
            form.name,
            form.climate,
            form.calls_per_year.value,
            hours,
            tuple(form.months),
            states,
            self.at(path),
        )

    def state(self, form: StateForm, path: places.Path) -> model.State:
        tension = {name: self.tension(item, (*path, "tension", name)) for name, item in form.tension.items()}
        spread = None
        if form.payout_spread is not None:
            spread = self.datum(
                "payout_spread", "length", form.payout_spread, (*path, "payout_spread"), f"state {form.name}"
            )
        wetness = form.wetness.value if form.wetness else 0.0
        return model.State(form.name, form.share.value, wetness, MappingProxyType(tension), spread)

    def tension(self, form: TensionForm, path: places.Path) -> model.Tension:
        period = form.period.value if form.period else 10.0
        kind = form.amplitude_kind or "significant"
        motion = form.motion.value if form.motion else None
        return model.Tension(form.mean, form.amplitude, motion, period, kind, self.at(path))
