"""Rules between the keys of a case, read from the raw tables so that they speak even when other keys are wrong.

What cannot be read here is left to the form, which says so for the key itself.
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterator
from typing import Any

from linewright.base import places, units
from linewright.base.form import Broken, shown
from linewright.base.units import LARGEST_YEAR_HOURS
from linewright.case.evidence import rules as evidence
from linewright.case.plan import rules as plan

HOUR = 3600.0
SHARES_OFF = 1e-3
Table = dict[str, Any]
Spot = tuple[places.Path, Table]
HOLDS = "a mean above 0: a line that swings about nothing would be pushed"
WAYS: tuple[str, ...] = ("response", "motion_response", "response_file", "spectrum")


def broken(raw: Table) -> Iterator[Broken]:
    """Every rule between keys that a case breaks."""
    lines = _tables(raw, (), "line")
    yield from _named_twice(lines, "line group")
    yield from _listed_twice(raw, (), "mechanisms")
    yield from _trade(raw, (), lines)
    earlier = _tables(raw, (), "history")
    yield from _named_twice(earlier, "earlier trade")
    for path, past in earlier:
        yield from _trade(past, path, lines)
    yield from evidence.broken(_tables(raw, (), "evidence"), [_name(line) for _, line in lines], _states(raw))
    for path, line in lines:
        yield from _contacts(path, line)
    yield from _compared(_tables(raw, (), "compare"), lines)
    yield from plan.broken(raw.get("plan"))


def _states(raw: Table) -> list[tuple[str, str]]:
    """Berth and state of every state by their names."""
    berths = _tables(raw, (), "berth")
    return [(_name(berth), _name(state)) for path, berth in berths for _, state in _tables(berth, path, "state")]


def _trade(node: Table, place: places.Path, lines: list[Spot]) -> Iterator[Broken]:
    """The berths of a trade: today's, or an earlier one's."""
    berths = _tables(node, place, "berth")
    yield from _named_twice(berths, "berth")
    for path, berth in berths:
        states = _tables(berth, path, "state")
        yield from _named_twice(states, "state")
        yield from _listed_twice(berth, path, "months")
        yield from _shares(path, states)
        for spot in states:
            yield from _groups(spot, lines)
            yield from _tensions(spot)
    yield from _hours(berths)


def _tables(node: Table, path: places.Path, key: str) -> list[Spot]:
    """The tables of a list, with their paths."""
    rows = node.get(key)
    if not isinstance(rows, list):
        return []
    return [((*path, key, index), row) for index, row in enumerate(rows) if isinstance(row, dict)]


def _plain(raw: Any) -> Any:
    """What is typed, without its band or basis."""
    return raw.get("value") if isinstance(raw, dict) else raw


def _said(raw: Any) -> str:
    return shown(_plain(raw))


def _quantity(node: Table, key: str, kind: str) -> float | None:
    """A quantity if it can be read."""
    raw = _plain(node.get(key))
    if isinstance(raw, bool) or not isinstance(raw, str | int | float):
        return None
    try:
        value = units.parse(str(raw), kind)
    except (units.UnitError, ValueError):
        return None
    return value if math.isfinite(value) else None


def _load(node: Table, key: str) -> units.Load | None:
    raw = _plain(node.get(key))
    try:
        load = units.parse_load(raw) if isinstance(raw, str) else None
    except units.UnitError:
        return None
    return load if load is not None and math.isfinite(load.value) else None


def _name(node: Table, key: str = "name") -> str:
    raw = node.get(key)
    return raw.strip() if isinstance(raw, str) else ""


def _named_twice(spots: list[Spot], what: str) -> Iterator[Broken]:
    seen: set[str] = set()
    for path, table in spots:
        name = _name(table)
        if name and name in seen:
            yield Broken((*path, "name"), shown(name), f"a name of its own: another {what} has this one")
        seen.add(name)


def _listed_twice(node: Table, path: places.Path, key: str) -> Iterator[Broken]:
    rows = node.get(key)
    if isinstance(rows, list):
        twice = [row for index, row in enumerate(rows) if row in rows[:index] and not isinstance(row, dict | list)]
        for row in twice[:1]:
            yield Broken((*path, key), f"{shown(row)} twice", "every entry once")


def _shares(path: places.Path, states: list[Spot]) -> Iterator[Broken]:
    shares = [_quantity(table, "share", "fraction") for _, table in states]
    known = [share for share in shares if share is not None]
    total = math.fsum(known)
    if known and len(known) == len(shares) and abs(total - 1.0) > SHARES_OFF:
        texts = " + ".join(str(_plain(table["share"])) for _, table in states)
        yield Broken((*path, "state"), texts, f"shares of the states that add to 100 %, not {100.0 * total:.6g} %")


def _hours(berths: list[Spot]) -> Iterator[Broken]:
    rows = []
    for path, berth in berths:
        calls, hours = _quantity(berth, "calls_per_year", "number"), _quantity(berth, "hours_per_call", "duration")
        rows.append(((calls or 0.0) * (hours or 0.0) / HOUR, path))
    total = math.fsum(hours for hours, _ in rows)
    if total > LARGEST_YEAR_HOURS:
        yield Broken(
            max(rows)[1],
            f"{total:.6g} h a year at all berths together",
            f"at most {LARGEST_YEAR_HOURS:.0f} h, the hours of a year",
            "give fewer calls_per_year or hours_per_call",
        )


def _groups(state: Spot, lines: list[Spot]) -> Iterator[Broken]:
    """Every line group has a tension in every state, and no other has."""
    path, table = state
    given = table.get("tension")
    names = [_name(line) for _, line in lines]
    if not isinstance(given, dict) or not names or not all(names) or len(set(names)) < len(names):
        return
    for name in names:
        if name not in given:
            yield Broken((*path, "tension"), "nothing", f"a tension for the line group {shown(name)}", "add it")
    for name in given:
        if name not in names:
            near = difflib.get_close_matches(name, names, n=1)
            hint = f"did you mean {shown(near[0])}?" if near else ""
            yield Broken((*path, "tension", name), shown(name), f"a line group: {', '.join(map(shown, names))}", hint)


def _highest(path: places.Path, tension: Table) -> Iterator[Broken]:
    """A stated extreme lies above the mean."""
    mean, highest = _load(tension, "mean"), _load(tension, "highest")
    if mean and highest and mean.base == highest.base and highest.value < mean.value:
        yield Broken((*path, "highest"), _said(tension["highest"]), f"at least the mean, {_said(tension['mean'])}")


def _tensions(state: Spot) -> Iterator[Broken]:
    path, table = state
    given = table.get("tension")
    has_sea = bool(table.get("sea")) or "sea_file" in table
    for name, tension in given.items() if isinstance(given, dict) else ():
        if isinstance(tension, dict):
            yield from _one_tension((*path, "tension", name), tension, has_sea)
            yield from _highest((*path, "tension", name), tension)
    if table.get("sea") and "sea_file" in table:
        yield Broken((*path, "sea_file"), shown(table["sea_file"]), "one of the two: sea, or sea_file")
    for spot, wave in _tables(table, path, "sea"):
        yield from _wave(spot, wave)


def _one_tension(path: places.Path, tension: Table, has_sea: bool) -> Iterator[Broken]:
    """One way to give a tension: a log, a spectrum, a response to the sea, or mean and swing."""
    if "channel" in tension and "log" not in tension:
        yield Broken(
            (*path, "channel"), _said(tension["channel"]), "a log: a channel is a column of a recorded tension"
        )
    ways = [key for key in WAYS if key in tension]
    if "log" in tension:
        yield from _alone(path, tension)
    elif ways:
        yield from _answering(path, tension, ways, has_sea)
    else:
        if "method" in tension:
            yield Broken(
                (*path, "method"), _said(tension["method"]), "a spectrum, or a response to the sea of the state"
            )
        yield from _swing(path, tension)


def _answering(path: places.Path, tension: Table, ways: list[str], has_sea: bool) -> Iterator[Broken]:
    """A response to the sea, or a spectrum: one of them, with a mean, and with a sea where it needs one."""
    if "mean" not in tension:
        yield Broken(path, "nothing", "the key mean", 'add mean = "25 %LDBF"')
    mean = _load(tension, "mean")
    if mean and mean.value == 0.0:
        yield Broken((*path, "mean"), _said(tension["mean"]), HOLDS)
    if len(ways) > 1:
        yield Broken((*path, ways[1]), " and ".join(ways), "one of the two")
    for key in ("amplitude", "motion", "period", "amplitude_kind"):
        if key in tension:
            yield Broken(
                (*path, key), _said(tension[key]), f"nothing beside {ways[0]}: the spectrum says swing and period"
            )
    if "spectrum" not in ways and not has_sea:
        do = 'add sea = [{ height = "1.5 m", period = "14 s" }]'
        yield Broken((*path, ways[0]), shown(tension[ways[0]]), "a sea of the state", do)


def _wave(path: places.Path, wave: Table) -> Iterator[Broken]:
    """A period, or a band of long waves."""
    if "period" in wave and ("shortest" in wave or "longest" in wave):
        yield Broken((*path, "period"), _said(wave["period"]), "one of the two: period, or shortest and longest")
    elif "period" not in wave and not ("shortest" in wave and "longest" in wave):
        yield Broken(path, "nothing", "the key period, or shortest and longest", 'add period = "14 s"')
    elif "peakedness" in wave and "period" not in wave:
        yield Broken((*path, "peakedness"), _said(wave["peakedness"]), "a period: a band of long waves is flat")
    ends = [_quantity(wave, key, "duration") for key in ("shortest", "longest")]
    if ends[0] is not None and ends[1] is not None and ends[0] >= ends[1]:
        yield Broken((*path, "longest"), _said(wave["longest"]), "a period longer than shortest")


def _alone(path: places.Path, tension: Table) -> Iterator[Broken]:
    """A record says everything itself."""
    others = ("mean", "amplitude", "motion", "period", "amplitude_kind", "response", "motion_response", "response_file",
              "spectrum", "method")  # fmt: skip
    for key in others:
        if key in tension:
            yield Broken((*path, key), _said(tension[key]), "nothing beside log: a record says mean, swing and period")


def _swing(path: places.Path, tension: Table) -> Iterator[Broken]:
    """Amplitude or motion, with period and kind unless it is zero, and not beyond the mean."""
    if "mean" not in tension:
        yield Broken(path, "nothing", "the key mean (or log)", 'add mean = "25 %LDBF", or log = "record.csv"')
    swings = [key for key in ("amplitude", "motion") if key in tension]
    if len(swings) == 2:
        yield Broken((*path, "motion"), "amplitude and motion", "one of the two")
    if not swings:
        yield Broken(path, "nothing", "the key amplitude or motion", 'a steady tension has amplitude = "0 kN"')
    amplitude = _load(tension, "amplitude")
    motion = _quantity(tension, "motion", "length")
    if (amplitude and amplitude.value > 0.0) or (motion and motion > 0.0):
        for key, example in (("period", '"14 s"'), ("amplitude_kind", '"significant" or "constant"')):
            if key not in tension:
                yield Broken(path, "nothing", f"the key {key}, since the tension swings", f"add {key} = {example}")
    mean = _load(tension, "mean")
    if mean and mean.value == 0.0 and ((amplitude and amplitude.value > 0.0) or (motion and motion > 0.0)):
        yield Broken((*path, "mean"), _said(tension["mean"]), HOLDS)
    elif amplitude and mean and amplitude.base == mean.base and mean.value > 0.0:
        yield from _against_mean(path, tension, amplitude.value, mean.value)


def _against_mean(path: places.Path, tension: Table, amplitude: float, mean: float) -> Iterator[Broken]:
    read = f"{_said(tension['amplitude'])}, mean {_said(tension['mean'])}"
    if tension.get("amplitude_kind") == "constant" and amplitude > mean:
        yield Broken((*path, "amplitude"), read, "an amplitude up to the mean: below it the line would be pushed")
    elif amplitude > 1.5 * mean:
        needs = "an amplitude up to 1.5 times the mean: beyond it the line is slack most of the time"
        yield Broken((*path, "amplitude"), read, needs)


def _contacts(path: places.Path, line: Table) -> Iterator[Broken]:
    lengths = [_quantity(line, key, "length") for key in ("inboard_length", "outboard_length")]
    known = [length for length in lengths if length is not None]
    whole = _quantity(line, "length", "length")
    if whole is not None and len(known) == len(lengths) and whole < math.fsum(known) - 1e-9:
        needs = f"at least what is in use, inboard_length and outboard_length: {math.fsum(known):.6g} m"
        yield Broken((*path, "length"), _said(line["length"]), needs)
    for place, contact in _tables(line, path, "contact"):
        inboard = _quantity(contact, "inboard_length", "length")
        if inboard is not None and len(known) == len(lengths) and inboard > math.fsum(known):
            needs = f"at most the length of the line, {math.fsum(known):.6g} m"
            yield Broken((*place, "inboard_length"), _said(contact["inboard_length"]), needs)


def _compared(rows: list[Spot], lines: list[Spot]) -> Iterator[Broken]:
    on_board = {_name(line, "rope") for _, line in lines}
    sizes = [tuple(str(_plain(row.get(key))) for key in ("diameter", "design_break_force")) for _, row in rows]
    pairs = [
        (_name(row, "rope"), str(row.get("same", "motion")), *size) for (_, row), size in zip(rows, sizes, strict=True)
    ]
    for index, ((path, row), (rope, same, *size)) in enumerate(zip(rows, pairs, strict=True)):
        if rope and on_board == {rope} and set(size) == {"None"}:
            needs = "another rope or size: every line has this one on board"
            yield Broken((*path, "rope"), shown(row["rope"]), needs)
        if rope and pairs.index((rope, same, *size)) < index:
            yield Broken((*path, "rope"), shown(row["rope"]), f"every rope once with the same {same}")
