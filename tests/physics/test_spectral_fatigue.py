"""Spectral damage against published values, a public library, its own densities and tables, and counted histories."""

import warnings

import numpy as np
import pytest
from scipy import integrate

from linewright.physics import fatigue, realisation, spectra, spectral_fatigue, waves

FLAT = spectra.combined(spectra.band(20.0, 60.0, 5.0), spectra.band(100.0, 120.0, 2.0))
# Long wave and swell: 31-200 s, 8-12.5 s.
LONG_AND_SWELL = spectra.combined(spectra.band(0.005, 0.015, 400.0), spectra.band(0.08, 0.12, 100.0))
SEA = waves.jonswap(2.0, 9.0, 3.3)
SPECTRA = {"flat": FLAT, "long wave and swell": LONG_AND_SWELL, "sea": SEA}
EXPONENTS = (3.0, 5.05, 9.0)


def rates(spectrum: spectra.Spectrum, exponent: float) -> dict[str, float]:
    found = spectra.moments(spectrum)
    return {
        name: spectral_fatigue.damage_rate(method(found), exponent, 1.0)
        for name, method in spectral_fatigue.METHODS.items()
    }


def test_narrow_band_when_worked_by_hand_agrees() -> None:
    # m0 4, m2 1: sigma 2 N, nu0 0.5 1/s. m 2: mean R^2 = (2 sqrt2 * 2)^2 Gamma(2) = 32; K 1000: 0.5 * 0.032 = 0.016.
    moments = spectra.Moments(0.0, 4.0, 1.9, 1.0, 0.5)
    assert spectral_fatigue.damage_rate(spectral_fatigue.narrow_band(moments), 2.0, 1000.0) == pytest.approx(0.016)


def test_dirlik_when_worked_by_hand_agrees() -> None:
    # m0 1, m1 0.9, m2 1, m4 4: nup 2, alpha2 0.5, xm = 0.9 * sqrt(1/4) = 0.45.
    # D1 = 2 (0.45 - 0.25)/1.25 = 0.32; 1 - a2 - D1 + D1^2 = 0.2824; R = (0.5 - 0.45 - 0.1024)/0.2824 = -0.185552;
    # D2 = 0.2824/1.185552 = 0.238201; D3 = 0.441799; Q = 1.25 (0.5 - 0.441799 + 0.238201 * 0.185552)/0.32 = 0.4000.
    found = spectral_fatigue.dirlik(spectra.Moments(0.0, 1.0, 0.9, 1.0, 4.0))
    np.testing.assert_allclose(found.rates, [0.64, 0.476402, 0.883598], rtol=1e-5)
    np.testing.assert_allclose(found.scales, [1.25 * (0.058201 + 0.0441987) / 0.32, 0.185552, 1.0], rtol=1e-4)


def test_tovo_benasciutti_when_worked_by_hand_agrees() -> None:
    # The same: alpha1 0.9, alpha2 0.5; inner = 1.112 (1 + 0.45 - 1.4) e^1.055 + 0.4 = 0.0556 * 2.871976 + 0.4
    # = 0.559682; b = 0.4 * 0.559682/0.25 = 0.895491; nu0 1, nup 2: rates 0.895491 and 2 * 0.104509.
    found = spectral_fatigue.tovo_benasciutti(spectra.Moments(0.0, 1.0, 0.9, 1.0, 4.0))
    np.testing.assert_allclose(found.rates, [0.895491, 0.209018], rtol=1e-5)
    np.testing.assert_allclose(found.scales, [1.0, 0.5])


def test_curve_on_amplitude_when_turned_into_one_on_range_gives_the_same_life() -> None:
    # N = C a^-k at a = 3: C 1e6, k 4: 12345.68; on the range 6: K = 16e6, 16e6/1296 the same.
    constant = spectral_fatigue.range_constant(1e6, 4.0)
    assert fatigue.cycles_to_failure(6.0, 4.0, constant) == pytest.approx(1e6 / 81.0, rel=1e-14)


@pytest.mark.parametrize("method", spectral_fatigue.METHODS)
@pytest.mark.parametrize("name", SPECTRA)
def test_density_when_integrated_is_one_and_gives_the_damage(method: str, name: str) -> None:
    # Referee: quadrature of the density of ranges; N(R) = K/R^5.
    mixture = spectral_fatigue.METHODS[method](spectra.moments(SPECTRA[name]))
    width = mixture.deviation

    def density(x: float) -> float:
        return float(spectral_fatigue.range_density(mixture, np.array([x * width]))[0] * width)

    one = integrate.quad(density, 0.0, 40.0, limit=400, points=(0.1, 0.5, 2.0))[0]
    power = integrate.quad(lambda x: (x * width) ** 5 * density(x), 0.0, 40.0, limit=400, points=(0.5, 2.0, 8.0))[0]
    assert one == pytest.approx(1.0, rel=1e-7)
    expected = spectral_fatigue.cycle_rate(mixture) * power
    assert spectral_fatigue.damage_rate(mixture, 5.0, 1.0) == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize("method", spectral_fatigue.METHODS)
@pytest.mark.parametrize("name", SPECTRA)
@pytest.mark.parametrize("power", [0.0, 1.0, 2.0, 3.0, 5.05, 9.0, 13.46])
def test_cycle_table_when_summed_gives_the_damage_of_its_method(method: str, name: str, power: float) -> None:
    # 64 bins carry count, heat (power 2) and damage up to the steepest published curve. Two-point Gauss in growing
    # panels errs by a few 1e-6; the exponential part of Dirlik's fit, steepest at the origin, by 1e-5 in the mean, and
    # beyond 8 standard deviations lie 3e-4 of its damage at the steepest curve.
    mixture = spectral_fatigue.METHODS[method](spectra.moments(SPECTRA[name]))
    table = spectral_fatigue.cycle_table(mixture)
    summed = table.count_per_hour / 3600.0 * np.sum(table.weights * (2.0 * table.amplitudes) ** power)
    assert table.weights.sum() == pytest.approx(1.0, rel=1e-14)
    assert summed == pytest.approx(
        spectral_fatigue.damage_rate(mixture, power, 1.0), rel=2e-5 if power < 10.0 else 5e-4
    )


@pytest.mark.parametrize("exponent", EXPONENTS)
def test_methods_when_the_spectrum_is_a_single_line_are_all_narrow_band(exponent: float) -> None:
    # alpha1 = alpha2 = 1: Dirlik and Tovo-Benasciutti are 0/0 there; just beside it they must come close.
    line, near = spectra.Moments(1.0, 1.0, 1.0, 1.0, 1.0), spectra.moments(spectra.band(0.0999, 0.1001, 1.0))
    for found in (line, near):
        every = [spectral_fatigue.damage_rate(f(found), exponent, 1.0) for f in spectral_fatigue.METHODS.values()]
        np.testing.assert_allclose(every, every[0], rtol=2e-3)


def test_shape_when_there_is_no_variance_refuses() -> None:
    with pytest.raises(ValueError, match="without variance"):
        spectral_fatigue.shape(spectra.Moments(0.0, 0.0, 0.0, 0.0, 0.0))


@pytest.mark.parametrize("name", SPECTRA)
@pytest.mark.parametrize("exponent", EXPONENTS)
def test_damage_when_compared_with_a_library_agrees(name: str, exponent: float) -> None:
    # Referee: FLife 2.3, Narrowband, Dirlik and TovoBenasciutti 'method 2', fed with the density on 40 000 even points;
    # its trapezoid moments differ from ours by the steps, below 2e-3 of the damage.
    spectrum = SPECTRA[name]
    f = np.linspace(0.0, spectrum.frequency[-1] * 1.001, 40_001)
    density = np.gradient(spectra.variance_below(spectrum, f), f)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import FLife

        data = FLife.SpectralData(input={"PSD": density, "f": f}, T=1000.0 / f[-1], fs=4.0 * f[-1])
        lives = {
            "narrow-band": FLife.Narrowband(data).get_life(1.0, exponent),
            "Dirlik": FLife.Dirlik(data).get_life(1.0, exponent),
            "Tovo-Benasciutti": FLife.TovoBenasciutti(data).get_life(1.0, exponent, method="method 2"),
        }
    for method, ours in rates(spectrum, exponent).items():
        per_range = ours / 2.0**exponent  # K = C 2^k with C 1
        assert per_range == pytest.approx(1.0 / lives[method], rel=2e-3), method


# --- against counted histories ------------------------------------------------------------------------------


def counted(spectrum: spectra.Spectrum, exponent: float, step: float, number: int = 2**17) -> realisation.Refereed:
    return realisation.referee(spectrum, (exponent, 1.0), step, number, range(12))


@pytest.mark.parametrize("exponent", EXPONENTS)
def test_wide_band_methods_when_a_sea_is_counted_lie_within_ten_percent(exponent: float) -> None:
    # A single peak: the fits are made for it. Twelve histories of 18 h; their mean is known to 3 % or better at m 9.
    tension = spectra.respond(SEA, np.array([0.0, 0.25, 0.3]), np.array([1.0, 1.0, 0.0]))
    found = counted(tension, exponent, 0.5)
    assert found.standard_error < 0.03
    for method in ("Dirlik", "Tovo-Benasciutti"):
        ratio = rates(tension, exponent)[method] / found.rate
        assert abs(ratio - 1.0) < 0.10, (method, ratio)


@pytest.mark.parametrize(("exponent", "expected"), [(3.0, 1.89), (5.0, 1.96), (9.0, 1.83)])
def test_narrow_band_when_long_wave_and_swell_are_counted_is_nearly_twice_too_high(
    exponent: float, expected: float
) -> None:
    # Narrow-band over-predicts the damage of two bands apart 1.6 to 2.8 times at m 3 to 9. Counted here:
    # 1.83 to 1.96; the spread between histories of 18 h is 2 to 20 %, that of the mean of twelve 6 % at m 9.
    found = counted(LONG_AND_SWELL, exponent, 0.5)
    ratio = rates(LONG_AND_SWELL, exponent)["narrow-band"] / found.rate
    assert 1.6 < ratio < 2.8
    assert ratio == pytest.approx(expected, rel=3.0 * found.standard_error + 0.01)


def test_wide_band_methods_when_long_wave_and_swell_are_counted_are_too_low() -> None:
    # What the methods cannot do: with two bands apart both fits fall below the count, at m 9 by a quarter and more. The
    # ratios of narrow-band to each, 2.10 to 2.52, are closed forms (SP-03 for m 9).
    found = counted(LONG_AND_SWELL, 9.0, 0.5)
    every = rates(LONG_AND_SWELL, 9.0)
    for method in ("Dirlik", "Tovo-Benasciutti"):
        assert 0.6 < every[method] / found.rate < 0.9, method
        assert 1.6 < every["narrow-band"] / every[method] < 2.8


# --- the histories themselves ---------------------------------------------------------------------------------


@pytest.mark.parametrize("amplitudes", ["random", "fixed"])
def test_history_when_realised_has_the_spectrum(amplitudes: realisation.Amplitudes) -> None:
    # Mean square of every band of 0.01 Hz against the integral of the density there, over 40 histories of 4096 s: 40
    # lines x 40 histories with random amplitudes scatter by 1/sqrt(1600) = 2.5 %.
    mean = np.zeros(2049)
    for seed in range(40):
        history = realisation.realise(SEA, 1.0, 4096, np.random.default_rng(seed), amplitudes)
        mean += 2.0 * np.abs(np.fft.rfft(history) / 4096) ** 2 / 40
    f = np.arange(2049) / 4096
    edges = np.arange(0.08, 0.2, 0.01)
    found = [mean[(f >= a) & (f < a + 0.01)].sum() for a in edges]
    expected = np.diff(spectra.variance_below(SEA, np.r_[edges, edges[-1] + 0.01]))
    np.testing.assert_allclose(found, expected, rtol=0.1)


def test_history_when_amplitudes_are_fixed_has_the_variance_exactly_and_scatters_when_random() -> None:
    # Fixed: the sum of A_k^2/2 is the variance on the lines, 0.25 but for the tail above 0.5 Hz (0.1 %).
    every = {
        kind: [realisation.realise(SEA, 1.0, 4096, np.random.default_rng(seed), kind).var() for seed in range(30)]
        for kind in ("fixed", "random")
    }
    share = 1.0 - spectra.share_outside(SEA, 0.5 / 4096, 0.5 - 0.5 / 4096)
    np.testing.assert_allclose(every["fixed"], 0.25 * share, rtol=1e-9)
    assert 0.02 < np.std(every["random"]) / 0.25 < 0.2


def test_history_when_the_seed_is_the_same_is_the_same() -> None:
    one, two, other = (realisation.realise(SEA, 1.0, 64, np.random.default_rng(seed)) for seed in (1, 1, 2))
    np.testing.assert_array_equal(one, two)
    assert not np.array_equal(one, other)


@pytest.mark.parametrize(
    ("step", "number", "amplitudes", "word"),
    [
        (4.0, 4096, "random", "take a shorter step"),
        (1.0, 4095, "random", "even number of values; read 4095"),
        (1.0, 4096, "both", "no amplitudes 'both'"),
    ],
)
def test_history_when_asked_wrongly_is_refused(step: float, number: int, amplitudes: str, word: str) -> None:
    with pytest.raises(ValueError, match=word):
        realisation.realise(SEA, step, number, np.random.default_rng(0), amplitudes)  # type: ignore[arg-type]


def test_referee_when_read_states_its_spread() -> None:
    # Definition on the rates of the histories themselves.
    found = realisation.referee(LONG_AND_SWELL, (3.0, 1.0), 1.0, 2**13, range(8))
    assert (found.histories, found.duration) == (8, 2.0**13)
    assert found.lowest < found.rate < found.highest
    assert found.standard_error == pytest.approx(found.spread / np.sqrt(8.0))
    with pytest.raises(ValueError, match="two histories or more"):
        realisation.referee(LONG_AND_SWELL, (3.0, 1.0), 1.0, 2**13, range(1))
