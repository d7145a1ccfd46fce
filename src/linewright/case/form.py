"""The form of `case.toml`: every key, checked all at once, each error with its line."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Any, Literal, get_args

from pydantic import BeforeValidator, Field

from linewright.base import form as base_form
from linewright.base import places, units
from linewright.base.data import Datum
from linewright.base.errors import InputError, Problem
from linewright.base.form import Name, Note, Strict, Switch, Tension, WholeNumber
from linewright.case import model, rules
from linewright.case import quantities as q
from linewright.case.bending_test.form import BendingTestForm
from linewright.case.bending_test.form import read as read_bending_test
from linewright.case.evidence.form import YEAR, EvidenceForm, Known
from linewright.case.evidence.form import read as read_evidence
from linewright.case.plan.form import PlanForm, read_plan
from linewright.case.typed import TypedReader

Mechanism = Literal["creep", "bending", "tension", "abrasion", "ageing", "compression"]
MECHANISMS: tuple[Mechanism, ...] = get_args(Mechanism)
STEADY_PERIOD = 10.0  # [s] of a tension that does not swing: it plays no part


def _number(raw: Any) -> Any:
    """A whole number as such: true and 1.0 are not 1."""
    if isinstance(raw, bool | float):
        raise units.UnitError(base_form.shown(raw), "a whole number")
    return raw


def _calendar_month(raw: Any) -> Any:
    if isinstance(raw, bool) or not isinstance(raw, int) or not 1 <= raw <= 12:
        raise units.UnitError(base_form.shown(raw).strip('"'), "a month, 1 to 12")
    return raw


Month = Annotated[int, BeforeValidator(_calendar_month)]


class WaveForm(Strict):
    """A part of a sea state: a wave spectrum, or a band of long waves."""

    height: q.Height = Field(description="significant height of this part")
    period: q.Period | None = Field(None, description="peak period of its spectrum")
    peakedness: q.Peakedness | None = Field(
        None, description="peakedness of the JONSWAP spectrum (default 1: Pierson-Moskowitz)"
    )
    shortest: q.Period | None = Field(None, description="instead of period: shortest period of a band of long waves")
    longest: q.Period | None = Field(None, description="longest period of the band")


class TensionForm(Strict):
    """Tension of one line group in one state."""

    mean: Tension | None = Field(None, description="mean tension")
    highest: Tension | None = Field(
        None, description="highest tension that a study states; the larger of it and the computed one counts"
    )
    log: Name | None = Field(None, description="instead of all others: a recorded tension, a file in the study")
    channel: Name | None = Field(None, description="column (hook, line) of the log, where it has several")
    amplitude: Tension | None = Field(None, description="half the tension range; say which in amplitude_kind")
    motion: q.Motion | None = Field(
        None, description="instead of amplitude: ship motion along the line, half its range"
    )
    period: q.Period | None = Field(None, description="period of the cycles")
    amplitude_kind: Literal["constant", "significant"] | None = Field(
        None, description="constant (bench test) or significant (2 sigma, Rayleigh within the state)"
    )
    response: q.ForceResponse | None = Field(None, description="tension amplitude per metre of wave amplitude")
    motion_response: q.MotionResponse | None = Field(
        None, description="motion along the line per metre of wave amplitude; stretches line and tail"
    )
    response_file: Name | None = Field(None, description="CSV of such a response over frequency or period")
    spectrum: Name | None = Field(None, description="CSV of the spectrum of the tension, or of motion along the line")
    method: model.Method | None = Field(
        None, description="how a spectrum becomes cycles (default Dirlik); histories: rainflow of seeded ones"
    )


class StateForm(Strict):
    """A mooring state of a berth."""

    name: Name
    share: q.Share = Field(description="share of the call; the shares of a berth add to 100 %")
    wetness: q.Wetness | None = Field(None, description="wet share of the rope's surface, 0 to 1 (default 0)")
    lasts: q.Stay | None = Field(
        None, description="time the state lasts when it comes (default its share of the call, at least 3 h)"
    )
    payout_spread: q.Payout | None = Field(None, description="length of rope that passes a mark during the state")
    sea: list[WaveForm] = Field(default_factory=list, description="parts of the sea state: swell, wind sea, long wave")
    sea_file: Name | None = Field(None, description="instead of sea: file of wave spectra, CSV or a buoy's")
    tension: dict[str, TensionForm] = Field(description="tension per line group, by its name")


class PlaceForm(Strict):
    """Where a berth lies."""

    latitude: q.Latitude
    longitude: q.Longitude


class BerthForm(Strict):
    """A berth with its calls and states."""

    name: Name
    climate: Name = Field(description="name of a climate card")
    place: PlaceForm | None = Field(None, description="where it lies, to compare with the weather's place")
    calls_per_year: q.Calls
    hours_per_call: q.Stay
    months: list[Month] = Field(default_factory=list)
    state: list[StateForm] = Field(min_length=1)


class ContactForm(Strict):
    """A contact of a line, in order from drum to shore, with the case's own values."""

    card: Name = Field(description="name of a contact card")
    name: Name | None = None
    bend_radius: q.Radius | None = Field(None, description="radius of the steel")
    wrap: q.Wrap | None = Field(None, description="angle over which the rope touches")
    inboard_length: q.Distance | None = Field(None, description="rope between this contact and the holding point")
    reuse: Switch = Field(False, description="the same metre comes back to this contact at every call, on purpose")


class TailForm(Strict):
    """A tail in series."""

    rope: Name = Field(description="name of a rope card")
    length: q.Distance


class LineForm(Strict):
    """A group of equal lines."""

    name: Name
    count: Annotated[WholeNumber, Field(ge=1, le=200)] = 1
    rope: Name = Field(description="name of a rope card")
    design_break_force: q.Strength | None = Field(None, description="LDBF of the certificate, over the card's")
    diameter: q.Diameter | None = Field(None, description="diameter of the loaded rope, over the card's")
    mass_per_length: q.Mass | None = Field(None, description="load-bearing mass per metre, over the card's")
    inboard_length: q.Inboard = Field(description="rope between fairlead and the point that holds it")
    outboard_length: q.Distance = Field(description="rope between fairlead and shore bollard or tail")
    length: q.Distance | None = Field(
        None,
        description="whole rope of the certificate, with the turns that stay on the drum (default none stay there)",
    )
    bending_test: BendingTestForm | None = Field(
        None, description="a bending test of this rope, over the card's anchor"
    )
    practice: Name = Field("moored-line-one-mark", description="name of a practice card: how the line is tended")
    tail: TailForm | None = None
    contact: list[ContactForm] = Field(default_factory=list)


class ShipForm(Strict):
    """The ship."""

    design_break_load: q.ShipStrength = Field(description="SDMBL: the load that fittings and lines are sized from")


class CriteriaForm(Strict):
    """When a line is finished."""

    strength_left: q.Left | None = Field(None, description="share of LDBF left at retirement (default 75 %)")
    creep_damage: q.Limit | None = Field(None, description="creep damage at retirement (default 1/3)")
    tension_damage: q.Limit | None = Field(None, description="tension-fatigue damage at retirement (default 1/3)")
    margin: q.Margin | None = Field(None, description="smallest margin of strength over highest tension (default 1)")
    age: q.Age | None = Field(None, description="age limit (default none)")


class CompareForm(Strict):
    """A rope to compare; with a diameter alone, break force and mass follow its card by the square."""

    rope: Name
    same: Literal["load", "motion"] = Field("motion", description="same kN, or same ship motion")
    design_break_force: q.Strength | None = Field(None, description="LDBF of its certificate, over the card's")
    diameter: q.Diameter | None = Field(None, description="diameter of the loaded rope, over the card's")
    mass_per_length: q.Mass | None = Field(None, description="load-bearing mass per metre, over the card's")
    bending_test: BendingTestForm | None = Field(
        None, description="a bending test of this rope, over the card's anchor"
    )


class SpreadForm(Strict):
    """Samples of the band."""

    samples: Annotated[Literal[256, 512, 1024, 2048, 4096, 8192], BeforeValidator(_number)] = 2048
    seed: Annotated[WholeNumber, Field(ge=0, le=2**31 - 1)] = 1


class PastForm(Strict):
    """An earlier trade of the rope on board, oldest first."""

    name: Name
    lasted: Known = Field(description="how long the rope served there, before today")
    berth: list[BerthForm] = Field(min_length=1)


class CaseForm(Strict):
    """The whole of `case.toml`."""

    format: Annotated[Literal[1], BeforeValidator(_number)]
    title: Name
    note: Note = ""
    ship: ShipForm
    mechanisms: list[Mechanism] = Field(
        default_factory=lambda: list(MECHANISMS), min_length=1, description="mechanisms of loss to assess, by name"
    )
    criteria: CriteriaForm = CriteriaForm()
    spread: SpreadForm = SpreadForm()
    line: list[LineForm] = Field(min_length=1)
    berth: list[BerthForm] = Field(min_length=1)
    compare: list[CompareForm] = Field(default_factory=list)
    history: list[PastForm] = Field(default_factory=list, description="earlier trades of the rope on board")
    evidence: list[EvidenceForm] = Field(
        default_factory=list, description="what is known of the rope on board: it weights the draws"
    )
    plan: PlanForm = Field(PlanForm(), description="material over the ship's life, for the command plan")


def read_case(path: Path) -> model.Case:
    """The case of a TOML file. Raises InputError with every problem and its line."""
    return case_of(*base_form.read_toml(path, "case"), path)


def case_of(text: str, raw: dict[str, Any], path: Path) -> model.Case:
    """The case of a text and its tables. Raises InputError with every problem and its line."""
    if not raw:
        raise InputError(
            f"{path} is empty.",
            [Problem(str(path), "nothing", "a case", "linewright new asks for one; linewright demo writes an example")],
        )
    filled = base_form.fill(CaseForm, raw, text, str(path), rules=rules.broken)
    case = to_model(filled, places.lines_of(text), path.name)
    return replace(case, digest=hashlib.sha256(text.encode()).hexdigest())


def to_model(form: CaseForm, found: Mapping[places.Path, int], file: str) -> model.Case:
    """The frozen case of a filled form; `found` maps key paths to lines."""
    reader = _Reader(dict(found), file)
    lines = tuple(reader.line(item, index) for index, item in enumerate(form.line))
    berths = tuple(reader.berth(item, index) for index, item in enumerate(form.berth))
    load = reader.datum("ship_design_break_load", "force", form.ship.design_break_load, ("ship", "design_break_load"))
    compared = tuple(
        model.Compared(item.rope, item.same, reader.size(item, path, f"compared {item.rope}"), reader.at(path))
        for index, item in enumerate(form.compare)
        if (path := ("compare", index))
    )
    past = tuple(reader.past(item, index) for index, item in enumerate(form.history))
    known = tuple(read_evidence(reader, item, index) for index, item in enumerate(form.evidence))
    return model.Case(
        form.title, load.value, lines, berths, compared, reader.criteria(form.criteria), tuple(form.mechanisms),
        form.spread.samples, form.spread.seed, tuple(reader.typed), file, form.note, past=past, evidence=known,
        plan=read_plan(reader, form.plan),
    )  # fmt: skip


class _Reader(TypedReader):
    """Turns filled forms into the model and notes where every number was typed."""

    def criteria(self, form: CriteriaForm) -> model.Criteria:
        default, path, owner = model.Criteria(), ("criteria",), "criteria"
        shares = {
            key: self.number(key, "fraction", getattr(form, key), path, owner)
            for key in ("strength_left", "creep_damage", "tension_damage")
        }
        given = {key: value for key, value in shares.items() if value is not None}
        margin = self.number("margin", "number", form.margin, path, owner)
        age = self.number("age", "duration", form.age, path, owner)
        least = default.margin if margin is None else margin
        return replace(default, margin=least, age=age, **given)

    def size(self, form: LineForm | CompareForm, path: places.Path, owner: str) -> dict[str, Datum]:
        """What a rope's certificate says over its card."""
        kinds = {"design_break_force": "force", "diameter": "length", "mass_per_length": "mass_per_length"}
        given = {key: typed for key in kinds if (typed := getattr(form, key)) is not None}
        own = {key: self.datum(key, kinds[key], typed, (*path, key), owner) for key, typed in given.items()}
        return {**own, **read_bending_test(self, form.bending_test, (*path, "bending_test"), owner)}

    def line(self, form: LineForm, index: int) -> model.LineGroup:
        path = ("line", index)
        inboard = self.datum("inboard_length", "length", form.inboard_length, (*path, "inboard_length"), form.name)
        outboard = self.datum("outboard_length", "length", form.outboard_length, (*path, "outboard_length"), form.name)
        own = self.size(form, path, form.name)
        contacts = tuple(self.contact(item, (*path, "contact", n), form.name) for n, item in enumerate(form.contact))
        tail = None
        if form.tail is not None:
            length = self.datum("length", "length", form.tail.length, (*path, "tail", "length"), f"{form.name}, tail")
            tail = model.Tail(form.tail.rope, length.value)
        whole = self.number("length", "length", form.length, path, form.name)
        return model.LineGroup(
            form.name, form.count, form.rope, own, inboard, outboard.value, contacts, tail, form.practice,
            self.at(path), whole,
        )  # fmt: skip

    def contact(self, form: ContactForm, path: places.Path, line: str) -> model.ContactUse:
        name = form.name or form.card.replace("-", " ")
        own: dict[str, Datum] = {}
        owner = f"{line}, {name}"
        if form.bend_radius is not None:
            own["bend_radius"] = self.datum("bend_radius", "length", form.bend_radius, (*path, "bend_radius"), owner)
        if form.wrap is not None:
            own["wrap_angle"] = self.datum("wrap_angle", "angle", form.wrap, (*path, "wrap"), owner)
        if form.inboard_length is not None:
            place = (*path, "inboard_length")
            own["inboard_length"] = self.datum("inboard_length", "length", form.inboard_length, place, owner)
        return model.ContactUse(name, form.card, own, form.reuse)

    def past(self, form: PastForm, index: int) -> model.Past:
        """An earlier trade; its berths carry its name, so that they keep apart from today's."""
        path = ("history", index)
        lasted = self.datum("lasted", "duration", form.lasted, (*path, "lasted"), form.name).value / YEAR
        named = [item.model_copy(update={"name": f"{form.name}: {item.name}"}) for item in form.berth]
        return model.Past(form.name, lasted, tuple(self.berth(item, n, path) for n, item in enumerate(named)))

    def berth(self, form: BerthForm, index: int, within: places.Path = ()) -> model.Berth:
        path = (*within, "berth", index)
        calls = self.datum("calls_per_year", "number", form.calls_per_year, (*path, "calls_per_year"), form.name)
        hours = self.datum("hours_per_call", "duration", form.hours_per_call, (*path, "hours_per_call"), form.name)
        states = tuple(self.state(item, (*path, "state", n), form.name) for n, item in enumerate(form.state))
        months = tuple(form.months)
        place = (form.place.latitude.value, form.place.longitude.value) if form.place else None
        alongside = hours.value / q.HOUR
        return model.Berth(form.name, form.climate, calls.value, alongside, months, states, self.at(path), place)

    def state(self, form: StateForm, path: places.Path, berth: str) -> model.State:
        owner = f"{berth}, {form.name}"
        share = self.datum("share", "fraction", form.share, (*path, "share"), owner)
        wetness = self.number("wetness", "fraction", form.wetness, path, owner)
        tension = {
            name: self.tension(item, (*path, "tension", name), f"{owner}: {name}")
            for name, item in form.tension.items()
        }
        spread = None
        if form.payout_spread is not None:
            spread = self.datum("payout_spread", "length", form.payout_spread, (*path, "payout_spread"), owner)
        sea = tuple(self.wave(item, (*path, "sea", n), owner) for n, item in enumerate(form.sea))
        lasts = self.number("lasts", "duration", form.lasts, path, owner)
        hours = None if lasts is None else lasts / q.HOUR
        return model.State(form.name, share.value, wetness or 0.0, tension, spread, sea, form.sea_file or "", hours)

    def wave(self, form: WaveForm, path: places.Path, owner: str) -> model.Wave:
        height = self.datum("height", "length", form.height, (*path, "height"), owner).value
        period, shortest, longest = (
            self.number(key, "duration", getattr(form, key), path, owner) for key in ("period", "shortest", "longest")
        )
        peakedness = self.number("peakedness", "number", form.peakedness, path, owner)
        band = (shortest, longest) if shortest is not None and longest is not None else None
        return model.Wave(height, period or 0.0, peakedness or 1.0, band)

    def response(self, form: TensionForm, path: places.Path, owner: str) -> model.Response | None:
        """The answer of a line to the sea, or None where its tension is given otherwise."""
        tension = self.number("response", "force_per_length", form.response, path, owner)
        motion = self.number("motion_response", "motion_per_wave", form.motion_response, path, owner)
        given = (tension, motion, form.response_file, form.spectrum)
        if all(item is None for item in given):
            return None
        method = form.method or "Dirlik"
        return model.Response(tension, motion, form.response_file or "", form.spectrum or "", method)

    def tension(self, form: TensionForm, path: places.Path, owner: str) -> model.Tension:
        self.load("mean", form.mean, path, owner)
        self.load("amplitude", form.amplitude, path, owner)
        self.load("highest", form.highest, path, owner)
        period = self.number("period", "duration", form.period, path, owner)
        motion = self.number("motion", "length", form.motion, path, owner)
        kind = form.amplitude_kind or "significant"
        mean = form.mean or units.Load(0.0, "N")
        place = self.at(path)
        return model.Tension(
            mean, form.amplitude, motion, period or STEADY_PERIOD, kind, form.log or "", form.channel or "", place,
            self.response(form, path, owner), form.highest,
        )  # fmt: skip
