"""The command `import`: a file of the user's, its report and a preview, its questions asked or left open."""

from __future__ import annotations

import json
import shlex
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from linewright.cli_progress import ProgressLine

if TYPE_CHECKING:
    from linewright.importers.report import Imported, Question

Places = tuple[Path | None, Path | None, str]  # the study, the table of hooks, the name of a card
OPEN_QUESTION = 7  # exit code of an import that waits for an answer


@dataclass(frozen=True)
class Import:
    """Read a file: what was kept, dropped, replaced and doubted. Exit code 7 while a question is open."""

    file: Annotated[Path, typer.Argument(help="file to read: a log, a table, weather, waves, records", metavar="FILE")]
    as_kind: Annotated[
        str | None,
        typer.Option(
            "--as", help="tension, thermocouple, tensile, weather, waves, records or load-table; else by content"
        ),
    ] = None
    answer: Annotated[
        list[str] | None, typer.Option("--answer", help="KEY=VALUE, the answer to a question; as often as needed")
    ] = None
    answers: Annotated[Path | None, typer.Option("--answers", help="TOML file with answers, by key")] = None
    hooks: Annotated[
        Path | None, typer.Option("--hooks", help="table of hook, line, from, to: which line hung on which hook")
    ] = None
    into: Annotated[
        Path | None, typer.Option("--into", help="study that keeps the file, its answers and its report")
    ] = None
    card: Annotated[
        str, typer.Option("--card", help="of a monthly climate table: name of the climate card to write into the study")
    ] = ""
    as_json: Annotated[bool, typer.Option("--json", help="print the report as JSON")] = False

    def __post_init__(self) -> None:
        from linewright.services import bring, bring_text

        given = bring.answers_of(self.answers, self.answer or [])
        _check_card(self.card, self.into)
        found = (_read if self.as_json else _answered)(
            self.file, given, self.as_kind, (self.into, self.hooks, self.card)
        )
        if self.as_json:
            typer.echo(json.dumps(found.report.as_dict(), indent=1, ensure_ascii=False))
        else:
            typer.echo("\n".join(bring_text.report_lines(found)))
        if found.report.is_open:
            raise typer.Exit(OPEN_QUESTION)
        if self.into is not None:
            kept = bring.keep(self.into, self.file, found, self.hooks)
            typer.echo("\n".join(bring_text.kept_lines(kept, found, shlex.quote(str(self.into)))), err=self.as_json)
            if self.card:
                from linewright.services import table_card

                typer.echo("\n".join(table_card.write(self.into, self.card, self.file, found)), err=self.as_json)


def _check_card(card: str, into: Path | None) -> None:
    """Refuse a card without a study, or with a name that cannot be. Raises InputError."""
    if not card:
        return
    from linewright.base.errors import InputError, Problem
    from linewright.services import table_card

    if into is None:
        raise InputError("A card needs a study.", [Problem("--card", card, "--into STUDY beside it")])
    table_card.check_name(into, card)


def _read(file: Path, answers: dict[str, str], as_kind: str | None, places: Places) -> Imported:
    """An import that shows its progress when it takes longer than a second."""
    from linewright.services import bring, table_card
    from linewright.services.blocks import Progress

    line = ProgressLine("row")
    into, hooks, card = places
    given, of_card = table_card.parted(answers) if card else (answers, {})
    try:
        found = bring.read(
            file, given, as_kind, into, lambda done, total: line.show(Progress(done, total, None)), hooks
        )
        return table_card.asked(found, of_card) if card else found
    finally:
        line.close()


def _asked(found: Imported) -> dict[str, str]:
    """The user's answers to every open question."""
    return {question.key: _prompted(question) for question in found.report.questions}


def _prompted(question: Question) -> str:
    typer.echo(f"{question.text}\n  because: {question.because}" if question.because else question.text)
    choices = f" ({' / '.join(question.choices)})" if question.choices else ""
    return str(typer.prompt(f"  {question.key}{choices}"))


def states_command(
    table: Annotated[
        Path,
        typer.Argument(
            help="load table of a moored-ship study, scatter table of waves, or port calls", metavar="TABLE"
        ),
    ],
    study: Annotated[Path, typer.Argument(help="study folder (or its case.toml)", metavar="STUDY")],
    berth: Annotated[str, typer.Option("--berth", help="berth of the case whose states are replaced")],
    line: Annotated[
        list[str] | None,
        typer.Option("--line", help="NAME IN THE TABLE=line group of the case, or =none; as often as needed"),
    ] = None,
    answer: Annotated[list[str] | None, typer.Option("--answer", help="KEY=VALUE, the answer to a question")] = None,
    answers: Annotated[Path | None, typer.Option("--answers", help="TOML file with answers, by key")] = None,
) -> None:
    """Put a load table or a scatter table into a berth as its states, or port calls as its calls and hours.

    Exit code 7 while a question is open.
    """
    from linewright.services import bring, bring_text, put_states
    from linewright.services.program import command

    given = bring.answers_of(answers, answer or [])
    hours = put_states.check_berth(study, berth)
    found = _read(table, given, None, (None, None, ""))
    told = put_states.answers_of_case(found.report.questions, hours)
    found = _answered(table, {**given, **told}, None, (None, None, "")) if found.report.is_open else found
    if found.report.is_open:
        typer.echo("\n".join(bring_text.report_lines(found)))
        raise typer.Exit(OPEN_QUESTION)
    said = put_states.put_states(study, berth, found, bring.answers_of(None, line or []))
    said += [f"hours a year: those of the case, {hours:.6g} h" for _ in told]
    typer.echo("\n".join([*bring_text.doubt_lines(found), *said]))
    typer.echo(f"Next: {command('check', study)}")


def _answered(file: Path, given: dict[str, str], as_kind: str | None, places: Places) -> Imported:
    """An import whose questions are asked where a person sits at the terminal."""
    found = _read(file, given, as_kind, places)
    while found.report.is_open and sys.stdin.isatty() and sys.stdout.isatty():
        given = {**given, **_asked(found)}
        found = _read(file, given, as_kind, places)
    return found


def count_command(
    file: Annotated[Path, typer.Argument(help="tension log: a file, or one that a study keeps", metavar="FILE")],
    channel: Annotated[str, typer.Option("--channel", help="hook or line, where the log has several")] = "",
    answer: Annotated[list[str] | None, typer.Option("--answer", help="KEY=VALUE, the answer to a question")] = None,
    rule: Annotated[
        list[str] | None,
        typer.Option("--rule", help='residue=half|repeat|drop, filter="2 kN", slope=9, above="300 kN", slack="25 kN"'),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="print tables as JSON")] = False,
) -> None:
    """Count the cycles of a log: ranges, means, periods, hours above levels, slack troughs, equivalent amplitude."""
    from linewright.services import bring, history

    options = history.options_of(rule or [])
    found, base = history.history_of(file, channel, bring.answers_of(None, answer or []), options)
    name = f"{file.name}, {channel}" if channel else file.name
    if as_json:
        typer.echo(json.dumps(history.history_row(found, options, name, base), indent=1, ensure_ascii=False))
    else:
        typer.echo("\n".join(history.history_lines(found, options, name, base)))
