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
REACH = 3.0  # [m] from a contact that counts as near, beyond its arc
EQUAL = 1e-3  # of the median life

Move = Callable[[Array], Array]


@dataclass(frozen=True)
class Rope:
    """A line group's rope as metres, ready to be worn.

    length [m]; contacts: distance of their middles from the shore end (K,) [m], in the order of the loads; metres (Q,).
    """

    setup: Setup
    draws: Draws
    length: float
    contacts: Array
    metres: Array
    exposure: Exposure
    tables: tuple[tuple[str, RateTable], ...]
    crest: Array


def rope_of(setup: Setup, draws: Draws, pieces: Sequence[float] = ()) -> Rope:
    """The rope of a line group over some draws; its contacts lie where the case puts them.

    `pieces` are lengths that will be cut off [m]: metres lie close where they would bring them to a contact.
    """
    subject = setup.subject
    line, data = subject.line, subject.data
    exposure, _ = line_stage.exposed(setup, draws)
    tables = tuple((name, BY_NAME[name].rate(exposure, draws)) for name in setup.mechanisms)
    inboard, length = line.inboard_length.value, line.rope_length
    arcs = near.central_arcs(data, subject.contacts)
    middle = np.zeros(len(subject.contacts))
    for place in near.places(data, subject.contacts, arcs, 0.0):
        middle[place.fitting.index] = inboard + line.outboard_length - place.middle
    reach = REACH + 0.5 * max(arcs, default=0.0)
    spots = [centre for place in middle for centre in (place, length - place, *(place + piece for piece in pieces))]
    metres = _metres(spots, length, reach)
    return Rope(setup, draws, length, middle, metres, exposure, tables, margins(draws, exposure)[0])


def _metres(spots: Sequence[float], length: float, reach: float) -> Array:
    """Metres of the rope: close to each other near some spots, apart elsewhere."""
    near_by = np.arange(-np.ceil(reach / FINE), np.ceil(reach / FINE) + 1.0) * FINE
    rows = [np.arange(0.0, length, COARSE), np.array([length]), *(spot + near_by for spot in spots)]
    found = np.unique(np.round(np.concatenate(rows), 6))
    return np.asarray(found[(found >= 0.0) & (found <= length)])


def worn_at(rope: Rope, where: Array) -> tuple[life.YearlyRates, life.Limits]:
    """Yearly rates and limits of metres that lie at distances from the shore end [m], shape (Q,); nan is cut off."""
    gone = np.isnan(where)
    beyond = rope.contacts[:, None] - np.where(gone, 0.0, where)[None, :]
    loads, decay = rope.exposure.loads, rope.exposure.temperatures.decay
    presence = tending_stage.along(rope.draws, rope.setup.duty, loads, decay, beyond)
    rates = line_stage.yearly(rope.setup, rope.draws, list(rope.tables), presence)
    limits = line_stage.limits_of(rope.setup, rope.draws, (rope.exposure, rope.crest), presence, rates)
    still = np.where(gone, 0.0, 1.0)
    hot = np.where(gone, np.inf, limits.hot_years)
    return replace(rates, loss=rates.loss * still), replace(limits, hot_years=hot)


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
    """The central run's wear of every metre."""
    rates, limits = worn_at(rope, rope.metres)
    end, _, _ = life.by_metre(rates, limits)
    return Profile(rope.metres, np.minimum(end[0], life.HORIZON), rates.loss[0], rates.names)


def lives(rope: Rope) -> Array:
    """Life of every draw without any operation, shape (S,) [years]."""
    return life.live(*worn_at(rope, rope.metres)).age


def dates(rope: Rope, move: Move, tried: Sequence[float]) -> Array:
    """Lives with one operation at each of some dates [years from now, rising], shape (D, S) [years].

    A rope that ends before the date ends then; one that is moved goes on with what each metre has lost.
    """
    rates, limits = worn_at(rope, rope.metres)
    first = life.live(rates, limits).age
    where = move(rope.metres)
    then, after = worn_at(rope, where)
    used = np.where(limits.hot_years > 0.0, 1.0 / np.maximum(limits.hot_years, 1e-9), 0.0)
    rows, lost, age = [], None, 0.0
    for date in tried:
        lost, age = life.worn(rates, date - age, lost), date
        left = trail.less_hot(after, [trail.Served(rates, date, used)])
        second = life.live(then, left, before=np.where(np.isnan(where), 0.0, lost)).age
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
