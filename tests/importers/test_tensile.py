"""Tensile tests: break force before the drop, elongation from the gauge length only. Samples are invented."""

import numpy as np
import pytest

from linewright.base.errors import InputError


def test_sample_good_with_a_preamble_and_a_units_row(read, told) -> None:
    found = read("tensile_good_preamble_units_row.csv")

    (pull,) = found.content
    assert found.report.kind == "tensile"
    assert (pull.break_force, pull.time) == (pytest.approx(1352.0e3), 60.0)
    assert found.report.notes["specimen"]["Gauge length (m)"] == "4.000"
    assert found.report.notes["specimen"]["Rope diameter (mm)"] == "44"
    rows = found.values["Extension"]
    assert pull.elongation == pytest.approx(rows[-2] / 4.0)  # the row after the break is not used
    assert told.flags(found)["after-break"] == "note"


def test_sample_in_german_with_newtons(read) -> None:
    """1 045 000 N is 80.4 % of an SDMBL of 1300 kN and 78.0 % of an LDBF of 1340 kN (quotients)."""
    found = read("tensile_german_newton_decimalcomma.csv", ldbf="1340 kN", sdmbl="1300 kN")

    (pull,) = found.content
    assert pull.break_force == pytest.approx(1045.0e3)
    shares = {row["base"]: row["percent"] for row in found.report.notes["percent_of_strength"]}
    assert shares["SDMBL"] == pytest.approx(80.4, abs=0.05)
    assert shares["LDBF"] == pytest.approx(78.0, abs=0.05)
    assert np.isnan(pull.elongation)  # travel of the crosshead is no elongation
    assert [column.unit for column in found.report.columns] == ["s", "m", "kN"]


def test_test_when_two_specimens_follow_each_other_then_each_has_its_break(made) -> None:
    rows = "".join(
        f"{t},{d},{f}\n" for _ in range(2) for t, d, f in ((0, 0, 0), (1, 10, 500), (2, 20, 900), (3, 21, 10))
    )
    found = made("Time [s],Extension [mm],Load [kN]\n" + rows)

    assert [pull.break_force for pull in found.content] == [900e3, 900e3]


def test_test_when_preload_cycles_and_a_slip_are_noted_then_they_are_said(made, told) -> None:
    text = "Remark:;slipped in the grip\nGauge length:;2.0 m\nTime;Extension;Load\ns;mm;kN\n"
    loads = [0, 200, 10, 200, 10, 400, 800, 1000, 5]
    found = made(text + "".join(f"{t};{t * 5};{load}\n" for t, load in enumerate(loads)))

    flags = told.flags(found)
    assert flags["break-unsound"] == "caution"
    assert flags["preload"] == "note"
    assert found.content[0].elongation == pytest.approx(0.035 / 2.0)


def test_test_when_a_percentage_base_is_no_force_then_it_is_refused(read) -> None:
    with pytest.raises(InputError, match="ldbf"):
        read("tensile_german_newton_decimalcomma.csv", ldbf="1340")


def test_force_when_no_line_carries_it_is_no_break(made, told) -> None:
    found = made("t [s],Force [kN],Extension [mm]\n0,0,0\n1,400,10\n2,1e30,20\n3,900,30\n4,100,40\n")
    (pull,) = found.content
    assert pull.break_force == pytest.approx(900e3)
    assert told.flags(found)["implausible"] == "caution"
