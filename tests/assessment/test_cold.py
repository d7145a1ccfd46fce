"""Cold as a factor of its own: a stiffer line in a given motion, data beyond their tests, a frozen wet rope."""

import dataclasses

import numpy as np
import pytest

from linewright.assessment.duty import Elastic, duty_of
from linewright.assessment.judge import findings_of
from linewright.assessment.whole import assess_case
from linewright.base.data import Curve
from linewright.base.findings import Finding
from linewright.cards.loader import load_shelf

CURVE = Curve("temperature", (233.15, 273.15, 293.15), (1.3, 1.12, 1.0), (1.1, 1.04, 1.0), (1.5, 1.2, 1.0))
SWELL = 'mean = "25 %LDBF", amplitude = "8 %LDBF", amplitude_kind = "significant", period = "14 s"'
MOVED = 'mean = "25 %LDBF", motion = "0.5 m", amplitude_kind = "significant", period = "14 s"'
COLD = ('climate = "hot-harbour-monthly"', 'climate = "cold-quay-monthly"\nmonths = [1, 2]')


def found(case, shelf, code: str) -> list[Finding]:
    """Findings of a code in the case without ropes to compare."""
    alone = dataclasses.replace(case, compared=())
    return [row for line in assess_case(alone, shelf).ropes[0].lines for row in findings_of(line) if row.code == code]


def untested(case, shelf) -> dict[str, list[str]]:
    """Texts of the finding by state, of the rope on board."""
    rows = found(case, shelf, "temperature-untested")
    about = {state: f", {state}: springs, HMPE" for state in ("calm", "swell")}
    return {state: [row.text for row in rows if text in row.about] for state, text in about.items()}


def test_stiffness_when_cold_is_the_cards_factor() -> None:
    # By hand: between 1.3 at -40 and 1.12 at 0 C it is 1.1425 at -5 C; the slopes take it too.
    rope = Elastic(1e6, 60.0, 40.0, -10.0, None, CURVE)
    cold = rope.at(268.15)
    assert (cold.stiffness, cold.mean_slope, cold.amplitude_slope) == pytest.approx((68.55, 45.7, -11.425))
    assert rope.at(293.15) == rope
    assert dataclasses.replace(rope, by_temperature=None).at(233.15).stiffness == 60.0


def test_motion_when_the_case_gives_it_pulls_harder_in_the_cold(make_case) -> None:
    # By hand, a rope alone: F = x f A L/l of a stiffness that neither mean nor swing changes: f 1.1425 at -5 C against
    # 1 at 20 C. The tail's share of the stretch is taken out here.
    case = make_case((SWELL, MOVED))
    line = case.lines[0]
    rope = Elastic(1.38e6, 60.0, by_temperature=CURVE)
    air = np.array([293.15, 268.15])
    warm, cold = (duty_of(case, line, (rope, rope), None, "load", air=values) for values in (air[[0, 0]], air))
    assert warm.swing[1] == pytest.approx(0.5 * 60.0 * 1.38e6 / 55.0, rel=1e-9)
    assert cold.swing[1] / warm.swing[1] == pytest.approx(1.1425, rel=1e-9)
    assert cold.highest[1] > warm.highest[1]
    np.testing.assert_array_equal(cold.swing[0], warm.swing[0])  # typed in kN: no stiffness in it
    np.testing.assert_array_equal(cold.air, air)


def test_motion_when_read_off_a_tension_is_taken_at_20_degrees(make_case) -> None:
    # The tension of the rope on board stays what was typed; another rope of the same curve gets the same at any air.
    case = make_case()
    line, air = case.lines[0], np.full(2, 253.15)
    board, soft = Elastic(1.38e6, 60.0, by_temperature=CURVE), Elastic(1.38e6, 20.0, by_temperature=CURVE)
    cold, warm = (duty_of(case, line, (board, soft), None, "motion", air=values) for values in (air, None))
    np.testing.assert_array_equal(cold.swing, warm.swing)


def test_motion_when_marked_as_read_off_a_tension_meets_20_degrees(make_case) -> None:
    # What a change of the line hands on as a motion was read at 20 C: it gives the tension back that it came from.
    case = make_case((SWELL, MOVED))
    line, rope, air = case.lines[0], Elastic(1.38e6, 60.0, by_temperature=CURVE), np.full(2, 253.15)
    berth = case.berths[0]
    states = []
    for state in berth.states:
        tension = dataclasses.replace(state.tension["springs"], at_room=True)
        states.append(dataclasses.replace(state, tension={"springs": tension}))
    marked = dataclasses.replace(case, berths=(dataclasses.replace(berth, states=tuple(states)),))
    cold, warm = (duty_of(marked, line, (rope, rope), None, "load", air=values) for values in (air, None))
    np.testing.assert_array_equal(cold.swing, warm.swing)


def test_whole_when_the_berth_is_cold_pulls_harder_in_the_same_motion(make_case) -> None:
    # The mean air of each berth reaches the duty: 31 C softens the line, -3 C stiffens it.
    shelf = load_shelf()
    swings = []
    for change in ((), (COLD,)):
        case = make_case((SWELL, MOVED), *change)
        result = assess_case(dataclasses.replace(case, compared=()), shelf)
        swings.append(result.ropes[0].lines[0].setup.duty.swing[1])
    assert 1.1 < swings[1] / swings[0] < 1.4


def test_findings_when_the_air_leaves_a_tested_range_name_every_datum(make_case, shelf) -> None:
    # The loss factor was tested from 0 C, strength and stiffness from -40 C.
    assert untested(make_case(), shelf) == {"calm": [], "swell": []}
    for texts in untested(make_case(COLD), shelf).values():
        assert len(texts) == 1
        assert "outside the tested range of loss factor (0 to 80 C): not tested" in texts[0]


def test_findings_when_strength_and_stiffness_are_left_in_the_cold_are_cautions(make_case, shelf) -> None:
    # A card tested from 10 C: the cold berth leaves strength and stiffness, which is more than a note on heat.
    fibre = shelf.fibres["hmpe-standard"]
    keys = ("strength_factor", "stiffness_factor")
    narrow = {key: dataclasses.replace(fibre.data[key], tested=(283.15, 353.15)) for key in keys}
    fibres = {**shelf.fibres, fibre.name: fibre.with_data(narrow)}
    case = make_case(COLD, ('tail = { rope = "polyester-tail-double-braid", length = "11 m" }', ""))
    rows = found(case, dataclasses.replace(shelf, fibres=fibres), "temperature-untested")
    severity = {row.text.split("range of ")[1].split(" (")[0]: row.severity for row in rows}
    assert severity == {"strength factor, stiffness factor": "caution", "loss factor": "note"}


def test_findings_when_a_wet_rope_freezes_say_so(make_case, shelf) -> None:
    # The swell state is wet, the calm one is not.
    case = make_case(COLD, ('share = "30 %"', 'share = "30 %"\nwetness = "0.5"'))
    texts = untested(case, shelf)
    assert any(text.startswith("frozen wet rope") for text in texts["swell"])
    assert not any(text.startswith("frozen wet rope") for text in texts["calm"])


def test_findings_when_a_state_goes_beyond_three_quarters_order_an_inspection(make_case, shelf) -> None:
    # Above 75 % of break permanent damage is assumed (a navy's training manual, read); Miner's sum is blind to it.
    case = make_case(('mean = "40 %LDBF"', 'mean = "74 %LDBF"'))
    rows = found(case, shelf, "tension-overload")
    assert [row.severity for row in rows if "calm: springs" in row.about] == ["caution"]
    assert "Before the next use" in rows[0].text
    assert "Maker and class decide" in rows[0].text
