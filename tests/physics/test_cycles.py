"""Cycle counting against a public library and a standard's own table; cycle tables against integrals."""

import numpy as np
import pytest
from scipy import integrate, special

from linewright.physics import _kernels, cycles, fatigue, heat

STANDARD = np.array([-2.0, 1.0, -3.0, 5.0, -1.0, 3.0, -4.0, 4.0, -2.0])


def table(rows: np.ndarray) -> dict[float, float]:
    """Counts by range."""
    found: dict[float, float] = {}
    for size, _, count in rows:
        found[float(size)] = found.get(float(size), 0.0) + float(count)
    return found


def test_rainflow_when_given_the_standards_example_gives_its_table() -> None:
    # ASTM E1049-85, section 5.4.4 and figure 6 (table as quoted in a public issue of the rainflow library).
    assert table(cycles.rainflow(STANDARD)) == {3.0: 0.5, 4.0: 1.5, 6.0: 0.5, 8.0: 1.0, 9.0: 0.5}


def test_rainflow_when_given_the_standards_example_keeps_the_means() -> None:
    # By hand from the figure: A-B 3 about -0.5, B-C 4 about -1, E-F 4 about 1, C-D 8 about 1, G-H 8 about 0, D-G 9
    # about 0.5, H-I 6 about 1.
    rows = {(float(size), float(mean), float(count)) for size, mean, count in cycles.rainflow(STANDARD)}
    assert rows == {
        (3.0, -0.5, 0.5), (4.0, -1.0, 0.5), (4.0, 1.0, 1.0), (8.0, 1.0, 0.5), (9.0, 0.5, 0.5), (8.0, 0.0, 0.5),
        (6.0, 1.0, 0.5),
    }  # fmt: skip


def test_rainflow_when_given_portable_random_integers_gives_the_agreed_sums() -> None:
    # MINSTD from seed 12345, x mod 2001 - 1000, 5000 values. Sums agreed by four public counters (rainflow, fatpack,
    # pylife, py-fatigue): integers, so counts are exact.
    x, values = 12345, []
    for _ in range(5000):
        x = 16807 * x % 2147483647
        values.append(x % 2001 - 1000)
    assert values[:5] == [-274, -223, -463, -809, -860]
    rows = cycles.rainflow(np.array(values))
    size, mean, count = rows.T
    assert (int((count == 1.0).sum()), int((count == 0.5).sum()), size.max()) == (1633, 23, 2000.0)
    assert np.sum(count * size**3) == pytest.approx(3347069759000.0, rel=1e-9)
    assert np.sum(count * (size / size.max()) ** 9) == pytest.approx(168.8460836, rel=1e-9)
    assert np.sum(count * mean) / count.sum() == pytest.approx(-2.664639708, rel=1e-9)


@pytest.mark.parametrize("history", [[], [5.0], [5.0, 5.0, 5.0]])
def test_rainflow_when_nothing_moves_is_empty(history: list[float]) -> None:
    # No reversal, no cycle.
    assert cycles.rainflow(np.array(history)).shape == (0, 3)


@pytest.mark.parametrize("history", [[1.0, 4.0], [1.0, 2.0, 2.0, 4.0], [1, 4]])
def test_rainflow_when_the_history_only_rises_is_half_a_cycle(history: list[float]) -> None:
    # By hand: one half cycle of range 3 about 2.5.
    np.testing.assert_array_equal(cycles.rainflow(np.array(history)), [[3.0, 2.5, 0.5]])


# --- slip work ------------------------------------------------------------------------------------


def closed_history(seed: int, size: int = 4000) -> np.ndarray:
    """A random tension history that starts and ends at its largest value [N]."""
    values = np.abs(np.random.default_rng(seed).normal(300e3, 90e3, size))
    values = np.roll(values, -int(values.argmax()))
    return np.r_[values, values[0]]


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("ratio", [1.02, 1.087, 1.35])
def test_slip_work_when_summed_over_rainflow_cycles_is_the_play_operators(seed: int, ratio: float) -> None:
    # Backlash memory: closed loops of the outboard tension are closed loops inboard, so that work adds over rainflow
    # cycles. A history that begins and ends at its largest value is one closed loop after the first pass; the first
    # pass holds the start transient, so the second is compared. Exact but for rounding.
    history, compliance = closed_history(seed), 15.0 / 20e6
    both = cycles.play_work(np.r_[history, history[1:]], ratio, compliance)
    second = both - cycles.play_work(history, ratio, compliance)
    size, mean, count = cycles.rainflow(history).T
    summed = np.sum(count * heat.slip_work(mean - 0.5 * size, mean + 0.5 * size, ratio, compliance))
    assert second > 0.0
    assert summed == pytest.approx(second, rel=1e-9)


def test_slip_work_when_a_long_open_history_is_summed_differs_by_the_start_only() -> None:
    # Any start and end: half cycles stand for half loops and the play begins with its own tension. On 20 000 points of
    # a narrow-band history the difference is below 0.1 %.
    rng, n = np.random.default_rng(8), np.arange(20_000)
    history = 300e3 + 60e3 * rng.rayleigh(1.0, n.size).clip(max=4.0) * np.where(n % 2 == 0, 1.0, -1.0)
    ratio, compliance = 1.087, 15.0 / 20e6
    size, mean, count = cycles.rainflow(history).T
    summed = np.sum(count * heat.slip_work(mean - 0.5 * size, mean + 0.5 * size, ratio, compliance))
    assert summed == pytest.approx(cycles.play_work(history, ratio, compliance), rel=1e-3)


def test_play_when_worked_by_hand_agrees() -> None:
    # r 2, compliance 1e-3, outboard 4 -> 16 -> 4 (N). Inboard starts at 4, rises when 16/2 = 8 > 4: to 8; work rising
    # 1e-3 (2 - 1) (64 - 16)/2 = 0.024 J; falls when 2 * 4 = 8 < 8: not at all. Total 0.024 J.
    assert cycles.play_work(np.array([4.0, 16.0, 4.0]), 2.0, 1e-3) == pytest.approx(0.024, rel=1e-12)
    # Down to 2: inboard falls to 4, work 1e-3 (1 - 1/2) (64 - 16)/2 = 0.012 J.
    assert cycles.play_work(np.array([4.0, 16.0, 2.0]), 2.0, 1e-3) == pytest.approx(0.036, rel=1e-12)


@pytest.mark.parametrize("seed", [4, 5])
def test_kernels_when_compiled_are_their_plain_twins(seed: int) -> None:
    # The same Python, interpreted.
    history = closed_history(seed, 500)
    points = cycles.turning_points(history)
    np.testing.assert_array_equal(_kernels.three_point(points), _kernels.plain_three_point(points))
    plain = _kernels.plain_play_work(history, 1.1, 1e-6)
    assert _kernels.play_work(history, 1.1, 1e-6) == pytest.approx(plain, rel=1e-12)


# --- Rayleigh states ------------------------------------------------------------------------------------


@pytest.mark.parametrize("power", [1.0, 2.0, 3.0, 4.09, 5.05, 9.0, 13.46])
def test_rayleigh_bins_when_a_power_is_averaged_give_the_gamma_function(power: float) -> None:
    # Moments of the Rayleigh distribution: (sqrt2 sigma)^m Gamma(1 + m/2) (Miles 1954). Exponents of the published
    # tension curves up to 13.46. Two-point Gauss in panels of h = 0.25 sigma errs by h^4/4320, 9e-7, times the integral
    # of the fourth derivative, up to about 10 for these powers: 1e-5.
    amplitude, weight = cycles.rayleigh_bins(np.array([2.0]))
    exact = (np.sqrt(2.0) * 2.0) ** power * special.gamma(1.0 + power / 2.0)
    assert np.sum(weight * amplitude[0] ** power) == pytest.approx(exact, rel=1e-5)


def test_rayleigh_bins_when_summed_add_to_one() -> None:
    # A distribution.
    assert cycles.rayleigh_bins(np.ones(3))[1].sum() == pytest.approx(1.0, rel=1e-14)


def test_most_probable_maximum_when_worked_by_hand_agrees() -> None:
    # Longuet-Higgins 1952: sqrt(2 ln 1000) = 3.716922 sigma above the mean.
    assert cycles.most_probable_maximum(300.0, 50.0, 1000.0) == pytest.approx(300.0 + 50.0 * 3.716922189, rel=1e-9)


@pytest.mark.parametrize(
    ("number", "expected"), [(1.0, np.sqrt(0.5 * np.pi)), (2.0, 2.0 * np.sqrt(0.5 * np.pi) - 0.5 * np.sqrt(np.pi))]
)
def test_mean_maximum_when_the_cycles_are_few_is_the_closed_form(number: float, expected: float) -> None:
    # One Rayleigh amplitude: mean sqrt(pi/2). Of two: 2 E - (mean of the smaller), the smaller being Rayleigh of
    # sigma/sqrt2: 2 * 1.253314 - 0.886227 = 1.620401.
    assert cycles.mean_maximum(0.0, 1.0, number) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("number", [3.0, 100.0, 1e4, 1e7])
def test_mean_maximum_when_integrated_by_adaptive_quadrature_agrees(number: float) -> None:
    # Referee: scipy.integrate.quad of 1 - F^N; scale and mean as given.
    def exceeded(x: float) -> float:
        return float(-np.expm1(number * np.log1p(-np.exp(-0.5 * x * x)))) if x > 0.0 else 1.0

    top = np.sqrt(2.0 * np.log(number))
    pieces = ((0.0, top), (top, top + 2.0), (top + 2.0, top + 20.0))
    expected = sum(integrate.quad(exceeded, *piece, epsabs=1e-13, epsrel=1e-12)[0] for piece in pieces)
    assert cycles.mean_maximum(300.0, 50.0, number) == pytest.approx(300.0 + 50.0 * expected, rel=1e-9)


def test_asymptotic_mean_maximum_when_cycles_are_many_comes_near_the_exact() -> None:
    # 0.8 % off at 100 cycles, 0.12 % at a million (SE-06 gives both at 100 to 10 000).
    near = [cycles.asymptotic_mean_maximum(0.0, 1.0, n) / cycles.mean_maximum(0.0, 1.0, n) for n in (1e2, 1e6)]
    assert near == pytest.approx([1.0 + 0.0268 / 3.1983, 1.0 + 0.00624 / 5.36009], abs=1e-4)


def test_mean_maximum_when_there_is_no_cycle_is_refused() -> None:
    with pytest.raises(ValueError, match="largest of 0 cycles"):
        cycles.mean_maximum(0.0, 1.0, 0.0)


# --- fatigue --------------------------------------------------------------------------------------------


def test_miner_when_worked_by_hand_agrees() -> None:
    # K 1e7, m 3: N = 1e7/R^3 = 10000, 1250, 156.25; D = 500/10000 + 100/1250 + 20/156.25 = 0.05 + 0.08 + 0.128 = 0.258.
    ranges, counts = np.array([10.0, 20.0, 40.0]), np.array([500.0, 100.0, 20.0])
    np.testing.assert_allclose(fatigue.cycles_to_failure(ranges, 3.0, 1e7), [10000.0, 1250.0, 156.25], rtol=1e-12)
    assert fatigue.miner_damage(counts, ranges, 3.0, 1e7) == pytest.approx(0.258, rel=1e-12)


@pytest.mark.parametrize(("exponent", "expected"), [(3.0, 16.08456569), (9.0, 27.34177136)])
def test_equivalent_range_when_used_does_the_same_damage(exponent: float, expected: float) -> None:
    # By definition (sum n R^m / sum n)^(1/m); m 3: (0.258e7 / 620)^(1/3) = 4161.29^(1/3) = 16.0846.
    ranges, counts = np.array([10.0, 20.0, 40.0]), np.array([500.0, 100.0, 20.0])
    found = fatigue.equivalent_range(counts, ranges, exponent)
    assert found == pytest.approx(expected, rel=1e-9)
    one = fatigue.miner_damage(np.array([620.0]), np.array([found]), exponent, 1e7)
    assert one == pytest.approx(float(fatigue.miner_damage(counts, ranges, exponent, 1e7)), rel=1e-12)


@pytest.mark.parametrize(("constant", "exponent"), [(1000.0, 3.0), (230.67, 4.09), (7.5, 9.0)])
def test_narrow_band_when_integrated_numerically_agrees(constant: float, exponent: float) -> None:
    # Referee: quadrature of (2a)^m over the Rayleigh density. m 3 by hand: 1080 cycles / 1000 * (0.084853)^3 * 1.32934
    # = 8.7712e-4.
    sigma = 0.03
    moment = integrate.quad(lambda a: (2.0 * a) ** exponent * a / sigma**2 * np.exp(-0.5 * (a / sigma) ** 2), 0.0, 1.0)
    found = fatigue.narrow_band_damage(0.1, 10800.0, sigma, exponent, constant)
    assert found == pytest.approx(1080.0 / constant * moment[0], rel=1e-7)


def test_wire_rope_constant_when_worked_by_hand_agrees() -> None:
    # API RP 2SK (2005) Table 3, six-strand rope, second-hand: K = 10^(3.20 - 2.79 Lm); Lm 0.3: 10^2.363 = 230.67.
    assert fatigue.wire_rope_constant(3.20, 2.79, 0.3) == pytest.approx(230.67, rel=1e-4)
