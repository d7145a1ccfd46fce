"""Share of slack cycles where the law of the amplitudes is known: typed states and spectra.

By hand (Rayleigh, from memory): of narrow-band amplitudes exp(-a^2/2 sigma^2) exceed a, so that a trough z sigma below
the mean has that share of the cycles below it: 0.8825 at z = 0.5, 0.1353 at 2, 3.35e-4 at 4.
"""

import numpy as np
import pytest
from scipy import integrate

from linewright.assessment.duty import Elastic, duty_of
from linewright.assessment.slack import Troughs, slack_shares, troughs_of
from linewright.physics import spectra, spectral_fatigue

ROPE = Elastic(1.38e6, 60.0)
SWELL = '{ mean = "25 %LDBF", amplitude = "8 %LDBF", amplitude_kind = "significant", period = "14 s" }'
MEAN, SIGMA = 345e3, 55.2e3  # [N]


def below(slack: Troughs, trough: float, least: float = 0.0, state: int = 0) -> float:
    """Share of one state's cycles below a tension and of a range [N]."""
    return float(slack_shares(slack, np.array([trough]), np.array([least]))[0, state])


@pytest.mark.parametrize("sigmas", np.arange(0.5, 4.01, 0.25))
def test_typed_state_has_the_share_of_the_rayleigh_tail(make_case, sigmas: float) -> None:
    """Between the 64 points of a quadrature, the share came out 0.75 to 1.3 times this."""
    case = make_case()
    slack = duty_of(case, case.lines[0], (ROPE, ROPE), None, "load").slack

    assert below(slack, MEAN - sigmas * SIGMA, state=1) == pytest.approx(np.exp(-0.5 * sigmas**2), rel=1e-6)


def test_range_that_counts_limits_a_state_about_the_limit(make_case) -> None:
    """By hand: a mean 1 sigma below the limit: every trough lies there; ranges of 3 sigma or more are exp(-1.125)."""
    case = make_case()
    slack = duty_of(case, case.lines[0], (ROPE, ROPE), None, "load").slack

    assert below(slack, MEAN + SIGMA, 3.0 * SIGMA, 1) == pytest.approx(np.exp(-0.5 * 1.5**2), rel=1e-6)
    assert below(slack, MEAN + SIGMA, 0.0, 1) == pytest.approx(1.0)


def test_sine_is_slack_in_every_cycle_or_in_none(make_case) -> None:
    case = make_case((SWELL, SWELL.replace("significant", "constant")))
    slack = duty_of(case, case.lines[0], (ROPE, ROPE), None, "load").slack

    assert below(slack, MEAN - 111e3, state=1) == 0.0
    assert below(slack, MEAN - 110e3, 220e3, 1) == 1.0


@pytest.mark.parametrize("method", sorted(spectral_fatigue.METHODS))
@pytest.mark.parametrize("sigmas", [0.5, 1.3, 2.6, 3.7])
def test_spectral_methods_have_the_share_of_their_own_range_density(method: str, sigmas: float) -> None:
    """Against the density of the method, integrated apart with QUADPACK, for two bands (invented)."""
    bands = spectra.combined(spectra.band(0.02, 0.03, 4.0), spectra.band(0.08, 0.12, 1.0))
    mixture = spectral_fatigue.METHODS[method](spectra.moments(bands))
    deviation = mixture.deviation
    shares = mixture.rates / spectral_fatigue.cycle_rate(mixture)
    law = Troughs.of_law(0.0, mixture.scales / deviation, shares, mixture.exponential).moved(0.0, deviation, 10.0)

    def density(span: float) -> float:
        return float(spectral_fatigue.range_density(mixture, np.array([span]))[0])

    above, _ = integrate.quad(density, 2.0 * sigmas * deviation, 24.0 * deviation, epsabs=1e-12, limit=200)
    assert below(Troughs.stacked([law]), 10.0 - sigmas * deviation) == pytest.approx(above, rel=1e-5)


def test_groups_of_counted_rayleigh_cycles_follow_the_tail_between_their_ends() -> None:
    """A million seeded amplitudes about 0; 2 % from 0.5 to 4 sigma, where 340 cycles are left and luck is 5 %."""
    amplitude = np.random.default_rng(11).rayleigh(1.0, 10**6)
    slack = Troughs.stacked([troughs_of(np.column_stack([2.0 * amplitude, 0.0 * amplitude, 1.0 + 0.0 * amplitude]))])

    for sigmas in np.arange(0.5, 4.01, 0.25):
        share = np.mean(amplitude > sigmas)
        assert below(slack, -sigmas) == pytest.approx(share, rel=0.02)
        assert share == pytest.approx(np.exp(-0.5 * sigmas**2), rel=0.1)
