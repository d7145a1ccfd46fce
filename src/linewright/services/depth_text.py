"""Temperatures in depth as lines of text."""

from __future__ import annotations

from typing import Any

from linewright.services.answer import fit, folded
from linewright.services.known import NOT_COUNTED
from linewright.services.program import command
from linewright.services.words import ONE_LINE

Row = dict[str, Any]
NAME, PLACE = 40, 34
NOTE = (
    "Central data, steady, the hour whose core 5 % of the state's time exceeds. Bands stand in the answer of `run`;\n"
    "no measured core temperature of such a rope is public."
)


def depth_lines(row: Row) -> list[str]:
    """Every state, then one in depth."""
    lines = [*folded([f"{row['title']}: temperatures in depth of {row['rope']} on {row['line']}"], 2), NOTE]
    lines += [*([NOT_COUNTED] if row["evidence"] else []), ""]
    lines.append(f"{'state':<{NAME}}{'air':>6}{'span':>8}{'core':>8}{'quick':>8}{'skin':>8}   where")
    lines += [_state(state) for state in row["states"]]
    lines += [part for text in row["refusals"] for part in folded([f"! {text}"], 2)]
    if "depth" in row:
        lines += ["", *_whole(row["depth"])]
    return [*lines, "", ONE_LINE.format(command=command("cautions"))]


def _state(state: Row) -> str:
    name = fit(f"{fit(state['berth'], 18)}, {state['state']}", NAME - 1)
    head = f"{name:<{NAME}}{state['air']:>4.0f} C"
    if state["core"] is None:
        return f"{head}   {state['why']}"
    cells = "".join(f"{state[key]:>6.1f} C" for key in ("free", "core", "fast", "skin"))
    return f"{head}{cells}   {fit(state['place'], PLACE)}"


def _whole(depth: Row) -> list[str]:
    hottest = depth["hottest"]
    found = (
        f"{depth['state']} at {depth['berth']}: hottest core {hottest['core']:.1f} C, {hottest['metre']:.1f} m from "
        f"the drum ({hottest['place']}), hottest skin {hottest['skin']:.1f} C, air {depth['air']:.1f} C"
    )
    lines = [
        *folded([found], 2),
        "",
        "rise of the core above the air by source, K",
    ]
    rises = [f"  {fit(item['place'], PLACE):<{PLACE}} {_parts(item['parts'])}" for item in depth["rises"]]
    lines += folded(rises, PLACE + 3)
    if depth["contacts"]:
        lines += [
            "",
            f"{'contact':<{PLACE}}{'metre':>7}{'core, C: drum side':>20}{'middle':>8}{'shore side':>12}"
            f"{'face, C':>9}{'steel, C':>10}   1/e",
        ]
        lines += [_contact(contact) for contact in depth["contacts"]]
        lines.append(
            "1/e: length of free rope beside the contact over which the rise of section mean and of skin falls to 37 %"
        )
        if not all(contact["is_place_told"] for contact in depth["contacts"]):
            lines.append("contacts that the case puts on one spot are drawn apart: give each its inboard_length")
    if depth["tail_core"] is not None:
        lines.append(f"tail, {depth['tail_length']:g} m: core {depth['tail_core']:.1f} C")
    lines += ["", *_moved(depth), *_above(depth), *_year(depth.get("year")), *_balance(depth)]
    return lines


def _parts(parts: dict[str, float]) -> str:
    ordered = sorted(parts.items(), key=lambda item: -abs(item[1]))
    told = ", ".join(f"{name} {value:+.1f}" for name, value in ordered if abs(value) >= 0.05)
    return f"{told or 'nothing'}; {sum(parts.values()):+.1f} in all"


def _contact(contact: Row) -> str:
    core = "".join(f"{value:>{wide}.1f}" for value, wide in zip(contact["core"], (20, 8, 12), strict=True))
    decay = ", ".join(
        "-" if contact["decay"][name] is None else f"{100.0 * contact['decay'][name]:.0f} cm"
        for name in ("mean", "skin")
    )
    name = f"{fit(contact['name'], PLACE - 1):<{PLACE}}"
    return f"{name}{contact['metre']:>7.1f}{core}{contact['face']:>9.1f}{contact['steel']:>10.1f}   {decay}"


def _moved(depth: Row) -> list[str]:
    rows = depth["sensitivities"]
    if not rows:
        return []
    lines = [
        "what moves the hottest core, by the fast model (quick), one datum of one contact at a time: C at the 5 % and",
        f"the 95 % point of the datum; {rows[0]['central']:.1f} with none moved",
    ]
    return lines + [f"  {fit(row['key'], NAME):<{NAME}} {row['low']:>6.1f} to {row['high']:.1f}" for row in rows]


def _above(depth: Row) -> list[str]:
    hours = ", ".join(f"{limit} C {_hours(value)}" for limit, value in depth["hours_above"].items() if value > 0.0)
    limits = depth["limits"]
    told = [f"{name.replace('_', '-')} limit {value:.0f} C" for name, value in limits.items() if value is not None]
    first = f"hours a year with the core above {hours}" if hours else "no hour of the year with the core above 50 C"
    return ["", f"{first}; {', '.join(told) or 'the card has no limits'}"]


def _hours(value: float) -> str:
    """Hours with three figures at most; less than six minutes as such."""
    return "under 0.1 h" if value < 0.1 else f"{float(f'{value:.3g}' if value >= 10.0 else f'{value:.1f}'):g} h"


def _year(year: Row | None) -> list[str]:
    if year is None:
        return []
    rain = f"wet {100.0 * year['wet_share']:.0f} % of the hours" if year["has_rain"] else "the file tells no rain"
    return [
        f"free span hour by hour, with the heat it stores: core up to {year['core']:.1f} C, sunny side up to "
        f"{year['sun_side']:.1f} C,",
        f"{year['sun_over_shade']:.1f} K above the shady one at most; {rain}",
    ]


def _balance(depth: Row) -> list[str]:
    worst = max((item["closure"] for item in depth["balance"]), default=0.0)
    return [f"energy balance of the fields closes to {worst:.1e} of the heat that passes"] if depth["balance"] else []
