"""Spectra and responses over frequency, from CSV and from a buoy's file."""

from pathlib import Path

import numpy as np
import pytest

from linewright.base.errors import InputError
from linewright.importers.curves import read_curve


def curve(folder: Path, text: str):
    path = folder / "curve.csv"
    path.write_text(text, encoding="utf-8")
    return read_curve(path)


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("f,S\nHz,m2/Hz\n0.05,1\n0.06,2\n", "wave or motion", 2.0),
        ("f [Hz];S [kN2/Hz]\n0,05;1,5\n0,06;2,5\n", "spectrum of tension", 2.5e6),
        ("period (s)\tRAO (kN/m)\n20\t40\n10\t30\n", "tension per wave", 30e3),
        ("T [s],surge [m/m]\n100,1.2\n10,0.1\n", "motion per wave", 0.1),
        ("f [Hz],H [tf/m]\n0.05,1\n0.06,2\n", "tension per wave", 2.0 * 9806.65),
    ],
)
def test_curve_when_units_are_stated_then_it_is_in_si_over_rising_frequency(tmp_path: Path, text, kind, value) -> None:
    found = curve(tmp_path, text)

    assert found.kind == kind
    assert np.all(np.diff(found.frequency) > 0.0)
    assert found.values[-1] == pytest.approx(value)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("f,S\n0.05,1\n0.06,2\n", "Hz or s"),
        ("T [s],S [m2/Hz]\n20,1\n10,2\n", "density over frequency"),
        ("f [Hz],S [m2/Hz]\n0.05,1\n0.05,2\n", "every frequency once"),
        ("f [Hz],S [m2/Hz]\n0.05,-1\n0.06,2\n", "below zero"),
        ("f [Hz],S [m2/Hz]\n0.05,1\n0.06,x9\n0.07,1\n", "curve.csv:3"),
        ("T [s],H [kN/m]\n0,1\n10,2\n", "above zero"),
    ],
)
def test_curve_when_it_cannot_be_one_then_the_reason_is_named(tmp_path: Path, text: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        curve(tmp_path, text)
    assert says in caught.value.render()


def test_curve_of_a_buoy_is_the_mean_of_its_spectra(tmp_path: Path) -> None:
    path = tmp_path / "buoy.data_spec"
    path.write_text(
        "#YY  MM DD hh mm Sep_Freq  < spec_1 (freq_1) spec_2 (freq_2) ... >\n"
        "2026 07 02 12 40 9.999 0.000 (0.050) 2.000 (0.060) 1.000 (0.070)\n"
        "2026 07 02 11 40 9.999 0.000 (0.050) 4.000 (0.060) 1.000 (0.070)\n"
    )
    found = read_curve(path)

    np.testing.assert_allclose(found.frequency, [0.05, 0.06, 0.07])
    np.testing.assert_allclose(found.values, [0.0, 3.0, 1.0])
    assert found.notes == ("mean of 2 wave spectra",)
