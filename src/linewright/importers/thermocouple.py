"""Thermocouple logs: temperatures by channel, with the faults that thermocouples have told apart from heat."""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from linewright.importers import cells, channels, clock, header, series
from linewright.importers.channels import Channel
from linewright.importers.report import Array, Column, Imported, Log
from linewright.importers.series import Series
from linewright.importers.table import Table, read_table
from linewright.importers.text import TextFile

CODES = (*channels.CODES, 1300.0, 1372.0, 1370.0, 850.0, 1800.0, 2000.0, 3000.0, -200.0, -270.0, 6999.0)
COLDEST, HOTTEST = 193.15, 773.15  # [K] beyond them no rope is measured: -80 and 500 C
STEP = 1.5  # [K] a jump that all channels make at once
ALIKE = 0.5  # [K] how equal the jumps are
MIRRORED = -0.8  # correlation with the mean of the others
RISE = 2.0  # [K] least change that shows a mirror


@dataclass(frozen=True)
class ThermocoupleLog:
    """Histories by channel, name of the reference, rows to leave out of a calibration (1), channels refused."""

    series: tuple[Series, ...]
    reference: str
    excluded: Array
    refused: tuple[str, ...]


def read_thermocouples(file: TextFile, log: Log) -> Imported:
    """A log of temperatures. Raises InputError for what is no table."""
    return thermocouples_of(read_table(file, log), file, log)


def thermocouples_of(table: Table, file: TextFile, log: Log) -> Imported:
    """A log of temperatures from its table; every channel may have a clock of its own."""
    clocks = clock.time_columns(table)
    if len(clocks) > 1:
        return _paired(table, clocks, file, log)
    told = clock.read_clock(table, log, needs_zone=False)
    found = channels.read_channels(table, told, log, "temperature", CODES)
    keep = series.in_order(told.time, [channel.values for channel in found], table.lines, log)
    time, lines = told.time[keep], np.array(table.lines)[keep]
    found = [replace(channel, values=_plausible(channel, keep, lines, log)) for channel in found]
    series.flag_gaps(time, lines.tolist(), told, log)
    if told.form == "rows":
        log.flag(
            "no-clock", "the file has no clock: rows are numbered; a calibration needs the time between them", "caution"
        )
    excluded = _reference_steps(found, lines, log)
    refused = _mirrored(found, log)
    for index in told.columns:
        name = table.names[index]
        log.columns.append(Column(name, "time", "", told.form, told.because, int(time.size), heading=name))
    channels.describe(found, log, lambda channel: channel.name)
    log.unused([channel.heading for channel in found if channel.known and channel.quantity != "temperature"])
    log.span = clock.span_of(told, time)
    histories = tuple(_history(channel, time, lines) for channel in found if channel.known)
    content = ThermocoupleLog(histories, _reference(found), excluded, refused)
    report = log.report("thermocouple", "wide table", file.source, table.read, len(time))
    return Imported(report, time, {channel.name: channel.values for channel in found}, content=content)


def _history(channel: Channel, time: Array, lines: np.ndarray) -> Series:
    told = np.isfinite(channel.values)
    return Series(channel.name, channel.quantity, time[told], channel.values[told], lines[told])


def _plausible(channel: Channel, keep: np.ndarray, lines: np.ndarray, log: Log) -> Array:
    """Values in order, those that no rope has taken out and reported."""
    values = channel.values[keep]
    if channel.quantity != "temperature" or not channel.known:
        return values
    bad = np.flatnonzero((values < COLDEST) | (values > HOTTEST))
    for n in bad:
        log.replace(int(lines[n]), channel.name, f"{values[n] - 273.15:.6g} degC", "no temperature of a rope")
    if bad.size:
        text = (
            f"{channel.name}: {bad.size} readings outside -80 to 500 degC count as missing (an open circuit reads so)"
        )
        log.flag("implausible", text, "caution", channel.name, lines[bad].tolist())
    return np.where((values < COLDEST) | (values > HOTTEST), np.nan, values)


def _paired(table: Table, clocks: list[int], file: TextFile, log: Log) -> Imported:
    """A clock in front of every channel: nothing is paired by row, nothing extended beyond its last reading."""
    mark = channels.mark_of(table, clock.Clock(np.zeros(0), tuple(clocks), "elapsed", None, ""), log)
    histories: list[Series] = []
    found: list[Channel] = []
    for index, heading in enumerate(table.names):
        before = [n for n in clocks if n < index]
        if index in clocks or not before:
            continue
        rows = [n for n, row in enumerate(table.rows) if row[before[-1]].strip() or row[index].strip()]
        part = replace(table, rows=tuple(table.rows[n] for n in rows), lines=tuple(table.lines[n] for n in rows))
        seconds = _seconds(part, before[-1], mark, log)
        channel = channels.read_channel(
            part, index, channels.own_name(heading, [item.name for item in found], log), mark, log, "temperature", CODES
        )
        keep = series.in_order(seconds, [channel.values], part.lines, log)
        lines = np.array(part.lines)[keep]
        channel = replace(channel, values=_plausible(channel, keep, lines, log))
        found.append(channel)
        if channel.known:
            histories.append(_history(channel, seconds[keep], lines))
    log.flag(
        "clock-per-channel",
        "every channel has a clock of its own; the series were kept apart, nothing was paired by row",
    )
    channels.describe(found, log, lambda channel: channel.name)
    times = np.concatenate([item.time for item in histories]) if histories else np.zeros(0)
    log.span = clock.span_of(clock.Clock(times, (), "elapsed", None, "a clock per channel"), np.unique(times))
    report = log.report("thermocouple", "paired clocks", file.source, table.read, len(table.rows))
    content = ThermocoupleLog(tuple(histories), _reference(found), np.zeros(0), ())
    return Imported(report, None, {item.name: item.values for item in histories}, content=content)


def _seconds(table: Table, index: int, mark: cells.Mark, log: Log) -> Array:
    unit = header.unit_of(table.units[index]) or header.unit_of(header.split(table.names[index]).unit)
    told = [cells.number(cell, mark) for cell in table.column(index)]
    for line, cell, value in zip(table.lines, table.column(index), told, strict=True):
        if value is None:
            log.replace(line, table.names[index], cell, "no time that can be read")
    factor = unit.factor if unit else 1.0
    return np.array([np.nan if value is None else value * factor for value in told])


# --- faults ------------------------------------------------------------------------------------


def _temperatures(found: list[Channel]) -> list[Channel]:
    return [channel for channel in found if channel.quantity == "temperature" and channel.known]


def _reference(found: list[Channel]) -> str:
    """Name of the channel of the reference junction, or of the panel; empty where there is none."""
    pattern = re.compile(
        r"(?i)(^|[^a-z])(t?_?ref|reference|cjc|cold.?junction|panel|referenz|vergleichsstelle|kaltstelle)"
    )
    return next((channel.name for channel in _temperatures(found) if pattern.search(channel.name)), "")


def _reference_steps(found: list[Channel], lines: np.ndarray, log: Log) -> Array:
    """Rows between two equal and opposite jumps of all channels: no core of minutes of time constant does that."""
    told = _temperatures(found)
    size = told[0].values.size if told else 0
    if len(told) < 2 or size < 3:
        return np.zeros(size)
    steps = np.stack([np.diff(channel.values) for channel in told])
    with np.errstate(invalid="ignore"):
        common = np.median(steps, axis=0)
        alike = np.max(np.abs(steps - common), axis=0) < np.maximum(ALIKE, 0.1 * np.abs(common))
    jumps = np.flatnonzero((np.abs(common) > STEP) & alike)
    excluded = np.zeros(size)
    for first, second in itertools.pairwise(jumps):
        if common[first] * common[second] < 0.0 and abs(common[first] + common[second]) < max(
            ALIKE, 0.2 * abs(common[first])
        ):
            rows = slice(int(first) + 1, int(second) + 1)
            excluded[rows] = 1.0
            jump = f"all channels jump by {common[first]:+.2g} K at once and back"
            text = f"{jump}: an error of the reference junction; left out of a calibration"
            log.flag("reference-junction", text, "caution", rows=lines[rows].tolist())
    if jumps.size == 1:
        jump = f"all channels jump by {common[jumps[0]]:+.2g} K at once"
        text = f"{jump}: an error of the reference junction, or another test"
        log.flag("reference-junction", text, "caution", rows=[int(lines[jumps[0] + 1])])
        excluded[int(jumps[0]) + 1 :] = 1.0
    return excluded


def _mirrored(found: list[Channel], log: Log) -> tuple[str, ...]:
    """Channels that fall below the reference while the others rise: wires changed over. Not corrected."""
    told = [channel for channel in _temperatures(found) if channel.name != _reference(found)]
    base = {channel.name: channel for channel in _temperatures(found)}.get(_reference(found))
    refused = []
    for channel in told:
        others = [other.values for other in told if other is not channel]
        if (len(others) < 2 and base is None) or not others:
            continue
        if _is_mirror(channel.values, _middle(others), base.values if base else None):
            if log.option(f"polarity.{channel.name}", "refused", ("refused", "accepted")) == "refused":
                refused.append(channel.name)
            seen = f"{channel.name} falls while its neighbours rise, mirrored about the reference"
            text = f"{seen}: probably reversed polarity; not corrected"
            log.flag("polarity-reversed", text, "caution" if channel.name not in refused else "refused", channel.name)
    return tuple(refused)


def _middle(columns: list[Array]) -> Array:
    """Median of the columns row by row, NaN where all are missing."""
    stacked = np.stack(columns)
    result = np.full(stacked.shape[1], np.nan)
    told = np.isfinite(stacked).any(axis=0)
    result[told] = np.nanmedian(stacked[:, told], axis=0)
    return result


def _is_mirror(values: Array, others: Array, base: Array | None) -> bool:
    told = np.isfinite(values) & np.isfinite(others)
    if told.sum() < 5:
        return False
    ground = base[told] if base is not None else np.full(int(told.sum()), values[told][0])
    own, rest = values[told] - ground, others[told] - ground
    if np.ptp(own) < RISE or np.ptp(rest) < RISE:
        return False
    alike = float(np.corrcoef(own, rest)[0, 1])
    return bool(alike < MIRRORED and np.median(own) < 0.0 < np.median(rest))


def usable(content: ThermocoupleLog) -> Mapping[str, Series]:
    """Channels that a calibration may use: those not refused."""
    return {item.name: item for item in content.series if item.name not in content.refused}
