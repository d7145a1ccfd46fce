"""`[[evidence]]` and `[[history]]`: what is refused, with its line, and how it is read."""

from collections.abc import Callable
from pathlib import Path

import pytest
from tests.assessment.conftest import SMALL

from linewright.base.errors import InputError
from linewright.case.form import read_case
from linewright.case.model import Case

SEEN = '[[evidence]]\nline = "springs"\n'
RESIDUAL = '[[evidence]]\nline = "springs"\nresidual = "950 kN"\nage = "3 years"\n'
PAST = """[[history]]
name = "feeder"
lasted = "18 months"
[[history.berth]]
name = "Cold Pier"
climate = "cold-typical-year"
calls_per_year = 30
hours_per_call = "20 h"
[[history.berth.state]]
name = "only"
share = "100 %"
payout_spread = "1 m"
tension.springs = { mean = "18 %LDBF", amplitude = "4 %LDBF", amplitude_kind = "significant", period = "12 s" }
"""
Read = Callable[[str], Case]


@pytest.fixture
def read(tmp_path: Path) -> Read:
    """The small case with some tables behind it."""

    def case(more: str) -> Case:
        path = tmp_path / "case.toml"
        path.write_text(f"{SMALL}\n{more}", encoding="utf-8")
        return read_case(path)

    return case


def test_evidence_when_right_is_read_in_years_newton_and_kelvin(read: Read) -> None:
    core = (
        '[[evidence]]\nline = "springs"\ncore = "52 degC"\ncore_doubt = "2 K"\nberth = "hot berth"\nstate = "swell"\n'
    )
    first, second = read(RESIDUAL + core).evidence
    # 3 years of 365.25 days; default doubt of a break test 5 %
    assert (first.kind, first.value, first.age, first.doubt, first.base) == (
        "residual",
        950e3,
        pytest.approx(3.0),
        0.05,
        "N",
    )
    assert (second.kind, second.value, second.doubt, second.state) == (
        "core",
        pytest.approx(325.15),
        2.0,
        ("hot berth", "swell"),
    )
    assert first.mark == pytest.approx(3.0)
    assert second.mark is None


def test_history_when_right_keeps_its_berths_apart_from_todays(read: Read) -> None:
    case = read(PAST)
    assert [(item.name, item.years) for item in case.past] == [("feeder", pytest.approx(1.5, rel=2e-3))]
    assert [berth.name for berth in case.every_berth] == ["hot berth", "feeder: Cold Pier"]
    assert [berth.name for berth in case.of_past(case.past[0]).berths] == ["feeder: Cold Pier"]


# name: (tables, parts of the message)
WRONG: dict[str, tuple[str, list[str]]] = {
    "no kind": (SEEN, ["nothing", "one of: retired_at"]),
    "two kinds": (f'{RESIDUAL}retired_at = "4 years"\n', ["retired_at and residual", "one entry for each"]),
    "residual without age": (RESIDUAL.replace('age = "3 years"\n', ""), ["the key age beside residual"]),
    "retired with an age": (SEEN + 'retired_at = "3 years"\nage = "3 years"\n', ["does not use it"]),
    "core without its state": (SEEN + 'core = "50 degC"\n', ["the key berth", "the key state"]),
    "core of a state that is not there": (
        SEEN + 'core = "50 degC"\nberth = "hot berth"\nstate = "storm"\n',
        ["hot berth, storm", "hot berth, calm; hot berth, swell"],
    ),
    "core in kelvin of another world": (
        SEEN + 'core = "500 degC"\nberth = "hot berth"\nstate = "swell"\n', ["-60 to 200 degC"]),
    "line that is not there": (RESIDUAL.replace("springs", "sprigns"), ["sprigns", 'a line group: "springs"']),
    "a strength of nothing": (RESIDUAL.replace("950 kN", "0 kN"), ["a strength more than 0", "retired_at"]),
    "age beyond all ropes": (RESIDUAL.replace("3 years", "99 years"), ["at most 30 years"]),
    "doubt of nothing": (f'{RESIDUAL}doubt = "0 %"\n', ["1 % to 100 %"]),
    "doubt of a core on an age": (f'{RESIDUAL}core_doubt = "2 K"\n', ["does not use it"]),
    "trade without time": (PAST.replace("18 months", "0 s"), ["more than 0"]),
    "trade without berths": ('[[history]]\nname = "feeder"\nlasted = "1 year"\n', ["berth"]),
    "trade with too many hours": (PAST.replace("calls_per_year = 30", "calls_per_year = 900"), ["18000 h a year"]),
    "trade without the line": (PAST.replace("tension.springs", "tension.breasts"), ['line group "springs"']),
    "trade with shares that do not add": (PAST.replace('"100 %"', '"90 %"'), ["not 90 %"]),
    "two trades of one name": (PAST + PAST, ["another earlier trade"]),
}  # fmt: skip


@pytest.mark.parametrize("name", WRONG)
def test_tables_when_wrong_say_where_and_what(read: Read, name: str) -> None:
    text, said = WRONG[name]
    with pytest.raises(InputError) as caught:
        read(text)
    for part in said:
        assert part in caught.value.render()
    assert "case.toml:" in caught.value.render()
