"""A bending test of the rope in hand: form, band, and what it changes in the rope's data and in its life."""

import dataclasses

import numpy as np
import pytest

from linewright.assessment.bend_test import anchored
from linewright.assessment.rope import subject
from linewright.assessment.whole import assess_case
from linewright.base.errors import InputError
from linewright.physics import bending

TEST = """[line.bending_test]
cycles = "{cycles}"
load = "25 %"
bend_ratio = "15"
stroke = "8"
{more}
"""


@pytest.fixture
def with_test(make_case):
    def make(cycles: str = "2.4e4", more: str = ""):
        table = TEST.format(cycles=cycles, more=more)
        return make_case(("[[line.contact]]", table + "[[line.contact]]"))

    return make


def rope_of(case, shelf):
    line = case.lines[0]
    return subject(case, shelf, line, line.rope, line.where)


def test_rope_when_it_was_tested_is_anchored_at_its_own_test(with_test, shelf) -> None:
    # Three ropes: 2.4e4 times and over 1.459 (see the physics); a dry test of unknown temperature is 45 +- 15 C.
    data = rope_of(with_test(more="ropes = 3"), shelf).data
    cycles = data["bending_reference_cycles"]
    assert (cycles.low, cycles.value, cycles.high) == pytest.approx((2.4e4 / 1.459, 2.4e4, 2.4e4 * 1.459), rel=1e-3)
    assert cycles.basis == "given"
    assert cycles.source.startswith("case.toml:")
    assert "3 ropes tested" in cycles.where
    found = [data[f"bending_reference_{name}"].value for name in ("load", "ratio", "stroke")]
    assert found == [0.25, 15.0, 8.0]
    kelvin = data["bending_test_temperature"]
    assert (kelvin.low, kelvin.value, kelvin.high) == pytest.approx((303.15, 318.15, 333.15))
    assert not {"bending_test_ropes", "bending_test_scatter"} & set(data)
    card = shelf.rope("hmpe-standard-12-strand").data
    for key in ("bending_load_exponent", "bending_ratio_exponent", "bending_cycle_cap", "bending_tested_ratio"):
        assert data[key] == card[key]


@pytest.mark.parametrize(
    ("more", "celsius"),
    [('cooling = "water-cooled"', (15.0, 20.0, 25.0)), ('temperature = "52 degC"', (52.0, 52.0, 52.0))],
)
def test_temperature_when_it_is_told_is_taken(with_test, shelf, more: str, celsius: tuple[float, ...]) -> None:
    kelvin = rope_of(with_test(more=more), shelf).data["bending_test_temperature"]
    assert (kelvin.low, kelvin.value, kelvin.high) == pytest.approx(tuple(273.15 + value for value in celsius))


def test_test_when_it_went_further_than_the_card_lifts_the_cards_limits(with_test, shelf) -> None:
    # 3e5 cycles of one rope, band to 3e5 x 1.924; D/d 7 lies below the card's 10 and 8.
    case = with_test("3e5")
    line = case.lines[0]
    own = dict(line.rope_data)
    ratio = own["bending_reference_ratio"]
    own["bending_reference_ratio"] = dataclasses.replace(ratio, value=7.0, low=7.0, high=7.0)
    found = anchored(shelf.rope(line.rope).data, own)
    assert found["bending_cycle_cap"].value == pytest.approx(3e5 * 1.924, rel=1e-3)
    assert found["bending_tested_ratio"].value == found["bending_minimum_ratio"].value == 7.0


def test_rope_when_it_was_not_tested_is_the_cards(case, shelf) -> None:
    data = rope_of(case, shelf).data
    card = shelf.rope("hmpe-standard-12-strand").data
    assert all(data[key] == card[key] for key in card if key.startswith("bending_"))


def test_band_when_the_cycles_have_one_stays(make_case, shelf) -> None:
    # What the certificate says wins over what the number of ropes would leave.
    table = '{ value = "2.4e4", low = "2e4", high = "3e4" }'
    case = make_case(("[[line.contact]]", TEST.format(cycles="X", more="").replace('"X"', table) + "[[line.contact]]"))
    found = rope_of(case, shelf).data["bending_reference_cycles"]
    assert (found.low, found.high) == (2e4, 3e4)


def test_life_when_the_rope_was_tested_has_a_narrower_band(with_test, case, shelf) -> None:
    # The card's anchor spans a factor of 17; three ropes leave 2.1.
    alone = dataclasses.replace(with_test("1.8e4", 'ropes = 3\ncooling = "water-cooled"'), compared=())
    widths = []
    for given in (dataclasses.replace(case, compared=()), alone):
        ages = np.log(np.maximum(assess_case(given, shelf).ropes[0].ages, 0.02))
        widths.append(np.diff(np.quantile(ages, [0.1, 0.9]))[0])
    assert widths[1] < 0.9 * widths[0]


@pytest.mark.parametrize(
    ("more", "said"),
    [("ropes = 0", "ropes"), ('cooling = "oil"', "cooling"), ('temperature = "120 degC"', "0 to 85 degC"),
     ('scatter = "2"', "standard deviation")],
)  # fmt: skip
def test_form_when_a_value_cannot_be_says_what_is_needed(with_test, more: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        with_test(more=more)
    assert said in caught.value.render()


@pytest.mark.parametrize(("ropes", "scatter", "factor"), [(5, 0.30, 2.67), (3, None, 2.13)])
def test_rope_when_predicted_from_a_test_follows_students_law(ropes: int, scatter: float | None, factor: float) -> None:
    # By hand: n 5, s_n 0.30: nu 11, s^2 = (7 x 0.0225 + 4 x 0.09)/11 = 0.0470, t 1.796: 10^(1.796 x 0.2169 x
    # sqrt(1.2)) = 2.67. n 3 untold: nu 7, t 1.895: 10^(1.895 x 0.15 x sqrt(4/3)) = 2.13.
    both = np.hypot(np.log10(bending.mean_factor(ropes, scatter)), np.log10(bending.rope_factor(ropes, scatter)))
    assert 10.0**both == pytest.approx(factor, rel=3e-3)
