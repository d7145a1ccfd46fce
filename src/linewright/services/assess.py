"""Run a study: assess its case, keep the result, return it."""

from __future__ import annotations

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
from linewright.base.version import VERSION
from linewright.services.gather import digests_of_files, gather
from linewright.services.page import NAME, page
from linewright.services.result import digest, result_of
from linewright.services.store import try_folder, write_folder
from linewright.services.study import Study, open_study
from linewright.validation.written import written_id

Told = Callable[[str], None]
FEW = 512


def assess_study(root: Path, keep: bool = True, executor: Executor | None = None) -> dict[str, Any]:
    """Assess the study in a folder; its result is added under results/ unless keep is False."""
    study = open_study(root)
    if keep:
        try_folder(study.results / "trial")
    whole = assess_whole(study, executor)
    row = result_of(whole)
    row["stamp"] = {**stamp(whole, row), "files": digests_of_files(study.root, whole.case, whole.shelf)}
    if keep:
        row["study"], row["kept"] = str(root), str(keep_result(study, whole, row))
    return row


def assess_whole(study: Study, executor: Executor | None = None) -> Whole:
    """The assessment of a study, on two threads when there are many samples."""
    case, shelf = study.read()
    files = gather(study.root, case, shelf)
    if executor is not None or case.samples <= FEW:
        return assess_case(case, shelf, executor, files)
    with ThreadPoolExecutor(2) as threads:
        return assess_case(case, shelf, threads, files)


def stamp(whole: Whole, row: dict[str, Any]) -> dict[str, Any]:
    """When and with what a result was made; not part of its digest."""
    return {
        "made_at": datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ"),
        "digest": digest(row),
        "case": whole.case.digest,
        "cards": cards_of(whole),
        "linewright": VERSION,
        "validation": written_id(),
        "python": platform.python_version(),
        "numpy": np.__version__,
        "seed": whole.case.seed,
    }


def cards_of(whole: Whole) -> dict[str, str]:
    """Digest of every card that the run used."""
    shelf, names = whole.shelf, {line.setup.subject.name for rope in whole.ropes for line in rope.lines}
    names |= {tail.setup.subject.name for rope in whole.ropes for tail in rope.tails if tail is not None}
    found = {f"ropes/{name}": shelf.rope(name).digest for name in names}
    for line in whole.case.lines:
        found[f"practices/{line.practice}"] = shelf.practices[line.practice].digest
        found.update({f"contacts/{use.card}": shelf.contacts[use.card].digest for use in line.contacts})
    climates = {berth.climate for berth in whole.case.every_berth}
    found.update({f"climates/{name}": shelf.climates[name].digest for name in climates})
    return dict(sorted(found.items()))


def keep_result(study: Study, whole: Whole, row: dict[str, Any]) -> Path:
    """Add the result to the study: result.json and samples.npz in a folder of their own."""
    when = row["stamp"]["made_at"].replace("-", "").replace(":", "")
    name = f"{when}-{row['stamp']['digest'][:8]}"
    files = {"samples.npz": _samples(whole), "result.json": text_of(row).encode(), NAME: page(row).encode()}
    return write_folder(study.results / name, files)


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
