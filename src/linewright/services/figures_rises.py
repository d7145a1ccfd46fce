"""What heats the core: the rise above air of each place, by source, in bars."""

from __future__ import annotations

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from linewright.services.figures_paper import (
    HAIR,
    INK,
    INK2,
    MARGIN,
    PAPER,
    RULE,
    WIDTH,
    Row,
    Sheet,
    at_place,
    celsius,
    literal,
    paper,
    sheet,
    tall,
    width_of,
    wrapped,
)

SOURCES = {  # words, fill, hatch: told apart without colour
    "hysteresis": ("stretching of the rope", INK2, ""),
    "bending": ("bending", PAPER, "/////"),
    "friction": ("friction on the steel", RULE, ""),
    "steel": ("heat of the steel", PAPER, "...."),
    "creep": ("creep", PAPER, "xxxxx"),
    "sun": ("sun", HAIR, ""),
    "sky": ("cold sky", PAPER, ""),
    "evaporation": ("drying", PAPER, "----"),
}
Fills = dict[str, tuple[str, str, str]]  # words, fill and hatch by source
SPARE = ((PAPER, "\\\\\\\\\\"), (PAPER, "|||||"), (HAIR, "++++"), (RULE, "ooo"), (HAIR, "***"))
KEY = 2.05  # width of the words beside the bars [in]
SHARE, WIDEST = 0.56, 0.9  # of a bar in its place, and its greatest width [in]
LEAST = 0.16  # height of a piece that holds its figure [in]


@paper()
def rises(row: Row) -> Figure:
    """Rise above air by source, stacked for each place; what cools stands below zero."""
    places = [(literal(one["place"]), _worth(one["parts"])) for one in row["rises"]]
    most = max(range(len(places)), key=lambda n: sum(places[n][1].values()))
    name, parts = places[most]
    fills = _fills([own for _, own in places])
    left, right = MARGIN + 0.5, WIDTH - MARGIN - KEY - 0.2
    slot = (right - left) / len(places)
    texts = [wrapped(place, slot - 0.08) for place, _ in places]
    under = max(tall(len(lines)) for lines in texts)
    head = f"The core is {sum(parts.values()):.1f}\u00a0K above the air {at_place(name)}{_first(parts, fills)}"
    small = f"Rise above air of {celsius(row['air'])}, in K, by source. Circle: the sum. Below zero: what cools."
    made = sheet(row, head, small, max(0.0, under - tall(3)))
    axes = made.axes(left, made.bottom + under + 0.1, right, made.top - 0.05)
    high = max(sum(value for value in own.values() if value > 0.0) for _, own in places)
    low = min(sum(value for value in own.values() if value < 0.0) for _, own in places)
    room = max(high - low, 1.0)
    axes.set(
        xlim=(0.0, len(places)), ylim=(low - 0.04 * room, high + 0.13 * room), xticks=[], ylabel="rise above air, K"
    )
    axes.spines["bottom"].set_visible(False)
    axes.locator_params(axis="y", nbins=5)
    axes.grid(axis="y", color=HAIR, linewidth=0.8)
    axes.set_axisbelow(True)
    axes.axhline(0.0, color=INK, linewidth=1.0)
    inch = (axes.get_ylim()[1] - axes.get_ylim()[0]) / (made.top - 0.05 - made.bottom - under - 0.1)
    for n, ((_, own), lines) in enumerate(zip(places, texts, strict=True)):
        _bar(axes, n + 0.5, own, fills, (inch, slot))
        made.words(left + (n + 0.5) * slot, made.bottom + under + 0.05, lines, ha="center")
    _key(made, right + 0.25, name, parts, fills)
    return made.figure


def _worth(parts: dict[str, float | None]) -> dict[str, float]:
    """The parts that have a value, in the order of the sources; unknown ones last."""
    known = [*SOURCES, *(key for key in parts if key not in SOURCES)]
    return {key: value for key in known if (value := parts.get(key)) is not None}


def _fills(places: list[dict[str, float]]) -> Fills:
    """Words, fill and hatch of every source that occurs."""
    keys = dict.fromkeys(key for own in places for key in own)
    other = [key for key in keys if key not in SOURCES]
    spare = {key: (literal(key), *SPARE[n % len(SPARE)]) for n, key in enumerate(other)}
    return {key: words for key, words in {**SOURCES, **spare}.items() if key in keys}


def _first(parts: dict[str, float], fills: Fills) -> str:
    """The source that gives most, in words."""
    if not parts or max(parts.values()) <= 0.0:
        return ""
    key = max(parts, key=lambda one: parts[one])
    return f"; {fills[key][0]} gives most, {parts[key]:.1f}\u00a0K"


def _bar(axes: Axes, at: float, parts: dict[str, float], fills: Fills, room: tuple[float, float]) -> None:
    """One stack about its middle; `room` is K per inch and the width of its place [in]."""
    inch, slot = room
    wide = min(SHARE, WIDEST / slot)
    ends = {True: 0.0, False: 0.0}
    for key, value in parts.items():
        up = value >= 0.0
        _, fill, hatch = fills[key]
        axes.bar(at, value, wide, ends[up], color=fill, hatch=hatch, edgecolor=INK, linewidth=0.8, label=key)
        text = f"{value:.1f}"
        if abs(value) / inch > LEAST and width_of(text, 8.0) + 0.06 < wide * slot:
            axes.text(at, ends[up] + 0.5 * value, text, fontsize=8, ha="center", va="center",
                      bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.8})  # fmt: skip
        ends[up] += value
    total = sum(parts.values())
    axes.plot([at + 0.5 * wide], [total], "o", markersize=6, markerfacecolor=PAPER, markeredgecolor=INK, zorder=7)
    words = "\n".join(wrapped(f"sum {total:.1f}\u00a0K", slot - 0.05, bold=True))
    axes.text(at, ends[True] + 0.05 * inch, words, fontweight="bold", ha="center", va="bottom", linespacing=1.0)


def _signed(value: float) -> str:
    """A part with its sign; what rounds to nothing has none."""
    return f"{value:+.1f}" if round(value, 1) else "0.0"


def _key(made: Sheet, left: float, name: str, parts: dict[str, float], fills: Fills) -> None:
    """Each source's fill, words and figure at the place with the highest rise, in the order of the stack."""
    width, height = made.figure.get_size_inches()
    lines = wrapped(f"{name}, K", KEY - 0.05)
    y = made.top
    made.words(left, y, lines, fontweight="bold")
    y -= tall(len(lines)) + 0.1
    for key, (words, fill, hatch) in reversed(fills.items()):
        told = wrapped(words, KEY - 0.85)
        box = Rectangle((left / width, (y - 0.15) / height), 0.24 / width, 0.15 / height, facecolor=fill, hatch=hatch,
                        edgecolor=INK, linewidth=0.8, transform=made.figure.transFigure)  # fmt: skip
        made.figure.add_artist(box)
        made.words(left + 0.32, y, told)
        made.words(left + KEY - 0.05, y, [_signed(parts[key]) if key in parts else ""], ha="right")
        y -= tall(len(told)) + 0.08
