"""`spread` as a user runs it."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from tests.assessment.conftest import SMALL

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture(scope="module")
def study(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("spread")
    (folder / "case.toml").write_text(SMALL, encoding="utf-8")
    return folder


def test_spread_when_asked_for_json_prints_every_part(run: Run, study: Path) -> None:
    code, out, _ = run("spread", str(study), "--json")
    row = json.loads(out)
    assert code == 0
    assert row["schema"] == "linewright.spread/1"
    assert row["life"]["p10"] <= row["life"]["p50"] <= row["life"]["p90"]
    assert len(row["indices"]) == 11
    assert {item["name"] for item in row["rules"]} >= {
        "damages of all mechanisms summed to 1", "the weakest mechanism alone to damage 1",
    }  # fmt: skip


def test_spread_when_evidence_is_in_says_so(run: Run, study: Path, tmp_path: Path) -> None:
    known = '[[evidence]]\nline = "springs"\nretired_at = "3 years"\n'
    text = SMALL.replace("samples = 256", "samples = 1024")
    (tmp_path / "case.toml").write_text(f"{text}\n{known}", encoding="utf-8")
    code, out, _ = run("spread", str(tmp_path))
    assert code == 0
    assert "weighted by evidence" in out.splitlines()[0]


def test_spread_when_evidence_is_refused_says_so_first(run: Run, tmp_path: Path) -> None:
    known = '[[evidence]]\nline = "springs"\nretired_at = "29 years"\ndoubt = "2 %"\n'
    (tmp_path / "case.toml").write_text(f"{SMALL}\n{known}", encoding="utf-8")
    for verb in ("spread", "along"):
        code, out, _ = run(verb, str(tmp_path))
        assert code == 0
        assert out.startswith("Evidence REFUSED")


def test_run_when_evidence_contradicts_says_so_first(run: Run, tmp_path: Path) -> None:
    known = '[[evidence]]\nline = "springs"\nretired_at = "29 years"\ndoubt = "2 %"\n'
    (tmp_path / "case.toml").write_text(f"{SMALL}\n{known}", encoding="utf-8")
    code, out, _ = run("run", str(tmp_path), "--no-keep")
    assert code == 0
    assert out.splitlines()[0].startswith("Evidence REFUSED")
    assert "no draw comes near it: the retirement at case.toml:" in " ".join(out.split())
    assert "and still miss it" in " ".join(out.split())


def test_spread_when_the_rope_on_board_is_refused_ends_with_2(run: Run, tmp_path: Path) -> None:
    sharp = SMALL.replace('bend_radius = "0.2 m"', 'bend_radius = "0.03 m"')
    (tmp_path / "case.toml").write_text(sharp, encoding="utf-8")
    code, _, err = run("spread", str(tmp_path))
    assert code == 2
    assert "has no life" in err


def test_spread_when_samples_are_wrong_ends_with_2(run: Run, study: Path) -> None:
    code, _, err = run("spread", str(study), "--samples", "300")
    assert code == 2
    assert "a power of 2" in err


def test_along_when_asked_tells_metres_and_dates(run: Run, study: Path) -> None:
    code, out, _ = run("along", str(study), "--crop", "3 m", "--json")
    row = json.loads(out)
    assert code == 0
    (line,) = row["lines"]
    assert line["length"] == 55.0
    assert line["contacts"][0]["metre"] == pytest.approx(40.0)
    assert [item["operation"] for item in line["operations"]] == ["turn end for end", "cut 3 m off at the shore end"]
    for done in line["operations"]:
        assert done["best"]["life"]["p50"] >= max(item["life"]["p50"] for item in done["dates"]) * 0.999
    assert len(line["profile"]["metre"]) == len(line["profile"]["years"])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--crop", "3"), "length"),
        (("--crop", "-3 m"), "5 cm to 100 m"),
        (("--crop", "60 m"), "at most 11 m"),
        (("--crop", "nan m"), "a number"),
        (("--line", "sprngs"), "did you mean springs"),
    ],
)
def test_along_when_input_is_wrong_ends_with_2_and_what_is_needed(
    run: Run, study: Path, words: tuple[str, ...], said: str
) -> None:
    code, _, err = run("along", str(study), *words)
    assert code == 2
    assert said in err


def test_why_when_asked_for_evidence_says_that_it_weights(run: Run, tmp_path: Path) -> None:
    known = '[[evidence]]\nline = "springs"\nresidual = "1100 kN"\nage = "2 years"\n'
    text = SMALL.replace("samples = 256", "samples = 1024")
    (tmp_path / "case.toml").write_text(f"{text}\n{known}", encoding="utf-8")
    assert run("run", str(tmp_path))[0] == 0
    code, out, _ = run("why", str(tmp_path), "residual")
    assert code == 0
    assert "the weights of all draws" in " ".join(out.split())
