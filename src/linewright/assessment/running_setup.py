"""What a study of a running rope brings to the physics: data by key, and a scene for a row of draws."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from linewright.assessment.draws import Draws, score_matrix
from linewright.assessment.rope import find, sized, titled
from linewright.assessment.temperature import activated
from linewright.base.data import Datum
from linewright.base.errors import CardError, InputError, Problem
from linewright.base.units import LARGEST_YEAR_HOURS, Load, show
from linewright.cards.model import Shelf
from linewright.case.running.model import Part, Phase, Running
from linewright.physics import creep, film, running, section, water
from linewright.physics.running_load import Scene
from linewright.physics.running_parts import Around, Fabric, Path, Piece, Sheave, Stretch, running_grid
from linewright.physics.types import Array

SHARPEST = 5.0  # D/d below which nothing is computed: no bend of a running rope is meant to be so sharp
FULLEST = 1.0
STEEL = 3.6e6  # heat capacity of steel per volume, 7850 x 460 [J/(m3 K)]
RIM = 2.0  # rope diameters of a sheave's rim that spray reaches
ROPE_KEYS = (
    "density", "diameter", "mass_per_length", "design_break_force", "dynamic_stiffness", "loss_factor",
    "axial_conductivity", "radial_conductivity_dry", "radial_conductivity_wet", "volumetric_heat_dry",
    "volumetric_heat_wet", "emissivity", "solar_absorptance", "melting_temperature", "friction_on_steel",
    "bending_loss",
)  # fmt: skip
SHEAVE_KEYS = ("half_angle", "conductance_passive", "conductance_sliding", "generation_share", "bearing_loss",
               "steel_thickness")  # fmt: skip
PRACTICE_KEYS = ("film_factor", "partial_bend", "drum_exposure")
LAY = 6.0  # rope diameters of a lay where the card has no anchor test


@dataclass(frozen=True)
class Setup:
    """A study with the data of its cards: rope, sheaves by number, drum, surroundings."""

    study: Running
    name: str
    title: str
    data: Mapping[str, Datum]

    def draws(self) -> Draws:
        """Samples of every datum that has a band; row 0 is the central case."""
        bare = Draws(self.data, {}, self.study.samples)
        return Draws(self.data, score_matrix(bare.columns, self.study.samples, self.study.seed), self.study.samples)


def setup(study: Running, shelf: Shelf) -> Setup:
    """The study's rope, sheaves and practice. Raises InputError or CardError for what cannot be."""
    find(shelf.ropes, study.rope, "rope", study.rope_where)
    rope = shelf.rope(study.rope)
    data = {**sized(rope, study.rope_data)}
    _complete(study.rope, ROPE_KEYS, data)
    practice = find(shelf.practices, study.practice, "practice", study.file)
    _complete(study.practice, PRACTICE_KEYS, practice.data)
    data |= {**practice.data, **study.data}
    sheaves = [part for part in study.parts if part.kind == "sheave"]
    for number, part in enumerate(sheaves):
        card = find(shelf.contacts, part.card, "contact", part.where)
        own = {**card.data, **part.data}
        _complete(part.card, SHEAVE_KEYS, own)
        data |= {f"{number}.{key}": datum for key, datum in own.items()}
    found = Setup(study, rope.name, titled(rope.title, data), data)
    _check(found, sheaves)
    return found


def _complete(card: str, keys: tuple[str, ...], data: Mapping[str, Datum]) -> None:
    lacking = [key for key in keys if key not in data]
    if lacking:
        do = "add it with its source and basis, or name another card"
        raise CardError(f"The card {card} lacks data that a running rope needs.",
                        [Problem(f"{card}.toml", "nothing", key, do) for key in lacking])  # fmt: skip


def _check(found: Setup, sheaves: list[Part]) -> None:
    """Raise InputError with every bend that is too sharp and every tension above the break force."""
    data, study = found.data, found.study
    problems = []
    thick = data["diameter"].value
    share = float(section.fill(data["mass_per_length"].value, data["density"].value, thick))
    if share > FULLEST:
        read = f"{data['mass_per_length'].value:.3g} kg/m at {1000 * thick:.0f} mm: fibre fills {100 * share:.0f} %"
        needs = "mass, diameter and fibre density that fit together (50 to 85 %)"
        problems.append(Problem(study.rope_where, read, needs, "check the units"))
    bends = [("drum", data["drum_diameter"], data["drum_diameter"].source)]
    bends += [(part.name, part.data["diameter"], part.where) for part in sheaves]
    for name, wheel, where in bends:
        if wheel.value < SHARPEST * thick:
            read = f"{1000 * wheel.value:.0f} mm, D/d {wheel.value / thick:.1f} with a rope of {1000 * thick:.0f} mm"
            needs = f"D/d of at least {SHARPEST:.0f}: {1000 * SHARPEST * thick:.0f} mm or more"
            problems.append(Problem(f"{where}  {name} > diameter", read, needs, "check both diameters"))
    problems += _often_problems(found)
    for phase in study.phases:
        problems += _tension_problems(phase, data["design_break_force"].value)
    if problems:
        raise InputError(f"{study.file} cannot be run.", problems)


def _often_problems(found: Setup) -> list[Problem]:
    """Runs that do not fit into a year."""
    study, often = found.study, found.study.duties_per_year
    length = study.repeat * sum(_duration(phase) for phase in study.phases) / 3600.0
    if often is None or often * length <= LARGEST_YEAR_HOURS:
        return []
    read = f"{often:g} runs of {length:.3g} h: {often * length:.0f} h a year"
    needs = f"at most {LARGEST_YEAR_HOURS:.0f} h, a run being the whole programme"
    return [Problem(f"{study.file}  service > duties_per_year", read, needs, "check runs, durations and repeat")]


def _duration(phase: Phase) -> float:
    """Time of a phase [s]."""
    motion = _motion(phase)
    return motion.duration if isinstance(motion, running.Travel) else phase.duration


def _tension_problems(phase: Phase, strength: float) -> list[Problem]:
    given = [("tension", phase.tension), ("tension_amplitude", phase.tension_amplitude)]
    ship = [(key, load) for key, load in given if load is not None and load.base == "SDMBL"]
    where = f'{phase.where}  phase "{phase.name}" > '
    if ship:
        needs, do = (
            "a force or a share of the rope's own strength",
            "write kN or %LDBF: a running rope has no ship here",
        )
        return [Problem(where + key, load.text, needs, do) for key, load in ship]
    mean, swing = tensions(phase, strength)
    found = []
    if swing > mean:
        read = f"amplitude {swing / 1000.0:.0f} kN about {mean / 1000.0:.0f} kN"
        found.append(
            Problem(f"{where}tension_amplitude", read, "at most the mean tension: a rope cannot push", "check both")
        )
    if mean > strength or swing <= mean < strength < mean + swing:
        read = f"{(mean + swing) / 1000.0:.0f} kN"
        needs = f"less than the break force, {show(strength, 'force', 'kN')}"
        found.append(Problem(f"{where}tension", read, needs, "check tension and LDBF"))
    return found


def tensions(phase: Phase, strength: float) -> tuple[float, float]:
    """Mean tension and its amplitude [N]."""
    return newton(phase.tension, strength), (
        newton(phase.tension_amplitude, strength) if phase.tension_amplitude else 0.0
    )


def highest_tension(found: Setup) -> float:
    """The highest tension of the programme, amplitude included, over the break force [-]."""
    strength = found.data["design_break_force"].value
    return max(sum(tensions(phase, strength)) for phase in found.study.phases) / strength


def newton(load: Load, strength: float) -> float:
    """A tension in N; %LDBF is of the rope's own strength."""
    return load.newton(strength, math.nan)


def one(draws: Draws, key: str) -> float:
    """A datum in a single row of draws."""
    return float(draws.of(key, 1)[0])


def fabric_of(draws: Draws) -> Fabric:
    """The rope of one row of draws."""
    thick, loss, rub = one(draws, "diameter"), one(draws, "bending_loss"), one(draws, "friction_on_steel")
    lay = one(draws, "bending_reference_stroke") if draws.has("bending_reference_stroke") else LAY

    def wet(key: str) -> float:
        return one(draws, key) if draws.has(key) else 1.0

    def damping(at: Array) -> Array:
        softer = draws.curve("stiffness_factor", at) if draws.has("stiffness_factor") else 1.0
        return np.asarray(draws.curve("loss_factor", at) / softer)

    return Fabric(
        0.5 * thick, (one(draws, "radial_conductivity_dry"), one(draws, "radial_conductivity_wet")),
        one(draws, "axial_conductivity"), (one(draws, "volumetric_heat_dry"), one(draws, "volumetric_heat_wet")),
        (loss, loss * wet("wet_bending_loss_ratio")), (rub, rub * wet("wet_friction_ratio")), damping,
        wet("wet_loss_ratio"), _creep(draws), lay * thick, one(draws, "partial_bend"), one(draws, "emissivity"),
        one(draws, "solar_absorptance"), one(draws, "melting_temperature"),
    )  # fmt: skip


def _creep(draws: Draws) -> Any:
    """Creep rate at tension and temperature; none for fibres that creep with the logarithm of time."""
    if not draws.has("creep_rate_constant"):
        return lambda tension, at: np.zeros_like(at)
    law = activated(draws, 1)
    density, mass = one(draws, "density"), one(draws, "mass_per_length")

    def rate(tension: float, at: Array) -> Array:
        return np.asarray(creep.creep_rate(law, section.fibre_stress(tension, density, mass), at))

    return rate


def path_of(found: Setup, draws: Draws, spray: bool = True) -> Path:
    """The fixed places of one row; without spray its stretches are in air."""
    place, number = 0.0, 0

    def medium(given: Any) -> Any:
        return given if spray or given != "spray" else "air"

    rows = [Stretch("drum", -math.inf, 0.0, medium(found.study.drum_medium), one(draws, "drum_exposure"))]
    for part in found.study.parts:
        if part.kind == "span":
            high = math.inf if part.length is None else place + part.length
            rows.append(Stretch(part.name, place, high, medium(part.medium)))
        else:
            steel = _sheave(draws, part, number, medium(part.medium))
            high = place + steel.radius * steel.wrap
            open_round = 1.0 - min(steel.half_angle / math.pi, 1.0)
            rows.append(Stretch(part.name, place, high, medium(part.medium), open_round, steel))
            number += 1
        place = high
    return Path(0.5 * one(draws, "drum_diameter"), tuple(rows))


def _sheave(draws: Draws, part: Part, number: int, medium: str) -> Sheave:
    def of(key: str) -> float:
        return one(draws, f"{number}.{key}")

    wheel, thick = of("diameter"), one(draws, "diameter")
    face = math.pi * wheel**2 / 4.0
    rim = _rim_area(wheel, thick) * _rim_film(draws, medium)
    to_air = 2.0 * face * float(film.steel_film(one(draws, "wind")))
    interface = of("conductance_sliding") if part.seized else of("conductance_passive")
    return Sheave(
        0.5 * wheel, of("wrap_angle"), min(of("half_angle"), math.pi), interface, of("generation_share"), part.seized,
        of("bearing_loss"), face * of("steel_thickness") * STEEL, to_air, rim,
    )  # fmt: skip


def _rim_area(wheel: float, thick: float) -> float:
    """Rim of a sheave that spray or sea reaches, two rope diameters wide [m2]."""
    return math.pi * wheel * RIM * thick


def _rim_film(draws: Draws, medium: str) -> float:
    """What cools the rim of a sheave besides the air [W/m2K]."""
    if medium == "air":
        return 0.0
    if medium == "spray":
        return one(draws, "spray_film")
    sea, speed = one(draws, "water_temperature"), one(draws, "water_current") if "water_current" in draws.data else 0.0
    return float(water.water_film(one(draws, "diameter"), speed, sea + 5.0, sea))


def around_of(draws: Draws) -> Around:
    """Air, spray and sea of one row; what the study does not describe is never met."""
    air = one(draws, "air")

    def given(key: str, other: float) -> float:
        return one(draws, key) if key in draws.data else other

    return Around(
        air, min(one(draws, "dew_point"), air), one(draws, "wind"), given("sun", 0.0), one(draws, "film_factor"),
        given("spray_temperature", air), given("spray_film", 0.0), given("water_temperature", air),
        given("water_current", 0.0),
    )  # fmt: skip


def pieces_of(found: Setup, draws: Draws) -> list[Piece]:
    """The programme of one row, once."""
    return [piece_of(phase, draws) for phase in found.study.phases]


def piece_of(phase: Phase, draws: Draws) -> Piece:
    """A phase in one row of draws."""
    strength = one(draws, "design_break_force")
    mean = newton(phase.tension, strength)
    swing = 0.0
    if phase.tension_amplitude is not None:
        amplitude = newton(phase.tension_amplitude, strength)
        stiff = strength * _stiffness(draws, mean / strength, amplitude / strength)
        half = amplitude**2 * (0.5 if phase.amplitude_kind == "significant" else 1.0)
        swing = half / (phase.tension_period * stiff)
    return Piece(phase.name, _motion(phase), _duration(phase), mean, swing)


def _stiffness(draws: Draws, mean: float, swing: float) -> float:
    """EA over break force for wave cycles at a mean load and an amplitude, both over break force."""
    relative = one(draws, "dynamic_stiffness")
    rows = (("stiffness_mean_slope", mean - 0.25), ("stiffness_amplitude_slope", swing))
    found = relative + sum(one(draws, key) * load for key, load in rows if draws.has(key))
    return max(found, 0.25 * relative)


def _motion(phase: Phase) -> running.Motion:
    if phase.motion == "heave":
        return running.Heave(phase.payout, phase.amplitude, phase.period)
    if phase.motion == "travel":
        return running.Travel(phase.start, phase.end, phase.speed)
    return running.Rest(phase.payout)


def scene_of(found: Setup, draws: Draws, pieces: list[Piece], cells: tuple[int, float], spray: bool = True) -> Scene:
    """Rope, path, surroundings and cells (rings, finest length [m]) of one row of draws."""
    fabric, path = fabric_of(draws), path_of(found, draws, spray)
    grid = running_grid(fabric.radius, path, pieces, found.study.length, *cells)
    return Scene(fabric, path, around_of(draws), grid)


def everywhere_sprayed(scene: Scene, film_coefficient: float) -> Scene:
    """The same scene with spray of a film wherever there was air or spray, on sheaves too, as cold as the coldest."""
    around = replace(scene.around, spray=scene.around.coldest, spray_film=film_coefficient)
    rows = []
    for part in scene.path.stretches:
        steel = part.sheave
        if steel is not None and part.medium != "water":
            rim = _rim_area(2.0 * steel.radius, 2.0 * scene.fabric.radius) * film_coefficient
            steel = replace(steel, to_spray=rim)
        rows.append(replace(part, medium="spray" if part.medium == "air" else part.medium, sheave=steel))
    return replace(scene, path=replace(scene.path, stretches=tuple(rows)), around=around)
