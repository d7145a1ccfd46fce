"""What a result rests on: every datum used, by value."""

from __future__ import annotations

from typing import Any

from linewright.assessment.line import LineResult
from linewright.assessment.whole import Whole
from linewright.base.data import Datum
from linewright.base.units import factor_and_offset
from linewright.cards.model import Card, Climate, Shelf
from linewright.services.overruled import overruled

Row = dict[str, Any]


def lines_of(whole: Whole) -> list[LineResult]:
    """Every line result of every rope, tails included."""
    rows: list[LineResult] = []
    for rope in whole.ropes:
        rows += [*rope.lines, *(tail for tail in rope.tails if tail is not None)]
    return rows


def used_rows(whole: Whole) -> list[Row]:
    """Every datum that the run used, once, and every confidential one that its texts may name."""
    rows: dict[tuple[str, str], Row] = {}
    for line in lines_of(whole):
        data = line.setup.subject.data
        for datum in (*(data[key] for key in line.used), *hidden(line)):
            rows.setdefault((datum.owner, datum.key), used_row(whole.shelf, datum))
    lost = (own for item in overruled(whole.case, whole.shelf) for _, own in item.pairs if own.confidential)
    for datum in (*whole.case.typed, *lost):
        rows.setdefault((datum.owner, datum.key), used_row(whole.shelf, datum))
    for berth in whole.case.every_berth:
        climate = whole.shelf.climates[berth.climate]
        rows.setdefault((climate.name, "months"), climate_row(whole, climate))
    return [rows[key] for key in sorted(rows)]


def hidden(line: LineResult) -> list[Datum]:
    """The confidential data of a line's rope, contacts and practice."""
    return [datum for datum in line.setup.subject.data.values() if datum.confidential]


def climate_row(whole: Whole, climate: Climate) -> Row:
    """A climate card as one row: its title for value, basis, source and place."""
    return {
        "key": "months",
        "owner": climate.name,
        "value": climate.title,
        "low": None,
        "high": None,
        "unit": "",
        "basis": climate.basis,
        **_rests_on(whole.shelf, climate.source, climate),
        "where": climate.where,
        "confidential": climate.confidential,
    }


def used_row(shelf: Shelf, datum: Datum) -> Row:
    """One datum in the unit it was typed in."""
    factor, offset = factor_and_offset(datum.kind, datum.unit)
    shown = [(value - offset) / factor for value in (datum.value, datum.low, datum.high)]
    value: Any = float(f"{shown[0]:.10g}")
    if datum.curve is not None:
        value = [
            list(row)
            for row in zip(datum.curve.points, datum.curve.value, datum.curve.low, datum.curve.high, strict=True)
        ]
    return {
        "key": datum.key,
        "owner": datum.owner,
        "value": value,
        "low": float(f"{shown[1]:.10g}"),
        "high": float(f"{shown[2]:.10g}"),
        "unit": datum.unit,
        "basis": datum.basis,
        **_rests_on(shelf, datum.source, _card(shelf, datum)),
        "where": datum.where,
        "confidential": datum.confidential,
    }


def _card(shelf: Shelf, datum: Datum) -> Card | None:
    """The card that a datum comes from; None for what the case says itself."""
    is_typed = datum.source not in shelf.sources  # it names its line of the case instead
    if is_typed:
        return None
    groups = (shelf.ropes, shelf.fibres, shelf.contacts, shelf.practices)
    cards = (group[datum.owner] for group in groups if datum.owner in group)
    return next((card for card in cards if datum.key in card.data), None)


def _rests_on(shelf: Shelf, key: str, card: Card | Climate | None) -> Row:
    """The source, how it was read, whose card it stands on, and a digest that tells nothing of the value."""
    source = shelf.sources.get(key)
    digest = source.sha256[:12] if source else ""
    if not digest and card is not None and card.sealed:
        digest = card.digest
    return {
        "source": key,
        "source_title": source.title if source else "",
        "read": source.mark if source else "",
        "origin": card.origin if card is not None else "case",
        "digest": digest,
    }
