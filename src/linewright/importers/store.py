"""Tension logs kept in a Parquet file: what it holds, and its values in blocks, so that a year fits in memory."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from linewright.base.errors import InputError, Problem, StorageError
from linewright.importers.clock import GAP_STEPS
from linewright.importers.report import Array, Log, doubts_of
from linewright.importers.watch import Watch

KEY = b"linewright"
FORMAT = 1
SUFFIX = ".parquet"
TIME = "time"
ROW_GROUP = 1_000_000  # rows
BLOCK = 1 << 18  # rows read at once


@dataclass(frozen=True)
class StoredLog:
    """One channel of a kept log.

    path and channel; base, what a value is a share of ("N" for newton); low and high of all values; rows; parts, index
    pairs of the stretches without a gap; step, usual time between rows [s]; is_even, whether every row is that far
    behind the one before and holds a reading; longest, the longest step over which a reading is known to stand [s];
    doubts of its import, in words; whether the sensor was at its end.
    """

    path: Path
    channel: str
    base: str
    low: float
    high: float
    rows: int
    parts: tuple[tuple[int, int], ...]
    step: float
    is_even: bool
    longest: float
    doubts: tuple[str, ...]
    is_saturated: bool

    def blocks(self) -> Iterator[tuple[Array | None, Array]]:
        """Times [s] (None where rows are even) and values, in order, one block read ahead; missing values are NaN."""
        import pyarrow.parquet as pq

        columns = [self.channel] if self.is_even else [TIME, self.channel]
        with (
            pq.ParquetFile(self.path, pre_buffer=False, page_checksum_verification=True) as file,
            ThreadPoolExecutor(1) as ahead,
        ):
            batches = file.iter_batches(batch_size=BLOCK, columns=columns)
            coming = ahead.submit(next, batches, None)
            while (batch := coming.result()) is not None:
                coming = ahead.submit(next, batches, None)
                values = np.asarray(batch.column(len(columns) - 1).to_numpy(zero_copy_only=False))
                yield None if self.is_even else np.asarray(batch.column(0).to_numpy()), values


def metadata(seen: Watch, quantities: Mapping[str, str], log: Log) -> dict[bytes, bytes]:
    """What a kept log says of itself, in the file's own metadata."""
    told = {
        "format": FORMAT,
        "step": seen.step,
        "is_even": seen.is_even,
        "is_regular": seen.is_regular,
        "parts": seen.parts,
        "channels": {
            sensor.name: {
                "quantity": quantities[sensor.name],
                "low": sensor.low if sensor.count else None,
                "high": sensor.high if sensor.count else None,
                "missing": sensor.missing,
                "is_saturated": bool(sensor.tops),
                "doubts": doubts_of(log.flags, sensor.name),
                "refused": [flag.text for flag in log.flags if flag.severity == "refused"],
            }
            for sensor in seen.sensors
        },
    }
    return {KEY: json.dumps(told).encode()}


def open_log(path: Path, channel: str = "") -> StoredLog:
    """One channel of a kept log.

    Raises InputError where it is not told, not there or cannot be counted, and StorageError.
    """
    told, rows = _told(path)
    names = list(told["channels"])
    if channel and channel not in names:
        raise InputError(
            f"{path.name} has no channel {channel}.", [Problem(path.name, channel, f"one of {', '.join(names)}")]
        )
    if not channel and len(names) != 1:
        problem = Problem(path.name, ", ".join(names), "one line's tension", 'add channel = "..." to the case')
        raise InputError(f"{path.name} holds {len(names)} channels.", [problem])
    name = channel or names[0]
    item = told["channels"][name]
    problems = [Problem(path.name, text, "a history of tension") for text in item["refused"]]
    if item["low"] is None:
        problems.append(Problem(path.name, f"no readings of {name}", "a history of tension"))
    if problems:
        raise InputError(f"{path.name} cannot be counted.", problems)
    base = item["quantity"].removeprefix("share of ") if item["quantity"] != "force" else "N"
    parts = tuple((int(a), int(b)) for a, b in told["parts"])
    is_even = told["is_even"] and len(parts) == 1 and item.get("missing") == 0  # an older file does not say
    longest = GAP_STEPS * told["step"] if told.get("is_regular", told["is_even"]) else np.inf
    return StoredLog(path, name, base, item["low"], item["high"], rows, parts, told["step"], is_even, longest,
                     tuple(item["doubts"]), item["is_saturated"])  # fmt: skip


def _told(path: Path) -> tuple[dict[str, Any], int]:
    """The metadata of a kept log and its number of rows. Raises StorageError for a file that is none."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    try:
        with pq.ParquetFile(path) as file:
            told = json.loads((file.metadata.metadata or {})[KEY])
            if told["format"] != FORMAT:
                raise ValueError(told["format"])
            return told, file.metadata.num_rows
    except (OSError, pa.ArrowException, KeyError, ValueError, TypeError):
        needs = "a log that `linewright import` kept"
        raise StorageError(
            f"{path.name} is no kept log.", [Problem(path.name, "another or a damaged file", needs)]
        ) from None
