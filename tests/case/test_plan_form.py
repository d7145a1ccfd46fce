"""The table `[plan]` of a case: what it takes, what it refuses, and that it stays out of other results."""

from pathlib import Path

import pytest

from linewright.base.errors import InputError
from linewright.case.form import read_case
from linewright.case.model import Case, Plan

CASE = """
format = 1
title = "One berth"
[ship]
design_break_load = "900 kN"
[[line]]
name = "springs"
rope = "hmpe-standard-12-strand"
inboard_length = "10 m"
outboard_length = "35 m"
[[berth]]
name = "Berth"
climate = "swell-coast-monthly"
calls_per_year = 25
hours_per_call = "36 h"
[[berth.state]]
name = "calm"
share = "100 %"
tension.springs = { mean = "15 %LDBF", amplitude = "0 kN" }
"""  # invented


def read(folder: Path, plan: str) -> Case:
    path = folder / "case.toml"
    path.write_text(f"{CASE}{plan}", encoding="utf-8")
    return read_case(path)


def test_plan_when_left_out_has_its_defaults(tmp_path: Path) -> None:
    assert read(tmp_path, "").plan == Plan(25.0, None, 1.5)


def test_plan_when_given_is_in_years_and_keeps_its_lines(tmp_path: Path) -> None:
    plan = read(tmp_path, '[plan]\nship_life = "30 years"\ndocking = "30 months"\nprice_per_kg = 14\nspares = 2\n').plan
    assert plan.ship_life == pytest.approx(30.0, rel=1e-4)  # 365.2425 or 365.25 days
    assert plan.docking == pytest.approx(2.5, rel=1e-4)
    assert (plan.price_per_kg, plan.price_per_line, plan.spares) == (14.0, None, 2)
    assert {datum.key: datum.source for datum in plan.typed} == {
        "ship_life": "case.toml:21", "docking": "case.toml:22", "price_per_kg": "case.toml:23",
    }  # fmt: skip


def test_plan_when_it_holds_prices_keeps_them_out_of_what_a_run_rests_on(tmp_path: Path) -> None:
    case = read(tmp_path, "[plan]\nprice_per_kg = 14\n")
    assert "price_per_kg" not in {datum.key for datum in case.typed}


@pytest.mark.parametrize(
    ("plan", "said"),
    [
        ('ship_life = "0 years"', "a ship's life more than 0 and at most 60 years"),
        ('ship_life = "-3 years"', "a ship's life more than 0"),
        ('ship_life = "99 years"', "at most 60 years"),
        ("ship_life = 25", "write"),
        ('docking = "30 years"', "at most the ship's life, 25 years"),
        ('ship_life = "4 years"\ndocking = "5 years"', "at most the ship's life, 4 years"),
        ('docking = "1 day"', "a time between dockings"),
        ("price_per_kg = -1", "a price from 0"),
        ('price_per_kg = "14 EUR"', "a number"),
        ("price_per_kg = 14\nprice_per_line = 3000", "one price of the rope"),
        ("co2e_per_kg = -0.1", "kg CO2e per kg from 0"),
        ("spares = -1", "0 or more"),
        ("spares = 1.5", "whole number"),
        ('tail_interval = "0 months"', "a time from 0.1 to 30 years"),
        ("price_per_kgg = 14", "did you mean price_per_kg?"),
    ],
)
def test_plan_when_wrong_is_refused_with_its_line(tmp_path: Path, plan: str, said: str) -> None:
    with pytest.raises(InputError) as refused:
        read(tmp_path, f"[plan]\n{plan}\n")
    assert said in refused.value.render()
    assert "case.toml:2" in refused.value.render()
