"""Files brought into a study: read with answers, the raw bytes, the answers and the report kept beside each other."""

from __future__ import annotations

import json
import secrets
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from linewright.base.errors import InputError, Problem, visible
from linewright.importers import files, hooks, recognise
from linewright.importers.large import LargeLog
from linewright.importers.report import Imported, Log
from linewright.services.store import copy_whole, write_whole
from linewright.services.study import open_study

HOOKS_ANSWERS = "answers of the table of hooks"  # a note of the report


def answers_of(file: Path | None, pairs: Sequence[str]) -> dict[str, str]:
    """Answers from a TOML file and KEY=VALUE texts; the texts win. Raises InputError, also for one given twice."""
    found = {} if file is None else files.read_answers(file)
    given: dict[str, str] = {}
    for pair in pairs:
        key, mark, value = pair.partition("=")
        if not mark or not key.strip() or not value.strip():
            raise InputError(
                "An answer cannot be read.", [Problem("--answer", pair, "KEY=VALUE, such as time.zone=UTC+4")]
            )
        before = given.setdefault(key.strip(), value.strip())
        if before != value.strip():
            problem = Problem(key.strip(), f"{before} and {value.strip()}", "one answer to a question")
            raise InputError("An answer is given twice.", [problem])
    return {**found, **given}


def read(
    file: Path,
    answers: Mapping[str, str],
    as_kind: str | None = None,
    study: Path | None = None,
    progress: Callable[[int, int], None] | None = None,
    table: Path | None = None,
) -> Imported:
    """Values and report of a file; a log too large for memory goes into the study's data. Raises InputError.

    `table` says which line hung on which hook; an answer goes to whichever of the two files asks.
    """
    store = None
    if study is not None:
        store = open_study(study).root / "data" / f".{_safe(file.stem)}.{secrets.token_hex(4)}.parquet"
        store.parent.mkdir(exist_ok=True)

    def read_file(given: Mapping[str, str]) -> Imported:
        return recognise.import_file(file, given, as_kind, store, progress)

    return read_file(answers) if table is None else _by_line(read_file, table, answers)


def _by_line(read_file: Callable[[Mapping[str, str]], Imported], table: Path, answers: Mapping[str, str]) -> Imported:
    """A log by lines; answers that the table of hooks asks for go to the log only if it asks for them too."""
    log = Log(answers)
    uses = hooks.hooks_of(table, log)
    given = {key: answer for key, answer in answers.items() if key not in log.used}
    found = read_file(given)
    while again := {item.key for item in found.report.questions} & log.used.keys():
        given |= {key: answers[key] for key in again}
        found = read_file(given)
    own = [item for item in log.questions if item.key not in {other.key for other in found.report.questions}]
    told = [replace(item, because=f"{table.name}: {item.because}") for item in own]
    if found.report.is_open or told:
        return replace(found, report=replace(found.report, questions=(*found.report.questions, *told)))
    notes = {**found.report.notes, **({HOOKS_ANSWERS: dict(log.used)} if log.used else {})}
    return hooks.by_line(replace(found, report=replace(found.report, notes=notes)), uses)


def keep(study: Path, file: Path, found: Imported, table: Path | None = None) -> Path:
    """Copy a file into a study with its answers and report; the path inside the study that a case may name.

    Raises StorageError, and InputError where there is no study.
    """
    root = open_study(study).root
    name = f"{found.report.digest[:8]}-{_safe(file.name)}"
    inside = Path("data") / "raw" / name
    copy_whole(file, root / inside)
    _beside(root / inside, found, file.name)
    if table is not None:
        copy_whole(table, files.hooks_path(root / inside))
        _keep_answers(files.hooks_path(root / inside), found.report.notes.get(HOOKS_ANSWERS, {}), table.name)
    if isinstance(found.content, LargeLog):
        stored = Path("data") / f"{name}.parquet"
        found.content.path.replace(root / stored)
        _beside(root / stored, found, file.name)
        return stored
    return inside


def _beside(target: Path, found: Imported, name: str) -> None:
    """The answers and the report of a kept file."""
    _keep_answers(target, found.report.answers, name)
    report = json.dumps(found.report.as_dict(), indent=1, ensure_ascii=False) + "\n"
    write_whole(files.report_path(target), report.encode())


def _keep_answers(target: Path, answers: Mapping[str, str], name: str) -> None:
    """Answers beside a kept file."""
    if answers:
        rows = [f"{json.dumps(key)} = {json.dumps(value)}" for key, value in answers.items()]
        text = f"# answers to what {visible(name)} does not say\n" + "\n".join(rows) + "\n"
        write_whole(files.answers_path(target), text.encode())


def _safe(name: str) -> str:
    """A file name without what a path or a terminal would obey."""
    return "".join(char if char.isalnum() or char in "._-" else "_" for char in name)[-80:]
