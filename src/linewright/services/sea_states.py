"""The bins of a scatter table as states of a berth: each a sea, with the lines' own responses."""

from __future__ import annotations

import copy
import math
from itertools import pairwise
from typing import Any

import tomlkit

from linewright.base.errors import InputError, Problem
from linewright.importers.scatter import Scatter, WaveState, states_of
from linewright.physics import waves

MOST_STATES = 60
SLOPE = 3.0  # of the damage that joining keeps: low among fatigue slopes, so that frequent seas weigh too
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
        count, found = len(found), _joined(found)
        said.append(
            f"{count} bins are more than {MOST_STATES} states: neighbouring periods of one height were joined where "
            f"hours x height^{SLOPE:.0f} is least; the hours and the highest waves stay"
        )
    said += _kept_parts(pattern)
    peakedness = float(_sea_of(pattern).get("peakedness", 1.0))
    ratio = _to_peak(scatter.period_kind, peakedness)
    if ratio != 1.0:
        shape = f"JONSWAP spectrum of peakedness {peakedness:g}" if peakedness > 1.0 else "Pierson-Moskowitz spectrum"
        said.append(f"{scatter.period_kind} became Tp by a factor of {ratio:.4g}, that of a {shape}")
    total = math.fsum(item.hours for item in found)
    if total < 1.0 - REST:
        found.append(WaveState(0.0, found[0].period, 1.0 - total))
        said.append(f"{100.0 * total:.4g} % of the time is in the table; the rest is the state {CALM}, without waves")
        total = 1.0
    parts = [max(round(item.hours / total * 1e7), 1) for item in found]
    parts[parts.index(max(parts))] += 10**7 - sum(parts)
    states = tomlkit.aot()
    for item, part in zip(found, parts, strict=True):
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


def _sea_of(pattern: Any) -> Any:
    """The first part of the pattern's sea, the one that the bins take the place of; empty where it has none."""
    return next(iter(pattern.get("sea", ())), {})


def _kept_parts(pattern: Any) -> list[str]:
    """What the bins take the place of, and what stays in every state, in words."""
    if "sea_file" in pattern:
        return [f"each bin takes the place of the spectra of {pattern['sea_file']} in the state {pattern['name']}"]
    first, *others = [_described(part) for part in pattern.get("sea", ())] or [""]
    if not others:
        return []
    if "peakedness" in _sea_of(pattern):
        first += f" (its peakedness {_sea_of(pattern)['peakedness']:g} stays)"
    return [
        f"each bin takes the place of the first part of the sea of {pattern['name']}, {first}; "
        f"the others stay in every state with waves: {'; '.join(others)}",
        "a table of the whole sea holds its wind sea already: then take that part out of the pattern and repeat",
    ]


def _described(part: Any) -> str:
    """A part of a sea in words: its height, and its period or band of periods."""
    band = f"{part['shortest']} to {part['longest']}" if "shortest" in part and "longest" in part else ""
    return ", ".join(filter(None, [str(part.get("height", "")), str(part.get("period", "")), band]))


def _to_peak(kind: str, peakedness: float) -> float:
    """Peak period over a period of this kind, for a JONSWAP spectrum without cut-off."""
    told = waves.jonswap_periods(peakedness)
    ratios = {"Tz": told.zero_crossing, "T02": told.zero_crossing, "T01": told.mean, "Te": told.energy}
    return 1.0 / ratios.get(kind, 1.0)


def _joined(found: list[WaveState]) -> list[WaveState]:
    """At most so many states: neighbours in period of one height join first, then heights below the highest.

    Those two join that cost least (`_moved`). Hours, hours x height^SLOPE and the highest height stay; while only
    periods join, so does hours x height to any power.
    """
    states = sorted(found)
    while len(states) > MOST_STATES:
        pairs = list(pairwise(states))
        level = [n for n, (one, other) in enumerate(pairs) if one.height == other.height]
        least = min(level or range(len(pairs) - 1), key=lambda n: _moved(*pairs[n]))
        states[least : least + 2] = [_both(*pairs[least])]
    return states


def _weight(item: WaveState) -> float:
    return item.hours * item.height**SLOPE


def _moved(one: WaveState, other: WaveState) -> float:
    """Hours x height^SLOPE of two states times the square of the way they move to become one, in logarithms (Ward)."""
    apart = math.log(one.height / other.height) ** 2 + math.log(one.period / other.period) ** 2
    return apart / (1.0 / _weight(one) + 1.0 / _weight(other))


def _both(one: WaveState, other: WaveState) -> WaveState:
    """Two states as one: hours and hours x height^SLOPE add, the period is their mean by these weights."""
    hours, weight = one.hours + other.hours, _weight(one) + _weight(other)
    height = one.height if one.height == other.height else (weight / hours) ** (1.0 / SLOPE)
    period = (one.period * _weight(one) + other.period * _weight(other)) / weight
    return WaveState(height, period, hours)


def _state(pattern: Any, item: WaveState, ratio: float, part: int, file: str) -> Any:
    """One state: the sea of a bin, the other parts of the pattern's sea, and the pattern's responses."""
    state = tomlkit.table()
    period = item.period * ratio
    name = f"Hs {item.height:.3g} m, Tp {period:.3g} s" if item.height > 0.0 else CALM
    state.add("name", name).comment(file)
    state.add("share", f"{part / 1e5:.5f}".rstrip("0").rstrip(".") + " %")
    for key in ("wetness", "payout_spread", "lasts"):
        if key in pattern:
            state.add(key, copy.deepcopy(pattern[key]))
    sea = tomlkit.inline_table()
    sea.update({"height": f"{item.height:.4g} m", "period": f"{period:.4g} s"})
    if "peakedness" in _sea_of(pattern):
        sea["peakedness"] = _sea_of(pattern)["peakedness"]
    rows = tomlkit.array()
    rows.append(sea)
    parts: list[Any] = list(pattern.get("sea", ())) if item.height > 0.0 else []
    for kept in parts[1:]:
        other = tomlkit.inline_table()
        other.update(kept.unwrap())
        rows.append(other)
    state.add("sea", rows)
    tensions = tomlkit.table(is_super_table=True)
    for name, tension in pattern["tension"].items():
        own = tomlkit.table()
        for key, value in tension.unwrap().items():
            own.add(key, value)
        tensions.add(name, own)
    state.add("tension", tensions)
    return state
