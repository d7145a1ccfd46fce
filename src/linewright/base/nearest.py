"""The name that was probably meant."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

ALIKE, FAMILY = 0.75, 0.3  # likeness of a first word; of a name within the family of that word


def nearest(name: str, names: Iterable[str]) -> str:
    """The name most like one that is not there, of its own family (the same first word) if there is one; or empty."""
    known = sorted(names)
    first = _first(name.lower())
    families = difflib.get_close_matches(first, {_first(other) for other in known}, n=1, cutoff=ALIKE)
    family = [other for other in known if _first(other) in families]
    near = difflib.get_close_matches(name.lower(), family, n=1, cutoff=FAMILY)
    return next(iter(near or difflib.get_close_matches(name.lower(), known, n=1)), "")


def _first(name: str) -> str:
    return name.partition("-")[0]
