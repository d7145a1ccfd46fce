"""Rules between the keys of `[[evidence]]`, read from the raw tables."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, get_args

from linewright.base import places
from linewright.base.form import Broken, shown
from linewright.case import model

KINDS: tuple[model.EvidenceKind, ...] = get_args(model.EvidenceKind)


def broken(
    rows: list[tuple[places.Path, dict[str, Any]]], lines: list[str], states: list[tuple[str, str]]
) -> Iterator[Broken]:
    """Rules between the keys of every entry; `lines` and `states` are what the case names."""
    for path, table in rows:
        kinds = [name for name in KINDS if name in table]
        if len(kinds) != 1:
            read = " and ".join(kinds) or "nothing"
            yield Broken(path, read, f"one of: {', '.join(KINDS)}", "write one entry for each")
            continue
        yield from _beside(path, table, kinds[0])
        line = table.get("line")
        if isinstance(line, str) and line.strip() not in lines:
            yield Broken((*path, "line"), shown(line), f"a line group: {', '.join(map(shown, lines))}")
        pair = (table.get("berth"), table.get("state"))
        if kinds[0] == "core" and all(isinstance(item, str) for item in pair) and pair not in states:
            names = "; ".join(f"{berth}, {state}" for berth, state in states)
            yield Broken((*path, "state"), f"{pair[0]}, {pair[1]}", f"a state of the case: {names}")


def _beside(path: places.Path, table: dict[str, Any], kind: str) -> Iterator[Broken]:
    """What a kind needs beside it, and what has no meaning there."""
    needs = {"residual": ("age",), "elongation": ("age",), "core": ("berth", "state")}.get(kind, ())
    for key in needs:
        if key not in table:
            yield Broken(path, "nothing", f"the key {key} beside {kind}", f"add {key}")
    own = {*needs, "core_doubt" if kind == "core" else "doubt"}
    for key in ("age", "berth", "state", "doubt", "core_doubt"):
        if key in table and key not in own:
            yield Broken((*path, key), shown(table[key]), f"nothing: {kind} does not use it", "leave it out")
