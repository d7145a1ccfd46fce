"""Bending endurance of steel wire rope in the published regression form; its coefficients are the user's."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linewright.physics.types import Real

USUAL_STRENGTH = 1770e6  # wire strength at which the form's term of strength vanishes [Pa]
LARGEST = 300.0  # of lg N, either way: what lies beyond is no number


@dataclass(frozen=True)
class Endurance:
    """Coefficients of the form for one construction of rope, with S/d2 and R0 in N/mm2 and d in mm.

    Attributes
    ----------
    b0 : constant [-]
    b1 : slope of lg S/d2 [-]
    b2 : slope of lg D/d [-]
    b3 : slope of lg d [-]
    b4 : slope of the product of both [-]
    b5 : of the bent length, or None for no such term [-]
    """

    b0: float
    b1: float
    b2: float
    b3: float
    b4: float
    b5: float | None


def wire_cycles(
    form: Endurance, force: Real, diameter: Real, ratio: Real, strength: Real, bent_length: Real = np.inf
) -> Real:
    """Bending cycles of a wire rope over a sheave to its end.

    lg N = b0 + (b1 + b4 lg D/d)(lg S/d2 - 0.4 lg R0/1770) + b2 lg D/d + b3 lg d + 1/(b5 + lg l/d)

    Parameters
    ----------
    form : coefficients [-]
    force : tension S, above zero [N]
    diameter : of the wire rope [m]
    ratio : D/d [-]
    strength : nominal strength of the wires R0 [Pa]
    bent_length : length l that is bent; inf leaves its term out [m]

    Returns
    -------
    bending cycles, each straight, bent, straight; 1e-300 to 1e300 [-]

    From
    ----
    Feyrer, Wire Ropes: the form from memory, no coefficient; older editions with terms of d and l as here.
    """
    stress = np.asarray(force) / np.square(diameter) / 1e6
    load = np.log10(stress) - 0.4 * np.log10(np.asarray(strength) / USUAL_STRENGTH)
    bend = np.log10(ratio)
    found = (
        form.b0 + (form.b1 + form.b4 * bend) * load + form.b2 * bend + form.b3 * np.log10(1e3 * np.asarray(diameter))
    )
    if form.b5 is not None:
        found = found + 1.0 / (form.b5 + np.log10(np.asarray(bent_length) / diameter))
    return np.power(10.0, np.clip(found, -LARGEST, LARGEST))
