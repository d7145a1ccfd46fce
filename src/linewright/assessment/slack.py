"""Cycles by their lowest tension, for slackness: groups of counted cycles, or the law of a spectrum or typed state."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from linewright.physics.types import Array

GROUPS = 576  # of troughs: 9 classes of range with 64 of trough each
CLASSES, PARTS = 8, 64
SMALL_RANGE = 0.01  # of the largest; below it ranges share a class
OF_GROUPS = ("lowest", "highest", "least", "most", "weight")
LAWS = 3  # parts of the widest fit to rainflow counts, one exponential and two Rayleigh


@dataclass(frozen=True)
class Troughs:
    """Cycles by their lowest tension, where bins of range would average low troughs away; axes of states in front.

    trough, from lowest to highest, and range, from least to most, of up to 576 groups [N], in which cycles lie evenly;
    weight of the groups. Law: amplitudes about `mean` [N] of three parts with their share, scale [N] and power, of
    which exp(-(amplitude/scale)^power) lie above an amplitude. Weights and shares add to 1.
    """

    lowest: Array
    highest: Array
    least: Array
    most: Array
    weight: Array
    mean: Array
    share: Array
    scale: Array
    power: Array

    @staticmethod
    def of_groups(trough: tuple[Array, Array], span: tuple[Array, Array], weight: Array) -> Troughs:
        """Groups with the ends of their troughs and ranges [N]."""
        states = weight.shape[:-1]
        none, one = np.zeros((*states, LAWS)), np.ones((*states, LAWS))
        return Troughs(*trough, *span, weight, np.zeros(states), none, one, one)

    @staticmethod
    def of_bins(centre: Array, amplitude: Array, weight: Array) -> Troughs:
        """Troughs of cycles told by centre and amplitude [N]."""
        low, span = np.asarray(centre - amplitude), np.asarray(2.0 * amplitude)
        return Troughs.of_groups((low, low), (span, span), weight)

    @staticmethod
    def of_law(mean: float, deviations: Array, shares: Array, is_exponential: bool = False) -> Troughs:
        """Rayleigh amplitudes about a mean [N] by their deviation [N]; a first exponential part is told by its mean."""
        share, scale, power = np.zeros(LAWS), np.ones(LAWS), np.full(LAWS, 2.0)
        share[: len(shares)], scale[: len(shares)] = shares, np.sqrt(2.0) * deviations
        if is_exponential:
            scale[0], power[0] = deviations[0], 1.0
        none = np.zeros(1)
        return Troughs(none, none, none, none, none, np.asarray(mean), share, scale, power)

    def moved(self, about: float, factor: float, onto: float) -> Troughs:
        """The same with the swing about a tension [N] times a factor, set onto another tension [N]."""

        def at(tension: Array) -> Array:
            return onto + (tension - about) * factor

        return Troughs(
            at(self.lowest), at(self.highest), factor * self.least, factor * self.most, self.weight,
            at(self.mean), self.share, factor * self.scale, self.power,
        )  # fmt: skip

    def padded(self) -> Troughs:
        """The same with empty groups behind, 576 in all."""
        pad = GROUPS - self.weight.size
        groups = {name: np.pad(getattr(self, name), (0, pad)) for name in OF_GROUPS}
        return replace(self, **groups)

    @staticmethod
    def stacked(rows: Sequence[Troughs]) -> Troughs:
        """Troughs of several states in one, each padded, shape (J, ...)."""
        full = [row.padded() for row in rows]
        return Troughs(*(np.stack([getattr(row, item.name) for row in full]) for item in fields(Troughs)))


def troughs_of(rows: Array) -> Troughs:
    """Cycles in classes of range, equal in ratio, and of trough, narrow at the lowest; a group keeps its ends."""
    span, low = rows[:, 0], rows[:, 1] - 0.5 * rows[:, 0]
    edges = span.max() * np.geomspace(SMALL_RANGE, 1.0, CLASSES + 1)[:-1]
    levels = low.min() + np.ptp(low) * np.linspace(0.0, 1.0, PARTS + 1)[1:-1] ** 2
    cell = PARTS * np.searchsorted(edges, span, side="right") + np.searchsorted(levels, low, side="right")
    number = np.bincount(cell, rows[:, 2], GROUPS)
    held = number > 0.0
    ends = []
    for values in (low, span):
        least, most = np.full(GROUPS, np.inf), np.full(GROUPS, -np.inf)
        np.minimum.at(least, cell, values)
        np.maximum.at(most, cell, values)
        ends.append((least[held], most[held]))
    return Troughs.of_groups(ends[0], ends[1], number[held] / number.sum())


def slack_shares(slack: Troughs, trough: Array, least: Array) -> Array:
    """Share of the cycles of J states with a trough below `trough` and a range of `least` or more, shape (N, J).

    Limits have the shape (N,) [N]. Smaller ranges are a sensor's noise on a slack line: the strands do not come taut.
    """
    states = range(slack.weight.shape[0])
    return np.stack([_grouped(slack, j, trough, least) + _by_law(slack, j, trough, least) for j in states], axis=1)


def _grouped(slack: Troughs, j: int, trough: Array, least: Array) -> Array:
    """The share that lies in the groups of a state, shape (N,)."""
    held = slack.weight[j] > 0.0
    lowest, highest, short, long = (getattr(slack, key)[j, held] for key in OF_GROUPS[:4])
    below = _below(lowest, highest, trough[:, None])
    taut = 1.0 - _below(short, long, least[:, None])
    return np.asarray((below * taut) @ slack.weight[j, held])


def _below(low: Array, high: Array, limit: Array) -> Array:
    """Part of groups spread evenly from low to high that lies below a limit, shape (N, G)."""
    width = np.where(high > low, high - low, 1.0)
    return np.where(high > low, np.clip((limit - low) / width, 0.0, 1.0), low < limit)


def _by_law(slack: Troughs, j: int, trough: Array, least: Array) -> Array:
    """The share by the law of a state, shape (N,): amplitudes that reach the trough and swing enough."""
    needed = np.maximum(np.maximum(slack.mean[j] - trough, 0.5 * least), 0.0)
    above = np.exp(-((needed[:, None] / slack.scale[j]) ** slack.power[j]))
    return np.asarray(np.clip(above @ slack.share[j], 0.0, 1.0))
