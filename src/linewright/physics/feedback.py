"""Heat that grows with the temperature it makes: whether it settles somewhere, or runs away."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from linewright.physics.types import Array

SETTLED = 0.01  # change at which a field is found [K]
MOST = 200  # rounds
STEADY = 1.0 + 1e-6  # of a step over the last; above it the gain is 1 or more


def runs_away(respond: Callable[[Array], Array], cold: Array, limit: float = np.inf) -> bool:
    """Whether heat that could leave below a limit outgrows what carries it away, however high a field may lie.

    T_(n+1) = respond(T_n): each step over the last is the mean gain of the feedback, the largest eigenvalue of the
    inverse of conduction times dq/dT once the steps have its shape. A gain below 1 all the way leads to a stable
    field, below or above the limit; a gain of 1 or more on the way leaves none that could be reached. Heat that leads
    to the limit without any growth does not run away: there is simply too much of it.

    Parameters
    ----------
    respond : steady temperatures with heat taken at given ones, however hot; conduction and films are its own [K]
    cold : temperatures before there is heat, any shape [K]
    limit : temperature that the heat of a cold rope must stay below for its growth to be the cause [K]

    Returns
    -------
    True where there is no stable field to come to [-]

    From
    ----
    Repeated substitution of a rising function (its smallest fixed point, from below); criterion of thermal
    explosion, Semenov 1928 (from memory): q0 exp(b (T - Ta)) = h (T - Ta) has a solution if and only if q0 b e <= h.
    """
    with np.errstate(over="ignore"):
        now = respond(cold)
        before = float(np.max(now - cold))
        if not np.max(now) < limit:
            return False
        for _ in range(MOST):
            new = respond(now)
            up = float(np.max(new - now))
            if not np.isfinite(up) or up > STEADY * before:
                return True
            if up < SETTLED:
                return False
            now, before = new, up
    return False
