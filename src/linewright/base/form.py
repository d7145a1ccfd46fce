"""What all forms share: strictness, quantities as text, and errors with file and line.

A form is the one declarative table of its kind of file. All errors are reported at once, each
with file:line, the key in words, what was read, what is needed and the nearest name.
"""

from __future__ import annotations

import difflib
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, TypeVar

from pydantic import BaseModel, BeforeValidator, ConfigDict, ValidationError

from linewright.base import places, units
from linewright.base.errors import InputError, LinewrightError, Problem


class Strict(BaseModel):
    """A form that refuses what it does not know."""

    model_config = ConfigDict(extra="forbid", str_strip_whitespace=True, frozen=True, arbitrary_types_allowed=True)


@dataclass(frozen=True)
class Typed:
    """A quantity as typed: SI value, the band if one was given, and the text itself."""

    value: float
    low: float | None
    high: float | None
    text: str


def _typed(kind: str) -> BeforeValidator:
    def read(raw: Any) -> Typed:
        if isinstance(raw, Typed):
            return raw
        parts = raw if isinstance(raw, dict) else {"value": raw}
        unknown = set(parts) - {"value", "low", "high"}
        if unknown or "value" not in parts:
            raise units.UnitError(str(raw), "a quantity, or value, low and high", "")
        read_one = {name: _parse(text, kind) for name, text in parts.items()}
        low, value, high = read_one.get("low"), read_one["value"], read_one.get("high")
        if (low is not None and low > value) or (high is not None and high < value):
            raise units.UnitError(str(raw), "low, value and high in this order", "")
        return Typed(value, low, high, str(parts["value"]))

    return BeforeValidator(read)


def _parse(raw: Any, kind: str) -> float:
    if isinstance(raw, bool) or not isinstance(raw, str | int | float):
        raise units.UnitError(str(raw), f'a text with its unit, e.g. "{units.KINDS[kind].example}"', "")
    if not isinstance(raw, str):
        example = units.KINDS[kind].example
        if "" not in units.KINDS[kind].spellings:
            known = ", ".join(name for name in units.KINDS[kind].spellings if name)
            raise units.UnitError(
                str(raw),
                f'a text with its unit, e.g. "{example}"',
                f'write "{raw} <unit>" with one of {known}',
            )
        raw = str(raw)
    return units.parse(raw, kind)


def _load(raw: Any) -> units.Load:
    if isinstance(raw, units.Load):
        return raw
    if not isinstance(raw, str):
        raise units.UnitError(
            str(raw),
            'a text with its unit, e.g. "25 %LDBF" or "310 kN"',
            f'write "{raw} kN" or "{raw} %LDBF"',
        )
    return units.parse_load(raw)


Length = Annotated[Typed, _typed("length")]
Force = Annotated[Typed, _typed("force")]
Duration = Annotated[Typed, _typed("duration")]
Fraction = Annotated[Typed, _typed("fraction")]
Angle = Annotated[Typed, _typed("angle")]
Temperature = Annotated[Typed, _typed("temperature")]
Number = Annotated[Typed, _typed("number")]
MassPerLength = Annotated[Typed, _typed("mass_per_length")]
Tension = Annotated[units.Load, BeforeValidator(_load)]

Form = TypeVar("Form", bound=BaseModel)


def read_toml(path: Path, what: str) -> tuple[str, dict[str, Any]]:
    """Text and tables of a TOML file, or an InputError that names the line."""
    try:
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        raise InputError(f"There is no {what} at {path}.", [Problem(str(path), "", f"a {what} file")]) from None
    except UnicodeDecodeError as error:
        raise InputError(
            f"{path} is not UTF-8 text.", [Problem(str(path), str(error), "a text file in UTF-8")]
        ) from None
    except OSError as error:
        raise InputError(
            f"{path} cannot be read: {error.strerror}.", [Problem(str(path), "", f"a {what} file")]
        ) from None
    try:
        return text, tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError(f"{path} is not valid TOML.", [_syntax_problem(path, text, str(error))]) from None


def _syntax_problem(path: Path, text: str, message: str) -> Problem:
    line = next(
        (
            int(word.strip("),"))
            for word, before in zip(message.split()[1:], message.split(), strict=False)
            if before == "line"
        ),
        0,
    )
    rows = text.splitlines()
    read = rows[line - 1].strip() if 0 < line <= len(rows) else message
    return Problem(f"{path.name}:{line}", read[:120], "TOML: key = value, texts in double quotes", message)


def fill(
    form: type[Form], raw: dict[str, Any], text: str, name: str, error: type[LinewrightError] = InputError
) -> Form:
    """The filled form, or one error with every problem, each with its line."""
    try:
        return form.model_validate(raw)
    except ValidationError as failure:
        found = places.lines_of(text)
        problems = [_problem(item, form, raw, found, name) for item in failure.errors()]
        count = f"{len(problems)} problems" if len(problems) > 1 else "a problem"
        raise error(f"{name} has {count}.", problems) from None


def _problem(
    item: Any, form: type[BaseModel], raw: dict[str, Any], found: dict[places.Path, int], name: str
) -> Problem:
    path = tuple(item["loc"])
    where = f"{name}:{places.line_of(found, path)}  {places.spell(path, raw)}"
    cause = item.get("ctx", {}).get("error")
    if isinstance(cause, units.UnitError):
        return Problem(where, f'"{cause.read}"', cause.needs, cause.do)
    if item["type"] == "extra_forbidden":
        known = _fields_at(form, path[:-1])
        near = difflib.get_close_matches(str(path[-1]), known, n=1)
        hint = f"did you mean {near[0]}?" if near else f"known keys: {', '.join(known)}"
        return Problem(where, str(path[-1]), "a known key", hint)
    if item["type"] == "missing":
        return Problem(where, "nothing", f"the key {path[-1]}", "add it")
    return Problem(where, str(item.get("input"))[:120], _plain(str(item["msg"])))


def _plain(message: str) -> str:
    text = message.removeprefix("Value error, ")
    return text[0].lower() + text[1:]


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
