"""Certificates of lines, and particulars of ships: the two lists that arrive as spreadsheets."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from linewright.importers.grid import Cell, Row, Sheet, bare, find_head, is_unit, named_unit, numbers_of, plainly
from linewright.importers.header import G
from linewright.importers.record_columns import CHOICES, SHOWN, TONNES, factor_of, read_columns
from linewright.importers.report import Imported, Log, Question, Source
from linewright.importers.sentences import Sentence, flag_each

STRENGTHS = (0.08e9, 1.3e9)  # [N/m2] break force over the square of the diameter, fibre and wire
MASSES = (100.0, 8000.0)  # [kg/m3] mass per metre over the square of the diameter
WORDS = {
    name: re.compile(pattern)
    for name, pattern in {
        "certificate": r"cert|zeugnis|bescheinigung|attestation",
        "ldbf": r"\bldbf|break|bruchkraft|\bmbl\b|\bmbf\b|strength|rupture|rotura",
        "unit": r"^(unit|units|einheit|unité|unidad|eenheid)$",
        "diameter": r"diam|durchmesser|ø|\bdia\b|circumf|umfang|\bsize\b|di[aá]metro|diamètre",
        "mass": r"mass|weight|gewicht|kg ?/ ?(100 ?)?m|masse|poids",
        "date": r"date|datum|fecha|dato",
        "material": r"material|fibre|fiber|faser|construction",
        "remark": r"remark|comment|bemerk|notes?$|remarque",
        "line": r"\bline|rope|leine|trosse|hawser|amarre|serial",
    }.items()
}
HEADED = {
    "item": re.compile(
        r"^(item|particulars?|description|parameter|property|bezeichnung|désignation|descripci[oó]n|name)\b"
    ),
    "value": re.compile(r"^(values?|wert|valeur|valor|data|figure|amount)\b"),
    "unit": re.compile(r"^(units?|einheit|unité|unidad|eenheid|dim)\b"),
}
ITEMS: dict[str, tuple[str, str, float, float]] = {  # what an item is: words, quantity, plausible SI range
    "sdmbl": (r"sdmbl|ship design m(bl|inimum)|ship design break", "force", 50e3, 5e6),
    "ldbf": (r"\bldbf|line design break", "force", 50e3, 5e6),
    "length_overall": (
        r"length over ?all|\bloa\b|l(ä|ae)nge (ü|ue)ber alles|longueur hors|eslora",
        "length",
        20.0,
        470.0,
    ),
    "length_between": (r"between perp|\blbp\b|\blpp\b", "length", 20.0, 460.0),
    "beam": (r"^beam|breadth|\bbreite|largeur|manga", "length", 4.0, 75.0),
    "depth": (r"^depth|moulded depth|seitenh(ö|oe)he|puntal|^creux", "length", 2.0, 45.0),
    "draught": (r"draught|draft|tiefgang|tirant|calado", "length", 1.0, 30.0),
    "windage": (r"windage|wind(age)? area|lateral area|windfl(ä|ae)che|surface au vent", "area", 10.0, 25e3),
    "lines": (
        r"(number|no\.?|nr\.?|anzahl|nombre) (of |de |der )?(mooring )?(lines|leinen|amarres)",
        "number",
        1.0,
        80.0,
    ),
    "roller_radius": (r"(roller|fairlead|chock).*radius", "length", 0.02, 2.0),
    "roller_diameter": (r"(roller|fairlead|chock).*(dia|ø)", "diameter", 0.05, 4.0),
    "rope_diameter": (
        r"(rope|line|leinen?).*(dia|durchmesser|ø)|^(nominal )?diam|^durchmesser",
        "diameter",
        0.01,
        0.15,
    ),
    "rope_mass": (r"^(linear )?mass per|^weight per|^gewicht pro", "mass per length", 0.05, 50.0),
}
_ITEMS = {key: re.compile(item[0]) for key, item in ITEMS.items()}


@dataclass(frozen=True)
class Certificate:
    """A certificate: texts as they stand, LDBF [N], diameter [m], mass per length [kg/m]; NaN where missing."""

    number: str
    line: str
    ldbf: float
    diameter: float
    mass: float
    date: str
    row: int


@dataclass(frozen=True)
class Particular:
    """An item of a ship: known key (empty for others), its words, its text, SI value (NaN for words), unit as read."""

    key: str
    item: str
    text: str
    value: float
    unit: str
    row: int


def is_certificates(sheet: Sheet) -> bool:
    """Whether a sheet lists certificates with a strength."""
    return {"certificate", "ldbf"} <= set(find_head(sheet, WORDS).columns)


def certificates_of(sheet: Sheet, source: Source, log: Log) -> Imported:
    """Certificates with strengths and sizes held against each other."""
    columns = read_columns(sheet, WORDS, ("certificate", "ldbf"), log)
    numbers, lines = columns.texts("certificate"), columns.texts("line")
    if columns.has("unit"):
        columns.texts("unit")
    ldbf = columns.figures("ldbf", "force")
    diameter = columns.figures("diameter", "diameter")
    mass = columns.figures("mass", "mass per length")
    columns.dates("date")
    if columns.has("remark"):
        columns.texts("remark")
    figures = zip(numbers, lines, ldbf.tolist(), diameter.tolist(), mass.tolist(), columns.rows, strict=True)
    judged = [(row.line, *_judge(f"{name} ({line})", (a, b, c))) for name, line, a, b, c, row in figures]
    flag_each(log, "strength-implausible", "refused", [Sentence(text, (row,)) for row, text, _ in judged if text])
    flag_each(log, "mass-implausible", "caution", [Sentence(text, (row,)) for row, _, text in judged if text])
    counts = Counter(numbers)
    twice = [row.line for number, row in zip(numbers, columns.rows, strict=True) if number and counts[number] > 1]
    if twice:
        log.flag(
            "id-twice",
            f"a certificate number stands in several rows: {', '.join(map(str, twice[:20]))}",
            "refused",
            rows=twice,
        )
    dates = [cell.text for cell in columns.cells("date")]
    found = tuple(
        Certificate(numbers[n], lines[n], float(ldbf[n]), float(diameter[n]), float(mass[n]), dates[n], row.line)
        for n, row in enumerate(columns.rows)
    )
    report = log.report("records", "line certificates", source, len(columns.rows), len(columns.rows))
    return Imported(report, None, dict(columns.values), dict(columns.told), found)


def _judge(name: str, figures: tuple[float, float, float]) -> tuple[str, str]:
    """What is wrong with strength and with mass, against the square of the diameter; empty where nothing is."""
    ldbf, diameter, mass = figures
    strength = weight = ""
    stress = ldbf / diameter**2 if diameter > 0.0 else math.nan
    low, high = STRENGTHS
    if not math.isnan(stress) and not low <= stress <= high:
        strength = f"{name}: LDBF {ldbf / 1e3:.4g} kN is not plausible for a rope of {diameter * 1e3:.3g} mm"
        hints = [unit for unit, factor in (("kN", 100.0), ("tf", G)) if low <= stress * factor <= high]
        strength += f"; a unit is in doubt ({' or '.join(hints)}?)" if hints else ""
    density = mass / diameter**2 if diameter > 0.0 else math.nan
    if not math.isnan(density) and not MASSES[0] <= density <= MASSES[1]:
        weight = f"{name}: {mass:.4g} kg/m is not plausible for a rope of {diameter * 1e3:.3g} mm"
    return strength, weight


# --- particulars of a ship -----------------------------------------------------------------------


def is_particulars(sheet: Sheet) -> bool:
    """Whether a sheet lists items of a ship, under headings or as a form."""
    items = {key for _, label, _, _ in _pairs(sheet) if (key := _key(label))}
    headed = {"item", "value"} <= set(find_head(sheet, HEADED).columns)
    return len(items) >= (2 if headed else 3)


def particulars_of(sheet: Sheet, source: Source, log: Log) -> Imported:
    """Items with their values; units are read from the sheet, never assumed."""
    numbers = numbers_of(sheet, log)
    found = []
    for row, label, cell, beside in _pairs(sheet):
        key = _key(label)
        figure = numbers.figure(cell, label, row.line)
        if math.isnan(figure.value) and (key or cell.note):
            log.replace(row.line, label, cell.text, figure.why)
        spelled = figure.unit or beside or named_unit(label)[1]
        value, unit = _value(key, label, figure.value, spelled, log) if key else (figure.value, spelled)
        found.append(Particular(key, label, cell.text, value, unit, row.line))
    for item in found:
        _range(item, log)
        quantity = ITEMS[item.key][1] if item.key else "number"
        shown, factor = SHOWN[quantity] if item.key else (item.unit, 1.0)
        if math.isnan(item.value) and not item.key:
            log.text_column(item.item, [item.text])
        else:
            log.column(bare(item.item), quantity, shown, np.array([item.value / factor]), read_unit=item.unit,
                       because="stated beside the value" if item.unit else "", heading=item.item)  # fmt: skip
    twice = {item.key for item in found if item.key and sum(1 for other in found if other.key == item.key) > 1}
    for key in sorted(twice):
        rows = [item.row for item in found if item.key == key]
        log.flag(
            "item-twice", f"{key.replace('_', ' ')} stands in rows {', '.join(map(str, rows))}", "caution", rows=rows
        )
    report = log.report("records", "ship particulars", source, len(found), len(found))
    values = {bare(item.item): np.array([item.value]) for item in found if item.key or not math.isnan(item.value)}
    texts = {"item": tuple(item.item for item in found), "text": tuple(item.text for item in found)}
    return Imported(report, None, values, texts, tuple(found))


def _pairs(sheet: Sheet) -> Iterator[tuple[Row, str, Cell, str]]:
    """Label, value and unit of every item, from a headed list or a form of labels and values."""
    head = find_head(sheet, HEADED)
    if {"item", "value"} <= set(head.columns):
        for row in sheet.rows[head.at + 1 :]:
            item, unit = row.cell(head.columns["item"]).text, row.cell(head.columns.get("unit", 10**6)).text
            if item and row.cell(head.columns["value"]).is_filled:
                yield row, item, row.cell(head.columns["value"]), "" if unit == "-" else unit
        return
    for row in sheet.rows:
        cells = [cell for n, cell in enumerate(row.cells) if cell.is_filled and (n == 0 or cell != row.cells[n - 1])]
        at = 0
        while at + 1 < len(cells):
            label, cell = cells[at], cells[at + 1]
            beside = cells[at + 2].text if at + 2 < len(cells) and is_unit(cells[at + 2].text) else ""
            if label.is_words and len(label.text) > 1:
                yield row, label.text.rstrip(" :"), cell, beside
            at += 3 if beside else 2


def _key(label: str) -> str:
    text = plainly(label)
    return next((key for key, pattern in _ITEMS.items() if pattern.search(text)), "")


def _value(key: str, label: str, value: float, spelled: str, log: Log) -> tuple[float, str]:
    """An item's SI value and its unit; asked where none is stated."""
    quantity = ITEMS[key][1]
    if math.isnan(value) or quantity == "number":
        return value, spelled
    factor = factor_of(spelled, quantity)
    if factor is None:
        why = f"the unit {spelled!r} is none of a {quantity}" if spelled else "no unit is stated"
        answer = log.ask(Question(f"unit.{key}", f"In which unit is {label}?", CHOICES[quantity], why))
        return (math.nan, spelled) if answer is None else (value * (factor_of(answer, quantity) or math.nan), answer)
    if quantity == "force" and spelled in TONNES:
        log.flag("tonne-force", f"{label}: {spelled} of a force is read as tonne-force, 9.80665 kN", column=label)
    return value * factor, spelled


def _range(item: Particular, log: Log) -> None:
    if not item.key or math.isnan(item.value):
        return
    _, quantity, low, high = ITEMS[item.key]
    if not low <= item.value <= high:
        shown, factor = SHOWN[quantity]
        text = f"{item.item}: {item.value / factor:g} {shown} is not plausible".replace("  ", " ")
        if quantity == "force" and low <= item.value * G <= high:
            text += f"; read as tf it would be {item.value * G / factor:.0f} kN"
        log.flag("item-implausible", text, "refused", rows=[item.row])
