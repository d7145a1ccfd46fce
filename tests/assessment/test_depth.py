"""A line's temperatures in depth beside the fast model, with the same data."""

from dataclasses import replace

import numpy as np
import pytest

from linewright.assessment.central import Moved, hottest_by_hour, prepared, sensitivities
from linewright.assessment.depth import depth, heat_runs_away, hot_spot_of
from linewright.assessment.draws import column
from linewright.assessment.line import Setup
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
    assert joined.field.at.max() > joined.fast.max() + 1.0  # the fast model sees every contact alone
    assert joined.fast.shape == (2, 3)
    assert far.length == 20.0 + 40.0


def test_heat_up_goes_from_the_air_to_the_steady_field(setup, swell) -> None:
    """Lumped time constants of ropes are 10 to 21 minutes (docs/explanation/temperature.md); the steel takes hours."""
    cluster = swell.clusters[0]
    found = heat_up(hot_spot_of(setup, SWELL, cluster), 20.0 * 3600.0, swell.air)

    assert found.core[0] == pytest.approx(swell.air)
    assert found.core[-1] == pytest.approx(cluster.field.hottest[1], abs=0.3)
    assert (np.diff(found.core) > -0.05).all()
    half = found.time[np.argmax(found.core > 0.5 * (found.core[0] + found.core[-1]))]
    assert 300.0 < half < 2400.0
    assert found.closure < 1e-6


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
