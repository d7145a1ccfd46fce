"""The cycles of a log as text and as JSON."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, cast

from linewright.assessment.history import Judged, Options, judge
from linewright.base import units
from linewright.base.errors import InputError, Problem
from linewright.importers import cells, files, hooks, store, tension
from linewright.importers.report import Log
from linewright.physics.counting import Residue

RULES = {
    "half": "half cycles for what stays open",
    "repeat": "as a history that repeats",
    "drop": "what stays open left out",
}


def history_of(path: Path, channel: str, answers: Mapping[str, str], options: Options) -> tuple[Judged, str]:
    """The cycles of one channel of a log, and what its tensions are a share of ("N" for newton).

    Raises InputError for a log that cannot be counted.
    """
    if path.suffix == store.SUFFIX:
        kept = store.open_log(path, channel)
        return judge(kept, options), kept.base
    table = files.hooks_path(path)
    given = {**files.answers_beside(path), **answers}
    uses = hooks.read_hooks(table, Log({**given, **files.answers_beside(table)})) if table.is_file() else ()
    record = tension.read_record(path, channel, given, (lambda found: hooks.by_line(found, uses)) if uses else None)
    return judge(record, options), str(record.report["base"])


def options_of(rules: Sequence[str]) -> Options:
    """How to count, from texts `residue=half`, `filter=2 kN`, `slope=9`, `above=300 kN`, `slack=25 kN`.

    Raises InputError for a rule or a value that is not known.
    """
    found = Options(exponents=())
    for text in rules:
        key, _, value = text.partition("=")
        if key == "residue" and value in RULES:
            found = replace(found, residue=cast(Residue, value))
        elif key == "slope" and _slope(value):
            found = replace(found, exponents=(*found.exponents, float(value)))
        elif key == "above":
            found = replace(found, levels=(*found.levels, load_of(value, text)))
        elif key in ("filter", "slack"):
            load = load_of(value, text)
            found = replace(found, hysteresis=load) if key == "filter" else replace(found, slack=load)
        else:
            needs = "residue=half, repeat or drop; filter, above or slack = a tension; slope = 1 to 20"
            raise InputError("A rule of counting cannot be read.", [Problem("--rule", text, needs)])
    return found if found.exponents else replace(found, exponents=Options().exponents)


def _slope(text: str) -> bool:
    number = cells.number(text, ".")
    return number is not None and 1.0 <= number <= 20.0


def load_of(text: str, what: str) -> float:
    """A tension typed on the command line [N], not below zero. Raises InputError."""
    try:
        load = units.parse(text.strip(), "force")
        if not load >= 0.0:
            raise units.UnitError(text, "a tension, not below zero")
        return load
    except units.UnitError as error:
        raise InputError(f"{what} cannot be read.", [Problem(what, error.read, error.needs, error.do)]) from None


def history_lines(found: Judged, options: Options, name: str, base: str) -> list[str]:
    """The cycles of a log as lines."""
    unit, factor = ("kN", 1e3) if base == "N" else (f"%{base}", 0.01)
    gate = f", filter {options.hysteresis / factor:g} {unit}" if options.hysteresis else ", no filter"
    lines = [
        f"{name}: {found.duration / 3600.0:.4g} h, {found.cycles:.6g} cycles by rainflow (ASTM E1049-85, "
        f"{RULES[options.residue]}{gate})",
        *([f"without readings: {found.unrecorded / 3600.0:.3g} h, left out"] if found.unrecorded > 0.0 else []),
        f"tension {unit}: lowest {found.lowest / factor:.5g}, mean {found.mean / factor:.5g}, highest "
        f"{found.highest / factor:.5g}, standard deviation {found.deviation / factor:.4g}",
        "",
        f"{'range ' + unit:>18} {'cycles':>10} {'mean ' + unit:>12} {'period s':>9}",
    ]
    for low, high, number, mean, period in found.classes:
        span = f"{low / factor:.4g} to {high / factor:.4g}"
        lines.append(f"{span:>18} {number:>10.5g} {mean / factor:>12.5g} {period:>9.4g}")
    lines += ["", *_levels(found, options, unit, factor)]
    for exponent, amplitude in zip(options.exponents, found.equivalent, strict=True):
        lines.append(
            f"damage at slope {exponent:g} as {found.cycles:.6g} cycles of amplitude {amplitude / factor:.4g} {unit}"
        )
    return lines + _sampling(found)


def _levels(found: Judged, options: Options, unit: str, factor: float) -> list[str]:
    lines = [
        f"above {level / factor:g} {unit}: {hours:.4g} h in {stays:.0f} stays, the longest {longest:.4g} s"
        for level, (hours, stays, longest) in zip(options.levels, found.above, strict=True)
    ]
    if found.slack_cycles is not None and options.slack is not None:
        below = f"trough below {options.slack / factor:.4g} {unit}: {found.slack_cycles:.5g} cycles"
        lines.append(f"{below} (slack, axial compression)")
    return lines


def _sampling(found: Judged) -> list[str]:
    told = found.sampling
    if told is None:
        return []
    text = f"sampling: {told.samples_per_period:.3g} readings in a period of {told.period:.3g} s, {told.verdict}"
    return [f"{text}; a crest may read {100.0 * told.under_reading:.2g} % low" if told.verdict != "ok" else text]


def history_row(found: Judged, options: Options, name: str, base: str) -> dict[str, Any]:
    """The cycles of a log as plain tables, tensions in N (or shares of a strength)."""
    keys = ("range_low", "range_high", "cycles", "mean", "period_s")
    told = found.sampling
    return {
        "log": name,
        "unit": "N" if base == "N" else f"share of {base}",
        "rule": {"residue": options.residue, "hysteresis": options.hysteresis},
        "duration_s": found.duration,
        "unrecorded_s": found.unrecorded,
        "lowest": found.lowest,
        "mean": found.mean,
        "highest": found.highest,
        "standard_deviation": found.deviation,
        "cycles": found.cycles,
        "classes": [dict(zip(keys, map(float, row), strict=True)) for row in found.classes],
        "above": [
            {"level": level, "hours": float(row[0]), "stays": float(row[1]), "longest_s": float(row[2])}
            for level, row in zip(options.levels, found.above, strict=True)
        ],
        "slack_cycles": found.slack_cycles,
        "equivalent_amplitude": {f"{m:g}": float(a) for m, a in zip(options.exponents, found.equivalent, strict=True)},
        "sampling": None if told is None else {"verdict": told.verdict, "per_period": told.samples_per_period},
    }
