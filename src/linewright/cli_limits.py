"""Commands that say what a line may do: the operating window of a state, and the size that a ship needs."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Annotated, Any, Literal

import typer

StudyFolder = Annotated[Path, typer.Argument(help="study folder (or its case.toml)", metavar="STUDY")]
Line = Annotated[str, typer.Option("--line", help="line group, or part of its name")]
AsJson = Annotated[bool, typer.Option("--json", help="print the numbers instead of the text")]


@dataclass(frozen=True)
class WindowCommand:
    """Show a state's operating window: core, margin and hours left over air and swell, mean tension, wind or hours."""

    study: StudyFolder
    line: Line = ""
    state: Annotated[str, typer.Option("--state", help="state, 'berth, state' or part of it; else the hottest")] = ""
    rope: Annotated[str, typer.Option("--rope", help='another rope in the same motion: CARD, or "CARD, 44 mm"')] = ""
    across: Annotated[
        Literal["swell", "tension", "wind", "hours"],
        typer.Option("--across", help="what stands against air temperature"),
    ] = "swell"
    size: Annotated[int, typer.Option("--size", help="points each way, 4 to 60")] = 20
    pictures: Annotated[Path | None, typer.Option("--pictures", help="folder for the window as pictures")] = None
    card: Annotated[Path | None, typer.Option("--card", help="one-page card for the crew: .pdf, .png or .svg")] = None
    as_json: AsJson = False

    def __post_init__(self) -> None:
        from linewright.services.window import Asked, check_card, window_of
        from linewright.services.window_text import window_lines

        if self.card is not None:
            check_card(self.card)
        row = window_of(self.study, Asked(self.line, self.state, self.rope, self.across, self.size))
        typer.echo(json.dumps(row, indent=1, ensure_ascii=False) if self.as_json else "\n".join(window_lines(row)))
        for path in self._drawn(row):
            typer.echo(f"Wrote {path}", err=True)

    def _drawn(self, row: dict[str, Any]) -> list[Path]:
        """Pictures and card that are asked for; what draws is loaded only then."""
        if self.pictures is None and self.card is None:
            return []
        from linewright.services.figures_window import write_card, write_window

        pictures = [] if self.pictures is None else write_window(row, self.pictures)
        return pictures if self.card is None else [*pictures, write_card(row, self.card, date.today().isoformat())]


def size_command(
    study: StudyFolder,
    ropes: Annotated[
        list[str] | None, typer.Option("--rope", help="a rope card; as often as needed, else every card")
    ] = None,
    line: Line = "",
    target: Annotated[float | None, typer.Option("--target", help="years that the life must reach, at most 30")] = None,
    by: Annotated[Literal["p10", "p50"], typer.Option("--by", help="draws that reach it: 90 or 50 of 100")] = "p10",
    step: Annotated[float, typer.Option("--step", help="steps of the diameter, mm")] = 2.0,
    as_json: AsJson = False,
) -> None:
    """Find the smallest rope that meets strength, bend, tension, core, margin and life; say why others do not."""
    from linewright.services.size import Wanted, size_of
    from linewright.services.size_text import size_lines

    row = size_of(study, Wanted(tuple(ropes or ()), line, target, by, step))
    typer.echo(json.dumps(row, indent=1, ensure_ascii=False) if as_json else "\n".join(size_lines(row)))
