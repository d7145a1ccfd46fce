"""Bins of a scatter table: ranges, single numbers and open ends; those that a spreadsheet took for dates recovered."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from linewright.base.errors import InputError, Problem
from linewright.importers import cells, stamps
from linewright.importers.grid import Cell, Numbers
from linewright.importers.report import Array, Log, Question

_N = r"(\d+(?:[.,]\d+)?)"
RANGE = re.compile(rf"{_N}\s*(?:-|–|—|to|bis|à|a|tot|til|\.\.+|…|/|:|<=?\s*\w+\s*<=?|≤?\s*\w+\s*[<≤])\s*{_N}")
ABOVE = re.compile(
    rf"(?:>=?|≥|over|above|more than|über|ueber|mehr als|plus de|más de|boven|from)\s*{_N}"
    rf"|{_N}\s*(?:\+|and above|and over|<|≤.*|-|–|>)"
)
BELOW = re.compile(rf"(?:<=?|≤|under|below|less than|unter|bis|moins de|menos de|up to)\s*{_N}")
DAY_MONTH = re.compile(r"(\d{1,2})[-. /]+([A-Za-zäéû]{3,10})\.?|([A-Za-zäéû]{3,10})\.?[-. /]+(\d{1,2})")
UNITS = re.compile(r"(?i)\s*(?:m|s|sec|ft|metres?|meters?)\s*$")
SLACK = 0.25  # of a bin's width: '0-0.9, 1-1.9' are neighbours
KINDS = ("centre", "upper edge", "lower edge")


class Bin(NamedTuple):
    """A heading as a bin: low and high edge (inf where open), or one number in both; how it was read."""

    low: float
    high: float
    form: str  # range, single, above, below, date
    text: str = ""

    @property
    def is_whole(self) -> bool:
        """Whether both edges are known."""
        return self.form in ("range", "above", "below")


class Axis(NamedTuple):
    """Edges of the bins in rising order, and which heading belongs to each.

    is_open says that the last one has no upper end, is_below that the first is written without a lower one.
    """

    edges: tuple[float, ...]
    order: tuple[int, ...]
    is_open: bool
    said: str
    is_below: bool = False


def bin_of(cell: Cell, numbers: Numbers) -> Bin | None:
    """A heading as a bin; None for what is none. A date holds day and month until its neighbours are known."""
    if cell.date is not None:
        return Bin(float(cell.date.day), float(cell.date.month), "date", cell.text)
    if cell.value is not None:
        return Bin(cell.value, cell.value, "single", cell.text) if cell.value >= 0.0 and cell.unit != "h" else None
    text = UNITS.sub("", cell.text.strip())
    if not text or len(text) > 40:
        return None
    return _worded(text, cell.text, numbers)


def _worded(text: str, whole: str, numbers: Numbers) -> Bin | None:
    mark: cells.Mark = numbers.mark or ("," if re.search(r"\d,\d", text) and not re.search(r"\d\.\d", text) else ".")
    stamp = stamps.STAMP.fullmatch(text)
    if stamp and stamp["a"] and len(stamp["a"]) == 4 and stamp["b"].isdigit():
        return Bin(float(stamp["c"]), float(stamp["b"]), "date", whole)
    for pattern, form in ((RANGE, "range"), (ABOVE, "above"), (BELOW, "below")):
        found = pattern.fullmatch(text)
        if found:
            told = [value for part in found.groups() if part and (value := cells.number(part, mark)) is not None]
            return _formed(form, told, whole)
    single = cells.number(text, mark)
    if single is not None and single >= 0.0:
        return Bin(single, single, "single", whole)
    dated = DAY_MONTH.fullmatch(text)
    month = stamps.MONTHS.get((dated[2] or dated[3]).lower()) if dated else None
    return Bin(float(dated[1] or dated[4]), float(month), "date", whole) if dated and month else None


def _formed(form: str, told: list[float], text: str) -> Bin | None:
    if form == "range":
        return Bin(told[0], told[1], form, text) if len(told) == 2 and told[0] < told[1] else None
    if len(told) != 1:
        return None
    return Bin(told[0], math.inf, form, text) if form == "above" else Bin(0.0, told[0], form, text)


# --- dates back to bins --------------------------------------------------------------------------


def without_dates(bins: Sequence[Bin], column: str, log: Log) -> list[Bin]:
    """Bins with those that became dates recovered from their neighbours; asked where these do not tell."""
    found = list(bins)
    rising = _is_rising(bins)
    for n, own in enumerate(bins):
        if own.form != "date":
            continue
        before, after = (found[n - 1] if n else None), (bins[n + 1] if n + 1 < len(bins) else None)
        low, high = (before, after) if rising else (after, before)
        told = _recovered(own, low, high, _is_single(bins))
        if told is None:
            text = f"{column}: the heading {own.text} is a date. Which bin was it? (e.g. 8-10)"
            answer = log.ask(
                Question(f"bin.{own.text}", text, (), "a spreadsheet took it for a date; its neighbours do not tell")
            )
            told = _worded(answer, answer, Numbers(log, ".")) if answer else own
            if told is None or (answer and told.form == "date"):
                raise InputError(
                    "The answer cannot be used.", [Problem(f"bin.{own.text}", answer or "", "a bin such as 8-10")]
                )
        else:
            name = f"{told.low:g}" if told.form == "single" else f"{told.low:g}-{told.high:g}"
            text = f"{column}: the heading {own.text} is a date that a spreadsheet made of the bin {name}"
            text += "; recovered from its neighbours"
            log.flag("bin-was-date", text, "caution", column)
        found[n] = told
    return found


def _is_rising(bins: Sequence[Bin]) -> bool:
    told = [item.low for item in bins if item.form != "date"]
    return len(told) < 2 or told[0] < told[-1]


def _is_single(bins: Sequence[Bin]) -> bool:
    return sum(item.form == "single" for item in bins) > sum(item.form == "range" for item in bins)


def _recovered(own: Bin, below: Bin | None, above: Bin | None, is_single: bool) -> Bin | None:
    """The bin of a day and month that fits between its neighbours; None where not exactly one does."""
    pair = sorted((own.low, own.high))
    if is_single:
        told = [int(a) + int(b) / (10.0 if b < 10 else 100.0) for a, b in ((own.low, own.high), (own.high, own.low))]
        fits = {v for v in told if (below is None or v > below.low) and (above is None or v < above.low)}
        fits = fits if below is not None or above is not None else set()
        value = fits.pop() if len(fits) == 1 else math.nan
        return None if math.isnan(value) else Bin(value, value, "single", own.text)
    if pair[0] == pair[1]:
        return None
    width = SLACK * (pair[1] - pair[0])
    sides = [abs(pair[0] - below.high) <= width if below is not None and below.form != "date" else None,
             abs(above.low - pair[1]) <= width if above is not None and above.form != "date" else None]  # fmt: skip
    told_sides = [side for side in sides if side is not None]
    return Bin(pair[0], pair[1], "range", own.text) if told_sides and all(told_sides) else None


# --- edges ---------------------------------------------------------------------------------------


def middles(edges: Sequence[float], is_period: bool) -> Array:
    """Middles of bins, shape (n - 1,) for n rising edges; an open one is as wide as its neighbour.

    Open are a last bin up to infinity and a first bin of periods from 0: no wave has a period near 0.
    """
    closed = [edge if math.isfinite(edge) else 2.0 * edges[n - 1] - edges[n - 2] for n, edge in enumerate(edges)]
    if is_period and closed[0] == 0.0 and len(closed) > 2:
        closed[0] = max(2.0 * closed[1] - closed[2], 0.0)
    return 0.5 * (np.array(closed[:-1]) + np.array(closed[1:]))


def flag_open(axis: Axis, key: str, unit: str, log: Log) -> None:
    """Say of a bin without an end where it stands as a state; `unit` is that of the edges."""
    found = middles(axis.edges, key == "period")
    if axis.is_open and len(axis.edges) > 2:
        text = f"the last {key} bin, above {axis.edges[-2]:g} {unit}, has no upper end"
        log.flag("bin-open", f"{text}; as a state it is taken as wide as the one before it: {found[-1]:g} {unit}",
                 column=key)  # fmt: skip
    if axis.edges[0] == 0.0 and abs(found[0] - 0.5 * axis.edges[1]) > 1e-9:
        text = f"the first {key} bin, below {axis.edges[1]:g} {unit}, has no lower end that a wave has"
        log.flag("bin-open", f"{text}; as a state it is taken as wide as the one behind it: {found[0]:g} {unit}",
                 column=key)  # fmt: skip
    elif axis.is_below:
        text = f"the first {key} bin, below {axis.edges[1]:g} {unit}, has no lower end; as a state it begins at 0"
        log.flag("bin-open", f"{text}: {found[0]:g} {unit}", column=key)


def axis_of(bins: Sequence[Bin], key: str, words: str, log: Log) -> Axis | None:
    """Edges of bins that are all read; None while a question is open. Raises InputError where they overlap."""
    if any(item.form == "date" for item in bins):
        return None
    order = tuple(sorted(range(len(bins)), key=lambda n: (bins[n].low, bins[n].high)))
    rising = [bins[n] for n in order]
    singles = [item.low for item in rising if item.form == "single"]
    said = "ranges"
    if singles:
        kind, said = _kind(rising, singles, key, words, log)
        if kind is None:
            return None
        rising = _widened(rising, singles, kind)
    edges = _edges(rising, key, log)
    return Axis(edges, order, math.isinf(rising[-1].high), said, rising[0].form == "below")


def _kind(bins: Sequence[Bin], singles: Sequence[float], key: str, words: str, log: Log) -> tuple[str | None, str]:
    """Whether single numbers are centres or edges: by words, by an open bin, else asked."""
    for kind, pattern in (("upper edge", r"upper|ober|\bbis\b|sup[ée]r|bovengrens|øvre|\bto\b|≤|<"),
                          ("lower edge", r"lower|unter|\bfrom\b|inf[ée]r|ondergrens|nedre|≥|>"),
                          ("centre", r"cent|\bmid|mitte|milieu|medio|midden|midt")):  # fmt: skip
        if re.search(pattern, words.lower()):
            return kind, f"{kind}s, stated: {words.strip()[:60]}"
    if len(singles) == 1 and len(bins) > 1:
        return "centre", "centre"
    if bins[-1].form == "above" and bins[-1].low == singles[-1]:
        return "upper edge", f"upper edges: the open bin above {singles[-1]:g} begins at the last of them"
    text = f"What are the single numbers of the {key} bins?"
    told = ", ".join(f"{value:g}" for value in singles[:6])
    answer = log.ask(Question(f"bins.{key}", text, KINDS, f"the headings read {told} and do not say"))
    return answer, f"{answer}s, answer" if answer else "open"


def _widened(bins: Sequence[Bin], singles: Sequence[float], kind: str) -> list[Bin]:
    """Single numbers as ranges, by their distance from each other."""
    steps = [b - a for a, b in itertools.pairwise(singles)] or [singles[0] or 1.0]
    if any(step <= 0.0 for step in steps):
        raise InputError(
            "Two bins are the same.", [Problem("bins", ", ".join(f"{s:g}" for s in singles), "each bin once")]
        )
    ranges = {}
    for n, value in enumerate(singles):
        before = steps[n - 1] if n else steps[0]
        after = steps[n] if n < len(steps) else steps[-1]
        low, high = {"centre": (value - before / 2.0, value + after / 2.0), "upper edge": (value - before, value),
                     "lower edge": (value, value + after)}[kind]  # fmt: skip
        ranges[value] = (max(low, 0.0), high)
    if kind == "upper edge" and 0.0 < ranges[singles[0]][0] <= 0.5 * steps[0]:
        ranges[singles[0]] = (0.0, singles[0])
    return [
        item._replace(low=ranges[item.low][0], high=ranges[item.low][1]) if item.form == "single" else item
        for item in bins
    ]


def _edges(bins: Sequence[Bin], key: str, log: Log) -> tuple[float, ...]:
    """Edges of neighbouring bins; a small gap is closed, a wide one or an overlap is refused."""
    edges = [bins[0].low]
    for before, after in itertools.pairwise(bins):
        gap = after.low - before.high
        width = min(before.high - before.low, after.high - after.low)
        if not abs(gap) <= SLACK * width + 1e-9:
            read = f"{before.text or before.high} then {after.text or after.low}"
            raise InputError(
                f"The {key} bins do not join.", [Problem(f"{key} bins", read, "bins that follow each other")]
            )
        if abs(gap) > 1e-9:
            text = f"the {key} bins leave gaps ({before.text} then {after.text}); each ends where the next begins"
            log.flag("bins-gap", text, column=key)
        edges.append(after.low)
    return (*edges, bins[-1].high)
