"""Temperatures of a study in depth: every state's hot spot in three dimensions, and one state told whole."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from linewright.assessment.central import Prepared, hottest_by_hour, prepared, sensitivities
from linewright.assessment.depth import Cluster, Depth, depth, heat_runs_away, hot_spot_of
from linewright.assessment.judge import above_strength
from linewright.assessment.line import Setup
from linewright.assessment.whole import Gathered
from linewright.base.errors import InputError, ModelError, Problem
from linewright.base.units import ZERO_CELSIUS
from linewright.cards.model import Shelf
from linewright.physics.field import Runaway
from linewright.physics.field_solve import FieldError
from linewright.physics.hot_spot import heat_up
from linewright.services.answer import letter
from linewright.services.depth_hours import by_month, hours_above, year_of
from linewright.services.gather import gather
from linewright.services.study import open_study

Row = dict[str, Any]
SIDES = ("drum side", "middle", "shore side")
HEAT_UP = 6.0 * 3600.0  # [s]
MOST_SENSITIVE = 12
ENDS = ("low", "high", "central")


def depth_of(root: Path, rope: str = "A", line: str = "", state: str = "") -> Row:
    """Every state of a rope on a line, and the hottest (or the named) one in depth.

    Raises InputError for a rope, line or state that is not there, and ModelError where no state has a temperature.
    """
    study = open_study(root)
    case, shelf = study.read()
    files = gather(study.root, case, shelf)
    item = _chosen(prepared(case, shelf, files), rope, line)
    states = [_state_row(item, j) for j in range(len(item.setup.duty.states))]
    number = _number(item, states, state)
    row: Row = {
        "title": case.title,
        "evidence": len(case.evidence),
        "rope": item.title,
        "line": item.setup.subject.line.name,
        "refusals": [finding.text for finding in above_strength(item.setup.subject, item.setup.duty)],
        "states": [{key: value for key, value in told.items() if key != "depth"} for told in states],
    }
    found = states[number]["depth"]
    if found is not None:
        row["depth"] = told_whole(item, found, (shelf, files))
    return row


def _chosen(items: Sequence[Prepared], rope: str, line: str) -> Prepared:
    """The rope by its letter, on a line group by name or part of it; the first where none is named."""
    variants = list(dict.fromkeys(id(item.variant) for item in items))
    letters = {letter(n): key for n, key in enumerate(variants)}
    if rope.upper() not in letters:
        raise InputError("There is no such rope.", [Problem("--rope", rope, f"one of {', '.join(letters)}")])
    own = [item for item in items if id(item.variant) == letters[rope.upper()]]
    named = [item for item in own if line.casefold() in item.setup.subject.line.name.casefold()]
    if not named:
        names = ", ".join(item.setup.subject.line.name for item in own)
        raise InputError("There is no such line.", [Problem("--line", line, f"one of {names}")])
    return named[0]


def _number(item: Prepared, states: Sequence[Row], asked: str) -> int:
    """The state that is asked for, or the one with the hottest core."""
    if not asked:
        return max(range(len(states)), key=lambda n: states[n].get("core") or states[n]["air"])
    names = [f"{row['berth']}, {row['state']}" for row in states]
    found = [n for n, name in enumerate(names) if asked.casefold() in name.casefold()]
    exact = [n for n in found if asked.casefold() in (names[n].casefold(), states[n]["state"].casefold())]
    chosen = exact or found
    if len(chosen) != 1:
        what = "There is no such state." if not chosen else "More than one state has this name."
        raise InputError(what, [Problem("--state", asked, f"one of {'; '.join(names)}")])
    return chosen[0]


def _state_row(item: Prepared, j: int) -> Row:
    """A state: its hottest core in depth and by the fast model, or why it has none [degC]."""
    duty = item.setup.duty
    row: Row = {"berth": duty.berths[j].name, "state": duty.states[j].name, "hours": float(duty.hours[j])}
    row["air"] = float(item.setup.weather.air[j, 0]) - ZERO_CELSIUS
    try:
        found = depth(item.setup, j)
    except Runaway:
        return {**row, "core": None, "why": _why(item, j), "depth": None}
    except FieldError as error:
        return {**row, "core": None, "why": str(error), "depth": None}
    cluster, core = found.hottest
    skins = [float(one.field.skin.max()) for one in found.clusters]
    fast = max([*(float(one.fast.max()) for one in found.clusters), found.free_fast])
    return {
        **row,
        "core": core - ZERO_CELSIUS,
        "fast": fast - ZERO_CELSIUS,
        "free": found.free_core - ZERO_CELSIUS,
        "skin": max([*skins, found.free_skin]) - ZERO_CELSIUS,
        "place": "free span" if cluster is None else _nearest(cluster, names_of(found)),
        "depth": found,
    }


def _why(item: Prepared, j: int) -> str:
    """Why there is no steady temperature below the melting range: growth without end, or too much heat."""
    if heat_runs_away(item.setup, j):
        why = "runs away: its heat grows faster with temperature than what carries it away"
        return f"{why}; no steady temperature below the melting range"
    return "too hot: more heat than can leave below the melting range; no steady temperature below it"


def names_of(found: Depth) -> dict[int, str]:
    """Names of contacts by their index; those of the same name are numbered from the drum."""
    fittings = [place.fitting for one in found.clusters for place in one.places]
    told = [fitting.name for fitting in fittings]
    return {
        fitting.index: name if told.count(name) == 1 else f"{name} {told[: n + 1].count(name)}"
        for n, (fitting, name) in enumerate(zip(fittings, told, strict=True))
    }


def _nearest(cluster: Cluster, names: dict[int, str]) -> str:
    """Contact and side of the hottest core of a cluster."""
    metre = cluster.field.hottest[0]
    place = min(cluster.places, key=lambda one: abs(one.middle - metre))
    at = cluster.field.at[cluster.places.index(place)]
    return f"{names[place.fitting.index]}, {SIDES[int(np.argmax(at))]}"


def told_whole(item: Prepared, found: Depth, files: tuple[Shelf, Gathered]) -> Row:
    """A state in depth as a plain row: degC and metres."""
    setup, j = item.setup, found.state
    cluster, _ = found.hottest
    limits = {name: _limit(setup, f"{name}_limit") for name in ("long_term", "short_term")}
    hours, names = hottest_by_hour(item)[j], names_of(found)
    row: Row = {
        **_where(item, found),
        "contacts": [_contact(one, n, names) for one in found.clusters for n in range(len(one.places))],
        "thermogram": _thermogram(found),
        "rises": _rises(found),
        "sensitivities": [
            {"key": _named(names, one.key), **{name: getattr(one, name) - ZERO_CELSIUS for name in ENDS}}
            for one in sensitivities(setup, j)[:MOST_SENSITIVE]
        ],
        "limits": limits,
        "balance": [
            {"made": one.field.balance.made, "lost": one.field.balance.lost, "closure": one.field.balance.closure}
            for one in found.clusters
        ],
        "hours": {**by_month(item, j, hours, files), "limit": limits["long_term"]},
        "hours_above": hours_above(item, j, hours),
        **_maps(found.clusters[0] if cluster is None and found.clusters else cluster),
    }
    return {**row, "heat_up": _heat_up(item, found, cluster), "year": year_of(item, j, files)}


def _where(item: Prepared, found: Depth) -> Row:
    """Names, lengths, air, tail, and the hottest place."""
    subject, duty, j = item.setup.subject, item.setup.duty, found.state
    cluster, core = found.hottest
    skin = max([found.free_skin, *(float(one.field.skin.max()) for one in found.clusters)])
    tail = subject.line.tail
    return {
        "berth": duty.berths[j].name,
        "state": duty.states[j].name,
        "line": subject.line.name,
        "rope": item.title,
        "air": found.air - ZERO_CELSIUS,
        "hottest": {
            "metre": 0.0 if cluster is None else cluster.field.hottest[0],
            "core": core - ZERO_CELSIUS,
            "skin": skin - ZERO_CELSIUS,
            "place": "free span" if cluster is None else _nearest(cluster, names_of(found)),
        },
        "length": found.length,
        "tail_length": 0.0 if tail is None else tail.length,
        "tail_core": None if item.tail is None else depth(item.tail, j).free_core - ZERO_CELSIUS,
    }


def _thermogram(found: Depth) -> Row:
    metre, *lines = found.thermogram()
    told = zip(("core", "mean", "skin"), lines, strict=True)
    return {"metre": metre.tolist(), **{name: (values - ZERO_CELSIUS).tolist() for name, values in told}}


def _named(names: dict[int, str], key: str) -> str:
    """A datum's key; that of a contact with the contact's name."""
    number, dot, own = key.partition(".")
    return f"{own} of {names[int(number)]}" if dot and number.isdigit() and int(number) in names else key


def _contact(cluster: Cluster, n: int, names: dict[int, str]) -> Row:
    place, field = cluster.places[n], cluster.field
    return {
        "name": names[place.fitting.index],
        "metre": place.middle,
        "arc": place.arc,
        "is_place_told": place.is_told,
        "core": (field.at[n] - ZERO_CELSIUS).tolist(),
        "fast": (cluster.fast[n] - ZERO_CELSIUS).tolist(),
        "face": float(field.face[n]) - ZERO_CELSIUS,
        "face_hottest": float(field.hottest_face[n]) - ZERO_CELSIUS,
        "steel": float(field.steel[n]) - ZERO_CELSIUS,
        "decay": {name: value if np.isfinite(value) else None
                  for name, value in zip(("mean", "core", "skin"), cluster.decays[n], strict=True)},
    }  # fmt: skip


def _rises(found: Depth) -> list[Row]:
    """Rise of the hottest core of each cluster, and of the free span, by source [K]."""
    names = names_of(found)
    rows = [{"place": _nearest(one, names), "parts": _worth(one.field.rises)} for one in found.clusters]
    return [*rows, {"place": "free span", "parts": _worth(found.free_rises)}]


def _worth(rises: dict[str, float]) -> dict[str, float]:
    return {name: value for name, value in rises.items() if abs(value) > 1e-9}


def _limit(setup: Setup, key: str) -> float | None:
    datum = setup.subject.data.get(key)
    return None if datum is None else float(datum.value) - ZERO_CELSIUS


def _maps(cluster: Cluster | None) -> Row:
    """Section at the hottest place, and the plane through the contact [degC]; nothing without a contact."""
    if cluster is None:
        return {"section": None, "lengthwise": None}
    field = cluster.field
    cells = field.state.cells - ZERO_CELSIUS
    n = int(np.argmax(field.core))
    middle = cluster.places[0].middle
    length = field.grid.length + (field.place[0] - field.grid.middle[1][0])
    towards, away = cells[:, 0, :], cells[:, -1, :]
    if field.place[0] >= middle:  # the other half of a mirrored rope
        length = np.r_[2.0 * middle - length[:0:-1], length]
        towards, away = (np.concatenate([part[:, ::-1], part], axis=1) for part in (towards, away))
    nearest = min(cluster.places, key=lambda one: abs(one.middle - field.place[n]))
    radius = field.grid.radius.tolist()
    return {
        "section": {"radius": radius, "angle": field.grid.angle.tolist(), "temperature": cells[:, :, n].tolist(),
                    "half_angle": cluster.half_angles[cluster.places.index(nearest)], "metre": float(field.place[n])},
        "lengthwise": {"metre": length.tolist(), "radius": radius, "towards": towards.tolist(), "away": away.tolist()},
    }  # fmt: skip


def _heat_up(item: Prepared, found: Depth, cluster: Cluster | None) -> Row | None:
    """How the hottest contact warms from the air's temperature on, six hours [degC, min]."""
    if cluster is None:
        return None
    told = heat_up(hot_spot_of(item.setup, found.state, cluster), HEAT_UP, found.air)
    return {
        "minutes": (told.time / 60.0).tolist(),
        **{name: (getattr(told, name) - ZERO_CELSIUS).tolist() for name in ("core", "skin", "steel")},
        "closure": told.closure,
    }


def needs_depth(row: Row) -> Row:
    """The state in depth. Raises ModelError where no state has a steady temperature."""
    if "depth" in row:
        return dict(row["depth"])
    first = row["states"][0]
    problem = Problem(f"{first['berth']}, {first['state']}", first.get("why", ""), "a steady temperature")
    raise ModelError("There is no temperature to draw.", [problem])
