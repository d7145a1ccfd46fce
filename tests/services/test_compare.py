"""Ropes against each other: closed forms of two lognormal lives, every pair, named ropes, what is said first."""

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from scipy import special
from scipy.stats import norm, qmc

from linewright.assessment.compare import compare
from linewright.assessment.runner import Variant
from linewright.assessment.whole import RopeResult
from linewright.base.data import Datum
from linewright.base.errors import InputError
from linewright.services.compare import compare_of, first_of, with_named
from linewright.services.compare_text import compare_lines, in_short
from linewright.services.study import open_study

N = 4096
STANDARD = "hmpe-standard-12-strand"


def rope(card: str, ages: Any, apart: Any = None, data: dict[str, Datum] | None = None) -> RopeResult:
    """A rope of which only lives and data are known."""
    found = data or {}
    line = SimpleNamespace(
        lives=SimpleNamespace(age=np.asarray(ages)),
        setup=SimpleNamespace(subject=SimpleNamespace(data=found)),
        used=tuple(found),
    )
    return RopeResult(Variant(card, "motion", False, "", {}), card, "", (line,), (None,), apart)  # type: ignore[arg-type]


def whole() -> Any:
    return SimpleNamespace(weights=np.ones(N))


def datum(value: float, basis: Any) -> Datum:
    return Datum("creep_rate", "number", value, value, value, basis, "a source")


def scores() -> Any:
    return special.ndtri(qmc.Sobol(2, rng=np.random.default_rng(3)).random(N).clip(1e-9, 1 - 1e-9))


def test_compare_when_lives_are_lognormal_gives_the_closed_form() -> None:
    # By hand: A = 4 exp(0.5 z). With the same ignorance B = 6 exp(0.5 z): the ratio is 1.5 in every draw and B
    # always wins. With laws unrelated ln B - ln A is normal with mean ln 1.5 and deviation 0.5 sqrt 2, so that
    # P(B > A) = Phi(ln 1.5 / (0.5 sqrt 2)) = Phi(0.5734) = 0.7168 (normal table, from memory 0.716 to 0.717).
    z = scores()
    first = rope("a", 4.0 * np.exp(0.5 * z[:, 0]))
    second = rope("b", 6.0 * np.exp(0.5 * z[:, 0]), 6.0 * np.exp(0.5 * z[:, 1]))
    found = compare(whole(), first, second)
    assert found.ratio == pytest.approx((1.5, 1.5, 1.5))
    assert found.shared == 1.0
    assert found.apart == pytest.approx(norm.cdf(np.log(1.5) / (0.5 * np.sqrt(2.0))), abs=0.01)  # 1/sqrt(4096) = 0.016
    assert norm.cdf(0.5734) == pytest.approx(0.717, abs=1e-3)


def test_compare_when_spreads_differ_gives_the_quantiles_of_a_lognormal_ratio() -> None:
    # By hand: A = 4 exp(0.3 z1), B = 4 exp(0.4 z2): ln(B/A) has deviation 0.5, so P10 = exp(-1.2816 * 0.5) = 0.527,
    # P50 = 1, P90 = 1.898; the point 1.2816 is that of the normal table.
    z = scores()
    found = compare(whole(), rope("a", 4.0 * np.exp(0.3 * z[:, 0])), rope("b", 4.0 * np.exp(0.4 * z[:, 1])))
    assert found.ratio == pytest.approx((0.527, 1.0, 1.898), rel=0.02)
    assert found.shared == pytest.approx(0.5, abs=0.01)


def test_compare_when_both_are_of_one_card_draws_one_law() -> None:
    z = scores()
    first, second = rope("a", 4.0 * np.exp(z[:, 0])), rope("a", 5.0 * np.exp(z[:, 0]), 5.0 * np.exp(z[:, 1]))
    found = compare(whole(), first, second)
    assert (found.shared, found.apart) == (1.0, 1.0)


def test_compare_when_life_passes_the_horizon_says_at_least() -> None:
    # All of B is cut at 30 years: the true ratio can only be larger; with both cut nothing is known.
    ages = np.full(N, 10.0)
    assert compare(whole(), rope("a", ages), rope("b", np.full(N, 30.0))).bounds == ("at least",) * 3
    assert compare(whole(), rope("a", np.full(N, 30.0)), rope("b", ages)).bounds == ("at most",) * 3
    assert compare(whole(), rope("a", np.full(N, 30.0)), rope("b", np.full(N, 30.0))).bounds == ("open",) * 3


@pytest.mark.parametrize(
    ("bases", "estimates"), [(("estimate", "estimate"), ("creep_rate",)), (("estimate", "measured"), ())]
)
def test_compare_when_a_datum_differs_marks_estimates_on_both_sides(bases: Any, estimates: Any) -> None:
    ages = np.ones(N)
    one, two = (rope(name, ages, data={"creep_rate": datum(value, basis)})
                for name, value, basis in zip("ab", (1.0, 2.0), bases, strict=True))  # fmt: skip
    found = compare(whole(), one, two)
    assert (found.rests_on, found.estimates) == (("creep_rate",), estimates)
    assert found.is_estimate_only is bool(estimates)
    assert compare(whole(), one, replace(one)).rests_on == ()


def pair(rope_: str, against: str, shared: float, apart: float) -> dict[str, Any]:
    return {"rope": rope_, "against": against, "estimates_only": True,
            "outlives": {"same_ignorance": shared, "independent": apart}}  # fmt: skip


def ropes(*lives: float | None) -> list[dict[str, Any]]:
    return [
        {"letter": letter, "name": f"rope {letter}",
         "life": None if life is None else {"p50": life, "p90": 2 * life, "beyond": False}}
        for letter, life in zip("ABC", lives, strict=False)
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("shared", "apart", "verdict", "said"),
    [
        (0.99, 0.95, "firm", "lasts longest: it outlives A, the next, in 99 of 100 draws, 95"),
        (0.99, 0.6, "common", "but only in 60 if their laws are unrelated"),
        (0.7, 0.6, "open", "No rope lasts longest for certain"),
    ],
)
def test_first_when_chances_differ_is_as_firm_as_they_are(shared: float, apart: float, verdict: str, said: str) -> None:
    pairs, rows = [pair("B", "A", shared, apart)], ropes(4.0, 6.0, None)
    first = first_of(pairs, rows)
    assert (first["rope"], first["nearest"], first["verdict"]) == ("B", "A", verdict)
    text = in_short({"first": first, "ropes": rows, "pairs": pairs, "horizon": 30.0})
    assert said in text
    assert "differ by estimates only" in text


def test_first_when_the_older_letter_wins_turns_the_chances_round() -> None:
    first = first_of([pair("B", "A", 0.02, 0.05)], ropes(8.0, 4.0))
    assert (first["rope"], first["verdict"]) == ("A", "firm")
    assert first["same_ignorance"] == pytest.approx(0.98)
    assert first["independent"] == pytest.approx(0.95)


def test_first_when_nothing_can_be_ranked_says_so() -> None:
    alone, none = ropes(4.0, None), ropes(None)
    told = {"pairs": [], "horizon": 30.0}
    assert "Only A, rope A, can be ranked" in in_short({**told, "ropes": alone, "first": first_of([], alone)})
    assert "No rope can be ranked" in in_short({**told, "ropes": none, "first": first_of([], none)})


def test_compare_of_when_a_study_is_read_has_every_pair_and_never_ranks_a_refused_rope(told_study: Path) -> None:
    row = compare_of(told_study)
    assert row["schema"] == "linewright.compare/1"
    refused = {item["letter"] for item in row["ropes"] if item["life"] is None}
    assert refused == {"D", "E"}
    assert {(item["against"], item["rope"]) for item in row["pairs"]} == {("A", "B"), ("A", "C"), ("B", "C")}
    text = "\n".join(compare_lines(row))
    assert "D  Polyester, parallel strands, 66 mm, same load: not comparable: D/d" in text
    assert all(len(line) <= 120 for line in text.splitlines())


def test_compare_of_when_a_rope_is_named_takes_it_in(told_study: Path) -> None:
    row = compare_of(told_study, ["lcp-12-strand, 36 mm"], 256)
    named = row["ropes"][-1]
    assert (named["card"], named["same"], named["diameter"]) == ("lcp-12-strand", "motion", pytest.approx(0.036))
    assert named["life"] is not None or named["not_comparable"].startswith("not comparable: ")


def test_named_when_the_case_has_it_already_is_not_added(told_study: Path) -> None:
    case, shelf = open_study(told_study).read()
    assert with_named(case, shelf, ["hmpe-low-creep-12-strand"]) == case.compared
    twice = with_named(case, shelf, [f"{STANDARD}, 44 mm", f"{STANDARD} , 44 mm"])
    assert len(twice) == len(case.compared) + 1


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("hmpe-low-crep-12-strand", "did you mean hmpe-low-creep-12-strand?"),
        ("", "There is no rope card ''."),
        (f"{STANDARD}, 44", "a diameter from 5 mm to 500 mm"),
        (f"{STANDARD}, 44 kN", "a diameter from 5 mm to 500 mm"),
        (f"{STANDARD}, -44 mm", "a diameter from 5 mm to 500 mm"),
        (f"{STANDARD}, 44 m", "a diameter from 5 mm to 500 mm"),
    ],
)
def test_named_when_it_cannot_be_is_refused(told_study: Path, text: str, said: str) -> None:
    with pytest.raises(InputError) as refused:
        compare_of(told_study, [text])
    assert said in refused.value.render()
    assert "--rope" in refused.value.render() or not text


@pytest.mark.parametrize("samples", [0, -1, 255, 300, 16384])
def test_samples_when_they_are_no_power_of_two_within_limits_are_refused(told_study: Path, samples: int) -> None:
    with pytest.raises(InputError, match="256, 512"):
        compare_of(told_study, (), samples)
