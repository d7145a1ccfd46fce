"""The texts of answers: one place, plain words, present tense."""

from __future__ import annotations

CAUTIONS = (
    "A parted line kills. Stay out of snap-back zones; a tail stores most of the energy: a rope alone recoils little, "
    "a line with a tail has moved more than 15 m in under a second.",
    "linewright supports, and never replaces, the rope maker's advice, class and flag rules, the terminal's "
    "requirements and a competent person's judgement.",
    "Generic cards are not a product's data. Replace an estimate by a certificate or a test as soon as you can.",
    "Inside a jacket damage is invisible. A line that looks good can be spent.",
    "Yarn of unknown make can creep twenty times faster than the standard grade.",
    "Drum crush, deck rubbing and hooks are not assessed: a long life is an upper bound.",
)
ONE_LINE = "A parted line kills. Supports, never replaces, maker, class, terminal, competent person: {command}"

NARROWS = {
    "payout_spread": "the payout spread at this berth (tide, draught, tending), in metres",
    "bending_reference_cycles": "one retired line's age or residual strength, or one bend test of this rope",
    "bending_stroke_exponent": "one bend test with a stroke below one rope diameter",
    "bending_ratio_exponent": "bend tests of this rope at two ratios D/d",
    "bending_load_exponent": "bend tests of this rope at two loads",
    "bending_activation_energy": "one bend test with a thermocouple in a warm rope",
    "bending_test_temperature": "the rope's temperature in the bend test",
    "creep_rate_constant": "the maker's creep rate at one stress and temperature",
    "creep_activation_energy": "creep rates at two temperatures",
    "creep_activation_volume": "creep rates at two stresses",
    "creep_retirement_strain": "the strain at which tertiary creep starts, or the line's own elongation",
    "friction_on_steel": "one slip test over a steel pin",
    "dynamic_stiffness": "the certificate's cyclic stiffness",
    "wear_coefficient": "the lost depth of one retired line at the chock",
    "uv_depth": "residual strength of yarns from the surface and the core of one retired line",
    "tension_fatigue_constant": "one tension-fatigue test, or a named curve for this rope",
    "bending_loss": "twenty bend cycles with one thermocouple in the rope",
    "film_factor": "wind at the line, or one thermocouple run outdoors",
}


def narrows(key: str, text: str) -> str:
    """The test or record that would narrow a datum."""
    return NARROWS.get(key, f"a measured value of: {text}")


def years(value: float, horizon: float) -> str:
    """A life in years with two figures; ">30" beyond the horizon."""
    if value >= horizon:
        return f">{horizon:.0f}"
    return f"{value:.0f}" if value >= 9.95 else f"{value:.1f}"
