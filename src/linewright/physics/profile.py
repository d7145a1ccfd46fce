"""Temperatures of a line at a contact: the free span as base, the contact's responses on top.

The patch where rope and steel touch is a node: friction heat enters its face (share lambda) and
the steel (the rest), the interface conducts, the steel spreads what it gets. Everything is linear,
so the rise by each source is the same function with the other sources at zero.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linewright.physics.response import Response
from linewright.physics.types import Array, Real


@dataclass(frozen=True)
class Span:
    """Free span: its resistances and its heat, against the air.

    Attributes
    ----------
    to_air : surface to air, one metre [m K/W]
    to_surface : section mean to surface, one metre [m K/W]
    inside : heat made in the section [W/m]
    outside : heat at the surface: sun positive, sky and evaporation negative [W/m]
    """

    to_air: Array
    to_surface: Array
    inside: Array
    outside: Array

    @property
    def face(self) -> Array:
        """Rise of the surface above the air [K]."""
        return (self.inside + self.outside) * self.to_air

    @property
    def mean(self) -> Array:
        """Rise of the section mean above the air [K]."""
        return self.face + self.inside * self.to_surface

    @property
    def core(self) -> Array:
        """Rise of the core above the air [K]."""
        return self.face + 2.0 * self.inside * self.to_surface


@dataclass(frozen=True)
class Patch:
    """Where rope and steel touch.

    Attributes
    ----------
    interface : conductance of the touching faces [W/K]
    air : conductance of the air film that the steel covers [W/K]
    spreading : resistance from the patch into the steel [K/W]
    share : share of friction heat born on the rope's side [-]
    """

    interface: Array
    air: Array
    spreading: Array
    share: Array


@dataclass(frozen=True)
class ContactHeat:
    """What a contact adds.

    Attributes
    ----------
    bend_outboard : bending heat at the outboard tangent [W]
    bend_inboard : bending heat at the inboard tangent [W]
    sliding : friction power of the patch [W]
    arc : extra heat through the section along the arc [W]
    steel : steel above the air, far from the patch [K]
    """

    bend_outboard: Array
    bend_inboard: Array
    sliding: Array
    arc: Array
    steel: Array


@dataclass(frozen=True)
class ContactRise:
    """Rises above the air at a contact; core and mean have a last axis of three places.

    Attributes
    ----------
    core : at outboard tangent, mid-arc, inboard tangent [K]
    mean : section mean at the same places [K]
    face : mean of the patch's face, the skin [K]
    steel : steel at the patch [K]
    """

    core: Array
    mean: Array
    face: Array
    steel: Array


def decay_length(radius: Real, conductivity: tuple[Real, Real], film: Real) -> Real:
    """Length over which a disturbance of the section mean falls to 1/e, sqrt(k_z R/(2 h_eff)).

    1/h_eff = 1/h + R/(4 k_r)

    Parameters
    ----------
    radius : radius of the rope [m]
    conductivity : across and along the rope, in this order [W/(m K)]
    film : total film coefficient [W/(m2 K)]

    Returns
    -------
    decay length [m]

    From
    ----
    Fin equation of the section mean (Incropera ch. 3); check value HT-12.
    """
    across, along = conductivity
    effective = 1.0 / (1.0 / film + radius / (4.0 * across))
    return np.sqrt(along * radius / (2.0 * effective))


def constriction(half_angle: Real, radial_conductivity: Real) -> Real:
    """Resistance between section mean and a long strip on the surface, [1/8 - ln sin(f/2)]/(pi k_r).

    Parameters
    ----------
    half_angle : half of the circumference angle that touches [rad]
    radial_conductivity : conductivity across the rope [W/(m K)]

    Returns
    -------
    resistance of one metre; 1/(8 pi k_r) when the strip goes all round [m K/W]

    From
    ----
    Cylinder touched along a strip of one temperature, plane flow. `response` replaces it: axial
    conduction halves the resistance for HMPE on a 0.2 m arc, and an even flux stands a little above it.
    """
    return (0.125 - np.log(np.sin(half_angle / 2.0))) / (np.pi * radial_conductivity)


def stroke_factor(peak_per_watt: Array, stroke: Array, axial: Array) -> Array:
    """Share of a plane source's peak that is left when its heat spreads over the stroke.

    (1 - exp(-x))/x with x = s / (4 k_z A G), G the peak per watt: the slope at a plane source is
    Q/(2 k_z A) on either side.

    Parameters
    ----------
    peak_per_watt : rise per watt of a plane source at its own place [K/W]
    stroke : length over which the heat spreads [m]
    axial : k_z A, conductivity along the rope times its area [W m/K]

    Returns
    -------
    factor, 1 for no stroke [-]

    From
    ----
    Exact for the fin equation.
    """
    x = np.maximum(stroke / (4.0 * axial * peak_per_watt), 1e-9)
    return -np.expm1(-x) / x


def contact_rise(span: Span, heat: ContactHeat, patch: Patch, unit: Response, self_factor: Array) -> ContactRise:
    """Temperatures at a contact, as rises above the air; linear in all heat.

    Parameters
    ----------
    span : free span, shape (...) [K]
    heat : heat of the contact, shape (...) [W]
    patch : the touching patch, shape (...) [W/K]
    unit : responses of the rope, shape (...) [K/W]
    self_factor : `stroke_factor` of the bending heat, shape (...) [-]

    Returns
    -------
    rises of core and mean at three places, of face and steel [K]

    From
    ----
    Superposition; heat balance of the patch, docs/explanation/temperature.md.
    """
    both = heat.bend_outboard + heat.bend_inboard
    loose = span.face + unit.face["bend"] * both + unit.face["arc"] * heat.arc
    sheltered = span.outside * patch.air * span.to_air  # sun, sky and evaporation do not reach under the steel
    flow, face, steel = _patch_balance(loose, heat, patch, unit.face["patch"], sheltered)
    core = _places(span.core, heat, flow, unit.core, self_factor)
    mean = _places(span.mean, heat, flow, unit.mean, self_factor)
    return ContactRise(core, mean, face, steel)


def _patch_balance(
    loose: Array, heat: ContactHeat, patch: Patch, own: Array, sheltered: Array
) -> tuple[Array, Array, Array]:
    """Flux into the cylinder at the patch, face rise and steel rise.

    The series solution cools the patch by air like the rest of the surface; steel covers it, so
    that heat is handed back, and what sun, sky and evaporation would do there is taken out:
    flow = share Q + G u + h A face - sheltered.
    """
    g = patch.interface
    born_face, born_steel = patch.share * heat.sliding - sheltered, (1.0 - patch.share) * heat.sliding
    covered = 1.0 - own * patch.air
    steel_loose = heat.steel + patch.spreading * born_steel
    u = (steel_loose * covered - loose - own * born_face) / (own * g + (1.0 + patch.spreading * g) * covered)
    steel = steel_loose - patch.spreading * g * u
    face = steel - u
    return born_face + g * u + patch.air * face, face, steel


def _places(base: Array, heat: ContactHeat, flow: Array, unit: dict[str, Array], factor: Array) -> Array:
    middle = (
        base
        + unit["mid"] * (heat.bend_outboard + heat.bend_inboard)
        + unit["patch_mid"] * flow
        + unit["arc_mid"] * heat.arc
    )
    shared = base + unit["patch_tangent"] * flow + unit["arc_tangent"] * heat.arc
    own = unit["self"] * factor
    outboard = shared + own * heat.bend_outboard + unit["cross"] * heat.bend_inboard
    inboard = shared + own * heat.bend_inboard + unit["cross"] * heat.bend_outboard
    return np.stack(np.broadcast_arrays(outboard, middle, inboard), axis=-1)
