"""A recorded tension as cycles: rainflow once, then at most 64 bins that keep count, heat and peaks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

import numpy as np

from linewright.importers.clock import segments
from linewright.importers.model import Record
from linewright.physics import cycles
from linewright.physics.types import Array

BINS = 64


@dataclass(frozen=True)
class Counted:
    """A record counted: mean, deviation and highest [N], mean period of its cycles and duration [s].

    unrecorded, time left out of the duration [s]; lowest [N]; 64 bins: centre and amplitude of the bins [N],
    weights adding to 1; base, what a tension is a share of ("N" for newton itself); doubts of its import, in words.
    """

    mean: float
    deviation: float
    highest: float
    period: float
    duration: float
    unrecorded: float
    lowest: float
    centre: Array
    amplitude: Array
    weight: Array
    is_saturated: bool
    base: str = "N"
    doubts: tuple[str, ...] = ()

    def raised(self, duration: float) -> float:
        """Highest tension [N] to expect in a duration [s] longer than the record.

        By what the most probable maximum of a narrow-band Gaussian tension (Longuet-Higgins 1952) grows
        from the cycles of the record to those of the duration.
        """
        seen = max(self.duration / self.period, 1.0)
        met = max(duration / self.period, seen)
        return self.highest + self.deviation * float(np.sqrt(2.0 * np.log(met)) - np.sqrt(2.0 * np.log(seen)))

    def newton(self, bases: Mapping[str, float]) -> Counted:
        """The same record in newton, where it is a share of a strength; `bases` are the strengths [N]."""
        if self.base == "N":
            return self
        factor = bases[self.base]
        return replace(
            self,
            mean=self.mean * factor,
            deviation=self.deviation * factor,
            highest=self.highest * factor,
            lowest=self.lowest * factor,
            centre=self.centre * factor,
            amplitude=self.amplitude * factor,
            base="N",
        )

    def swung(self, factor: float) -> Counted:
        """The same record with its swing about the mean scaled."""

        def moved(tension: Any) -> Any:
            return self.mean + (tension - self.mean) * factor

        return replace(
            self,
            deviation=self.deviation * factor,
            highest=moved(self.highest),
            lowest=moved(self.lowest),
            centre=moved(self.centre),
            amplitude=self.amplitude * factor,
        )


def count(record: Record) -> Counted:
    """Rainflow of a record (ASTM E1049-85, half cycles for the residue), in bins; never across a gap."""
    time, tension = record.time, record.tension
    parts = segments(time)
    steps = np.diff(time)
    steps[[b - 1 for _, b in parts[:-1]]] = 0.0
    duration = float(steps.sum())
    apart = (float(time[-1] - time[0]) - duration, float(tension.min()))

    def over_time(values: Array) -> float:
        return float(np.sum(0.5 * (values[1:] + values[:-1]) * steps) / duration)

    mean = over_time(tension)
    deviation = float(np.sqrt(over_time((tension - mean) ** 2)))
    rows = np.concatenate([cycles.rainflow(tension[a:b]) for a, b in parts])
    saturated, base = bool(record.report.get("is_saturated")), str(record.report.get("base", "N"))
    doubts = tuple(map(str, record.report.get("doubts", ())))
    if not len(rows):
        bins = (np.full(BINS, mean), np.zeros(BINS), np.full(BINS, 1.0 / BINS))
        deviation, period = 0.0, duration
    else:
        bins, period = _bins(rows), duration / float(rows[:, 2].sum())
    return Counted(
        mean, deviation, float(tension.max()), period, duration, *apart, *bins, saturated, base, doubts
    )  # fmt: skip


def _bins(rows: Array) -> tuple[Array, Array, Array]:
    """Cycles sorted by range in 64 groups, the large ones alone; a group keeps its count and mean square."""
    ordered = rows[np.argsort(rows[:, 0], kind="stable")]
    edges = np.unique(np.round(len(ordered) * (1.0 - (1.0 - np.linspace(0.0, 1.0, BINS + 1)) ** 2.0)).astype(int))
    groups = [ordered[a:b] for a, b in pairwise(edges) if b > a]
    counts = np.array([group[:, 2].sum() for group in groups])
    centre = np.array([np.average(group[:, 1], weights=group[:, 2]) for group in groups])
    square = np.array([np.average((0.5 * group[:, 0]) ** 2, weights=group[:, 2]) for group in groups])
    pad = BINS - len(groups)
    return (
        np.pad(centre, (0, pad), mode="edge"),
        np.pad(np.sqrt(square), (0, pad)),
        np.pad(counts / counts.sum(), (0, pad)),
    )
