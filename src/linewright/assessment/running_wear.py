"""What one run of a programme takes from every metre of a running rope: losses of ln strength by mechanism.

The laws are those of the moored lines: bending anchored at one test, creep and ageing at the metre's own temperature,
tension cycles by the curve, wear where the rope slides over a seized sheave.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from linewright.assessment.contact import anchor
from linewright.assessment.draws import Draws, endurance_scatter
from linewright.assessment.running_setup import Setup, one, tensions
from linewright.assessment.temperature import activated
from linewright.base.units import YEAR_HOURS
from linewright.case.running.model import Phase
from linewright.physics import bending, creep, cycles, fatigue, running, section, wear
from linewright.physics.running import Heave, Travel
from linewright.physics.running_field import Pace, Past
from linewright.physics.running_load import Means, Scene, means_of, sliding, wet_mix
from linewright.physics.running_parts import Path, Piece
from linewright.physics.types import Array

NAMES = ("creep", "bending", "tension", "abrasion", "ageing")
NEEDED = {
    "creep": ("creep_unit_strength",),
    "bending": ("bending_reference_cycles", "bending_unit_strength"),
    "tension": ("tension_fatigue_exponent", "tension_fatigue_constant", "tension_unit_strength"),
    "abrasion": ("wear_coefficient",),
    "ageing": ("ageing_loss", "ageing_activation_energy", "ageing_reference_temperature"),
}
LEAST_LOAD = 1e-6  # of LDBF, as for moored lines
SOON = 1e-6  # between two times that are one [s]


@dataclass(frozen=True)
class Worn:
    """One draw's run of the whole programme, by mechanism of `NAMES` (M,) and cell (Q,).

    loss of ln strength (M, Q); power (M,) of the strength left; growth (Q,) of creep; unit (M,): ln loss at damage 1,
    inf where there is none; creep strain at damage 1; hot: runs until the hours above the long-term limit are used up
    (Q,), 0 where the core passes the short-term limit; whether the rope melts, so that there is no run to repeat.
    """

    loss: Array
    power: Array
    growth: Array
    unit: Array
    strain: float
    hot: Array
    melts: bool


@dataclass(frozen=True)
class Stay:
    """A stretch of one cycle of the programme, and when it begins and ends in it [s]."""

    piece: Piece
    means: Means
    begin: float
    end: float


def assessed(draws: Draws) -> tuple[str, ...]:
    """Mechanisms whose data the rope's card has; creep needs one of its two laws besides."""
    law = draws.has("creep_rate_constant", "creep_retirement_strain") or draws.has("rupture_slope")
    return tuple(name for name in NAMES if draws.has(*NEEDED[name]) and (law or name != "creep"))


def tangents(path: Path, diameter: float) -> list[tuple[str, float, float]]:
    """Name, place [m] and D/d of every tangent point: one of the drum, two of each sheave."""
    found = [("drum", 0.0, 2.0 * path.drum / diameter)]
    for part in path.sheaves:
        if part.sheave is not None:
            ratio = float(bending.bend_ratio(part.sheave.radius, part.sheave.wrap, diameter))
            found += [(part.name, part.low, ratio), (part.name, part.high, ratio)]
    return found


def stays(scene: Scene, pieces: list[Piece], pace: Pace) -> list[Stay]:
    """One cycle of the programme in the stretches that its temperatures were found in."""
    found, begin = [], 0.0
    for piece in pieces:
        means: Means | None = None
        for part in pace.stretches(piece):
            if means is None or isinstance(part.motion, Travel):
                means = means_of(part, scene.fabric, scene.path, scene.grid)
            found.append(Stay(part, means, begin, begin + part.duration))
            begin += part.duration
    return found


def worn(found: Setup, draws: Draws, scene: Scene, pieces: list[Piece], past: Past, pace: Pace) -> Worn:
    """Losses of one run in one row of draws; `past` are its temperatures, cut in time by `pace`."""
    rows = stays(scene, pieces, pace)
    names, width = assessed(draws), scene.grid.shape[2]
    loss, growth, hot = np.zeros((len(NAMES), width)), np.zeros(width), np.full(width, np.inf)
    unit = np.full(len(NAMES), np.inf)
    for name in ("creep", "bending", "tension"):
        if name in names:
            unit[NAMES.index(name)] = -np.log(one(draws, f"{name}_unit_strength"))
    melts = past.melted or bool(np.max(past.skin) >= scene.fabric.melting)
    if not melts:
        hot = _hot(draws, past, rows, found.study.repeat)
        for name in names:
            if name == "tension":
                loss[2] = _tension(found, draws, rows) * unit[2]
                continue
            rate = RATES[name](draws, scene, found)
            scale = unit[NAMES.index(name)] if name in ("creep", "bending") else 1.0
            loss[NAMES.index(name)] = scale * _summed(past, rows, found.study.repeat, rate)
        if loss[0].any() and draws.has("creep_rate_constant"):
            grown = _summed(past, rows, found.study.repeat, _creep(draws, scene, found, growing=True))
            growth = grown * unit[0] / np.maximum(loss[0], 1e-300)
    power = np.zeros(len(NAMES))
    power[2] = one(draws, "tension_fatigue_exponent") if "tension" in names else 0.0
    strain = one(draws, "creep_retirement_strain") if draws.has("creep_retirement_strain") else 0.0
    return Worn(loss, power, growth, unit, strain if growth.any() else 0.0, hot, melts)


Rate = Callable[[Stay, Array], Array]  # of a stretch at core temperatures (n, Q) [K]: per second (n, Q)


def _summed(past: Past, rows: list[Stay], repeat: int, rate: Rate) -> Array:
    """A rate over the whole programme, cell by cell; cycles that were only counted are like the last one."""
    total = np.zeros(past.core.shape[1])
    for stay, begin, weight in _passing(past, rows, repeat):
        inside = (past.time >= begin + stay.begin - SOON) & (past.time <= begin + stay.end + SOON)
        time, core = past.time[inside], past.core[inside]
        values = np.broadcast_to(rate(stay, core), core.shape)
        total = total + weight * np.trapezoid(values, time, axis=0)
    return np.asarray(total)


def _passing(past: Past, rows: list[Stay], repeat: int) -> Iterator[tuple[Stay, float, float]]:
    """Every stretch that was run, when its cycle begins [s], and how often it counts."""
    length = rows[-1].end
    run = repeat if not np.isfinite(past.periodic) else round(past.periodic / length)
    for cycle in range(run):
        weight = 1.0 + (repeat - run if cycle == run - 1 else 0)
        for stay in rows:
            yield stay, cycle * length, weight


def _bending(draws: Draws, scene: Scene, found: Setup) -> Rate:
    """Full bends at every tangent point over what the anchor test allows there, at the metre's temperature."""
    law, strength, thick = anchor(draws, 2), one(draws, "design_break_force"), one(draws, "diameter")
    scatter = endurance_scatter(draws, 2)
    points = tangents(scene.path, thick)

    def rate(stay: Stay, core: Array) -> Array:
        piece, damage = stay.piece, np.zeros_like(core)
        load = max(piece.tension / strength, LEAST_LOAD)
        stroke = piece.motion.high - piece.motion.low if isinstance(piece.motion, Heave) else np.inf
        share = bending.stroke_damage(law, np.asarray(stroke), thick)
        for _, place, ratio in points:
            bends = 0.5 * piece.duty * running.passages(piece.motion, scene.grid.length, place)
            if bends.any():
                damage = damage + bends * share / bending.cycles_full_stroke(law, load, ratio, core)
        return np.asarray(damage / scatter)

    return rate


def _creep(draws: Draws, scene: Scene, found: Setup, growing: bool = False) -> Rate:
    """Creep damage of the rope off the drum; times its rise with strain where that is asked for."""
    strength, phases = one(draws, "design_break_force"), {phase.name: phase for phase in found.study.phases}
    per_newton = section.fibre_stress(1.0, one(draws, "density"), one(draws, "mass_per_length"))
    law = activated(draws, 2) if draws.has("creep_rate_constant") else None

    def rate(stay: Stay, core: Array) -> Array:
        piece, out = stay.piece, stay.means.outboard
        if law is None:
            slope = one(draws, "rupture_slope")
            return np.asarray(out / creep.rupture_time(piece.tension / strength, slope) + 0.0 * core)
        phase = phases[piece.name]
        swing, mean = tensions(phase, strength)[1] * per_newton, piece.tension * per_newton
        is_sine = phase.amplitude_kind != "significant"
        size = swing if is_sine else 0.5 * swing
        strain = creep.cycle_mean_rate(law, mean, (size, is_sine), core)
        deviation = swing / np.sqrt(2.0) if is_sine else 0.5 * swing
        rise = creep.stress_exponent(law, mean, deviation, core) if growing else 1.0
        return np.asarray(out * strain * rise / draws.of("creep_retirement_strain", 2))

    return rate


def _ageing(draws: Draws, scene: Scene, found: Setup) -> Rate:
    """Loss by heat while the programme runs; sunlight and the time between runs are left out."""
    per_second = one(draws, "ageing_loss") / (YEAR_HOURS * 3600.0)
    law = one(draws, "ageing_activation_energy"), one(draws, "ageing_reference_temperature")
    return lambda stay, core: np.asarray(per_second * wear.arrhenius(law[0], core, law[1]))


def _abrasion(draws: Draws, scene: Scene, found: Setup) -> Rate:
    """Area that seized sheaves rub off over the rope's; a sheave that turns does not slide."""
    area = np.pi * one(draws, "diameter") ** 2 / 4.0

    def rate(stay: Stay, core: Array) -> Array:
        lost = np.zeros(core.shape[1])
        friction = wet_mix(scene.fabric.friction, stay.means.wetness)
        for number, part in enumerate(scene.path.sheaves):
            if part.sheave is not None and part.sheave.slides:
                key = f"{number}.roughness"
                rough = one(draws, "wear_coefficient") * (one(draws, key) if draws.has(key) else 1.0)
                power = sliding(scene, stay.piece, stay.means, number)
                lost = lost + np.asarray(wear.abrasion_area_rate(rough, power, friction, 1.0))
        return lost / area + 0.0 * core

    return rate


RATES: dict[str, Callable[[Draws, Scene, Setup], Rate]] = {
    "creep": _creep, "bending": _bending, "abrasion": _abrasion, "ageing": _ageing,
}  # fmt: skip


def _tension(found: Setup, draws: Draws, rows: list[Stay]) -> Array:
    """Miner's sum of one run: the amplitude of each phase, and what the phases make of one run from slack to slack."""
    strength, repeat = one(draws, "design_break_force"), found.study.repeat
    m, ever = one(draws, "tension_fatigue_exponent"), np.max([stay.means.outboard for stay in rows], axis=0)
    damage, course = np.zeros_like(ever), [0.0]
    for phase in found.study.phases:
        mean, swing = tensions(phase, strength)
        course += [mean + swing, mean - swing]
        if swing > 0.0:
            mine = [stay for stay in rows if stay.piece.name == phase.name]
            count = sum(stay.piece.duration * stay.means.outboard for stay in mine) / phase.tension_period
            each = _per_cycle(phase, swing / strength, m) / _constant(draws, mean / strength)
            damage = damage + repeat * count * each
    whole = cycles.rainflow(np.array([*course[:1], *course[1:] * repeat, 0.0]))
    for size, mean, count in whole:
        damage = damage + (ever > 0.0) * count * (size / strength) ** m / _constant(draws, mean / strength)
    factor = one(draws, "tension_design_factor") if draws.has("tension_design_factor") else 1.0
    return np.asarray(damage * factor / float(endurance_scatter(draws, 1)[0]))


def _per_cycle(phase: Phase, swing: float, exponent: float) -> float:
    """Mean of the range to the exponent, of even or of irregular cycles."""
    if phase.amplitude_kind == "significant":
        return float(fatigue.narrow_band_damage(1.0, 1.0, 0.5 * swing, exponent, 1.0))
    return float((2.0 * swing) ** exponent)


def _constant(draws: Draws, mean: float) -> float:
    constant = one(draws, "tension_fatigue_constant")
    if not draws.has("tension_fatigue_mean_slope"):
        return constant
    return float(fatigue.wire_rope_constant(np.log10(constant), one(draws, "tension_fatigue_mean_slope"), mean))


def _hot(draws: Draws, past: Past, rows: list[Stay], repeat: int) -> Array:
    """Runs until the long-term hours are used up; 0 where the core passes the short-term limit."""
    runs = np.full(past.core.shape[1], np.inf)
    if draws.has("long_term_limit", "long_term_hours"):
        limit = one(draws, "long_term_limit")
        above = _summed(past, rows, repeat, lambda stay, core: np.asarray(core > limit, dtype=float))
        runs = np.where(above > 0.0, one(draws, "long_term_hours") / np.maximum(above, 1e-300), np.inf)
    if draws.has("short_term_limit"):
        runs = np.where(np.max(past.core, axis=0) > one(draws, "short_term_limit"), 0.0, runs)
    return np.asarray(runs)
