"""Calls and hours a year of a berth from a table of port calls."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from linewright.base.errors import InputError, Problem
from linewright.importers import cells
from linewright.importers.calls import Call
from linewright.importers.report import Imported
from linewright.importers.spellings import match

if TYPE_CHECKING:
    from linewright.case.model import Berth

YEAR = 365.25 * 86400.0  # [s]
LEAST = 300.0 * 86400.0  # [s] between the first and the last call, from which a year's rate is told


def holds_calls(found: Imported) -> bool:
    """Whether an import is a table of port calls."""
    content = found.content
    return isinstance(content, tuple) and bool(content) and all(isinstance(item, Call) for item in content)


def put_calls(berth: Berth, table: Any, found: Imported) -> list[str]:
    """Set calls a year and hours a call in a berth's table of the case; what was done, in words.

    Raises InputError where the table holds several berths and none is meant, or tells no rate.
    """
    calls, place = _of_berth(berth.name, [call for call in found.content if not call.fault], found)
    rate, how = _rate(calls, found)
    hours = [call.hours for call in calls]
    mean = math.fsum(hours) / len(hours)
    was = f"{berth.calls_per_year:.4g} calls a year of {berth.hours_per_call:.4g} h"
    table["calls_per_year"], table["hours_per_call"] = float(f"{rate:.3g}"), f"{mean:.4g} h"
    return [
        f"{berth.name}: {was} replaced by {rate:.3g} a year of {mean:.4g} h, {rate * mean:.0f} h a year",
        f"{len(calls)} calls{place}, {how}; the shortest {min(hours):.4g} h, the longest {max(hours):.4g} h",
    ]


def _of_berth(berth: str, calls: Sequence[Call], found: Imported) -> tuple[list[Call], str]:
    """The calls of a berth: of that name, as answered, or all where the table names one place at most."""
    names = list(dict.fromkeys(call.berth or call.port for call in calls))
    wanted = found.report.answers.get("berth", "") or match(berth, names)
    if wanted not in names and (len(names) > 1 or found.report.answers.get("berth")):
        needs = f"one of {', '.join(name or 'no name' for name in names)}"
        problem = Problem(found.report.file, wanted, needs, '--answer "berth=NAME IN THE TABLE"')
        raise InputError("The table has no calls of this berth.", [problem])
    own = [call for call in calls if wanted not in names or (call.berth or call.port) == wanted]
    if not own:
        raise InputError("The table has no calls that count.", [Problem(found.report.file, "no call", "calls")])
    return own, f" at {own[0].place}" if own[0].place else ""


def _rate(calls: Sequence[Call], found: Imported) -> tuple[float, str]:
    """Calls a year and how they were told: over the years answered, else over the time between first and last."""
    answer = found.report.answers.get("years", "")
    if answer:
        years = cells.number(answer, ".")
        if years is None or years <= 0.0:
            raise InputError("The answer to years cannot be used.", [Problem("years", answer, "years, more than 0")])
        return len(calls) / years, f"in {years:g} years, by answer"
    starts = sorted(call.start for call in calls)
    span = starts[-1] - starts[0]
    if span < LEAST:
        read = f"{len(calls)} calls, the first and the last {span / 86400.0:.0f} days apart"
        needs = "calls over 300 days or more, or the years that the table covers"
        raise InputError("The table tells no calls a year.",
                         [Problem(found.report.file, read, needs, "--answer years=0.5")])  # fmt: skip
    return (len(calls) - 1) * YEAR / span, f"{len(calls) - 1} intervals in {span / 86400.0:.0f} days"
