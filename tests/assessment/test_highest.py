"""The highest tension of a state: how long it lasts, and what a study states.

By hand (Longuet-Higgins 1952), 1380 kN, mean 25 % = 345 kN, significant 8 % so sigma = 55.2 kN, 14 s: in 3 h
n = 771.4 and F = 345 + 55.2 sqrt(2 ln 771.4) = 345 + 55.2 x 3.6464 = 546.3 kN, whatever the share of the call.
"""

import pytest

from linewright.assessment.duty import Duty, Elastic, duty_of
from linewright.base.errors import InputError

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
