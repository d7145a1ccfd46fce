"""Heat that grows with the temperature it makes: whether it settles somewhere, or runs away."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from linewright.physics.types import Array

SETTLED = 0.01  # change at which a field is found [K]
MOST = 200  # rounds
HOTTEST = 5000.0  # a temperature that no field needs to pass [K]
STEADY = 1.0 + 1e-6  # of a step over the last; above it the gain is 1 or more


def runs_away(respond: Callable[[Array], Array], cold: Array, limit: float = np.inf) -> bool:
    """Whether heat that could leave below a limit outgrows what carries it away, so that no field below it is stable.

    T_(n+1) = respond(T_n): each step over the last is the mean gain of the feedback, the largest eigenvalue of the
    inverse of conduction times dq/dT once the steps have its shape. A gain below 1 all the way leads to a stable
    field, below or above the limit. Steps that grow are followed: below the limit they may shrink again and settle,
    where heat saturates; once they grow beyond it, there is no stable field that could be reached. Above the limit
    that takes heat for convex, as of an activated flow: a law that saturates only there has a hotter field, of a rope
    that is no longer one. Heat that leads to the limit without any growth does not run away: there is simply too much
    of it.

    Parameters
    ----------
    respond : steady temperatures with heat taken at given ones, however hot; conduction and films are its own [K]
    cold : temperatures before there is heat, any shape [K]
    limit : temperature that the heat of a cold rope must stay below for its growth to be the cause [K]

    Returns
    -------
    True where growing heat leads beyond the limit; without a limit, beyond 5000 K [-]

    From
    ----
    Repeated substitution of a rising function (its smallest fixed point, from below); criterion of thermal
    explosion, Semenov 1928 (from memory): q0 exp(b (T - Ta)) = h (T - Ta) has a solution if and only if q0 b e <= h.
    """
    grows = False
    with np.errstate(over="ignore"):
        now = respond(cold)
        before = float(np.max(now - cold))
        if not np.max(now) < limit:
            return False
        for _ in range(MOST):
            new = respond(now)
            up = float(np.max(new - now))
            grows = not np.isfinite(up) or up > STEADY * before
            if grows and not np.max(new) < min(limit, HOTTEST):
                return True
            if up < SETTLED:
                return False
            now, before = new, up
    return grows
