"""A recorded tension: CSV with a row of names, a row of units, then numbers."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np

from linewright.base import units
from linewright.base.errors import InputError, Problem
from linewright.importers.model import Record

OTHER_MARKS = {";": "semicolons", "\t": "tabs"}
SATURATED = 3  # equal readings at the top in a row
MOST_PROBLEMS = 20
GAP = 1.5  # of the median interval
LARGEST = 1e8  # [N], no line carries it
LONGEST = 1e10  # [s]


def read_record(path: Path) -> Record:
    """Time and tension of a record. Raises InputError with every bad row and its line."""
    try:
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        raise InputError(f"There is no tension record at {path}.", [Problem(str(path), "", "a CSV file")]) from None
    except UnicodeDecodeError:
        problem = Problem(path.name, "another encoding", "a CSV file in UTF-8", "save it as CSV UTF-8")
        raise InputError(f"{path.name} cannot be read.", [problem]) from None
    except OSError as error:
        raise InputError(f"{path} cannot be read.", [Problem(str(path), str(error)[:120], "a CSV file")]) from None
    try:
        numbered = list(enumerate(csv.reader(text.splitlines()), start=1))
    except csv.Error as error:
        problem = Problem(path.name, str(error)[:120], "rows of two numbers: time and tension")
        raise InputError(f"{path.name} is no tension record.", [problem]) from None
    rows = [(number, row) for number, row in numbered if row and row[0][:1] != "#"]
    kinds = _head(path, rows)
    time, tension = _body(path, rows[2:], kinds)
    return Record(time, tension, _report(time, tension, kinds))


def _head(path: Path, rows: list[tuple[int, list[str]]]) -> tuple[str, str]:
    """Units of time and tension, from the second row."""
    needs = "a row of names (time, tension), a row of units (s, kN), then numbers"
    first = rows[0][1][0] if rows and len(rows[0][1]) == 1 else ""
    other = next((name for mark, name in OTHER_MARKS.items() if mark in first), "")
    if other:
        problem = Problem(path.name, f"columns parted by {other}", needs, "part the columns by commas")
        raise InputError(f"{path.name} is no tension record.", [problem])
    if len(rows) < 4 or len(rows[0][1]) < 2 or len(rows[1][1]) < 2:
        raise InputError(f"{path.name} is no tension record.", [Problem(path.name, f"{len(rows)} rows", needs)])
    number, cells = rows[1]
    found = (cells[0].strip(), cells[1].strip())
    problems = []
    for unit, kind in zip(found, ("duration", "force"), strict=True):
        try:
            units.parse(f"1 {unit}", kind)
        except units.UnitError as error:
            problems.append(Problem(f"{path.name}:{number}", unit, error.needs, error.do))
    if problems:
        raise InputError(f"{path.name} has units that cannot be read.", problems)
    return found


def _body(path: Path, rows: list[tuple[int, list[str]]], kinds: tuple[str, str]) -> tuple[np.ndarray, np.ndarray]:
    values, problems = [], []
    for number, row in rows:
        try:
            pair = (float(row[0]), float(row[1]))
        except (ValueError, IndexError):
            pair = (math.nan, math.nan)
        if not all(map(math.isfinite, pair)):
            problems.append(Problem(f"{path.name}:{number}", ",".join(row)[:80], "two numbers: time and tension"))
        values.append(pair)
    times = [pair[0] for pair in values]
    back = next((n for n in range(1, len(times)) if times[n] <= times[n - 1]), None)
    if back is not None and not problems:
        problems.append(Problem(f"{path.name}:{rows[back][0]}", f"time {times[back]:g}", "times that rise"))
    if problems:
        shown = problems[:MOST_PROBLEMS]
        raise InputError(f"{path.name} has {len(problems)} rows that cannot be read.", shown)
    table = np.array(values)
    time = table[:, 0] * units.factor_and_offset("duration", kinds[0])[0]
    tension = table[:, 1] * units.factor_and_offset("force", kinds[1])[0]
    _plausible(path, time, tension, kinds)
    return time, tension


def _plausible(path: Path, time: np.ndarray, tension: np.ndarray, kinds: tuple[str, str]) -> None:
    """Refuse what no line carries. Raises InputError."""
    problems = []
    if np.abs(tension).max() > LARGEST:
        read = f"up to {np.abs(tension).max():.3g} N in {kinds[1]}"
        problems.append(Problem(path.name, read, "tensions of a mooring line", "check the unit row"))
    elif np.mean(tension) <= 0.0:
        read = f"a mean tension of {np.mean(tension) / 1e3:.3g} kN"
        problems.append(Problem(path.name, read, "tension, a pull above zero", "check zero and sign of the sensor"))
    if np.abs(time).max() > LONGEST or np.median(np.diff(time)) < 1e-6:
        read = f"{len(time)} rows over {np.ptp(time):.3g} s in {kinds[0]}"
        problems.append(Problem(path.name, read, "times of a record", "check the unit row"))
    if problems:
        raise InputError(f"{path.name} is no record of a line's tension.", problems)


def _report(time: np.ndarray, tension: np.ndarray, kinds: tuple[str, str]) -> dict[str, object]:
    steps = np.diff(time)
    top = tension == tension.max()
    run = longest = 0
    for flag in top:
        run = run + 1 if flag else 0
        longest = max(longest, run)
    return {
        "kind": "tension record",
        "rows_read": len(time),
        "rows_kept": len(time),
        "dropped": [],
        "units": list(kinds),
        "duration": float(time[-1] - time[0]),
        "gaps": int(np.sum(steps > GAP * np.median(steps))),
        "is_saturated": bool(longest >= SATURATED and tension.max() > tension.min()),
        "columns": {
            "tension": {"low": float(tension.min()), "high": float(tension.max()), "mean": float(tension.mean())}
        },
    }
