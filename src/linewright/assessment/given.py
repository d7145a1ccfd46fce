"""What an assessment is given, as one thing that a question may change: case, cards, and what was read from files."""

from __future__ import annotations

from dataclasses import dataclass, replace

from linewright.assessment.rope import Subject, subject, tail_subject
from linewright.assessment.whole import Gathered
from linewright.cards.model import Shelf
from linewright.case.model import Case, LineGroup


@dataclass(frozen=True)
class Given:
    """A case with its cards and what was read from the files that it names."""

    case: Case
    shelf: Shelf
    files: Gathered

    def with_case(self, case: Case) -> Given:
        """Another case with the same cards and files."""
        return replace(self, case=case)

    def main(self, line: LineGroup) -> Subject:
        """The rope on board of a line group. Raises InputError or CardError for one that cannot be."""
        return subject(self.case, self.shelf, line, line.rope, line.where)

    def tail(self, line: LineGroup) -> Subject | None:
        """The tail of a line group."""
        return tail_subject(self.case, self.shelf, line)
