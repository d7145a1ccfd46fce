"""The command that puts two kept results side by side."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def diff_command(
    study: Annotated[Path, typer.Argument(help="study folder (or its case.toml)", metavar="STUDY")],
    older: Annotated[str, typer.Argument(help="name of a kept result, or part of it", metavar="OLDER")] = "",
    newer: Annotated[str, typer.Argument(help="name of another one; without both, the last two", metavar="NEWER")] = "",
) -> None:
    """Compare two kept results: which inputs changed, and life, hottest core and smallest margin before and after."""
    from linewright.services.diff import diff_lines

    typer.echo("\n".join(diff_lines(study, older, newer)))
