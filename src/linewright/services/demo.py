"""The demo: a study folder with a scenario of our own."""

from __future__ import annotations

import os
from importlib import resources
from pathlib import Path

from linewright.base.errors import InputError, Problem, StorageError
from linewright.services.store import write_whole


def write_demo(folder: Path) -> bool:
    """Write the demo study into a folder; an existing case is kept. True if it was written now."""
    if _is_something_else(folder):
        raise InputError(
            f"{folder} is no folder.", [Problem(str(folder), "a file", "a folder, or a name that is still free")]
        )
    case = folder / "case.toml"
    if case.exists():
        return False
    if _holds_files(folder):
        raise InputError(
            f"{folder} is not empty and holds no study.",
            [
                Problem(
                    str(folder),
                    "other files",
                    "an empty folder, or a name that is still free",
                    "choose another folder with --into",
                )
            ],
        )
    shipped = resources.files("linewright.services") / "demo_study"
    for name in ("harbour-surge.csv", "case.toml"):  # the case last: with it the study is there
        write_whole(folder / name, (shipped / name).read_bytes())
    return True


def _is_something_else(folder: Path) -> bool:
    """Whether the name is taken by something that is no folder (a link that leads nowhere included)."""
    try:
        return os.path.lexists(folder) and not folder.is_dir()
    except (OSError, ValueError) as error:
        raise _unreadable(folder, error) from None


def _holds_files(folder: Path) -> bool:
    try:
        return folder.exists() and any(folder.iterdir())
    except OSError as error:
        raise _unreadable(folder, error) from None


def _unreadable(folder: Path, error: OSError | ValueError) -> StorageError:
    cause = getattr(error, "strerror", None) or str(error)
    return StorageError(
        f"{folder} cannot be read: {cause}.", [Problem(str(folder), cause, "a folder that may be read")]
    )
