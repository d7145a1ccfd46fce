"""Where the bins of a scatter table stand on a sheet, and the words that tell heights from periods."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from linewright.importers.grid import Numbers, Row, Sheet
from linewright.importers.report import Log
from linewright.importers.wave_bins import Bin, bin_of

FEWEST = 3  # bins across; two rows of them
LABELS = 3  # columns in which the bins down may stand
TOP = 25  # rows among which the bins across are looked for
HEIGHT = re.compile(r"(?i)\bh ?_?(s|m0|1/3|sig)\b|\bhs|wave height|wellenh|hauteur|altura|golfhoogte|b(ø|o)lgeh")
PERIOD = re.compile(r"(?i)\bt ?_?(p|z|e|m|m?0?[12]|m-?1,?0?|m0,?-?[12])\b|period|période|periodo")
TOTAL = re.compile(
    r"(?i)\W*(row |column |grand |sub)?(totals?|sums?|summe|gesamt|somme|totale?s?|suma|σ|∑|all|alle|tous|%|marginal"
    r"|totaal)\W*(%|hs|tp|tz|all)?\W*"
)


class Frame(NamedTuple):
    """Bins across and down: heading row, column of the bins down, columns and rows of data with their bins, words."""

    at: int
    first: int
    across: tuple[tuple[int, Bin], ...]
    down: tuple[tuple[int, Bin], ...]
    across_words: str
    down_words: str
    title: str


def is_scatter(sheet: Sheet) -> bool:
    """Whether a sheet is a table of counts between bins of height and of period."""
    frame = frame_of(sheet, Numbers(Log()))
    if frame is None:
        return False
    words = " ".join((frame.across_words, frame.down_words, frame.title, sheet.name))
    return bool(HEIGHT.search(words) and PERIOD.search(words))


def frame_of(sheet: Sheet, numbers: Numbers) -> Frame | None:
    """Where the bins of a sheet stand; None where there are none."""
    for at, row in enumerate(sheet.rows[:TOP]):
        for first in range(LABELS):
            across = _bins_across(row, first, numbers)
            down = _bins_down(sheet, at, first, numbers) if len(across) >= FEWEST else []
            if len(down) >= 2 and any(row.cell(across[0][0]).is_filled for row in sheet.rows[at + 1 :]):
                return _framed(sheet, at, first, across, down)
    return None


def _bins_across(row: Row, first: int, numbers: Numbers) -> list[tuple[int, Bin]]:
    """The bins of a row of headings, right of the bins down, if they rise or fall."""
    told = [(n, found) for n, cell in enumerate(row.cells) if n > first and (found := bin_of(cell, numbers))]
    return told if _is_ordered([item for _, item in told]) else []


def _bins_down(sheet: Sheet, at: int, first: int, numbers: Numbers) -> list[tuple[int, Bin]]:
    """The bins of a column below the headings, up to where they end."""
    told: list[tuple[int, Bin]] = []
    for n in range(at + 1, len(sheet.rows)):
        cell = sheet.rows[n].cell(first)
        found = bin_of(cell, numbers)
        if found is None and told and not (cell.text == "" or TOTAL.fullmatch(cell.text)):
            break
        if found is not None:
            told.append((n, found))
    return told if _is_ordered([item for _, item in told]) else []


def _is_ordered(bins: Sequence[Bin]) -> bool:
    lows = [(item.low, item.high) for item in bins if item.form != "date"]
    return len(bins) >= 2 and (lows == sorted(set(lows)) or lows == sorted(set(lows), reverse=True)) and len(lows) >= 1


def _framed(
    sheet: Sheet, at: int, first: int, across: list[tuple[int, Bin]], down: list[tuple[int, Bin]]
) -> Frame:  # fmt: skip
    """The words that tell what the axes are: of the corner, above the bins, beside them, and in the title."""
    corner = sheet.rows[at].cell(first).text
    parts = re.split(r"\s*[\\|]\s*|\n|\s+(?:vs\.?|x|×|/)\s+", corner)
    down_words, across_words = (parts[0], " ".join(parts[1:])) if len(parts) > 1 else (corner, "")
    beside = [cell.text for row in sheet.rows[at : down[-1][0] + 1] for cell in row.cells[:first] if cell.is_words]
    down_words = " ".join([down_words, *dict.fromkeys(beside)])
    for row in sheet.rows[max(0, at - 2) : at]:
        label = next((cell.text for cell in row.cells[: first + 1] if cell.text), "")
        others = [
            text for text in dict.fromkeys(cell.text for cell in row.cells[first + 1 :]) if text and text != label
        ]
        is_lone = label and not others and len(label) <= 30
        if is_lone and corner and label != corner:
            across_words = f"{across_words} {label}"
        elif label not in (corner, "") and (others or is_lone):
            down_words = f"{down_words} {label}"
        across_words = " ".join([across_words, *others])
    title = " ".join(dict.fromkeys(cell.text for row in sheet.rows[:at] for cell in row.cells if cell.text))
    return Frame(at, first, tuple(across), tuple(down), across_words.strip(), down_words.strip(), title)
