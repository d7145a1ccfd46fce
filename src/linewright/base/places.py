"""Where in a TOML text a key stands, so that every error can name its line."""

from __future__ import annotations

import re
import tomllib
from typing import Any

Path = tuple[str | int, ...]
LONGEST_NAME = 60

_TABLE = re.compile(r"^\s*(\[\[?)\s*(.+?)\s*(\]\]?)\s*(?:#.*)?$")
_NAME = r"""(?:[\w-]+|"(?:\\.|[^"\\])*"|'[^']*')"""
_KEY = re.compile(rf"^\s*({_NAME}(?:\s*\.\s*{_NAME})*)\s*=\s*(.*)$")
_PART = re.compile(_NAME)


def lines_of(text: str) -> dict[Path, int]:
    """Line number (from 1) of every table header and key of a TOML text, by path."""
    found: dict[Path, int] = {}
    counts: dict[Path, int] = {}
    prefix: Path = ()
    skip_until = ""
    depth = 0
    for number, line in enumerate(text.split("\n"), start=1):
        if skip_until:
            skip_until = "" if skip_until in line else skip_until
            continue
        if depth > 0:
            depth += _depth(line)
            continue
        table = _TABLE.match(line)
        if table and not _KEY.match(line):
            prefix = _enter(_parts(table.group(2)), table.group(1) == "[[", counts)
            found.setdefault(prefix, number)
            continue
        key = _KEY.match(line)
        if key:
            found.setdefault(prefix + _parts(key.group(1)), number)
            skip_until, depth = _continues(key.group(2))
    return found


def line_of(found: dict[Path, int], path: Path) -> int:
    """The line of a path, or of the nearest table above it (0 if none)."""
    for length in range(len(path), 0, -1):
        if path[:length] in found:
            return found[path[:length]]
    return 0


def at(name: str, found: dict[Path, int], path: Path) -> str:
    """File and line of a path; the file alone where nothing stands for it."""
    line = line_of(found, path)
    return f"{name}:{line}" if line else name


def spell(path: Path, raw: Any) -> str:
    """A path in words: berth "A" > state "swell" > tension > mean."""
    words: list[str] = []
    node = raw
    for step in path:
        node = _step(node, step)
        if isinstance(step, int) and words:
            name = node.get("name", node.get("card", node.get("rope"))) if isinstance(node, dict) else None
            words[-1] += f' "{_short(name)}"' if isinstance(name, str) and name.strip() else f" {step + 1}"
        else:
            words.append(_short(str(step)))
    return " > ".join(words)


def _short(name: str) -> str:
    return name if len(name) <= LONGEST_NAME else f"{name[:LONGEST_NAME]}..."


def _step(node: Any, step: str | int) -> Any:
    try:
        return node[step]
    except (KeyError, IndexError, TypeError):
        return None


def _parts(dotted: str) -> tuple[str, ...]:
    return tuple(_bare(part) for part in _PART.findall(dotted))


def _bare(part: str) -> str:
    """A key without its quotes."""
    if part[0] == "'" or "\\" not in part:
        return part.strip("\"'")
    try:
        return str(tomllib.loads(f"key = {part}")["key"])
    except tomllib.TOMLDecodeError:
        return part.strip('"')


def _enter(parts: tuple[str, ...], is_array: bool, counts: dict[Path, int]) -> Path:
    path: Path = ()
    for index, part in enumerate(parts):
        path = (*path, part)
        last = index == len(parts) - 1
        if last and is_array:
            counts[path] = counts.get(path, -1) + 1
        if path in counts:
            path = (*path, counts[path])
    return path


def _continues(rest: str) -> tuple[str, int]:
    for quote in ('"""', "'''"):
        if rest.startswith(quote) and quote not in rest[3:]:
            return quote, 0
    return "", max(0, _depth(rest))


def _depth(text: str) -> int:
    bare = re.sub(r""""(?:\\.|[^"\\])*"|'[^']*'|#.*""", "", text)
    return bare.count("[") + bare.count("{") - bare.count("]") - bare.count("}")
