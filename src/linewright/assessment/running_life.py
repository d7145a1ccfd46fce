"""Life of a running rope: runs of its programme until a piece must go, and until cutting helps no more.

Losses add in ln strength as for a moored line (`life`), with runs in the place of years.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from linewright.assessment import life
from linewright.assessment.draws import Draws
from linewright.assessment.running_setup import Setup, highest_tension
from linewright.assessment.running_wear import NAMES, Stay, Worn, assessed, tangents
from linewright.base.errors import InputError, Problem
from linewright.case.running.model import Running, Wire
from linewright.physics import running
from linewright.physics.running_load import Scene
from linewright.physics.types import Array
from linewright.physics.wire_rope import Endurance, wire_cycles

RUNS = 1000.0  # of the programme, in the place of a year
MOST = RUNS * life.HORIZON  # runs beyond which no life is told
STRENGTH_LEFT = 0.75  # at which a metre has to go, as for a moored line
HALF = 0.5  # of the worst metre's loss, above which a metre belongs to its zone
MOST_CUTS = 20
POINTS = 2000  # places at which a shift is tried
FEWEST, MOST_BENDS = 10.0, 1e10  # bending cycles of a wire rope; beyond, its coefficients are wrong
CAP, FREE = "bending_cycle_cap", 1e30  # the card's cap on cycles, and none
EQUAL = 0.01  # by which the worst metre may miss the half


@dataclass(frozen=True)
class Cutting:
    """What cutting does at the outboard end.

    zone [m]: marks about the worst metre that lose more than half of what it loses; piece [m]: the rope up to the
    last metre anywhere that loses so much; times that the length allows it; shift [m] that halves the bending of
    the worst metre, None where none does, and how often the length allows that.
    """

    zone: tuple[float, float]
    piece: float
    times: int
    shift: float | None
    shifts: int


@dataclass(frozen=True)
class RunningLife:
    """Life of every draw, in runs of the programme; row 0 is the central case.

    crop: runs until the worst metre meets its first criterion (s,); discard: until no cutting helps (s,); 0 where the
    rope melts. Of the central case: criterion, mark [m], losses of ln strength at the end by mechanism (M,), loss per
    run (Q,) at the marks (Q,), cutting. without: runs of the central case without spray; lacking: mechanisms that the
    card has no data for; whether the card's cap on bending cycles decides at the worst metre.
    """

    crop: Array
    discard: Array
    criterion: str
    mark: float
    losses: Array
    loss: Array
    marks: Array
    cutting: Cutting
    without: float | None
    lacking: tuple[str, ...]
    is_capped: bool


def uncapped(found: Setup) -> Setup:
    """The same rope without the cap on cycles that its card sets."""
    free = {key: replace(found.data[key], value=FREE, low=FREE, high=FREE, shape="fixed") for key in (CAP,)}
    return replace(found, data={**found.data, **free})


def why_none(found: Setup, draws: Draws, melts: bool) -> str:
    """Why no life can be told; empty where one can."""
    if melts:
        return "not sustainable"
    if "bending" not in assessed(draws):
        return "the rope's card has no bending test"
    least = found.data.get("bending_minimum_ratio")
    low = min(ratios(found).values())
    return f"D/d {low:.1f}, bending tests end at {least.value:.0f}" if least is not None and low < least.value else ""


def ratios(found: Setup, diameter: float | None = None) -> dict[str, float]:
    """D/d of drum and sheaves by name, of the rope or of another diameter [m]."""
    thick = found.data["diameter"].value if diameter is None else diameter
    rows = {"drum": found.data["drum_diameter"].value / thick}
    for part in found.study.parts:
        if part.kind == "sheave":
            rows[part.name] = max(part.data["diameter"].value / thick, 2.0 / part.data["wrap_angle"].value)
    return rows


def rates_of(worn: Sequence[Worn]) -> life.YearlyRates:
    """Rates of all draws with `RUNS` runs in the place of a year."""
    loss, power, growth, unit = (
        np.stack([getattr(one, name) for one in worn]) for name in ("loss", "power", "growth", "unit")
    )
    strain = np.array([one.strain for one in worn])
    creeping = NAMES.index("creep") if strain.any() else -1
    return life.YearlyRates(RUNS * loss, power, growth, unit, strain, creeping, NAMES.index("abrasion"), NAMES)


def limits_of(found: Setup, worn: Sequence[Worn]) -> life.Limits:
    """Criteria of a moored line, and the programme's own highest tension for its margin."""
    margin = np.full(len(worn), -np.log(highest_tension(found)) if highest_tension(found) > 0.0 else np.inf)
    hot = np.stack([one.hot for one in worn]) / RUNS
    return life.Limits(STRENGTH_LEFT, np.ones(len(NAMES)), margin, hot, np.inf)


def lives(found: Setup, worn: Sequence[Worn]) -> tuple[life.Lives, Array]:
    """End of every draw in `RUNS` runs, and the same in runs with 0 where the rope melts."""
    ended = life.live(rates_of(worn), limits_of(found, worn))
    return ended, np.where([one.melts for one in worn], 0.0, RUNS * ended.age)


@dataclass(frozen=True)
class Beside:
    """Central runs beside: without spray, if there is any; as given and without the card's cap, on finer cells."""

    dry: Worn | None
    given: Worn
    free: Worn


def life_of(found: Setup, draws: Draws, worn: Sequence[Worn], edges: Array, beside: Beside) -> RunningLife:
    """Life of all draws; `worn` in their order, `edges` of the cells [m]."""
    dry = beside.dry
    ended, crop = lives(found, worn)
    marks = 0.5 * (edges[1:] + edges[:-1])
    loss = worn[0].loss.sum(axis=0)
    cell = int(ended.metre[0])
    cutting = cutting_of(found.study, edges, loss, worn[0].loss[NAMES.index("bending")], cell)
    without = None if dry is None else float(lives(found, [dry])[1][0])
    bent = [float(run.loss[NAMES.index("bending")].max()) for run in (beside.given, beside.free)]
    lacking = tuple(name for name in NAMES if name not in assessed(draws))
    why = int(ended.criterion[0])
    return RunningLife(crop, _discard(found, worn, marks, cutting, crop), life.CRITERIA[why] if why >= 0 else "",
                       float(marks[cell]), ended.losses[0], loss, marks, cutting, without, lacking,
                       bent[0] > (1.0 + EQUAL) * bent[1])  # fmt: skip


def cutting_of(study: Running, edges: Array, loss: Array, bent: Array, worst: int) -> Cutting:
    """Zone of the worst cell by its loss per run, and what cutting at the outboard end can do for it."""
    low = high = worst
    while low > 0 and loss[low - 1] > HALF * loss[worst]:
        low -= 1
    while high < loss.size - 1 and loss[high + 1] > HALF * loss[worst]:
        high += 1
    zone = float(edges[low]), float(edges[high + 1])
    spare = study.length - max(max(phase.payout + phase.amplitude, phase.start, phase.end) for phase in study.phases)
    shift = halving_shift(edges, bent) if any(phase.motion == "heave" for phase in study.phases) else None
    piece = float(edges[int(np.flatnonzero(loss >= HALF * loss[worst])[-1]) + 1]) if loss[worst] > 0.0 else zone[1]
    return Cutting(zone, piece, int(spare / piece), shift, 0 if shift is None else int(spare / shift))


def halving_shift(edges: Array, bent: Array) -> float | None:
    """The shortest shift [m] that halves the worst metre's bending, done at half of the runs; None where nothing bends.

    Before it a metre takes its own loss `bent`, after it that of the metre at its new place; the sum must be no more
    than the worst metre's alone.
    """
    worst = float(bent.max())
    if worst <= 0.0:
        return None
    often = np.flatnonzero(bent > 0.5 * EQUAL * worst)
    low, high = float(edges[often[0]]), float(edges[often[-1] + 1])
    places = np.linspace(low, high, POINTS + 1)[:-1] + 0.5 * (high - low) / POINTS
    here = bent[np.clip(np.searchsorted(edges, places) - 1, 0, bent.size - 1)]
    for number in range(1, POINTS):
        if np.max(here[number:] + here[:-number]) <= (1.0 + EQUAL) * worst:
            return number * (high - low) / POINTS
    return high - low


def _discard(found: Setup, worn: Sequence[Worn], marks: Array, cutting: Cutting, crop: Array) -> Array:
    """Runs until the worst metre ends though every piece that can go has gone; metres keep what they have lost."""
    rates, limits = rates_of(worn), limits_of(found, worn)
    age = life.live(rates, limits).age
    total, before = age.copy(), None
    at = marks + cutting.piece
    for _ in range(min(cutting.times, MOST_CUTS)):
        lost = life.worn(rates, age[:, None], before)
        before = np.apply_along_axis(lambda row: np.interp(at, marks, row, right=0.0), -1, lost)
        age = life.live(rates, limits, before=before).age
        total = total + age
    return np.where(crop > 0.0, np.minimum(RUNS * total, MOST), 0.0)


@dataclass(frozen=True)
class WireLife:
    """A wire rope through the same programme by its user's coefficients.

    cycles: bending cycles by the form at the hardest bend; runs of the programme until the most bent metre ends; its
    mark [m]; what lies outside the ranges that its user gave, in words; whether all ranges were given.
    """

    cycles: float
    runs: float
    mark: float
    outside: tuple[str, ...]
    ranged: bool


def wire_life(found: Setup, wire: Wire, scene: Scene, rows: Sequence[Stay]) -> WireLife:
    """Miner's sum of the bends of every metre; `rows` are one cycle of the programme."""
    form = Endurance(wire.b0, wire.b1, wire.b2, wire.b3, wire.b4, wire.b5)
    damage, fewest, hardest = np.zeros(scene.grid.shape[2]), np.inf, 0.0
    for stay in rows:
        tension = stay.piece.tension
        for _, place, ratio in tangents(scene.path, wire.diameter):
            bends = 0.5 * stay.piece.duty * running.passages(stay.piece.motion, scene.grid.length, place)
            if not bends.any() or tension <= 0.0:
                continue
            cycles = float(wire_cycles(form, tension, wire.diameter, ratio, wire.strength, wire.bent_length))
            if not FEWEST <= cycles <= MOST_BENDS:
                raise InputError(f"{found.study.file} cannot be run.", [_impossible(found.study, stay, cycles)])
            damage = damage + bends * stay.piece.duration / cycles
            fewest, hardest = min(fewest, cycles), max(hardest, tension / wire.diameter**2)
    worst = int(np.argmax(damage))
    runs = 1.0 / (found.study.repeat * damage[worst]) if damage[worst] > 0.0 else np.inf
    outside = _outside(wire, ratios(found, wire.diameter), hardest)
    ranged = None not in (wire.lowest_ratio, wire.highest_ratio, wire.highest_stress)
    return WireLife(float(fewest), float(runs), float(scene.grid.middle[1][worst]), outside, ranged)


def _impossible(study: Running, stay: Stay, cycles: float) -> Problem:
    """What coefficients give that belong to no wire rope."""
    read = f"{cycles:.3g} bends at the tension of {stay.piece.name}"
    needs = f"coefficients that give {FEWEST:g} to {MOST_BENDS:g}, with S/d2 in N/mm2 and d in mm"
    return Problem(f"{study.file}  wire_rope", read, needs, "check signs and logarithms: all are to the base 10")


def _outside(wire: Wire, bends: dict[str, float], hardest: float) -> tuple[str, ...]:
    """What lies beyond the ranges that the user gave for his coefficients."""
    least, most = wire.lowest_ratio, wire.highest_ratio
    said = [f"D/d {ratio:.1f} of {name} below {least:g}" for name, ratio in bends.items() if least and ratio < least]
    said += [f"D/d {ratio:.1f} of {name} above {most:g}" for name, ratio in bends.items() if most and ratio > most]
    if wire.highest_stress and hardest > wire.highest_stress:
        said.append(f"S/d2 {hardest / 1e6:.0f} above {wire.highest_stress / 1e6:g} N/mm2")
    return tuple(said)
