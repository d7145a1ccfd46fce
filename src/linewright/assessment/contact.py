"""Stage contact: strokes, sliding watts, bending watts and the bend's stroke moment, per state."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linewright.assessment.draws import Draws
from linewright.assessment.duty import Duty
from linewright.assessment.rope import Contact
from linewright.physics import bending, heat
from linewright.physics.types import Array


@dataclass(frozen=True)
class ContactLoad:
    """What a contact does to the rope, shape (s, J) unless said otherwise.

    stroke, mean of the cycles [m]; sliding, friction power [W]; bend, power at each tangent [W];
    stroke_damage, mean of the stroke factor [-]; arc (s, 1) [m]; ratio D/d that the rope takes (s, 1) [-];
    friction [-]; wear_power, friction power that rubs fibre [W].
    """

    contact: Contact
    stroke: Array
    sliding: Array
    bend: Array
    stroke_damage: Array
    arc: Array
    ratio: Array
    friction: Array
    wear_power: Array


def wet_mix(draws: Draws, ratio_key: str, wetness: Array) -> Array:
    """Factor between 1 (dry) and the wet ratio, shape (s, J); 1 where the card has no ratio."""
    if not draws.has(ratio_key):
        return np.ones((1, wetness.size))
    return 1.0 + (draws.of(ratio_key, 2) - 1.0) * wetness[None, :]


def axial_stiffness(draws: Draws, duty: Duty) -> Array:
    """EA for wave cycles, shape (s, J) [N]."""
    force = draws.of("design_break_force", 2)
    relative = draws.of("dynamic_stiffness", 2) + 0.0 * duty.mean[None, :]
    for key, load in (
        ("stiffness_mean_slope", duty.mean / force - 0.25),
        ("stiffness_amplitude_slope", duty.swing / force),
    ):
        if draws.has(key):
            relative = relative + draws.of(key, 2) * load
    return np.maximum(relative, 0.25 * draws.of("dynamic_stiffness", 2)) * force


def anchor(draws: Draws, axes: int) -> bending.Anchor:
    """The bending anchor of a rope's draws."""
    names = (
        "reference_cycles", "reference_load", "reference_ratio", "reference_stroke", "test_temperature",
        "load_exponent", "ratio_exponent", "stroke_exponent", "activation_energy", "cycle_cap",
    )  # fmt: skip
    return bending.Anchor(*(draws.of(f"bending_{name}", axes) for name in names))


def contact_load(draws: Draws, duty: Duty, contact: Contact, stiffness: Array) -> ContactLoad:
    """Strokes and powers of one contact over the cycle table; the B axis is summed here."""
    diameter = draws.of("diameter", 2)
    radius, wrap = draws.of(contact.key("bend_radius"), 2), draws.of(contact.key("wrap_angle"), 2)
    friction = _friction(draws, duty, contact)
    ratio = np.exp(friction * wrap)[..., None]
    inboard = contact.key("inboard_length")
    compliance = (draws.of(inboard if draws.has(inboard) else "inboard_length", 2) / stiffness)[..., None]
    low, high = duty.centre - duty.amplitude, duty.centre + duty.amplitude
    stroke = heat.slip_stroke(low, high, ratio, compliance)
    work = heat.slip_work(low, high, ratio, compliance)
    held = stroke <= 0.0
    partial = heat.partial_slip_work(low, high, friction[..., None], (radius / stiffness)[..., None])
    sliding = np.sum(duty.weight * np.where(held, partial, work), axis=-1) / duty.period
    mean_stroke = np.sum(duty.weight * stroke, axis=-1)
    loss = draws.of("bending_loss", 2) * wet_mix(draws, "wet_bending_loss_ratio", duty.wetness)
    bend = np.asarray(bending.bend_ratio(radius, wrap, diameter))
    per_bend = loss / bend * draws.of("partial_bend", 2)
    power = heat.bending_heat(per_bend, duty.mean, np.asarray(mean_stroke), duty.period)
    moment = np.zeros_like(mean_stroke)
    if draws.has("bending_reference_cycles"):
        moment = np.sum(
            duty.weight * bending.stroke_damage(anchor(draws, 3), np.asarray(stroke), diameter[..., None]),
            axis=-1,
        )
    rubbing = 0.0 if contact.turns else 1.0
    return ContactLoad(
        contact, np.asarray(mean_stroke), np.asarray(sliding) * rubbing, np.asarray(power), np.asarray(moment),
        radius * wrap, bend, friction, np.asarray(sliding) * rubbing,
    )  # fmt: skip


def _friction(draws: Draws, duty: Duty, contact: Contact) -> Array:
    if contact.turns:
        return draws.of(contact.key("roller_friction"), 2) + 0.0 * duty.mean[None, :]
    dry = draws.of("friction_on_steel", 2) * draws.of(contact.key("friction_ratio"), 2)
    return dry * wet_mix(draws, "wet_friction_ratio", duty.wetness)
