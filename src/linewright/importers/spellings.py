"""Names that differ in capitals and blanks only: which of them are one."""

from __future__ import annotations

from collections.abc import Sequence


def folded(name: str) -> str:
    """A name without capitals, and without blanks, hyphens and low lines."""
    return "".join(char for char in name.casefold() if char not in " _-\u00a0")


def match(name: str, known: Sequence[str]) -> str:
    """The known name that is spelled so, else the only one that differs in capitals and blanks; itself where none."""
    if name in known:
        return name
    alike = [other for other in dict.fromkeys(known) if folded(other) == folded(name)]
    return alike[0] if len(alike) == 1 else name


def groups(names: Sequence[str]) -> list[list[str]]:
    """Names of several spellings, in their order, each with its other spellings."""
    found: dict[str, list[str]] = {}
    for name in dict.fromkeys(names):
        found.setdefault(folded(name), []).append(name)
    return [group for group in found.values() if len(group) > 1]
