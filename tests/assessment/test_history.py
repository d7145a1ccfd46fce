"""Histories judged: cycles by range, levels, slack troughs and equivalent amplitudes, in memory and in blocks."""

from pathlib import Path

import numpy as np
import pytest
import rainflow as library

from linewright.assessment.history import Options, judge
from linewright.importers import recognise, store, tension
from linewright.importers.model import Record
from linewright.importers.recognise import import_file


def sine(amplitude: float = 50e3, mean: float = 200e3) -> Record:
    time = np.arange(0.0, 1000.0, 0.25)
    return Record(time, mean + amplitude * np.sin(2.0 * np.pi * time / 10.0), {})


def test_history_of_a_sine_is_that_of_its_closed_form() -> None:
    """By hand: 100 cycles of range 100 kN, deviation 50/sqrt 2 kN; above mean + 25 kN for a third of the time."""
    found = judge(sine(), Options(exponents=(5.0,), levels=(225e3,), slack=160e3))

    assert found.cycles == pytest.approx(100.0, abs=1.0)
    assert found.deviation == pytest.approx(50e3 / np.sqrt(2.0), rel=1e-3)
    assert found.equivalent[0] == pytest.approx(50e3, rel=0.01)
    assert found.above[0, 0] == pytest.approx(1000.0 / 3.0 / 3600.0, rel=0.01)
    assert found.above[0, 1] == 100.0
    assert found.slack_cycles == pytest.approx(found.cycles, abs=1.0)
    assert found.sampling.verdict == "ok"
    assert found.sampling.samples_per_period == pytest.approx(40.0, rel=0.02)


def test_history_of_noise_has_the_damage_of_the_rainflow_library() -> None:
    """Referee: the library rainflow on the same readings (ASTM E1049-85, half cycles for the residue)."""
    values = 300e3 + 20e3 * np.random.default_rng(4).normal(size=5000)
    found = judge(Record(np.arange(5000.0), values, {}), Options(exponents=(3.0, 9.0)))
    rows = np.array([(0.5 * span, number) for span, _, number, _, _ in library.extract_cycles(values)])

    assert found.cycles == pytest.approx(rows[:, 1].sum())
    for n, exponent in enumerate((3.0, 9.0)):
        theirs = (np.sum(rows[:, 1] * rows[:, 0] ** exponent) / rows[:, 1].sum()) ** (1.0 / exponent)
        assert found.equivalent[n] == pytest.approx(theirs, rel=1e-9)
    assert found.classes[:, 2].sum() == pytest.approx(found.cycles)


@pytest.mark.parametrize(("residue", "cycles"), [("half", 4.0), ("repeat", 4.0), ("drop", 1.0)])
def test_history_counts_the_residue_by_the_rule_named(residue: str, cycles: float) -> None:
    """E1049-85, the worked example: 4.0 cycles with halves (5.4.4), 4 whole ones repeated (5.4.5), 1 closed."""
    values = np.array([-2, 1, -3, 5, -1, 3, -4, 4, -2]) * 100e3 + 500e3
    found = judge(Record(np.arange(9.0), values, {}), Options(residue=residue))

    assert found.cycles == cycles


def test_history_with_a_filter_passes_over_small_reversals() -> None:
    rough = sine().tension + 1e3 * np.random.default_rng(5).normal(size=4000)
    whole, gated = (judge(Record(sine().time, rough, {}), Options(hysteresis=gate)) for gate in (0.0, 10e3))

    assert whole.cycles > 150.0
    assert gated.cycles == pytest.approx(100.0, abs=1.0)


def test_history_kept_in_a_file_is_judged_as_in_memory(tmp_path: Path, monkeypatch) -> None:
    rng = np.random.default_rng(6)
    load = 300.0 + 60.0 * np.sin(np.arange(3000) / 3.0) + rng.normal(0.0, 5.0, 3000)
    path, kept = tmp_path / "log.csv", tmp_path / "log.parquet"
    rows = (f"{n + (900 if n > 2000 else 0)},{value:.3f}" for n, value in enumerate(load))
    path.write_text("t_s,L1_kN\n" + "\n".join(rows))
    options = Options(levels=(320e3,), slack=250e3)
    whole = judge(tension.read_record(path), options)
    monkeypatch.setattr(recognise, "SMALL", 10)
    monkeypatch.setattr(store, "BLOCK", 257)
    import_file(path, store=kept)
    streamed = judge(store.open_log(kept), options)

    assert streamed.cycles == whole.cycles
    np.testing.assert_allclose(streamed.equivalent, whole.equivalent, rtol=1e-9)
    np.testing.assert_allclose(streamed.classes, whole.classes, rtol=1e-6)
    assert streamed.duration == pytest.approx(whole.duration)
    assert streamed.above[0, 0] == pytest.approx(whole.above[0, 0], rel=1e-6)
    assert streamed.slack_cycles == pytest.approx(whole.slack_cycles)
