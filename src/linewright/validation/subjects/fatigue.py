"""Tension fatigue: curves, sums, closed forms."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from linewright.cards.curves import all_curves
from linewright.physics import cycles, fatigue
from linewright.physics.types import Array, Real

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


def _life(name: str, ranges: Array, mean_load: Real = 0.0) -> Array:
    """Cycles to failure of a named curve."""
    return np.asarray(fatigue.cycles_to_failure(ranges, _datum(name, "exponent"), _constant(name, mean_load)))


def _datum(name: str, part: str) -> float:
    return all_curves()[name].value(f"tension_fatigue_{part}") or 0.0


def _constant(name: str, mean_load: Real) -> Real:
    """K of a named curve at a mean load."""
    return fatigue.wire_rope_constant(np.log10(_datum(name, "constant")), _datum(name, "mean_slope"), mean_load)


def named_curve(given: Inputs) -> dict[str, Any]:
    """Lives of a curve that the cards know by name."""
    return {"N": _life(given["name"], np.array(given["R"]))}


def curve_table(given: Inputs) -> dict[str, Any]:
    """Lives of every named curve that no fibre alone has, and where two polyester curves cross."""
    lives = {name: _life(name, np.array(given["R"]), given["Lm"]) for name in all_curves()}
    one, two = ((_datum(f"polyester-{n}", "exponent"), _datum(f"polyester-{n}", "constant")) for n in (5, 13))
    return {**lives, "where polyester-5 crosses polyester-13": (two[1] / one[1]) ** (1.0 / (two[0] - one[0]))}


def regression(given: Inputs) -> dict[str, Any]:
    """Line through endurance tests."""
    line = fatigue.fitted_line(np.array(given["R"]), np.array(given["N"]))
    return {"m": line.exponent, "log10K_mean": line.log_constant, "s": line.scatter, "log10K_design": line.lowered(2.0)}


def wire_rope(given: Inputs) -> dict[str, Any]:
    """Constant and life of the six-strand wire curve."""
    name, mean = "wire-six-strand", np.array(given["Lm"])
    return {"K": _constant(name, mean), "N": _life(name, np.asarray(given["R"]), mean)}


def stress_curve(given: Inputs) -> dict[str, Any]:
    """Lives of two stress curves."""
    ranges = np.array(given["S"])
    lives = {f"N_{name}": fatigue.cycles_to_failure(ranges, 3.0, given[f"a_{name}"]) for name in ("stud", "studless")}
    two_bars = 2.0 * np.pi * given["d"] ** 2 / 4.0
    return {**lives, "S_nominal_100kN_76mm": 1e3 * given["tension"] / two_bars}


def narrow_band(given: Inputs) -> dict[str, Any]:
    """Damage of a narrow-band state in closed form, and summed over our amplitude bins."""
    sigma, number = given["sigma"], given["nu"] * given["T"]
    amplitudes, weights = cycles.rayleigh_bins(np.asarray(sigma))
    return {
        "D": [fatigue.narrow_band_damage(given["nu"], given["T"], sigma, m, k) for k, m in given["K_m"]],
        "D over bins": [fatigue.miner_damage(number * weights, 2.0 * amplitudes, m, k) for k, m in given["K_m"]],
    }


SUBJECTS = {
    part.__name__: part
    for part in (miner, equivalent, named_curve, curve_table, regression, wire_rope, stress_curve, narrow_band)
}
