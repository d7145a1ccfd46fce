"""The tree of a number as text: indented lines, every value with unit, band, basis and source."""

from __future__ import annotations

import json
from dataclasses import asdict, replace
from typing import Any

from linewright.base.errors import visible
from linewright.services.answer import folded
from linewright.services.asking import askable, overview
from linewright.services.known import known_lines
from linewright.services.scene import Scene
from linewright.services.why import Node, why
from linewright.services.words import years

Row = dict[str, Any]
STEP = "  "
MOST_DATA = 3


def told(scene: Scene, key: str, as_json: bool, everything: bool = False) -> str:
    """The tree of a key as text or JSON; without a key, what can be asked. Raises InputError.

    As text a computed number shows the data that count most, unless everything is asked for.
    """
    if not key:
        keys = [name for name, _ in askable(scene.result)]
        data = sorted({row["key"] for row in scene.result["used"]})
        return as_text({"numbers": keys, "data": data}) if as_json else "\n".join(overview(scene.result))
    node = why(scene, key)
    lines = [*folded(known_lines(scene.result), 2), *tree_lines(node if everything else shortened(node))]
    return as_text(asdict(node)) if as_json else "\n".join(lines)


def shortened(node: Node) -> Node:
    """A computed number with the data that take most of the band of life (else the weakest), and so its parts."""
    parts = tuple(map(shortened, node.parts))
    if node.basis != "computed":
        return replace(node, parts=parts)
    kept = (tuple(row for row in node.data if row["share_of_band"]) or node.data)[:MOST_DATA]
    return replace(node, data=kept, more=len(node.data) - len(kept), parts=parts)


def as_text(row: Row) -> str:
    """A tree as JSON text."""
    return json.dumps(row, indent=1, ensure_ascii=False, allow_nan=False)


def tree_lines(node: Node, depth: int = 0) -> list[str]:
    """A node and all that it rests on, as lines."""
    start, inner = STEP * depth, STEP * (depth + 1)
    lines = [f"{start}{node.name}", f"{inner}{value_text(node)}"]
    rows = (node.note, f"{node.formula}  [{node.page}]" if node.formula else "", *(f"! {row}" for row in node.findings))
    lines += [f"{inner}{row}" for row in rows if row]
    for row in node.data:
        lines += [f"{inner}- {line}" if number == 0 else f"{inner}  {line}" for number, line in enumerate(datum(row))]
    lines += [f"{inner}- {node.more} more data: --all"] if node.more else []
    lines += [f"{inner}{row}" for row in node.rows]
    for part in node.parts:
        lines += tree_lines(part, depth + 1)
    return [visible(line) for line in lines] if depth == 0 else lines


def value_text(node: Node) -> str:
    """Value with unit, band and basis in one line."""
    if isinstance(node.value, str) and node.low is None:
        return f"{node.value}  ({node.basis})" if node.unit == "" and node.basis != "computed" else node.value
    text, *ends = (_figure(node, part) for part in (node.value, node.low, node.high))
    unit = f" {node.unit}" if node.unit else ""
    band = ""
    if node.low is not None and node.low != node.high:
        band = f"  {node.band}: {' to '.join(ends)}{unit}"
    return f"{text}{unit}{band}  ({node.basis})"


def _figure(node: Node, value: Any) -> str:
    """A value or end of a node's band; a life at the horizon is a bound."""
    if node.horizon is not None and isinstance(value, float) and value >= node.horizon:
        return years(value, node.horizon)
    return shown(value, node.digits if node.basis == "computed" else None)


def shown(value: Any, digits: int | None) -> str:
    """A number with some decimals, or as short as it is known."""
    if isinstance(value, str) or value is None:
        return str(value or "")
    return f"{value:.{digits}f}" if digits is not None else short(value)


def short(value: float) -> str:
    """A number with five figures at most: 18000, 0.35, 1.4e-14."""
    return f"{value:.0f}" if 1e4 <= abs(value) < 1e7 else f"{value:.4g}"


def datum_text(row: Row) -> str:
    """Value and band of a used datum with its unit, or what its table holds."""
    unit = f" {row['unit']}" if row["unit"] else ""
    value = row["value"]
    if isinstance(value, list):
        return f"table of {len(value)} points"
    if isinstance(value, str):
        return value
    band = "" if row["low"] == row["high"] else f"  ({shown(row['low'], None)} to {shown(row['high'], None)})"
    return f"{shown(value, None)}{unit}{band}"


def datum(row: Row) -> list[str]:
    """A used datum in two or three lines: value, meaning, source."""
    share = f"  {100 * row['share_of_band']:.0f} % of the band of life" if row["share_of_band"] else ""
    head = f"{row['key']}  {datum_text(row)}  {row['basis']}{share}"
    mark = f"; {row['read']}" if row["read"] else ""
    title = row.get("source_title") or row["source"]
    where = f"; {row['where']}" if row["where"] else ""
    return [head, f"{row['text']}  [{row['owner']}]", f"source: {title}{where}{mark}"]
