"""The answer as one page: a single file that needs nothing else, neither script nor network.

Every text of the user is data: it is escaped where it is written, whatever it holds.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Any

from linewright.base.sources import BASES
from linewright.services import drawing, page_texts
from linewright.services.answer import TAIL, letter
from linewright.services.duties import is_invented
from linewright.services.ending import is_reached, not_reached, why_no_band
from linewright.services.kept import made
from linewright.services.known import known_lines
from linewright.services.markup import Markup, join, row, table, tag, text
from linewright.services.page_cautions import cautions
from linewright.services.page_duty import duty_section
from linewright.services.page_style import style
from linewright.services.spoken import best, is_too_wide, times
from linewright.services.store import write_whole
from linewright.services.temperature_scale import LAST, gradient
from linewright.services.withheld import for_client, is_withheld
from linewright.services.words import narrows, years

Row = dict[str, Any]
NAME = "answer.html"
OWN_NAME = "answer-own.html"
POLICY = "default-src 'none'; style-src 'unsafe-inline'"
LINES = {"given": "read", "measured": "measured", "calibrated": "measured", "estimate": "estimate"}
TICKS = 3


def write_page(folder: Path, result: Row, made_for: str, old: str = "") -> Path:
    """Write the page of a result into a folder. Raises StorageError."""
    path = folder / (NAME if made_for == "client" else OWN_NAME)
    write_whole(path, page(result, made_for, old).encode())
    return path


def page(result: Row, made_for: str = "client", old: str = "") -> str:
    """The page of a result, for a `client` (confidential data withheld) or for one's `own` use."""
    shown = for_client(result) if made_for == "client" else result
    head = tag(
        "head", tag("meta", charset="utf-8"),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("meta", http_equiv="Content-Security-Policy", content=POLICY), tag("title", f"{shown['title']}: answer"),
        tag("style", Markup(style())),
    )  # fmt: skip
    body = tag("body", _main(shown, old), _footer(shown))
    return f"<!DOCTYPE html>\n{tag('html', head, body, lang='en')}\n"


def _main(result: Row, old: str) -> Markup:
    state = hottest(result)
    what = tag("p", f"{result['title']}  |  {_size(result)}  |  {made(result)}", class_="what")
    stale = join([*([tag("p", old, class_="old")] if old else []), *(tag("p", told) for told in known_lines(result))])
    answer = [_firm(result, state), _table(result), _bands(result)]
    rest = [_wide(result), _stairs(result, state)]
    left = [] if state is None else [_drawn(result, state)]
    upper = tag("div", tag("section", *left), tag("div", *answer), class_="two")
    lower = tag("div", *(tag("section", part) for part in rest), class_="half")
    return tag("main", what, stale, tag("h1", _sentence(result)), upper, lower, duty_section(result), cautions(result),
               _rests(result))  # fmt: skip


def hottest(result: Row) -> Row | None:
    """The state of the rope on board with the hottest core; None if no state has hours."""
    states = [state for state in result["ropes"][0]["states"] if state["hours_per_year"] > 0.0]
    return max(states, key=lambda state: float(state["core_temperature"]["p50"]), default=None)


def _size(result: Row) -> str:
    board = result["ropes"][0]
    lines = ", ".join(line["name"] for line in board["lines"])
    return f"{lines}  |  {_figure(board['diameter'], '.0f', 1000.0, ' mm')}"


def _figure(value: Any, form: str, factor: float = 1.0, unit: str = "") -> str:
    """A number as text; the words of a withheld one as they are."""
    return value if isinstance(value, str) else f"{factor * value:{form}}{unit}"


def short(rope: str) -> str:
    """A rope's name without its construction and size."""
    return ", ".join(rope.split(", ")[:2])


def _filled(template: str, **words: object) -> Markup:
    """A sentence whose words in capitals of value stand in bold."""
    bold = {key: tag("b", word) if key in ("years", "ratio", "margin") else word for key, word in words.items()}
    pieces = template
    out: list[Markup] = []
    while "{" in pieces:
        before, _, after = pieces.partition("{")
        key, _, pieces = after.partition("}")
        out += [text(before), text(bold[key])]
    return join([*out, text(pieces)])


def _sentence(result: Row) -> Markup:
    board, life = result["ropes"][0], result["ropes"][0]["life"]
    if life is None:
        reason = board["not_comparable"].removeprefix("not comparable: ")
        return _filled(page_texts.REFUSED, rope=short(board["name"]), reason=reason)
    end = page_texts.NOT_REACHED.format(told=not_reached(board["shares"], result["horizon"]))
    if is_reached(life, result["horizon"]):
        end = page_texts.ENDS.format(by=life["ends_by"], at=life["ends_at"], line=life["line"])
    low, middle, high = (years(life[p], result["horizon"]) for p in ("p10", "p50", "p90"))
    first = _filled(page_texts.LASTS, rope=short(board["name"]), years=f"{middle} years", low=low, high=high, end=end)
    longer = best(result["comparisons"])
    return first if longer is None else join([first, _outlasts(longer)], " ")


def _outlasts(item: Row) -> Markup:
    ratio = item["ratio"]
    words = {name: times(ratio, p) for name, p in (("ratio", "p50"), ("low", "p10"), ("high", "p90"))}
    return _filled(page_texts.OUTLASTS, rope=short(item["rope"]), **words)


def _firm(result: Row, state: Row | None) -> Markup:
    board = result["ropes"][0]
    rows = [(_lettered(result, item), _pair(item)) for item in result["comparisons"]]
    if state is not None:
        core, skin = (_band(state[f"{name}_temperature"], ".0f", " C") for name in ("core", "skin"))
        limit = board["long_term_limit"]
        held = "" if limit is None else f"; limit for long use {_figure(limit, '.0f', 1.0, ' C')}"
        words = (tag("b", core), f" in the middle, {skin} at the face{held}; {_place(state)}")
        hot = (
            tag("span", *words)
            if state.get("is_sustainable", True)
            else _caution(f"{page_texts.NOT_SUSTAINABLE}; {_place(state)}")
        )
        rows += [("hottest", hot), *_margin(board)]
    items = [tag("div", tag("dt", name), tag("dd", told)) for name, told in rows]
    return tag("section", tag("h2", page_texts.FIRM), tag("dl", *items))


def _lettered(result: Row, item: Row) -> str:
    marks = {(rope["name"], rope["same"]): letter(number) for number, rope in enumerate(result["ropes"])}
    return f"{marks.get((item['rope'], item['same']), '')}  {short(item['rope'])}".strip()


def _pair(item: Row) -> Markup:
    ratio, odds = item["ratio"], item["outlives"]
    template = page_texts.TOO_WIDE if is_too_wide(ratio) else page_texts.RATIO
    words = {name: times(ratio, p) for name, p in (("ratio", "p50"), ("low", "p10"), ("high", "p90"))}
    told = _filled(template, **words)
    same, apart = (f"{100 * odds[key]:.0f}" for key in ("same_ignorance", "independent"))
    weak = f"; {page_texts.WEAK}" if item["estimates_only"] else ""
    return tag("span", told, f"; {page_texts.ODDS.format(same=same, apart=apart)}{weak}")


def _margin(board: Row) -> list[tuple[str, Markup]]:
    states = [state for state in board["states"] if state["hours_per_year"] > 0.0]
    told = [state for state in states if not is_withheld(state["margin"])]
    if not told:
        return [("smallest margin", text(states[0]["margin"]))] if states else []
    state = min(told, key=lambda row: float(row["margin"]))
    band = state["margin_band"]
    highest = _figure(state["highest_tension"], ".0f", 1e-3, " kN")
    words = _filled(page_texts.MARGIN, margin=f"{band['p50']:.1f}", low=f"{band['p10']:.1f}", high=f"{band['p90']:.1f}",
                    highest=highest)  # fmt: skip
    above = _caution(page_texts.ABOVE) if state["is_above_wll"] else ""
    return [("smallest margin", tag("span", words, f"; {_place(state)} ", above)), *_sustained(told)]


def _sustained(states: list[Row]) -> list[tuple[str, Markup]]:
    """The smallest sustained margin, beside the margin that it must not be taken for; early results lack its band."""
    state = min(states, key=lambda row: float(row["margin_sustained"]))
    if "margin_sustained_band" not in state:
        return []
    band, mean = state["margin_sustained_band"], _figure(state["mean_tension"], ".0f", 1e-3, " kN")
    words = _filled(page_texts.SUSTAINED, margin=f"{band['p50']:.1f}", low=f"{band['p10']:.1f}",
                    high=f"{band['p90']:.1f}", mean=mean)  # fmt: skip
    return [("sustained margin", tag("span", words, f"; {_place(state)}"))]


def _caution(words: str) -> Markup:
    return tag("span", tag("span", "!", class_="mark", aria_hidden="true"), words, class_="caution")


def _band(band: Row, form: str, unit: str) -> str:
    return f"{band['p50']:{form}}{unit} ({band['p10']:{form}} to {band['p90']:{form}})"


def _place(state: Row) -> str:
    return f"{state['name']} at {state['berth']}, {state['line']}"


def _named(result: Row, rope: Row) -> Markup:
    """A rope's letter, the same on the whole page, and its name."""
    mark = letter(next(number for number, item in enumerate(result["ropes"]) if item is rope))
    duty = "" if rope["on_board"] else f" (same {rope['same']})"
    return tag("span", tag("b", mark), f"  {rope['name']}{duty}")


def _table(result: Row) -> Markup:
    heads = ["rope", "P10", "P50", "P90", "central", "strength lost by"]
    rows = [_rope(result, rope) for rope in result["ropes"]]
    tails = {line["tail"]["name"]: None for line in result["ropes"][0]["lines"] if line["tail"]}
    notes = join([tag("p", page_texts.UNDERLINE, class_="small"),
                  *(tag("p", f"Tail: {name}: {TAIL}.", class_="small") for name in tails)])  # fmt: skip
    return tag("section", tag("h2", page_texts.TABLE), table(page_texts.TABLE_NOTE, heads, rows, "answers"), notes)


def _rope(result: Row, rope: Row) -> Markup:
    head = tag("th", _named(result, rope), scope="row")
    ours = "ours" if rope["on_board"] else None
    if rope["life"] is None:
        state, _, reason = rope["not_comparable"].partition(": ")
        return tag("tr", head, tag("td", tag("b", state), f": {reason}", colspan=5, class_="long"), class_=ours)
    cells = []
    for name in ("p10", "p50", "p90", "central"):
        shown = years(rope["life"][name], result["horizon"])
        value = tag("b", shown, class_=LINES.get(rope["evidence"], "read")) if name == "p50" else text(shown)
        cells.append(tag("td", value, class_="n", data_name=name.upper() if name != "central" else name))
    shares = sorted(rope["shares"].items(), key=lambda item: -item[1])
    lost = ", ".join(f"{name} {100 * share:.0f} %" for name, share in shares[:3] if share >= 0.05)
    marks = [_caution(words) for words in _notes(result, rope)]
    return tag("tr", head, *cells, tag("td", lost, *(join([tag("br"), mark]) for mark in marks), class_="long"),
               class_=ours)  # fmt: skip


def _notes(result: Row, rope: Row) -> list[str]:
    """Cautions on the life of a rope, each once."""
    codes = ("bending-", "fatigue-", "slack-", "core-above", "core-not")
    found = [
        item["text"] for item in result["findings"]
        if item["severity"] == "caution" and item["code"].startswith(codes) and rope["name"] in item["about"]
    ]  # fmt: skip
    return list(dict.fromkeys(found))


def _bands(result: Row) -> Markup:
    horizon = result["horizon"]
    grid = [drawing.spot(n / TICKS, "grid") for n in range(TICKS + 1)]
    rows = []
    for rope in result["ropes"]:
        life = rope["life"]
        if life is None:
            rows.append(row(_named(result, rope), tag("span", tag("b", "not comparable")), ""))
            continue
        low, middle, high = (life[p] / horizon for p in ("p10", "p50", "p90"))
        kind = "ours" if rope["on_board"] else "other"
        cell = drawing.bar(*grid, drawing.span(low, high, kind), drawing.spot(middle))
        low, middle, high = (years(life[p], horizon) for p in ("p10", "p50", "p90"))
        rows.append(_barred(_named(result, rope), cell, tag("span", tag("b", middle), f", {low} to {high}")))
    labels = [(n / TICKS, f"{horizon * n / TICKS:.0f}") for n in range(TICKS + 1)]
    rows.append(
        tag(
            "tr",
            tag("th", "years", scope="row"),
            tag("td", drawing.axis(labels), class_="wide"),
            tag("td"),
            class_="axis",
        )
    )
    note = page_texts.BAND_NOTE.format(horizon=f"{horizon:.0f}")
    return tag("section", tag("h2", page_texts.BANDS), table(note, ["rope", "", "P50 and band"], rows, "bars"))


def _barred(head: object, cell: Markup, figures: object) -> Markup:
    return tag("tr", tag("th", head, scope="row"), tag("td", cell, class_="wide"), tag("td", figures))


def _drawn(result: Row, state: Row) -> Markup:
    sketch = drawing.sketch_of(result, state)
    limit = result["ropes"][0]["long_term_limit"]
    known = isinstance(limit, float)
    mark = [drawing.spot(limit / LAST, "limit")] if known else []
    scale = tag("div", *mark, class_="scale", style=f"background:linear-gradient(90deg, {gradient()})",
                aria_hidden="true")  # fmt: skip
    ends = tag("div", *(tag("span", f"{value}") for value in (0, 20, 40, 60, "80 C")), class_="ends small")
    told = tag("p", page_texts.LIMIT.format(limit=f"{limit:.0f}"), class_="small") if known else Markup("")
    caption = tag("figcaption", f"{_place(state)}. {page_texts.LINE_NOTE}")
    figure = tag("figure", drawing.line_svg(sketch), caption) if sketch else caption
    return join([tag("h2", page_texts.LINE), figure, tag("p", page_texts.SCALE, class_="small"), scale, ends, told])


def _wide(result: Row) -> Markup:
    rows = []
    most = max((item["share"] for item in result["wide_because"]), default=1.0)
    for item in result["wide_because"]:
        head = tag("span", item["text"].split(":")[0], tag("br"), tag("span", narrows(item["key"], item["text"]),
                                                                      class_="small"))  # fmt: skip
        cell = drawing.bar(drawing.span(0.0, item["share"] / most, "other"))
        rows.append(_barred(head, cell, f"{100 * item['share']:.0f} %"))
    body = (
        table(page_texts.WIDE_NOTE, ["datum", "", "share"], rows, "bars")
        if rows
        else tag("p", f"{why_no_band(result)}.".capitalize())
    )
    return join([tag("h2", page_texts.WIDE), body])


def _stairs(result: Row, state: Row | None) -> Markup:
    """The rise of the core by source, from air to core, in the hottest state."""
    if state is None:
        return Markup("")
    title = tag("h2", page_texts.STAIRS)
    rises, air = state["rise_by_source"], state["air_temperature"]
    if is_withheld(rises) or is_withheld(air):
        return join([title, tag("p", page_texts.NOT_TOLD)])
    named = [name for name in sorted(rises, key=lambda name: -rises[name]) if name != "rest"]
    core = state["core_temperature_central"]
    low, high = _ends(air, [rises[name] for name in named])
    rows = [_barred("air", drawing.bar(drawing.spot((air - low) / (high - low))), f"{air:.1f} C")]
    here = air
    for name in named:
        after = here + rises[name]
        kind = "down" if rises[name] < 0.0 else "ours"
        cell = drawing.bar(drawing.span((here - low) / (high - low), (after - low) / (high - low), kind))
        rows.append(_barred(page_texts.SOURCE_WORDS.get(name, name), cell, f"{rises[name] + 0.0:.1f} K"))
        here = after
    rows.append(_barred("core", drawing.bar(drawing.spot((core - low) / (high - low))), f"{core:.1f} C"))
    note = page_texts.STAIRS_NOTE.format(place=f"{state['hottest_place']}; {_place(state)}")
    return join([title, table(note, ["source", "", "rise"], rows, "bars")])


def _ends(air: float, steps: list[float]) -> tuple[float, float]:
    """Ends of the axis of the staircase: a little below the lowest and above the highest step."""
    at, seen = air, [air]
    for step in steps:
        at += step
        seen.append(at)
    room = max(max(seen) - min(seen), 1.0)
    return min(seen) - 0.25 * room, max(seen) + 0.05 * room


def _rests(result: Row) -> Markup:
    counts = Counter(item["basis"] for item in result["used"])
    parts = ", ".join(f"{counts[basis]} {basis}" for basis in reversed(BASES) if counts[basis])
    said = [tag("p", page_texts.COUNT.format(count=len(result["used"]), parts=parts)), *_made_up(result)]
    unread = dict.fromkeys((item.get("source_title") or item["source"], item["read"])
                           for item in result["used"] if item["read"])  # fmt: skip
    if not unread:
        return tag("section", tag("h2", page_texts.RESTS), *said, tag("p", page_texts.ALL_READ))
    rows = [tag("li", title, " ", tag("b", f"({mark})")) for title, mark in sorted(unread)]
    note = tag("p", page_texts.NOT_FULL.format(count=len(unread)))
    return tag("section", tag("h2", page_texts.RESTS), *said, note, tag("ul", *rows, class_="columns small"))


def _made_up(result: Row) -> list[Markup]:
    """The cards of which data are invented."""
    owners = sorted({item["owner"] for item in result["used"] if is_invented(item)})
    return [tag("p", page_texts.MADE_UP.format(owners=", ".join(owners)))] if owners else []


def _footer(result: Row) -> Markup:
    stamp = result["stamp"]
    said = f"linewright {stamp['linewright']}; made {made(result)}; {result['samples']} draws, seed {stamp['seed']}."
    parts = [tag("p", said), tag("p", f"digest {stamp['digest']}", class_="digest")]
    if result.get("made_for") == "client" and any(item.get("confidential") for item in result["used"]):
        parts.append(tag("p", page_texts.CLIENT))
    if result["note"]:
        parts.append(tag("p", result["note"]))
    return tag("footer", *parts, class_="small")
