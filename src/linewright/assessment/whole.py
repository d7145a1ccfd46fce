"""The whole assessment: every rope on every line group, with shared samples."""

from __future__ import annotations

from collections.abc import Mapping
from concurrent.futures import Executor
from dataclasses import dataclass, field, replace

import numpy as np

from linewright.assessment import judge, sea
from linewright.assessment import line as line_stage
from linewright.assessment.draws import Draws, score_matrix
from linewright.assessment.duty import Duty, Elastic, Records, duty_of
from linewright.assessment.evidence import Weighed, another
from linewright.assessment.line import LineResult
from linewright.assessment.rope import Subject, subject, tail_subject
from linewright.assessment.runner import Plan, Runner, Variant, weathers_of
from linewright.assessment.sea import Curves
from linewright.assessment.weather import Weather, hours_of
from linewright.base.errors import InputError, Problem
from linewright.base.findings import Finding
from linewright.cards.model import Shelf
from linewright.case.model import Case, LineGroup
from linewright.importers.model import HourlyYear
from linewright.physics.types import Array

APART_SAMPLES = 512


@dataclass(frozen=True)
class RopeResult:
    """One rope over all line groups; `apart` holds its ages when its laws are drawn on their own.

    `refusal` says why it is not ranked; such a rope is assessed with few samples, for its states only.
    """

    variant: Variant
    title: str
    refusal: str
    lines: tuple[LineResult, ...]
    tails: tuple[LineResult | None, ...]
    apart: Array | None

    @property
    def ages(self) -> Array:
        """Age of the first line group to finish, shape (S,) [years]."""
        return np.min([result.lives.age for result in self.lines], axis=0)

    @property
    def first_line(self) -> Array:
        """Index of the line group that finishes first, shape (S,)."""
        return np.argmin([result.lives.age for result in self.lines], axis=0)


REFUSED_SAMPLES = 256
FINISHED = 0.1  # of the draws, from which a worn rope is said to be finished
OFFSET = 0.02  # of the highest tension
FAR_DEGREES = 1.0


@dataclass(frozen=True)
class Whole:
    """The assessment: ropes in the order of the case, the first on board; `weighed` is what evidence did to it."""

    case: Case
    shelf: Shelf
    ropes: tuple[RopeResult, ...]
    scores: dict[str, Array]
    weights: Array
    findings: tuple[Finding, ...] = ()
    weighed: Weighed | None = None


def _on_files(case: Case, shelf: Shelf, files: Gathered) -> list[Finding]:
    """Doubts about weather and records: a file from elsewhere, a sensor at its end."""
    rows = []
    for berth in case.berths:
        climate = shelf.climates[berth.climate]
        stated, year = (climate.latitude, climate.longitude), files.years.get(berth.climate)
        station = stated if year is None else (year.latitude, year.longitude)
        if _is_far(station, stated):
            text = f"the weather file of {climate.title} lies more than {FAR_DEGREES:.0f} degree from the card's place"
            rows.append(Finding("weather-place", "caution", text, berth.name))
        elif berth.place is not None and _is_far(station, berth.place):
            text = f"the weather of {climate.title} lies more than {FAR_DEGREES:.0f} degree from the berth"
            rows.append(Finding("weather-place", "caution", text, berth.name))
    for name, counted in files.records.items():
        rows += [Finding("log-doubt", "caution", f"{name}: {text}", name) for text in counted.doubts]
        if counted.is_saturated:
            text = f"{name} stays at its highest value; the highest tension may be larger"
            rows.append(Finding("log-saturated", "caution", text, name))
        if counted.lowest < -OFFSET * counted.highest:
            is_share = counted.base != "N"
            lowest = f"{100.0 * counted.lowest:.0f} %{counted.base}" if is_share else f"{counted.lowest / 1e3:.0f} kN"
            text = f"{name} falls to {lowest}: a line does not push; check the zero of the sensor"
            rows.append(Finding("log-negative", "caution", text, name))
        if counted.unrecorded > 0.0:
            text = f"{name} pauses for {counted.unrecorded / 3600.0:.2g} h in all; that time is left out"
            rows.append(Finding("log-paused", "caution", text, name))
    return rows + _on_seas(case, files)


def _is_far(one: tuple[float, float], other: tuple[float, float]) -> bool:
    """Whether two places [rad] differ by more than a degree of latitude or longitude."""
    apart = np.degrees(np.abs(np.subtract(one, other)))
    return bool(max(apart[0], min(apart[1], 360.0 - apart[1])) > FAR_DEGREES + 1e-9)


def _on_seas(case: Case, files: Gathered) -> list[Finding]:
    """How spectra became cycles, and what a table of responses leaves out."""
    rows = []
    for berth in case.berths:
        for state in berth.states:
            for name, tension in state.tension.items():
                about = f"{berth.name}, {state.name}: {name}"
                if tension.response is None:
                    continue
                rows.append(Finding("spectral-method", "note", sea.other_methods(state, tension, files.curves), about))
                if sea.has_bands_apart(state, tension, files.curves):
                    text = f"its spectrum has bands apart, where {sea.doubt_of(tension.response.method)}"
                    rows.append(Finding("bands-apart", "caution", f'{text}; method = "histories" counts', about))
                share = sea.left_out(state, tension, files.curves)
                if share > sea.LEFT_OUT:
                    text = f"{100.0 * share:.3g} % of the sea's variance lies beyond the table of responses: left out"
                    rows.append(Finding("response-range", "caution", text, about))
    return rows


def _raised(plan: Plan) -> list[Finding]:
    """Records of the rope on board that are shorter than the hours they stand for, and what they were raised to."""
    rows = []
    for item, duty in zip(plan.mains, plan.duties, strict=True):
        for berth, state, raised in zip(duty.berths, duty.states, duty.raised, strict=True):
            if raised is not None and raised.text:
                rows.append(
                    Finding("log-short", "caution", raised.text, f"{berth.name}, {state.name}: {item.line.name}")
                )
    return rows


def plans_of(case: Case, shelf: Shelf, files: Gathered) -> list[Plan]:
    """What each rope would be assessed with. Raises InputError or CardError for what cannot be."""
    return [_plan(case, shelf, variant, files) for variant in variants(case)]


def variants(case: Case) -> list[Variant]:
    """The rope on board, then the ropes compared."""
    on_board = " + ".join(dict.fromkeys(line.rope for line in case.lines))
    rows = [Variant(on_board, "load", True, case.lines[0].where, {})]
    rows += [Variant(item.rope, item.same, False, item.where, item.data) for item in case.compared]
    return rows


@dataclass(frozen=True)
class Gathered:
    """What was read from files: typical years by climate card, counted records by their path in the study."""

    years: Mapping[str, HourlyYear] = field(default_factory=dict)
    records: Records = field(default_factory=dict)
    curves: Curves = field(default_factory=dict)


def assess_case(
    case: Case,
    shelf: Shelf,
    executor: Executor | None = None,
    gathered: Gathered | None = None,
    scores: dict[str, Array] | None = None,
) -> Whole:
    """Assess every rope of a case, by its own draws or another's `scores`. Raises InputError for a card not there."""
    _check_climates(case, shelf)
    plans = plans_of(case, shelf, gathered or Gathered())
    shared = [Draws(item.data, {}, case.samples, "", item.laws) for plan in plans for item in plan.subjects]
    apart = [
        Draws(item.data, {}, case.samples, item.name, item.laws)
        for plan in plans
        if not plan.variant.on_board
        for item in plan.subjects
    ]
    board = {name for draws in shared[: len(plans[0].subjects)] for name in draws.columns}
    others = {name for draws in (*shared, *apart) for name in draws.columns} - board
    luck = {item.column for plan in plans for duty in plan.duties for item in duty.raised if item is not None}
    if scores is None:
        scores = score_matrix([*sorted(board), *sorted(others), *sorted(luck)], case.samples, case.seed)
    weathers = weathers_of(plans[0])
    expect = getattr(executor, "expect", None)
    if expect is not None:  # an executor that says how far it is wants to know how far it goes
        expect(sum(_blocks(plan, case) for plan in plans))
    new = another(scores, case.samples, case.seed) if case.evidence else scores  # not the luck of the rope on board
    rows = zip(plans, (scores, *[new] * (len(plans) - 1)), strict=True)
    ropes = tuple(_assess_plan(plan, (case, weathers), drawn, executor) for plan, drawn in rows)
    doubts = (*_on_files(case, shelf, gathered or Gathered()), *_raised(plans[0]))
    whole = Whole(case, shelf, ropes, scores, np.ones(case.samples), (*doubts, *_on_past(case, ropes[0])))
    return _weighed(whole, Runner.of_board(plans[0], case, weathers, executor))


def _weighed(whole: Whole, runner: Runner) -> Whole:
    """The assessment with its draws weighted by the evidence of the case, or told why not."""
    case, board = whole.case, whole.ropes[0]
    if not case.evidence or board.refusal:
        return whole
    found = runner.weigh(board.lines, whole.scores)
    told = [Finding("evidence-refused", "caution", found.refused, board.title)] if found.refused else []
    return replace(whole, weights=found.weights, weighed=found, findings=(*whole.findings, *told))


def _on_past(case: Case, board: RopeResult) -> list[Finding]:
    """What earlier trades mean for the rope on board and for the ropes beside."""
    if not case.past:
        return []
    text = "the rope on board comes worn and its years count from today; ropes compared, and tails, are new"
    rows = [Finding("earlier-trades", "note", text, case.past[0].name)]
    share = 0.0 if board.refusal else float(np.mean(board.ages <= 0.0))
    if share >= FINISHED:
        end = "take it out of service until a competent person has inspected it"
        text = f"by the criteria the rope on board is finished today in {100.0 * share:.0f} % of the draws: {end}"
        rows.append(Finding("rope-finished", "caution", text, board.title))
    return rows


def _check_climates(case: Case, shelf: Shelf) -> None:
    problems = [
        Problem(
            f'{berth.where}  berth "{berth.name}" > climate',
            berth.climate,
            f"a climate card: {', '.join(sorted(shelf.climates))}",
        )
        for berth in case.every_berth
        if berth.climate not in shelf.climates
    ]
    if problems:
        raise InputError("A berth names a climate card that is not there.", problems)


def _plan(case: Case, shelf: Shelf, variant: Variant, files: Gathered) -> Plan:
    plan = _plan_of_trade(case, shelf, variant, files)
    if not variant.on_board:
        return plan
    past = tuple(_plan_of_trade(case.of_past(item), shelf, variant, files) for item in case.past)
    return replace(plan, past=past)


def _plan_of_trade(case: Case, shelf: Shelf, variant: Variant, files: Gathered) -> Plan:
    hours = [
        hours_of(shelf.climates[berth.climate], berth.months, files.years.get(berth.climate))
        for berth in case.berths
        for _ in berth.states
    ]
    air = np.array([np.sum(row.weight * row.air) for row in hours])
    mains, tails, duties = [], [], []
    for line in case.lines:
        board = subject(case, shelf, line, line.rope, line.where)
        main = board if variant.on_board else subject(case, shelf, line, variant.rope, variant.where, variant.data)
        tail = tail_subject(case, shelf, line)
        duty = _duty(case, line, (board, main), tail, (variant, files, air))
        mains.append(main)
        duties.append(duty)
        tails.append(tail if variant.on_board else None)
    title = " + ".join(dict.fromkeys(main.title for main in mains))
    same_length = _pad(hours)
    return Plan(
        variant,
        title,
        tuple(mains),
        tuple(tails),
        tuple(duties),
        same_length[0].stack(same_length[1:]),
    )


def _pad(hours: list[Weather]) -> list[Weather]:
    """Weather rows of equal length: short ones repeat their last hour with weight 0."""
    longest = max(row.air.size for row in hours)
    padded = []
    for row in hours:
        extra = longest - row.air.size
        values = {name: np.pad(getattr(row, name), (0, extra), mode="edge") for name in Weather.__dataclass_fields__}
        values["weight"] = np.pad(row.weight, (0, extra))
        padded.append(Weather(**values))
    return padded


def _duty(
    case: Case,
    line: LineGroup,
    ropes: tuple[Subject, Subject],
    tail: Subject | None,
    how: tuple[Variant, Gathered, Array],
) -> Duty:
    """The duty of the second rope; the first is on board."""
    elastic = (Elastic.of(ropes[0].data), Elastic.of(ropes[1].data))
    variant, files, air = how
    soft = Elastic.of(tail.data) if tail else None
    return duty_of(case, line, elastic, soft, variant.same, (files.records, files.curves), air)


def _refusal(plan: Plan, case: Case) -> str:
    """Why a rope is not ranked on any of its lines, or an empty text."""
    pairs = zip(plan.mains, plan.duties, strict=True)
    return next((text for item, duty in pairs if (text := judge.refusal(item, duty, case))), "")


def _samples(case: Case, refusal: str) -> int:
    return min(REFUSED_SAMPLES, case.samples) if refusal else case.samples


def _blocks(plan: Plan, case: Case) -> int:
    """Number of blocks that a rope's assessment takes."""
    refusal = _refusal(plan, case)
    per_run = -(-_samples(case, refusal) // line_stage.BLOCK)
    alone = 0 if plan.variant.on_board or refusal else -(-min(APART_SAMPLES, case.samples) // line_stage.BLOCK)
    return per_run * len(plan.subjects) + alone * len(plan.mains)


def _assess_plan(
    plan: Plan, given: tuple[Case, list[Weather]], scores: dict[str, Array], executor: Executor | None
) -> RopeResult:
    case, weathers = given
    refusal = _refusal(plan, case)
    samples = _samples(case, refusal)
    runner = Runner(plan, case, weathers, (), executor)
    if plan.variant.on_board:
        runner = Runner.of_board(plan, case, weathers, executor)
    lines = runner.lines(scores, samples)
    tails = tuple(
        None if item is None else runner.line(number, item, scores, samples) for number, item in enumerate(plan.tails)
    )
    alone = None
    if not plan.variant.on_board and not refusal:
        few = min(APART_SAMPLES, case.samples)
        ages = [runner.line(number, item, scores, few, item.name).lives.age for number, item in enumerate(plan.mains)]
        alone = np.min(ages, axis=0)
    return RopeResult(plan.variant, plan.title, refusal, lines, tails, alone)
