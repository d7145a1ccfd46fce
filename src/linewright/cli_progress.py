"""How far a long command is: one line of the terminal, nothing where nobody looks."""

from __future__ import annotations

import sys
import time
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import rich.progress

    from linewright.services.blocks import Progress

QUIET_SECONDS = 1.0


class ProgressLine:
    """How far a run is, on one line of the terminal from its first second on; nothing where stderr is no terminal."""

    def __init__(self, what: str = "block") -> None:
        self.what = what
        self.begin = time.monotonic()
        self.last: Progress | None = None
        self.line: rich.progress.Progress | None = None

    def show(self, progress: Progress) -> None:
        """Draw the line anew."""
        self.last = progress
        if self.line is None and sys.stderr.isatty() and time.monotonic() - self.begin > QUIET_SECONDS:
            self._open(progress.total)
        if self.line is not None:
            left = "" if progress.seconds_left is None else f"about {progress.seconds_left:.0f} s left"
            self.line.update(self.line.task_ids[0], completed=progress.done, total=progress.total, left=left)

    def close(self) -> None:
        """Take the line away."""
        if self.line is not None:
            self.line.stop()

    def _open(self, total: int) -> None:
        from rich.console import Console
        from rich.progress import BarColumn, Progress, TextColumn

        text = TextColumn(f"{self.what} {{task.completed}} of {{task.total}}  {{task.fields[left]}}")
        self.line = Progress(BarColumn(), text, console=Console(stderr=True), transient=True)
        self.line.add_task(self.what, total=total, left="")
        self.line.start()
