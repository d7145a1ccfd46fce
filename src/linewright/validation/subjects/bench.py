"""A line on a bench: shipped cards with the case's own values on top, one sine state."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from linewright.assessment import contact
from linewright.assessment.draws import Draws
from linewright.assessment.duty import Duty
from linewright.assessment.rope import Contact
from linewright.assessment.slack import Troughs
from linewright.base.data import Datum
from linewright.cards.loader import load_shelf
from linewright.cards.model import Shelf

PLACE = Contact("chock", 0, turns=False, holds=False, reuse=False)


def given_datum(key: str, value: float) -> Datum:
    """A value of a validation case as a datum without a band."""
    return Datum(key, "number", value, value, value, "given", "validation case")


def draws(shelf: Shelf, values: Mapping[str, float], rope: str = "hmpe-standard-12-strand") -> Draws:
    """Central data of a rope on a closed chock; `values` go over the cards."""
    chock = {PLACE.key(key): datum for key, datum in shelf.contacts["closed-chock"].data.items()}
    own = {key: given_datum(key, value) for key, value in values.items()}
    return Draws({**shelf.practices["moored-line-one-mark"].data, **shelf.rope(rope).data, **chock, **own}, {}, 1)


def sine_duty(mean: float, amplitude: float, period: float) -> Duty:
    """One state of constant amplitude."""
    one = np.ones(1)
    bins = (mean * np.ones((1, 1)), amplitude * np.ones((1, 1)), np.ones((1, 1)))
    return Duty(
        (), (), mean * one, amplitude * one, np.array([True]), period * one,
        *bins, Troughs.of_bins(*bins), one, one,
        (mean + amplitude) * one, 0.0 * one, 0.0 * one, 293.15 * one,
    )  # fmt: skip


def load_of(values: Mapping[str, float], mean: float, amplitude: float, period: float) -> contact.ContactLoad:
    """Stroke and powers of a sine state, by the assessment's own path."""
    table = draws(load_shelf(), values)
    duty = sine_duty(mean, amplitude, period)
    return contact.contact_load(table, duty, PLACE, contact.axial_stiffness(table, duty))
