"""Residual strength of used lines: percentages recomputed from the forces, on both bases."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

import numpy as np

from linewright.base import units
from linewright.base.errors import InputError, Problem
from linewright.importers.grid import Sheet, find_head
from linewright.importers.header import G
from linewright.importers.record_columns import Columns, read_columns
from linewright.importers.report import Array, Imported, Log, Question, Source
from linewright.importers.sentences import Sentence, flag_each

RETIRE = 0.75  # of SDMBL
OFF = 0.006  # a stated percentage agrees within this
LOOKS_TONNES = (0.4, 1.2)  # of SDMBL, when the figure is read as tf
WORDS = {
    name: re.compile(pattern)
    for name, pattern in {
        "ldbf": r"\bldbf",
        "sdmbl": r"sdmbl",
        "stated": r"pct|%|percent|prozent|residual.*ratio|stated|remaining",
        "force": r"\btest|break|residual|rest(bruch|festig)|bruchkraft|failure load|rupture|strength|\bkn\b",
        "basis": r"basis|\bbase\b|bezug|reference|relative to|\bof\b",
        "hours": r"hours|stunden|heures|\bhrs?\b|horas",
        "position": r"position|location|\bpos\b|platz|sample",
        "condition": r"condition|wet|dry|splice|eye|zustand",
        "id": r"(\bline|rope|leine|trosse|hawser|amarre|specimen|sample)[ -]?(id|no\.?|nr\.?|number|name)?$"
        r"|^(id|no\.?|nr\.?)$",
    }.items()
}

TESTED = re.compile(r"(?i)test|break ?(load|force|strength)|residual|rest(bruch|festig)|bruchkraft|failure|rupture")


@dataclass(frozen=True)
class Residual:
    """A test of a used line: break force [N], hours in use [s], its share of both strengths [-]; NaN where unknown."""

    id: str
    position: str
    duration: float
    force: float
    of_sdmbl: float
    of_ldbf: float
    stated: float
    basis: str
    row: int


def is_residual(sheet: Sheet) -> bool:
    """Whether a sheet lists break forces of lines after use."""
    head = find_head(sheet, WORDS)
    found = set(head.columns)
    if not {"id", "force"} <= found:
        return False
    if found & {"ldbf", "sdmbl"} and TESTED.search(head.names[head.columns["force"]]):
        return True
    return bool(found & {"stated", "hours"}) and ("basis" in found or {"stated", "hours"} <= found)


def residual_of(sheet: Sheet, source: Source, log: Log) -> Imported:
    """Tests with both percentages; what the table states is held against them."""
    columns = read_columns(sheet, WORDS, ("id", "force"), log)
    ids, places, bases = columns.texts("id"), columns.texts("position"), columns.texts("basis")
    hours = columns.figures("hours", "hours")
    force = columns.figures("force", "force")
    stated = _stated(columns)
    sdmbl, ldbf = _strength("sdmbl", columns, log), _strength("ldbf", columns, log)
    force = _without_tonnes(ids, force, sdmbl, columns, log)
    of_sdmbl, of_ldbf = force / sdmbl, force / ldbf
    for name, share in (("share of SDMBL", of_sdmbl), ("share of LDBF", of_ldbf)):
        log.column(name, "fraction", "%", 100.0 * share, because="recomputed from the force")
    if not log.questions:
        _compare(ids, (stated, of_sdmbl, of_ldbf), bases, columns, log)
        _retire(ids, of_sdmbl, of_ldbf, columns, log)
    figures = zip(*(array.tolist() for array in (hours, force, of_sdmbl, of_ldbf, stated)), strict=True)
    tests = tuple(
        Residual(ids[n], places[n], used, broke, ship, rope, percent, bases[n], columns.rows[n].line)
        for n, (used, broke, ship, rope, percent) in enumerate(figures)
    )
    report = log.report("tensile", "residual strength", source, len(columns.rows), len(columns.rows))
    values = {**columns.values, "share of SDMBL": of_sdmbl, "share of LDBF": of_ldbf}
    return Imported(report, None, values, dict(columns.told), tests)


def _stated(columns: Columns) -> Array:
    """The percentages as the table states them, as fractions."""
    if not columns.has("stated"):
        return np.full(len(columns.rows), np.nan)
    figures = [columns.numbers.read(cell, "stated", row.line).value
               for cell, row in zip(columns.cells("stated"), columns.rows, strict=True)]  # fmt: skip
    found = np.array(figures)
    known = found[np.isfinite(found)]
    factor = 1.0 if known.size and known.max() <= 1.5 else 0.01
    columns.log.column(
        columns.heading("stated"), "fraction", "%", 100.0 * factor * found, heading=columns.heading("stated")
    )
    return factor * found


def _strength(name: str, columns: Columns, log: Log) -> Array:
    """The strength that percentages are of: a column of the table, else asked [N]."""
    if columns.has(name):
        return columns.figures(name, "force")
    text = f"What is the {name.upper()} of the tested lines? (e.g. 1300 kN)"
    answer = log.ask(Question(name, text, (), "the table does not state it; a percentage needs its base"))
    if answer is None:
        return np.full(len(columns.rows), np.nan)
    try:
        value = units.parse(answer, "force")
    except units.UnitError as error:
        raise InputError(
            f"The answer to {name} cannot be used.", [Problem(name, error.read, error.needs, error.do)]
        ) from None
    if not value > 0.0:
        raise InputError(f"The answer to {name} cannot be used.", [Problem(name, answer, "a force above zero")])
    return np.full(len(columns.rows), value)


def _without_tonnes(ids: tuple[str, ...], force: Array, sdmbl: Array, columns: Columns, log: Log) -> Array:
    """Forces without those that look like tonnes in a column of kN: they are flagged and not used."""
    kept = force.copy()
    sentences: list[Sentence] = []
    for n, row in enumerate(columns.rows):
        low, high = LOOKS_TONNES
        if low <= force[n] * G / sdmbl[n] <= high and force[n] / sdmbl[n] < 0.2:
            told = f"{force[n] / 1e3:g} tf are {force[n] * G / 1e3:.1f} kN"
            text = f"{ids[n]}: {force[n] / 1e3:g} looks like tf in a column of kN ({told}); it is not used"
            sentences.append(Sentence(text, (row.line,)))
            log.replace(row.line, "force", f"{force[n] / 1e3:g}", "looks like tf in a column of kN")
            kept[n] = np.nan
    flag_each(log, "strength-in-tonnes", "refused", sentences)
    return kept


def _compare(
    ids: tuple[str, ...], shares: tuple[Array, Array, Array], bases: tuple[str, ...], columns: Columns, log: Log
) -> None:  # fmt: skip
    """What the table states, against what its force says on the base that it names."""
    named: set[str] = set()
    said: dict[str, list[Sentence]] = {"base-missing": [], "percent-differs": []}
    for n, row in enumerate(columns.rows):
        told, on = shares[0][n], {"SDMBL": shares[1][n], "LDBF": shares[2][n]}
        base = next((name for name in on if name in bases[n].upper()), "")
        fits = [name for name, share in on.items() if abs(share - told) <= OFF]
        named |= {base or (fits[0] if len(fits) == 1 else "?")} if not math.isnan(told) else set()
        computed = f"{100.0 * on['SDMBL']:.1f} % SDMBL, {100.0 * on['LDBF']:.1f} % LDBF"
        if math.isnan(told) or math.isnan(on["SDMBL"]):
            continue
        if not base:
            of = f"it fits {fits[0]}" if len(fits) == 1 else "it fits neither" if not fits else "it fits both"
            text = f"{ids[n]}: {100.0 * told:g} % without a base; {of}: {computed}"
            said["base-missing"].append(Sentence(text, (row.line,)))
        elif base not in fits:
            text = f"{ids[n]}: {100.0 * told:g} % of {base} is stated, the force says {computed}"
            said["percent-differs"].append(Sentence(text, (row.line,)))
    for code, sentences in said.items():
        flag_each(log, code, "caution", sentences)
    if len(named) > 1:
        text = (
            f"the stated percentages have mixed bases ({', '.join(sorted(named))}); both are recomputed from the forces"
        )
        log.flag("bases-mixed", text, "caution")


def _retire(ids: tuple[str, ...], of_sdmbl: Array, of_ldbf: Array, columns: Columns, log: Log) -> None:
    ships, ropes = [], []
    for n, row in enumerate(columns.rows):
        if of_sdmbl[n] < RETIRE:
            text = f"{ids[n]}: {100.0 * of_sdmbl[n]:.1f} % of SDMBL is below {100.0 * RETIRE:.0f} %: retire the line"
            ships.append(Sentence(text, (row.line,)))
        elif of_ldbf[n] < RETIRE:
            text = f"{ids[n]}: {100.0 * of_ldbf[n]:.1f} % of LDBF is below {100.0 * RETIRE:.0f} %, of SDMBL it is not"
            ropes.append(Sentence(text, (row.line,)))
    flag_each(log, "retire", "caution", ships)
    flag_each(log, "retire-ldbf", "note", ropes)
