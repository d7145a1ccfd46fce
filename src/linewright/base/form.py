"""What all forms share: strictness, quantities as text, and errors with file and line.

A form is the one declarative table of its kind of file. All errors are reported at once, each
with file:line, the key in words, what was read, what is needed and the nearest name.
"""

from __future__ import annotations

import difflib
import math
import re
import tomllib
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated, Any, TypeVar

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, ValidationError

from linewright.base import places, units
from linewright.base.errors import InputError, LinewrightError, Problem, StorageError, visible
from linewright.base.sources import Basis

LARGEST_FILE = 2_000_000
LONGEST_READ = 120
HIGHEST_LOAD = {"LDBF": 2.0, "SDMBL": 2.0, "N": 1e9}
TYPED_BASES: tuple[Basis, ...] = ("given", "estimate")


class Strict(BaseModel):
    """A form that refuses what it does not know."""

    model_config = ConfigDict(extra="forbid", str_strip_whitespace=True, frozen=True, arbitrary_types_allowed=True)


@dataclass(frozen=True)
class Typed:
    """A quantity as typed: SI value, the band if one was given, the text itself, and what it rests on."""

    value: float
    low: float | None
    high: float | None
    text: str
    band: tuple[str, str] | None = None
    basis: Basis = "given"


@dataclass(frozen=True)
class Broken:
    """A rule between keys that does not hold: the key's path, what was read, needed and to do."""

    path: places.Path
    read: str
    needs: str
    do: str = ""


Rules = Callable[[dict[str, Any]], Iterable[Broken]]


@dataclass(frozen=True)
class Bounds:
    """What a quantity may be, in SI and in words; `above` is not reached, `least` is."""

    words: str = ""
    least: float = -math.inf
    most: float = math.inf
    above: float = -math.inf
    band: bool = False

    def hold(self, value: float) -> bool:
        """Whether a value lies inside."""
        return self.least <= value <= self.most and value > self.above


def typed(kind: str, bounds: Bounds | None = None) -> BeforeValidator:
    """Reads a quantity of a kind; out of bounds, or a band where none is used, is refused."""
    given = bounds or Bounds()

    def read(raw: Any) -> Typed:
        if isinstance(raw, Typed):
            return raw
        basis, raw = _resting(raw)
        if isinstance(raw, dict) and not given.band:
            raise units.UnitError("a band", "a single value: this key takes no band", 'write it as one "..." text')
        parts = raw if isinstance(raw, dict) else {"value": raw}
        if set(parts) not in ({"value"}, {"value", "low", "high"}):
            raise units.UnitError(", ".join(map(str, parts)), "a quantity, or value, low and high together")
        values = {name: _parse(text, kind) for name, text in parts.items()}
        for name, value in values.items():
            if not given.hold(value):
                raise units.UnitError(shown(parts[name]).strip('"'), given.words)
        low, value, high = values.get("low"), values["value"], values.get("high")
        if low is not None and high is not None and not low <= value <= high:
            read_them = ", ".join(f"{name} {shown(parts[name])}" for name in ("low", "value", "high"))
            raise units.UnitError(read_them, "low, value and high in this order")
        band = None if low is None else (str(parts["low"]).strip(), str(parts["high"]).strip())
        return Typed(value, low, high, str(parts["value"]).strip(), band, basis)

    return BeforeValidator(read)


def _resting(raw: Any) -> tuple[Basis, Any]:
    """What a quantity rests on, and the quantity alone: { value = "36 h", basis = "estimate" } is "36 h"."""
    if not isinstance(raw, dict) or "basis" not in raw:
        return "given", raw
    found: list[Basis] = [basis for basis in TYPED_BASES if basis == raw["basis"]]
    if not found:
        raise units.UnitError(shown(raw["basis"]).strip('"'), f"a basis: {' or '.join(TYPED_BASES)}", "or leave it out")
    rest = {name: part for name, part in raw.items() if name != "basis"}
    return found[0], rest["value"] if set(rest) == {"value"} else rest


def _parse(raw: Any, kind: str) -> float:
    spec = units.KINDS[kind]
    if isinstance(raw, bool) or not isinstance(raw, str | int | float):
        raise units.UnitError(shown(raw), f'a text with its unit, e.g. "{spec.example}"')
    if isinstance(raw, str):
        return _finite(raw, _parsed(lambda: units.parse(raw, kind), raw))
    _finite(raw, raw)
    if "" not in spec.spellings:
        known = ", ".join(name for name in spec.spellings if name)
        raise units.UnitError(
            shown(raw),
            f'a text with its unit, e.g. "{spec.example}"',
            f'write "{shown(raw)} <unit>" with one of {known}',
        )
    return units.parse(shown(raw), kind)


def _parsed(parse: Callable[[], Any], text: str) -> Any:
    """What a parser reads; a decimal comma gets its own advice."""
    try:
        return parse()
    except units.UnitError as error:
        if re.match(r"\s*[+-]?\d+,\d", text):
            raise units.UnitError(text, error.needs, "write decimals with a point, thousands with a space") from None
        raise


def _finite(raw: Any, value: float) -> float:
    try:
        finite = math.isfinite(value)
    except OverflowError:
        finite = False
    if not finite:
        raise units.UnitError(shown(raw).strip('"'), "a finite number with its unit")
    return value


def _load(raw: Any) -> units.Load:
    if isinstance(raw, units.Load):
        return raw
    basis, raw = _resting(raw)
    needs = 'a text with its unit, e.g. "25 %LDBF" or "310 kN"'
    if not isinstance(raw, str):
        is_number = isinstance(raw, int | float) and not isinstance(raw, bool) and math.isfinite(_finite(raw, raw))
        raise units.UnitError(
            shown(raw), needs, f'write "{shown(raw)} kN" or "{shown(raw)} %LDBF"' if is_number else ""
        )
    load: units.Load = _parsed(lambda: units.parse_load(raw), raw)
    _finite(raw, load.value)
    if load.value < 0.0:
        raise units.UnitError(raw, "a tension of zero or more")
    if load.value > HIGHEST_LOAD[load.base]:
        raise units.UnitError(raw, "at most 200 % of a strength, or 1e6 kN")
    return replace(load, basis=basis)


def _name(text: str) -> str:
    if visible(text) != text:
        raise units.UnitError(text, "a name on one line, without control characters")
    return text


def _note(text: str) -> str:
    for line in text.replace("\t", " ").splitlines():
        if visible(line) != line:
            raise units.UnitError(line[:LONGEST_READ], "text without control characters")
    return text


Name = Annotated[str, Field(min_length=1, max_length=300), AfterValidator(_name)]
Note = Annotated[str, AfterValidator(_note)]
WholeNumber = Annotated[int, Field(strict=True)]
Switch = Annotated[bool, Field(strict=True)]
Tension = Annotated[units.Load, BeforeValidator(_load)]

Form = TypeVar("Form", bound=BaseModel)


def read_toml(path: Path, what: str, error: type[LinewrightError] = InputError) -> tuple[str, dict[str, Any]]:
    """Text and tables of a TOML file. Raises `error` with the line, or StorageError if it cannot be read."""
    text = _text(path, what, error)
    try:
        return text, tomllib.loads(text)
    except tomllib.TOMLDecodeError as failure:
        raise error(f"{path} is not valid TOML.", [_syntax_problem(path, text, str(failure))]) from None
    except RecursionError:
        read, needs = "tables or lists many levels deep", "tables and lists a few levels deep"
        raise error(f"{path} is nested too deeply.", [Problem(str(path), read, needs)]) from None
    except ValueError:
        read, needs = "a number of thousands of digits", "numbers of at most 19 digits"
        raise error(f"{path} has a number that is too long.", [Problem(str(path), read, needs)]) from None


def _text(path: Path, what: str, error: type[LinewrightError]) -> str:
    try:
        if path.exists() and not path.is_file():
            read = "a folder" if path.is_dir() else "not an ordinary file"
            raise StorageError(f"{path} is {read}.", [Problem(str(path), read, f"a {what} file")])
        with path.open("rb") as stream:
            content = stream.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        raise error(f"There is no {what} at {path}.", [Problem(str(path), "nothing", f"a {what} file")]) from None
    except (OSError, ValueError) as failure:
        cause = getattr(failure, "strerror", None) or str(failure)
        raise StorageError(
            f"{path} cannot be read: {cause}.", [Problem(str(path), cause, f"a {what} file that may be read")]
        ) from None
    if len(content) > LARGEST_FILE:
        size = f"more than {LARGEST_FILE / 1e6:.0f} MB"
        raise error(f"{path} is too large.", [Problem(str(path), size, f"a {what} file, at most {size[10:]}")])
    return _decoded(path, content, error)


def _decoded(path: Path, content: bytes, error: type[LinewrightError]) -> str:
    try:
        text = content.decode("utf-8-sig")
        bad = content.find(b"\0")
    except UnicodeDecodeError as failure:
        text, bad = "", failure.start
    if bad < 0:
        return text
    line = content.count(b"\n", 0, bad) + 1
    read = f"the byte 0x{content[bad]:02x}"
    do = "save it again with the encoding UTF-8"
    raise error(f"{path} is not UTF-8 text.", [Problem(f"{path}:{line}", read, "a text file in UTF-8", do)])


_SYNTAX = {
    "Cannot overwrite": "this key or table is there already: keep one",
    "Cannot declare": "this table is there already: keep one",
    "Cannot redefine": "this table is there already: keep one",
    "Cannot mutate": "this key or table is there already: keep one",
    "Duplicate": "this key is given twice: keep one",
    "Unterminated": "close the quotes that open here",
    "Unclosed": "close what opens here",
    "Invalid value": 'write a text in double quotes, e.g. mean = "25 %LDBF"',
    "Expected newline": 'put the whole value in double quotes, e.g. mean = "25 %LDBF"',
    "Expected '='": "write key = value",
    "Illegal character": "close the quotes on the same line, and leave control characters out",
}


def _syntax_problem(path: Path, text: str, message: str) -> Problem:
    rows = text.split("\n")
    match = re.search(r"at line (\d+), column (\d+)", message)
    line = int(match.group(1)) if match else _open_quotes(rows)
    read = rows[line - 1].strip() if 0 < line <= len(rows) else message
    do = next((words for start, words in _SYNTAX.items() if message.startswith(start)), message)
    if match and do is not message:
        do += f" (column {match.group(2)})"
    return Problem(f"{path}:{line}", read[:LONGEST_READ], "TOML: key = value, texts in double quotes", do)


def _open_quotes(rows: list[str]) -> int:
    """The line whose long quotes are never closed; else the last line that says something."""
    for quotes in ('"""', "'''"):
        lines = [number for number, row in enumerate(rows, start=1) for _ in range(row.count(quotes))]
        if len(lines) % 2:
            return lines[-1]
    return max((number for number, row in enumerate(rows, start=1) if row.strip()), default=1)


def fill(
    form: type[Form],
    raw: dict[str, Any],
    text: str,
    name: str,
    error: type[LinewrightError] = InputError,
    rules: Rules | None = None,
) -> Form:
    """The filled form, or one error with every problem, each with its line, in the order of the file."""
    found = places.lines_of(text)
    problems: list[tuple[int, Problem]] = []
    filled = None
    try:
        filled = form.model_validate(raw)
    except ValidationError as failure:
        for item in _once(failure.errors()):
            path = tuple(item["loc"])
            read, needs, do = _said(item, form)
            problems.append(_placed(Broken(path, read, needs, do), raw, found, name))
    problems += [_placed(broken, raw, found, name) for broken in (rules(raw) if rules else ())]
    if filled is None or problems:
        rows = [problem for _, problem in sorted(problems, key=lambda item: item[0])]
        count = f"{len(rows)} problems" if len(rows) > 1 else "a problem"
        raise error(f"{name} has {count}.", rows)
    return filled


def _once(items: list[Any]) -> list[Any]:
    """Without keys that lack because they are misspelt: the misspelt one is told."""
    strange = [item["loc"] for item in items if item["type"] == "extra_forbidden"]
    meant = {(*loc[:-1], near) for loc in strange for item in items if item["type"] == "missing"
             for near in difflib.get_close_matches(str(loc[-1]), [str(item["loc"][-1])], n=1)}  # fmt: skip
    return [item for item in items if item["type"] != "missing" or item["loc"] not in meant]


def _placed(broken: Broken, raw: Any, found: dict[places.Path, int], name: str) -> tuple[int, Problem]:
    where = f"{places.at(name, found, broken.path)}  {places.spell(broken.path, raw)}".rstrip()
    return places.line_of(found, broken.path), Problem(where, broken.read, broken.needs, broken.do)


_WORDS = {
    "string_type": "a text in double quotes",
    "model_type": "a table of keys",
    "model_attributes_type": "a table of keys",
    "dict_type": "a table of keys",
    "list_type": "a list",
    "tuple_type": "a list",
    "int_type": "a whole number, without quotes",
    "int_from_float": "a whole number",
    "int_parsing": "a whole number, without quotes",
    "int_parsing_size": "a smaller number",
    "bool_type": "true or false, without quotes",
    "bool_parsing": "true or false, without quotes",
    "greater_than_equal": "{ge} or more",
    "less_than_equal": "{le} or less",
    "too_short": "at least one entry",
    "string_too_short": "at least one character",
    "string_too_long": "at most {max_length} characters",
}


def _said(item: Any, form: type[BaseModel]) -> tuple[str, str, str]:
    """What was read, what is needed and what to do, for one of pydantic's errors."""
    path, kind, context, raw = tuple(item["loc"]), item["type"], item.get("ctx", {}), item.get("input")
    cause = context.get("error")
    if isinstance(cause, units.UnitError):
        quoted = isinstance(raw, str) or (isinstance(raw, dict) and cause.read in raw.values())
        return shown(cause.read) if quoted else cause.read, cause.needs, cause.do
    if kind == "extra_forbidden":
        known = _fields_at(form, path[:-1])
        near = difflib.get_close_matches(str(path[-1]), known, n=1)
        hint = f"did you mean {near[0]}?" if near else f"known keys: {', '.join(known)}"
        return str(path[-1])[:LONGEST_READ], "a known key", hint
    if kind == "missing":
        return "nothing", f"the key {path[-1]}", "add it"
    if kind == "literal_error":
        return shown(raw), *_choice(str(context["expected"]), raw)
    if kind in _WORDS:
        return shown(raw), _WORDS[kind].format(**context), ""
    message = str(item["msg"]).removeprefix("Value error, ")
    return shown(raw), message[0].lower() + message[1:], ""


def _choice(expected: str, raw: Any) -> tuple[str, str]:
    names = [text or number for text, number in re.findall(r"'([^']*)'|(\d+)", expected)]
    if len(names) == 1:
        return names[0], ""
    near = difflib.get_close_matches(str(raw), names, n=1) if isinstance(raw, str) else []
    return f"one of {', '.join(names)}", f"did you mean {near[0]}?" if near else ""


def shown(raw: Any) -> str:
    """What was read, short: texts in quotes, tables and lists by name."""
    if isinstance(raw, str):
        return f'"{raw}"' if len(raw) <= LONGEST_READ else f'"{raw[:LONGEST_READ]}..."'
    if isinstance(raw, bool):
        return str(raw).lower()
    if isinstance(raw, dict):
        return "a table"
    if isinstance(raw, list):
        return f"a list of {len(raw)}" if raw else "an empty list"
    try:
        return str(raw)[:LONGEST_READ]
    except ValueError:
        return "a number of thousands of digits"


def _fields_at(form: type[BaseModel], path: tuple[str | int, ...]) -> list[str]:
    current: Any = form
    for step in path:
        if isinstance(step, int) or current is None:
            continue
        field = getattr(current, "model_fields", {}).get(step)
        current = _model_in(field.annotation) if field else current
    return sorted(getattr(current, "model_fields", {}))


def _model_in(annotation: Any) -> Any:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for inner in getattr(annotation, "__args__", ()):
        model = _model_in(inner)
        if model is not None:
            return model
    return None
