"""A card of one's own: a copy of another card with the values of a certificate, its source noted."""

from __future__ import annotations

import difflib
import hashlib
import re
import secrets
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, cast

import tomlkit
from tomlkit.items import InlineTable, Table

from linewright.base import units
from linewright.base.errors import InputError, Problem
from linewright.base.form import Strict
from linewright.cards.form import data_form, key_of
from linewright.cards.model import Card, Climate, Shelf
from linewright.services.card_files import cited, folder_of, start_of, write_card, wrong_name, wrong_texts
from linewright.services.cards import find
from linewright.services.own_climate import new_climate
from linewright.services.study import open_study

SHORT = {
    "ldbf": "design_break_force",
    "mbl": "design_break_force",
    "mass": "mass_per_length",
    "weight": "mass_per_length",
    "tcll": "thousand_cycle_load_level",
    "angled-endurance": "angled_endurance_cycles",
}
SQUARE = ("design_break_force", "mass_per_length")
SCALED = "times the square of the diameter's ratio"


@dataclass(frozen=True)
class Certificate:
    """What a certificate says: KEY=VALUE texts, its file name, the page, whether the values are confidential."""

    values: Sequence[str] = ()
    source: str = ""
    page: str = ""
    confidential: bool = False

    @property
    def where(self) -> str:
        """The page in words."""
        return f"page {self.page}" if self.page else ""

    @property
    def file(self) -> Path:
        """The certificate's file, which may be elsewhere."""
        return Path(self.source.strip())

    @property
    def digest(self) -> str:
        """SHA-256 of the file; empty where it is not there to be read."""
        try:
            return hashlib.sha256(self.file.read_bytes()).hexdigest() if self.file.is_file() else ""
        except OSError:
            return ""


@dataclass(frozen=True)
class Given:
    """One value of a certificate: SI value, its text, and words on how it was tested."""

    value: float
    text: str
    words: str


def new_card(root: Path, name: str, base: str, certificate: Certificate, shift: str = "") -> list[str]:
    """Write an own card into a study and say what to put into its case. Raises InputError; never overwrites.

    `shift` moves the air of a climate card.
    """
    study = open_study(root)
    shelf = study.shelf()
    kind, card = find(shelf, base)[0]
    if isinstance(card, Climate):
        _refuse_values(base, certificate)
        return new_climate(study.root / "cards", name, card, shift, certificate.confidential)
    if shift:
        raise InputError("The card was not written.", [Problem("--shift", shift, "a climate card: it moves its air")])
    return _certified(study.root / "cards", name, (kind, card), shelf, certificate)


def _refuse_values(base: str, certificate: Certificate) -> None:
    given = [*_valued(certificate), ("--source", certificate.source), ("--page", certificate.page)]
    needs, do = f"nothing: {base} is a climate card", "change the copy: its months stand in the CSV beside it"
    problems = [Problem(option, said, needs, do) for option, said in given if said]
    if problems:
        raise InputError("A climate card is not made from a certificate.", problems)


def _certified(cards: Path, name: str, based: tuple[str, Card], shelf: Shelf, certificate: Certificate) -> list[str]:
    """A card with the values of a certificate."""
    kind, card = based
    folder = folder_of(cards, kind)
    target = folder / f"{name}.toml"
    given = read_values(certificate, kind)
    _check(name, target, certificate, given)
    start = start_of(card, kind, cards)
    text = (start / f"{card.name}.toml").read_text(encoding="utf-8")
    key, sources = "", b""
    if certificate.values and certificate.file.name:
        key, sources = cited(cards / "sources.toml", shelf.sources, certificate.file.name, certificate.digest)
    document, tables = _filled(text, (name, card), (given, key, certificate), (start, folder))
    files = {folder / other: content for other, content in tables.items()}
    if sources:
        files[cards / "sources.toml"] = sources
    files[target] = document.encode()
    write_card(files, cards, target)
    under = shelf.rope(card.name) if kind == "rope" else card
    exact = [datum for datum in given if datum in under.data and under.data[datum].has_band]
    return [_written(target, given), *_doubts(certificate, given, exact), *_use(kind, name)]


def read_values(certificate: Certificate, kind: str = "rope") -> dict[str, Given]:
    """The values of a certificate by card key. Raises InputError with every one that cannot be used."""
    form = data_form(kind)
    given: dict[str, Given] = {}
    problems: list[Problem] = []
    for text in certificate.values:
        short, _, rest = (part.strip() for part in text.partition("="))
        value, _, words = (part.strip() for part in rest.partition(";"))
        key = SHORT.get(short.lower(), short.replace("-", "_"))
        try:
            if key in given:
                raise units.UnitError(text, f"each value once, {key} is given twice")
            given[key] = Given(_plausible(form, key, value), value, words)
        except units.UnitError as error:
            problems.append(Problem(f"--value {short}", error.read, error.needs, error.do))
    if problems:
        raise InputError("Values of the certificate cannot be used.", problems)
    return given


def _plausible(form: type[Strict], key: str, text: str) -> float:
    if key not in form.model_fields:
        known = [*SHORT, *form.model_fields]
        near = difflib.get_close_matches(key, known, n=1, cutoff=0.7)
        shorts = ", ".join([*SHORT, "diameter"])
        hint = f"did you mean {near[0]}?" if near else f"of a certificate: {shorts}; all: linewright cards show"
        raise units.UnitError(key, "a key of this kind of card", hint)
    meaning = key_of(form, key)
    if meaning.over:
        raise units.UnitError(text or "nothing", "a curve, which is a CSV beside the card", "write it into the card")
    value = units.parse(text, meaning.kind)
    if not meaning.least <= value <= meaning.most:
        span = f"{meaning.least:g} to {meaning.most:g} {units.KINDS[meaning.kind].si}".rstrip()
        do = "if it is right, write it into the card with outside_because"
        raise units.UnitError(text, f"a plausible value, {span}", do)
    return value


def _check(name: str, target: Path, certificate: Certificate, given: Mapping[str, Given]) -> None:
    problems = wrong_texts((("--source", certificate.source), ("--page", certificate.page), *_valued(certificate)))
    problems += wrong_name(name, target)
    if given and not certificate.file.name:
        needs = 'the file name of the certificate, e.g. --source "certificate.pdf" --page 3'
        problems.append(Problem("--source", "nothing", needs, "a value without a source is refused"))
    if problems:
        raise InputError("The card was not written.", problems)


def _valued(certificate: Certificate) -> list[tuple[str, str]]:
    return [("--value", text) for text in certificate.values]


def _filled(
    text: str, named: tuple[str, Card], said: tuple[Mapping[str, Given], str, Certificate], folders: tuple[Path, Path]
) -> tuple[str, dict[str, bytes]]:
    """The card's text with the certificate's values, and the CSV tables that it names."""
    (name, card), (given, key, certificate) = named, said
    document = tomlkit.parse(text)
    data = cast(Table, document["data"])
    for datum, value in given.items():
        data[datum] = _datum(value, key, certificate)
    _scale(data, card, given, certificate.confidential)
    document["title"] = _title(card, name, given, certificate.confidential)
    if given and certificate.confidential:
        seal = tomlkit.string(secrets.token_hex(16))
        document["seal"] = seal.comment("random: keeps the values from being guessed from the card's digest")
    if given:
        document["note"] = f"Copied from {card.name}; the certificate's values are measured, all else is that card's."
    head = [f"# An own card, copied from {card.name}."]
    if given:
        page = f", {certificate.where}" if certificate.where else ""
        head += [f"# From {certificate.file.name}{page}: {', '.join(given)}."]
    head += ["# What you know better goes in as: value with unit, low and high (5 % and 95 %), basis, source, where."]
    tables = _tables(data, name, *folders)
    return "\n".join([*head, tomlkit.dumps(document)]), tables


def _datum(value: Given, key: str, certificate: Certificate) -> InlineTable:
    where = "; ".join(part for part in (certificate.where, value.words) if part)
    rows = {"value": value.text, "basis": "measured", "source": key, "where": where or "certificate"}
    return _inline({**rows, **({"confidential": True} if certificate.confidential else {})})


def _inline(rows: Mapping[str, Any]) -> InlineTable:
    table = tomlkit.inline_table()
    table.update(rows)
    return table


def _scale(data: Table, card: Card, given: Mapping[str, Given], confidential: bool) -> None:
    """With a new diameter, break force and mass that the certificate does not say follow by the square."""
    if "diameter" not in given or "diameter" not in card.data:
        return
    square = (given["diameter"].value / card.data["diameter"].value) ** 2
    for key in SQUARE:
        if key in card.data and key not in given:
            row = dict(data[key].unwrap())
            for part in ("value", "low", "high"):
                if part in row:
                    number, unit = units.split(row[part])
                    row[part] = f"{number * square:.4g} {unit}"
            row.update(basis="derived", where=f"{row.get('where', '')}; {SCALED}".lstrip("; "))
            if confidential or card.data["diameter"].confidential:
                row["confidential"] = True
            data[key] = _inline(row)


def _title(card: Card, name: str, given: Mapping[str, Given], confidential: bool) -> str:
    """The base's title with the card's own name, and with the size unless it is confidential."""
    bare = re.sub(r", [\d.]+ mm$", "", card.title)
    if card.kind != "rope" or (confidential and "diameter" in given):
        return f"{bare}, {name}"
    diameter = given["diameter"].value if "diameter" in given else card.data["diameter"].value
    return f"{bare}, {name}, {1000.0 * diameter:.0f} mm"


def _tables(data: Table, name: str, start: Path, folder: Path) -> dict[str, bytes]:
    """The CSV tables that the card names; one whose name is taken by another table gets the card's name."""
    tables: dict[str, bytes] = {}
    for key in list(data):
        row = data[key].unwrap()
        if not isinstance(row, dict) or "curve" not in row:
            continue
        content, target = (start / row["curve"]).read_bytes(), row["curve"]
        if (folder / target).exists() and (folder / target).read_bytes() != content:
            target = f"{name}-{target}"
            data[key] = _inline({**row, "curve": target})
        if not (folder / target).exists():
            tables[target] = content
    return tables


def _written(target: Path, given: Mapping[str, Given]) -> str:
    what = ", ".join(f"{key} {value.text}" for key, value in given.items()) or "a copy; no value of a certificate yet"
    return f"Wrote {target}: {what}."


def _doubts(certificate: Certificate, given: Mapping[str, Given], exact: Sequence[str]) -> list[str]:
    """What must be known of the values: a file that is not there, no band, that they are confidential."""
    rows = []
    if given and not certificate.digest:
        rows.append(f"{certificate.file.name} not found: no digest; the source is marked as not read.")
    if exact:
        rows.append(f"{', '.join(exact)}: no band given: taken as exact (the card takes low and high, 5 % and 95 %).")
    if given and certificate.confidential:
        rows.append("Its values are confidential: used and shown here, withheld from what is made --for client.")
    return rows


def _use(kind: str, name: str) -> list[str]:
    """How a case names the card."""
    if kind != "rope":
        return [f'Name it in case.toml where a {kind} card stands: "{name}".']
    return [
        "Put into case.toml, for the line that has this rope (a diameter, mass_per_length or design_break_force",
        "that stands there wins over the card: take it out), or to compare it with the rope on board:",
        "",
        f'rope = "{name}"',
        "[[compare]]",
        f'rope = "{name}"',
    ]
