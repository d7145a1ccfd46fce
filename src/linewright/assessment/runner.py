"""Plans of ropes, and how their lines are run with any scores."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from concurrent.futures import Executor
from dataclasses import dataclass, replace

from linewright.assessment import line as line_stage
from linewright.assessment.draws import Draws
from linewright.assessment.duty import Duty
from linewright.assessment.evidence import AGES, Weighed, another, has_other, weigh
from linewright.assessment.line import LineResult
from linewright.assessment.rope import Subject
from linewright.assessment.weather import Weather
from linewright.base.data import Datum
from linewright.case.model import Case, SameDuty
from linewright.physics.types import Array

CURVE = (0.0, 0.5, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 15.0, 20.0, 25.0, 30.0)  # [years since new]


@dataclass(frozen=True)
class Variant:
    """A rope to assess: its card and whether it keeps the load or the ship's motion."""

    rope: str
    same: SameDuty
    on_board: bool
    where: str
    data: Mapping[str, Datum]


@dataclass(frozen=True)
class Plan:
    """A rope on every line group: subjects of ropes and tails, duties, hours of weather, earlier trades."""

    variant: Variant
    title: str
    mains: tuple[Subject, ...]
    tails: tuple[Subject | None, ...]
    duties: tuple[Duty, ...]
    hours: Weather
    past: tuple[Plan, ...] = ()

    @property
    def subjects(self) -> list[Subject]:
        """Every rope and tail."""
        return [*self.mains, *(tail for tail in self.tails if tail is not None)]


def weathers_of(plan: Plan) -> list[Weather]:
    """Weather classes of every line group: made once, with the rope on board."""
    pairs = zip(plan.mains, plan.duties, strict=True)
    return [line_stage.condense(item, duty, plan.hours, Draws(item.data, {}, 1, "", item.laws)) for item, duty in pairs]


@dataclass(frozen=True)
class Runner:
    """Runs the lines of a plan with any scores; `marks` are ages at which every draw's state is kept."""

    plan: Plan
    case: Case
    weathers: list[Weather]
    marks: tuple[float, ...] = ()
    executor: Executor | None = None

    @classmethod
    def of_board(cls, plan: Plan, case: Case, weathers: list[Weather], executor: Executor | None = None) -> Runner:
        """That of the rope on board, with what its evidence asks for."""
        asked = {item.mark for item in case.evidence if item.mark is not None}
        return cls(plan, case, weathers, tuple(sorted(asked)), executor)

    def weigh(self, lines: tuple[LineResult, ...], scores: Mapping[str, Array]) -> Weighed:
        """What the evidence of the case makes of the draws of these lines."""
        samples = self.case.samples
        others = self.lines(another(scores, samples, self.case.seed), samples) if has_other(self.case) else lines
        return weigh(self.case, lines, scores, others)

    def line(
        self, number: int, item: Subject, scores: Mapping[str, Array], samples: int, apart: str = ""
    ) -> LineResult:
        """One line group (or its tail) with the first so many draws."""
        return self.start(number, item, scores, samples, apart)()

    def start(
        self, number: int, item: Subject, scores: Mapping[str, Array], samples: int, apart: str = ""
    ) -> Callable[[], LineResult]:
        """Hand a line's work to the executor; what is returned waits for it."""
        part = {name: values[:samples] for name, values in scores.items()}
        draws = Draws(item.data, part, samples, apart, item.laws)
        return line_stage.start(self.setup(number, item, draws), draws, self.executor)

    def setup(self, number: int, item: Subject, draws: Draws) -> line_stage.Setup:
        """What the blocks of a line group (or its tail) share; `draws` begin with the central one."""
        setup = line_stage.prepare(self.case, item, self.plan.duties[number], self.weathers[number], draws)
        earlier = () if item.is_tail else self._earlier(number, draws)
        asks = self.plan.variant.on_board and any(known.kind in AGES for known in self.case.evidence)
        return replace(setup, earlier=earlier, marks=self.marks, curve=CURVE, asks_age=asks)

    def lines(self, scores: Mapping[str, Array], samples: int) -> tuple[LineResult, ...]:
        """Every line group without tails, worked on at the same time where there is an executor."""
        started = [self.start(number, item, scores, samples) for number, item in enumerate(self.plan.mains)]
        return tuple(finish() for finish in started)

    def _earlier(self, number: int, draws: Draws) -> tuple[line_stage.Earlier, ...]:
        """The earlier trades of one line group; a tail is taken as new, and so is a rope that is compared."""
        rows = []
        for past, before in zip(self.case.past, self.plan.past, strict=False):
            hours, main, duty = weathers_of(before)[number], before.mains[number], before.duties[number]
            setup = line_stage.prepare(self.case.of_past(past), main, duty, hours, draws)
            rows.append(line_stage.Earlier(past.name, past.years, setup))
        return tuple(rows)
