"""Cells of a rope in radius, angle and length; any direction may be a single cell.

The radial coordinate is u = r^2. An evenly heated rope is linear in u, so that differences in u are
exact for it on any grid, at the axis too. Centres lie in the middle of u, where a cell's mean is.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from linewright.physics.types import Array

ROUND = 2.0 * np.pi
CLOSE = 1e-9  # what counts as closed round the rope [rad]


@dataclass(frozen=True)
class Grid:
    """Edges of the cells; what lies outside them is not modelled.

    Attributes
    ----------
    radius : edges from the axis, 0, to the skin [m]
    angle : edges round the rope, over 2 pi (closed) or less (both ends are planes of symmetry) [rad]
    length : edges along the rope [m]
    """

    radius: Array
    angle: Array
    length: Array

    def __post_init__(self) -> None:
        """Refuse edges that do not rise, do not begin at the axis, or go round more than once."""
        for name in ("radius", "angle", "length"):
            edges = np.asarray(getattr(self, name), dtype=float)
            if edges.ndim != 1 or edges.size < 2 or not np.all(np.isfinite(edges)) or np.any(np.diff(edges) <= 0.0):
                raise ValueError(f"edges of {name} must be two or more finite numbers that rise")
            object.__setattr__(self, name, edges)
        if self.radius[0] != 0.0:
            raise ValueError("edges of radius must begin at the axis, 0")
        if self.span > ROUND + CLOSE:
            raise ValueError(f"edges of angle go round by {self.span:g} rad; at most 2 pi")

    @property
    def shape(self) -> tuple[int, int, int]:
        """Cells in radius, angle and length."""
        return self.radius.size - 1, self.angle.size - 1, self.length.size - 1

    @property
    def skin(self) -> float:
        """Radius of the rope [m]."""
        return float(self.radius[-1])

    @property
    def span(self) -> float:
        """Angle that is modelled [rad]."""
        return float(self.angle[-1] - self.angle[0])

    @property
    def is_closed(self) -> bool:
        """Whether the last cell round the rope touches the first."""
        return self.shape[1] > 1 and self.span > ROUND - CLOSE

    @cached_property
    def steps(self) -> tuple[Array, Array, Array]:
        """Widths in u [m2], in angle and along."""
        return np.diff(self.radius**2), np.diff(self.angle), np.diff(self.length)

    @cached_property
    def square(self) -> Array:
        """Centres in u = r^2 [m2]."""
        return 0.5 * (self.radius[1:] ** 2 + self.radius[:-1] ** 2)

    @cached_property
    def middle(self) -> tuple[Array, Array]:
        """Centres in angle and along."""
        return 0.5 * (self.angle[1:] + self.angle[:-1]), 0.5 * (self.length[1:] + self.length[:-1])

    @cached_property
    def axis(self) -> Array:
        """Weights of the innermost rings, three if there are, whose parabola in u passes through the axis."""
        inner = self.square[:3]
        others = inner[None, :] / (inner[None, :] - inner[:, None] + np.eye(inner.size))
        return np.prod(np.where(np.eye(inner.size) > 0.0, 1.0, others), axis=1)

    @cached_property
    def section(self) -> Array:
        """Area across the rope, shape (radius, angle, 1) [m2]."""
        return 0.5 * self.steps[0][:, None, None] * self.steps[1][None, :, None]

    @cached_property
    def volume(self) -> Array:
        """Volume of the cells [m3]."""
        return self.section * self.steps[2]

    @cached_property
    def area(self) -> Array:
        """Area of the faces at the skin, shape (angle, length) [m2]."""
        return self.skin * self.steps[1][:, None] * self.steps[2][None, :]


def radial_edges(radius: float, cells: int, power: float = 0.7) -> Array:
    """Edges r = R x^power: 0.5 makes cells of one area, up to 1 even in r.

    Parameters
    ----------
    radius : radius of the rope [m]
    cells : number of cells [-]
    power : 0.5 to 1; below 1 the cells are finer towards the skin [-]

    Returns
    -------
    edges from 0 to the radius [m]

    From
    ----
    Definition.
    """
    if not radius > 0.0 or cells < 1 or not 0.5 <= power <= 1.0:
        raise ValueError("radial edges need a radius above 0, one cell or more, and a power of 0.5 to 1")
    return radius * np.linspace(0.0, 1.0, cells + 1) ** power


def angle_edges(cells: int, span: float = ROUND) -> Array:
    """Even edges round the rope, or over half of it.

    Parameters
    ----------
    cells : number of cells [-]
    span : angle modelled: 2 pi, or pi between two planes of symmetry [rad]

    Returns
    -------
    edges from 0 to the span [rad]

    From
    ----
    Definition.
    """
    return np.linspace(0.0, span, cells + 1)


def along_edges(low: float, high: float, places: Sequence[float], finest: float, growth: float = 1.2) -> Array:
    """Edges along the rope that fall on the places and are fine around them.

    Parameters
    ----------
    low : where the modelled rope begins [m]
    high : where it ends [m]
    places : ends of contacts and of strips, between low and high [m]
    finest : length of the cells beside a place, at most [m]
    growth : ratio of one cell's length to the last, away from a place, above 1 [-]

    Returns
    -------
    edges, rising [m]

    From
    ----
    Geometric series, shortened to fit.
    """
    inner = sorted({place for place in places if low < place < high})
    if not low < high or not finest > 0.0 or not growth > 1.0:
        raise ValueError("edges along the rope need low < high, a finest cell above 0 and a growth above 1")
    stops = [low, *inner, high]
    parts = [np.array([low])]
    for begin, end in itertools.pairwise(stops):
        both = begin in inner and end in inner
        sizes = _growing(0.5 * (end - begin) if both else end - begin, finest, growth)
        if both:
            sizes = np.concatenate([sizes, sizes[::-1]])
        elif end in inner:
            sizes = sizes[::-1]
        parts.append(np.append(begin + np.cumsum(sizes)[:-1], end))
    return np.concatenate(parts)


def _growing(length: float, finest: float, growth: float) -> Array:
    """Sizes that grow from `finest`, scaled down so that they fill the length."""
    count = int(np.ceil(np.log1p(length * (growth - 1.0) / finest) / np.log(growth) - 1e-12))
    sizes = finest * growth ** np.arange(max(count, 1))
    return sizes * (length / sizes.sum())


def covered(edges: Array, low: float, high: float) -> Array:
    """Share of each cell that lies between two places.

    Parameters
    ----------
    edges : edges of the cells, rising [m]
    low : lower place [m]
    high : upper place [m]

    Returns
    -------
    share of each cell, 0 to 1 [-]

    From
    ----
    Definition.
    """
    overlap = np.minimum(edges[1:], high) - np.maximum(edges[:-1], low)
    return np.maximum(overlap, 0.0) / np.diff(edges)


def strip(grid: Grid, low: float, high: float, power: float) -> Array:
    """Heat per volume of a power spread evenly over a length of the rope, as bending heat over its stroke.

    Parameters
    ----------
    grid : cells [fields]
    low : where the strip begins [m]
    high : where it ends [m]
    power : heat of the part of the rope that is modelled [W]

    Returns
    -------
    heat per volume of each cell; times volume it adds up to the power [W/m3]

    From
    ----
    Heat balance: what lies between low and high carries the power, cells by their share.
    """
    if not grid.length[0] - CLOSE <= low < high <= grid.length[-1] + CLOSE:
        raise ValueError(f"a strip from {low:g} to {high:g} m does not lie on the modelled rope")
    share = covered(grid.length, low, high)
    return np.broadcast_to(power * share / np.sum(grid.volume * share), grid.shape).copy()
