"""The temperature field of a rope through time, step by step, under loads that change at given times.

A step is made twice, once whole and once in two halves of backward Euler. Their difference is the
error estimate; twice the halves less the whole is of second order, A- and L-stable. Where that would
leave the bounds that backward Euler keeps, the part of it that stays inside is taken.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from linewright.physics.field import HOTTEST, Balance, Runaway, Settled, Stage, balance, core, rises, section_mean
from linewright.physics.field_parts import Load, Rope, chord_capacity
from linewright.physics.field_solve import FieldError
from linewright.physics.field_system import State
from linewright.physics.types import Array

FINEST = 1 << 40  # parts of a load's duration, of which a step is a power of two
ROUNDING = 1e-9  # by which bounds may be left [K]
QUIET = 0.2  # of the tolerance, below which the next step is twice as long


@dataclass(frozen=True)
class Steps:
    """How long steps are.

    Attributes
    ----------
    tolerance : largest difference between a whole step and its halves, anywhere [K]
    fewest : steps of each load, a power of two; all of them of one length when the tolerance is infinite [-]
    limit : temperature above which no rope is left [K]
    """

    tolerance: float = 0.05
    fewest: int = 1
    limit: float = HOTTEST

    def __post_init__(self) -> None:
        """Refuse a tolerance that is not above 0 and a number that is not a power of two."""
        if not self.tolerance > 0.0:
            raise ValueError("tolerance of the steps must be above 0")
        if self.fewest < 1 or self.fewest & (self.fewest - 1):
            raise ValueError("the fewest steps of a load must be a power of two")


@dataclass(frozen=True)
class History:
    """What became of a rope; the first axis is time, the start included.

    Attributes
    ----------
    time : since the start, at every step taken [s]
    core : on the axis along the rope [K]
    mean : of the sections along the rope [K]
    skin : of the faces (angle, length) [K]
    steel : of the steel at each contact [K]
    end : temperatures at the end [fields]
    balance : energies over all of it [fields]
    refused : steps that were made again because they were too long [-]
    """

    time: Array
    core: Array
    mean: Array
    skin: Array
    steel: Array
    end: State
    balance: Balance
    refused: int


@dataclass(frozen=True)
class _Step:
    """A step taken: its end, its energies, and its error [K]; the first half, for the next attempt if refused."""

    state: State
    energy: Balance
    error: float
    half: Settled


def history(rope: Rope, pieces: Sequence[tuple[float, Load]], start: State, steps: Steps | None = None) -> History:
    """Temperatures through time; every change of load ends a step, so that none is stepped over.

    Parameters
    ----------
    rope : cells and material [fields]
    pieces : duration of each load and the load, in order [s]
    start : temperatures at the start [fields]
    steps : how long steps are; within 0.05 K when left out [fields]

    Returns
    -------
    temperatures at every step and energies over all [fields]

    From
    ----
    Backward Euler, extrapolated once (Hairer and Wanner, Solving ODEs II, IV.9), step from the error estimate.
    """
    steps = steps or Steps()
    if not pieces or any(not duration > 0.0 or not np.isfinite(duration) for duration, _ in pieces):
        raise ValueError("a history needs loads whose durations are above 0 and finite")
    if any(len(load.contacts) != start.steel.size for _, load in pieces):
        raise ValueError("every load of a history must have as many contacts as the start has steels")
    rows, total, refused, stage = [_row(rope, 0.0, start)], Balance({}, {}), 0, None
    state, begin, last = start, 0.0, 0.0
    for duration, load in pieces:
        stage = Stage(rope, load, steps.limit, stage)
        piece = _Piece(stage, duration, steps, last)
        while piece.place < FINEST:
            taken = piece.advance(state)
            state, total = taken.state, total.plus(taken.energy)
            rows.append(_row(rope, begin + piece.place / FINEST * duration, state))
            _check(state, steps.limit, rows[-1][0])
        begin, last, refused = begin + duration, piece.longest, refused + piece.refused
    time, axis, mean, skin, steel = (np.array(column) for column in zip(*rows, strict=True))
    return History(time, axis, mean, skin, steel, state, total, refused)


class _Piece:
    """One load: where it stands and how long its next step is, in powers of two of its duration."""

    def __init__(self, stage: Stage, duration: float, steps: Steps, last: float) -> None:
        self.stage, self.duration, self.steps = stage, duration, steps
        self.place, self.refused, self.longest = 0, 0, 0.0
        self.most = FINEST // steps.fewest
        self.size = self.most
        self._last = last

    def advance(self, state: State) -> _Step:
        """Take one step, shorter and shorter until it is good enough."""
        if self.place == 0 and np.isfinite(self.steps.tolerance):
            self.size = self._first(state)
        while self.place % self.size:
            self.size //= 2
        whole: Settled | None = None
        while True:
            length = self.size / FINEST * self.duration
            step = _step(self.stage, state, length, whole)
            if step.error <= self.steps.tolerance:
                break
            if self.size == 1:
                advice = "the load is too sharp for the tolerance: give it over a longer time, or a larger tolerance"
                raise FieldError("a step in time", step.error, advice)
            self.size, self.refused, whole = self.size // 2, self.refused + 1, step.half
        self.place += self.size
        self.longest = length
        if step.error <= QUIET * self.steps.tolerance:
            self.size = min(2 * self.size, self.most)
        return step

    def _first(self, state: State) -> int:
        """A first step over which the fastest cell moves some tolerances if nothing slows it."""
        rate = self.stage.rate(state)
        length = 16.0 * self.steps.tolerance / max(rate, 1e-300)
        size = self.most
        while size > 1 and size / FINEST * self.duration > length:
            size //= 2
        return size


def _step(stage: Stage, state: State, length: float, whole: Settled | None) -> _Step:
    """One step whole and in halves, and what is best made of them."""
    whole = whole or stage.settle(state, state, length)
    half = stage.settle(state, state, 0.5 * length)
    halves = stage.settle(half.state, half.state, 0.5 * length)
    zero = whole.system.zero
    gap = rises(halves.state, zero) - rises(whole.state, zero)
    share = _share(stage, state, (whole.state, halves.state))
    end = _beyond(stage, whole.state, halves.state, share)
    energy = Balance({}, {}).plus(balance(stage, half), 0.5 * length * (1.0 + share))
    energy = energy.plus(balance(stage, halves), 0.5 * length * (1.0 + share))
    energy = energy.plus(balance(stage, whole), -share * length)
    stored = _stored(stage, state, end)
    return _Step(end, Balance(energy.made, energy.lost, stored), float(np.abs(gap).max()), half)


def _beyond(stage: Stage, whole: State, halves: State, share: float) -> State:
    """The halves and a share of their difference from the whole, as heat: capacity may depend on temperature."""
    cells = halves.cells + share * (halves.cells - whole.cells)
    if share and callable(stage.rope.capacity):
        shape = cells.shape

        def capacity(one: Array, two: Array) -> Array:
            return chord_capacity(stage.rope, stage.load, one, two)[: cells.size].reshape(shape)

        heat = share * capacity(whole.cells, halves.cells) * (halves.cells - whole.cells)
        for _ in range(4):
            cells = halves.cells + heat / capacity(halves.cells, cells)
    skin = halves.skin + share * (halves.skin - whole.skin)
    return State(cells, skin, halves.steel + share * (halves.steel - whole.steel))


def _share(stage: Stage, old: State, ends: tuple[State, State]) -> float:
    """How much of the difference may be added so that nothing leaves the bounds of an unheated or uncooled rope."""
    whole, halves = (np.append(state.cells.ravel(), [*state.skin.ravel(), *state.steel]) for state in ends)
    low, high = stage.bounds(old)
    low, high, ahead = low - ROUNDING, high + ROUNDING, halves - whole
    with np.errstate(divide="ignore", invalid="ignore"):
        room = np.where(ahead > 0.0, (high - halves) / ahead, np.where(ahead < 0.0, (low - halves) / ahead, 1.0))
    return float(np.clip(np.nanmin(room, initial=1.0), 0.0, 1.0))


def _stored(stage: Stage, old: State, new: State) -> float:
    """Heat that rope and steel took up between two states [J]."""
    capacity = chord_capacity(stage.rope, stage.load, old.cells, new.cells)
    return float(np.sum(capacity * (rises(new, 0.0) - rises(old, 0.0))))


def _row(rope: Rope, time: float, state: State) -> tuple[float, Array, Array, Array, Array]:
    return time, core(rope.grid, state.cells), section_mean(rope.grid, state.cells), state.skin, state.steel


def _check(state: State, limit: float, time: float) -> None:
    hottest = float(max(state.cells.max(), state.skin.max()))
    if hottest > limit:
        advice = "lessen the heat, cool more, or end the history before"
        raise Runaway(f"above {limit:.1f} K after {time:.6g} s ({hottest:.1f} K)", hottest / limit - 1.0, advice)
