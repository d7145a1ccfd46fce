"""Kept results: the newest one of a study, and whether its case and cards are still those of today."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

from linewright.base.errors import InputError, LinewrightError, Problem, StorageError
from linewright.base.version import VERSION
from linewright.cards.model import Shelf
from linewright.case.model import Case
from linewright.services.gather import digests_of_files
from linewright.services.program import command
from linewright.services.result import SCHEMA, digest
from linewright.services.scene import Scene
from linewright.services.study import Study, open_study

Row = dict[str, Any]
SHORT_DIGEST = 8
NAME = re.compile(r"\d{8}T\d{6}Z-[0-9a-f]{8}(-\d+)?")


def kept_folders(study: Study) -> list[Path]:
    """Folders of the kept results of a study, oldest first. Raises StorageError."""
    try:
        found = sorted(
            (path for path in study.results.glob("*/result.json") if NAME.fullmatch(path.parent.name)),
            key=lambda path: (path.parent.name[:16], path.stat().st_mtime),
        )
    except OSError as error:
        raise _unreadable(study.results, error.strerror or str(error)) from None
    return [path.parent for path in found]


def newest(study: Study) -> tuple[Path, Row] | None:
    """Folder and content of the newest kept result, or None. Raises StorageError if it is damaged."""
    found = kept_folders(study)
    return (found[-1], read_result(found[-1] / "result.json")) if found else None


def newest_result(root: Path) -> Row:
    """The newest kept result of a study's folder. Raises InputError where there is none."""
    study = open_study(root)
    found = newest(study)
    if found is None:
        problem = Problem(str(study.results), "no result", "a result that was kept", command("run", root))
        raise InputError(f"The study {root} has no result yet.", [problem])
    return found[1]


def read_result(path: Path) -> Row:
    """The content of a result.json. Raises StorageError."""
    try:
        row = json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise _unreadable(path, error.strerror or str(error)) from None
    except ValueError:
        raise _unreadable(path, "not whole") from None
    except RecursionError:
        raise _unreadable(path, "not whole") from None
    if not isinstance(row, dict) or row.get("schema") != SCHEMA:
        raise _unreadable(path, "not a result of this format")
    if _lacks(row):
        raise _unreadable(path, "not whole")
    return row


def _lacks(row: Row) -> bool:
    """Whether a result lacks what every result has, or holds what is no number; a digest tells any other change."""
    ropes, stamp = row.get("ropes"), row.get("stamp")
    if not isinstance(ropes, list) or not ropes or not isinstance(stamp, dict):
        return True
    try:
        return stamp["digest"] != digest(row)
    except (KeyError, TypeError, ValueError, RecursionError):
        return True


def _unreadable(path: Path, cause: str) -> StorageError:
    problem = Problem(str(path), cause, "a result that linewright kept", "remove this folder, or run the study again")
    return StorageError(f"{path} cannot be read: {cause}.", [problem])


def has_result(root: Path) -> bool:
    """Whether a study has a kept result."""
    return newest(open_study(root)) is not None


def newest_folder(root: Path) -> Path:
    """Folder of the newest kept result of a study that has one."""
    return _newest(open_study(root))[0]


def scene(root: Path) -> tuple[Scene, str]:
    """The newest result of a study with its case and cards, and the mark of an old one (or an empty text)."""
    study = open_study(root)
    case, shelf = study.read()
    result = _newest(study)[1]
    return Scene(result, case, shelf), stale_line(result, stale(study.root, result, case, shelf))


def mark(root: Path) -> str:
    """The mark of an old result, or an empty text; a case or card of today with an error is one too."""
    try:
        return scene(root)[1]
    except LinewrightError:
        where = command("check", root)
        return f"Today's case or cards have an error ({where}); this is the newest result as it was kept."


def _newest(study: Study) -> tuple[Path, Row]:
    found = newest(study)
    if found is None:
        raise _unreadable(study.results, "no result there")
    return found


def stale(root: Path, result: Row, case: Case, shelf: Shelf) -> list[str]:
    """What has changed since a result was made, in words; empty if nothing."""
    stamp = result["stamp"]
    changes = [] if stamp["case"] == case.digest else ["the case changed"]
    for name, then in stamp["cards"].items():
        now = digests_of(shelf, name)
        if then not in now:
            changes.append(f"card {name.rpartition('/')[2]} {'changed' if now else 'is gone'}")
    now_files = digests_of_files(root, case, shelf)
    for name, then in stamp.get("files", {}).items():
        if name in now_files and now_files[name] != then:
            changes.append(f"{name} {'changed' if now_files[name] else 'is gone'}")
    if stamp["linewright"] != VERSION:
        changes.append(f"linewright was {stamp['linewright']}, now {VERSION}")
    return changes


def digests_of(shelf: Shelf, card: str) -> list[str]:
    """Digests today of a card named with its kind (`contacts/roller`), or of all of a bare name."""
    kind, _, name = card.rpartition("/")
    groups: dict[str, dict[str, str]] = {
        "ropes": {name: shelf.rope(name).digest} if name in shelf.ropes else {},
        "contacts": {key: item.digest for key, item in shelf.contacts.items()},
        "practices": {key: item.digest for key, item in shelf.practices.items()},
        "climates": {key: item.digest for key, item in shelf.climates.items()},
    }
    return [group[name] for label, group in groups.items() if kind in ("", label) and name in group]


def stale_line(result: Row, changes: list[str]) -> str:
    """The mark that stands at an old result, or an empty text."""
    if not changes:
        return ""
    return f"Out of date: since the result of {made(result)} {', '.join(changes)}. Run the study again."


def made(result: Row) -> str:
    """When a result was made, as people read it."""
    return str(result["stamp"]["made_at"]).replace("T", " ").removesuffix("Z") + " UTC"


def check_note(study: Study, case: Case, shelf: Shelf) -> str:
    """What `check` says of the newest result: none yet, up to date, or what has changed."""
    found = newest(study)
    if found is None:
        return "No result yet."
    changes = stale(study.root, found[1], case, shelf)
    if not changes:
        return f"Newest result: {found[0].name}, up to date."
    return f"Out of date: since {found[0].name} {', '.join(changes)}. Run the study again."
