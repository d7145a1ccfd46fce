"""Every verb that tells of a case with evidence begins with what it did to the draws, or says it is not counted."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from linewright.services.assess import assess_study
from linewright.services.compare import compare_of
from linewright.services.compare_text import compare_lines
from linewright.services.depth import depth_of
from linewright.services.depth_text import depth_lines
from linewright.services.explain import explain_lines
from linewright.services.kept import newest_result, scene
from linewright.services.known import NOT_COUNTED, known_lines
from linewright.services.plan import plan_of
from linewright.services.plan_text import plan_lines
from linewright.services.show import show_lines
from linewright.services.size import Wanted, size_of
from linewright.services.size_text import size_lines
from linewright.services.what_if import what_if_of
from linewright.services.what_if_text import what_if_lines
from linewright.services.why_text import told

SMALL = """
format = 1
title = "One berth"
[ship]
design_break_load = "900 kN"
[spread]
samples = 256
[[line]]
name = "springs"
rope = "hmpe-standard-12-strand"
diameter = "36 mm"
inboard_length = "10 m"
outboard_length = "35 m"
[[line.contact]]
card = "closed-chock"
bend_radius = "200 mm"
[[berth]]
name = "Swell berth"
climate = "swell-coast-monthly"
calls_per_year = 25
hours_per_call = "36 h"
[[berth.state]]
name = "swell"
share = "100 %"
tension.springs = { mean = "20 %LDBF", amplitude = "6.5 %LDBF", amplitude_kind = "significant", period = "13 s" }
"""  # invented
PAST = """
[[history]]
name = "first trade"
lasted = "4 years"
[[history.berth]]
name = "Old berth"
climate = "swell-coast-monthly"
calls_per_year = 20
hours_per_call = "30 h"
[[history.berth.state]]
name = "swell"
share = "100 %"
tension.springs = { mean = "20 %LDBF", amplitude = "6 %LDBF", amplitude_kind = "significant", period = "13 s" }
"""  # invented
KNOWN = """
[[evidence]]
line = "springs"
in_service_at = "4 years"
doubt = "20 %"
"""
VERBS: dict[str, Callable[[Path], list[str]]] = {
    "size": lambda root: size_lines(size_of(root, Wanted(ropes=("hmpe-standard-12-strand",)))),
    "what-if": lambda root: what_if_lines(what_if_of(root)),
    "compare": lambda root: compare_lines(compare_of(root)),
    "plan": lambda root: plan_lines(plan_of(root)),
    "show": lambda root: show_lines(newest_result(root)),
    "explain": lambda root: explain_lines(newest_result(root)),
    "why": lambda root: told(scene(root)[0], "life", False).splitlines(),
}


@pytest.fixture(scope="module", params=["", PAST], ids=["new", "after an earlier trade"])
def study(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A study with evidence of its rope, run and kept."""
    root = tmp_path_factory.mktemp("known")
    (root / "case.toml").write_text(SMALL + request.param + KNOWN, encoding="utf-8")
    assess_study(root)
    return root


@pytest.mark.parametrize("verb", VERBS)
def test_verb_when_there_is_evidence_begins_with_it(study: Path, verb: str) -> None:
    first: Any = VERBS[verb](study)[0]
    assert first.startswith("Weighted by evidence: still good at 4 years (+-20 %, springs)")


def test_heat_when_there_is_evidence_says_that_it_is_not_counted(study: Path) -> None:
    row = depth_of(study)
    assert NOT_COUNTED in depth_lines(row)
    assert NOT_COUNTED not in depth_lines({**row, "evidence": 0})


def test_known_when_ropes_have_no_letters_names_the_rope_on_board(study: Path) -> None:
    result = newest_result(study)
    assert "Life of A " in known_lines(result)[0]
    assert "Life of the rope on board " in known_lines(result, "the rope on board")[0]
