"""Heat along a round rope in its own modes: strips of heat of any length, seen at points and over arcs near and far.

In the scaled lengths of `response` (rho = r/R, zeta = z/(R alpha)) what is even round the rope falls along it as
exp(-x |zeta|) with the roots x of x J1(x) = Bi J0(x). With N = J0(x)^2 + J1(x)^2 a plane of Q watts makes

    sum over x of  a b exp(-x |zeta|)/(2 x N)   in units of Q/(pi k_r R alpha)

a of where the heat enters, b of where the rise is seen: 1 on the axis, 2 J1(x)/x for the section, J0(x) at the face.
Means over strips are means of the exponential. The first roots are tabulated over Bi once a process.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass

import numpy as np
from scipy import special

from linewright.physics.types import Array, Real

COUNT = 12  # of modes
BIOT = np.geomspace(0.01, 400.0, 600)
SHORTEST = 1e-4  # of the radius: a strip as good as a plane


@dataclass(frozen=True)
class Modes:
    """Modes of a rope, on a last axis.

    Attributes
    ----------
    rate : fall along the rope [1/m]
    own : rise of a mode per watt of its own shape, 1/(2 x N) times the unit [K/W]
    axis : share of the axis, 1; of the last mode 1/2, because signs take turns there and half of it is the rest [-]
    mean : share of the section mean, 2 J1(x)/x [-]
    face : share of the face, J0(x) [-]
    rest : what the modes left out add to a face's rise per watt at the end of its own flux, times that length [K m/W]
    """

    rate: Array
    own: Array
    axis: Array
    mean: Array
    face: Array
    rest: Array

    def seen(self, share: Array, fall: Array) -> Array:
        """Rise per watt: product of the shares of source and sensor, and the mean of the fall between them [K/W]."""
        return np.einsum("...n,...n->...", self.own * share, fall)


@functools.lru_cache(maxsize=1)
def _table() -> Array:
    """Roots x and, for each, 1/(2 x N), 2 J1/x and J0, shape (Bi, 4, mode)."""
    first = np.r_[1e-9, special.jn_zeros(1, COUNT - 1)]
    low, high = np.tile(first, (BIOT.size, 1)), np.tile(special.jn_zeros(0, COUNT), (BIOT.size, 1))
    for _ in range(60):
        middle = 0.5 * (low + high)
        crossing = (middle * special.j1(middle) - BIOT[:, None] * special.j0(middle)) * (-1.0) ** np.arange(COUNT)
        low, high = np.where(crossing > 0.0, low, middle), np.where(crossing > 0.0, middle, high)
    x = 0.5 * (low + high)
    j0, j1 = special.j0(x), special.j1(x)
    own = 0.5 / (x * (j0**2 + j1**2))
    return np.stack([x, own, 2.0 * j1 / x, j0], axis=1)


def modes(radius: Real, conductivity: tuple[Real, Real], film: Real) -> Modes:
    """The slowest modes of a rope along its axis.

    Parameters
    ----------
    radius : radius of the rope [m]
    conductivity : across and along the rope, in this order [W/(m K)]
    film : total film coefficient [W/(m2 K)]

    Returns
    -------
    modes, on one more axis than the common shape of the arguments [fields]

    From
    ----
    Eigenfunctions of the cylinder with a film (Carslaw and Jaeger 1959, ch. VIII); the rest is the integral of
    1/(2 pi x^2) x^2/(x^2 + Bi^2) beyond the last root.
    """
    across, along = conductivity
    length = radius * np.sqrt(along / across)
    place = np.clip(np.log(film * radius / across / BIOT[0]) / np.log(BIOT[1] / BIOT[0]), 0.0, BIOT.size - 1.000001)
    index = place.astype(np.intp)
    part = (place - index)[..., None, None]
    table = _table()
    found = table[index] * (1.0 - part) + table[index + 1] * part
    x, own, mean, face = (found[..., n, :] for n in range(4))
    axis = np.r_[np.ones(COUNT - 1), 0.5]
    biot = film * radius / across
    rest = np.arctan(biot / (x[..., -1] + 0.5 * np.pi)) / (2.0 * np.pi * biot) / (np.pi * across)
    return Modes(x / np.asarray(length)[..., None], own / np.asarray(np.pi * across * length)[..., None], axis, mean,
                 face, rest)  # fmt: skip


def at_point(rate: Array, distance: Real, strip: Real) -> Array:
    """Mean of exp(-rate |z|) between a strip of heat and a point.

    Parameters
    ----------
    rate : of the modes, on a last axis [1/m]
    distance : from the strip's middle to the point [m]
    strip : length of the strip, above 0 [m]

    Returns
    -------
    mean fall of each mode [-]

    From
    ----
    Integral of the exponential: [2 - exp(-r (s/2 - d)) - exp(-r (s/2 + d))]/(r s) inside the strip,
    [exp(-r (d - s/2)) - exp(-r (d + s/2))]/(r s) beyond it.
    """
    middle, half = np.asarray(distance)[..., None], 0.5 * np.asarray(strip)[..., None]
    near = np.exp(-rate * np.abs(middle - half))
    return (np.where(middle < half, 2.0 - near, near) - np.exp(-rate * (middle + half))) / (2.0 * rate * half)


def over_arc(rate: Array, distance: Real, strip: Real, arc: Real) -> Array:
    """Mean of exp(-rate |z|) between all points of a strip of heat and all points of an arc.

    Parameters
    ----------
    rate : of the modes, on a last axis [1/m]
    distance : between the middles of strip and arc [m]
    strip : length of the strip, above 0 [m]
    arc : length of the arc, above 0 [m]

    Returns
    -------
    mean fall of each mode [-]

    From
    ----
    Second integral of the exponential, P(z) = [|z| - (1 - exp(-r |z|))/r]/r, taken between both ends of both.
    """
    middle, half, other = (np.asarray(value)[..., None] for value in (distance, 0.5 * strip, 0.5 * arc))

    def twice(z: Array) -> Array:
        far = np.abs(z)
        return (far + np.expm1(-rate * far) / rate) / rate

    ends = twice(middle + half + other) - twice(middle + half - other)
    ends = ends - twice(middle - half + other) + twice(middle - half - other)
    return np.maximum(ends / (4.0 * half * other), 0.0)
