"""Which metre is where: presence of metre classes at the places of a line.

Temperature and slip belong to a place (fixed to the ship), damage and strength to a metre (it moves).
A metre's position is spread evenly over the payout spread L_w of the state: its presence in a zone
is the share of that range inside the zone. A metre is bent `min(1, s/L_w)` at the tangent
it works on, with s the stroke that carries the damage; in the middle it is hot
`min(1, (arc + 2 L_decay)/L_w)` and rubbed `min(1, arc/L_w)`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linewright.assessment.contact import ContactLoad
from linewright.assessment.draws import Draws
from linewright.assessment.duty import Duty
from linewright.assessment.rope import payout_key
from linewright.physics.types import Array

LEAST_SPREAD = 1e-4


@dataclass(frozen=True)
class Tending:
    """Presence by kind, shape (s, J, X, Q); Q metre classes: three per contact, then the free span."""

    bend: Array
    heat: Array
    wear: Array
    everywhere: Array

    def of(self, kind: str) -> Array:
        """The presence of a kind."""
        return np.asarray(getattr(self, kind))


def payout_spread(draws: Draws, duty: Duty) -> Array:
    """Payout spread of every state, shape (s, J) [m]."""
    columns = [
        draws.of(payout_key(berth.name, state.name, draws.data), 1)
        for berth, state in zip(duty.berths, duty.states, strict=True)
    ]
    return np.stack(np.broadcast_arrays(*columns), axis=-1)


def tending(draws: Draws, duty: Duty, loads: tuple[ContactLoad, ...], decay: Array) -> Tending:
    """Presence of every metre class at every place."""
    spread = payout_spread(draws, duty)
    shape = np.broadcast_shapes(spread.shape, decay.shape, *(load.stroke.shape for load in loads))
    places = 3 * len(loads) + 1
    kinds = {kind: np.zeros((*shape, places, places)) for kind in ("bend", "heat", "wear")}
    for number, load in enumerate(loads):
        window = (
            np.full(shape, LEAST_SPREAD) if load.contact.holds else np.maximum(spread, LEAST_SPREAD) + np.zeros(shape)
        )
        zones = _zones(load, decay, shape)
        for metre, centre in enumerate(_centres(load, shape)):
            q = 3 * number + metre
            for kind, rows in zones.items():
                for place, (start, end) in rows.items():
                    kinds[kind][..., 3 * number + place, q] = _overlap(centre, window, start, end)
            kinds["heat"][..., -1, q] = np.maximum(1.0 - kinds["heat"][..., :-1, q].sum(axis=-1), 0.0)
    kinds["heat"][..., -1, -1] = 1.0
    everywhere = np.zeros((places, places))
    everywhere[-1] = 1.0
    return Tending(kinds["bend"], kinds["heat"], kinds["wear"], np.broadcast_to(everywhere, kinds["heat"].shape))


def _centres(load: ContactLoad, shape: tuple[int, ...]) -> tuple[Array, Array, Array]:
    half = 0.5 * load.arc + np.zeros(shape)
    return half, np.zeros(shape), -half


def _zones(load: ContactLoad, decay: Array, shape: tuple[int, ...]) -> dict[str, dict[int, tuple[Array, Array]]]:
    """Zone of each place in metres from mid-arc: 0 outboard tangent, 1 mid-arc, 2 inboard tangent."""
    half = 0.5 * load.arc + np.zeros(shape)
    reach, swing = half + decay, 0.5 * load.bend_stroke
    return {
        "bend": {0: (half - swing, half + swing), 2: (-half - swing, -half + swing)},
        "heat": {0: (0.5 * half, reach), 1: (-0.5 * half, 0.5 * half), 2: (-reach, -0.5 * half)},
        "wear": {1: (-half, half)},
    }


def _overlap(centre: Array, window: Array, start: Array, end: Array) -> Array:
    low = np.maximum(centre - 0.5 * window, start)
    high = np.minimum(centre + 0.5 * window, end)
    return np.asarray(np.maximum(high - low, 0.0) / window)
