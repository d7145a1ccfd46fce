"""Why a number is what it is: keys that can be guessed, values of the result, data with sources, wrong keys."""

import copy
import html
import json

import pytest

from linewright.base.errors import InputError
from linewright.services.asking import askable, overview, rope_key
from linewright.services.page import page
from linewright.services.scene import Scene
from linewright.services.show import show_lines
from linewright.services.why import Node, why
from linewright.services.why_text import datum_text, told, tree_lines, value_text


def named(result, name: str):
    return next(row for row in result["ropes"] if name in row["name"])


def of(rope, name: str, line: str):
    return next(row for row in rope["states"] if row["name"] == name and row["line"] == line)


def test_why_when_asked_for_life_tells_the_band_and_every_mechanism(told_scene: Scene) -> None:
    node = why(told_scene, "life")
    life = told_scene.result["ropes"][0]["life"]

    assert (node.value, node.low, node.high, node.unit) == (life["p50"], life["p10"], life["p90"], "years")
    assert {part.name.split(":")[0] for part in node.parts} == set(told_scene.result["ropes"][0]["shares"])
    assert sum(part.value for part in node.parts) == pytest.approx(100.0)


def test_why_when_a_life_reaches_the_horizon_prints_a_bound(told_scene: Scene) -> None:
    scene = copy.deepcopy(told_scene)
    scene.result["ropes"][0]["life"].update(p50=30.0, p90=30.0, central=30.0)
    text = "\n".join(tree_lines(why(scene, "life")))

    assert ">30 years  P10 to P90:" in text
    assert "to >30 years" in text
    assert "central run >30; not reached in 30 years; largest loss:" in text
    assert " 30 years  P10" not in text


@pytest.mark.parametrize("key", ["sustained_margin", "held", "sustained-margin", "held.too-tight"])
def test_why_when_the_sustained_margin_is_asked_answers_with_its_smallest(told_scene: Scene, key: str) -> None:
    node = why(told_scene, key)
    assert node.value == min(row["margin_sustained"] for row in told_scene.result["ropes"][0]["states"])
    assert any("the creep law does not confirm it" in text for text in node.findings)
    assert "strength_per_decade" in {row["key"] for row in node.data}


def test_why_when_other_words_are_used_answers_all_the_same(told_scene: Scene) -> None:
    assert why(told_scene, "WLL").value == why(told_scene, "working_load_limit").value == 600.0
    assert why(told_scene, "creep").value == why(told_scene, "shares.creep").value
    assert why(told_scene, "SDMBL").value == 1200.0


def test_why_when_one_name_is_part_of_another_picks_the_exact_rope(told_scene: Scene) -> None:
    low = named(told_scene.result, "HMPE, low-creep")["life"]["p50"]
    very = named(told_scene.result, "very-low-creep")["life"]["p50"]

    assert low != very
    assert why(told_scene, "life.low-creep").value == low
    assert why(told_scene, "life.very-low-creep").value == very


def test_why_when_a_state_is_named_in_part_finds_it_and_the_worst_line(told_scene: Scene) -> None:
    states = [row for row in told_scene.result["ropes"][0]["states"] if row["name"] == "winter gale"]
    assert len({row["margin"] for row in states}) > 1
    assert why(told_scene, "margin.gale").value == min(row["margin"] for row in states)


def test_why_when_swell_is_asked_does_not_take_long_swell(told_scene: Scene) -> None:
    board = told_scene.result["ropes"][0]
    springs, breasts = of(board, "swell", "forward springs"), of(board, "swell", "forward breasts")

    assert why(told_scene, "core.swell").value == springs["core_temperature"]["p50"]
    assert why(told_scene, "skin.swell.forward-breasts").value == breasts["skin_temperature"]["p50"]
    assert why(told_scene, "rise.swell.bending").value == springs["rise_by_source"]["bending"]


def test_why_when_a_rise_is_asked_its_parts_close(told_scene: Scene) -> None:
    node = why(told_scene, "rise.swell")
    assert sum(part.value for part in node.parts) == pytest.approx(node.value, abs=1e-6)


def test_why_when_a_core_is_asked_holds_data_of_this_state_and_rope_only(told_scene: Scene) -> None:
    owners = {row["owner"] for part in (why(told_scene, "core.swell"), *why(told_scene, "core.swell").parts)
              for row in part.data}  # fmt: skip

    assert "hmpe-standard" in owners
    assert "Equator Terminal, swell: forward springs" in owners
    assert not [name for name in owners if "low-creep" in name or "North Quay" in name or "breasts" in name]


def test_why_when_a_datum_is_asked_tells_value_band_basis_source_and_how_it_was_read(told_scene: Scene) -> None:
    node = why(told_scene, "bending_reference_cycles")
    text = "\n".join(tree_lines(node))

    assert node.data[0]["owner"] == "hmpe-standard"
    assert "18000  (4000 to 70000)  derived" in text
    assert "read second-hand" in text
    assert told_scene.shelf.sources[node.data[0]["source"]].title in text
    assert why(told_scene, "ship_design_break_load").value == 1200.0


def test_why_when_a_datum_is_typed_for_a_state_can_be_narrowed(told_scene: Scene) -> None:
    node = why(told_scene, "mean.winter-gale.springs")
    assert [(row["value"], row["unit"]) for row in node.data] == [(36.0, "%LDBF")]


def test_why_when_a_caution_is_on_the_number_says_it(told_scene: Scene) -> None:
    assert any("above WLL" in text for text in why(told_scene, "margin.gale").findings)
    assert not why(told_scene, "margin.swell").findings


def test_why_when_a_rope_is_refused_gives_the_reason_and_no_years(told_scene: Scene) -> None:
    node = why(told_scene, "life.polyester")
    assert str(node.value).startswith("not comparable")
    assert not node.parts


@pytest.mark.parametrize(
    ("key", "hint"), [("core.swel", "core.swell"), ("gore", "core"), ("payout_spred", "payout_spread"),
                      ("life.nylon", "life.low-creep"), ("rise.swell.wind", "rise.swell"), ("", "lists"),
                      ("<script>", "lists what can be asked")]
)  # fmt: skip
def test_why_when_a_key_is_wrong_names_the_nearest(told_scene: Scene, key: str, hint: str) -> None:
    with pytest.raises(InputError) as caught:
        why(told_scene, key)
    assert hint in caught.value.render()


def test_askable_when_listed_every_key_has_an_answer(told_scene: Scene) -> None:
    keys = [key for key, _ in askable(told_scene.result)]
    assert len(keys) > 40
    for key in [*keys, *{row["key"] for row in told_scene.result["used"]}]:
        assert isinstance(why(told_scene, key), Node)


def test_overview_when_printed_names_every_key_once(told_scene: Scene) -> None:
    words = " ".join(overview(told_scene.result)).split()
    for key, _ in askable(told_scene.result):
        assert key in words


def test_rope_key_when_two_differ_by_duty_only_still_tells_them_apart(told_scene: Scene) -> None:
    keys = [rope_key(told_scene.result, rope) for rope in told_scene.result["ropes"]]
    assert len(set(keys)) == len(keys)


def test_told_when_json_is_asked_is_the_same_tree(told_scene: Scene) -> None:
    row = json.loads(told(told_scene, "margin.gale", True))
    assert row["value"] == why(told_scene, "margin.gale").value
    assert row["data"]
    assert "life" in json.loads(told(told_scene, "", True))["numbers"]


def test_tree_when_a_name_holds_an_escape_shows_it(told_scene: Scene) -> None:
    assert tree_lines(Node("bad\x1b[31mname", 1.0))[0] == "bad\\x1b[31mname"


def test_value_text_when_a_band_is_there_has_unit_and_basis() -> None:
    assert (
        value_text(Node("n", 4.13, 1.46, 9.92, "years", digits=1))
        == "4.1 years  P10 to P90: 1.5 to 9.9 years  (computed)"
    )
    assert value_text(Node("n", 18000.0, 4000.0, 70000.0, basis="derived")).startswith(
        "18000  P10 to P90: 4000 to 70000"
    )


def test_datum_text_when_it_is_withheld_or_a_table_says_so() -> None:
    row = {"unit": "", "value": "maker's data, on file", "low": None, "high": None}
    assert datum_text(row) == "maker's data, on file"
    assert datum_text({**row, "value": [[1.0, 2.0, 1.0, 3.0]]}) == "table of 1 points"


def test_why_when_a_monthly_climate_is_asked_shows_its_months_and_the_hour_used(told_scene: Scene) -> None:
    lines = tree_lines(why(told_scene, "months.swell-coast"))
    state = next(row for row in told_scene.result["ropes"][0]["states"] if row["name"] == "long swell")

    assert "1        21.0 to 25.0              1.3          18.5        4.4        40" in [
        line.strip() for line in lines
    ]
    assert any(f"hot hour of Swell Jetty, long swell, forward springs: air {state['air_temperature']:.0f} C, wind "
               f"{state['hot_hour_wind']:.1f} m/s" in line for line in lines)  # fmt: skip
    assert not [line for line in lines if "Equator" in line]


def test_why_when_an_hourly_climate_is_asked_has_no_months_but_the_hour_used(told_scene: Scene) -> None:
    lines = tree_lines(why(told_scene, "months.hot-typical-year"))
    assert not [line for line in lines if "dew point" in line]
    assert any("hot hour of Equator Terminal, swell" in line for line in lines)


def test_air_when_told_says_which_hour_it_is_of(told_scene: Scene) -> None:
    hour = "hour whose core 5 % of the state's time exceeds"
    assert hour in "\n".join(tree_lines(why(told_scene, "air")))
    assert hour in show_lines(told_scene.result)[-1]
    assert hour in html.unescape(page(told_scene.result))


@pytest.mark.parametrize("key", ["life", "margin"])
def test_told_when_a_number_rests_on_many_data_shows_the_top_ones_and_all_on_demand(
    told_scene: Scene, key: str
) -> None:
    short, whole = told(told_scene, key, False), told(told_scene, key, False, True)
    data = why(told_scene, key).data or why(told_scene, key).parts[0].data
    ranked = [row["share_of_band"] for row in data]

    assert ranked == sorted(ranked, reverse=True)
    assert "more data: --all" in short
    assert "more data" not in whole
    assert len(whole.splitlines()) > 1.5 * len(short.splitlines())
    assert f"- {data[0]['key']}" in short
    assert all(f"- {row['key']}" in whole for row in data)
