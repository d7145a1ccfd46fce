"""Scatter tables: bins of every habit, cells that are no numbers, sums, directions, and the states they become."""

import math
from datetime import datetime

import numpy as np
import openpyxl
import pytest

from linewright.base.errors import InputError
from linewright.importers.scatter import states_of

PLAIN = "Hs (m) \\ Tp (s);4-6;6-8;8-10\n0-1;20;30;10\n1-2;10;15;5\n2-3;5;3;2\n"


@pytest.fixture
def book(tmp_path, made):
    """Import a workbook of named sheets of rows."""

    def read(answers=None, shape=None, **content):
        made_book = openpyxl.Workbook()
        made_book.remove(made_book.active)
        for name, rows in content.items():
            sheet = made_book.create_sheet(name.replace("_", " "))
            for row in rows:
                sheet.append(row)
        if shape:
            shape(made_book)
        made_book.save(tmp_path / "book.xlsx")
        return made((tmp_path / "book.xlsx").read_bytes(), "book.xlsx", answers)

    return read


def texts(found, code):
    return [flag.text for flag in found.report.flags if flag.code == code]


# --- the samples ---------------------------------------------------------------------------------


def test_merged_dates_sample_when_read_recovers_bins_computes_totals_and_reports_the_sum(read, told):
    found = read("metocean_scatter_merged_dates.xlsx")
    table = found.content

    assert (found.report.kind, told.questions(found), table.period_kind) == ("waves", [], "Tp")
    assert table.height_edges == (0.0, 0.5, 1.0, 2.0, 3.0, 4.0, math.inf)  # 1 Feb was the bin 1-2
    assert table.period_edges == (4.0, 6.0, 8.0, 10.0, 12.0, 14.0, 16.0)  # 8 Oct was the bin 8-10
    assert [text.split(" is a date")[0] for text in texts(found, "bin-was-date")] == [
        "height: the heading 2026-02-01", "period: the heading 2026-10-08"]  # fmt: skip
    assert [text.split("of the bin ")[1].split(";")[0] for text in texts(found, "bin-was-date")] == ["1-2", "8-10"]
    assert table.share[4].tolist() == [0.0, 0.004, 0.02, 0.028, 0.014, 0.005]  # the row of text digits
    assert table.share[3, 0] == 0.0
    assert texts(found, "blank-is-zero") == ["1 blank cells and 0 with a dash count as zero"]
    assert texts(found, "total-not-stored")[0].startswith("column Total: 6 totals are formulas without a stored value")
    assert texts(found, "sum-differs")[0].startswith("the cells add to 999 of 1000 per mille; nothing is scaled")
    assert table.share.sum() == pytest.approx(0.999)


def test_merged_dates_sample_when_normalised_on_request_adds_to_one(read):
    assert read("metocean_scatter_merged_dates.xlsx", normalise="yes").content.share.sum() == pytest.approx(
        1.0, abs=1e-12
    )


def test_percent_tokens_sample_when_read_keeps_half_of_what_is_censored(read, told):
    found = read("metocean_scatter_percent_tokens.csv")
    table = found.content

    assert told.questions(found) == []
    assert [(item.row, item.read, item.by) for item in found.report.replaced] == [
        (2, "<0,1", "0.05"),
        (7, "<0,1", "0.05"),
    ]
    assert table.share[0, 5] == table.share[5, 5] == pytest.approx(0.0005)
    assert "clear numbers add to 99.4" in texts(found, "censored")[0]
    assert texts(found, "blank-is-zero") == ["3 blank cells and 1 with a dash count as zero"]
    assert table.share[3, 0] == table.share[4, 0] == 0.0
    assert table.height_edges == (0.0, 0.5, 1.0, 2.0, 3.0, 4.0, math.inf)
    assert table.period_edges == (4.0, 6.0, 8.0, 10.0, 12.0, 14.0, 16.0)
    assert "upper edges" in found.report.notes["height_bins"]
    assert "centres" in found.report.notes["period_bins"]
    assert found.report.notes["decimal"]["mark"] == "comma"


# --- bins ----------------------------------------------------------------------------------------


def edges(found):
    return found.content.height_edges, found.content.period_edges


@pytest.mark.parametrize(
    "bins",
    [
        ["0-1", "1-2", "2-3"], ["0 - 1", "1 – 2", "2—3"], ["0 to 1", "1 to 2", "2 to 3"],
        ["0 bis 1", "1 bis 2", "2 bis 3"], ["0.0-1.0", "1.0-2.0", "2.0-3.0"], ["0<Hs<1", "1<Hs<2", "2<Hs<3"],
        ["<1", "1-2", "2-3"],
        ["0-0.99", "1-1.99", "2-3"],
        ["0...1", "1...2", "2...3"], ["0 - 1 m", "1 - 2 m", "2 - 3 m"],
    ],
)  # fmt: skip
def test_ranges_when_written_in_any_way_are_the_same_bins(made, bins):
    text = "Hs (m) \\ Tp (s);4-6;6-8;8-10\n" + "".join(f"{name};20;10;3\n" for name in bins) + "\n"
    assert edges(made(text.replace("20;10;3", "20;10;3.3"), answers={"normalise": "yes"}))[0] == pytest.approx(
        (0, 1, 2, 3)
    )


@pytest.mark.parametrize(
    ("words", "bins", "expected"),
    [
        ("Hs centre (m)", [0.5, 1.5, 2.5], (0, 1, 2, 3)),
        ("Hs upper edge (m)", [1, 2, 3], (0, 1, 2, 3)),
        ("Hs lower edge (m)", [0, 1, 2], (0, 1, 2, 3)),
        ("Hs obere Grenze (m)", [1, 2, 3], (0, 1, 2, 3)),
        ("Hs Mitte (m)", [0.5, 1.5, 2.5], (0, 1, 2, 3)),
    ],
)
def test_single_numbers_when_the_heading_says_what_they_are_become_bins(made, words, bins, expected):
    text = f"{words} \\ Tp (s);4-6;6-8;8-10\n" + "".join(f"{name};20;10;3.3\n" for name in bins)
    assert edges(made(text))[0] == pytest.approx(expected)


def test_single_numbers_when_nothing_says_what_they_are_are_asked(made, told):
    text = "Hs (m) \\ Tp (s);5;7;9\n0.5;20;10;3.3\n1.5;20;10;3.3\n2.5;20;10;3.4\n"
    assert told.questions(made(text)) == ["bins.height", "bins.period"]
    found = made(text, answers={"bins.height": "centre", "bins.period": "upper edge"})
    assert edges(found) == ((0.0, 1.0, 2.0, 3.0), (3.0, 5.0, 7.0, 9.0))


def test_single_numbers_when_an_open_bin_begins_at_the_last_are_upper_edges(made):
    text = "Hs (m) \\ Tp (s);4-6;6-8;8-10\n1;20;10;3.3\n2;20;10;3.3\n>2;20;10;3.4\n"
    assert edges(made(text))[0] == (0.0, 1.0, 2.0, math.inf)


def test_bins_when_they_fall_or_stand_turned_give_the_same_table(made):
    upright = made(PLAIN).content
    falling = made("Hs (m) \\ Tp (s);4-6;6-8;8-10\n2-3;5;3;2\n1-2;10;15;5\n0-1;20;30;10\n").content
    turned = made("Tp (s) \\ Hs (m);0-1;1-2;2-3\n4-6;20;10;5\n6-8;30;15;3\n8-10;10;5;2\n").content
    for other in (falling, turned):
        assert other.height_edges == upright.height_edges
        assert np.array_equal(other.share, upright.share)


def test_axes_when_no_word_tells_them_apart_are_asked(made, told):
    text = "Hs - Tp scatter (m);;;\n;4-6;6-8;8-10\n0-1;20;30;10\n1-2;10;15;5\n2-3;5;3;2\n"
    assert told.questions(made(text)) == ["axes"]
    assert edges(made(text, answers={"axes": "heights"})) == edges(made(PLAIN))


def test_bins_when_a_merged_label_stands_beside_them_are_found(book):
    rows = [[None, None, "Tz (s)"], [None, None, "<4", "4-6", "6-8", ">8"], ["Hs (m)", "0-1", 10, 20, 5, 1],
            [None, "1-2", 5, 20, 15, 2], [None, ">2", 0, 10, 8, 4], [None, "Total", 15, 50, 28, 7]]  # fmt: skip
    found = book(shape=lambda made: (made.active.merge_cells("A3:A5"), made.active.merge_cells("C1:F1")), sheet=rows)
    assert edges(found) == ((0.0, 1.0, 2.0, math.inf), (0.0, 4.0, 6.0, 8.0, math.inf))
    assert found.content.period_kind == "Tz"
    assert found.content.share.sum() == pytest.approx(1.0)


def test_bins_when_they_overlap_are_refused(made):
    with pytest.raises(InputError, match="do not join"):
        made(PLAIN.replace("1-2", "0.5-2"))


@pytest.mark.parametrize("written", ["08. Okt", "08-Oct", "Oct-08", "2025-10-08 00:00:00"])
def test_dates_as_text_when_they_were_bins_are_recovered(made, written):
    text = f"Hs (m) \\ Tp (s);4-6;6-8;{written};10-12\n0-1;20;30;10;0\n1-2;10;15;5;0\n2-3;5;3;2;0\n"
    assert edges(made(text))[1] == (4.0, 6.0, 8.0, 10.0, 12.0)


def test_date_of_a_decimal_when_its_neighbours_are_numbers_is_recovered(book):
    rows = [
        ["Hs centre (m)", "4-6", "6-8", "8-10"],
        [0.5, 20, 30, 10],
        [datetime(2026, 5, 1), 10, 15, 5],
        [2.5, 5, 3, 2],
    ]
    found = book(sheet=[["Tp (s)"], *rows])
    assert edges(found)[0] == (0.0, 1.0, 2.0, 3.0)


def test_date_when_its_neighbours_do_not_tell_is_asked(book, told):
    rows = [["Hs (m) \\ Tp (s)", "4-6", "6-8", datetime(2026, 11, 9)], ["0-1", 20, 30, 10], ["1-2", 10, 15, 15]]
    found = book(sheet=rows)
    assert told.questions(found) == ["bin.2026-11-09"]
    assert edges(book({"bin.2026-11-09": "8-10"}, sheet=rows))[1] == (4.0, 6.0, 8.0, 10.0)
    with pytest.raises(InputError, match="cannot be used"):
        book({"bin.2026-11-09": "soon"}, sheet=rows)


# --- words and units -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "kind"),
    [("Tp (s)", "Tp"), ("Tz (s)", "Tz"), ("T02 (s)", "Tz"), ("Te (s)", "Te"), ("Tm-1,0 (s)", "Te"),
     ("Peak period [s]", "Tp"),
     ("zero crossing period (s)", "Tz"), ("Tm01 (s)", "T01"), ("Spitzenperiode (s)", "Tp")],
)  # fmt: skip
def test_period_when_named_is_known(made, words, kind):
    assert made(PLAIN.replace("Tp (s)", words)).content.period_kind == kind


def test_period_and_height_when_not_told_are_asked(made, told):
    found = made(PLAIN.replace("Tp (s)", "period (s)").replace("Hs (m)", "Hs"))
    assert told.questions(found) == ["unit.height", "period.kind"]
    assert made(PLAIN.replace("Tp (s)", "period (s)"), answers={"period.kind": "Te"}).content.period_kind == "Te"


def test_heights_when_in_feet_are_metres(made):
    assert made(PLAIN.replace("(m)", "(ft)")).content.height_edges[1] == pytest.approx(0.3048)


@pytest.mark.parametrize(
    ("title", "factor"), [("percent", 1), ("per mille", 10), ("number of observations", 37), ("hours per year", 87.66)]
)
def test_figures_when_of_any_unit_are_shares(made, title, factor):
    lines = ["Hs (m) \\ Tp (s);4-6;6-8;8-10"]
    for name, cells in (("0-1", (20, 30, 10)), ("1-2", (10, 15, 5)), ("2-3", (5, 3, 2))):
        lines.append(";".join([name, *(f"{factor * cell:g}" for cell in cells)]))
    found = made(f"Joint occurrence, {title}\n" + "\n".join(lines) + "\n")
    assert found.content.share == pytest.approx(made(PLAIN).content.share)


def test_figures_when_their_unit_is_open_are_asked(made, told):
    found = made(PLAIN.replace("20;30;10", "20;30;510"))
    assert told.questions(found) == ["unit.share"]
    with pytest.raises(InputError, match="does not add up"):
        made(PLAIN.replace("20;30;10", "20;30;510"), answers={"unit.share": "percent"})


# --- cells and totals ----------------------------------------------------------------------------


def test_cells_when_they_hold_no_number_are_asked(made, told):
    text = "Percent of time\n" + PLAIN.replace("10;15;5", "10;calm;5")
    found = made(text)
    assert told.questions(found) == ["unread"]
    assert [(item.row, item.read) for item in found.report.replaced] == [(4, "calm")]
    assert made(text, answers={"unread": "zero"}).content.share[1].tolist() == [0.1, 0.0, 0.05]


def test_cells_when_below_zero_are_refused(made):
    with pytest.raises(InputError, match="below zero"):
        made(PLAIN.replace("10;15;5", "10;-15;5"))


def test_totals_when_they_stand_beside_and_below_are_compared_and_not_counted(made, told):
    text = "Hs (m) \\ Tp (s);4-6;6-8;8-10;Total;Cumulative\n0-1;20;30;10;60;60\n1-2;10;15;5;35;90\n2-3;5;3;2;10;100\n"
    text += "Total;35;48;17;100;\nSource: hindcast;;;;;\n"
    found = made(text)
    assert found.content.share == pytest.approx(made(PLAIN).content.share)
    assert texts(found, "total-differs") == [
        "column Total: 1 stated totals are not the sums of their cells (row 3: 35, the cells add to 30)"]  # fmt: skip
    assert [item.why for item in found.report.dropped] == ["a row of totals", "no bin: a remark"]
    assert told.flags(found)["column-unused"] == "note"


# --- sheets --------------------------------------------------------------------------------------

HEAD = ["Hs (m) \\ Tp (s)", "4-6", "6-8", "8-10"]


def part(*rows):
    return [
        ["Percent of time"],
        HEAD,
        *([name, *cells] for name, cells in zip(("0-1", "1-2", "2-3"), rows, strict=True)),
    ]


ALL = part((20, 30, 10), (10, 15, 5), (5, 3, 2))
NORTH = part((10, 20, 5), (5, 10, 5), (5, 3, 2))
SOUTH = part((10, 10, 5), (5, 5, 0), (0, 0, 0))


def test_directions_when_they_add_to_the_sheet_for_all_are_silent(book, told):
    found = book(North=NORTH, South=SOUTH, All_directions=ALL)
    assert found.content.name == "All directions"
    assert [item.name for item in found.content.parts] == ["North", "South"]
    assert "parts-differ" not in told.flags(found)


def test_directions_when_they_do_not_add_to_the_sheet_for_all_are_flagged(book):
    found = book(North=NORTH, South=part((10, 10, 5), (5, 4, 0), (0, 0, 1)), All_directions=ALL)
    assert texts(found, "parts-differ") == [
        "the 2 other sheets add to 100, the sheet All directions to 100; 2 cells differ: All directions is used"
    ]


def test_directions_when_each_adds_to_the_whole_are_told_as_such(book, told):
    assert "parts-conditional" in told.flags(book(N=ALL, S=ALL, All=ALL))


def test_sheets_when_none_is_for_all_directions_are_asked(book, told):
    assert told.questions(book(North=NORTH, South=SOUTH)) == ["sheet"]
    found = book({"sheet": "South", "normalise": "no"}, North=NORTH, South=SOUTH)
    assert found.content.name == "South"


def test_states_when_made_of_a_table_have_its_middles_and_hours(made):
    states = states_of(made(PLAIN.replace("2-3", ">2")).content, 8766.0)
    assert len(states) == 9
    assert math.fsum(state.hours for state in states) == pytest.approx(8766.0)
    assert states[0] == pytest.approx((0.5, 5.0, 0.2 * 8766.0))
    assert states[-1] == pytest.approx((2.5, 9.0, 0.02 * 8766.0))  # the open bin as wide as the one before


def test_bins_when_they_are_open_below_stand_half_a_neighbour_below_their_end_and_it_is_said(made):
    """By hand: below 8 s, then 8-10 s: 8 - 1 = 7 s, not 4 s; above 10 s: 10 + 1 = 11 s. Heights may begin at 0."""
    found = made("Hs (m) \\ Tp (s), percent;<8;8-10;>10\n<1;20;30;10\n1-2;10;15;5\n2-3;5;3;2\n")
    states = states_of(found.content, 1.0)

    assert edges(found)[1] == (0.0, 8.0, 10.0, math.inf)
    assert [state.period for state in states[:3]] == [7.0, 9.0, 11.0]
    assert states[0].height == 0.5
    assert sorted(set(texts(found, "bin-open"))) == [
        "the first height bin, below 1 m, has no lower end; as a state it begins at 0: 0.5 m",
        "the first period bin, below 8 s, has no lower end that a wave has; "
        "as a state it is taken as wide as the one behind it: 7 s",
        "the last period bin, above 10 s, has no upper end; as a state it is taken as wide as the one before it: 11 s",
    ]


def test_bins_when_the_first_period_begins_at_zero_are_taken_as_open_too(made):
    found = made("Hs (m) \\ Tp (s), percent;0-8;8-10;10-12\n0-1;20;30;10\n1-2;10;15;5\n2-3;5;3;2\n")

    assert states_of(found.content, 1.0)[0].period == 7.0
    assert any("7 s" in text for text in texts(found, "bin-open"))
