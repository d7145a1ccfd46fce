"""Sizes of ropes as lines of text."""

from __future__ import annotations

from typing import Any

from linewright.services.answer import caution_rows, confidential_rows, fit_title, folded
from linewright.services.known import known_lines
from linewright.services.program import command
from linewright.services.trial import NEW
from linewright.services.words import ONE_LINE, years

Row = dict[str, Any]
NAME = 42
BOARD = "the rope on board"
MARKS = {"ok": " ", "caution": "~", "fails": "x"}
CELLS = (  # check, its width, how its value is written and scaled
    ("bend", 6, "{:.1f}", 1.0),
    ("tension", 9, "{:.0f} kN", 1e-3),
    ("core", 8, "{:.0f} C", 1.0),
    ("margin", 8, "{:.2f}", 1.0),
)
TOO = "too strong is stronger than fittings and brake are sized for"
SHORT = {"below": "below SDMBL", "above": "too strong"}
HOW = (
    "x fails, ~ caution. Line 100 to 105 %SDMBL, tail 125 to 130 %, highest tension at most 50 % (the trade's "
    "guidelines, second-hand); D/d no lower than bending tests; core P90 at most the long-term limit; margin P10 at "
    "least {margin:g}. Highest tension, core and margin are those of the worst state. Same ship motion for every rope, "
    "same draws. First is the smallest diameter that passes; of equal ones the longest life P50."
)


def size_lines(row: Row) -> list[str]:
    """What to take, the assessed ropes with their checks, the rejected sizes, the tails."""
    return [
        *folded(known_lines(row, BOARD), 2),
        *folded([_head(row)], 2),
        *folded([in_short(row), *_outlived(row)], 2),
        *folded([f"  {text}" for text in row["needs"]], 4),
        "",
        *_assessed(row),
        *folded([HOW.format(margin=row["criteria"]["margin"])], 2),
        "",
        *folded(_others(row), 4),
        *folded(_tails(row), 4),
        "",
        *folded([*([NEW] if row["is_new"] else []), *caution_rows(row, _names(row)), *confidential_rows(row)], 2),
        *folded([f"! {ONE_LINE.format(command=command('cautions'))}"], 2),
    ]


def _head(row: Row) -> str:
    target = row["target"]
    asked = "no target for the life (--target YEARS)" if target["years"] is None else \
            f"life {target['by'].upper()} of at least {target['years']:g} years"  # fmt: skip
    return f"{row['title']}: ropes for {row['line']}, SDMBL {row['ship_design_break_load'] / 1e3:.0f} kN, " \
           f"{asked}, {row['samples']} draws"  # fmt: skip


def in_short(row: Row) -> str:
    """What to take away, in one sentence."""
    if row["winner"] is None:
        near = next((one for one in row["candidates"] if len(one["checks"]) > 1), None)
        if near is None:
            return "No rope passes every check, and none has a size to be assessed. It would take:"
        failing = [check["name"] for check in near["checks"] if check["verdict"] == "fails"]
        by = f", but for {' and '.join(failing)}" if failing else ""
        return f"No rope passes every check. Nearest is {near['name']}{by}. It would take:"
    best = row["candidates"][row["winner"]]
    low, middle = (years(best["life"][p], row["horizon"]) for p in ("p10", "p50"))
    equal = [one for one in row["candidates"] if one["status"] == "passes" and one["diameter"] == best["diameter"]]
    more = f"; {len(equal) - 1} more of this diameter live shorter" if len(equal) > 1 else ""
    more += "; a tail fails its window, below" if any(t["check"]["verdict"] == "fails" for t in row["tails"]) else ""
    return f"{best['name']} is the smallest that passes: {best['break_force'] / 1e3:.0f} kN is " \
           f"{100.0 * best['share']:.1f} %SDMBL, life P10 {low} years, P50 {middle}{more}."  # fmt: skip


def _outlived(row: Row) -> list[str]:
    """A word where the first rope that passes wears out sooner than rejected ones."""
    longer = row["outlived_by"]
    if not longer:
        return []
    by_name = {one["name"]: one for one in row["candidates"]}
    own, other = (years(item["life"]["p10"], row["horizon"]) for item in (row["candidates"][0], by_name[longer[0]]))
    count = f"{len(longer)} rejected rope{'s live' if len(longer) > 1 else ' lives'} longer than it"
    return [f"! {count}: {longer[0]} P10 {other} years against {own}"]


def _names(row: Row) -> list[str]:
    """What stands for the ropes of the assessment, the one on board first."""
    return [BOARD, *(rope["name"] for rope in row["ropes"][1:])]


def _assessed(row: Row) -> list[str]:
    """Ropes of the right strength, each with its checks and why it is rejected."""
    rows = [one for one in row["candidates"] if len(one["checks"]) > 1]
    if not rows:
        return ["No rope has a size in the window of strength: none was assessed."]
    lines = [
        f"  {'rope':<{NAME}}{'LDBF':>8}{'%SDMBL':>8}{'kg/m':>6}{'D/d':>6} {'highest':>9} {'core P90':>8}"
        f"{'margin P10':>11}{'years P10':>11}{'P50':>5}"
    ]
    for one in rows:
        lines.append(_line(row, one).rstrip())
        lines += folded([f"      {_status(one)}{'; '.join(one['reasons'])}"], 8) if one["reasons"] else []
    return lines


def _status(one: Row) -> str:
    return "not comparable: " if one["status"] == "not comparable" else ""


def _line(row: Row, one: Row) -> str:
    found = {check["name"]: check for check in one["checks"]}
    cells = []
    for name, width, written, scale in CELLS:
        check = found[name]
        text = "-" if check["value"] is None else written.format(scale * check["value"])
        cells.append(f"{text:>{width}}{MARKS[check['verdict']]}")
    life = "" if one["life"] is None else \
        f"{years(one['life']['p10'], row['horizon']):>10}{MARKS[found['life']['verdict']]}" \
        f"{years(one['life']['p50'], row['horizon']):>4}"  # fmt: skip
    head = f"  {fit_title(one['name'], NAME - 1):<{NAME}}{one['break_force'] / 1e3:>5.0f} kN"
    return f"{head}{100.0 * one['share']:>8.1f}{one['mass_per_length']:>6.2f}{''.join(cells)}{life}"


def _others(row: Row) -> list[str]:
    """Sizes that are rejected for their strength, one line for each card, and cards that cannot be assessed."""
    told: dict[str, list[str]] = {}
    for one in sorted(row["candidates"], key=lambda item: float(item["diameter"])):
        if len(one["checks"]) > 1:
            continue
        size = f"{1e3 * one['diameter']:g} mm {100.0 * one['share']:.1f} %" if one["diameter"] else "no size"
        reason = SHORT.get(_side(row, one)) or "; ".join(one["reasons"])
        told.setdefault(one["card"], []).append(f"{size} {reason}")
    if not told:
        return []
    head = f"Rejected, in steps of {1e3 * row['step']:g} mm (LDBF by the square of the diameter); {TOO}:"
    return [head, *(f"  {card}: {'; '.join(texts)}" for card, texts in told.items()), ""]


def _side(row: Row, one: Row) -> str:
    """Whether a size lies below or above the window of strength, or is rejected for something else."""
    low, high = row["window"]["line"]
    if one["status"] == "not comparable":
        return ""
    return "below" if one["share"] < low else "above" if one["share"] > high else ""


def _tails(row: Row) -> list[str]:
    """The tails against their window; they belong to the ship, not to the rope."""
    rows = []
    for tail in row["tails"]:
        check = tail["check"]
        sizes = ", ".join(f"{1e3 * size:g} mm" for size in tail["fits"]) or "no size in these steps"
        fits = "" if check["verdict"] == "ok" else f"; of its card {sizes} would be in 125 to 130 %"
        rows.append(f"Tail of {tail['line']}, {tail['name']}: {check['text']}{fits}")
    return rows
