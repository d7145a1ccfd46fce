"""Samples of every datum: one matrix of scores, shared by all ropes compared.

Row 0 is the central case. A column belongs to a key. The same key on two ropes shares its column
when both data are estimates (our ignorance of the law is common) or cite the same source.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

import numpy as np
from scipy import special

from linewright.base.data import Datum
from linewright.physics import statistics
from linewright.physics.types import Array

DIMENSIONS = 512
CENTRAL = frozenset({"quasi_static_stiffness", "steel_capacity"})  # central values only: no column of their own


LUCK = " of "


def column(datum: Datum, apart: str = "") -> str:
    """Name of the score column of a datum; `apart` keeps a rope's own laws apart from others'.

    A scatter between equal ropes belongs to a line group whatever it rests on: its rope, or what would lie there.
    """
    shared = datum.key if datum.is_weak else f"{datum.key}|{datum.source}"
    shared = f"{datum.key}{LUCK}{datum.luck_of}" if datum.luck_of else shared
    return f"{shared}@{apart}" if apart else shared


def score_matrix(columns: Iterable[str], samples: int, seed: int) -> dict[str, Array]:
    """Standard normal scores per column, scrambled Sobol', row 0 all zero, shape (samples,) each.

    Columns keep their order, and the sequence has the same dimensions however many are asked for: the
    first columns do not move when others are added behind them.
    """
    from scipy.stats import qmc

    names = list(dict.fromkeys(columns))
    if not names:
        return {}
    dimensions = DIMENSIONS * -(-len(names) // DIMENSIONS)
    points = qmc.Sobol(dimensions, scramble=True, rng=np.random.default_rng(seed)).random(samples)[:, : len(names)]
    scores = special.ndtri(np.clip(points, 1e-12, 1.0 - 1e-12))
    scores[0] = 0.0
    return {name: scores[:, index] for index, name in enumerate(names)}


_SHAPES = {
    "lognormal": statistics.split_lognormal,
    "normal": statistics.split_normal,
    "logit": statistics.split_logit,
}


@dataclass(frozen=True)
class Draws:
    """Samples of the data of one line and rope, by value; keys of contacts carry their number.

    `asked` collects the keys that were used: it is this run's own list of what it rests on.
    """

    data: Mapping[str, Datum]
    scores: Mapping[str, Array]
    samples: int
    apart: str = ""
    laws: frozenset[str] = frozenset()
    asked: set[str] = field(default_factory=set)

    def score(self, key: str) -> Array:
        """Scores of a datum, shape (s,)."""
        found = self.scores.get(column(self.data[key], self.apart if key in self.laws else ""))
        return np.zeros(self.samples) if found is None else found

    def of(self, key: str, axes: int = 4) -> Array:
        """Samples in SI, shape (s, 1, 1, 1) or with as many axes as asked."""
        datum = self.data[key]
        self.asked.add(key)
        if not datum.has_band:
            values = np.full(1, datum.value)
        else:
            shape = _SHAPES[datum.shape]
            values = np.asarray(shape(datum.value, datum.low, datum.high, self.score(key)))
        return values.reshape(-1, *(1,) * (axes - 1))

    def curve(self, key: str, at: Array) -> Array:
        """Samples of a tabulated quantity at points of any shape (s, ...); one rank moves the curve."""
        table = self.data[key].curve
        self.asked.add(key)
        if table is None:
            return self.of(key, at.ndim) + 0.0 * at
        points, knots = np.asarray(table.points), self._knots(key)
        if len(knots) == 1:
            return np.interp(at, points, knots[0])
        right = np.clip(np.searchsorted(points, at), 1, len(points) - 1)
        share = np.clip((at - points[right - 1]) / (points[right] - points[right - 1]), 0.0, 1.0)
        rows = np.arange(len(knots)).reshape(-1, *(1,) * (at.ndim - 1)) * len(points)
        flat = knots.ravel()
        low, high = flat[rows + right - 1], flat[rows + right]
        return low + share * (high - low)

    def _knots(self, key: str) -> Array:
        """Ordinates of a curve at its own points, moved by one rank: shape (s, K), or (1, K) where nothing moves."""
        table = self.data[key].curve
        assert table is not None
        value, score = np.asarray(table.value), self.score(key) / statistics.Z95
        if not score.any():
            return value[None]
        up, down = np.log(table.high / value), np.log(value / table.low)
        return value * np.exp(np.where(score[:, None] > 0.0, up, down) * score[:, None])

    def block(self, rows: slice) -> Draws:
        """The same data for some of the samples."""
        part = {name: values[rows] for name, values in self.scores.items()}
        count = len(range(*rows.indices(self.samples)))
        return Draws(self.data, part, count, self.apart, self.laws, self.asked)

    @property
    def columns(self) -> list[str]:
        """Names of the score columns that these data ask for."""
        return [
            column(datum, self.apart if key in self.laws else "")
            for key, datum in self.data.items()
            if datum.has_band and datum.key not in CENTRAL
        ]

    def has(self, *keys: str) -> bool:
        """Whether every key is there."""
        return all(key in self.data for key in keys)


def endurance_scatter(draws: Draws, axes: int) -> Array:
    """Life of this rope over that of equal ropes in the same endurance test; 1 where the card does not say."""
    return draws.of("endurance_scatter", axes) if draws.has("endurance_scatter") else np.ones((1,) * axes)
