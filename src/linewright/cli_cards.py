"""The commands on cards: list, show, check, diff, new."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer

cards = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Cards of ropes, fibres, contacts, practices and climates: what they say, and cards of your own.",
)
OfStudy = Annotated[Path | None, typer.Argument(help="study with cards of its own", metavar="[STUDY]")]
CardName = Annotated[str, typer.Argument(help="name of a card", metavar="NAME")]


@cards.command("list")
def list_cards(study: OfStudy = None) -> None:
    """List all cards: kind, name, shipped or own, weakest basis, title."""
    from linewright.services.cards import list_lines, shelf_of

    _print(list_lines(shelf_of(study)))


@cards.command()
def show(name: CardName, study: OfStudy = None) -> None:
    """Show what a card says: every datum with band, basis, the card it comes from, source and place."""
    from linewright.services.cards import shelf_of, show_lines

    _print(show_lines(shelf_of(study), name))


@cards.command("check")
def check_cards(
    path: Annotated[Path, typer.Argument(help="a card's TOML file, or a study", metavar="FILE|STUDY")],
) -> None:
    """Say everything that is wrong with a card, or with all own cards of a study, by file and line."""
    from linewright.services.cards import check_lines

    _print(check_lines(path))


@cards.command()
def diff(
    one: Annotated[str, typer.Argument(help="name of a card", metavar="NAME")],
    other: Annotated[str, typer.Argument(help="name of another card of its kind", metavar="OTHER")],
    study: OfStudy = None,
) -> None:
    """Put two cards side by side: only the data that differ, with both values and bases."""
    from linewright.services.cards import diff_lines, shelf_of

    _print(diff_lines(shelf_of(study), one, other))


@cards.command("new")
@dataclass(frozen=True)
class New:
    """Copy a card into a study: with the values of a certificate, their file and page, or as a climate of its own."""

    name: Annotated[str, typer.Argument(help="name of the new card: small letters, digits, hyphens", metavar="NAME")]
    base: Annotated[str, typer.Option("--from", help="card to copy", metavar="CARD")]
    study: Annotated[Path, typer.Option("--study", help="study to put it into", metavar="STUDY")]
    value: Annotated[
        list[str] | None,
        typer.Option(
            "--value",
            help="a value of the certificate, each once: ldbf or mbl, diameter, mass, tcll, angled-endurance or a key "
            'of the card, e.g. --value "ldbf=1380 kN"; words after a semicolon say how it was tested. tcll and '
            "angled-endurance are kept and shown; no mechanism uses them yet",
            metavar="KEY=VALUE",
        ),
    ] = None
    source: Annotated[str, typer.Option("--source", help="file name of the certificate", metavar="FILE")] = ""
    page: Annotated[str, typer.Option("--page", help="page that the values stand on", metavar="PAGE")] = ""
    confidential: Annotated[
        bool, typer.Option("--confidential", help="use and show these values, but never hand them out")
    ] = False
    shift: Annotated[
        str, typer.Option("--shift", help='of a climate card: its air warmer by this, e.g. "5 K"', metavar="KELVIN")
    ] = ""

    def __post_init__(self) -> None:
        from linewright.services.own_card import Certificate, new_card

        certificate = Certificate(self.value or (), self.source, self.page, self.confidential)
        _print(new_card(self.study, self.name, self.base, certificate, self.shift))


def _print(lines: list[str]) -> None:
    typer.echo("\n".join(lines))
