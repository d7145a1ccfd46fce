"""A study: a folder with a case, its own cards, and results that are only ever added."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from linewright.base import form as base_form
from linewright.base import places
from linewright.base.errors import InputError, Problem, StorageError
from linewright.base.nearest import nearest
from linewright.cards.loader import load_shelf
from linewright.cards.model import Shelf
from linewright.case.form import case_of, read_case
from linewright.case.model import Case, ContactUse, LineGroup
from linewright.services.program import command

__all__ = ["Study", "open_study", "read_case"]

CASE_NAME = "case.toml"
Place = Callable[[places.Path], str]


@dataclass(frozen=True)
class Study:
    """A study folder and what it holds."""

    root: Path

    @property
    def case_file(self) -> Path:
        """The case."""
        return self.root / CASE_NAME

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

    def read(self) -> tuple[Case, Shelf]:
        """Case and cards, checked against each other. Raises InputError or CardError with every problem."""
        text, raw = base_form.read_toml(self.case_file, "case")
        case, shelf = case_of(text, raw, self.case_file), self.shelf()
        found, name = places.lines_of(text), str(self.case_file)
        problems = misfits(case, shelf, lambda path: f"{places.at(name, found, path)}  {places.spell(path, raw)}")
        if problems:
            count = f"{len(problems)} problems" if len(problems) > 1 else "a problem"
            raise InputError(f"{name} has {count} with the cards it names.", problems)
        return case, shelf


def open_study(root: Path) -> Study:
    """A study by its folder (or its case file). Raises InputError or StorageError with what to do."""
    try:
        return _opened(root)
    except (OSError, ValueError) as error:
        cause = getattr(error, "strerror", None) or str(error)
        problem = Problem(str(root), cause, "a folder with a case.toml that may be read")
        raise StorageError(f"{root} cannot be read: {cause}.", [problem]) from None


def _opened(root: Path) -> Study:
    if root.is_file() and root.name == CASE_NAME:
        root = root.parent
    if os.path.lexists(root) and not root.is_dir():
        read = "a file" if root.is_file() else "not a folder"
        raise InputError(
            f"{root} is {read}, not a study folder.",
            [Problem(str(root), read, "a folder with a case.toml", f"call the file {CASE_NAME}")],
        )
    if not root.exists():
        hint = starts(root)
        raise InputError(
            f"There is no study at {root}.",
            [Problem(str(root), "nothing", "a folder with a case.toml", hint)],
        )
    study = Study(root)
    if not os.path.lexists(study.case_file):
        raise InputError(
            f"The study {root} has no case.toml.",
            [Problem(str(root), "no case.toml", "a case file in the folder", starts(root))],
        )
    return study


def starts(root: Path) -> str:
    """The two commands that begin a study in a folder."""
    return f"{command('new', root)} asks for your own case; {command('demo', '--into', root)} writes an example"


def misfits(case: Case, shelf: Shelf, place: Place) -> list[Problem]:
    """Cards that a case names and the shelf lacks, and bends tighter than the rope on board is thick."""
    rows: list[Problem | None] = []
    for number, line in enumerate(case.lines):
        path: places.Path = ("line", number)
        rows.append(_card(place, (*path, "rope"), line.rope, shelf.ropes, "rope"))
        rows.append(_card(place, (*path, "practice"), line.practice, shelf.practices, "practice"))
        if line.tail is not None:
            rows.append(_card(place, (*path, "tail", "rope"), line.tail.rope, shelf.ropes, "rope"))
        for index, use in enumerate(line.contacts):
            spot = (*path, "contact", index)
            rows.append(_card(place, (*spot, "card"), use.card, shelf.contacts, "contact"))
            rows.append(_bend(place, spot, shelf, line, use))
    for number, berth in enumerate(case.berths):
        rows.append(_card(place, ("berth", number, "climate"), berth.climate, shelf.climates, "climate"))
    for number, compared in enumerate(case.compared):
        rows.append(_card(place, ("compare", number, "rope"), compared.rope, shelf.ropes, "rope"))
    return [row for row in rows if row is not None]


def _card(place: Place, path: places.Path, name: str, shelf: Mapping[str, object], what: str) -> Problem | None:
    if name in shelf:
        return None
    near = nearest(name, shelf)
    hint = f"did you mean {near}?" if near else "name one of these, or put the card into the study's cards folder"
    return Problem(place(path), f'"{name}"', f"a {what} card: {', '.join(sorted(shelf))}", hint)


def _bend(place: Place, path: places.Path, shelf: Shelf, line: LineGroup, use: ContactUse) -> Problem | None:
    """A bend radius below half the diameter of the rope on board is a slip of the pen, not a chock."""
    if line.rope not in shelf.ropes or use.card not in shelf.contacts:
        return None
    radius = {**shelf.contacts[use.card].data, **use.data}.get("bend_radius")
    diameter = {**shelf.rope(line.rope).data, **line.rope_data}.get("diameter")
    if radius is None or diameter is None or 2.0 * radius.value >= diameter.value:
        return None
    ratio = 2.0 * radius.value / diameter.value
    read = f"{1e3 * radius.value:.4g} mm, which makes D/d {ratio:.2g} with a rope of {1e3 * diameter.value:.4g} mm"
    needs = f"D/d of 1 or more: a bend radius of at least {500.0 * diameter.value:.4g} mm"
    return Problem(place((*path, "bend_radius")), read, needs, "give the radius of the steel, not of its edge")
