"""A running study as a result that is stored: run, rows, files."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from importlib import resources
from pathlib import Path
from typing import Any

import numpy as np

from linewright.assessment.running import Assessed, Band, Cooling, Steady, Variant, assess_running, jumps, reached
from linewright.assessment.running_setup import highest_tension
from linewright.base.errors import InputError, ModelError, Problem
from linewright.base.units import ZERO_CELSIUS
from linewright.base.version import VERSION
from linewright.cards.loader import load_shelf
from linewright.cards.model import Shelf
from linewright.case.running.form import read_running
from linewright.physics.field_solve import FieldError
from linewright.physics.running import Heave
from linewright.physics.types import Array, Flags
from linewright.services.running_lives import life_row, wire_row
from linewright.services.store import write_whole
from linewright.services.used import used_row

Row = dict[str, Any]
EXAMPLE, DEFAULT = "deep-sea.toml", "running.toml"
MOST_TIMES = 80
QUANTILES = (("p10", 10.0), ("p50", 50.0), ("p90", 90.0))


def run_running(file: Path, told: Callable[[int, int], None] | None = None) -> Row:
    """The result of a running study. Raises InputError, CardError, ModelError or StorageError."""
    shelf, study = load_shelf(file.parent / "cards"), read_running(file)
    try:
        return result_row(assess_running(study, shelf, told), shelf)
    except FieldError as error:
        needs, do = "heat that settles or grows without end", "change tension, period or surroundings a little"
        raise ModelError(f"{file} has no answer.", [Problem(study.file, str(error), needs, do)]) from None


def study_file(study: Path) -> Path:
    """The file of a study: itself, or in its folder `running.toml`, or the only .toml that is there."""
    if not study.is_dir():
        return study
    found = sorted(study.glob("*.toml"))
    return found[0] if len(found) == 1 else study / DEFAULT


def write_example(folder: Path) -> Path:
    """Write the example study into a folder; a file that is there is kept."""
    target = folder / EXAMPLE
    if folder.exists() and not folder.is_dir():
        raise InputError(
            f"{folder} is no folder.", [Problem(str(folder), "a file", "a folder, or a name that is free")]
        )
    if target.exists():
        raise InputError(f"{target} is there already.", [Problem(str(target), "a file", "a name that is still free")])
    write_whole(target, (resources.files("linewright.services") / "running_study" / EXAMPLE).read_bytes())
    return target


def keep(folder: Path, row: Row, answer: list[str]) -> list[Path]:
    """Write result, answer, tables of core and skin over time and mark, of bends and of wear over mark."""
    field = row["as_given"]["field"]
    tables = {f"{name}.csv": _table(field, name) for name in ("core", "skin")}
    tables["bends.csv"] = "mark m,full bends\n" + "".join(
        f"{mark},{bends}\n" for mark, bends in zip(field["mark"], field["bends"], strict=True)
    )
    if row["life"]["reason"] is None:
        worn = row["life"]["by_mark"]
        tables["wear.csv"] = "mark m,loss of ln strength in a run\n" + "".join(
            f"{mark},{loss}\n" for mark, loss in zip(worn["mark"], worn["loss"], strict=True)
        )
    files = {"result.json": result_text(row), "answer.txt": "\n".join(answer) + "\n", **tables}
    for name, text in files.items():
        write_whole(folder / name, text.encode())
    return [folder / name for name in files]


def result_text(row: Row) -> str:
    """The result as JSON."""
    return json.dumps(row, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def _table(field: Row, name: str) -> str:
    stream = io.StringIO()
    table = csv.writer(stream, lineterminator="\n")
    table.writerow([f"{name} in C: seconds down, marks (m from the outboard end) across", *field["mark"]])
    table.writerows([time, *row] for time, row in zip(field["time"], field[name], strict=True))
    return stream.getvalue()


def result_row(found: Assessed, shelf: Shelf) -> Row:
    """Everything that a run found, in the units that people read: C, m, s, W/m."""
    study, data = found.setup.study, found.setup.data
    return {
        "format": 1,
        "kind": "running",
        "version": VERSION,
        "title": study.title,
        "note": study.note,
        "digest": study.digest,
        "rope": {
            "card": study.rope,
            "title": found.setup.title,
            "diameter": data["diameter"].value,
            "design_break_force": data["design_break_force"].value,
            "length": study.length,
            "highest_tension": round(highest_tension(found.setup), 3),
        },
        "seconds": study.repeat * sum(piece.duration for piece in found.pieces),
        "jumps": [{"from": one, "to": two, "way": round(way, 2)} for one, two, way in jumps(study)],
        "limits": {name: _celsius(value) for name, value in found.limits.items()},
        "limit": found.limit,
        "as_given": _variant(found, found.given),
        "without_spray": None if found.dry is None else _variant(found, found.dry),
        "band": _band(found.band),
        "coarse_core_difference": round(found.coarse, 3),
        "wide_because": [{"key": key, "share": round(share, 3)} for key, share in found.band.wide_because[:8]],
        "life": life_row(found, lambda mark: _places(found, mark)),
        "wire_rope": wire_row(found),
        "required_cooling": None if found.cooling is None else _cooling(found.cooling),
        "used": _used(found, shelf),
    }


def _celsius(value: float) -> float:
    return round(value - ZERO_CELSIUS, 2)


def _variant(found: Assessed, variant: Variant) -> Row:
    past, melting = variant.past, found.limits["melting range"]
    core, time, mark = variant.peak
    cell = int(np.argmin(np.abs(variant.marks - mark)))
    most = int(np.argmax(past.bends))
    return {
        "reaches_melting": past.melted,
        "ended_at": float(past.time[-1]),
        "periodic_from": float(past.periodic) if np.isfinite(past.periodic) else None,
        "hottest_core": None if past.melted else _celsius(core),
        "hottest_skin": None if past.melted or np.max(past.skin) >= melting else _celsius(float(np.max(past.skin))),
        "skin_melts_at": reached(past.time, np.max(past.skin, axis=1), melting),
        "at_time": time,
        "at_mark": round(mark, 2),
        "at_places": _places(found, mark),
        "bends_there": round(float(past.bends[cell]), 1),
        "most_bends": round(float(past.bends[most]), 1),
        "most_bends_mark": round(float(variant.marks[most]), 2),
        "time_to_limit": variant.times,
        "steady": [_steady(row) for row in variant.steady],
        "sheaves": _sheaves(found, variant),
        "balance": {
            "made": past.balance.made, "lost": past.balance.lost, "stored": past.balance.stored,
            "closure": past.balance.closure, "streams": past.streams,
            "steel_made": past.steel_balance.made, "steel_lost": past.steel_balance.lost,
            "steel_stored": past.steel_balance.stored, "steel_closure": past.steel_balance.closure,
        },
        "field": _field(variant, melting),
    }  # fmt: skip


def _places(found: Assessed, mark: float) -> list[str]:
    """Names of drum and sheaves over which a mark is bent while the rope heaves."""
    names: dict[str, None] = {}
    for piece in found.pieces:
        if not isinstance(piece.motion, Heave):
            continue
        low, high = piece.motion.low - mark, piece.motion.high - mark
        if low < 0.0 < high:
            names["drum"] = None
        place = 0.0
        wheels = iter(_wheels(found))
        for part in found.setup.study.parts:
            length = next(wheels) if part.kind == "sheave" else part.length or np.inf
            ends = (place, place + length)
            if part.kind == "sheave" and any(low < end < high for end in ends):
                names[part.name] = None
            place = ends[1]
    return list(names)


def _wheels(found: Assessed) -> list[float]:
    """Length of the rope on each sheave [m]."""
    data = found.setup.data
    count = sum(part.kind == "sheave" for part in found.setup.study.parts)
    return [0.5 * data[f"{n}.diameter"].value * data[f"{n}.wrap_angle"].value for n in range(count)]


def _steady(row: Steady) -> Row:
    """A steady state; where there is none below the melting range no temperature is told."""
    return {
        "phase": row.phase,
        "is_sustainable": row.is_sustainable,
        "is_runaway": row.is_runaway,
        "core": _celsius(row.core) if row.is_sustainable else None,
        "skin": _celsius(row.skin) if row.is_sustainable else None,
        "at_mark": round(row.mark, 2),
        "heat": round(row.heat, 2) if row.is_sustainable else None,
    }


def _sheaves(found: Assessed, variant: Variant) -> list[Row]:
    names = [part.name for part in found.setup.study.parts if part.kind == "sheave"]
    hottest = np.max(variant.past.steel, axis=0) if names else np.zeros(0)
    return [{"name": name, "hottest_steel": _celsius(float(value))} for name, value in zip(names, hottest, strict=True)]


def _field(variant: Variant, melting: float) -> Row:
    """Core and skin over at most some times before the melting range, all marks."""
    past = variant.past
    count = int(np.count_nonzero(np.max(past.core, axis=1) < melting))
    rows = np.unique(np.linspace(0, count - 1, min(MOST_TIMES, count)).astype(int))

    def shown(values: Array) -> list[list[float]]:
        return np.round(values[rows] - ZERO_CELSIUS, 2).tolist()

    marks = np.round(variant.marks, 3).tolist()
    return {"time": np.round(past.time[rows], 2).tolist(), "mark": marks, "bends": np.round(past.bends, 1).tolist(),
            "core": shown(past.core), "skin": shown(past.skin)}  # fmt: skip


def _band(band: Band) -> Row:
    draws = int(band.core.size)
    return {
        "draws": draws,
        "core": _quantiles(band.core, band.ended),
        "skin": _quantiles(band.skin, band.melted),
        "steady_core": _quantiles(band.steady_core, ~band.sustainable),
        "time_to_limit": _times(band.time),
        "share_reaching_limit": round(float(np.mean(np.isfinite(band.time))), 4),
        "share_reaching_melting": round(float(np.mean(band.melted)), 4),
        "share_sustainable": round(float(np.mean(band.sustainable)), 4),
    }


def _quantiles(values: Array, beyond: Flags) -> Row:
    """Quantiles in C; None where that draw ends in the melting range, which is no temperature."""
    ranked = _times(np.where(beyond, np.inf, values))
    return {name: None if value is None else _celsius(value) for name, value in ranked.items()}


def _times(values: Array) -> Row:
    """Quantiles of what is finite in each draw or not; None where it is not."""
    ranked = {name: float(np.percentile(values, part, method="inverted_cdf")) for name, part in QUANTILES}
    return {name: value if np.isfinite(value) else None for name, value in ranked.items()}


def _cooling(row: Cooling) -> Row:
    return {
        "phase": row.phase,
        "limit": _celsius(row.limit),
        "film": None if row.film is None else round(row.film, 1),
        "core_at_best": _celsius(row.core_at_best) if row.film is not None else None,
        "stream": _celsius(row.stream),
        "share_of_time": None if row.share is None else round(row.share, 3),
    }


def _used(found: Assessed, shelf: Shelf) -> list[Row]:
    rows: dict[tuple[str, str], Row] = {}
    data = [found.setup.data[key] for key in found.used] + list(found.setup.study.typed)
    for datum in data:
        rows.setdefault((datum.owner, datum.key), used_row(shelf, datum))
    return [rows[key] for key in sorted(rows)]
