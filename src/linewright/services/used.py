"""What a result rests on: every datum used, by value."""

from __future__ import annotations

from typing import Any

from linewright.assessment.line import LineResult
from linewright.assessment.whole import Whole
from linewright.base.data import Datum
from linewright.base.units import factor_and_offset

Row = dict[str, Any]


def lines_of(whole: Whole) -> list[LineResult]:
    """Every line result of every rope, tails included."""
    rows: list[LineResult] = []
    for rope in whole.ropes:
        rows += [*rope.lines, *(tail for tail in rope.tails if tail is not None)]
    return rows


def used_rows(whole: Whole) -> list[Row]:
    """Every datum that the run used, once, with value, band, basis, source and place."""
    rows: dict[tuple[str, str], Row] = {}
    for line in lines_of(whole):
        for key in line.used:
            datum = line.setup.subject.data[key]
            rows.setdefault((datum.owner, datum.key), used_row(whole, datum))
    for datum in whole.case.typed:
        rows.setdefault((datum.owner, datum.key), used_row(whole, datum))
    for berth in whole.case.berths:
        climate = whole.shelf.climates[berth.climate]
        rows.setdefault(
            (climate.name, "months"),
            {
                "key": "months",
                "owner": climate.name,
                "value": climate.title,
                "low": None,
                "high": None,
                "unit": "",
                "basis": climate.basis,
                "source": climate.source,
                "where": climate.where,
                "read": _read(whole, climate.source),
            },
        )
    return [rows[key] for key in sorted(rows)]


def used_row(whole: Whole, datum: Datum) -> Row:
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
        "source": datum.source,
        "where": datum.where,
        "read": _read(whole, datum.source),
    }


def _read(whole: Whole, source: str) -> str:
    found = whole.shelf.sources.get(source)
    return found.mark if found else ""
