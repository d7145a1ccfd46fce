"""The column of a long table that names the hook or line of each row."""

from __future__ import annotations

import re

from linewright.importers import cells, header, spellings, status
from linewright.importers.clock import Clock
from linewright.importers.report import Log
from linewright.importers.table import Table

MOST_HOOKS = 200


def hook_column(table: Table, clock: Clock) -> int | None:
    """The column that names the hook or line of each row of a long table."""
    others = [n for n in range(len(table.names)) if n not in clock.columns and not status.is_status(table, n)]
    if len(others) not in (2, 3, 4) or clock.form == "rows":
        return None
    named = [
        n
        for n in others
        if re.search(r"(?i)hook|haken|line|leine|channel|kanal|pin|id\b|name|sensor|tag|bollard", table.names[n])
    ]
    for index in named or others:
        told = [cells.plain(cell) for cell in table.column(index)]
        distinct = set(told)
        mostly_text = not any(
            cells.number(cell, ".") is not None or cells.number(cell, ",") is not None for cell in told
        )
        blank = sum(1 for cell in told if not cell)
        again = 2 * blank < len(told) and len(distinct) <= min(MOST_HOOKS, max(1, len(told) // 2))
        has_unit = bool(header.unit_of(table.units[index]) or header.split(table.names[index]).unit)
        if again and not has_unit and (mostly_text or index in named):
            return index
    return None


def hook_names(ids: list[str], table: Table, clock: Clock, log: Log) -> list[str]:
    """The hook of each row under one spelling; rows that name none are dropped."""
    blank = [n for n, name in enumerate(ids) if not name]
    for n in blank:
        log.drop(table.lines[n], " ".join(table.rows[n]), "no hook is named")
    if blank:
        text = f"{len(blank)} rows name no hook and are left out"
        log.flag("hook-blank", text, "caution", rows=[table.lines[n] for n in blank])
    for group in spellings.groups([name for name in ids if name]):
        times = [clock.time[n] for n, name in enumerate(ids) if name in group]
        is_one = len(set(times)) == len(times)
        done = f"taken for one hook, {group[0]}" if is_one else "kept apart: they read at the same times"
        log.flag("hook-spelled", f"{' and '.join(group)} are {done}", "caution", group[0])
        ids = [group[0] if is_one and name in group else name for name in ids]
    return ids
