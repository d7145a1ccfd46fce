"""A small case for the stages: one line of 44 mm HMPE over a chock, two states at a hot berth (invented)."""

from pathlib import Path

import pytest

from linewright.assessment.whole import Whole, assess_case
from linewright.cards.loader import load_shelf
from linewright.cards.model import Shelf
from linewright.case.form import read_case
from linewright.case.model import Case

SMALL = """
format = 1
title = "Two states"
[ship]
design_break_load = "1350 kN"
[spread]
samples = 256
[[line]]
name = "springs"
rope = "hmpe-standard-12-strand"
design_break_force = "1380 kN"
diameter = "44 mm"
mass_per_length = "0.98 kg/m"
inboard_length = "15 m"
outboard_length = "40 m"
tail = { rope = "polyester-tail-double-braid", length = "11 m" }
[[line.contact]]
card = "closed-chock"
bend_radius = "0.2 m"
wrap = "60 deg"
[[berth]]
name = "hot berth"
climate = "hot-harbour-monthly"
calls_per_year = 10
hours_per_call = "40 h"
[[berth.state]]
name = "calm"
share = "70 %"
tension.springs = { mean = "40 %LDBF", amplitude = "1 %LDBF", amplitude_kind = "significant", period = "10 s" }
[[berth.state]]
name = "swell"
share = "30 %"
tension.springs = { mean = "25 %LDBF", amplitude = "8 %LDBF", amplitude_kind = "significant", period = "14 s" }
[[compare]]
rope = "hmpe-very-low-creep-12-strand"
same = "motion"
design_break_force = "1380 kN"
diameter = "44 mm"
mass_per_length = "0.98 kg/m"
[[compare]]
rope = "polyester-parallel-strand"
same = "load"
"""


@pytest.fixture(scope="session")
def shelf() -> Shelf:
    """The shipped cards."""
    return load_shelf()


@pytest.fixture(scope="session")
def case(tmp_path_factory: pytest.TempPathFactory) -> Case:
    """The small case, read from its text."""
    return case_of(tmp_path_factory.mktemp("case"), SMALL)


def case_of(folder: Path, text: str) -> Case:
    """A case from a text."""
    path = folder / "case.toml"
    path.write_text(text, encoding="utf-8")
    return read_case(path)


@pytest.fixture(scope="session")
def make_case(tmp_path_factory: pytest.TempPathFactory):
    """A case from the small text with some replacements."""

    def make(*changes: tuple[str, str]) -> Case:
        text = SMALL
        for old, new in changes:
            assert old in text, old
            text = text.replace(old, new)
        return case_of(tmp_path_factory.mktemp("case"), text)

    return make


@pytest.fixture(scope="session")
def whole(case: Case, shelf: Shelf) -> Whole:
    """The small case, assessed."""
    return assess_case(case, shelf)
