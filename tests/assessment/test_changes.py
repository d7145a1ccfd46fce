"""Changes of a study one at a time: what they change, what they leave, and which way they must work."""

from dataclasses import replace

import numpy as np
import pytest

from linewright.assessment.changes import Change, calls, changes, inboard, larger, payout, tails, warmer
from linewright.assessment.compare import compare
from linewright.assessment.given import Given
from linewright.assessment.levers import less_pull, shaded, smoother, wider
from linewright.assessment.record import Counted, Troughs
from linewright.assessment.same_motion import same_motion
from linewright.assessment.whole import Gathered, Whole, assess_case, plans_of
from linewright.base.errors import InputError
from linewright.base.units import Load
from linewright.case.model import Case

SECOND = """
[[berth]]
name = "cool berth"
climate = "temperate-monthly"
calls_per_year = 20
hours_per_call = "30 h"
[[berth.state]]
name = "surge"
share = "100 %"
tension.springs = { mean = "20 %LDBF", amplitude = "7 %LDBF", amplitude_kind = "significant", period = "20 s" }
[[compare]]
rope = "hmpe-very-low-creep-12-strand"
"""


@pytest.fixture(scope="module")
def given(make_case, shelf) -> Given:
    """Two berths, a line with a tail over a chock; nothing to compare."""
    found = make_case(('[[compare]]\nrope = "hmpe-very-low-creep-12-strand"\n', SECOND))
    return Given(replace(found, compared=()), shelf, Gathered())


def assess(given: Given, scores=None) -> Whole:
    return assess_case(given.case, given.shelf, None, given.files, scores)


@pytest.fixture(scope="module")
def base(given) -> Whole:
    return assess(given)


def ages(given: Given, base: Whole):
    return assess(given, base.scores).ropes[0].ages


def test_nothing_when_changed_gives_a_ratio_of_exactly_one(given, base) -> None:
    again = assess(Change("nothing", "nothing", lambda item: item).apply(given), base.scores)
    assert compare(base, base.ropes[0], again.ropes[0]).ratio == (1.0, 1.0, 1.0)


@pytest.mark.parametrize(
    "change",
    [
        lambda item: calls(item, "hot berth", 1.0),
        lambda item: warmer(item, 0.0),
        lambda item: payout(item, 1.0),
        lambda item: tails(item, 1.0),
        lambda item: inboard(item, 1.0),
        lambda item: larger(item, 0.0),
        lambda item: less_pull(item, 1.0),
        lambda item: wider(item, 1.0),
        lambda item: smoother(item, 1.0),
        lambda item: shaded(item, 1.0),
    ],
)
def test_change_when_it_is_of_nothing_leaves_every_draw(given, base, change) -> None:
    # 1e-6: a swing goes to a motion and back by bisection, and steps of the life fall elsewhere by rounding
    assert ages(change(given), base) == pytest.approx(base.ropes[0].ages, rel=1e-6)


def test_climate_when_warmer_never_lengthens_the_life_of_hmpe(given, base) -> None:
    # creep, bending and ageing all follow Arrhenius' law with a positive energy, and the strength falls with heat
    before = base.ropes[0].ages
    for rise in (1.0, 2.0, 4.0):
        after = ages(warmer(given, rise), base)
        assert (after <= before * (1.0 + 1e-9)).all()
        before = after
    lives = base.ropes[0].ages > 0.0
    assert np.median(before[lives] / base.ropes[0].ages[lives]) < 0.95


@pytest.mark.parametrize("berth", ["hot berth", "cool berth"])
def test_berth_when_left_out_never_shortens_and_twice_as_often_never_lengthens(given, base, berth) -> None:
    before = base.ropes[0].ages
    assert (ages(calls(given, berth, 0.0), base) >= before * (1.0 - 1e-9)).all()
    assert (ages(calls(given, berth, 2.0), base) <= before * (1.0 + 1e-9)).all()


def test_berths_when_all_are_called_twice_as_often_halve_a_life_of_creep(given) -> None:
    # By hand: creep goes with the hours under load, so twice the hours use it up in half the years.
    creep = given.with_case(replace(given.case, mechanisms=("creep",)))
    base = assess(creep)
    twice = calls(calls(creep, "hot berth", 2.0), "cool berth", 2.0)
    after, before = ages(twice, base), base.ropes[0].ages
    inside = before < 30.0
    assert inside.any()
    # the end is linear inside a step of 1 % strength, and a step that the horizon cuts ends elsewhere in it: 5e-4
    assert after[inside] == pytest.approx(0.5 * before[inside], rel=5e-4)


def test_berth_when_it_does_not_fit_twice_into_a_year_is_refused(given) -> None:
    with pytest.raises(InputError, match="do not fit into a year"):
        calls(given, "hot berth", 30.0)


def swing_of(given: Given):
    duty = plans_of(given.case, given.shelf, given.files)[0].duties[0]
    return duty.mean, duty.swing, duty.highest


def compliance(given: Given, mean: float, swing: float) -> float:
    """Stretch per newton of rope and tail in series, L/EA each, with the cards' stiffness [m/N]."""
    line = given.case.lines[0]
    total = 0.0
    for part, length in ((given.main(line), line.inboard_length.value + line.outboard_length),
                         (given.tail(line), line.tail.length if line.tail else 0.0)):  # fmt: skip
        if part is not None:
            value = {key: part.data[key].value for key in part.data}
            force = value["design_break_force"]
            stiff = (
                value["dynamic_stiffness"]
                + value.get("stiffness_mean_slope", 0.0) * (mean / force - 0.25)
                + value.get("stiffness_amplitude_slope", 0.0) * swing / force
            )
            total += length / (force * max(stiff, 0.25 * value["dynamic_stiffness"]))
    return total


@pytest.mark.parametrize(
    "change",
    [
        lambda item: tails(item, 0.0),
        lambda item: tails(item, 0.5),
        lambda item: tails(item, 2.0),
        lambda item: inboard(item, 0.5),
        lambda item: larger(item, 0.002),
    ],
)
def test_line_when_changed_stretches_by_the_same_motion_under_the_same_mean(given, change) -> None:
    # By hand: motion = swing x sum of L/EA, before and after; the mean in kN is what the ship needs.
    before, after = swing_of(given), swing_of(change(given))
    assert after[0] == pytest.approx(before[0], rel=1e-9)
    for mean, old, new in zip(before[0], before[1], after[1], strict=True):
        motion = old * compliance(given, mean, old)
        assert new * compliance(change(given), mean, new) == pytest.approx(motion, rel=1e-6)


def test_tails_when_left_out_make_every_swing_larger(given) -> None:
    assert (swing_of(tails(given, 0.0))[1] > swing_of(given)[1]).all()
    assert (swing_of(tails(given, 2.0))[1] < swing_of(given)[1]).all()


def test_rope_when_larger_has_strength_and_mass_by_the_square(given) -> None:
    # By hand: 44 to 46 mm is (46/44)^2 = 1.093: 1380 kN become 1508 kN, 0.98 kg/m become 1.071 kg/m.
    line = larger(given, 0.002).case.lines[0]
    values = {key: line.rope_data[key].value for key in ("diameter", "design_break_force", "mass_per_length")}
    assert values["diameter"] == pytest.approx(0.046)
    assert values["design_break_force"] == pytest.approx(1508.3e3, rel=1e-4)
    assert values["mass_per_length"] == pytest.approx(1.0711, rel=1e-4)


def test_payout_when_doubled_doubles_the_practice_and_what_a_state_says(make_case, shelf) -> None:
    found = make_case(
        ('name = "calm"', 'name = "calm"\npayout_spread = { value = "1 m", low = "0.5 m", high = "2 m" }')
    )
    given = Given(found, shelf, Gathered())
    after = payout(given, 2.0)
    own = after.case.berths[0].states[0].payout_spread
    assert (own.low, own.value, own.high) == (1.0, 2.0, 4.0)
    name = found.lines[0].practice
    before, wide = (item.shelf.practices[name].data["payout_spread"] for item in (given, after))
    assert wide.high == pytest.approx(2.0 * before.high)
    assert (wide.basis, wide.source, wide.key) == (before.basis, before.source, before.key)


def test_climate_when_warmer_moves_cards_and_hours_but_not_the_given_ones(given) -> None:
    after = warmer(given, 3.0)
    for name, climate in given.shelf.climates.items():
        for old, new in zip(climate.months, after.shelf.climates[name].months, strict=True):
            assert (new.air_low - old.air_low, new.air_high - old.air_high) == pytest.approx((3.0, 3.0))
            assert 0.0 < new.dew_point - old.dew_point < 4.5
            assert (new.wind, new.cloud) == (old.wind, old.cloud)


def logged(given: Given, log: str = "surge.csv") -> Given:
    """The cool berth with a record of 200 kN mean and 20 kN deviation (invented)."""
    bins = (np.full(64, 200e3), np.full(64, 25e3), np.full(64, 1.0 / 64))
    counted = Counted(
        200e3, 20e3, 280e3, 20.0, 100.0, 3600.0, 0.0, 120e3, *bins, Troughs.of_bins(*bins).padded(), False
    )
    hot, cool = given.case.berths
    tension = replace(cool.states[0].tension["springs"], log=log, mean=Load(0.0, "N"), amplitude=None)
    cool = replace(cool, states=(replace(cool.states[0], tension={"springs": tension}),))
    return replace(given, case=replace(given.case, berths=(hot, cool)), files=Gathered(records={log: counted}))


def test_record_when_the_line_changes_swings_by_the_ratio_about_its_mean(given) -> None:
    before = logged(given)
    after = tails(before, 0.0)
    one, two = before.files.records["surge.csv"], after.files.records["surge.csv"]
    factor = swing_of(after)[1][-1] / swing_of(before)[1][-1]
    assert factor > 1.0
    assert two.mean == one.mean
    assert two.deviation == pytest.approx(one.deviation * factor)
    assert two.highest - two.mean == pytest.approx((one.highest - one.mean) * factor)


def test_record_when_two_groups_share_it_and_change_differently_is_refused(given) -> None:
    shared = logged(given)
    first = shared.case.lines[0]
    second = replace(first, name="breasts", tail=None)
    berths = tuple(
        replace(berth, states=tuple(
            replace(state, tension={**state.tension, "breasts": state.tension["springs"]}) for state in berth.states
        ))
        for berth in shared.case.berths
    )  # fmt: skip
    both = shared.with_case(replace(shared.case, lines=(first, second), berths=berths))
    with pytest.raises(InputError, match="stands for several line groups"):
        tails(both, 0.5)


def test_highest_when_stated_goes_above_the_mean_with_the_swing(given) -> None:
    hot, cool = given.case.berths
    state = hot.states[1]
    stated = replace(state.tension["springs"], highest=Load(900e3, "N"))
    berths = (replace(hot, states=(hot.states[0], replace(state, tension={"springs": stated}))), cool)
    before = given.with_case(replace(given.case, berths=berths))
    after = tails(before, 0.0)
    factor = swing_of(after)[1][1] / swing_of(before)[1][1]
    mean = swing_of(before)[0][1]
    found = after.case.berths[0].states[1].tension["springs"].highest
    assert found.newton(1.0, 1.0) == pytest.approx(mean + (900e3 - mean) * factor, rel=1e-9)


def test_changes_when_listed_are_only_those_that_apply(given) -> None:
    kinds = {change.kind for change in changes(given)}
    assert kinds == {
        "berth left out", "berth twice", "climate", "tail", "inboard length", "payout spread", "size", "steady pull",
        "bend radius", "surface", "shade",
    }  # fmt: skip
    bare: Case = replace(
        given.case, berths=given.case.berths[:1], lines=(replace(given.case.lines[0], tail=None, contacts=()),)
    )
    kinds = {change.kind for change in changes(given.with_case(bare))}
    assert kinds == {"berth twice", "climate", "inboard length", "size", "steady pull", "shade"}
    slack = less_pull(given, 0.5)
    assert "steady pull" not in {change.kind for change in changes(slack)}


def test_pull_when_less_takes_a_tenth_off_tight_states_only(given) -> None:
    # By hand: means above 35 % of 1380 kN = 483 kN become 0.9 of themselves; swings stay.
    before, after = swing_of(given), swing_of(less_pull(given, 0.9))
    force = given.main(given.case.lines[0]).data["design_break_force"].value
    tight = before[0] > 0.35 * force
    assert tight.any()
    assert not tight.all()
    assert after[0] == pytest.approx(np.where(tight, 0.9, 1.0) * before[0], rel=1e-9)
    assert after[1] == pytest.approx(before[1], rel=1e-9)
    assert (after[2][tight] < before[2][tight]).all()


def test_pull_when_a_record_says_it_stays(given) -> None:
    recorded = logged(given)
    tension = less_pull(recorded, 0.5).case.berths[1].states[0].tension["springs"]
    assert tension == recorded.case.berths[1].states[0].tension["springs"]


def contact_value(given: Given, key: str) -> float:
    line = given.case.lines[0]
    return {**given.shelf.contacts[line.contacts[0].card].data, **line.contacts[0].data}[key].value


@pytest.mark.parametrize(
    ("change", "key", "times"), [(wider, "bend_radius", 1.5), (smoother, "roughness", 0.5), (shaded, "steel_sun", 0.1)]
)
def test_contact_when_changed_has_its_datum_scaled(given, change, key, times) -> None:
    assert contact_value(change(given, times), key) == pytest.approx(times * contact_value(given, key))


def test_surface_when_it_turns_stays_as_it_is(given) -> None:
    # A roller turns with the rope: no wear on it, so that a smoother one changes nothing.
    line = given.case.lines[0]
    turning = replace(line, contacts=(replace(line.contacts[0], card="roller", data={}),))
    rolled = given.with_case(replace(given.case, lines=(turning,)))
    assert smoother(rolled, 0.5).case.lines == rolled.case.lines
    assert "surface" not in {change.kind for change in changes(rolled)}


def test_levers_when_pulled_never_shorten_the_life_of_hmpe(given, base) -> None:
    # creep, ageing and wear fall with load, heat, sun and roughness, each alone
    before = base.ropes[0].ages
    for change in (lambda: less_pull(given, 0.9), lambda: smoother(given, 0.5), lambda: shaded(given, 1e-6)):
        assert (ages(change(), base) >= before * (1.0 - 1e-6)).all()


def test_shade_when_total_leaves_the_core_cooler_by_the_sun_it_took(given, base) -> None:
    # A dry rope that carries little heat stands above the air by what sun and steel put in: without it no state is
    # hotter, and a state in daylight is cooler by kelvins.
    after = assess(shaded(given, 1e-6), base.scores).ropes[0].lines[0].blocks.core
    found = base.ropes[0].lines[0].blocks.core
    assert (after <= found + 1e-6).all()
    assert np.median(found - after) > 1.0


def test_same_motion_when_nothing_changes_keeps_every_swing(given) -> None:
    assert swing_of(same_motion(given, given.case.lines))[1] == pytest.approx(swing_of(given)[1], rel=1e-9)
