"""Reads cards from the package and from a study's own folder, and checks every datum."""

from __future__ import annotations

import contextlib
import hashlib
import math
import os
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from linewright.base import form as base_form
from linewright.base import places, units
from linewright.base.data import Curve, Datum, Shape
from linewright.base.errors import CardError, Problem, StorageError
from linewright.base.nearest import nearest
from linewright.base.sources import Source
from linewright.cards import curves, tables
from linewright.cards import form as card_form
from linewright.cards.model import Card, Climate, Month, Shelf

SHIPPED = Path(__file__).parent
LEAST_WIND, MOST_WIND = 0.05, 3.0
FOLDERS = {
    "fibre": "fibres",
    "rope": "ropes",
    "contact": "contacts",
    "practice": "practices",
    "climate": "climates",
}


def load_shelf(own: Path | None = None) -> Shelf:
    """Every card of the package, with a study's own cards on top."""
    sources = _sources(SHIPPED / "sources.toml")
    cards: dict[str, dict[str, Any]] = {kind: {} for kind in FOLDERS}
    wrong: list[CardError] = []
    shadowed: set[tuple[str, str]] = set()
    for folder in (SHIPPED, *_own_folder(own)):
        if folder is not SHIPPED and (folder / "sources.toml").exists():
            sources = _with_own(sources, folder / "sources.toml")
        for kind, path in _files(folder):
            try:
                card = read_card(path, kind, sources)
            except CardError as error:
                wrong.append(error)
                continue
            if folder is not SHIPPED:
                card = replace(card, origin="own")
                shadowed |= {(kind, path.stem)} & {(kind, name) for name in cards[kind]}
            cards[kind][path.stem] = card
    if wrong:
        raise _together(wrong)
    _check_fibres(cards, own)
    return Shelf(
        cards["fibre"],
        cards["rope"],
        cards["contact"],
        cards["practice"],
        cards["climate"],
        sources,
        frozenset(shadowed),
    )


def _own_folder(own: Path | None) -> list[Path]:
    if own is None or not os.path.lexists(own):
        return []
    if not own.is_dir():
        raise StorageError(f"{own} is not a folder.", [Problem(str(own), "no folder", "a folder with cards, or none")])
    return [own]


def _together(wrong: list[CardError]) -> CardError:
    """One error with the problems of all cards."""
    if len(wrong) == 1:
        return wrong[0]
    return CardError(f"{len(wrong)} cards are wrong.", [problem for error in wrong for problem in error.problems])


def _files(folder: Path) -> Iterator[tuple[str, Path]]:
    for kind, name in FOLDERS.items():
        for path in sorted((folder / name).glob("*.toml")):
            yield kind, path


def _check_fibres(cards: Mapping[str, Mapping[str, Any]], own: Path | None) -> None:
    problems = [
        no_fibre((own or SHIPPED) / FOLDERS["rope"] / f"{name}.toml", rope.words["fibre"], cards["fibre"])
        for name, rope in cards["rope"].items()
        if rope.words["fibre"] not in cards["fibre"]
    ]
    if problems:
        raise CardError("A rope card names a fibre that is not there.", problems)


def no_fibre(path: Path, read: str, known: Iterable[str]) -> Problem:
    """The problem of a rope card that names a fibre that is not there."""
    found = places.lines_of(base_form.read_toml(path, "rope card", CardError)[0])
    names = sorted(known)
    near = nearest(read, names)
    hint = f"did you mean {near}?" if near else ""
    return Problem(_where(path, found, "fibre"), read, f"a fibre card: {', '.join(names)}", hint)


def read_sources(own: Path | None = None) -> dict[str, Source]:
    """The shipped sources with those of a folder's own sources.toml on top."""
    sources = _sources(SHIPPED / "sources.toml")
    if own is not None and (own / "sources.toml").exists():
        sources = _with_own(sources, own / "sources.toml")
    return sources


def _with_own(shipped: dict[str, Source], path: Path) -> dict[str, Source]:
    """Shipped sources and a folder's own; what a shipped source is stays what it is."""
    own = _sources(path)
    taken = sorted(key for key in set(own) & set(shipped) if own[key] != shipped[key])
    if taken:
        needs = "a key of its own: a shipped source keeps its title and how it was read"
        raise CardError(f"{path} redefines shipped sources.", [Problem(path.name, key, needs) for key in taken])
    return {**shipped, **own}


def _sources(path: Path) -> dict[str, Source]:
    text, raw = base_form.read_toml(path, "sources", CardError)
    found = places.lines_of(text)
    rows = {}
    for key, entry in raw.items():
        below = _from_line(text, places.line_of(found, (key,)))
        form = base_form.fill(card_form.SourceForm, entry, below, path.name, CardError)
        rows[key] = Source(key, form.title, form.year, form.seen, form.note, form.sha256)
    return rows


def _from_line(text: str, line: int) -> str:
    """The text below a table header, its line numbers kept, so that its keys stand at the top."""
    return "\n" * line + "\n".join(text.split("\n")[line:])


def read_card(path: Path, kind: str, sources: Mapping[str, Source]) -> Card | Climate:
    """One card from its TOML file. Raises CardError with every problem and its line."""
    text, raw = base_form.read_toml(path, f"{kind} card", CardError)
    try:
        filled = base_form.fill(card_form.FORMS[kind], raw, text, path.name, CardError)
    except CardError as error:
        raise _with_values(error, path, kind, (text, raw), sources) from None
    digest = _digest(text, path, filled)
    if isinstance(filled, card_form.ClimateForm):
        climate = _climate(filled, path, sources, (text, digest))
        return replace(climate, confidential=filled.confidential, sealed=bool(filled.seal))
    return _card(filled, path, (text, raw), sources, digest)


def _with_values(
    error: CardError, path: Path, kind: str, read: tuple[str, dict[str, Any]], sources: Mapping[str, Source]
) -> CardError:
    """The error of a form with what is wrong with the values of its other data, in the order of the file."""
    found, rows = places.lines_of(read[0]), read[1].get("data")
    problems = list(error.problems)
    for key, raw in rows.items() if isinstance(rows, dict) and kind != "climate" else ():
        typed = card_form.datum_or_none(raw)
        if typed is None or key not in card_form.data_form(kind).model_fields:
            continue
        try:
            _datum(key, typed, card_form.key_of(card_form.data_form(kind), key), path, sources, False)
        except units.UnitError as wrong:
            problems.append(Problem(_where(path, found, "data", key), wrong.read, wrong.needs, wrong.do))
    problems.sort(key=lambda problem: int((re.findall(r":(\d+)", problem.where) or ["0"])[0]))
    count = f"{len(problems)} problems" if len(problems) > 1 else "a problem"
    return CardError(f"{path.name} has {count}.", problems)


def _digest(text: str, path: Path, filled: Any) -> str:
    """A short digest of the card and of the tables it names: a changed curve is a changed card."""
    if isinstance(filled, card_form.ClimateForm):
        names = {filled.months} if filled.months else set()
    else:
        typed = (getattr(filled.data, key) for key in type(filled.data).model_fields)
        names = {datum.curve for datum in typed if datum is not None and datum.curve}
    whole = hashlib.sha256(text.encode())
    for name in sorted(names):
        with contextlib.suppress(units.UnitError):  # what is missing is said where the table is read
            whole.update(tables.table_text(path.parent / name).encode())
    return whole.hexdigest()[:12]


def _card(
    filled: Any, path: Path, read: tuple[str, dict[str, Any]], sources: Mapping[str, Source], digest: str
) -> Card:
    found = places.lines_of(read[0])
    data: dict[str, Datum] = {}
    problems: list[Problem] = []
    for key in type(filled.data).model_fields:
        typed = getattr(filled.data, key)
        if typed is None:
            continue
        where = _where(path, found, "data", key)
        try:
            data[key] = _datum(key, typed, card_form.key_of(type(filled.data), key), path, sources, filled.confidential)
        except units.UnitError as error:
            problems.append(Problem(where, error.read, error.needs, error.do))
    problems += _named_curve(filled, path, found) if isinstance(filled, card_form.RopeForm) else []
    if problems:
        raise CardError(f"The card {path.name} cannot be used.", problems)
    skip = {"data", "format", "title", "note", "kind", "confidential", "seal"}
    words = {name: str(value) for name, value in filled.model_dump().items() if name not in skip and value != ""}
    return Card(
        filled.kind,
        path.stem,
        filled.title,
        words,
        data,
        filled.note,
        digest,
        sealed=bool(filled.seal),
    )


def _named_curve(filled: card_form.RopeForm, path: Path, found: dict[places.Path, int]) -> list[Problem]:
    """What is wrong with the tension-fatigue curve that a rope card names."""
    name, known = filled.tension_curve, curves.all_curves()
    if not name:
        return []
    if name not in known:
        near = nearest(name, known)
        hint = f"did you mean {near}?" if near else ""
        return [Problem(_where(path, found, "tension_curve"), name, f"a curve: {', '.join(known)}", hint)]
    return [
        Problem(_where(path, found, "data", key), f"{key} beside tension_curve = {name!r}", "one of the two")
        for key in curves.KEYS
        if getattr(filled.data, key) is not None
    ]


def _datum(
    key: str,
    typed: card_form.DatumForm,
    meaning: card_form.Key,
    path: Path,
    sources: Mapping[str, Source],
    hidden: bool,
) -> Datum:
    if typed.source not in sources:
        raise units.UnitError(typed.source, "a source key of sources.toml", f"known: {', '.join(sources)}")
    if (typed.value is None) == (typed.curve is None):
        raise units.UnitError(str(typed.value), "either a value or a curve", "")
    curve = tables.read_curve(path.parent / typed.curve, meaning) if typed.curve else None
    value, low, high = _band(typed, meaning, curve)
    unit = units.split(typed.value)[1] if typed.value else ""
    shape = _shape(typed, meaning, low, max(curve.high) if curve else high)
    abscissa = tables.abscissa_kind(meaning) if meaning.over else meaning.kind
    tested = (units.parse(typed.tested[0], abscissa), units.parse(typed.tested[1], abscissa)) if typed.tested else None
    return Datum(
        key, meaning.kind, value, low, high, typed.basis, typed.source, typed.where, unit, shape, typed.doubt,
        curve, tested, typed.confidential or hidden, path.stem,
    )  # fmt: skip


def _band(typed: card_form.DatumForm, meaning: card_form.Key, curve: Curve | None) -> tuple[float, float, float]:
    if curve is not None:
        middle = len(curve.points) // 2
        return curve.value[middle], curve.low[middle], curve.high[middle]
    value = units.parse(str(typed.value), meaning.kind)
    low = units.parse(typed.low, meaning.kind) if typed.low else value
    high = units.parse(typed.high, meaning.kind) if typed.high else value
    if not low <= value <= high:
        raise units.UnitError(f"{typed.low} {typed.value} {typed.high}", "low, value and high in this order", "")
    outside = not (meaning.least <= low and high <= meaning.most)
    if outside and not typed.outside_because:
        span = f"{meaning.least:g} to {meaning.most:g} {units.KINDS[meaning.kind].si}".rstrip()
        raise units.UnitError(
            f"{typed.low or typed.value} to {typed.high or typed.value}",
            f"a plausible value, {span}",
            "or say why in outside_because",
        )
    return value, low, high


def _shape(typed: card_form.DatumForm, meaning: card_form.Key, low: float, high: float) -> Shape:
    if low == high and typed.curve is None:
        return "fixed"
    if typed.shape:
        return typed.shape
    if meaning.kind in ("temperature", "temperature_difference") or low <= 0.0:
        return "normal"
    return "logit" if meaning.kind == "fraction" and meaning.most <= 1.0 and high < 1.0 else "lognormal"


def _climate(
    filled: card_form.ClimateForm, path: Path, sources: Mapping[str, Source], read: tuple[str, str]
) -> Climate:
    text, digest = read
    found = places.lines_of(text)
    problems: list[Problem] = []
    angles = {}
    if filled.source not in sources:
        problems.append(Problem(_where(path, found, "source"), filled.source, "a source key of sources.toml"))
    for key in ("latitude", "longitude"):
        try:
            angles[key] = units.parse(getattr(filled, key), "angle")
            if abs(angles[key]) > (math.pi if key == "longitude" else math.pi / 2.0) + 1e-9:
                raise units.UnitError(getattr(filled, key), f"a {key} on the globe")
        except units.UnitError as error:
            problems.append(Problem(_where(path, found, key), error.read, error.needs, error.do))
    months: tuple[Month, ...] = ()
    wind = 1.0
    try:
        wind = units.parse(filled.wind_at_line, "fraction")
        if not LEAST_WIND <= wind <= MOST_WIND:
            raise units.UnitError(
                filled.wind_at_line, f"wind at the line over the table's, {LEAST_WIND} to {MOST_WIND}"
            )
        months = tables.read_months(path.parent / filled.months) if filled.months else ()
    except units.UnitError as error:
        key = "wind_at_line" if error.read == filled.wind_at_line else "months"
        problems.append(Problem(_where(path, found, key), error.read, error.needs, error.do))
    if (filled.months is None) == (filled.hourly is None):
        problems.append(
            Problem(
                _where(path, found, "hourly") if filled.hourly else f"{path.name}  months, hourly",
                "both months and hourly" if filled.months else "neither months nor hourly",
                "a monthly table or a file of hours",
            )
        )
    if problems:
        raise CardError(f"The card {path.name} cannot be used.", problems)
    return Climate(path.stem, filled.title, angles["latitude"], angles["longitude"], months, filled.basis,
                   filled.source, filled.where, filled.note, digest, filled.hourly or "", wind)  # fmt: skip


def _where(path: Path, found: dict[places.Path, int], *key: str) -> str:
    return f"{path.name}:{places.line_of(found, key)}  {key[-1]}"
