"""Rules between the keys of a running study, read from the raw tables so that they speak with all other errors.

What cannot be read here is left to the form, which says so for the key itself.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from difflib import get_close_matches
from typing import Any

from linewright.base import places, units
from linewright.base.form import Broken, shown

Table = dict[str, Any]
Spot = tuple[places.Path, Table]
NEEDED = {
    "heave": ("payout", "amplitude", "period", "duration"),
    "travel": ("start", "end", "speed"),
    "rest": ("payout", "duration"),
}
OWN = ("payout", "amplitude", "period", "start", "end", "speed", "duration")
FASTEST, MOST_PIECES = 20.0, 400  # speed of a rope [m/s]; phases times repeats
MOST_REPEATS, LONGEST = 200, 60.0 * 86400.0  # what the form allows; time of a travel [s]
QUICKEST, SLOWEST = 0.5, 300.0  # periods that the form allows [s]
KNOWN = frozenset(
    {
        "name",
        "kind",
        "surroundings",
        "length",
        "card",
        "diameter",
        "wrap",
        "bearing_loss",
        "seized",
        "motion",
        "tension",
        "payout",
        "amplitude",
        "period",
        "start",
        "end",
        "speed",
        "duration",
        "tension_amplitude",
        "tension_period",
        "amplitude_kind",
    }
)  # keys of parts and phases
SPAN, SHEAVE = ("length",), ("card", "diameter", "wrap", "bearing_loss", "seized")


def broken(raw: Table) -> Iterator[Broken]:
    """Every rule between keys that a running study breaks."""
    parts, phases = _tables(raw, "path"), _tables(raw, "phase")
    yield from _twice(parts, "part of the path")
    yield from _twice(phases, "phase")
    for spot in parts:
        yield from _part(spot, spot is parts[-1])
    yield from _order(parts)
    yield from _media(raw, parts)
    reach, length = _reach(parts), _value(raw.get("rope"), "length", "length")
    for spot in phases:
        yield from _phase(spot)
        yield from _inside(spot, reach, length)
        yield from _fast(spot)
        yield from _slow(spot)
    yield from _dew(raw.get("weather"))
    yield from _wire(raw.get("wire_rope"))
    repeat = raw.get("repeat", 1)
    if isinstance(repeat, int) and repeat <= MOST_REPEATS and repeat * len(phases) > MOST_PIECES:
        read, needs = f"{repeat} times {len(phases)} phases", f"at most {MOST_PIECES} phases in all"
        yield Broken(("repeat",), read, needs, "repeat less often: temperatures settle within hours")


def _tables(node: Table, key: str) -> list[Spot]:
    rows = node.get(key)
    return (
        [((key, index), row) for index, row in enumerate(rows) if isinstance(row, dict)]
        if isinstance(rows, list)
        else []
    )


def _value(node: Any, key: str, kind: str) -> float | None:
    """A quantity of a table in SI, or None where it cannot be read."""
    raw = node.get(key) if isinstance(node, dict) else None
    raw = raw.get("value") if isinstance(raw, dict) else raw
    try:
        return units.parse(raw, kind) if isinstance(raw, str) else None
    except units.UnitError:
        return None


def _twice(spots: list[Spot], what: str) -> Iterator[Broken]:
    seen: set[str] = set()
    for path, row in spots:
        name = row.get("name")
        if isinstance(name, str) and name.strip() in seen:
            yield Broken((*path, "name"), shown(name), f"a name that no other {what} has")
        seen |= {name.strip()} if isinstance(name, str) else set()


def _part(spot: Spot, is_last: bool) -> Iterator[Broken]:
    path, row = spot
    kind = row.get("kind")
    if kind == "span":
        yield from _strangers(spot, SHEAVE, "a span")
        if is_last and "length" in row:
            yield Broken(
                (*path, "length"),
                shown(row["length"]),
                "no length: the last span goes to the rope's end",
                "leave it out",
            )
        if not is_last and _lacks(row, "length"):
            yield Broken(path, "nothing", "the key length", "add it; only the last span goes to the rope's end")
    if kind == "sheave":
        yield from _strangers(spot, SPAN, "a sheave")
        for key in ("diameter", "wrap"):
            if _lacks(row, key):
                yield Broken(path, "nothing", f"the key {key}", "add it")
        if is_last:
            yield Broken(
                path, "a sheave as the last part", "a span to the rope's end behind it", 'add a part of kind "span"'
            )


def _lacks(row: Table, key: str) -> bool:
    """Whether a key is not there, nor one that was probably meant for it: the form asks for that one."""
    return key not in row and not any(get_close_matches(other, [key], n=1) for other in row if other not in KNOWN)


def _strangers(spot: Spot, keys: tuple[str, ...], what: str) -> Iterator[Broken]:
    path, row = spot
    for key in keys:
        if key in row:
            yield Broken((*path, key), shown(row[key]), f"a key of {what}", "leave it out")


def _order(parts: list[Spot]) -> Iterator[Broken]:
    """A span stands between drum and sheave and between two sheaves."""
    before = "drum"
    for path, row in parts:
        if row.get("kind") == "sheave" and before != "span":
            read = "a sheave right behind the drum" if before == "drum" else "two sheaves that overlap"
            yield Broken(path, read, "a span in between, as long as the rope is straight", 'add a part of kind "span"')
        before = str(row.get("kind"))


def _media(raw: Table, parts: list[Spot]) -> Iterator[Broken]:
    """Spray and sea are described where the path meets them."""
    drum = raw.get("drum")
    spots = [*parts, (("drum",), drum)] if isinstance(drum, dict) else parts
    needs = {"spray": "film and temperature of the spray", "water": "temperature of the water"}
    for medium, what in needs.items():
        met = [path for path, row in spots if row.get("surroundings") == medium]
        if met and not isinstance(raw.get(medium), dict):
            yield Broken(
                (*met[0], "surroundings"), f'"{medium}", and no table [{medium}]', what, f"add the table [{medium}]"
            )


def _reach(parts: list[Spot]) -> float | None:
    """Length of the path up to its last span; None where it cannot be read."""
    total = 0.0
    for _, row in parts[:-1]:
        if row.get("kind") == "sheave":
            diameter, wrap = _value(row, "diameter", "length"), _value(row, "wrap", "angle")
            part = None if diameter is None or wrap is None else 0.5 * diameter * wrap
        else:
            part = _value(row, "length", "length")
        if part is None:
            return None
        total += part
    return total


def _phase(spot: Spot) -> Iterator[Broken]:
    path, row = spot
    motion = row.get("motion")
    if not isinstance(motion, str) or motion not in NEEDED:
        return
    for key in NEEDED[motion]:
        if _lacks(row, key):
            yield Broken(path, "nothing", f"the key {key}: this is a {motion}", "add it")
    yield from _strangers(spot, tuple(key for key in OWN if key not in NEEDED[motion]), "another motion")
    if "tension_amplitude" in row:
        if _lacks(row, "amplitude_kind"):
            do = 'write "constant" (bench test) or "significant" (2 sigma)'
            yield Broken(path, "nothing", "the key amplitude_kind beside tension_amplitude", do)
        if motion != "heave" and _lacks(row, "tension_period"):
            yield Broken(path, "nothing", "the key tension_period beside tension_amplitude", "add it")
    start, end = _value(row, "start", "length"), _value(row, "end", "length")
    if motion == "travel" and start is not None and start == end:
        yield Broken((*path, "end"), shown(row["end"]), "another length than start", 'for no way write motion = "rest"')


def _fast(spot: Spot) -> Iterator[Broken]:
    """A heave is no faster than a travel may be."""
    path, row = spot
    swing, period = _value(row, "amplitude", "length"), _value(row, "period", "duration")
    if swing and period and QUICKEST <= period <= SLOWEST and 2.0 * math.pi * swing / period > FASTEST:
        read = f"{shown(row['amplitude'])} in {shown(row['period'])}: {2.0 * math.pi * swing / period:.3g} m/s"
        yield Broken(
            (*path, "amplitude"), read, f"at most {FASTEST:g} m/s at its fastest", "check amplitude and period"
        )


def _slow(spot: Spot) -> Iterator[Broken]:
    """A travel takes no longer than another phase may."""
    path, row = spot
    start, end, speed = (_value(row, key, kind) for key, kind in (("start", "length"), ("end", "length"),
                                                                  ("speed", "speed")))  # fmt: skip
    if start is None or end is None or not speed or speed < 0.0:
        return
    if abs(end - start) / speed > LONGEST:
        read = f"{abs(end - start):g} m at {shown(row['speed'])}: {abs(end - start) / speed / 86400.0:.3g} days"
        yield Broken((*path, "speed"), read, "at most 60 days", "check speed, start and end")


def _dew(weather: Any) -> Iterator[Broken]:
    """Air holds no more vapour than saturates it."""
    air, dew = _value(weather, "air", "temperature"), _value(weather, "dew_point", "temperature")
    if air is not None and dew is not None and dew > air:
        read = f"{shown(weather['dew_point'])} in air of {air - 273.15:g} degC"
        yield Broken(("weather", "dew_point"), read, "at most the air's temperature", "check both")


def _inside(spot: Spot, reach: float | None, length: float | None) -> Iterator[Broken]:
    """The rope is long enough, and hangs beyond the last sheave."""
    path, row = spot
    payout, swing = _value(row, "payout", "length"), _value(row, "amplitude", "length") or 0.0
    ends = [("payout", payout - swing, payout + swing)] if payout is not None else []
    ends += [(key, value, value) for key in ("start", "end") if (value := _value(row, key, "length")) is not None]
    for key, low, high in ends:
        if (_value(row, key, "length") or 0.0) < 0.0:  # the form says so
            continue
        both = shown(row[key]) + (f" with amplitude {shown(row['amplitude'])}" if swing and key == "payout" else "")
        if length is not None and high > length:
            yield Broken(
                (*path, key), both, f"at most {length:g} m paid out: the rope's length", "check payout and amplitude"
            )
        if reach is not None and low < reach:
            needs = f"at least {reach:.4g} m paid out: the path to the last span"
            yield Broken((*path, key), both, needs, "check payout, amplitude and path")


def _wire(wire: Any) -> Iterator[Broken]:
    """The term of the bent length has both its numbers, and is no pole; ranges have their ends in order."""
    if not isinstance(wire, dict):
        return
    path: places.Path = ("wire_rope",)
    if ("b5" in wire) != ("bent_length" in wire):
        there, lacks = ("b5", "bent_length") if "b5" in wire else ("bent_length", "b5")
        yield Broken((*path, there), shown(wire[there]), f"the key {lacks} beside it", "give both or none")
    thick, bent = _value(wire, "diameter", "length"), _value(wire, "bent_length", "length")
    slope = wire.get("b5")
    if thick and bent and isinstance(slope, int | float) and not slope + math.log10(bent / thick) > 0.0:
        read, needs = (
            f"b5 + lg(l/d) = {slope + math.log10(bent / thick):.3g}",
            "more than 0: a longer bend has less life",
        )
        yield Broken((*path, "b5"), read, needs, "check b5, bent_length and diameter")
    low, high = wire.get("lowest_ratio"), wire.get("highest_ratio")
    if isinstance(low, int | float) and isinstance(high, int | float) and low > high:
        yield Broken((*path, "lowest_ratio"), shown(low), f"at most highest_ratio, {high:g}", "check both")
