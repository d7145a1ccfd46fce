"""Tension histories and sea states as cycles."""

from __future__ import annotations

import numpy as np
from scipy import special

from linewright.physics import _kernels
from linewright.physics.types import Array, Real

PANELS = 32
LARGEST = 8.0


def rayleigh_bins(standard_deviation: Array) -> tuple[Array, Array]:
    """Amplitudes and weights of a Rayleigh distributed state, two Gauss points in 32 panels to 8 sigma.

    Parameters
    ----------
    standard_deviation : of the tension, shape (...) [N]

    Returns
    -------
    amplitudes, shape (..., 64) [N], weights adding to 1, shape (64,) [-]

    From
    ----
    Rayleigh density a/sigma^2 exp(-a^2/2 sigma^2) of narrow-band amplitudes; check value FA-10.
    """
    width = LARGEST / PANELS
    centres = (np.arange(PANELS) + 0.5) * width
    nodes = (centres[:, None] + np.array([-0.5, 0.5]) * width / np.sqrt(3.0)).ravel()
    weights = nodes * np.exp(-0.5 * nodes**2)
    return np.asarray(standard_deviation)[..., None] * nodes, weights / weights.sum()


def most_probable_maximum(mean: Real, standard_deviation: Real, cycles: Real) -> Real:
    """Most probable largest tension of N Rayleigh cycles, mean + sigma sqrt(2 ln N).

    Parameters
    ----------
    mean : mean tension [N]
    standard_deviation : of the tension [N]
    cycles : number of cycles, at least 2 counted [-]

    Returns
    -------
    largest tension [N]

    From
    ----
    Narrow-band extreme (Longuet-Higgins 1952); check value SE-06.
    """
    return mean + standard_deviation * np.sqrt(2.0 * np.log(np.maximum(cycles, 2.0)))


def asymptotic_mean_maximum(mean: Real, standard_deviation: Real, cycles: Real) -> Real:
    """Mean largest tension of N Rayleigh cycles for many cycles, mean + sigma [sqrt(2 ln N) + 0.5772/sqrt(2 ln N)].

    Parameters
    ----------
    mean : mean tension [N]
    standard_deviation : of the tension [N]
    cycles : number of cycles, at least 2 counted [-]

    Returns
    -------
    mean of the largest tension [N]

    From
    ----
    Longuet-Higgins 1952; check value SE-06.
    """
    root = np.sqrt(2.0 * np.log(np.maximum(cycles, 2.0)))
    return mean + standard_deviation * (root + np.euler_gamma / root)


def maximum_scatter(standard_deviation: Real, cycles: Real, score: Real) -> Real:
    """How far the largest of N Rayleigh cycles lies from its median, for a normal score of its luck.

    Parameters
    ----------
    standard_deviation : of the tension [N]
    cycles : number of cycles, at least 2 counted [-]
    score : normal score of the probability, 0 at the median [-]

    Returns
    -------
    distance from the median [N]

    From
    ----
    All N crests stay below x sigma with the probability p = [1 - exp(-x^2/2)]^N (Longuet-Higgins 1952), hence
    x = sqrt(-2 ln(1 - p^(1/N))), with p the normal probability of the score.
    """
    number = np.maximum(cycles, 2.0)

    def crest(at: Real) -> Real:
        return np.sqrt(-2.0 * np.log(-np.expm1(special.log_ndtr(np.asarray(at, dtype=np.float64)) / number)))

    return standard_deviation * (crest(score) - crest(0.0))


def mean_maximum(mean: float, standard_deviation: float, cycles: float) -> float:
    """Mean largest tension of N independent Rayleigh cycles, exact.

    Parameters
    ----------
    mean : mean tension [N]
    standard_deviation : of the tension [N]
    cycles : number of cycles, at least 1 [-]

    Returns
    -------
    mean of the largest tension [N]

    From
    ----
    sigma times the integral of 1 - [1 - exp(-x^2/2)]^N from 0, in 400 Gauss points to sqrt(2 ln N) + 9, beyond which
    it is below 1e-17; check value SE-06.
    """
    if not cycles >= 1.0:
        raise ValueError(f"the largest of {cycles:g} cycles has no meaning")
    end = np.sqrt(2.0 * np.log(cycles)) + 9.0
    nodes, weights = np.polynomial.legendre.leggauss(400)
    x = 0.5 * end * (nodes + 1.0)
    exceeded = -np.expm1(cycles * np.log1p(-np.exp(-0.5 * x**2)))
    return float(mean + standard_deviation * 0.5 * end * np.sum(weights * exceeded))


def turning_points(history: Array) -> Array:
    """Reversals of a history, both ends included, equal neighbours merged.

    Parameters
    ----------
    history : values in time order, finite, shape (n,) [N]

    Returns
    -------
    reversals, shape (m,) [N]

    From
    ----
    ASTM E1049-85, 5.2.1; record ends count as reversals.
    """
    values = np.asarray(history, dtype=np.float64)
    if values.size == 0:
        return values
    steps = np.diff(values)
    if not steps.all():
        values = values[np.r_[True, steps != 0.0]]
        steps = np.diff(values)
    if values.size < 3:
        return values.copy()
    rising = steps > 0.0
    turns = np.ones(values.size, dtype=bool)
    np.not_equal(rising[1:], rising[:-1], out=turns[1:-1])
    return values[turns]


def rainflow(history: Array) -> Array:
    """Rainflow cycles of a history, three-point rule with half cycles for the residue.

    Parameters
    ----------
    history : values in time order, finite, shape (n,) [N]

    Returns
    -------
    rows of range [N], mean [N], count 0.5 or 1 [-], shape (m, 3)

    From
    ----
    ASTM E1049-85, 5.4.4; check values RF-01, RF-05, RF-06, RF-09 to RF-13.
    """
    points = turning_points(history)
    if points.size < 2:
        return np.zeros((0, 3))
    return np.asarray(_kernels.three_point(points))


def play_work(history: Array, ratio: float, inboard_compliance: float) -> float:
    """Friction work of a tension history over a contact, step by step through the play operator.

    Parameters
    ----------
    history : outboard tension in time order, shape (n,) [N]
    ratio : capstan ratio exp(mu theta) [-]
    inboard_compliance : L_in / EA [m/N]

    Returns
    -------
    work of the history [J]

    From
    ----
    Backlash operator: inboard tension G stays within [F/r, r F]; work is the integral of |F - G| over slip.
    Referee of `heat.slip_work` summed over rainflow cycles.
    """
    return float(_kernels.play_work(np.asarray(history, dtype=np.float64), ratio, inboard_compliance))
