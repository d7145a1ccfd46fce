"""Strength over the years against closed forms and an independent integrator."""

import dataclasses

import numpy as np
import pytest
from scipy import integrate, optimize

from linewright.assessment import life
from linewright.assessment.life import CRITERIA, HORIZON, Limits, Lives, YearlyRates

QUARTER = -np.log(0.75)  # ln strength lost when 75 % is left


def rates(
    loss: dict[str, float | list[float]],
    power: dict[str, float] | None = None,
    unit: dict[str, float] | None = None,
    growth: float = 0.0,
    strain: float = 0.0,
) -> YearlyRates:
    """Yearly rates of one sample; a list gives several metre classes."""
    names = tuple(loss)
    table = np.array([np.atleast_1d(np.asarray(value, dtype=float)) for value in loss.values()])[None]
    metres = table.shape[-1]
    powers = np.array([[(power or {}).get(name, 0.0) for name in names]])
    units = np.array([[(unit or {}).get(name, np.inf) for name in names]])
    at = {name: number for number, name in enumerate(names)}
    return YearlyRates(
        table, powers, np.full((1, metres), growth), units, np.full(1, strain), at.get("creep", -1),
        at.get("abrasion", -1), names,
    )  # fmt: skip


def limits(yearly: YearlyRates, **given: object) -> Limits:
    """Limits that never end a life but by three quarters of the strength, unless given."""
    metres = yearly.loss.shape[-1]
    plain = Limits(0.75, np.ones(len(yearly.names)), np.full(1, np.inf), np.full((1, metres), np.inf), np.inf)
    return dataclasses.replace(plain, **given)


def why(found: Lives) -> str:
    return CRITERIA[int(found.criterion[0])]


# --- closed forms -----------------------------------------------------------------------------------


@pytest.mark.parametrize("rate", [0.02, 0.1, 1.0, 40.0])
def test_life_when_one_constant_loss_acts_is_the_logarithm_over_the_rate(rate: float) -> None:
    # By hand: ln S = -rate t, so that 75 % is left at -ln(0.75)/rate; 0.1 a year: 2.876821 years.
    yearly = rates({"ageing": rate})
    found = life.live(yearly, limits(yearly))
    assert found.age[0] == pytest.approx(QUARTER / rate, rel=1e-9)
    assert why(found) == "strength left"
    assert found.losses[0, 0] == pytest.approx(QUARTER, rel=1e-9)


def test_life_when_constant_losses_add_shares_by_their_rates() -> None:
    # Losses add in ln strength: shares are the rates' shares, exactly.
    yearly = rates({"bending": 0.06, "ageing": 0.03, "abrasion": 0.01})
    found = life.live(yearly, limits(yearly))
    assert found.age[0] == pytest.approx(QUARTER / 0.1, rel=1e-9)
    np.testing.assert_allclose(found.losses[0] / QUARTER, [0.6, 0.3, 0.1], rtol=1e-9)


@pytest.mark.parametrize("power", [3.0, 9.0, 13.46])
def test_life_when_tension_meets_a_weakened_rope_agrees_with_the_closed_form(power: float) -> None:
    # The tension curve refers to the strength left after the OTHER losses, b t: l' = a exp(m b t), so that
    # l = a (exp(m b t) - 1)/(m b). Referees: its root, and scipy's integrator. Steps of 1 % strength by the midpoint
    # rule err by (m 0.01)^2/24 of a step: below 1e-3.
    a, b = 0.01, 0.03
    total = lambda t: b * t + a * np.expm1(power * b * t) / (power * b)  # noqa: E731 - the line above
    exact = optimize.brentq(lambda t: total(t) - QUARTER, 0.1, 30.0)
    ended = lambda t, y: y[0] + y[1] - QUARTER  # noqa: E731 - the event below
    ended.terminal = True
    solved = integrate.solve_ivp(
        lambda t, y: [a * np.exp(power * y[1]), b], (0.0, 30.0), [0.0, 0.0], events=ended, rtol=1e-9, atol=1e-12
    )
    assert solved.t_events[0][0] == pytest.approx(exact, rel=1e-6)
    yearly = rates({"tension": a, "ageing": b}, power={"tension": power}, unit={"tension": 100.0})
    assert life.live(yearly, limits(yearly)).age[0] == pytest.approx(exact, rel=1e-3)


def test_life_when_tension_is_alone_does_not_weaken_its_own_curve() -> None:
    # The curve holds its own weakening: alone it is linear whatever its power.
    yearly = rates({"tension": 0.1}, power={"tension": 9.0}, unit={"tension": 100.0})
    assert life.live(yearly, limits(yearly)).age[0] == pytest.approx(QUARTER / 0.1, rel=1e-9)


@pytest.mark.parametrize("growth", [0.0, 5.0, 12.0])
@pytest.mark.parametrize("damage", [1.0 / 3.0, 0.2])
def test_life_when_creep_grows_agrees_with_the_closed_form(growth: float, damage: float) -> None:
    # Strain e grows as e' = r exp(g e): t = (1 - exp(-g e))/(g r) to the strain e = D e_c; r t = e without growth. By
    # hand g 12, e_c 0.1, D 1/3, r 0.01: (1 - exp(-0.4))/0.12 = 2.747 years. Steps of e_c/20 by the midpoint rule err
    # by (g e_c/20)^2/24: below 1e-3.
    strain, rate, unit = 0.1, 0.01, 1e-3
    reached = damage * strain
    exact = reached / rate if growth == 0.0 else -np.expm1(-growth * reached) / (growth * rate)
    yearly = rates({"creep": unit * rate / strain}, unit={"creep": unit}, growth=growth, strain=strain)
    found = life.live(yearly, limits(yearly, damage=np.array([damage])))
    assert found.age[0] == pytest.approx(exact, rel=1e-3)
    assert why(found) == "creep"
    assert found.losses[0, 0] == pytest.approx(unit * damage, rel=1e-3)


def test_life_when_area_is_worn_off_creeps_faster() -> None:
    # Lost area raises the stress like strain does: e' = r exp(g (e + w t)). Referee: scipy's integrator.
    strain, rate, growth, wear, unit = 0.1, 0.01, 12.0, 0.02, 1e-3
    ended = lambda t, y: y[0] - strain / 3.0  # noqa: E731 - the event below
    ended.terminal = True
    solved = integrate.solve_ivp(
        lambda t, y: [rate * np.exp(growth * (y[0] + wear * t))], (0.0, 30.0), [0.0], events=ended, rtol=1e-10
    )
    yearly = rates(
        {"creep": unit * rate / strain, "abrasion": wear}, unit={"creep": unit}, growth=growth, strain=strain
    )
    found = life.live(yearly, limits(yearly, damage=np.array([1.0 / 3.0, 1.0])))
    assert found.age[0] == pytest.approx(solved.t_events[0][0], rel=1e-3)


# --- the integrator ------------------------------------------------------------------------------------------


def mixed(order: tuple[str, ...] = ("creep", "bending", "tension", "abrasion", "ageing")) -> YearlyRates:
    loss = {"creep": 0.006, "bending": 0.02, "tension": 0.004, "abrasion": 0.003, "ageing": 0.002}
    unit = {"creep": 0.357, "bending": 1.204, "tension": 0.916}
    return rates({name: loss[name] for name in order}, power={"tension": 9.0}, unit=unit, growth=12.0, strain=0.1)


def test_life_when_mechanisms_change_places_is_the_same() -> None:
    # Losses add: the order of the list must not matter.
    one, other = mixed(), mixed(("ageing", "tension", "abrasion", "creep", "bending"))
    found, again = life.live(one, limits(one)), life.live(other, limits(other))
    assert found.age[0] == pytest.approx(again.age[0], rel=1e-12)
    assert found.criterion[0] == again.criterion[0]
    by_name = dict(zip(other.names, again.losses[0], strict=True))
    np.testing.assert_allclose(found.losses[0], [by_name[name] for name in one.names], rtol=1e-12)


def test_life_when_steps_are_halved_moves_less_than_a_thousandth() -> None:
    # Convergence of the midpoint rule.
    yearly = mixed()
    whole, half = (life.live(yearly, limits(yearly), step).age[0] for step in (1.0, 0.5))
    assert whole == pytest.approx(half, rel=1e-3)


def test_life_when_samples_share_a_batch_are_those_of_each_alone() -> None:
    # Every sample and metre takes its own steps.
    one, other = rates({"ageing": [0.1, 0.05]}), rates({"ageing": [0.3, 0.6]})
    both = dataclasses.replace(
        one, loss=np.concatenate([one.loss, other.loss]), power=np.zeros((2, 1)), unit=np.full((2, 1), np.inf),
        growth=np.zeros((2, 2)), strain=np.zeros(2),
    )  # fmt: skip
    wide = Limits(0.75, np.ones(1), np.full(2, np.inf), np.full((2, 2), np.inf), np.inf)
    found = life.live(both, wide)
    np.testing.assert_allclose(found.age, [QUARTER / 0.1, QUARTER / 0.6], rtol=1e-9)
    np.testing.assert_array_equal(found.metre, [0, 1])


# --- criteria --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "criterion"),
    [
        ("creep", "creep"),
        ("tension", "tension fatigue"),
        ("bending", "bending"),
        ("compression", "compression"),
    ],
)
def test_life_when_a_damage_limit_comes_first_names_it(name: str, criterion: str) -> None:
    # By hand: damage 1 costs 0.2 in ln strength, 0.05 a year, limit 1/3 -> 0.2/3/0.05 = 1.3333 years, long before 75 %.
    yearly = rates({"ageing": 0.001, name: 0.05}, unit={name: 0.2})
    found = life.live(yearly, limits(yearly, damage=np.array([1.0, 1.0 / 3.0])))
    assert found.age[0] == pytest.approx(4.0 / 3.0, rel=1e-9)
    assert why(found) == criterion


def test_life_when_the_margin_is_used_up_ends() -> None:
    # By hand: a margin of 1.2 over its target allows ln 1.2 = 0.18232 to be lost: 1.8232 years at 0.1 a year.
    yearly = rates({"ageing": 0.1})
    found = life.live(yearly, limits(yearly, margin=np.array([np.log(1.2)])))
    assert found.age[0] == pytest.approx(1.823216, rel=1e-6)
    assert why(found) == "margin"


def test_life_when_the_margin_is_missing_from_the_start_is_nil() -> None:
    # Below the target when new.
    yearly = rates({"ageing": 0.1})
    found = life.live(yearly, limits(yearly, margin=np.array([-0.1])))
    assert (found.age[0], why(found)) == (0.0, "margin")


@pytest.mark.parametrize("years", [0.0, 1.7, 2.5])
def test_life_when_hot_hours_are_used_up_ends_there(years: float) -> None:
    # The hours above the long-term limit give a year; strength would last 2.877.
    yearly = rates({"ageing": 0.1})
    found = life.live(yearly, limits(yearly, hot_years=np.array([[years]])))
    assert found.age[0] == pytest.approx(years, rel=1e-9)
    assert why(found) == "temperature"
    assert found.losses[0, 0] == pytest.approx(0.1 * years, rel=1e-9)


def test_life_when_hot_hours_last_longer_than_strength_ends_by_strength() -> None:
    yearly = rates({"ageing": 0.1})
    found = life.live(yearly, limits(yearly, hot_years=np.array([[5.0]])))
    assert found.age[0] == pytest.approx(QUARTER / 0.1, rel=1e-9)
    assert why(found) == "strength left"


def test_life_when_an_age_limit_comes_first_ends_there() -> None:
    yearly = rates({"ageing": 0.03})
    found = life.live(yearly, limits(yearly, age=5.0))
    assert (found.age[0], why(found)) == (5.0, "age")


def test_life_when_an_age_limit_comes_first_counts_the_losses_up_to_it() -> None:
    # By hand: 0.03 a year for 5 years.
    yearly = rates({"ageing": 0.03})
    assert life.live(yearly, limits(yearly, age=5.0)).losses[0, 0] == pytest.approx(0.15, rel=1e-9)


def test_life_when_an_age_limit_comes_first_names_the_most_worn_metre() -> None:
    yearly = rates({"ageing": [0.001, 0.03]})
    assert life.live(yearly, limits(yearly, age=5.0)).metre[0] == 1


def test_life_when_the_age_limit_lies_beyond_the_horizon_has_no_end() -> None:
    yearly = rates({"ageing": 1e-4})
    found = life.live(yearly, limits(yearly, age=40.0))
    assert (found.age[0], found.criterion[0]) == (HORIZON, -1)


@pytest.mark.parametrize("rate", [0.0, 1e-6, 1e-3])
def test_life_when_hardly_anything_is_lost_reaches_the_horizon(rate: float) -> None:
    # No criterion within 30 years: no end, the losses of 30 years.
    yearly = rates({"ageing": [0.0, rate]})
    found = life.live(yearly, limits(yearly))
    assert (found.age[0], found.criterion[0]) == (HORIZON, -1)
    assert found.losses[0, 0] == pytest.approx(HORIZON * rate, rel=1e-9)


def test_life_when_a_metre_is_worse_ends_there() -> None:
    yearly = rates({"ageing": [0.02, 0.05, 0.01]})
    found = life.live(yearly, limits(yearly))
    assert found.metre[0] == 1
    assert found.age[0] == pytest.approx(QUARTER / 0.05, rel=1e-9)
