"""Bending fatigue at contacts, anchored at one test."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linewright.physics.types import GAS_CONSTANT, Array, Real


@dataclass(frozen=True)
class Anchor:
    """The test that the law is anchored at, and its exponents; shape of each broadcastable.

    Attributes
    ----------
    cycles : N_ref, full bends to failure [-]
    load : F over LDBF [-]
    ratio : D/d [-]
    stroke : in rope diameters [-]
    temperature : of the rope in the test [K]
    load_exponent : a [-]
    ratio_exponent : b [-]
    stroke_exponent : c [-]
    activation_energy : Q [J/mol]
    cap : largest life before the stroke factor [-]
    """

    cycles: Real
    load: Real
    ratio: Real
    stroke: Real
    temperature: Real
    load_exponent: Real
    ratio_exponent: Real
    stroke_exponent: Real
    activation_energy: Real
    cap: Real


def bend_ratio(radius: Real, wrap: Real, diameter: Real) -> Real:
    """Bend ratio D/d that a rope really takes, max(2 R_b/d, 2/theta).

    Parameters
    ----------
    radius : radius of the steel [m]
    wrap : angle over which the rope touches, above zero [rad]
    diameter : rope diameter [m]

    Returns
    -------
    ratio of bend diameter to rope diameter [-]

    From
    ----
    A rope cannot turn by theta over less than about its own diameter, so its bend radius is at least
    d/theta: a slight deflection over a sharp edge is a wide bend (estimate).
    """
    return np.maximum(2.0 * radius / diameter, 2.0 / wrap)


def cycles_full_stroke(anchor: Anchor, load: Real, ratio: Real, temperature: Real) -> Real:
    """Bending cycles to failure at the anchor's stroke.

    N = min(cap, N_ref (F/F_ref)^-a ((D/d)/(D/d)_ref)^b exp[Q/R (1/T - 1/T_ref)])

    Parameters
    ----------
    anchor : the anchor test and exponents [-]
    load : mean tension of the cycle over break force, above zero [-]
    ratio : D/d [-]
    temperature : rope temperature at the tangent point [K]

    Returns
    -------
    full bend-and-straighten cycles [-]

    From
    ----
    Power law through two published curves (airborne-wind tether research 2024, 2026) and a 1/T factor;
    no test rows are public. Validation: bending-published-curves.
    """
    cold = np.power(load / anchor.load, -np.asarray(anchor.load_exponent))
    bend = np.power(ratio / anchor.ratio, np.asarray(anchor.ratio_exponent))
    warm = np.exp(anchor.activation_energy / GAS_CONSTANT * (1.0 / temperature - 1.0 / anchor.temperature))
    return np.minimum(anchor.cap, anchor.cycles * cold * bend * warm)


def stroke_damage(anchor: Anchor, stroke: Array, diameter: Real) -> Array:
    """Damage of one bend over a stroke, relative to the anchor's stroke.

    g = (s/s_ref)^c for d <= s <= s_ref; 1 above; (d/s_ref)^c (s/d)^b below d; 0 without slip

    Parameters
    ----------
    anchor : the anchor test and exponents [-]
    stroke : length drawn over the contact, shape (...) [m]
    diameter : rope diameter [m]

    Returns
    -------
    factor on the damage, 0 to 1 [-]

    From
    ----
    Estimate: the rope's own bending stiffness spreads the curvature over about one diameter.
    """
    reference = np.asarray(anchor.stroke)
    relative = stroke / diameter
    c = np.asarray(anchor.stroke_exponent)
    long = np.power(np.clip(relative / reference, 1.0 / reference, 1.0), c)
    short = np.power(np.minimum(relative, 1.0), np.asarray(anchor.ratio_exponent))
    return np.asarray(long * short)


def semi_log_cycles(intercept: Real, slope: Real, stress: Real) -> Real:
    """Semi-log form of bending life, log10 N = a1 - slope sigma.

    Parameters
    ----------
    intercept : a1 at a bend ratio [-]
    slope : fall per stress [1/Pa]
    stress : fibre stress [Pa]

    Returns
    -------
    cycles to failure [-]

    From
    ----
    Airborne-wind reference cost model 2024 (coefficients read); rows R001 to R020.
    """
    return np.power(10.0, intercept - slope * np.asarray(stress))


def pressure_cycles(stress: Real, ratio: Real) -> Real:
    """Pressure form of bending life, N = 5e6 max(p, 8)^-2, p = sigma[MPa] / (D/d).

    Parameters
    ----------
    stress : fibre stress [Pa]
    ratio : D/d [-]

    Returns
    -------
    cycles to failure [-]

    From
    ----
    Curve of a university cost-input file 2026, credited there to tests of a 6 mm rope; rows R021 to R035.
    """
    return 5e6 * np.maximum(np.asarray(stress) / 1e6 / ratio, 8.0) ** -2
