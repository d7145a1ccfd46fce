"""Heat made in a rope: tension hysteresis, slip over a contact, bending, creep flow.

The capstan contact is a play: outboard tension moves between F1 and F2, inboard tension follows
only when F2/r > r F1 with r = exp(mu theta). Work over rainflow cycles is therefore exact.
"""

from __future__ import annotations

import numpy as np

from linewright.physics.types import Array, Real


def hysteresis_heat(loss_factor: Real, amplitude: Real, axial_stiffness: Real, period: Real) -> Real:
    """Heat of cyclic tension per metre of rope, q_t = pi eta F_a^2 / (EA P).

    Parameters
    ----------
    loss_factor : loss tangent of the rope [-]
    amplitude : half the tension range [N]
    axial_stiffness : EA for wave cycles [N]
    period : cycle period [s]

    Returns
    -------
    heat per metre [W/m]

    From
    ----
    Linear viscoelasticity, energy per cycle pi E' tan(delta) eps_a^2; check value HT-29.
    """
    return np.pi * loss_factor * np.square(amplitude) / (axial_stiffness * period)


def slips(lowest: Real, highest: Real, ratio: Real) -> Array:
    """Whether a tension cycle slips all the way over a contact.

    Parameters
    ----------
    lowest : lowest outboard tension of the cycle [N]
    highest : highest outboard tension of the cycle [N]
    ratio : capstan ratio exp(mu theta) [-]

    Returns
    -------
    True where the inboard part moves [-]

    From
    ----
    Capstan equation; check value MO-07.
    """
    return np.asarray(highest / ratio > ratio * lowest)


def slip_stroke(lowest: Real, highest: Real, ratio: Real, inboard_compliance: Real) -> Real:
    """Length of rope drawn over a contact in one cycle, s = L_in (F2/r - r F1) / EA.

    Parameters
    ----------
    lowest : lowest outboard tension of the cycle [N]
    highest : highest outboard tension of the cycle [N]
    ratio : capstan ratio exp(mu theta) [-]
    inboard_compliance : L_in / EA of the rope between contact and holding point [m/N]

    Returns
    -------
    stroke, zero when the contact holds [m]

    From
    ----
    Capstan equation on both edges of the cycle, elastic inboard length.
    """
    return inboard_compliance * np.maximum(highest / ratio - ratio * lowest, 0.0)


def slip_work(lowest: Real, highest: Real, ratio: Real, inboard_compliance: Real) -> Real:
    """Friction work of one cycle with full slip, W = L_in/(2 EA) (r - 1/r) [(F2/r)^2 - (r F1)^2].

    Parameters
    ----------
    lowest : lowest outboard tension of the cycle [N]
    highest : highest outboard tension of the cycle [N]
    ratio : capstan ratio exp(mu theta) [-]
    inboard_compliance : L_in / EA of the rope between contact and holding point [m/N]

    Returns
    -------
    work per cycle, zero when the contact holds [J]

    From
    ----
    Integral of the tension difference over the slip on both edges of the cycle.
    """
    upper = np.square(np.maximum(highest / ratio, ratio * lowest))
    return 0.5 * inboard_compliance * (ratio - 1.0 / ratio) * (upper - np.square(ratio * lowest))


def partial_slip_work(lowest: Real, highest: Real, friction: Real, radius_compliance: Real) -> Real:
    """Friction work of one cycle that slips over part of the arc only.

    W = R_b/(mu EA) [(F2^2 - F1^2) - (2/3)(sqrt F1 + sqrt F2)(F2^1.5 - F1^1.5)]

    Parameters
    ----------
    lowest : lowest outboard tension of the cycle [N]
    highest : highest outboard tension of the cycle [N]
    friction : friction coefficient, above zero [-]
    radius_compliance : R_b / EA [m/N]

    Returns
    -------
    work per cycle [J]

    From
    ----
    Elastic rope on a rough arc, slip front where both capstan profiles meet; third order in the range.
    """
    low, high = np.maximum(lowest, 0.0), np.maximum(highest, 0.0)
    roots = np.sqrt(low) + np.sqrt(high)
    bracket = high**2 - low**2 - 2.0 / 3.0 * roots * (high**1.5 - low**1.5)
    return radius_compliance / friction * np.maximum(bracket, 0.0)


def arc_slip_work(lowest: Real, highest: Real, ratio: Real, friction: Real, radius_compliance: Real) -> Real:
    """Friction work of one cycle by the stretch of the rope on the arc while the whole arc slips.

    W = R_b/(mu EA) [(F2/r)^2 - (r F1)^2]/2 [(r - 1)^2 + (1 - 1/r)^2]/2

    Parameters
    ----------
    lowest : lowest outboard tension of the cycle [N]
    highest : highest outboard tension of the cycle [N]
    ratio : capstan ratio exp(mu theta) [-]
    friction : friction coefficient, above zero [-]
    radius_compliance : R_b / EA [m/N]

    Returns
    -------
    work per cycle, zero when the contact holds [J]

    From
    ----
    Capstan profile of tension over the arc, its stretch integrated over both edges of the cycle.
    """
    low = np.maximum(ratio * lowest, 0.0)
    upper = np.square(np.maximum(highest / ratio, low)) - np.square(low)
    both = 0.5 * (np.square(ratio - 1.0) + np.square(1.0 - 1.0 / ratio))
    return radius_compliance / friction * 0.5 * upper * both


def bending_heat(loss_per_bend: Real, mean_tension: Real, stroke: Real, period: Real) -> Real:
    """Heat at one tangent point of a contact, eps_b F s / P.

    Parameters
    ----------
    loss_per_bend : eps_b = c_b d/D, energy per metre and tension of one bend-and-straighten [-]
    mean_tension : tension of the cycle [N]
    stroke : length bent and straightened per cycle [m]
    period : cycle period [s]

    Returns
    -------
    power over the stroke length [W]

    From
    ----
    Definition of eps_b: the tension lost by a rope running over a sheave without bearing friction.
    """
    return loss_per_bend * mean_tension * stroke / period


def adiabatic_rise_per_bend(loss_coefficient: Real, stress: Real, ratio: Real, heat_capacity: Real) -> Real:
    """Initial temperature rise per full bend cycle, c_b sigma / ((D/d) rho_f c); no rope size in it.

    Parameters
    ----------
    loss_coefficient : c_b [-]
    stress : fibre stress [Pa]
    ratio : D/d [-]
    heat_capacity : rho_f c of the fibre [J/(m3 K)]

    Returns
    -------
    rise per cycle [K]

    From
    ----
    Energy per metre over heat capacity per metre; plausibility values 0.09, 0.27, 0.91 K at 30 % load,
    D/d 20 for c_b 0.008, 0.024, 0.08.
    """
    return loss_coefficient * stress / (ratio * heat_capacity)


def creep_heat(tension: Real, creep_rate: Real) -> Real:
    """Heat of creep flow per metre, F times the creep rate.

    Parameters
    ----------
    tension : line tension [N]
    creep_rate : rate of creep strain [1/s]

    Returns
    -------
    heat per metre [W/m]

    From
    ----
    Work of the tension on permanent strain.
    """
    return tension * creep_rate
