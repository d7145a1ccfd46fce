"""Writes the generated reference pages from the forms that check the files.

python docs/reference/make.py           write the pages
python docs/reference/make.py --check   exit code 1 if a page is out of date
"""

from __future__ import annotations

import inspect
import re
import sys
import typing
from pathlib import Path
from types import UnionType
from typing import Any

import typer.main
from pydantic import BaseModel
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from linewright.base import errors, findings, units
from linewright.base import form as base_form
from linewright.base.sources import BASES, Source
from linewright.cards import form as card_form
from linewright.case import form as case_form
from linewright.case.bending_test import form as bending_test_form
from linewright.case.plan import form as plan_form
from linewright.case.running import form as running_form
from linewright.cli import app

HERE = Path(__file__).resolve().parent
MADE = "<!-- Written by docs/reference/make.py. Do not edit. -->\n"
CASE_TABLES = (
    ("", case_form.CaseForm), ("[ship]", case_form.ShipForm), ("[criteria]", case_form.CriteriaForm),
    ("[spread]", case_form.SpreadForm), ("[[line]]", case_form.LineForm), ("[[line.contact]]", case_form.ContactForm),
    ("line.tail = { ... }", case_form.TailForm),
    ("[[history]]", case_form.PastForm), ("[[evidence]]", case_form.EvidenceForm),
    ("[line.bending_test], [compare.bending_test]", bending_test_form.BendingTestForm),
    ("[[berth]]", case_form.BerthForm),
    ("[[berth.state]]", case_form.StateForm),
    ('[berth.state.tension."line name"]', case_form.TensionForm), ("[[compare]]", case_form.CompareForm),
    ("[plan]", plan_form.PlanForm),
)  # fmt: skip
RUNNING_TABLES = (
    ("", running_form.RunningForm), ("[rope]", running_form.RopeForm), ("[drum]", running_form.DrumForm),
    ("[weather]", running_form.WeatherForm), ("[spray]", running_form.SprayForm), ("[water]", running_form.WaterForm),
    ("[limits]", running_form.LimitsForm), ("[service]", running_form.ServiceForm),
    ("[wire_rope]", running_form.WireForm), ("[spread]", running_form.SpreadForm), ("[[path]]", running_form.PartForm),
    ("[[phase]]", running_form.PhaseForm),
)  # fmt: skip
CARD_KINDS = (
    ("Fibre card", "cards/fibres/NAME.toml", card_form.FibreForm, card_form.FibreData),
    ("Rope card", "cards/ropes/NAME.toml", card_form.RopeForm, card_form.RopeData),
    ("Contact card", "cards/contacts/NAME.toml", card_form.ContactForm, card_form.ContactData),
    ("Practice card", "cards/practices/NAME.toml", card_form.PracticeForm, card_form.PracticeData),
    ("Climate card", "cards/climates/NAME.toml", card_form.ClimateForm, None),
)


def cell(text: str) -> str:
    """Text that fits in a table cell."""
    return text.replace("|", "\\|").replace("\n", " ")


def table(head: tuple[str, ...], rows: list[tuple[str, ...]]) -> list[str]:
    """A markdown table."""
    lines = ["| " + " | ".join(head) + " |", "|" + "---|" * len(head)]
    return [*lines, *("| " + " | ".join(map(cell, row)) + " |" for row in rows), ""]


def reader(field: FieldInfo) -> dict[str, Any]:
    """What the reader of a quantity was made with: its kind and bounds; empty for plain values."""
    for part in [*field.metadata, *_flat(field.annotation)]:
        function = getattr(part, "func", None)
        if function is base_form._load:
            return {"kind": "tension"}
        if function is not None and "kind" in (made := inspect.getclosurevars(function).nonlocals):
            return dict(made)
    return {}


def _flat(annotation: Any) -> list[Any]:
    parts: list[Any] = list(getattr(annotation, "__metadata__", ()))
    for inner in typing.get_args(annotation):
        parts += _flat(inner)
    return parts


def written(field: FieldInfo) -> str:
    """How a value is written, and its bounds."""
    made = reader(field)
    if not made:
        return _plain_type(field.annotation)
    if made["kind"] == "tension":
        return 'tension: `"25 %LDBF"`, `"25 %SDMBL"` or `"310 kN"`'
    bounds = made.get("given")
    words = re.sub(r",? e\.g\. .*", "", bounds.words if bounds else "")
    text = f'{made["kind"].replace("_", " ")}: `"{units.KINDS[made["kind"]].example}"`' + (
        f"; {words}" if words else ""
    )
    return text + ("; takes a band" if bounds and bounds.band else "")


def _plain_type(annotation: Any) -> str:
    origin, inner = typing.get_origin(annotation), typing.get_args(annotation)
    if origin is typing.Literal:
        return " or ".join(f'`"{value}"`' if isinstance(value, str) else f"`{value}`" for value in inner)
    if origin in (typing.Union, UnionType):
        return _plain_type(next(part for part in inner if part is not type(None)))
    if origin is typing.Annotated:
        return _plain_type(inner[0])
    if origin is list:
        return "list of tables" if _is_form(inner[0]) else f"list of {_plain_type(inner[0])}"
    if origin in (dict, tuple):
        return "table by name" if origin is dict else "two texts"
    if _is_form(annotation):
        return "table"
    return {str: "text", int: "whole number", bool: "`true` or `false`", float: "number"}.get(annotation, "text")


def _is_form(annotation: Any) -> bool:
    return isinstance(annotation, type) and issubclass(annotation, BaseModel)


def default(field: FieldInfo) -> str:
    """What holds when a key is left out."""
    if field.is_required():
        return "needed"
    value = field.default
    if value is PydanticUndefined:
        value = field.default_factory() if field.default_factory else None  # type: ignore[call-arg]
        return f"all: {', '.join(value)}" if value else "none"
    if value is None or isinstance(value, BaseModel) or value == "":
        return "none"
    return {True: "`false`"}.get(value is False, f"`{value}`")


def field_rows(form: type[BaseModel], skip: set[str] = frozenset()) -> list[tuple[str, ...]]:  # type: ignore[assignment]
    """One row a key of a form."""
    return [
        (f"`{name}`", written(field), default(field), field.description or "")
        for name, field in form.model_fields.items()
        if name not in skip
    ]


HEAD = ("key", "written as", "left out", "meaning")


def case_page() -> str:
    """Keys of a case file."""
    lines = [MADE, "# Keys of `case.toml`", "", CASE_INTRO, ""]
    for name, form in CASE_TABLES:
        lines += [f"## {f'`{name}`' if name else 'Top of the file'}", "", *table(HEAD, field_rows(form))]
    lines += ["## Units", "", UNITS_INTRO, ""]
    rows = []
    for kind in units.KINDS.values():
        refused = "; ".join(f"`{spelling}` ({why})" for spelling, why in (kind.refused or {}).items())
        known = ", ".join(f"`{spelling}`" for spelling in kind.spellings if spelling) or "no unit"
        rows.append((kind.name.replace("_", " "), known, f'`"{kind.example}"`', refused))
    return "\n".join([*lines, *table(("kind", "units", "example", "refused"), rows)])


def running_page() -> str:
    """Keys of a running study."""
    lines = [MADE, "# Keys of a running study", "", RUNNING_INTRO, ""]
    for name, form in RUNNING_TABLES:
        lines += [f"## {f'`{name}`' if name else 'Top of the file'}", "", *table(HEAD, field_rows(form))]
    return "\n".join(lines)


RUNNING_INTRO = """The file of `linewright running`: [how to](../how-to/running-rope.md). Keys, quantities, bands and
errors work as in [a case](case.md), which lists the units."""
CASE_INTRO = """All keys are checked at once. An unknown key, a key that is missing and a value that cannot be are each
reported with file, line, what was read and what to do. Quantities are texts with their unit. A key that takes a band
is also written as `{ value = "10 m", low = "8 m", high = "14 m" }`; low and high are the 5 % and 95 % points.
Every quantity may say what it rests on, `{ value = "36 h", basis = "estimate" }`: `given`, which holds where nothing is
said, or `estimate`. An estimate counts as one wherever results show their evidence."""
UNITS_INTRO = "Spellings are exact: `kn` is a knot, `kN` a force. A percentage of strength names its base."


def card_page() -> str:
    """Keys of cards."""
    lines = [MADE, "# Keys of cards", "", CARD_INTRO, "", "## A datum", ""]
    lines += table(HEAD, field_rows(card_form.DatumForm))
    lines += [BASIS_INTRO, "", *table(("basis", "meaning"), [(f"`{name}`", BASIS[name]) for name in BASES])]
    seen = [(f"`{name}`", Source("", "", None, name).mark or "no mark") for name in typing.get_args(card_form.Seen)]
    lines += ["## `sources.toml`", "", *table(HEAD, field_rows(card_form.SourceForm))]
    lines += ["How much of a source was read, and the mark that outputs carry:", "", *table(("seen", "mark"), seen)]
    shown: set[str] = set()
    for title, path, form, data in CARD_KINDS:
        lines += [f"## {title}: `{path}`", "", *table(HEAD, field_rows(form, {"data"}))]
        if data is not None:
            lines += _data_rows(data, shown)
            shown |= set(data.model_fields)
    return "\n".join(lines)


def _data_rows(form: type[BaseModel], shown: set[str]) -> list[str]:
    more = (
        " It takes every key of a fibre card too; the rope card's own value wins." if form is card_form.RopeData else ""
    )
    rows = []
    for name in form.model_fields:
        if name in shown:
            continue
        key = card_form.key_of(form, name)
        span = f"{key.least:g} to {key.most:g} {units.KINDS[key.kind].si}".rstrip()
        over = f"; a curve over {key.over}" if key.over else ""
        rows.append((f"`{name}`", key.kind.replace("_", " "), span, key.text + over))
    return [f"Keys under `[data]`:{more}", "", *table(("key", "kind", "plausible (SI)", "meaning"), rows)]


CARD_INTRO = """A study's own cards lie in its folder under `cards/`. A card with the name of a shipped one takes its
place. A curve is a CSV beside the card: three rows that begin with `name`, `unit` (of the abscissa) and `source`, then
rows of abscissa, value, low, high. A climate's table has a row of names, a row of units and twelve months."""
BASIS_INTRO = "What a number rests on, from firm to weak. Card and case never leave it open."
BASIS = {
    "given": "typed in the case, as from a certificate or a drawing",
    "measured": "a test of this rope or fitting",
    "calibrated": "fitted to a test with the models of this package",
    "standard": "a standard's own figure",
    "literature": "a publication's figure",
    "derived": "follows by calculation from figures that are named",
    "estimate": "judgement, memory or an example; to be replaced first",
}


def findings_page() -> str:
    """Codes of findings."""
    rows = [(f"`{code}`", text) for code, text in findings.CATALOGUE.items()]
    return "\n".join([MADE, "# Findings", "", FINDINGS_INTRO, "", *table(("code", "meaning"), rows)])


FINDINGS_INTRO = """What a result says of its own doubts. Three severities: a `note` belongs in the annex, a `caution`
stands beside its number, and `refused` means that no number is given. Codes do not change their meaning."""


def commands_page() -> str:
    """Commands and exit codes."""
    lines = [MADE, "# Commands and exit codes", ""]
    for name, command in _commands("", typer.main.get_command(app)):
        lines += [f"## `linewright {name}`", "", command.help or "", ""]
        rows = [(_spelling(part), getattr(part, "help", "") or "") for part in command.params if part.name != "help"]
        lines += table(("argument", "meaning"), rows) if rows else []
    return "\n".join([*lines, "## Exit codes", "", *table(("code", "meaning"), exit_rows())])


def _commands(name: str, command: Any) -> list[tuple[str, Any]]:
    """Every command below a group, with its whole name."""
    below = getattr(command, "commands", None)
    if below is None:
        return [(name, command)]
    return [pair for word, part in below.items() for pair in _commands(f"{name} {word}".strip(), part)]


def _spelling(part: Any) -> str:
    if part.param_type_name == "argument":
        return f"`{part.make_metavar(None) if part.metavar is None else part.metavar}`"
    return ", ".join(f"`{name}`" for name in (*part.opts, *part.secondary_opts))


def exit_rows() -> list[tuple[str, ...]]:
    """Exit codes with the first line of what raises them."""
    rows = {0: "done", 6: "a validation point is off"}
    for kind in (errors.LinewrightError, *errors.LinewrightError.__subclasses__()):
        first = (kind.__doc__ or "").splitlines()[0].rstrip(".")
        rows[kind.exit_code] = first[0].lower() + first[1:]
    rows[1] = "something went wrong that has no code of its own"
    rows[2] += "; also a command or option that is not known"
    return [(str(code), rows[code]) for code in sorted(rows)]


PAGES = {
    "case.md": case_page,
    "running.md": running_page,
    "cards.md": card_page,
    "findings.md": findings_page,
    "commands.md": commands_page,
}


def pages() -> dict[str, str]:
    """The text of every generated page by file name."""
    assert set(BASES) == set(BASIS), "a basis without a meaning"
    return {name: make().rstrip() + "\n" for name, make in PAGES.items()}


def main(arguments: list[str]) -> int:
    """Write the pages, or compare with --check."""
    made = pages()
    if "--check" in arguments:
        return 1 if any((HERE / name).read_text(encoding="utf-8") != text for name, text in made.items()) else 0
    for name, text in made.items():
        (HERE / name).write_text(text, encoding="utf-8", newline="\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
