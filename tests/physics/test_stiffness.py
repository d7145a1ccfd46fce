"""Stiffness, tension of a motion and stored energy, by hand and against each other."""

import numpy as np
import pytest

from linewright.physics import stiffness


def test_dynamic_stiffness_when_worked_by_hand_agrees() -> None:
    # Forms in percent of break force: polyester 18.5 + 0.33 * 20 = 25.1; polyamide 2.08 + 0.39 * 20 - 0.21 * 5 = 8.83;
    # HMPE 59 + 0.54 * 25 = 72.5. Per unit of break force the slopes are a hundred times larger.
    assert stiffness.dynamic_stiffness(18.5, 33.0, 0.20) == pytest.approx(25.1)
    assert stiffness.dynamic_stiffness(2.08, 39.0, 0.20, -21.0, 0.05) == pytest.approx(8.83)
    np.testing.assert_allclose(stiffness.dynamic_stiffness(59.0, 54.0, np.array([0.0, 0.25])), [59.0, 72.5])


def test_quasi_static_stiffness_when_worked_by_hand_falls_by_decades() -> None:
    # 13 at 100 s, 0.8 per decade: 10 000 s is two decades, 11.4; a fall past nothing stops there.
    assert stiffness.quasi_static_stiffness(13.0, 0.8, 1e4, 1e2) == pytest.approx(11.4)
    assert stiffness.quasi_static_stiffness(13.0, 0.8, 1e2, 1e2) == 13.0
    assert stiffness.quasi_static_stiffness(1.0, 2.0, 1e4, 1e2) == 0.0


def test_storm_stiffness_when_worked_by_hand_lies_between() -> None:
    # Mean 20 % at K 12 strains 1.6667 %, 30 % more at K 25 strains 1.2 %: 50 %/2.8667 % = 17.4419.
    assert stiffness.storm_stiffness(12.0, 25.0, 0.2, 0.5) == pytest.approx(0.5 / (0.2 / 12.0 + 0.3 / 25.0), rel=1e-14)
    assert stiffness.storm_stiffness(12.0, 25.0, 0.2, 0.5) == pytest.approx(17.441860, rel=1e-7)
    assert stiffness.storm_stiffness(12.0, 25.0, 0.3, 0.3) == pytest.approx(12.0)


def test_series_stiffness_when_worked_by_hand_agrees() -> None:
    # 40 m of 80 MN and 11 m of 20 MN: 0.5e-6 + 0.55e-6 m/N: 952 381 N/m. The tail takes more than half of the motion.
    assert stiffness.series_stiffness([80e6, 20e6], [40.0, 11.0]) == pytest.approx(1.0 / 1.05e-6, rel=1e-12)
    np.testing.assert_allclose(
        stiffness.series_stiffness([np.array([80e6, 40e6]), 20e6], [40.0, 11.0]), [1.0 / 1.05e-6, 1.0 / 1.55e-6]
    )
    with pytest.raises(ValueError, match=r"shorter|longer"):
        stiffness.series_stiffness([80e6], [40.0, 11.0])


def test_tension_of_a_motion_when_worked_by_hand_agrees() -> None:
    # Surge 0.3 m, sway 0.4 m on a line at 30 degrees: 0.3 * 0.866025 + 0.4 * 0.5 = 0.459808 m; at 500 kN/m 229 904 N.
    along = stiffness.motion_along_line(0.3, 0.4, np.pi / 6.0)
    assert along == pytest.approx(0.4598076, rel=1e-7)
    assert stiffness.tension_amplitude(along, 500e3) == pytest.approx(229903.8, rel=1e-6)
    assert stiffness.motion_along_line(0.3, 0.4, np.pi) == pytest.approx(0.3)


def test_energy_when_line_and_tail_are_added_is_that_of_the_pair() -> None:
    # 500 kN on 40 m of 80 MN: F^2 L/(2 EA) = 62.5 kJ; on 11 m of 20 MN: 68.75 kJ; the pair F^2/2k = 131.25 kJ.
    parts = [stiffness.spring_energy(500e3, ea / length) for ea, length in ((80e6, 40.0), (20e6, 11.0))]
    assert parts == pytest.approx([62.5e3, 68.75e3], rel=1e-12)
    pair = stiffness.spring_energy(500e3, stiffness.series_stiffness([80e6, 20e6], [40.0, 11.0]))
    assert pair == pytest.approx(131.25e3, rel=1e-12)


def test_stored_energy_when_worked_by_hand_is_the_area_under_the_split_line() -> None:
    # 1 MN, 10 m; 20 % at K 12, on to 50 % at K 25: 1e7 * 0.5 * (0.04/12 + 0.21/25) = 58 666.7 J. Referee: the same two
    # straight pieces by trapezoids.
    found = stiffness.stored_energy(1e6, 10.0, (12.0, 25.0), (0.2, 0.5))
    stretch = 10.0 * np.array([0.0, 0.2 / 12.0, 0.2 / 12.0 + 0.3 / 25.0])
    assert found == pytest.approx(58666.6667, rel=1e-8)
    assert stiffness.curve_energy(5e5, stretch, np.array([0.0, 2e5, 5e5])) == pytest.approx(found, rel=1e-12)


def test_curve_energy_when_worked_by_hand_agrees() -> None:
    # 0-1 m to 100 N, 1-2 m to 300 N: to 200 N at 1.5 m 50 + 0.5 * 150 = 125 J; to 300 N 50 + 200 = 250 J.
    curve = (np.array([0.0, 1.0, 2.0]), np.array([0.0, 100.0, 300.0]))
    assert [stiffness.curve_energy(at, *curve) for at in (0.0, 100.0, 200.0, 300.0)] == [0.0, 50.0, 125.0, 250.0]


def test_curve_energy_when_the_curve_is_straight_is_the_springs() -> None:
    # F^2/2k at a load between the points.
    x = np.linspace(0.0, 2.0, 8)
    assert stiffness.curve_energy(777.0, x, 1000.0 * x) == pytest.approx(777.0**2 / 2000.0, rel=1e-12)


def test_curve_energy_when_the_curve_bends_converges_with_its_points() -> None:
    # F = x^3: integral x^4/4 at F 8, x 2: 4 J; the trapezoid errs by h^2/12 (F'(2) - F'(0)) = h^2.
    for pieces in (20, 200):
        x = np.linspace(0.0, 2.5, pieces + 1)
        error = stiffness.curve_energy(8.0, x, x**3) - 4.0
        assert 0.0 < error < 1.1 * (2.5 / pieces) ** 2


@pytest.mark.parametrize(
    ("tension", "elongations", "loads", "word"),
    [
        (400.0, [0.0, 1.0], [0.0, 300.0], "outside the curve, 0 to 300 N"),
        (-1.0, [0.0, 1.0], [0.0, 300.0], "outside"),
        (1.0, [0.1, 1.0], [0.0, 300.0], "both from 0"),
        (1.0, [0.0, 1.0, 1.0], [0.0, 100.0, 300.0], "must rise"),
        (1.0, [0.0, 1.0, 2.0], [0.0, 300.0, 200.0], "must rise"),
        (1.0, [0.0, 1.0, 2.0], [0.0, 300.0], "as many"),
    ],
)
def test_curve_energy_when_the_curve_is_none_refuses(
    tension: float, elongations: list[float], loads: list[float], word: str
) -> None:
    with pytest.raises(ValueError, match=word):
        stiffness.curve_energy(tension, np.array(elongations), np.array(loads))
