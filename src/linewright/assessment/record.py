"""A recorded tension as cycles: rainflow once, then at most 64 bins that keep count, heat and peaks."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

import numpy as np

from linewright.importers.model import Record
from linewright.physics import cycles
from linewright.physics.types import Array

BINS = 64
PAUSE = 10.0  # of the median interval: a longer one is time that was not recorded


@dataclass(frozen=True)
class Counted:
    """A record counted: mean, deviation and highest [N], mean period of its cycles and duration [s].

    unrecorded, time left out of the duration [s]; lowest [N]; 64 bins: centre and amplitude of the bins [N],
    weights adding to 1.
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

    def raised(self, duration: float) -> float:
        """Highest tension [N] to expect in a duration [s] longer than the record.

        By what the most probable maximum of a narrow-band Gaussian tension (Longuet-Higgins 1952) grows
        from the cycles of the record to those of the duration.
        """
        seen = max(self.duration / self.period, 1.0)
        met = max(duration / self.period, seen)
        return self.highest + self.deviation * float(np.sqrt(2.0 * np.log(met)) - np.sqrt(2.0 * np.log(seen)))

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
    """Rainflow of a record (ASTM E1049-85, half cycles for the residue), in bins."""
    time, tension = record.time, record.tension
    steps = np.diff(time)
    steps[steps > PAUSE * np.median(steps)] = 0.0
    duration = float(steps.sum())
    apart = (float(time[-1] - time[0]) - duration, float(tension.min()))

    def over_time(values: Array) -> float:
        return float(np.sum(0.5 * (values[1:] + values[:-1]) * steps) / duration)

    mean = over_time(tension)
    deviation = float(np.sqrt(over_time((tension - mean) ** 2)))
    rows = cycles.rainflow(tension)
    saturated = bool(record.report.get("is_saturated"))
    if not len(rows):
        flat = (np.full(BINS, mean), np.zeros(BINS), np.full(BINS, 1.0 / BINS))
        return Counted(mean, 0.0, float(tension.max()), duration, duration, *apart, *flat, saturated)
    period = duration / float(rows[:, 2].sum())
    return Counted(mean, deviation, float(tension.max()), period, duration, *apart, *_bins(rows), saturated)


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
