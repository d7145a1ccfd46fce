"""What a ship can do about a rope's life one at a time: pull less, bend wider, smooth the steel, shade the rope."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from linewright.assessment.given import Given
from linewright.assessment.rope import sized
from linewright.base.data import Datum
from linewright.base.units import Load
from linewright.case.model import Berth, ContactUse, LineGroup, State, Tension

TIGHT = 0.35  # of LDBF: mean tension from which a state counts as tight
SUNLIT_ROPE, SUNLIT_STEEL = ("solar_absorptance", "uv_cover"), ("steel_sun",)


def is_tight(given: Given) -> bool:
    """Whether a state with hours pulls a line steadily above 35 %LDBF; records stay as they are."""
    return any(
        _is_tight(given, line, state.tension[line.name])
        for berth in given.case.berths if berth.hours_per_year > 0.0
        for state in berth.states if state.share > 0.0
        for line in given.case.lines
    )  # fmt: skip


def less_pull(given: Given, times: float) -> Given:
    """Mean tensions above 35 %LDBF so many times as large; swings stay in newton, a stated highest falls by as much."""
    lines = {line.name: line for line in given.case.lines}

    def state(item: State) -> State:
        tension = {name: _pulled(given, lines[name], own, times) for name, own in item.tension.items()}
        return replace(item, tension=tension)

    def berth(item: Berth) -> Berth:
        return replace(item, states=tuple(map(state, item.states)))

    return given.with_case(replace(given.case, berths=tuple(map(berth, given.case.berths))))


def _strengths(given: Given, line: LineGroup) -> tuple[float, float]:
    """LDBF of a line and SDMBL [N]."""
    return given.main(line).data["design_break_force"].value, given.case.ship_design_break_load


def _is_tight(given: Given, line: LineGroup, tension: Tension) -> bool:
    force, ship = _strengths(given, line)
    return not tension.log and tension.mean.newton(force, ship) > TIGHT * force


def _pulled(given: Given, line: LineGroup, tension: Tension, times: float) -> Tension:
    if not _is_tight(given, line, tension):
        return tension
    strengths = _strengths(given, line)
    mean = tension.mean.newton(*strengths)
    less, highest = mean * (1.0 - times), tension.highest
    if highest is not None:
        highest = Load(highest.newton(*strengths) - less, "N")
    return replace(tension, mean=Load(mean - less, "N"), highest=highest)


def has_sliding(given: Given) -> bool:
    """Whether a rope slides on a contact: one that turns wears nothing."""
    return any(_is_rough(given, use) for line in given.case.lines for use in line.contacts)


def _is_rough(given: Given, use: ContactUse) -> bool:
    card = given.shelf.contacts[use.card]
    return card.words.get("turns") != "True" and ("roughness" in use.data or "roughness" in card.data)


def wider(given: Given, times: float) -> Given:
    """Every contact's bend radius so many times as wide."""
    return _contacts(given, lambda use: _given(given, use, ("bend_radius",), times))


def smoother(given: Given, times: float) -> Given:
    """The wear that the steel's roughness makes so many times as large, on every contact that does not turn."""
    return _contacts(given, lambda use: _given(given, use, ("roughness",), times) if _is_rough(given, use) else use)


def shaded(given: Given, times: float) -> Given:
    """So many times the sun on rope and steel, above 0: its heat and its harm; the rope still sees the sky."""
    steel = _contacts(given, lambda use: _given(given, use, SUNLIT_STEEL, times))

    def line(item: LineGroup) -> LineGroup:
        data = sized(given.shelf.rope(item.rope), item.rope_data)
        own = {key: scaled(data[key], times) for key in SUNLIT_ROPE if key in data}
        return replace(item, rope_data={**item.rope_data, **own})

    return steel.with_case(replace(steel.case, lines=tuple(map(line, steel.case.lines))))


def _contacts(given: Given, use: Callable[[ContactUse], ContactUse]) -> Given:
    """The study with every contact changed."""
    lines = tuple(replace(line, contacts=tuple(map(use, line.contacts))) for line in given.case.lines)
    return given.with_case(replace(given.case, lines=lines))


def _given(given: Given, use: ContactUse, keys: tuple[str, ...], times: float) -> ContactUse:
    """A contact with some of its card's or its own data scaled."""
    data = {**given.shelf.contacts[use.card].data, **use.data}
    return replace(use, data={**use.data, **{key: scaled(data[key], times) for key in keys if key in data}})


def scaled(datum: Datum, times: float) -> Datum:
    """A datum with value and band multiplied; its basis and draws stay."""
    return replace(datum, value=datum.value * times, low=datum.low * times, high=datum.high * times)
