"""Moments, sums and responses against integrals worked by hand and by quadrature."""

from itertools import pairwise

import numpy as np
import pytest
from scipy import integrate

from linewright.physics import spectra, waves

TRIANGLE = spectra.Spectrum(np.array([1.0, 3.0]), np.array([0.0, 4.0]))


@pytest.mark.parametrize(
    ("order", "expected"),
    [
        (0, 4.0),
        (1, 2.0 * (26.0 / 3.0 - 4.0)),
        (2, 2.0 * (20.0 - 26.0 / 3.0)),
        (3, 2.0 * (242.0 / 5.0 - 20.0)),
        (4, 2.0 * (364.0 / 3.0 - 242.0 / 5.0)),
        (-1, 2.0 * (2.0 - np.log(3.0))),
    ],
)
def test_moment_when_worked_by_hand_agrees(order: int, expected: float) -> None:
    # S = 2 (f - 1) from 1 to 3 Hz: m_n = 2 [(3^(n+2) - 1)/(n+2) - (3^(n+1) - 1)/(n+1)]; n 0: 2 (4 - 2) = 4;
    # n 1: 2 (26/3 - 4); n 4: 2 (728/6 - 242/5); n -1: 2 (2 - ln 3).
    assert spectra.moment(TRIANGLE, order) == pytest.approx(expected, rel=1e-13)


def test_moment_when_the_points_are_many_and_close_loses_no_digits() -> None:
    # The same line in 100 000 pieces; differences of powers would lose six digits.
    f = np.linspace(1.0, 3.0, 100_001)
    fine = spectra.Spectrum(f, 2.0 * (f - 1.0))
    for order in (-1, 0, 1, 2, 3, 4):
        assert spectra.moment(fine, order) == pytest.approx(spectra.moment(TRIANGLE, order), rel=1e-11)


def test_moment_when_the_density_reaches_zero_frequency_is_its_limit() -> None:
    # S = 2 f from 0 to 3: integral of S/f = 6. A density that does not vanish there has no energy period.
    assert spectra.moment(spectra.Spectrum(np.array([0.0, 3.0]), np.array([0.0, 6.0])), -1) == pytest.approx(6.0)
    assert spectra.moment(spectra.Spectrum(np.array([0.0, 3.0]), np.array([1.0, 6.0])), -1) == np.inf


def test_moment_when_the_order_is_not_offered_is_refused() -> None:
    with pytest.raises(ValueError, match="from -1 to 4; read 5"):
        spectra.moment(TRIANGLE, 5)


def test_periods_when_the_spectrum_is_flat_are_those_of_the_integrals() -> None:
    # 0.1 to 0.3 Hz, variance 2: m1/m0 = 0.2, m2/m0 = (0.3^3 - 0.1^3)/(3 * 0.2) = 0.0433333, m-1/m0 = ln 3/0.2 s.
    found = spectra.periods(spectra.band(0.1, 0.3, 2.0))
    assert (found.peak, found.mean) == pytest.approx((5.0, 5.0))
    assert found.zero_crossing == pytest.approx(1.0 / np.sqrt(0.026 / 0.6), rel=1e-12)
    assert found.energy == pytest.approx(np.log(3.0) / 0.2, rel=1e-12)


def test_combined_when_parts_overlap_and_step_adds_their_moments() -> None:
    # Flat, sloping and peaked parts with different points; sums are exact, so moments add to rounding.
    parts = (spectra.band(1.0 / 300.0, 1.0 / 30.0, 0.01), spectra.band(0.02, 0.5, 0.3), waves.jonswap(2.0, 12.0, 3.3),
             spectra.Spectrum(np.array([0.0, 0.1, 0.1, 0.4]), np.array([0.0, 3.0, 1.0, 0.5])))  # fmt: skip
    whole = spectra.combined(*parts)
    for order in (0, 1, 2, 4):
        assert spectra.moment(whole, order) == pytest.approx(sum(spectra.moment(p, order) for p in parts), rel=1e-12)


def test_variance_below_when_worked_by_hand_agrees() -> None:
    # S = 2 (f - 1): below f it is (f - 1)^2. Outside: nothing, all.
    np.testing.assert_allclose(
        spectra.variance_below(TRIANGLE, np.array([0.0, 1.0, 1.5, 2.0, 3.0, 9.0])), [0.0, 0.0, 0.25, 1.0, 4.0, 4.0]
    )
    assert spectra.share_outside(TRIANGLE, 1.5, 2.0) == pytest.approx(1.0 - 0.75 / 4.0)


def test_variance_below_when_the_density_steps_counts_each_side() -> None:
    # 2 N2 s from 1 to 2 Hz, 5 from 2 to 3 Hz.
    stepped = spectra.combined(spectra.band(1.0, 2.0, 2.0), spectra.band(2.0, 3.0, 5.0))
    np.testing.assert_allclose(spectra.variance_below(stepped, np.array([1.5, 2.0, 2.5, 3.0])), [1.0, 2.0, 4.5, 7.0])


def test_response_when_the_gain_is_even_is_the_spectrum_times_its_square() -> None:
    # |H| = 3 over the whole band: variance times 9, periods as before.
    wave = waves.jonswap(2.0, 10.0, 3.3)
    found = spectra.respond(wave, np.array([0.0, 5.0]), np.array([3.0, 3.0]))
    for order in (0, 1, 2):
        assert spectra.moment(found, order) == pytest.approx(9.0 * spectra.moment(wave, order), rel=1e-12)


def test_response_when_a_long_wave_meets_a_steep_gain_has_the_variance_of_the_integral() -> None:
    # 1 m2 in a band of two points, 1/300 to 1/30 Hz; |H| rises from 0 to 40 kN/m: m0 = 40^2 times the integral of t^2
    # from 0 to 1 = 533.3 kN2. A straight line between the ends of S |H|^2 has half of 40^2, 800: 50 % more.
    at = np.array([1.0 / 300.0, 1.0 / 30.0])
    found = spectra.respond(spectra.band(at[0], at[1], 1.0), at, np.array([0.0, 40.0]))
    assert spectra.moment(found, 0) == pytest.approx(1600.0 / 3.0, rel=1e-12)
    # m1 = 1600 (a + (b - a) 3/4)/3, from the integral of t^3.
    assert spectra.moment(found, 1) == pytest.approx(1600.0 / 3.0 * (0.25 * at[0] + 0.75 * at[1]), rel=1e-5)


def test_response_when_density_falls_where_the_gain_rises_is_not_lost() -> None:
    # S = 1 - t, |H| = t over 0.1 Hz: both ends of S |H|^2 are 0, its integral is 0.1 (1/3 - 1/4).
    wave = spectra.Spectrum(np.array([0.05, 0.15]), np.array([1.0, 0.0]))
    found = spectra.respond(wave, np.array([0.05, 0.15]), np.array([0.0, 1.0]))
    assert spectra.moment(found, 0) == pytest.approx(0.1 / 12.0, rel=1e-12)


@pytest.mark.parametrize("order", [0, 1, 2, 4])
@pytest.mark.parametrize(
    ("wave", "gain"),
    [
        (waves.jonswap(2.0, 12.0, 3.3), [100.0, 60.0, 5.0, 0.0]),
        (spectra.Spectrum(np.array([0.04, 0.08, 0.08, 0.3]), np.array([0.0, 10.0, 4.0, 0.0])), [0.0, 90.0, 2.0, 30.0]),
    ],
)
def test_response_when_the_table_is_coarse_agrees_with_quadrature(wave, gain: list[float], order: int) -> None:
    # Referee: scipy's adaptive quadrature of f^n S |H|^2, piece by piece. The variance is exact, the others to 1e-5.
    at = np.array([0.03, 0.07, 0.1, 0.25])

    def integrand(f: float, one: int) -> float:
        a, b = wave.frequency[one], wave.frequency[one + 1]
        density = wave.density[one] + (wave.density[one + 1] - wave.density[one]) * (f - a) / (b - a)
        return f**order * density * np.interp(f, at, gain) ** 2

    points = np.unique(np.r_[wave.frequency, at])
    points = points[(points >= max(at[0], wave.frequency[0])) & (points <= at[-1])]
    expected = 0.0
    for a, b in pairwise(points):
        one = int(np.searchsorted(wave.frequency, a, side="right")) - 1
        expected += integrate.quad(integrand, a, b, args=(one,), epsabs=0.0, epsrel=1e-11)[0]
    found = spectra.moment(spectra.respond(wave, at, np.array(gain)), order)
    assert found == pytest.approx(expected, rel=1e-9 if order == 0 else 1e-5)


def test_response_when_the_gain_covers_a_part_is_zero_outside() -> None:
    # Half of a flat band is covered.
    found = spectra.respond(spectra.band(0.1, 0.3, 2.0), np.array([0.2, 0.9]), np.array([1.0, 1.0]))
    assert spectra.moment(found, 0) == pytest.approx(1.0, rel=1e-12)


def test_motion_through_a_stiffness_is_its_square() -> None:
    # Surge of 0.1 m standard deviation through 500 kN/m: 50 kN.
    tension = spectra.through_stiffness(spectra.band(0.05, 0.1, 0.01), 500e3)
    assert np.sqrt(spectra.moment(tension, 0)) == pytest.approx(50e3, rel=1e-12)


@pytest.mark.parametrize(
    ("frequency", "density", "word"),
    [
        ([0.1], [1.0], "two or more"),
        ([0.1, 0.2], [1.0], "as many of both"),
        ([0.1, np.nan], [1.0, 1.0], "finite"),
        ([0.1, 0.2], [1.0, np.inf], "finite"),
        ([0.2, 0.1], [1.0, 1.0], "must rise"),
        ([-0.1, 0.1], [1.0, 1.0], "below zero"),
        ([0.1, 0.1], [1.0, 1.0], "must rise"),
        ([0.1, 0.2], [1.0, -1.0], "density must not be below zero; read -1"),
    ],
)
def test_spectrum_when_it_is_no_density_is_refused(frequency: list[float], density: list[float], word: str) -> None:
    with pytest.raises(ValueError, match=word):
        spectra.Spectrum(np.array(frequency), np.array(density))


def test_spectrum_when_it_holds_integers_becomes_floats() -> None:
    assert spectra.Spectrum(np.array([1, 3]), np.array([0, 4])).density.dtype == np.float64


def test_functions_when_there_is_no_variance_refuse() -> None:
    with pytest.raises(ValueError, match="without variance"):
        spectra.periods(spectra.Spectrum(np.array([0.1, 0.2]), np.zeros(2)))
    with pytest.raises(ValueError, match="gains need"):
        spectra.respond(TRIANGLE, np.array([1.0, 1.0]), np.array([1.0, 1.0]))


# --- waves ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("peakedness", [1.0, 2.0, 3.3, 7.0])
@pytest.mark.parametrize("frequency", [None, np.linspace(0.02, 1.0, 60)])
def test_jonswap_when_integrated_has_the_variance_of_its_height(
    peakedness: float, frequency: np.ndarray | None
) -> None:
    # m0 = Hs^2/16 exactly, on a coarse table of frequencies too; Hs 3.2 m: 0.64 m2.
    assert spectra.moment(waves.jonswap(3.2, 9.0, peakedness, frequency), 0) == pytest.approx(0.64, rel=1e-13)


@pytest.mark.parametrize("peakedness", [1.0, 3.3, 6.0])
@pytest.mark.parametrize("order", [-1, 0, 1, 2, 3])
def test_jonswap_moment_when_integrated_by_adaptive_quadrature_agrees(peakedness: float, order: int) -> None:
    # Referee: scipy.integrate.quad in four pieces; gamma 1, n 0 by hand 1/(4 * 1.25) = 1/5.
    def density(x: float) -> float:
        width = 0.07 if x <= 1.0 else 0.09
        return x ** (order - 5.0) * np.exp(-1.25 * x**-4.0) * peakedness ** np.exp(-0.5 * ((x - 1.0) / width) ** 2)

    pieces = ((0.1, 0.8), (0.8, 1.0), (1.0, 2.0), (2.0, np.inf))
    expected = sum(integrate.quad(density, *piece, epsabs=0.0, epsrel=1e-11, limit=200)[0] for piece in pieces)
    assert waves.jonswap_moment(peakedness, order) == pytest.approx(expected, rel=1e-9)


def test_jonswap_when_gridded_has_nearly_the_exact_periods() -> None:
    # The grid ends at 8/Tp: by hand, gamma 1, the tail beyond takes x^-2/2 = 1/128 of m2 = 0.39633: Tz 1.0 % longer;
    # Te and T1 hold to 0.3 %.
    exact, found = waves.jonswap_periods(1.0), spectra.periods(waves.jonswap(1.0, 1.0, 1.0))
    assert found.peak == 1.0
    assert found.zero_crossing == pytest.approx(exact.zero_crossing / np.sqrt(1.0 - 1.0 / 128.0 / 0.39633), rel=1e-3)
    assert (found.mean, found.energy) == pytest.approx((exact.mean, exact.energy), rel=3e-3)


@pytest.mark.parametrize(("height", "period", "peakedness"), [(-1.0, 9.0, 3.3), (1.0, 0.0, 3.3), (1.0, 9.0, 0.5)])
def test_jonswap_when_set_wrongly_refuses(height: float, period: float, peakedness: float) -> None:
    with pytest.raises(ValueError, match="peakedness"):
        waves.jonswap(height, period, peakedness)


def test_jonswap_when_the_frequencies_miss_it_refuses() -> None:
    with pytest.raises(ValueError, match="no variance at the frequencies"):
        waves.jonswap(2.0, 10.0, 3.3, np.array([1e-4, 2e-4]))
    with pytest.raises(ValueError, match="infinite; read 4"):
        waves.jonswap_moment(3.3, 4)
