"""What a single cell says: a number under a stated decimal mark, a word for missing, or neither.

The grammar is strict: ASCII digits only, no underscores, a thousands mark only between groups of three.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable
from typing import Literal

Mark = Literal[".", ","]

SPACES = "\u00a0\u202f\u2007\u2009\u2060\ufeff"
MISSING_WORDS = frozenset(
    {"", "nan", "na", "n/a", "#n/a", "#na", "#value!", "#div/0!", "#ref!", "null", "none", "nil", "missing", "missed",
     "ol", "o.l.", "overload", "open", "*oc*", "oc", "open circuit", "inf", "-inf", "+inf", "infinity", "-infinity",
     "+over", "-over", "over", "under", "overflow", "underflow", "overrange", "over range", "out of range", "fault",
     "err", "error", "#error", "fail", "failed", "invalid", "bad", "no data", "nodata", "mm", "x", "?", "burnout",
     "disconnected", "off", "1.#inf", "-1.#inf", "1.#qnan", "-1.#ind", "1.#ind", "nan(ind)"}
)  # fmt: skip
_DASHES = re.compile(r"[-–—_.*/#?]+")
_POINT = re.compile(r"[+-]?(?:\d{1,3}(?:[ ',]\d{3})+(?:\.\d*)?|\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?")
_COMMA = re.compile(r"[+-]?(?:\d{1,3}(?:[ '.]\d{3})+(?:,\d*)?|\d+,?\d*|,\d+)(?:[eE][+-]?\d{1,3})?")
_THOUSANDS = {".": re.compile("[ ',]"), ",": re.compile("[ '.]")}
_SIMPLE = re.compile(r"[+-]?\d+(?:([.,])(\d+))?(?:[eE][+-]?\d{1,3})?")


def plain(cell: str) -> str:
    """The cell without outer blanks and quotes, its odd blanks, minus signs and apostrophes made ordinary."""
    if cell.isascii():
        return cell.strip().strip("\"'").strip() if cell[:1] in "\"' \t" or cell[-1:] in "\"' \t" else cell
    for space in SPACES:
        cell = cell.replace(space, " ")
    return cell.replace("−", "-").replace("’", "'").strip().strip("\"'").strip()


def number(cell: str, mark: Mark) -> float | None:
    """The number of a cell, or None; its thousands marks must stand between groups of three."""
    text = plain(cell)
    pattern = _POINT if mark == "." else _COMMA
    if not text.isascii() or not pattern.fullmatch(text):
        return None
    text = _THOUSANDS[mark].sub("", text)
    value = float(text if mark == "." else text.replace(",", "."))
    return value if math.isfinite(value) else None


def is_missing(cell: str) -> bool:
    """Whether a cell is blank or a word that instruments and tables write for a missing value."""
    text = plain(cell).lower()
    return text in MISSING_WORDS or bool(_DASHES.fullmatch(text))


def decimal_mark(cells: Iterable[str], parted_by: str) -> tuple[Mark | None, str]:
    """The decimal mark of many cells and the evidence; None where the cells contradict or leave it open.

    A comma cannot be the mark where unquoted commas part the columns; the caller passes that delimiter.
    """
    votes = Counter(vote for cell in cells if (vote := _vote(plain(cell))))
    if votes["."] and votes[","]:
        both = votes["."] + votes[","]
        if votes["."] >= 0.95 * both or (votes[","] < 0.95 * both and parted_by == ","):
            return ".", f"{votes['.']} numbers with a point, {votes[',']} with a comma"
        if votes[","] >= 0.95 * both:
            return ",", f"{votes[',']} numbers with a comma, {votes['.']} with a point"
        return None, f"{votes['.']} numbers with a decimal point, {votes[',']} with a decimal comma"
    if votes[","]:
        return ",", f"{votes[',']} numbers with a decimal comma"
    if votes["."] or not (votes["?,"] or votes["?."]):
        return ".", f"{votes['.']} numbers with a decimal point" if votes["."] else "whole numbers"
    if votes["?,"] and votes["?."]:
        return None, "numbers with one comma and numbers with one point, both before three digits"
    if parted_by == ",":
        return ".", "commas part the columns"
    return None, "every number has three digits behind its only mark"


def _vote(text: str) -> str:
    """What one cell says of the mark: '.', ',', '?.' or '?,' (could be thousands), or nothing."""
    simple = _SIMPLE.fullmatch(text)
    if simple:
        mark, digits = simple.group(1), simple.group(2)
        if mark is None:
            return ""
        whole = text.lstrip("+-").partition(mark)[0]
        may_group = len(digits) == 3 and len(whole) <= 3 and whole != "0" and "e" not in text.lower()
        return f"?{mark}" if may_group else mark
    if re.fullmatch(r"[+-]?\d{1,3}(?:[ ',]\d{3})+\.\d*", text) or re.fullmatch(r"[+-]?\d{1,3}(?:,\d{3}){2,}", text):
        return "."
    if re.fullmatch(r"[+-]?\d{1,3}(?:[ '.]\d{3})+,\d*", text) or re.fullmatch(r"[+-]?\d{1,3}(?:\.\d{3}){2,}", text):
        return ","
    return ""
