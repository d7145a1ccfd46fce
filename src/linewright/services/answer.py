"""The answer in about twenty lines: what is firm, the table, what makes it wide, one caution, where it is kept."""

from __future__ import annotations

from typing import Any

from linewright.services.words import ONE_LINE, narrows, years

Row = dict[str, Any]
WIDTH = 118
FIRST = 9


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
        f"! {ONE_LINE}",
        _kept(result),
    ]


def _ranked(result: Row) -> list[Row]:
    return [rope for rope in result["ropes"] if rope["life"] is not None]


def _head(result: Row) -> str:
    board = result["ropes"][0]
    groups = ", ".join(line["name"] for line in board["lines"])
    right = f"{groups} | {1000 * board['diameter']:.0f} mm | {len(result['ropes'])} ropes"
    return f"{result['title'].upper()}{right:>{max(len(right) + 2, WIDTH - len(result['title']))}}"


def _firm(result: Row) -> list[str]:
    rows = [*_ratio(result), _ending(result), _hottest(result), _margin(result)]
    texts = [row for row in rows if row]
    return [f"{'Firm' if number == 0 else '':<{FIRST}}{text}" for number, text in enumerate(texts)]


def _ratio(result: Row) -> list[str]:
    """Each rope against the one on board, where both have a life."""
    rows = []
    for item in result["comparisons"]:
        ratio = item["ratio"]
        odds = item["outlives"]
        about = "at least " if ratio["is_lower_bound"] else ""
        only = "; rests on estimates only" if item["estimates_only"] else ""
        rows.append(
            f"{short(item['rope'])} lasts {about}{ratio['p50']:.1f} x as long ({ratio['p10']:.1f} to {ratio['p90']:.1f}); outlives in "
            f"{100 * odds['same_ignorance']:.0f} % of draws if one law holds for both, {100 * odds['independent']:.0f} % if not{only}"
        )
    return rows


def short(name: str) -> str:
    """A rope's name without its size."""
    return ", ".join(name.split(", ")[:2])


def _ending(result: Row) -> str:
    board = result["ropes"][0]
    if board["life"] is None:
        return f"on board: {board['not_comparable']}"
    life = board["life"]
    if life["ends_by"].startswith("nothing"):
        return f"on board: {life['ends_by']}"
    return f"on board ends by: {life['ends_by']} at the {life['ends_at']}, {life['line']}  ({_rule(life['criterion'])})"


def _rule(criterion: str) -> str:
    words = {
        "strength left": "strength left reaches the retirement share",
        "creep": "creep damage reaches its limit",
    }
    return words.get(criterion, f"{criterion} reaches its limit")


def _hottest(result: Row) -> str:
    states = [state for state in result["ropes"][0]["states"] if state["hours_per_year"] > 0.0]
    if not states:
        return ""
    state = max(states, key=lambda row: float(row["core_temperature"]["p50"]))
    core, skin = state["core_temperature"], state["skin_temperature"]
    limit = _limit(result)
    return (
        f"hottest: {state['berth']}, {state['name']}, {state['line']}   core {core['p50']:.0f} C ({core['p10']:.0f} to {core['p90']:.0f})"
        f"   skin {skin['p50']:.0f} C ({skin['p10']:.0f} to {skin['p90']:.0f})   limit {limit}"
    )


def _limit(result: Row) -> str:
    card = result["ropes"][0]["card"]
    rows = [row for row in result["used"] if row["key"] == "long_term_limit"]
    value = rows[0]["value"] if rows else None
    return f"{value:.0f} C" if isinstance(value, float) and card else "not given"


def _margin(result: Row) -> str:
    states = result["ropes"][0]["states"]
    state = min(states, key=lambda row: float(row["margin"]))
    band = state["margin_band"]
    about = f"{state['berth']}, {state['name']}: {state['line']}"
    above = any(f["code"] == "tension-above-wll" and f["about"].startswith(about) for f in result["findings"])
    return (
        f"smallest margin: {state['berth']}, {state['name']}, {state['line']}   {band['p50']:.1f} ({band['p10']:.1f} to {band['p90']:.1f})"
        f" x highest expected tension {state['highest_tension'] / 1e3:.0f} kN{'; above WLL  !' if above else ''}"
    )


def _table(result: Row) -> list[str]:
    rows = [f" {'rope':<46}{'life, years  P10   P50   P90':>30}   {'strength lost by':<34}{'evidence'}"]
    for rope in result["ropes"]:
        name = rope["name"] + ("" if rope["on_board"] else f" (same {rope['same']})")
        if rope["life"] is None:
            rows.append(f" {name:<46}  {rope['not_comparable']}")
            continue
        life = rope["life"]
        figures = "".join(f"{years(life[p], result['horizon']):>6}" for p in ("p10", "p50", "p90"))
        rows.append(f" {name:<46}{figures:>30}   {lost_by(rope['shares']):<34}{rope['evidence']}")
    return rows


def lost_by(shares: Row) -> str:
    """The largest shares in words."""
    top = sorted(shares.items(), key=lambda item: -item[1])[:3]
    return "  ".join(f"{name} {100 * share:.0f} %" for name, share in top if share >= 0.05)


def _wide(result: Row) -> list[str]:
    found = result["wide_because"][:2]
    if not found:
        return []
    because = ", ".join(f"{row['text'].split(':')[0]} ({100 * row['share']:.0f} %)" for row in found)
    halve = "; ".join(narrows(row["key"], row["text"]) for row in found)
    return [f"Wide because:     {because}", f"Would narrow it:  {halve}"]


def _cautions(result: Row) -> list[str]:
    """The cautions on the rope on board, one line a kind."""
    board = result["ropes"][0]["name"]
    seen: dict[str, str] = {}
    for finding in result["findings"]:
        if finding["severity"] == "caution" and board in finding["about"] and finding["code"] != "tension-above-wll":
            seen.setdefault(finding["code"], f"! {finding['text']}")
    return list(seen.values())[:4]


def _kept(result: Row) -> str:
    return (
        f"Kept: {result['kept']}   next: linewright run STUDY --json | check STUDY" if "kept" in result else "Not kept."
    )
