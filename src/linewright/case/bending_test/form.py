"""The form of `[line.bending_test]` and `[compare.bending_test]`: what a certificate says of a bending test."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from linewright.base import places
from linewright.base.data import Datum
from linewright.base.form import Bounds, Strict, Typed, WholeNumber, typed
from linewright.base.units import ZERO_CELSIUS
from linewright.case.typed import TypedReader

Cycles = Annotated[Typed, typed("number", Bounds("bending cycles from 100 to 1e7", 100.0, 1e7, band=True))]
Load = Annotated[Typed, typed("fraction", Bounds("a load from 5 to 80 % of the break force", 0.05, 0.80))]
Ratio = Annotated[Typed, typed("number", Bounds("a bend ratio D/d from 5 to 60", 5.0, 60.0))]
Stroke = Annotated[Typed, typed("number", Bounds("a stroke from 1 to 30 rope diameters", 1.0, 30.0))]
Temperature = Annotated[
    Typed, typed("temperature", Bounds("a rope temperature from 0 to 85 degC", 273.15, 358.15, band=True))
]
Scatter = Annotated[Typed, typed("number", Bounds("a standard deviation of log10 from 0.01 to 1", 0.01, 1.0))]
Cooling = Literal["water-cooled", "dry"]
ROPE = {"water-cooled": (15.0, 20.0, 25.0), "dry": (30.0, 45.0, 60.0)}  # [degC] 5 %, centre, 95 %; estimates
PARTS = {
    "cycles": "bending_reference_cycles",
    "load": "bending_reference_load",
    "bend_ratio": "bending_reference_ratio",
    "stroke": "bending_reference_stroke",
    "temperature": "bending_test_temperature",
    "scatter": "bending_test_scatter",
}
KINDS = {"load": "fraction", "temperature": "temperature"}


class BendingTestForm(Strict):
    """A bending test of this rope: it takes the place of the card's anchor; the exponents stay."""

    cycles: Cycles = Field(description="bending cycles to failure; of several ropes their mean (of the logarithms)")
    load: Load = Field(description="tension over the break force")
    bend_ratio: Ratio = Field(description="D/d, bend diameter over rope diameter")
    stroke: Stroke = Field(description="length drawn over the bend, in rope diameters")
    temperature: Temperature | None = Field(None, description="the rope's own temperature in the test")
    cooling: Cooling = Field(
        "dry", description="where that was not measured: water-cooled 20 degC (15 to 25), dry 45 degC (30 to 60)"
    )
    ropes: Annotated[WholeNumber, Field(ge=1, le=100)] = Field(1, description="ropes tested")
    scatter: Scatter | None = Field(
        None, description="standard deviation of log10 cycles between them (default 0.15, an estimate)"
    )


def read(reader: TypedReader, form: BendingTestForm | None, path: places.Path, owner: str) -> dict[str, Datum]:
    """The test's data by card key, with `bending_test_ropes` and, where told, `bending_test_scatter`."""
    if form is None:
        return {}
    found = {
        key: reader.datum(key, KINDS.get(name, "number"), given, (*path, name), owner)
        for name, key in PARTS.items()
        if (given := getattr(form, name)) is not None
    }
    if form.temperature is None:
        key, words = PARTS["temperature"], f"{form.cooling} test, the rope's temperature is not told"
        low, value, high = (ZERO_CELSIUS + celsius for celsius in ROPE[form.cooling])
        found[key] = Datum(
            key, "temperature", value, low, high, "estimate", reader.at((*path, "cooling")), words, "degC", "normal",
            owner=owner,
        )  # fmt: skip
    ropes, key = float(form.ropes), "bending_test_ropes"
    found[key] = Datum(key, "number", ropes, ropes, ropes, "given", reader.at((*path, "ropes")), owner=owner)
    return found
