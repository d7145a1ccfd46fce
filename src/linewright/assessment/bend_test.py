"""A bending test of the rope in hand takes the place of the card's anchor: its cycles with their band."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from linewright.base.data import Datum
from linewright.physics.bending import mean_factor, rope_factor

CYCLES, ROPES, SCATTER = "bending_reference_cycles", "bending_test_ropes", "bending_test_scatter"
CAP, LUCK = "bending_cycle_cap", "endurance_scatter"
RATIOS = ("bending_tested_ratio", "bending_minimum_ratio")


def anchored(card: Mapping[str, Datum], own: Mapping[str, Datum]) -> dict[str, Datum]:
    """A certificate's data over a card's, by the test that it holds; without a test they come back as they are.

    A band typed for the cycles stays; else it follows from the ropes tested. What the test has seen is no longer
    beyond the card's limits: the cap on cycles and the ratios D/d where the law ends make room for it.
    """
    if ROPES not in own:
        return dict(own)
    found = {key: datum for key, datum in own.items() if key not in (ROPES, SCATTER)}
    cycles, ropes = own[CYCLES], int(own[ROPES].value)
    scatter = own[SCATTER].value if SCATTER in own else None
    if LUCK in card:
        factor = rope_factor(ropes, scatter)
        words = "one rope about the mean of all, by the t-distribution" + (
            "" if scatter is None else " with the test's"
        )
        found[LUCK] = replace(
            card[LUCK], low=1.0 / factor, high=factor, basis="derived", source=cycles.source, where=words
        )
    if not cycles.has_band:
        factor = mean_factor(ropes, scatter)
        words = f"{ropes} {'rope' if ropes == 1 else 'ropes'} tested; band of their mean by the t-distribution"
        low, high = cycles.value / factor, cycles.value * factor
        found[CYCLES] = replace(cycles, low=low, high=high, shape="lognormal", where=words)
    ratio = own["bending_reference_ratio"]
    for key, seen in ((CAP, found[CYCLES].high), *((key, ratio.value) for key in RATIOS)):
        if key in card and (seen > card[key].value if key == CAP else seen < card[key].value):
            words = "the bending test has seen it"
            found[key] = replace(card[key], value=seen, low=seen, high=seen, shape="fixed", basis="derived",
                                 source=cycles.source, where=words)  # fmt: skip
    return found
