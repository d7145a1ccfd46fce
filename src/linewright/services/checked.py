"""What `check` says of a study whose case and cards can be read."""

from __future__ import annotations

from pathlib import Path

from linewright.assessment.whole import plans_of
from linewright.case.model import Case
from linewright.services.gather import gather
from linewright.services.kept import check_note
from linewright.services.overruled import overruled
from linewright.services.study import open_study


def check_lines(root: Path) -> list[str]:
    """The size of a case, what is to be looked at in it, and how its newest result stands. Raises LinewrightError."""
    study = open_study(root)
    case, shelf = study.read()
    plans_of(case, shelf, gather(study.root, case, shelf))
    doubts = [f"! {item.finding.about}: {item.finding.text}" for item in overruled(case, shelf)]
    verdict = "It can be run; look at:" if doubts else "No problems found."
    return [f"{case.title}: {_size(case)}. {verdict}", *doubts, *_estimates(case), check_note(study, case, shelf)]


def _size(case: Case) -> str:
    states = sum(len(berth.states) for berth in case.berths)
    hours = sum(berth.hours_per_year for berth in case.berths)
    counts = ((len(case.lines), "line group"), (len(case.berths), "berth"), (states, "state"))
    return ", ".join(f"{count} {word}{'s' if count != 1 else ''}" for count, word in counts) + f", {hours:.0f} h a year"


def _estimates(case: Case) -> list[str]:
    """How many values of the case itself are estimates."""
    count = sum(datum.is_weak for datum in case.typed)
    what = "1 value of the case is an estimate" if count == 1 else f"{count} values of the case are estimates"
    return [f'{what} (basis = "estimate"): write what you know in its place.'] if count else []
