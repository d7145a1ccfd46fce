"""The command `running`: a rope over winch and sheaves through its programme."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from linewright.cli_progress import ProgressLine


def running_command(
    study: Annotated[
        Path | None,
        typer.Argument(help="file of the study, or its folder with a running.toml or one .toml", metavar="STUDY"),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="print the stored form instead of the answer")] = False,
    into: Annotated[
        Path | None, typer.Option("--into", help="folder for result, answer and tables of core and skin")
    ] = None,
    pictures: Annotated[Path | None, typer.Option("--pictures", help="folder for pictures of the central run")] = None,
    example: Annotated[
        Path | None, typer.Option("--example", help="folder: write an invented example study there, and no more")
    ] = None,
) -> None:
    """Run a rope over winch and sheaves: bends and temperature of every metre, time to limits, cooling needed, life."""
    from linewright.services import running, running_text
    from linewright.services.blocks import Progress
    from linewright.services.program import command

    if example is not None:
        written = running.write_example(example)
        typer.echo(f"Wrote {written}\nNext: {command('running', written)}")
        return
    if study is None:
        raise typer.BadParameter("name a study, or write one with --example FOLDER", param_hint="STUDY")
    line = ProgressLine("draw")
    try:
        row = running.run_running(running.study_file(study), lambda done, total: line.show(Progress(done, total, None)))
    finally:
        line.close()
    answer = running_text.running_lines(row)
    typer.echo(running.result_text(row).rstrip() if as_json else "\n".join(answer))
    if into is not None:
        kept = running.keep(into, row, answer)
        typer.echo("Kept: " + ", ".join(str(path) for path in kept), err=as_json)
    if pictures is not None:
        from linewright.services.figures import write_figures

        for path in write_figures(row, pictures):
            typer.echo(f"Wrote {path}", err=True)
