"""Why a number is what it is: value, band, formula, data, sources, as a tree."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from linewright.base.sources import BASES
from linewright.cards import form as card_form
from linewright.case import form as case_form
from linewright.services import formulas
from linewright.services.asking import MECHANISMS, PAIR_NUMBERS, TITLES, Question, question, slug
from linewright.services.ending import is_reached, not_reached
from linewright.services.formulas import FORMULAS
from linewright.services.result import meaning
from linewright.services.scene import Scene
from linewright.services.spoken import times
from linewright.services.weather_text import weather_lines
from linewright.services.words import years

Row = dict[str, Any]
SMALL_SHARE = 0.02
CASE_FORMS = (
    case_form.ShipForm, case_form.LineForm, case_form.ContactForm, case_form.TailForm, case_form.BerthForm,
    case_form.StateForm, case_form.TensionForm, case_form.CriteriaForm,
)  # fmt: skip
CARD_KEYS = frozenset({**card_form.RopeData.model_fields, **card_form.ContactData.model_fields})
CODES = {
    "bending": ("bending-", "stroke-"),
    "tension": ("fatigue-", "tension-clipped"),
    "compression": ("slack-", "tension-clipped"),
    "abrasion": ("stroke-",),
    "core": ("core-", "contacts-", "temperature-"),
    "skin": ("skin-", "contacts-"),
    "margin": ("tension-", "temperature-", "margin-"),
    "sustained_margin": ("sustained-",),
    "highest": ("tension-",),
    "presence": ("bending-presence",),
    "life": ("bending-", "tension-above-strength", "service-", "not-assessed", "fatigue-", "slack-"),
}


@dataclass(frozen=True)
class Node:
    """A number or datum: value with unit and band, where it comes from, what it rests on, what limits it."""

    name: str
    value: float | str | None = None
    low: float | None = None
    high: float | None = None
    unit: str = ""
    band: str = "P10 to P90"
    basis: str = "computed"
    digits: int = 2
    horizon: float | None = None
    note: str = ""
    formula: str = ""
    page: str = ""
    data: tuple[Row, ...] = ()
    more: int = 0
    rows: tuple[str, ...] = ()
    parts: tuple[Node, ...] = ()
    findings: tuple[str, ...] = ()


def why(scene: Scene, key: str) -> Node:
    """The tree of a number or datum. Raises InputError with the nearest names."""
    asked = question(scene.result, key)
    if asked.number == "datum":
        return _datum(scene, asked)
    if asked.number in PAIR_NUMBERS:
        return _pair(scene, asked)
    if asked.state is not None:
        return _state(scene, asked)
    return _rope(scene, asked)


def data_of(scene: Scene, keys: tuple[str, ...], owners: list[str]) -> tuple[Row, ...]:
    """The used data of some keys with their owners, those that make the band wide first, then the weak ones."""
    rank = {name: number for number, name in enumerate(owners)}
    rows = [row for row in scene.result["used"] if row["key"] in keys and row["owner"] in rank]
    found = [told(scene, row) for row in rows]
    return tuple(sorted(found, key=lambda row: (-row["share_of_band"], -BASES.index(row["basis"]), rank[row["owner"]])))


def told(scene: Scene, row: Row) -> Row:
    """A used datum with what its key means, its source's title, and its share of the band of the life on board."""
    on_board = row["owner"] in scene.owners(scene.result["ropes"][0])
    wide = {item["key"]: item["share"] for item in scene.result["wide_because"]} if on_board else {}
    source = scene.shelf.sources.get(row["source"])
    title = source.title if source is not None else row["source"]
    text = in_case(row["key"]) or meaning(row["key"])
    return {"source_title": title, **row, "text": text, "share_of_band": wide.get(row["key"], 0.0)}


def in_case(key: str) -> str:
    """What a key of the case means, in words; empty for keys of cards."""
    if key in CARD_KEYS:
        return ""
    fields = (form.model_fields[key].description for form in CASE_FORMS if key in form.model_fields)
    return next((text for text in fields if text), "")


def explained(scene: Scene, node: Node, name: str, owners: list[str], keys: tuple[str, ...] | None = None) -> Node:
    """A node with its formula, the page that states it, and its data."""
    formula = FORMULAS[name]
    own = formulas.near_keys(name) if keys is None else keys
    return replace(node, formula=formula.sentence, page=formula.page, data=data_of(scene, own, owners))


def findings_on(scene: Scene, number: str, rope: Row, place: str = "") -> tuple[str, ...]:
    """Cautions and refusals on a number of a rope; `place` is a state or line that they must be about."""
    starts = CODES.get(number, ())
    rows = [
        row for row in scene.result["findings"]
        if row["code"].startswith(starts) and rope["name"] in row["about"] and place in row["about"]
    ] if starts else []  # fmt: skip
    return tuple(dict.fromkeys(f"{row['severity']}: {row['text']}" for row in rows))


def _banded(name: str, row: Row, unit: str, digits: int) -> Node:
    return Node(name, row["p50"], row["p10"], row["p90"], unit, digits=digits)


# --- numbers of a state --------------------------------------------------------------------------------


def _state(scene: Scene, asked: Question) -> Node:
    rope, state = asked.rope, asked.state
    assert rope is not None
    assert state is not None
    where = f"{state['berth']}, {state['name']}, {state['line']}"
    name = f"{asked.number}: {TITLES[asked.number]}; {where}; {rope['name']}"
    owners = scene.owners(rope, state["line"], state)
    if asked.number == "rise":
        return _rise(scene, asked, where, owners)
    node = explained(scene, _value_of(asked.number, name, state), asked.number, owners)
    about = f"{state['berth']}, {state['name']}: {state['line']}"
    notes = findings_on(scene, asked.number, rope, about)
    if asked.number in ("core", "skin"):
        rises = tuple(_source(scene, state, source, owners) for source in _by_size(state["rise_by_source"]))
        air = explained(scene, Node("air", state["air_temperature"], unit="C", digits=0), "air", owners)
        node = replace(node, parts=(air, *rises), note=f"hottest place: {state['hottest_place']}")
    if asked.number == "margin":
        highest = _value_of("highest", "highest: highest expected tension of the state", state)
        core = _value_of("core", f"core: ask for core.{slug(state['name'])}.{slug(state['line'])}", state)
        node = replace(node, parts=(explained(scene, highest, "highest", owners), core))
    return replace(node, findings=notes)


def _value_of(number: str, name: str, state: Row) -> Node:
    if number == "margin":
        return _banded(name, state["margin_band"], "x", 1)
    if number == "sustained_margin":
        if "margin_sustained_band" not in state:
            return Node(name, state["margin_sustained"], unit="x", digits=1)
        return _banded(name, state["margin_sustained_band"], "x", 1)
    if number == "highest":
        return Node(name, state["highest_tension"] / 1e3, unit="kN", digits=0)
    if number == "air":
        return Node(name, state["air_temperature"], unit="C", digits=0)
    return _banded(name, state[f"{number}_temperature"], "C", 0)


def _by_size(rises: dict[str, float]) -> list[str]:
    return [name for name in sorted(rises, key=lambda name: -abs(rises[name])) if name != "rest"]


def _source(scene: Scene, state: Row, source: str, owners: list[str]) -> Node:
    node = Node(f"rise by {source}", state["rise_by_source"][source], unit="K", digits=1, note="central run")
    if abs(node.value if isinstance(node.value, float) else 0.0) < 0.05:
        return node
    return explained(scene, node, formulas.rise_formula(source), owners)


def _rise(scene: Scene, asked: Question, where: str, owners: list[str]) -> Node:
    state = asked.state
    assert state is not None
    if asked.part:
        node = _source(scene, state, asked.part, owners)
        whole = explained(scene, node, formulas.rise_formula(asked.part), owners)
        return replace(whole, name=f"{node.name}; {where}", note=f"central run, at {state['hottest_place']}")
    rise = state["core_temperature_central"] - state["air_temperature"]
    parts = tuple(_source(scene, state, source, owners) for source in _by_size(state["rise_by_source"]))
    top = Node(f"rise: {TITLES['rise']}; {where}", rise, unit="K", digits=1, note="central run", parts=parts)
    return replace(top, formula=FORMULAS["core"].sentence, page=FORMULAS["core"].page)


# --- numbers of a rope ---------------------------------------------------------------------------------


def _rope(scene: Scene, asked: Question) -> Node:
    rope = asked.rope
    assert rope is not None
    here = asked.line or rope
    line = asked.line["name"] if asked.line else (rope["life"] or {}).get("line", rope["lines"][0]["name"])
    owners = scene.owners(rope, line)
    if asked.number == "wll":
        limit = Node(f"wll: {TITLES['wll']}", scene.result["working_load_limit"] / 1e3, unit="kN", digits=0)
        return explained(scene, limit, "wll", owners)
    if asked.number == "presence":
        group = next(row for row in rope["lines"] if row["name"] == line)
        node = Node(f"presence: {TITLES['presence']}; {line}", 100.0 * group["bending_presence"], unit="%", digits=1)
        return replace(explained(scene, node, "presence", owners), findings=findings_on(scene, "presence", rope))
    if asked.part:
        return _mechanism(scene, rope, line, here["shares"], asked.part)
    ranked = sorted(here["shares"].items(), key=lambda item: -item[1])
    parts = tuple(_mechanism(scene, rope, line, here["shares"], name) for name, _ in ranked if name in MECHANISMS)
    if asked.number == "shares":
        node = Node(f"shares: strength lost by; {line}; {rope['name']}", "together 100 %", parts=parts)
        return replace(node, formula=FORMULAS["shares"].sentence, page=FORMULAS["shares"].page)
    node = _life(scene, rope, here, owners)
    return node if here["life"] is None else replace(node, parts=parts)


def _life(scene: Scene, rope: Row, here: Row, owners: list[str]) -> Node:
    name = f"life: {TITLES['life']}; {rope['name']}" + ("" if here is rope else f"; {here['name']}")
    notes = findings_on(scene, "life", rope)
    if here["life"] is None:
        return Node(name, rope.get("not_comparable", "not comparable"), findings=notes)
    life, end = here["life"], here if here is not rope else here["life"]
    node = _banded(name, life, "years", 1 if life["p50"] < 9.95 else 0)
    horizon = scene.result["horizon"]
    how = f"ends by {end['ends_by']} at {end['ends_at']} ({end['criterion']})"
    if not is_reached({**life, "ends_by": end["ends_by"]}, horizon):
        how = not_reached(here["shares"], horizon)
    note = f"central run {years(life['central'], horizon)}; {how}"
    return replace(explained(scene, node, "life", owners), note=note, findings=notes, horizon=horizon)


def _mechanism(scene: Scene, rope: Row, line: str, shares: Row, name: str) -> Node:
    share = shares[name]
    node = Node(f"{name}: share of the strength lost", 100.0 * share, unit="%", digits=0 if share >= 0.01 else 2)
    states = [row for row in rope["states"] if row["line"] == line and name in row["strength_loss_per_year"]]
    if share < SMALL_SHARE or not states:
        return replace(node, note=f"ask for shares.{name}" if share < SMALL_SHARE else "")
    total = sum(row["strength_loss_per_year"][name] for row in states)
    top = max(states, key=lambda row: float(row["strength_loss_per_year"][name]))
    part = 100.0 * top["strength_loss_per_year"][name] / total if total > 0.0 else 0.0
    note = f"central run; {part:.0f} % of it in {top['berth']}, {top['name']}"
    node = explained(scene, replace(node, note=note), name, scene.owners(rope, line, top))
    return replace(node, findings=findings_on(scene, name, rope, line))


def _pair(scene: Scene, asked: Question) -> Node:
    rope = asked.rope
    assert rope is not None
    item = next(
        row for row in scene.result["comparisons"] if (row["rope"], row["same"]) == (rope["name"], rope["same"])
    )
    name = f"{asked.number}: {TITLES[asked.number]}; {rope['name']}"
    if asked.number == "ratio":
        node = replace(_banded(name, item["ratio"], "x", 1), note=f"spoken: {times(item['ratio'], 'p50')} x")
    else:
        odds = item["outlives"]
        text = f"{100 * odds['independent']:.0f} % with laws drawn apart"
        node = Node(name, 100.0 * odds["same_ignorance"], unit="% if one law holds for both", digits=0, note=text)
    keys = tuple(key.split(".")[-1] for key in item["rests_on"])
    owners = [*scene.owners(scene.result["ropes"][0]), *scene.owners(rope)]
    weak = "; estimates on both sides" if item["estimates_only"] else ""
    note = "; ".join(filter(None, (node.note, f"the data that differ{weak}")))
    return replace(explained(scene, node, asked.number, list(dict.fromkeys(owners)), keys), note=note)


# --- data ----------------------------------------------------------------------------------------------


def _datum(scene: Scene, asked: Question) -> Node:
    """A datum: that of the rope on board first, then the same key of other owners."""
    owners = scene.owners(scene.result["ropes"][0])
    rows = sorted(asked.data, key=lambda row: owners.index(row["owner"]) if row["owner"] in owners else len(owners))
    found = tuple(told(scene, row) for row in rows)
    first = found[0]
    rest = "the weights of all draws" if first["owner"].startswith("evidence ") else "no number of this result"
    uses = ", ".join(formulas.users_of(first["key"])) or rest
    share = f"; makes {100 * first['share_of_band']:.0f} % of the band of life" if first["share_of_band"] else ""
    return Node(
        f"{first['key']}: {first['text']}", first["value"] if not isinstance(first["value"], list) else "table",
        first["low"], first["high"], first["unit"], "5 to 95 %", first["basis"],
        note=f"used in {uses}{share}", data=found, rows=weather_lines(scene, found) if first["key"] == "months" else (),
    )  # fmt: skip
