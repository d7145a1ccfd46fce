"""Commands on one rope in depth: what makes its life uncertain, and where along it it wears."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer


def spread_command(
    study: Annotated[Path, typer.Argument(help="study folder (or its case.toml)", metavar="STUDY")],
    samples: Annotated[
        int | None, typer.Option("--samples", help="256 to 8192, a power of 2; by default the case's")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="print the numbers instead of the text")] = False,
) -> None:
    """Say what makes the life band wide, which test would narrow it most, and what a choice of law is worth."""
    from linewright.services.spread import spread_lines, spread_of

    row = spread_of(study, samples, tell=lambda stage: typer.echo(f"  {stage} ...", err=True))
    typer.echo(json.dumps(row, indent=1, ensure_ascii=False) if as_json else "\n".join(spread_lines(row)))


def along_command(
    study: Annotated[Path, typer.Argument(help="study folder (or its case.toml)", metavar="STUDY")],
    line: Annotated[str, typer.Option("--line", help="one line group by its name; by default all")] = "",
    crop: Annotated[str, typer.Option("--crop", help='also cut a piece off at the shore end, e.g. "3 m"')] = "",
    as_json: Annotated[bool, typer.Option("--json", help="print the numbers instead of the text")] = False,
) -> None:
    """Say where along the rope it wears, and when to turn it end for end or to cut a piece off."""
    from linewright.services.along import along_lines, along_of

    row = along_of(study, line, crop)
    typer.echo(json.dumps(row, indent=1, ensure_ascii=False) if as_json else "\n".join(along_lines(row)))
