"""A running rope assessed: central run, the state each heave would settle at, without spray, band, cooling needed."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

import numpy as np

from linewright.assessment.draws import Draws, column
from linewright.assessment.running_life import Beside, RunningLife, WireLife, life_of, uncapped, why_none, wire_life
from linewright.assessment.running_setup import (
    Setup,
    everywhere_sprayed,
    piece_of,
    pieces_of,
    scene_of,
    setup,
)
from linewright.assessment.running_wear import Worn, stays, worn
from linewright.base.units import ZERO_CELSIUS
from linewright.cards.model import Shelf
from linewright.case.running.model import Running
from linewright.physics import running_field, running_steady
from linewright.physics.running import Heave
from linewright.physics.running_field import Pace, Past
from linewright.physics.running_load import Scene
from linewright.physics.running_parts import Piece
from linewright.physics.statistics import rank_shares
from linewright.physics.types import Array, Flags

FINE, COARSE = (8, 0.1), (5, 0.3)  # rings and finest cell along the rope [m]
QUICK = Pace(first=120.0, growth=2.0, longest=1800.0, travel=8, tolerance=0.5)
FIXED_LIMITS = (50.0, 60.0, 65.0, 70.0)  # [C]
STRONGEST = 1e5  # film that holds the skin at its stream [W/(m2 K)]
WEAKEST = 5.0
HALVINGS = 24
NO_WAY = 0.5  # way between two phases that is not worth a word [m]
LEAST_TOLD = 64  # draws below which nothing is said of what makes the band wide
MOLTEN = 1e9  # stands above every core in ranks; less the time until it melts
Told = Callable[[int, int], None]


@dataclass(frozen=True)
class Steady:
    """What a phase would settle at if it went on: hottest core and skin [K], where [m], whether below melting."""

    phase: str
    core: float
    skin: float
    mark: float
    heat: float
    is_sustainable: bool
    is_runaway: bool


@dataclass(frozen=True)
class Cooling:
    """What would keep the hottest core of a phase below a limit [K].

    `film` everywhere off the water [W/m2K], None if no film is enough; `core_at_best` with the skin held at
    `stream` [K]; `share` of the time that the phase may be run with rests in between (bouts short beside the
    rope's own time), None if even rest is too warm.
    """

    phase: str
    limit: float
    film: float | None
    core_at_best: float
    stream: float
    share: float | None


@dataclass(frozen=True)
class Band:
    """Peaks of all draws [K], held at the melting range; times to the limit [s], inf where not reached; verdicts.

    `ended` tells a programme that stopped at the melting range, `melted` also a skin that melts on a seized sheave.
    """

    core: Array
    skin: Array
    time: Array
    ended: Flags
    melted: Flags
    steady_core: Array
    sustainable: Flags
    wide_because: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class Variant:
    """The programme with its surroundings as given, or without spray."""

    past: Past
    marks: Array
    steady: tuple[Steady, ...]
    times: dict[str, float | None]

    @property
    def peak(self) -> tuple[float, float, float]:
        """Hottest core [K], its time [s] and its mark [m]."""
        row, cell = np.unravel_index(int(np.argmax(self.past.core)), self.past.core.shape)
        return float(self.past.core[row, cell]), float(self.past.time[row]), float(self.marks[cell])


@dataclass(frozen=True)
class Assessed:
    """All that is known of a running rope."""

    setup: Setup
    limits: dict[str, float]
    limit: str
    given: Variant
    dry: Variant | None
    band: Band
    cooling: Cooling | None
    coarse: float
    pieces: tuple[Piece, ...]
    used: tuple[str, ...]
    no_life: str
    life: RunningLife | None
    wire: WireLife | None


def assess_running(study: Running, shelf: Shelf, told: Told | None = None) -> Assessed:
    """The study's rope through its programme. Raises InputError, CardError or ModelError."""
    found = setup(study, shelf)
    draws = found.draws()
    central = draws.block(slice(0, 1))
    limits, name = limits_of(found)
    pieces = pieces_of(found, central)
    given = _variant(found, central, limits, True)
    is_sprayed = "spray" in (study.drum_medium, *(part.medium for part in study.parts))
    dry = _variant(found, central, limits, False) if is_sprayed else None
    aside = replace(draws, asked=set())  # what life asks for makes no temperature wide
    band, runs = _band(found, draws, limits[name], aside, told or (lambda done, total: None))
    cooling = _cooling(found, central, given, limits[name])
    core_at_first = min(float(np.max(given.past.core)), limits["melting range"])
    why = why_none(found, aside, _melts(found, given))
    lasting = None if why else _lasting(found, aside, runs, given, dry)
    return Assessed(found, limits, name, given, dry, band, cooling, float(band.core[0]) - core_at_first,
                    tuple(pieces), tuple(sorted(draws.asked | (aside.asked if lasting else set()))), why, lasting,
                    _wire(found, central, pieces))  # fmt: skip


def _melts(found: Setup, variant: Variant) -> bool:
    return variant.past.melted or bool(np.max(variant.past.skin) >= found.data["melting_temperature"].value)


def _lasting(found: Setup, draws: Draws, runs: list[Worn], given: Variant, dry: Variant | None) -> RunningLife:
    """Life of all draws, and of the central run without spray."""
    central = draws.block(slice(0, 1))
    pieces = pieces_of(found, central)
    free = Draws(uncapped(found).data, central.scores, 1)

    def run(past: Past, rope: Draws, spray: bool = True) -> Worn:
        return worn(found, rope, scene_of(found, rope, pieces, FINE, spray), pieces, past, Pace())

    dry_run = None if dry is None else run(dry.past, central, False)
    beside = Beside(dry_run, run(given.past, central), run(given.past, free))
    return life_of(found, central, runs, scene_of(found, central, pieces, COARSE).grid.length, beside)


def _wire(found: Setup, draws: Draws, pieces: list[Piece]) -> WireLife | None:
    """The wire rope that the study asks for beside."""
    if found.study.wire is None:
        return None
    scene = scene_of(found, draws, pieces, FINE)
    return wire_life(found, found.study.wire, scene, stays(scene, pieces, Pace()))


def limits_of(found: Setup) -> tuple[dict[str, float], str]:
    """Temperatures that the core is asked about [K], and the one that cooling is sought for."""
    rows = {f"{value:.0f} C": value + ZERO_CELSIUS for value in FIXED_LIMITS}
    for key, name in (("long_term_limit", "long-term limit"), ("short_term_limit", "short-term limit")):
        if key in found.data:
            rows[name] = found.data[key].value
    rows["melting range"] = found.data["melting_temperature"].value
    if found.study.limit is not None:
        rows["own limit"] = found.study.limit
        return rows, "own limit"
    return rows, "long-term limit" if "long-term limit" in rows else "65 C"


def _variant(found: Setup, draws: Draws, limits: dict[str, float], spray: bool) -> Variant:
    pieces = pieces_of(found, draws)
    scene = scene_of(found, draws, pieces, FINE, spray)
    past = running_field.run(scene, pieces, repeat=found.study.repeat)
    hottest = np.max(past.core, axis=1)
    times = {name: reached(past.time, hottest, limit) for name, limit in limits.items()}
    steady = tuple(_steady(scene, piece) for piece in _standing(pieces))
    return Variant(past, scene.grid.middle[1], steady, times)


def _standing(pieces: Iterable[Piece]) -> list[Piece]:
    """Each heave once: what could go on for ever and makes heat."""
    return list({piece.name: piece for piece in pieces if isinstance(piece.motion, Heave)}.values())


def jumps(study: Running) -> tuple[tuple[str, str, float], ...]:
    """Phases that begin where the one before does not end: both names, and the way that is left out [m].

    A heave may begin and end anywhere in its travel; a programme that is repeated goes back to its first phase.
    """
    phases = [*study.phases, *(study.phases[:1] if study.repeat > 1 else ())]
    found = []
    for one, two in itertools.pairwise(phases):
        end = one.end if one.motion == "travel" else one.payout
        start = two.start if two.motion == "travel" else two.payout
        way = abs(start - end) - one.amplitude - two.amplitude
        if way > NO_WAY:
            found.append((one.name, two.name, way))
    return tuple(found)


def reached(time: Array, hottest: Array, limit: float) -> float | None:
    """When a limit is first reached [s], between two steps in proportion; None if it is not."""
    above = np.flatnonzero(hottest >= limit)
    if not above.size:
        return None
    row = int(above[0])
    if row == 0:
        return 0.0
    part = (limit - hottest[row - 1]) / (hottest[row] - hottest[row - 1])
    return float(time[row - 1] + part * (time[row] - time[row - 1]))


def _steady(scene: Scene, piece: Piece) -> Steady:
    found = running_steady.settle(scene, piece)
    cell = int(np.argmax(found.core))
    runaway = not found.sustainable and running_steady.runs_away(scene, piece)
    return Steady(piece.name, float(found.core[cell]), float(np.max(found.skin)),
                  float(scene.grid.middle[1][cell]), float(np.max(found.heat)), found.sustainable, runaway)  # fmt: skip


def _band(found: Setup, draws: Draws, limit: float, aside: Draws, told: Told) -> tuple[Band, list[Worn]]:
    """All draws on coarser cells and steps, and what one run takes from each; `aside` are the draws that life asks."""
    rows, runs = [], []
    told(0, draws.samples)
    for number in range(draws.samples):
        block = slice(number, number + 1)
        row, run = _sample(found, draws.block(block), limit, aside.block(block))
        rows.append(row)
        runs.append(run)
        told(number + 1, draws.samples)
    core, skin, time, ended, melts, steady, fine = (np.array(values) for values in zip(*rows, strict=True))
    wide = _wide(draws, np.where(ended, MOLTEN - melts, core))
    return Band(core, skin, time, ended.astype(bool), np.isfinite(melts), steady, fine.astype(bool), wide), runs


Sample = tuple[float, float, float, bool, float, float, bool]


def _sample(found: Setup, draws: Draws, limit: float, aside: Draws) -> tuple[Sample, Worn]:
    """Peaks [K], time to limit [s], whether it ended early, time to melting [s], steady core [K], whether it is one.

    Times are inf for never; the skin melts where it is hottest, at the steel of a seized sheave.
    """
    pieces = pieces_of(found, draws)
    scene = scene_of(found, draws, pieces, COARSE)
    past = running_field.run(scene, pieces, QUICK, found.study.repeat)
    melting = scene.fabric.melting
    time = reached(past.time, np.max(past.core, axis=1), limit)
    settled = [running_steady.settle(scene, piece) for piece in _standing(pieces)]
    steady = max((float(np.max(one.core)) for one in settled), default=float(np.max(past.core)))
    fine = all(one.sustainable for one in settled)
    melts = reached(past.time, np.maximum(np.max(past.core, axis=1), np.max(past.skin, axis=1)), melting)
    core, skin = (min(float(np.max(part)), melting) for part in (past.core, past.skin))
    never = (np.inf if time is None else time, np.inf if melts is None else melts)
    run = worn(found, aside, scene, pieces, past, QUICK)
    return (core, skin, never[0], past.melted, never[1], min(steady, melting), fine), run


def _wide(draws: Draws, core: Array) -> tuple[tuple[str, float], ...]:
    """Share of the spread in rank of each datum: of the core's peak, the sooner it melts the higher."""
    columns = {column(datum): key for key, datum in draws.data.items() if datum.has_band and key in draws.asked}
    moving = {draws.score(key).tobytes(): key for key in columns.values() if np.ptp(draws.score(key)) > 0.0}
    if not moving or draws.samples < LEAST_TOLD:
        return ()
    shares = rank_shares(np.stack([draws.score(key) for key in moving.values()], axis=1), core)
    return tuple(sorted(zip(moving.values(), map(float, shares), strict=True), key=lambda row: -row[1]))


def _cooling(found: Setup, draws: Draws, given: Variant, limit: float) -> Cooling | None:
    """What the hottest heave needs; None where nothing heaves."""
    if not given.steady:
        return None
    worst = max(given.steady, key=lambda row: row.core)
    phase = next(phase for phase in found.study.phases if phase.name == worst.phase)
    piece = piece_of(phase, draws)
    scene = scene_of(found, draws, [piece], FINE)

    def sprayed(film: float) -> float:
        return _hottest(everywhere_sprayed(scene, film), piece)

    def shared(share: float) -> float:
        return _hottest(scene, replace(piece, duty=share))

    best = sprayed(STRONGEST)
    film = None if best > limit else float(np.exp(_edge(lambda x: sprayed(float(np.exp(x))) > limit, WEAKEST)))
    share = None if shared(1e-6) > limit else 1.0
    if share is not None and shared(1.0) > limit:
        share = _halved(lambda x: shared(x) <= limit, 0.0, 1.0)
    return Cooling(worst.phase, limit, film, best, scene.around.coldest, share)


def _edge(fails: Callable[[float], bool], weakest: float) -> float:
    """Logarithm of the smallest film that does not fail."""
    low, high = float(np.log(weakest)), float(np.log(STRONGEST))
    return low if not fails(low) else _halved(fails, low, high)


def _halved(holds: Callable[[float], bool], low: float, high: float) -> float:
    """Where a condition that holds at the low end ends, by bisection."""
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if holds(middle) else (low, middle)
    return 0.5 * (low + high)


def _hottest(scene: Scene, piece: Piece) -> float:
    return float(np.max(running_steady.settle(scene, piece).core))
