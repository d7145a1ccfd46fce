"""A study: a folder with a case, its own cards, and results that are only ever added."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from linewright.base.errors import InputError, Problem
from linewright.cards.loader import load_shelf
from linewright.cards.model import Shelf
from linewright.case.form import read_case
from linewright.case.model import Case

__all__ = ["Study", "open_study", "read_case"]


@dataclass(frozen=True)
class Study:
    """A study folder and what it holds."""

    root: Path

    @property
    def case_file(self) -> Path:
        """The case."""
        return self.root / "case.toml"

    @property
    def results(self) -> Path:
        """Where results are kept."""
        return self.root / "results"

    def case(self) -> Case:
        """The case, checked. Raises InputError."""
        return read_case(self.case_file)

    def shelf(self) -> Shelf:
        """Shipped cards with the study's own on top. Raises CardError."""
        return load_shelf(self.root / "cards")


def open_study(root: Path) -> Study:
    """A study by its folder (or its case file). Raises InputError with what to do."""
    if root.is_file() and root.suffix == ".toml":
        root = root.parent
    if root.is_file():
        raise InputError(
            f"{root} is a file, not a study folder.",
            [Problem(str(root), "a file", "a folder with a case.toml")],
        )
    if not root.exists():
        hint = f"linewright demo --into {root} writes an example"
        raise InputError(
            f"There is no study at {root}.",
            [Problem(str(root), "nothing", "a folder with a case.toml", hint)],
        )
    study = Study(root)
    if not study.case_file.exists():
        raise InputError(
            f"The study {root} has no case.toml.",
            [Problem(str(root), "no case.toml", "a case file in the folder")],
        )
    return study
