"""Endurance of a bent wire rope: the form by hand with invented coefficients, and its limits."""

from dataclasses import replace

import numpy as np
import pytest

from linewright.physics.wire_rope import Endurance, wire_cycles

FORM = Endurance(b0=1.0, b1=-1.0, b2=5.0, b3=-0.3, b4=-0.5, b5=None)  # invented


def test_cycles_when_worked_by_hand_agree() -> None:
    # S = 40 kN on 20 mm: 100 N/mm2, lg 2; D/d 10, lg 1; 20 mm, lg 1.30103; wires 1770.
    # lg N = 1 + (-1 - 0.5) 2 + 5 - 0.3 x 1.30103 = 2.60969
    assert np.log10(wire_cycles(FORM, 40e3, 0.02, 10.0, 1770e6)) == pytest.approx(2.60969, abs=1e-5)


def test_cycles_when_wires_are_stronger_rise_by_their_own_term() -> None:
    # -0.4 lg(1960/1770) = -0.017709 on the load's logarithm, times the slope -1.5: + 0.02656.
    strong, plain = (float(wire_cycles(FORM, 40e3, 0.02, 10.0, wire)) for wire in (1960e6, 1770e6))
    assert np.log10(strong / plain) == pytest.approx(0.026564, abs=1e-5)


def test_cycles_when_the_bent_length_grows_fall_to_those_without_the_term() -> None:
    form = replace(FORM, b5=1.0)
    lengths = np.array([0.2, 2.0, 20.0, np.inf])
    found = np.asarray(wire_cycles(form, 40e3, 0.02, 10.0, 1770e6, lengths))
    assert np.all(np.diff(found) < 0.0)
    assert found[-1] == pytest.approx(float(wire_cycles(FORM, 40e3, 0.02, 10.0, 1770e6)))
    # l/d = 10: 1/(1 + 1) = 0.5 in the logarithm.
    assert found[0] / found[-1] == pytest.approx(10**0.5, rel=1e-9)


@pytest.mark.parametrize(("force", "ratio", "sign"), [(80e3, 10.0, -1), (20e3, 10.0, 1), (40e3, 20.0, 1)])
def test_cycles_fall_with_force_and_rise_with_the_bend(force: float, ratio: float, sign: int) -> None:
    plain = float(wire_cycles(FORM, 40e3, 0.02, 10.0, 1770e6))
    assert np.sign(float(wire_cycles(FORM, force, 0.02, ratio, 1770e6)) - plain) == sign


def test_cycles_when_the_force_goes_to_nothing_have_no_end() -> None:
    assert float(wire_cycles(FORM, 1e-9, 0.02, 10.0, 1770e6)) > 1e12
