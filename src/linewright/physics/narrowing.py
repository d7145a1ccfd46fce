"""What a test would narrow: the band of an outcome after it, expected over all its results."""

from __future__ import annotations

import numpy as np
from scipy import special

from linewright.physics.statistics import weighted_quantile
from linewright.physics.types import Array

BAND = (0.1, 0.9)
RESULTS = 64  # results of the test that are tried


def expected_width(outcome: Array, seen: Array, doubt: float, weights: Array | None = None) -> float:
    """Width P10 to P90 of an outcome after a test, over its width before; mean over the results the test may give.

    Parameters
    ----------
    outcome : of every draw, for example ln life, shape (n,) [-]
    seen : what the test would read in every draw, shape (n,) [-]
    doubt : standard deviation of the test's reading, above zero, in the unit of `seen` [-]
    weights : weights of the draws, shape (n,); equal if None [-]

    Returns
    -------
    expected width over today's, 1 where the test tells nothing; 0 to about 1 [-]

    From
    ----
    Preposterior analysis (Raiffa and Schlaifer 1961): a draw is taken as the truth, its reading moved by a quantile of
    the test's error, all draws weighted by the normal likelihood of that reading; mean over such readings.
    """
    prior = np.ones(len(outcome)) if weights is None else weights
    before = _width(outcome, prior)
    if not before > 0.0:
        return 1.0
    ranks = (np.arange(RESULTS) + 0.5) / RESULTS
    order = np.argsort(seen, kind="stable")
    share = np.cumsum(prior[order]) / prior.sum()
    truths = order[np.minimum(np.searchsorted(share, ranks), len(order) - 1)]
    errors = special.ndtri(np.roll(ranks[_scattered()], 1))
    widths = []
    for truth, error in zip(truths, errors, strict=True):
        apart = (seen - (seen[truth] + doubt * error)) / doubt
        level = -0.5 * apart**2
        widths.append(_width(outcome, prior * np.exp(level - level.max())))
    return float(np.mean(widths)) / before


def _scattered() -> Array:
    """An order of the results that does not follow the truths: the bits of the index turned round."""
    bits = int(np.log2(RESULTS))
    return np.array([int(f"{index:0{bits}b}"[::-1], 2) for index in range(RESULTS)])


def _width(outcome: Array, weights: Array) -> float:
    low, high = (weighted_quantile(outcome, weights, p) for p in BAND)
    return high - low
