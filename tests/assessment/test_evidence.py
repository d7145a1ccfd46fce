"""Evidence weights the draws: against the conjugate normal answer, and through a whole case."""

from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
from scipy import stats

from linewright.assessment import evidence
from linewright.assessment.compare import compare
from linewright.assessment.evidence import effective_number, log_likelihood, tempered
from linewright.assessment.whole import assess_case
from linewright.case.model import Evidence

SEEN = '[[compare]]\nrope = "hmpe-very-low-creep-12-strand"'


def scores(samples: int) -> np.ndarray:
    return stats.norm.ppf(stats.qmc.Sobol(1, rng=np.random.default_rng(1)).random(samples)[:, 0])


def aged(ages: np.ndarray) -> Any:
    """A line whose draws end at these ages."""
    return cast(Any, SimpleNamespace(blocks=SimpleNamespace(marks=np.zeros((len(ages), 2, 0)), ended=ages)))


@pytest.mark.parametrize(("spread", "doubt", "seen"), [(0.8, 0.3, 6.0), (0.5, 0.5, 3.0)])
def test_life_when_a_retirement_is_known_follows_the_conjugate_normal(spread: float, doubt: float, seen: float) -> None:
    # By hand: ln L ~ N(ln 4.6, s), seen ln y with sd d: mean (ln 4.6/s^2 + ln y/d^2)/(1/s^2 + 1/d^2), variance
    # 1/(1/s^2 + 1/d^2) (Gelman et al., Bayesian Data Analysis, section 2.5, from memory).
    # s 0.8, d 0.3, y 6: 5.80 years,
    # sd 0.281.
    logs = np.log(4.6) + spread * scores(4096)
    known = Evidence("retired_at", "springs", seen, doubt)
    weights = np.exp(log_likelihood(known, cast(Any, None), aged(np.exp(logs)), {}))
    precision = spread**-2 + doubt**-2
    mean = np.average(logs, weights=weights)
    assert mean == pytest.approx((np.log(4.6) / spread**2 + np.log(seen) / doubt**2) / precision, abs=2e-3)
    assert np.average((logs - mean) ** 2, weights=weights) == pytest.approx(1.0 / precision, rel=0.01)


def test_life_when_a_line_is_still_good_is_cut_below_its_age() -> None:
    # A tight doubt turns the probit into a cut: the mean of a normal cut below 0 is phi(0)/0.5 = 0.7979 (tables).
    logs = np.log(4.6) + 0.8 * scores(4096)
    known = Evidence("in_service_at", "springs", 4.6, 0.01)
    weights = np.exp(log_likelihood(known, cast(Any, None), aged(np.exp(logs)), {}))
    assert np.average((logs - np.log(4.6)) / 0.8, weights=weights) == pytest.approx(0.7979, abs=3e-3)


def test_effective_number_when_weights_are_equal_or_few() -> None:
    # By hand: Kish 1965, (sum w)^2 / sum w^2: 4 equal weights 4; weights 3 and 1: 16/10.
    assert effective_number(np.ones(4)) == 4.0
    assert effective_number(np.array([3.0, 1.0])) == pytest.approx(1.6)


def test_tempered_when_evidence_is_too_strong_leaves_a_hundred_draws() -> None:
    z = scores(2048)
    assert effective_number(tempered(-0.5 * ((z - 3.0) / 0.02) ** 2)) == pytest.approx(100.0, rel=1e-3)
    np.testing.assert_allclose(tempered(-0.5 * z**2), np.exp(-0.5 * (z**2 - (z**2).min())), rtol=1e-12)


def seen(text: str) -> tuple[str, str]:
    return SEEN, f'[[evidence]]\nline = "springs"\n{text}\n\n{SEEN}'


@pytest.fixture(scope="module")
def plain(make_case, shelf):
    return assess_case(make_case(("samples = 256", "samples = 2048")), shelf)


@pytest.mark.parametrize(
    ("text", "longer"),
    [
        ('in_service_at = "8 years"', True),
        ('retired_at = "1 year"', False),
        ('residual = "1290 kN"\nage = "2 years"', True),
        ('residual = "70 %LDBF"\nage = "2 years"', False),
        ('core = "60 degC"\nberth = "hot berth"\nstate = "swell"', False),
        ('elongation = "4 m"\nage = "3 years"', False),
    ],
)
def test_life_when_evidence_speaks_moves_its_way_and_never_widens_what_it_fits(
    make_case, shelf, plain, text: str, longer: bool
) -> None:
    case = make_case(("samples = 256", "samples = 2048"), seen(text))
    whole = assess_case(case, shelf)
    found = whole.weighed
    assert found is not None
    assert not found.refused
    np.testing.assert_array_equal(whole.ropes[0].ages, plain.ropes[0].ages)  # no card is edited
    ages = np.log(np.maximum(whole.ropes[0].ages, 0.05))  # some new lines are too weak at once
    assert (np.average(ages, weights=whole.weights) > ages.mean()) is np.bool_(longer)
    assert 100.0 <= found.effective < 2048.0
    assert whole.weights.sum() == pytest.approx(2048.0)


def test_evidence_when_it_contradicts_the_cards_is_refused_with_the_datum_to_move(make_case, shelf) -> None:
    case = make_case(seen('residual = "1330 kN"\nage = "5 years"\ndoubt = "1 %"'))
    whole = assess_case(case, shelf)
    found = whole.weighed
    assert found is not None
    assert "effective draws of 256" in found.refused
    np.testing.assert_array_equal(whole.weights, 1.0)
    assert found.mover is not None
    assert abs(found.mover[1]) > 0.3
    assert evidence.LEAST_EFFECTIVE == 100.0


def test_luck_when_a_rope_was_retired_is_not_that_of_the_next(make_case, shelf) -> None:
    """A retired rope tells of the law; the scatter between equal ropes is drawn anew for the one on board."""
    case = make_case(("samples = 256", "samples = 2048"), seen('retired_at = "1.5 years"\ndoubt = "15 %"'))
    whole = assess_case(case, shelf)
    luck = next(name for name in whole.scores if name.startswith("endurance_scatter of springs"))
    assert abs(np.average(whole.scores[luck], weights=whole.weights)) < 0.1
    still = make_case(("samples = 256", "samples = 2048"), seen('in_service_at = "8 years"\ndoubt = "15 %"'))
    whole = assess_case(still, shelf)
    assert np.average(whole.scores[luck], weights=whole.weights) > 0.1  # this very rope has been lucky


def test_luck_when_kinds_are_compared_is_common_and_of_single_ropes_their_own(whole) -> None:
    """Kind against kind under the same law, so that luck cancels; with laws drawn apart each rope has its own."""
    names = {name for name in whole.scores if name.startswith("endurance_scatter of ")}
    assert {name.partition("@")[0] for name in names} == {
        "endurance_scatter of springs",
        "endurance_scatter of tail of springs",
    }
    assert sum("@" in name for name in names) == 2  # two ropes compared
    rows = np.stack([whole.scores[name] for name in sorted(names)])
    assert np.abs(np.corrcoef(rows) - np.eye(4)).max() < 0.25
    item = compare(whole, whole.ropes[0], whole.ropes[1])
    assert item.shared > item.apart


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('residual = "100 kN"\nage = "1 d"', "no draw comes near it: the residual strength at"),
        ('residual = "2700 kN"\nage = "2 years"', "no draw comes near it: the residual strength at"),
        (
            'retired_at = "1 year"\ndoubt = "5 %"\n'
            '[[evidence]]\nline = "springs"\nin_service_at = "20 years"\ndoubt = "5 %"',
            "its entries contradict each other",
        ),
    ],
)
def test_evidence_when_no_draw_can_meet_it_is_refused_however_equal_the_weights(make_case, shelf, text, said) -> None:
    """All draws miss it alike, so that the effective draws cannot tell: the misfit itself must."""
    whole = assess_case(make_case(("samples = 256", "samples = 1024"), seen(text)), shelf)
    assert whole.weighed is not None
    assert said in whole.weighed.refused
    np.testing.assert_array_equal(whole.weights, 1.0)


def test_rope_when_it_comes_finished_is_a_caution(make_case, shelf) -> None:
    from tests.assessment.conftest import SMALL
    from tests.assessment.test_trail import past

    case = make_case((SMALL[SMALL.index("[[compare]]") :], past(SMALL, "12 years")))
    whole = assess_case(case, shelf)
    (told,) = [item for item in whole.findings if item.code == "rope-finished"]
    assert "take it out of service" in told.text
