"""The answer in about twenty lines: what is firm, the table, what makes it wide, one caution, where it is kept."""

from __future__ import annotations

from typing import Any

from linewright.services.withheld import WITHHELD, figure, is_withheld
from linewright.services.words import ONE_LINE, narrows, years

Row = dict[str, Any]
WIDTH = 118
FIRST = 9
NAME = 58
MOST_CAUTIONS = 4
LONGEST = 48


def answer_lines(result: Row) -> list[str]:
    """The answer as plain text lines."""
    return [
        _head(result),
        *_firm(result),
        "",
        *_table(result),
        "",
        *_wide(result),
        *_cautions(result),
        *_confidential(result),
        f"! {ONE_LINE}",
        *_kept(result),
    ]


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
    return [f"{'Firm' if number == 0 else '':<{FIRST}}{text}" for number, text in enumerate(texts)]


def short(name: str) -> str:
    """A rope's name without its size."""
    return fit(", ".join(name.split(", ")[:2]))


def fit(text: str, size: int = LONGEST) -> str:
    """A text that the user named, cut to a size with three dots."""
    return text if len(text) <= size else f"{text[: size - 3]}..."


def _ratios(result: Row) -> list[str]:
    """Each ranked rope against the one on board."""
    rows = []
    for item in result["comparisons"]:
        ratio, odds = item["ratio"], item["outlives"]
        least = "at least " if ratio["is_lower_bound"] else ""
        mark = " (estimates on both sides)" if item["estimates_only"] else ""
        rows.append(f"{short(item['rope'])}: {least}{_band(ratio, 1)} x the life of the rope on board{mark}")
        same, apart = 100 * odds["same_ignorance"], 100 * odds["independent"]
        rows.append(f"  outlives it in {same:.0f} % of draws if one law holds for both ropes, {apart:.0f} % if not")
    return rows


def _band(row: Row, digits: int) -> str:
    return f"{row['p50']:.{digits}f} ({row['p10']:.{digits}f} to {row['p90']:.{digits}f})"


def _ending(result: Row) -> list[str]:
    board = result["ropes"][0]
    if board["life"] is None:
        return [f"on board: {board['not_comparable']}"]
    life = board["life"]
    if life["ends_by"].startswith("nothing"):
        return [f"on board: {life['ends_by']} ends it"]
    by = "creep" if life["criterion"] == "creep" else life["ends_by"]
    return [
        f"on board ends by: {by} at the {fit(life['ends_at'])}, {fit(life['line'], 24)}  ({_rule(life['criterion'])})"
    ]


def _rule(criterion: str) -> str:
    words = {"strength left": "strength left falls to its limit", "creep": "creep damage reaches its limit"}
    return words.get(criterion, f"{criterion} reaches its limit")


def _place(state: Row) -> str:
    return ", ".join(fit(state[key], 24) for key in ("berth", "name", "line"))


def _hottest(result: Row) -> list[str]:
    states = [state for state in result["ropes"][0]["states"] if state["hours_per_year"] > 0.0]
    if not states:
        return []
    state = max(states, key=lambda row: float(row["core_temperature"]["p50"]))
    limit = result["ropes"][0]["long_term_limit"]
    core, skin = _band(state["core_temperature"], 0), _band(state["skin_temperature"], 0)
    held = "" if limit is None else f"   limit {figure(limit, '.0f', ' C')}"
    return [f"hottest: {_place(state)}   core {core} C   skin {skin} C{held}"]


def _margin(result: Row) -> list[str]:
    states = result["ropes"][0]["states"]
    if not states:
        return []
    if any(is_withheld(row["margin"]) for row in states):
        return [f"smallest margin: {WITHHELD}"]
    state = min(states, key=lambda row: float(row["margin"]))
    highest = figure(state["highest_tension"], ".0f", " kN", 1e-3)
    above = "; above WLL  !" if state["is_above_wll"] else ""
    return [f"smallest margin: {_place(state)}   {_band(state['margin_band'], 1)} x highest tension {highest}{above}"]


def _table(result: Row) -> list[str]:
    rows = [f" {'rope':<{NAME}}{'years: P10':>12}{'P50':>6}{'P90':>6}{'central':>8}   strength lost by"]
    for rope in result["ropes"]:
        name = fit(rope["name"]) + ("" if rope["on_board"] else f" (same {rope['same']})")
        if rope["life"] is None:
            rows.append(f" {name:<{NAME}}{rope['not_comparable']}")
            continue
        figures = (years(rope["life"][p], result["horizon"]) for p in ("p10", "p50", "p90", "central"))
        low, middle, high, central = figures
        rows.append(f" {name:<{NAME}}{low:>12}{middle:>6}{high:>6}{central:>8}   {lost_by(rope['shares'])}")
    evidence = {rope["evidence"] for rope in result["ropes"] if rope["life"] is not None}
    if evidence:
        rows.append(f" {'':<{NAME}}weakest evidence of these rows: {', '.join(sorted(evidence))}")
    return rows


def lost_by(shares: Row) -> str:
    """The largest shares in words."""
    top = sorted(shares.items(), key=lambda item: -item[1])[:2]
    return "  ".join(f"{name} {100 * share:.0f} %" for name, share in top if share >= 0.05)


def _wide(result: Row) -> list[str]:
    found = result["wide_because"][:2]
    if not found:
        return []
    because = ", ".join(f"{row['text'].split(':')[0]} ({100 * row['share']:.0f} %)" for row in found)
    first, *others = (narrows(row["key"], row["text"]) for row in found)
    return [f"Wide because:     {because}", f"Would narrow it:  {first}", *(f"{'or':>16}  {text}" for text in others)]


def _cautions(result: Row) -> list[str]:
    """The cautions on the rope on board, one line a kind; the margin line carries its own."""
    board = result["ropes"][0]["name"]
    seen: dict[str, str] = {}
    for finding in result["findings"]:
        if finding["severity"] == "caution" and board in finding["about"] and finding["code"] != "tension-above-wll":
            seen.setdefault(finding["code"], f"! {fit(finding['text'], WIDTH)}")
    rows = list(seen.values())
    more = len(rows) - MOST_CAUTIONS
    return rows[:MOST_CAUTIONS] + ([f"! and {more} more kinds of caution: run with --json"] if more > 0 else [])


def _confidential(result: Row) -> list[str]:
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
    return [f"Kept: {result['kept']}", f"Next: linewright run {result['study']} --json"]
