"""Columns of a table of records: texts that stay texts, numbers with their units, dates; all of it reported."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from linewright.importers import header, stamps, zones
from linewright.importers.channels import TONS
from linewright.importers.grid import (
    BLANK,
    Cell,
    Head,
    Numbers,
    Row,
    Sheet,
    Words,
    bare,
    find_head,
    numbers_of,
    unit_in,
)
from linewright.importers.header import Unit
from linewright.importers.report import Array, Log, Question

AREAS = {"m2": 1.0, "m²": 1.0, "m^2": 1.0, "sqm": 1.0, "ft2": 0.3048**2, "ft²": 0.3048**2, "sqft": 0.3048**2}
MASSES = {
    "kg/m": 1.0,
    "g/m": 1e-3,
    "ktex": 1e-3,
    "kg/100m": 0.01,
    "kg/100 m": 0.01,
    "kg/220m": 1.0 / 220.0,
    "lb/ft": 1.48816394,
}
SHOWN = {"force": ("kN", 1e3), "diameter": ("mm", 1e-3), "length": ("m", 1.0), "mass per length": ("kg/m", 1.0),
         "hours": ("h", 3600.0), "fraction": ("%", 0.01), "area": ("m2", 1.0), "number": ("", 1.0)}  # fmt: skip
CHOICES = {"force": ("kN", "tf", "N", "kip"), "diameter": ("mm", "m", "in"), "length": ("m", "ft", "mm"),
           "mass per length": ("kg/m", "kg/100m"), "hours": ("h", "d"), "area": ("m2", "ft2")}  # fmt: skip
TONNES = {"t", "T", "te", "mt", "MT", "tonne", "tonnes"}
TOTAL = re.compile(
    r"(?i)(grand |sub)?(total|sum|summe|gesamt|somme|average|mean|mittel(wert)?|moyenne|count|anzahl)\b[ :.]*"
)


@dataclass
class Columns:
    """The data rows of a table of records and how its columns are read."""

    sheet: Sheet
    head: Head
    log: Log
    rows: tuple[Row, ...]
    numbers: Numbers
    values: dict[str, Array] = field(default_factory=dict)
    told: dict[str, tuple[str, ...]] = field(default_factory=dict)

    def has(self, name: str) -> bool:
        """Whether the table has a column of this name."""
        return name in self.head.columns

    def heading(self, name: str) -> str:
        """The heading of a column as it stands."""
        return self.head.names[self.head.columns[name]]

    def cells(self, name: str) -> list[Cell]:
        """Cells of a column; blank where the table has no such column."""
        column = self.head.columns.get(name)
        return [BLANK if column is None else row.cell(column) for row in self.rows]

    def texts(self, name: str) -> tuple[str, ...]:
        """A column as text exactly; described in the report where the table has it."""
        found = tuple(cell.text for cell in self.cells(name))
        if self.has(name):
            self.log.text_column(self.heading(name), found)
            self.told[self.heading(name)] = found
        return found

    def figures(self, name: str, quantity: str) -> Array:
        """A column of numbers in SI; NaN where missing, with the reason in the report."""
        if not self.has(name):
            return np.full(len(self.rows), np.nan)
        label = bare(self.heading(name))
        stated = unit_in(self.head, self.head.columns[name])
        beside = [cell.text for cell in self.cells("unit")] if quantity == "force" else [""] * len(self.rows)
        read = [self.numbers.read(cell, label, row.line) for cell, row in zip(self.cells(name), self.rows, strict=True)]
        spelled = [figure.unit or aside or stated for figure, aside in zip(read, beside, strict=True)]
        known = next((text for text in spelled if factor_of(text, quantity) is not None), "")
        found = np.array([self._si(figure.value, text, known, quantity, name, row.line)
                          for figure, text, row in zip(read, spelled, self.rows, strict=True)])  # fmt: skip
        tonnes = [row.line for text, row in zip(spelled, self.rows, strict=True) if text in TONNES]
        if tonnes and quantity == "force":
            text = f"{label}: t in a column of force is read as tonne-force, 9.80665 kN"
            self.log.flag("tonne-force", text, "note", label, tonnes)
        self.values[label] = found
        shown, factor = SHOWN[quantity]
        asked = self.log.used.get(f"unit.{name}") or self.log.used.get("unit.ton", "")
        is_open = not known and not asked and quantity != "number"
        because = "stated" if stated or any(beside) else "stated in a cell of the column" if known else "answer"
        self.log.column(label, quantity, "?" if is_open else shown, found / factor, read_unit=known or asked,
                        because="open" if is_open else because, heading=self.heading(name))  # fmt: skip
        return found

    def _si(self, value: float, spelled: str, known: str, quantity: str, name: str, line: int) -> float:
        """One number in SI by its own unit, else by that of the column, else as the user says."""
        if math.isnan(value) or quantity == "number":
            return value
        factor = factor_of(spelled, quantity)
        label = bare(self.heading(name))
        if (
            factor is None
            and header.unit_of(spelled)
            and header.UNITS[spelled.strip("[]() ")].is_open
            and quantity == "force"
        ):
            because = "short 8.896 kN, metric 9.807 kN, long 9.964 kN"
            answer = self.log.ask(
                Question("unit.ton", f"{label}: a ton is three different forces. Which?", tuple(TONS), because)
            )
            return value * TONS[answer] if answer else math.nan
        if factor is None and spelled and not is_circumference(spelled):
            self.log.replace(line, label, f"{value:g} {spelled}", f"the unit {spelled!r} is not known here")
            return math.nan
        if factor is None and not spelled and known:
            factor = factor_of(known, quantity)
        if factor is None:
            answer = self.log.ask(
                Question(f"unit.{name}", f"In which unit is {label}?", CHOICES[quantity], "no unit is stated")
            )
            factor = factor_of(answer or "", quantity)
        return math.nan if factor is None else value * factor

    def dates(self, name: str) -> list[float]:
        """A column of dates [s from 1970, local]; NaN where it is blank or cannot be read."""
        if not self.has(name):
            return [math.nan] * len(self.rows)
        found = self.cells(name)
        order = date_order([found], self.log)
        seconds = [seconds_of(cell, order) for cell in found]
        label = self.heading(name)
        for cell, value, row in zip(found, seconds, self.rows, strict=True):
            if cell.text and math.isnan(value):
                self.log.replace(row.line, label, cell.text, "no date that can be read")
        self.log.text_column(label, [cell.text for cell in found], "date")
        return seconds


def is_circumference(unit: str) -> bool:
    """Whether the words behind a number say that it is a circumference."""
    return bool(re.search(r"(?i)circ|umfang|circonf", unit))


def factor_of(spelling: str, quantity: str) -> float | None:
    """Factor to SI of a unit's spelling for a quantity; a circumference as the diameter that it belongs to."""
    text = spelling.strip().strip("[]()").strip()
    if quantity == "area":
        return AREAS.get(text)
    if quantity == "mass per length":
        return MASSES.get(text)
    if quantity == "number":
        return 1.0
    around = quantity == "diameter" and is_circumference(text)
    if around:
        text = re.split(r"[\s,;(]+", text)[0].rstrip(".")
    unit: Unit | None = header.unit_of(text) or header.unit_of(text.rstrip("."))
    wanted = {"diameter": "length", "hours": "duration"}.get(quantity, quantity)
    if unit is None or unit.quantity != wanted or unit.is_open:
        return None
    return unit.factor / math.pi if around else unit.factor


def read_columns(sheet: Sheet, words: Words, needed: Sequence[str], log: Log) -> Columns:
    """The data rows below the headings; totals, remarks, repeated headings and empty records are dropped."""
    head = find_head(sheet, words)
    title = [row.joined() for row in sheet.rows[: head.at]]
    if title:
        log.notes["preamble"] = title[:40]
    keys = [head.columns[name] for name in needed if name in head.columns]
    names = [cell.text for cell in sheet.rows[head.at].cells]
    rows = []
    for row in sheet.rows[head.start :]:
        texts = [cell.text for cell in row.cells if cell.text]
        if texts and texts == [name for name in names if name]:
            log.drop(row.line, row.joined(), "the headings again")
        elif len(dict.fromkeys(texts)) == 1 and len(names) > 2:
            log.drop(row.line, row.joined(), "a remark: one text in the row")
        elif texts and TOTAL.fullmatch(texts[0]):
            log.drop(row.line, row.joined(), "a total, not a record")
        elif not any(row.cell(n).is_filled for n in keys):
            log.drop(row.line, row.joined(), "nothing in the columns that a record needs")
        else:
            rows.append(row)
    used = set(head.columns.values())
    for n in range(sheet.width):
        told = [row.cell(n).text for row in rows]
        if n not in used and any(told):
            name = head.names[n] if n < len(head.names) and head.names[n] else f"column {n + 1}"
            log.text_column(name, told, "not used")
    return Columns(sheet, head, log, tuple(rows), numbers_of(sheet, log))


# --- dates ---------------------------------------------------------------------------------------


def date_order(columns: Sequence[Sequence[Cell]], log: Log) -> stamps.Order:
    """The order of day and month of all texts of dates together; asked where no row proves it."""
    matches = [
        stamps.STAMP.fullmatch(cell.text) for cells in columns for cell in cells if cell.text and cell.date is None
    ]
    pairs = [(int(found["a"]), int(found["b"])) for found in matches
             if found and found["a"] and len(found["a"]) <= 2 and found["b"].isdigit()]  # fmt: skip
    first, second = any(a > 12 for a, _ in pairs), any(b > 12 for _, b in pairs)
    if first != second:
        return "dmy" if first else "mdy"
    if not pairs or all(a == b for a, b in pairs):
        return "dmy"
    why = "both orders occur" if first else "no number is above 12: day and month cannot be told apart"
    answer = log.ask(Question("time.order", "Is the day or the month first?", ("day first", "month first"), why))
    return "mdy" if answer == "month first" else "dmy"


def seconds_of(cell: Cell, order: stamps.Order) -> float:
    """A cell as seconds of its own clock from 1970; NaN where it is no date."""
    if cell.date is not None:
        return (cell.date - zones.EPOCH).total_seconds()
    return stamps.seconds_of(stamps.STAMP.fullmatch(cell.text), order)
