"""The cautions on the page: each sentence once, with the ropes and places it is about, the rope on board first."""

from __future__ import annotations

import re
from typing import Any

from linewright.services import page_texts
from linewright.services.answer import letter
from linewright.services.markup import Markup, tag
from linewright.services.words import CAUTIONS

Row = dict[str, Any]
FIGURE = re.compile(r"\d+(?:\.\d+)?(?: (?:kN|kJ|K|C|h|m)\b| %)?")


def cautions(result: Row) -> Markup:
    """The section of cautions and refusals, then what must always be known."""
    rows = [tag("li", _sentence(items[0]), _about(result, items)) for items in grouped(result)]
    return tag("section", tag("h2", page_texts.CAUTIONS), tag("ul", *rows, *(tag("li", said) for said in CAUTIONS)))


def grouped(result: Row) -> list[list[Row]]:
    """Findings that stand on the page, one list for each kind of sentence; what concerns the rope on board first."""
    groups: dict[tuple[str, str, str], list[Row]] = {}
    for item in result["findings"]:
        if item["severity"] != "note":
            groups.setdefault((item["severity"], item["code"], FIGURE.sub("", item["text"])), []).append(item)
    board = result["ropes"][0]["name"]
    for items in groups.values():
        items.sort(key=lambda item: board not in item["about"])
    return sorted(groups.values(), key=lambda items: board not in items[0]["about"])


def _sentence(item: Row) -> Markup:
    said = f"Refused: {item['text']}" if item["severity"] == "refused" else item["text"]
    return tag("span", tag("span", "!", class_="mark", aria_hidden="true"), said, class_="caution")


def _about(result: Row, items: list[Row]) -> Markup:
    """Whom a sentence is about: places with the letters of the ropes; where another's figures differ, those figures."""
    places: dict[tuple[str, str], list[str]] = {}
    for item in items:
        place, marks = _split(result, item["about"])
        own = places.setdefault((place, _other_figures(items[0]["text"], item["text"])), [])
        own += [mark for mark in marks if mark not in own]
    told = (f"{', '.join(filter(None, (place, _ropes(marks))))}{figures}" for (place, figures), marks in places.items())
    return tag("span", f"  {'; '.join(told)}", class_="small")


def _ropes(marks: list[str]) -> str:
    return f"rope{'s' if len(marks) > 1 else ''} {' '.join(marks)}" if marks else ""


def _other_figures(first: str, other: str) -> str:
    pairs = zip(FIGURE.findall(first), FIGURE.findall(other), strict=True)
    differing = [figure for one, figure in pairs if one != figure]
    return f" ({', '.join(differing)})" if differing else ""


def _split(result: Row, about: str) -> tuple[str, list[str]]:
    """The place that a finding is about, and the letters of the ropes whose title it names."""
    for name in sorted({rope["name"] for rope in result["ropes"]}, key=len, reverse=True):
        if name in about:
            marks = [letter(index) for index, rope in enumerate(result["ropes"]) if rope["name"] == name]
            return about.replace(name, "").rstrip(", "), marks
    return about, []
