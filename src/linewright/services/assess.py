"""Run a study: assess its case, keep the result, return it."""

from __future__ import annotations

import hashlib
import io
import json
import platform
from collections.abc import Callable
from concurrent.futures import Executor, ThreadPoolExecutor
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np

from linewright.assessment.whole import Whole, assess_case
from linewright.base.errors import InputError, Problem
from linewright.base.version import VERSION
from linewright.services.result import digest, result_of
from linewright.services.store import write_whole
from linewright.services.study import Study, open_study

Told = Callable[[str], None]
FEW = 512


def assess_study(root: Path, keep: bool = True, executor: Executor | None = None) -> dict[str, Any]:
    """Assess the study in a folder; its result is added under results/ unless keep is False."""
    study = open_study(root)
    whole = assess_whole(study, executor)
    row = result_of(whole)
    row["stamp"] = stamp(study, row)
    if keep:
        row["study"], row["kept"] = str(root), str(keep_result(study, whole, row))
    return row


def assess_whole(study: Study, executor: Executor | None = None) -> Whole:
    """The assessment of a study, on two threads when there are many samples."""
    case, shelf = study.case(), study.shelf()
    if executor is not None or case.samples <= FEW:
        return assess_case(case, shelf, executor)
    with ThreadPoolExecutor(2) as threads:
        return assess_case(case, shelf, threads)


def stamp(study: Study, row: dict[str, Any]) -> dict[str, Any]:
    """When and with what a result was made; not part of its digest."""
    case = study.case_file.read_bytes()
    return {
        "made_at": datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ"),
        "digest": digest(row),
        "case": hashlib.sha256(case).hexdigest(),
        "linewright": VERSION,
        "python": platform.python_version(),
        "numpy": np.__version__,
        "seed": study.case().seed,
    }


def keep_result(study: Study, whole: Whole, row: dict[str, Any]) -> Path:
    """Add the result to the study: result.json and samples.npz in a folder of their own."""
    when = row["stamp"]["made_at"].replace("-", "").replace(":", "").replace("Z", "")
    name = f"{when[:8]}T{when[9:]}Z-{row['stamp']['digest'][:8]}"
    if study.results.exists() and not study.results.is_dir():
        raise InputError(f"{study.results} is a file.", [Problem(str(study.results), "a file", "a folder for results")])
    folder = study.results / name
    write_whole(folder / "samples.npz", _samples(whole))
    write_whole(folder / "result.json", text_of(row).encode())
    return folder


def text_of(row: dict[str, Any]) -> str:
    """The result as JSON text."""
    return json.dumps(row, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def _samples(whole: Whole) -> bytes:
    arrays = {"weights": whole.weights}
    for number, rope in enumerate(whole.ropes):
        arrays[f"rope{number}_age"] = rope.ages
        for index, line in enumerate(rope.lines):
            arrays[f"rope{number}_line{index}_core"] = line.blocks.core.max(axis=1)
            arrays[f"rope{number}_line{index}_margin"] = line.blocks.margin.min(axis=1)
    arrays.update({f"score {name}": values for name, values in whole.scores.items()})
    stream = io.BytesIO()
    np.savez_compressed(stream, **arrays)  # type: ignore[arg-type]
    return stream.getvalue()
