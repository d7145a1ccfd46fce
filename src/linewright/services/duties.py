"""What a result says of the duty it was made for: berths with their climates, states with their origin, contacts."""

from __future__ import annotations

import math
from typing import Any

from linewright.assessment.whole import Whole
from linewright.case.model import Berth, State, Tension, Wave

Row = dict[str, Any]
SHAPE = ("bend_radius", "wrap_angle")


def duty_row(whole: Whole) -> Row:
    """The duty of a case as it is stored: berths, where the tension of each state comes from, contacts."""
    case = whole.case
    return {
        "ship_design_break_load": case.ship_design_break_load,
        "berths": [_berth(berth) for berth in case.berths],
        "states": [
            {"berth": berth.name, "name": state.name, "line": line, "from": origin(state, tension)}
            for berth in case.berths
            for state in berth.states
            for line, tension in state.tension.items()
        ],
        "contacts": _contacts(whole),
    }


def _berth(berth: Berth) -> Row:
    return {
        "name": berth.name,
        "calls_per_year": berth.calls_per_year,
        "hours_per_call": berth.hours_per_call,
        "months": list(berth.months),
        "climate": berth.climate,
    }


def origin(state: State, tension: Tension) -> str:
    """Where the tension of a state comes from, in words: as given, from a motion, a record, or a sea."""
    if tension.log:
        return f"record {tension.record}"
    if tension.response is not None:
        source = tension.response.spectrum
        return f"spectrum {source}" if source else _sea(state)
    if tension.motion is not None:
        return f"motion of the ship {tension.motion:g} m, {tension.amplitude_kind}"
    is_steady = tension.amplitude is None or tension.amplitude.value == 0.0
    return "given, steady" if is_steady else f"given, {tension.amplitude_kind}"


def _sea(state: State) -> str:
    return f"sea {state.sea_file or ' and '.join(map(_wave, state.sea))}"


def _wave(wave: Wave) -> str:
    if wave.band is not None:
        return f"{wave.height:g} m of {wave.band[0]:g} to {wave.band[1]:g} s"
    return f"{wave.height:g} m of {wave.period:g} s"


def _contacts(whole: Whole) -> list[Row]:
    """Contacts of the rope on board: name, bend radius [m], wrap [deg], and which of the two are confidential."""
    rows = []
    for result in whole.ropes[0].lines:
        subject = result.setup.subject
        for contact in subject.contacts:
            radius, wrap = (subject.data[contact.key(key)] for key in SHAPE)
            rows.append({
                "line": subject.line.name, "name": contact.name, "bend_radius": radius.value,
                "wrap_angle": math.degrees(wrap.value),
                "confidential": [datum.key for datum in (radius, wrap) if datum.confidential],
            })  # fmt: skip
    return rows
