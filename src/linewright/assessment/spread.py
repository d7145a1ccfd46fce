"""What makes the band of the rope on board wide, what a test would narrow, and what a choice of law is worth."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from linewright.assessment import judge
from linewright.assessment.draws import CENTRAL, Draws, column, score_matrix
from linewright.assessment.life import HORIZON
from linewright.assessment.line import LineResult
from linewright.assessment.rope import Subject
from linewright.assessment.runner import Runner, weathers_of
from linewright.assessment.whole import Gathered, plans_of
from linewright.base.data import Datum
from linewright.base.errors import InputError, Problem
from linewright.cards.curves import TensionCurve, curves_for
from linewright.cards.model import Shelf
from linewright.case.model import Case
from linewright.physics import bending, narrowing
from linewright.physics.statistics import rank_shares, weighted_quantile
from linewright.physics.types import Array

TOP = 10  # data that get an index of their own; the others share one
LEAST_AGE = 0.25  # [years] below which ln life is not followed: a rope that ends at once is one outcome
AHEAD = (0.5, 1.0, 2.0)  # [years] from today of the lines that a break test takes: the latest within half a life
CHOICE_SAMPLES = 512
LINE = ("tension_fatigue_exponent", "tension_fatigue_constant")


@dataclass(frozen=True)
class Board:
    """The rope on board, ready to be run with any scores; `keys` its data by column, `columns` all those of `run`."""

    runner: Runner
    columns: tuple[str, ...]
    keys: Mapping[str, str]
    data: Mapping[str, Datum]

    def ages(self, scores: Mapping[str, Array], samples: int) -> Array:
        """Age of the first line group to finish, shape (S,) [years]."""
        return np.asarray(np.min([line.lives.age for line in self.runner.lines(scores, samples)], axis=0))

    def without(self, scores: Mapping[str, Array], doubt: str) -> dict[str, Array]:
        """The scores with one kind of doubt held at its centre."""
        return {
            name: np.zeros_like(values) if name in self.data and self.data[name].doubt == doubt else values
            for name, values in scores.items()
        }


def _ahead(case: Case) -> tuple[float, ...]:
    """Ages of the rope on board at which a break test could be made [years since new]."""
    return tuple(sum(item.years for item in case.past) + years for years in AHEAD)


def board_of(case: Case, shelf: Shelf, files: Gathered) -> Board:
    """The rope on board of a case, with the weather classes and the columns that `run` gives it."""
    alone = replace(case, compared=())
    plan = plans_of(alone, shelf, files)[0]
    runner = Runner.of_board(plan, alone, weathers_of(plan))
    runner = replace(runner, marks=tuple(sorted({*_ahead(case), *runner.marks})))
    keys: dict[str, str] = {}
    data: dict[str, Datum] = {}
    for item in plan.mains:
        for datum in item.data.values():
            if datum.has_band and datum.key not in CENTRAL:
                keys.setdefault(column(datum), datum.key)
                data.setdefault(column(datum), datum)
    drawn = {name for item in plan.subjects for name in Draws(item.data, {}, 1, "", item.laws).columns}
    luck = {item.column for duty in plan.duties for item in duty.raised if item is not None}
    return Board(runner, (*sorted(drawn), *sorted(luck)), dict(sorted(keys.items())), data)


def check(board: Board) -> None:
    """Raise InputError for a rope on board that has no life."""
    plan = board.runner.plan
    for item, duty in zip(plan.mains, plan.duties, strict=True):
        refusal = judge.refusal(item, duty, board.runner.case)
        if refusal:
            needs = "a rope on board whose every mechanism is assessed"
            raise InputError("The rope on board has no life.", [Problem(item.line.where, item.title, needs, refusal)])


@dataclass(frozen=True)
class Split:
    """Ages with all doubt, ignorance alone and scatter alone, shape (S,); weights of the first, or why not."""

    whole: Array
    ignorance: Array
    scatter: Array
    weights: Array
    refused: str = ""


def split(board: Board, case: Case, scores: Mapping[str, Array]) -> tuple[Split, tuple[LineResult, ...]]:
    """The band with one kind of doubt frozen at a time; also the lines with all of it."""
    lines = board.runner.lines(scores, case.samples)
    whole = np.asarray(np.min([line.lives.age for line in lines], axis=0))
    weights, refused = np.ones(case.samples), ""
    if case.evidence:
        weighed = board.runner.weigh(lines, scores)
        weights, refused = weighed.weights, weighed.refused
    few = {name: values[:CHOICE_SAMPLES] for name, values in scores.items()}
    count = min(CHOICE_SAMPLES, case.samples)
    parts = [board.ages(board.without(few, doubt), count) for doubt in ("scatter", "ignorance")]
    return Split(whole, parts[0], parts[1], weights, refused), lines


@dataclass(frozen=True)
class Index:
    """How much one datum (or all others together, key "") spreads ln life: first and total Sobol' index, rank share."""

    key: str
    first: float
    total: float
    rank: float


def indices(board: Board, scores: Mapping[str, Array], ages: Array, size: int) -> list[Index]:
    """Sobol' indices of ln life by the ten data that lead the rank, and of all others as one group.

    `size` is the number of base draws, a power of two; the assessment runs 13 times as many.

    From
    ----
    Saltelli et al. 2010 for the first, Jansen 1999 for the total index (scipy.stats.sobol_indices).
    """
    names = [name for name in board.keys if name in scores]
    ranks = rank_shares(np.stack([scores[name] for name in names], axis=1), ages)
    leading = [names[n] for n in np.argsort(-ranks, kind="stable")[:TOP]]
    columns = [f"{name} {side}" for side in "AB" for name in names]
    both = score_matrix(columns, size, board.runner.case.seed)
    one, two = ({name: both[f"{name} {side}"] for name in names} for side in "AB")
    rest = [name for name in names if name not in leading]
    groups = [[name] for name in leading] + ([rest] if rest else [])
    first, total = sobol(lambda drawn: np.log(np.maximum(board.ages(drawn, size), LEAST_AGE)), one, two, groups)
    shares = dict(zip(names, map(float, ranks), strict=True))
    rows = [Index(board.keys[name], first[n], total[n], shares[name]) for n, name in enumerate(leading)]
    if rest:
        rows.append(Index("", first[-1], total[-1], sum(shares[name] for name in rest)))
    return rows


def sobol(
    outcome: Callable[[Mapping[str, Array]], Array], one: Mapping[str, Array], two: Mapping[str, Array],
    groups: Sequence[Sequence[str]],
) -> tuple[list[float], list[float]]:  # fmt: skip
    """First and total indices of groups of columns; `one` and `two` are independent scores of a power of two."""
    from scipy import stats

    size = len(next(iter(one.values())))
    mixed = np.stack([outcome({**one, **{name: two[name] for name in group}})[None] for group in groups])
    found = stats.sobol_indices(func={"f_A": outcome(one)[None], "f_B": outcome(two)[None], "f_AB": mixed}, n=size)
    first, total = np.ravel(found.first_order), np.ravel(found.total_order)
    return [float(item) for item in first], [float(item) for item in total]


@dataclass(frozen=True)
class Test:
    """A test that could be made: what it reads in every draw, with which doubt, and the width it would leave."""

    __test__ = False

    name: str
    doubt: str
    left: float


def tests(board: Board, found: Split, lines: Sequence[LineResult], scores: Mapping[str, Array]) -> list[Test]:
    """What each test would leave of the band of ln life (P10 to P90), expected over its results, best first."""
    outcome = np.log(np.maximum(found.whole, LEAST_AGE))
    first = lines[int(np.argmin([line.lives.age[0] for line in lines]))]
    rows = [
        Test(name, text, narrowing.expected_width(outcome, seen, doubt, found.weights))
        for name, seen, doubt, text in _readings(first, scores, _when(found))
    ]
    return sorted(rows, key=lambda row: row.left)


def _when(found: Split) -> int:
    """Which of the dates for a break test: the latest within half the median life."""
    half = 0.5 * weighted_quantile(found.whole, found.weights, 0.5)
    return max((n for n, years in enumerate(AHEAD) if years <= half), default=0)


def _readings(line: LineResult, scores: Mapping[str, Array], when: int) -> Iterator[tuple[str, Array, float, str]]:
    """Name, reading in every draw, standard deviation and its text of every test that the data allow."""
    draws = Draws(line.setup.subject.data, scores, len(line.lives.age), "", line.setup.subject.laws)
    core = line.blocks.core
    states = line.setup.duty.states
    hot = int(np.argmax(core[0] * (line.setup.duty.hours > 0.0)))
    yield f"thermocouples in the rope: core in {states[hot].name}", core[:, hot], 2.0, "2 K"
    at, years = (
        line.setup.marks.index(_ahead(line.setup.case)[when]),
        f"{AHEAD[when]:g} year{'' if AHEAD[when] == 1.0 else 's'}",
    )
    left = np.log(np.maximum(line.blocks.marks[:, 0, at], 1e-3))
    yield f"break test of two lines in {years}", left, 0.05 / np.sqrt(2.0), "5 % each"
    longer = np.log(np.maximum(line.blocks.marks[:, 1, at], 1e-4))
    if np.ptp(longer) > 0.0:
        yield f"tape on the line over {years}: lengthening", longer, 0.15, "15 %"
    for key, name, doubt in SINGLE:
        if draws.has(key) and draws.data[key].has_band and key in line.used:
            yield name, np.log(draws.of(key, 1)), doubt, f"{100.0 * doubt:.0f} %"


SINGLE = (
    ("bending_reference_cycles", "bending endurance test at the anchor's load and D/d, three ropes", 0.20),
    ("creep_rate_constant", "creep run of the fibre at one stress and temperature", 0.15),
    ("bending_load_exponent", "bending endurance at a second load, three ropes", 0.10),
    ("payout_spread", "log of the payout over a season", 0.15),
    ("friction_on_steel", "pull over the fitting: friction", 0.10),
    ("bending_loss", "pull over a free roller: bending loss", 0.15),
    ("radial_conductivity_dry", "heated rope with thermocouples: conductivity", 0.10),
    ("tension_fatigue_constant", "tension endurance test, three ropes", 0.20),
    ("wear_coefficient", "wear run on the fitting's surface", 0.20),
)


@dataclass(frozen=True)
class Choice:
    """A law or rule chosen otherwise: ages with it, and their ratio to the study's in the same draws.

    Draws that either of them carries beyond the horizon have no ratio.
    """

    name: str
    ages: Array
    ratio: Array


def choices(board: Board, scores: Mapping[str, Array], samples: int) -> list[Choice]:
    """Named alternatives of laws and rules, one at a time, with the same draws."""
    count = min(samples, CHOICE_SAMPLES)
    base = board.ages(scores, count)
    rows = []
    for name, changed in _alternatives(board.runner.plan.mains):
        plan = replace(board.runner.plan, mains=changed)
        ages = replace(board, runner=replace(board.runner, plan=plan)).ages(scores, count)
        both = (ages < HORIZON) & (base < HORIZON)
        rows.append(Choice(name, ages, ages[both] / np.maximum(base[both], LEAST_AGE)))
    return rows


@dataclass(frozen=True)
class Rule:
    """A rule of combining the mechanisms, central run at the rates of a new rope: years, ratio to the study's."""

    name: str
    years: float
    ratio: float


def rules(line: LineResult, strength_left: float) -> list[Rule]:
    """What other rules of combination would say at the metre that ends the central life.

    The study's: losses of strength add from the first cycle. Others: no loss before damage 1, with damages summed
    (Miner), or each mechanism on its own and the weakest ends the rope. Last the margin of time against creep failure.
    """
    rates, metre = line.central.rates, int(line.lives.metre[0])
    loss, unit = rates.loss[0, :, metre], rates.unit[0]
    counted = np.isfinite(unit) & (loss > 0.0)
    if not counted.any() or not loss.sum() > 0.0:
        return []
    own = -np.log(strength_left) / loss.sum()
    damage = loss[counted] / unit[counted]
    found = (("damages of all mechanisms summed to 1", 1.0 / damage.sum()),
             ("the weakest mechanism alone to damage 1", 1.0 / damage.max()))  # fmt: skip
    rows = [Rule(name, float(years), float(years / own)) for name, years in found]
    creep = rates.creep
    if creep >= 0 and counted[creep]:
        years = unit[creep] / loss[creep]
        rows.append(Rule("creep alone to damage 1 (codes ask 3, long-term 5 to 8)", float(years), float(years / own)))
    return rows


def _alternatives(mains: tuple[Subject, ...]) -> Iterator[tuple[str, tuple[Subject, ...]]]:
    """Each alternative with the ropes that it makes."""
    own = mains[0].words
    if own.get("creep_law") == "activated":
        for rule in ("core", "equal strain", "equal stress"):
            if rule != own.get("creep_section", "core"):
                yield f"creep by the section rule {rule}", _worded(mains, creep_section=rule)
        for form in bending.FORMS:  # curves of HMPE ropes
            yield f"bending by the {form} form, through the same test", _worded(mains, bending_form=form)
    yield "bending at the crest's tension, not the mean", _worded(mains, bending_load="crest")
    if "strength_factor" in mains[0].data:
        yield "tension fatigue over the strength at temperature", _worded(mains, tension_reference="at temperature")
    yield from _curves(mains)
    for end in ("low", "high"):
        if "film_factor" in mains[0].data:
            yield f"film coefficient at the {end} end of the published ones", _held(mains, "film_factor", end)


def _curves(mains: tuple[Subject, ...]) -> Iterator[tuple[str, tuple[Subject, ...]]]:
    """The named tension-fatigue curves of the fibre, but for the one that the rope stands on."""
    if all(key in mains[0].data for key in LINE):
        for curve in curves_for(mains[0].words["fibre"]):
            if any(curve.value(key) != mains[0].data[key].value for key in LINE):
                yield f"tension fatigue by the curve {curve.name}", curved(mains, curve)


def _worded(mains: tuple[Subject, ...], **words: str) -> tuple[Subject, ...]:
    return tuple(replace(item, words={**item.words, **words}) for item in mains)


def curved(mains: tuple[Subject, ...], curve: TensionCurve) -> tuple[Subject, ...]:
    """The ropes with a named curve; its constant takes over the band that the card has about its own."""

    def banded(data: Mapping[str, Datum]) -> dict[str, Datum]:
        key = LINE[1]
        own, ratio = data[key], curve.data[key].value / data[key].value
        low, value, high = (part * ratio for part in (own.low, own.value, own.high))
        return {**curve.over(data), key: replace(own, value=value, low=low, high=high)}

    return tuple(replace(item, data=banded(item.data)) for item in mains)


def _held(mains: tuple[Subject, ...], key: str, end: str) -> tuple[Subject, ...]:
    """The ropes with one datum held at an end of its band."""

    def held(datum: Datum) -> Datum:
        value = getattr(datum, end)
        return replace(datum, value=value, low=value, high=value, shape="fixed")

    return tuple(replace(item, data={**item.data, key: held(item.data[key])}) for item in mains)
