"""The exceptions of linewright and the one way to show them.

    LinewrightError
      InputError      something typed or imported is wrong; lists every problem at once
      CardError       a card's data cannot be used
      ModelError      the physics gives no answer for these numbers
      StorageError    a file or folder cannot be read or kept
      Cancelled       a run was stopped before its end

Wrong input raises. Doubtful physics does not: it marks the number with a finding.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

_HIDDEN = ("Cc", "Cs", "Cn", "Co", "Zl", "Zp")
_TURNING = {*range(0x202A, 0x202F), *range(0x2066, 0x206A), 0x200E, 0x200F, 0xFEFF}


def visible(text: str) -> str:
    """The text on one line, with what a terminal would obey or hide written as an escape."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        char.encode("unicode_escape").decode()
        if unicodedata.category(char) in _HIDDEN or ord(char) in _TURNING
        else char
        for char in text
    )


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong, in four lines: where, what was read, what is needed, what to do."""

    where: str
    read: str
    needs: str
    do: str = ""

    def lines(self) -> list[str]:
        """The problem as text lines, the empty ones left out."""
        rows = [visible(self.where)]
        for name, text in (("read", self.read), ("needs", self.needs), ("do", self.do)):
            if text:
                rows.append(f"  {name:<8} {visible(text)}")
        return rows


class LinewrightError(Exception):
    """Whatever linewright refuses to go on with, as one or more problems."""

    exit_code = 1

    def __init__(self, message: str, problems: Sequence[Problem] = ()) -> None:
        super().__init__(message)
        self.message = message
        self.problems = tuple(problems)

    def render(self) -> str:
        """The whole error as text: what happened, then every problem, counted."""
        rows = [visible(self.message)]
        for number, problem in enumerate(self.problems, start=1):
            lines = problem.lines()
            if len(self.problems) > 1:
                lines[-1] = f"{lines[-1]:<70} {number} of {len(self.problems)} problems, all listed"
            rows += ["", *lines]
        return "\n".join(rows)

    def __str__(self) -> str:
        return self.render()


class InputError(LinewrightError):
    """What was typed or imported is wrong."""

    exit_code = 2


class CardError(LinewrightError):
    """A card misses a source, a basis, a key, or leaves its plausible range."""

    exit_code = 3


class ModelError(LinewrightError):
    """The physics gives no answer for these numbers."""

    exit_code = 4


class StorageError(LinewrightError):
    """A file or folder cannot be read, or a result cannot be kept."""

    exit_code = 5


class Cancelled(LinewrightError):
    """A run was stopped before its end; what is finished of it is kept."""

    exit_code = 130
