"""The line from drum to shore, drawn to scale, with its contacts as dots on the temperature scale."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from linewright.base.units import factor_and_offset
from linewright.services.markup import Markup, tag
from linewright.services.temperature_scale import colour

Row = dict[str, Any]
TOP, HEIGHT, WIDTH = 24, 380, 270
AXIS = 52
APART = 40


@dataclass(frozen=True)
class Stop:
    """A place on the line: name, metres from the drum, its core temperature [degC] and what is said of it."""

    name: str
    metre: float
    core: float
    told: str


@dataclass(frozen=True)
class Sketch:
    """A line as it is drawn: stops in order, length to the shore or tail, tail length, core of the free span."""

    title: str
    stops: tuple[Stop, ...]
    length: float
    tail: float
    free: float | None
    tail_core: float | None

    @property
    def whole(self) -> float:
        """Metres from drum to shore."""
        return self.length + self.tail


def sketch_of(result: Row, state: Row) -> Sketch | None:
    """The line of a state of the rope on board, or None if its lengths are not told."""
    line = state["line"]
    inboard, outboard = length_of(result, line, "inboard_length"), length_of(result, line, "outboard_length")
    if inboard is None or outboard is None:
        return None
    cores = state.get("core_by_place", {})
    names = list(dict.fromkeys(name.rpartition(", ")[0] for name in cores if ", " in name)) or _hottest(state)
    stops = tuple(_stop(result, state, name, cores, inboard) for name in names)
    tails = [row["tail"] for row in result["ropes"][0]["lines"] if row["name"] == line and row["tail"]]
    tail = length_of(result, f"{line}, tail", "length") if tails else None
    last = max((stop.metre for stop in stops), default=inboard)
    title = f"{line}, in {state['name']} at {state['berth']}"
    return Sketch(title, stops, last + outboard, tail or 0.0, cores.get("free span"),
                  tails[0]["hottest_core"] if tails else None)  # fmt: skip


def _hottest(state: Row) -> list[str]:
    name = state["hottest_place"].rpartition(", ")[0]
    return [name] if name else []


def _stop(result: Row, state: Row, name: str, cores: Row, inboard: float) -> Stop:
    metre = length_of(result, f"{state['line']}, {name}", "inboard_length")
    own = [value for place, value in cores.items() if place.rpartition(", ")[0] == name]
    band = state["core_temperature"]
    if state["hottest_place"].rpartition(", ")[0] == name:
        core, told = band["p50"], f"{band['p50']:.0f} C"
        told += f", {band['p10']:.0f} to {band['p90']:.0f}"
    else:
        core = max(own)
        told = f"{core:.0f} C central"
    return Stop(name, inboard if metre is None else metre, core, told)


def length_of(result: Row, owner: str, key: str) -> float | None:
    """A length that the case gives [m]."""
    rows = [row for row in result["used"] if row["owner"] == owner and row["key"] == key]
    if not rows or not isinstance(rows[0]["value"], float):
        return None
    factor, offset = factor_and_offset("length", rows[0]["unit"])
    return float(rows[0]["value"] * factor + offset)


def line_svg(sketch: Sketch) -> Markup:
    """The drawing; its text alternative says what it shows."""
    scale = HEIGHT / max(sketch.whole, 1.0)
    ys = _apart([TOP + stop.metre * scale for stop in sketch.stops])
    words = ", ".join(f"{stop.name} at metre {stop.metre:.0f} {stop.told}" for stop in sketch.stops)
    parts = [tag("title", f"{sketch.title}: from drum to shore {sketch.whole:.0f} m; {words}")]
    parts += _body(sketch, scale)
    parts += [part for stop, y in zip(sketch.stops, ys, strict=True) for part in _dot(stop, y, scale)]
    box = f"0 0 {WIDTH} {TOP + HEIGHT + 30}"
    return tag("svg", *parts, viewBox=box, width=WIDTH, role="img", class_="line", focusable="false")


def _apart(ys: list[float]) -> list[float]:
    """Heights of labels that do not overlap, in order."""
    order = sorted(range(len(ys)), key=lambda n: ys[n])
    last, moved = -float(APART), list(ys)
    for n in order:
        moved[n] = last = max(ys[n], last + APART)
    return moved


def _body(sketch: Sketch, scale: float) -> list[Markup]:
    bottom, shore = TOP + sketch.length * scale, TOP + sketch.whole * scale
    fill = "none" if sketch.free is None else colour(sketch.free)
    parts = [
        tag("text", "drum", x=AXIS + 14, y=TOP + 4, class_="dim"), tag("text", "0 m", x=AXIS - 12, y=TOP + 4,
                                                                      class_="dim", text_anchor="end"),
        tag("rect", x=AXIS - 5, y=TOP, width=10, height=f"{bottom - TOP:.1f}", fill=fill, class_="edge"),
    ]  # fmt: skip
    if sketch.free is not None:
        last = max((stop.metre for stop in sketch.stops), default=0.0)
        y = TOP + (last + 0.55 * (sketch.length - last)) * scale
        parts += _label(y, "free span", f"{sketch.free:.0f} C central")
    if sketch.tail > 0.0:
        hot = sketch.tail_core
        fill = "none" if hot is None else colour(hot)
        parts.append(
            tag(
                "rect", x=AXIS - 3, y=f"{bottom:.1f}", width=6, height=f"{shore - bottom:.1f}", fill=fill, class_="edge"
            )
        )
        parts += _label((bottom + shore) / 2.0, "tail", "" if hot is None else f"{hot:.0f} C in its hottest state")
    end = f"{shore + 16:.1f}"
    parts.append(tag("text", "shore", x=AXIS + 14, y=end, class_="dim"))
    return [*parts, tag("text", f"{sketch.whole:.0f} m", x=AXIS - 12, y=end, class_="dim", text_anchor="end")]


def _label(y: float, name: str, told: str) -> list[Markup]:
    return [
        tag("text", name, x=AXIS + 14, y=f"{y:.1f}"),
        tag("text", told, x=AXIS + 14, y=f"{y + 17:.1f}", class_="dim"),
    ]


def _dot(stop: Stop, label: float, scale: float) -> list[Markup]:
    y = TOP + stop.metre * scale
    return [
        tag("line", x1=AXIS, y1=f"{y:.1f}", x2=AXIS + 22, y2=f"{label:.1f}", class_="tie"),
        tag("circle", cx=AXIS, cy=f"{y:.1f}", r=9, fill=colour(stop.core), class_="edge"),
        tag("text", f"{stop.metre:.0f} m", x=AXIS - 14, y=f"{y + 4:.1f}", class_="dim", text_anchor="end"),
        tag("text", stop.name, x=AXIS + 26, y=f"{label + 1:.1f}", class_="name"),
        tag("text", stop.told, x=AXIS + 26, y=f"{label + 18:.1f}", class_="figure"),
    ]


def bar(*parts: Markup) -> Markup:
    """A bar cell of a table; the figures beside it say the same."""
    return tag("div", *parts, class_="bar", aria_hidden="true")


def span(low: float, high: float, class_: str) -> Markup:
    """A piece of a bar from one share of its width to another."""
    left, right = sorted(min(max(part, 0.0), 1.0) for part in (low, high))
    return tag("i", class_=class_, style=f"left:{100 * left:.2f}%;width:{100 * (right - left):.2f}%")


def spot(at: float, class_: str = "dot") -> Markup:
    """A dot or a grid line of a bar."""
    return tag("i", class_=class_, style=f"left:{100 * min(max(at, 0.0), 1.0):.2f}%")


def axis(labels: list[tuple[float, str]]) -> Markup:
    """Figures under bars."""
    return bar(*(tag("span", label, style=f"left:{100 * at:.2f}%") for at, label in labels))


__all__ = ["Sketch", "Stop", "axis", "bar", "line_svg", "sketch_of", "span", "spot"]
