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
KINDS = ("bend", "heat", "wear")


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
    """Presence of every metre class at every place; a class meets its own contact only."""
    spread = payout_spread(draws, duty)
    shape = np.broadcast_shapes(spread.shape, decay.shape, *(load.stroke.shape for load in loads))
    places = 3 * len(loads) + 1
    kinds = {kind: np.zeros((*shape, places, places)) for kind in KINDS}
    for number, load in enumerate(loads):
        for metre, centre in enumerate(_centres(load, shape)):
            _meet(kinds, (number, 3 * number + metre), load, (centre, _window(load, spread, shape), decay))
    return _filled(kinds)


def along(draws: Draws, duty: Duty, loads: tuple[ContactLoad, ...], decay: Array, beyond: Array) -> Tending:
    """Presence of metres of the rope at every place; `beyond` (K, Q): how far outboard of mid-arc of K contacts [m]."""
    spread = payout_spread(draws, duty)
    shape = np.broadcast_shapes(spread.shape, decay.shape, *(load.stroke.shape for load in loads))
    kinds = {kind: np.zeros((*shape, 3 * len(loads) + 1, beyond.shape[1])) for kind in KINDS}
    for number, load in enumerate(loads):
        for q, apart in enumerate(beyond[number]):
            centre = np.full(shape, apart)
            _meet(kinds, (number, q), load, (centre, _window(load, spread, shape), decay))
    return _filled(kinds)


def _window(load: ContactLoad, spread: Array, shape: tuple[int, ...]) -> Array:
    """Length of rope that passes a mark; next to none where the contact holds the rope."""
    return np.full(shape, LEAST_SPREAD) if load.contact.holds else np.maximum(spread, LEAST_SPREAD) + np.zeros(shape)


def _meet(kinds: dict[str, Array], where: tuple[int, int], load: ContactLoad, of: tuple[Array, Array, Array]) -> None:
    """Note how much of its time a metre spends in the zones of a contact; `where` is contact and metre."""
    (number, q), (centre, window, decay) = where, of
    for kind, rows in _zones(load, decay, centre.shape).items():
        for place, (start, end) in rows.items():
            kinds[kind][..., 3 * number + place, q] = _overlap(centre, window, start, end)


def _filled(kinds: dict[str, Array]) -> Tending:
    """The presences with the rest of the hours in the free span."""
    hot = kinds["heat"]
    hot /= np.maximum(hot.sum(axis=-2, keepdims=True), 1.0)  # zones of near contacts overlap; a metre is in one place
    hot[..., -1, :] = np.maximum(1.0 - hot[..., :-1, :].sum(axis=-2), 0.0)
    everywhere = np.zeros(hot.shape[-2:])
    everywhere[-1] = 1.0
    return Tending(kinds["bend"], hot, kinds["wear"], np.broadcast_to(everywhere, hot.shape))


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
