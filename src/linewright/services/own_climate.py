"""A climate card of one's own: a copy of another one with its table, its air warmer or colder if asked."""

from __future__ import annotations

import csv
import secrets
from collections.abc import Sequence
from pathlib import Path
from typing import cast

import tomlkit

from linewright.base import units
from linewright.base.errors import InputError, Problem
from linewright.cards.model import Climate
from linewright.services.card_files import start_of, write_card, wrong_name

AIR = ("air_low", "air_high", "dew_point")
DIGITS = 6


def new_climate(cards: Path, name: str, card: Climate, shift: str, confidential: bool = False) -> list[str]:
    """Write a copy of a climate card under a folder of cards, and say what it is. Raises InputError; never overwrites.

    `shift` moves the air of every month and its dew point with it, so that the humidity stays about the same.
    """
    folder = cards / "climates"
    target, table = folder / f"{name}.toml", folder / f"{name}.csv"
    degrees = _degrees(card, shift)
    problems = wrong_name(name, target) or [
        Problem(str(path), "a file of this name", "a name that is free", "nothing was changed")
        for path in (table,)
        if card.months and path.exists()
    ]
    if problems:
        raise InputError("The card was not written.", problems)
    start = start_of(card, "climate", cards)
    document = tomlkit.parse((start / f"{card.name}.toml").read_text(encoding="utf-8"))
    files: dict[Path, bytes] = {}
    if card.months:
        text = (start / cast(str, document["months"])).read_text(encoding="utf-8-sig")
        files[table] = (shifted(text, degrees) if shift else text).encode()
        document["months"] = table.name
    document["title"] = f"{card.title}, {name}"
    document["note"] = tomlkit.string(f"{card.note.strip()}\nCopied from {card.name}.", multiline=True)
    if shift:
        document["where"] = f"{card.where}; air and dew point shifted by {shift.strip()}".lstrip("; ")
        document["basis"] = "estimate"
    if confidential:
        document["confidential"] = True
        document["seal"] = secrets.token_hex(16)
    files[target] = f"# An own card, copied from {card.name}.\n{tomlkit.dumps(document)}".encode()
    write_card(files, cards, target)
    return _said(target, table, card, name, shift)


def _degrees(card: Climate, shift: str) -> float:
    """The shift [K]. Raises InputError where it cannot be read or the card has no table to shift."""
    if not shift:
        return 0.0
    if not card.months:
        problem = Problem("--shift", shift, "a monthly card", f"the hours of {card.name} stand in {card.hourly}")
        raise InputError("A climate hour by hour is not shifted.", [problem])
    try:
        return units.parse(shift, "temperature_difference")
    except units.UnitError as error:
        raise InputError("The shift cannot be used.", [Problem("--shift", shift, error.needs, error.do)]) from None


def shifted(text: str, degrees: float) -> str:
    """A monthly table with the air of every month moved; remarks and all other cells stay as they are."""
    rows: list[str] = []
    head: list[list[str]] = []
    for line in text.splitlines():
        cells = [cell.strip() for cell in next(csv.reader([line]), [])]
        is_month = any(cells) and not cells[0].startswith("#")
        if is_month and len(head) < 2:
            head.append(cells)
        elif is_month:
            line = ",".join(_moved(cells, head[0], head[1], degrees))
        rows.append(line)
    return "\n".join(rows) + "\n"


def _moved(cells: Sequence[str], names: Sequence[str], unit_row: Sequence[str], degrees: float) -> list[str]:
    """One month with its air moved."""
    month = dict(zip(names, cells, strict=True))
    for key, unit in zip(names, unit_row, strict=True):
        if key in AIR:
            kelvin = units.parse(f"{month[key]} {unit}", "temperature") + degrees
            month[key] = units.show(kelvin, "temperature", unit, DIGITS).removesuffix(unit).strip()
    return list(month.values())


def _said(target: Path, table: Path, card: Climate, name: str, shift: str) -> list[str]:
    what = f"{card.name}, its air and dew point shifted by {shift.strip()}" if shift else card.name
    rows = [f"Wrote {target}: a copy of {what}."]
    if card.months:
        rows.append(f"Its months stand in {table.name} beside it: month by month they can be replaced by your own.")
    return [*rows, "Put into case.toml, in the berth that has this climate:", "", f'climate = "{name}"']
