"""A running rope through its programme.

A piece is done in stretches of time. Over each, heat, films and steel are held at the temperatures
it begins with (evaporation as its tangent), so that the field is linear; `field_time` does the rest.
"""

from __future__ import annotations

from collections.abc import Iterator
from copy import copy
from dataclasses import dataclass, replace

import numpy as np

from linewright.physics.field import Balance, Runaway, even_state
from linewright.physics.field_parts import Load, Rope, Surface
from linewright.physics.field_system import State
from linewright.physics.field_time import History, Steps, history
from linewright.physics.running import Travel
from linewright.physics.running_load import Exchange, Means, Scene, exchanges, field_rope, load_of, means_of, sliding
from linewright.physics.running_parts import Piece
from linewright.physics.series import remainder
from linewright.physics.types import Array

WILD = 5000.0  # a temperature that no steady search needs to pass [K]
BEYOND = 100.0  # how far past the melting range a stretch may end before it is cut in halves [K]
SHORTEST = 1e-3  # stretch [s]
PERIODIC = 0.05  # how far temperatures may be from those that endless cycles come to, to be taken as theirs [K]


@dataclass(frozen=True)
class Pace:
    """How finely time is cut.

    Attributes
    ----------
    first : first stretch of a piece [s]
    growth : of each stretch over the last [-]
    longest : stretch [s]
    travel : parts of a lowering or hoisting [-]
    tolerance : of the field's own steps [K]
    """

    first: float = 30.0
    growth: float = 1.5
    longest: float = 600.0
    travel: int = 64
    tolerance: float = 0.05

    def stretches(self, piece: Piece) -> Iterator[Piece]:
        """The piece in parts."""
        if isinstance(piece.motion, Travel):
            for way in piece.motion.parts(self.travel):
                yield replace(piece, motion=way, duration=piece.duration / self.travel)
            return
        left, length = piece.duration, self.first
        while left > 0.0:
            taken = left if left < 1.5 * length else length
            yield replace(piece, duration=taken)
            left, length = left - taken, min(length * self.growth, self.longest)


@dataclass(frozen=True)
class Past:
    """What became of a running rope; the first axis is time.

    Attributes
    ----------
    time : at every step taken, the start included [s]
    core : on the axis, by cell [K]
    skin : hottest face or touching strip, by cell [K]
    steel : of each sheave [K]
    bends : full bends made by each cell [-]
    balance : of the rope, energies [fields]
    streams : heat that left the skin, by stream [J]
    steel_balance : of all sheaves: friction and bearing made, what went to air and spray, stored [fields]
    melted : whether the programme was stopped because a core or a mean skin came to the melting range [-]
    periodic : when the cycles had come to repeat themselves, so that the rest was counted only; inf for never [s]
    """

    time: Array
    core: Array
    skin: Array
    steel: Array
    bends: Array
    balance: Balance
    streams: dict[str, float]
    steel_balance: Balance
    melted: bool
    periodic: float = np.inf


class _Run:
    """Where a run stands."""

    def __init__(self, scene: Scene) -> None:
        self.scene, self.begin, self.melted = scene, 0.0, False
        self.state = cold(scene)
        self.steels = np.full(len(scene.path.sheaves), scene.around.air)
        width = scene.grid.shape[2]
        start = np.full(width, scene.around.air)
        self.rows: list[tuple[float, Array, Array, Array]] = [(0.0, start, start, self.steels.copy())]
        self.bends, self.balance, self.steel_balance = np.zeros(width), Balance({}, {}), Balance({}, {})
        self.streams: dict[str, float] = {}
        self.periodic = np.inf
        self.changes: tuple[Array, ...] = ()

    def go(self, piece: Piece, tolerance: float, known: tuple[Means, Rope]) -> None:
        """Do a stretch of time, in halves where its heat would carry it far past the melting range."""
        try:
            self.advance(piece, *known, tolerance)
        except Runaway:
            if piece.duration < SHORTEST:
                raise
            for part in _halves(piece):
                if not self.melted:
                    self.go(part, tolerance, known if part.motion is piece.motion else _known(self.scene, part))

    def advance(self, piece: Piece, means: Means, rope: Rope, tolerance: float) -> None:
        """Do one stretch of time."""
        scene, begin = self.scene, self.begin
        found = exchanges(scene, piece, means, self.state.skin[0], self.steels)
        load = load_of(scene, piece, means, self.state.cells, found)
        past = history(
            rope, [(piece.duration, load)], self.state, Steps(tolerance, limit=scene.fabric.melting + BEYOND)
        )
        skin = past.skin[:, 0]
        mean = np.asarray(np.trapezoid(skin, past.time, axis=0)) / piece.duration
        steels = self._steels(piece, means, found, mean)
        touching = strips(scene, piece, means, skin, self.steels)
        for row in range(1, past.time.size):
            share = past.time[row] / piece.duration
            steel = self.steels + share * (steels - self.steels)
            self.rows.append((begin + float(past.time[row]), past.core[row], touching[row], steel))
        self._count(piece, means, found, past, mean)
        self.state, self.steels, self.begin = past.end, steels, begin + piece.duration
        self.melted = bool(max(np.max(past.core[-1]), np.max(past.skin[-1])) >= scene.fabric.melting)

    def _count(self, piece: Piece, means: Means, found: list[Exchange], past: History, mean: Array) -> None:
        self.bends = self.bends + means.bends * piece.duration
        self.balance = self.balance.plus(past.balance)
        area = self.scene.grid.area[0]
        for part in found:
            lost = float(np.sum(area * part.lost(mean))) * piece.duration
            self.streams = {**self.streams, part.to: self.streams.get(part.to, 0.0) + lost}

    def _steels(self, piece: Piece, means: Means, found: list[Exchange], skin: Array) -> Array:
        """Steel of each sheave at the end of a stretch: exact for even heat."""
        after = self.steels.copy()
        for number, given in enumerate(steel_heat(self.scene, piece, means, found, skin)):
            made, from_rope, conductance, pull, capacity = given
            target = (made + from_rope + pull) / conductance
            fade = np.exp(-conductance * piece.duration / capacity)
            before = self.steels[number]
            after[number] = target + (before - target) * fade
            mean = target + (before - target) * (1.0 - fade) * capacity / (conductance * piece.duration)
            lost = (conductance * mean - pull) * piece.duration
            row = Balance({"friction": made * piece.duration, "rope": from_rope * piece.duration},
                          {"surroundings": float(lost)}, float(capacity * (after[number] - before)))  # fmt: skip
            self.steel_balance = self.steel_balance.plus(row)
        return after

    def has_come_round(self, before: _Run, left: int) -> bool:
        """Whether the cycles left, or endless ones, would change no temperature by much, by the last four changes."""
        change = np.r_[(self.state.cells - before.state.cells).ravel(), self.steels - before.steels]
        self.changes = (*self.changes, change)[-4:]
        small = np.abs(change) * left < PERIODIC
        if small.all() or len(self.changes) < 4:
            return bool(small.all())
        return bool(np.all(small | (np.abs(remainder(np.stack(self.changes))) < PERIODIC)))

    def count_on(self, before: _Run, cycles: int) -> None:
        """Add some cycles like the last."""
        self.periodic = self.begin
        self.begin += cycles * (self.begin - before.begin)
        self.bends = self.bends + cycles * (self.bends - before.bends)
        for name in ("balance", "steel_balance"):
            now = getattr(self, name)
            setattr(self, name, now.plus(now.plus(getattr(before, name), -1.0), cycles))
        last = before.streams
        self.streams = {to: heat + cycles * (heat - last.get(to, 0.0)) for to, heat in self.streams.items()}
        self.rows.append((self.begin, *self.rows[-1][1:]))

    def past(self) -> Past:
        """What became of the rope."""
        time, axis, skin, steel = (np.array(column) for column in zip(*self.rows, strict=True))
        return Past(time, axis, skin, steel, self.bends, self.balance, self.streams, self.steel_balance, self.melted,
                    self.periodic)  # fmt: skip


def _known(scene: Scene, piece: Piece) -> tuple[Means, Rope]:
    """What does not depend on temperature."""
    means = means_of(piece, scene.fabric, scene.path, scene.grid)
    return means, field_rope(scene.fabric, means, scene.grid)


def _halves(piece: Piece) -> list[Piece]:
    ways = piece.motion.parts(2) if isinstance(piece.motion, Travel) else [piece.motion, piece.motion]
    return [replace(piece, motion=way, duration=0.5 * piece.duration) for way in ways]


def cold(scene: Scene) -> State:
    """Everything at the temperature of the air.

    Parameters
    ----------
    scene : of the run [fields]

    Returns
    -------
    state [fields]

    From
    ----
    Definition.
    """
    return even_state(Rope(scene.grid, 1.0, 1.0, 1.0), Load(Surface(0.0, scene.around.air)), scene.around.air)


def steel_heat(
    scene: Scene, piece: Piece, means: Means, found: list[Exchange], skin: Array
) -> Iterator[tuple[float, float, float, float, float]]:
    """What each sheave's steel takes up and gives off.

    Parameters
    ----------
    scene : of the run [fields]
    piece : of the programme [fields]
    means : of the piece [fields]
    found : exchanges of the skin, the sheaves' last [fields]
    skin : of each cell [K]

    Returns
    -------
    made by bearing and sliding [W], from the rope [W], conductance to the surroundings [W/K], what drives it [W],
    heat capacity [J/K]

    From
    ----
    Heat balance of the steel; bearing loss is its share of the tension times the mean speed.
    """
    area, width, around = scene.grid.area[0], scene.grid.steps[2], scene.around
    names = {part.to: part for part in found}
    for number, part in enumerate(scene.path.sheaves):
        steel, rope = part.sheave, names[part.name]
        assert steel is not None
        slid = sliding(scene, piece, means, number)
        made = float(np.sum(slid * width))
        born = float(np.sum(rope.flux * area))  # of it, what enters the rope
        running = 0.0 if steel.slides else piece.duty * float(np.mean(piece.motion.speeds))
        bearing = steel.bearing * piece.tension * running
        from_rope = float(np.sum(area * rope.coefficient * (skin - rope.temperature)))
        cold = {"air": around.air, "spray": around.spray, "water": around.water}[part.medium]
        rim = 0.0 if part.medium == "air" else steel.to_spray
        pull = steel.to_air * around.air + rim * cold
        yield made - born + bearing, from_rope, steel.to_air + rim, pull, steel.capacity


def strips(scene: Scene, piece: Piece, means: Means, skin: Array, steels: Array) -> Array:
    """The hottest of the mean skin and the strips that slide on seized sheaves.

    Parameters
    ----------
    scene : of the run [fields]
    piece : of the programme [fields]
    means : of the piece [fields]
    skin : mean round the rope, last axis over the cells [K]
    steels : of each sheave [K]

    Returns
    -------
    temperatures of the shape of `skin` [K]

    From
    ----
    Heat balance of the strip while the metre lies on the arc; where it slides, never below the steel.
    """
    hottest = skin
    shares = [share for part, share in zip(scene.path.stretches, means.shares, strict=True) if part.sheave]
    for number, (part, share) in enumerate(zip(scene.path.sheaves, shares, strict=True)):
        steel = part.sheave
        if steel is None or not steel.slides:
            continue
        heat = np.where(share > 0.0, sliding(scene, piece, means, number) / np.maximum(share, 1e-12), 0.0)
        touching = 2.0 * steel.half_angle * scene.fabric.radius * steel.interface
        across = scene.fabric.across[0] * (1.0 - means.wetness) + scene.fabric.across[1] * means.wetness
        spread = -np.log(np.sin(0.5 * steel.half_angle)) / (np.pi * across)
        flow = touching * spread
        strip = (flow * steels[number] + skin + steel.share * heat * spread) / (1.0 + flow)
        hottest = np.where(share > 0.0, np.maximum(hottest, strip), hottest)
    return hottest


def run(scene: Scene, pieces: list[Piece], pace: Pace | None = None, repeat: int = 1) -> Past:
    """Temperatures of a rope through a programme; stopped at the melting range.

    Parameters
    ----------
    scene : rope, path, surroundings, cells [fields]
    pieces : the programme in order [fields]
    pace : how finely time is cut [fields]
    repeat : times that the programme is done; once its cycles repeat themselves the rest is counted [-]

    Returns
    -------
    temperatures, bends, balances [fields]

    From
    ----
    Means over the period of each motion; the field through time.
    """
    pace, going = pace or Pace(), _Run(scene)
    for cycle in range(repeat):
        before = copy(going)
        _cycle(going, pieces, pace)
        if going.melted:
            break
        left = repeat - cycle - 1
        if left and going.has_come_round(before, left):
            going.count_on(before, left)
            break
    return going.past()


def _cycle(going: _Run, pieces: list[Piece], pace: Pace) -> None:
    for piece in pieces:
        known: tuple[Means, Rope] | None = None
        for part in pace.stretches(piece):
            if known is None or isinstance(part.motion, Travel):
                known = _known(going.scene, part)
            going.go(part, pace.tolerance, known)
            if going.melted:
                return
