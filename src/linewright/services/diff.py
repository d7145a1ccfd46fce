"""Two kept results of a study side by side: which inputs changed, and what became of lives, cores and margins."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from linewright.base.errors import InputError, Problem
from linewright.services.answer import fit_title, folded, heat_and_margin
from linewright.services.kept import kept_folders, read_result
from linewright.services.program import command
from linewright.services.study import open_study
from linewright.services.why_text import datum_text
from linewright.services.words import years

Row = dict[str, Any]
NAME = 46
INDENT = 4


def diff_lines(root: Path, older: str = "", newer: str = "") -> list[str]:
    """What differs between two kept results, by default the last two. Raises InputError, StorageError."""
    folders = chosen(root, older, newer)
    one, two = (read_result(folder / "result.json") for folder in folders)
    inputs = [*changes(one, two)]
    if not inputs:
        same = one["stamp"]["case"] == two["stamp"]["case"]
        inputs = ["nothing" if same else "the case's text, no value in it"]
    head = f"{folders[0].name} -> {folders[1].name}"
    return [head, "", "Changed inputs:", *folded([f"  {line}" for line in inputs], INDENT), "", *outcomes(one, two)]


def chosen(root: Path, older: str, newer: str) -> tuple[Path, Path]:
    """The folders of the two results. Raises InputError where there are fewer than two, or a name picks not one."""
    found = kept_folders(open_study(root))
    if len(found) < 2:
        problem = Problem(str(root), f"{len(found)} kept", "two kept results", f"{command('run', root)} adds one")
        raise InputError("There are no two results to compare.", [problem])
    if bool(older) != bool(newer):
        raise InputError("One result was named.", [Problem("OLDER NEWER", older or newer, "two results, or none")])
    return (_picked(found, older), _picked(found, newer)) if older else (found[-2], found[-1])


def _picked(found: list[Path], name: str) -> Path:
    """The one folder whose name holds a text."""
    picked = [folder for folder in found if Path(name).name in folder.name]
    if len(picked) != 1:
        last = ", ".join(folder.name for folder in found[-4:])
        problem = Problem("OLDER NEWER", name, "a name, or a part of it, of one kept result", f"the last ones: {last}")
        raise InputError("No single kept result has that name.", [problem])
    return picked[0]


def changes(one: Row, two: Row) -> Iterator[str]:
    """Every input that changed: data of the case and of cards, words of the case, cards and files by digest."""
    yield from _differing("", words(one), words(two))
    yield from _differing("", data(one, two), data(two, one))
    yield from _differing("card ", one["stamp"]["cards"], two["stamp"]["cards"], is_digest=True)
    yield from _differing("file ", one["stamp"].get("files", {}), two["stamp"].get("files", {}), is_digest=True)
    yield from _differing("", _version(one), _version(two))


def _version(result: Row) -> dict[str, str]:
    return {"linewright": result["stamp"]["linewright"]}


def words(result: Row) -> dict[str, str]:
    """What a case says beside its data: samples, criteria, lines, climates, months, origins of tensions."""
    duty = result.get("duty", {"berths": [], "states": []})
    rows = {"samples": result["samples"], "seed": result["stamp"]["seed"]}
    rows |= {f"criteria, {key}": value for key, value in result["criteria"].items()}
    rows |= {f"{line['name']}: rope": result["ropes"][0]["card"] for line in result["ropes"][0]["lines"]}
    for berth in duty["berths"]:
        rows |= {f"{berth['name']}: {key}": berth[key] for key in ("climate", "months")}
    rows |= {f"{row['berth']}, {row['name']}: {row['line']}: tension": row["from"] for row in duty["states"]}
    return {key: f"{value:.4g}" if isinstance(value, float) else str(value) for key, value in rows.items()}


def data(result: Row, other: Row) -> dict[str, str]:
    """Data that a result used, with value and band as text; those of cards only where both used them."""
    both = {(row["owner"], row["key"]) for row in other["used"]}
    rows = (row for row in result["used"] if row["origin"] == "case" or (row["owner"], row["key"]) in both)
    return {f"{row['owner']}: {row['key']}": datum_text(row) for row in rows}


def _differing(kind: str, one: Mapping[str, str], two: Mapping[str, str], is_digest: bool = False) -> Iterator[str]:
    for key in dict.fromkeys([*one, *two]):
        before, after = one.get(key), two.get(key)
        if before == after:
            continue
        if before is None or after is None:
            yield f"{kind}{key}: {'new' if before is None else 'gone'}"
        else:
            yield f"{kind}{key}: changed" if is_digest else f"{kind}{key}: {before} -> {after}"


def outcomes(one: Row, two: Row) -> list[str]:
    """For each rope its life, hottest core and smallest margin before and after."""
    rows = [f"{'rope':<{NAME}}{'':<8}{'years P10':>9}{'P50':>6}{'P90':>6}   core  margin"]
    before, after = (_by_name(result) for result in (one, two))
    for key in dict.fromkeys([*after, *before]):
        title = fit_title(key[0])
        rows.append(f"{title:<{NAME}}{'before':<8}{_told(before.get(key), one)}")
        rows.append(f"{key[1]:<{NAME}}{'after':<8}{_told(after.get(key), two)}")
    return rows


def _by_name(result: Row) -> dict[tuple[str, str], Row]:
    return {(rope["name"], "" if rope["on_board"] else f"  same {rope['same']}"): rope for rope in result["ropes"]}


def _told(rope: Row | None, result: Row) -> str:
    if rope is None:
        return "not in this result"
    if rope["life"] is None:
        return str(rope["not_comparable"])
    low, middle, high = (years(rope["life"][p], result["horizon"]) for p in ("p10", "p50", "p90"))
    return f"{low:>9}{middle:>6}{high:>6}   {heat_and_margin(rope)}"
