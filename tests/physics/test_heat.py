"""Heat made in a rope, worked by hand and integrated numerically."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, optimize

from linewright.physics import heat


def test_hysteresis_when_worked_by_hand_agrees() -> None:
    # Linear viscoelasticity: pi E' tan(d) eps_a^2 per cycle and volume: pi * 30e9 * 0.05 * 0.004^2 = 75398.2 J/m3, at
    # 0.1 Hz 7539.82 W/m3. A rope of 1e-3 m2 fibre: EA 3e7 N, F_a = 3e7 * 0.004 = 120 kN -> 7.53982 W/m.
    assert heat.hysteresis_heat(0.05, 120e3, 3e7, 10.0) == pytest.approx(7.539822, rel=1e-6)


def test_hysteresis_when_the_loop_is_integrated_agrees() -> None:
    # Referee: area of the loop of strain and stress that lags by delta. The storage modulus belongs to E' = E* cos d.
    delta, stiffness, strain = np.arctan(0.06), 2e7, 0.003
    force = lambda t: stiffness / np.cos(delta) * strain * np.sin(t + delta)  # noqa: E731 - one line
    work = integrate.quad(lambda t: force(t) * strain * np.cos(t), 0.0, 2.0 * np.pi)[0]
    assert heat.hysteresis_heat(0.06, stiffness * strain, stiffness, 7.0) == pytest.approx(work / 7.0, rel=1e-9)


def test_slip_when_worked_by_hand_agrees() -> None:
    # 207 to 483 kN, mu 0.08, 60 degrees: r = exp(0.083776) = 1.087385; F2/r = 444.185, r F1 = 225.089; L_in/EA =
    # 15 m / 82.8 MN = 1.811594e-7: stroke 1.811594e-7 * 219096 = 39.69 mm; work 0.5 * 1.811594e-7 * (1.087385 -
    # 0.919637) * (444185^2 - 225089^2) = 2228 J; over 14 s 159 W.
    ratio, compliance = np.exp(0.08 * np.deg2rad(60.0)), 15.0 / 82.8e6
    assert heat.slips(207e3, 483e3, ratio)
    assert heat.slip_stroke(207e3, 483e3, ratio, compliance) == pytest.approx(0.03969, rel=1e-3)
    assert heat.slip_work(207e3, 483e3, ratio, compliance) / 14.0 == pytest.approx(159.1, rel=2e-3)


@given(low=st.floats(0.0, 5e5), swing=st.floats(0.0, 5e5), slope=st.floats(1.001, 3.0))
def test_slip_work_when_friction_is_followed_is_the_integral(low: float, swing: float, slope: float) -> None:
    # Referee: friction force along the slip. Paying in: outboard = r G, force (r - 1) G; paying out: outboard = G/r,
    # force (1 - 1/r) G; each times compliance dG from r F1 to F2/r.
    compliance, high = 1e-7, low + swing
    start, end = slope * low, max(high / slope, slope * low)
    force = (slope - 1.0) + (1.0 - 1.0 / slope)
    by_hand = compliance * force * integrate.quad(lambda g: g, start, end)[0]
    found = heat.slip_work(low, high, slope, compliance)
    assert found == pytest.approx(by_hand, rel=1e-9, abs=1e-9)
    stroke = heat.slip_stroke(low, high, slope, compliance)
    assert (stroke > 0.0) == bool(heat.slips(low, high, slope))


def slip_front_work(low: float, high: float, friction: float, compliance: float) -> float:
    """Work of a cycle that slips over part of the arc, step by step.

    On the arc, angle u from the outboard end, F' = -mu F where the rope is drawn out and +mu F where it runs back. From
    the loaded state high e^(-mu u), unloading to F slips up to where F e^(mu u) meets it. Rope between the slip front
    and the outboard end shortens: displacement at u is R/EA int (change of tension) du; the friction force per angle
    is mu times the local tension. Loading again from `low` mirrors it. Work by quadrature over F and u.
    """

    def half(start: float, end: float, sign: float) -> float:
        def rate(tension: float) -> float:
            front = abs(np.log(start / tension)) / (2.0 * friction)
            local = lambda u: tension * np.exp(sign * friction * u)  # noqa: E731 - the profile of the line above
            # d(displacement)/dF at u = R/EA int_u^front exp(sign mu x) dx
            moved = lambda u: abs(np.exp(sign * friction * front) - np.exp(sign * friction * u)) / friction  # noqa: E731
            return integrate.quad(lambda u: friction * local(u) * moved(u), 0.0, front)[0]

        return abs(integrate.quad(rate, start, end, limit=100)[0])

    return compliance * (half(high, low, 1.0) + half(low, high, -1.0))


@pytest.mark.parametrize(("low", "high"), [(280e3, 300e3), (250e3, 320e3), (200e3, 230e3)])
def test_partial_slip_when_followed_step_by_step_agrees(low: float, high: float) -> None:
    # Referee: quadrature over the moving slip front, above. Arc long enough: r = exp(0.15 pi) = 1.6.
    friction, compliance = 0.15, 0.2 / 82.8e6
    found = heat.partial_slip_work(low, high, friction, compliance)
    assert found == pytest.approx(slip_front_work(low, high, friction, compliance), rel=1e-4)


def test_partial_slip_when_the_range_is_small_is_of_third_order() -> None:
    # Expansion by hand: work ~ (high - low)^3 / low. Halving the range divides by 8 (next order: 2 %).
    whole, half = (heat.partial_slip_work(300e3, 300e3 + step, 0.1, 1e-9) for step in (4e3, 2e3))
    assert whole / half == pytest.approx(8.0, rel=0.02)


def test_bending_when_worked_by_hand_agrees() -> None:
    # eps_b 0.003, 345 kN, 40 mm, 14 s: 0.003 * 345000 * 0.04 / 14 = 2.957 W.
    assert heat.bending_heat(0.003, 345e3, 0.04, 14.0) == pytest.approx(2.957143, rel=1e-6)


@pytest.mark.parametrize(("coefficient", "expected"), [(0.008, 0.09), (0.024, 0.27), (0.08, 0.91)])
def test_rise_per_bend_when_worked_by_hand_agrees(coefficient: float, expected: float) -> None:
    # c_b sigma/((D/d) rho c): 0.3 * 1.37 GPa = 0.41 GPa, D/d 20, 970 * 1850 = 1.79 MJ/m3K: 0.024 * 0.41e9 / (20 *
    # 1.79e6) = 0.275 K. The quoted figures have two digits.
    found = heat.adiabatic_rise_per_bend(coefficient, 0.41e9, 20.0, 1.79e6)
    assert found == pytest.approx(expected, abs=0.01)


def test_creep_heat_when_worked_by_hand_agrees() -> None:
    # 345 kN at 1e-6 1/s: 0.345 W/m.
    assert heat.creep_heat(345e3, 1e-6) == pytest.approx(0.345, rel=1e-12)


def test_capstan_when_five_turns_are_taken_is_the_published_ratio() -> None:
    # An encyclopedia quotes 153 552 935 for mu 0.6 and 5 turns; slip begins where F2 = r^2 F1.
    ratio = np.exp(0.6 * 5.0 * 2.0 * np.pi)
    assert ratio == pytest.approx(153_552_935.0, rel=1e-6)
    edge = optimize.brentq(lambda high: high / 1.2 - 1.2 * 100.0, 100.0, 200.0)
    assert edge == pytest.approx(144.0)
    assert not heat.slips(100.0, 143.9, 1.2)
    assert heat.slips(100.0, 144.1, 1.2)


@pytest.mark.parametrize(("inboard", "friction", "wrap"), [(12.0, 0.08, 1.0), (3.0, 0.15, 1.57), (1.5, 0.2, 1.57)])
def test_slip_works_when_added_agree_with_a_chain_of_contacts(inboard: float, friction: float, wrap: float) -> None:
    # Referee: the arc as 120 small contacts in series, each with its share of rope behind it, followed step by step
    # through two cycles; no closed form in it. By hand for R 0.3 m, mu 0.2, 90 deg, 1.5 m: r 1.369, arc term
    # 0.3/0.2/EA x 0.5 x [0.136 + 0.0727]/2 x (G2^2 - G1^2).
    low, high, stiffness, radius, parts = 150e3, 450e3, 10e6, 0.3, 120
    ratio, small = math.exp(friction * wrap), math.exp(friction * wrap / parts)
    tension = [low] * (parts + 1)
    length = [inboard] + [radius * wrap / parts] * (parts - 1)
    swing = np.concatenate([np.linspace(low, high, 800), np.linspace(high, low, 800)])
    work = 0.0
    for turn in range(2):
        work = 0.0
        for outer in swing:
            before = list(tension)
            tension[parts] = float(outer)
            for k in range(parts - 1, -1, -1):
                tension[k] = min(max(tension[k], tension[k + 1] / small), tension[k + 1] * small)
            slip = 0.0
            for k in range(parts):
                slip += length[k] / stiffness * (tension[k] - before[k])
                work += 0.5 * (tension[k + 1] - tension[k] + before[k + 1] - before[k]) * slip if turn else 0.0

    onset = min(high, ratio**2 * low)
    found = heat.slip_work(low, high, ratio, inboard / stiffness)
    found += heat.arc_slip_work(low, high, ratio, friction, radius / stiffness)
    found += heat.partial_slip_work(low, onset, friction, radius / stiffness)
    assert found == pytest.approx(work, rel=0.03)


def test_arc_slip_when_the_contact_holds_is_nothing() -> None:
    assert heat.arc_slip_work(300e3, 310e3, 1.2, 0.1, 1e-9) == 0.0
