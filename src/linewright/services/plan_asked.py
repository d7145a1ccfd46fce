"""What a plan is asked for: the table `[plan]` of the case, with the options of the command on top."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

from linewright.base import form as base_form
from linewright.base.errors import InputError, Problem
from linewright.case.model import Case, Plan
from linewright.case.plan import rules
from linewright.case.plan.form import PlanForm, read_plan
from linewright.case.typed import TypedReader
from linewright.services.study import open_study

WHOLE = ("spares",)
NAME = "[plan] with options"


def planned(root: Path, case: Case, options: dict[str, str]) -> Plan:
    """The plan of the case where no option says otherwise. Raises InputError for options that cannot be."""
    if not options:
        return case.plan
    raw = base_form.read_toml(open_study(root).case_file, "case")[1].get("plan", {})
    asked = {key: _value(key, text) for key, text in options.items()}
    if "price_per_line" in asked or "price_per_kg" in asked:  # an option takes the place of the case's other price
        raw = {key: value for key, value in raw.items() if key not in ("price_per_line", "price_per_kg")}
    form = base_form.fill(PlanForm, {**raw, **asked}, "", NAME, rules=_broken)
    plan = read_plan(TypedReader({}, NAME), form)
    kept = {datum.key: datum for datum in case.plan.typed}
    typed = [replace(datum, source=f"option {datum.key}") if datum.key in asked else kept[datum.key]
             for datum in plan.typed]  # fmt: skip
    return replace(plan, typed=tuple(typed))


def _broken(raw: dict[str, Any]) -> Iterator[base_form.Broken]:
    for item in rules.broken(raw):
        yield replace(item, path=item.path[1:])


def _value(key: str, text: str) -> Any:
    """An option as a TOML file would have it: spares as a whole number, "5y" as years."""
    if key in WHOLE:
        return int(text) if re.fullmatch(r"[+-]?\d+", text.strip()) else text
    return re.sub(r"^([-+\d.]+)\s*y$", r"\1 years", text.strip())


def options_of(years: float | None, docking: str, others: list[str]) -> dict[str, str]:
    """Options of the command by key. Raises InputError for one that is not KEY=VALUE."""
    found = {} if years is None else {"ship_life": f"{years!r} years"}
    if docking:
        found["docking"] = docking
    for text in others:
        key, equals, value = text.partition("=")
        if not equals or not key.strip():
            needs = "KEY=VALUE with a key of [plan], e.g. price_per_kg=14"
            raise InputError("An option is not KEY=VALUE.", [Problem("--with", text, needs)])
        found[key.strip()] = value.strip()
    return found
