"""The form of a running study, `running.toml`: every key, checked all at once, each error with its line."""

from __future__ import annotations

import hashlib
import math
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field

from linewright.base import form as base_form
from linewright.base import places
from linewright.base.data import Datum
from linewright.base.errors import InputError, Problem
from linewright.base.form import Bounds, Name, Note, Strict, Switch, Tension, Typed, WholeNumber, typed
from linewright.case.running import model, rules
from linewright.case.typed import TypedReader

DAY = 86400.0
COLDEST = 273.15 - 40.0 - 1e-6  # -40 degC, and what rounding makes of it [K]

Diameter = Annotated[Typed, typed("length", Bounds("a diameter from 5 mm to 500 mm", 0.005, 0.5, band=True))]
Mass = Annotated[Typed, typed("mass_per_length", Bounds("a mass from 0.01 to 200 kg/m", 0.01, 200.0, band=True))]
Strength = Annotated[Typed, typed("force", Bounds("a break force from 1 kN to 1e6 kN", 1e3, 1e9, band=True))]
Length = Annotated[Typed, typed("length", Bounds("a length more than 0 and at most 20 km", most=2e4, above=0.0))]
Span = Annotated[Typed, typed("length", Bounds("a span more than 0 and at most 10 km", most=1e4, above=0.0))]
Wheel = Annotated[Typed, typed("length", Bounds("a diameter from 20 mm to 20 m", 0.02, 20.0))]
Wrap = Annotated[
    Typed, typed("angle", Bounds("a wrap angle from 1 to 360 deg", math.radians(1.0), 2.0 * math.pi + 1e-9))
]
Loss = Annotated[Typed, typed("number", Bounds("a share of the tension from 0 to 0.2", 0.0, 0.2, band=True))]
Exposed = Annotated[Typed, typed("fraction", Bounds("a share of the round from 0 to 1", 0.0, 1.0, band=True))]
Payout = Annotated[Typed, typed("length", Bounds("a paid-out length from 0 to 20 km", 0.0, 2e4))]
Amplitude = Annotated[
    Typed, typed("length", Bounds('half the travel, more than 0: for none write motion = "rest"', most=2e4, above=0.0))
]
Period = Annotated[
    Typed, typed("duration", Bounds("a period from 0.5 s to 5 min: a slower motion is a travel", 0.5, 300.0))
]
Speed = Annotated[
    Typed,
    typed("speed", Bounds('a speed from 0.001 to 20 m/s: for none write motion = "rest"', 0.001, 20.0)),
]
Duration = Annotated[Typed, typed("duration", Bounds("a duration from 1 s to 60 days", 1.0, 60.0 * DAY))]
Warmth = Annotated[Typed, typed("temperature", Bounds("a temperature from -40 to 60 degC", COLDEST, 333.15, band=True))]
Dew = Annotated[Typed, typed("temperature", Bounds("a dew point from -40 to 40 degC", COLDEST, 313.15))]
Sea = Annotated[
    Typed, typed("temperature", Bounds("a temperature from -2 to 40 degC", 271.15 - 1e-6, 313.15, band=True))
]
Wind = Annotated[Typed, typed("speed", Bounds("a wind from 0 to 40 m/s", 0.0, 40.0, band=True))]
Current = Annotated[Typed, typed("speed", Bounds("a current from 0 to 5 m/s", 0.0, 5.0))]
Sun = Annotated[Typed, typed("irradiance", Bounds("sun from 0 to 1200 W/m2", 0.0, 1200.0))]
Film = Annotated[Typed, typed("conductance", Bounds("a film from 10 to 1e5 W/m2K", 10.0, 1e5, band=True))]
Often = Annotated[Typed, typed("number", Bounds("a number of runs from 0.01 to 100 000 a year", 0.01, 1e5))]
Wires = Annotated[Typed, typed("stress", Bounds("a wire strength from 1000 to 2500 MPa", 1e9, 2.5e9))]
Steel = Annotated[Typed, typed("length", Bounds("a diameter from 2 mm to 200 mm", 0.002, 0.2))]
Coefficient = Annotated[Typed, typed("number", Bounds("a coefficient from -50 to 50", -50.0, 50.0))]
Ratio = Annotated[Typed, typed("number", Bounds("a ratio D/d from 1 to 200", 1.0, 200.0))]
PerSquare = Annotated[Typed, typed("stress", Bounds("S/d2 from 1 to 2000 MPa", 1e6, 2e9))]
Limit = Annotated[Typed, typed("temperature", Bounds("a limit from 0 to 200 degC", 273.15, 473.15))]


class RopeForm(Strict):
    """The rope: a card, and what its certificate says over it."""

    card: Name = Field(description="name of a rope card")
    length: Length = Field(description="length of the whole rope")
    diameter: Diameter | None = Field(None, description="diameter of the loaded rope, over the card's")
    mass_per_length: Mass | None = Field(None, description="load-bearing mass per metre, over the card's")
    design_break_force: Strength | None = Field(None, description="LDBF of the certificate, over the card's")


class DrumForm(Strict):
    """The drum: the rope bends where it meets it."""

    diameter: Wheel = Field(description="diameter of the drum, or of the layer that runs")
    surroundings: model.Medium = Field("air", description="what the open skin of the rope on it meets")
    exposed: Exposed | None = Field(None, description="open share of the rope's round on it, over the practice card's")


class WeatherForm(Strict):
    """Air and sun."""

    air: Warmth
    dew_point: Dew
    wind: Wind = Field(description="across the rope, at the rope")
    sun: Sun | None = Field(None, description="on a plane square to the beam (default none: night or shade)")


class SprayForm(Strict):
    """Water spray: a film has no correlation that fits, so that it is asked for, with a band."""

    film: Film = Field(description="film coefficient of sprayed rope; 100 to 1000 W/m2K unless measured")
    temperature: Sea = Field(description="of the spray where it meets the rope")


class WaterForm(Strict):
    """The sea."""

    temperature: Sea
    current: Current | None = Field(None, description="across the rope (default none)")


class PartForm(Strict):
    """A part of the path, in order from the drum out; the last is a span without length, to the rope's end."""

    name: Name
    kind: model.Kind
    surroundings: model.Medium = Field("air", description="what the open skin meets")
    length: Span | None = Field(None, description="of a span")
    card: Name = Field("sheave", description="of a sheave: name of a contact card that turns")
    diameter: Wheel | None = Field(None, description="of a sheave, where the rope bends")
    wrap: Wrap | None = Field(None, description="of a sheave: angle over which the rope touches")
    bearing_loss: Loss | None = Field(None, description="of a sheave: tension lost in its bearing over tension")
    seized: Switch = Field(False, description="the sheave does not turn: the rope slides over it")


class PhaseForm(Strict):
    """A phase of the programme."""

    name: Name
    motion: model.MotionKind
    tension: Tension = Field(description="mean tension at the drum, the same all along the path")
    payout: Payout | None = Field(None, description="of a heave or rest: paid-out length, the mean of a heave")
    amplitude: Amplitude | None = Field(None, description="of a heave: half the travel")
    period: Period | None = Field(None, description="of a heave")
    start: Payout | None = Field(None, description="of a travel: paid-out length at its start")
    end: Payout | None = Field(None, description="of a travel: paid-out length at its end")
    speed: Speed | None = Field(None, description="of a travel")
    duration: Duration | None = Field(None, description="of a heave or rest; a travel takes what its speed says")
    tension_amplitude: Tension | None = Field(None, description="half the tension range (default none)")
    tension_period: Period | None = Field(None, description="of the tension (default the heave's)")
    amplitude_kind: Literal["constant", "significant"] | None = Field(
        None, description="of the tension: constant, or significant (2 sigma, Rayleigh); needed with an amplitude"
    )


class LimitsForm(Strict):
    """What the core is asked to stay below."""

    core: Limit | None = Field(None, description="for the required cooling (default the card's long-term limit)")


class ServiceForm(Strict):
    """How often the programme is run."""

    duties_per_year: Often = Field(description="runs of the whole programme a year; without it life is told in runs")


class WireForm(Strict):
    """A wire rope in the same place: bending endurance by the user's own coefficients, which no card here has."""

    diameter: Steel = Field(description="of the wire rope")
    wire_strength: Wires = Field(description="nominal strength of its wires")
    b0: Coefficient = Field(description="constant of lg N; coefficients of one construction, with their source at hand")
    b1: Coefficient = Field(description="slope of lg(S/d2 in N/mm2)")
    b2: Coefficient = Field(description="slope of lg(D/d)")
    b3: Coefficient | None = Field(None, description="slope of lg(d in mm) (default none)")
    b4: Coefficient = Field(description="slope of lg(D/d) times lg(S/d2)")
    b5: Coefficient | None = Field(None, description="of the bent length, 1/(b5 + lg l/d); needs bent_length")
    bent_length: Span | None = Field(None, description="length l of rope that is bent in each cycle; needs b5")
    lowest_ratio: Ratio | None = Field(None, description="lowest D/d that the coefficients were found at")
    highest_ratio: Ratio | None = Field(None, description="highest D/d that the coefficients were found at")
    highest_stress: PerSquare | None = Field(None, description="highest S/d2 that the coefficients were found at")


class SpreadForm(Strict):
    """Samples of the band."""

    samples: Literal[16, 32, 64, 128, 256, 512] = 128
    seed: Annotated[WholeNumber, Field(ge=0, le=2**31 - 1)] = 1


class RunningForm(Strict):
    """The whole of a running study."""

    format: Literal[1]
    title: Name
    note: Note = ""
    practice: Name = Field("running-rope", description="name of a practice card: film factor, drum, partial bends")
    repeat: Annotated[WholeNumber, Field(ge=1, le=200)] = Field(1, description="times that the programme is run")
    rope: RopeForm
    drum: DrumForm
    weather: WeatherForm
    spray: SprayForm | None = None
    water: WaterForm | None = None
    limits: LimitsForm = LimitsForm()
    service: ServiceForm | None = None
    wire_rope: WireForm | None = None
    spread: SpreadForm = SpreadForm()
    path: list[PartForm] = Field(min_length=1, max_length=40)
    phase: list[PhaseForm] = Field(min_length=1, max_length=60)


def read_running(file: Path) -> model.Running:
    """The study of a TOML file. Raises InputError with every problem and its line."""
    text, raw = base_form.read_toml(file, "running study")
    if not raw:
        needs, do = "a running study", "linewright running --example FOLDER writes one"
        raise InputError(f"{file} is empty.", [Problem(str(file), "nothing", needs, do)])
    filled = base_form.fill(RunningForm, raw, text, str(file), rules=rules.broken)
    study = _Reader(places.lines_of(text), file.name).study(filled)
    return replace(study, digest=hashlib.sha256(text.encode()).hexdigest())


class _Reader(TypedReader):
    """Turns the filled form into the model."""

    def study(self, form: RunningForm) -> model.Running:
        """The whole study."""
        rope = self._some(form.rope, ("rope",), {"diameter": "length", "mass_per_length": "mass_per_length",
                                                 "design_break_force": "force"}, "rope")  # fmt: skip
        length = self.datum("length", "length", form.rope.length, ("rope", "length"), "rope").value
        limit = self.number("core", "temperature", form.limits.core, ("limits",), "limits")
        often = form.service.duties_per_year if form.service else None
        duties = self.number("duties_per_year", "number", often, ("service",), "service")
        wire = self._wire(form.wire_rope)
        return model.Running(
            form.title, form.rope.card, self.at(("rope", "card")), rope, length, form.drum.surroundings,
            self._surroundings(form), tuple(self._part(item, index) for index, item in enumerate(form.path)),
            tuple(self._phase(item, index) for index, item in enumerate(form.phase)), form.practice, limit,
            form.repeat, form.spread.samples, form.spread.seed, tuple(self.typed), self.file, form.note,
            duties_per_year=duties, wire=wire,
        )  # fmt: skip

    def _wire(self, form: WireForm | None) -> model.Wire | None:
        """The wire rope beside; its coefficients are those that the study gives."""
        if form is None:
            return None
        kinds = {"diameter": "length", "wire_strength": "stress", "bent_length": "length", "highest_stress": "stress"}
        kinds |= dict.fromkeys(("b0", "b1", "b2", "b3", "b4", "b5", "lowest_ratio", "highest_ratio"), "number")
        given = {key: datum.value for key, datum in self._some(form, ("wire_rope",), kinds, "wire_rope").items()}
        strength, slope, bent = given.pop("wire_strength"), given.pop("b3", 0.0), given.pop("bent_length", math.inf)
        beyond: dict[str, Any] = {
            key: given.pop(key, None) for key in ("b5", "lowest_ratio", "highest_ratio", "highest_stress")
        }
        return model.Wire(strength=strength, b3=slope, bent_length=bent, **given, **beyond)

    def _some(self, form: Any, path: places.Path, kinds: dict[str, str], owner: str) -> dict[str, Datum]:
        """The data of the keys that are given."""
        given = {key: typed for key in kinds if (typed := getattr(form, key)) is not None}
        return {key: self.datum(key, kinds[key], typed, (*path, key), owner) for key, typed in given.items()}

    def _surroundings(self, form: RunningForm) -> dict[str, Datum]:
        """Drum, air, spray and sea; the sea's and the spray's keys carry their table's name."""
        found = {"drum_diameter": self.datum("diameter", "length", form.drum.diameter, ("drum", "diameter"), "drum")}
        if form.drum.exposed is not None:
            found["drum_exposure"] = self.datum("exposed", "fraction", form.drum.exposed, ("drum", "exposed"), "drum")
        air = {"air": "temperature", "dew_point": "temperature", "wind": "speed", "sun": "irradiance"}
        found |= self._some(form.weather, ("weather",), air, "weather")
        for name, kinds in (("spray", {"film": "conductance", "temperature": "temperature"}),
                            ("water", {"temperature": "temperature", "current": "speed"})):  # fmt: skip
            table = getattr(form, name)
            rows = self._some(table, (name,), kinds, name) if table is not None else {}
            found |= {f"{name}_{key}": datum for key, datum in rows.items()}
        return found

    def _part(self, form: PartForm, index: int) -> model.Part:
        path = ("path", index)
        if form.kind == "span":
            length = self.number("length", "length", form.length, path, form.name)
            return model.Part(form.name, "span", form.surroundings, length, where=self.at(path))
        data = self._some(form, path, {"diameter": "length", "bearing_loss": "number"}, form.name)
        if form.wrap is not None:
            data["wrap_angle"] = self.datum("wrap", "angle", form.wrap, (*path, "wrap"), form.name)
        return model.Part(form.name, "sheave", form.surroundings, None, form.card, form.seized, data, self.at(path))

    def _phase(self, form: PhaseForm, index: int) -> model.Phase:
        path = ("phase", index)
        self.load("tension", form.tension, path, form.name)
        self.load("tension_amplitude", form.tension_amplitude, path, form.name)
        kinds = {"payout": "length", "amplitude": "length", "period": "duration", "start": "length", "end": "length",
                 "speed": "speed", "duration": "duration", "tension_period": "duration"}  # fmt: skip
        given = {key: datum.value for key, datum in self._some(form, path, kinds, form.name).items()}
        given.setdefault("tension_period", given.get("period", 0.0))
        swing, kind = form.tension_amplitude, form.amplitude_kind or ""
        return model.Phase(
            form.name, form.motion, form.tension, tension_amplitude=swing, amplitude_kind=kind, where=self.at(path),
            **given,
        )  # fmt: skip
