"""The form of `[plan]`: the ship's life, dockings, tails, spares, and the user's own factors of cost and CO2e."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from linewright.base.form import Bounds, Name, Strict, Typed, WholeNumber, typed
from linewright.case import model
from linewright.case.plan.rules import TABLE, YEAR
from linewright.case.typed import TypedReader

ShipLife = Annotated[
    Typed, typed("duration", Bounds("a ship's life more than 0 and at most 60 years", most=60.1 * YEAR, above=0.0))
]
Docking = Annotated[
    Typed, typed("duration", Bounds("a time between dockings from 0.5 to 60 years", 0.49 * YEAR, 60.1 * YEAR))
]
TailInterval = Annotated[Typed, typed("duration", Bounds("a time from 0.1 to 30 years", 0.099 * YEAR, 30.1 * YEAR))]
Price = Annotated[Typed, typed("number", Bounds("a price from 0 to 1e9, a number without unit", 0.0, 1e9))]
Emission = Annotated[Typed, typed("number", Bounds("kg CO2e per kg from 0 to 1000, a number", 0.0, 1e3))]
TIMES = {"ship_life": "duration", "docking": "duration", "tail_interval": "duration"}
FACTORS = ("price_per_kg", "price_per_line", "price_per_tail", "co2e_per_kg", "tail_co2e_per_kg")


class PlanForm(Strict):
    """Material over the ship's life; a factor that is not given leaves its column out."""

    ship_life: ShipLife | None = Field(None, description="time to plan for (default 25 years)")
    docking: Docking | None = Field(
        None, description="time between dockings: renewals are brought forward to them (default: at the set's own end)"
    )
    tail_interval: TailInterval | None = Field(
        None, description="renewal of tails, or at the end of their own life if sooner (default 18 months)"
    )
    spares: Annotated[WholeNumber, Field(ge=0, le=50)] = Field(0, description="spare lines on the ship, bought once")
    currency: Name | None = Field(None, description="currency of the prices, a word beside the cost")
    price_per_kg: Price | None = Field(None, description="price of a kilogram of rope; or give price_per_line")
    price_per_line: Price | None = Field(None, description="price of one line; or give price_per_kg")
    price_per_tail: Price | None = Field(None, description="price of one tail")
    co2e_per_kg: Emission | None = Field(None, description="kg CO2e of a kilogram of rope")
    tail_co2e_per_kg: Emission | None = Field(None, description="kg CO2e of a kilogram of tail")


def read_plan(reader: TypedReader, form: PlanForm) -> model.Plan:
    """The plan as the services take it; what was typed stays with it and out of other results."""
    own = TypedReader(reader.found, reader.file)
    path, given = (TABLE,), {}
    for key, kind in (*TIMES.items(), *((name, "number") for name in FACTORS)):
        value = own.number(key, kind, getattr(form, key), path, TABLE)
        if value is not None:
            given[key] = value / YEAR if key in TIMES else value
    return model.Plan(**given, spares=form.spares, currency=form.currency or "", typed=tuple(own.typed))
