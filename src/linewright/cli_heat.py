"""The command that tells a line's temperatures in depth."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def heat_command(
    study: Annotated[Path, typer.Argument(help="study folder (or its case.toml)", metavar="STUDY")],
    state: Annotated[str, typer.Option("--state", help="state to tell whole, 'berth, state' or part of it")] = "",
    line: Annotated[str, typer.Option("--line", help="line group, or part of its name")] = "",
    rope: Annotated[str, typer.Option("--rope", help="letter of the rope in the answer")] = "A",
    pictures: Annotated[
        Path | None, typer.Option("--pictures", help="folder for pictures of the state told whole")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="print the numbers instead of the text")] = False,
) -> None:
    """Show a line's temperatures in depth: hot spot in three dimensions, drum to shore, by source, by hour."""
    import json

    from linewright.services.depth import depth_of
    from linewright.services.depth_text import depth_lines

    row = depth_of(study, rope, line, state)
    typer.echo(json.dumps(row, indent=1) if as_json else "\n".join(depth_lines(row)))
    if pictures is not None:
        from linewright.services.depth import needs_depth
        from linewright.services.figures import write_figures

        for path in write_figures(needs_depth(row), pictures):
            typer.echo(f"Wrote {path}", err=True)
