"""Six paragraphs with the study's own numbers: each number follows the result, each special case is said."""

import re

from linewright.services.explain import apart, bend_of, explain, explain_lines
from linewright.services.explanations import ORDER, percent


def texts(result) -> dict[str, str]:
    return dict(explain(result))


def test_explain_when_told_has_six_paragraphs_in_order_with_numbers(told_result) -> None:
    found = explain(told_result)

    assert [title for title, _ in found] == list(ORDER)
    for _, text in found:
        assert re.search(r"\d", text)
        assert not re.search(r"[{}]|nan|None", text)
        assert len(text) < 900


def test_explain_when_a_share_changes_follows(told_result) -> None:
    told_result["ropes"][0]["shares"]["bending"] = 0.777
    assert "78 %" in texts(told_result)["bending"]


def test_explain_when_a_share_is_tiny_says_it_plays_no_part(told_result) -> None:
    told_result["ropes"][0]["shares"]["abrasion"] = 0.0
    assert texts(told_result)["abrasion"].endswith("next to no part here: 0 % of the strength lost.")


def test_explain_when_a_mechanism_is_not_assessed_says_so(told_result) -> None:
    told_result["ropes"][0]["not_assessed"] = ["bending"]
    assert "not assessed" in texts(told_result)["bending"]
    assert "not assessed for this rope" not in texts(told_result)["creep"]


def test_explain_when_the_rope_has_no_life_gives_the_reason(told_result) -> None:
    told_result["ropes"][0].update(life=None, not_comparable="not comparable: D/d 5.4 at the chock")
    found = texts(told_result)
    assert "(D/d 5.4 at the chock)" in found["creep"]
    assert "46 C" in found["heat"] or " C (" in found["heat"]


def test_explain_when_the_core_passes_its_limit_says_by_how_much(told_result) -> None:
    states = told_result["ropes"][0]["states"]
    hottest = max(states, key=lambda row: row["core_temperature"]["p50"])
    hottest["core_temperature"]["p50"] = 72.0
    assert "limit for long use is 65 C, which it passes by 7 K" in texts(told_result)["heat"]


def test_explain_when_heat_comes_from_another_source_names_another_remedy(told_result) -> None:
    before = texts(told_result)["heat"]
    hottest = max(told_result["ropes"][0]["states"], key=lambda row: row["core_temperature"]["p50"])
    hottest["rise_by_source"]["sliding"] = 30.0
    after = texts(told_result)["heat"]
    assert "shade, or a cover" in before
    assert "friction on the steel gives 30.0 K" in after
    assert "less rope between fitting and drum" in after


def test_explain_when_heat_cannot_be_steady_gives_no_temperature(told_result) -> None:
    hottest = max(told_result["ropes"][0]["states"], key=lambda row: row["core_temperature"]["p50"])
    hottest["is_sustainable"] = False
    heat = texts(told_result)["heat"]
    assert "to its melting range" in heat
    assert f"{hottest['core_temperature']['p50']:.0f} C" not in heat


def test_explain_when_no_state_has_hours_says_so(told_result) -> None:
    for state in told_result["ropes"][0]["states"]:
        state["hours_per_year"] = 0.0
    assert len({text for _, text in explain(told_result)}) == 1


def test_bend_of_when_the_case_gives_the_radius_is_twice_it_over_the_diameter(told_result) -> None:
    name, ratio = bend_of(told_result, told_result["ropes"][0])
    assert name == "closed chock"
    assert round(ratio or 0.0, 2) == round(2 * 178 / 42, 2)


def test_explain_lines_when_printed_fit_the_width(told_result) -> None:
    lines = explain_lines(told_result, 100)
    assert max(map(len, lines)) <= 100
    assert [line.lower() for line in lines if line.isupper()] == list(ORDER)


def test_percent_when_small_or_none_says_so() -> None:
    assert (percent(0.0), percent(0.004), percent(0.364)) == ("0 %", "less than 1 %", "36 %")


def test_explain_when_berths_differ_names_the_coldest_and_its_share_of_creep(told_result) -> None:
    cold = texts(told_result)["cold"]
    air = min(row["coldest_air_temperature"] for row in told_result["ropes"][0]["states"])
    assert f"The coldest hours are those at North Quay, with air of {air:.0f} C." in cold
    assert "of the year's creep falls at that berth" in cold
    assert air < min(row["air_temperature"] for row in told_result["ropes"][0]["states"])


def test_explain_when_there_is_one_berth_ranks_nothing(told_result) -> None:
    board = told_result["ropes"][0]
    board["states"] = [row for row in board["states"] if row["berth"] == "Swell Jetty"]
    cold = texts(told_result)["cold"]
    assert f"In its coldest hours the air is {board['states'][0]['coldest_air_temperature']:.0f} C." in cold
    assert "coldest hours are those" not in cold
    assert "creep falls" not in cold


def test_explain_when_the_wear_is_tiny_gives_two_figures_that_differ(told_result) -> None:
    for state in told_result["ropes"][0]["states"]:
        state["strength_loss_per_year"]["abrasion"] = 2e-5 if state["name"] == "swell" else 0.0
    assert "would take 0.0040 % of strength a year instead of 0.0020 %" in texts(told_result)["abrasion"]


def test_apart_when_numbers_are_close_finds_the_decimals() -> None:
    assert apart(1.8, 2.0) == ("1.8", "2.0")
    assert apart(0.0449, 0.0898) == ("0.045", "0.090")
    assert apart(12.0, 24.0) == ("12", "24")
    assert apart(1.801, 1.804) == ("1.801", "1.804")
    assert apart(0.0, 0.0) == ("0.000", "0.000")
