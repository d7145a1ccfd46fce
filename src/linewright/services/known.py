"""What is known of the rope on board, as rows and as lines: evidence, earlier trades, strength left over the years."""

from __future__ import annotations

from typing import Any

import numpy as np

from linewright.assessment.draws import column
from linewright.assessment.evidence import CONTRADICTS, MORE, Weighed
from linewright.assessment.life import HORIZON
from linewright.assessment.line import LineResult
from linewright.assessment.runner import CURVE
from linewright.assessment.whole import Whole
from linewright.base.units import ZERO_CELSIUS, factor_and_offset
from linewright.case.model import Evidence
from linewright.physics import statistics
from linewright.physics.statistics import weighted_quantile
from linewright.physics.types import Array

Row = dict[str, Any]
NOT_COUNTED = "The evidence of the case is not counted here: these are central data. run weighs its draws by it."
POINTS = (("p10", 0.1), ("p50", 0.5), ("p90", 0.9))
MOST = 4  # entries told
FLOOR = 0.101  # below a tenth of its strength a rope is not followed
KINDS = {
    "retired_at": "retired at {years}",
    "in_service_at": "still good at {years}",
    "residual": "{value:.4g} left at {age}",
    "core": "core {value:.0f} C in {state}",
    "elongation": "{value:.3g} m longer at {age}",
}


def evidence_row(whole: Whole) -> Row | None:
    """What the evidence of a case did: entries, effective draws, life before and after; None without evidence."""
    weighed = whole.weighed
    if weighed is None:
        return None
    ages = whole.ropes[0].ages
    return {
        "entries": [_entry(item) for item in whole.case.evidence],
        "samples": len(ages),
        "effective": weighed.effective,
        "refused": weighed.refused,
        "moved": _moved(whole, weighed),
        "before": _band(ages, np.ones(len(ages))),
        "after": None if weighed.refused else _band(ages, weighed.weights),
    }


def _entry(item: Evidence) -> Row:
    value = item.value - ZERO_CELSIUS if item.kind == "core" else item.value
    shown = {"value": value, "years": _age(value), "age": _age(item.age), "state": ", ".join(item.state)}
    if item.kind == "residual":
        told = f"{value / 1e3:.4g} kN" if item.base == "N" else f"{100.0 * value:.3g} %{item.base}"
        text = f"{told} left at {_age(item.age)}"
    else:
        text = KINDS[item.kind].format(**shown)
    doubt = f"{item.doubt:.2g} K" if item.kind == "core" else f"{100.0 * item.doubt:.0f} %"
    return {"kind": item.kind, "line": item.line, "text": text, "doubt": doubt, "where": item.where}


def _age(years: float) -> str:
    """An age in years."""
    return f"{years:.3g} year" if f"{years:.3g}" == "1" else f"{years:.3g} years"


def _moved(whole: Whole, weighed: Weighed) -> Row | None:
    """The datum that the evidence moves most: its card value, and where the draws that fit put it."""
    if weighed.mover is None:
        return None
    key, score = weighed.mover
    line = next(item for item in whole.ropes[0].lines if key in item.used)
    datum = line.setup.subject.data[key]
    factor, offset = factor_and_offset(datum.kind, datum.unit)
    low, value, high = ((part - offset) / factor for part in (datum.low, datum.value, datum.high))
    row: Row = {"key": datum.key, "score": score, "value": None, "to": None, "unit": datum.unit}
    if datum.curve is not None or datum.confidential or column(datum) not in whole.scores:
        return row
    shapes = {
        "lognormal": statistics.split_lognormal,
        "normal": statistics.split_normal,
        "logit": statistics.split_logit,
    }
    return {**row, "value": value, "to": float(shapes[datum.shape](value, low, high, score))}


def curve_row(whole: Whole, line: LineResult) -> Row:
    """Strength left of the most worn metre and lengthening for good over the years since new, as bands."""
    curve = line.blocks.curve
    weights = whole.weights[: len(curve)]
    if not weights.sum() > 0.0:
        weights = np.ones(len(curve))
    bands = {
        name: {p: [weighted_quantile(curve[:, n, k], weights, q) for k in range(curve.shape[2])] for p, q in POINTS}
        for n, name in enumerate(("strength_left", "lengthening"))
    }
    return {"ages": list(CURVE), **bands}


def past_row(whole: Whole, line: LineResult) -> Row | None:
    """What earlier trades have used of a line: years, hours, strength left today, losses at its worst metre."""
    if not line.setup.earlier:
        return None
    used = line.blocks.used
    left = np.exp(-used.sum(axis=1))
    return {
        "trades": [
            {"name": item.name, "years": item.years, "hours": item.years * float(item.setup.duty.hours.sum())}
            for item in line.setup.earlier
        ],
        "strength_left": _band(left, whole.weights[: len(left)]),
        "loss": dict(zip(line.setup.mechanisms, map(float, used[0]), strict=True)),
    }


def _band(values: Array, weights: Array) -> dict[str, float]:
    return {name: weighted_quantile(values, weights, p) for name, p in POINTS}


def known_lines(result: Row, board: str = "A") -> list[str]:
    """What stands before the answer when evidence or earlier trades are in it; `board` names the rope on board."""
    return [*_evidence_lines(result.get("known"), board), *_past_lines(result)]


def _evidence_lines(row: Row | None, board: str) -> list[str]:
    if row is None:
        return []
    shown = [f"{item['text']} (+-{item['doubt']}, {item['line']})" for item in row["entries"][:MOST]]
    more = len(row["entries"]) - MOST
    told = "; ".join([*shown, *([f"and {more} more"] if more > 0 else [])])
    if row["refused"]:
        moved = row["moved"]
        which = ""
        if moved and CONTRADICTS in row["refused"]:
            which = f"; {moved['key']} would have to move{_to(moved)}"
        elif moved and MORE not in row["refused"]:
            which = f"; the nearest draws move {moved['key']}{_to(moved)}, and still miss it"
        return [f"Evidence REFUSED, the draws are not weighted: {row['refused']}{which}. Given: {told}"]
    before, after = (f"{_years(row[name])} years" for name in ("before", "after"))
    draws = f"{row['effective']:.0f} effective draws of {row['samples']}"
    return [f"Weighted by evidence: {told}. Life of {board} {before} before, {after} with it; {draws}"]


def _to(moved: Row) -> str:
    if moved["value"] is None:
        return ""
    return f" from {moved['value']:.3g} to about {moved['to']:.3g} {moved['unit']}".rstrip()


def _years(band: Row) -> str:
    low, middle, high = (min(band[p], HORIZON) for p in ("p10", "p50", "p90"))
    return f"{middle:.1f} ({low:.1f} to {high:.1f})"


def _left(band: Row) -> str:
    if band["p90"] < FLOOR:
        return "10 % or less"
    low, middle, high = (f"{100 * band[p]:.0f}" for p in ("p10", "p50", "p90"))
    return f"{middle} % ({low} to {high})"


def _past_lines(result: Row) -> list[str]:
    rows = [(line, line["past"]) for line in result["ropes"][0]["lines"] if line.get("past")]
    if not rows:
        return []
    trades = ", ".join(f"{item['name']} {_age(item['years'])}" for item in rows[0][1]["trades"])
    left = "; ".join(f"{line['name']} {_left(past['strength_left'])}" for line, past in rows)
    return [f"A comes from {trades}; strength left today: {left}. Its years below are counted from today"]
