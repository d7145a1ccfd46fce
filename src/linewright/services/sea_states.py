"""The bins of a scatter table as states of a berth: each a sea, with the lines' own responses."""

from __future__ import annotations

import copy
import math
from typing import Any

import tomlkit

from linewright.base.errors import InputError, Problem
from linewright.importers.scatter import Scatter, WaveState, states_of
from linewright.physics import waves

MOST_STATES = 60
REST = 0.005  # of the time that a table may lack by rounding
CALM = "calm, remaining time"
RESPONSES = ("response", "motion_response", "response_file")


def sea_states(scatter: Scatter, berth: Any, file: str) -> tuple[Any, list[str]]:
    """States of a berth from a scatter table, and what was done, in words; the berth's own state is the pattern.

    Raises InputError where no state of the berth has a response to the sea for every line.
    """
    pattern = _pattern(berth)
    found, said = list(states_of(scatter, 1.0)), []
    if len(found) > MOST_STATES:
        said.append(f"{len(found)} bins are more than {MOST_STATES} states: the rarest were joined to their neighbours")
        found = _joined(found)
    ratio = _to_peak(scatter.period_kind)
    if ratio != 1.0:
        said.append(f"{scatter.period_kind} became Tp by a factor of {ratio:.4g}, that of a Pierson-Moskowitz spectrum")
    total = math.fsum(item.hours for item in found)
    if total < 1.0 - REST:
        found.append(WaveState(0.0, found[0].period, 1.0 - total))
        said.append(f"{100.0 * total:.4g} % of the time is in the table; the rest is the state {CALM}, without waves")
        total = 1.0
    parts = [round(item.hours / total * 1e7) for item in found]
    parts[parts.index(max(parts))] += 10**7 - sum(parts)
    states = tomlkit.aot()
    for item, part in zip(found, parts, strict=True):
        if part > 0:
            states.append(_state(pattern, item, ratio, part, file))
    return states, said


def _pattern(berth: Any) -> Any:
    """The first state whose lines all answer to a sea."""
    for state in berth["state"]:
        tensions = state.get("tension", {}).values()
        if tensions and all(any(key in tension for key in RESPONSES) for tension in tensions):
            return state
    needs = (
        "one state of this berth with a sea, and for every line mean and response (or motion_response, response_file)"
    )
    raise InputError("The berth has no response to the sea.", [Problem(str(berth["name"]), "no such state", needs)])


def _to_peak(kind: str) -> float:
    """Peak period over a period of this kind, for a Pierson-Moskowitz spectrum."""
    told = waves.jonswap_periods(1.0)
    ratios = {"Tz": told.zero_crossing, "T02": told.zero_crossing, "T01": told.mean, "Te": told.energy}
    return 1.0 / ratios.get(kind, 1.0)


def _joined(found: list[WaveState]) -> list[WaveState]:
    """At most so many states: the rarest joins its nearest neighbour, heights by energy, periods by time."""
    states = list(found)
    while len(states) > MOST_STATES:
        rarest = min(range(len(states)), key=lambda n: states[n].hours)
        item = states.pop(rarest)
        near = min(range(len(states)), key=lambda n: _distance(states[n], item))
        other = states[near]
        hours = item.hours + other.hours
        height = math.sqrt((item.height**2 * item.hours + other.height**2 * other.hours) / hours)
        period = (item.period * item.hours + other.period * other.hours) / hours
        states[near] = WaveState(height, period, hours)
    return states


def _distance(one: WaveState, other: WaveState) -> float:
    return math.hypot(math.log(one.height / other.height), math.log(one.period / other.period))


def _state(pattern: Any, item: WaveState, ratio: float, part: int, file: str) -> Any:
    """One state: the sea of a bin, the responses of the pattern."""
    state = tomlkit.table()
    period = item.period * ratio
    name = f"Hs {item.height:.3g} m, Tp {period:.3g} s" if item.height > 0.0 else CALM
    state.add("name", name).comment(file)
    state.add("share", f"{part / 1e5:.5f}".rstrip("0").rstrip(".") + " %")
    for key in ("wetness", "payout_spread"):
        if key in pattern:
            state.add(key, copy.deepcopy(pattern[key]))
    sea = tomlkit.inline_table()
    sea.update({"height": f"{item.height:.4g} m", "period": f"{period:.4g} s"})
    old = pattern.get("sea")
    if old and "peakedness" in old[0]:
        sea["peakedness"] = old[0]["peakedness"]
    rows = tomlkit.array()
    rows.append(sea)
    state.add("sea", rows)
    tensions = tomlkit.table(is_super_table=True)
    for name, tension in pattern["tension"].items():
        own = tomlkit.table()
        for key, value in tension.unwrap().items():
            own.add(key, value)
        tensions.add(name, own)
    state.add("tension", tensions)
    return state
