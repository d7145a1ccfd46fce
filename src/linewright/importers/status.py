"""Status words beside readings: what is bad is missing, what is slack is kept, what is not known is asked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from linewright.importers import cells, header
from linewright.importers.report import Array, Log, Question, Severity
from linewright.importers.spellings import folded
from linewright.importers.table import Table

_HEADING = (
    "status state quality flag flags qc valid validity health alarm zustand qualität gültigkeit statut état qualité "
    "estado calidad kvalitet tilstand"
)
_EITHER = "true false yes no y n ja nein oui non sí si"  # good or bad, by the heading: asked
HEADING, EITHER = frozenset(_HEADING.split()), frozenset(_EITHER.split())
MEANINGS = {
    word: meaning
    for meaning, words in (
        ("good", "ok okay good valid normal measured loaded online running active inservice healthy passed gut gültig "
         "inordnung bon bonne bueno buena bra"),
        ("bad", "bad fault faulty err error invalid fail failed failure nocomm nocomms commfail commloss commerror "
         "nocommunication commlost timeout offline nosignal nodata missing lost disconnected defect defective broken "
         "outofrange overrange underrange overload overflow underflow saturated opencircuit stale frozen schlecht "
         "fehler ungültig gestört defekt mauvais invalide malo inválido feil ugyldig"),
        ("slack", "unloaded slack noload unladen entlastet schlaff lose ubelastet"),
    )
    for word in words.split()
}  # fmt: skip
CHOICES = ("good", "bad", "slack")
MOST_ASKED = 5  # words of a column that are asked; one with more of them is no column of status
MOST_ROWS = 20  # rows that a flag names

Mask = npt.NDArray[np.bool_]
Lines = Sequence[int] | npt.NDArray[np.int64]


@dataclass(frozen=True)
class Status:
    """A column of status words: index and heading, the channel that it names (or none), meanings by folded word."""

    index: int
    heading: str
    channel: str
    meanings: Mapping[str, str]


def is_status(table: Table, index: int) -> bool:
    """Whether a column holds status words: by its heading, or because it holds no others."""
    told = {cell.strip() for cell in table.column(index)} - {""}
    if not told or any(cells.number(cell, mark) is not None for cell in told for mark in (".", ",")):
        return False
    if set(header.words_of(table.names[index])) & HEADING:
        return True
    return all(folded(cell) in MEANINGS for cell in told) and any(MEANINGS[folded(cell)] == "good" for cell in told)


def status_of(table: Table, index: int, log: Log) -> Status | None:
    """The words of a status column with their meanings; None where none is known, or while one is asked."""
    heading = table.names[index]
    told = [cell.strip() for cell in table.column(index)]
    spelled: dict[str, str] = {}
    for word in filter(None, told):
        spelled.setdefault(folded(word), word)
    unknown = [word for key, word in spelled.items() if key not in MEANINGS and f"status.{word}" not in log.answers]
    is_other = len(unknown) == len(spelled) and not EITHER.issuperset(spelled)
    if is_other or len(unknown) > MOST_ASKED:
        log.text_column(heading, told, "not used")
        text = f"{heading}: {', '.join(unknown[:MOST_ASKED])} {'...' if len(unknown) > MOST_ASKED else ''}".rstrip()
        log.flag("status-unknown", f"{text}: no words of a status that are known; not used", "caution", heading)
        return None
    log.text_column(heading, told, "status")
    meanings = {key: _meaning(key, word, heading, told, log) for key, word in spelled.items()}
    bare = folded(" ".join(word for word in heading.split() if not set(header.words_of(word)) & HEADING))
    return Status(index, heading, bare, meanings)


def _meaning(key: str, word: str, heading: str, told: Sequence[str], log: Log) -> str:
    """What a word means: as known or answered, else asked."""
    if key in MEANINGS:
        return log.option(f"status.{word}", MEANINGS[key], CHOICES)
    because = f"{told.count(word)} rows say so in the column {heading}"
    text = f"What does {word} say of a reading?"
    return log.ask(Question(f"status.{word}", text, CHOICES, because)) or "open"


def beside(found: Sequence[Status], index: int, names: Mapping[int, str]) -> list[Status]:
    """The status columns of one channel; `names` holds index and name of every channel.

    One that names a channel is of that, one behind each channel of that in front of it, a single one of all.
    """
    by_name = {folded(name): at for at, name in names.items()}
    alone = [item for item in found if item.channel not in by_name]
    in_pairs = len(alone) == len(names) > 1
    own = [item for item in found if by_name.get(item.channel) == index]
    own += [item for item in alone if not in_pairs or max((n for n in names if n < item.index), default=-1) == index]
    return own


@dataclass
class Marked:
    """Takes readings with their status words, block by block, and counts the words."""

    counts: dict[tuple[str, str, str, str], int] = field(default_factory=dict)
    rows: dict[tuple[str, str], list[int]] = field(default_factory=dict)

    def take(
        self, name: str, values: Array, words: Sequence[tuple[Status, Sequence[str]]], lines: Lines, log: Log
    ) -> tuple[Array, Mask]:
        """Readings without bad ones, shape (n,), and where the line is slack by its status."""
        kept, slack = values, np.zeros(values.size, dtype=bool)
        for status, told in words:
            distinct, which = np.unique(np.asarray(told, dtype=str), return_inverse=True)
            for n, word in enumerate(distinct):
                here = np.flatnonzero((which == n) & np.isfinite(values))
                meaning = status.meanings.get(folded(word), "unknown") if word.strip() else "good"
                if meaning in ("good", "open") or not here.size:
                    continue
                rows = [int(lines[int(at)]) for at in here]
                self._note(name, status.heading, meaning, str(word).strip(), rows)
                slack[here] |= meaning == "slack"
                if meaning == "bad":
                    kept = kept.copy()
                    kept[here] = np.nan
                    for row in rows:
                        log.replace(row, name, str(word).strip(), f"a bad reading by the column {status.heading}")
        return kept, slack

    def _note(self, name: str, heading: str, meaning: str, word: str, lines: list[int]) -> None:
        key = (name, heading, meaning, word)
        self.counts[key] = self.counts.get(key, 0) + len(lines)
        rows = self.rows.setdefault((name, meaning), [])
        rows += lines[: MOST_ROWS - len(rows)]

    def tell(self, log: Log) -> None:
        """One flag for each channel, column and meaning, the words counted."""
        ends = {"bad": "they count as missing", "slack": "kept as readings of a slack line",
                "unknown": "the words are not known; the readings are kept"}  # fmt: skip
        groups: dict[tuple[str, str, str], list[str]] = {}
        for (name, heading, meaning, word), count in self.counts.items():
            groups.setdefault((name, heading, meaning), []).append(f"{count} {word}")
        for (name, heading, meaning), told in groups.items():
            text = f"{name}: {', '.join(told)} by the column {heading}; {ends[meaning]}"
            severity: Severity = "note" if meaning == "slack" else "caution"
            log.flag(f"status-{meaning}", text, severity, name, sorted(self.rows[name, meaning]))
