"""A state's operating window: temperatures, margins and hours left over air and swell, mean tension, wind or hours.

Every point is the state with its weather shifted in temperature as a whole, so that its hot hour (that of `run`) has
the air temperature of the point: sun, wind, and what air stands above dew point and sky stay. At the state's own swell,
mean, wind, hours and air a point is `run`'s own number.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from concurrent.futures import Executor
from dataclasses import dataclass, fields, replace
from functools import partial
from typing import Any, Literal

import numpy as np

from linewright.assessment import life as life_stage
from linewright.assessment import line as line_stage
from linewright.assessment import margin as margin_stage
from linewright.assessment.draws import Draws, score_matrix
from linewright.assessment.duty import Duty, Elastic, duty_of
from linewright.assessment.exposure import Exposure, RateTable
from linewright.assessment.line import Setup
from linewright.assessment.mechanisms.catalogue import BY_NAME
from linewright.assessment.rope import Subject
from linewright.assessment.runner import weathers_of
from linewright.assessment.swung import hauled, lasting, swung
from linewright.assessment.temperature import hottest_of
from linewright.assessment.tending import Tending
from linewright.assessment.weather import Weather
from linewright.assessment.whole import Gathered, plans_of
from linewright.cards.model import Shelf
from linewright.case.model import Berth, Case, State
from linewright.physics.types import Array

Across = Literal["swell", "tension", "wind", "hours"]
YEAR = 8766.0  # [h]
HOT = 0  # index of the hot hour among the classes of weather


@dataclass(frozen=True)
class Scene:
    """One rope on one line group in all its states, with the draws of `run`; `rope` is its number in the case.

    span: coldest and hottest air of the case's berths in the months that they are called in [K].
    """

    case: Case
    shelf: Shelf
    files: Gathered
    rope: int
    subject: Subject
    duty: Duty
    weather: Weather
    draws: Draws
    span: tuple[float, float]

    def alone(self, state: int) -> Case:
        """The case with this line and rope in one state only."""
        return _reduced(self, self.duty.berths[state], (self.duty.states[state],))


@dataclass(frozen=True)
class Window:
    """A state over air temperature (X points) and across it (Y points).

    air [K]; across: times the swell or mean tension, wind [m/s] at the line, or hours at a stretch; core, skin [K],
    margin, sustained [-] and hours of new rope until retirement [h], shape (S, X, Y); swing and highest tension [N] and
    share of the swing cut at zero tension [-], shape (X, Y), as a motion pulls harder in the cold; duty in the state's
    own air, shape (Y,); own, that air [K] and the state's place across; mechanisms that count in the hours.
    """

    air: Array
    across: Array
    core: Array
    skin: Array
    margin: Array
    sustained: Array
    hours: Array
    swing: Array
    highest: Array
    clipped: Array
    duty: Duty
    own: tuple[float, float]
    mechanisms: tuple[str, ...]


def scene_of(case: Case, shelf: Shelf, files: Gathered, line: int, rope: int) -> Scene:
    """A rope on a line group of a case, both by number; score columns stand as in `run`. Raises as `plans_of`."""
    plans = plans_of(case, shelf, files)
    columns = [[Draws(item.data, {}, 1, "", item.laws).columns for item in plan.subjects] for plan in plans]
    board = {name for rows in columns[0] for name in rows}
    apart = [
        Draws(item.data, {}, 1, item.name, item.laws).columns
        for plan in plans
        if not plan.variant.on_board
        for item in plan.subjects
    ]
    others = {name for rows in (*(row for plan in columns for row in plan), *apart) for name in rows} - board
    luck = {item.column for plan in plans for duty in plan.duties for item in duty.raised if item is not None}
    scores = score_matrix([*sorted(board), *sorted(others), *sorted(luck)], case.samples, case.seed)
    one = slice(line, line + 1)
    (weather,) = weathers_of(replace(plans[0], mains=plans[0].mains[one], duties=plans[0].duties[one]))
    subject = plans[rope].mains[line]
    draws = Draws(subject.data, scores, case.samples, "", subject.laws)
    air = plans[0].hours.air[plans[0].hours.weight > 0.0]
    span = (float(air.min()), float(air.max()))
    return Scene(case, shelf, files, rope, subject, plans[rope].duties[line], weather, draws, span)


def central_cores(scene: Scene) -> Array:
    """Core at the hottest place in the hot hour of every state, central data, shape (J,) [K]."""
    setup = line_stage.prepare(scene.case, scene.subject, scene.duty, scene.weather, scene.draws)
    exposure, _ = line_stage.exposed(setup, scene.draws.block(slice(0, 1)))
    return np.asarray(hottest_of(exposure.temperatures.core[0, :, HOT]))


def window(
    scene: Scene, state: int, air: Array, across: tuple[Across, Array], executor: Executor | None = None
) -> Window:
    """A state (by number) over air temperatures [K] and values across them, in all draws of the scene."""
    kind, values = across
    hot = _hour(scene.weather, state)
    at = _duty(scene, state, kind, values)
    own_air, tension = at(0.0), scene.duty.states[state].tension[scene.subject.line.name]
    is_moved = tension.motion is not None or tension.response is not None
    moves = air - hot["air"]
    duties = [at(float(k)) if is_moved else replace(own_air, air=own_air.air + k) for k in moves]
    winds = values if kind == "wind" else np.full(len(values), hot["wind"])
    run: Callable[..., Iterable[_Column]] = executor.map if executor else map
    columns = list(run(partial(_column, scene, hot, winds), air, duties))
    parts = {name: np.stack([getattr(row, name) for row in columns], axis=1) for name in _PARTS}
    parts |= {name: np.stack([getattr(row, name) for row in duties]) for name in ("swing", "highest", "clipped")}
    own = {"swell": 1.0, "tension": 1.0, "wind": float(hot["wind"]), "hours": float(scene.duty.call_hours[state])}[kind]
    return Window(air, values, **parts, duty=own_air, own=(float(hot["air"]), own), mechanisms=columns[0].mechanisms)


def own_places(scene: Scene) -> Window:
    """Every state of the scene at its own place, in the hot hour: one X point, the states along Y."""
    weather = Weather(**{field.name: getattr(scene.weather, field.name)[:, HOT : HOT + 1] for field in fields(Weather)})
    duty = replace(scene.duty, hours=np.full(len(scene.duty.states), YEAR))
    found = _found(scene, replace(weather, weight=np.ones(weather.weight.shape)), duty)
    parts = {name: getattr(found, name)[:, None] for name in _PARTS}
    parts |= {name: getattr(duty, name)[None] for name in ("swing", "highest", "clipped")}
    number = np.arange(len(duty.states), dtype=float)
    return Window(np.zeros(1), number, **parts, duty=duty, own=(0.0, 0.0), mechanisms=found.mechanisms)


def _hour(weather: Weather, state: int) -> dict[str, float]:
    return {field.name: float(getattr(weather, field.name)[state, HOT]) for field in fields(Weather)}


def _duty(scene: Scene, state: int, kind: Across, values: Array) -> Callable[[float], Duty]:
    """The duty of one state at every value across, shape (Y,), in air that is moved by some kelvin."""
    berth, here, files = scene.duty.berths[state], scene.duty.states[state], scene.files
    states = (here,) * len(values)
    if kind == "hours":
        berth, states = lasting(berth, here, values)
    elif kind != "wind":
        force = plans_of(_reduced(scene, berth, (here,)), scene.shelf, files)[0].mains[0].data["design_break_force"]
        bases = {"N": 1.0, "LDBF": force.value, "SDMBL": scene.case.ship_design_break_load}
        states, files = {"swell": swung, "tension": hauled}[kind](here, scene.subject.line.name, values, bases, files)
    case = _reduced(scene, berth, states)
    plans = plans_of(case, scene.shelf, files)
    ropes = Elastic.of(plans[0].mains[0].data), Elastic.of(plans[-1].mains[0].data)
    tail = None if plans[0].tails[0] is None else Elastic.of(plans[0].tails[0].data)
    read, same = (files.records, files.curves), plans[-1].variant.same

    def at(moved: float) -> Duty:
        air = np.full(len(values), scene.duty.air[state] + moved)
        duty = duty_of(case, scene.subject.line, ropes, tail, same, read, air)
        raised = tuple(_of_record(item, scene.duty.raised[state]) for item in duty.raised)
        return replace(duty, raised=raised, hours=np.full(len(values), YEAR))

    return at


def _of_record(item: Any, own: Any) -> Any:
    """The luck in a record is that of the record as it is, however far it is swung."""
    return None if item is None else replace(item, record=own.record)


def _reduced(scene: Scene, berth: Berth, states: tuple[State, ...]) -> Case:
    """The case with one line, one berth and one rope beside that on board."""
    compared = scene.case.compared[scene.rope - 1 : scene.rope] if scene.rope else ()
    return replace(
        scene.case, lines=(scene.subject.line,), berths=(replace(berth, states=states),),
        compared=compared, past=(), evidence=(),
    )  # fmt: skip


_PARTS = ("core", "skin", "margin", "sustained", "hours")


@dataclass(frozen=True)
class _Column:
    """One air temperature: shapes (S, Y)."""

    core: Array
    skin: Array
    margin: Array
    sustained: Array
    hours: Array
    mechanisms: tuple[str, ...]


def _column(scene: Scene, hot: Mapping[str, float], winds: Array, air: float, duty: Duty) -> _Column:
    """Every value across at one air temperature [K]."""
    count, moved = len(winds), air - hot["air"]
    values = {name: np.full((count, 1), value) for name, value in hot.items()}
    for name in ("air", "dew_point", "sky"):
        values[name] = values[name] + moved
    weather = Weather(**{**values, "wind": winds[:, None].astype(float), "weight": np.ones((count, 1))})
    return _found(scene, weather, duty)


def _found(scene: Scene, weather: Weather, duty: Duty) -> _Column:
    """States of a duty, each in its one hour of weather."""
    draws = replace(scene.draws, asked=set())
    setup = line_stage.prepare(scene.case, scene.subject, duty, weather, draws)
    exposure, presence = line_stage.exposed(setup, draws)
    crest, held = margin_stage.margins(draws, exposure)
    hours = _hours_left(setup, draws, (exposure, crest), presence)
    core, skin = (hottest_of(part[:, :, HOT]) for part in (exposure.temperatures.core, exposure.temperatures.skin))
    shape = (draws.samples, len(duty.states))
    parts = zip(_PARTS, (core, skin, crest, held, hours), strict=True)
    return _Column(mechanisms=setup.mechanisms, **{name: np.broadcast_to(part, shape) for name, part in parts})


def _hours_left(setup: Setup, draws: Draws, found: tuple[Exposure, Array], presence: Tending) -> Array:
    """Hours of each state until a new line is finished if there is nothing else, shape (s, J) [h]; no age limit."""
    exposure, crest = found
    lives = life_stage.live(_rates(setup, draws, exposure, presence), _limits(setup, draws, found, presence))
    return np.asarray(YEAR * lives.age.reshape(draws.samples, crest.shape[1]))


def _rates(setup: Setup, draws: Draws, exposure: Exposure, presence: Tending) -> life_stage.YearlyRates:
    """Yearly rates of every state by itself: samples and states on one axis."""
    s, j = draws.samples, len(setup.duty.states)
    names, q = setup.mechanisms, presence.heat.shape[-1]
    loss, growth = np.zeros((s, j, len(names), q)), np.zeros((s, j, q))
    power, unit = np.zeros((s, len(names))), np.full((s, len(names)), np.inf)
    for number, name in enumerate(names):
        table = BY_NAME[name].rate(exposure, draws)
        loss[:, :, number] = line_stage.by_state(setup, table, presence)
        power[:, number] = 0.0 if table.strength_power is None else table.strength_power
        unit[:, number] = np.inf if table.unit is None else table.unit
        if table.growth is not None:
            weighted = RateTable(table.at_new * table.growth, table.presence, None)
            faster = line_stage.by_state(setup, weighted, presence)
            growth = faster / np.maximum(loss[:, :, number], 1e-300)
    strain = np.broadcast_to(draws.of("creep_retirement_strain", 1) if growth.any() else np.zeros(1), s)
    places = {name: number for number, name in enumerate(names)}
    return life_stage.YearlyRates(
        loss.reshape(s * j, len(names), q), np.repeat(power, j, axis=0), growth.reshape(s * j, q),
        np.repeat(unit, j, axis=0), np.repeat(strain, j), places.get("creep", -1), places.get("abrasion", -1), names,
    )  # fmt: skip


def _limits(setup: Setup, draws: Draws, found: tuple[Exposure, Array], presence: Tending) -> life_stage.Limits:
    """Criteria of the case for every state by itself: samples and states on one axis."""
    exposure, crest = found
    s, j = draws.samples, len(setup.duty.states)
    criteria = setup.case.criteria
    damage = np.ones(len(setup.mechanisms))
    for name, field in line_stage.SHORT_OF_RATED.items():
        if name in setup.mechanisms:
            damage[setup.mechanisms.index(name)] = getattr(criteria, field)
    margin = np.log(np.minimum(np.broadcast_to(crest, (s, j)), 1e6) / criteria.margin)
    core = exposure.temperatures.core
    years = np.full((s, j, core.shape[-1]), np.inf)
    if draws.has("long_term_limit", "long_term_hours"):
        above = np.asarray(core > draws.of("long_term_limit"), dtype=float)
        hours = line_stage.by_state(setup, RateTable(above, "heat", None), presence)
        allowed = draws.of("long_term_hours", 3) / 3600.0
        years = np.where(hours > 0.0, allowed / np.maximum(hours, 1e-300), np.inf)
    if draws.has("short_term_limit"):
        over = core[:, :, HOT] > draws.of("short_term_limit", 3)
        years = np.where(over.any(axis=-1, keepdims=True), 0.0, years)
    hot = np.broadcast_to(years, (s, j, core.shape[-1])).reshape(s * j, -1)
    return life_stage.Limits(criteria.strength_left, damage, margin.ravel(), hot, np.inf)
