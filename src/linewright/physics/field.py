"""The steady temperature field of a rope with its contacts, its energy balance, and each source's share of it.

docs/explanation/field.md holds the equations. `field_parts` says what a field is made of,
`field_grid` its cells, `field_time` how it changes, `field_year` a year of weather over a section.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from linewright.physics.field_grid import Grid
from linewright.physics.field_parts import Load, Rope, chord_capacity
from linewright.physics.field_solve import FieldError, Solve, even_modes, preconditioner, solver
from linewright.physics.field_system import State, System, assemble, face_rise, mean_air
from linewright.physics.types import Array

HOTTEST = 700.0  # no rope is left above this; a field is sought below it unless told otherwise [K]
SETTLED = 1e-9  # heat that properties at the last and at the new temperatures may differ by
MOST = 200  # rounds of properties
KEPT = 6  # factorisations held for steps of other lengths


class Runaway(FieldError):
    """No field below the stated limit: heat grows faster than what carries it away."""


@dataclass(frozen=True)
class Balance:
    """Where heat came from and went to; powers when steady, energies over a history.

    Attributes
    ----------
    made : by source [W] or [J]
    lost : through air, steel and ends [W] or [J]
    stored : in rope and steel [W] or [J]
    """

    made: dict[str, float]
    lost: dict[str, float]
    stored: float = 0.0

    @property
    def closure(self) -> float:
        """What is missing, over half of all that comes and goes."""
        made, lost = list(self.made.values()), list(self.lost.values())
        through = 0.5 * float(np.sum(np.abs([*made, *lost, self.stored])))
        return abs(sum(made) - sum(lost) - self.stored) / through if through > 0.0 else 0.0

    def plus(self, other: Balance, factor: float = 1.0) -> Balance:
        """The sum of two balances, the other times a factor."""

        def add(one: dict[str, float], two: dict[str, float]) -> dict[str, float]:
            return {name: one.get(name, 0.0) + factor * two.get(name, 0.0) for name in {**one, **two}}

        return Balance(add(self.made, other.made), add(self.lost, other.lost), self.stored + factor * other.stored)


@dataclass(frozen=True)
class Field:
    """A steady field.

    Attributes
    ----------
    state : temperatures [fields]
    balance : of the whole [fields]
    rounds : of properties that it took; 1 when nothing depends on temperature [-]
    """

    state: State
    balance: Balance
    rounds: int


@dataclass(frozen=True)
class Settled:
    """A solution with the heat balances that it solves.

    Attributes
    ----------
    state : temperatures [fields]
    rise : of the unknowns above `system.zero` [K]
    system : with properties at these temperatures [fields]
    rounds : of properties [-]
    """

    state: State
    rise: Array
    system: System
    rounds: int


class Stage:
    """A rope under one load: balances and factorisations are kept as long as nothing changes them."""

    def __init__(self, rope: Rope, load: Load, limit: float = HOTTEST, before: Stage | None = None) -> None:
        """Take over what an earlier stage has factorised if its balances are the same."""
        self.rope, self.load, self.limit = rope, load, limit
        self.is_linear = rope.is_linear and load.is_linear
        self._solves: dict[float, Solve] = {}  # by step
        self._firsts: dict[float, Solve | None] = {}
        system = assemble(rope, load, even_state(rope, load, mean_air(load)))
        self._system = system if self.is_linear else None
        self._modes = even_modes(rope.grid, system)
        if before is not None and self._system and before._system and _alike(self._system, before._system):
            self._solves, self._firsts = before._solves, before._firsts

    def settle(self, start: State, old: State | None = None, step: float = np.inf) -> Settled:
        """Steady field, or that at the end of one implicit step from an old one; properties from `start` on."""
        guess, rounds, share, before = start, 0, 1.0, np.inf
        rise = np.zeros(0)
        while rounds < MOST:
            system = self._system or assemble(self.rope, self.load, self._held(guess))
            heat, rate = self._pushed(system, guess, old, step)
            if rounds:
                off = 0.0 if self.is_linear else self._off(system, heat, rate, rise)
                if off <= SETTLED:
                    return Settled(guess, rise, system, rounds)
                share = max(0.5 * share, 0.125) if off > before else share
                before = off
            found = self._solve(system, rate, step)(heat)
            rise = found if share == 1.0 or not rounds else rise + share * (found - rise)
            guess = self._state(system, rise)
            rounds += 1
        advice = "heat and conductivity change too fast with temperature: smooth their tables or lower the limit"
        raise FieldError("properties and temperatures did not settle", before, advice)

    def rate(self, state: State) -> float:
        """How fast the fastest unknown moves at a state [K/s]."""
        system = self._system or assemble(self.rope, self.load, self._held(state))
        moving = (system.heat - system.matrix @ rises(state, system.zero)) / system.capacity
        return float(np.abs(moving).max())

    def bounds(self, state: State) -> tuple[float, float]:
        """What no temperature can leave from a state on: infinite on the side to which something heats or cools."""
        surface = self.load.surface
        meets = [surface.air] if surface.surroundings is None else [surface.air, surface.surroundings]
        meets += [end.temperature for end in self.load.ends if end is not None]
        meets += [value for contact in self.load.contacts for value in (contact.steel.far, contact.steel.air)]
        every = np.concatenate([np.ravel(part) for part in (state.cells, state.skin, state.steel, *meets)])
        system = self._system or assemble(self.rope, self.load, self._held(state))
        given = [system.inputs[name] for name in (*self.load.heat, "friction")]
        given += [system.skin.born["surface"], *(np.array([contact.steel.absorbed]) for contact in self.load.contacts)]
        heat = np.concatenate([np.ravel(part) for part in given])
        low, high = float(every.min()), float(every.max())
        return (-np.inf if np.any(heat < 0.0) else low), (np.inf if np.any(heat > 0.0) else high)

    def _held(self, guess: State) -> State:
        """Temperatures at which properties are taken: not above the limit."""
        return replace(guess, cells=np.minimum(guess.cells, self.limit), skin=np.minimum(guess.skin, self.limit))

    def _pushed(self, system: System, guess: State, old: State | None, step: float) -> tuple[Array, Array]:
        """Heat into the unknowns with what they held before, and capacity over step."""
        if old is None:
            return system.heat, np.zeros(system.capacity.size)
        capacity = system.capacity
        if callable(self.rope.capacity):
            capacity = chord_capacity(self.rope, self.load, old.cells, self._held(guess).cells)
        return system.heat + capacity / step * rises(old, system.zero), capacity / step

    def _off(self, system: System, heat: Array, rate: Array, rise: Array) -> float:
        """Heat that the balances miss, beside all heat."""
        missing = heat - system.matrix @ rise - rate * rise
        through = np.sum(np.abs(system.matrix @ rise)) + np.sum(np.abs(system.heat))
        return float(np.sum(np.abs(missing)) / max(through, 1e-300))

    def _solve(self, system: System, rate: Array, step: float) -> Solve:
        """The solution for a step; what is costly is kept for it."""
        if step not in self._firsts:
            for kept in (self._firsts, self._solves):
                if len(kept) >= KEPT:
                    kept.pop(next(iter(kept)))
            self._firsts[step] = preconditioner(self.rope.grid, system, rate, self._modes)
        if self._system is None:
            return solver(system, rate, self._firsts[step])
        if step not in self._solves:
            self._solves[step] = solver(system, rate, self._firsts[step])
        return self._solves[step]

    def _state(self, system: System, rise: Array) -> State:
        shape = self.rope.grid.shape
        count = int(np.prod(shape))
        cells, steel = rise[:count].reshape(shape), rise[count:]
        skin = face_rise(system.skin, cells[-1], steel, np.asarray(sum(system.skin.born.values())))
        return State(cells + system.zero, skin + system.zero, steel + system.zero)


def even_state(rope: Rope, load: Load, temperature: float) -> State:
    """Cells, skin and steel at one temperature.

    Parameters
    ----------
    rope : cells and material [fields]
    load : what acts on it [fields]
    temperature : of all [K]

    Returns
    -------
    state [fields]

    From
    ----
    Definition.
    """
    shape = rope.grid.shape
    return State(*(np.full(size, temperature) for size in (shape, shape[1:], len(load.contacts))))


def rises(state: State, zero: float) -> Array:
    """The unknowns of a state.

    Parameters
    ----------
    state : temperatures [fields]
    zero : temperature that rises are counted from [K]

    Returns
    -------
    rises of cells and steel [K]

    From
    ----
    Definition.
    """
    return np.append(state.cells.ravel(), state.steel) - zero


def core(grid: Grid, cells: Array) -> Array:
    """Temperature on the axis, mean round the rope: a parabola in r^2 through the innermost rings.

    Parameters
    ----------
    grid : cells [fields]
    cells : temperatures of the cells [K]

    Returns
    -------
    temperature on the axis along the rope [K]

    From
    ----
    Exact for even heat, which is linear in r^2.
    """
    rings = np.tensordot(grid.steps[1] / grid.span, cells[: grid.axis.size], (0, 1))
    return grid.axis @ rings


def section_mean(grid: Grid, cells: Array) -> Array:
    """Mean temperature of each section.

    Parameters
    ----------
    grid : cells [fields]
    cells : temperatures of the cells [K]

    Returns
    -------
    mean over the section along the rope [K]

    From
    ----
    Definition.
    """
    return np.asarray(np.sum(grid.section * cells, axis=(0, 1)) / np.sum(grid.section))


def balance(stage: Stage, found: Settled) -> Balance:
    """Powers that enter and leave at the temperatures of a solution, from faces, steels and ends.

    Parameters
    ----------
    stage : rope and load [fields]
    found : solution [fields]

    Returns
    -------
    powers; nothing stored [fields]

    From
    ----
    Heat balance of rope and steel together.
    """
    grid, load, system, state = stage.rope.grid, stage.load, found.system, found.state
    skin = system.skin
    made = {name: float(np.sum(system.inputs[name])) for name in load.heat}
    made["friction"] = sum(contact.friction for contact in load.contacts)
    absorbed = float(np.sum(grid.area * skin.born["surface"]))
    made["surface"] = absorbed + sum(contact.steel.absorbed for contact in load.contacts)
    to_air = float(np.sum(grid.area * (skin.air * (state.skin - system.zero) - skin.born["air"])))
    to_steel = sum(
        (rise - contact.steel.far) / contact.steel.spreading + contact.steel.film * (rise - contact.steel.air)
        for contact, rise in zip(load.contacts, state.steel, strict=True)
    )
    cells = state.cells - system.zero
    to_ends = sum(float(np.sum(end.out * cells[:, :, end.side] - end.into * end.beyond)) for end in system.ends)
    return Balance(made, {"air": to_air, "steel": float(to_steel), "ends": to_ends})


def steady(rope: Rope, load: Load, start: State | None = None, limit: float = HOTTEST) -> Field:
    """Temperatures at which all heat leaves as it comes.

    Parameters
    ----------
    rope : cells and material [fields]
    load : what acts on it [fields]
    start : where to begin when properties depend on temperature; the mean air when left out [fields]
    limit : temperature below which a steady field is sought [K]

    Returns
    -------
    temperatures and energy balance [fields]

    From
    ----
    Finite volumes; properties and radiation by repeated substitution, from cold, so that of two steady
    fields the stable one is found.
    """
    stage = Stage(rope, load, limit)
    found = stage.settle(start or even_state(rope, load, mean_air(load)))
    hottest = float(max(found.state.cells.max(), found.state.skin.max()))
    if not hottest <= limit:
        advice = "lessen the heat, cool more, or ask for the time until the limit"
        raise Runaway(f"no steady field below {limit:.1f} K ({hottest:.1f} K reached)", hottest / limit - 1.0, advice)
    return Field(found.state, balance(stage, found), found.rounds)


def shares(rope: Rope, load: Load, around: State) -> dict[str, State]:
    """Rise above the mean air by each source, with properties and radiation held at a state; they add up.

    Parameters
    ----------
    rope : cells and material [fields]
    load : what acts on it; sources of one watt make responses per watt [fields]
    around : steady field about which the balances are linear [fields]

    Returns
    -------
    rises by source: the names of the heat, friction, steel, surface, air, ends [fields]

    From
    ----
    Superposition: one solution for each source with the same factorisation.
    """
    system = assemble(rope, load, around)
    still = np.zeros(system.capacity.size)
    solve = solver(system, still, preconditioner(rope.grid, system, still, even_modes(rope.grid, system)))
    count, found = int(np.prod(rope.grid.shape)), {}
    for name, heat in system.inputs.items():
        rise = solve(heat)
        cells, steel = rise[:count].reshape(rope.grid.shape), rise[count:]
        born = system.skin.born.get(name, np.zeros(rope.grid.shape[1:]))
        found[name] = State(cells, face_rise(system.skin, cells[-1], steel, born), steel)
    return found


def _alike(one: System, two: System) -> bool:
    """Whether two systems have the same balances."""
    same = one.matrix.data.size == two.matrix.data.size and np.array_equal(one.matrix.data, two.matrix.data)
    return same and np.array_equal(one.capacity, two.capacity)
