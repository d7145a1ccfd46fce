"""Many flags of one code: a sentence each for the first of them, and one for how many more there are."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from linewright.importers.report import Log, Severity

MOST = 100  # sentences of a code


class Sentence(NamedTuple):
    """What is said of one row: the text, the rows, the column or line it is about."""

    text: str
    rows: tuple[int, ...] = ()
    column: str = ""


def flag_each(log: Log, code: str, severity: Severity, sentences: Sequence[Sentence]) -> None:
    """One flag a sentence, as far as a reader follows."""
    for item in sentences[:MOST]:
        log.flag(code, item.text, severity, item.column, item.rows)
    if len(sentences) > MOST:
        rows = [row for item in sentences[MOST:] for row in item.rows]
        log.flag(code, f"and {len(sentences) - MOST} more of this kind", severity, rows=rows)
