"""The validation dossier as text: for the terminal, and as the page in the documentation.

`python -m linewright.validation.dossier docs/validation.md` writes the page.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from itertools import groupby
from pathlib import Path

from linewright.validation.runner import Row, dossier_id, run_all
from linewright.validation.written import FILE

NOISE = 1e-7  # a difference this small beside the value is rounding
ZERO = 1e-13  # beside a published zero
HEAD = """# Validation: published values against ours

Written by `python -m linewright.validation.dossier docs/validation.md`; `linewright validate` prints the same
points. Where a point holds several values, the worst is shown. Each tolerance says why it is what it is, and a test
moves our value by twice the tolerance and demands that the point turns red.

Points marked (P) do not count: facts of the trade without a source, values that a card was derived from, and
checks between models of our own. A known disagreement stays in the table with its reason.
"""


def number(value: float) -> str:
    """Five significant digits."""
    return f"{value:.5g}"


def ours(row: Row) -> str:
    """Our value; rounding noise beside a published zero is shown as zero."""
    return "0" if row.published == 0.0 and abs(row.ours) < ZERO else number(row.ours)


def difference(row: Row) -> str:
    """The difference in two digits; rounding noise is shown as zero."""
    noise = NOISE * abs(row.published) if row.published else ZERO
    return "0" if abs(row.difference) <= noise else f"{row.difference:+.2g}"


def name(row: Row) -> str:
    """The quantity with its unit, and how many values stand behind it."""
    unit = f" [{row.unit}]" if row.unit not in ("", "-") else ""
    return f"{row.quantity}{unit}" + (f", worst of {row.values}" if row.values > 1 else "")


def verdict(row: Row) -> str:
    """The verdict, with (P) where the point does not count."""
    return row.verdict + ("" if row.counted else " (P)")


def count_line(rows: Iterable[Row]) -> str:
    """How the points stand."""
    counted = [row.verdict for row in rows if row.counted]
    numbers = [counted.count(word) for word in ("agrees", "known disagreement", "off")]
    return (
        f"{numbers[0]} points within tolerance, {numbers[1]} known disagreements, {numbers[2]} off; "
        "practice points (P) not counted."
    )


def plain(rows: Sequence[Row]) -> str:
    """The table for a terminal."""
    lines = []
    for area, part in groupby(rows, key=lambda row: row.area):
        lines += [area.upper()]
        for case_id, points in groupby(part, key=lambda row: row.id):
            group = list(points)
            lines += ["", f"{case_id}  {group[0].title}  [{group[0].kind}]", f"  {group[0].source}"]
            lines += [line for row in group for line in _plain_point(row)]
        lines += [""]
    return "\n".join([*lines, f"Dossier {dossier_id(rows)}", count_line(rows)])


def _plain_point(row: Row) -> list[str]:
    figures = f"{number(row.published):>12} {ours(row):>12} {difference(row):>10}"
    line = f"    {name(row)[:52]:<52} {figures}   {verdict(row)}; allowed {row.allowed}: {row.because}"
    return [line, f"      {row.reason}"] if row.reason else [line]


def markdown(rows: Sequence[Row]) -> str:
    """The page of the documentation."""
    lines = [HEAD, f"**{count_line(rows)}**", "", f"Dossier `{dossier_id(rows)}`.", ""]
    for area, part in groupby(rows, key=lambda row: row.area):
        lines += [f"## {area.capitalize()}", ""]
        for case_id, points in groupby(part, key=lambda row: row.id):
            lines += _markdown_case(case_id, list(points))
    return "\n".join(lines)


def _markdown_case(case_id: str, rows: list[Row]) -> list[str]:
    first = rows[0]
    lines = [
        f"### {case_id}: {first.title}",
        "",
        f"{first.kind.capitalize()}. Source: {first.source} ({first.where}).",
        "",
    ]
    if first.not_counted:
        lines += [f"Not counted: {first.not_counted}.", ""]
    lines += [
        "| quantity | published | ours | difference | allowed | because | verdict |",
        "|---|--:|--:|--:|---|---|---|",
    ]
    for row in rows:
        figures = f"{number(row.published)} | {ours(row)} | {difference(row)}"
        lines.append(f"| {name(row)} | {figures} | {row.allowed} | {row.because} | {verdict(row)} |")
    reasons = [f"Known disagreement, {row.quantity}: {row.reason}." for row in rows if row.reason]
    return [*lines, "", *[line for reason in reasons for line in (reason, "")]]


def main(arguments: Sequence[str]) -> None:
    """Write the page to the path given, and its id beside this module for the stamps of results."""
    if len(arguments) != 1:
        raise SystemExit("usage: python -m linewright.validation.dossier docs/validation.md")
    rows = run_all()
    Path(arguments[0]).write_text(markdown(rows), encoding="utf-8", newline="\n")
    FILE.write_text(dossier_id(rows) + "\n", encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main(sys.argv[1:])
