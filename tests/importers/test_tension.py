"""Tension records: what is read, what is refused, and what counting keeps."""

from pathlib import Path

import numpy as np
import pytest
import rainflow as library

from linewright.assessment.record import BINS, count
from linewright.base.errors import InputError
from linewright.importers.tension import read_record

HEAD = "time,tension\ns,kN\n"


def record_of(folder: Path, text: str):
    path = folder / "record.csv"
    path.write_text(text, encoding="utf-8")
    return read_record(path)


def test_record_when_units_are_given_then_they_are_used(tmp_path: Path) -> None:
    """1 tf is 9806.65 N, exactly."""
    record = record_of(tmp_path, "# invented\ntime,tension\nmin,tf\n0,10\n1,12\n2,11\n")

    np.testing.assert_allclose(record.time, [0.0, 60.0, 120.0])
    np.testing.assert_allclose(record.tension, [98066.5, 117679.8, 107873.15])
    assert record.report["rows_read"] == 3


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("time,tension\ns,t\n0,1\n1,2\n", "write tf"),
        ("time,tension\ns,%\n0,1\n1,2\n", "force"),
        (HEAD + "0,1\n1,x\n2,3\n", "record.csv:4"),
        (HEAD + "0,1\n1,nan\n2,3\n", "two numbers"),
        (HEAD + "0,1\n2,2\n1,3\n", "times that rise"),
        (HEAD + "0\n1\n", "two numbers"),
        ("", "0 rows"),
        ("time,tension\n", "row of units"),
    ],
)
def test_record_when_it_is_wrong_then_the_line_and_the_remedy_are_named(tmp_path: Path, text: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        record_of(tmp_path, text)

    assert says in caught.value.render()


def test_record_when_it_is_absent_then_it_is_said(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="There is no tension record"):
        read_record(tmp_path / "none.csv")


def test_record_when_it_stays_at_its_top_then_it_is_flagged(tmp_path: Path) -> None:
    flat = HEAD + "".join(f"{n},{min(100 + 10 * (n % 9), 150)}\n" for n in range(50))

    assert record_of(tmp_path, flat).report["is_saturated"] is True
    assert record_of(tmp_path, HEAD + "0,1\n1,3\n2,1\n3,2\n").report["is_saturated"] is False


def test_count_when_binned_then_cycles_heat_and_peak_are_kept(tmp_path: Path) -> None:
    """Referee: the rainflow library on the same history (ASTM E1049-85, half cycles for the residue)."""
    rng = np.random.default_rng(3)
    tension = 250.0 + np.cumsum(rng.normal(0.0, 5.0, 4000)) * 0.1 + 30.0 * np.sin(np.arange(4000) / 3.0)
    record = record_of(tmp_path, HEAD + "".join(f"{n},{value:.3f}\n" for n, value in enumerate(tension)))
    counted = count(record)

    rows = [(0.5 * span, number) for span, _, number, _, _ in library.extract_cycles(np.round(tension, 3) * 1e3)]
    amplitude, number = np.array(rows).T
    assert counted.weight.sum() == pytest.approx(1.0)
    assert len(counted.weight) == BINS
    assert 3999.0 / counted.period == pytest.approx(number.sum(), rel=1e-9)
    square = np.sum(number * amplitude**2) / number.sum()
    assert np.sum(counted.weight * counted.amplitude**2) == pytest.approx(square, rel=1e-9)
    assert counted.amplitude.max() == pytest.approx(amplitude.max(), rel=0.02)
    assert counted.highest == pytest.approx(1e3 * np.round(tension, 3).max())
    ninth = np.sum(number * amplitude**9) / number.sum()
    assert np.sum(counted.weight * counted.amplitude**9) == pytest.approx(ninth, rel=0.05)


def test_count_when_the_swing_is_scaled_then_the_mean_stays(tmp_path: Path) -> None:
    counted = count(record_of(tmp_path, HEAD + "".join(f"{n},{100 + 20 * (n % 2)}\n" for n in range(40))))
    half = counted.swung(0.5)

    assert half.mean == counted.mean
    np.testing.assert_allclose(half.amplitude, 0.5 * counted.amplitude)
    assert half.highest - half.mean == pytest.approx(0.5 * (counted.highest - counted.mean))


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (HEAD + "0,-100\n1,-50\n2,20\n", "check zero and sign"),
        (HEAD + "0,0\n1,0\n2,0\n", "check zero and sign"),
        (HEAD + "0,1e300\n1,2\n2,3\n", "tensions of a mooring line"),
        ("time,tension\ns,kN\n0,1\n1e300,2\n2e300,3\n", "times of a record"),
        (HEAD.replace(",", ";") + "0;1\n1;2\n2;3\n", "semicolons"),
        (HEAD + "0,1\n1,2\n2," + "9" * 140000 + "\n", "two numbers"),
    ],
    ids=["negative", "nothing", "huge", "aeons", "semicolons", "long cell"],
)
def test_record_when_no_line_can_have_made_it_then_it_is_refused(tmp_path: Path, text: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        record_of(tmp_path, text)

    assert says in caught.value.render()


def test_record_when_it_pauses_then_the_pause_is_no_time(tmp_path: Path) -> None:
    """By hand: 100 s, a pause of 10 h, 100 s: 200 s of record; the mean of 1 and 3 kN is 2 kN."""
    first = "".join(f"{n},{1 + 2 * (n % 2)}\n" for n in range(101))
    second = "".join(f"{36100 + n},{1 + 2 * (n % 2)}\n" for n in range(101))
    found = count(record_of(tmp_path, HEAD + first + second))

    assert found.duration == pytest.approx(200.0)
    assert found.unrecorded == pytest.approx(36000.0)
    assert found.mean == pytest.approx(2e3)
    assert found.period == pytest.approx(2.0, rel=0.02)
