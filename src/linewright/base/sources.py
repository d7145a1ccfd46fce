"""Where numbers come from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Basis = Literal["given", "measured", "calibrated", "standard", "literature", "derived", "estimate"]
Seen = Literal["full", "abstract", "second-hand", "memory", "own work"]

BASES: tuple[Basis, ...] = (
    "given",
    "measured",
    "calibrated",
    "standard",
    "literature",
    "derived",
    "estimate",
)


@dataclass(frozen=True)
class Source:
    """A document, a test or a person that a datum rests on, and how much of it was read."""

    key: str
    title: str
    year: int | None = None
    seen: Seen = "memory"
    note: str = ""
    sha256: str = ""

    @property
    def mark(self) -> str:
        """What every output shows beside a source that was not read in full."""
        words = {"full": "", "own work": "", "abstract": "abstract only", "second-hand": "read second-hand",
                 "memory": "from memory, not read"}  # fmt: skip
        return words[self.seen]
