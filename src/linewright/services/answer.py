"""The answer in about twenty lines: what is firm, the table, what makes it wide, one caution, where it is kept."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Any

from linewright.services.duties import climate_at, is_invented
from linewright.services.ending import is_reached, not_reached, why_no_band
from linewright.services.known import known_lines
from linewright.services.program import command
from linewright.services.spoken import is_too_wide, times
from linewright.services.withheld import WITHHELD, figure, is_withheld
from linewright.services.words import ONE_LINE, narrows, years

Row = dict[str, Any]
WIDTH = 118
FIRST = 9
NAME = 45
SAME = 7
LONGEST_LINE = 120
MOST_CAUTIONS = 4
MOST_NAMES = 2
LONGEST = 44
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
TAIL = "bending, chafe, splice not judged; keep maker's and terminal's interval"


def answer_lines(result: Row) -> list[str]:
    """The answer as plain text lines."""
    return [
        *folded(known_lines(result), 2),
        _head(result),
        *folded(_firm(result), FIRST + 2),
        "",
        *folded(_table(result), FIRST),
        "",
        *folded(_wide(result), 2 * FIRST),
        *folded([*caution_rows(result), *confidential_rows(result)], 2),
        *folded([f"! {ONE_LINE.format(command=command('cautions'))}"], 2),
        *_kept(result),
    ]


def folded(lines: list[str], indent: int) -> list[str]:
    """Lines of at most 120 columns; what is longer goes on below, indented."""
    return [part for line in lines for part in textwrap.wrap(
        line, LONGEST_LINE, subsequent_indent=" " * indent, break_long_words=False, break_on_hyphens=False,
    )]  # fmt: skip


def letter(index: int) -> str:
    """The letter of a rope: it belongs to it for the whole answer."""
    return LETTERS[index] if index < len(LETTERS) else f"#{index + 1}"


def fit(text: str, size: int = LONGEST) -> str:
    """A text that the user named, cut to a size with three dots."""
    return text if len(text) <= size else f"{text[: size - 3]}..."


def fit_title(title: str, size: int = LONGEST) -> str:
    """A rope's title cut in its middle, so that the card's own name and the size at its end stay."""
    parts = title.split(", ")
    ends = (", " + ", ".join(parts[-count:]) for count in (2, 1) if count < len(parts))
    end = next((end for end in ends if len(end) <= size // 2), "")
    return title if len(title) <= size else fit(title.removesuffix(end), size - len(end)) + end


def _head(result: Row) -> str:
    board = result["ropes"][0]
    groups = fit(", ".join(line["name"] for line in board["lines"]))
    ropes = len({rope["card"] for rope in result["ropes"]})
    size = figure(board["diameter"], ".0f", " mm", 1000.0)
    right = f"{groups} | {size} | {ropes} rope{'s' if ropes > 1 else ''}"
    title = fit(result["title"].upper())
    return f"{title}{right:>{max(len(right) + 2, WIDTH - len(title))}}"


def _firm(result: Row) -> list[str]:
    texts = [*_ratios(result), *_ending(result), *_hottest(result), *_margin(result)]
    return [f"{'Answer' if number == 0 else '':<{FIRST}}{text}" for number, text in enumerate(texts)]


def _ratios(result: Row) -> list[str]:
    """Each ranked rope against A, the one on board."""
    names = {(rope["name"], rope["same"]): letter(index) for index, rope in enumerate(result["ropes"])}
    rows = []
    for item in result["comparisons"]:
        ratio, odds, name = item["ratio"], item["outlives"], names[item["rope"], item["same"]]
        same, apart = 100 * odds["same_ignorance"], 100 * odds["independent"]
        chance = f"outlives it in {same:.0f} of 100 draws, {apart:.0f} if laws are unrelated"
        weak = "; estimates" if item["estimates_only"] else ""
        if is_too_wide(ratio):
            rows.append(
                f"{name} against A: too wide to say, {times(ratio, 'p10')} to {times(ratio, 'p90')}; {chance}{weak}"
            )
            continue
        span = f"{times(ratio, 'p50')} ({times(ratio, 'p10')} to {times(ratio, 'p90')})"
        rows.append(f"{name} lasts {span} x as long as A; {chance}{weak}")
    return rows


def _band(row: Row, digits: int) -> str:
    return f"{row['p50']:.{digits}f} ({row['p10']:.{digits}f} to {row['p90']:.{digits}f})"


def _ending(result: Row) -> list[str]:
    board = result["ropes"][0]
    if board["life"] is None:
        return [f"A, on board: {board['not_comparable']}"]
    life = board["life"]
    if not is_reached(life, result["horizon"]):
        return [f"A, on board: {not_reached(board['shares'], result['horizon'])}"]
    rule = f"retired at {100 * result['criteria']['strength_left']:.0f} % strength"
    if life["criterion"] != "strength left":
        rule = f"{life['criterion']} reaches its limit"
    return [f"A, on board, ends by {life['ends_by']} at {fit(life['ends_at'])}, {fit(life['line'], 24)}; {rule}"]


def _place(state: Row) -> str:
    return ", ".join(fit(state[key], 24) for key in ("berth", "name", "line"))


def hottest(rope: Row) -> Row | None:
    """The state with the hottest core, of those that last."""
    states = [state for state in rope["states"] if state["hours_per_year"] > 0.0]
    return max(states, key=lambda row: float(row["core_temperature"]["p50"])) if states else None


def _hottest(result: Row) -> list[str]:
    state = hottest(result["ropes"][0])
    if state is None:
        return []
    limit = result["ropes"][0]["long_term_limit"]
    if not state["is_sustainable"]:
        return [f"A hottest: {_place(state)}   not sustainable: steady heat takes the core to its melting range  !"]
    core, skin = _band(state["core_temperature"], 0), _band(state["skin_temperature"], 0)
    held = "" if limit is None else f", limit {figure(limit, '.0f', ' C')}"
    climate = climate_at(result, state["berth"])
    weather = ", weather invented" if is_invented(climate) else ""
    return [f"A hottest: {_place(state)}   core {core} C{held}   skin {skin} C{weather}"]


def _margin(result: Row) -> list[str]:
    states = result["ropes"][0]["states"]
    if not states:
        return []
    if any(is_withheld(row["margin"]) for row in states):
        return [f"A smallest margin: {WITHHELD}"]
    state = min(states, key=lambda row: float(row["margin"]))
    highest = figure(state["highest_tension"], ".0f", " kN", 1e-3)
    limit = figure(result["working_load_limit"], ".0f", " kN", 1e-3)
    above = f", above WLL {limit}  !" if state["is_above_wll"] else ""
    least = f"A smallest margin {_band(state['margin_band'], 1)} x highest tension {highest}{above}"
    held = min(states, key=lambda row: float(row["margin_sustained"]))
    if held is state:
        return [f"{least}, sustained margin {_sustained(held)}", f"  both: {_place(state)}"]
    return [f"{least}: {_place(state)}", f"A smallest sustained margin {_sustained(held)}: {_place(held)}"]


def _sustained(state: Row) -> str:
    """The sustained margin of a state; early results keep no band of it."""
    band, mean = state.get("margin_sustained_band"), figure(state["mean_tension"], ".0f", " kN", 1e-3)
    return f"{_band(band, 1) if band else format(state['margin_sustained'], '.1f')} x mean {mean}"


def _table(result: Row) -> list[str]:
    head = f"{'same':<{SAME}}{'years P10':>9}{'P50':>5}{'P90':>5}   core  margin  strength lost by"
    evidence = sorted({rope["evidence"] for rope in result["ropes"] if rope["life"] is not None})
    first = f"rope (weakest evidence: {', '.join(evidence)})" if evidence else "rope"
    rows = [f"    {fit(first):<{NAME}}{head}"]
    for index, rope in enumerate(result["ropes"]):
        name, same = fit_title(rope["name"]), "" if rope["on_board"] else rope["same"]
        if rope["life"] is None:
            named = f"{name}, same {same}" if same else name
            rows.append(f" {letter(index):<3}{named:<{NAME}}  {rope['not_comparable']}")
            continue
        start = f" {letter(index):<3}{name:<{NAME}}{same:<{SAME}}"
        low, middle, high = (years(rope["life"][p], result["horizon"]) for p in ("p10", "p50", "p90"))
        rows.append(f"{start}{low:>9}{middle:>5}{high:>5}   {heat_and_margin(rope)}  {lost_by(rope['shares'])}")
    tails = {line["tail"]["name"] for line in result["ropes"][0]["lines"] if line["tail"]}
    return rows + [f"    tail {fit(name)}: {TAIL}" for name in sorted(tails)]


def heat_and_margin(rope: Row) -> str:
    """Hottest core and smallest margin of a rope, medians."""
    state = hottest(rope)
    core = "   -" if state is None else f"{state['core_temperature']['p50']:>2.0f} C"
    margins = [state["margin"] for state in rope["states"]]
    if not margins or any(map(is_withheld, margins)):
        return f"{core}  {'-':>6}"
    return f"{core}  {min(map(float, margins)):>6.1f}"


def lost_by(shares: Row) -> str:
    """The largest shares in words."""
    top = sorted(shares.items(), key=lambda item: -item[1])[:2]
    return "  ".join(f"{name} {100 * share:.0f} %" for name, share in top if share >= 0.05)


def _wide(result: Row) -> list[str]:
    found = result["wide_because"][:2]
    if not found or result["ropes"][0]["life"] is None:
        return [f"Wide because:     {why_no_band(result)}"]
    because = ", ".join(f"{row['text'].partition(' (')[0]} ({100 * row['share']:.0f} %)" for row in found)
    tests = ", or ".join(narrows(row["key"], row["text"]) for row in found)
    ranked = "linewright spread ranks the tests"
    return [f"Wide because:     {because}", f"Would narrow it:  {tests}; {ranked}"]


def caution_rows(result: Row, names: Sequence[str] = ()) -> list[str]:
    """Every kind of caution once, with the ropes it concerns: by letter, or by `names` where ropes have no letters."""
    kinds: dict[str, tuple[str, list[str]]] = {}
    tails = {line["tail"]["name"] for line in result["ropes"][0]["lines"] if line["tail"]}
    for finding in result["findings"]:
        if finding["severity"] != "caution":
            continue
        _, concerned = kinds.setdefault(finding["code"], (finding["text"], []))
        if any(name in finding["about"] for name in tails) and "tail" not in concerned:
            concerned.append("tail")
        for index, rope in enumerate(result["ropes"]):
            if rope["name"] in finding["about"] and letter(index) not in concerned:
                concerned.append(letter(index))
    rows = [f"! {_concerned(found, names)}: {text}" for text, found in kinds.values()]
    more = len(rows) - MOST_CAUTIONS
    if more <= 0:
        return rows
    study = result.get("study", "STUDY")
    where = command("show", study, "--cautions") + ("" if "kept" in result else f" (after {command('run', study)})")
    return [*rows[:MOST_CAUTIONS], f"! and {more} more {'kind' if more == 1 else 'kinds'} of caution: {where}"]


def _concerned(letters: list[str], names: Sequence[str]) -> str:
    """The ropes of a caution in words: their letters, or their names, at most three of them."""
    if not names or not letters:
        return " ".join(sorted(letters)) or "all"
    by_letter = {letter(index): name for index, name in enumerate(names)}
    found = [by_letter[item] for item in by_letter if item in letters]
    many = "all ropes" if len(found) == len(names) else f"{len(found)} of {len(names)} ropes"
    told = found if len(found) <= MOST_NAMES else [many]
    return ", ".join([*told, *(["tail"] if "tail" in letters else [])])


def confidential_rows(result: Row) -> list[str]:
    """A word on confidential data: that they are shown here, or that they are not."""
    count = sum(bool(row.get("confidential")) for row in result["used"])
    if not count:
        return []
    if result.get("made_for") == "client":
        return [f"  {count} data of this run are {WITHHELD}; what they would tell is left out or rounded"]
    return [f"! {count} data of this run are confidential and used in full here: hand out what --for client prints"]


def _kept(result: Row) -> list[str]:
    if "kept" not in result:
        return []
    return [
        f"Kept: {result['kept']}",
        f"Next: {command('show', result['study'])}   (every state: tension, heat, margin)",
    ]
