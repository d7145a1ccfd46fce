"""States of a load or scatter table, or port calls, put into a berth of a case, its other text untouched."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import tomlkit

from linewright.base.errors import InputError, Problem
from linewright.case.form import case_of
from linewright.importers.load_shares import SHARES_ONLY
from linewright.importers.load_states import LoadState, states_toml
from linewright.importers.report import Imported, Question
from linewright.importers.scatter import Scatter
from linewright.services import put_calls
from linewright.services.sea_states import sea_states
from linewright.services.store import write_whole
from linewright.services.study import open_study

if TYPE_CHECKING:
    from linewright.case.model import Case

HISTORY = ".history"
MOST_NAMED = 4
NONE = "none"  # the group of a line that is left out


def check_berth(study: Path, berth: str) -> float:
    """Read a study and look for a berth of its case; the hours a year that it has. Raises InputError."""
    opened = open_study(study)
    case, _ = opened.read()
    _berth(tomlkit.parse((opened.root / "case.toml").read_text(encoding="utf-8")), berth)
    return next(item.hours_per_year for item in case.berths if item.name == berth)


def answers_of_case(questions: Sequence[Question], hours: float) -> dict[str, str]:
    """Answers that the case knows: the hours a year alongside [h], where a table states shares only."""
    asked = [item for item in questions if item.key == "hours" and item.because == SHARES_ONLY]
    return {"hours": f"{hours:.6g}"} if asked and hours > 0.0 else {}


def put_states(study: Path, berth: str, found: Imported, lines: Mapping[str, str]) -> list[str]:
    """Replace the states of a berth by those of a load table or a scatter table, or set its calls; what was done.

    The case as it was is kept in the study's history. Raises InputError, and then nothing is changed.
    """
    opened = open_study(study)
    case, _ = opened.read()
    path = opened.root / "case.toml"
    before = path.read_text(encoding="utf-8")
    document = tomlkit.parse(before)
    table = _berth(document, berth)
    done, said = _changed(case, berth, table, found, lines)
    text = tomlkit.dumps(document)
    case_of(text, tomlkit.parse(text).unwrap(), path)
    kept = _kept(opened.root, before)
    write_whole(path, text.encode())
    return [done, f"the case as it was: {kept}", *said]


def _changed(case: Case, berth: str, table: Any, found: Imported, lines: Mapping[str, str]) -> tuple[str, list[str]]:
    """Put states, or calls and hours, into the table of a berth; what was done, and what is to be said of it."""
    if put_calls.holds_calls(found):
        if lines:
            problem = Problem("--line", next(iter(lines)), "no lines beside a table of port calls")
            raise InputError("A table of port calls holds no lines.", [problem])
        own = next(item for item in case.berths if item.name == berth)
        done, *said = put_calls.put_calls(own, table, found)
        return done, said
    count = len(table["state"])
    table["state"], said = _states(case, berth, table, found, lines)
    names = [str(state["name"]) for state in table["state"]]
    shown = "; ".join(names) if len(names) <= MOST_NAMED else f"{'; '.join(names[:MOST_NAMED])} ..."
    return f"{berth}: {count} state{'s' if count > 1 else ''} replaced by {len(names)}: {shown}", said


def _states(case: Case, berth: str, table: Any, found: Imported, lines: Mapping[str, str]) -> tuple[Any, list[str]]:
    """The new states, and what is to be said of them. Raises InputError for a file that holds none."""
    states = found.content
    if isinstance(states, Scatter):
        return sea_states(states, table, found.report.file)
    if not isinstance(states, tuple) or not states or not all(isinstance(item, LoadState) for item in states):
        needs = "a load table, a scatter table or a table of port calls"
        problem = Problem(found.report.file, found.report.form, needs)
        raise InputError(f"{found.report.file} holds no states.", [problem])
    out = [line for line, group in lines.items() if group == NONE and NONE not in [item.name for item in case.lines]]
    _check_lines(case, states, lines, out)
    kept = [state for state in states if state.line not in out]
    text = "[[berth]]\n" + states_toml(kept, lines, found.report.file)
    said = [f"left out by --line: {', '.join(out)}"] if out else []
    return tomlkit.parse(text)["berth"][0]["state"], [*said, *_hours(case, berth, states)]


def _check_lines(case: Case, states: Sequence[LoadState], lines: Mapping[str, str], out: Sequence[str]) -> None:
    """Every line of the table has a group of the case or is left out, and every group has one. Raises InputError."""
    groups = [line.name for line in case.lines]
    told = {state.line: lines.get(state.line, state.line) for state in states}
    known = ", ".join(f'"{name}"' for name in groups)
    do = '--line "NAME IN THE TABLE=line group" as often as needed, =none to leave a line out'
    problems = [
        Problem(line, group, f"a line group: {known}", do)
        for line, group in told.items()
        if group not in groups and line not in out
    ]
    problems += [
        Problem(group, "no line of the table", "a line of the table", do)
        for group in groups
        if group not in told.values()
    ]
    unknown = [line for line in lines if line not in told]
    problems += [Problem(line, "no line of the table", f"one of {', '.join(told)}") for line in unknown]
    if problems:
        raise InputError("The lines of the table are not those of the case.", problems)


def _berth(document: tomlkit.TOMLDocument, name: str) -> Any:
    """The table of a berth. Raises InputError."""
    berths = document["berth"]
    names = [str(item["name"]) for item in berths]
    if name not in names:
        raise InputError("There is no such berth.", [Problem("--berth", name, f"one of {', '.join(names)}")])
    return berths[names.index(name)]


def _kept(root: Path, text: str) -> str:
    """Keep a case's text in the history; its path inside the study."""
    folder = root / HISTORY
    numbers = [int(path.name[:4]) for path in folder.glob("[0-9][0-9][0-9][0-9]-case.toml")]
    path = folder / f"{max(numbers, default=0) + 1:04d}-case.toml"
    write_whole(path, text.encode())
    return path.relative_to(root).as_posix()


def _hours(case: Case, berth: str, states: Sequence[LoadState]) -> list[str]:
    """A word where the table's hours a year are not those of the case."""
    own = next(item.hours_per_year for item in case.berths if item.name == berth)
    told = sum({item.case: item.hours_per_year for item in states}.values())
    if told == told and abs(told - own) > 0.01 * max(own, 1.0):
        return [f"the table is of {told:.0f} h a year, the case of {own:.0f} h: only the shares were taken"]
    return []
