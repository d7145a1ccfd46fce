"""Bending life: published curves, and the anchor law between them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from linewright.assessment.contact import anchor
from linewright.cards.loader import load_shelf
from linewright.physics import bending
from linewright.validation.subjects import bench

Inputs = Mapping[str, Any]


def semi_log(given: Inputs) -> dict[str, Any]:
    """Semi-log curve."""
    return {"N": bending.semi_log_cycles(given["a1"], 1e-9 * given["slope"], 1e9 * np.array(given["sigma"]))}


def pressure(given: Inputs) -> dict[str, Any]:
    """Pressure curve."""
    return {"N": bending.pressure_cycles(1e9 * np.array(given["sigma"]), given["D_over_d"])}


def anchor_at_its_own_test(given: Inputs) -> dict[str, Any]:
    """The shipped anchor law at the anchor's load, bend and temperature, and at full stroke."""
    law = anchor(bench.draws(load_shelf(), {}), 1)
    return {
        "N": bending.cycles_full_stroke(law, given["load"], given["D_over_d"], given["T"]),
        "stroke factor": bending.stroke_damage(law, np.array(given["stroke"]), given["d"]),
    }


def anchor_between_curves(given: Inputs) -> dict[str, Any]:
    """Log10 distance of the shipped law from both published curves at a load."""
    law = anchor(bench.draws(load_shelf(), {}), 1)
    ours = bending.cycles_full_stroke(law, np.array(given["load"]), given["D_over_d"], given["T"])
    stress = 1e9 * np.array(given["load"]) * given["stress_at_break"]
    curves = {
        "over the semi-log curve": bending.semi_log_cycles(given["a1"], 1e-9 * given["slope"], stress),
        "over the pressure curve": bending.pressure_cycles(stress, given["D_over_d"]),
    }
    return {name: np.log10(ours / published) for name, published in curves.items()}


SUBJECTS = {part.__name__: part for part in (semi_log, pressure, anchor_at_its_own_test, anchor_between_curves)}
