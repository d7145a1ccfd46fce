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
    face : mean of the patch's face [K]
    bare : hotter of the bare faces beside the tangents, mean round the rope [K]
    steel : steel at the patch [K]
    """

    core: Array
    mean: Array
    face: Array
    bare: Array
    steel: Array


@dataclass(frozen=True)
class Beside:
    """What other contacts add at a contact; places come first: outboard tangent, mid-arc, inboard tangent.

    Attributes
    ----------
    core : rise of the core, shape (3, ...) [K]
    mean : rise of the section mean, shape (3, ...) [K]
    face : mean rise of the patch's face [K]
    skin : rise of the face at the outboard and inboard tangent, shape (2, ...) [K]
    """

    core: Array
    mean: Array
    face: Array
    skin: Array


ALONE = Beside(np.zeros(3), np.zeros(3), np.zeros(()), np.zeros(2))


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


def contact_rise(span: Span, heat: ContactHeat, patch: Patch, unit: Response, beside: Beside = ALONE) -> ContactRise:
    """Temperatures at a contact, as rises above the air; linear in all heat.

    Parameters
    ----------
    span : free span, shape (...) [K]
    heat : heat of the contact, shape (...) [W]
    patch : the touching patch, shape (...) [W/K]
    unit : responses of the rope, shape (...) [K/W]
    beside : what other contacts add [K]

    Returns
    -------
    rises of core and mean at three places, of faces and steel [K]

    From
    ----
    Superposition; heat balance of the patch, docs/explanation/temperature.md.
    """
    flow, face, steel = patch_flow(span, heat, patch, unit, beside.face)
    core = core_rise(span, heat, flow, unit, beside.core)
    mean = _places((span.mean, beside.mean), heat, flow, unit.mean)
    outboard, inboard = _tangents(span.face, heat, flow, unit.skin)
    bare = np.maximum(outboard + beside.skin[0], inboard + beside.skin[1])
    return ContactRise(core, mean, face, bare, steel)


def patch_flow(
    span: Span, heat: ContactHeat, patch: Patch, unit: Response, others: Array = ALONE.face
) -> tuple[Array, Array, Array]:
    """Heat balance of a patch.

    Parameters
    ----------
    span : free span, shape (...) [K]
    heat : heat of the contact, shape (...) [W]
    patch : the touching patch, shape (...) [W/K]
    unit : responses of the rope, shape (...) [K/W]
    others : mean rise of the patch's face by other contacts [K]

    Returns
    -------
    heat that the patch gives to the rope, over what air would take from it there [W]; rises of its face and steel [K]

    From
    ----
    Heat balance of the patch, docs/explanation/temperature.md.
    """
    both = heat.bend_outboard + heat.bend_inboard
    loose = span.face + unit.face["bend"] * both + unit.face["arc"] * heat.arc + others
    sheltered = span.outside * patch.air * span.to_air  # sun, sky and evaporation do not reach under the steel
    return _patch_balance(loose, heat, patch, unit.face["patch"], sheltered)


def core_rise(span: Span, heat: ContactHeat, flow: Array, unit: Response, others: Array = ALONE.core) -> Array:
    """Core at a contact.

    Parameters
    ----------
    span : free span, shape (...) [K]
    heat : heat of the contact, shape (...) [W]
    flow : heat that the patch gives to the rope, shape (...) [W]
    unit : responses of the rope, shape (...) [K/W]
    others : rise by other contacts, shape (3, ...) [K]

    Returns
    -------
    rise at outboard tangent, mid-arc and inboard tangent on a last axis [K]

    From
    ----
    Superposition.
    """
    return _places((span.core, others), heat, flow, unit.core)


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


def _tangents(base: Array, heat: ContactHeat, flow: Array, unit: dict[str, Array]) -> tuple[Array, Array]:
    """Rise at the outboard and the inboard tangent."""
    shared = base + unit["patch_tangent"] * flow + unit["arc_tangent"] * heat.arc
    outboard = shared + unit["self"] * heat.bend_outboard + unit["cross"] * heat.bend_inboard
    inboard = shared + unit["self"] * heat.bend_inboard + unit["cross"] * heat.bend_outboard
    return outboard, inboard


def _places(base: tuple[Array, Array], heat: ContactHeat, flow: Array, unit: dict[str, Array]) -> Array:
    """Rise at the three places, on a last axis; `base` is the span's and what others add at each place."""
    span, others = base
    outboard, inboard = _tangents(span, heat, flow, unit)
    bent = unit["mid"] * (heat.bend_outboard + heat.bend_inboard)
    middle = span + bent + unit["patch_mid"] * flow + unit["arc_mid"] * heat.arc
    places = (outboard + others[0], middle + others[1], inboard + others[2])
    return np.stack(np.broadcast_arrays(*places), axis=-1)
