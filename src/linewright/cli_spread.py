"""The command `spread`."""

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
