"""Every state of a kept result, for people: tension, heat, margin, loss."""

from __future__ import annotations

from typing import Any

from linewright.base.errors import InputError, Problem
from linewright.services.answer import fit, folded, letter
from linewright.services.known import known_lines
from linewright.services.program import command
from linewright.services.withheld import figure, is_withheld

Row = dict[str, Any]
NAME, RISES = 40, 28
TIED = "\u00a0"
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
    """Everything refused in a result, then every caution, every note: a text once, below it where and of which ropes.

    Ropes stand by their letters, which the first lines explain.
    """
    lines = []
    for severity, mark in MARKS.items():
        about: dict[str, list[str]] = {}
        for item in result["findings"]:
            if item["severity"] == severity and item["text"]:
                about.setdefault(item["text"], []).append(item["about"])
        for text, own in about.items():
            lines += folded([f"{mark} {text}", f"    {_places(result, own)}"], 4)
    if not lines:
        return ["no cautions and no notes"]
    return [*(f"{letter(index)}  {_titled(rope)}" for index, rope in enumerate(result["ropes"])), "", *lines]


def _titled(rope: Row) -> str:
    """A rope's name, with what is the same in a comparison."""
    return str(rope["name"]) if rope["on_board"] else f"{rope['name']}, same {rope['same']}"


def _places(result: Row, about: list[str]) -> str:
    """Places with the letters of their ropes; places of the same ropes together."""
    ropes: dict[str, str] = {}
    for item in dict.fromkeys(filter(None, about)):
        titles = [rope["name"] for rope in result["ropes"] if item.endswith(rope["name"])]
        place = item.removesuffix(max(titles, key=len, default="")).rstrip(", ")
        letters = [letter(index) for index, rope in enumerate(result["ropes"]) if rope["name"] in titles]
        ropes[place] = " ".join(sorted({*ropes.get(place, "").split(), *letters}))
    places: dict[str, list[str]] = {}
    for place, letters_of in ropes.items():
        places.setdefault(letters_of, []).append(place)
    told = [": ".join(filter(None, (names, "; ".join(filter(None, found))))) for names, found in places.items()]
    return "; ".join(told) or "all"


def show_lines(result: Row, rope: str = "A") -> list[str]:
    """Two tables of one rope, by its letter: duty and heat, then margin and yearly loss."""
    by_letter = {letter(index): row for index, row in enumerate(result["ropes"])}
    if rope not in by_letter:
        problem = Problem("--rope", rope, f"a letter of the answer: {', '.join(by_letter)}")
        raise InputError(f"There is no rope {rope}.", [problem])
    chosen = by_letter[rope]
    rows = folded([*known_lines(result), f"{result['title']}: rope {rope}, {chosen['name']}"], 2)
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
        *_tied([_heat(state) for state in states], NAME + RISES),
        f"{'':<{NAME}}   strength lost a year, %, by mechanism at the metre that ends the life",
        *_tied([_loss(state) for state in states], NAME + 3),
    ]


def _tie(text: str) -> str:
    """A name and its number that stay on one line."""
    return text.replace(" ", TIED)


def _tied(lines: list[str], indent: int) -> list[str]:
    """Lines folded between names and their numbers, never between a name and its own."""
    return [line.replace(TIED, " ") for line in folded(lines, indent)]


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
        parts = "  ".join(_tie(f"{name} {value:+.1f}") for name, value in rises.items() if abs(value) >= 0.05)
    margin, held = figure(state["margin"], ".1f"), figure(state["margin_sustained"], ".1f")
    return f"{_name(state):<{NAME}}{margin:>7}{held:>18}   {parts}"


def _loss(state: Row) -> str:
    losses = state["strength_loss_per_year"]
    if is_withheld(losses):
        return f"{_name(state):<{NAME}}   {losses}"
    top = sorted(losses.items(), key=lambda item: -item[1])
    parts = "  ".join(_tie(f"{name} {100 * value:.2g}") for name, value in top if value >= 1e-5)
    return f"{_name(state):<{NAME}}   {parts or 'nothing to speak of'}"
