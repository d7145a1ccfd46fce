"""The page: one safe file, every number of the answer, names as data, contrast, nothing of a withheld datum."""

import html
import re
import xml.etree.ElementTree as ET
from html.parser import HTMLParser

import pytest

from linewright.services import page_style
from linewright.services.drawing import sketch_of
from linewright.services.markup import Markup, tag
from linewright.services.page import hottest, page, write_page
from linewright.services.temperature_scale import STEPS, colour

EVIL = "<script>alert(1)</script>{{7*7}}\"'&"
VOID = {"meta", "br", "hr"}


class Reader(HTMLParser):
    """Tags, attributes and text of a page; complains of tags that do not close."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.feed(text)
        assert not self.open

    def handle_starttag(self, name, attrs) -> None:
        self.tags.append((name, dict(attrs)))
        if name not in VOID:
            self.open.append(name)

    def handle_startendtag(self, name, attrs) -> None:
        self.tags.append((name, dict(attrs)))

    def handle_endtag(self, name) -> None:
        assert self.open.pop() == name

    def handle_data(self, data) -> None:
        if self.open[-1:] != ["style"]:
            self.words.append(data)

    @property
    def text(self) -> str:
        return " ".join(self.words)


def test_page_when_written_is_whole_and_needs_nothing_else(told_result) -> None:
    text = html.unescape(page(told_result))
    read = Reader(page(told_result))

    assert not {"script", "link", "img", "iframe", "object"} & {name for name, _ in read.tags}
    assert not re.search(r"https?://|url\(|@import|javascript:", text)
    assert not [key for _, attrs in read.tags for key in attrs if key.startswith("on") or key in ("src", "href")]
    assert "default-src 'none'" in text
    assert len(text) < 100_000


def test_page_when_read_aloud_has_language_headings_scopes_and_a_told_picture(told_result) -> None:
    read = Reader(page(told_result))
    names = [name for name, _ in read.tags]

    assert ("html", {"lang": "en"}) in read.tags
    assert names.count("h1") == 1
    assert names.count("h2") >= 7
    assert all(attrs.get("scope") in ("row", "col") for name, attrs in read.tags if name == "th")
    assert names.count("caption") == names.count("table")
    assert names[names.index("svg") + 1] == "title"
    assert "closed chock at metre 12" in read.text


def test_page_when_names_are_wicked_shows_them_as_text(told_result) -> None:
    told_result["title"] = told_result["note"] = EVIL
    for rope in told_result["ropes"]:
        rope["name"] = EVIL
        for state in rope["states"]:
            state["name"], state["berth"], state["line"] = EVIL, EVIL, EVIL
    for row in (*told_result["findings"], *told_result["used"]):
        row.update({key: EVIL for key in ("about", "text", "source_title", "owner") if key in row})
    read = Reader(page(told_result, old=EVIL))

    assert "script" not in {name for name, _ in read.tags}
    assert EVIL in read.text


def test_page_when_read_holds_the_figures_of_the_answer(told_result) -> None:
    text = Reader(page(told_result, "own")).text
    board = told_result["ropes"][0]
    gale = min(board["states"], key=lambda row: row["margin"])
    hot = hottest(told_result)

    for figure in (f"{board['life']['p50']:.1f} years", f"{hot['core_temperature']['p50']:.0f} C",
                   f"{gale['margin']:.1f}", f"{gale['highest_tension'] / 1e3:.0f} kN",
                   f"{hot['rise_by_source']['sun']:.1f} K", told_result["stamp"]["digest"]):  # fmt: skip
        assert figure in text
    for rope in told_result["ropes"]:
        assert rope["name"] in text
    assert "D/d 5.4 at the closed chock, bending tests end at 8" in text
    assert "bending life is extrapolated" in text
    assert "from memory, not read" in text
    assert "A parted line kills" in text


def test_page_when_the_rope_on_board_is_refused_gives_the_reason_first(told_result) -> None:
    told_result["ropes"][0].update(life=None, not_comparable="not comparable: too sharp a bend")
    told_result["comparisons"] = []
    sentence = re.search(r"<h1>(.*?)</h1>", page(told_result))
    assert sentence is not None
    assert "is not comparable: too sharp a bend" in sentence.group(1)


def test_page_when_heat_cannot_be_steady_says_so(told_result) -> None:
    hottest(told_result)["is_sustainable"] = False
    assert "not sustainable: steady heat takes the core to its melting range" in page(told_result)


def test_page_when_no_state_has_hours_still_stands(told_result) -> None:
    for state in told_result["ropes"][0]["states"]:
        state["hours_per_year"] = 0.0
    assert "svg" not in {name for name, _ in Reader(page(told_result)).tags}


def test_page_when_data_are_confidential_shows_a_client_none_of_them(told_result) -> None:
    for row in told_result["used"]:
        if row["key"] in ("friction_on_steel", "design_break_force", "strength_factor"):
            row["confidential"] = True
    told_result["ropes"][0]["confidential"] = ["friction_on_steel", "design_break_force", "strength_factor"]
    own, client = Reader(page(told_result, "own")).text, Reader(page(told_result, "client")).text
    gale = min(told_result["ropes"][0]["states"], key=lambda row: row["margin"])

    assert f"{gale['highest_tension'] / 1e3:.0f} kN" in own
    assert f"{gale['highest_tension'] / 1e3:.0f} kN" not in client
    assert "maker's data, on file" in client


def test_page_when_data_are_invented_names_their_cards(told_result) -> None:
    said = "Invented for examples, for no product and no place: data of "
    owners = html.unescape(page(told_result)).partition(said)[2].partition(".<")[0].split(", ")
    assert {"hmpe-standard-12-strand", "swell-coast-monthly"} <= set(owners)
    assert not {"hmpe-standard", "hot-typical-year", "case"} & set(owners)

    told_result["used"] = [row for row in told_result["used"] if row["owner"] not in owners]
    assert said not in html.unescape(page(told_result))


def test_write_page_when_for_oneself_does_not_take_the_name_of_the_page_to_send(told_result, tmp_path) -> None:
    told_result["used"][0]["confidential"] = True
    own, client = write_page(tmp_path, told_result, "own"), write_page(tmp_path, told_result, "client")
    assert own != client
    assert own.exists()
    assert "Made for a client" in client.read_text(encoding="utf-8")


def test_result_when_kept_has_its_page_beside_it(told_study) -> None:
    assert all((path.parent / "answer.html").exists() for path in (told_study / "results").glob("*/result.json"))


def test_sketch_when_drawn_is_to_scale(told_result) -> None:
    sketch = sketch_of(told_result, hottest(told_result))
    assert sketch is not None
    assert [(stop.name, stop.metre) for stop in sketch.stops] == [("closed chock", 12.0)]
    assert (sketch.length, sketch.tail, sketch.whole) == (52.0, 11.0, 63.0)


def test_picture_when_taken_alone_is_well_formed(told_result) -> None:
    found = re.search(r"<svg.*?</svg>", page(told_result), re.DOTALL)
    assert found is not None
    assert ET.fromstring(found.group(0)).tag == "svg"


def luminance(colour_: str) -> float:
    parts = [int(colour_[at : at + 2], 16) / 255.0 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, two: str) -> float:
    low, high = sorted((luminance(one), luminance(two)))
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("theme", [page_style.LIGHT, page_style.DARK], ids=["light", "dark"])
@pytest.mark.parametrize("ground", ["paper", "zone"])
def test_theme_when_text_stands_on_its_ground_has_contrast(theme, ground: str) -> None:
    for name in ("ink", "ink2", "caution", "accent"):
        assert contrast(theme[name], theme[ground]) >= 4.5
    assert contrast(theme["rule"], theme["paper"]) >= 3.0


def test_style_when_read_uses_only_tokens_that_exist() -> None:
    used = set(re.findall(r"var\(--(\w+)\)", page_style.RULES))
    assert used <= set(page_style.LIGHT)
    assert set(page_style.LIGHT) == set(page_style.DARK)


@pytest.mark.parametrize("number", range(len(STEPS)))
def test_colour_when_at_an_anchor_is_the_anchor(number: int) -> None:
    assert colour(10.0 * number) == STEPS[number]


def test_colour_when_warmer_is_darker_and_held_at_the_ends() -> None:
    shades = [luminance(colour(celsius)) for celsius in range(0, 81, 2)]
    assert shades == sorted(shades, reverse=True)
    assert (colour(-20.0), colour(120.0)) == (STEPS[0], STEPS[-1])


def test_tag_when_given_text_escapes_it_and_leaves_markup() -> None:
    assert tag("b", "<i>", Markup("<u>"), title='"') == '<b title="&quot;">&lt;i&gt;<u></b>'
