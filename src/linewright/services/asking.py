"""What a user may ask for: keys such as `core.swell` or `life.low-creep`, and what they mean in a result."""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from typing import Any

from linewright.base.errors import InputError, Problem
from linewright.services.program import command

Row = dict[str, Any]
STATE_NUMBERS = ("core", "skin", "margin", "sustained_margin", "highest", "air", "rise")
ROPE_NUMBERS = ("life", "shares", "presence", "wll")
OTHER_WORDS = {  # what a number is called elsewhere in the answers
    "sustained": "sustained_margin", "sustained_margin": "sustained_margin", "held": "sustained_margin",
    "margin_sustained": "sustained_margin",
    "working_load_limit": "wll", "limit": "long_term_limit", "years": "life", "highest_tension": "highest",
    "sdmbl": "ship_design_break_load", "ldbf": "design_break_force",
}  # fmt: skip
PAIR_NUMBERS = ("ratio", "outlives")
MECHANISMS = ("creep", "bending", "tension", "abrasion", "ageing", "compression")
TITLES = {
    "life": "years until the first criterion is met",
    "shares": "what takes the strength of the rope on board",
    "presence": "share of the cycles that bend the same metre",
    "ratio": "life over the life of the rope on board",
    "outlives": "share of the draws in which it lives longer",
    "core": "temperature in the middle of the rope",
    "skin": "temperature of the face at the contact",
    "margin": "strength over the highest expected tension",
    "sustained_margin": "strength under a load held for the call, over the mean tension",
    "wll": "working load limit: half of the ship's design break load",
    "highest": "highest expected tension of a call",
    "air": "air of the hour whose core 5 % of the state's time exceeds",
    "rise": "what heats the core, by source",
}


@dataclass(frozen=True)
class Question:
    """A key and what it picks: rope, state or line, part (a mechanism, a source of heat), or data."""

    key: str
    number: str
    rope: Row | None = None
    state: Row | None = None
    line: Row | None = None
    part: str = ""
    data: tuple[Row, ...] = ()


def slug(text: str) -> str:
    """A name as it stands in a key: small letters, words joined by hyphens."""
    return "-".join(re.findall(r"[^\W_]+", text.lower())) or "-"


def rope_names(rope: Row) -> list[str]:
    """What a rope may be called: title, card, parts of the title with and without the word grade."""
    parts = [slug(part) for part in rope["name"].split(", ")]
    short = [part.removesuffix("-grade") for part in parts]
    return list(dict.fromkeys([slug(rope["name"]), slug(rope["card"]), *parts, *short, rope["same"]]))


def rope_key(result: Row, rope: Row) -> str:
    """The shortest name that picks a rope of a result."""
    others = {name for other in result["ropes"] if other is not rope for name in rope_names(other)}
    own = [name for name in rope_names(rope) if name not in others and name != rope["same"]]
    if own:
        return min(own, key=lambda name: (name == slug(rope["name"]), len(name)))
    return f"{slug(rope['card'])}.{rope['same']}"


def picked(rows: list[Row], names: list[list[str]], word: str) -> list[Row]:
    """The rows that a word names: exactly, else as whole words inside a name; none if it names none."""
    exact = [row for row, own in zip(rows, names, strict=True) if word in own]
    if exact:
        return exact
    inside = re.compile(rf"(^|-){re.escape(word)}(-|$)")
    return [row for row, own in zip(rows, names, strict=True) if any(inside.search(name) for name in own)]


def question(result: Row, key: str) -> Question:
    """What a key asks for. Raises InputError with the nearest names."""
    head, *words = [part.strip().lower().replace(" ", "-") for part in key.split(".")]
    head = OTHER_WORDS.get(head.replace("-", "_"), head)
    if head in STATE_NUMBERS:
        return _state_question(result, key, head, words)
    if head in MECHANISMS and head not in _data_keys(result):
        return _rope_question(result, key, "shares", [*words, head])
    if head in ROPE_NUMBERS:
        return _rope_question(result, key, head, words)
    if head in PAIR_NUMBERS:
        return _pair_question(result, key, head, words)
    return _data_question(result, key, head, words)


def _data_keys(result: Row) -> set[str]:
    return {row["key"] for row in result["used"]}


def _rope_of(result: Row, words: list[str], taken: set[str]) -> tuple[Row, list[str]]:
    """The rope that some of the words name (the rope on board if none does), and the words left."""
    ropes, rest = result["ropes"], []
    for word in words:
        found = [] if word in taken else picked(ropes, [rope_names(rope) for rope in ropes], word)
        if found and len(found) < len(result["ropes"]):
            ropes = found
        else:
            rest.append(word)
    return (ropes[0], rest)


def _state_question(result: Row, key: str, head: str, words: list[str]) -> Question:
    board = result["ropes"][0]
    part = ""
    if head == "rise" and words and words[-1] in {name for row in board["states"] for name in row["rise_by_source"]}:
        part = words.pop()
    taken = {slug(row[field]) for row in board["states"] for field in ("name", "berth", "line")}
    rope, rest = _rope_of(result, words, taken)
    rows = list(rope["states"])
    for word in rest:
        rows = picked(rows, [[slug(row[field]) for field in ("name", "berth", "line")] for row in rows], word)
    if not rows:
        raise unknown(result, key)
    return Question(key, head, rope, worst(head, rows), None, part)


def worst(number: str, rows: list[Row]) -> Row:
    """The state that matters most for a number: the hottest, the least margin, the highest tension."""
    by = {
        "margin": lambda row: -row["margin"],
        "sustained_margin": lambda row: -row["margin_sustained"],
        "highest": lambda row: row["highest_tension"],
        "skin": lambda row: row["skin_temperature"]["p50"],
        "air": lambda row: row["air_temperature"],
    }
    lived = [row for row in rows if row["hours_per_year"] > 0.0] or rows
    return max(lived, key=by.get(number, lambda row: row["core_temperature"]["p50"]))


def _rope_question(result: Row, key: str, head: str, words: list[str]) -> Question:
    part, own = "", [word for word in words if word in MECHANISMS]
    if head == "shares" and own:
        part = own[-1]
        words = [word for word in words if word != part]
    rope, rest = _rope_of(result, words, {slug(row["name"]) for row in result["ropes"][0]["lines"]})
    line = None
    for word in rest:
        found = picked(rope["lines"], [[slug(row["name"])] for row in rope["lines"]], word)
        if not found:
            raise unknown(result, key)
        line = found[0]
    if part and part not in (line or rope)["shares"]:
        raise unknown(result, key)
    return Question(key, head, rope, None, line, part)


def _pair_question(result: Row, key: str, head: str, words: list[str]) -> Question:
    rope, rest = _rope_of(result, words, set())
    ranked = [(item["rope"], item["same"]) for item in result["comparisons"]]
    if not words and ranked:
        rope = next(row for row in result["ropes"] if (row["name"], row["same"]) == ranked[0])
    if rest or (rope["name"], rope["same"]) not in ranked:
        raise unknown(result, key)
    return Question(key, head, rope)


def _data_question(result: Row, key: str, head: str, words: list[str]) -> Question:
    rows = [row for row in result["used"] if row["key"] == head.replace("-", "_")]
    for word in words:
        rows = picked(rows, [[slug(row["owner"])] for row in rows], word)
    if not rows:
        raise unknown(result, key)
    return Question(key, "datum", data=tuple(rows))


def unknown(result: Row, key: str) -> InputError:
    """The error of a key that names nothing, with the nearest names."""
    every = [name for name, _ in askable(result)] + sorted(_data_keys(result))
    near = difflib.get_close_matches(key.lower(), every, n=3, cutoff=0.5)
    same = [name for name in every if name.split(".")[0] == key.lower().split(".")[0]]
    names = list(dict.fromkeys([*near, *same[:4]]))
    hint = f"did you mean {', '.join(names)}?" if names else f"{command('why', 'STUDY')} lists what can be asked"
    needs = "a number of the result or a datum it rests on"
    return InputError("The result holds nothing of that name.", [Problem("KEY", key, needs, hint)])


def askable(result: Row) -> list[tuple[str, str]]:
    """Every key of a number that can be asked for, with what it is."""
    board, others = result["ropes"][0], result["ropes"][1:]
    rows = [("life", TITLES["life"])]
    rows += [(f"life.{rope_key(result, rope)}", rope["name"]) for rope in others if rope["life"] is not None]
    rows += [(f"life.{slug(line['name'])}", line["name"]) for line in board["lines"]]
    rows += [("shares", TITLES["shares"])] + [(f"shares.{name}", name) for name in board["shares"] if name != "none"]
    ranked = {(item["rope"], item["same"]) for item in result["comparisons"]}
    for head in PAIR_NUMBERS:
        names = [rope_key(result, rope) for rope in others if (rope["name"], rope["same"]) in ranked]
        rows += [(f"{head}.{name}", TITLES[head]) for name in names]
    states = list(dict.fromkeys(slug(row["name"]) for row in board["states"]))
    for head in STATE_NUMBERS:
        rows += [(head, TITLES[head])] + [(f"{head}.{name}", "") for name in states]
    return [*rows, ("presence", TITLES["presence"]), ("wll", TITLES["wll"])]


def overview(result: Row) -> list[str]:
    """What can be asked, one group a line, then the data."""
    groups: dict[str, list[str]] = {}
    for key, _ in askable(result):
        groups.setdefault(key.split(".")[0], []).append(key)
    lines = ["Numbers (add a line, berth or rope to a key where it matters, as in core.swell.forward-breasts):"]
    lines += [line for head, keys in groups.items() for line in _wrapped(f"  {head:<18}", keys)]
    return [*lines, "Data:", *_wrapped("  ", sorted(_data_keys(result)))]


def _wrapped(start: str, words: list[str], width: int = 118) -> list[str]:
    lines, here = [], start
    for word in words:
        if len(here) + len(word) + 1 > width:
            lines.append(here.rstrip())
            here = " " * len(start)
        here += word + "  "
    return [*lines, here.rstrip()]
