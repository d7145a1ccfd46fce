"""Ropes against each other as lines of text."""

from __future__ import annotations

from typing import Any

from linewright.services.answer import caution_rows, confidential_rows, fit, fit_title, folded, hottest
from linewright.services.known import known_lines
from linewright.services.program import command
from linewright.services.result import meaning
from linewright.services.spoken import is_too_wide, times
from linewright.services.trial import NEW
from linewright.services.words import ONE_LINE, years

Row = dict[str, Any]
NAME, SAME, SHOWN = 45, 7, 6
HOW = (
    "All ropes share the same draws. Same ignorance: an unknown law is the same for both ropes; unrelated: drawn for "
    "each on its own. The truth lies between."
)


def compare_lines(row: Row) -> list[str]:
    """The sentence to take away, every rope, every pair, and what they differ by."""
    return [
        *folded(known_lines(row), 2),
        *folded([f"{row['title']}: ropes against each other, {row['samples']} draws"], 2),
        *folded([in_short(row)], 2),
        "",
        *folded(_ropes(row), 6),
        *_pairs(row),
        "",
        *folded([HOW, *([NEW] if row["is_new"] else []), *caution_rows(row), *confidential_rows(row)], 2),
        *folded([f"! {ONE_LINE.format(command=command('cautions'))}"], 2),
    ]


def in_short(row: Row) -> str:
    """What to take away, in one sentence."""
    first = row["first"]
    if first["verdict"] == "none":
        return "No rope can be ranked: each lacks a mechanism or lies outside its tests."
    name = f"{first['rope']}, {_name(row, first['rope'])}"
    if first["verdict"] == "alone":
        return f"Only {name}, can be ranked: there is nothing to compare it with."
    if first["tied"]:
        return f"Nothing parts these ropes: nearly all draws of each live longer than {row['horizon']:.0f} years."
    same, apart = (f"{100 * first[key]:.0f}" for key in ("same_ignorance", "independent"))
    weak = "" if not _rests_on_estimates(row, first) else "; they differ by estimates only"
    rival = first["nearest"]
    if first["verdict"] == "firm":
        return f"{name}, lasts longest: it outlives {rival}, the next, in {same} of 100 draws, {apart} if laws are " \
               f"unrelated{weak}."  # fmt: skip
    if first["verdict"] == "common":
        return f"{name}, lasts longest if what is unknown is common to all ropes: it outlives {rival} in {same} of " \
               f"100 draws, but only in {apart} if their laws are unrelated{weak}."  # fmt: skip
    return f"No rope lasts longest for certain: {name}, comes first, but it outlives {rival} only in {same} of 100 " \
           f"draws, in {apart} if laws are unrelated{weak}."  # fmt: skip


def _name(row: Row, letter: str) -> str:
    return next(str(rope["name"]) for rope in row["ropes"] if rope["letter"] == letter)


def _rests_on_estimates(row: Row, first: Row) -> bool:
    names = {first["rope"], first["nearest"]}
    return any(pair["estimates_only"] for pair in row["pairs"] if {pair["rope"], pair["against"]} == names)


def _ropes(row: Row) -> list[str]:
    lines = [f"    {'rope':<{NAME}}{'same':<{SAME}}years P10  P50  P90   core P10 to P90   margin P10 to P90"]
    for rope in row["ropes"]:
        same = "" if rope["on_board"] else rope["same"]
        name = fit_title(rope["name"])
        if rope["life"] is None:
            lines.append(f" {rope['letter']:<3}{name}{', same ' + same if same else ''}: {rope['not_comparable']}")
            continue
        low, middle, high = (years(rope["life"][p], row["horizon"]) for p in ("p10", "p50", "p90"))
        lines.append(
            f" {rope['letter']:<3}{name:<{NAME}}{same:<{SAME}}{low:>9}{middle:>5}{high:>5}   {_core(rope):<18}"
            f"{_margin(rope)}".rstrip()
        )
        lines.append(f"      ends by {_end(rope)}")
    return lines


def _core(rope: Row) -> str:
    state = hottest(rope)
    if state is None:
        return "-"
    band = state["core_temperature"]
    return f"{band['p50']:.0f} ({band['p10']:.0f} to {band['p90']:.0f}) C"


def _margin(rope: Row) -> str:
    lasting = [state for state in rope["states"] if state["hours_per_year"] > 0.0]
    if not lasting:
        return "-"
    band = min(lasting, key=lambda state: float(state["margin"]))["margin_band"]
    return f"{band['p50']:.1f} ({band['p10']:.1f} to {band['p90']:.1f})"


def _end(rope: Row) -> str:
    life = rope["life"]
    if str(life["ends_by"]).startswith("nothing"):
        return str(life["ends_by"])
    return f"{life['ends_by']} at {fit(life['ends_at'])}, {fit(life['line'], 24)}"


def _pairs(row: Row) -> list[str]:
    if not row["pairs"]:
        return []
    lines = [
        "",
        f"{'pair':<10}{'life over life P10':<20}{'P50':<16}{'P90':<16}outlives it in, same ignorance; unrelated",
    ]
    for pair in row["pairs"]:
        ratio, odds = pair["ratio"], pair["outlives"]
        cells = f"{times(ratio, 'p10'):<20}{times(ratio, 'p50'):<16}{times(ratio, 'p90'):<16}"
        wide = "; too wide to say" if is_too_wide(ratio) else ""
        chance = f"{100 * odds['same_ignorance']:.0f} of 100; {100 * odds['independent']:.0f}{wide}"
        lines.append(f"{pair['rope']} over {pair['against']:<4}{cells}{chance}")
    lines += ["", "what they differ by (* estimates on both sides)"]
    return lines + folded([_differ(pair) for pair in row["pairs"]], 10)


def _differ(pair: Row) -> str:
    start = f"{pair['rope']} over {pair['against']:<4}"
    if not pair["rests_on"]:
        return f"{start}the duty only"
    firm = [key for key in pair["rests_on"] if key not in pair["estimates"]]
    keys = [*firm, *pair["estimates"]]
    told = [f"{meaning(key).partition(' (')[0]}{'*' if key in pair['estimates'] else ''}" for key in keys[:SHOWN]]
    more = f", and {len(keys) - SHOWN} more" if len(keys) > SHOWN else ""
    weak = "; estimates only" if pair["estimates_only"] else ""
    return f"{start}{', '.join(told)}{more}{weak}"
