"""Where a named file lies: inside a study, or inside an installed package; and the answers kept beside it."""

from __future__ import annotations

import hashlib
import importlib.util
import json
import tomllib
from collections.abc import Mapping
from pathlib import Path

from linewright.base.errors import InputError, Problem

ANSWERS, HOOKS, REPORT = ".answers.toml", ".hooks.csv", ".import.json"


def find(root: Path, name: str) -> Path:
    """A file inside the study, or `package:path` inside an installed package; never outside of either."""
    package, is_packaged, inside = name.partition(":")
    spec = importlib.util.find_spec(package) if is_packaged and package.isidentifier() else None
    base = Path(spec.origin).parent if spec is not None and spec.origin else root
    path = base / (inside if spec is not None else name)
    try:
        path.stat()
    except FileNotFoundError:
        pass
    except (OSError, ValueError) as error:
        read = (getattr(error, "strerror", None) or str(error)).lower()
        raise InputError(f"The file {name[:60]} cannot be read.", [Problem(name[:60], read, "a file's name")]) from None
    if not path.resolve().is_relative_to(base.resolve()):
        problem = Problem(name, "a path that leaves the study", "a path inside the study folder")
        raise InputError(f"{name} lies outside the study.", [problem])
    if not path.is_file():
        raise InputError(f"There is no file {name}.", [Problem(name, "nothing", "a file in the study folder")])
    return path


def answers_path(path: Path) -> Path:
    """Where the answers to a file's open questions are kept: beside it."""
    return path.with_name(path.name + ANSWERS)


def report_path(path: Path) -> Path:
    """Where the report of a file's import is kept: beside it."""
    return path.with_name(path.name + REPORT)


def is_changed(path: Path) -> bool:
    """Whether a file is no longer the one that its import's report speaks of."""
    try:
        told = json.loads(report_path(path).read_text(encoding="utf-8")).get("digest", "")
        return bool(told) and hashlib.sha256(path.read_bytes()).hexdigest()[: len(told)] != told
    except (OSError, ValueError, AttributeError, TypeError):
        return False


def hooks_path(path: Path) -> Path:
    """Where the table of a log's hooks is kept: beside it."""
    return path.with_name(path.name + HOOKS)


def answers_beside(path: Path) -> dict[str, str]:
    """The answers that are kept beside a file, or none. Raises InputError."""
    beside = answers_path(path)
    return read_answers(beside) if beside.is_file() else {}


def read_answers(path: Path) -> dict[str, str]:
    """Answers of a TOML file, by key; a dotted key may be written as a table. Raises InputError."""
    try:
        raw = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise InputError(
            f"{path} cannot be read.", [Problem(str(path), str(error)[:120], "a TOML file of answers")]
        ) from None
    found: dict[str, str] = {}
    _flatten("", raw, found, path)
    return found


def _flatten(prefix: str, table: Mapping[str, object], found: dict[str, str], path: Path) -> None:
    for key, value in table.items():
        name = f"{prefix}{key}"
        if isinstance(value, dict):
            _flatten(f"{name}.", value, found, path)
        elif isinstance(value, str | int | float) and not isinstance(value, bool):
            found[name] = str(value)
        else:
            raise InputError(
                f"{path} holds no answers.", [Problem(f"{path}  {name}", str(value)[:80], "a text or a number")]
            )
