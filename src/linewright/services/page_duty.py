"""The duty on the page: for which berths, states, tensions, contacts and climates the answer holds."""

from __future__ import annotations

from typing import Any

from linewright.services import page_texts
from linewright.services.duties import climate_of, is_invented
from linewright.services.markup import Markup, row, table, tag, text
from linewright.services.withheld import figure

Row = dict[str, Any]
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
ALL_YEAR = 12


def duty_section(result: Row) -> Markup:
    """Berths with their climates, states with their tensions, contacts; empty for results that do not store it."""
    if "duty" not in result:
        return Markup("")
    duty = result["duty"]
    force = figure(duty["ship_design_break_load"], ".0f", " kN", 1e-3)
    ship = tag("p", page_texts.SHIP.format(force=f"{force}{_weak(duty, 'ship_basis')}"), class_="small")
    parts = [_berths(result, duty), _states(result, duty), _contacts(duty)]
    return tag("section", tag("h2", page_texts.DUTY), ship, *parts)


def _berths(result: Row, duty: Row) -> Markup:
    rows = []
    for berth in duty["berths"]:
        climate = climate_of(result, berth["climate"])
        calls = f"{berth['calls_per_year']:g} x {berth['hours_per_call']:g} h{_weak(berth)}"
        mark = tag("b", f"; {page_texts.INVENTED}", class_="caution") if is_invented(climate) else text("")
        told = tag("span", f"{climate['value']}; {climate['basis']}", mark)
        rows.append(row(berth["name"], calls, months_told(berth["months"]), told))
    return table(page_texts.BERTHS_NOTE, ["berth", "calls a year x hours", "months", "climate; basis"], rows, "duty")


def _weak(row: Row, key: str = "basis") -> str:
    """A word where what was typed is an estimate; results of early runs do not say."""
    return " (estimate)" if row.get(key) == "estimate" else ""


def months_told(months: list[int]) -> str:
    """Months of calls in words; all the year where none is named."""
    if not months or len(months) == ALL_YEAR:
        return "all year"
    return ", ".join(MONTHS[number - 1] for number in months)


def _states(result: Row, duty: Row) -> Markup:
    origins = {(item["berth"], item["name"], item["line"]): item["from"] for item in duty["states"]}
    rows = []
    for state in result["ropes"][0]["states"]:
        cells = (
            state["line"], f"{state['hours_per_year']:.0f}", figure(state["mean_tension"], ".0f", "", 1e-3),
            _swing(state), origins.get((state["berth"], state["name"], state["line"]), ""),
        )  # fmt: skip
        rows.append(row(f"{state['berth']}: {state['name']}", *cells))
    heads = ["state", "line", "hours a year", "mean, kN", "swing, kN", "from"]
    return table(page_texts.SWING_NOTE, heads, rows, "duty")


def _swing(state: Row) -> str:
    if state["period"] is None:
        return "steady"
    return f"{figure(state['amplitude'], '.0f', '', 1e-3)} every {state['period']:.0f} s"


def _contacts(duty: Row) -> Markup:
    rows = [
        row(item["name"], item["line"], figure(item["bend_radius"], ".0f", " mm", 1e3),
            figure(item["wrap_angle"], ".0f", " deg"), item.get("basis", ""))
        for item in duty["contacts"]
    ]  # fmt: skip
    heads = ["contact", "line", "bend radius", "wrap", "basis"]
    return table(page_texts.CONTACTS_NOTE, heads, rows, "duty") if rows else text("")
