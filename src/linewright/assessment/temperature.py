"""Stage temperature: core, mean and skin at every place, and the rise by source.

The free span is the base; each contact's series responses stand on it. Heat that depends on
temperature (loss factor over stiffness, creep flow) is iterated.
"""

from __future__ import annotations

import functools
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

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

    The skin is that of each contact's patch and, last, of the free span. `rises` maps each source to its
    part of the core's rise above air, shape of core, for a single row only.
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
    cores, means, skins = [], [], []
    parts: list[dict[str, Array]] = []
    alone = _free_parts(span, outer) if draws.samples == 1 else {}
    for load in loads:
        spot = _Spot(draws, duty, load, rope, around, base)
        rise, extra = _hot_spot(spot, span, free, melting)
        factor = draws.of("profile_misfit", 4)
        cores.append(span.core[..., None] + factor * (rise.core - span.core[..., None]))
        means.append(span.mean[..., None] + factor * (rise.mean - span.mean[..., None]))
        skins.append(rise.face)
        if draws.samples == 1:
            found = _contact_parts(spot, span, outer, extra)
            parts.append(
                {name: alone[name][..., None] + factor * (found[name] - alone[name][..., None]) for name in found}
            )
    air = around.air[None, ..., None]
    core = air + np.concatenate([*cores, span.core[..., None]], axis=-1)
    mean = air + np.concatenate([*means, span.mean[..., None]], axis=-1)
    skin = around.air[None, ..., None] + np.stack([*skins, span.face], axis=-1)
    rises = None
    if draws.samples == 1:
        every = [*parts, {name: values[..., None] for name, values in alone.items()}]
        rises = {name: np.concatenate([part[name] for part in every], axis=-1) for name in SOURCES}
    decay = np.asarray(profile.decay_length(rope.radius, (rope.across, rope.along), rope.film))
    limit = melting[..., None]
    skin = np.minimum(skin, limit)
    bounded = bool(np.any(core > limit))
    return Temperatures(around.air, np.minimum(core, limit), np.minimum(mean, limit), skin, span.face,
                        decay.mean(axis=-1), bounded, rises)  # fmt: skip


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
class _Spot:
    """A contact with all that its heat balance needs."""

    draws: Draws
    duty: Duty
    load: ContactLoad
    rope: RopeNow
    around: Surroundings
    base: Array

    def of(self, name: str) -> Array:
        """A contact datum, shape (s, 1, 1)."""
        return self.draws.of(self.load.contact.key(name), 3)

    @property
    def arc(self) -> Array:
        """Length on the contact, shape (s, 1, 1) [m]."""
        return self.load.arc[..., None]

    def patch(self) -> profile.Patch:
        """The touching patch; it conducts better while it slides."""
        slides = (self.load.stroke > 0.0)[..., None]
        conductance = np.where(slides, self.of("conductance_sliding"), self.of("conductance_passive"))
        area = 2.0 * self.of("half_angle") * self.rope.radius * self.arc
        return profile.Patch(
            area * conductance,
            area * self.rope.film,
            self.of("spreading_resistance"),
            self.of("generation_share"),
        )

    def heat(self, arc: Array) -> profile.ContactHeat:
        """Heat of the contact with this much extra heat along the arc [W]."""
        bend = self.load.bend[..., None]
        steel = self.of("steel_sun") * self.around.steel
        return profile.ContactHeat(bend, bend, self.load.sliding[..., None], arc, steel)

    def unit(self) -> tuple[response.Response, Array]:
        """Unit responses and the stroke factor of the tangents."""
        rope = self.rope
        unit = response.response_along(
            rope.radius, self.arc, self.of("half_angle"), (rope.across, rope.along), rope.film
        )
        axial = rope.along * np.pi * rope.radius**2
        spread = np.maximum(self.load.stroke[..., None], 2.0 * rope.radius)
        return unit, profile.stroke_factor(unit.core["self"], spread, axial)


def _hot_spot(
    spot: _Spot, span: profile.Span, free: Array, melting: Array
) -> tuple[profile.ContactRise, dict[str, Array]]:
    """Rise at a contact with its temperature-dependent heat, and that heat by source [W]."""
    unit, factor = spot.unit()
    patch = spot.patch()
    ratio_free = loss_ratio(spot.draws, spot.duty, free)
    extra = {"hysteresis": np.zeros_like(free), "creep": np.zeros_like(free)}
    rise = profile.contact_rise(span, spot.heat(extra["creep"]), patch, unit, factor)
    taken = np.full_like(free, -np.inf)
    for _ in range(ROUNDS):
        hottest = np.minimum(spot.around.air + hottest_of(rise.core), melting)
        moves = np.abs(hottest - taken) >= SETTLED
        if not moves.any():
            break
        hottest = taken = np.where(moves, hottest, taken)
        extra["hysteresis"] = spot.base * (loss_ratio(spot.draws, spot.duty, hottest) - ratio_free) * spot.arc
        extra["creep"] = _creep_heat(spot, hottest) * spot.arc
        rise = profile.contact_rise(span, spot.heat(extra["hysteresis"] + extra["creep"]), patch, unit, factor)
    return rise, extra


def hottest_of(places: Array) -> Array:
    """Largest over the last, short axis (quicker than a reduction)."""
    return functools.reduce(np.maximum, (places[..., n] for n in range(places.shape[-1])))


def _creep_heat(spot: _Spot, temperature: Array) -> Array:
    if not spot.draws.has("creep_rate_constant"):
        return np.zeros_like(temperature)
    law, mean = activated(spot.draws, 3), fibre_stress(spot.draws, spot.duty.mean, 3)
    return np.asarray(heat.creep_heat(spot.duty.mean[None, :, None], creep.creep_rate(law, mean, temperature)))


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


def _contact_parts(
    spot: _Spot, span: profile.Span, outer: dict[str, Array], extra: dict[str, Array]
) -> dict[str, Array]:
    """Rise of the core by source at the three places of a contact: the same function, one source at a time."""
    unit, factor = spot.unit()
    patch, zero = spot.patch(), np.zeros_like(span.core)
    off = profile.ContactHeat(zero, zero, zero, zero, zero)
    full = spot.heat(zero)

    def part(inside: Array, outside: Array, heat_part: profile.ContactHeat) -> Array:
        one = profile.Span(span.to_air, span.to_surface, inside, outside)
        return profile.contact_rise(one, heat_part, patch, unit, factor).core

    only = {
        "bending": profile.ContactHeat(full.bend_outboard, full.bend_inboard, zero, zero, zero),
        "sliding": profile.ContactHeat(zero, zero, full.sliding, zero, zero),
        "contact": profile.ContactHeat(zero, zero, zero, zero, full.steel + zero),
        "creep": profile.ContactHeat(zero, zero, zero, extra["creep"], zero),
    }
    rises = {name: part(zero, zero, heat_part) for name, heat_part in only.items()}
    warm = profile.ContactHeat(zero, zero, zero, extra["hysteresis"], zero)
    rises["hysteresis"] = part(span.inside, zero, warm)
    rises.update({name: part(zero, flux + zero, off) for name, flux in outer.items()})
    return rises


def _free_parts(span: profile.Span, outer: dict[str, Array]) -> dict[str, Array]:
    """Rise of the free span's core by source, shape (s, J, H)."""
    zero = np.zeros_like(span.core)
    free = dict.fromkeys(SOURCES, zero)
    free["hysteresis"] = span.inside * (span.to_air + 2.0 * span.to_surface)
    free.update({name: flux * span.to_air + zero for name, flux in outer.items()})
    return free
