"""Which rope of which size a ship needs: sizes in steps, and every check of an assessed rope with its reason.

Windows, all of the ship's design break load (SDMBL), by web pages that restate the tanker industry's mooring
guidelines, 4th edition (second-hand): a line's break force (LDBF) 100 to 105 %, a tail's 125 to 130 %, the working load
limit of a synthetic line 50 %. Fittings are built for 1.25 times a line's strength on ships of 2007 to 2023
(MSC.1/Circ.1175, para 4.3): a stronger line finds the weakest part of the ship.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from linewright.assessment.judge import SHAPE, WORKING_LOAD
from linewright.assessment.line import LineResult
from linewright.assessment.whole import RopeResult
from linewright.base.units import ZERO_CELSIUS
from linewright.cards.model import Card
from linewright.physics import bending
from linewright.physics.statistics import weighted_quantile
from linewright.physics.types import Array

LINE_WINDOW = (1.0, 1.05)  # of SDMBL
TAIL_WINDOW = (1.25, 1.30)  # of SDMBL
ROUNDING = 1e-9
# Usual D/d on fairleads and rollers, by the beginning of the fibre's name: common practice, no source.
USUAL_RATIO = {"hmpe": 15.0, "lcp": 15.0, "para-aramid": 20.0, "polyester": 8.0, "polyamide": 8.0, "polypropylene": 8.0}
SENSE = {"bend": -1.0, "tension": 1.0, "core": 1.0, "margin": -1.0}  # where worse lies: at less (-1) or at more (1)
Verdict = Literal["ok", "caution", "fails"]
By = Literal["p10", "p50"]


@dataclass(frozen=True)
class Check:
    """One check: name, verdict, value and limit in the check's unit, the sentence, and what would have to change."""

    name: str
    verdict: Verdict
    value: float | None
    limit: float | None
    text: str
    needs: str = ""


@dataclass(frozen=True)
class Target:
    """What a life must reach [years] in 90 (p10) or 50 (p50) of 100 draws; None asks for nothing."""

    years: float | None
    by: By = "p10"


def sizes(rope: Card, ship: float, step: float, window: tuple[float, float] = LINE_WINDOW) -> list[tuple[float, float]]:
    """Diameters [m] in steps [m] with their LDBF over SDMBL: those in the window, the next below and the next above.

    The break force goes with the square of the diameter from the card's own size; `ship` is the SDMBL [N].
    """
    own, force = rope.data["diameter"].value, rope.data["design_break_force"].value
    low, high = (own * math.sqrt(share * ship / force) / step for share in window)
    first, last = math.ceil(low - ROUNDING) - 1, math.floor(high + ROUNDING) + 1
    numbers = [number for number in range(first, last + 1) if number > 0]
    return [(number * step, force * (number * step / own) ** 2 / ship) for number in numbers]


def strength(share: float, what: str = "LDBF", window: tuple[float, float] = LINE_WINDOW) -> Check:
    """A break force over SDMBL against its window."""
    low, high = (100.0 * end for end in window)
    value = 100.0 * share
    if share < window[0] - ROUNDING:
        text = "below SDMBL" if window == LINE_WINDOW else f"below {low:.0f} %SDMBL"
        return Check("strength", "fails", value, low, f"{what} {value:.1f} %: {text}", f"{what} of {low:.0f} %SDMBL")
    if share > window[1] + ROUNDING:
        why = ", stronger than fittings and brake are sized for" if window == LINE_WINDOW else ""
        text = f"{what} {value:.1f} %: above {high:.0f} %SDMBL{why}"
        return Check("strength", "fails", value, high, text, f"{what} of at most {high:.0f} %SDMBL")
    return Check("strength", "ok", value, high, f"{what} {value:.1f} %SDMBL")


def checks(
    rope: RopeResult, chosen: Sequence[LineResult], ship: float, weights: Array, target: Target
) -> tuple[Check, ...]:
    """Every check of an assessed rope on some of its line groups, `ship` the SDMBL [N]."""
    rows = [
        _worst([_bend(line) for line in chosen]),
        _worst([_tension(line, ship) for line in chosen]),
        _worst([_core(line, weights) for line in chosen]),
        _worst([_margin(line, weights) for line in chosen]),
    ]
    if not rope.refusal:
        rows.append(_life(np.min([line.lives.age for line in chosen], axis=0), weights, target))
    return tuple(rows)


def _worst(found: list[Check]) -> Check:
    """Of one check on several lines that with the least left: its verdict first, then its value in its own sense.

    The value and not its ratio to a limit: the lines of a bend can be held against different limits.
    """
    rank = {"fails": 2, "caution": 1, "ok": 0}

    def little(check: Check) -> float:
        return -math.inf if check.value is None else SENSE[check.name] * check.value

    return max(found, key=lambda check: (rank[check.verdict], little(check)))


def usual_ratio(fibre: str) -> float | None:
    """Usual D/d of a fibre by its name; None where nothing is usual."""
    return next((ratio for name, ratio in USUAL_RATIO.items() if fibre.startswith(name)), None)


def _bend(line: LineResult) -> Check:
    """The sharpest bend D/d against the tests and what is usual."""
    subject = line.setup.subject
    if not subject.contacts:
        return Check("bend", "ok", None, None, "no fitting")
    diameter = subject.data["diameter"].value
    shapes = {item.name: [subject.data[item.key(key)].value for key in SHAPE] for item in subject.contacts}
    ratios = {name: float(bending.bend_ratio(radius, wrap, diameter)) for name, (radius, wrap) in shapes.items()}
    name = min(ratios, key=lambda item: ratios[item])
    ratio = ratios[name]
    least, tested = (_value(line, f"bending_{key}_ratio") for key in ("minimum", "tested"))
    usual = usual_ratio(subject.words.get("fibre", ""))
    at = f"D/d {ratio:.1f} at the {name}"
    if least is not None and ratio < least - ROUNDING:
        needs = f"a radius of {500.0 * least * diameter:.0f} mm at the {name} (now {1000.0 * shapes[name][0]:.0f} mm)"
        return Check("bend", "fails", ratio, least, f"{at}: bending tests end at {least:.0f}", needs)
    if tested is not None and ratio < tested - ROUNDING:
        return Check("bend", "caution", ratio, tested, f"{at}: below the tests ({tested:.0f}), extrapolated")
    if usual is not None and ratio < usual - ROUNDING:
        return Check("bend", "caution", ratio, usual, f"{at}: usual is {usual:.0f} (common practice, no source)")
    return Check("bend", "ok", ratio, usual or tested, at)


def _tension(line: LineResult, ship: float) -> Check:
    """The highest expected tension against the working load limit."""
    duty, limit = line.setup.duty, WORKING_LOAD * ship
    highest = np.where(duty.hours > 0.0, duty.highest, 0.0)
    j = int(np.argmax(highest))
    where = f"{duty.berths[j].name}, {duty.states[j].name}"
    text = f"highest tension {highest[j] / 1e3:.0f} kN in {where}"
    if highest[j] <= limit:
        return Check("tension", "ok", float(highest[j]), limit, text)
    needs = f"a highest tension of {limit / 1e3:.0f} kN in {where} (now {highest[j] / 1e3:.0f} kN)"
    return Check("tension", "fails", float(highest[j]), limit, f"{text}: above WLL {limit / 1e3:.0f} kN", needs)


def _core(line: LineResult, weights: Array) -> Check:
    """The hottest core P90 against the long-term limit [degC]."""
    lasting, _, core = _extreme(line, line.blocks.core, weights, (0.9, 1.0))
    limit = _value(line, "long_term_limit")
    value = core - ZERO_CELSIUS
    text = f"core P90 {value:.0f} C in {lasting}"
    if limit is None:
        return Check("core", "caution", value, None, f"{text}: the card has no limit")
    if core <= limit:
        return Check("core", "ok", value, limit - ZERO_CELSIUS, text)
    cooler = f"a core P90 cooler by {core - limit:.0f} K in {lasting}"
    return Check("core", "fails", value, limit - ZERO_CELSIUS, f"{text}: limit {limit - ZERO_CELSIUS:.0f} C", cooler)


def _margin(line: LineResult, weights: Array) -> Check:
    """The smallest margin P10 against the criterion."""
    lasting, j, margin = _extreme(line, line.blocks.margin, weights, (0.1, -1.0))
    least = line.setup.case.criteria.margin
    text = f"margin P10 {margin:.2f} in {lasting}"
    if margin >= least:
        return Check("margin", "ok", margin, least, text)
    now = line.setup.duty.highest[j] / 1e3
    needs = f"a highest tension of {now * margin / least:.0f} kN in {lasting} (now {now:.0f} kN)"
    return Check("margin", "fails", margin, least, f"{text}: below {least:g}", needs)


def _extreme(line: LineResult, values: Array, weights: Array, how: tuple[float, float]) -> tuple[str, int, float]:
    """The state of the hours that a line has with the largest (sign 1) or smallest (-1) quantile, and that quantile."""
    (p, sign), duty = how, line.setup.duty
    found = np.array([weighted_quantile(column, weights[: len(values)], p) for column in values.T])
    j = int(np.argmax(np.where(duty.hours > 0.0, sign * found, -np.inf)))
    return f"{duty.berths[j].name}, {duty.states[j].name}", j, float(found[j])


def _life(age: Array, weights: Array, target: Target) -> Check:
    """Life P10 or P50 against the target [years]."""
    low, middle = (weighted_quantile(age, weights, p) for p in (0.1, 0.5))
    value = low if target.by == "p10" else middle
    text = f"life P10 {low:.1f} years, P50 {middle:.1f}"
    if target.years is None:
        return Check("life", "ok", value, None, text)
    if value >= target.years:
        return Check("life", "ok", value, target.years, text)
    name = target.by.upper()
    needs = (
        f"a life {name} of {target.years:g} years (now {value:.1f}, {100.0 * (1.0 - value / target.years):.0f} % less)"
    )
    return Check("life", "fails", value, target.years, f"{text}: {name} below {target.years:g}", needs)


def _value(line: LineResult, key: str) -> float | None:
    datum = line.setup.subject.data.get(key)
    return None if datum is None else datum.value
