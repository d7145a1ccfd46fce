"""Files that a case names: typical years and tension records, read once and cached in the study by digest."""

from __future__ import annotations

import contextlib
import hashlib
import io
import json
import math
import zipfile
import zlib
from collections.abc import Callable
from dataclasses import fields
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from linewright.assessment import sea
from linewright.assessment.record import Counted, count, count_stored
from linewright.assessment.whole import Gathered
from linewright.base.errors import InputError, Problem, StorageError
from linewright.cards.model import Climate, Shelf
from linewright.case.model import Case, Tension
from linewright.importers import files, store
from linewright.importers.model import HourlyYear, Record
from linewright.services.store import write_whole

if TYPE_CHECKING:
    from linewright.importers.curves import Curve

CACHE_FORMAT = 4


def gather(root: Path, case: Case, shelf: Shelf) -> Gathered:
    """Everything that a case needs from files. Raises InputError with every file that cannot be read."""
    problems: list[Problem] = []
    years = {}
    for berth in case.every_berth:
        climate = shelf.climates.get(berth.climate)
        if climate is not None and climate.hourly and berth.climate not in years:
            where = f'{berth.where}  berth "{berth.name}" > climate'
            years[berth.climate] = _try(partial(read_year, root, climate), where, problems)
    records = {}
    for tension in _recorded(case):
        if tension.record not in records:
            read = partial(counted, root, tension.log, tension.channel)
            records[tension.record] = _try(read, tension.where, problems)
    curves = {}
    for name, where in _curves(case).items():
        curves[name] = _try(partial(read_curve, root, name), where, problems)
    if problems:
        raise InputError("Files that the case names cannot be read.", problems)
    return Gathered(years, records, curves)


def digests_of_files(root: Path, case: Case, shelf: Shelf) -> dict[str, str]:
    """SHA-256 of every weather file and record that a case names; empty text for one that cannot be read."""
    climates = [shelf.climates[berth.climate] for berth in case.every_berth if berth.climate in shelf.climates]
    names = {climate.hourly for climate in climates if climate.hourly} | {item.log for item in _recorded(case)}
    names |= set(_curves(case))
    return {name: _digest(root, name) for name in sorted(names)}


def _digest(root: Path, name: str) -> str:
    try:
        path = files.find(root, name)
        beside = [found for found in (files.answers_path(path), files.hooks_path(path)) if found.is_file()]
        return hashlib.sha256(b"".join(found.read_bytes() for found in (path, *beside))).hexdigest()
    except (InputError, OSError):
        return ""


def _recorded(case: Case) -> list[Tension]:
    states = [state for berth in case.every_berth for state in berth.states]
    return [tension for state in states for tension in state.tension.values() if tension.log]


def _curves(case: Case) -> dict[str, str]:
    """Files of spectra and responses that a case names, with the place of the first."""
    found: dict[str, str] = {}
    for berth in case.every_berth:
        for state in berth.states:
            for tension in state.tension.values():
                for name in sea.files_of(state, tension):
                    found.setdefault(name, tension.where)
    return found


def read_curve(root: Path, name: str) -> Curve:
    """A spectrum or response of a file in the study. Raises InputError."""
    from linewright.importers import curves

    return curves.read_curve(files.find(root, name))


def _try(read: Callable[[], Any], where: str, problems: list[Problem]) -> Any:
    """What a reader gives, or None and its problems with the place in the case."""
    try:
        return read()
    except InputError as error:
        problems += [Problem(f"{where}: {item.where}", item.read, item.needs, item.do) for item in error.problems]
        return None


def read_year(root: Path, climate: Climate) -> HourlyYear:
    """The typical year of a climate card, from the study's cache when its file has not changed."""
    from linewright.importers import weather

    path = files.find(root, climate.hourly)
    answers = files.answers_beside(path)
    place = (math.degrees(climate.latitude), math.degrees(climate.longitude))
    read = partial(weather.read_year, answers=answers, place=place)
    values = _cached(root, path, climate.name, HourlyYear, read, json.dumps([answers, place], sort_keys=True))
    return HourlyYear(**{**values, "latitude": float(values["latitude"]), "longitude": float(values["longitude"])})


def counted(root: Path, log: str, channel: str = "") -> Counted:
    """The cycles of one channel of a tension record, also of one that was kept because it is larger than memory."""
    path = files.find(root, log)
    if path.suffix == store.SUFFIX:
        return count_stored(store.open_log(path, channel))
    return count(read_record(root, log, channel))


def read_record(root: Path, log: str, channel: str = "") -> Record:
    """One channel of a tension record, from the study's cache when neither its file nor its answers have changed."""
    from linewright.importers import hooks, tension
    from linewright.importers.report import Log

    path = files.find(root, log)
    answers = files.answers_beside(path)
    told = json.dumps([channel, answers], sort_keys=True)
    table = files.hooks_path(path)
    uses = hooks.read_hooks(table, Log({**answers, **files.answers_beside(table)})) if table.is_file() else ()
    told += repr(uses)
    read = partial(
        tension.read_record,
        channel=channel,
        answers=answers,
        to_lines=partial(hooks.by_line, uses=uses) if uses else None,
    )
    values = _cached(root, path, Path(log).stem, Record, read, told)
    if files.is_changed(path):
        text = "the file has changed since it was brought into the study"
        values["report"]["doubts"] = [*values["report"].get("doubts", ()), text]
    return Record(**values)


def _cached(
    root: Path, path: Path, name: str, kind: type[Any], read: Callable[[Path], Any], told: str = ""
) -> dict[str, Any]:
    """Fields of an imported thing: from data/<digest>-<name>.npz, or read and kept there with its report."""
    digest = hashlib.sha256(f"{CACHE_FORMAT}{told}".encode() + path.read_bytes()).hexdigest()[:8]
    kept = root / "data" / f"{digest}-{name[:40]}.npz"
    report = kept.with_suffix(".import.json")
    names = [field.name for field in fields(kind) if field.name != "report"]
    try:
        with np.load(io.BytesIO(kept.read_bytes()), allow_pickle=False) as stored:
            values = {key: stored[key] for key in names}
        told = json.loads(report.read_text(encoding="utf-8"))
        if isinstance(told, dict) and _is_whole(values):
            return {**values, "report": told}
    except (OSError, KeyError, ValueError, EOFError, zipfile.BadZipFile, zlib.error):
        pass
    fresh = read(path)
    values = {key: getattr(fresh, key) for key in names}
    stream = io.BytesIO()
    np.savez_compressed(stream, **values)
    with contextlib.suppress(StorageError):  # a cache that cannot be kept is read again next time
        write_whole(kept, stream.getvalue())
        write_whole(report, (json.dumps({"digest": digest, **fresh.report}, indent=1) + "\n").encode())
    return {**values, "report": dict(fresh.report)}


def _is_whole(values: dict[str, Any]) -> bool:
    """Whether cached arrays are finite numbers of one length, or single numbers."""
    lengths = {value.shape for value in values.values() if value.ndim}
    return len(lengths) == 1 and all(value.dtype.kind == "f" and np.isfinite(value).all() for value in values.values())
