"""Cells of weather that are no plain figures: words of the compass, and the Beaufort scale."""

from __future__ import annotations

import re
from collections.abc import Sequence

from linewright.importers.report import Log, Question

_POINTS = ("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW")
COMPASS = {name: 22.5 * index for index, name in enumerate(_POINTS)}
_LONG = {"NORTH": "N", "EAST": "E", "SOUTH": "S", "WEST": "W", "NORD": "N", "OST": "E", "SUD": "S", "SÜD": "S",
         "NORTE": "N", "ESTE": "E", "SUR": "S", "OESTE": "W"}  # fmt: skip
STILL = ("calm", "variable", "vrb", "var", "c", "calma")
_BEAUFORT = ("beaufort", "bft", "bf")


def is_beaufort(unit: str) -> bool:
    """Whether a unit is the Beaufort scale."""
    return unit.strip().strip("[]()").lower() in _BEAUFORT


def beaufort(number: float) -> float:
    """Wind [m/s] in the middle of a number of the Beaufort scale: v = 0.836 B^1.5 (WMO, Guide No. 8, code 1100)."""
    return 0.836 * max(number, 0.0) ** 1.5


def is_compass(cells: Sequence[str]) -> bool:
    """Whether most filled cells are words of the compass."""
    told = [cell for cell in cells if cell.strip()]
    words = sum(1 for cell in told if _letters(cell, "E") in COMPASS or cell.strip().lower() in STILL)
    return 2 * words > len(told)


def degrees(cells: Sequence[str], name: str, log: Log) -> list[str]:
    """Degrees of words of the compass, as text; other cells as they stand.

    O is east in German and west in Spanish and French: the letter that stands beside it in the column tells, else it
    is asked.
    """
    letters = set("".join(cell.upper() for cell in cells if re.fullmatch(r"(?i)[NESWO]{1,3}", cell.strip())))
    east = "W" not in letters
    meant = "W" if east else "E"
    if "O" in letters and ("E" in letters) == ("W" in letters):
        text = f"Which way is O in {name}?"
        why = "O is Ost (east) in German, oeste or ouest (west) in Spanish and French"
        meant = {"east": "E", "west": "W"}.get(log.ask(Question("compass.o", text, ("east", "west"), why)) or "", "")
    elif "O" in letters:
        said = "east" if meant == "E" else "west"
        log.flag(
            "compass-o", f"{name}: O is read as {said}, since {'E' if east else 'W'} stands beside it", column=name
        )
    log.flag("compass", f"{name}: words of the compass are read as degrees, to 22.5 at best", column=name)
    found = [_letters(cell, meant) for cell in cells]
    return [f"{COMPASS[word]:g}" if word in COMPASS else cell for word, cell in zip(found, cells, strict=True)]


def _letters(cell: str, meant: str) -> str:
    """Letters of the compass of a word, such as SSW of south-south-west, with O as it is meant."""
    text = cell.strip().upper()
    for word, letter in sorted(_LONG.items(), key=lambda item: -len(item[0])):
        text = text.replace(word, letter)
    return re.sub(r"[\s./-]+", "", text).replace("O", meant)
