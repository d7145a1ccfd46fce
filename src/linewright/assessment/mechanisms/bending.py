"""Bending fatigue at the tangent points of contacts."""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping

import numpy as np

from linewright.assessment.contact import anchor
from linewright.assessment.draws import Draws, endurance_scatter
from linewright.assessment.exposure import Exposure, RateTable
from linewright.physics import bending, section
from linewright.physics.types import Array, Real

_PARTS = (
    "reference_cycles", "reference_load", "reference_ratio", "reference_stroke", "test_temperature", "load_exponent",
    "ratio_exponent", "stroke_exponent", "activation_energy", "cycle_cap", "unit_strength",
)  # fmt: skip


class Bending:
    """Damage 1 is what the anchor test calls failure."""

    name = "bending"

    def needs(self, words: Mapping[str, str]) -> tuple[str, ...]:
        """The anchor test with its exponents."""
        return tuple(f"bending_{part}" for part in _PARTS)

    def rate(self, exposure: Exposure, draws: Draws) -> RateTable:
        """Cycles per hour times the stroke factor over the life at the tangent's temperature."""
        unit = -np.log(draws.of("bending_unit_strength", 1))
        core = exposure.temperatures.core
        damage = np.zeros(core.shape)
        law = anchor(draws, 3)
        tension = exposure.duty.mean
        if exposure.words.get("bending_load") == "crest":  # a named alternative; the anchor's law is of the mean
            tension = tension + exposure.duty.swing
        load = np.maximum(tension[None, :, None] / draws.of("design_break_force", 3), 1e-6)
        life = _life(law, draws, exposure.words.get("bending_form", ""))
        for number, part in enumerate(exposure.loads):
            per_hour = (exposure.duty.cycles_per_hour * part.stroke_damage)[..., None]
            for place in (3 * number, 3 * number + 2):
                cycles = life(load, part.ratio[..., None], core[..., place])
                damage[..., place] = per_hour / cycles
        damage = damage / endurance_scatter(draws, 4)
        return RateTable(damage * unit.reshape(-1, 1, 1, 1), "bend", unit)


def _life(law: bending.Anchor, draws: Draws, form: str) -> Callable[[Array, Array, Array], Real]:
    """Cycles at full stroke by load, D/d and temperature: the power law, or a named form of `bending.FORMS`."""
    if not form:
        return functools.partial(bending.cycles_full_stroke, law)
    relative = bending.FORMS[form]
    per_load = section.fibre_stress(*(draws.of(key, 3) for key in ("design_break_force", "density", "mass_per_length")))

    def life(load: Array, ratio: Array, temperature: Array) -> Real:
        share = relative(load * per_load, ratio) / np.asarray(relative(law.load * per_load, law.ratio))
        return bending.cycles_of_form(law, share, temperature)

    return life
