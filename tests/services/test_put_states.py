"""The cases of a load table become the states of a berth; the case's other text stays as it was."""

import tomllib
from pathlib import Path

import numpy as np
import pytest
from scipy import integrate

from linewright.base.errors import InputError
from linewright.importers.recognise import import_file
from linewright.services.demo import write_demo
from linewright.services.put_states import answers_of_case, check_berth, put_states
from linewright.services.study import open_study

TABLE = (
    "case;line;mean [kN];std [kN];max [kN];Tp [s];probability [%]\n"
    "calm;L1;150;10;180;9;60\ncalm;L2;140;10;170;9;60\n"
    "swell;L1;220;40;370;14;40\nswell;L2;210;30;330;14;40\n"
)
LINES = {"L1": "forward springs", "L2": "forward breasts"}


@pytest.fixture
def study(tmp_path: Path) -> Path:
    write_demo(tmp_path / "study")
    return tmp_path / "study"


def table(folder: Path, text: str = TABLE, **answers: str):
    path = folder / "table.csv"
    path.write_text(text, encoding="utf-8")
    return import_file(path, {"hours": "400", **answers}, "load-table")


def test_states_when_put_into_a_berth_then_the_case_reads_them(study: Path, tmp_path: Path) -> None:
    """By hand: a standard deviation of 40 kN is a significant amplitude of 80 kN."""
    before = (study / "case.toml").read_text("utf-8")
    said = put_states(study, "Swell Jetty", table(tmp_path), LINES)
    case, _ = open_study(study).read()
    berth = next(item for item in case.berths if item.name == "Swell Jetty")

    assert [(state.name, state.share) for state in berth.states] == [("calm", 0.6), ("swell", 0.4)]
    tension = berth.states[1].tension["forward springs"]
    assert (tension.mean.value, tension.amplitude.value, tension.period) == (220e3, 80e3, 14.0)
    assert (study / ".history" / "0001-case.toml").read_text("utf-8") == before
    assert any("400 h a year" in line for line in said)
    after = tomllib.loads((study / "case.toml").read_text("utf-8"))
    was = tomllib.loads(before)
    assert {**after, "berth": None} == {**was, "berth": None}
    assert [item for item in after["berth"] if item["name"] != "Swell Jetty"] == [
        item for item in was["berth"] if item["name"] != "Swell Jetty"
    ]


def test_states_when_a_line_is_none_then_it_is_left_out_and_it_is_said(study: Path, tmp_path: Path) -> None:
    """A third line of the study hangs on no group of the case."""
    text = TABLE + "calm;L3;900;10;930;9;60\nswell;L3;900;40;970;14;40\n"
    said = put_states(study, "Swell Jetty", table(tmp_path, text), {**LINES, "L3": "none"})
    states = next(item for item in open_study(study).read()[0].berths if item.name == "Swell Jetty").states

    assert states[1].tension["forward springs"].mean.value == 220e3
    assert "left out by --line: L3" in said
    with pytest.raises(InputError) as caught:
        put_states(study, "Swell Jetty", table(tmp_path, text), LINES)
    assert "=none" in caught.value.render()


def test_hours_when_a_table_states_shares_only_are_those_of_the_case(study: Path, tmp_path: Path) -> None:
    path = tmp_path / "table.csv"
    path.write_text(TABLE, encoding="utf-8")
    found = import_file(path, {}, "load-table")
    hours = check_berth(study, "Swell Jetty")

    assert [item.key for item in found.report.questions] == ["hours"]
    assert answers_of_case(found.report.questions, hours) == {"hours": f"{hours:.6g}"}
    assert answers_of_case(found.report.questions, 0.0) == {}
    in_hours = TABLE.replace("probability [%]", "hours per year [h]")
    path.write_text(in_hours, encoding="utf-8")
    assert answers_of_case(import_file(path, {}, "load-table").report.questions, hours) == {}


def test_states_when_put_twice_then_both_cases_before_are_kept(study: Path, tmp_path: Path) -> None:
    put_states(study, "Swell Jetty", table(tmp_path), LINES)
    put_states(study, "North Quay", table(tmp_path), LINES)

    assert sorted(path.name for path in (study / ".history").iterdir()) == ["0001-case.toml", "0002-case.toml"]


@pytest.mark.parametrize(
    ("berth", "lines", "says"),
    [
        ("Nowhere", LINES, "Equator Terminal"),
        ("Swell Jetty", {"L1": "forward springs"}, "--line"),
        ("Swell Jetty", {"L1": "forward springs", "L2": "aft springs"}, "line group"),
        ("Swell Jetty", {**LINES, "L9": "forward springs"}, "L9"),
    ],
)
def test_states_when_they_do_not_fit_then_nothing_is_changed(study: Path, tmp_path: Path, berth, lines, says) -> None:
    before = (study / "case.toml").read_bytes()

    with pytest.raises(InputError) as caught:
        put_states(study, berth, table(tmp_path), lines)
    assert says in caught.value.render()
    assert (study / "case.toml").read_bytes() == before
    assert not (study / ".history").exists()


def test_states_when_the_case_then_breaks_a_rule_then_nothing_is_changed(study: Path, tmp_path: Path) -> None:
    """An amplitude above 1.5 times the mean is no tension of a line: the case refuses it."""
    before = (study / "case.toml").read_bytes()
    text = TABLE.replace("swell;L1;220;40;370", "swell;L1;20;40;170")

    with pytest.raises(InputError):
        put_states(study, "Swell Jetty", table(tmp_path, text), LINES)
    assert (study / "case.toml").read_bytes() == before


SCATTER = "Hs (m) \\ Tp (s);4-6;6-8;8-10\n0-1;20;30;10\n1-2;5;15;10\n2-3;0;5;5\n"
SEA = """
[[berth.state]]
name = "swell"
share = "100 %"
wetness = "0.5"
sea = [{ height = "1 m", period = "8 s", peakedness = 3.3 }]
[berth.state.tension."forward springs"]
mean = "20 %LDBF"
response = "40 kN/m"
[berth.state.tension."forward breasts"]
mean = "18 %LDBF"
motion_response = "0.05 m/m"
"""


def with_sea(study: Path) -> None:
    """Give the berth one state with a sea, in place of its own."""
    case = study / "case.toml"
    text = case.read_text("utf-8")
    start = text.index('name = "Swell Jetty"')
    first = text.index("[[berth.state]]", start)
    last = text.index("[[berth]]", first)
    case.write_text(text[:first] + SEA.strip() + "\n\n" + text[last:], "utf-8")


def test_scatter_when_put_into_a_berth_then_each_bin_is_a_sea_with_the_lines_own_responses(study, tmp_path) -> None:
    """By hand: 20 of 100 parts at 0.5 m and 5 s; eight bins are filled."""
    with_sea(study)
    (tmp_path / "scatter.csv").write_text(SCATTER)
    said = put_states(study, "Swell Jetty", import_file(tmp_path / "scatter.csv"), {})
    case, _ = open_study(study).read()
    states = next(item for item in case.berths if item.name == "Swell Jetty").states

    assert len(states) == 8
    assert (states[0].name, states[0].share, states[0].wetness) == ("Hs 0.5 m, Tp 5 s", 0.2, 0.5)
    (wave,) = states[0].sea
    assert (wave.height, wave.period, wave.peakedness) == (0.5, 5.0, 3.3)
    assert states[3].tension["forward springs"].response.tension == 40e3
    assert states[3].tension["forward breasts"].response.motion == 0.05
    assert sum(state.share for state in states) == pytest.approx(1.0)
    assert any("replaced by 8" in line for line in said)


def test_scatter_when_the_pattern_has_more_parts_then_they_stay_and_it_is_said(study, tmp_path) -> None:
    """The bins stand for the swell, first of the parts; the wind sea and the long wave in the basin stay beside it.

    By hand: variances add, so the first bin has m0 = (0.5^2 + 0.8^2 + 0.1^2)/16 = 0.05625 m2. In the rest of the time,
    the calm of a table of 90 %, there are no waves.
    """
    with_sea(study)
    case = study / "case.toml"
    parts = '{ height = "0.8 m", period = "6 s" }, { height = "0.1 m", shortest = "30 s", longest = "300 s" }'
    case.write_text(case.read_text("utf-8").replace("peakedness = 3.3 }]", f"peakedness = 3.3 }}, {parts}]"), "utf-8")
    (tmp_path / "scatter.csv").write_text(SCATTER.replace("(s);4-6", "(s), percent;4-6").replace(";30;", ";20;"))
    said = put_states(study, "Swell Jetty", import_file(tmp_path / "scatter.csv", {"normalise": "no"}), {})
    states = next(item for item in open_study(study).read()[0].berths if item.name == "Swell Jetty").states

    assert [(wave.height, wave.period) for wave in states[0].sea[:2]] == [(0.5, 5.0), (0.8, 6.0)]
    assert sum(wave.height**2 for wave in states[0].sea) / 16.0 == pytest.approx(0.05625)
    assert [len(state.sea) for state in states] == [3] * 8 + [1]
    (text,) = [line for line in said if "first part" in line]
    for words in ("1 m, 8 s", "peakedness 3.3", "0.8 m, 6 s", "0.1 m, 30 s to 300 s"):
        assert words in text


def test_scatter_when_the_berth_has_no_response_then_it_says_what_it_needs(study: Path, tmp_path: Path) -> None:
    (tmp_path / "scatter.csv").write_text(SCATTER)

    with pytest.raises(InputError, match="response"):
        put_states(study, "Swell Jetty", import_file(tmp_path / "scatter.csv"), {})


def scatter_of(heights: int, periods: int, rise: float) -> tuple[str, list[tuple[float, float, int]]]:
    """Text of a table of counts over Hs and Tz that fall off with height, and its bins: height, period, count."""
    cells = [[1 + (7 * i + 3 * j) % 11 + int(300 * 0.8**i) for j in range(periods)] for i in range(heights)]
    names = [f"{n * rise:g}-{(n + 1) * rise:g}" for n in range(heights)]
    rows = "\n".join(f"{name};{';'.join(map(str, row))}" for name, row in zip(names, cells, strict=True))
    head = ";".join(f"{n}-{n + 1}" for n in range(4, 4 + periods))
    bins = [((i + 0.5) * rise, 4.5 + j, cells[i][j]) for i in range(heights) for j in range(periods)]
    return f"Hs (m) \\ Tz (s);{head}\n{rows}\n", bins


def states_of_scatter(study: Path, tmp_path: Path, text: str) -> tuple[list[str], tuple]:
    with_sea(study)
    (tmp_path / "scatter.csv").write_text(text)
    said = put_states(study, "Swell Jetty", import_file(tmp_path / "scatter.csv", {"unit.share": "counts"}), {})
    case, _ = open_study(study).read()
    return said, next(item for item in case.berths if item.name == "Swell Jetty").states


@pytest.mark.parametrize(
    ("heights", "periods", "rise", "off"),
    [(16, 10, 0.5, dict.fromkeys((2, 3, 5, 9), 1e-6)), (80, 3, 0.1, {2: 0.001, 3: 1e-6, 5: 0.001, 9: 0.001})],
)
def test_scatter_when_it_has_many_bins_then_joining_keeps_storms_hours_and_damage(
    study: Path, tmp_path: Path, heights: int, periods: int, rise: float, off: dict[int, float]
) -> None:
    """Invariants, worked from the bins: the highest Hs, the hours, and the sum of hours x Hs^m (heat 2, damage 3 to 9).

    160 bins of 16 heights: only periods join, so every m is kept. 240 bins of 80 heights, more than there may be
    states: 21 joins of heights, which keep m = 3.
    """
    text, bins = scatter_of(heights, periods, rise)
    said, states = states_of_scatter(study, tmp_path, text)

    total = sum(count for *_, count in bins)
    assert len(states) == 60
    assert max(state.sea[0].height for state in states) == pytest.approx((heights - 0.5) * rise, rel=1e-4)
    highest = sum(state.share for state in states if state.sea[0].height > (heights - 1) * rise)
    hours = sum(count for height, _, count in bins if height > (heights - 1) * rise) / total
    assert highest == pytest.approx(hours, abs=1e-6)  # a share is written to 1e-7
    assert sum(state.share for state in states) == pytest.approx(1.0)
    for slope, bound in off.items():
        kept = sum(state.share * state.sea[0].height ** slope for state in states)
        assert kept == pytest.approx(sum(h**slope * count for h, _, count in bins) / total, rel=bound + 4e-4), slope
    assert any("hours and the highest waves stay" in line for line in said)


def test_scatter_when_the_pattern_is_peaked_then_tz_becomes_tp_by_its_own_ratio(study: Path, tmp_path: Path) -> None:
    """JONSWAP of 3.3: Tz = 0.778 Tp without cut-off (0.7775 by quadrature), so 5.5 s is 7.07 s; Pierson-Moskowitz
    (0.7104) would make it 7.74 s, 9.5 % too long."""

    def moment(order: int) -> float:
        def density(x: float) -> float:
            width = 0.07 if x <= 1.0 else 0.09
            return x ** (order - 5.0) * np.exp(-1.25 * x**-4.0) * 3.3 ** np.exp(-0.5 * ((x - 1.0) / width) ** 2)

        return integrate.quad(density, 0.1, 1.0)[0] + integrate.quad(density, 1.0, np.inf, limit=200)[0]

    said, states = states_of_scatter(study, tmp_path, "Hs (m) \\ Tz (s);5-6;6-7;7-8\n1-2;30;10;60\n2-3;1;1;1\n")
    ratio = np.sqrt(moment(2) / moment(0))
    assert ratio == pytest.approx(1.0 / 0.7775, rel=1e-3)
    assert [state.sea[0].period for state in states[:3]] == pytest.approx(
        [5.5 * ratio, 6.5 * ratio, 7.5 * ratio], rel=5e-4
    )
    assert any("Tz became Tp by a factor of 1.286, that of a JONSWAP spectrum of peakedness 3.3" in s for s in said)


def test_scatter_when_the_pattern_states_no_peakedness_then_the_ratio_is_that_of_pierson_moskowitz(
    study: Path, tmp_path: Path
) -> None:
    """Tp/Tz = (1.25 pi)^(1/4) = 1.4078, in closed form: m2/m0 = sqrt(pi) 1.25^(1/2) by Gamma(1/2)."""
    with_sea(study)
    case = study / "case.toml"
    case.write_text(case.read_text("utf-8").replace(", peakedness = 3.3", ""), "utf-8")
    (tmp_path / "scatter.csv").write_text("Hs (m) \\ Tz (s);5-6;6-7;7-8\n1-2;30;10;60\n2-3;1;1;1\n")
    said = put_states(study, "Swell Jetty", import_file(tmp_path / "scatter.csv", {"unit.share": "counts"}), {})

    assert (1.25 * np.pi) ** 0.25 == pytest.approx(1.4078, rel=1e-4)
    assert any("a factor of 1.408, that of a Pierson-Moskowitz spectrum" in line for line in said)


def test_scatter_when_it_holds_part_of_the_time_then_the_rest_is_calm(study: Path, tmp_path: Path) -> None:
    """The cells add to 31 %: 69 % of the time is without waves, and nothing is scaled."""
    with_sea(study)
    (tmp_path / "scatter.csv").write_text("Hs (m) \\ Tp (s);4-6;6-8;8-10\n0-1;10;5;1\n1-2;5;5;5\n")
    table = import_file(tmp_path / "scatter.csv", {"unit.share": "percent"})
    said = put_states(study, "Swell Jetty", table, {})
    case, _ = open_study(study).read()
    states = next(item for item in case.berths if item.name == "Swell Jetty").states

    assert (states[0].share, states[0].name) == (pytest.approx(0.10), "Hs 0.5 m, Tp 5 s")
    assert (states[-1].share, states[-1].sea[0].height) == (pytest.approx(0.69), 0.0)
    assert any("31 % of the time" in line for line in said)


def port_calls(folder: Path, **answers: str):
    """Ten calls 40 days apart at two berths in turn, of 24 and 36 h: 20 at 20-day intervals, invented."""
    start = np.datetime64("2025-01-03T06:00")
    rows = []
    for n in range(20):
        begin = start + n * np.timedelta64(20, "D")
        end = begin + np.timedelta64(36 if n % 2 else 24, "h")
        rows.append(f"{n};{'Q2' if n % 2 else 'Swell jetty'};{begin};{end}".replace("T", " "))
    path = folder / "calls.csv"
    path.write_text("call;berth;arrival;departure\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return import_file(path, {"time.zone": "UTC", **answers})


def test_calls_when_put_into_a_berth_set_its_calls_and_hours(study: Path, tmp_path: Path) -> None:
    """By hand: nine intervals of 40 days are a call every 40 days, 365.25/40 = 9.13 a year, of 24 h each."""
    before = next(item for item in open_study(study).read()[0].berths if item.name == "Swell Jetty")
    said = put_states(study, "Swell Jetty", port_calls(tmp_path), {})
    berth = next(item for item in open_study(study).read()[0].berths if item.name == "Swell Jetty")

    assert (berth.calls_per_year, berth.hours_per_call) == (9.13, 24.0)
    assert [state.name for state in berth.states] == [state.name for state in before.states]
    assert "9.13 a year of 24 h, 219 h a year" in said[0]
    assert (study / ".history" / "0001-case.toml").is_file()
    assert any("10 calls at Swell jetty" in line and "9 intervals in 360 days" in line for line in said)


def test_calls_when_the_berth_has_another_name_are_those_that_are_answered(study: Path, tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        put_states(study, "North Quay", port_calls(tmp_path), {})
    assert "berth=" in caught.value.render()
    assert "Q2" in caught.value.render()

    put_states(study, "North Quay", port_calls(tmp_path, berth="Q2", years="2"), {})
    berth = next(item for item in open_study(study).read()[0].berths if item.name == "North Quay")
    assert (berth.calls_per_year, berth.hours_per_call) == (5.0, 36.0)  # ten calls in two years


def test_calls_when_they_cover_less_than_a_year_need_the_years(study: Path, tmp_path: Path) -> None:
    path = tmp_path / "short.csv"
    path.write_text("call;arrival (UTC);departure (UTC);ship\n1;2025-01-03 06:00;2025-01-04 06:00;A\n"
                    "2;2025-02-03 06:00;2025-02-04 06:00;A\n")  # fmt: skip
    with pytest.raises(InputError) as caught:
        put_states(study, "North Quay", import_file(path), {})
    assert "years=" in caught.value.render()

    put_states(study, "North Quay", import_file(path, {"years": "0.1"}), {})
    berth = next(item for item in open_study(study).read()[0].berths if item.name == "North Quay")
    assert berth.calls_per_year == 20.0
