"""The form of `[[evidence]]`: what is known of the rope on board, and how well."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, Field

from linewright.base import units
from linewright.base.form import Bounds, Name, Note, Strict, Tension, Typed, typed
from linewright.base.units import YEAR_HOURS
from linewright.case import model
from linewright.case.evidence.rules import KINDS
from linewright.case.typed import TypedReader

YEAR = 3600.0 * YEAR_HOURS
DOUBTS = {"retired_at": 0.30, "in_service_at": 0.30, "residual": 0.05, "core": 3.0, "elongation": 0.20}

Known = Annotated[
    Typed, typed("duration", Bounds("an age more than 0 and at most 30 years", most=30.1 * YEAR, above=0.0))
]
Core = Annotated[Typed, typed("temperature", Bounds("a core from -60 to 200 degC", 213.0, 474.0))]
Longer = Annotated[Typed, typed("length", Bounds("a lengthening more than 0 and at most 100 m", most=100.0, above=0.0))]
Doubt = Annotated[Typed, typed("fraction", Bounds("a doubt from 1 % to 100 %", 0.01, 1.0))]
CoreDoubt = Annotated[Typed, typed("temperature_difference", Bounds("a doubt from 0.2 to 30 K", 0.2, 30.0))]


def _strength(load: units.Load) -> units.Load:
    """A strength left is more than nothing: a rope that parted is retired."""
    if not load.value > 0.0:
        raise units.UnitError("0", "a strength more than 0", "a rope that parted: retired_at")
    return load


Left = Annotated[Tension, AfterValidator(_strength)]


class EvidenceForm(Strict):
    """One thing known of the rope on board; exactly one of the five kinds."""

    line: Name = Field(description="line group that it was seen on")
    retired_at: Known | None = Field(None, description="age at which a line was taken out, worn to the criteria")
    in_service_at: Known | None = Field(None, description="age of a line that is still within the criteria")
    residual: Left | None = Field(None, description="strength left in a break test; give its age")
    core: Core | None = Field(None, description="highest core temperature seen in a state; give berth and state")
    elongation: Longer | None = Field(None, description="how much longer the line has become for good; give its age")
    age: Known | None = Field(None, description="age of the line at the break test or measurement")
    berth: Name | None = Field(None, description="berth of the state where the core was measured")
    state: Name | None = Field(None, description="state where the core was measured")
    doubt: Doubt | None = Field(
        None, description="one standard deviation, a share (default: ages 30 %, residual 5 %, elongation 20 %)"
    )
    core_doubt: CoreDoubt | None = Field(None, description="one standard deviation of a core (default 3 K)")
    note: Note = ""


def read(reader: TypedReader, form: EvidenceForm, index: int) -> model.Evidence:
    """One entry as the assessment takes it."""
    path, owner = ("evidence", index), f"evidence {index + 1}"
    kind = next(name for name in KINDS if getattr(form, name) is not None)
    base, value = "N", 0.0
    if form.residual is not None:
        reader.load("residual", form.residual, path, owner)
        base, value = form.residual.base, form.residual.value
    else:
        unit = {"core": "temperature", "elongation": "length"}.get(kind, "duration")
        value = reader.number(kind, unit, getattr(form, kind), path, owner) or 0.0
        value = value / YEAR if unit == "duration" else value
    age = reader.number("age", "duration", form.age, path, owner) or 0.0
    share = reader.number("doubt", "fraction", form.doubt, path, owner)
    kelvin = reader.number("core_doubt", "temperature_difference", form.core_doubt, path, owner)
    doubt = kelvin if kind == "core" else share
    place = (form.berth or "", form.state or "")
    return model.Evidence(
        kind, form.line, value, DOUBTS[kind] if doubt is None else doubt, age / YEAR, place, base, reader.at(path)
    )
