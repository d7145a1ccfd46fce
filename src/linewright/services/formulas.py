"""Which formula a number comes from, where it is stated, and which data it rests on: one table.

The equations themselves stand once, in docs/explanation. Keys are those of the cards and of the case; a number
also rests on all that its `parts` rest on.
"""

from __future__ import annotations

from dataclasses import dataclass

HEAT = "docs/explanation/heat.md"
LIFE = "docs/explanation/life.md"
DUTY = "docs/explanation/duty.md"
TEMPERATURE = "docs/explanation/temperature.md"
UNCERTAINTY = "docs/explanation/uncertainty.md"


@dataclass(frozen=True)
class Formula:
    """A formula in one sentence, the page and heading that state it, its own data, and what feeds it."""

    sentence: str
    page: str
    keys: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()


BENDING_KEYS = (
    "bending_reference_cycles", "bending_reference_load", "bending_reference_ratio", "bending_reference_stroke",
    "bending_test_temperature", "bending_load_exponent", "bending_ratio_exponent", "bending_stroke_exponent",
    "bending_activation_energy", "bending_cycle_cap", "bending_unit_strength", "endurance_scatter",
)  # fmt: skip
CREEP_KEYS = (
    "creep_rate_constant", "creep_activation_energy", "creep_activation_volume", "creep_anchor_temperature",
    "creep_anchor_stress", "creep_crossover_stress", "creep_high_stress_volume", "creep_retirement_strain",
    "creep_network_rate_constant", "creep_network_activation_energy", "creep_network_volume",
    "creep_unit_strength", "rupture_slope",
)  # fmt: skip
FORMULAS: dict[str, Formula] = {
    "life": Formula(
        "Losses of all mechanisms add in ln strength, year by year, until the first criterion is met.",
        f"{LIFE}#over-the-years",
        ("strength_left", "creep_damage", "tension_damage", "margin", "age", "long_term_hours", "long_term_limit",
         "short_term_limit"),
        ("creep", "bending", "tension", "abrasion", "ageing", "compression", "service"),
    ),
    "ratio": Formula(
        "Life of one rope over the life of the other in the same draw; P10, P50 and P90 over all draws.",
        f"{UNCERTAINTY}#what-two-ropes-share",
    ),
    "outlives": Formula(
        "Share of the draws in which it lives longer: with one law for both ropes, and with laws drawn apart.",
        f"{UNCERTAINTY}#what-two-ropes-share",
    ),
    "shares": Formula(
        "Each mechanism's part of the ln strength lost where and when the central run ends.", f"{LIFE}#over-the-years"
    ),
    "creep": Formula(
        "Creep strain at the stress and temperature of each state over the strain that retires the rope; other fibres: "
        "time under load over the time to stress rupture.",
        f"{LIFE}#mechanisms", CREEP_KEYS, ("section", "core", "duty"),
    ),
    "lengthening": Formula(
        "Creep strain of the free span over the loaded length; fibres of log-time creep by the decades under load.",
        f"{LIFE}#how-much-longer-the-line-becomes", ("creep_strain_per_decade",), ("creep", "duty"),
    ),
    "bending": Formula(
        "Cycles times a stroke factor over the cycles that the anchor test allows at this load, D/d and temperature.",
        f"{LIFE}#mechanisms", BENDING_KEYS, ("bend", "stroke", "core", "presence", "duty"),
    ),
    "tension": Formula(
        "Miner's sum of N R^m = K over all tension ranges, referred to the strength that the others leave.",
        f"{LIFE}#mechanisms",
        ("tension_fatigue_exponent", "tension_fatigue_constant", "tension_design_factor", "tension_unit_strength",
         "endurance_scatter"),
        ("duty",),
    ),
    "abrasion": Formula(
        "Wear as pressure times sliding distance times a wear coefficient, as lost area.",
        f"{LIFE}#mechanisms", ("wear_coefficient", "roughness", "chafe_gear"), ("bend", "stroke", "presence", "duty"),
    ),
    "ageing": Formula(
        "A rate that rises with temperature, plus sunlight on the outer layer, over the hours alongside.",
        f"{LIFE}#mechanisms",
        ("ageing_loss", "ageing_activation_energy", "ageing_reference_temperature", "uv_yarn_loss", "uv_depth",
         "uv_year_dose", "uv_cover", "hours_stored"),
        ("core", "climate", "hours"),
    ),
    "compression": Formula(
        "Cycles that go nearly slack over the cycles that the fibre stands, weighted for the construction.",
        f"{LIFE}#mechanisms",
        ("compression_cycles", "compression_trough", "compression_range", "compression_weight",
         "compression_unit_strength"), ("duty",),
    ),
    "service": Formula(
        "Loss per call by drum, deck and hooks, as the practice card tells it.",
        f"{LIFE}#mechanisms", ("service_wear",), ("hours",),
    ),
    "core": Formula(
        "Air temperature plus the rise by each source, at the hottest place in the hot hour of the state.",
        f"{TEMPERATURE}#balance-of-the-patch", ("profile_misfit", "melting_temperature", "axial_conductivity",
                                                "radial_conductivity_dry", "radial_conductivity_wet", "emissivity"),
        ("climate", "hysteresis", "bending heat", "sliding", "sun", "contact", "creep heat", "film"),
    ),
    "skin": Formula(
        "The face of the rope at the contact: heat born there and heat from the steel against what the rope takes in.",
        f"{TEMPERATURE}#balance-of-the-patch", ("half_angle",), ("core",),
    ),
    "air": Formula("Air of the hot hour, whose core 5 % of the state's time exceeds: sun and wind pick it too, "
                   "so states of one berth differ.",
                   f"{DUTY}#weather-of-a-state", (), ("climate",)),
    "climate": Formula("A typical day of each month with the spread between days, gathered into 24 classes.",
                       f"{DUTY}#weather-of-a-state", ("months",)),
    "film": Formula("Wind and still-air convection blended, plus long-wave radiation.",
                    f"{TEMPERATURE}#film", ("film_factor", "diameter", "emissivity")),
    "hysteresis": Formula("Heat of stretching: loss tangent times the square of the amplitude over stiffness and "
                          "period.", f"{HEAT}#tension-hysteresis", ("loss_factor", "wet_loss_ratio"),
                          ("stiffness", "cycle")),
    "stiffness": Formula("Axial stiffness for wave cycles, by mean, amplitude and temperature.", f"{HEAT}#stiffness",
                         ("dynamic_stiffness", "stiffness_mean_slope", "stiffness_amplitude_slope", "stiffness_factor",
                          "design_break_force")),
    "bending heat": Formula("The tension lost over the bend times the stroke, at both tangents.", f"{HEAT}#bending",
                            ("bending_loss", "wet_bending_loss_ratio", "partial_bend"), ("bend", "stroke")),
    "sliding": Formula("Work of friction while the rope slides over the contact, part of it born on the rope's side.",
                       f"{HEAT}#the-contact-is-a-play", ("generation_share", "conductance_sliding",
                                                         "spreading_resistance"), ("stroke",)),
    "stroke": Formula("The inboard rope stretches by what friction lets through; that length is drawn over the "
                      "contact.", f"{HEAT}#the-contact-is-a-play",
                      ("friction_on_steel", "friction_ratio", "roller_friction", "wet_friction_ratio",
                       "inboard_length", "wrap_angle"), ("stiffness", "cycle")),
    "bend": Formula("D/d is the larger of twice the radius over the diameter and two over the wrap angle.",
                    f"{HEAT}#bending", ("bend_radius", "wrap_angle", "diameter", "bending_minimum_ratio",
                                        "bending_tested_ratio")),
    "sun": Formula("Sunlight that the surface keeps, over all headings of the line.", f"{TEMPERATURE}#sun",
                   ("solar_absorptance",), ("climate", "film")),
    "contact": Formula("Steel warmed by the sun, through the contact patch.", f"{TEMPERATURE}#balance-of-the-patch",
                       ("steel_sun", "conductance_passive", "conductance_sliding", "spreading_resistance",
                        "half_angle"), ("climate",)),
    "creep heat": Formula("Tension times the rate of creep.", f"{HEAT}#creep-flow", CREEP_KEYS[:7],
                          ("section", "cycle")),
    "sky": Formula("Long-wave loss of the upper half to a sky that is colder than the air.", f"{TEMPERATURE}#film",
                   ("emissivity",), ("climate",)),
    "evaporation": Formula("Water that leaves the wet share of the surface.", f"{TEMPERATURE}#film", ("wetness",),
                           ("climate", "film")),
    "rest": Formula("What is left between the whole rise and its parts.", f"{TEMPERATURE}#balance-of-the-patch"),
    "margin": Formula("Strength of the new line at its temperature, bend, wetness and load time over the highest "
                      "expected tension.", f"{LIFE}#strength-at-temperature-and-margin",
                      ("design_break_force", "strength_factor", "strength_per_decade", "wet_strength", "bend_strength"),
                      ("core", "bend", "highest")),
    "sustained_margin": Formula("Strength of the new line when the load is held for the hours of the call, over the "
                                "mean tension.", f"{LIFE}#strength-at-temperature-and-margin",
                                ("design_break_force", "strength_factor", "strength_per_decade", "wet_strength",
                                 "bend_strength"), ("core", "bend", "duty")),
    "wll": Formula("Half of the ship's design break load (SDMBL).", f"{DUTY}#tension", ("ship_design_break_load",)),
    "highest": Formula("Most probable largest cycle of one stay, or a stated one if larger.", f"{DUTY}#tension",
                       ("ship_design_break_load",), ("duty",)),
    "duty": Formula("Mean tension and cycles of each state, hours = calls x hours x share.", f"{DUTY}#tension",
                    ("wetness",), ("cycle", "hours", "stretch")),
    "cycle": Formula("Mean, amplitude and period as the case gives them.", f"{DUTY}#tension",
                     ("mean", "amplitude", "motion", "period")),
    "stretch": Formula("Line and tail in series share the ship's motion.", f"{DUTY}#the-same-duty-for-another-rope",
                       ("outboard_length", "length")),
    "hours": Formula("Hours a year: calls times hours a call times the state's share.", f"{DUTY}#tension",
                     ("calls_per_year", "hours_per_call", "share")),
    "presence": Formula("Share of the cycles in which the same metre lies in the zone.", f"{DUTY}#places-and-metres",
                        ("payout_spread",)),
    "section": Formula("Mass, diameter and fibre density give the area that carries.",
                       f"{HEAT}#stiffness", ("mass_per_length", "density", "diameter")),
}  # fmt: skip
RISES = {"bending": "bending heat", "creep": "creep heat"}


def rise_formula(source: str) -> str:
    """Name of the formula of a source of heat."""
    return RISES.get(source, source)


def own_keys(name: str) -> tuple[str, ...]:
    """The keys of a formula and of all that feeds it, each once, nearest first."""
    keys: dict[str, None] = {}
    waiting, seen = [name], set()
    while waiting:
        here = waiting.pop(0)
        if here in seen:
            continue
        seen.add(here)
        keys.update(dict.fromkeys(FORMULAS[here].keys))
        waiting += FORMULAS[here].parts
    return tuple(keys)


def near_keys(name: str) -> tuple[str, ...]:
    """The keys that stand under a number itself: its own and those of parts that are no number of their own."""
    keys = dict.fromkeys(FORMULAS[name].keys)
    for part in FORMULAS[name].parts:
        if part not in NUMBERS:
            keys.update(dict.fromkeys(near_keys(part)))
    return tuple(keys)


NUMBERS = frozenset(
    {"life", "lengthening", "ratio", "outlives", "shares", "creep", "bending", "tension", "abrasion", "ageing",
     "compression", "service", "core", "skin", "air", "margin", "sustained_margin", "wll", "highest", "hysteresis",
     "bending heat", "sliding", "sun", "contact", "creep heat", "sky", "evaporation", "rest", "presence"}
)  # fmt: skip


def users_of(key: str) -> list[str]:
    """Names of the numbers that rest on a key, by themselves or through their parts."""
    return [name for name in FORMULAS if name in NUMBERS and key in own_keys(name)]
