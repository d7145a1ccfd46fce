"""The same questions to every mechanism of loss, with every shipped rope."""

import dataclasses
from collections.abc import Callable
from types import MappingProxyType, SimpleNamespace

import numpy as np
import pytest

from linewright.assessment import contact as contact_stage
from linewright.assessment import line as line_stage
from linewright.assessment.draws import Draws
from linewright.assessment.duty import Duty
from linewright.assessment.exposure import Exposure, Mechanism, RateTable, missing
from linewright.assessment.mechanisms.catalogue import BY_NAME, CATALOGUE
from linewright.assessment.rope import Contact
from linewright.assessment.slack import Troughs
from linewright.assessment.temperature import Temperatures
from linewright.assessment.tending import tending
from linewright.assessment.weather import Weather
from linewright.base.data import Datum
from linewright.cards import form
from linewright.cards.curves import all_curves
from linewright.cards.loader import load_shelf
from linewright.case.model import Berth, State
from linewright.physics import cycles

SHELF = load_shelf()
ROPES = sorted(SHELF.ropes)
MECHANICAL = ("creep", "bending", "tension", "abrasion", "compression")
STATES = (State("calm", 0.7, 0.0, {}), State("swell", 0.3, 0.0, {}))
BERTH = Berth("berth", "any", 10.0, 40.0, (), STATES)
CONTACT = Contact("chock", 0, turns=False, holds=False, reuse=False)

WORDS = [{"creep_law": "activated"}, {"creep_law": "log-time"}]


def data_of(rope: str) -> dict[str, Datum]:
    """The rope's data with a closed chock, a practice and a length to the drum (invented)."""
    contact = {CONTACT.key(key): datum for key, datum in SHELF.contacts["closed-chock"].data.items()}
    length = Datum("inboard_length", "length", 15.0, 15.0, 15.0, "given", "own")
    practice = SHELF.practices["moored-line-one-mark"].data
    wear = Datum("service_wear", "fraction", 0.004, 0.004, 0.004, "given", "own")  # no shipped card tells it
    return {**practice, **SHELF.rope(rope).data, **contact, "inboard_length": length, "service_wear": wear}


def duty_of(force: float, mean: float, swing: float, hours: float = 400.0) -> Duty:
    """Two states: a sine and an irregular state of the same mean and swing, shares of the break force."""
    means, swings = np.full(2, mean * force), np.full(2, swing * force)
    amplitude, weights = cycles.rayleigh_bins(0.5 * swings)
    weight = np.broadcast_to(weights, amplitude.shape).copy()
    amplitude[0], weight[0] = swings[0], 0.0
    weight[0, 0] = 1.0
    amplitude = np.minimum(amplitude, means[:, None])
    period = np.full(2, 14.0 if swing > 0.0 else 1e9)
    centre = np.broadcast_to(means[:, None], amplitude.shape)
    return Duty(
        STATES, (BERTH, BERTH), means, swings, np.array([True, False]), period, centre, amplitude, weight,
        Troughs.of_bins(centre, amplitude, weight),
        np.full(2, hours), np.full(2, 20.0), means + swings, np.zeros(2), np.zeros(2), np.full(2, 293.15),
    )  # fmt: skip


def exposed(rope: str, mean: float = 0.3, swing: float = 0.1, celsius: float = 35.0, hours: float = 400.0):
    """Exposure of a rope at one temperature everywhere, and its central draws."""
    data = MappingProxyType(data_of(rope))
    draws = Draws(data, {}, 1)
    duty = duty_of(data["design_break_force"].value, mean, swing, hours)
    load = contact_stage.contact_load(draws, duty, CONTACT, contact_stage.axial_stiffness(draws, duty))
    even = np.full((1, 2, 3, 4), celsius + 273.15)
    flat = np.full((2, 3), 0.0)
    temperatures = Temperatures(
        flat + 300.0, even, even, even[..., :1], np.zeros((1, 2, 3)), np.full((1, 2), 0.1), False
    )
    weight = np.array([[0.0, 0.4, 0.6], [0.0, 0.4, 0.6]])
    weather = Weather(flat + 300.0, flat + 295.0, flat + 5.0, flat + 290.0, flat, flat, flat + 200.0, flat, weight)
    return Exposure(duty, weather, (load,), temperatures, SHELF.rope(rope).words), draws


def table_of(mechanism: Mechanism, rope: str, **given: float) -> RateTable:
    exposure, draws = exposed(rope, **given)
    absent = missing(mechanism, exposure.words, draws.data)
    if absent:
        pytest.skip(f"{rope} has no {', '.join(absent)}")
    return mechanism.rate(exposure, draws)


def whole(table: RateTable) -> np.ndarray:
    return np.broadcast_to(table.at_new, (1, 2, *np.broadcast_shapes(table.at_new.shape, (1, 2, 1, 1))[2:]))


battery: Callable = pytest.mark.parametrize("mechanism", CATALOGUE, ids=lambda one: one.name)
ropes: Callable = pytest.mark.parametrize("rope", ROPES)


def test_catalogue_when_looked_up_by_name_is_whole() -> None:
    assert list(BY_NAME.values()) == list(CATALOGUE)
    assert len(BY_NAME) == len(CATALOGUE)


@battery
@ropes
def test_mechanism_when_duty_is_usual_answers_finite_losses(mechanism: Mechanism, rope: str) -> None:
    table = table_of(mechanism, rope)
    assert np.all(np.isfinite(table.at_new))
    assert np.all(table.at_new >= 0.0)
    assert table.at_new.max() > 0.0 or mechanism.name in ("compression", "abrasion")
    if table.unit is not None:
        assert np.all(table.unit > 0.0)
    if table.growth is not None:
        assert np.all(np.isfinite(table.growth))


@battery
@ropes
def test_mechanism_when_there_is_no_load_loses_nothing_mechanical(mechanism: Mechanism, rope: str) -> None:
    # A slack rope that does not move: no creep, slip, bend, cycle or rub. 1e-12 an hour is 1e-7 in 10 years. Stress
    # rupture is a straight line of load against log time, which ends at a very long but finite time without load:
    # 60 s 10^(1/slope), 1e-4 in 10 years at the steepest slope.
    table = table_of(mechanism, rope, mean=0.0, swing=0.0)
    assert np.all(np.isfinite(table.at_new))
    if mechanism.name in MECHANICAL:
        is_rupture = mechanism.name == "creep" and SHELF.rope(rope).words["creep_law"] == "log-time"
        assert table.at_new.max() < (1e-9 if is_rupture else 1e-12)


@battery
@ropes
def test_mechanism_when_everything_is_nil_but_the_load_stays_finite(mechanism: Mechanism, rope: str) -> None:
    # A steady load without any cycle.
    table = table_of(mechanism, rope, swing=0.0)
    assert np.all(np.isfinite(table.at_new))
    if mechanism.name in ("bending", "tension", "abrasion", "compression"):
        assert table.at_new.max() < 1e-12


@battery
@ropes
def test_mechanism_when_hotter_is_never_better(mechanism: Mechanism, rope: str) -> None:
    # Creep, bending fatigue and ageing are thermally activated; the others do not depend on temperature by their laws.
    cool, warm = (whole(table_of(mechanism, rope, celsius=celsius)) for celsius in (30.0, 45.0))
    assert np.all(warm >= cool * (1.0 - 1e-12))
    if mechanism.name in ("bending", "ageing") or (
        mechanism.name == "creep" and SHELF.rope(rope).words["creep_law"] == "activated"
    ):
        assert warm.sum() > cool.sum()


@battery
@ropes
@pytest.mark.parametrize("swing", [0.02, 0.1, 0.2])
def test_mechanism_when_the_amplitude_is_larger_is_never_better(mechanism: Mechanism, rope: str, swing: float) -> None:
    # More swing about the same mean: more range, slip, stroke and creep crests, lower troughs.
    small, large = (whole(table_of(mechanism, rope, swing=size)) for size in (swing, 1.2 * swing))
    assert np.all(large >= small * (1.0 - 1e-9))


@battery
@ropes
def test_mechanism_when_the_mean_is_heavier_is_never_better_but_for_slack(mechanism: Mechanism, rope: str) -> None:
    # Axial compression alone gains from tension; slip over a contact falls when the trough rises with the mean.
    if mechanism.name in ("compression", "abrasion", "bending"):
        pytest.skip("a heavier mean at the same swing slips less and is never slack")
    light, heavy = (whole(table_of(mechanism, rope, mean=mean)) for mean in (0.25, 0.35))
    assert np.all(heavy >= light * (1.0 - 1e-9))


@battery
@ropes
def test_mechanism_when_hours_are_halved_loses_half_a_year(mechanism: Mechanism, rope: str) -> None:
    # Rates are per hour alongside.
    losses = []
    for hours in (400.0, 200.0):
        exposure, draws = exposed(rope, hours=hours)
        if missing(mechanism, exposure.words, draws.data):
            pytest.skip("no data")
        presence = tending(draws, exposure.duty, exposure.loads, exposure.temperatures.decay)
        setup = SimpleNamespace(weather=exposure.weather, duty=exposure.duty)
        losses.append(line_stage.by_state(setup, mechanism.rate(exposure, draws), presence))
    np.testing.assert_allclose(losses[1], 0.5 * losses[0], rtol=1e-12)


@battery
@pytest.mark.parametrize("words", WORDS, ids=lambda one: one["creep_law"])
def test_needs_when_listed_are_keys_of_the_card_forms(mechanism: Mechanism, words: dict[str, str]) -> None:
    # A key that no card can hold would leave the mechanism unassessed for ever.
    known = set(form.RopeData.model_fields) | set(form.ContactData.model_fields) | set(form.PracticeData.model_fields)
    assert set(mechanism.needs(words)) <= known
    assert mechanism.needs(words)


@battery
@ropes
def test_missing_when_a_needed_key_is_taken_away_names_it(mechanism: Mechanism, rope: str) -> None:
    words, data = SHELF.rope(rope).words, data_of(rope)
    absent = set(missing(mechanism, words, data))
    for key in mechanism.needs(words):
        fewer = {name: datum for name, datum in data.items() if name != key}
        assert set(missing(mechanism, words, fewer)) == absent | {key}


@battery
@ropes
def test_mechanism_when_it_answers_asks_only_for_what_it_needs(mechanism: Mechanism, rope: str) -> None:
    # A rate may use no law's constant that `needs` does not list: else a card without it would break the run. The
    # rope's own size and the contact are always there.
    exposure, draws = exposed(rope)
    if missing(mechanism, exposure.words, draws.data):
        pytest.skip("no data")
    asked = dataclasses.replace(draws, asked=set())
    mechanism.rate(exposure, asked)
    sizes = {"design_break_force", "diameter", "mass_per_length", "density"}
    optional = {"creep_anchor_temperature", "creep_anchor_stress", "tension_design_factor", "uv_cover",
                "endurance_scatter"}  # fmt: skip
    given = sizes | optional | {key for key in draws.data if key[:2] == "0."}
    assert asked.asked <= set(mechanism.needs(exposure.words)) | given


def test_tension_when_referred_to_the_strength_left_carries_its_exponent() -> None:
    # The range over the strength left: R^m grows as strength^-m.
    table = table_of(BY_NAME["tension"], "hmpe-standard-12-strand")
    exponent = data_of("hmpe-standard-12-strand")["tension_fatigue_exponent"].value
    np.testing.assert_allclose(table.strength_power, exponent)


@pytest.mark.parametrize("rope", ["hmpe-standard-12-strand", "polyester-8-strand"])
def test_tension_when_the_state_is_constant_is_the_curve(rope: str) -> None:
    # By hand: per hour 3600/14 cycles of range 0.2 LDBF, N = K/0.2^m, times the design factor, -ln f1 per unit damage.
    data = data_of(rope)
    value = lambda key: data[key].value  # noqa: E731 - shorthand
    per_hour = 3600.0 / 14.0 * 0.2 ** value("tension_fatigue_exponent") / value("tension_fatigue_constant")
    factor = value("tension_design_factor") if "tension_design_factor" in data else 1.0
    expected = per_hour * factor * -np.log(value("tension_unit_strength"))
    assert whole(table_of(BY_NAME["tension"], rope))[0, 0, 0, 0] == pytest.approx(expected, rel=1e-9)


def test_tension_when_the_curve_is_of_wire_falls_with_the_mean_load() -> None:
    # By hand: K = 10^(3.20 - 2.79 Lm), m 4.09: at Lm 0.3 K = 230.7, per hour 3600/14 cycles of range 0.2: the damage is
    # 257.1 x 0.2^4.09/230.7 = 1.543e-3, 0.2^4.09 = 1.384e-3. From Lm 0.2 to 0.3 it grows by 10^0.279 = 1.901.
    rope, found = "polyester-8-strand", []
    for mean in (0.2, 0.3):
        exposure, draws = exposed(rope, mean=mean)
        draws = dataclasses.replace(draws, data=all_curves()["wire-six-strand"].over(draws.data))
        table = BY_NAME["tension"].rate(exposure, draws)
        found.append((whole(table) / table.unit)[0, 0, 0, 0])
    assert found[1] == pytest.approx(1.543e-3, rel=1e-3)
    assert found[1] / found[0] == pytest.approx(10.0**0.279, rel=1e-9)


def test_compression_when_the_trough_is_slack_counts_the_cycles() -> None:
    # By hand: a sine of 10 % about 10 % touches zero each cycle: 3600/14 an hour over the limit, times the weight.
    rope = "hmpe-standard-12-strand"
    data = data_of(rope)
    value = lambda key: data[key].value  # noqa: E731 - shorthand
    expected = 3600.0 / 14.0 * value("compression_weight") / value("compression_cycles")
    expected *= -np.log(value("compression_unit_strength"))
    table = table_of(BY_NAME["compression"], rope, mean=0.1, swing=0.1)
    assert whole(table)[0, 0, 0, 0] == pytest.approx(expected, rel=1e-9)


def test_bending_when_it_acts_is_at_the_tangents_only() -> None:
    found = whole(table_of(BY_NAME["bending"], "hmpe-standard-12-strand"))[0]
    assert np.all(found[..., (0, 2)] > 0.0)
    assert np.all(found[..., (1, 3)] == 0.0)
