"""Tension fatigue: curves, sums, closed forms."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from linewright.physics import cycles, fatigue

Inputs = Mapping[str, Any]


def miner(given: Inputs) -> dict[str, Any]:
    """Lives of three blocks and their sum."""
    ranges = np.array(given["R"])
    return {
        "N": fatigue.cycles_to_failure(ranges, given["m"], given["K"]),
        "D": fatigue.miner_damage(given["n"], ranges, given["m"], given["K"]),
    }


def equivalent(given: Inputs) -> dict[str, Any]:
    """Equivalent constant range of blocks."""
    return {"R_eq": [fatigue.equivalent_range(np.array(given["n"]), np.array(given["R"]), m) for m in given["m"]]}


def curve(given: Inputs) -> dict[str, Any]:
    """Lives of a curve."""
    return {"N": fatigue.cycles_to_failure(np.array(given["R"]), given["m"], given["K"])}


def wire_rope(given: Inputs) -> dict[str, Any]:
    """Constant and life of a wire-rope curve."""
    constant = fatigue.wire_rope_constant(3.20, 2.79, np.array(given["Lm"]))
    return {"K": constant, "N": fatigue.cycles_to_failure(given["R"], 4.09, constant)}


def stress_curve(given: Inputs) -> dict[str, Any]:
    """Lives of two stress curves."""
    ranges = np.array(given["S"])
    return {f"N_{name}": fatigue.cycles_to_failure(ranges, 3.0, given[f"a_{name}"]) for name in ("stud", "studless")}


def narrow_band(given: Inputs) -> dict[str, Any]:
    """Damage of a narrow-band state in closed form, and summed over our amplitude bins."""
    sigma, number = given["sigma"], given["nu"] * given["T"]
    amplitudes, weights = cycles.rayleigh_bins(np.asarray(sigma))
    return {
        "D": [fatigue.narrow_band_damage(given["nu"], given["T"], sigma, m, k) for k, m in given["K_m"]],
        "D over bins": [fatigue.miner_damage(number * weights, 2.0 * amplitudes, m, k) for k, m in given["K_m"]],
    }


SUBJECTS = {part.__name__: part for part in (miner, equivalent, curve, wire_rope, stress_curve, narrow_band)}
