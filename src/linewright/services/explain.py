"""Six short paragraphs that an owner follows, each with this study's own numbers and what would change it."""

from __future__ import annotations

import math
from typing import Any

from linewright.physics.bending import bend_ratio
from linewright.services import explanations as texts
from linewright.services.explanations import percent
from linewright.services.known import known_lines
from linewright.services.spoken import best, place_of, times
from linewright.services.withheld import is_withheld
from linewright.services.words import NARROWS, narrows

Row = dict[str, Any]
PLAYS_A_PART = 0.01
SMALLER_SWING = 0.9
WIDER_BEND = 1.25
ROUGHER = 2
LESS_PULL = 0.9
LEAST_RISE = 0.1


def explain(result: Row) -> list[tuple[str, str]]:
    """Title and text of each paragraph, for the rope on board."""
    rope = result["ropes"][0]
    states = [row for row in rope["states"] if row["hours_per_year"] > 0.0]
    if not states:
        return [(title, texts.NO_STATES) for title in texts.ORDER]
    found = {title: _mechanism(result, rope, title) for title in texts.MECHANISM}
    found.update(heat=_heat(rope, states), cold=_cold(result, rope, states))
    return [(title, found[title]) for title in texts.ORDER]


def explain_lines(result: Row, width: int = 118) -> list[str]:
    """The paragraphs as text lines."""
    import textwrap

    known = [part for line in known_lines(result, "the rope on board") for part in textwrap.wrap(line, width)]
    lines = [*known, texts.INTRO.format(rope=result["ropes"][0]["name"]), ""]
    for title, text in explain(result):
        lines += [title.upper(), *textwrap.wrap(text, width), ""]
    if any(row.get("confidential") for row in result["used"]):
        lines += [texts.CONFIDENTIAL, ""]
    return lines[:-1]


def _mechanism(result: Row, rope: Row, title: str) -> str:
    """A mechanism of loss: what it is, what it takes, where, what would change it."""
    name = texts.MECHANISM[title]
    law = "rupture" if name == "creep" and not _used(result, rope, "creep_rate_constant") else title
    parts = [texts.WHAT[law]]
    if name in rope["not_assessed"]:
        return " ".join([*parts, texts.NOT_ASSESSED])
    if rope["life"] is None:
        reason = rope["not_comparable"].removeprefix("not comparable: ")
        return " ".join([*parts, texts.NOT_COMPARABLE.format(reason=reason)])
    if name not in rope["shares"]:
        return " ".join([*parts, texts.NOT_ASSESSED])
    share = rope["shares"][name]
    if share < PLAYS_A_PART:
        return " ".join([*parts, texts.LITTLE.format(share=percent(share))])
    parts += [texts.SHARE.format(share=percent(share)), _most(rope, name)]
    parts += [*_changes(result, rope, title), *_surer(result, name)]
    return " ".join(filter(None, parts))


def _most(rope: Row, name: str) -> str:
    """The state that a mechanism takes most in, on the line that ends first."""
    states = [row for row in rope["states"] if row["line"] == rope["life"]["line"]]
    total = sum(row["strength_loss_per_year"].get(name, 0.0) for row in states)
    top = max(states, key=lambda row: float(row["strength_loss_per_year"].get(name, 0.0)))
    if total <= 0.0:
        return ""
    swing = ""
    if top["period"] is not None and top["period"] < 1e6 and top["amplitude"] > 0.0:
        swing = texts.SWING.format(amplitude=f"{top['amplitude'] / 1e3:.0f}", period=f"{top['period']:.0f}")
    return texts.MOST.format(
        part=percent(top["strength_loss_per_year"][name] / total), state=place(top),
        hours=f"{top['hours_per_year']:.0f}", mean=f"{top['mean_tension'] / 1e3:.0f}", swing=swing,
    )  # fmt: skip


def place(state: Row) -> str:
    """A state with its berth, as a sentence names it."""
    return f'"{state["name"]}" at {state["berth"]}'


def _changes(result: Row, rope: Row, title: str) -> list[str]:
    if title == "fatigue":
        slope = _number(result, rope, "tension_fatigue_exponent")
        factor = "" if slope is None else percent(SMALLER_SWING**slope)
        return [texts.CHANGE["fatigue"].format(factor=factor)] if factor else []
    if title == "bending":
        return _bending(result, rope)
    if title == "abrasion":
        return [texts.CHANGE["abrasion"].format(rough=ROUGHER, taken=_as_much(rope))]
    return [texts.CHANGE["creep"], *_better_rope(result)]


def _as_much(rope: Row) -> str:
    """What a rougher surface would take a year, in words: the central loss of strength a year, and that times it."""
    states = [row for row in rope["states"] if row["line"] == rope["life"]["line"]]
    told = [row["strength_loss_per_year"].get("abrasion", 0.0) for row in states]
    if any(is_withheld(value) for value in told):
        return f"{ROUGHER} times as much"
    now, rougher = apart(100.0 * sum(told), 100.0 * ROUGHER * sum(told))
    return f"{rougher} % of strength a year instead of {now} %"


def _bending(result: Row, rope: Row) -> list[str]:
    slope, spread = _number(result, rope, "bending_ratio_exponent"), _number(result, rope, "payout_spread")
    contact, ratio = bend_of(result, rope)
    rows = []
    if ratio is not None and slope is not None:
        factor, known = f"{WIDER_BEND**slope:.1f}", f"{ratio:.1f}"
        rows.append(texts.CHANGE["bending"].format(contact=contact, ratio=known, factor=factor))
    return rows if spread is None else [*rows, texts.PAYOUT.format(spread=f"{spread:g}")]


def bend_of(result: Row, rope: Row) -> tuple[str, float | None]:
    """The contact that ends the line and its bend ratio D/d from the data used, or None."""
    contact = place_of(rope["life"]["ends_at"])
    owners = (f"{rope['life']['line']}, {contact}", contact.replace(" ", "-"))
    found = {
        key: next(
            (row for owner in owners for row in result["used"] if (row["owner"], row["key"]) == (owner, key)), None
        )
        for key in ("bend_radius", "wrap_angle")
    }
    if any(row is None or not isinstance(row["value"], float) for row in found.values()):
        return contact, None
    radius, wrap = (_si(found[key]) for key in ("bend_radius", "wrap_angle"))
    return contact, float(bend_ratio(radius, wrap, rope["diameter"]))


def _si(row: Row | None) -> float:
    from linewright.base.units import factor_and_offset

    assert row is not None
    kind = {"bend_radius": "length", "wrap_angle": "angle"}[row["key"]]
    factor, offset = factor_and_offset(kind, row["unit"])
    return float(row["value"] * factor + offset)


def _better_rope(result: Row) -> list[str]:
    """The compared rope with the largest ratio, if it is above one."""
    found = best(result["comparisons"])
    if found is None:
        return []
    name = ", ".join(found["rope"].split(", ")[:2])
    low, middle, high = (times(found["ratio"], p) for p in ("p10", "p50", "p90"))
    return [texts.CHANGE["creep rope"].format(rope=name, ratio=middle, low=low, high=high)]


def _surer(result: Row, name: str) -> list[str]:
    """The test that would narrow the datum of this mechanism that makes the band widest."""
    starts = {"tension": ("tension_",), "bending": ("bending_", "payout_"), "abrasion": ("wear_", "friction_"),
              "creep": ("creep_", "rupture_")}[name]  # fmt: skip
    keys = [row["key"] for row in result["wide_because"] if row["key"].startswith(starts) and row["key"] in NARROWS]
    return [texts.NARROW.format(test=narrows(keys[0], ""))] if keys else []


def _used(result: Row, rope: Row, key: str) -> list[Row]:
    """Rows of a key that may be the rope's own: the shortest owner that its card's name begins with, else any."""
    rows = [row for row in result["used"] if row["key"] == key]
    own = [row for row in rows if rope["card"].startswith(row["owner"]) or row["owner"] == rope["card"]]
    others = {name for other in result["ropes"][1:] for name in (other["card"],)}
    return own or [row for row in rows if not any(name.startswith(row["owner"]) for name in others)]


def _number(result: Row, rope: Row, key: str) -> float | None:
    rows = [row for row in _used(result, rope, key) if isinstance(row["value"], float)]
    return float(rows[0]["value"]) if rows else None


def _heat(rope: Row, states: list[Row]) -> str:
    state = max(states, key=lambda row: float(row["core_temperature"]["p50"]))
    core, rises = state["core_temperature"], state["rise_by_source"]
    named = [name for name in sorted(rises, key=lambda name: -abs(rises[name])) if name in texts.SOURCES][:3]
    sources = ", ".join(
        texts.SOURCES[name].format(value=f"{abs(rises[name]):.1f}") for name in named if abs(rises[name]) >= LEAST_RISE
    )
    words = {
        "core": f"{core['p50']:.0f}", "low": f"{core['p10']:.0f}", "high": f"{core['p90']:.0f}",
        "state": place(state), "skin": f"{state['skin_temperature']['p50']:.0f}", "sources": sources or "nothing",
        "rise": f"{state['core_temperature_central'] - state['air_temperature']:.1f}",
    }  # fmt: skip
    limit = rope["long_term_limit"]
    template = texts.HEAT_NO_LIMIT if state.get("is_sustainable", True) else texts.NOT_SUSTAINABLE
    if limit is not None and template is texts.HEAT_NO_LIMIT:
        room = limit - core["p50"]
        words["limit"] = f"{limit:.0f}"
        words["room"] = (texts.ROOM if room >= 0.0 else texts.OVER).format(kelvin=f"{abs(room):.0f}")
        template = texts.HEAT
    top = max((name for name in texts.REMEDY), key=lambda name: float(rises[name]))
    remedy = texts.REMEDY[top] if rises[top] >= LEAST_RISE else ""
    return " ".join(filter(None, (texts.WHAT["heat"], template.format(**words), remedy)))


def _cold(result: Row, rope: Row, states: list[Row]) -> str:
    """The coldest hours, what creep takes there, and the smallest margin, which is often found in the cold."""
    least = min(states, key=lambda row: float(row["margin"]))
    margin, better = apart(least["margin"], least["margin"] / LESS_PULL)
    text = texts.LEAST.format(
        margin=margin, state=place(least), highest=f"{least['highest_tension'] / 1e3:.0f}", better=better
    )
    untested = next(
        (row["text"] for row in result["findings"]
         if row["code"] == "temperature-untested" and rope["name"] in row["about"]), "",
    )  # fmt: skip
    return " ".join(filter(None, (texts.WHAT["cold"], _coldest(states), text, f"{untested}." if untested else "")))


def _coldest(states: list[Row]) -> str:
    """The coldest hours; only where berths differ is one of them the coldest and has a share of the year's creep."""
    known = [row for row in states if "coldest_air_temperature" in row]  # early results do not keep it
    if not known:
        return ""
    cold = min(known, key=lambda row: float(row["coldest_air_temperature"]))
    air = f"{cold['coldest_air_temperature']:.0f}"
    if len({row["berth"] for row in known}) == 1:
        return texts.COLD_HOURS.format(air=air)
    own = [row for row in states if row["line"] == cold["line"]]
    creep = {berth: sum(row["strength_loss_per_year"].get("creep", 0.0) for row in own if row["berth"] == berth)
             for berth in {row["berth"] for row in own}}  # fmt: skip
    total = sum(creep.values())
    share = texts.COLD_CREEP.format(creep=percent(creep[cold["berth"]] / total).capitalize()) if total > 0.0 else ""
    return " ".join(filter(None, (texts.COLDEST.format(berth=cold["berth"], air=air), share)))


def apart(one: float, two: float) -> tuple[str, str]:
    """Two numbers with the fewest significant figures, two to four, that tell them apart."""
    pairs = [(_figures(one, count), _figures(two, count)) for count in range(2, 5)]
    return next((pair for pair in pairs if pair[0] != pair[1]), pairs[-1])


def _figures(value: float, count: int) -> str:
    """A number with some significant figures and at most six decimals."""
    size = math.floor(math.log10(abs(value))) if value else 0
    return f"{value:.{min(max(count - 1 - size, 0), 6)}f}"
