"""The paper that pictures are drawn on: look, temperature scale, words that wrap and stay what they are, bytes."""

from __future__ import annotations

import io
import threading
import warnings
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from typing import Any

import matplotlib as mpl
import numpy as np
from matplotlib import font_manager
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.colors import ListedColormap, Normalize
from matplotlib.figure import Figure
from matplotlib.ft2font import FT2Font
from matplotlib.lines import Line2D

from linewright.services.temperature_scale import LAST, colour

Row = dict[str, Any]
PAPER, INK, INK2, INK3, RULE, HAIR, ZONE, ACCENT = (
    "#fbfaf7", "#17191d", "#474c54", "#656b73", "#84888c", "#dcdad3", "#f1efe9", "#3a3d9e",
)  # fmt: skip
WIDTH, HEIGHT, MARGIN = 7.5, 5.0, 0.25  # [in]
LEAST_ROOM = 3.4  # between head and foot [in]
HEAD, SMALL = 11.0, 8.5  # [pt]
LEADING = 1.3
DPI = 200
LONGEST = 400  # characters of one name
FACE = "DejaVu Sans"  # comes with the library: the same picture everywhere
FREE_SPAN = "free span"  # what a row calls the rope between contacts
LIMITS = {"long_term": "long-term limit", "short_term": "short-term limit"}
_LOOK: Any = {
    "text.parse_math": False,
    "font.family": [FACE],
    "font.size": SMALL,
    "text.color": INK,
    "axes.edgecolor": RULE,
    "axes.labelcolor": INK2,
    "axes.facecolor": "none",
    "axes.grid": False,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.unicode_minus": False,
    "axes.formatter.useoffset": False,
    "xtick.color": RULE,
    "ytick.color": RULE,
    "xtick.labelcolor": INK2,
    "ytick.labelcolor": INK2,
    "hatch.linewidth": 0.7,
    "hatch.color": INK2,
    "svg.hashsalt": "linewright",
    "svg.fonttype": "path",
}
_LOCK = threading.RLock()
STEP = 0.1  # of the colours [K]
SCALE = ListedColormap([colour(STEP * n) for n in range(round(LAST / STEP) + 1)], "temperature")
NORM = Normalize(0.0, LAST)


@contextmanager
def paper() -> Iterator[None]:
    """The house's settings whatever the user's own file says; one picture at a time, for they are the library's."""
    with _LOCK, mpl.rc_context(), warnings.catch_warnings():
        warnings.filterwarnings("ignore", "Glyph .* missing from font", UserWarning)
        mpl.rcdefaults()
        mpl.rcParams.update(_LOOK)
        yield


def literal(name: object) -> str:
    """A name as one line of what can be printed, at most 400 characters."""
    flat = " ".join(str(name).split())
    shown = "".join(char if char.isprintable() else "\ufffd" for char in flat)
    return shown if len(shown) <= LONGEST else shown[: LONGEST - 2] + " …"


def faces(text: str) -> list[str]:
    """The fonts that a text needs: the house's, and installed ones for characters that it does not have."""
    own = _own_font()
    return [FACE, *_others(frozenset(char for char in text if not own.get_char_index(ord(char))))]


@cache
def _own_font() -> FT2Font:
    return FT2Font(font_manager.findfont(FACE))


@cache
def _others(missing: frozenset[str]) -> list[str]:
    found: list[str] = []
    left = set(missing)
    for entry in sorted(font_manager.fontManager.ttflist, key=lambda one: (one.name, one.fname)):
        if not left:
            break
        if not entry.name.startswith("Last Resort"):
            has = FT2Font(entry.fname)
            covered = {char for char in left if has.scalable and has.get_char_index(ord(char))}
            found += [entry.name] if covered else []
            left -= covered
    return found


@cache
def _ruler() -> RendererAgg:
    return RendererAgg(1, 1, 72)  # type: ignore[no-untyped-call]


@cache
def width_of(text: str, points: float = SMALL, bold: bool = False) -> float:
    """Width of a text [in]."""
    font = font_manager.FontProperties(family=faces(text), size=points, weight="bold" if bold else "normal")
    width, _, _ = _ruler().get_text_width_height_descent(text, font, ismath=False)  # type: ignore[no-untyped-call]
    return float(width) / 72.0


def wrapped(text: str, inches: float, points: float = SMALL, bold: bool = False) -> list[str]:
    """A text in lines of at most some width; a word that is wider is broken."""
    lines = [""]
    for word in text.split(" "):
        joined = f"{lines[-1]} {word}".strip()
        if width_of(joined, points, bold) <= inches:
            lines[-1] = joined
            continue
        lines += [""] if lines[-1] else []
        for char in word:
            if lines[-1] and width_of(lines[-1] + char, points, bold) > inches:
                lines.append("")
            lines[-1] += char
    return lines


def tall(lines: int, points: float = SMALL) -> float:
    """Height of some lines of text [in]."""
    return lines * points * LEADING / 72.0


def spread(places: Sequence[float], sizes: Sequence[float], low: float, high: float) -> list[float]:
    """Middles of labels of some sizes, in the given order, moved as little as keeps them apart within low to high."""
    order = np.argsort(places, kind="stable")
    at = np.array(places, dtype=float)[order]
    half = 0.5 * np.array(sizes, dtype=float)[order]
    edge = low
    for n in range(at.size):
        at[n] = max(at[n], edge + half[n])
        edge = at[n] + half[n]
    edge = high
    for n in range(at.size - 1, -1, -1):
        at[n] = min(at[n], edge - half[n])
        edge = at[n] - half[n]
    moved = np.empty_like(at)
    moved[order] = at
    return [float(value) for value in moved]


@dataclass(frozen=True)
class Sheet:
    """A figure with its head and foot written: what is between them is free, from bottom to top [in]."""

    figure: Figure
    bottom: float
    top: float

    def axes(self, left: float, bottom: float, right: float, top: float) -> Axes:
        """Axes between four places [in]."""
        width, height = self.figure.get_size_inches()
        return self.figure.add_axes((left / width, bottom / height, (right - left) / width, (top - bottom) / height))

    def words(self, x: float, y: float, lines: Sequence[str], **style: Any) -> None:
        """Lines of text at a place [in]."""
        width, height = self.figure.get_size_inches()
        text = "\n".join(lines)
        given = {"fontsize": SMALL, "va": "top", "linespacing": LEADING * 0.86, "fontfamily": faces(text)}
        self.figure.text(x / width, y / height, text, **{**given, **style})

    def line(self, x: Sequence[float], y: Sequence[float], **style: Any) -> None:
        """A line between places [in]."""
        width, height = self.figure.get_size_inches()
        ends = [one / width for one in x], [one / height for one in y]
        self.figure.add_artist(Line2D(*ends, transform=self.figure.transFigure, **style))


def sheet(row: Row, head: str, small: str, more: float = 0.0) -> Sheet:
    """A sheet with what is seen in words, unit and statistic, and the names below; longer names make it taller.

    `more` is room that the picture itself needs beyond the usual for long names [in].
    """
    wide = WIDTH - 2.0 * MARGIN
    names = ", ".join(literal(row[key]) for key in ("berth", "state", "line", "rope"))
    heads, smalls = (wrapped(text, wide, points, bold) for text, points, bold in
                     ((head, HEAD, True), (small, SMALL, False)))  # fmt: skip
    feet = wrapped(names, wide)
    above = MARGIN + tall(len(heads), HEAD) + tall(len(smalls)) + 0.1
    below = MARGIN + tall(len(feet)) + 0.05
    height = max(HEIGHT, above + below + LEAST_ROOM + more)
    figure = Figure(figsize=(WIDTH, height), facecolor=PAPER)
    figure.set_label(f"{head} ({names})")
    made = Sheet(figure, below, height - above)
    made.words(MARGIN, height - MARGIN, heads, fontsize=HEAD, fontweight="bold", linespacing=LEADING * 0.86)
    made.words(MARGIN, height - MARGIN - tall(len(heads), HEAD), smalls, color=INK2)
    made.words(MARGIN, MARGIN + tall(len(feet)), feet, color=INK3)
    return made


def at_place(place: str) -> str:
    """A place in words."""
    return f"in the {place}" if place == FREE_SPAN else f"at {literal(place)}"


def celsius(value: float, figures: int = 0) -> str:
    """A temperature in words; a rounded zero has no sign."""
    return f"{round(value, figures) + 0.0:.{figures}f}\u00a0°C"


def told_limits(row: Row) -> dict[str, float]:
    """The limits that are given, by their words [degC]."""
    limits: Mapping[str, float | None] = row.get("limits") or {}
    return {words: value for key, words in LIMITS.items() if (value := limits.get(key)) is not None}


def encoded(figure: Figure, kind: str) -> bytes:
    """A figure as the bytes of a PNG or SVG file, without date or maker."""
    title = {"Title": figure.get_label()}
    meta = {**title, "Software": None} if kind == "png" else {**title, "Date": None, "Creator": None}
    stream = io.BytesIO()
    with paper():
        figure.savefig(stream, format=kind, dpi=DPI, metadata=meta)
    return stream.getvalue()
