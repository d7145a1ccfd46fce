"""A kept log counts in blocks as the same readings count in memory."""

from pathlib import Path

import numpy as np
import pytest

from linewright.assessment.record import count, count_stored
from linewright.base.errors import StorageError
from linewright.importers import recognise, store, tension
from linewright.importers.recognise import import_file


def text_of(time: np.ndarray, tension: np.ndarray) -> str:
    rows = (f"{t:.2f},{'' if np.isnan(f) else f'{f:.3f}'}" for t, f in zip(time, tension, strict=True))
    return "t_s,L1_kN\n" + "\n".join(rows)


def even() -> tuple[np.ndarray, np.ndarray]:
    time = np.arange(3000) * 0.5
    return time, 300.0 + 60.0 * np.sin(time / 2.0) + np.random.default_rng(1).normal(0.0, 5.0, time.size)


def with_gap() -> tuple[np.ndarray, np.ndarray]:
    time, load = even()
    return np.where(time > 700.0, time + 500.0, time), np.where(time > 700.0, load + 400.0, load)


def with_holes() -> tuple[np.ndarray, np.ndarray]:
    time, load = even()
    load[[5, 6, 700, 701]] = np.nan
    load[1000:1300] = np.nan  # 150 s of nothing: a gap
    return time, load


def uneven() -> tuple[np.ndarray, np.ndarray]:
    time, load = even()
    return time + 0.1 * np.random.default_rng(2).uniform(size=time.size), load


@pytest.mark.parametrize("made", [even, with_gap, with_holes, uneven])
def test_kept_log_counts_as_the_same_readings_in_memory(tmp_path: Path, monkeypatch, made) -> None:
    """Ranges are kept to the width of a bin, 1/512 of the span."""
    path, kept = tmp_path / "log.csv", tmp_path / "log.parquet"
    path.write_text(text_of(*made()))
    whole = count(tension.read_record(path))
    monkeypatch.setattr(recognise, "SMALL", 10)
    monkeypatch.setattr(store, "BLOCK", 257)
    import_file(path, store=kept)
    streamed = count_stored(store.open_log(kept, "L1"))

    assert (streamed.highest, streamed.lowest) == (whole.highest, whole.lowest)
    assert streamed.duration == pytest.approx(whole.duration, rel=2e-3)
    assert streamed.duration / streamed.period == pytest.approx(whole.duration / whole.period, rel=1e-9)
    assert streamed.mean == pytest.approx(whole.mean, rel=1e-4)
    assert streamed.deviation == pytest.approx(whole.deviation, rel=2e-3)
    for power in (2, 5, 9):
        ours, theirs = (np.sum(item.weight * item.amplitude**power) for item in (streamed, whole))
        assert ours == pytest.approx(theirs, rel=0.03)


def test_kept_log_in_percent_stays_a_share(tmp_path: Path, monkeypatch) -> None:
    path, kept = tmp_path / "log.csv", tmp_path / "log.parquet"
    time, load = even()
    path.write_text(text_of(time, load / 10.0).replace("L1_kN", "L1 [%LDBF]"))
    monkeypatch.setattr(recognise, "SMALL", 10)
    import_file(path, store=kept)
    counted = count_stored(store.open_log(kept))

    assert counted.base == "LDBF"
    assert counted.newton({"LDBF": 1e6, "SDMBL": 2e6}).mean == pytest.approx(
        np.mean(load) / 10.0 / 100.0 * 1e6, rel=1e-3
    )


def test_kept_log_when_the_file_is_another_then_it_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "log.parquet"
    path.write_bytes(b"PAR1 nothing PAR1")

    with pytest.raises(StorageError, match="no kept log"):
        store.open_log(path)
