"""What a row of changes that die away still adds up to."""

from __future__ import annotations

import numpy as np

from linewright.physics.types import Array

ONE_MODE = 1e-6  # relative; four changes that are one geometric row to this are taken as such


def remainder(changes: Array) -> Array:
    """Sum of all changes that follow the last four, of two geometric rows together.

    c = A p^n + B q^n obeys c_(n+2) = s c_(n+1) - m c_n with s = p + q, m = p q: four changes give both. One ratio
    alone is that of the larger row, and leaves out what a small slow one adds up to.

    Parameters
    ----------
    changes : the last four, first axis in order; any shape behind, each element by itself [K]

    Returns
    -------
    what all further ones add up to, of the shape behind; inf where they do not die away [K]

    From
    ----
    Shanks 1955, second-order transform of a row's partial sums (from memory); definition of a geometric row.
    """
    one, two, three, four = changes
    with np.errstate(all="ignore"):
        apart, scale = two**2 - one * three, two**2 + np.abs(one * three)
        total, product = (two * three - one * four) / apart, (three**2 - two * four) / apart
        dies = (np.abs(product) < 1.0) & (np.abs(total) < 1.0 + product)  # both ratios within the unit circle
        both = (total * four - product * (three + four)) / (1.0 - total + product)
        ratio = four / three
        single = np.where(np.abs(ratio) < 1.0, four * ratio / (1.0 - ratio), np.inf)
        left = np.where(np.abs(apart) > ONE_MODE * scale, np.where(dies, both, np.inf), single)
    return np.asarray(np.where(four == 0.0, 0.0, left))
