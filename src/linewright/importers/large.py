"""Tension logs larger than memory: the head says what the columns are, the rows stream into a Parquet file.

The text is parsed by DuckDB in blocks; every cell ends as a number, as missing with its reason, or stops the import.
"""

from __future__ import annotations

import contextlib
import hashlib
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from linewright.base.errors import InputError, Problem
from linewright.importers import channels, clock, day_times, header, series, stamps, status, store, text, watch, zones
from linewright.importers.channels import Channel
from linewright.importers.clock import Clock
from linewright.importers.report import Array, Column, Imported, Log, Report, Source, Span
from linewright.importers.table import Table, read_table
from linewright.importers.text import TextFile

HEAD = 1_000_000  # bytes that say what the columns are
BLOCK = 100_000  # rows
MEMORY = "150MB"  # of the parser
NUMBER = {
    ".": r"[ ]*[+-]?([0-9]+[.]?[0-9]*|[.][0-9]+)([eE][+-]?[0-9]{1,3})?[ ]*",
    ",": r"[ ]*[+-]?([0-9]+,?[0-9]*|,[0-9]+)([eE][+-]?[0-9]{1,3})?[ ]*",
}
_MARKS = {mark: rf"[ '’\x{{92}}\x{{a0}}\x{{202f}}{other}]" for mark, other in ((".", ","), (",", "."))}  # of thousands
GROUPED = {
    mark: rf"[ ]*[+-]?[0-9]{{1,3}}({_MARKS[mark]}[0-9]{{3}})+({end}[0-9]*)?[ ]*"
    for mark, end in ((".", "[.]"), (",", ","))
}
ENCODINGS = {"utf-8": "utf-8", "cp1252": "latin-1", "latin-1": "latin-1", "utf-16": "utf-16", "utf-16-le": "utf-16"}


@dataclass(frozen=True)
class LargeLog:
    """Histories kept in a Parquet file at a path."""

    path: Path


@dataclass(frozen=True)
class _Head:
    """What the head of a file says: its table and clock, channels, encoding, and the rows it stands for."""

    table: Table
    told: Clock
    found: tuple[Channel, ...]
    mark: str
    encoding: str
    rows: int
    statuses: tuple[status.Status, ...]
    marked: status.Marked

    def beside(self, channel: Channel) -> list[int]:
        """Numbers of the status columns beside a channel."""
        names = {self.table.names.index(item.heading): item.name for item in self.found}
        own = status.beside(self.statuses, self.table.names.index(channel.heading), names)
        return [self.statuses.index(item) for item in own]


def read_large(path: Path, target: Path, log: Log, progress: Callable[[int, int], None] | None = None) -> Imported:
    """A large tension log, streamed into the Parquet file `target`. Raises InputError."""
    head = _head(path, log)
    source = Source(path.name, _digest(path), head.encoding)
    if log.questions:
        channels.describe(head.found, log, lambda channel: channel.name)
        log.flag(
            "head-only", f"the figures are of the first {len(head.table.rows)} rows: answer the questions to read on"
        )
        log.span = clock.span_of(head.told, head.told.time)
        report = log.report("tension", "large table", source, len(head.table.rows), len(head.table.rows))
        return Imported(report, None, {})
    seen = watch.Watch({channel.name: channel.read_unit for channel in head.found}, log)
    with _writer(target, head, seen, log) as write:
        for block in _blocks(path, head, log):
            if not seen.rows:
                _same_as_head(path, head, block)
            write(seen.take(block))
            if progress is not None:
                progress(seen.rows, max(head.rows, seen.rows))
    if not seen.kept:
        raise InputError(
            f"{path.name} has no rows of data.", [Problem(path.name, "no row with a time", "rows of numbers")]
        )
    return Imported(_report(head, seen, source, log), None, {}, content=LargeLog(target))


def _digest(path: Path) -> str:
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()[:16]


# --- the head ----------------------------------------------------------------------------------


def _head(path: Path, log: Log) -> _Head:
    """Columns, units, clock and questions, from the first megabyte. Raises InputError."""
    with path.open("rb") as stream:
        content = stream.read(HEAD)
    trial = Log(log.answers)
    body, encoding = text.decode(path.name, _whole_lines(path.name, content), trial)
    if encoding not in ENCODINGS:
        raise InputError(
            f"{path.name} is too large for {encoding}.", [Problem(path.name, encoding, "UTF-8, save it so")]
        )
    lines = tuple(re.split(r"\r\n|\r|\n", body.rstrip("\r\n")))
    table = read_table(TextFile(Source(path.name, "", encoding), body, lines), trial)
    told = clock.read_clock(table, trial)
    if day_times.KEYS & {*trial.used, *(item.key for item in trial.questions)}:
        needs = "a date and a time of 24 hours, or AM and PM, in every row"
        problem = Problem(path.name, "a clock without dates, or of twelve hours", needs)
        raise InputError(f"{path.name} is too large for its clock.", [problem])
    if told.form == "rows":
        raise InputError(f"{path.name} has no clock.", [Problem(path.name, "no column of times", "a column of times")])
    found = channels.read_channels(table, told, trial, "force")
    found = [channel for channel in found if channel.quantity in ("force", "share of LDBF", "share of SDMBL")]
    if not found:
        raise InputError(
            f"{path.name} holds no tension.", [Problem(path.name, ", ".join(table.names), "a column of tensions")]
        )
    log.questions, log.used, log.notes = trial.questions, trial.used, trial.notes
    told_by = [n for n in range(len(table.names)) if n not in told.columns and status.is_status(table, n)]
    statuses = channels.statuses(table, told_by, Log(log.answers))
    used = {item.heading for item in found} | {item.heading for item in statuses}
    used |= {table.names[n] for n in told.columns}
    log.unused([name for name in table.names if name not in used])
    for flag in trial.flags:
        if not flag.rows and flag.code not in ("channel-missing", "code-or-value", "column-unused"):
            log.flag(flag.code, flag.text, flag.severity, flag.column)
    mark = "," if trial.notes["decimal"]["mark"] == "comma" else "."
    rows = int(path.stat().st_size / max(len(content), 1) * len(table.rows))
    return _Head(table, told, tuple(found), mark, encoding, rows, tuple(statuses), status.Marked())


def _whole_lines(name: str, content: bytes) -> bytes:
    """The content up to its last line end. Raises InputError where there is none."""
    end = content.rfind(b"\n")
    end = content.rfind(b"\r") if end < 0 else end
    if end < 0:
        read = f"{len(content)} bytes without a line end"
        raise InputError(f"{name} is no table of text.", [Problem(name, read, "lines of at most 1 MB")])
    return content[: end + (2 if content[end + 1 : end + 2] == b"\x00" else 1)]


# --- the rows ----------------------------------------------------------------------------------


def _blocks(path: Path, head: _Head, log: Log) -> Iterator[watch.Block]:
    """Blocks of rows in SI: times as UTC, NaN for what is no time; cells that are no number come along as text."""
    import duckdb

    connection = duckdb.connect()
    connection.execute(f"set memory_limit='{MEMORY}'; set threads=2; set enable_progress_bar=false")
    names = [channel.heading for channel in head.found]
    indices = [head.table.names.index(name) for name in names]
    query = _query(path, head, indices)
    held: watch.Block | None = None
    row = head.table.lines[0]
    try:
        for batch in connection.sql(query).to_arrow_reader(BLOCK):
            block = _block(batch, head, row, log)
            row += len(block.time)
            block, held = _in_utc(block, held, head.told, log)
            if len(block.time):
                yield block
    except (duckdb.Error, OSError, ValueError) as error:
        first = str(error).partition("\n")[0][:160]
        raise InputError(
            f"{path.name} cannot be read to its end.", [Problem(path.name, first, "rows of one width")]
        ) from None
    finally:
        connection.close()
    if held is not None:
        yield _in_utc(held, None, head.told, log, is_last=True)[0]


def _query(path: Path, head: _Head, indices: Sequence[int]) -> str:
    """The query that reads times and numbers, and the text of cells that are no number."""
    table, mark = head.table, head.mark
    fields = _fields(table)
    point = (lambda cell: f"replace({cell}, ',', '.')") if mark == "," else (lambda cell: cell)
    grouped, marks = (text.replace("'", "''") for text in (GROUPED[head.mark], _MARKS[head.mark]))
    inner, shown = [f"{_time_sql(table, head.told, fields, mark)} as t"], ["t"]
    for number, index in enumerate(indices):
        cell = fields[index]
        plain, parted = f"regexp_full_match({cell}, '{NUMBER[mark]}')", f"regexp_full_match({cell}, '{grouped}')"
        whole = point(f"regexp_replace(trim({cell}), '{marks}', '', 'g')")
        figure = f"case when {plain} then {point(cell)} when {parted} then {whole} end"
        inner += [f"try_cast({figure} as double) as v{number}", f"{cell} as s{number}"]
        shown += [f"v{number}", f"case when v{number} is null then coalesce(s{number}, '') end as b{number}"]
    for number, told in enumerate(head.statuses):
        inner.append(f"{fields[told.index]} as q{number}")
        shown.append(f"coalesce(q{number}, '') as q{number}")
    return f"select {', '.join(shown)} from (select {', '.join(inner)} from {_relation(path, head)})"


def _fields(table: Table) -> list[str]:
    """SQL of each cell; a line parted by blanks is split here."""
    if table.parted_by == " ":
        return [f"list_extract(parts, {n + 1})" for n in range(len(table.names))]
    return [f"c{n}" for n in range(len(table.names))]


def _relation(path: Path, head: _Head) -> str:
    table = head.table
    by_blanks = table.parted_by == " "
    columns = ["c0"] if by_blanks else [f"c{n}" for n in range(len(table.names) + 1)]
    delimiter = "\x1f" if by_blanks else table.parted_by
    types = ", ".join(f"'{name}': 'VARCHAR'" for name in columns)
    quoted = str(path).replace("'", "''")
    options = (
        f"delim='{delimiter}', header=false, skip={table.lines[0] - 1}, all_varchar=true, auto_detect=false, "
        f"encoding='{ENCODINGS[head.encoding]}', quote='\"', escape='\"', null_padding=true, strict_mode=false, "
        f"buffer_size=4000000, max_line_size=1000000, columns={{{types}}}"
    )
    relation = f"read_csv('{quoted}', {options})"
    return f"(select regexp_split_to_array(trim(c0), '[ ]+') as parts from {relation})" if by_blanks else relation


def _time_sql(table: Table, told: Clock, fields: Sequence[str], mark: str) -> str:
    """SQL of the time in seconds, in the form that the head was read by. Raises InputError for a form that has none."""
    cell = fields[told.columns[0]]
    if told.form in ("elapsed", "serial", "epoch"):
        number = f"replace({cell}, ',', '.')" if mark == "," else cell
        return f"try_cast({number} as double)"
    if len(told.columns) == 2:
        cell = f"{cell} || ' ' || {fields[told.columns[1]]}"
    first = " ".join(table.rows[0][n].strip().strip('"') for n in told.columns)
    pattern = _strptime(first, told)
    plain = f"replace(trim({cell}, ' \"'), ',', '.')"
    if pattern is None:
        return f"epoch(try_cast({plain} as timestamptz))"
    return f"epoch(try_strptime({plain}, {pattern}))"


def _strptime(sample: str, told: Clock) -> str | None:
    """Formats of a stamp like the sample, with and without a fraction; None for one that states its zone."""
    match = stamps.STAMP.fullmatch(sample)
    if match is None or stamps.stated_offset(match) is not None or match["p"] or match["n"] or not match["b"].isdigit():
        return None
    order = stamps.order_of(match, told.time[0])
    year = "%Y" if max(len(match["a"]), len(match["c"])) == 4 else "%y"
    date = {"ymd": (year, "%m", "%d"), "dmy": ("%d", "%m", year), "mdy": ("%m", "%d", year)}[order]
    between = re.search(r"[T ,]+", sample[match.end("c") :])
    day = match["sep"].join(date) + (between.group().replace(",", ".") if between else "")
    hour = "%I" if match["ap"] else "%H"
    clocks = [f"{hour}:%M"] if match["s"] is None else [f"{hour}:%M:%S.%g", f"{hour}:%M:%S", f"{hour}:%M:%S.%f"]
    half = " %p" if match["ap"] else ""
    return "[" + ", ".join(f"'{day}{one}{half}'" for one in clocks) + "]"


def _block(batch: Any, head: _Head, row: int, log: Log) -> watch.Block:
    """One batch of the parser as arrays in SI; readings that a status calls bad are missing."""
    seconds = _numpy(batch.column(0)) * _time_factor(head)
    if head.told.form == "serial":
        seconds = np.round(seconds - clock.SERIAL_DAYS * clock.DAY)
    lines = np.arange(row, row + len(seconds), dtype=np.int64)
    told = [batch.column(1 + 2 * len(head.found) + number).to_pylist() for number in range(len(head.statuses))]
    values, words, slack = [], [], []
    for number, channel in enumerate(head.found):
        figures = _numpy(batch.column(1 + 2 * number))
        column = batch.column(2 + 2 * number)
        bad = np.flatnonzero(~np.asarray(column.is_null()))
        figures[bad] = np.nan
        words.append([(int(n), str(column[int(n)].as_py())) for n in bad])
        unit = header.unit_of(channel.read_unit)
        factor = unit.factor if unit is not None and not unit.is_open else channels.TONS[channel.read_unit.split()[0]]
        limit = series.LARGEST if channel.quantity == "force" else series.LARGEST_SHARE
        huge = np.flatnonzero(np.abs(figures * factor) > limit)
        words[-1] += [(int(n), f"{figures[n]:.6g} {channel.read_unit}") for n in huge]
        figures[huge] = np.nan
        beside = [(head.statuses[n], told[n]) for n in head.beside(channel)]
        figures, is_slack = head.marked.take(channel.name, figures, beside, lines, log)
        values.append((figures, factor))
        slack.append(is_slack)
    return watch.Block(seconds, lines, values, words, slack)


def _time_factor(head: _Head) -> float:
    """Seconds of one unit of the file's own clock."""
    if head.told.form == "serial":
        return clock.DAY
    return head.told.factor if head.told.form in ("elapsed", "epoch") else 1.0


def _numpy(column: Any) -> Array:
    return np.array(column.to_numpy(zero_copy_only=False), dtype=np.float64)


def _in_utc(
    block: watch.Block, held: watch.Block | None, told: Clock, log: Log, is_last: bool = False
) -> tuple[watch.Block, watch.Block | None]:
    """The block with UTC times; rows of a doubled hour at its end are held back until the next one is there."""
    if told.form not in ("stamp", "serial") or told.zone is None or told.because == "stated in every stamp":
        return block, None
    whole = block if held is None else held.joined(block)
    cut = len(whole.time) if is_last else zones.before_doubled_end(whole.time, told.zone)
    now, later = whole.cut(cut)
    return replace(now, time=zones.to_utc(now.time, told.zone, now.lines, log)), later if len(later.time) else None


def _same_as_head(path: Path, head: _Head, block: watch.Block) -> None:
    """Refuse a file whose first rows the parser reads otherwise than the head was read. Raises InputError."""
    size = min(len(block.time), len(head.table.rows), 200)
    pairs = [(block.time[:size], head.told.time[:size])]
    pairs += [(figures[:size] * factor, channel.values[:size])
              for (figures, factor), channel in zip(block.values, head.found, strict=True)]  # fmt: skip
    for found, told in pairs:
        both = np.isfinite(found) & np.isfinite(told)
        if both.sum() < 0.5 * np.isfinite(told).sum() or not np.allclose(
            found[both], told[both], rtol=1e-12, atol=1e-3
        ):
            needs = "one form of times and numbers in all rows, UTF-8"
            raise InputError(
                f"{path.name} is too large for its form.", [Problem(path.name, "rows of another form", needs)]
            )


# --- what is kept ------------------------------------------------------------------------------


@contextlib.contextmanager
def _writer(
    target: Path, head: _Head, seen: watch.Watch, log: Log
) -> Iterator[Callable[[tuple[Array, list[Array]]], None]]:
    """Writes blocks of time and values, and what they are; the file is whole or not there."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    names = [channel.name for channel in head.found]
    schema = pa.schema([(store.TIME, pa.float64()), *((name, pa.float64()) for name in names)])
    held: list[Any] = []
    try:
        options = {"compression": "zstd", "compression_level": 1, "write_page_checksum": True}
        with pq.ParquetWriter(target, schema, **options) as writer:

            def write(rows: tuple[Array, list[Array]], least: int = store.ROW_GROUP) -> None:
                if len(rows[0]):
                    held.append(pa.record_batch([rows[0], *rows[1]], schema=schema))
                if held and sum(batch.num_rows for batch in held) >= least:
                    writer.write_table(pa.Table.from_batches(held))
                    held.clear()

            yield write
            write((np.zeros(0), []), 1)
            seen.finish(head.told)
            head.marked.tell(log)
            writer.add_key_value_metadata(
                store.metadata(seen, {channel.name: channel.quantity for channel in head.found}, log)
            )
    except BaseException:
        target.unlink(missing_ok=True)
        raise


def _report(head: _Head, seen: watch.Watch, source: Source, log: Log) -> Report:
    """The report of a whole file: statistics of every column, time, and what the rows did."""
    told = head.told
    for index in told.columns:
        name = head.table.names[index]
        log.columns.append(Column(name, "time", "", told.form, told.because, seen.kept, heading=name))
    for item in head.statuses:
        log.columns.append(Column(item.heading, "status", "", because="by row", values=seen.rows, heading=item.heading))
    for channel, column in zip(head.found, [item.statistics for item in seen.sensors], strict=True):
        shown, factor, _ = header.SHOWN[channel.quantity]
        low, high, mean = (None if value is None else value / factor for value in column[2:])
        log.columns.append(
            Column(channel.name, channel.quantity, shown, channel.read_unit, channel.because, column[0], column[1],
                   low, high, mean, channel.heading)
        )  # fmt: skip
    first, last = (zones.iso(value) + ("Z" if told.zone else "") for value in seen.ends)
    if told.form == "elapsed":
        first, last = (f"{value:g} s" for value in seen.ends)
    log.span = Span(told.zone, told.because, first, last, seen.step, len(seen.parts))
    return log.report("tension", "large table", source, seen.rows, seen.kept)
