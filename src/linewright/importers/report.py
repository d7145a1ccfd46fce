"""What an import says of itself: rows, what was dropped and replaced, flags, questions, columns, time.

A reader writes into a `Log` while it reads; what it returns is an `Imported` with the frozen `Report`.
A question that the file leaves open stops the import: nothing is guessed.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

from linewright.base.errors import InputError, Problem

Array = npt.NDArray[np.float64]
Severity = Literal["note", "caution", "refused"]
Row = dict[str, Any]

MOST_LISTED = 1000  # entries of a list in the report; the counts are always whole
LONGEST_CELL = 80


@dataclass(frozen=True)
class Dropped:
    """A row that is left out: its number in the file, what it reads, why."""

    row: int
    read: str
    why: str


@dataclass(frozen=True)
class Replaced:
    """A cell that is not used as written: row, column, what it reads, what stands for it, why."""

    row: int
    column: str
    read: str
    by: str
    why: str


@dataclass(frozen=True)
class Flag:
    """A doubt or an assumption: stable code, the sentence, column and rows it is about.

    A `refused` flag says what the values must not be used for.
    """

    code: str
    text: str
    severity: Severity = "note"
    column: str = ""
    rows: tuple[int, ...] = ()


@dataclass(frozen=True)
class Question:
    """What the file does not say: key of the answer, the question, allowed answers (none: free), why it is asked."""

    key: str
    text: str
    choices: tuple[str, ...] = ()
    because: str = ""


@dataclass(frozen=True)
class Column:
    """One column: name, quantity, unit of the figures, unit read and its evidence, counts and statistics."""

    name: str
    quantity: str
    unit: str
    read_unit: str = ""
    because: str = ""
    values: int = 0
    missing: int = 0
    low: float | None = None
    high: float | None = None
    mean: float | None = None
    heading: str = ""


@dataclass(frozen=True)
class Span:
    """Time of the rows: zone and its evidence, first and last (ISO; Z only when the zone is known), usual step [s]."""

    zone: str | None = None
    because: str = ""
    first: str | None = None
    last: str | None = None
    step: float | None = None
    segments: int = 1


@dataclass(frozen=True)
class Report:
    """The whole import report."""

    kind: str
    form: str
    file: str
    digest: str
    encoding: str
    rows_read: int
    rows_kept: int
    dropped: tuple[Dropped, ...]
    dropped_count: int
    replaced: tuple[Replaced, ...]
    replaced_count: int
    flags: tuple[Flag, ...]
    questions: tuple[Question, ...]
    answers: Mapping[str, str]
    columns: tuple[Column, ...]
    time: Span | None
    notes: Mapping[str, Any]

    @property
    def is_open(self) -> bool:
        """Whether a question waits for its answer."""
        return bool(self.questions)

    def as_dict(self) -> Row:
        """Plain tables and lists, as `--json` prints them."""
        return {
            "kind": self.kind,
            "form": self.form,
            "file": self.file,
            "digest": self.digest,
            "encoding": self.encoding,
            "rows_read": self.rows_read,
            "rows_kept": self.rows_kept,
            "dropped": [vars(item) for item in self.dropped],
            "dropped_count": self.dropped_count,
            "replaced": [vars(item) for item in self.replaced],
            "replaced_count": self.replaced_count,
            "flags": [{**vars(item), "rows": list(item.rows)} for item in self.flags],
            "questions": [{**vars(item), "choices": list(item.choices)} for item in self.questions],
            "answers": dict(self.answers),
            "columns": [_column_row(item) for item in self.columns],
            "time": None if self.time is None else vars(self.time),
            "notes": plain(self.notes),
        }


def _column_row(column: Column) -> Row:
    row = dict(vars(column))
    return {**row, "min": row.pop("low"), "max": row.pop("high")}


@dataclass(frozen=True)
class Imported:
    """What a reader returns: the report, the time [s], and the values in SI (missing = NaN), shape (n,) each.

    time counts UTC seconds from 1970 where the zone is known, else seconds of the file's own clock; texts holds columns
    that are text always; content is what the kind itself is made of (states of a load table, a scatter table ...); rows
    are the lines of the file, shape (n,), where a reader keeps them.
    """

    report: Report
    time: Array | None
    values: Mapping[str, Array]
    texts: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    content: Any = None
    rows: npt.NDArray[np.int64] | None = None


class Log:
    """Collects the report while a reader reads; `answers` are what the user has said."""

    def __init__(self, answers: Mapping[str, str] | None = None) -> None:
        self.answers = dict(answers or {})
        self.used: dict[str, str] = {}
        self.dropped: list[Dropped] = []
        self.replaced: list[Replaced] = []
        self.counts = {"dropped": 0, "replaced": 0}
        self.flags: list[Flag] = []
        self.questions: list[Question] = []
        self.columns: list[Column] = []
        self.notes: Row = {}
        self.span: Span | None = None

    def drop(self, row: int, read: str, why: str) -> None:
        """Note a row that is left out."""
        self.counts["dropped"] += 1
        if len(self.dropped) < MOST_LISTED:
            self.dropped.append(Dropped(row, read[:LONGEST_CELL], why))

    def replace(self, row: int, column: str, read: str, why: str, by: str = "missing") -> None:
        """Note a cell that is not used as written."""
        self.counts["replaced"] += 1
        if len(self.replaced) < MOST_LISTED:
            self.replaced.append(Replaced(row, column, read[:LONGEST_CELL], by, why))

    def flag(
        self, code: str, text: str, severity: Severity = "note", column: str = "", rows: Iterable[int] = ()
    ) -> None:
        """Note a doubt or an assumption, once per code, column and sentence."""
        found = Flag(code, text, severity, column, tuple(int(row) for row in list(rows)[:MOST_LISTED]))
        if found not in self.flags:
            self.flags.append(found)

    def unused(self, names: Sequence[str]) -> None:
        """Say which columns nobody reads."""
        if names:
            self.flag("column-unused", f"not used: {', '.join(names)}")

    def ask(self, question: Question) -> str | None:
        """The user's answer, or None, and then the question stays open. Raises InputError for an answer not allowed."""
        if question.key in self.answers:
            answer = self.answers[question.key].strip()
            if question.choices and answer not in question.choices:
                problem = Problem(question.key, answer, " or ".join(question.choices), question.text)
                raise InputError(f"The answer to {question.key} cannot be used.", [problem])
            self.used[question.key] = answer
            return answer
        if question.key not in [item.key for item in self.questions]:
            self.questions.append(question)
        return None

    def option(self, key: str, default: str, choices: Sequence[str]) -> str:
        """What the user chose where a default stands ready and no question is needed. Raises InputError."""
        if key not in self.answers:
            return default
        return self.ask(Question(key, f"{key}: one of these", tuple(choices))) or default

    def column(
        self,
        name: str,
        quantity: str,
        unit: str,
        figures: Array,
        *,
        read_unit: str = "",
        because: str = "",
        heading: str = "",
    ) -> None:
        """Describe a column by its figures in the unit shown; NaN counts as missing."""
        known = figures[np.isfinite(figures)]
        low, high, mean = (
            (_plainly(known.min()), _plainly(known.max()), _plainly(known.mean())) if known.size else (None, None, None)
        )
        told, missing = int(known.size), int(figures.size - known.size)
        self.columns.append(
            Column(name, quantity, unit, read_unit, because, told, missing, low, high, mean, heading or name)
        )

    def text_column(self, name: str, cells: Sequence[str], quantity: str = "text") -> None:
        """Describe a column that is text always."""
        filled = sum(1 for cell in cells if cell)
        self.columns.append(Column(name, quantity, "", values=filled, missing=len(cells) - filled))

    def report(self, kind: str, form: str, source: Source, rows_read: int, rows_kept: int) -> Report:
        """The frozen report. Raises InputError for answers that no question asks."""
        self._refuse_unasked()
        return Report(
            kind, form, source.name, source.digest, source.encoding, rows_read, rows_kept,
            tuple(sorted(self.dropped, key=lambda item: item.row)), self.counts["dropped"],
            tuple(sorted(self.replaced, key=lambda item: item.row)), self.counts["replaced"],
            tuple(self.flags), tuple(self.questions), dict(self.used), tuple(self.columns), self.span, dict(self.notes),
        )  # fmt: skip

    def _refuse_unasked(self) -> None:
        unasked = [key for key in self.answers if key not in self.used]
        if unasked and not self.questions:
            asked = ", ".join(self.used) or "no question"
            problems = [
                Problem(key, self.answers[key], f"the key of a question; this file asks {asked}") for key in unasked
            ]
            raise InputError("Answers that this file does not ask for.", problems)


@dataclass(frozen=True)
class Source:
    """The file read: name, SHA-256 of its bytes (first 16 digits), encoding of its text."""

    name: str
    digest: str
    encoding: str


def _plainly(figure: np.float64) -> float:
    """A statistic without the last digits that a change of unit leaves behind."""
    return float(f"{figure:.12g}")


TOLD_ELSEWHERE = ("saturated", "negative", "gap")  # an assessment has findings of its own for them


def doubts_of(flags: Iterable[Flag], channel: str) -> list[str]:
    """Cautions about a channel that an assessment would not tell otherwise."""
    told = [flag for flag in flags if flag.severity == "caution" and flag.code not in TOLD_ELSEWHERE]
    return [flag.text for flag in told if flag.column in ("", channel)]


def plain(value: Any) -> Any:
    """Tables, lists, texts and numbers that JSON holds; what is no number is None."""
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    if isinstance(value, np.generic):
        return plain(value.item())
    return None if isinstance(value, float) and not math.isfinite(value) else value
