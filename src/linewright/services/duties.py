"""What a result says of the duty it was made for: berths with their climates, states with their origin, contacts."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from linewright.assessment.whole import Whole
from linewright.base.data import Datum
from linewright.base.findings import Finding
from linewright.base.sources import BASES
from linewright.case.model import Berth, State, Tension, Wave
from linewright.services.used import climate_row

Row = dict[str, Any]
SHAPE = ("bend_radius", "wrap_angle")


def duty_row(whole: Whole) -> Row:
    """The duty of a case as it is stored: berths, where the tension of each state comes from, contacts."""
    case = whole.case
    return {
        "ship_design_break_load": case.ship_design_break_load,
        "ship_basis": weakest(datum for datum in case.typed if datum.key == "ship_design_break_load"),
        "berths": [_berth(whole, berth) for berth in case.berths],
        "states": [
            _state(whole, berth, state, line)
            for berth in case.berths
            for state in berth.states
            for line in state.tension
        ],
        "contacts": _contacts(whole),
    }


def weakest(data: Iterable[Datum]) -> str:
    """The weakest basis of some data; `given` where there are none."""
    return max((datum.basis for datum in data), key=BASES.index, default="given")


def _typed(whole: Whole, owner: str) -> list[Datum]:
    return [datum for datum in whole.case.typed if datum.owner == owner]


def _state(whole: Whole, berth: Berth, state: State, line: str) -> Row:
    basis = weakest(_typed(whole, f"{berth.name}, {state.name}: {line}"))
    return {
        "berth": berth.name, "name": state.name, "line": line, "from": origin(state, state.tension[line], basis),
    }  # fmt: skip


def _berth(whole: Whole, berth: Berth) -> Row:
    return {
        "name": berth.name,
        "calls_per_year": berth.calls_per_year,
        "hours_per_call": berth.hours_per_call,
        "months": list(berth.months),
        "climate": berth.climate,
        "basis": weakest(_typed(whole, berth.name)),
    }


def invented_weather(whole: Whole) -> list[Finding]:
    """The caution that names every berth whose climate card is invented."""
    climates = {name: climate_row(whole, climate) for name, climate in whole.shelf.climates.items()}
    told = ", ".join(berth.name for berth in whole.case.berths if is_invented(climates[berth.climate]))
    text = f"the weather of {told} is invented: no place has it"
    return [Finding("weather-invented", "caution", text, told)] if told else []


def is_invented(datum: Row) -> bool:
    """Whether the source of a climate, or of a datum, is an invented one; free text beside it does not count."""
    return any("invented" in str(datum[key]).lower() for key in ("source", "source_title"))


def climate_of(result: Row, card: str) -> Row:
    """The row of `used` of a climate card, or its bare name."""
    bare = {"value": card, "basis": "basis unknown", "source": "", "source_title": "", "where": ""}
    found = (item for item in result["used"] if (item["owner"], item["key"]) == (card, "months"))
    return next(found, bare)


def climate_at(result: Row, berth: str) -> Row:
    """The row of `used` of a berth's climate card; a bare one for results of early runs."""
    cards = {row["name"]: row["climate"] for row in result.get("duty", {}).get("berths", [])}
    return climate_of(result, cards.get(berth, ""))


def origin(state: State, tension: Tension, basis: str = "given") -> str:
    """Where the tension of a state comes from, in words: given or an estimate, from a motion, a record, or a sea."""
    if tension.log:
        return f"record {tension.record}"
    if tension.response is not None:
        source = tension.response.spectrum
        return f"spectrum {source}" if source else _sea(state)
    if tension.motion is not None:
        return f"motion of the ship {tension.motion:g} m, {tension.amplitude_kind}"
    is_steady = tension.amplitude is None or tension.amplitude.value == 0.0
    return f"{basis}, steady" if is_steady else f"{basis}, {tension.amplitude_kind}"


def _sea(state: State) -> str:
    return f"sea {state.sea_file or ' and '.join(map(_wave, state.sea))}"


def _wave(wave: Wave) -> str:
    if wave.band is not None:
        return f"{wave.height:g} m of {wave.band[0]:g} to {wave.band[1]:g} s"
    return f"{wave.height:g} m of {wave.period:g} s"


def _contacts(whole: Whole) -> list[Row]:
    """Contacts of the rope on board: name, bend radius [m], wrap [deg], weaker basis, and which are confidential."""
    rows = []
    for result in whole.ropes[0].lines:
        subject = result.setup.subject
        for contact in subject.contacts:
            radius, wrap = (subject.data[contact.key(key)] for key in SHAPE)
            rows.append({
                "line": subject.line.name, "name": contact.name, "bend_radius": radius.value,
                "wrap_angle": math.degrees(wrap.value), "basis": weakest((radius, wrap)),
                "confidential": [datum.key for datum in (radius, wrap) if datum.confidential],
            })  # fmt: skip
    return rows
