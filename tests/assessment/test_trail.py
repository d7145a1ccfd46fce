"""Earlier trades, the curve of strength over the years, and lengthening: closed forms and identities."""

import numpy as np
import pytest
from tests.assessment.test_life import QUARTER, limits, rates

from linewright.assessment import life, trail
from linewright.assessment.runner import CURVE
from linewright.assessment.trail import Served
from linewright.assessment.whole import assess_case
from linewright.physics import creep


def test_worn_when_one_loss_is_constant_is_its_rate_times_the_years() -> None:
    yearly = rates({"ageing": [0.04, 0.1]})
    np.testing.assert_allclose(life.worn(yearly, 5.0)[0, 0], [0.2, 0.5], rtol=1e-12)
    np.testing.assert_allclose(life.worn(yearly, 5.0, life.worn(yearly, 3.0))[0, 0], [0.32, 0.8], rtol=1e-12)


def test_worn_when_creep_runs_away_follows_its_closed_form() -> None:
    # e' = r exp(g e), so that e = -ln(1 - g r t)/g; loss = unit e / e_c. r 0.01 a year, g 20, t 3: e 0.0458. The
    # mid-point rule is of second order: its error goes by four when steps halve.
    unit, strain, growth = 0.3567, 0.10, 20.0
    yearly = rates({"creep": 0.01 * unit / strain}, unit={"creep": unit}, growth=growth, strain=strain)
    exact = -np.log(1.0 - growth * 0.01 * 3.0) / growth
    assert exact == pytest.approx(0.0458, abs=5e-5)
    errors = [life.worn(yearly, 3.0, step=step)[0, 0, 0] / unit * strain / exact - 1.0 for step in (2.0, 1.0, 0.5)]
    assert abs(errors[1]) < 1.5e-3
    assert 3.0 < errors[0] / errors[1] < 5.0
    assert 3.0 < errors[1] / errors[2] < 5.0


def test_life_when_a_rope_comes_worn_is_what_is_left_of_it() -> None:
    yearly = rates({"bending": 0.05, "ageing": 0.01})
    whole = life.live(yearly, limits(yearly)).age[0]
    later = life.live(yearly, limits(yearly), before=life.worn(yearly, 2.0))
    assert later.age[0] == pytest.approx(whole - 2.0, rel=1e-9)
    assert later.losses[0].sum() == pytest.approx(QUARTER, rel=1e-9)


def test_life_when_a_rope_comes_beyond_its_criterion_has_no_years_left() -> None:
    yearly = rates({"bending": 0.05})
    assert life.live(yearly, limits(yearly), before=life.worn(yearly, 9.0)).age[0] == 0.0


def test_ages_when_two_trades_follow_each_other_join() -> None:
    # 2 years at 0.1, then 0.02 a year: at 1, 2, 5 years 0.1, 0.2, 0.26.
    first, now = rates({"ageing": 0.1}), rates({"ageing": 0.02})
    served = [Served(first, 2.0, limits(first), np.zeros((1, 1)))]
    found = trail.at_ages(served, now, (5.0, 1.0, 2.0))
    np.testing.assert_allclose(found[0, :, 0, 0], [0.26, 0.1, 0.2], rtol=1e-12)
    np.testing.assert_allclose(trail.left(found)[0], np.exp([-0.26, -0.1, -0.2]), rtol=1e-12)


def test_hot_hours_when_used_before_are_taken_off() -> None:
    # 10 years of allowed heat; 4 years before took 5 % of it each: 8 years are left.
    yearly = rates({"ageing": 0.001})
    served = [Served(yearly, 4.0, limits(yearly), np.full((1, 1), 0.05))]
    left = trail.less_used(limits(yearly, hot_years=np.array([[10.0]]), age=7.0), served)
    assert left.hot_years[0, 0] == pytest.approx(8.0)
    assert left.age == pytest.approx(3.0)  # an age limit counts from when the rope was new


def test_rope_when_it_finished_in_an_earlier_trade_did_so_then() -> None:
    # 0.1 a year for 5 years: 75 % is left at 2.877 years, in the first trade. At 0.05: 0.25 lost, then 0.0377/0.02.
    first, now = rates({"ageing": 0.1}), rates({"ageing": 0.02})
    served = [Served(first, 5.0, limits(first), np.zeros((1, 1)))]
    assert trail.finished(served, now, limits(now))[0] == pytest.approx(QUARTER / 0.1, rel=1e-9)
    slow = rates({"ageing": 0.05})
    served = [Served(slow, 5.0, limits(slow), np.zeros((1, 1)))]
    assert trail.finished(served, now, limits(now))[0] == pytest.approx(5.0 + (QUARTER - 0.25) / 0.02, rel=1e-9)


def test_age_when_beyond_the_horizon_is_followed_for_evidence() -> None:
    # 0.005 a year: 57.5 years; cut off at 30 it would count as a rope known to end at 30.
    slow = rates({"ageing": 0.005})
    assert trail.finished([], slow, limits(slow))[0] == pytest.approx(QUARTER / 0.005, rel=1e-9)
    assert life.live(slow, limits(slow)).age[0] == life.HORIZON


BERTH = '[[berth]]\nname = "hot berth"'


def past(text: str, years: str) -> str:
    """The same trade as an earlier one."""
    start, end = text.index("[[berth]]"), text.index("[[compare]]")
    own = text[start:end].replace("[[berth", "[[history.berth")
    return f'[[history]]\nname = "before"\nlasted = "{years}"\n{own}{text[end:]}'


def test_case_when_its_history_is_the_same_trade_has_that_much_less_to_live(make_case, shelf) -> None:
    from tests.assessment.conftest import SMALL

    new = assess_case(make_case(), shelf).ropes[0]
    end = SMALL[SMALL.index("[[compare]]") :]
    case = make_case((end, past(SMALL, "1 year")))
    old = assess_case(case, shelf).ropes[0]
    alive = (new.ages > 1.2) & (new.ages < 28.0)
    # The margin is no loss, and steps fall elsewhere: within half a per cent.
    np.testing.assert_allclose(old.ages[alive], new.ages[alive] - 1.0, rtol=5e-3, atol=2e-3)
    new_line, old_line = new.lines[0], old.lines[0]
    np.testing.assert_allclose(old_line.blocks.curve, new_line.blocks.curve, rtol=2e-2, atol=1e-3)
    assert old_line.blocks.used[0].sum() > 0.0
    assert not new_line.blocks.used.any()


def test_strength_over_the_years_when_drawn_falls_and_meets_the_life(whole) -> None:
    line = whole.ropes[0].lines[0]
    left = line.blocks.curve[:, 0]
    assert (np.diff(left, axis=1) <= 1e-12).all()
    assert (left[:, 0] == 1.0).all()
    ended = (line.lives.criterion == life.CRITERIA.index("strength left")) & (line.lives.age < 20.0)
    above = np.searchsorted(CURVE, line.lives.age[ended])
    rows = np.flatnonzero(ended)
    assert len(rows) > 100
    assert (left[rows, above - 1] >= 0.75 - 1e-3).all()  # at the mark before its end
    assert (left[rows, above] <= 0.75 + 1e-3).all()


def test_lengthening_when_hmpe_is_the_creep_strain_times_the_length(whole) -> None:
    # The line is 15 + 40 m; its free span creeps: strain from the lost strength over that of damage 1.
    line = whole.ropes[0].lines[0]
    central = line.central.rates
    lost = life.worn(central, 2.0)[0]
    strain = lost[central.creep, -1] / central.unit[0, central.creep] * central.strain[0]
    assert line.blocks.curve[0, 1, CURVE.index(2.0)] == pytest.approx(55.0 * strain, rel=2e-3)


def test_lengthening_when_polyester_goes_by_decades_of_time(whole) -> None:
    # The tail: 0.20 % a decade at 30 % LDBF, scaled with the mean load; first hour beds it in. 400 h a year.
    tail = whole.ropes[0].tails[0]
    duty = tail.setup.duty
    mean = float(np.sum(duty.hours * duty.mean) / duty.hours.sum())
    share = mean / tail.setup.subject.data["design_break_force"].value
    strain = creep.log_time_strain(0.0020, 3600.0 * 5.0 * duty.hours.sum(), 3600.0)
    assert duty.hours.sum() == pytest.approx(400.0)
    assert tail.blocks.curve[0, 1, CURVE.index(5.0)] == pytest.approx(11.0 * strain * share / 0.30, rel=1e-6)
