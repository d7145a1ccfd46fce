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
    stroke_damage, mean of the stroke factor [-]; bend_stroke, stroke weighted with that factor: a long
    stroke both meets more metres and does more damage [m]; arc (s, 1) [m]; ratio D/d that the rope takes (s, 1) [-];
    friction [-].
    """

    contact: Contact
    stroke: Array
    sliding: Array
    bend: Array
    stroke_damage: Array
    arc: Array
    ratio: Array
    friction: Array
    bend_stroke: Array


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
    inboard = contact.key("inboard_length")
    soft = stiffness * _at_air(draws, duty)
    slip = _Slip(
        duty.centre - duty.amplitude,
        duty.centre + duty.amplitude,
        np.exp(friction * wrap)[..., None],
        (draws.of(inboard if draws.has(inboard) else "inboard_length", 2) / soft)[..., None],
    )
    stroke = slip.stroke()
    work = slip.work(friction[..., None], (radius / soft)[..., None])
    sliding = np.sum(duty.weight * work, axis=-1) / duty.period * (0.0 if contact.turns else 1.0)
    mean_stroke = np.sum(duty.weight * stroke, axis=-1)
    loss = draws.of("bending_loss", 2) * wet_mix(draws, "wet_bending_loss_ratio", duty.wetness)
    bend = np.asarray(bending.bend_ratio(radius, wrap, diameter))
    per_bend = loss / bend * draws.of("partial_bend", 2)
    power = heat.bending_heat(per_bend, duty.mean, mean_stroke, duty.period)
    damage, bend_stroke = _bend_moments(draws, duty, stroke, diameter)
    return ContactLoad(
        contact, mean_stroke, sliding, np.asarray(power), damage, radius * wrap, bend, friction, bend_stroke
    )


@dataclass(frozen=True)
class _Slip:
    """Outboard tensions of the cycles [N], capstan ratio [-] and inboard compliance [m/N]."""

    low: Array
    high: Array
    ratio: Array
    compliance: Array

    def stroke(self) -> Array:
        """Stroke of each cycle, shape (s, J, B) [m]."""
        return np.asarray(heat.slip_stroke(self.low, self.high, self.ratio, self.compliance))

    def work(self, friction: Array, arc_compliance: Array) -> Array:
        """Friction work of each cycle [J]: slip of the whole arc, and the arc's own stretch in it and before it."""
        whole = heat.slip_work(self.low, self.high, self.ratio, self.compliance)
        reached = np.minimum(self.high, self.ratio**2 * self.low)
        arc = heat.arc_slip_work(self.low, self.high, self.ratio, friction, arc_compliance)
        return np.asarray(whole + arc + heat.partial_slip_work(self.low, reached, friction, arc_compliance))


def _at_air(draws: Draws, duty: Duty) -> Array:
    """Stiffness of the inboard rope at the state's mean air temperature over that at 20 C, shape (s, J)."""
    if not draws.has("stiffness_factor"):
        return np.ones((1, 1))
    return draws.curve("stiffness_factor", duty.air[None, :])


def _bend_moments(draws: Draws, duty: Duty, stroke: Array, diameter: Array) -> tuple[Array, Array]:
    """Mean stroke factor of the damage [-], and the stroke that carries it [m]; nothing without an anchor test."""
    if not draws.has("bending_reference_cycles"):
        nothing = np.zeros(stroke.shape[:2])
        return nothing, nothing
    factor = duty.weight * bending.stroke_damage(anchor(draws, 3), stroke, diameter[..., None])
    damage = np.sum(factor, axis=-1)
    carried = np.sum(factor * stroke, axis=-1) / np.maximum(damage, 1e-300)
    return damage, np.where(damage > 0.0, carried, 0.0)


def _friction(draws: Draws, duty: Duty, contact: Contact) -> Array:
    if contact.turns:
        return draws.of(contact.key("roller_friction"), 2) + 0.0 * duty.mean[None, :]
    dry = draws.of("friction_on_steel", 2) * draws.of(contact.key("friction_ratio"), 2)
    return dry * wet_mix(draws, "wet_friction_ratio", duty.wetness)
