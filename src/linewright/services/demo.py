"""The demo: a study folder with a scenario of our own."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

from linewright.base.errors import InputError, Problem
from linewright.services.store import write_whole


def write_demo(folder: Path) -> bool:
    """Write the demo study into a folder; an existing case is kept. True if it was written now."""
    if folder.exists() and not folder.is_dir():
        raise InputError(
            f"{folder} is a file.", [Problem(str(folder), "a file", "a folder, or a name that is still free")]
        )
    case = folder / "case.toml"
    if case.exists():
        return False
    if folder.exists() and any(folder.iterdir()):
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
    write_whole(case, (resources.files("linewright.services") / "demo_study" / "case.toml").read_bytes())
    return True
