"""Cards on the screen: which there are, what one says, what is wrong with one, where two differ."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from linewright.base import form as base_form
from linewright.base import places, units
from linewright.base.data import Curve, Datum
from linewright.base.errors import CardError, InputError, Problem
from linewright.base.nearest import nearest
from linewright.base.sources import BASES, Source
from linewright.cards import loader
from linewright.cards.form import FORMS
from linewright.cards.model import Card, Climate, Shelf
from linewright.services.study import open_study

Row = dict[str, Any]
Cells = tuple[str, ...]
MARK = "*"
DIGITS = 6
WORDS = {"True": "yes", "False": "no"}


def shelf_of(study: Path | None) -> Shelf:
    """The shipped cards, with a study's own on top if one is named."""
    return open_study(study).shelf() if study is not None else loader.load_shelf()


def find(shelf: Shelf, name: str) -> list[tuple[str, Card | Climate]]:
    """Every card of a name with its kind. Raises InputError with the nearest name."""
    found = [(kind, cards[name]) for kind, cards in shelf.kinds().items() if name in cards]
    if found:
        return found
    known = sorted({other for cards in shelf.kinds().values() for other in cards})
    near = nearest(name, known)
    hint = f"did you mean {near}?" if near else "linewright cards list STUDY names them all"
    raise InputError(f"There is no card {name}.", [Problem(name, "nothing", "the name of a card", hint)])


def in_columns(rows: Sequence[Cells]) -> list[str]:
    """Rows as text lines with aligned columns."""
    widths = [max(len(cell) for cell in column) for column in zip(*rows, strict=True)]
    return ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]


def listed(shelf: Shelf) -> list[Row]:
    """Every card: kind, name, title, whose, weakest basis, whether it is confidential or shadows a shipped one."""
    return [
        {
            "kind": kind,
            "name": name,
            "title": card.title,
            "origin": card.origin,
            "shadows": (kind, name) in shelf.shadowed,
            "weakest": _weakest(card),
            "confidential": _is_confidential(card),
        }
        for kind, cards in shelf.kinds().items()
        for name, card in sorted(cards.items())
    ]


def list_lines(shelf: Shelf) -> list[str]:
    """All cards as a table."""
    rows: list[Cells] = [("kind", "name", "card", "weakest basis", "title")]
    for row in listed(shelf):
        whose = row["origin"] + (", in the place of the shipped one" if row["shadows"] else "")
        whose += ", confidential" if row["confidential"] else ""
        rows.append((row["kind"], row["name"], whose, row["weakest"], row["title"]))
    return in_columns(rows)


def _weakest(card: Card | Climate) -> str:
    bases = [card.basis] if isinstance(card, Climate) else [datum.basis for datum in card.data.values()]
    return max(bases, key=[str(basis) for basis in BASES].index, default="no data")


def _is_confidential(card: Card | Climate) -> bool:
    if isinstance(card, Climate):
        return card.confidential
    return any(datum.confidential for datum in card.data.values())


def shown(datum: Datum, sources: Mapping[str, Source]) -> Row:
    """One datum: value and band as text, basis, the layer it comes from, source, how that was read, place."""
    source = sources.get(datum.source)
    return {
        "key": datum.key,
        "value": _value(datum),
        "band": _band(datum),
        "basis": datum.basis,
        "layer": datum.owner,
        "source": datum.source,
        "source_title": source.title if source else "",
        "read": source.mark if source else "",
        "where": datum.where,
        "confidential": datum.confidential,
        "points": _points(datum),
    }


def _value(datum: Datum) -> str:
    if datum.curve is not None:
        return f"curve over {datum.curve.over}"
    return units.show(datum.value, datum.kind, datum.unit, DIGITS)


def _band(datum: Datum) -> str:
    if datum.curve is not None or not datum.has_band:
        return ""
    return " to ".join(units.show(part, datum.kind, datum.unit, DIGITS) for part in (datum.low, datum.high))


def _points(datum: Datum) -> list[Row]:
    """The rows of a curve."""
    curve = datum.curve
    if curve is None:
        return []
    columns = zip(curve.points, curve.value, curve.low, curve.high, strict=True)
    return [
        {"at": _at(curve, point), "value": f"{value:.4g}", "band": f"{low:.4g} to {high:.4g}"}
        for point, value, low, high in columns
    ]


def _at(curve: Curve, point: float) -> str:
    if curve.over == "temperature":
        return f"at {units.show(point, 'temperature', 'degC')}"
    return f"at D/d {point:g}" if curve.over == "ratio" else f"at {point:g}"


def layered(shelf: Shelf, kind: str, name: str) -> Card:
    """A card with what lies under it: a rope on its fibre; the nearer layer wins."""
    found = shelf.rope(name) if kind == "rope" else shelf.kinds()[kind][name]
    assert isinstance(found, Card)
    return found


def show_lines(shelf: Shelf, name: str) -> list[str]:
    """One card (every kind that has one of this name) as tables."""
    parts = []
    for kind, card in find(shelf, name):
        lines = _climate_lines(card, shelf) if isinstance(card, Climate) else _card_lines(shelf, kind, name)
        parts += [*lines, ""]
    return parts[:-1]


def _head(shelf: Shelf, kind: str, card: Card | Climate) -> list[str]:
    whose = card.origin + (", in the place of the shipped one" if (kind, card.name) in shelf.shadowed else "")
    note = [f"  {line.strip()}" for line in card.note.strip().splitlines()]
    return [card.title, f"{kind} card {card.name}, {whose}, digest {card.digest[:12]}", *note]


def _card_lines(shelf: Shelf, kind: str, name: str) -> list[str]:
    card = layered(shelf, kind, name)
    own = shelf.kinds()[kind][name]
    rows = [shown(datum, shelf.sources) for datum in _in_order(card)]
    table: list[Cells] = [("datum", "value", "5 to 95 %", "basis", "layer", "source", "where")]
    for row in rows:
        basis = row["basis"] + (", confidential" if row["confidential"] else "")
        source = row["source"] + (MARK if row["read"] else "")
        table.append((row["key"], row["value"], row["band"], basis, row["layer"], source, row["where"]))
        table += [(f"  {point['at']}", point["value"], point["band"], "", "", "", "") for point in row["points"]]
    words = [f"  {key.replace('_', ' ')}: {WORDS.get(value, value)}" for key, value in card.words.items()]
    return [*_head(shelf, kind, own), *words, "", *in_columns(table), "", *_source_lines(rows)]


def _in_order(card: Card) -> list[Datum]:
    """The rope's or fitting's own data first, then those of the layer below."""
    return sorted(card.data.values(), key=lambda datum: datum.owner != card.name)


def _source_lines(rows: Sequence[Row]) -> list[str]:
    cited = {row["source"]: (row["source_title"], row["read"]) for row in rows}
    table: list[Cells] = [("source", "title", "read")]
    for key, (title, mark) in sorted(cited.items()):
        table.append((key + (MARK if mark else ""), title, mark or "in full, or own work"))
    marked = any(mark for _, mark in cited.values())
    return [*in_columns(table), *([f"{MARK} not read in full"] if marked else [])]


def _climate_lines(card: Climate, shelf: Shelf) -> list[str]:
    source = shelf.sources[card.source]
    place = ", ".join(units.show(angle, "angle", "deg") for angle in (card.latitude, card.longitude))
    row = {"source": card.source, "source_title": source.title, "read": source.mark}
    words = [f"  latitude, longitude: {place}", f"  basis: {card.basis}", f"  where: {card.where}"]
    table: list[Cells] = [("month", "air low", "air high", "day spread", "dew point", "wind", "cloud")]
    for number, month in enumerate(card.months, start=1):
        air = [units.show(value, "temperature", "degC", 3) for value in (month.air_low, month.air_high)]
        dew = units.show(month.dew_point, "temperature", "degC", 3)
        wind, cloud = units.show(month.wind, "speed", "m/s"), f"{100 * month.cloud:.0f} %"
        table.append((str(number), *air, f"{month.day_spread:.3g} K", dew, wind, cloud))
    months = in_columns(table) if card.months else [f"hour by hour: {card.hourly}"]
    return [*_head(shelf, "climate", card), *words, "", *months, "", *_source_lines([row])]


def differing(shelf: Shelf, one: str, other: str) -> list[Row]:
    """Data that differ between two cards of a kind: key, and value, band, basis and source of both (or None)."""
    kind = _common_kind(shelf, one, other)
    first, second = layered(shelf, kind, one), layered(shelf, kind, other)
    rows = []
    for key in dict.fromkeys([*first.data, *second.data]):
        a, b = first.data.get(key), second.data.get(key)
        if a is None or b is None or _facts(a) != _facts(b):
            pair = [shown(datum, shelf.sources) if datum is not None else None for datum in (a, b)]
            rows.append({"key": key, "one": pair[0], "other": pair[1]})
    return rows


def _facts(datum: Datum) -> tuple[Any, ...]:
    return (datum.value, datum.low, datum.high, datum.curve, datum.basis)


def _common_kind(shelf: Shelf, one: str, other: str) -> str:
    kinds = [[kind for kind, card in find(shelf, name) if isinstance(card, Card)] for name in (one, other)]
    for name, found in zip((one, other), kinds, strict=True):
        if not found:
            problem = Problem(name, "a climate card", "a fibre, rope, contact or practice card")
            raise InputError("A climate card has no data to put side by side.", [problem])
    common = [kind for kind in kinds[0] if kind in kinds[1]]
    if not common:
        read = f"a {kinds[0][0]} card and a {kinds[1][0]} card"
        raise InputError("Two cards of different kinds have no keys in common.",
                         [Problem(f"{one}, {other}", read, "two cards of one kind")])  # fmt: skip
    return common[0]


def diff_lines(shelf: Shelf, one: str, other: str) -> list[str]:
    """Two cards side by side, only what differs."""
    kind = _common_kind(shelf, one, other)
    words = [dict(layered(shelf, kind, name).words) for name in (one, other)]
    table: list[Cells] = [("datum", one, "basis", other, "basis")]
    for key in dict.fromkeys([*words[0], *words[1]]):
        pair = [row.get(key, "not given") for row in words]
        if pair[0] != pair[1]:
            table.append((key, pair[0], "", pair[1], ""))
    for row in differing(shelf, one, other):
        table.append((row["key"], *_side(row["one"]), *_side(row["other"])))
        table += _curve_rows(row)
    if len(table) == 1:
        return [f"{one} and {other} say the same."]
    return in_columns(table)


def _side(row: Row | None) -> Cells:
    if row is None:
        return "not given", ""
    band = f" ({row['band']})" if row["band"] else ""
    return row["value"] + band, row["basis"] + (", confidential" if row["confidential"] else "")


def _curve_rows(row: Row) -> list[Cells]:
    """Points of curves that differ."""
    sides = [
        {point["at"]: f"{point['value']} ({point['band']})" for point in side["points"]} if side else {}
        for side in (row["one"], row["other"])
    ]
    points = dict.fromkeys([*sides[0], *sides[1]])
    pairs = [(at, sides[0].get(at, ""), sides[1].get(at, "")) for at in points]
    return [(f"  {at}", one, "", other, "") for at, one, other in pairs if one != other]


def check_lines(path: Path) -> list[str]:
    """Check one card file, or all own cards of a study. Raises CardError with everything that is wrong."""
    if path.suffix == ".toml" and path.name not in ("case.toml", "sources.toml") and not path.is_dir():
        card = check_file(path)
        return [f"{path.name}: {card.title}. No problems found."]
    study = open_study(path.parent.parent if path.name == "sources.toml" else path)
    shelf = study.shelf()
    stray = _stray(study.root / "cards")
    if stray:
        raise CardError("Files under cards/ are not read where they lie.", stray)
    own = sum(card.origin == "own" for cards in shelf.kinds().values() for card in cards.values())
    rows = [f"{own} own card{'' if own == 1 else 's'} under {study.root / 'cards'}. No problems found."]
    return rows + [f"{kind} {name} takes the place of the shipped card." for kind, name in sorted(shelf.shadowed)]


def check_file(path: Path) -> Card | Climate:
    """One card of any kind, with the sources and fibres beside it. Raises CardError with every problem."""
    text, raw = base_form.read_toml(path, "card", CardError)
    kind = raw.get("kind")
    if kind not in FORMS:
        where = places.at(path.name, places.lines_of(text), ("kind",))
        read = "nothing" if kind is None else base_form.shown(kind)
        needs = f"one of {', '.join(FORMS)}"
        raise CardError(f"{path} does not say which card it is.", [Problem(f"{where}  kind", read, needs)])
    own = path.resolve().parent.parent
    card = loader.read_card(path, kind, loader.read_sources(own))
    if isinstance(card, Card) and kind == "rope":
        folders = (loader.SHIPPED / "fibres", own / "fibres")
        known = [file.stem for folder in folders for file in folder.glob("*.toml")]
        if card.words["fibre"] not in known:
            problem = loader.no_fibre(path, card.words["fibre"], known)
            raise CardError("A rope card names a fibre that is not there.", [problem])
    return card


def _stray(cards: Path) -> list[Problem]:
    """TOML files that lie where no card is looked for."""
    folders = {cards / name for name in loader.FOLDERS.values()}
    files = sorted(cards.rglob("*.toml")) if cards.is_dir() else []
    needs = f"one of the folders {', '.join(loader.FOLDERS.values())}"
    return [
        Problem(str(path.relative_to(cards.parent)), "a file that is not read", needs, "move it there")
        for path in files
        if path != cards / "sources.toml" and path.parent not in folders
    ]
