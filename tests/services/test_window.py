"""An operating window told: marks by their definition, words by hand, pictures and card that need no colour."""

import io
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from linewright.services.figures_card import crew_card
from linewright.services.figures_window import core_map, hours_map, write_card, write_window
from linewright.services.figures_zones import DOTS, HATCH
from linewright.services.window import Asked, window_of
from linewright.services.window_text import NO_WORSE, in_short, short_bound, told_worse, window_lines

Row = dict[str, Any]


@pytest.fixture(scope="module")
def row(told_study: Path) -> Row:
    return window_of(told_study, Asked(line="springs", state="Equator Terminal, swell", size=12))


def test_marks_say_what_the_numbers_say(row: Row) -> None:
    # By the definition in the text: long-term limit and WLL give caution, short-term limit, margin and one stay stop.
    core, skin = np.array(row["core"]["p90"]), np.array(row["skin"]["p90"])
    limits, margin = row["limits"], np.array(row["margin"]["p10"])
    stay = np.array(row["across"]["stay"])[None]
    stop = (core > limits["short_term"]) | (margin < limits["margin"]) | (np.array(row["hours_left"]["p10"]) < stay)
    high = np.array(row["across"]["highest"])[None] > limits["working_load_limit"]
    care = (core > limits["long_term"]) | (skin > limits["long_term"]) | high
    care |= np.array(row["sustained"]["p10"]) < 1.0
    expected = np.where(stop, "stop", np.where(care, "caution", "ok"))
    assert np.array_equal(np.array(row["marks"]), expected)
    assert {"ok", "caution", "stop"} == set(expected.ravel())


@pytest.fixture(scope="module")
def tight(told_study: Path) -> Row:
    return window_of(told_study, Asked(line="springs", across="tension", size=11))


def test_across_tension_takes_the_highest_mean_and_says_how_far_to_slack_off(tight: Row) -> None:
    # By hand: 43 %LDBF of 1230 kN are 528.9 kN, so every bound is its factor times that; the state holds it too tight.
    assert tight["state"] == "calm, hot, too tight"
    assert tight["own"] == {"mark": "caution", "because": ["sustained margin below 1"]}
    for bound in (item["ok"] for item in tight["bounds"]):
        assert bound["mean"] == pytest.approx(bound["at"] * 0.43 * 1230e3, rel=1e-6)
        assert bound["mean_share"] == pytest.approx(0.43 * bound["at"], rel=1e-6)
    at = next(item for item in tight["bounds"] if item["air"] >= tight["weather"]["air"])
    sustained = np.array(tight["sustained"]["p10"])[tight["air"].index(at["air"])]
    assert np.interp(at["ok"]["at"], tight["across"]["values"], sustained) == pytest.approx(1.0, abs=1e-6)
    told = f"At {at['air']:.0f} C air slack off to {at['ok']['mean'] / 1e3:.0f} kN ({43 * at['ok']['at']:.0f} %LDBF)"
    assert told in in_short(tight)
    assert max(map(len, window_lines(tight))) <= 120


def test_across_tension_a_slack_line_is_hatched_below(tight: Row) -> None:
    # What is taut from 0.7 times the mean on is hatched from the map's end to 0.7 and told so.
    bounds = [{**item, "taut": {"at": 0.7, "reach": "part", "because": "slack line, snatch loads", "mean": 370e3,
                                "mean_share": 0.3}} for item in tight["bounds"]]  # fmt: skip
    slack = {**tight, "bounds": bounds}
    assert "; taut from 370 kN (30 %LDBF)" in in_short(slack)
    tops = [one.get_paths()[0].get_extents().y1 for one in hours_map(slack).axes[0].collections
            if one.get_hatch() == HATCH and one.get_paths() and one.get_paths()[0].get_extents().y0 < 0.6]  # fmt: skip
    assert tops == [pytest.approx(0.7)]


def test_states_that_are_worse_in_their_own_hot_hour_are_named(row: Row, tight: Row) -> None:
    # The demo says of itself: the gale is above WLL on purpose, the calm state is hauled too tight; the swell is fine.
    assert row["own"] == {"mark": "ok", "because": []}
    told = told_worse(row)
    assert '"winter gale" at North Quay (!: highest tension above WLL)' in told
    assert '"calm, hot, too tight" at Equator Terminal (!: sustained margin below 1)' in told
    assert told_worse(tight).count(" at ") == 1  # only the gale breaks what this one keeps
    assert told_worse({**row, "worse": []}) == NO_WORSE
    assert '"swell" at Equator Terminal' in " ".join(" ".join(window_lines(row)[:2]).split())


def test_gale_that_does_not_stop_says_where_caution_begins(told_study: Path) -> None:
    # By hand: WLL 600 kN is 50 % of 1200; highest 442.8 + f 46.1 sqrt(2 ln n), n = 7 h of 11 s = 2286: f = 0.87.
    gale = window_of(told_study, Asked(line="springs", state="winter gale", size=8))
    told = in_short(gale)
    assert "In its hot hour the state is at CAUTION (highest tension above WLL)." in told
    assert "no stop up to 2.00 times the swell and beyond the map, caution from 0.87 times the swell" in told


def test_share_that_a_stay_takes_is_its_hours_over_those_left(row: Row) -> None:
    stay, left = np.array(row["across"]["stay"])[None], np.array(row["hours_left"]["p50"])
    np.testing.assert_allclose(row["stay_takes"]["p50"], np.minimum(stay / left, 1.0))


def test_a_map_that_is_monotone_says_nothing_of_it(row: Row) -> None:
    assert set(row["falls"].values()) == {0}
    assert "Not monotone" not in "\n".join(window_lines(row))
    told = "\n".join(window_lines({**row, "falls": {**row["falls"], "core_along_air": 2}}))
    assert "Not monotone: core P90 falls with air temperature" in told


def test_bounds_in_words(row: Row) -> None:
    # By hand: 1.1 times a swing of 100 kN is 110 kN; what is nowhere on the map has no swing.
    own = {**row, "across": {**row["across"], "kind": "swell"}}
    assert short_bound(own, {"at": 1.1, "reach": "part", "because": "", "amplitude": 110e3}) == "to 1.10 x (110 kN)"
    assert short_bound(own, {"at": None, "reach": "nowhere", "because": ""}) == "nowhere on the map"
    windy = {**own, "across": {**own["across"], "kind": "wind"}}
    assert short_bound(windy, {"at": 3.25, "reach": "part", "because": ""}) == "from 3.2 m/s"


def test_bounds_tell_the_swing_of_their_own_air(row: Row) -> None:
    # A swing in kN is proportional to the swell at any air: its bound is the bound's share of the state's amplitude.
    bounds = [item[key] for item in row["bounds"] for key in ("ok", "stop") if item[key]["at"] is not None]
    assert bounds
    for bound in bounds:
        assert bound["amplitude"] == pytest.approx(bound["at"] * row["duty"]["amplitude"], rel=1e-9)


SLACK = """
format = 1
title = "A line with little pretension"
[ship]
design_break_load = "900 kN"
[[line]]
name = "springs"
rope = "hmpe-standard-12-strand"
diameter = "36 mm"
inboard_length = "10 m"
outboard_length = "35 m"
[[line.contact]]
card = "closed-chock"
bend_radius = "200 mm"
wrap = "50 deg"
[[berth]]
name = "Swell berth"
climate = "swell-coast-monthly"
calls_per_year = 25
hours_per_call = "12 h"
[[berth.state]]
name = "sine"
share = "100 %"
tension.springs = { mean = "10 %LDBF", amplitude = "6 %LDBF", amplitude_kind = "constant", period = "13 s" }
"""  # invented


def test_slack_line_is_marked_told_and_stands_on_the_card(tmp_path: Path) -> None:
    # By hand: a sine of 6 % about 10 % reaches zero at 1.667 times the swell; at twice, 2 of 12 parts are cut: 17 %.
    (tmp_path / "case.toml").write_text(SLACK, encoding="utf-8")
    row = window_of(tmp_path, Asked(size=6))
    taut = np.array(row["across"]["values"]) <= 10.0 / 6.0
    marks = np.array(row["marks"])
    assert "slack" not in marks[:, taut]
    assert (np.isin(marks[:, ~taut], ["slack", "stop"])).all()
    assert "slack" in marks
    np.testing.assert_allclose(np.array(row["tension"]["clipped"])[:, -1], 1.0 / 6.0, rtol=1e-6)
    for bound in row["bounds"]:
        assert bound["taut"]["at"] == pytest.approx(10.0 / 6.0, rel=1e-6)
    text = " ".join(" ".join(window_lines(row)).split())
    assert "SLACK" in text
    assert "Not a permitted state. Up to 17 % of the swing is cut at zero tension" in text
    assert "slack line, snatch loads" in text
    words = " ".join(part.get_text() for part in crew_card(row).texts)
    assert "Never permitted" in " ".join(words.split())
    taut_row = window_of(tmp_path, Asked(size=6, across="wind"))
    assert "SLACK" not in " ".join(window_lines(taut_row))


def test_motion_that_pulls_a_cold_line_harder_is_said(row: Row) -> None:
    told = "kN beside the map are those in the state's own air"
    assert told not in " ".join(" ".join(window_lines(row)).split())
    cold = {**row, "tension": {**row["tension"], "amplitude": [[120e3], [100e3]]}}
    assert told in " ".join(" ".join(window_lines(cold)).split())


def test_short_sentence_when_a_rope_is_not_comparable_says_so(row: Row) -> None:
    assert "leave out" in in_short({**row, "not_comparable": "not comparable: bending not assessed"})


def test_pictures_tell_zones_without_colour(told_study: Path) -> None:
    gale = window_of(told_study, Asked(state="winter gale", size=8))
    for figure in (core_map(gale), hours_map(gale)):
        axes = figure.axes[0]
        assert {DOTS, HATCH} <= {one.get_hatch() for one in axes.collections}
        words = {text.get_text() for text in axes.texts}
        assert {"CAUTION", "STOP"} <= words


def test_lines_of_hours_carry_their_figures(row: Row) -> None:
    texts = [text.get_text() for text in hours_map(row).axes[0].texts]
    hours = [text for text in texts if re.fullmatch(r"[\d\u202f]+ h, a stay [\d.]+ %", text)]
    assert len(hours) >= 3
    for text in hours:  # by hand: a stay over the hours of its line
        left, _, share = text.partition(" h, a stay ")
        share_of = 100.0 * row["duty"]["stay"] / float(left.replace("\u202f", ""))
        assert float(share.removesuffix(" %")) == pytest.approx(min(share_of, 100.0), rel=0.06)


def test_files_are_the_same_bytes_each_time(row: Row, tmp_path: Path) -> None:
    first = [path.read_bytes() for path in write_window(row, tmp_path / "a")]
    assert first == [path.read_bytes() for path in write_window(row, tmp_path / "b")]
    cards = [write_card(row, tmp_path / f"{n}.pdf").read_bytes() for n in (1, 2)]
    assert cards[0] == cards[1]


def test_card_is_a4_grey_and_says_what_must_be_said(row: Row, tmp_path: Path) -> None:
    # ISO 216: A4 is 210 mm x 297 mm, 595 x 842 points of 1/72 inch.
    box = re.search(rb"/MediaBox \[ ?([\d. ]+) ?\]", write_card(row, tmp_path / "card.pdf").read_bytes())
    assert box is not None
    size = [float(value) for value in box.group(1).split()[2:]]
    assert size == pytest.approx([595.3, 841.9], abs=0.5)
    with Image.open(io.BytesIO(write_card(row, tmp_path / "card.png").read_bytes())) as image:
        pixels = np.asarray(image.convert("RGB"), dtype=int)
    assert np.ptp(pixels, axis=2).max() <= 16  # no colour: what a grey printer leaves is what is seen
    svg = write_card(row, tmp_path / "card.svg").read_text(encoding="utf-8")
    assert svg.startswith("<?xml")


def test_card_says_which_rope_study_and_day_it_is_of_and_what_to_do_at_stop(row: Row) -> None:
    words = " ".join(" ".join(part.get_text() for part in crew_card(row, "2026-02-03").texts).split())
    assert '"swell" at Equator Terminal: what this line may do' in words
    rope = "Valid only for this rope: HMPE, standard grade, 12-strand, 42 mm (card hmpe-standard-12-strand)"
    assert rope in words
    assert "Container ship, three berths, made on 2026-02-03." in words
    for said in ("At STOP: everybody away", "Master and terminal decide", "A parted line kills", "LOOK FOR", "INSPECT"):
        assert said in words
    assert "made on" not in " ".join(part.get_text() for part in crew_card(row).texts)


def test_card_says_in_newton_what_the_values_across_are(row: Row, tight: Row) -> None:
    # By hand: the swell is 5.4 %LDBF of 1230 kN = 66.4 kN, so twice is 133 kN; 1.5 times 528.9 kN is 793 kN.
    ends = []
    for one in (row, tight, {**row, "across": {**row["across"], "sea": [0.2, 2.4] * 6}}):
        (beside,) = crew_card(one).axes[0].child_axes
        ends.append([text.get_text() for text in beside.get_yticklabels()][-1])
    assert ends[0].startswith("±133 / ")
    assert ends[1].startswith("793 / 64 % / ")
    assert ends[2].startswith("2.4 / ±133 / ")


def test_card_of_another_rope_says_nothing_of_the_one_on_board(row: Row) -> None:
    other = {"name": "Another rope, 66 mm", "states": row["ropes"][0]["states"]}
    items = [{"severity": "caution", "text": f"this is of {name}", "about": f"springs, {name}", "code": "x"}
             for name in (row["rope"], other["name"])]  # fmt: skip
    two = {**row, "rope": other["name"], "ropes": [row["ropes"][0], other], "findings": items}
    words = " ".join(" ".join(part.get_text() for part in crew_card(two).texts).split())
    assert f"This is of {other['name']}" in words
    assert f"This is of {row['rope']}" not in words


def test_names_of_zones_stay_inside_the_frame(row: Row) -> None:
    figure = crew_card(row)
    figure.canvas.draw()
    axes = figure.axes[0]
    frame = axes.get_window_extent()
    for text in axes.texts:
        if text.get_text() in {"OK", "CAUTION", "STOP"}:
            box = text.get_window_extent()
            assert frame.y0 <= box.y0 < box.y1 <= frame.y1
            assert frame.x0 <= box.x0 < box.x1 <= frame.x1


def test_card_when_names_are_long_stays_on_its_page(row: Row, tmp_path: Path) -> None:
    long = "a very long name of a berth " * 12
    hostile = {**row, "title": long, "line": long, "state": long, "berth": long, "rope": long, "note": long}
    with Image.open(write_card(hostile, tmp_path / "long.png")) as image:
        grey = np.asarray(image.convert("L"))
    edges = [grey[:40], grey[-40:], grey[:, :40], grey[:, -40:]]
    assert all(part.min() > 250 for part in edges)


@pytest.mark.parametrize("kind", ["wind", "hours"])
def test_card_across_other_things_can_be_drawn(told_study: Path, tmp_path: Path, kind: Any) -> None:
    row = window_of(told_study, Asked(state="winter gale", across=kind, size=6))
    assert write_card(row, tmp_path / "card.png").stat().st_size > 10_000
    assert "forward springs" in "\n".join(window_lines(row))


def test_window_says_that_earlier_trades_are_not_counted(row: Row) -> None:
    assert "from earlier trades is not counted" not in " ".join(window_lines(row))
    assert "from earlier trades is not counted" in " ".join(" ".join(window_lines({**row, "is_new": True})).split())
