"""Contacts that warm each other: what one watt at a contact adds at another one along the rope.

The heat of a contact enters as strips: bending heat over the stroke about its tangents, the patch's flux and extra
heat over its arc. What is even round the rope is seen at the other contact through the modes of the rope; waves round
it fall sooner and are left out.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from linewright.physics import modes
from linewright.physics.profile import Beside, ContactHeat
from linewright.physics.types import Array, Real

SIDES = (-0.5, 0.0, 0.5)  # tangent towards the other contact, mid-arc, tangent away from it


@dataclass(frozen=True)
class Pair:
    """Two contacts of one rope, as the one that is warmed sees the other.

    Attributes
    ----------
    distance : between their middles along the rope [m]
    arc : length of the one that is warmed [m]
    other : length of the one that warms [m]
    stroke : length about its tangents that the bending heat of the one that warms spreads over [m]
    """

    distance: Real
    arc: Real
    other: Real
    stroke: Real


@dataclass(frozen=True)
class Link:
    """Rises per watt at a contact by the heat of another: of its bends together, its patch and its arc.

    Attributes
    ----------
    bend : heat through the section about both tangents, half at each [K/W]
    patch : flux through the patch [K/W]
    arc : heat through the section along the arc [K/W]
    """

    bend: Beside
    patch: Beside
    arc: Beside

    def turned(self) -> Link:
        """The same for a contact whose inboard tangent lies towards the other one."""
        return Link(*(
            Beside(part.core[::-1], part.mean[::-1], part.face, part.skin[::-1])
            for part in (self.bend, self.patch, self.arc)
        ))  # fmt: skip

    def rises(self, heat: ContactHeat, flow: Array) -> Beside:
        """Rises by a contact with this heat and this flux of its patch [K]."""
        return Beside(*(self.rise(name, heat, flow) for name in ("core", "mean", "face", "skin")))

    def rise(self, name: str, heat: ContactHeat, flow: Array) -> Array:
        """One of these rises by its name [K]."""
        bend, patch, arc = (getattr(part, name) for part in (self.bend, self.patch, self.arc))
        return np.asarray(bend * (heat.bend_outboard + heat.bend_inboard) + patch * flow + arc * heat.arc)


def link(own: modes.Modes, pair: Pair) -> Link:
    """Rises per watt at a contact whose outboard tangent lies towards the other contact.

    Parameters
    ----------
    own : modes of the rope [fields]
    pair : the two contacts [m]

    Returns
    -------
    rises per watt [K/W]

    From
    ----
    Superposition of the modes, docs/explanation/temperature.md.
    """
    half = 0.5 * np.asarray(pair.other)
    signs = (-1.0, 1.0)
    points = [np.asarray(pair.distance + side * pair.arc) for side in SIDES]
    bends = [
        np.mean([modes.at_point(own.rate, np.abs(point + sign * half), pair.stroke) for sign in signs], axis=0)
        for point in points
    ]
    arcs = [modes.at_point(own.rate, point, pair.other) for point in points]
    bend_face = np.mean(
        [modes.over_arc(own.rate, pair.distance + sign * half, pair.stroke, pair.arc) for sign in signs], axis=0
    )
    arc_face = modes.over_arc(own.rate, pair.distance, pair.other, pair.arc)
    return Link(
        _seen(own, own.mean, bends, bend_face),
        _seen(own, own.face, arcs, arc_face),
        _seen(own, own.mean, arcs, arc_face),
    )


def _seen(own: modes.Modes, share: Array, points: list[Array], face: Array) -> Beside:
    """Rises per watt of heat with this share in each mode, by its fall to the three places and to the face."""
    core, mean = (np.stack([own.seen(share * sensor, fall) for fall in points]) for sensor in (own.axis, own.mean))
    skin = np.stack([own.seen(share * own.face, fall) for fall in (points[0], points[-1])])
    return Beside(core, mean, own.seen(share * own.face, face), skin)


def over_films(found: Link, along: Callable[[Array], Array]) -> Link:
    """A link at three films brought to all films.

    Parameters
    ----------
    found : rises per watt with a last axis of three films [K/W]
    along : from three films to all of them, `response.over_films` [-]

    Returns
    -------
    rises per watt at all films [K/W]

    From
    ----
    As `response.response_along`; below 1e-9 of the nearest place a rise is none.
    """

    def brought(seen: Beside) -> Beside:
        least = 1e-9 * seen.mean.max(axis=0)
        parts = (seen.core, seen.mean, seen.face, seen.skin)
        return Beside(*(along(np.maximum(part, least)) for part in parts))

    return Link(brought(found.bend), brought(found.patch), brought(found.arc))
