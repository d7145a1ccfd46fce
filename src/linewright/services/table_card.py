"""A climate card of a study from a monthly table: one place of the table, what it does not say asked."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import tomlkit

from linewright.base.errors import InputError, Problem
from linewright.importers import climate_table
from linewright.importers.report import Imported, Log, Question
from linewright.services.card_files import cited, write_card, wrong_name
from linewright.services.study import open_study

KEYS = ("place", "latitude", "day_spread", "cloud")  # of the card's own questions
NOTE = """
Made of a monthly table. Longitude 0 makes the hours solar time; the wind is that of the table (wind_at_line 1), though
a mast at 10 m reads more than there is at the line; day_spread and what else the table does not say is the user's."""


def parted(answers: Mapping[str, str]) -> tuple[dict[str, str], dict[str, str]]:
    """Answers to the table's own questions, and those to the card's."""
    own = {key: value for key, value in answers.items() if key in KEYS}
    return {key: value for key, value in answers.items() if key not in KEYS}, own


def asked(found: Imported, answers: Mapping[str, str]) -> Imported:
    """The import of a monthly table with the card's open questions and answers. Raises InputError for another file."""
    if found.report.form != "climate-table":
        problem = Problem("--card", found.report.form, "a monthly climate table")
        raise InputError(f"{found.report.file} makes no climate card.", [problem])
    if found.report.is_open:
        return found
    log = Log(answers)
    _tables(found, log)
    unasked = [
        Problem(key, answers[key], "the key of a question of this table") for key in answers if key not in log.used
    ]
    if unasked and not log.questions:
        raise InputError("Answers that this table does not ask for.", unasked)
    said = {**found.report.answers, **log.used}
    return replace(found, report=replace(found.report, questions=tuple(log.questions), answers=said))


def _tables(found: Imported, log: Log) -> tuple[str, str, str] | None:
    """Place, TOML and CSV of the card, or None while a question is open."""
    places = tuple(found.content)
    place: str | None = places[0]
    if len(places) > 1:
        place = log.ask(Question("place", "Which place of the table is it?", places, f"it has {len(places)} places"))
    made = None if place is None else climate_table.card_tables(found, place, log)
    return None if place is None or made is None else (place, *made)


def check_name(study: Path, name: str) -> None:
    """Refuse a name that is no card's or is taken, before anything is asked. Raises InputError."""
    folder = open_study(study).root / "cards" / "climates"
    problems = wrong_name(name, folder / f"{name}.toml") or wrong_name(name, folder / f"{name}.csv")
    if problems:
        raise InputError("The card was not written.", problems)


def write(study: Path, name: str, file: Path, found: Imported) -> list[str]:
    """Write the card and its source into the study's cards, and say what it is. Raises InputError or StorageError.

    The import must have no open question; a card that is there is never replaced.
    """
    check_name(study, name)
    opened = open_study(study)
    cards, shelf = opened.root / "cards", opened.shelf()
    made = _tables(found, Log(found.report.answers))
    assert made is not None
    place, text, months = made
    digest = hashlib.sha256(file.read_bytes()).hexdigest()
    key, sources = cited(cards / "sources.toml", shelf.sources, file.name, digest)
    document = tomlkit.parse(text)
    document["title"] = f"{place or name}, monthly"
    document["months"], document["source"] = f"{name}.csv", key
    document["note"] = tomlkit.string(NOTE.strip(), multiline=True)
    target = cards / "climates" / f"{name}.toml"
    files = {target.with_suffix(".csv"): months.encode(), target: tomlkit.dumps(document).encode()}
    write_card({**files, **({cards / "sources.toml": sources} if sources else {})}, cards, target)
    return [
        f"Wrote {target}: twelve months of {place or file.name}.",
        "Its wind is the table's: at the line it is often less.",
        "Put into case.toml, in the berth that has this climate:",
        "",
        f'climate = "{name}"',
    ]
