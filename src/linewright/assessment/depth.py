"""A state's temperatures in depth: the contacts of a line in three dimensions, from drum to shore, with central data.

The field of `physics.hot_spot` stands where the assessment's fast model stands otherwise, fed from the same data.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from linewright.assessment import contact as contact_stage
from linewright.assessment import near
from linewright.assessment import temperature as stage
from linewright.assessment.decay import decays_of
from linewright.assessment.draws import Draws
from linewright.assessment.line import Setup
from linewright.physics import creep, feedback, heat
from linewright.physics.field_parts import Contact, Property, Steel, Surface
from linewright.physics.hot_spot import DECAYS, LEAST_BEYOND, Spot, SpotField, Touch, hot_spot
from linewright.physics.profile import decay_length
from linewright.physics.types import Array

HOT = 0  # index of the hot hour among the classes of weather
ROUGH = (10, 12)  # cells in radius and round half of the rope where only a verdict is asked


@dataclass(frozen=True)
class Cluster:
    """Contacts near enough to warm each other, their field, and the fast model's core at three places of each [K].

    decays: of each contact, lengths over which the rise of section mean, core and skin falls to 1/e beside it, on the
    side with more free rope; NaN where another contact or the end comes first [m].
    """

    places: tuple[near.Place, ...]
    field: SpotField
    fast: Array
    half_angles: tuple[float, ...]
    decays: tuple[tuple[float, ...], ...]


@dataclass(frozen=True)
class Depth:
    """A line in one state at the hot hour.

    state, J index; clusters; length of the rope [m]; air, core and skin of the free span [K], its core's rises [K],
    its core by the fast model [K].
    """

    setup: Setup
    state: int
    clusters: tuple[Cluster, ...]
    length: float
    air: float
    free_core: float
    free_skin: float
    free_rises: dict[str, float]
    free_fast: float

    @property
    def hottest(self) -> tuple[Cluster | None, float]:
        """The cluster with the hottest core, and that core [K]; None where no contact is hotter than the span."""
        found = max(self.clusters, key=lambda item: item.field.hottest[1], default=None)
        if found is None or found.field.hottest[1] <= self.free_core:
            return None, self.free_core
        return found, found.field.hottest[1]

    def thermogram(self) -> tuple[Array, Array, Array, Array]:
        """Metres from the drum, core, section mean and skin [K], from the drum to the end of the rope."""
        metre, core, mean, skin = ([np.zeros(0)] for _ in range(4))
        for cluster in self.clusters:
            found = cluster.field
            for rows, values in zip(
                (metre, core, mean, skin), (found.place, found.core, found.mean, found.skin), strict=True
            ):
                rows.append(values)
            if found.place[0] >= cluster.places[0].middle:  # half of a mirrored rope: its other half
                for rows in (core, mean, skin):
                    rows[-1] = np.r_[rows[-1][::-1], rows[-1]]
                metre[-1] = np.r_[2.0 * cluster.places[0].middle - found.place[::-1], found.place]
        whole = [np.concatenate(rows) for rows in (metre, core, mean, skin)]
        inside = (whole[0] >= 0.0) & (whole[0] <= self.length)
        order = np.argsort(whole[0][inside], kind="stable")
        metres, *lines = (values[inside][order] for values in whole)
        ends = np.array([0.0, self.length])
        free = (self.free_core, 0.5 * (self.free_core + self.free_skin), self.free_skin)
        outside = ends[~np.isin(ends, metres)]
        at = np.searchsorted(metres, outside)
        return (
            np.insert(metres, at, outside),
            *(np.insert(line, at, value) for line, value in zip(lines, free, strict=True)),
        )  # type: ignore[return-value]


def depth(setup: Setup, state: int) -> Depth:
    """A line in a state at its hot hour, central data. Raises Runaway where no steady field exists below melting."""
    scene = _Scene.of(setup, state)
    cores = stage.temperatures(scene.draws, setup.duty, scene.loads, setup.around, _stiffness(scene.draws, setup)).core
    clusters = []
    for group in near.runs(scene.places, 2.0 * _reach(scene.spot)):
        touches = scene.touches(group)
        own = [3 * item.fitting.index for item in group]
        fast = np.array([cores[0, state, HOT, n : n + 3][::-1] for n in own])  # from drum to shore
        found = hot_spot(_centred(scene.spot, touches), limit=scene.melting)
        angles = tuple(touch.contact.half_angle for touch in touches)
        field = _moved(found, touches)
        clusters.append(Cluster(group, field, fast, angles, decays_of(_ends(group), field)))
    alone = hot_spot(scene.spot, limit=scene.melting)
    line = setup.subject.line
    length = max([line.inboard_length.value, *(place.middle for place in scene.places)]) + line.outboard_length
    air = float(setup.around.air[state, HOT])
    fast_free = float(cores[0, state, HOT, -1])
    return Depth(setup, state, tuple(clusters), length, air, alone.free, float(alone.skin[-1]), alone.rises, fast_free)


def hot_spot_of(setup: Setup, state: int, cluster: Cluster) -> Spot:
    """Rope, surroundings and contacts of a cluster."""
    scene = _Scene.of(setup, state)
    return _centred(scene.spot, scene.touches(cluster.places))


def heat_runs_away(setup: Setup, state: int) -> bool:
    """Whether heat that could leave below melting grows so that no stable field exists, not even a hotter one."""
    scene = _Scene.of(setup, state)
    groups = near.runs(scene.places, 2.0 * _reach(scene.spot))
    spots = [scene.spot, *(_centred(scene.spot, scene.touches(group)) for group in groups)]
    return any(feedback.runs_away(_response(spot), np.full(1, scene.spot.surface.air), scene.melting) for spot in spots)


def _response(spot: Spot) -> Callable[[Array], Array]:
    """Temperatures of a spot's cells with its heat taken at given ones [K]."""

    def respond(kelvin: Array) -> Array:
        held: dict[str, Property] = {
            name: heat(kelvin) if callable(heat) else heat for name, heat in spot.tension.items()
        }
        return hot_spot(replace(spot, tension=held), ROUGH, limit=np.inf).state.cells

    return respond


@dataclass(frozen=True)
class _Scene:
    """What a state's fields are made of: draws, rope, loads of the contacts, the rope alone, places."""

    setup: Setup
    state: int
    draws: Draws
    rope: stage.RopeNow
    loads: list[contact_stage.ContactLoad]
    spot: Spot
    places: list[near.Place]
    melting: float

    @staticmethod
    def of(setup: Setup, state: int) -> _Scene:
        """The scene of a state with central data."""
        draws = Draws(setup.subject.data, {}, 1)
        stiffness = _stiffness(draws, setup)
        loads = [contact_stage.contact_load(draws, setup.duty, item, stiffness) for item in setup.subject.contacts]
        rope = stage.rope_of(draws, setup.duty, setup.around)
        spot = _rope_alone(draws, setup, rope, state)
        arcs = [float(load.arc[0, 0]) for load in loads]
        places = near.places(setup.subject.data, setup.subject.contacts, arcs, _reach(spot))
        melting = float(draws.of("melting_temperature", 1)[0])
        return _Scene(setup, state, draws, rope, loads, spot, places, melting)

    def touches(self, group: tuple[near.Place, ...]) -> tuple[Touch, ...]:
        """The contacts of a group with their powers."""
        return tuple(
            _touch(self.draws, self.setup, (self.rope, self.loads[item.fitting.index]), (self.state, item))
            for item in group
        )


def _stiffness(draws: Draws, setup: Setup) -> Array:
    return contact_stage.axial_stiffness(draws, setup.duty)


def _at(values: Array, state: int) -> float:
    """One number of an array (s or 1, J or 1, H or 1)."""
    shape = values.shape
    return float(values[0, min(state, shape[1] - 1), min(HOT, shape[2] - 1)])


def _rope_alone(draws: Draws, setup: Setup, rope: stage.RopeNow, state: int) -> Spot:
    """The rope with its own heat and the surroundings of the hot hour, without contacts."""
    radius = _at(rope.radius, state)
    area = np.pi * radius**2
    around = 2.0 * np.pi * radius
    outer = {name: _at(part, state) / around for name, part in stage.outside_of(draws, setup.around).items()}
    base = _at(stage.base_heat(draws, setup.duty, _stiffness(draws, setup)), state) / area
    surface = Surface(_at(rope.film, state), float(setup.around.air[state, HOT]), sum(outer.values()))
    one = replace(setup.duty, **{name: getattr(setup.duty, name)[state : state + 1] for name in ("mean", "wetness")})

    def hysteresis(kelvin: Array) -> Array:
        return base * stage.loss_ratio(draws, one, kelvin.reshape(1, 1, -1)).reshape(kelvin.shape)

    made: dict[str, Property] = {"hysteresis": hysteresis}
    if draws.has("creep_rate_constant"):
        made["creep"] = _creep(draws, float(one.mean[0]), area)
    across, along = _at(rope.across, state), _at(rope.along, state)
    return Spot(radius, across, along, surface, made, (), _capacity(draws, float(one.wetness[0])), outer)


def _capacity(draws: Draws, wet: float) -> float:
    """Heat capacity per volume of a rope of some wetness [J/(m3 K)]; of a dry HMPE rope where the card has none."""
    if not draws.has("volumetric_heat_dry", "volumetric_heat_wet"):
        return 1.1e6
    dry, soaked = (float(draws.of(f"volumetric_heat_{name}", 1)[0]) for name in ("dry", "wet"))
    return dry + wet * (soaked - dry)


def _creep(draws: Draws, mean: float, area: float) -> Property:
    """Heat of creep flow per volume."""
    law = stage.activated(draws, 3)
    stress = stage.fibre_stress(draws, np.full(1, mean), 3)

    def flow(kelvin: Array) -> Array:
        rate = creep.creep_rate(law, stress, kelvin.reshape(1, 1, -1))
        return np.asarray(heat.creep_heat(mean, rate) / area).reshape(kelvin.shape)

    return flow


def _reach(spot: Spot) -> float:
    """How far heat of a contact goes along the rope [m]."""
    conductivity = (float(np.mean(spot.across)), float(np.mean(spot.along)))  # type: ignore[arg-type]
    return DECAYS * float(decay_length(spot.radius, conductivity, float(np.mean(spot.surface.film)))) + LEAST_BEYOND


def _ends(group: tuple[near.Place, ...]) -> list[tuple[float, float]]:
    """Where the rope meets and leaves each contact [m]."""
    return [(place.middle - 0.5 * place.arc, place.middle + 0.5 * place.arc) for place in group]


def _touch(
    draws: Draws, setup: Setup, given: tuple[stage.RopeNow, contact_stage.ContactLoad], where: tuple[int, near.Place]
) -> Touch:
    """A contact with its powers in a state, its place on the line."""
    (rope, load), (state, place) = given, where
    of = {name: _at(draws.of(place.fitting.key(name), 3), state) for name in
          ("half_angle", "conductance_sliding", "conductance_passive", "spreading_resistance", "generation_share",
           "steel_sun")}  # fmt: skip
    stroke = float(load.stroke[0, state])
    interface = of["conductance_sliding"] if stroke > 0.0 else of["conductance_passive"]
    far = float(setup.around.air[state, HOT] + of["steel_sun"] * setup.around.steel[state, HOT])
    steel = Steel(far, of["spreading_resistance"])
    capacity = place.fitting.key("steel_capacity")
    if draws.has(capacity):
        steel = replace(steel, capacity=float(draws.of(capacity, 1)[0]))
    contact = Contact(steel, place.middle, place.arc, of["half_angle"], interface,
                      float(load.sliding[0, state]), of["generation_share"])  # fmt: skip
    bend = float(load.bend[0, state])
    return Touch(contact, (bend, bend), max(stroke, 2.0 * _at(rope.radius, state)))


def _centred(spot: Spot, touches: tuple[Touch, ...]) -> Spot:
    """A single contact at 0, which halves its length; several where they are."""
    if len(touches) > 1:
        return replace(spot, touches=touches)
    (touch,) = touches
    return replace(spot, touches=(replace(touch, contact=replace(touch.contact, middle=0.0)),))


def _moved(found: SpotField, touches: tuple[Touch, ...]) -> SpotField:
    """A field with its places counted from the drum."""
    return found if len(touches) > 1 else replace(found, place=found.place + touches[0].contact.middle)
