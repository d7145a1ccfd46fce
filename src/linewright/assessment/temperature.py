"""Stage temperature: core, mean and skin at every place, and the rise by source.

The free span is the base; each contact's series responses stand on it. Heat that depends on
temperature (loss factor over stiffness, creep flow) is iterated.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from linewright.assessment import near
from linewright.assessment.contact import ContactLoad, wet_mix
from linewright.assessment.draws import Draws
from linewright.assessment.duty import Duty
from linewright.assessment.weather import ALBEDO, Weather
from linewright.physics import creep, film, heat, profile, response, section, sun
from linewright.physics.types import Array

SOURCES = ("hysteresis", "bending", "sliding", "sun", "contact", "creep", "sky", "evaporation")
ROUNDS = 12  # of heat that depends on temperature, at most
SETTLED = 0.1  # a core that a round moves by less stays as it is, whatever other samples do [K]


@dataclass(frozen=True)
class Surroundings:
    """What the weather does to one metre of rope, shape (J, H): no samples.

    convection, radiation per emissivity, evaporation slope [W/(m2 K)]; sun per absorptance, sky per
    emissivity, evaporation at air temperature [W/m]; steel sunlight over its film [K].
    """

    air: Array
    convection: Array
    radiation: Array
    evaporation_slope: Array
    sun: Array
    sky: Array
    evaporation: Array
    steel: Array


def surroundings(weather: Weather, duty: Duty, diameter: float, rise: Array) -> Surroundings:
    """Film and surface heat for a rope diameter [m] and a guess of the surface's rise (J, H) [K]."""
    surface = weather.air + rise
    convection = np.asarray(film.convection_coefficient(diameter, weather.wind, surface, weather.air))
    flux, slope = film.evaporation(convection, weather.air, weather.dew_point, duty.wetness[:, None], surface)
    around = np.pi * diameter
    kept = sun.absorbed_sun(1.0, diameter, weather.sine, weather.beam, (weather.diffuse, weather.level, ALBEDO))
    return Surroundings(
        weather.air, convection, np.asarray(film.radiation_coefficient(1.0, surface, weather.air)), np.asarray(slope),
        np.asarray(kept), np.asarray(around * film.sky_loss(1.0, weather.air, weather.sky)), np.asarray(around * flux),
        np.asarray(weather.level / film.steel_film(weather.wind)),
    )  # fmt: skip


@dataclass(frozen=True)
class Temperatures:
    """Temperatures of places [K]: core and mean (s, J, H, X), skin (s, J, H, C + 1), and decay (s, J) [m].

    The skin is that of each contact, the hotter of its patch and the bare rope beside it, and, last, of the free
    span. `rises` maps each source to its part of the core's rise above air, shape of core, for a single row only.
    """

    air: Array
    core: Array
    mean: Array
    skin: Array
    surface_rise: Array
    decay: Array
    is_bounded: bool
    rises: dict[str, Array] | None = None


@dataclass(frozen=True)
class RopeNow:
    """Rope properties with axes (s, J, 1) or (s, 1, 1), and the film (s, J, H)."""

    radius: Array
    across: Array
    along: Array
    film: Array
    film_dry: Array


def temperatures(
    draws: Draws, duty: Duty, loads: list[ContactLoad], around: Surroundings, stiffness: Array
) -> Temperatures:
    """Temperatures of a line in every state, class and sample; rises by source when there is one row."""
    rope = rope_of(draws, duty, around)
    outer = outside_of(draws, around)
    base = base_heat(draws, duty, stiffness)
    melting = draws.of("melting_temperature", 3)
    outside = sum(outer.values(), np.zeros(1))
    span, free = _free_span(rope, around, lambda at: base * loss_ratio(draws, duty, at), (outside, melting))
    line = _Line(draws, duty, rope, around, base, span, loss_ratio(draws, duty, free))
    told = sorted(
        (one for group in _groups(line, loads) for one in _told(group, outer, melting)), key=lambda one: one.number
    )
    air = around.air[None, ..., None]
    core = air + np.concatenate([*(one.core for one in told), span.core[..., None]], axis=-1)
    mean = air + np.concatenate([*(one.mean for one in told), span.mean[..., None]], axis=-1)
    skin = air + np.stack([*(one.skin for one in told), span.face], axis=-1)
    rises = None
    if draws.samples == 1:
        every = [
            *(one.parts for one in told),
            {name: part[..., None] for name, part in _free_parts(span, outer).items()},
        ]
        rises = {name: np.concatenate([parts[name] for parts in every], axis=-1) for name in SOURCES}
    decay = np.asarray(profile.decay_length(rope.radius, (rope.across, rope.along), rope.film))
    limit = melting[..., None]
    bounded = bool(np.any(core > limit))
    return Temperatures(around.air, np.minimum(core, limit), np.minimum(mean, limit), np.minimum(skin, limit),
                        span.face, decay.mean(axis=-1), bounded, rises)  # fmt: skip


def _free_span(
    rope: RopeNow, around: Surroundings, heat: Callable[[Array], Array], given: tuple[Array, Array]
) -> tuple[profile.Span, Array]:
    """The free span, settled with heat [W/m] that depends on temperature, and its core [K]; heat outside, melting."""
    outside, melting = given
    taken = around.air[None] + 0.0 * rope.film  # temperatures at which the heat is taken
    for _ in range(ROUNDS):
        span = _span(rope, heat(taken), outside)
        free = np.minimum(around.air + span.core, melting)
        moves = np.abs(free - taken) >= SETTLED
        if not moves.any():
            break
        taken = np.where(moves, free, taken)
    return span, free


def rope_of(draws: Draws, duty: Duty, around: Surroundings) -> RopeNow:
    """A rope's conductivities and films in every state and class."""
    wet = duty.wetness[None, :, None]
    across = draws.of("radial_conductivity_dry", 3) ** (1.0 - wet) * draws.of("radial_conductivity_wet", 3) ** wet
    dry = draws.of("film_factor", 3) * around.convection + draws.of("emissivity", 3) * around.radiation
    total = dry + draws.of("film_factor", 3) * around.evaporation_slope
    return RopeNow(0.5 * draws.of("diameter", 3), across, draws.of("axial_conductivity", 3), total, dry)


def outside_of(draws: Draws, around: Surroundings) -> dict[str, Array]:
    """Heat at the surface by source, shape (s, J, H) [W/m]."""
    return {
        "sun": draws.of("solar_absorptance", 3) * around.sun,
        "sky": -draws.of("emissivity", 3) * around.sky,
        "evaporation": -draws.of("film_factor", 3) * around.evaporation,
    }


def base_heat(draws: Draws, duty: Duty, stiffness: Array) -> Array:
    """Hysteresis heat for a loss factor of 1 at 20 C stiffness, shape (s, J, 1) [W/m]."""
    return np.asarray(np.pi * duty.mean_square / (stiffness * duty.period))[..., None]


def loss_ratio(draws: Draws, duty: Duty, temperature: Array) -> Array:
    """Loss factor over relative stiffness at temperature, wetness included, shape (s, J, H)."""
    wet = wet_mix(draws, "wet_loss_ratio", duty.wetness)[..., None]
    softer = draws.curve("stiffness_factor", temperature) if draws.has("stiffness_factor") else 1.0
    return wet * draws.curve("loss_factor", temperature) / softer


def _span(rope: RopeNow, inside: Array, outside: Array) -> profile.Span:
    to_air = np.asarray(section.surface_resistance(2.0 * rope.radius, rope.film))
    return profile.Span(to_air, np.asarray(section.mean_resistance(rope.across)), inside, np.asarray(outside))


@dataclass(frozen=True)
class _Line:
    """What the heat balances of a line's contacts share; `free_ratio` is `loss_ratio` in the free span."""

    draws: Draws
    duty: Duty
    rope: RopeNow
    around: Surroundings
    base: Array
    span: profile.Span
    free_ratio: Array

    @property
    def reach(self) -> float:
        """How far contacts warm each other, by the longest decay of the central data [m]."""
        value = {name: datum.value for name, datum in self.draws.data.items()}
        least = value["film_factor"] * self.around.convection.min() + value["emissivity"] * self.around.radiation.min()
        across = min(value["radial_conductivity_dry"], value["radial_conductivity_wet"])
        decay = profile.decay_length(0.5 * value["diameter"], (across, value["axial_conductivity"]), float(least))
        return near.REACH * float(decay)


@dataclass(frozen=True)
class _Spot:
    """A contact with all that its heat balance needs."""

    line: _Line
    load: ContactLoad

    def of(self, name: str) -> Array:
        """A contact datum, shape (s, 1, 1)."""
        return self.line.draws.of(self.load.contact.key(name), 3)

    @property
    def arc(self) -> Array:
        """Length on the contact, shape (s, 1, 1) [m]."""
        return self.load.arc[..., None]

    @property
    def strip(self) -> Array:
        """Length about a tangent that bending heat spreads over, shape (s, J, 1) [m]."""
        return np.maximum(self.load.stroke[..., None], 2.0 * self.line.rope.radius)

    def patch(self) -> profile.Patch:
        """The touching patch; it conducts better while it slides."""
        slides = (self.load.stroke > 0.0)[..., None]
        conductance = np.where(slides, self.of("conductance_sliding"), self.of("conductance_passive"))
        area = 2.0 * self.of("half_angle") * self.line.rope.radius * self.arc
        return profile.Patch(
            area * conductance,
            area * self.line.rope.film,
            self.of("spreading_resistance"),
            self.of("generation_share"),
        )

    def heat(self, arc: Array) -> profile.ContactHeat:
        """Heat of the contact with this much extra heat along the arc [W]."""
        bend = self.load.bend[..., None]
        steel = self.of("steel_sun") * self.line.around.steel
        return profile.ContactHeat(bend, bend, self.load.sliding[..., None], arc, steel)

    def unit(self) -> response.Response:
        """Unit responses."""
        rope = self.line.rope
        conductivity = (rope.across, rope.along)
        return response.response_along(
            rope.radius, self.arc, self.of("half_angle"), conductivity, rope.film, self.strip
        )

    def grown(self, kelvin: Array) -> dict[str, Array]:
        """Heat along the arc at this temperature, beyond what the free span makes, by source [W]."""
        line = self.line
        more = loss_ratio(line.draws, line.duty, kelvin) - line.free_ratio
        return {"hysteresis": line.base * more * self.arc, "creep": _creep_heat(line, kelvin) * self.arc}


@dataclass(frozen=True)
class _Group:
    """Contacts that warm each other, in order along the rope."""

    spots: list[_Spot]
    joined: near.Joined


def _groups(line: _Line, loads: Sequence[ContactLoad]) -> list[_Group]:
    """A line's contacts, those that warm each other together."""
    data, contacts = line.draws.data, [load.contact for load in loads]
    reach = line.reach if loads else 0.0
    by_number = {load.contact.index: _Spot(line, load) for load in loads}
    found = []
    for run in near.runs(near.places(data, contacts, near.central_arcs(data, contacts), reach), reach):
        spots = [by_number[place.fitting.index] for place in run]
        scene = near.Scene(line.rope.radius, (line.rope.across, line.rope.along), line.rope.film)
        links = near.links(scene, run, [spot.arc for spot in spots], [spot.strip for spot in spots])
        found.append(_Group(spots, near.Joined([(spot.patch(), spot.unit()) for spot in spots], links)))
    return found


def _settled(group: _Group, melting: Array) -> tuple[list[profile.ContactRise], list[dict[str, Array]]]:
    """Rises at contacts with their temperature-dependent heat, and that heat by source [W]."""
    line = group.spots[0].line
    extra = [dict.fromkeys(("hysteresis", "creep"), np.zeros_like(line.span.core)) for _ in group.spots]
    taken = [np.full_like(line.span.core, -np.inf) for _ in group.spots]
    for _ in range(ROUNDS):
        heats = [spot.heat(more["hysteresis"] + more["creep"]) for spot, more in zip(group.spots, extra, strict=True)]
        cores = group.joined.cores(line.span, heats)
        hottest = [np.minimum(line.around.air + hottest_of(core), melting) for core in cores]
        moves = [np.abs(new - old) >= SETTLED for new, old in zip(hottest, taken, strict=True)]
        if not any(one.any() for one in moves):
            break
        taken = [np.where(*which) for which in zip(moves, hottest, taken, strict=True)]
        extra = [spot.grown(kelvin) for spot, kelvin in zip(group.spots, taken, strict=True)]
    heats = [spot.heat(more["hysteresis"] + more["creep"]) for spot, more in zip(group.spots, extra, strict=True)]
    return group.joined.rises(line.span, heats), extra


def hottest_of(places: Array) -> Array:
    """Largest over the last, short axis (quicker than a reduction)."""
    return functools.reduce(np.maximum, (places[..., n] for n in range(places.shape[-1])))


def _creep_heat(line: _Line, temperature: Array) -> Array:
    """Heat of creep flow [W/m]."""
    if not line.draws.has("creep_rate_constant"):
        return np.zeros_like(temperature)
    law, mean = activated(line.draws, 3), fibre_stress(line.draws, line.duty.mean, 3)
    return np.asarray(heat.creep_heat(line.duty.mean[None, :, None], creep.creep_rate(law, mean, temperature)))


def activated(draws: Draws, axes: int) -> creep.Activated:
    """The activated creep law of a rope's draws.

    H and v were found together with a rate: where they move, e0 follows so that the rate at the
    card's anchor (temperature and stress) moves by e0's own band only.
    """
    keys = (
        "rate_constant",
        "activation_energy",
        "activation_volume",
        "crossover_stress",
        "high_stress_volume",
    )
    e0, energy, volume, crossover, beyond = (draws.of(f"creep_{key}", axes) for key in keys)
    law = creep.Activated(e0, energy, volume, crossover, beyond)
    if not draws.has("creep_anchor_temperature", "creep_anchor_stress"):
        return law
    stress, temperature = draws.of("creep_anchor_stress", axes), draws.of("creep_anchor_temperature", axes)
    plain = [draws.data[f"creep_{key}"].value for key in keys]
    central = creep.Activated(e0, plain[1], plain[2], crossover, beyond)
    moved = creep.creep_rate(central, stress, temperature) / creep.creep_rate(law, stress, temperature)
    return creep.Activated(e0 * moved, energy, volume, crossover, beyond)


def fibre_stress(draws: Draws, tension: Array, axes: int) -> Array:
    """Fibre stress of tensions (J,), shape (s, J, 1, ...) [Pa]."""
    shaped = tension.reshape(1, -1, *(1,) * (axes - 2))
    return np.asarray(section.fibre_stress(shaped, draws.of("density", axes), draws.of("mass_per_length", axes)))


@dataclass(frozen=True)
class _Told:
    """Rises at a contact, corrected by what the fast model misses [K]: number on the line, places, skin, by source."""

    number: int
    core: Array
    mean: Array
    skin: Array
    parts: dict[str, Array]


def _told(group: _Group, outer: dict[str, Array], melting: Array) -> list[_Told]:
    """What is told of the contacts of a group."""
    line = group.spots[0].line
    factor = line.draws.of("profile_misfit", 4)

    def fitted(places: Array, alone: Array) -> Array:
        return alone[..., None] + factor * (places - alone[..., None])

    rises, extra = _settled(group, melting)
    is_single = line.draws.samples == 1
    alone = _free_parts(line.span, outer) if is_single else {}
    parts = _contact_parts(group, outer, extra) if is_single else [{}] * len(rises)
    return [
        _Told(spot.load.contact.index, fitted(rise.core, line.span.core), fitted(rise.mean, line.span.mean),
              np.maximum(rise.face, rise.bare), {name: fitted(part[name], alone[name]) for name in part})
        for spot, rise, part in zip(group.spots, rises, parts, strict=True)
    ]  # fmt: skip


def _contact_parts(group: _Group, outer: dict[str, Array], extra: list[dict[str, Array]]) -> list[dict[str, Array]]:
    """Rise of the core by source at the three places of every contact: the same function, one source at a time."""
    span, zero = group.spots[0].line.span, np.zeros_like(group.spots[0].line.span.core)
    full = [spot.heat(zero) for spot in group.spots]
    off = profile.ContactHeat(zero, zero, zero, zero, zero)

    def part(inside: Array, outside: Array, heats: list[profile.ContactHeat]) -> list[Array]:
        one = profile.Span(span.to_air, span.to_surface, inside, outside)
        return group.joined.cores(one, heats)

    only = {
        "bending": [replace(off, bend_outboard=one.bend_outboard, bend_inboard=one.bend_inboard) for one in full],
        "sliding": [replace(off, sliding=one.sliding) for one in full],
        "contact": [replace(off, steel=one.steel + zero) for one in full],
        "creep": [replace(off, arc=more["creep"]) for more in extra],
    }
    rises = {name: part(zero, zero, heats) for name, heats in only.items()}
    rises["hysteresis"] = part(span.inside, zero, [replace(off, arc=more["hysteresis"]) for more in extra])
    rises.update({name: part(zero, flux + zero, [off] * len(full)) for name, flux in outer.items()})
    return [{name: found[n] for name, found in rises.items()} for n in range(len(full))]


def _free_parts(span: profile.Span, outer: dict[str, Array]) -> dict[str, Array]:
    """Rise of the free span's core by source, shape (s, J, H)."""
    zero = np.zeros_like(span.core)
    free = dict.fromkeys(SOURCES, zero)
    free["hysteresis"] = span.inside * (span.to_air + 2.0 * span.to_surface)
    free.update({name: flux * span.to_air + zero for name, flux in outer.items()})
    return free
