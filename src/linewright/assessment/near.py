"""Where the contacts of a line lie, and which of them warm each other."""

from __future__ import annotations

import functools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from linewright.assessment.rope import Contact
from linewright.base.data import Datum
from linewright.physics import modes, neighbours, profile, response
from linewright.physics.types import Array

APART = 0.3  # rope between contacts whose places the case does not tell apart, beyond what heat reaches [m]
REACH = 6.0  # longest decay lengths beyond which what is left, 0.2 %, is not added
ROUNDS = 2  # from contact to contact: what is left is below 1e-4 of what they add

Links = Mapping[tuple[int, int], neighbours.Link]


@dataclass(frozen=True)
class Place:
    """A contact on the line: metres from the drum to its middle, length on it [m], and whether the case tells both."""

    fitting: Contact
    middle: float
    arc: float
    is_told: bool


def central_arcs(data: Mapping[str, Datum], contacts: Sequence[Contact]) -> list[float]:
    """Length of rope on each contact by the central data [m]."""
    return [data[item.key("bend_radius")].value * data[item.key("wrap_angle")].value for item in contacts]


def places(data: Mapping[str, Datum], contacts: Sequence[Contact], arcs: Sequence[float], reach: float) -> list[Place]:
    """Where the contacts lie, from drum to shore; those that the case puts on one spot are set twice a reach apart."""
    keys = [(fitting, fitting.key("inboard_length"), arc) for fitting, arc in zip(contacts, arcs, strict=True)]
    stated = [(data[key if key in data else "inboard_length"].value, fitting, arc) for fitting, key, arc in keys]
    found: list[Place] = []
    last = -float("inf")
    for metre, fitting, arc in sorted(stated, key=lambda item: item[0]):
        is_told = metre - 0.5 * arc > last
        middle = metre if is_told else last + 0.5 * arc + 2.0 * reach + APART
        found.append(Place(fitting, middle, arc, is_told))
        last = middle + 0.5 * arc
    return found


def runs(found: Sequence[Place], reach: float) -> list[tuple[Place, ...]]:
    """Contacts in order along the rope, parted where this much rope or more lies between two of them [m]."""
    groups = [[place] for place in found[:1]]
    for one, two in pairwise(found):
        if two.middle - 0.5 * two.arc - (one.middle + 0.5 * one.arc) < reach:
            groups[-1].append(two)
        else:
            groups.append([two])
    return [tuple(group) for group in groups]


@dataclass(frozen=True)
class Scene:
    """The rope that joins contacts: radius, conductivities across and along, film; shapes as in `temperature`."""

    radius: Array
    conductivity: tuple[Array, Array]
    film: Array


def links(scene: Scene, group: Sequence[Place], arcs: Sequence[Array], strips: Sequence[Array]) -> Links:
    """What each contact of a group adds to each other one, by their numbers in it; arcs and strips in samples [m]."""
    if len(group) < 2:
        return {}
    nodes, along = response.over_films(scene.film)
    own = modes.modes(scene.radius, scene.conductivity, nodes)
    found = {}
    for one, place in enumerate(group):
        for other, source in enumerate(group):
            if one != other:
                pair = neighbours.Pair(abs(source.middle - place.middle), arcs[one], arcs[other], strips[other])
                told = neighbours.over_films(neighbours.link(own, pair), along)
                found[one, other] = told if source.middle > place.middle else told.turned()
    return found


@dataclass(frozen=True)
class Joined:
    """Contacts that warm each other, in order along the rope: their patches and responses, and their links."""

    own: Sequence[tuple[profile.Patch, response.Response]]
    links: Links

    def cores(self, span: profile.Span, heats: Sequence[profile.ContactHeat]) -> list[Array]:
        """Rises of the core at every contact with its heat, places on a last axis [K]."""
        flows = self._flows(span, heats)
        return [
            profile.core_rise(span, heat, flows[n], self.own[n][1], self._others("core", n, heats, flows))
            for n, heat in enumerate(heats)
        ]

    def rises(self, span: profile.Span, heats: Sequence[profile.ContactHeat]) -> list[profile.ContactRise]:
        """All rises at every contact with its heat [K]."""
        flows = self._flows(span, heats)
        return [
            profile.contact_rise(span, heat, *self.own[n], profile.Beside(
                *(self._others(name, n, heats, flows) for name in ("core", "mean", "face", "skin"))
            ))
            for n, heat in enumerate(heats)
        ]  # fmt: skip

    def _flows(self, span: profile.Span, heats: Sequence[profile.ContactHeat]) -> list[Array]:
        """Heat of every patch, in rounds: each with what the others add at their last heat [W]."""
        flows = [profile.patch_flow(span, heat, *own)[0] for heat, own in zip(heats, self.own, strict=True)]
        for _ in range(ROUNDS if self.links else 0):
            for n, heat in enumerate(heats):
                face = self._others("face", n, heats, flows)
                flows[n] = profile.patch_flow(span, heat, *self.own[n], face)[0]
        return flows

    def _others(self, name: str, n: int, heats: Sequence[profile.ContactHeat], flows: Sequence[Array]) -> Array:
        """What the others add at a contact [K]."""
        parts = [link.rise(name, heats[other], flows[other]) for (one, other), link in self.links.items() if one == n]
        return functools.reduce(np.add, parts) if parts else getattr(profile.ALONE, name)
