"""Numbers with their unit in the same cell ("100 kN"): the unit of a column, and its cells without it."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

from linewright.importers import cells, header, weather_units
from linewright.importers.report import Log

SAMPLE = 600  # rows that show whether the cells of a column hold units
_PARTS = re.compile(r"([+-]?[\d.,'][\d.,' ]*(?:[eE][+-]?\d{1,3})?)(\s*)([^\d\s.,;:'+-][^\d;:]*\d?)")
Rows = list[tuple[int, list[str]]]


def parted(cell: str) -> tuple[str, str] | None:
    """Number and unit of a cell that holds both; a single letter counts behind a blank only."""
    found = _PARTS.fullmatch(cells.plain(cell))
    if found is None:
        return None
    digits, blank, unit = found[1].strip(), found[2] or found[1][-1:] == " ", found[3].strip()
    is_number = cells.number(digits, ".") is not None or cells.number(digits, ",") is not None
    is_unit = header.known(unit) or weather_units.known(unit)
    return (digits, unit) if is_number and is_unit and (blank or len(unit) > 1 or not unit.isalpha()) else None


def taken_out(rows: Rows, names: Sequence[str], units: Sequence[str], log: Log) -> tuple[Rows, tuple[str, ...]]:
    """Rows whose cells are bare numbers, and the units of the columns with those that stood in the cells.

    Of several units in a column the commonest is taken; cells in another stay as they are, and are no numbers.
    """
    found = {}
    for n in range(len(names)):
        seen = Counter(parts[1] for _, row in rows[:SAMPLE] if n < len(row) and (parts := parted(row[n])))
        told = sum(1 for _, row in rows[:SAMPLE] if n < len(row) and not cells.is_missing(row[n]))
        if seen and 2 * seen.total() >= told:
            found[n] = seen.most_common(1)[0][0]
    if not found:
        return rows, tuple(units)
    made = [(number, [_bare(cell, found[n]) if n in found else cell for n, cell in enumerate(row)])
            for number, row in rows]  # fmt: skip
    for n, unit in found.items():
        _say(names[n], units[n], unit, [(line, row[n]) for line, row in rows if n < len(row)], log)
    return made, tuple(found.get(n, unit) for n, unit in enumerate(units))


def _bare(cell: str, unit: str) -> str:
    parts = parted(cell)
    return parts[0] if parts and parts[1] == unit else cell


def _say(name: str, stated: str, unit: str, column: Sequence[tuple[int, str]], log: Log) -> None:
    """What a column with units in its cells leaves in doubt."""
    log.flag("unit-in-cells", f"{name}: the unit {unit} stands in the cells", column=name)
    told = stated or header.split(name).unit
    known = header.unit_of(told) if told else None
    if known is not None and known != header.unit_of(unit):
        text = f"{name}: the heading says {told}, the cells say {unit}; the cells are believed"
        log.flag("unit-differs", text, "caution", name)
    bare = [line for line, cell in column if not cells.is_missing(cell) and parted(cell) is None
            and any(cells.number(cell, mark) is not None for mark in (".", ","))]  # fmt: skip
    if bare:
        log.flag(
            "unit-in-some",
            f"{name}: {len(bare)} cells have no unit; they are read in {unit} too",
            "caution",
            name,
            bare,
        )
