"""Every state of a kept result, for people: tension, heat, margin, loss."""

from __future__ import annotations

from typing import Any

from linewright.base.errors import InputError, Problem
from linewright.services.answer import fit, folded, letter
from linewright.services.program import command
from linewright.services.withheld import figure, is_withheld

Row = dict[str, Any]
NAME = 40
WIDTH = 100
AIR = (
    "air, core, skin: of the hour whose core 5 % of the state's time exceeds, so air differs between states of a berth"
)


PERIOD = (
    "period: of a sea, a spectrum or a record the mean time of all cycles counted, small ones too: shorter than "
    "that of the waves"
)
COUNTED = ("sea ", "spectrum ", "record ")  # where a tension comes from, if its cycles are counted
MOST_METHODS = 8
MARKS = {"refused": "x", "caution": "!", "note": " "}  # in the order of the list


def caution_lines(result: Row) -> list[str]:
    """Everything refused in a result with what it is about, then every caution, every note; equal texts once."""
    lines = []
    for severity, mark in MARKS.items():
        about: dict[str, list[str]] = {}
        for item in result["findings"]:
            if item["severity"] == severity and item["text"]:
                about.setdefault(item["text"], []).append(item["about"])
        for text, own in about.items():
            names = "; ".join(dict.fromkeys(filter(None, own))) or "all"
            lines += folded([f"{mark} {names}: {text}"], 2)
    return lines or ["no cautions and no notes"]


def show_lines(result: Row, rope: str = "A") -> list[str]:
    """Two tables of one rope, by its letter: duty and heat, then margin and yearly loss."""
    by_letter = {letter(index): row for index, row in enumerate(result["ropes"])}
    if rope not in by_letter:
        problem = Problem("--rope", rope, f"a letter of the answer: {', '.join(by_letter)}")
        raise InputError(f"There is no rope {rope}.", [problem])
    chosen = by_letter[rope]
    rows = [f"{result['title']}: rope {rope}, {chosen['name']}"]
    for line in dict.fromkeys(state["line"] for state in chosen["states"]):
        states = [state for state in chosen["states"] if state["line"] == line]
        rows += ["", fit(line, WIDTH).upper(), *_tables(states)]
    told = [PERIOD] if any(row["from"].startswith(COUNTED) for row in result.get("duty", {}).get("states", ())) else []
    return [*rows, *_methods(result), "", *folded([*told, AIR], 2)]


def _methods(result: Row) -> list[str]:
    """How spectra became cycles and what other methods would say, state by state."""
    found = [item for item in result["findings"] if item["code"] == "spectral-method" and item["text"]]
    lines = [part for item in found[:MOST_METHODS] for part in folded([f"{item['about']}: {item['text']}"], 2)]
    more = len(found) - MOST_METHODS
    rest = [f"and {more} more: {command('show', result.get('study', 'STUDY'), '--cautions')}"] if more > 0 else []
    return ["", *lines, *rest] if found else []


def _tables(states: list[Row]) -> list[str]:
    """Duty and heat, margins and sources, yearly losses of one line group."""
    head = f"{'h/year':>7}{'mean':>9}{'swing':>9}{'period':>8}{'highest':>9}{'air':>6}{'core':>18}{'skin':>6}"
    return [
        f"{'state':<{NAME}}{head}",
        *(_duty(state) for state in states),
        f"{'':<{NAME}}{'margin':>7}{'sustained margin':>18}   what heats the core, K above air",
        *(_heat(state) for state in states),
        f"{'':<{NAME}}   strength lost a year, %, by mechanism at the metre that ends the life",
        *(_loss(state) for state in states),
    ]


def _name(state: Row) -> str:
    return fit(f"{fit(state['berth'], 18)}, {state['name']}", NAME - 1)


def _duty(state: Row) -> str:
    tension = "".join(f"{figure(state[key], '.0f', ' kN', 1e-3):>9}" for key in ("mean_tension", "amplitude"))
    period = "steady" if state["period"] is None else f"{state['period']:.0f} s"
    core, skin = state["core_temperature"], state["skin_temperature"]
    heat = f"{core['p50']:.0f} ({core['p10']:.0f} to {core['p90']:.0f}) C" if state["is_sustainable"] else "melting"
    highest = figure(state["highest_tension"], ".0f", " kN", 1e-3)
    end = f"{highest:>9}{state['air_temperature']:>4.0f} C{heat:>18}{skin['p50']:>4.0f} C"
    return f"{_name(state):<{NAME}}{state['hours_per_year']:>7.0f}{tension}{period:>8}{end}"


def _heat(state: Row) -> str:
    rises = state["rise_by_source"]
    if is_withheld(rises):
        parts = str(rises)
    else:
        parts = "  ".join(f"{name} {value:+.1f}" for name, value in rises.items() if abs(value) >= 0.05)
    margin, held = figure(state["margin"], ".1f"), figure(state["margin_sustained"], ".1f")
    return f"{_name(state):<{NAME}}{margin:>7}{held:>18}   {parts}"


def _loss(state: Row) -> str:
    losses = state["strength_loss_per_year"]
    if is_withheld(losses):
        return f"{_name(state):<{NAME}}   {losses}"
    top = sorted(losses.items(), key=lambda item: -item[1])
    parts = "  ".join(f"{name} {100 * value:.2g}" for name, value in top if value >= 1e-5)
    return f"{_name(state):<{NAME}}   {parts or 'nothing to speak of'}"
