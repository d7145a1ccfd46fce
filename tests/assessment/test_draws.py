"""Samples: the central row, shared and separate columns, quantiles, curves."""

import dataclasses

import numpy as np
import pytest

from linewright.assessment.draws import Draws, column, score_matrix
from linewright.assessment.temperature import activated
from linewright.base.data import Curve, Datum
from linewright.physics import creep

SAMPLES = 4096


def datum(key: str, value: float, low: float, high: float, **other: object) -> Datum:
    plain = Datum(key, "number", value, low, high, "estimate", "own", shape="lognormal")
    return dataclasses.replace(plain, **other)


def drawn(*data: Datum, apart: str = "", laws: frozenset[str] = frozenset(), samples: int = SAMPLES) -> Draws:
    table = {one.key: one for one in data}
    plain = Draws(table, {}, samples, apart, laws)
    return dataclasses.replace(plain, scores=score_matrix(plain.columns, samples, 5))


def test_scores_when_drawn_keep_row_zero_for_the_central_case() -> None:
    scores = score_matrix(["b", "a", "c"], 256, 3)
    assert all(values[0] == 0.0 for values in scores.values())


def test_scores_when_drawn_again_are_the_same_and_another_seed_differs() -> None:
    one, again, other = (score_matrix(["a", "b"], 256, seed) for seed in (3, 3, 4))
    np.testing.assert_array_equal(one["a"], again["a"])
    assert not np.array_equal(one["a"], other["a"])


def test_scores_when_columns_are_added_behind_stay_where_they_are() -> None:
    # A rope compared in addition must not move the samples of the others.
    few, more = score_matrix(["a", "b"], 128, 3), score_matrix(["a", "b", "a", "c"], 128, 3)
    np.testing.assert_array_equal(few["a"], more["a"])
    np.testing.assert_array_equal(few["b"], more["b"])
    assert list(more) == ["a", "b", "c"]


def test_scores_when_many_are_normal_and_unrelated() -> None:
    # A standard normal sample of 4096 scrambled Sobol' points: mean within 0.01 (0.6/sqrt(n) even if it were plain
    # random), deviation 1 within 1 %, correlation within 0.05 (three standard errors).
    scores = np.stack(list(score_matrix([f"k{n}" for n in range(40)], SAMPLES, 9).values()))
    assert np.abs(scores.mean(axis=1)).max() < 0.01
    assert np.abs(scores.std(axis=1) - 1.0).max() < 0.01
    assert np.abs(np.corrcoef(scores) - np.eye(40)).max() < 0.05


def test_samples_when_sorted_have_low_and_high_at_five_and_ninety_five_percent() -> None:
    # Definition of low and high; 4096 quasi-random points: a rank is worth 0.024 %, 0.5 % of the value allowed.
    values = drawn(datum("a", 10.0, 4.0, 15.0)).of("a", 1)
    np.testing.assert_allclose(np.quantile(values, [0.05, 0.5, 0.95]), [4.0, 10.0, 15.0], rtol=0.005)
    assert values[0] == 10.0


@pytest.mark.parametrize(
    ("one", "other", "shared"),
    [
        ({"basis": "estimate", "source": "s"}, {"basis": "estimate", "source": "t"}, True),
        ({"basis": "measured", "source": "s"}, {"basis": "measured", "source": "s"}, True),
        ({"basis": "measured", "source": "s"}, {"basis": "measured", "source": "t"}, False),
        ({"basis": "estimate", "source": "s"}, {"basis": "measured", "source": "s"}, False),
    ],
)
def test_columns_when_two_ropes_have_the_same_key_are_shared_as_documented(
    one: dict[str, str], other: dict[str, str], shared: bool
) -> None:
    # Shared when both are estimates (one ignorance) or cite the same source; measurements of their own are apart.
    names = [column(datum("a", 1.0, 0.5, 2.0, **words)) for words in (one, other)]
    assert (names[0] == names[1]) is shared


def test_columns_when_laws_are_apart_belong_to_the_rope_alone() -> None:
    one = datum("a", 1.0, 0.5, 2.0)
    apart = Draws({"a": one}, {}, 8, "rope b", frozenset({"a"}))
    assert apart.columns != Draws({"a": one}, {}, 8).columns
    # What is not a law of the rope (a contact's datum) stays shared.
    assert Draws({"a": one}, {}, 8, "rope b").columns == Draws({"a": one}, {}, 8).columns


def test_draws_when_asked_list_what_they_were_asked_for() -> None:
    draws = drawn(datum("a", 1.0, 0.5, 2.0), datum("b", 1.0, 0.5, 2.0))
    draws.of("b")
    assert draws.asked == {"b"}
    draws.block(slice(0, 8)).of("a")
    assert draws.asked == {"a", "b"}


def test_draws_when_split_in_blocks_are_the_same_samples() -> None:
    draws = drawn(datum("a", 1.0, 0.5, 2.0))
    parts = [draws.block(slice(start, start + 1024)).of("a", 1) for start in range(0, SAMPLES, 1024)]
    np.testing.assert_array_equal(np.concatenate(parts), draws.of("a", 1))


def test_fixed_datum_when_sampled_is_one_number() -> None:
    draws = drawn(datum("a", 3.0, 3.0, 3.0, shape="fixed"))
    assert draws.of("a").shape == (1, 1, 1, 1)
    assert draws.columns == []


CURVE = Curve("temperature", (290.0, 330.0), (1.0, 0.7), (0.9, 0.5), (1.05, 0.8))


def test_curve_when_sampled_runs_from_low_to_high_with_one_rank() -> None:
    # Definition: at the 5 % score the whole curve is the low one, at 95 % the high one, and it never crosses itself.
    draws = drawn(datum("f", 0.7, 0.5, 0.8, curve=CURVE))
    at = np.broadcast_to(np.array([290.0, 330.0]), (SAMPLES, 2))
    found = draws.curve("f", at)
    np.testing.assert_allclose(np.quantile(found, 0.05, axis=0), CURVE.low, rtol=0.005)
    np.testing.assert_allclose(np.quantile(found, 0.95, axis=0), CURVE.high, rtol=0.005)
    np.testing.assert_allclose(found[0], CURVE.value)
    np.testing.assert_array_equal(np.argsort(found[:, 0], kind="stable"), np.argsort(found[:, 1], kind="stable"))


# --- the anchored creep law ---------------------------------------------------------------------------------


def anchored() -> Draws:
    parts = {
        "creep_rate_constant": (1e13, 3e12, 4e13, "lognormal"),
        "creep_activation_energy": (145e3, 135e3, 155e3, "normal"),
        "creep_activation_volume": (4.5e-29, 4e-29, 5.2e-29, "lognormal"),
        "creep_crossover_stress": (1.2e9, 1.2e9, 1.2e9, "fixed"),
        "creep_high_stress_volume": (2e-29, 2e-29, 2e-29, "fixed"),
        "creep_anchor_temperature": (343.15, 343.15, 343.15, "fixed"),
        "creep_anchor_stress": (0.6e9, 0.6e9, 0.6e9, "fixed"),
    }
    return drawn(*(datum(key, *band, shape=shape) for key, (*band, shape) in parts.items()), samples=1024)


def test_creep_law_when_at_its_anchor_moves_by_the_rate_constants_band_only() -> None:
    # H, v and e0 were found together: at the anchor ln(rate) has e0's scores, whatever H and v are.
    draws = anchored()
    rate = creep.creep_rate(activated(draws, 1), 0.6e9, 343.15)
    np.testing.assert_allclose(rate / rate[0], draws.of("creep_rate_constant", 1) / 1e13, rtol=1e-9)


def test_creep_law_when_away_from_its_anchor_moves_by_more() -> None:
    # At 20 C the band of H adds: +-10 kJ/mol over 1/293 - 1/343 is a factor 1.8 either way.
    draws = anchored()
    law = activated(draws, 1)
    here, there = (np.std(np.log(creep.creep_rate(law, 0.6e9, kelvin))) for kelvin in (343.15, 293.15))
    assert there > 1.05 * here


def test_creep_law_when_it_has_no_anchor_is_the_cards() -> None:
    full = anchored()
    data = {key: one for key, one in full.data.items() if "anchor" not in key}
    law = activated(dataclasses.replace(full, data=data), 1)
    np.testing.assert_array_equal(law.rate_constant, full.of("creep_rate_constant", 1))
