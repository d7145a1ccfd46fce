"""The hot spot in three dimensions: limits, symmetry, hot steel on an idle rope, and the misfit of the fast model."""

from dataclasses import replace

import numpy as np
import pytest
from bench import misfit

from linewright.cards.loader import load_shelf
from linewright.physics import hot_spot as stage
from linewright.physics.field_parts import Contact, Steel, Surface
from linewright.physics.hot_spot import Spot, Touch, free_core, hot_spot
from linewright.physics.profile import decay_length

AIR = 304.15
RADIUS = 0.022

# By hand: 44 mm, 2 W/m of hysteresis, k_r 0.12, h 14: skin 2/(2 pi 0.022 x 14) = 1.033 K above the air, core another
# 2/(4 pi 0.12) = 1.326 K: 2.36 K.
STEEL = Steel(313.15, 0.15)
TOUCH = Touch(Contact(STEEL, 0.0, 0.21, 0.7, 2000.0, 159.0, 0.5), (3.0, 3.0), 0.044)
SPOT = Spot(RADIUS, 0.12, 22.0, Surface(14.0, AIR), {"hysteresis": 2.0 / (np.pi * RADIUS**2)}, (TOUCH,))


def changed(spot: Spot, **changes: object) -> Spot:
    """A spot with another contact."""
    return replace(spot, touches=(replace(spot.touches[0], **changes),))


def test_free_span_is_that_of_the_closed_form() -> None:
    alone = hot_spot(replace(SPOT, touches=()))

    assert free_core(SPOT) == pytest.approx(2.36, abs=0.005)
    assert alone.free - AIR == pytest.approx(free_core(SPOT), rel=1e-3)
    assert np.ptp(alone.core) < 1e-6
    assert hot_spot(SPOT).free - AIR == pytest.approx(free_core(SPOT), rel=0.01)


def test_shares_add_up_and_heat_is_balanced() -> None:
    found = hot_spot(SPOT)

    assert sum(found.rises.values()) == pytest.approx(found.hottest[1] - AIR, abs=1e-9)
    assert set(found.rises) >= {"hysteresis", "bending", "friction", "steel"}
    assert found.balance.closure < 1e-9
    assert found.balance.made["friction"] == pytest.approx(0.25 * 159.0)
    assert found.balance.made["bending"] == pytest.approx(0.25 * 6.0)


@pytest.mark.parametrize("stroke", [0.044, 0.15, 0.6])
def test_mirrored_rope_is_the_whole_one(stroke: float) -> None:
    """A stroke longer than the contact reaches over the plane of symmetry."""
    half = hot_spot(changed(SPOT, stroke=stroke))
    whole = hot_spot(changed(SPOT, stroke=stroke, bend=(3.0, 3.0 + 1e-9)))

    assert whole.at[0] == pytest.approx(half.at[0], abs=1e-3)
    assert whole.face == pytest.approx(half.face, abs=1e-3)
    assert sum(whole.balance.made.values()) == pytest.approx(2.0 * sum(half.balance.made.values()), rel=1e-6)


def test_longer_rope_changes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    before = hot_spot(SPOT)
    monkeypatch.setattr(stage, "DECAYS", 2.0 * stage.DECAYS)

    assert hot_spot(SPOT).hottest[1] == pytest.approx(before.hottest[1], abs=0.05)


def test_finer_cells_change_less_than_a_hundredth() -> None:
    rise, fine = (hot_spot(SPOT, cells, finest) for cells, finest in ((stage.CELLS, stage.FINEST), ((24, 40), 1 / 12)))

    assert rise.hottest[1] - AIR == pytest.approx(fine.hottest[1] - AIR, rel=0.01)
    assert rise.face[0] - AIR == pytest.approx(fine.face[0] - AIR, rel=0.01)


def test_two_contacts_far_apart_are_two_alone_and_near_ones_warm_each_other() -> None:
    def pair(apart: float, angle: float) -> np.ndarray:
        ends = (replace(TOUCH.contact, middle=-0.5 * apart), replace(TOUCH.contact, middle=0.5 * apart, angle=angle))
        return hot_spot(replace(SPOT, touches=tuple(replace(TOUCH, contact=one) for one in ends))).at

    alone = hot_spot(SPOT).at[0]
    far, near, turned = pair(3.0, np.pi), pair(0.35, 0.0), pair(0.35, np.pi)

    assert far == pytest.approx(np.array([alone, alone]), abs=0.05)
    assert near == pytest.approx(near[::-1, ::-1], abs=0.02)  # alike on both sides
    assert near.max() > alone.max() + 1.0
    assert turned.max() == pytest.approx(near.max(), abs=0.5)  # the core hardly knows on which side steel lies


def test_heat_that_grows_with_temperature_is_warmer_than_heat_that_does_not() -> None:
    """Loss factor +1 % per kelvin about the air."""
    base = 2.0 / (np.pi * RADIUS**2)
    found = hot_spot(replace(SPOT, tension={"hysteresis": lambda t: base * (1.0 + 0.01 * (t - AIR))}))

    assert found.hottest[1] > hot_spot(SPOT).hottest[1]
    assert found.balance.closure < 1e-6
    assert sum(found.rises.values()) == pytest.approx(found.hottest[1] - AIR, abs=1e-6)


# Steel held at 60 C on an idle rope in air of 30 C, h 10.9, h_c 500, 80 deg of contact, 0.21 m: section mean at mid-arc
# +7 K (HMPE) to +10 K (others); 1/e length beyond the tangent 17.7 cm (k_z 22), 10.7 (8), 5.7 (2), 3.6 (0.8). Figures
# of our own derivation by two other programs. Common practice says centimetres, no source: true of the skin, and of
# fibres that conduct little along; the section mean of HMPE takes one to two decimetres: k_z is 50 to 200 times k_r.
@pytest.mark.parametrize(("along", "length"), [(22.0, 0.177), (8.0, 0.107), (2.0, 0.057), (0.8, 0.036)])
def test_hot_steel_on_an_idle_rope(along: float, length: float) -> None:
    contact = Contact(Steel(333.15, 1e-6), 0.0, 0.21, np.radians(40.0), 500.0)
    idle = Spot(RADIUS, 0.12, along, Surface(10.9, 303.15), {}, (Touch(contact, (0.0, 0.0), 0.044),))
    found = hot_spot(idle)
    middle = float(np.interp(0.0, found.place, found.mean)) - 303.15
    mean, _, skin = found.decay

    assert mean == pytest.approx(length, rel=0.08)  # near the tangent quicker modes fall first
    assert mean == pytest.approx(decay_length(RADIUS, (0.12, along), 10.9), rel=0.08)  # fin of the section mean
    assert 0.01 < skin < 0.45 * mean
    assert 6.5 < middle < 11.5
    assert 57.0 < found.hottest_face[0] - 273.15 < 60.0


@pytest.mark.slow
@pytest.mark.parametrize(("name", "card"), [("HMPE", "hmpe-standard"), ("k_z below 10", "polyester")])
def test_profile_misfit_of_the_cards_holds_cases_of_another_draw(name: str, card: str) -> None:
    """Nine of ten lie between low and high; 32 new cases, of which at least 25 (a binomial 1 %) must."""
    datum = load_shelf().fibres[card].data["profile_misfit"]
    found = misfit.ratios([misfit.pair(case) for case in misfit.drawn(misfit.CLASSES[name], 32, 7)], "core")

    assert np.mean((found >= datum.low) & (found <= datum.high)) >= 25 / 32
    assert np.median(found) == pytest.approx(datum.value, abs=0.03)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"stroke": 0.0}, "stroke"),
        ({"bend": (-1.0, 0.0)}, "bending heat"),
        ({"contact": replace(TOUCH.contact, angle=1.0)}, "angle 0 or pi"),
    ],
)
def test_what_cannot_be_is_refused(change: dict[str, object], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        changed(SPOT, **change)
