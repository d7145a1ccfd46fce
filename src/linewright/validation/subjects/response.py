"""Limits of the contact responses, and the published-by-derivation hot spot."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from linewright.physics import heat, profile, response, section

Inputs = Mapping[str, Any]


def all_round_strip(given: Inputs) -> dict[str, Any]:
    """Constriction of a strip that goes all round."""
    return {"r_p": profile.constriction(np.pi, given["k_r"])}


def long_arc(given: Inputs) -> dict[str, Any]:
    """Rise per watt and metre at the middle of a very long arc."""
    radius, arc = 0.5 * given["d"], given["arc"]
    unit = response.response(radius, arc, 0.7, (given["k_r"], given["k_z"]), given["h"])
    return {
        "core, heat in the section": arc * unit.core["arc_mid"],
        "mean, heat in the section": arc * unit.mean["arc_mid"],
        "mean, flux through the patch": arc * unit.mean["patch_mid"],
    }


def thin_fin(given: Inputs) -> dict[str, Any]:
    """Mean rise per watt of a plane source in a rope that conducts well across, and one decay length on."""
    radius = 0.5 * given["d"]
    length = profile.decay_length(radius, (given["k_r"], given["k_z"]), given["h"])
    unit = response.response(radius, length, 0.7, (given["k_r"], given["k_z"]), given["h"])
    return {"at the source": unit.mean["self"], "fall over a decay length": unit.mean["cross"] / unit.mean["self"]}


def hot_spot(given: Inputs) -> dict[str, Any]:
    """The 44 mm line at its chock: core at mid-arc, skin, steel, and rises by source."""
    full = _contact(given, _heat(given))
    zero = np.zeros(())
    off = profile.ContactHeat(zero, zero, zero, zero, zero)
    only = _heat(given)
    parts = {
        "bending": profile.ContactHeat(only.bend_outboard, only.bend_inboard, zero, zero, zero),
        "sliding": profile.ContactHeat(zero, zero, only.sliding, zero, zero),
        "warm steel": profile.ContactHeat(zero, zero, zero, zero, only.steel),
    }
    rises = {name: _contact({**given, "q_line": 0.0}, part).core[1] for name, part in parts.items()}
    rises["hysteresis"] = _contact(given, off).core[1]
    air = given["air"]
    return {"core": air + full.core[1], "skin": air + full.face, "steel": air + full.steel, **rises}


def _heat(given: Inputs) -> profile.ContactHeat:
    ratio = np.exp(given["mu"] * given["wrap"])
    compliance = given["L_in"] / (given["K_d"] * given["LDBF"])
    low, high = given["F_m"] - given["F_a"], given["F_m"] + given["F_a"]
    stroke = heat.slip_stroke(low, high, ratio, compliance)
    bend = np.asarray(heat.bending_heat(given["eps_b"], given["F_m"], stroke, given["P"]))
    sliding = np.asarray(heat.slip_work(low, high, ratio, compliance) / given["P"])
    return profile.ContactHeat(bend, bend, sliding, np.zeros(()), np.asarray(given["steel"] - given["air"]))


def _contact(given: Inputs, made: profile.ContactHeat) -> profile.ContactRise:
    radius, arc = 0.5 * given["d"], given["R_b"] * given["wrap"]
    span = profile.Span(
        np.asarray(section.surface_resistance(given["d"], given["h"])),
        np.asarray(section.mean_resistance(given["k_r"])),
        np.asarray(given["q_line"]), np.zeros(()),
    )  # fmt: skip
    area = 2.0 * given["half_angle"] * radius * arc
    patch = profile.Patch(
        *(np.asarray(x) for x in (area * given["h_c"], area * given["h"], given["R_s"], given["lambda"]))
    )
    conductivity = (given["k_r"], given["k_z"])
    unit = response.response(radius, arc, given["half_angle"], conductivity, given["h"], given["stroke"])
    return profile.contact_rise(span, made, patch, unit)


SUBJECTS = {part.__name__: part for part in (all_round_strip, long_arc, thin_fin, hot_spot)}
