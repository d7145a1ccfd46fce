"""How far the fast temperatures of a contact lie from the field in three dimensions, over cases of the ranges in use.

Not a measurement of speed: the table of docs/explanation/temperature.md, from which the datum `profile_misfit` comes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.stats import qmc

from linewright.physics import heat, profile, response, section
from linewright.physics.field_parts import Contact, Steel, Surface
from linewright.physics.hot_spot import Spot, SpotField, Touch, hot_spot
from linewright.physics.types import Array

AIR = 304.15
FRICTION = 0.08
LEAST = 2.0  # rise of a case that counts [K]
CLASSES = {"HMPE": (6.0, 25.0), "k_z below 10": (0.5, 3.0)}  # conductivity along the rope [W/(m K)]

# Low and high of each input, drawn evenly in its logarithm, or as it is where it may be 0 or less.
RANGES = {
    "diameter": (0.028, 0.080),
    "across": (0.08, 0.40),
    "film": (6.0, 35.0),
    "bend_radius": (0.1, 0.4),
    "wrap": (np.radians(20.0), np.radians(160.0)),
    "half_angle": (0.17, 1.1),
    "interface": (500.0, 1e4),
    "share": (0.0, 1.0),
    "spreading": (0.08, 0.40),
    "mean": (0.15, 0.35),  # of the break force
    "amplitude": (0.03, 0.10),
    "period": (8.0, 20.0),
    "inboard_length": (5.0, 25.0),
    "bending": (0.0015, 0.0060),  # energy per metre over tension
    "steel": (-5.0, 30.0),  # above the air
}


@dataclass(frozen=True)
class Pair:
    """One case twice: rises above the free span of hottest core, touching face, hottest skin, fast and in full [K]."""

    core: tuple[float, float]
    face: tuple[float, float]
    skin: tuple[float, float]
    field: SpotField


def drawn(conductivity: tuple[float, float], number: int, seed: int) -> list[dict[str, float]]:
    """Cases of a class, by Sobol' points; a number that is a power of two."""
    ranges = {**RANGES, "along": conductivity}
    rows = qmc.Sobol(len(ranges), seed=seed).random(number)
    return [
        {
            name: float(low * (high / low) ** x if low > 0.0 else low + (high - low) * x)
            for x, (name, (low, high)) in zip(row, ranges.items(), strict=True)
        }
        for row in rows
    ]


def pair(case: dict[str, float]) -> Pair:
    """A case by the fast model and by the field: 1380 kN at 44 mm, stiffness 40 break forces, loss factor 0.045."""
    radius, arc = 0.5 * case["diameter"], case["bend_radius"] * case["wrap"]
    force = 1380e3 * (case["diameter"] / 0.044) ** 2
    low, high = (force * (case["mean"] + sign * case["amplitude"]) for sign in (-1.0, 1.0))
    ratio, compliance = np.exp(FRICTION * case["wrap"]), case["inboard_length"] / (40.0 * force)
    stroke = float(heat.slip_stroke(low, high, ratio, compliance))
    sliding = float(heat.slip_work(low, high, ratio, compliance)) / case["period"]
    bend = case["bending"] * force * case["mean"] * stroke / case["period"]
    inside = float(heat.hysteresis_heat(0.045, case["amplitude"] * force, 40.0 * force, case["period"]))
    spread = max(stroke, 2.0 * radius)
    steel = Steel(AIR + case["steel"], case["spreading"])
    contact = Contact(steel, 0.0, arc, case["half_angle"], case["interface"], sliding, case["share"])
    spot = Spot(radius, case["across"], case["along"], Surface(case["film"], AIR),
                {"hysteresis": inside / (np.pi * radius**2)}, (Touch(contact, (bend, bend), spread),))  # fmt: skip
    full = hot_spot(spot, limit=np.inf)
    span, fast = _fast(case, (radius, arc, spread), (inside, bend, sliding))
    base = float(np.squeeze(span.core)), full.free - AIR
    outside = float(np.squeeze(span.face)), full.skin[-1] - AIR
    found = {
        "core": (float(np.max(fast.core)), full.hottest[1] - AIR),
        "face": (float(np.squeeze(fast.face)), float(full.face[0]) - AIR),
        "skin": (float(np.squeeze(np.maximum(fast.face, fast.bare))), float(full.skin.max()) - AIR),
    }
    alone = {"core": base, "face": outside, "skin": outside}
    rises = {name: (quick - alone[name][0], exact - alone[name][1]) for name, (quick, exact) in found.items()}
    return Pair(rises["core"], rises["face"], rises["skin"], full)


def _fast(
    case: dict[str, float], lengths: tuple[float, float, float], powers: tuple[float, float, float]
) -> tuple[profile.Span, profile.ContactRise]:
    """The fast model: free span and contact."""
    radius, arc, spread = lengths
    inside, bend, sliding = (np.full(1, power) for power in powers)
    conductivity = (case["across"], case["along"])
    unit = response.response(np.full(1, radius), arc, case["half_angle"], conductivity, case["film"], spread)
    to_air, within = section.surface_resistance(2.0 * radius, case["film"]), section.mean_resistance(case["across"])
    span = profile.Span(np.full(1, to_air), np.full(1, within), inside, np.zeros(1))
    area = 2.0 * case["half_angle"] * radius * arc
    known = (area * case["interface"], area * case["film"], case["spreading"], case["share"])
    patch = profile.Patch(*(np.full(1, value) for value in known))
    contact = profile.ContactHeat(bend, bend, sliding, np.zeros(1), np.full(1, case["steel"]))
    return span, profile.contact_rise(span, contact, patch, unit)


def ratios(pairs: Sequence[Pair], part: str) -> Array:
    """Rise of the field over that of the fast model, where either is worth telling."""
    rises = np.array([getattr(item, part) for item in pairs])
    told = np.abs(rises[:, 1]) > LEAST
    return rises[told, 1] / rises[told, 0]


def misfit(number: int = 256, seeds: int = 8) -> list[dict[str, Any]]:
    """Field in three dimensions over the fast model at a contact, per class of axial conductivity."""
    rows: list[dict[str, Any]] = []
    for name, conductivity in CLASSES.items():
        draws = [[pair(case) for case in drawn(conductivity, number, seed)] for seed in range(1, seeds + 1)]
        for part in ("core", "face", "skin"):
            single = [ratios(pairs, part) for pairs in draws]
            found = np.concatenate(single)
            points = np.quantile(found, [0.05, 0.5, 0.95])
            within = np.abs(found / points[1] - 1.0)
            worst = [float(np.abs(one / points[1] - 1.0).max()) for one in single]
            told = f"{name}, {part}: 5 %, 50 %, 95 % {points[0]:.3f}, {points[1]:.3f}, {points[2]:.3f}; within 10 % of "
            told += f"the median {np.mean(within < 0.1):.0%}, within 20 % {np.mean(within < 0.2):.0%}, from "
            told += f"{found.min():.2f} to {found.max():.2f}; worst of a seed {min(worst):.0%} to {max(worst):.0%}; "
            told += f"{found.size} of {number * seeds} cases rise by {LEAST:g} K"
            rows.append({"value": float(f"{points[1]:.4g}"), "unit": "-", "goal": "-", "against": told})
    return rows
