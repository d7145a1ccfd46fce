"""Material over the ship's life as lines of text."""

from __future__ import annotations

from typing import Any

from linewright.services.answer import caution_rows, confidential_rows, fit, fit_title, folded
from linewright.services.known import known_lines
from linewright.services.program import command
from linewright.services.trial import NEW
from linewright.services.words import ONE_LINE, years

Row = dict[str, Any]
NAME = 30
FEW = 5.0  # of 100 draws, below which a short life is not worth a word
MOST = 50.0  # of 100 draws, from which a rope is none to plan with
SET = (
    "A set is all lines of a group; it lasts to the first line that finishes. Lines of a set are taken as alike: "
    "scatter from line to line would end it sooner. Turning end for end is not counted."
)
LENGTH = "A line is inboard plus outboard length; what rests on the drum beyond that is not counted."


def plan_lines(row: Row) -> list[str]:
    """The sentence to take away, every rope by group, and how it is reckoned."""
    plan, told = row["plan"], {**row, "ropes": row["results"]}
    return [
        *folded(known_lines(told), 2),
        *folded([f"{row['title']}: material over {plan['ship_life']:.3g} years, {row['samples']} draws"], 2),
        *folded([in_short(row)], 2),
        "",
        f"    {'':<{NAME}}{'lines':>14}{'kg a line':>11}{'years P10  P50  P90':>22}{'sets P10 P50 P90':>24}   tails",
        *(line for rope in row["ropes"] for line in _rope(rope, row)),
        "",
        *folded(
            [*_groups(row), _renewal(row), SET, LENGTH, *_tails(row), *_spares(row), *([NEW] if row["is_new"] else [])],
            2,
        ),
        *folded([*caution_rows(told), *confidential_rows(row)], 2),
        *folded([f"! {ONE_LINE.format(command=command('cautions'))}"], 2),
    ]


def in_short(row: Row) -> str:
    """What to take away, in one sentence; tails are common to all ropes."""
    rope = next((rope for rope in row["ropes"] if rope["letter"] == row["least"]), None)
    if rope is None:
        return "No rope of this study lasts long enough to be planned with."
    tails = rope["kg"]["tails"]
    also = "" if tails["p50"] == 0.0 else f"; tails add {_told(tails)} kg"
    said = f"{rope['letter']}, {rope['name']}, takes {_told(rope['kg']['ropes'])} kg of rope over the ship's life"
    if sum("kg" in item for item in row["ropes"]) < 2:
        return f"{said}{also}."
    board, less = row["ropes"][0], rope["less_than_board"]
    against = f", A {_told(board['kg']['ropes'])} kg" if "kg" in board and not rope["on_board"] else ""
    chance = "" if less is None else f", less than A in {100 * less:.0f} of 100 draws"
    return f"Least material: {said}{against}{chance}{also}."


def _number(value: float | None) -> str:
    """Three figures; no number where there is no end to it."""
    if value is None:
        return "no end"
    return f"{float(f'{value:.3g}'):.0f}" if value >= 100.0 else f"{value:.3g}"


def _span(band: Row) -> str:
    return f"{_number(band['p10'])} to {_number(band['p90'])}"


def _told(band: Row) -> str:
    """P50 with P10 and P90, where they differ."""
    return _number(band["p50"]) if band["p10"] == band["p90"] else f"{_number(band['p50'])} ({_span(band)})"


def _rope(rope: Row, row: Row) -> list[str]:
    same = "" if rope["on_board"] else f", same {rope['same']}"
    head = f" {rope['letter']:<3}{fit_title(rope['name'])}{same}"
    if "kg" not in rope:
        return folded([f"{head}: {rope['not_planned']}"], 6)
    lines = [head, *(_group(group, row) for group in rope["groups"])]
    for group in rope["groups"]:
        lines += _short(group)
        if "reaches_docking" in group and group["reaches_docking"] < 1.0:
            lines.append(
                f"      {fit(group['line'])}: does not reach a docking in {100 - 100 * group['reaches_docking']:.0f} "
                "of 100 draws: renewed at its own time there"
            )
    return [*lines, *folded(_totals(rope, row["plan"]), 8)]


def _short(group: Row) -> list[str]:
    """A word on sets that are no sets to plan with."""
    new, year = (100 * group[key] for key in ("finished_when_new", "within_a_year"))
    if year < FEW:
        return []
    also = f", finished when new in {new:.0f}" if new >= FEW else ""
    return [
        f"      {fit(group['line'])}: lasts less than a year in {year:.0f} of 100 draws{also}: no rope to plan with"
    ]


def _group(group: Row, row: Row) -> str:
    low, middle, high = (years(group["life"][p], row["horizon"]) for p in ("p10", "p50", "p90"))
    lines = f"{group['count']} x {group['length']:.3g} m"
    sets = " ".join(_sets(group["sets"], p) for p in ("p10", "p50", "p90"))
    tails = "" if "tail" not in group else f"   {_told(group['tail']['sets'])} sets"
    return (
        f"    {fit(group['line'], NAME - 1):<{NAME}}{lines:>14}{group['kg_per_line']:>11.3g}"
        f"{low:>12}{middle:>5}{high:>5}{sets:>24}{tails}"
    ).rstrip()


def _sets(band: Row, quantile: str) -> str:
    if band[quantile] is None:
        return "no end"
    return f"{band['bounds'][quantile]} {band[quantile]:.0f}".strip()


def _totals(rope: Row, plan: Row) -> list[str]:
    kg = rope["kg"]
    parts = [f"ropes {_told(kg['ropes'])}"]
    parts += [f"spares {_number(kg['spares'])}"] if kg["spares"] > 0.0 else []
    parts += [f"tails {_told(kg['tails'])}"] if kg["tails"]["p50"] != 0.0 else []
    lines = [f"      kg: {', '.join(parts)}; in all {_told(kg['total'])}, a year {_told(rope['kg_per_year'])}"]
    if "cost" in rope:
        money = f" {plan['currency']}" if plan["currency"] else ""
        lines.append(f"      cost: {_told(rope['cost'])}{money}; {_priced(plan)}")
    if "co2e" in rope:
        covered = _listed(plan, ("co2e_per_kg" in plan, "tail_co2e_per_kg" in plan))
        lines.append(f"      CO2e: {_told(rope['co2e'])} kg; {covered}")
    return lines


def _priced(plan: Row) -> str:
    """What the cost covers."""
    has_price = "price_per_kg" in plan or "price_per_line" in plan
    return _listed(plan, (has_price, "price_per_tail" in plan))


def _listed(plan: Row, covered: tuple[bool, bool]) -> str:
    """Ropes with their spares, and tails, in words; what has no factor is said to be left out."""
    parts = ["ropes", *(["spares"] if plan["spares"] else [])] if covered[0] else []
    parts += ["tails"] if covered[1] else []
    return ", ".join(parts)


def _groups(row: Row) -> list[str]:
    """A word on the years of several groups, which `run` tells of the rope as a whole."""
    if all(len(rope.get("groups", [])) < 2 for rope in row["ropes"]):
        return []
    return [
        "Years are those of each group by itself; run tells the whole rope, which ends with the first group in a draw."
    ]


def _renewal(row: Row) -> str:
    docking = row["plan"].get("docking")
    if docking is None:
        return "A set is renewed at the end of its life; the first one counts."
    return (
        f"A set is renewed at the last docking before its end, every {docking:.3g} years; the first one counts. Where "
        "it does not reach a docking it is renewed at its own time."
    )


def _tails(row: Row) -> list[str]:
    if not any("tail" in group for rope in row["ropes"] for group in rope.get("groups", [])):
        return []
    months = 12.0 * row["plan"]["tail_interval"]
    usual = " (usual in the trade, second-hand)" if abs(months - 18.0) < 0.5 else ""
    return [f"Tails are renewed every {months:.3g} months{usual}, or at the end of their own life if that is sooner."]


def _spares(row: Row) -> list[str]:
    count = row["plan"]["spares"]
    if not count:
        return []
    return [f"Spares: {count} of the heaviest group, bought once; storage does not age them here."]
