"""The whole chain on a small case: shapes, order, monotony, shared and unrelated laws."""

from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest

from linewright.assessment.compare import compare, outlives
from linewright.assessment.duty import Elastic, duty_of, series_stiffness
from linewright.assessment.rope import subject, tail_subject
from linewright.assessment.whole import assess_case
from linewright.base.errors import CardError, InputError


def test_whole_when_run_on_threads_then_the_numbers_are_the_same(make_case, shelf) -> None:
    case = make_case(("samples = 256", "samples = 512"))
    serial = assess_case(case, shelf)
    with ThreadPoolExecutor(2) as threads:
        threaded = assess_case(case, shelf, threads)

    for one, two in zip(serial.ropes, threaded.ropes, strict=True):
        np.testing.assert_array_equal(one.ages, two.ages)
        np.testing.assert_array_equal(one.lines[0].blocks.core, two.lines[0].blocks.core)


def test_whole_when_a_lower_grade_is_compared_then_creep_only_differs(whole) -> None:
    """HMPE grades ship the same bending anchor: a difference may come from creep only."""
    item = compare(whole, whole.ropes[0], whole.ropes[1])

    assert all(
        key.startswith("creep_") or key in ("design_break_force", "diameter", "mass_per_length")
        for key in item.rests_on
    )
    assert item.ratio[1] > 1.0
    assert item.shared >= item.apart > 0.5


def test_whole_when_the_bend_is_below_the_tests_then_the_rope_is_not_ranked(whole) -> None:
    """Polyester of 66 mm over a radius of 0.2 m: D/d 6.1, its bending tests end at 8."""
    polyester = whole.ropes[2]

    assert polyester.refusal == "D/d 6.1 at the closed chock, bending tests end at 8"


def test_rises_when_summed_by_source_then_they_are_the_core_over_air(whole) -> None:
    """Linearity: the parts add up to the whole within 1e-6 K."""
    for line in whole.ropes[0].lines:
        total = sum(line.central.rises.values())
        rise = line.blocks.core[0] - line.central.air
        np.testing.assert_allclose(total, rise, atol=1e-6)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('amplitude = "8 %LDBF"', 'amplitude = "10 %LDBF"'),
        ('inboard_length = "15 m"', 'inboard_length = "22 m"'),
        ('mean = "40 %LDBF"', 'mean = "44 %LDBF"'),
        ('hours_per_call = "40 h"', 'hours_per_call = "60 h"'),
        ('climate = "swell-coast-monthly"', 'climate = "hot-harbour-monthly"'),
    ],
)
def test_life_when_the_duty_is_harder_then_it_is_shorter(make_case, shelf, old, new) -> None:
    """More swing, more inboard rope, more tension, more hours, a hotter berth: never a longer life."""
    first = (("hot-harbour-monthly", "swell-coast-monthly"),) if "climate" in old else ()
    easy = assess_case(make_case(*first), shelf).ropes[0]
    hard = assess_case(make_case(*first, (old, new)), shelf).ropes[0]

    assert hard.ages[0] < easy.ages[0]
    assert np.all(hard.ages <= easy.ages + 1e-9)


def test_duty_when_the_motion_is_kept_then_the_softer_rope_swings_less(case, shelf) -> None:
    """By hand: stiffness of 55 m rope and 11 m tail in series.

    HMPE 44 mm at 25 % mean: EA = 60 x 1380 = 82.8 MN; polyester tail EA about 26.75 x 1500 = 40 MN:
    1/k = 55/82.8 + 11/40 = 0.664 + 0.275 -> k = 1.06 MN/m. Polyester 66 mm: EA about 33 MN:
    1/k = 55/33 + 0.275 = 1.94 -> k = 0.52 MN/m: about half the swing for the same motion.
    """
    line = case.lines[0]
    board = Elastic.of(subject(case, shelf, line, line.rope, "").data)
    soft = Elastic.of(subject(case, shelf, line, "polyester-parallel-strand", "").data)
    tail = Elastic.of(tail_subject(case, shelf, line).data)

    kept = duty_of(case, line, (board, soft), tail, "load")
    moved = duty_of(case, line, (board, soft), tail, "motion")

    assert series_stiffness(line, board, tail, 345e3, 0.0) == pytest.approx(1.06e6, rel=0.03)
    np.testing.assert_allclose(kept.swing, [13.8e3, 110.4e3])
    ratio = moved.swing[1] / kept.swing[1]
    assert 0.4 < ratio < 0.6
    assert moved.mean[1] == kept.mean[1]


def test_duty_when_motion_is_typed_then_it_gives_the_same_swing_as_its_load(case, make_case, shelf) -> None:
    """Motion in metres and the load it makes are one duty for the rope on board."""
    line = case.lines[0]
    board = Elastic.of(subject(case, shelf, line, line.rope, "").data)
    tail = Elastic.of(tail_subject(case, shelf, line).data)
    swing = 0.08 * 1380e3
    metres = swing / series_stiffness(line, board, tail, 0.25 * 1380e3, swing)

    typed = make_case(('amplitude = "8 %LDBF"', f'motion = "{metres:.9f} m"'))
    duty = duty_of(typed, line, (board, board), tail, "load")

    assert duty.swing[1] == pytest.approx(swing, rel=1e-6)


def test_outlives_when_ages_tie_then_they_count_half() -> None:
    assert outlives(np.array([1.0, 2.0, 3.0, 3.0]), np.array([2.0, 2.0, 1.0, 3.0]), np.ones(4)) == pytest.approx(0.5)


def test_case_when_it_names_a_card_that_is_not_there_then_the_names_are_listed(make_case, shelf) -> None:
    with pytest.raises(InputError, match="closed-chock"):
        assess_case(make_case(('card = "closed-chock"', 'card = "open-chock"')), shelf)
    with pytest.raises(InputError, match="hot-harbour-monthly"):
        assess_case(make_case(('climate = "hot-harbour-monthly"', 'climate = "nowhere"')), shelf)


def test_case_when_the_bend_is_sharper_than_the_rope_then_it_is_refused(make_case, shelf) -> None:
    with pytest.raises(InputError, match="sharper than the rope is thick"):
        assess_case(make_case(('bend_radius = "0.2 m"', 'bend_radius = "20 mm"')), shelf)


def test_card_when_it_lacks_what_heat_needs_then_it_is_refused(case, shelf) -> None:
    from dataclasses import replace

    fibre = shelf.fibres["hmpe-standard"]
    poor = replace(fibre, data={key: datum for key, datum in fibre.data.items() if key != "axial_conductivity"})
    with pytest.raises(CardError, match="axial_conductivity"):
        assess_case(case, replace(shelf, fibres={**shelf.fibres, "hmpe-standard": poor}))


def test_card_when_it_lacks_a_mechanism_then_the_rope_is_not_ranked(case, shelf) -> None:
    from dataclasses import replace

    fibre = shelf.fibres["hmpe-standard"]
    poor = replace(fibre, data={key: datum for key, datum in fibre.data.items() if key != "wear_coefficient"})
    whole = assess_case(case, replace(shelf, fibres={**shelf.fibres, "hmpe-standard": poor}))

    assert whole.ropes[0].refusal == "abrasion not assessed"
    assert whole.ropes[0].lines[0].not_assessed == ("abrasion",)
