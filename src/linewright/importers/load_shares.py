"""How long each case of a load table lasts: probabilities, hours or weights as shares; the calm that is left."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from linewright.base import units
from linewright.base.errors import InputError, Problem
from linewright.importers.grid import Numbers
from linewright.importers.load_layout import Layout, Role, Told
from linewright.importers.load_states import LoadState
from linewright.importers.report import Log, Question

OVER = 1e-3  # a sum of rounded shares may be this far above 1
LEFT = 1e-6  # a remainder below this is none
MOST_HOURS = units.LARGEST_YEAR_HOURS
UNITS = ("percent", "fraction", "per mille", "hours per year", "weight")
_FACTORS = {"percent": 0.01, "fraction": 1.0, "per mille": 1e-3}


@dataclass
class Shares:
    """Shares by case as written, with the column they stand in and the rows of each."""

    told: dict[str, tuple[float, int]] = field(default_factory=dict)
    unit: str = ""
    role: Role | None = None

    def add(self, told: Told, numbers: Numbers, log: Log) -> None:
        """Take a cell; a blank one below a case's first says nothing. Raises InputError for two shares of a case."""
        if not told.cell.is_filled and told.case in self.told:
            return
        if self.role is not None and self.role.heading != told.role.heading:
            text = f"two columns say how long a case lasts; {self.role.heading} is used, {told.role.heading} is not"
            log.flag("share-twice", text, "caution", told.role.heading)
            return
        figure = numbers.read(told.cell, told.role.heading, told.row)
        self.role, self.unit = told.role, self.unit or figure.unit or told.role.unit
        if math.isnan(figure.value):
            return
        before = self.told.setdefault(told.case, (figure.value, told.row))
        if abs(before[0] - figure.value) > 1e-9 * max(abs(figure.value), 1.0):
            read = f"{before[0]:g} in row {before[1]}, {figure.value:g} in row {told.row}"
            raise InputError(
                "A case lasts two times.", [Problem(f"{told.case}, {told.role.heading}", read, "one share a case")]
            )


SHARES_ONLY = "the table states shares only"  # why the hours a year are asked


def load_answer(key: str, answer: str) -> units.Load:
    """An answer as a tension. Raises InputError."""
    try:
        return units.parse_load(answer.strip())
    except units.UnitError as error:
        raise InputError(
            f"The answer to {key} cannot be used.", [Problem(key, error.read, error.needs, error.do)]
        ) from None


def shared(
    states: Sequence[LoadState],
    shares: Shares,
    rest: Mapping[str, tuple[float, str]],
    layouts: Sequence[Layout],
    log: Log,
) -> list[LoadState]:
    """States with share and hours a year, and the calm that the cases leave; rest is the pretension of each line."""
    cases = list(dict.fromkeys(state.case for state in states))
    figures, unit = _figures(cases, shares, log)
    if not figures or not unit:
        return list(states)
    total = _hours(figures, unit, layouts, log)
    parts = _parts(figures, unit, total)
    told = [
        replace(state, share=parts[state.case], hours_per_year=parts[state.case] * total)
        for state in states
        if state.case in parts
    ]
    left = 1.0 - math.fsum(parts.values())
    if math.isnan(left) or left <= LEFT:
        return told
    hours = f" ({left * total:.6g} h a year)" if math.isfinite(total) else ""
    text = f"the cases take {100.0 * (1.0 - left):.6g} % of the time alongside; the rest, {100.0 * left:.6g} %{hours}"
    text += ", is the state calm"
    log.flag("calm-remainder", text)
    return told + _calm(told, left, total, rest, log)


def _figures(cases: Sequence[str], shares: Shares, log: Log) -> tuple[dict[str, float], str]:
    """Shares of the cases as written and what they are; asked where the table states none."""
    if not shares.told:
        text = "How long does each case last? (equal, or shares in the order of the cases, such as 10 %, 5 %)"
        named = ", ".join(cases)[:200]
        answer = log.ask(Question("shares", text, (), f"the table states no probability; cases: {named}"))
        return _answered(answer, cases), "fraction"
    missing = [case for case in cases if case not in shares.told]
    if missing:
        text = f"no share is stated for {', '.join(missing)[:200]}: these cases are left out"
        log.flag("share-missing", text, "caution")
    found = {case: shares.told[case][0] for case in cases if case in shares.told}
    unused = [case for case in shares.told if case not in cases]
    if unused:
        text = f"cases with a share but without tensions: {', '.join(unused)[:200]}; their time counts as calm"
        log.flag("case-without-tensions", text, "caution")
    if any(figure < 0.0 for figure in found.values()):
        raise InputError(
            "A share is below zero.",
            [Problem(shares.role.heading if shares.role else "share", "below zero", "shares from 0")],
        )
    return found, _unit(shares, found, log)


def _answered(answer: str | None, cases: Sequence[str]) -> dict[str, float]:
    if answer is None:
        return {}
    if answer.strip().lower() == "equal":
        return {case: 1.0 / len(cases) for case in cases}
    parts = [part.strip() for part in re.split(r"[,;]\s*", answer) if part.strip()]
    try:
        values = [units.parse(part, "fraction") for part in parts]
    except units.UnitError as error:
        raise InputError("The answer to shares cannot be used.", [Problem("shares", error.read, error.needs)]) from None
    if len(values) != len(cases) or any(not 0.0 <= value <= 1.0 for value in values):
        needs = f"{len(cases)} shares from 0 to 100 %, in the order of the cases"
        raise InputError("The answer to shares cannot be used.", [Problem("shares", answer, needs)])
    return dict(zip(cases, values, strict=True))


def _unit(shares: Shares, figures: Mapping[str, float], log: Log) -> str:
    """What the shares are: by unit, heading or sum, else asked."""
    total = math.fsum(figures.values())
    words = f"{shares.unit} {shares.role.heading if shares.role else ''}".lower()
    for unit, pattern in (
        ("per mille", r"‰|per ?mille|promille|per thousand|parts per"),
        ("percent", r"%|\bpct\b|percent|prozent|pourcent|por ciento"),
        ("hours per year", r"\bh\b|hours?|hrs|stunden|heures|horas|\buren\b|timer"),
        ("weight", r"weight|gewicht|poids|peso|count|anzahl|nombre|number"),
    ):
        if re.search(pattern, words):
            return unit if total > 1.0 + OVER or unit not in _FACTORS else _doubted(unit, total, log)
    for unit, whole in (("fraction", 1.0), ("percent", 100.0), ("per mille", 1000.0)):
        if abs(total / whole - 1.0) < 0.002:
            log.flag("share-unit", f"the shares add to {total:g}: they are read as {unit}", column=words.strip())
            return unit
    text = "What are the probabilities of the cases?"
    return log.ask(Question("unit.share", text, UNITS, f"no unit is stated, and they add to {total:g}")) or ""


def _doubted(unit: str, total: float, log: Log) -> str:
    """Shares stated in percent that add to no more than 1: cases of a study seldom last so little, it is asked."""
    text = "What are the probabilities of the cases?"
    why = f"the heading says {unit}, but they add to {total:g} only: are they fractions?"
    return log.ask(Question("unit.share", text, UNITS, why)) or ""


def _hours(figures: Mapping[str, float], unit: str, layouts: Sequence[Layout], log: Log) -> float:
    """Hours alongside a year: stated above the table, else asked; NaN while open. Raises InputError."""
    titles = " ".join(layout.title for layout in layouts)
    stated = re.search(
        r"(?i)(?:alongside|at berth|moored|per year|liegezeit|à quai)[^\d]{0,40}(\d[\d .]*)\s*h\b", titles
    )
    own = math.fsum(figures.values())
    if stated:
        total = float(stated[1].replace(" ", ""))
    else:
        told = f"the cases take {own:g} h" if unit == "hours per year" else SHARES_ONLY
        answer = log.ask(Question("hours", "How many hours a year does the ship lie alongside? (e.g. 1200)", (), told))
        total = math.nan if answer is None else _hours_answer(answer)
    if unit == "hours per year" and own > total * (1.0 + OVER):
        problem = Problem(
            "hours", f"{own:g} h in the cases, {total:g} h alongside", "cases that fit into the time alongside"
        )
        raise InputError("The cases last longer than the ship lies alongside.", [problem])
    return total


def _hours_answer(answer: str) -> float:
    found = re.fullmatch(r"(\d+(?:\.\d+)?)\s*(?:h|hours)?", answer.strip())
    total = float(found[1]) if found else math.nan
    if not 0.0 < total <= MOST_HOURS:
        needs = f"hours above 0 and at most {MOST_HOURS:g}, the hours of a year"
        raise InputError("The answer to hours cannot be used.", [Problem("hours", answer, needs)])
    return total


def _parts(figures: Mapping[str, float], unit: str, total: float) -> dict[str, float]:
    """Shares of the time alongside. Raises InputError where they are more than the whole."""
    whole = math.fsum(figures.values())
    if not whole > 0.0:
        raise InputError("The cases last no time.", [Problem("shares", f"{whole:g}", "shares above zero")])
    factor = {"weight": 1.0 / whole, "hours per year": 1.0 / total}.get(unit, _FACTORS.get(unit, math.nan))
    added = factor * whole
    if added > 1.0 + OVER:
        problem = Problem("shares of the cases", f"{100.0 * added:.6g} %", "at most 100 % in all", "correct the table")
        raise InputError("The cases take more than the whole time.", [problem])
    return {case: factor * figure / max(added, 1.0) for case, figure in figures.items()}


def _calm(
    states: Sequence[LoadState], left: float, total: float, rest: Mapping[str, tuple[float, str]], log: Log
) -> list[LoadState]:  # fmt: skip
    """The remaining time of every line: at its pretension where the table states one, else as the user says."""
    first = {state.line: state for state in reversed(states)}
    lines = list(dict.fromkeys(state.line for state in states))
    name = "calm" if all(state.case != "calm" for state in states) else "calm, remaining time"
    bare = {"case": name, "share": left, "hours_per_year": left * total, "estimated": ()}
    if all(line in rest for line in lines):
        log.flag("calm-pretension", "in the remaining time the lines hold their pretension, without swing")
        return [_steady(first[line], bare, *rest[line]) for line in lines]
    text = "What tension do the lines have in the remaining time? (such as 100 kN or 8 %LDBF, or the name of a case)"
    answer = log.ask(Question("calm", text, (), f"{100.0 * left:.6g} % of the time is in no case of the table"))
    if answer is None:
        return []
    same = [state for state in states if state.case == answer.strip()]
    if same:
        return [replace(state, **bare) for state in same]  # type: ignore[arg-type]
    load = load_answer("calm", answer)
    return [_steady(first[line], bare, load.value, load.base) for line in lines]


def _steady(state: LoadState, bare: Mapping[str, object], mean: float, base: str) -> LoadState:
    nothing = {"significant": math.nan, "max": math.nan, "min": math.nan, "duration": math.nan, "rows": ()}
    where = "the remaining time"
    return replace(state, **{**bare, **nothing, "mean": mean, "std": 0.0, "base": base, "where": where})  # type: ignore[arg-type]
