"""Statistics of samples with weights, and small-sample bounds."""

from __future__ import annotations

import numpy as np
from scipy import special

from linewright.physics.types import Array, Real

Z95 = 1.6448536269514722  # [-] 95 % point of the standard normal


def weighted_quantile(values: Array, weights: Array, probability: float) -> float:
    """Quantile of weighted samples, linear between mid-weights.

    Parameters
    ----------
    values : samples, shape (n,) [-]
    weights : weights, zero or above, shape (n,) [-]
    probability : 0 to 1 [-]

    Returns
    -------
    quantile [-]

    From
    ----
    Definition with mid-point plotting positions (Hazen 1914).
    """
    order = np.argsort(values, kind="stable")
    w = np.asarray(weights, dtype=float)[order]
    position = (np.cumsum(w) - 0.5 * w) / w.sum()
    return float(np.interp(probability, position, np.asarray(values)[order]))


def split_lognormal(value: Real, low: Real, high: Real, z: Real) -> Real:
    """Sample of a positive quantity whose 5 % and 95 % points are low and high.

    Parameters
    ----------
    value : central value, above zero [-]
    low : 5 % point [-]
    high : 95 % point [-]
    z : standard normal score [-]

    Returns
    -------
    sample [-]

    From
    ----
    Two half log-normals joined at the central value.
    """
    up = np.log(high / value) / Z95
    down = np.log(value / low) / Z95
    return value * np.exp(np.where(np.asarray(z) > 0.0, up, down) * z)


def split_normal(value: Real, low: Real, high: Real, z: Real) -> Real:
    """Sample of a signed quantity whose 5 % and 95 % points are low and high.

    Parameters
    ----------
    value : central value [-]
    low : 5 % point [-]
    high : 95 % point [-]
    z : standard normal score [-]

    Returns
    -------
    sample [-]

    From
    ----
    Two half normals joined at the central value.
    """
    return value + np.where(np.asarray(z) > 0.0, high - value, value - low) / Z95 * z


def split_logit(value: Real, low: Real, high: Real, z: Real) -> Real:
    """Sample of a fraction between 0 and 1 whose 5 % and 95 % points are low and high.

    Parameters
    ----------
    value : central value, 0 to 1 exclusive [-]
    low : 5 % point [-]
    high : 95 % point [-]
    z : standard normal score [-]

    Returns
    -------
    sample, within 0 and 1 [-]

    From
    ----
    `split_normal` on the logit scale.
    """
    return special.expit(split_normal(special.logit(value), special.logit(low), special.logit(high), z))


def tolerance_factor(n: int, content: float = 0.95, confidence: float = 0.95) -> float:
    """One-sided normal tolerance factor k of the bound mean - k s.

    Parameters
    ----------
    n : sample size, at least 2 [-]
    content : share of the population above the bound [-]
    confidence : confidence of the bound [-]

    Returns
    -------
    factor k [-]

    From
    ----
    Non-central t distribution (Owen 1963); check value ST-07.
    """
    root = np.sqrt(n)
    return float(special.nctdtrit(n - 1, special.ndtri(content) * root, confidence) / root)


def rank_shares(inputs: Array, output: Array) -> Array:
    """Share of each input in the spread of an output, squared rank correlations scaled to add to 1.

    Parameters
    ----------
    inputs : samples, shape (n, k) [-]
    output : samples, shape (n,) [-]

    Returns
    -------
    shares, shape (k,); zeros where nothing moves [-]

    From
    ----
    Spearman 1904; a screening measure, not a variance decomposition.
    """
    if inputs.shape[1] == 0 or np.ptp(output) == 0.0:
        return np.zeros(inputs.shape[1])
    ranks = np.argsort(np.argsort(inputs, axis=0, kind="stable"), axis=0).astype(float)
    target = np.argsort(np.argsort(output, kind="stable")).astype(float)
    ranks -= ranks.mean(axis=0)
    target -= target.mean()
    spread = np.sqrt((ranks**2).sum(axis=0) * (target**2).sum())
    correlation = (ranks * target[:, None]).sum(axis=0) / np.maximum(spread, 1e-300)
    squared = correlation**2
    noise = 4.0 / len(output)
    kept = np.where(squared > noise, squared, 0.0)
    total = kept.sum()
    return np.asarray(kept / total) if total > 0.0 else kept
