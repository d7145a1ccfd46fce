"""The duty on the page: berths with calls, states with tensions and their origin, contacts, invented weather."""

import html
from pathlib import Path
from typing import Any

from linewright.case.model import Response, State, Tension, Wave
from linewright.services import new
from linewright.services.answer import answer_lines
from linewright.services.assess import assess_study
from linewright.services.duties import is_invented, origin
from linewright.services.page import page
from linewright.services.page_duty import duty_section, months_told
from linewright.services.withheld import WITHHELD, for_client


def told(result) -> str:
    return html.unescape(page(result, "own"))


def test_page_when_read_says_for_which_duty(told_result) -> None:
    text, state = told(told_result), told_result["ropes"][0]["states"][0]

    for word in ("The duty", "1200 kN", "10 x 40 h", "Jun, Jul, Aug, Sep", "all year", "record harbour-surge.csv",
                 f"<td>{state['mean_tension'] / 1e3:.0f}</td>", "15 every 10 s", "<td>320</td>",
                 "178 mm", "60 deg", "hot station, public typical year; measured"):  # fmt: skip
        assert word in text


def test_page_when_a_climate_is_invented_says_so_for_that_berth_only(told_result) -> None:
    text = duty_section(told_result)
    assert text.count("no place has this weather") == 1
    for row in told_result["used"]:
        if row["owner"] == "swell-coast-monthly":
            row.update(value="Harbour office, 1990 to 2020", source="office", source_title="Office", where="table 3")
    assert "no place has this weather" not in duty_section(told_result)


def test_page_when_the_result_is_of_an_early_run_has_no_duty(told_result) -> None:
    del told_result["duty"]
    assert "The duty" not in told(told_result)


def test_page_when_a_radius_is_confidential_withholds_it_from_a_client(told_result) -> None:
    told_result["duty"]["contacts"][0]["confidential"] = ["bend_radius"]
    next(row for row in told_result["used"] if row["key"] == "friction_on_steel")["confidential"] = True
    assert "178 mm" in duty_section(told_result)
    client = duty_section(for_client(told_result))
    assert "178 mm" not in client
    assert WITHHELD in html.unescape(client)


def test_months_when_all_are_named_are_all_year() -> None:
    assert months_told(list(range(1, 13))) == months_told([]) == "all year"
    assert months_told([12, 1]) == "Dec, Jan"


def tension(**given) -> Tension:
    row = {"mean": None, "amplitude": None, "motion": None, "period": 10.0, "amplitude_kind": "significant"}
    return Tension(**{**row, **given})


def test_origin_when_told_names_record_motion_or_sea() -> None:
    state = State("swell", 1.0, 0.0, {}, sea=(Wave(1.5, 12.0), Wave(0.1, 0.0, band=(30.0, 200.0))))
    assert origin(state, tension(log="a.csv", channel="line 3")) == "record a.csv, line 3"
    assert origin(state, tension(motion=0.4)) == "motion of the ship 0.4 m, significant"
    assert origin(state, tension(response=Response(tension=1e5))) == "sea 1.5 m of 12 s and 0.1 m of 30 to 200 s"
    assert origin(state, tension(response=Response(spectrum="s.csv"))) == "spectrum s.csv"
    assert origin(state, tension()) == "given, steady"
    assert origin(state, tension(), "estimate") == "estimate, steady"


def of_new(folder: Path, given: dict[str, str]) -> dict[str, Any]:
    """A case of `linewright new` with few answers, run with few draws."""
    path = new.write_study(folder / "study", new.interview(lambda asked: given.get(asked.question.key, "")))
    path.write_text(path.read_text("utf-8") + "\n[spread]\nsamples = 256\n", "utf-8")
    return assess_study(folder / "study", keep=False)


def test_duty_when_new_kept_its_estimates_says_so_of_each(tmp_path: Path) -> None:
    result = of_new(tmp_path, {})
    text = html.unescape(duty_section(result))

    for word in ("1200 kN (estimate)", "10 x 36 h (estimate)", "estimate, steady", "estimate, significant"):
        assert word in text
    assert "given" not in text


def test_duty_when_it_was_typed_calls_no_number_an_estimate(tmp_path: Path) -> None:
    typed = {"design_break_load": "900 kN", "calls_per_year": "25", "hours_per_call": "40 h", "calm_mean": "180 kN",
             "swell": "60 kN", "swell_mean": "240 kN", "swell_period": "14 s", "bend_radius": "250 mm",
             "wrap": "50 deg"}  # fmt: skip
    result = of_new(tmp_path, typed)
    told = [result["duty"]["ship_basis"], *(row["basis"] for row in result["duty"]["berths"])]

    assert told == ["given", "given"]
    assert [row["from"] for row in result["duty"]["states"]] == ["given, steady", "given, significant"]
    assert [row["basis"] for row in result["duty"]["contacts"]] == ["given"]


def test_findings_when_a_climate_is_invented_name_its_berth_only(told_result) -> None:
    found = [row for row in told_result["findings"] if row["code"] == "weather-invented"]

    assert [(row["text"], row["about"]) for row in found] == [
        ("the weather of Swell Jetty is invented: no place has it", "Swell Jetty")
    ]
    assert ", weather invented" not in "\n".join(answer_lines(told_result))


def test_answer_when_the_hottest_berth_has_invented_weather_says_so_at_the_number(tmp_path: Path) -> None:
    lines = answer_lines(of_new(tmp_path, {}))

    assert any("A hottest: Berth 1" in line and line.endswith(" C, weather invented") for line in lines)
    assert "! all: the weather of Berth 1 is invented: no place has it" in lines


def test_invented_is_told_by_the_source_and_not_by_the_text_beside_it() -> None:
    climate = {"value": "Harbour, monthly (invented)", "source": "office", "source_title": "Mast", "where": "invented"}
    assert not is_invented(climate)
    assert is_invented({**climate, "source": "invented-example"})
    assert is_invented({**climate, "source_title": "Invented for a test"})
