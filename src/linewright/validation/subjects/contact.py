"""Slip over a contact: capstan, stroke, work, and its sum over cycles."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from importlib import resources
from pathlib import Path
from typing import Any

import numpy as np

from linewright.assessment.duty import Elastic, duty_of
from linewright.case.form import read_case
from linewright.physics import cycles, heat
from linewright.validation.subjects import bench

Inputs = Mapping[str, Any]


def _ratio(friction: float, turns: float) -> float:
    """Capstan ratio as the contact stage uses it: from zero tension the stroke is L/EA F2/r."""
    values = {
        "0.wrap_angle": 2.0 * np.pi * turns, "friction_on_steel": friction, "0.friction_ratio": 1.0,
        "inboard_length": 10.0, "design_break_force": 1e6, "dynamic_stiffness": 50.0, "stiffness_mean_slope": 0.0,
    }  # fmt: skip
    stroke = bench.load_of(values, 1e5, 1e5, 10.0).stroke.item()
    return 10.0 / 50e6 * 2e5 / stroke


def capstan(given: Inputs) -> dict[str, Any]:
    """Tension ratio over a contact."""
    return {"T2_over_T1": [_ratio(friction, turns) for friction, turns in given["mu_turns"]]}


def slipping_line(given: Inputs) -> dict[str, Any]:
    """Stroke, sliding and bending power of a line, by cards and contact stage."""
    values = {
        "diameter": given["d"], "design_break_force": given["LDBF"], "dynamic_stiffness": given["K_d"],
        "inboard_length": given["L_in"], "0.wrap_angle": np.radians(given["wrap"]), "0.bend_radius": given["R_b"],
        "friction_on_steel": given["mu"], "0.friction_ratio": 1.0,
        "bending_loss": given["eps_b"] * 2.0 * given["R_b"] / given["d"],
    }  # fmt: skip
    load = bench.load_of(values, given["F_m"], given["F_a"], given["P"])
    return {"stroke": 1e3 * load.stroke, "sliding": load.sliding, "bending": load.bend}


def _history(given: Inputs) -> Any:
    """An irregular tension: two tones, noise and a slow drift, never below zero."""
    random = np.random.default_rng(int(given["seed"]))
    time = np.arange(int(given["steps"])) * 1.0
    tones = 60.0 * np.sin(2.0 * np.pi * time / 14.0) + 80.0 * np.sin(2.0 * np.pi * time / 93.0)
    return np.maximum(345.0 + tones + 25.0 * random.standard_normal(time.size), 0.0) * 1e3


def play_against_rainflow(given: Inputs) -> dict[str, Any]:
    """Friction work of the play operator over the sum on rainflow cycles."""
    history = _history(given)
    ratio = float(np.exp(given["mu"] * np.radians(given["wrap"])))
    rows = cycles.rainflow(history)
    low, high = rows[:, 1] - 0.5 * rows[:, 0], rows[:, 1] + 0.5 * rows[:, 0]
    summed = float(np.sum(rows[:, 2] * heat.slip_work(low, high, ratio, given["L_over_EA"])))
    return {"sum over cycles / play operator": summed / cycles.play_work(history, ratio, given["L_over_EA"])}


def significant_against_constant(given: Inputs) -> dict[str, Any]:
    """Heat of a state whose amplitude is significant over one whose amplitude is constant."""
    path = resources.files("linewright.validation") / "studies" / "hot-harbour.toml"
    with resources.as_file(path) as file:
        case = read_case(Path(file))
    line, elastic = case.lines[0], Elastic(given["LDBF"], 60.0)
    squares = []
    for kind in ("significant", "constant"):
        state = case.berths[0].states[0]
        tension = {name: replace(one, amplitude_kind=kind) for name, one in state.tension.items()}
        berth = replace(case.berths[0], states=(replace(state, tension=tension),))
        duty = duty_of(replace(case, berths=(berth,)), line, (elastic, elastic), None, "load")
        squares.append(heat.hysteresis_heat(1.0, np.sqrt(duty.mean_square), 1.0, 1.0))
    return {"heat ratio": squares[0] / squares[1]}


SUBJECTS = {
    part.__name__: part for part in (capstan, slipping_line, play_against_rainflow, significant_against_constant)
}
