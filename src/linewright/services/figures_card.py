"""The crew card: one page of A4, black and white, what a line may do in a state and what to look for."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from linewright.services.answer import fit, fit_title
from linewright.services.figures_paper import INK, INK2, RULE, SMALL, Row, Sheet, literal, paper, tall, wrapped
from linewright.services.figures_zones import AXIS, mark_own, zones
from linewright.services.window_text import (
    evenly,
    in_short,
    short_bound,
    slack_told,
    told_place,
    told_state,
    told_worse,
)
from linewright.services.words import CAUTIONS

WIDE, HIGH, EDGE = 8.27, 11.69, 0.5  # A4 [in]
WHITE = "#ffffff"
TITLE, TEXT, TINY = 13.0, 8.5, 7.5  # [pt]
MAP, BESIDE = 2.2, 1.15  # height of the map, room for newtons beside it [in]
LIMITS = 6  # rows of the table
NAME = 80  # characters
COLUMNS = (0.0, 0.6, 2.1, 4.15)  # of the table [in]
SAID = 6  # cautions of the run
BY = {  # what stands beside the map: key across, scale, form
    "swell": (("sea", 1.0, "{:.1f}"), ("amplitude", 1e-3, "±{:.0f}"), ("highest", 1e-3, "{:.0f}")),
    "tension": (("mean", 1e-3, "{:.0f}"), ("mean_share", 1e2, "{:.0f} %"), ("highest", 1e-3, "{:.0f}")),
    "hours": (("highest", 1e-3, "{:.0f}"),),
}
NAMES = {"sea": "sea, m", "amplitude": "swing, kN", "mean": "mean, kN", "mean_share": "LDBF",
         "highest": "highest tension, kN"}  # fmt: skip
FLOOR = 0.85  # below which nothing but the foot stands [in]
# Through the hands, turned, strands opened: tanker-industry guidelines, 2nd ed. (1997), C.2. Above 75 % of the break
# force damage is assumed: US Navy training manual on synthetic lines. The rest: common practice, no source.
LOOK = (
    "Skin: glazed, fused or stiff patches, melted yarn, powder, rust stain - most where the line lies on the {place}.",
    "Inside: open the strands there: powder, fused yarn, broken yarn. A jacket hides all of it.",
    "Shape: thinner or longer than it was, a hockle, twist, cut or pulled strands, a splice that moved.",
    "At work: a line that steams, smells, creaks or squeals on its fitting; a skin too hot to touch once it is slack.",
)
WHEN = (
    "Before and after every call in this state, through the hands, turning the rope; strands opened at the wear place.",
    "At once, and before the line works again: after any time in the hatched zone, after a tension above {overload} kN "
    "(75 % of its break force: damage is to be assumed), after brakes have rendered.",
    "Soon after hours in the dotted zone: a stay of {stay} h there counts more than one in the plain zone.",
)
# Common practice, no source: the master decides.
LEAVE = (
    "Before the hatched zone, while tugs can still work, and when a line is slacked as far as the berth allows: the "
    "master weighs leaving.",
    "At STOP: everybody away; slacken by the master's judgement, call terminal and tugs, leave if it cannot be eased. "
    "Master and terminal decide; the maker says whether the line may work again.",
)
KEY = (
    "Plain: good. Dotted: CAUTION, a limit for long use, the working load limit or what the rope holds for hours is "
    "passed: ease the line, write down the hours. Hatched: STOP, ease the line, call for help, keep everybody away."
)
SNATCH = "Slack line: it snatches as it comes tight, beyond any number here. Never permitted: hatched."


@paper()
def crew_card(row: Row, made_on: str = "") -> Figure:
    """The card of a window's row; `made_on` is the day that it says it is of."""
    figure = Figure(figsize=(WIDE, HIGH), facecolor=WHITE)
    figure.set_label(f"Crew card: {literal(row['title'])}, {literal(row['line'])}")
    made = Sheet(figure, EDGE, HIGH - EDGE)
    y = _head(made, row, made_on)
    axes = made.axes(EDGE + 0.5, y - MAP, WIDE - EDGE - (BESIDE if row["across"]["kind"] in BY else 0.0), y)
    axes.set(xlim=(row["air"][0], row["air"][-1]), xlabel="air temperature, °C", ylabel=AXIS[row["across"]["kind"]],
             ylim=(row["across"]["values"][0], row["across"]["values"][-1]))  # fmt: skip
    zones(axes, row)
    mark_own(axes, row)
    _newtons(axes, row)
    y = _table(made, row, y - MAP - 0.55)
    place = literal(_place(row))
    told = {"place": place, "overload": f"{row['duty']['overload'] / 1e3:.0f}", "stay": f"{row['duty']['stay']:.0f}"}
    y = _list(made, "WHEN TO LEAVE, AT STOP", LEAVE, y)
    y = _list(made, "TAKE CARE", CAUTIONS[:2], y)
    y = _list(made, "LOOK FOR", [text.format(**told) for text in LOOK], y)
    y = _list(made, "INSPECT", [text.format(**told) for text in WHEN], y)
    worse = [literal(told_worse(row))] if row["worse"] else []
    _list(made, "SAID OF THIS LINE", [*worse, *_run_cautions(row)], y)
    foot = wrapped(
        f"{_drawn(row)} Numbers are computed, {row['samples']} draws; not measured on this line.", WIDE - 2 * EDGE, TINY
    )
    made.words(EDGE, 0.35 + tall(len(foot), TINY), foot, fontsize=TINY, color=INK2)
    return figure


def _newtons(axes: Axes, row: Row) -> None:
    """Beside the map what the values across are on deck: kN of swing and mean, highest tension, metres of sea."""
    across = row["across"]
    if across["kind"] not in BY:
        return
    places = np.linspace(across["values"][0], across["values"][-1], 6)
    parts = [(across[key], scale, text) for key, scale, text in BY[across["kind"]] if across.get(key)]
    labels = [
        " / ".join(text.format(scale * np.interp(place, across["values"], values)) for values, scale, text in parts)
        for place in places
    ]
    beside = axes.secondary_yaxis("right")
    beside.set_yticks(places, labels)
    beside.tick_params(labelsize=SMALL - 0.5)
    named = [NAMES[key] for key, _, _ in BY[across["kind"]] if across.get(key)]
    beside.set_ylabel(" / ".join(named), fontsize=SMALL - 0.5)


def _place(row: Row) -> str:
    """The contact with the hottest core."""
    states = row["ropes"][-1]["states"]
    return str(states[0]["hottest_place"]).partition(",")[0] if states else "fittings"


def _head(made: Sheet, row: Row, made_on: str) -> float:
    y = HIGH - EDGE
    wide = WIDE - 2.0 * EDGE
    named = f"{fit(literal(row['line']), NAME)} in {told_place(_printed(row))}: what this line may do"
    title = wrapped(named, wide, TITLE, True)
    made.words(EDGE, y, title, fontsize=TITLE, fontweight="bold")
    y -= tall(len(title), TITLE)
    about = wrapped(f"{_identity(row, made_on)} {told_state(row)} {in_short(row)}", wide, TEXT)
    made.words(EDGE, y, about, fontsize=TEXT)
    y -= tall(len(about), TEXT) + 0.06
    key = wrapped(KEY, wide - 0.1, TEXT, True)
    if slack_told(row):
        key += wrapped(SNATCH, wide - 0.1, TEXT, True)
    made.words(EDGE, y, key, fontsize=TEXT, fontweight="bold")
    return y - tall(len(key), TEXT) - 0.12


def _printed(row: Row) -> Row:
    return {**row, "state": literal(row["state"]), "berth": literal(row["berth"])}


def _identity(row: Row, made_on: str) -> str:
    """The rope that the card is of, the study and the day."""
    size = row["size"]
    thick = f"{1e3 * size['diameter']:.0f} mm"
    told = "" if thick in row["rope"] else f"{thick} thick, "
    rope = (
        f"Valid only for this rope: {fit_title(literal(row['rope']), NAME)} (card {fit(literal(size['card']), NAME)}), "
        f"{told}LDBF {size['break_force'] / 1e3:.0f} kN, ship's SDMBL "
        f"{size['ship'] / 1e3:.0f} kN; and for this study: {fit(literal(row['title']), NAME)}"
    )
    return f"{rope}{', made on ' if made_on else ''}{made_on}."


def _table(made: Sheet, row: Row, y: float) -> float:
    """Bounds by air temperature."""
    head = ("air", "plain", "ends by", "no STOP")
    for x, text in zip(COLUMNS, head, strict=True):
        made.words(EDGE + x, y, [text], fontsize=TEXT, fontweight="bold")
    y -= tall(1, TEXT) + 0.02
    made.line([EDGE, WIDE - EDGE], [y + 0.02, y + 0.02], color=INK, linewidth=0.8)
    for bound in evenly(row["bounds"], LIMITS):
        ok, stop = bound["ok"], bound["stop"]
        ends = f"{short_bound(row, stop)}{': ' if stop['because'] else ''}{stop['because']}"
        texts = (f"{bound['air']:.0f} °C", short_bound(row, ok), ok["because"], ends)
        for x, text in zip(COLUMNS, texts, strict=True):
            made.words(EDGE + x, y, [text], fontsize=SMALL)
        y -= tall(1, TEXT)
    made.line([EDGE, WIDE - EDGE], [y + 0.02, y + 0.02], color=RULE, linewidth=0.6)
    return y - 0.1


def _list(made: Sheet, head: str, texts: Sequence[str], y: float) -> float:
    for number, text in enumerate(texts):
        lines = wrapped(text, WIDE - 2.0 * EDGE - 0.15, TEXT)
        if number == 0 and y - tall(1 + len(lines), TEXT) >= FLOOR:
            made.words(EDGE, y, [head], fontsize=TEXT, fontweight="bold")
            y -= tall(1, TEXT)
        if y - tall(len(lines), TEXT) < FLOOR:
            break
        made.words(EDGE, y, ["-"], fontsize=TEXT)
        made.words(EDGE + 0.15, y, lines, fontsize=TEXT)
        y -= tall(len(lines), TEXT)
    return y - 0.08


def _run_cautions(row: Row) -> list[str]:
    """The cautions of the run that the crew can act on, each once; not those of the rope that this one is beside."""
    others = tuple(rope["name"] for rope in row["ropes"] if rope["name"] != row["rope"])
    ours = [item for item in row["findings"] if not (others and item["about"].endswith(others))]
    kept = dict.fromkeys(item["text"] for item in ours if item["severity"] == "caution")
    return [f"{text[0].upper()}{text[1:]}." for text in kept][:SAID]


def _drawn(row: Row) -> str:
    return fit(literal(row["note"]), 3 * NAME) if row["note"] else ""
