"""Wear along a study's lines, and what turning or cropping does: numbers and text."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np

from linewright.assessment import along as stage
from linewright.assessment import spread as board_stage
from linewright.assessment.draws import Draws, score_matrix
from linewright.assessment.life import HORIZON
from linewright.assessment.spread import Board
from linewright.base import units
from linewright.base.errors import InputError, Problem
from linewright.base.nearest import nearest
from linewright.case.model import Case
from linewright.physics.statistics import weighted_quantile
from linewright.physics.types import Array
from linewright.services.spread import refused_lines
from linewright.services.trial import read_given

Row = dict[str, Any]
SCHEMA = "linewright.along/1"
DRAWS = 128
DATES = 16
POINTS = (("p10", 0.1), ("p50", 0.5), ("p90", 0.9))
SPARE = 0.2  # of the length in use, that may be cut off a line without turns on the drum
WORN = 1.15  # times the life of the most worn metre: what lives less is worn with it
SHORT, LONG = 0.9, 1.2  # of the median life: what an operation must change to be told apart from none


def along_of(root: Path, name: str = "", crop: str = "") -> Row:
    """Wear along the line groups of a study. Raises InputError for a group, a piece or a rope that cannot be."""
    given = read_given(root)
    piece = _piece(crop)
    board = board_stage.board_of(given.case, given.shelf, given.files)
    board_stage.check(board)
    names = [line.name for line in given.case.lines]
    if name and name not in names:
        near = nearest(name, names)
        needs = f"one of {', '.join(names)}"
        raise InputError(
            f"There is no line group {name!r}.",
            [Problem("--line", name, needs, f"did you mean {near}?" if near else "")],
        )
    numbers = [number for number, found in enumerate(names) if name in ("", found)]
    scores, refused = _scores(board, given.case)
    with ThreadPoolExecutor(2) as threads:
        rows = list(threads.map(lambda number: _line(board, number, scores, piece), numbers))
    return {
        "schema": SCHEMA,
        "title": given.case.title,
        "rope": board.runner.plan.title,
        "draws": DRAWS,
        "is_weighted": bool(given.case.evidence) and not refused,
        "refused": refused,
        "is_used": bool(given.case.past),
        "lines": rows,
    }


def _scores(board: Board, case: Case) -> tuple[dict[str, Array], str]:
    """Scores of equal weight, and why evidence is refused: the first draws, or some weighted ones (systematically)."""
    if not case.evidence:
        return score_matrix(board.columns, DRAWS, case.seed), ""
    full = score_matrix(board.columns, case.samples, case.seed)
    weighed = board.runner.weigh(board.runner.lines(full, case.samples), full)
    weights = weighed.weights
    picked = np.searchsorted(np.cumsum(weights), (np.arange(DRAWS) + 0.5) / DRAWS * weights.sum())
    return {name: values[picked] for name, values in full.items()}, weighed.refused


def _piece(text: str) -> float:
    """A length to cut off [m]; 0 for none. Raises InputError."""
    if not text:
        return 0.0
    try:
        piece = units.parse(text, "length")
        if not 0.05 <= piece <= 100.0:
            raise units.UnitError(text, "a piece from 5 cm to 100 m")
        return piece
    except units.UnitError as error:
        raise InputError(
            "A piece to cut off cannot be.", [Problem("--crop", error.read, error.needs, error.do)]
        ) from None


def _line(board: Board, number: int, scores: dict[str, Array], piece: float) -> Row:
    """One line group: profile, life as it is, turned, and cropped where asked."""
    item, runner = board.runner.plan.mains[number], board.runner
    draws = Draws(item.data, scores, DRAWS, "", item.laws)
    central = Draws(item.data, {name: np.zeros(1) for name in scores}, 1, "", item.laws)
    setup = runner.setup(number, item, central)
    pieces = (piece,) if piece else ()
    rope = stage.rope_of(setup, draws, pieces)
    most = max(rope.length - rope.in_use, SPARE * rope.in_use)
    if piece > most:
        needs = f"at most {most:.4g} m: what is not in use, or a fifth of what is"
        do = "length = of the whole rope, with what stays on the drum, if there is more"
        raise InputError("A piece to cut off cannot be.", [Problem("--crop", f"{piece:.6g} m", needs, do)])
    one = stage.rope_of(setup, central)
    profile = stage.profile(one)
    ages = stage.lives(rope)
    last = min(max(2.0 * weighted_quantile(ages, np.ones(DRAWS), 0.5), 1.0), HORIZON)
    tried = [float(date) for date in np.linspace(0.0, last, DATES + 1)[1:]]
    done = [("turn end for end", 0.0, stage.turned(rope))]
    if piece:
        done.append((f"cut {piece:.3g} m off at the shore end", piece, stage.cropped(piece)))
    told = stage.told_length(rope)
    return {
        "line": item.line.name,
        "length": rope.length,
        "is_length_told": told,
        "contacts": _contacts(rope, profile),
        "elsewhere": _elsewhere(rope, profile),
        "profile": {
            "metre": [float(metre) for metre in profile.metres],
            "years": [float(years) for years in profile.years],
            "loss": {name: [float(part) for part in profile.loss[n]] for n, name in enumerate(profile.names)},
        },
        "life": _band(ages),
        "operations": [_operation(text, cut, stage.dates(rope, move, tried), tried) for text, cut, move in done],
    }  # fmt: skip


def _contacts(rope: stage.Rope, profile: stage.Profile) -> list[Row]:
    """The most worn metre at every contact, and how much of the rope is worn with it."""
    rows = []
    for name, middle in zip(stage.contact_names(rope), rope.contacts, strict=True):
        near = np.abs(profile.metres - middle) <= stage.REACH
        worst = int(np.flatnonzero(near)[profile.years[near].argmin()])
        worn = near & (profile.years < WORN * profile.years[worst])
        spots = profile.metres[worn]
        rows.append({"contact": name, "metre": float(middle), **_metre(profile, worst),
                     "from": float(spots.min()), "to": float(spots.max())})  # fmt: skip
    return rows


def _elsewhere(rope: stage.Rope, profile: stage.Profile) -> Row:
    """The most worn metre away from all contacts."""
    away = np.ones(len(profile.metres), dtype=bool)
    for middle in rope.contacts:
        away &= np.abs(profile.metres - middle) > stage.REACH
    spots = np.flatnonzero(away)
    return _metre(profile, int(spots[profile.years[spots].argmin()])) if len(spots) else {}


def _metre(profile: stage.Profile, index: int) -> Row:
    loss = profile.loss[:, index]
    by = profile.names[int(loss.argmax())] if loss.sum() > 0.0 else "none"
    return {"worst": float(profile.metres[index]), "years": float(profile.years[index]), "by": by,
            "loss": float(loss.sum())}  # fmt: skip


def _operation(text: str, piece: float, found: Array, tried: list[float]) -> Row:
    rows = [{"date": date, "life": _band(ages)} for date, ages in zip(tried, found, strict=True)]
    best, safest = (rows[stage.best(found, probability)] for probability in (0.5, 0.1))
    return {"operation": text, "piece": piece, "best": best, "safest": safest, "dates": rows}


def _band(ages: Array) -> Row:
    return {name: weighted_quantile(ages, np.ones(len(ages)), p) for name, p in POINTS}


def along_lines(row: Row) -> list[str]:
    """The answer as lines."""
    weighted = ", weighted by evidence" if row["is_weighted"] else ""
    used = "; years from today, after its earlier trades" if row["is_used"] else ""
    lines = [
        *refused_lines(row["refused"]),
        f"{row['title']}: {row['rope']}, wear along the rope, {row['draws']} draws{weighted}{used}",
    ]
    for item in row["lines"]:
        lines += ["", *_line_text(item)]
    return [
        *lines,
        "",
        "Metres are counted from the shore eye of the new rope; years to the end of a metre are of the central run,",
        "lives of all draws. Eyes, splices and drum layers are not judged: a splice ends a rope too. A rope that was",
        "turned or cut needs a new eye, its maker's and the terminal's consent, and a competent person to inspect it.",
    ]


def _line_text(item: Row) -> list[str]:
    told = "" if item["is_length_told"] else " (length in use; what stays on the drum is not told)"
    lines = [f"{item['line']}: rope of {item['length']:.5g} m{told}; life {_years(item['life'])}"]
    for part in item["contacts"]:
        lines.append(
            f"  {part['contact']} at {part['metre']:.1f} m: its worst metre ends after {_year(part['years'])} years, "
            f"mostly by {part['by']}; {_beside(part)}"
        )
    if item["elsewhere"]:
        far = item["elsewhere"]
        lines.append(f"  elsewhere: ends after {_year(far['years'])} years at the soonest, mostly by {far['by']}")
    for done in item["operations"]:
        lines += _operation_text(item, done)
    return lines


def _beside(part: Row) -> str:
    """What is worn with the worst metre."""
    if part["to"] - part["from"] < 0.2:
        return "a hand's breadth beside it lasts longer"
    return f"{part['from']:.1f} to {part['to']:.1f} m are worn with it"


def _operation_text(item: Row, done: Row) -> list[str]:
    """What an operation at its best date gives; that it gives nothing, where it does not."""
    now, then = item["life"]["p50"], done["best"]["life"]["p50"]
    if then < 1.03 * now or now >= HORIZON:
        return [f"  {done['operation']}: no date makes the median life 3 % longer"]
    best, safest, p10 = done["best"], done["safest"], item["life"]["p10"]
    lines = [f"  {done['operation']} after {best['date']:.1f} years: life {_years(best['life'])}"]
    if best["date"] > p10 and safest["date"] < best["date"]:
        lines = [
            f"  inspect after {safest['date']:.1f} years, and {done['operation']} then where it is worn: "
            f"life {_years(safest['life'])}",
            f"    by the calendar after {best['date']:.1f} years: life {_years(best['life'])}; a tenth ends before "
            f"{_year(p10)} years",
        ]
    return lines


def _years(band: Row) -> str:
    return f"{_year(band['p50'])} ({_year(band['p10'])} to {_year(band['p90'])}) years"


def _year(value: float) -> str:
    return f"{HORIZON:.0f}+" if value >= HORIZON else f"{value:.1f}"
