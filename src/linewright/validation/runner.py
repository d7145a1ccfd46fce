"""Runs the cases: published beside ours, the difference, what is allowed and why, the verdict."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from linewright.validation.form import read_cases
from linewright.validation.model import CheckCase, Numbers, Point, Verdict
from linewright.validation.subjects.catalogue import SUBJECTS

Outcome = Mapping[str, Any]


@dataclass(frozen=True)
class Row:
    """One point of one case, judged; of several values the worst is shown."""

    id: str
    area: str
    kind: str
    title: str
    source: str
    where: str
    quantity: str
    unit: str
    values: int
    published: float
    ours: float
    difference: float
    allowed: str
    because: str
    verdict: Verdict
    reason: str
    counted: bool
    not_counted: str


def run_all() -> list[Row]:
    """Every point of every case."""
    return [row for case in read_cases() for row in run(case)]


def run(case: CheckCase) -> list[Row]:
    """The points of a case."""
    return judge(case, SUBJECTS[case.subject](case.inputs))


def judge(case: CheckCase, outcome: Outcome) -> list[Row]:
    """The points of a case against what a subject gave."""
    return [_judge_point(case, point, as_numbers(outcome[point.quantity])) for point in case.points]


def as_numbers(value: Any) -> Numbers:
    """A subject's quantity as numbers."""
    return tuple(float(part) for part in np.atleast_1d(np.asarray(value, dtype=float)).ravel())


def _judge_point(case: CheckCase, point: Point, ours: Numbers) -> Row:
    worst = _worst(point, ours)
    published = point.published[worst]
    value = ours[worst] if len(ours) == len(point.published) else math.nan
    verdict = _verdict(point, published, value)
    return Row(
        case.id, case.area, case.kind, case.title, case.source, case.where, point.quantity, point.unit,
        len(point.published), published, value, value - published, point.tolerance.text(point.unit), point.because,
        verdict, point.known.reason if point.known and verdict == "known disagreement" else "",
        case.counts, case.not_counted,
    )  # fmt: skip


def _worst(point: Point, ours: Numbers) -> int:
    """Index of the value that uses most of its tolerance; 0 if the number of values is wrong."""
    if len(ours) != len(point.published):
        return 0
    used = [_used(point, value, published) for value, published in zip(ours, point.published, strict=True)]
    return int(np.argmax(used))


def _used(point: Point, value: float, published: float) -> float:
    low, high = point.tolerance.bounds(published)
    if not low <= value <= high:
        return math.inf
    half = 0.5 * (high - low)
    return abs(value - published) / half if half > 0.0 and math.isfinite(half) else 0.0


def _verdict(point: Point, published: float, value: float) -> Verdict:
    low, high = point.tolerance.bounds(published)
    if low <= value <= high:
        return "agrees"
    if point.known is not None and abs(value - point.known.value) <= point.known.within:
        return "known disagreement"
    return "off"


def dossier_id(rows: Iterable[Row]) -> str:
    """Short digest of cases and results, rounded to six digits."""
    parts = [
        [row.id, row.quantity, f"{row.published:.6g}", f"{row.ours:.6g}", row.allowed, row.verdict] for row in rows
    ]
    return hashlib.sha256(json.dumps(parts).encode()).hexdigest()[:12]
