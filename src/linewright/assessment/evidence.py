"""What is known of the rope on board weights the draws; no card is edited."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy import special

from linewright.assessment.draws import LUCK, Draws, column, score_matrix
from linewright.assessment.line import LineResult
from linewright.base.data import Datum
from linewright.case.model import Case, Evidence
from linewright.physics.types import Array

FEW = 0.05  # of the draws: evidence that leaves a larger share needs more draws, not other cards
CONTRADICTS = "it contradicts the cards"
MORE = "more samples would do, [spread] samples = 2048 or more"
AGES = ("retired_at", "in_service_at")
NAMES = {"retired_at": "retirement", "in_service_at": "line still good", "residual": "residual strength",
         "core": "core", "elongation": "lengthening"}  # fmt: skip
OTHERS = ("retired_at", "residual")  # said of a rope that is gone
LEAST_EFFECTIVE = 100.0  # draws; below it a few draws would speak for all


@dataclass(frozen=True)
class Weighed:
    """What evidence did: weights of the draws (S,), effective number of draws, and why it was refused, if it was.

    `log_likelihood` (E, S) of each entry; `mover` the key and mean score of the datum that it moves most, judged where
    evidence is too strong with just so much of it as leaves 100 effective draws.
    """

    weights: Array
    effective: float
    refused: str
    log_likelihood: Array
    mover: tuple[str, float] | None


def has_other(case: Case) -> bool:
    """Whether evidence speaks of another rope of the kind: one that was retired, or broken in a test."""
    return any(item.kind in OTHERS for item in case.evidence)


def another(scores: Mapping[str, Array], samples: int, seed: int) -> dict[str, Array]:
    """The scores with another rope's luck in the place of each."""
    names = [name for name in scores if LUCK in name]
    fresh = score_matrix([f"another {name}" for name in names], samples, seed + 1)
    return {**scores, **{name: fresh[f"another {name}"] for name in names}}


def weigh(
    case: Case, lines: Sequence[LineResult], scores: Mapping[str, Array], others: Sequence[LineResult] = ()
) -> Weighed:
    """Weights of the draws by all evidence of a case; ones where fewer than 100 effective draws would be left.

    `others` are the same lines with another rope's luck, for what is known of ropes that are gone.
    """
    own, gone = ({line.setup.subject.line.name: line for line in rows} for rows in (lines, others or lines))
    rows = np.stack([
        log_likelihood(item, case, (gone if item.kind in OTHERS else own)[item.line], scores)
        for item in case.evidence
    ])  # fmt: skip
    total = rows.sum(axis=0)
    if float(total.max()) < -0.5 * _chance(len(rows)):
        text, nearest = f"no draw comes near it: {_farthest(case, rows)}", _mover(total, lines, scores)
        return Weighed(np.ones(total.size), 0.0, text, rows, nearest)
    weights = np.exp(total - total.max())
    effective = effective_number(weights)
    mover = _mover(total, lines, scores)
    if effective >= LEAST_EFFECTIVE:
        return Weighed(weights * (len(weights) / weights.sum()), effective, "", rows, mover)
    leaves = f"the evidence leaves {effective:.0f} effective draws of {len(weights)}, fewer than {LEAST_EFFECTIVE:.0f}"
    reason = f"{leaves}: {CONTRADICTS if effective < FEW * len(weights) else MORE}"
    return Weighed(np.ones(len(weights)), effective, reason, rows, mover)


def _chance(entries: int) -> float:
    """What the squares of so many normal misfits exceed once in a thousand (chi squared)."""
    return float(special.chdtri(entries, 1e-3))


def _farthest(case: Case, rows: Array) -> str:
    """Which entry no draw meets, or that they contradict each other."""
    best = rows.max(axis=1)
    worst = int(best.argmin())
    if best[worst] < -0.5 * _chance(1):
        return f"the {NAMES[case.evidence[worst].kind]} at {case.evidence[worst].where}"
    return "its entries contradict each other"


def effective_number(weights: Array) -> float:
    """Effective number of weighted draws, (sum w)^2 / sum w^2 (Kish 1965)."""
    return float(weights.sum() ** 2 / np.sum(weights**2))


def log_likelihood(item: Evidence, case: Case, line: LineResult, scores: Mapping[str, Array]) -> Array:
    """Log-likelihood of one entry in every draw, shape (S,), but for a constant."""
    blocks = line.blocks
    samples = len(blocks.marks)
    if item.kind in AGES:
        apart = (np.log(np.maximum(blocks.ended, 1e-3)) - np.log(item.value)) / item.doubt
        return np.asarray(special.log_ndtr(apart) if item.kind == "in_service_at" else -0.5 * apart**2)
    if item.kind == "core":
        states = list(zip(line.setup.duty.berths, line.setup.duty.states, strict=True))
        j = next(n for n, (berth, state) in enumerate(states) if (berth.name, state.name) == item.state)
        return np.asarray(-0.5 * ((blocks.core[:, j] - item.value) / item.doubt) ** 2)
    at = line.setup.marks.index(item.age)
    if item.kind == "elongation":
        found = blocks.marks[:, 1, at]
    else:
        force = np.broadcast_to(_draws(line, scores, samples).of("design_break_force", 1), samples)
        base = {"N": 1.0, "SDMBL": case.ship_design_break_load}.get(item.base)
        found = blocks.marks[:, 0, at] * (force / base if base is not None else 1.0)
    apart = (np.log(np.maximum(found, 1e-12)) - np.log(item.value)) / item.doubt
    return np.asarray(-0.5 * apart**2)


def _draws(line: LineResult, scores: Mapping[str, Array], samples: int) -> Draws:
    subject = line.setup.subject
    return Draws(subject.data, scores, samples, "", subject.laws)


def tempered(log_likelihood: Array, least: float = LEAST_EFFECTIVE) -> Array:
    """Weights exp(beta L) with the largest beta up to 1 that leaves so many effective draws, shape (S,)."""
    from scipy import optimize

    level = log_likelihood - log_likelihood.max()

    def spare(beta: float) -> float:
        return effective_number(np.exp(beta * level)) - least

    beta = 1.0 if spare(1.0) >= 0.0 else float(optimize.brentq(spare, 0.0, 1.0, xtol=1e-9)) if spare(0.0) > 0.0 else 0.0
    return np.asarray(np.exp(beta * level))


def _mover(total: Array, lines: Sequence[LineResult], scores: Mapping[str, Array]) -> tuple[str, float] | None:
    """The datum that the evidence moves most, with its mean score in the weighted draws."""
    keys = {name: key for line in lines for key, name in _columns(line).items() if name in scores}
    if not keys:
        return None
    weights = tempered(total)
    means = {name: float(np.average(scores[name], weights=weights)) for name in sorted(keys)}
    name = max(means, key=lambda item: abs(means[item]))
    return keys[name], means[name]


def _columns(line: LineResult) -> dict[str, str]:
    data: Mapping[str, Datum] = line.setup.subject.data
    return {key: column(data[key]) for key in line.used if data[key].has_band}
