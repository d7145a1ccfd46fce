"""The declarative table of cards: every key, its kind of quantity, its plausible range, its help.

pydantic reads the TOML; a datum without basis or source, an unknown key, or a value outside the
plausible range without a stated reason is refused. Missing stays missing: the mechanism that
needs the datum then reports "not assessed".
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, Literal, cast

from pydantic import BaseModel, BeforeValidator, Field, ValidationError

from linewright.base import units
from linewright.base.form import Strict
from linewright.base.sources import Basis, Seen


def _text(raw: Any) -> Any:
    """A bare number is refused: a datum is typed with its unit."""
    if isinstance(raw, int | float):
        raise units.UnitError(str(raw), 'a text in quotes with its unit, e.g. "970 kg/m3" ("2.5" if it has none)')
    return raw


Text = Annotated[str, BeforeValidator(_text)]


class DatumForm(Strict):
    """One datum as typed: text with units, band, basis, source and place."""

    value: Text | None = None
    low: Text | None = None
    high: Text | None = None
    curve: str | None = Field(None, description="name of a CSV beside the card instead of a value")
    basis: Basis
    source: str
    where: str = ""
    tested: tuple[Text, Text] | None = Field(None, description="range of the abscissa that was tested")
    shape: Literal["lognormal", "normal", "logit"] | None = None
    doubt: Literal["ignorance", "scatter"] = "ignorance"
    outside_because: str = Field("", description="reason for a value outside the plausible range")
    confidential: bool = Field(False, description="used and shown here; never in what leaves (`--for client`)")
    note: str = ""


@dataclass(frozen=True)
class Key:
    """What a card key means: kind of quantity, plausible range in SI, a sentence, and the abscissa."""

    kind: str
    least: float
    most: float
    text: str
    over: str = ""


Given = DatumForm | None


def _key(kind: str, least: float, most: float, text: str, over: str = "") -> Any:
    meaning: dict[str, Any] = {"quantity": kind, "least": least, "most": most, "text": text, "over": over}
    return Field(default=None, description=text, json_schema_extra=meaning)


class FibreData(Strict):
    """Keys of a fibre card; a rope card may override any of them."""

    density: Given = _key("density", 800, 2000, "fibre density")
    melting_temperature: Given = _key("temperature", 370, 900, "start of the melting (or decomposition) range")
    long_term_limit: Given = _key("temperature", 310, 500, "core temperature allowed for long under load")
    short_term_limit: Given = _key("temperature", 320, 600, "core temperature allowed for short under load")
    long_term_hours: Given = _key(
        "duration", 3.6e4, 3.6e8, "hours in total above the long-term limit before retirement"
    )
    axial_conductivity: Given = _key("conductivity", 0.1, 60, "conductivity of the packed rope along its axis")
    profile_misfit: Given = _key("number", 0.5, 2.0, "rise of the 3-D field at a contact over the line profile's")
    radial_conductivity_dry: Given = _key("conductivity", 0.03, 1.0, "conductivity across the packed rope, dry")
    radial_conductivity_wet: Given = _key("conductivity", 0.1, 1.5, "conductivity across the packed rope, wet")
    volumetric_heat_dry: Given = _key("volumetric_heat", 5e5, 3e6, "heat capacity per volume of rope, dry")
    volumetric_heat_wet: Given = _key("volumetric_heat", 1e6, 4.2e6, "heat capacity per volume of rope, wet")
    emissivity: Given = _key("fraction", 0.3, 1.0, "long-wave emissivity of the surface")
    solar_absorptance: Given = _key("fraction", 0.05, 1.0, "share of sunlight that the surface keeps")
    strength_factor: Given = _key(
        "fraction", 0.05, 1.5, "strength over strength at 20 C, about 1e-2 1/s", "temperature"
    )
    strength_per_decade: Given = _key("fraction", 0.0, 0.3, "loss of 20 C strength per decade of slower loading")
    wet_strength: Given = _key("fraction", 0.5, 1.1, "strength wet over strength dry (1 if LDBF is already wet)")
    stiffness_factor: Given = _key("fraction", 0.05, 2.0, "dynamic stiffness over its value at 20 C", "temperature")
    loss_factor: Given = _key(
        "number", 0.001, 0.5, "loss tangent of the rope, dry (fibre and structure)", "temperature"
    )
    wet_loss_ratio: Given = _key("number", 0.2, 3.0, "loss tangent wet over dry")
    dynamic_stiffness: Given = _key("number", 3, 150, "EA over break force for wave cycles at 25 % mean")
    quasi_static_stiffness: Given = _key("number", 0.3, 120, "EA/LDBF under a load that lasts hours")
    stiffness_mean_slope: Given = _key("number", -50, 120, "rise of EA/LDBF per unit of mean load over break force")
    stiffness_amplitude_slope: Given = _key(
        "number", -120, 50, "rise of EA/LDBF per unit of amplitude over break force"
    )
    friction_on_steel: Given = _key("number", 0.01, 0.6, "sliding friction on clean dry steel")
    wet_friction_ratio: Given = _key("number", 0.3, 2.0, "friction wet over dry")
    bending_loss: Given = _key("number", 0.001, 0.5, "bending loss c_b: energy per metre and bend is c_b (d/D) F")
    wet_bending_loss_ratio: Given = _key("number", 0.2, 2.0, "bending loss wet over dry")
    creep_rate_constant: Given = _key("strain_rate", 1e6, 1e18, "creep rate constant of the fibre (e0)")
    creep_activation_energy: Given = _key("molar_energy", 5e4, 2.5e5, "activation energy of creep (H)")
    creep_activation_volume: Given = _key("molecular_volume", 5e-30, 2e-28, "activation volume of creep (v)")
    creep_anchor_temperature: Given = _key("temperature", 270, 420, "point about which e0 follows H and v")
    creep_anchor_stress: Given = _key("stress", 5e7, 3e9, "fibre stress of that point")
    creep_crossover_stress: Given = _key("stress", 3e8, 2e9, "fibre stress above which v2 replaces v (s1)")
    creep_high_stress_volume: Given = _key("molecular_volume", 5e-30, 1e-28, "v2 above the crossover stress")
    creep_retirement_strain: Given = _key("fraction", 0.005, 0.3, "creep strain counted as damage 1 (e_c)")
    creep_network_rate_constant: Given = _key("strain_rate", 1e3, 1e18, "rate constant of the second process (e01)")
    creep_network_activation_energy: Given = _key("molar_energy", 5e4, 2.5e5, "its activation energy (H1)")
    creep_network_volume: Given = _key(
        "molecular_volume", 5e-29, 5e-27, "its activation volume (v1); default no second process"
    )
    creep_strain_per_decade: Given = _key("fraction", 1e-5, 0.02, "log-time creep per decade of time at 30 % load")
    rupture_slope: Given = _key("fraction", 0.01, 0.2, "stress rupture: strength lost per decade of time under load")
    tension_fatigue_exponent: Given = _key("number", 2, 20, "m of N R^m = K")
    tension_fatigue_constant: Given = _key("number", 1e-3, 1e6, "K of N R^m = K, R = range over break force")
    tension_fatigue_mean_slope: Given = _key("number", 0, 10, "b of K 10^(-b Lm), Lm = mean load over break force")
    tension_fatigue_range_limit: Given = _key("fraction", 0.05, 1.0, "largest tested range over break force")
    tension_design_factor: Given = _key("number", 1, 100, "factor on life, separate from the curve")
    bending_reference_cycles: Given = _key("number", 1e2, 1e7, "bending cycles of the fibre at the anchor test (N_ref)")
    bending_reference_load: Given = _key("fraction", 0.05, 0.8, "load of the anchor test over break force")
    bending_reference_ratio: Given = _key("number", 5, 60, "D/d of the anchor test")
    bending_reference_stroke: Given = _key("number", 1, 30, "stroke of the anchor test in rope diameters")
    bending_test_temperature: Given = _key("temperature", 270, 360, "the rope's temperature in the anchor test")
    bending_load_exponent: Given = _key("number", 0.5, 10, "fall of bending life with load, exponent a")
    bending_ratio_exponent: Given = _key("number", 0.2, 6, "rise of bending life with D/d, exponent b")
    bending_stroke_exponent: Given = _key(
        "number", 0.0, 3, "fall of bending life with stroke up to the anchor's, exponent c"
    )
    bending_activation_energy: Given = _key("molar_energy", 0, 1.5e5, "Q of the temperature factor")
    bending_cycle_cap: Given = _key("number", 1e3, 1e9, "largest life before the stroke factor, until own tests")
    bending_tested_ratio: Given = _key("number", 1, 40, "D/d below which the law is extrapolated")
    bending_minimum_ratio: Given = _key("number", 1, 40, "D/d below which no bending life is given")
    endurance_scatter: Given = _key("number", 0.2, 5, "life of one rope over that of equal ropes in the same test")
    bending_unit_strength: Given = _key("fraction", 0.01, 0.99, "strength left at bending damage 1")
    tension_unit_strength: Given = _key("fraction", 0.01, 0.99, "strength left at tension-fatigue damage 1")
    compression_unit_strength: Given = _key("fraction", 0.01, 0.99, "strength left at axial-compression damage 1")
    creep_unit_strength: Given = _key("fraction", 0.01, 0.99, "strength left at creep damage 1")
    wear_coefficient: Given = _key("wear", 1e-18, 1e-10, "wear per pressure and sliding distance on smooth steel (k_w)")
    uv_yarn_loss: Given = _key("fraction", 0.0, 0.95, "strength lost by bare yarn in one outdoor year (dose below)")
    uv_depth: Given = _key("length", 0, 0.01, "depth of rope that loses like bare yarn")
    uv_year_dose: Given = _key("irradiation", 1e9, 1e10, "sunlight of the outdoor year of the yarn datum")
    ageing_loss: Given = _key("per_year", 0.0, 3.0, "ln strength lost per year at the ageing reference temperature")
    ageing_activation_energy: Given = _key("molar_energy", 2e4, 2.5e5, "activation energy of ageing")
    ageing_reference_temperature: Given = _key("temperature", 280, 420, "temperature of the ageing datum")
    compression_cycles: Given = _key("number", 100, 1e8, "cycles with a slack trough that count as damage 1")
    compression_trough: Given = _key("fraction", 0.0, 0.2, "trough over break force below which a cycle counts")
    compression_range: Given = _key("fraction", 0.0, 0.2, "range over break force below which it does not")


class RopeData(FibreData):
    """Keys of a rope card, on top of the fibre's."""

    diameter: Given = _key("length", 0.001, 0.4, "diameter of the loaded rope, circumscribed")
    mass_per_length: Given = _key("mass_per_length", 1e-3, 100, "load-bearing mass per metre")
    design_break_force: Given = _key("force", 1e3, 1e8, "line design break force: new, spliced, dry (polyamide wet)")
    compression_weight: Given = _key("fraction", 0.0, 1.0, "weight of this construction in axial compression")
    bend_strength: Given = _key("fraction", 0.2, 1.0, "static strength over a pin of D/d", "ratio")
    uv_cover: Given = _key("fraction", 0.0, 1.0, "share of sunlight that reaches the strength member")
    thousand_cycle_load_level: Given = _key(
        "fraction", 0.1, 1.0, "certificate: load over break force that the rope bears 1000 times; kept, not used yet"
    )
    angled_endurance_cycles: Given = _key(
        "number", 1, 1e8, "certificate: cycles over an angled bend, load and angle in where; kept, not used yet"
    )


class ContactData(Strict):
    """Keys of a contact card; the case may override any of them."""

    bend_radius: Given = _key("length", 0.01, 3.0, "radius of the steel that the rope bends over")
    wrap_angle: Given = _key("angle", 0.01, 6.4, "angle over which the rope touches")
    friction_ratio: Given = _key("number", 0.2, 5.0, "friction over that on clean smooth steel")
    roller_friction: Given = _key("number", 0.001, 0.2, "friction of a turning roller: bearing and bending")
    half_angle: Given = _key("angle", 0.1, 1.6, "half of the rope's circumference angle that touches")
    conductance_sliding: Given = _key("conductance", 50, 1e5, "heat conductance of the interface while sliding")
    conductance_passive: Given = _key("conductance", 20, 1e5, "heat conductance of the interface at rest")
    spreading_resistance: Given = _key("thermal_resistance", 0.001, 30, "from the contact patch into the steel")
    steel_capacity: Given = _key("heat_capacity", 10, 1e5, "steel that takes part while a rope warms, for heat-up")
    generation_share: Given = _key(
        "fraction", 0.0, 1.0, "share of friction heat born on the rope's side of the interface"
    )
    steel_sun: Given = _key(
        "fraction", 0.0, 1.0, "share of global sunlight that heats the steel, shade and hull included"
    )
    roughness: Given = _key("number", 0.1, 100, "wear over that on smooth steel")
    chafe_gear: Given = _key("fraction", 0.0, 1.0, "share of the abrasion that chafe gear lets through (default all)")
    bearing_loss: Given = _key(
        "number", 0.0, 0.2, "tension lost in a bearing over tension, for a rope that runs over it"
    )
    steel_thickness: Given = _key("length", 0.001, 0.5, "steel of a sheave spread over its disc, for its heat")


class PracticeData(Strict):
    """Keys of a practice card: how the line is tended and what the laws leave open."""

    payout_spread: Given = _key(
        "length", 0.0, 20, "length of rope that passes a mark during a state: tide, draught, tending"
    )
    film_factor: Given = _key("number", 0.3, 3.0, "film coefficient over the smooth-cylinder correlation")
    partial_bend: Given = _key(
        "number", 0.05, 1.0, "share of a full bend made by a stroke shorter than a lay, for heat"
    )
    service_wear: Given = _key(
        "fraction", 0.0, 0.1, "ln strength lost per call by drum, deck and hooks (default not assessed)"
    )
    hours_stored: Given = _key(
        "duration", 0.0, 3.17e7, "hours a year on the drum, ageing at the air of the berths (default none)"
    )
    drum_exposure: Given = _key("fraction", 0.0, 1.0, "open share of the round of a rope on a drum")


class CardForm(Strict):
    """What every card says of itself."""

    format: Literal[1]
    title: str
    note: str = ""
    confidential: bool = Field(False, description="every datum of the card is confidential")
    seal: str = Field("", description="any random text: keeps values from being guessed from the card's digest")


class FibreForm(CardForm):
    """A fibre card."""

    kind: Literal["fibre"]
    creep_law: Literal["activated", "log-time"]
    data: FibreData


class RopeForm(CardForm):
    """A rope card."""

    kind: Literal["rope"]
    fibre: str
    construction: str
    jacketed: bool = False
    use: Literal["", "tail"] = Field("", description="`tail`: made as a tail; no size of it is sought for a line")
    creep_section: Literal["core", "equal strain", "equal stress"] = "core"
    tension_curve: str = Field("", description="name of a published tension-fatigue curve instead of the fibre card's")
    data: RopeData


class ContactForm(CardForm):
    """A contact card."""

    kind: Literal["contact"]
    turns: bool = Field(False, description="a roller or sheave that turns: no sliding heat, no wear")
    holds: bool = Field(False, description="a bitt or eye: the same metre stays on it")
    data: ContactData


class PracticeForm(CardForm):
    """A practice card."""

    kind: Literal["practice"]
    data: PracticeData


class ClimateForm(CardForm):
    """A climate card: a monthly table (CSV beside it) and the sun's place."""

    kind: Literal["climate"]
    latitude: str
    longitude: str
    months: str | None = Field(None, description="CSV beside the card: twelve rows of a typical day")
    hourly: str | None = Field(None, description="file of a typical year: package:path, or a path in the study")
    wind_at_line: str = Field("1", description="wind at the rope over the wind of the table or file")
    basis: Basis
    source: str
    where: str = ""


class SourceForm(Strict):
    """One entry of sources.toml."""

    title: str
    year: int | None = None
    seen: Seen
    sha256: str = Field("", description="digest of the file, e.g. of a certificate")
    note: str = ""


FORMS: dict[str, type[CardForm]] = {
    "fibre": FibreForm,
    "rope": RopeForm,
    "contact": ContactForm,
    "practice": PracticeForm,
    "climate": ClimateForm,
}


def datum_or_none(raw: Any) -> DatumForm | None:
    """A datum as typed, or None if its form is wrong."""
    try:
        return DatumForm.model_validate(raw)
    except ValidationError:
        return None


def data_form(kind: str) -> type[Strict]:
    """The form of the data of a kind of card that has a [data] table."""
    return cast(type[Strict], FORMS[kind].model_fields["data"].annotation)


def key_of(form: type[BaseModel], name: str) -> Key:
    """What a key of a data form means."""
    meaning = cast(dict[str, Any], form.model_fields[name].json_schema_extra)
    return Key(meaning["quantity"], meaning["least"], meaning["most"], meaning["text"], meaning["over"])
