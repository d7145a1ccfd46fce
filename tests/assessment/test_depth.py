"""A line's temperatures in depth beside the fast model, with the same data."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import special

from linewright.assessment import contact as contact_stage
from linewright.assessment import temperature as stage
from linewright.assessment.central import Moved, hottest_by_hour, prepared, sensitivities
from linewright.assessment.depth import depth, heat_runs_away, hot_spot_of
from linewright.assessment.draws import Draws, column
from linewright.assessment.judge import findings_of
from linewright.assessment.line import Setup
from linewright.assessment.whole import assess_case
from linewright.base.data import Curve
from linewright.base.errors import InputError
from linewright.physics.field import Runaway
from linewright.physics.hot_spot import heat_up

SWELL = 1
CHOCK = """[[line.contact]]
card = "closed-chock"
bend_radius = "0.2 m"
wrap = "60 deg"
"""


@pytest.fixture(scope="module")
def setup(case, shelf) -> Setup:
    """The rope on board of the small case."""
    return prepared(case, shelf)[0].setup


@pytest.fixture(scope="module")
def swell(setup):
    """Its swell state in depth."""
    return depth(setup, SWELL)


def test_field_and_fast_model_stand_on_the_same_data(setup, swell) -> None:
    """Rises differ by no more than the misfit of the fast model at a contact, some hundredths of the contact's part."""
    (cluster,) = swell.clusters
    part = cluster.field.hottest[1] - swell.free_core

    assert part > 2.0
    assert cluster.field.at == pytest.approx(cluster.fast, abs=0.08 * part)
    assert setup.duty.states[swell.state].name == "swell"


def test_parts_of_the_rise_add_up(swell) -> None:
    (cluster,) = swell.clusters

    assert sum(cluster.field.rises.values()) == pytest.approx(cluster.field.hottest[1] - swell.air, abs=1e-6)
    assert sum(swell.free_rises.values()) == pytest.approx(swell.free_core - swell.air, abs=1e-6)
    assert {"sun", "sky", "bending", "friction", "hysteresis"} <= set(cluster.field.rises)
    assert "surface" not in cluster.field.rises
    assert cluster.field.balance.closure < 1e-6


def test_thermogram_goes_from_drum_to_the_end_of_the_rope(swell) -> None:
    metre, core, mean, skin = swell.thermogram()
    chock = swell.clusters[0].places[0].middle

    assert (metre[0], metre[-1]) == (0.0, 15.0 + 40.0)
    assert (np.diff(metre) > 0.0).all()
    assert core.max() == pytest.approx(swell.hottest[1])
    assert abs(metre[np.argmax(core)] - chock) < 0.2
    for line, free in ((core, swell.free_core), (skin, swell.free_skin)):
        assert line[[0, -1]] == pytest.approx(free, abs=1e-9)
    assert np.interp(chock - 0.4, metre, mean) == pytest.approx(np.interp(chock + 0.4, metre, mean), abs=0.02)


def test_contacts_on_one_spot_are_set_apart_and_near_ones_are_solved_together(make_case, shelf) -> None:
    def of(second: str):
        return depth(prepared(make_case((CHOCK, CHOCK + CHOCK + second)), shelf)[0].setup, SWELL)

    untold, near, far = of(""), of('inboard_length = "15.5 m"\n'), of('inboard_length = "20 m"\n')

    assert [place.is_told for one in untold.clusters for place in one.places] == [True, False]
    assert [len(one.places) for one in near.clusters] == [2]
    assert [len(one.places) for one in far.clusters] == [1, 1]
    (joined,) = near.clusters
    assert joined.fast.shape == (2, 3)
    assert far.length == 20.0 + 40.0


@pytest.mark.parametrize("metre", [15.3, 15.4, 15.6, 16.2])
@pytest.mark.parametrize(
    "second",
    [CHOCK, CHOCK.replace("60 deg", "20 deg"), CHOCK.replace("closed-chock", "roller")],
    ids=["alike", "20 deg", "roller"],
)
def test_fast_model_adds_what_a_neighbour_adds(make_case, shelf, metre: float, second: str) -> None:
    """All three places of both contacts within 10 % of the field's rise above the free span; the order of the
    places tells which tangent looks at the neighbour. Gaps 0.1 to 1 m, 0.6 to 6 decay lengths."""
    case = make_case((CHOCK, CHOCK + second + f'inboard_length = "{metre} m"\n'))
    found = depth(prepared(case, shelf)[0].setup, SWELL)
    (cluster,) = found.clusters

    assert cluster.fast - found.free_fast == pytest.approx(cluster.field.at - found.free_core, rel=0.1, abs=0.1)


def test_contacts_on_one_spot_are_said_to_be_taken_alone_and_near_ones_are_not(make_case, shelf) -> None:
    def close(second: str) -> list[str]:
        case = make_case((CHOCK, CHOCK + CHOCK + second))
        found = findings_of(assess_case(case, shelf).ropes[0].lines[0])
        return [item.text for item in found if item.code == "contacts-close"]

    assert close('inboard_length = "15.5 m"\n') == []
    (text,) = close("")
    assert "stand on one spot" in text
    assert "inboard_length" in text


def test_contact_named_first_though_it_lies_further_out_is_warmed_on_its_own_side(make_case, shelf) -> None:
    """The order of the case's list plays no part."""
    other = CHOCK.replace("60 deg", "20 deg")
    one, two = (
        depth(prepared(make_case((CHOCK, text)), shelf)[0].setup, SWELL).clusters[0].fast
        for text in (CHOCK + other + 'inboard_length = "15.5 m"\n', other + 'inboard_length = "15.5 m"\n' + CHOCK)
    )
    np.testing.assert_allclose(one, two, atol=0.05)


def test_skin_of_the_fast_model_is_the_hottest_of_patch_and_bare_rope(make_case, shelf) -> None:
    """A roller that turns: no friction, bending heat on bare rope beside steel that cools the patch. The field's
    hottest skin is beside the tangent; waves round the rope, which the fast model leaves out, make it warmer still."""
    setup = prepared(
        make_case(('card = "closed-chock"', 'card = "roller"'), ('period = "14 s"', 'period = "6 s"')), shelf
    )[0].setup
    found = depth(setup, SWELL)
    (cluster,) = found.clusters
    draws = Draws(setup.subject.data, {}, 1)
    stiffness = contact_stage.axial_stiffness(draws, setup.duty)
    loads = [contact_stage.contact_load(draws, setup.duty, item, stiffness) for item in setup.subject.contacts]
    skin = stage.temperatures(draws, setup.duty, loads, setup.around, stiffness).skin[0, SWELL, 0]
    exact = float(cluster.field.skin.max()) - found.free_skin

    assert exact > 3.0
    assert cluster.field.hottest_face[0] < cluster.field.skin.max()
    assert 0.7 * exact < skin[0] - skin[-1] < 1.05 * exact
    assert skin[0] - skin[-1] > 1.03 * (float(cluster.field.face[0]) - found.free_skin)  # what the patch alone says


def test_heat_up_goes_from_the_air_to_the_steady_field(setup, swell) -> None:
    """Lumped time constants of ropes are 10 to 21 minutes (docs/explanation/temperature.md)."""
    cluster = swell.clusters[0]
    found = heat_up(hot_spot_of(setup, SWELL, cluster), 20.0 * 3600.0, swell.air)

    assert found.core[0] == pytest.approx(swell.air)
    assert found.core[-1] == pytest.approx(cluster.field.hottest[1], abs=0.3)
    assert (np.diff(found.core) > -0.05).all()
    half = found.time[np.argmax(found.core > 0.5 * (found.core[0] + found.core[-1]))]
    assert 300.0 < half < 2400.0
    assert found.closure < 1e-6


@pytest.mark.parametrize("card", ["closed-chock", "sheave"])
def test_steel_that_takes_part_warms_as_a_half_space_behind_its_resistance(setup, shelf, card: str) -> None:
    """A sphere of radius r0 = 1/(2 pi k R_s) in a body of steel stands for the half space behind a patch: under a
    constant heat flow it has warmed by 1 - exp(x) erfc(sqrt x) of its last rise at the time t, x = a t/r0^2 (Carslaw
    and Jaeger, 1959, section 9.10). A lump C does so by 1 - exp(-t/(R_s C)).

    By hand, k 50, rho c 7850 x 480, R_s 0.15: r0 21 mm, a 1.33e-5 m2/s; at 1000 s x 29.5, exp(x) erfc(sqrt x) = 0.102,
    C = 1000/(0.15 x 2.28) = 2.9 kJ/K; 2.0 at 10 min, 8.3 at 1 h: the card's band holds these.
    """
    data = shelf.contacts[card].data
    steel, resistance = data["steel_capacity"], data["spreading_resistance"].value

    def lump(seconds: float) -> float:
        x = (2.0 * np.pi * 50.0 * resistance) ** 2 * 50.0 / (7850.0 * 480.0) * seconds
        return float(-seconds / (resistance * np.log(special.erfcx(np.sqrt(x)))))

    assert steel.value == pytest.approx(lump(1000.0), rel=0.1)
    assert steel.low < lump(600.0) < lump(3600.0) < steel.high
    assert steel.basis == "estimate"


def test_steel_of_the_card_stands_behind_the_field(setup, swell) -> None:
    """Not 5e4 J/K, behind which a contact took hours to warm."""
    cluster = swell.clusters[0]
    (touch,) = hot_spot_of(setup, SWELL, cluster).touches
    found = heat_up(hot_spot_of(setup, SWELL, cluster), 6.0 * 3600.0, swell.air)
    last = float(found.steel[-1])

    assert touch.contact.steel.capacity == setup.subject.data["0.steel_capacity"].value
    reached = found.time[np.argmax(found.steel > found.steel[0] + 0.9 * (last - found.steel[0]))]
    assert reached < 5400.0


def with_loss(setup: Setup, values: np.ndarray) -> Setup:
    """The setup with another loss factor over 250 to 1000 K."""
    points = np.linspace(250.0, 1000.0, values.size)
    curve = Curve("temperature", tuple(points), tuple(values), tuple(values), tuple(values))
    data = {**setup.subject.data, "loss_factor": replace(setup.subject.data["loss_factor"], curve=curve)}
    for key in ("stiffness_factor", "creep_rate_constant"):
        data.pop(key, None)
    return replace(setup, subject=replace(setup.subject, data=data))


def test_more_heat_than_can_leave_is_told_from_heat_that_runs_away(setup) -> None:
    """A loss factor that doubles every 5 K runs away; one that is 40 times as large at any temperature does not."""
    kelvin = np.linspace(250.0, 1000.0, 300)
    steep = 0.045 * 2.0 ** ((kelvin - 293.15) / 5.0)
    for changed, away in ((with_loss(setup, steep), True), (with_loss(setup, np.full(300, 40.0)), False)):
        with pytest.raises(Runaway):
            depth(changed, SWELL)
        assert heat_runs_away(changed, SWELL) is away


def melting_at(setup: Setup, kelvin: float) -> Setup:
    """The setup with another melting temperature."""
    datum = replace(setup.subject.data["melting_temperature"], value=kelvin, low=kelvin, high=kelvin)
    return replace(setup, subject=replace(setup.subject, data={**setup.subject.data, "melting_temperature": datum}))


def test_stable_field_just_above_the_melting_range_is_too_hot_and_no_runaway(setup) -> None:
    """Loss L exp(b (T - T0)). By hand for one node, r = rise of constant heat L: a field exists where r b e <= 1."""
    growth, kelvin = 0.02, np.linspace(250.0, 1000.0, 300)
    bare, one = (depth(with_loss(setup, np.full(300, level)), SWELL).hottest[1] for level in (1e-6, 1.0))
    critical = 1.0 / ((one - bare) * growth * np.e)

    def fed(part: float) -> Setup:
        return with_loss(setup, part * critical * np.exp(growth * (kelvin - bare)))

    settles = fed(0.8)
    field = depth(melting_at(settles, 900.0), SWELL).hottest[1]
    assert bare < field < bare + 1.0 / growth
    grows = melting_at(fed(1.5), bare + 0.9 / growth)  # its heat alone, without growth: 1.5/(b e) = 0.55/b up
    for changed, away in ((melting_at(settles, field - 2.0), False), (grows, True)):
        with pytest.raises(Runaway):
            depth(changed, SWELL)
        assert heat_runs_away(changed, SWELL) is away


def test_sensitivity_is_the_core_with_the_datum_there(setup) -> None:
    first, *_ = moved = sensitivities(setup, SWELL)
    datum = setup.subject.data[first.key]

    def with_value(value: float) -> Setup:
        data = {**setup.subject.data, first.key: replace(datum, value=value, low=value, high=value)}
        return replace(setup, subject=replace(setup.subject, data=data))

    assert datum.curve is None
    assert [one.width for one in moved] == sorted((one.width for one in moved), reverse=True)
    for value, told in ((datum.low, first.low), (datum.high, first.high)):
        again = depth(with_value(value), SWELL).clusters[0].fast.max()
        assert again == pytest.approx(told, abs=0.02)


def test_sensitivities_move_one_contact_at_a_time_though_draws_move_both(make_case, shelf) -> None:
    """Two chocks of one card far apart: what is the colder one's own leaves the hottest core where it is."""
    second = CHOCK.replace("60 deg", "30 deg") + 'inboard_length = "20 m"\n'
    both = prepared(make_case((CHOCK, CHOCK + second)), shelf)[0].setup
    data = both.subject.data
    assert column(data["0.friction_ratio"]) == column(data["1.friction_ratio"])

    moved = {one.key: one for one in sensitivities(both, SWELL)}
    assert len(moved) == len(sensitivities(both, SWELL))
    for key in ("0.friction_ratio", "1.friction_ratio", "bending_loss"):
        for end, told in (("low", "low"), ("high", "high")):
            value = getattr(data[key], end)
            changed = {**data, key: replace(data[key], value=value, low=value, high=value)}
            again = depth(replace(both, subject=replace(both.subject, data=changed)), SWELL)
            fast = max([again.free_fast, *(float(one.fast.max()) for one in again.clusters)])
            assert (key in moved and getattr(moved[key], told) == pytest.approx(fast, abs=0.02)) or (
                key not in moved and fast == pytest.approx(moved["bending_loss"].central, abs=0.05)
            )


def test_datum_that_moves_the_core_the_same_way_at_both_ends_is_told() -> None:
    assert Moved("wrap_angle", 41.9, 41.5, 40.7).width == pytest.approx(1.2)


def test_decay_of_each_contact_is_its_own(make_case, shelf) -> None:
    """A mirrored pair: by symmetry the outer sides decay alike; a pair with a colder neighbour does not."""

    def decays(second: str) -> tuple[tuple[float, ...], ...]:
        case = make_case((CHOCK, CHOCK + second + 'inboard_length = "15.9 m"\n'))
        (cluster,) = depth(prepared(case, shelf)[0].setup, SWELL).clusters
        assert cluster.field.decay == pytest.approx(cluster.decays[-1], rel=0.02)
        return cluster.decays

    alike, other = decays(CHOCK), decays(CHOCK.replace("60 deg", "20 deg"))
    assert alike[0] == pytest.approx(alike[1], rel=0.03)
    assert abs(other[0][2] - other[1][2]) > 0.005  # skin


def test_core_of_every_hour_holds_that_of_the_hot_hour(case, shelf) -> None:
    item = prepared(case, shelf)[0]
    hours, weight = hottest_by_hour(item)[SWELL], item.hours.weight[SWELL]
    hot = depth(item.setup, SWELL).clusters[0].fast.max()

    assert np.sum(weight[hours > hot + 0.3]) <= 0.05 <= np.sum(weight[hours > hot - 0.3])


def test_contacts_stand_in_order_of_their_metres(make_case, shelf) -> None:
    """The case may name the outer contact first."""
    second = CHOCK + 'inboard_length = "5 m"\n'
    found = depth(prepared(make_case((CHOCK, CHOCK + second)), shelf)[0].setup, SWELL)
    places = [place for one in found.clusters for place in one.places]

    assert [place.middle for place in places] == [5.0, 15.0]
    assert [place.fitting.index for place in places] == [1, 0]
    assert all(place.is_told for place in places)


def test_contact_longer_than_the_line_is_refused(make_case, shelf) -> None:
    with pytest.raises(InputError, match="longer than the line"):
        prepared(make_case(('bend_radius = "0.2 m"\nwrap = "60 deg"', 'bend_radius = "3 m"\nwrap = "360 deg"'),
                           ('outboard_length = "40 m"', 'outboard_length = "3 m"')), shelf)  # fmt: skip


def test_fast_model_follows_heat_that_grows_with_temperature(make_case, shelf) -> None:
    """A period of 3 s warms the contact to 80 C, where loss factor over stiffness is twice that of 20 C."""
    setup = prepared(make_case(('period = "14 s"', 'period = "3 s"')), shelf)[0].setup
    found = depth(setup, SWELL)
    (cluster,) = found.clusters
    part = cluster.field.hottest[1] - found.free_core

    assert cluster.field.hottest[1] > 350.0
    assert cluster.field.at == pytest.approx(cluster.fast, abs=0.08 * part)
