"""The front door: commands that say what they did, and how they ended.

Exit codes: 0 done; 1 something went wrong that has no code of its own; 2 the input is wrong;
3 a card is wrong; 4 the physics gives no answer; 5 a file could not be read or kept; 6 a validation
point is off; 7 an import waits for an answer; 130 the run was stopped.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

import typer

from linewright.base.errors import LinewrightError
from linewright.cli_cards import cards
from linewright.cli_decide import compare_command, plan_command, what_if_command
from linewright.cli_diff import diff_command
from linewright.cli_heat import heat_command
from linewright.cli_import import Import, count_command, states_command
from linewright.cli_limits import WindowCommand, size_command
from linewright.cli_progress import ProgressLine
from linewright.cli_running import running_command
from linewright.cli_spread import along_command, spread_command

if TYPE_CHECKING:
    from linewright.services.new import Asked

app = typer.Typer(
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="Heat, strength and life of synthetic mooring lines: from a case file to an honest life. Exit codes: 0 done, "
    "1 other trouble, 2 wrong input, 3 wrong card, 4 no physical answer, 5 file trouble, 6 a validation point is off, "
    "7 an import waits for an answer, 130 stopped.",
)
StudyFolder = Annotated[Path, typer.Argument(help="study folder (or its case.toml)", metavar="STUDY")]
AsJson = Annotated[bool, typer.Option("--json", help="print the stored form instead of the answer")]
ForWhom = Annotated[
    Literal["own", "client"],
    typer.Option("--for", help="own: everything; client: confidential data and what would tell them withheld"),
]
app.add_typer(cards, name="cards")
app.command("import")(Import)
app.command("states")(states_command)
app.command("count")(count_command)
app.command("diff")(diff_command)
app.command("running")(running_command)
app.command("spread")(spread_command)
app.command("along")(along_command)
app.command("heat")(heat_command)
app.command("compare")(compare_command)
app.command("window")(WindowCommand)
app.command("size")(size_command)
app.command("what-if")(what_if_command)
app.command("plan")(plan_command)


@app.command()
def demo(
    into: Annotated[Path, typer.Option("--into", help="folder for the demo study")] = Path("demo-study"),
    no_serve: Annotated[
        bool, typer.Option("--no-serve", help="run in the terminal only (nothing is served yet)")
    ] = True,
    as_json: AsJson = False,
) -> None:
    """Write the demo study (an invented ship on three invented berths) and run it."""
    from linewright.services.demo import write_demo

    written = write_demo(into)
    typer.echo(f"{'Wrote' if written else 'Found'} {into / 'case.toml'}; running it.", err=True)
    _run(into, as_json, True)


@app.command()
def run(
    study: StudyFolder,
    as_json: AsJson = False,
    keep: Annotated[bool, typer.Option("--keep/--no-keep", help="add the result to the study")] = True,
    whom: ForWhom = "own",
) -> None:
    """Assess a study: loads, temperatures, strength, life, comparison; keep the result."""
    _run(study, as_json, keep, whom)


def _run(study: Path, as_json: bool, keep: bool, whom: str = "own") -> None:
    from linewright.services.answer import answer_lines
    from linewright.services.assess import text_of
    from linewright.services.withheld import for_client

    result = _assessed(study, keep)
    shown_to = for_client(result) if whom == "client" else result
    typer.echo(text_of(shown_to).rstrip() if as_json else "\n".join(answer_lines(shown_to)))


def _assessed(study: Path, keep: bool) -> dict[str, Any]:
    """The result of a run that shows its progress and can be stopped."""
    from linewright.services.jobs import Request, run_job, stopped

    request = Request(study, keep)
    shown = ProgressLine()
    try:
        return run_job(request, shown.show)
    except KeyboardInterrupt:
        raise stopped(request, shown.last) from None
    finally:
        shown.close()


@app.command()
def new(
    folder: Annotated[Path, typer.Argument(help="folder for the new study", metavar="FOLDER")],
    answers: Annotated[
        Path | None, typer.Option("--answers", help="TOML file with the answers, by key; what it lacks keeps estimates")
    ] = None,
) -> None:
    """Ask ship, rope, berths, calls, hours and swell, and write a commented case; Enter keeps a marked estimate."""
    from linewright.services import new as study
    from linewright.services.program import command

    study.refuse_taken(folder)
    if answers is not None:
        filled = study.interview(study.from_file(answers))
    elif sys.stdin.isatty():
        typer.echo("Enter keeps the estimate in brackets, ? explains. Nothing is written before the last answer.")
        filled = study.interview(_prompted, lambda error: typer.echo(error.render(), err=True))
    else:
        filled = study.interview(study.from_lines(iter(sys.stdin)))
    path = study.write_study(folder, filled)
    estimates = f"{filled.kept} estimate{'s' if filled.kept != 1 else ''} kept"
    typer.echo(f"Wrote {path}: {estimates}, marked in the file.\nNext: {command('run', folder)}")


def _prompted(asked: Asked) -> str:
    while (text := str(typer.prompt(asked.line, default="", show_default=False))).strip() == "?":
        typer.echo("\n".join(asked.help))
    return text


@app.command()
def check(study: StudyFolder) -> None:
    """Read a study's case and cards and say everything that is wrong, and whether its newest result is out of date."""
    from linewright.services.checked import check_lines

    typer.echo("\n".join(check_lines(study)))


@app.command()
def why(
    study: StudyFolder,
    key: Annotated[str, typer.Argument(help="life, core.swell, bending_reference_cycles ...", metavar="[KEY]")] = "",
    as_json: AsJson = False,
    everything: Annotated[bool, typer.Option("--all", help="every datum, not only those that count most")] = False,
) -> None:
    """Show why a number is what it is: value, band, formula, data, sources. Without KEY: what can be asked."""
    from linewright.services.kept import scene
    from linewright.services.why_text import told

    _ensure_result(study)
    here, old = scene(study)
    if old:
        typer.echo(old, err=True)
    typer.echo(told(here, key, as_json, everything))


@app.command()
def explain(study: StudyFolder) -> None:
    """Say in six short paragraphs what wears the rope on board: fatigue, bending, abrasion, creep, heat, cold."""
    from linewright.services.explain import explain_lines
    from linewright.services.kept import mark, newest_result

    _ensure_result(study)
    old = mark(study)
    typer.echo("\n".join([*([old, ""] if old else []), *explain_lines(newest_result(study))]))


@app.command()
def page(study: StudyFolder, whom: ForWhom = "client") -> None:
    """Write the newest result as one page to send: a single file, offline, without scripts."""
    from linewright.services.kept import mark, newest_folder, newest_result
    from linewright.services.page import write_page

    _ensure_result(study)
    old = mark(study)
    if old:
        typer.echo(old, err=True)
    typer.echo(f"Wrote {write_page(newest_folder(study), newest_result(study), whom, old)}")


def _ensure_result(study: Path) -> None:
    """Run a study that has no result yet, and say so."""
    from linewright.services.kept import has_result

    if not has_result(study):
        typer.echo("No result yet; running the study.", err=True)
        _assessed(study, True)


@app.command()
def show(
    study: StudyFolder,
    rope: Annotated[str, typer.Option("--rope", help="letter of the rope in the answer")] = "A",
    cautions: Annotated[bool, typer.Option("--cautions", help="refusals, cautions and notes instead")] = False,
) -> None:
    """Show every state of the newest kept result: tension, heat, margin, loss."""
    from linewright.services.kept import mark, newest_result
    from linewright.services.show import caution_lines, show_lines

    result = {**newest_result(study), "study": str(study)}
    lines = caution_lines(result) if cautions else show_lines(result, rope.upper())
    typer.echo("\n".join([*filter(None, [mark(study)]), *lines]))


@app.command()
def cautions() -> None:
    """Print what must be known before a result is used."""
    from linewright.services.words import CAUTIONS

    typer.echo("\n".join(f"- {text}" for text in CAUTIONS))


@app.command()
def validate(as_json: AsJson = False) -> None:
    """Compare our numbers with published ones, point by point."""
    from linewright.services.validation import report_text, validate_all

    points = validate_all()
    typer.echo(report_text(points, as_json))
    if any(point["verdict"] == "off" for point in points):
        raise typer.Exit(6)


def main() -> None:
    """Run the command line; errors end in the four-line form and their exit code."""
    for stream in (sys.stdin, sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure:
            reconfigure(encoding="utf-8", errors="replace")
    try:
        app()
    except LinewrightError as error:
        typer.echo(error.render(), err=True)
        raise SystemExit(error.exit_code) from None
    except KeyboardInterrupt:
        sys.stderr.write("\nStopped; what was not finished is not kept.\n")
        raise SystemExit(130) from None
    except BrokenPipeError:
        _close_quietly()
        raise SystemExit(0) from None
    except OSError as error:
        sys.stderr.write(f"The answer could not be written: {error.strerror}.\n")
        _close_quietly()
        raise SystemExit(5) from None


def _close_quietly() -> None:
    """Leave nothing for the interpreter to flush into a closed or full place."""
    import os

    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)


if __name__ == "__main__":
    main()
