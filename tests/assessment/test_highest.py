"""The highest tension of a state: how long it lasts, and what a study states.

By hand (Longuet-Higgins 1952), 1380 kN, mean 25 % = 345 kN, significant 8 % so sigma = 55.2 kN, 14 s: in 3 h
n = 771.4 and F = 345 + 55.2 sqrt(2 ln 771.4) = 345 + 55.2 x 3.6464 = 546.3 kN, whatever the share of the call.
"""

import numpy as np
import pytest

from linewright.assessment.duty import Duty, Elastic, duty_of
from linewright.assessment.highest import Raised
from linewright.assessment.record import Counted, count
from linewright.base.errors import InputError
from linewright.importers.model import Record
from linewright.physics import cycles, realisation, spectra

ROPE = Elastic(1.38e6, 60.0)
SHARES = (('share = "70 %"', 'share = "99.99 %"'), ('share = "30 %"', 'share = "0.01 %"'))
SWELL = 'amplitude = "8 %LDBF"'


@pytest.fixture
def duty(make_case):
    """Duty of the small case with changes, for the rope on board or for another."""

    def make(*changes: tuple[str, str], assessed: Elastic = ROPE, same="load") -> Duty:
        case = make_case(*changes)
        return duty_of(case, case.lines[0], (ROPE, assessed), None, same)

    return make


def test_rare_state_lasts_three_hours_and_no_longer_than_the_call(duty) -> None:
    rare = duty(*SHARES)
    assert rare.call_hours[1] == 3.0
    assert rare.hours[1] == pytest.approx(10 * 40 * 1e-4)
    assert rare.highest[1] == pytest.approx(546.3e3, rel=1e-4)
    assert duty(*SHARES, ('hours_per_call = "40 h"', 'hours_per_call = "2 h"')).call_hours[1] == 2.0


def test_highest_tension_does_not_fall_when_a_state_is_split(duty) -> None:
    """Finer states of one sea must not look safer."""
    shares = [f"{part:g} %" for part in (30.0, 3.0, 0.3)]
    found = [
        duty(('share = "70 %"', f'share = "{100.0 - float(share[:-1]):g} %"'), ('share = "30 %"', f'share = "{share}"'))
        for share in shares
    ]
    highest = [item.highest[1] for item in found]

    assert highest[0] > highest[1] == highest[2]


def test_stated_time_counts(duty) -> None:
    short = duty(*SHARES, ('share = "0.01 %"', 'share = "0.01 %"\nlasts = "20 min"'))

    assert short.call_hours[1] == pytest.approx(1.0 / 3.0)
    assert short.highest[1] < 546.3e3


@pytest.mark.parametrize(("stated", "expected"), [("700 kN", 700e3), ("400 kN", None), ("50 %LDBF", 690e3)])
def test_stated_highest_counts_when_it_is_the_larger(duty, stated: str, expected: float | None) -> None:
    plain = duty()
    found = duty((SWELL, f'{SWELL}, highest = "{stated}"'))

    assert found.highest[1] == pytest.approx(plain.highest[1] if expected is None else expected)
    assert found.swing[1] == plain.swing[1]


def test_stated_highest_goes_with_the_swing_of_another_rope(duty) -> None:
    """By hand: half the stiffness, half the swing, half of the 355 kN above the mean: 345 + 177.5 kN."""
    soft = Elastic(1.38e6, 30.0)
    found = duty((SWELL, f'{SWELL}, highest = "700 kN"'), assessed=soft, same="motion")

    assert found.highest[1] == pytest.approx(522.5e3)


def test_stated_highest_below_the_mean_is_refused(make_case) -> None:
    with pytest.raises(InputError) as caught:
        make_case((SWELL, f'{SWELL}, highest = "20 %LDBF"'))

    assert "highest" in caught.value.problems[0].where


# --- records -------------------------------------------------------------------------------------
# By hand (Rice 1944, Longuet-Higgins 1952): a level band of 0.06 to 0.12 Hz rises through its mean sqrt((0.12^3 -
# 0.06^3)/(3 x 0.06)) = 0.0917 times a second: n = 55 crests in ten minutes, N = 990 in three hours. In deviations the
# median of the largest is sqrt(2 ln(n / ln 2)), 2.96 and 3.81: the highest of ten minutes lies 22 % of the swing low.

TYPED = '{ mean = "25 %LDBF", amplitude = "8 %LDBF", amplitude_kind = "significant", period = "14 s" }'
MEAN, SIGMA = 345e3, 55.2e3  # [N]


@pytest.fixture(scope="module")
def swell() -> list[np.ndarray]:
    """Sixteen histories of 18 h of swell at 2 Hz, unit deviation (invented)."""
    band = spectra.band(0.06, 0.12, 1.0)
    return [realisation.realise(band, 0.5, 2**17, np.random.default_rng(seed)) for seed in range(16)]


def pieces(histories: list[np.ndarray]) -> list[np.ndarray]:
    """The histories in pieces of three hours."""
    return [item[a : a + 21600] for item in histories for a in range(0, item.size - 21599, 21600)]


def counted(values: np.ndarray) -> Counted:
    """The first ten minutes of a history, counted."""
    return count(Record(0.5 * np.arange(1200.0), values[:1200], {}))


def test_short_records_meet_on_average_what_three_hours_hold(swell) -> None:
    """Against the largest of the three hours themselves and against the exact mean of N Rayleigh cycles, to 3 %.

    By hand the mean of the short record keeps its own 0.577/sqrt(2 ln n), 0.05 sigma more than that of the long.
    """
    rows = pieces(swell)
    whole = np.mean([row.max() for row in rows])
    records = [Raised.of("log.csv", counted(row), 10800.0) for row in rows]

    assert whole == pytest.approx(cycles.mean_maximum(0.0, 1.0, 990.0), rel=0.03)
    assert np.mean([item.expected for item in records]) == pytest.approx(whole, rel=0.03)
    assert np.mean([item.own for item in records]) < 0.82 * whole


def test_band_of_a_short_record_holds_the_median_of_the_longer_time_in_four_of_five(swell) -> None:
    """Records of independent Rayleigh crests with the deviation known, seeded: the band is P10 to P90."""
    crests = np.random.default_rng(7).rayleigh(1.0, (20000, 50)).max(axis=1)
    grown = np.sqrt(2.0 * np.log(900.0)) - np.sqrt(2.0 * np.log(50.0))
    rows = [Raised("log.csv", 0.0, 600.0, 10800.0, float(own + grown), 1.0, 50.0).band for own in crests]
    median = np.sqrt(2.0 * np.log(900.0 / np.log(2.0)))
    inside = np.mean([low <= median <= high for low, high in rows])

    assert inside == pytest.approx(0.8, abs=0.03)


def test_duty_of_a_record_takes_the_raised_tension_and_keeps_the_own(make_case, swell) -> None:
    case = make_case((TYPED, '{ log = "log.csv" }'))
    log = counted(MEAN + SIGMA * swell[0])
    found = duty_of(case, case.lines[0], (ROPE, ROPE), None, "load", ({"log.csv": log}, {}))
    raised = found.raised[1]

    assert found.call_hours[1] == pytest.approx(12.0)
    assert raised is not None
    assert raised.own == log.highest
    assert found.highest[1] == raised.expected == log.raised(12.0 * 3600.0) > 1.05 * log.highest
    scores = {raised.column: np.array([-1.2816, 0.0, 1.2816])}
    assert np.allclose(found.highest_at(scores)[:, 1], [raised.band[0], raised.expected, raised.band[1]])
    assert found.highest_at({}).shape == (1, 2)


@pytest.mark.parametrize("stated", [450e3, 700e3, 350e3])
def test_stated_highest_beside_a_record_wins_over_the_extrapolation(make_case, swell, stated: float) -> None:
    case = make_case((TYPED, f'{{ log = "log.csv", highest = "{stated / 1e3:.0f} kN" }}'))
    log = counted(MEAN + SIGMA * swell[0])
    found = duty_of(case, case.lines[0], (ROPE, ROPE), None, "load", ({"log.csv": log}, {}))

    assert found.highest[1] == max(stated, log.highest)
    raised = found.raised[1]
    assert raised is not None
    assert raised.band == (found.highest[1], found.highest[1])
    assert not raised.text
