"""A datum knows whether it moves and whether it is our own guess."""

import dataclasses

import pytest

from linewright.base.data import Datum, Shape
from linewright.base.sources import BASES, Basis

PLAIN = Datum("a", "number", 1.0, 0.5, 2.0, "estimate", "own", shape="lognormal")


@pytest.mark.parametrize(("shape", "moves"), [("lognormal", True), ("normal", True), ("logit", True), ("fixed", False)])
def test_band_when_shape_is_fixed_is_none(shape: Shape, moves: bool) -> None:
    assert dataclasses.replace(PLAIN, shape=shape).has_band is moves


@pytest.mark.parametrize("basis", BASES)
def test_datum_when_it_is_an_estimate_is_weak(basis: Basis) -> None:
    assert dataclasses.replace(PLAIN, basis=basis).is_weak is (basis == "estimate")


def test_datum_when_made_cannot_be_changed() -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        PLAIN.value = 2.0  # type: ignore[misc]
