"""Which metre is where: the presences against the overlap of a window and a zone, by hand."""

import dataclasses

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from linewright.assessment.contact import ContactLoad
from linewright.assessment.draws import Draws
from linewright.assessment.duty import Duty
from linewright.assessment.rope import Contact
from linewright.assessment.slack import Troughs
from linewright.assessment.tending import LEAST_SPREAD, Tending, tending
from linewright.base.data import Datum
from linewright.case.model import Berth, State

STATE = State("swell", 1.0, 0.0, {})
BERTH = Berth("berth", "any", 10.0, 40.0, (), (STATE,))
ONE = np.ones(1)
DUTY = Duty(
    (STATE,), (BERTH,), 300e3 * ONE, 60e3 * ONE, ONE > 0.0, 14.0 * ONE, np.full((1, 1), 300e3),
    np.full((1, 1), 60e3), np.ones((1, 1)),
    Troughs.of_bins(np.full((1, 1), 300e3), np.full((1, 1), 60e3), np.ones((1, 1))),
    400.0 * ONE, 40.0 * ONE, 360e3 * ONE, 0.0 * ONE, 0.0 * ONE, 293.15 * ONE,
)  # fmt: skip
OUT, MID, IN, FREE = range(4)


def load(stroke: float, arc: float, holds: bool = False) -> ContactLoad:
    contact = Contact("chock", 0, turns=False, holds=holds, reuse=False)
    zero = np.zeros((1, 1))
    return ContactLoad(contact, zero + stroke, zero, zero, zero, zero + arc, zero + 10.0, zero + 0.08, zero + stroke)


def presence(spread: float, stroke: float, arc: float, decay: float, holds: bool = False) -> Tending:
    datum = Datum("payout_spread", "length", spread, spread, spread, "estimate", "own")
    draws = Draws({"payout_spread": datum}, {}, 1)
    return tending(draws, DUTY, (load(stroke, arc, holds),), np.full((1, 1), decay))


LENGTHS = {
    "spread": st.floats(1e-3, 6.0),
    "stroke": st.floats(0.0, 0.1),
    "arc": st.floats(0.02, 1.5),
    "decay": st.floats(0.02, 0.3),
}


@given(**LENGTHS)
def test_presence_when_the_metre_lies_in_the_middle_is_the_share_of_its_range(
    spread: float, stroke: float, arc: float, decay: float
) -> None:
    # A position spread evenly over L_w, centred on a zone of length l, is inside for min(1, l/L_w). The zones: the
    # stroke about a tangent; the arc and a decay length on either side; the arc.
    found = presence(spread, stroke, arc, decay)
    bend, heat, wear = (found.of(kind)[0, 0] for kind in ("bend", "heat", "wear"))
    assert bend[OUT, OUT] == pytest.approx(min(1.0, stroke / spread), abs=1e-9)
    assert bend[IN, IN] == pytest.approx(min(1.0, stroke / spread), abs=1e-9)
    assert heat[:FREE, MID].sum() == pytest.approx(min(1.0, (arc + 2.0 * decay) / spread), abs=1e-9)
    assert wear[MID, MID] == pytest.approx(min(1.0, arc / spread), abs=1e-9)


def test_presence_when_worked_by_hand_agrees() -> None:
    # L_w 0.4, stroke 0.04, arc 0.2, decay 0.1. Outboard tangent metre: range -0.1..0.3; tangent zone 0.08..0.12: 0.1;
    # the other tangent -0.12..-0.08: 0.02 of 0.4 = 0.05; worn from -0.1 to 0.1: 0.5; hot up to 0.2: 0.75 in all,
    # 0.05..0.2 at the outboard tangent 0.375, -0.05..0.05 at mid-arc 0.25, -0.1..-0.05 at the inboard 0.125.
    found = presence(0.4, 0.04, 0.2, 0.1)
    np.testing.assert_allclose(found.bend[0, 0, :, OUT], [0.1, 0.0, 0.05, 0.0], atol=1e-12)
    np.testing.assert_allclose(found.wear[0, 0, :, OUT], [0.0, 0.5, 0.0, 0.0], atol=1e-12)
    np.testing.assert_allclose(found.heat[0, 0, :, OUT], [0.375, 0.25, 0.125, 0.25], atol=1e-12)
    # The metre that is never at a contact.
    np.testing.assert_array_equal(found.heat[0, 0, :, FREE], [0.0, 0.0, 0.0, 1.0])
    np.testing.assert_array_equal(found.bend[0, 0, :, FREE], 0.0)


@given(**LENGTHS)
def test_presence_when_summed_never_exceeds_the_time(spread: float, stroke: float, arc: float, decay: float) -> None:
    # A metre is at one place at a time: its heat presences add to 1, all lie in 0..1.
    found = presence(spread, stroke, arc, decay)
    np.testing.assert_allclose(found.heat.sum(axis=-2), 1.0, atol=1e-9)
    for kind in ("bend", "heat", "wear"):
        values = found.of(kind)
        assert np.all((values >= 0.0) & (values <= 1.0 + 1e-9))
    # Two tangents do not overlap unless the stroke is longer than the arc.
    if stroke < arc:
        assert np.all(found.bend.sum(axis=-2) <= 1.0 + 1e-9)


@pytest.mark.parametrize("spread", [0.0, LEAST_SPREAD / 10.0, LEAST_SPREAD])
def test_presence_when_nothing_is_paid_out_stays_finite_and_whole(spread: float) -> None:
    # The same metre stays where it is: bent in every cycle at its tangent, always hot and worn at mid-arc.
    found = presence(spread, 0.02, 0.2, 0.1)
    assert np.all(np.isfinite(found.bend))
    assert found.bend[0, 0, OUT, OUT] == pytest.approx(1.0)
    assert found.heat[0, 0, MID, MID] == pytest.approx(1.0)
    assert found.wear[0, 0, MID, MID] == pytest.approx(1.0)


def test_presence_when_a_bitt_holds_the_rope_does_not_depend_on_the_payout() -> None:
    one, other = presence(0.0, 0.02, 0.2, 0.1, holds=True), presence(5.0, 0.02, 0.2, 0.1, holds=True)
    for kind in ("bend", "heat", "wear"):
        np.testing.assert_array_equal(one.of(kind), other.of(kind))


def test_presence_when_there_is_no_contact_is_the_free_span() -> None:
    datum = Datum("payout_spread", "length", 0.35, 0.35, 0.35, "estimate", "own")
    found = tending(Draws({"payout_spread": datum}, {}, 1), DUTY, (), np.full((1, 1), 0.1))
    assert found.heat.shape == (1, 1, 1, 1)
    assert found.heat[0, 0, 0, 0] == found.everywhere[0, 0, 0, 0] == 1.0


def test_payout_when_a_state_has_its_own_spread_uses_it() -> None:
    data = {
        "payout_spread": Datum("payout_spread", "length", 0.4, 0.4, 0.4, "estimate", "own"),
        "payout_spread of berth, swell": Datum("payout_spread", "length", 4.0, 4.0, 4.0, "given", "case"),
    }
    states = (STATE, dataclasses.replace(STATE, name="calm"))
    two = dataclasses.replace(DUTY, states=states, berths=(BERTH, BERTH))
    wide = tending(Draws(data, {}, 1), two, (load(0.04, 0.2),), np.full((1, 2), 0.1))
    np.testing.assert_allclose(wide.bend[0, :, OUT, OUT], [0.01, 0.1], rtol=1e-9)
