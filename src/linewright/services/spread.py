"""What makes the band of a study's rope wide, and what would narrow it: numbers and text."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from linewright.assessment import spread as stage
from linewright.assessment.draws import score_matrix
from linewright.assessment.life import HORIZON
from linewright.assessment.line import LineResult
from linewright.physics.statistics import weighted_quantile
from linewright.physics.types import Array
from linewright.services.answer import fit
from linewright.services.result import meaning
from linewright.services.trial import read_given

Row = dict[str, Any]
SCHEMA = "linewright.spread/1"
SIZE = 256  # base draws of the Sobol' indices; 13 times as many lives are computed
POINTS = (("p10", 0.1), ("p50", 0.5), ("p90", 0.9))
KEPT = 0.05  # of the band: a test that narrows it by less is not worth its name
Told = Callable[[str], None]


def spread_of(root: Path, samples: int | None = None, size: int = SIZE, tell: Told = lambda _: None) -> Row:
    """What makes the band of the rope on board wide. Raises InputError for a study or a rope that has no band."""
    given = read_given(root, samples)
    board = stage.board_of(given.case, given.shelf, given.files)
    stage.check(board)
    with ThreadPoolExecutor(2) as threads:
        board = replace(board, runner=replace(board.runner, executor=threads))
        scores = score_matrix(board.columns, given.case.samples, given.case.seed)
        tell("band")
        found, lines = stage.split(board, given.case, scores)
        tell("tests")
        tests = stage.tests(board, found, lines, scores)
        tell("shares")
        indices = stage.indices(board, scores, found.whole, size)
        tell("choices")
        choices = stage.choices(board, scores, given.case.samples)
    return {
        "schema": SCHEMA,
        "title": given.case.title,
        "rope": board.runner.plan.title,
        "samples": given.case.samples,
        "refused": found.refused,
        "is_weighted": bool(np.ptp(found.weights) > 0.0),
        "life": _band(found.whole, found.weights),
        "ignorance_alone": _band(found.ignorance),
        "scatter_alone": _band(found.scatter),
        "tests": [{"test": row.name, "doubt": row.doubt, "width_left": row.left} for row in tests],
        "indices": [
            {"key": row.key, "text": meaning(row.key) if row.key else "all others together", "first": row.first,
             "total": row.total, "rank": row.rank}
            for row in indices
        ],
        "base_draws": size,
        "choices": [
            {"choice": row.name, "life": _band(row.ages),
             "ratio": float(np.median(row.ratio)) if row.ratio.size >= 0.5 * row.ages.size else None}
            for row in choices
        ],
        "rules": _rules(lines, given.case.criteria.strength_left),
    }  # fmt: skip


def _rules(lines: Sequence[LineResult], strength_left: float) -> list[Row]:
    """Other rules of combination for the line group that ends the central run."""
    first = min(lines, key=lambda line: float(line.lives.age[0]))
    return [vars(row) for row in stage.rules(first, strength_left)]


def _band(ages: Array, weights: Array | None = None) -> Row:
    weights = np.ones(len(ages)) if weights is None else weights
    return {name: weighted_quantile(ages, weights, p) for name, p in POINTS}


def spread_lines(row: Row) -> list[str]:
    """The answer as lines."""
    weighted = ", weighted by evidence" if row["is_weighted"] else ""
    before = " before the evidence" if row["is_weighted"] else ""
    return [
        *refused_lines(row["refused"]),
        f"{row['title']}: {row['rope']}, {row['samples']} draws{weighted}",
        f"  life, all doubt                    {_years(row['life'])}",
        f"  what we do not know alone          {_years(row['ignorance_alone'])}{before}",
        f"  scatter between equal ropes alone  {_years(row['scatter_alone'])}{before}",
        "  (bands are lopsided: what is held at its centre moves the median too)",
        "",
        *_tests(row),
        "",
        *_indices(row),
        "",
        *_choices(row),
        "",
        "  Widths and shares are of ln(life), P10 to P90. All come from the fast model of `run`. They say what to",
        "  learn next, not what is safe: maker, class and terminal, and a competent person, decide.",
    ]


def refused_lines(reason: str) -> list[str]:
    """That evidence was refused, before anything else."""
    return [f"Evidence REFUSED, the draws are not weighted: {reason}"] if reason else []


def _years(band: Row) -> str:
    low, middle, high = (f"{HORIZON:.0f}+" if band[p] >= HORIZON else f"{band[p]:.1f}" for p, _ in POINTS)
    return f"{middle} ({low} to {high}) years"


def _tests(row: Row) -> list[str]:
    rows = [item for item in row["tests"] if item["width_left"] < 1.0 - KEPT]
    if not rows:
        return ["What would narrow it: none of the tests tried takes 5 % off the band"]
    head = f"{'What would narrow it: a test and its error':<78}{'band left':>12}"
    lines = [
        f"  {item['test']} ({item['doubt']})"[:76].ljust(78) + f"{100 * item['width_left']:>10.0f} %" for item in rows
    ]
    rest = len(row["tests"]) - len(rows)
    return [head, *lines, *([f"  {rest} more take less than 5 % off it"] if rest else [])]


def _times(ratio: float | None) -> str:
    return "open" if ratio is None else f"{ratio:.2f}"


def _indices(row: Row) -> list[str]:
    told = "What makes it wide, before the evidence" if row["is_weighted"] else "What makes it wide"
    head = f"{told:<66}{'alone':>8}{'with others':>13}{'rank':>8}"
    lines = [
        f"  {fit(item['text'].partition(' (')[0], 62)}".ljust(66)
        + "".join(
            f"{100 * max(item[key], 0.0):>{width}.0f} %" for key, width in (("first", 6), ("total", 11), ("rank", 6))
        )
        for item in row["indices"]
    ]
    return [head, *lines, f"  Sobol' indices of {row['base_draws']} base draws: a few per cent are noise"]


def _choices(row: Row) -> list[str]:
    head = f"{'What a choice is worth':<66}{'life P50':>10}{'x':>8}"
    lines = [
        f"  {item['choice']}"[:64].ljust(66) + f"{min(item['life']['p50'], HORIZON):>10.1f}{_times(item['ratio']):>8}"
        for item in row["choices"]
    ]
    rules = [
        f"  {item['name']}*"[:64].ljust(66) + f"{min(item['years'], HORIZON):>10.1f}{item['ratio']:>8.2f}"
        for item in row["rules"]
    ]
    note = ["  * no loss before damage 1; here losses add from the first cycle. Central run, rates of a new rope"]
    return [head, *lines, *rules, *(note if rules else [])]
