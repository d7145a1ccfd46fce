"""Changes of a study one at a time: berths, climate, tails, lengths, pull, fittings, size. Each gives another case."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from linewright.assessment.given import Given
from linewright.assessment.levers import has_sliding, is_tight, less_pull, scaled, shaded, smoother, wider
from linewright.assessment.rope import sized
from linewright.assessment.same_motion import same_motion
from linewright.base.errors import InputError, Problem
from linewright.base.units import LARGEST_YEAR_HOURS
from linewright.cards.model import Climate, Month
from linewright.case.model import Berth, ContactUse, LineGroup, State
from linewright.importers.model import HourlyYear
from linewright.physics.humidity import warmed_dew_point

WARMER = (1.0, 2.0, 3.0, 4.0)  # [K]
NEARER = (0.75, 0.5)  # of the inboard length
LESS_PULL, WIDER, SMOOTHER = 0.9, 1.5, 0.5  # of mean tensions above 35 %LDBF, of bend radii, of roughness
NO_SUN = 1e-6  # of the sunlight: as good as none, since a share with a band has no zero
UP = 0.002  # [m] of diameter, one size


@dataclass(frozen=True)
class Change:
    """One change: its name, its kind, and what it makes of a study."""

    name: str
    kind: str
    apply: Callable[[Given], Given]


def changes(given: Given) -> Iterator[Change]:
    """Every change that applies to a study, in a fixed order."""
    case = given.case
    called = [berth for berth in case.berths if berth.hours_per_year > 0.0]
    if len(called) > 1:
        yield from (Change(f"without {berth.name}", "berth left out", partial(calls, berth=berth.name, times=0.0))
                    for berth in called)  # fmt: skip
    yield from (Change(f"{berth.name} twice as often", "berth twice", partial(calls, berth=berth.name, times=2.0))
                for berth in called)  # fmt: skip
    yield from (Change(f"climate +{rise:.0f} K", "climate", partial(warmer, rise=rise)) for rise in WARMER)
    if any(line.tail is not None for line in case.lines):
        yield Change("no tails", "tail", partial(tails, times=0.0))
        yield Change("tails half as long", "tail", partial(tails, times=0.5))
        yield Change("tails twice as long", "tail", partial(tails, times=2.0))
    for times in NEARER:
        yield Change(f"inboard length -{100 * (1 - times):.0f} %", "inboard length", partial(inboard, times=times))
    if any(line.contacts for line in case.lines):
        yield Change("payout spread doubled", "payout spread", partial(payout, times=2.0))
    yield from _levers(given)
    yield Change(f"rope +{1000 * UP:.0f} mm", "size", partial(larger, more=UP))


def _levers(given: Given) -> Iterator[Change]:
    """What the crew and the ship's side can do: pull, fittings, shade."""
    if is_tight(given):
        yield Change(f"steady pull -{100 * (1 - LESS_PULL):.0f} %", "steady pull", partial(less_pull, times=LESS_PULL))
    if any(line.contacts for line in given.case.lines):
        yield Change(f"bend radius x {WIDER:g}", "bend radius", partial(wider, times=WIDER))
    if has_sliding(given):
        yield Change("roughness halved", "surface", partial(smoother, times=SMOOTHER))
    yield Change("in the shade", "shade", partial(shaded, times=NO_SUN))


def calls(given: Given, berth: str, times: float) -> Given:
    """A berth called at so many times as often; 0 leaves it out. Raises InputError where a year is too short."""
    rows = tuple(
        replace(item, calls_per_year=item.calls_per_year * times) if item.name == berth else item
        for item in given.case.berths
    )
    total = sum(item.hours_per_year for item in rows)
    if total > LARGEST_YEAR_HOURS:
        problem = Problem(berth, f"{total:.0f} h a year in all", f"at most {LARGEST_YEAR_HOURS:.0f} h")
        raise InputError("The calls do not fit into a year.", [problem])
    return given.with_case(replace(given.case, berths=rows))


def warmer(given: Given, rise: float) -> Given:
    """Air warmer by so much [K] at every berth and hour; the dew point keeps the relative humidity."""
    climates = {name: _warmer_card(climate, rise) for name, climate in given.shelf.climates.items()}
    years = {name: _warmer_year(year, rise) for name, year in given.files.years.items()}
    return replace(given, shelf=replace(given.shelf, climates=climates), files=replace(given.files, years=years))


def _warmer_card(climate: Climate, rise: float) -> Climate:
    return replace(climate, months=tuple(_warmer_month(month, rise) for month in climate.months))


def _warmer_month(month: Month, rise: float) -> Month:
    """Relative humidity is that of the month's mean air."""
    dew = float(warmed_dew_point(0.5 * (month.air_low + month.air_high), month.dew_point, rise))
    return replace(month, air_low=month.air_low + rise, air_high=month.air_high + rise, dew_point=dew)


def _warmer_year(year: HourlyYear, rise: float) -> HourlyYear:
    dew_point = np.asarray(warmed_dew_point(year.air, year.dew_point, rise))
    return replace(year, air=year.air + rise, dew_point=dew_point)


def tails(given: Given, times: float) -> Given:
    """Tails so many times as long, 0 without, in the same ship motion."""

    def changed(line: LineGroup) -> LineGroup:
        if line.tail is None:
            return line
        return replace(line, tail=replace(line.tail, length=line.tail.length * times) if times > 0.0 else None)

    return same_motion(given, tuple(map(changed, given.case.lines)))


def inboard(given: Given, times: float) -> Given:
    """Every length between drum and contact so many times as long, in the same ship motion."""
    return same_motion(given, tuple(_nearer(line, times) for line in given.case.lines))


def _nearer(line: LineGroup, times: float) -> LineGroup:
    def use(contact: ContactUse) -> ContactUse:
        if "inboard_length" not in contact.data:
            return contact
        own = scaled(contact.data["inboard_length"], times)
        return replace(contact, data={**contact.data, "inboard_length": own})

    length = scaled(line.inboard_length, times)
    return replace(line, inboard_length=length, contacts=tuple(map(use, line.contacts)))


def payout(given: Given, times: float) -> Given:
    """Payout spreads so many times as wide: of the practice cards, and of states that have their own."""
    key = "payout_spread"
    practices = {
        name: card.with_data({key: scaled(card.data[key], times)}) if key in card.data else card
        for name, card in given.shelf.practices.items()
    }

    def state(item: State) -> State:
        return item if item.payout_spread is None else replace(item, payout_spread=scaled(item.payout_spread, times))

    def berth(item: Berth) -> Berth:
        return replace(item, states=tuple(map(state, item.states)))

    case = replace(given.case, berths=tuple(map(berth, given.case.berths)))
    return replace(given, case=case, shelf=replace(given.shelf, practices=practices))


def larger(given: Given, more: float) -> Given:
    """The ropes on board thicker by so much [m]; strength and mass go with the square; the same ship motion."""
    return same_motion(given, tuple(_thicker(given, line, more) for line in given.case.lines))


def _thicker(given: Given, line: LineGroup, more: float) -> LineGroup:
    data = sized(given.shelf.rope(line.rope), line.rope_data)
    ratio = (data["diameter"].value + more) / data["diameter"].value
    powers = {"diameter": 1.0, "design_break_force": 2.0, "mass_per_length": 2.0}
    own = {key: scaled(data[key], ratio**power) for key, power in powers.items()}
    return replace(line, rope_data={**line.rope_data, **own})
