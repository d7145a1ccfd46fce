"""Figures of imports: a small file, a log larger than memory, a year of readings counted."""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import time
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

Row = dict[str, object]
LARGE = 200_000_000  # bytes
YEAR = 315_576_000  # readings at 10 Hz
BLOCK = 100_000
MEMORY = "import resource; print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3)"
TIMED = "import sys, time; from pathlib import Path; begin = time.monotonic(); {}; print(time.monotonic() - begin)"
IMPORT = "from linewright.importers.recognise import import_file; import_file(Path(sys.argv[1]))"
COUNT = (
    "import sys, time; from pathlib import Path\n"
    "from linewright.assessment.record import count_stored; from linewright.importers.store import open_log\n"
    "log = open_log(Path(sys.argv[1])); begin = time.monotonic(); count_stored(log); print(time.monotonic() - begin)"
)


def measured(script: str, path: Path) -> list[float]:
    """What a new process prints, and at the end its largest memory [MB]."""
    call = [sys.executable, "-c", f"{script}\n{MEMORY}", str(path)]
    return [float(line) for line in subprocess.run(call, capture_output=True, text=True, check=True).stdout.split()]


def figure(value: float, unit: str, goal: str, against: str) -> Row:
    """One figure."""
    return {"value": float(f"{value:.3g}"), "unit": unit, "goal": goal, "against": against}


def small() -> list[Row]:
    """Seconds of `linewright import` of a file of 60 rows in a new process."""
    sample = Path(__file__).resolve().parent.parent / "tests" / "importers" / "samples" / "tension_good_kN_utc.csv"
    call = [sys.executable, "-m", "linewright.cli", "import", str(sample)]
    values = []
    for _ in range(5):
        begin = time.perf_counter()
        subprocess.run(call, capture_output=True, check=True)
        values.append(time.perf_counter() - begin)
    return [figure(sorted(values)[2], "s", "< 1", "a new process, 60 rows")]


def large() -> list[Row]:
    """Seconds and memory of a log of 200 MB with decimal commas, stamps of text and four hooks."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.csv"
        _write_log(path)
        seconds, memory = measured(TIMED.format(IMPORT), path)
    size = f"{LARGE / 1e6:.0f} MB of text, streamed into Parquet"
    return [figure(seconds, "s", "< 20", size), figure(memory, "MB", "< 500", size)]


def _write_log(path: Path) -> None:
    random, begin, row = np.random.default_rng(1), datetime(2026, 1, 13), 0
    with path.open("w", encoding="cp1252") as stream:
        names = ";".join(f"Haken {n} Zugkraft [kN]" for n in range(1, 5))
        stream.write(f"Messstelle: erfunden\nZeitzone: UTC+1\nZeit;{names}\n")
        while stream.tell() < LARGE:
            seconds = (row + np.arange(BLOCK)) / 10.0
            load = 300.0 + 60.0 * np.sin(seconds[:, None] / 2.0 + np.arange(4)) + random.normal(0.0, 5.0, (BLOCK, 4))
            stamps = (begin + timedelta(seconds=value) for value in seconds)
            texts = (";".join(f"{value:.2f}".replace(".", ",") for value in values) for values in load)
            rows = (
                f"{stamp:%d.%m.%Y %H:%M:%S},{stamp.microsecond // 100000};{text}"
                for stamp, text in zip(stamps, texts, strict=True)
            )
            stream.write("\n".join(rows) + "\n")
            row += BLOCK


def line_year() -> list[Row]:
    """Seconds and memory of one line's year at 10 Hz from Parquet to its cycle table, kernels compiled before."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "year.parquet"
        _write_year(path)
        seconds, memory = measured(COUNT, path)
    size = f"{YEAR / 1e6:.0f} million readings, {path.name}"
    return [figure(seconds, "s", "< 6", size), figure(memory, "MB", "< 500", size)]


def _write_year(path: Path) -> None:
    import pyarrow as pa
    import pyarrow.parquet as pq

    random, block = np.random.default_rng(1), 1_000_000
    schema = pa.schema([("time", pa.float64()), ("L1", pa.float64())])
    channel = {"quantity": "force", "low": 100e3, "high": 600e3, "is_saturated": False, "doubts": [], "refused": []}
    told = {"format": 1, "step": 0.1, "is_even": True, "parts": [[0, YEAR]], "channels": {"L1": channel}}
    with pq.ParquetWriter(path, schema, compression="zstd", compression_level=1) as writer:
        for row in range(0, YEAR, block):
            at = np.arange(row, min(row + block, YEAR)) / 10.0
            load = 300.0 + 60.0 * np.sin(at / 2.0) * (1.0 + 0.3 * np.sin(at / 300.0)) + 20.0 * np.sin(at / 14.0)
            values = np.round(load + random.normal(0.0, 2.0, at.size), 1) * 1e3
            writer.write_batch(pa.record_batch([at, values], schema=schema))
        writer.add_key_value_metadata({b"linewright": json.dumps(told).encode()})
