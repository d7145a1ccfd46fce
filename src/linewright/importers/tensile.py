"""Tensile tests: break force, and elongation from the gauge length, of one or several specimens in a file."""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from linewright.base import units
from linewright.base.errors import InputError, Problem
from linewright.importers import cells, channels, clock, header, series
from linewright.importers.channels import Channel
from linewright.importers.report import Array, Column, Imported, Log, Question
from linewright.importers.table import Table, read_table
from linewright.importers.text import TextFile

FALL = 0.8  # of the peak: the force after a break
CROSSHEAD = re.compile(r"(?i)crosshead|travel|traverse|standardweg|\bweg\b|stroke|position|course")
GAUGE = re.compile(r"(?i)gauge|gage|messl|anfangsl|base length")
SPECIMEN = re.compile(r"(?i)specimen|sample|probe|test (no|id|name)|proben?name")
UNSOUND = re.compile(r"(?i)slip|splice|grip|clamp|eye|gerutscht|spleiss|klemm|invalid|premature")


@dataclass(frozen=True)
class Pull:
    """One specimen.

    name; break force [N] and its time [s]; elongation at break [-], NaN without a gauge length; force [N] and
    extension [m] up to the break; note of the test.
    """

    name: str
    break_force: float
    time: float
    elongation: float
    force: Array
    extension: Array
    note: str = ""


def read_tensile(file: TextFile, log: Log) -> Imported:
    """A tensile test machine's export. Raises InputError for what holds no force."""
    return tensile_of(read_table(file, log), file, log)


def tensile_of(table: Table, file: TextFile, log: Log) -> Imported:
    """Specimens of a table, side by side or one after another."""
    facts = _facts(table, log)
    times = clock.time_columns(table)
    told = clock.read_clock(table, log, needs_zone=False)
    skipped = tuple(dict.fromkeys((*told.columns, *times)))
    found = channels.read_channels(table, clock.Clock(told.time, skipped, told.form, None, told.because), log, "force")
    found = [replace(channel, values=_possible(channel, table, log)) for channel in found]
    forces = [channel for channel in found if channel.quantity == "force"]
    lengths = [channel for channel in found if channel.quantity == "length"]
    if not forces:
        raise InputError(
            f"{file.source.name} holds no force.",
            [Problem(file.source.name, ", ".join(table.names)[:100], "a column of force")],
        )
    _describe(table, skipped, told, found, log)
    log.unused([channel.heading for channel in found if channel.known and channel.quantity not in ("force", "length")])
    pulls = _pulls(forces, lengths, told.time, facts, log)
    _strengths(pulls, log)
    log.notes["specimen"] = facts
    log.notes["pulls"] = [_pull_row(pull) for pull in pulls]
    if told.form in ("elapsed", "stamp"):
        log.span = clock.span_of(told, told.time)
    report = log.report("tensile", "pull tests", file.source, table.read, len(table.rows))
    return Imported(report, told.time, {channel.name: channel.values for channel in found}, content=tuple(pulls))


def _possible(channel: Channel, table: Table, log: Log) -> Array:
    """Readings of a channel without forces that no line carries."""
    if channel.quantity != "force":
        return channel.values
    return series.without_impossible(channel.values, "force", channel.name, table.lines, log)


def _describe(table: Table, skipped: tuple[int, ...], told: clock.Clock, found: list[Channel], log: Log) -> None:
    for index in skipped[:1]:
        name = table.names[index]
        log.columns.append(
            Column(name, "time", "s", told.form, told.because, int(np.isfinite(told.time).sum()), heading=name)
        )
    channels.describe(found, log, lambda channel: channel.name)


def _pull_row(pull: Pull) -> dict[str, object]:
    """A specimen's result for the report."""
    elongation = None if np.isnan(pull.elongation) else 100.0 * pull.elongation
    return {
        "name": pull.name,
        "break_force_kN": pull.break_force / 1e3,
        "time_s": pull.time,
        "elongation_percent": elongation,
    }


def _facts(table: Table, log: Log) -> dict[str, str]:
    """Key and value of every line of the preamble, as text; units stand in the key."""
    facts = {}
    for line in table.preamble:
        key, _, value = line.partition(":") if ":" in line else line.rpartition(" ")
        if key.strip() and value.strip():
            facts[key.strip().strip(",;")] = value.strip()
    return facts


def _gauge_length(facts: Mapping[str, str], log: Log) -> float:
    """Gauge length [m], NaN where the file states none."""
    for key, value in facts.items():
        if GAUGE.search(key):
            unit = header.unit_of(header.split(key).unit) or header.unit_of(value.rpartition(" ")[2])
            figure = cells.number(value.partition(" ")[0], ".") or cells.number(value.partition(" ")[0], ",")
            if figure is None:
                continue
            if unit is None:
                answer = log.ask(
                    Question(
                        "unit.gauge", f"In which unit is the gauge length {value}?", ("m", "mm"), "the file states none"
                    )
                )
                unit = header.UNITS[answer] if answer else None
            return figure * unit.factor if unit else float("nan")
    return float("nan")


def _pulls(
    forces: list[Channel], lengths: list[Channel], time: Array, facts: Mapping[str, str], log: Log
) -> list[Pull]:
    """One pull per column of force and per restart of the clock."""
    gauge = _gauge_length(facts, log)
    name = next((value for key, value in facts.items() if SPECIMEN.search(key)), "")
    note = next((value for value in facts.values() if UNSOUND.search(value)), "")
    if note:
        log.flag(
            "break-unsound", f"the specimen's note reads {note!r}: the break force may not be the rope's", "caution"
        )
    restarts = [0, *(np.flatnonzero(np.diff(time) < 0.0) + 1).tolist(), time.size]
    pulls = []
    for n, force in enumerate(forces):
        length = lengths[min(n, len(lengths) - 1)] if lengths else None
        for a, b in itertools.pairwise(restarts):
            pull = _pull(
                name or force.name,
                (time[a:b], force.values[a:b], length.values[a:b] if length else np.full(b - a, np.nan)),
                gauge,
                log,
            )
            pulls += [pull] if pull else []
    if lengths and any(CROSSHEAD.search(length.heading) for length in lengths):
        log.flag(
            "crosshead-travel",
            "the travel of the crosshead is no elongation of the rope (grips and splices give way too)",
            "caution",
        )
    elif np.isnan(gauge) and lengths:
        log.flag("gauge-length", "no gauge length is stated: no elongation is given", "caution")
    return pulls


def _pull(name: str, rows: tuple[Array, Array, Array], gauge: float, log: Log) -> Pull | None:
    """Break force before the drop; rows after the break are not used."""
    time, force, extension = rows
    told = np.flatnonzero(np.isfinite(force))
    if told.size < 3:
        return None
    peak = int(told[np.argmax(force[told])])
    after = force[peak + 1 :]
    after = after[np.isfinite(after)]
    if not (after.size and after.min() < FALL * force[peak]):
        log.flag(
            "no-break", f"{name}: the force does not fall after its highest value: no break is seen", "caution", name
        )
    elif after.size:
        log.flag("after-break", f"{name}: {after.size} rows after the break are not used for elongation", "note", name)
    cycles = np.flatnonzero(
        (force[told][1:-1] > force[told][:-2])
        & (force[told][1:-1] > force[told][2:])
        & (force[told][1:-1] < 0.9 * force[peak])
    )
    if cycles.size:
        log.flag("preload", f"{name}: {cycles.size} peaks stand before the pull (preload cycles)", "note", name)
    elongation = float(extension[peak] - extension[told[0]]) / gauge if np.isfinite(gauge) else float("nan")
    return Pull(name, float(force[peak]), float(time[peak]), elongation, force[: peak + 1], extension[: peak + 1])


def _strengths(pulls: list[Pull], log: Log) -> None:
    """Break forces in percent of both strengths, where the user states them; a percentage always names its base."""
    rows = []
    for key in ("ldbf", "sdmbl"):
        if key in log.answers:
            answer = log.ask(Question(key, f"{key.upper()} with its unit", (), "")) or ""
            try:
                base = units.parse(answer, "force")
            except units.UnitError as error:
                raise InputError(
                    f"The answer to {key} cannot be used.", [Problem(key, error.read, error.needs, error.do)]
                ) from None
            rows += [
                {
                    "name": pull.name,
                    "base": key.upper(),
                    "base_kN": base / 1e3,
                    "percent": 100.0 * pull.break_force / base,
                }
                for pull in pulls
            ]
    log.notes["percent_of_strength"] = (
        rows or "state the answers ldbf and sdmbl to read the break force in percent of both"
    )
