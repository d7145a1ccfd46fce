"""Commands that put a study's choices side by side."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from linewright.cli_progress import ProgressLine

StudyFolder = Annotated[Path, typer.Argument(help="study folder (or its case.toml)", metavar="STUDY")]
AsJson = Annotated[bool, typer.Option("--json", help="print the numbers instead of the text")]
Samples = Annotated[int | None, typer.Option("--samples", help="256 to 8192, a power of 2; by default the case's")]


def compare_command(
    study: StudyFolder,
    ropes: Annotated[
        list[str] | None,
        typer.Option("--rope", help='a rope card beside those of the case, or "CARD, 44 mm"; as often as needed'),
    ] = None,
    samples: Samples = None,
    as_json: AsJson = False,
) -> None:
    """Put ropes against each other, every pair: ratio of lives, which outlives which, what they differ by."""
    from linewright.services.assess import text_of
    from linewright.services.compare import compare_of
    from linewright.services.compare_text import compare_lines

    row = compare_of(study, ropes or (), samples)
    typer.echo(text_of(row).rstrip() if as_json else "\n".join(compare_lines(row)))


def what_if_command(
    study: StudyFolder,
    samples: Annotated[
        int | None,
        typer.Option("--samples", help="256 to 8192, a power of 2; by default 256, with evidence the case's"),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Change one thing at a time (berths, climate, tails, pull, fittings, size): ratio of lives, core, margin."""
    from linewright.services.assess import text_of
    from linewright.services.blocks import Progress
    from linewright.services.what_if import what_if_of
    from linewright.services.what_if_text import what_if_lines

    line = ProgressLine("change")
    try:
        row = what_if_of(study, samples, lambda done, total: line.show(Progress(done, total, None)))
    finally:
        line.close()
    typer.echo(text_of(row).rstrip() if as_json else "\n".join(what_if_lines(row)))


def plan_command(
    study: StudyFolder,
    years: Annotated[float | None, typer.Option("--years", help="ship's life to plan for, in years")] = None,
    docking: Annotated[
        str, typer.Option("--docking", help='time between dockings, "5y" or "30 months": renewals are brought forward')
    ] = "",
    others: Annotated[
        list[str] | None, typer.Option("--with", help="KEY=VALUE, any key of [plan], e.g. price_per_kg=14")
    ] = None,
    samples: Samples = None,
    as_json: AsJson = False,
) -> None:
    """Plan the material of a ship's life: sets, tails and spares of every rope in kg, cost and CO2e by your factors."""
    from linewright.services.assess import text_of
    from linewright.services.plan import plan_of
    from linewright.services.plan_asked import options_of
    from linewright.services.plan_text import plan_lines

    row = plan_of(study, options_of(years, docking, others or []), samples)
    typer.echo(text_of(row).rstrip() if as_json else "\n".join(plan_lines(row)))
