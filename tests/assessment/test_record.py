"""A kept log counts in blocks as the same readings count in memory."""

from pathlib import Path

import numpy as np
import pytest

from linewright.assessment.record import Counted, count, count_stored
from linewright.assessment.slack import Troughs, slack_shares
from linewright.base.errors import StorageError
from linewright.importers import recognise, store, tension
from linewright.importers.model import Record
from linewright.importers.recognise import import_file
from linewright.physics import cycles


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


# --- slackness -----------------------------------------------------------------------------------
# By hand: a line that lies at 15 kN for half of the time and at 200 kN for the other half, both swinging by 4 kN
# (standard deviation) about it, has half of its troughs below 20 kN, whatever their ranges. Sorted by range alone, a
# group holds cycles of both halves and its mean trough lies near 100 kN: none would count.

FORCE = 1e6  # [N]


def swell(size: int, step: float, seed: int = 3) -> np.ndarray:
    """A narrow band about 10 s of unit deviation, invented."""
    frequency = np.fft.rfftfreq(size, step)
    phases = np.exp(2j * np.pi * np.random.default_rng(seed).random(frequency.size))
    wave = np.fft.irfft(np.exp(-0.5 * ((frequency - 0.1) / 0.012) ** 2) * phases, size)
    return np.asarray(wave / wave.std())


def slack_part(counted: Counted, trough: float, least: float) -> float:
    """Share of slack cycles by the groups of troughs; limits over the break force."""
    one = Troughs.stacked([counted.slack])
    return float(slack_shares(one, np.array([trough * FORCE]), np.array([least * FORCE]))[0, 0])


@pytest.mark.parametrize("trough", [0.01, 0.015, 0.02, 0.05])
def test_half_slack_record_keeps_its_low_troughs(trough: float) -> None:
    """Against the ASTM cycles themselves, one by one, to 2 %."""
    time = np.arange(0.0, 6 * 3600.0, 0.2)
    tension = np.where(time // 1800 % 2 < 1, 15e3, 200e3) + 4e3 * swell(time.size, 0.2)
    rows = cycles.rainflow(tension)
    low, number = rows[:, 1] - 0.5 * rows[:, 0], rows[:, 2]
    below = np.sum(number[low < trough * FORCE]) / number.sum()

    assert slack_part(count(Record(time, tension, {})), trough, 0.0) == pytest.approx(below, rel=0.02)
    assert below > 0.1


@pytest.mark.parametrize("least", [0.0, 0.05])
@pytest.mark.parametrize("sigmas", [0.8, 1.3, 1.9, 2.0, 2.5])
def test_groups_of_a_long_record_hold_the_share_of_its_own_cycles(sigmas: float, least: float) -> None:
    """Limits between the groups' averages: whole groups in or out are 4 to 12 % off. The ASTM cycles, to 2 %."""
    time = np.arange(0.0, 60 * 3600.0, 0.5)
    tension = 300e3 + 40e3 * swell(time.size, 0.5)
    rows = cycles.rainflow(tension)
    trough = 0.3 - 0.04 * sigmas
    slack = (rows[:, 1] - 0.5 * rows[:, 0] < trough * FORCE) & (rows[:, 0] >= least * FORCE)

    found = slack_part(count(Record(time, tension, {})), trough, least)
    assert found == pytest.approx(np.sum(rows[slack, 2]) / np.sum(rows[:, 2]), rel=0.02)


def test_noise_of_a_sensor_on_a_slack_line_is_no_compression() -> None:
    """15 kN of slack line with noise of 1 kN (0.1 % LDBF): thousands of troughs below 2 % LDBF, no cycle comes taut."""
    time = np.arange(0.0, 3600.0, 0.2)
    noise = np.random.default_rng(5).normal(0.0, 1e3, time.size)
    counted = count(Record(time, 15e3 + noise, {}))

    assert slack_part(counted, 0.02, 0.0) > 0.9
    assert slack_part(counted, 0.02, 0.01) == 0.0


def test_records_of_smooth_swell_and_the_same_with_noise_have_the_same_slack_cycles() -> None:
    """Noise adds small cycles; what goes slack and comes taut again stays, in cycles an hour, to 10 %."""
    time = np.arange(0.0, 6 * 3600.0, 0.2)
    smooth = 60e3 + 30e3 * swell(time.size, 0.2)
    noisy = smooth + np.random.default_rng(5).normal(0.0, 1e3, time.size)
    clean, rough = (count(Record(time, tension, {})) for tension in (smooth, noisy))

    assert rough.period < 0.5 * clean.period
    assert slack_part(rough, 0.02, 0.01) / rough.period == pytest.approx(
        slack_part(clean, 0.02, 0.01) / clean.period, rel=0.1
    )


# --- missing readings ----------------------------------------------------------------------------
# By hand: 1 m of record in 5 lost leaves 4/5 of the cycles in 4/5 of the time: cycles an hour and heat an hour stay.


def heat(counted: Counted) -> float:
    """Mean square amplitude over the period, which tension hysteresis goes with [N2/s]."""
    return float(np.sum(counted.weight * counted.amplitude**2)) / counted.period


@pytest.mark.parametrize(("lost", "length"), [(0.2, 1), (0.2, 40), (0.4, 100)])
def test_missing_readings_change_neither_cycles_nor_heat(tmp_path: Path, monkeypatch, lost: float, length: int) -> None:
    """Single readings and bursts of 8 and 20 s, in memory and in a kept log, to 5 %."""
    time = np.arange(0.0, 6 * 3600.0, 0.2)
    tension = 300e3 + 30e3 * swell(time.size, 0.2)
    gone = np.repeat(np.random.default_rng(4).random(time.size // length + 1) < lost, length)[: time.size]
    gone[[0, -1]] = False
    whole = count(Record(time, tension, {}))
    memory = count(Record(time[~gone], tension[~gone], {}))
    path, kept = tmp_path / "log.csv", tmp_path / "log.parquet"
    path.write_text(text_of(time, np.where(gone, np.nan, tension / 1e3)))
    monkeypatch.setattr(recognise, "SMALL", 10)
    import_file(path, store=kept)
    stored = count_stored(store.open_log(kept))

    for found in (memory, stored):
        assert found.duration + found.unrecorded == pytest.approx(whole.duration, rel=1e-6)
        assert heat(found) == pytest.approx(heat(whole), rel=0.05)
        assert found.period == pytest.approx(whole.period, rel=0.05 if length == 1 else 0.2)  # ends of bursts turn
    assert memory.unrecorded == pytest.approx(lost * whole.duration if length > 5 else 0.0, abs=0.02 * whole.duration)


def test_logger_that_writes_only_changes_keeps_its_time() -> None:
    """Steps of all lengths up to 50 s are this logger's way: nothing is lost."""
    time = np.cumsum(np.random.default_rng(6).uniform(1.0, 50.0, 2000))
    counted = count(Record(time, 300e3 + 1e3 * np.sin(time), {}))

    assert counted.unrecorded == 0.0


def test_gap_of_an_even_kept_log_is_left_out_in_full(tmp_path: Path, monkeypatch) -> None:
    path, kept = tmp_path / "log.csv", tmp_path / "log.parquet"
    path.write_text(text_of(*with_gap()))
    monkeypatch.setattr(recognise, "SMALL", 10)
    import_file(path, store=kept)

    assert count_stored(store.open_log(kept)).unrecorded == pytest.approx(500.5)
