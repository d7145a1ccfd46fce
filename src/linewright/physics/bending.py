"""Bending fatigue at contacts, anchored at one test."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy import special

from linewright.physics.types import GAS_CONSTANT, Array, Real

SCATTER = 0.15  # [-] standard deviation of log10 life between equal ropes in one test, an estimate
BELIEF = 7.0  # [-] degrees of freedom that this estimate is worth


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
    return cycles_of_form(anchor, cold * bend, temperature)


def cycles_of_form(anchor: Anchor, relative: Real, temperature: Real) -> Real:
    """Bending cycles at the anchor's stroke, where another form says how life goes with load and bend.

    Parameters
    ----------
    anchor : the anchor test; of its exponents only Q and the cap count [-]
    relative : life over that at the anchor's load and D/d, at one temperature [-]
    temperature : rope temperature at the tangent point [K]

    Returns
    -------
    full bend-and-straighten cycles [-]

    From
    ----
    Every form passes through the anchor test; named forms in `FORMS`.
    """
    warm = np.exp(anchor.activation_energy / GAS_CONSTANT * (1.0 / temperature - 1.0 / anchor.temperature))
    return np.minimum(anchor.cap, anchor.cycles * relative * warm)


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


def mean_factor(ropes: int, scatter: float | None = None) -> float:
    """Factor from the mean life of the ropes in a test to the 95 % point of the mean of all such ropes.

    10^(t s / sqrt(n)), s^2 = (nu0 s0^2 + (n - 1) s_n^2)/nu, nu = nu0 + n - 1, with t the 95 % point of Student's
    distribution with nu degrees of freedom; where s_n is not told, nu = nu0 and s = s0.

    Parameters
    ----------
    ropes : n, ropes tested, 1 or more [-]
    scatter : s_n, standard deviation of log10 of their lives (n - 1 degrees of freedom), or None [-]

    Returns
    -------
    factor above 1; the 5 % point lies at 1 over it [-]

    From
    ----
    Student 1908 with a conjugate belief about the scatter: s0 = 0.15 of log10 with nu0 = 7, whose 5 % and 95 % points
    are 0.11 and 0.27 (0.1 to 0.25 from memory). Scatter between equal ropes comes on top: `endurance_scatter`.
    """
    return float(10.0 ** (_deviation(ropes, scatter) / np.sqrt(ropes)))


def rope_factor(ropes: int, scatter: float | None = None) -> float:
    """Factor from the mean life of all ropes of a kind to the 95 % point of one of them, 10^(t s).

    With `mean_factor` it makes the usual prediction for one more rope, t s sqrt(1 + 1/n) of log10.

    Parameters
    ----------
    ropes : n, ropes tested, 1 or more [-]
    scatter : s_n, standard deviation of log10 of their lives (n - 1 degrees of freedom), or None [-]

    Returns
    -------
    factor above 1; the 5 % point lies at 1 over it [-]

    From
    ----
    t and s as in `mean_factor`.
    """
    return float(10.0 ** _deviation(ropes, scatter))


def _deviation(ropes: int, scatter: float | None) -> float:
    """Half-width t s of log10, with what the test adds to the belief."""
    freedom, variance = BELIEF, SCATTER**2
    if scatter is not None and ropes > 1:
        freedom = BELIEF + ropes - 1.0
        variance = (BELIEF * variance + (ropes - 1.0) * scatter**2) / freedom
    return float(special.stdtrit(freedom, 0.95) * np.sqrt(variance))


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


SEMI_LOG_RATIOS = (10.0, 20.0, 30.0, 100.0)
SEMI_LOG_INTERCEPTS = (5.4, 5.8, 6.1, 6.5)
SEMI_LOG_SLOPE = 2.6e-9  # [1/Pa]


def semi_log_life(stress: Real, ratio: Real) -> Real:
    """Semi-log bending life with its intercept by D/d, held at D/d 10 and 100.

    Parameters
    ----------
    stress : fibre stress [Pa]
    ratio : D/d [-]

    Returns
    -------
    cycles to failure [-]

    From
    ----
    `semi_log_cycles` with intercepts 5.4, 5.8, 6.1, 6.5 at D/d 10, 20, 30, 100 and linear in log D/d between (read).
    """
    intercept = np.interp(np.log(ratio), np.log(SEMI_LOG_RATIOS), SEMI_LOG_INTERCEPTS)
    return semi_log_cycles(intercept, SEMI_LOG_SLOPE, stress)


FORMS: dict[str, Callable[[Real, Real], Real]] = {"semi-log": semi_log_life, "pressure": pressure_cycles}
