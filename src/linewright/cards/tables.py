"""Reads the CSV tables that stand beside cards: curves and months of a climate.

Everything wrong with a table is raised as a UnitError or a Problem that names file and line.
"""

from __future__ import annotations

import csv
from pathlib import Path

from linewright.base import units
from linewright.base.data import Curve
from linewright.base.errors import CardError, Problem
from linewright.cards import form as card_form
from linewright.cards.model import Month

HEAD = ("name", "unit", "source")
LARGEST_TABLE = 1_000_000
MONTH_KINDS = {
    "air_low": "temperature",
    "air_high": "temperature",
    "day_spread": "temperature_difference",
    "dew_point": "temperature",
    "wind": "speed",
    "cloud": "fraction",
}
MONTHS = 12

Row = tuple[int, list[str]]


def table_text(path: Path) -> str:
    """The text of a CSV beside a card. Raises UnitError if it is not there."""
    needs = "the name of a CSV file beside the card"
    if not path.name or path.parent.joinpath(path.name) != path or "\0" in str(path):
        raise units.UnitError(path.name, needs)
    try:
        if not path.is_file() or path.stat().st_size > LARGEST_TABLE:
            raise units.UnitError(path.name, f"{needs}, up to {LARGEST_TABLE // 1000} kB")
        return path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise units.UnitError(path.name, "a CSV file in UTF-8", str(error)) from None


def _rows(path: Path) -> list[Row]:
    reader = csv.reader(table_text(path).splitlines())
    try:
        rows = [(reader.line_num, [cell.strip() for cell in row]) for row in reader]
    except csv.Error as error:
        raise units.UnitError(f"{path.name}:{reader.line_num}", "a CSV file with commas", str(error)) from None
    return [(line, row) for line, row in rows if any(row) and not _is_remark(row)]


def _is_remark(row: list[str]) -> bool:
    """A line that begins with # and is none of the head rows."""
    return row[0].startswith("#") and row[0].lstrip("# ") not in HEAD


def read_curve(path: Path, meaning: card_form.Key) -> Curve:
    """A curve: rows `name`, `unit`, `source`, then abscissa, value, low, high with rising abscissa."""
    rows = _rows(path)
    head = {row[0].lstrip("# "): row[1:] for _, row in rows[:3] if row[0].lstrip("# ") in HEAD}
    if len(head) < len(HEAD) or not head["unit"]:
        raise units.UnitError(path.name, f"three first rows that begin with {', '.join(HEAD)}")
    kind = abscissa_kind(meaning)
    points = [units.parse(f"{row[0]} {head['unit'][0]}".strip(), kind) for _, row in rows[3:]]
    columns = [_ordinates(path, line, row, meaning) for line, row in rows[3:]]
    if len(points) < 2 or points != sorted(set(points)):
        raise units.UnitError(path.name, "at least two rows with rising abscissa")
    value, low, high = (tuple(row[index] for row in columns) for index in range(3))
    return Curve(meaning.over, tuple(points), value, low, high)


def abscissa_kind(meaning: card_form.Key) -> str:
    """The kind of quantity a curve of this key runs over."""
    return "temperature" if meaning.over == "temperature" else "number"


def _ordinates(path: Path, line: int, row: list[str], meaning: card_form.Key) -> tuple[float, float, float]:
    read = f"{path.name}:{line} {','.join(row)}"
    try:
        _, value, low, high = (float(cell) for cell in row)
    except ValueError:
        raise units.UnitError(read, "four numbers: abscissa, value, low, high") from None
    if not low <= value <= high:
        raise units.UnitError(read, "low, value and high in this order", "columns: abscissa, value, low, high")
    if not (meaning.least <= low and high <= meaning.most):
        raise units.UnitError(read, f"plausible values, {meaning.least:g} to {meaning.most:g}")
    return value, low, high


def read_months(path: Path) -> tuple[Month, ...]:
    """The twelve months of a climate: a row of names, a row of units, twelve rows of numbers."""
    rows = _rows(path)
    names = rows[0][1] if rows else []
    problems: list[Problem] = []
    if not set(MONTH_KINDS) <= set(names):
        problems.append(Problem(f"{path.name}:1", ",".join(names), f"the columns {', '.join(MONTH_KINDS)}"))
    elif len(rows) != MONTHS + 2:
        problems.append(Problem(path.name, f"{len(rows)} rows", "names, units and twelve months"))
    else:
        months = [_month(f"{path.name}:{line}", cells, names, rows[1][1], problems) for line, cells in rows[2:]]
    if problems:
        raise CardError(f"{path.name} cannot be used.", problems)
    return tuple(month for month in months if month is not None)


def _month(
    where: str, cells: list[str], names: list[str], unit_row: list[str], problems: list[Problem]
) -> Month | None:
    try:
        if not len(cells) == len(unit_row) == len(names):
            raise units.UnitError(",".join(cells), f"{len(names)} cells, and as many units")
        texts = {name: f"{cell} {unit}" for name, cell, unit in zip(names, cells, unit_row, strict=True)}
        month = Month(**{name: units.parse(texts[name].strip(), kind) for name, kind in MONTH_KINDS.items()})
        _check_month(month, cells)
    except units.UnitError as error:
        problems.append(Problem(where, error.read, error.needs, error.do))
        return None
    return month


def _check_month(month: Month, cells: list[str]) -> None:
    rules = {
        "air_low not above air_high": month.air_low <= month.air_high,
        "dew_point not above air_high": month.dew_point <= month.air_high,
        "cloud from 0 to 100 %": 0.0 <= month.cloud <= 1.0,
        "air from -60 to 60 C": month.air_low >= 213.15 and month.air_high <= 333.15,
        "dew_point from -80 C": month.dew_point >= 193.15,
        "wind from 0 to 40 m/s": 0.0 <= month.wind <= 40.0,
        "day_spread from 0 to 20 K": 0.0 <= month.day_spread <= 20.0,
    }
    broken = [rule for rule, holds in rules.items() if not holds]
    if broken:
        raise units.UnitError(",".join(cells), "; ".join(broken))
