"""One rope on one line group: from duty to life, in blocks of samples."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from concurrent.futures import Executor
from dataclasses import dataclass, replace

import numpy as np

from linewright.assessment import contact as contact_stage
from linewright.assessment import life as life_stage
from linewright.assessment import margin as margin_stage
from linewright.assessment import temperature as temperature_stage
from linewright.assessment import trail
from linewright.assessment.draws import Draws
from linewright.assessment.duty import Duty
from linewright.assessment.exposure import Exposure, RateTable, missing
from linewright.assessment.lengthening import lengthening
from linewright.assessment.mechanisms.catalogue import BESIDE, BY_NAME
from linewright.assessment.rope import Subject
from linewright.assessment.tending import Tending, tending
from linewright.assessment.weather import Weather, classes
from linewright.base.units import ZERO_CELSIUS
from linewright.case.model import Case
from linewright.physics.types import Array

BLOCK = 256
THRESHOLDS = np.array([50.0, 60.0, 65.0, 70.0]) + ZERO_CELSIUS
SHORT_OF_RATED = {"creep": "creep_damage", "tension": "tension_damage"}


@dataclass(frozen=True)
class Setup:
    """All that the blocks of one subject share: duty, weather classes, surroundings, mechanisms.

    `earlier` are the trades that the rope comes from, oldest first; `marks` the ages at which its state is kept in
    every draw, `curve` those where the first block's draws do [years since new]; `asks_age` says that evidence asks
    for ages beyond the horizon.
    """

    case: Case
    subject: Subject
    duty: Duty
    weather: Weather
    around: temperature_stage.Surroundings
    mechanisms: tuple[str, ...]
    earlier: tuple[Earlier, ...] = ()
    marks: tuple[float, ...] = ()
    curve: tuple[float, ...] = ()
    asks_age: bool = False


@dataclass(frozen=True)
class Earlier:
    """An earlier trade: its name, years, and what its blocks share."""

    name: str
    years: float
    setup: Setup


@dataclass(frozen=True)
class Block:
    """Outcome of some samples: lives, hot-hour core and skin (s, J), margins (s, J), and more.

    presence is the largest bending presence of any metre (s,); hours_above (s, J, thresholds); asked names the
    keys that the block used, so that they also come back from another process or a file. used (s, M): ln losses that
    the most worn metre comes with; marks (s, 2, marks): strength left [-] and lengthening for good [m]; curve
    likewise, of the first block's draws only; ended (s,): age since new at which a draw meets its first criterion, in
    an earlier trade too, and beyond the horizon where evidence asks for it [years].
    """

    lives: life_stage.Lives
    core: Array
    skin: Array
    margin: Array
    sustained: Array
    presence: Array
    hours_above: Array
    is_bounded: bool
    asked: tuple[str, ...]
    used: Array
    marks: Array
    curve: Array
    ended: Array


@dataclass(frozen=True)
class Central:
    """What only the central row tells, per state: rises by source at the hottest place, cores (J, X), rates."""

    place: Array
    air: Array
    rises: dict[str, Array]
    cores: Array
    core_mean: Array
    damage: Array
    loss: Array
    rates: life_stage.YearlyRates
    limits: life_stage.Limits
    decay: float


@dataclass(frozen=True)
class LineResult:
    """Everything that one subject's assessment yields; S samples, J states, M mechanisms."""

    setup: Setup
    blocks: Block
    central: Central
    not_assessed: tuple[str, ...]
    used: tuple[str, ...]

    @property
    def lives(self) -> life_stage.Lives:
        """Lives of all samples."""
        return self.blocks.lives


def condense(subject: Subject, duty: Duty, hours: Weather, draws: Draws) -> Weather:
    """Weather classes of every state, ordered by the central core temperature over all hours."""
    found = over_hours(draws.block(slice(0, 1)), duty, hours, subject)
    core = temperature_stage.hottest_of(found.core[0])
    rows = [classes(_state(hours, j), core[j]) for j in range(len(duty.states))]
    return rows[0].stack(rows[1:])


def over_hours(central: Draws, duty: Duty, hours: Weather, subject: Subject) -> temperature_stage.Temperatures:
    """Temperatures of a single row in every hour of every state."""
    around = _settled(central, duty, hours, _loads(central, duty, subject))
    return temperature_stage.temperatures(central, duty, *_with_loads(central, duty, subject, around))


def prepare(case: Case, subject: Subject, duty: Duty, weather: Weather, draws: Draws) -> Setup:
    """Surroundings in the weather classes, and the mechanisms that the card has data for."""
    central = draws.block(slice(0, 1))
    settled = _settled(central, duty, weather, _loads(central, duty, subject))
    asked = [*case.mechanisms, *(name for name, other in BESIDE.items() if other in case.mechanisms)]
    assessed = tuple(
        name for name in asked if name in BY_NAME and not missing(BY_NAME[name], subject.words, subject.data)
    )
    return Setup(case, subject, duty, weather, settled, assessed)


def _state(hours: Weather, j: int) -> Weather:
    return Weather(**{name: getattr(hours, name)[j] for name in Weather.__dataclass_fields__})


def _loads(draws: Draws, duty: Duty, subject: Subject) -> list[contact_stage.ContactLoad]:
    stiffness = contact_stage.axial_stiffness(draws, duty)
    return [contact_stage.contact_load(draws, duty, contact, stiffness) for contact in subject.contacts]


def _with_loads(
    draws: Draws, duty: Duty, subject: Subject, around: temperature_stage.Surroundings
) -> tuple[list[contact_stage.ContactLoad], temperature_stage.Surroundings, Array]:
    return _loads(draws, duty, subject), around, contact_stage.axial_stiffness(draws, duty)


def _settled(
    draws: Draws, duty: Duty, weather: Weather, loads: list[contact_stage.ContactLoad]
) -> temperature_stage.Surroundings:
    """Surroundings whose film coefficients fit the central surface temperature."""
    diameter = draws.data["diameter"].value
    rise = np.full(weather.air.shape, 2.0)
    stiffness = contact_stage.axial_stiffness(draws, duty)
    around = temperature_stage.surroundings(weather, duty, diameter, rise)
    for _ in range(2):
        found = temperature_stage.temperatures(draws, duty, [], around, stiffness)
        rise = np.clip(found.surface_rise[0], -15.0, 60.0)
        around = temperature_stage.surroundings(weather, duty, diameter, rise)
    return around


def assess(setup: Setup, draws: Draws, executor: Executor | None = None) -> LineResult:
    """The line's result over all samples; blocks are the unit of work and keep their order."""
    return start(setup, draws, executor)()


def start(setup: Setup, draws: Draws, executor: Executor | None = None) -> Callable[[], LineResult]:
    """Hand a line's blocks to an executor; what is returned waits for them and joins them.

    Lines started one after the other are worked on at the same time. Without an executor it is done when waited for.
    """
    slices = [slice(start, min(start + BLOCK, draws.samples)) for start in range(0, draws.samples, BLOCK)]
    run: Callable[..., Iterable[Block]] = executor.map if executor else map
    setups = [setup, *[replace(setup, curve=())] * (len(slices) - 1)]
    coming = run(_assess_rows, setups, [draws.block(rows) for rows in slices])

    def finish() -> LineResult:
        joined = _joined(list(coming))
        central = _central(setup, draws.block(slice(0, 1)))
        left_out = tuple(name for name in setup.case.mechanisms if name not in setup.mechanisms)
        return LineResult(setup, joined, central, left_out, tuple(sorted(draws.asked.union(joined.asked))))

    return finish


def _assess_rows(setup: Setup, shared: Draws) -> Block:
    draws = replace(shared, asked=set())
    exposure, presence, rates = rates_of(setup, draws)
    crest, sustained = margin_stage.margins(draws, exposure)
    limits = limits_of(setup, draws, (exposure, crest), presence, rates)
    served = [_served(item, draws) for item in setup.earlier]
    before = trail.come_with(served)
    lives = life_stage.live(rates, trail.less_used(limits, served), before=before)
    ended = trail.finished(served, rates, limits) if setup.asks_age else lives.age
    marks, curve = (_stands(setup, draws, (served, rates), ages) for ages in (setup.marks, setup.curve))
    hot = exposure.temperatures
    bend = presence.bend.max(axis=(1, 2, 3)) if setup.subject.contacts else np.zeros(1)
    core = np.broadcast_to(temperature_stage.hottest_of(hot.core[:, :, 0]), (draws.samples, len(setup.duty.states)))
    skin = np.broadcast_to(temperature_stage.hottest_of(hot.skin[:, :, 0]), core.shape)
    hours = np.broadcast_to(_hours_above(setup, temperature_stage.hottest_of(hot.core)), (*core.shape, len(THRESHOLDS)))
    bend = np.broadcast_to(bend, draws.samples)
    asked = tuple(sorted(draws.asked))
    used = np.zeros(lives.losses.shape) if before is None else trail.most_worn(before)
    return Block(lives, core, skin, crest, sustained, bend, hours, hot.is_bounded, asked, used, marks, curve, ended)


def _stands(
    setup: Setup, draws: Draws, found: tuple[list[trail.Served], life_stage.YearlyRates], ages: tuple[float, ...]
) -> Array:
    """Strength left [-] and lengthening [m] at some ages, shape (s, 2, ages)."""
    served, rates = found
    kept = trail.at_ages(served, rates, ages)
    duties = [*((item.setup.duty, item.years) for item in setup.earlier), (setup.duty, np.inf)]
    longer = lengthening(draws, setup.subject, (duties, ages), rates, kept)
    return np.stack([trail.left(kept), longer], axis=1)


def rates_of(setup: Setup, draws: Draws) -> tuple[Exposure, Tending, life_stage.YearlyRates]:
    """Exposure, presence and yearly rates of some samples."""
    exposure, presence = exposed(setup, draws)
    tables = [(name, BY_NAME[name].rate(exposure, draws)) for name in setup.mechanisms]
    return exposure, presence, yearly(setup, draws, tables, presence)


def _served(item: Earlier, draws: Draws) -> trail.Served:
    """What an earlier trade has taken of the rope: its yearly rates, years, and share of the hot hours a year."""
    exposure, presence, rates = rates_of(item.setup, draws)
    crest = margin_stage.margins(draws, exposure)[0]
    limits = limits_of(item.setup, draws, (exposure, crest), presence, rates)
    return trail.Served(rates, item.years, limits, hot_share(item.setup, draws, exposure, presence))


def _hours_above(setup: Setup, core: Array) -> Array:
    """Hours a year above each threshold by state, shape (s, J, thresholds)."""
    weights = setup.weather.weight * setup.duty.hours[:, None]
    return np.stack([np.einsum("sjh,jh->sj", (core > limit).astype(float), weights) for limit in THRESHOLDS], axis=-1)


def exposed(setup: Setup, draws: Draws) -> tuple[Exposure, Tending]:
    """Exposure and presence of some samples."""
    loads = tuple(_loads(draws, setup.duty, setup.subject))
    stiffness = contact_stage.axial_stiffness(draws, setup.duty)
    found = temperature_stage.temperatures(draws, setup.duty, list(loads), setup.around, stiffness)
    exposure = Exposure(setup.duty, setup.weather, loads, found, setup.subject.words)
    return exposure, tending(draws, setup.duty, loads, found.decay)


def by_state(setup: Setup, table: RateTable, presence: Tending) -> Array:
    """Loss of ln strength per year by state and metre class, shape (s, J, Q)."""
    weights = setup.weather.weight * setup.duty.hours[:, None]
    if table.at_new.shape[2] == 1:
        places = table.at_new[:, :, 0] * weights.sum(axis=1)[None, :, None]
    else:
        places = np.einsum("sjhx,jh->sjx", table.at_new, weights)
    seen = presence.of(table.presence)
    places = np.broadcast_to(places, (*places.shape[:2], seen.shape[2]))
    if table.presence == "everywhere":
        return np.broadcast_to(places[..., -1:], (*places.shape[:2], seen.shape[3]))
    return np.asarray(np.sum(places[..., None] * seen, axis=2))


def yearly(
    setup: Setup, draws: Draws, tables: list[tuple[str, RateTable]], presence: Tending
) -> life_stage.YearlyRates:
    """Yearly rates of all mechanisms, summed over the states."""
    s = draws.samples
    names = tuple(name for name, _ in tables)
    q = presence.heat.shape[-1]
    loss, power, unit = (
        np.zeros((s, len(tables), q)),
        np.zeros((s, len(tables))),
        np.full((s, len(tables)), np.inf),
    )
    growth = np.zeros((s, q))
    for number, (_, table) in enumerate(tables):
        loss[:, number] = by_state(setup, table, presence).sum(axis=1)
        power[:, number] = 0.0 if table.strength_power is None else table.strength_power
        unit[:, number] = np.inf if table.unit is None else table.unit
        if table.growth is not None:
            weighted = RateTable(table.at_new * table.growth, table.presence, None)
            growth = by_state(setup, weighted, presence).sum(axis=1) / np.maximum(loss[:, number], 1e-300)
    strain = draws.of("creep_retirement_strain", 1) if growth.any() else np.zeros(1)
    index = {name: number for number, name in enumerate(names)}
    return life_stage.YearlyRates(loss, power, growth, unit, np.broadcast_to(strain, s), index.get("creep", -1),
                                  index.get("abrasion", -1), names)  # fmt: skip


def limits_of(
    setup: Setup, draws: Draws, found: tuple[Exposure, Array], presence: Tending, rates: life_stage.YearlyRates
) -> life_stage.Limits:
    """Criteria of the case for these samples; `found` is their exposure and margin of the crest."""
    exposure, crest = found
    criteria = setup.case.criteria
    damage = np.ones(len(rates.names))
    for name, field in SHORT_OF_RATED.items():
        if name in rates.names:
            damage[rates.names.index(name)] = getattr(criteria, field)
    lasting = np.where(setup.duty.hours > 0.0, crest, np.inf)
    margin = np.log(np.minimum(lasting.min(axis=1), 1e6) / criteria.margin)
    age = np.inf if criteria.age is None else criteria.age / 3600.0 / 8766.0
    return life_stage.Limits(criteria.strength_left, damage, margin, _hot_years(setup, draws, exposure, presence), age)


def _hot_years(setup: Setup, draws: Draws, exposure: Exposure, presence: Tending) -> Array:
    """Years until the hours above the long-term limit are used up; 0 where the hot hour passes the short-term limit."""
    core = exposure.temperatures.core
    share = hot_share(setup, draws, exposure, presence)
    years = np.where(share > 0.0, 1.0 / np.maximum(share, 1e-300), np.inf)
    if draws.has("short_term_limit"):
        over = (core[:, :, 0] > draws.of("short_term_limit", 3)) & (setup.duty.hours > 0.0)[None, :, None]
        met = (over[..., None] & (presence.heat > 0.0)).any(axis=(1, 2))
        years = np.where(met, 0.0, years)
    return np.broadcast_to(years, (draws.samples, presence.heat.shape[-1]))


def hot_share(setup: Setup, draws: Draws, exposure: Exposure, presence: Tending) -> Array:
    """Share of the allowed hours above the long-term limit that a year takes, shape (s, Q) [1/year]."""
    shape = (draws.samples, presence.heat.shape[-1])
    if not draws.has("long_term_limit", "long_term_hours"):
        return np.zeros(shape)
    above = np.asarray(exposure.temperatures.core > draws.of("long_term_limit"), dtype=float)
    hours = by_state(setup, RateTable(above, "heat", None), presence).sum(axis=1)
    return np.broadcast_to(hours * 3600.0 / draws.of("long_term_hours", 2), shape)


def _central(setup: Setup, draws: Draws) -> Central:
    exposure, presence = exposed(setup, draws)
    tables = [(name, BY_NAME[name].rate(exposure, draws)) for name in setup.mechanisms]
    rates = yearly(setup, draws, tables, presence)
    found = exposure.temperatures
    place = found.core[0, :, 0].argmax(axis=-1)
    states = np.arange(len(place))
    rises = {name: values[0, states, 0, place] for name, values in (found.rises or {}).items()}
    mean = np.sum(found.core.max(axis=-1)[0] * setup.weather.weight, axis=-1)
    loss = (
        np.stack([by_state(setup, table, presence)[0] for _, table in tables], axis=1)
        if tables
        else np.zeros((len(place), 0, 1))
    )
    damage = loss / np.where(np.isfinite(rates.unit[0]), rates.unit[0], 1.0)[None, :, None]
    limits = limits_of(setup, draws, (exposure, margin_stage.margins(draws, exposure)[0]), presence, rates)
    decay = float(found.decay.max())
    return Central(place, setup.weather.air[:, 0], rises, found.core[0, :, 0], mean, damage, loss, rates, limits, decay)


def _joined(blocks: list[Block]) -> Block:
    fields = ("age", "criterion", "metre", "losses")
    lives = life_stage.Lives(*(np.concatenate([getattr(block.lives, name) for block in blocks]) for name in fields))
    core, skin, margin, sustained, presence, hours, used, marks, ended = (
        np.concatenate([getattr(block, name) for block in blocks])
        for name in ("core", "skin", "margin", "sustained", "presence", "hours_above", "used", "marks", "ended")
    )
    asked = tuple(sorted({key for block in blocks for key in block.asked}))
    is_bounded = any(block.is_bounded for block in blocks)
    return Block(
        lives, core, skin, margin, sustained, presence, hours, is_bounded, asked, used, marks, blocks[0].curve, ended
    )
