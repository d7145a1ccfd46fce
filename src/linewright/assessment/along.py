"""Wear along the rope, and what turning it end for end or cutting a piece off does to its life.

Places are fixed to the ship, metres belong to the rope. A metre is known by its distance from the shore eye of the new
rope; turning and cropping move metres to other places.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from linewright.assessment import life, near, trail
from linewright.assessment import line as line_stage
from linewright.assessment import tending as tending_stage
from linewright.assessment.draws import Draws
from linewright.assessment.exposure import Exposure, RateTable
from linewright.assessment.line import Setup
from linewright.assessment.margin import margins
from linewright.assessment.mechanisms.catalogue import BY_NAME
from linewright.physics.statistics import weighted_quantile
from linewright.physics.types import Array

FINE, COARSE = 0.1, 1.0  # [m] between metres near a contact and elsewhere
MOST = 60  # metres away from contacts: all of them wear alike
REACH = 3.0  # [m] from a contact that counts as near, beyond its arc
EQUAL = 1e-3  # of the median life

Move = Callable[[Array], Array]


@dataclass(frozen=True)
class Rope:
    """A line group's rope as metres, ready to be worn.

    length, and what of it is in use from the shore end [m]; contacts: distance of their middles from the shore end (K,)
    [m], in the order of the loads; metres (Q,); earlier trades with their years, oldest first.
    """

    setup: Setup
    draws: Draws
    length: float
    in_use: float
    contacts: Array
    metres: Array
    exposure: Exposure
    tables: tuple[tuple[str, RateTable], ...]
    crest: Array
    earlier: tuple[tuple[Rope, float], ...] = ()


def rope_of(setup: Setup, draws: Draws, pieces: Sequence[float] = ()) -> Rope:
    """The rope of a line group over some draws; its contacts lie where the case puts them.

    `pieces` are lengths that will be cut off [m]: metres lie close where they would bring them to a contact.
    """
    subject = setup.subject
    line, data = subject.line, subject.data
    exposure, _ = line_stage.exposed(setup, draws)
    tables = tuple((name, BY_NAME[name].rate(exposure, draws)) for name in setup.mechanisms)
    length, in_use = line.rope_length, line.inboard_length.value + line.outboard_length
    arcs = near.central_arcs(data, subject.contacts)
    middle = np.zeros(len(subject.contacts))
    for place in near.places(data, subject.contacts, arcs, 0.0):
        middle[place.fitting.index] = in_use - place.middle
    moved = [(place, length - place, *(place + piece for piece in pieces)) for place in middle]
    spots = [centre for centres in moved for centre in centres]
    bends = [centre + end for centres, arc in zip(moved, arcs, strict=True) for centre in centres
             for end in (-0.5 * arc, 0.5 * arc)]  # fmt: skip
    metres = _metres(spots, bends, length, REACH + 0.5 * max(arcs, default=0.0))
    earlier = tuple((rope_of(item.setup, draws, pieces), item.years) for item in setup.earlier)
    crest = margins(draws, exposure)[0]
    return Rope(setup, draws, length, in_use, middle, metres, exposure, tables, crest, earlier)


def _metres(spots: Sequence[float], bends: Sequence[float], length: float, reach: float) -> Array:
    """Metres of the rope: close to each other near some spots, on every bend, apart elsewhere."""
    near_by = np.arange(-np.ceil(reach / FINE), np.ceil(reach / FINE) + 1.0) * FINE
    rows = [
        np.linspace(0.0, length, min(round(length / COARSE), MOST) + 1),
        np.array(bends),
        *(spot + near_by for spot in spots),
    ]
    found = np.unique(np.round(np.concatenate(rows), 6))
    return np.asarray(found[(found >= 0.0) & (found <= length)])


def worn_at(rope: Rope, where: Array, years: float = 0.0) -> trail.Served:
    """What some years do to metres that lie at distances from the shore end [m], shape (Q,); nan is cut off.

    What stays on the drum neither works nor is warmed: its slow ageing is left out.
    """
    rests = np.isnan(where) | (where > rope.in_use)
    beyond = rope.contacts[:, None] - np.where(np.isnan(where), 0.0, where)[None, :]
    loads, decay = rope.exposure.loads, rope.exposure.temperatures.decay
    presence = tending_stage.along(rope.draws, rope.setup.duty, loads, decay, beyond)
    rates = line_stage.yearly(rope.setup, rope.draws, list(rope.tables), presence)
    limits = line_stage.limits_of(rope.setup, rope.draws, (rope.exposure, rope.crest), presence, rates)
    hot = line_stage.hot_share(rope.setup, rope.draws, rope.exposure, presence)
    at_work = replace(rates, loss=np.where(rests, 0.0, rates.loss))
    cool = replace(limits, hot_years=np.where(rests, np.inf, limits.hot_years))
    return trail.Served(at_work, years, cool, np.where(rests, 0.0, hot))


def _served(rope: Rope) -> list[trail.Served]:
    """What earlier trades did to the metres, which lay then where they lie today."""
    return [worn_at(item, rope.metres, years) for item, years in rope.earlier]


def turned(rope: Rope) -> Move:
    """Where metres lie once the rope is turned end for end."""
    return lambda metres: rope.length - metres


def cropped(piece: float) -> Move:
    """Where metres lie once a piece is cut off at the shore end and a new eye made; those cut off are nan."""
    return lambda metres: np.where(metres < piece, np.nan, metres - piece)


@dataclass(frozen=True)
class Profile:
    """Wear along the rope in the central run: years until each metre would end, and its yearly losses (M, Q)."""

    metres: Array
    years: Array
    loss: Array
    names: tuple[str, ...]


def profile(rope: Rope) -> Profile:
    """The central run's wear of every metre, and the years that it has left."""
    now, served = worn_at(rope, rope.metres), _served(rope)
    end, _, _ = life.by_metre(now.rates, trail.less_used(now.limits, served), before=trail.come_with(served))
    return Profile(rope.metres, np.minimum(end[0], life.HORIZON), now.rates.loss[0], now.rates.names)


def lives(rope: Rope) -> Array:
    """Life of every draw from today without any operation, shape (S,) [years]."""
    now, served = worn_at(rope, rope.metres), _served(rope)
    return life.live(now.rates, trail.less_used(now.limits, served), before=trail.come_with(served)).age


def dates(rope: Rope, move: Move, tried: Sequence[float]) -> Array:
    """Lives with one operation at each of some dates [years from now, rising], shape (D, S) [years].

    A rope that ends before the date ends then; one that is moved goes on with what each metre has lost.
    """
    now, served = worn_at(rope, rope.metres), _served(rope)
    lost = trail.come_with(served)
    first = life.live(now.rates, trail.less_used(now.limits, served), before=lost).age
    where = move(rope.metres)
    then = worn_at(rope, where)
    rows, age = [], 0.0
    for date in tried:
        lost, age = life.worn(now.rates, date - age, lost), date
        left = trail.less_used(then.limits, [*served, replace(now, years=date)])
        second = life.live(then.rates, left, before=np.where(np.isnan(where), 0.0, lost)).age
        rows.append(np.where(first <= date, first, np.minimum(date + second, life.HORIZON)))
    return np.stack(rows)


def best(found: Array, probability: float = 0.5) -> int:
    """Number of the date with the longest life at a quantile; of equals the latest: nothing is lost by waiting."""
    lasting = np.array([weighted_quantile(row, np.ones(row.size), probability) for row in found])
    return int(np.flatnonzero(lasting >= lasting.max() * (1.0 - EQUAL))[-1])


def contact_names(rope: Rope) -> Sequence[str]:
    """Names of the contacts in the order of `contacts`."""
    return [contact.name for contact in rope.setup.subject.contacts]


def told_length(rope: Rope) -> bool:
    """Whether the case says how long the whole rope is."""
    return rope.setup.subject.line.length is not None
