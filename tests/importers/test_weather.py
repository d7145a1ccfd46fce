"""Typical years read in place, against what the files say themselves."""

from pathlib import Path

import numpy as np
import pytest

from linewright.base.errors import InputError
from linewright.importers.files import find
from linewright.importers.weather import read_year

HOT, COLD = "pvlib:data/12839.tm2", "pvlib:data/703165TY.csv"


@pytest.mark.parametrize(("name", "mean", "wettest"), [(HOT, (23.0, 26.0), 0.0), (COLD, (2.0, 6.0), 0.0)])
def test_year_when_read_then_it_is_whole_and_plausible(name: str, mean: tuple[float, float], wettest: float) -> None:
    """Yearly means of the two public files: a hot and a cold coast (values read in the files themselves)."""
    year = read_year(find(Path("."), name))

    assert year.report["rows_kept"] == 8760
    assert mean[0] < np.mean(year.air) - 273.15 < mean[1]
    assert np.all(year.dew_point <= year.air + 1e-9)
    assert np.min(year.level) >= wettest
    assert set(np.unique(year.month)) == set(range(1, 13))


@pytest.mark.parametrize("name", [HOT, COLD])
def test_year_when_the_sun_is_moved_by_an_hour_then_the_balance_of_radiation_is_worse(name: str) -> None:
    """Global = direct normal x sin(elevation) + diffuse, an identity of the file's own columns.

    It holds best with the sun at the middle of each hour: half an hour's or an hour's slip shows here.
    """
    year = read_year(find(Path("."), name))

    def misfit(shift: int) -> float:
        height = np.maximum(np.sin(np.roll(year.elevation, shift)), 0.0)
        return float(np.sqrt(np.mean((year.beam * height + year.diffuse - year.level) ** 2)))

    assert misfit(0) < 25.0
    assert misfit(0) < 0.5 * min(misfit(1), misfit(-1))


def test_year_when_hours_are_missing_or_absurd_then_it_is_refused(tmp_path: Path) -> None:
    text = find(Path("."), COLD).read_text(encoding="latin-1").splitlines(keepends=True)
    short = tmp_path / "short.csv"
    short.write_text("".join(text[:-24]), encoding="latin-1")
    with pytest.raises(InputError, match="8736 hours"):
        read_year(short)

    packed = tmp_path / "weather.xlsx"
    packed.write_bytes(b"PK\x03\x04" + bytes(range(1, 200)))
    with pytest.raises(InputError, match="no text"):
        read_year(packed)

    foreign = tmp_path / "weather.txt"
    foreign.write_text("time,L01 [kN]\n2025-01-01 00:00,12.0\n2025-01-01 00:01,12.5\n", encoding="utf-8")
    with pytest.raises(InputError, match=r"\.tm2 or TMY3"):
        read_year(foreign)

    wrong = tmp_path / "wrong.csv"
    wrong.write_text("one,two\n1,2\n", encoding="utf-8")
    with pytest.raises(InputError, match="cannot be read as a typical year"):
        read_year(wrong)


def worded(rest: str, column: int, rows: range) -> str:
    """The lines below the site line, with a word in a column of some rows (0 is the line of names)."""
    lines = rest.split("\n")
    for row in rows:
        cells = lines[row].split(",")
        cells[column] = "warm"
        lines[row] = ",".join(cells)
    return "\n".join(lines)


def test_year_when_a_short_gap_is_worded_then_it_is_filled_and_said(tmp_path: Path) -> None:
    head, rest = find(Path("."), COLD).read_text(encoding="latin-1").split("\n", 1)
    assert rest.split("\n")[0].split(",")[31] == "Dry-bulb (C)"
    path = tmp_path / "worded.csv"
    path.write_text(head + "\n" + worded(rest, 31, range(100, 103)), encoding="latin-1")

    year = read_year(path)

    whole = read_year(find(Path("."), COLD))
    assert {"unread-cell", "gap-filled"} <= {flag["code"] for flag in year.report["flags"]}
    assert [item["row"] for item in year.report["replaced"] if item["column"] == "Dry-bulb (C)"] == [102, 103, 104]
    ends = whole.air[[98, 102]]
    assert year.air[99:102] == pytest.approx(ends[0] + (ends[1] - ends[0]) * np.array([0.25, 0.5, 0.75]))
    assert np.array_equal(np.delete(year.air, range(99, 102)), np.delete(whole.air, range(99, 102)))


def test_year_when_its_file_is_damaged_then_it_is_refused(tmp_path: Path) -> None:
    text = find(Path("."), COLD).read_text(encoding="latin-1")
    head, rest = text.split("\n", 1)
    ways = {
        "empty.tm2": "",
        "nameless.csv": text.replace("Dry-bulb (C)", "Bulb (C)", 1),
        "worded.csv": head + "\n" + worded(rest, 31, range(100, 105)),
        "nowhere.csv": ",".join([*head.split(",")[:4], "inf", *head.split(",")[5:]]) + "\n" + rest,
    }
    for name, content in ways.items():
        (tmp_path / name).write_text(content, encoding="latin-1")
        with pytest.raises(InputError):
            read_year(tmp_path / name)


@pytest.mark.parametrize("name", ["../case.toml", "x" * 290 + ".csv", "/etc/hostname", "pvlib:../../x", "nothing.csv"])
def test_file_when_outside_of_the_study_or_absent_then_it_is_refused(tmp_path: Path, name: str) -> None:
    (tmp_path / "study").mkdir()
    (tmp_path / "case.toml").write_text("x")
    with pytest.raises(InputError):
        find(tmp_path / "study", name)
