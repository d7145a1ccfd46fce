"""Axial stiffness of lines and tails, the tension that a motion gives, and the energy they store.

Stiffness of a rope is EA over the design break force, K [-]; coefficients are data of a card.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from linewright.physics.types import Array, Real


def dynamic_stiffness(
    intercept: Real, mean_slope: Real, mean_load: Real, amplitude_slope: Real = 0.0, load_amplitude: Real = 0.0
) -> Real:
    """Stiffness of cycles at wave periods, K = A + B Lm + C La.

    Parameters
    ----------
    intercept : A [-]
    mean_slope : B, per unit of load over break force: 100 times a slope per percent [-]
    mean_load : Lm, mean load over break force [-]
    amplitude_slope : C, mostly below zero [-]
    load_amplitude : La, load amplitude over break force [-]

    Returns
    -------
    K = EA over break force [-]

    From
    ----
    Linear form of published test programmes, with load in percent of break force: 18.5 + 0.33 Lm polyester,
    2.08 + 0.39 Lm - 0.21 La polyamide, 59 + 0.54 Lm HMPE (all from memory). The data in use are those of the cards.
    """
    return intercept + mean_slope * np.asarray(mean_load) + amplitude_slope * np.asarray(load_amplitude)


def quasi_static_stiffness(reference: Real, loss_per_decade: Real, duration: Real, reference_duration: Real) -> Real:
    """Stiffness under a load that lasts, falling with the logarithm of time, K = K1 - c log10(t/t1).

    Parameters
    ----------
    reference : K1, at the reference duration [-]
    loss_per_decade : c [-]
    duration : t, of the load [s]
    reference_duration : t1 [s]

    Returns
    -------
    K = EA over break force, not below zero [-]

    From
    ----
    Sub-rope tests: quasi-static stiffness falls linearly with log time (read as an abstract).
    """
    fall = np.asarray(loss_per_decade) * np.log10(np.asarray(duration) / np.asarray(reference_duration))
    return np.maximum(reference - fall, 0.0)


def storm_stiffness(quasi_static: Real, dynamic: Real, mean_load: Real, highest_load: Real) -> Real:
    """Secant stiffness from slack to the highest load of a storm: mean load slowly, the rest at wave periods.

    Parameters
    ----------
    quasi_static : K for the mean load [-]
    dynamic : K for the load above it [-]
    mean_load : over break force [-]
    highest_load : over break force, not below the mean [-]

    Returns
    -------
    K = highest load over its strain [-]

    From
    ----
    Split static and dynamic model: strain Lm/Ks + (Lmax - Lm)/Kd.
    """
    mean, highest = np.asarray(mean_load), np.asarray(highest_load)
    return highest / (mean / quasi_static + (highest - mean) / dynamic)


def stored_energy(
    design_break_force: Real, length: Real, stiffness: tuple[Real, Real], loads: tuple[Real, Real]
) -> Real:
    """Elastic energy of a rope or tail at the highest load: mean load slowly, the rest at wave periods.

    Parameters
    ----------
    design_break_force : F0 [N]
    length : l [m]
    stiffness : quasi-static Ks and dynamic Kd, EA over break force [-]
    loads : mean Lm and highest Lh, over break force [-]

    Returns
    -------
    energy [J]

    From
    ----
    Integral of F over the elongation of `storm_stiffness`: F0 l [Lm^2/(2 Ks) + (Lh^2 - Lm^2)/(2 Kd)]; with
    Ks = Kd the spring's F^2 l/(2 EA).
    """
    slow, quick = stiffness
    mean, highest = np.asarray(loads[0]), np.asarray(loads[1])
    return design_break_force * np.asarray(length) * 0.5 * (mean**2 / slow + (highest**2 - mean**2) / quick)


def series_stiffness(axial_stiffness: Sequence[Real], lengths: Sequence[Real]) -> Real:
    """Stiffness of parts in series, such as line and tail, 1/sum(L/EA).

    Parameters
    ----------
    axial_stiffness : EA of each part, above zero [N]
    lengths : of each part [m]

    Returns
    -------
    k [N/m]

    From
    ----
    The same tension in every part; elongations F L/EA add.
    """
    parts = [np.asarray(length) / ea for ea, length in zip(axial_stiffness, lengths, strict=True)]
    return 1.0 / np.sum(np.broadcast_arrays(*parts), axis=0)


def motion_along_line(surge: Real, sway: Real, line_angle: Real) -> Real:
    """Part of an imposed horizontal motion that stretches a line; surge and sway in phase.

    Parameters
    ----------
    surge : amplitude along the ship [m]
    sway : amplitude across the ship [m]
    line_angle : between the line's plan view and the ship's length [rad]

    Returns
    -------
    amplitude along the line [m]

    From
    ----
    Projection, for motions small against the line's length; in phase is the largest sum.
    """
    return np.abs(np.asarray(surge) * np.cos(line_angle)) + np.abs(np.asarray(sway) * np.sin(line_angle))


def tension_amplitude(motion: Real, stiffness: Real) -> Real:
    """Tension amplitude of an imposed motion, F_a = k x.

    Parameters
    ----------
    motion : amplitude along the line [m]
    stiffness : k of line and tail [N/m]

    Returns
    -------
    amplitude [N]

    From
    ----
    Spring; the line stays tight as long as the mean tension is not below the amplitude.
    """
    return np.asarray(motion) * stiffness


def spring_energy(tension: Real, stiffness: Real) -> Real:
    """Elastic energy stored by a linear spring, F^2/(2 k).

    Parameters
    ----------
    tension : F, not below zero [N]
    stiffness : k [N/m]

    Returns
    -------
    energy [J]

    From
    ----
    Integral of F over the elongation F/k. In a line with a tail each part stores its own F^2 L/(2 EA).
    """
    return 0.5 * np.asarray(tension) ** 2 / stiffness


def curve_energy(tension: float, elongations: Array, loads: Array) -> float:
    """Energy stored along a load-elongation curve up to a tension.

    Parameters
    ----------
    tension : F, within the curve [N]
    elongations : rising, from 0, shape (n,) [m]
    loads : rising, from 0, shape (n,) [N]

    Returns
    -------
    energy [J]

    From
    ----
    Trapezoid rule, exact for a curve of straight pieces; the last piece ends at the tension.
    """
    stretch, force = np.asarray(elongations, dtype=np.float64), np.asarray(loads, dtype=np.float64)
    if stretch.shape != force.shape or stretch.size < 2 or stretch[0] != 0.0 or force[0] != 0.0:
        raise ValueError("a curve needs as many elongations as loads, two or more, both from 0")
    if not ((np.diff(stretch) > 0.0).all() and (np.diff(force) > 0.0).all()):
        raise ValueError("elongations and loads must rise")
    if not 0.0 <= tension <= force[-1]:
        raise ValueError(f"tension {tension:g} N lies outside the curve, 0 to {force[-1]:g} N")
    below = force < tension
    last = float(np.interp(tension, force, stretch))
    return float(np.trapezoid(np.r_[force[below], tension], np.r_[stretch[below], last]))
