"""Temperatures in depth say, as a run does, what no line can carry."""

from pathlib import Path

from linewright.services.demo import write_demo
from linewright.services.depth import depth_of
from linewright.services.depth_text import depth_lines


def test_heat_of_a_mean_beyond_the_break_force_is_told_with_the_refusal_of_the_run(tmp_path: Path) -> None:
    """By hand: 120 % of 1230 kN and 46.1 kN sqrt(2 ln(36 h x 19.4 % / 11 s)) = 1476 + 181 kN."""
    root = tmp_path / "demo"
    write_demo(root)
    case = root / "case.toml"
    text = case.read_text(encoding="utf-8")
    assert 'mean = "36 %LDBF"' in text
    before = depth_of(root, state="ordinary")
    case.write_text(text.replace('mean = "36 %LDBF"', 'mean = "120 %LDBF"'), encoding="utf-8")
    row = depth_of(root, state="ordinary")

    assert before["refusals"] == []
    (refusal,) = row["refusals"]
    assert refusal == "highest tension 1657 kN exceeds the break force 1230 kN in North Quay, winter gale"
    assert f"! {refusal}" in depth_lines(row)
