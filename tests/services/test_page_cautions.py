"""Cautions on the page: each sentence once, the rope on board first, the client's line only where it is true."""

import html

from linewright.services.page import page
from linewright.services.page_cautions import cautions, grouped


def test_cautions_when_grouped_tell_each_sentence_once_and_everything_they_are_about(told_result) -> None:
    text = html.unescape(cautions(told_result))
    wide = [row for row in told_result["findings"] if row["code"] == "core-band-wide"]

    assert len(wide) > 3
    assert text.count("bending loss and conductivity of this fibre were not measured") == 1
    for row in wide:
        assert row["about"].split(":")[0] in text
    assert text.count("the creep law does not confirm it") == 1
    assert sum(map(len, grouped(told_result))) == sum(row["severity"] != "note" for row in told_result["findings"])


def test_cautions_when_ordered_begin_with_the_rope_on_board(told_result) -> None:
    board = told_result["ropes"][0]["name"]
    first = [board in items[0]["about"] for items in grouped(told_result)]
    assert first == sorted(first, reverse=True)
    assert first[0] is True
    assert first[-1] is False


def test_cautions_when_ropes_share_a_place_name_it_once(told_result) -> None:
    text = html.unescape(cautions(told_result))
    assert "North Quay, winter gale: forward springs, ropes A B C D E<" in text
    assert "forward springs, closed chock, ropes A B C<" in text


def test_cautions_when_figures_differ_give_those_of_each(told_result) -> None:
    told_result["findings"] = [
        {
            "code": "core-band-wide",
            "severity": "caution",
            "text": f"core P90 stands {kelvin} K over P50",
            "about": where,
        }
        for kelvin, where in ((31, "springs, X"), (22, "breasts, X"), (31, "stern, X"))
    ]
    text = html.unescape(cautions(told_result))
    assert "springs, X; breasts, X (22 K); stern, X<" in text


def test_page_when_no_datum_is_confidential_has_no_line_for_a_client(told_result) -> None:
    assert "Made for a client" not in page(told_result, "client")
    told_result["used"][0]["confidential"] = True
    assert "Made for a client" in page(told_result, "client")
    assert "Made for a client" not in page(told_result, "own")
