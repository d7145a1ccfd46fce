"""Tension logs: wide, long or one file per hook, and files of block statistics, which are no history."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from linewright.base.errors import InputError, Problem
from linewright.importers import cells, channels, header, hook_column, series, status
from linewright.importers.channels import Channel
from linewright.importers.clock import Clock, read_clock, segments, span_of
from linewright.importers.model import Record
from linewright.importers.report import Array, Column, Flag, Imported, Log, Question, doubts_of
from linewright.importers.series import Series
from linewright.importers.table import Table, read_table
from linewright.importers.text import TextFile, read_text

STATISTICS = {
    word: name
    for name, words in (
        ("min", "min minimum"),
        ("mean", "mean avg average mittel mittelwert mw"),
        ("max", "max maximum peak"),
        ("std", "std stdev stddev sd sigma rms"),
    )
    for word in words.split()
}
FORCE_LIKE = ("force", "share of LDBF", "share of SDMBL")


@dataclass(frozen=True)
class TensionLog:
    """Histories by channel."""

    series: tuple[Series, ...]


@dataclass(frozen=True)
class Statistics:
    """Block statistics by channel: min, mean, max, std in SI, shape (blocks,); block length [s] and hours in all."""

    channels: Mapping[str, Mapping[str, Array]]
    block: float
    hours: float


def read_tension(file: TextFile, log: Log) -> Imported:
    """A tension log of any layout. Raises InputError for what is no table of tensions."""
    return tension_of(read_table(file, log), file, log)


def tension_of(table: Table, file: TextFile, log: Log) -> Imported:
    """A tension log from its table."""
    clock = read_clock(table, log)
    hooks = hook_column.hook_column(table, clock)
    if hooks is not None:
        return _long(table, clock, hooks, file, log)
    found = channels.read_channels(table, clock, log, "force")
    grouped = _grouped(found)
    _describe_time(table, clock, log)
    if grouped:
        return _statistics(table, clock, grouped, file, log)
    return _histories(table, _with_step(clock, log), found, file, log)


def _describe_time(table: Table, clock: Clock, log: Log) -> None:
    """The time columns in the report, by their own names."""
    for index in clock.columns:
        told = int(np.isfinite(clock.time).sum())
        log.columns.append(Column(table.names[index], "time", "", clock.form, clock.because, told,
                                  int(clock.time.size) - told, heading=table.names[index]))  # fmt: skip


def _with_step(clock: Clock, log: Log) -> Clock:
    """A record without a clock: the time between its readings is asked."""
    if clock.form != "rows":
        return clock
    answer = log.ask(
        Question("time.step", "How many seconds lie between two readings?", (), "the file has no column of times")
    )
    if answer is None:
        return clock
    step = cells.number(answer, ".")
    if step is None or step <= 0.0:
        raise InputError(
            "The answer to time.step cannot be used.", [Problem("time.step", answer, "seconds, more than 0")]
        )
    return replace(clock, time=clock.time * step, form="elapsed", because="answer")


# --- wide --------------------------------------------------------------------------------------


def _histories(table: Table, clock: Clock, found: list[Channel], file: TextFile, log: Log) -> Imported:
    """One history per column of force; other columns are kept in the report only."""
    keep = series.in_order(clock.time, [channel.values for channel in found], table.lines, log)
    time, lines = clock.time[keep], np.array(table.lines)[keep]
    series.flag_gaps(time, lines.tolist(), clock, log)
    kept = []
    histories = []
    for channel in (channel.part(keep) for channel in found):
        if channel.quantity in FORCE_LIKE and channel.known:
            channel = replace(channel, values=_loads(channel, channel.name, lines.tolist(), log))
            told = np.isfinite(channel.values)
            history = Series(channel.name, channel.quantity, time[told], channel.values[told], lines[told])
            _judge(history, log)
            histories += [history] if history.values.size else []
        kept.append(channel)
    channels.describe(kept, log, lambda channel: channel.name)
    log.unused([item.heading for item in found if item.known and item.quantity not in FORCE_LIKE])
    if not any(channel.quantity in FORCE_LIKE for channel in found) and not log.questions:
        problem = Problem(file.source.name, ", ".join(table.names)[:100], "a column of tensions with a unit of force")
        raise InputError(f"{file.source.name} holds no tension.", [problem])
    log.span = span_of(clock, time)
    if not len(time) and not log.questions:
        problem = Problem(file.source.name, ", ".join(table.names)[:100], "a date and time, or seconds, in every row")
        raise InputError(f"{file.source.name} has no row with a time.", [problem])
    report = log.report("tension", "wide table", file.source, table.read, len(time))
    return Imported(
        report, time, {channel.name: channel.values for channel in kept}, content=TensionLog(tuple(histories))
    )


def _judge(history: Series, log: Log) -> None:
    """Report the doubts about a history."""
    if history.quantity == "force":
        series.flag_sensor(history, log)
    series.judge_sampling(history, log)


def _possible(channel: Channel, values: Array, name: str, lines: Sequence[int], log: Log) -> Array:
    """Readings of a channel without those that no line carries."""
    is_load = channel.quantity in FORCE_LIKE and channel.known
    return series.without_impossible(values, channel.quantity, name, lines, log) if is_load else values


def _loads(channel: Channel, name: str, lines: Sequence[int], log: Log) -> Array:
    """Readings of a channel without dropouts either, and without spikes if the user says so.

    A zero that a status calls slack is no dropout.
    """
    values = _possible(channel, channel.values, name, lines, log)
    values = series.without_dropouts(values, name, lines, log, channel.slack)
    is_load = channel.quantity in FORCE_LIKE and channel.known
    return series.without_spikes(values, channel.quantity, name, lines, log) if is_load else values


# --- long --------------------------------------------------------------------------------------


def _long(table: Table, clock: Clock, hooks: int, file: TextFile, log: Log) -> Imported:
    """A row per hook and time; hook names are text always."""
    ids = hook_column.hook_names([cells.plain(cell) for cell in table.column(hooks)], table, clock, log)
    mark = channels.mark_of(table, clock, log)
    rest = [n for n in range(len(table.names)) if n not in (*clock.columns, hooks)]
    value = next((n for n in rest if header.is_word(header.words_of(table.names[n]), "force")), rest[0])
    channel = _long_channel(table, rest, value, mark, log)
    told, marked = _long_status(table, [n for n in rest if n != value], log), status.Marked()
    _describe_time(table, clock, log)
    log.text_column(table.names[hooks], ids)
    histories, kept = [], 0
    for name in dict.fromkeys(name for name in ids if name):
        rows = np.array([n for n, found in enumerate(ids) if found == name])
        order = rows[series.in_order(clock.time[rows], [channel.values[rows]], [table.lines[n] for n in rows], log)]
        kept += len(order)
        lines = [table.lines[n] for n in order]
        words = [(item, [table.rows[n][item.index] for n in order]) for item in told if channel.known]
        values, slack = marked.take(name, channel.values[order], words, lines, log)
        values = _loads(replace(channel, values=values, slack=slack), name, lines, log)
        channels.describe([replace(channel, name=name, values=values)], log, lambda item: item.name)
        known = np.isfinite(values)
        if known.any() and channel.known:
            history = Series(name, channel.quantity, clock.time[order][known], values[known], np.array(lines)[known])
            series.flag_gaps(history.time, history.lines.tolist(), clock, log)
            _judge(history, log)
            histories.append(history)
    marked.tell(log)
    log.span = span_of(clock, np.unique(clock.time[np.isfinite(clock.time)]))
    report = log.report("tension", "long table", file.source, table.read, kept)
    return Imported(report, None, {item.name: item.values for item in histories}, {table.names[hooks]: tuple(ids)},
                    TensionLog(tuple(histories)))  # fmt: skip


def _long_channel(table: Table, rest: Sequence[int], value: int, mark: cells.Mark, log: Log) -> Channel:
    """The readings of a long table in SI; a column of units may say row by row what they are in."""
    spelled = next((n for n in rest if n != value and _is_unit_column(table, n)), None)
    if spelled is None:
        name = channels.own_name(table.names[value], (), log)
        return channels.read_channel(table, value, name, mark, log, "force", channels.CODES)
    told = [header.unit_of(cell) for cell in table.column(spelled)]
    first = told[0]
    assert first is not None
    units = [table.column(spelled)[0] if n == value else unit for n, unit in enumerate(table.units)]
    stated = replace(table, units=tuple(units))
    name = channels.own_name(table.names[value], (), log)
    channel = channels.read_channel(stated, value, name, mark, log, "force", channels.CODES)
    factors = np.array([unit.factor / first.factor if unit is not None and first.factor else np.nan for unit in told])
    log.flag("unit-by-row", f"{name}: the column {table.names[spelled]} says the unit row by row")
    return replace(channel, values=channel.values * factors)


def _long_status(table: Table, rest: Sequence[int], log: Log) -> list[status.Status]:
    """The status columns of a long table; what else stands there is not used."""
    told = [n for n in rest if status.is_status(table, n)]
    for n in rest:
        if n not in told and not _is_unit_column(table, n):
            log.text_column(table.names[n], [cell.strip() for cell in table.column(n)], "not used")
    return channels.statuses(table, told, log)


def _is_unit_column(table: Table, index: int) -> bool:
    """Whether a column names a unit of force in every row; an open one (ton) is none."""
    units = [header.unit_of(cell) for cell in table.column(index)]
    return all(unit is not None and unit.quantity == "force" and not unit.is_open for unit in units)


# --- statistics --------------------------------------------------------------------------------


def _grouped(found: list[Channel]) -> dict[str, dict[str, Channel]]:
    """Channels by line and statistic, if the headings name min, mean, max or std of at least two per line."""
    groups: dict[str, dict[str, Channel]] = {}
    for channel in found:
        words = re.split(r"[^A-Za-z0-9]+", channel.name)
        told = [STATISTICS[word.lower()] for word in words if word.lower() in STATISTICS]
        if len(told) == 1:
            base = " ".join(word for word in words if word.lower() not in STATISTICS and word) or "line"
            groups.setdefault(base, {})[told[0]] = channel
    return groups if (groups and max(map(len, groups.values())) >= 2) or _only_peaks(found, groups) else {}


def _only_peaks(found: list[Channel], groups: Mapping[str, Mapping[str, Channel]]) -> bool:
    """Whether every column of force is a statistic, such as a table of maxima."""
    told = sum(len(group) for group in groups.values())
    return told > 0 and told == sum(1 for channel in found if channel.quantity in FORCE_LIKE or not channel.known)


def _statistics(
    table: Table, clock: Clock, groups: dict[str, dict[str, Channel]], file: TextFile, log: Log
) -> Imported:
    """Blocks of min, mean, max and std: condition statistics, refused for counting."""
    everything = [channel for group in groups.values() for channel in group.values()]
    keep = series.in_order(clock.time, [channel.values for channel in everything], table.lines, log)
    time, lines = clock.time[keep], [table.lines[n] for n in keep]
    kept = {
        base: {
            word: replace(channel, values=_possible(channel, channel.values[keep], channel.name, lines, log))
            for word, channel in group.items()
        }
        for base, group in groups.items()
    }
    text = "the columns are statistics of blocks (min, mean, max, std), no history: cycles cannot be counted from them"
    more = "; they serve as condition statistics, and std is no amplitude"
    log.flag("statistics-not-history", text + more, "refused")
    series.flag_gaps(time, lines, clock, log)
    for base, group in kept.items():
        _ordered(base, group, lines, log)
    channels.describe(
        [channel for group in kept.values() for channel in group.values()], log, lambda channel: channel.name
    )
    log.span = span_of(clock, time)
    block = float(np.median(np.diff(time))) if time.size > 1 and clock.form != "rows" else 0.0
    hours = block * len(time) / 3600.0
    peaks = [group["max"].values for group in kept.values() if "max" in group]
    known = [float(values[np.isfinite(values)].max()) for values in peaks if np.isfinite(values).any()]
    highest = max(known, default=None)
    log.notes["statistics"] = {
        "blocks": len(time),
        "block_s": block,
        "hours": hours,
        "highest_kN": None if highest is None else highest / 1e3,
    }
    report = log.report("tension", "block statistics", file.source, table.read, len(time))
    content = Statistics(
        {base: {word: channel.values for word, channel in group.items()} for base, group in kept.items()}, block, hours
    )
    values = {channel.name: channel.values for group in kept.values() for channel in group.values()}
    return Imported(report, time, values, content=content)


def _ordered(base: str, group: Mapping[str, Channel], lines: list[int], log: Log) -> None:
    """Min, mean and max must stand in this order in every block."""
    for low, high in (("min", "mean"), ("mean", "max"), ("min", "max")):
        if low in group and high in group:
            bad = np.flatnonzero(group[low].values > group[high].values)
            if bad.size:
                log.flag(
                    "statistics-order",
                    f"{base}: {low} above {high} in {bad.size} blocks",
                    "caution",
                    base,
                    [lines[n] for n in bad],
                )


# --- for a case --------------------------------------------------------------------------------


def read_record(
    path: Path,
    channel: str = "",
    answers: Mapping[str, str] | None = None,
    to_lines: Callable[[Imported], Imported] | None = None,
) -> Record:
    """One line's history from a tension log, ready to be counted; `to_lines` turns hooks into lines first.

    Raises InputError for open questions, for statistics, for a clock too slow, and where the channel is not told.
    """
    log = Log(answers)
    imported = read_tension(read_text(path, log), log)
    if imported.report.is_open:
        raise _open(path, imported.report.questions)
    imported = imported if to_lines is None else to_lines(imported)
    if not isinstance(imported.content, TensionLog):
        raise _uncountable(path, [flag for flag in imported.report.flags if flag.severity == "refused"])
    item = _channel_of(path, imported.content, channel)
    refused = [flag for flag in imported.report.flags if flag.severity == "refused" and flag.column in ("", item.name)]
    if refused:
        raise _uncountable(path, refused)
    return record_of(path, item, imported)


def _uncountable(path: Path, refused: Sequence[Flag]) -> InputError:
    problems = [
        Problem(path.name, flag.text, "a history of tension, quick enough to follow its cycles") for flag in refused
    ]
    return InputError(f"{path.name} cannot be counted.", problems)


def _open(path: Path, questions: tuple[Question, ...]) -> InputError:
    do = f"linewright import {path.name} --answer KEY=VALUE --into STUDY"
    problems = [Problem(f"{path.name}  {question.key}", question.because, question.text, do) for question in questions]
    return InputError(f"{path.name} leaves questions open.", problems)


def _channel_of(path: Path, found: TensionLog, channel: str) -> Series:
    """The history of a channel. Raises InputError where it is not told or not there."""
    names = [item.name for item in found.series]
    if channel and channel not in names:
        problem = Problem(path.name, channel, f"one of {', '.join(names)}")
        raise InputError(f"{path.name} has no channel {channel}.", [problem])
    if not channel and len(names) != 1:
        read = ", ".join(names) or "no readings"
        problem = Problem(path.name, read, "one line's tension", 'add channel = "..." to the case' if names else "")
        raise InputError(f"{path.name} holds {len(names)} channels.", [problem])
    return found.series[names.index(channel) if channel else 0]


def record_of(path: Path, item: Series, imported: Imported) -> Record:
    """A history as a record. Raises InputError where it cannot be a line's tension."""
    if item.quantity == "force" and (item.values.size < 3 or float(np.mean(item.values)) <= 0.0):
        mean = np.mean(item.values) / 1e3 if item.values.size else 0.0
        read = f"{item.values.size} readings with a mean of {mean:.3g} kN"
        raise InputError(
            f"{path.name} is no record of a line's tension.",
            [Problem(path.name, read, "tension, a pull above zero", "check zero and sign of the sensor")],
        )
    report = imported.report.as_dict() | {
        "channel": item.name,
        "is_saturated": any(flag.code == "saturated" and flag.column == item.name for flag in imported.report.flags),
        "base": item.quantity.removeprefix("share of ") if item.quantity != "force" else "N",
        "gaps": len(segments(item.time)) - 1,
        "doubts": doubts_of(imported.report.flags, item.name),
    }
    return Record(item.time - item.time[0], item.values, report)
