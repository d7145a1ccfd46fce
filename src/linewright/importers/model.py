"""What an importer returns: frozen values in SI, and a report of what was read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class HourlyYear:
    """8760 hours of weather, shape (n,) each.

    air, dew_point [K]; wind [m/s]; cloud 0 to 1; beam (direct normal), diffuse and level (global on the
    level), means of the hour [W/m2]; elevation of the sun at the middle of the hour [rad]; month 1 to 12;
    rain [m] in the hour, 0 where none is told.
    """

    air: Array
    dew_point: Array
    wind: Array
    cloud: Array
    beam: Array
    diffuse: Array
    level: Array
    elevation: Array
    month: Array
    rain: Array
    latitude: float
    longitude: float
    report: Mapping[str, Any]


@dataclass(frozen=True)
class Record:
    """A recorded tension: time [s] and tension [N], shape (n,), with the report of its import."""

    time: Array
    tension: Array
    report: Mapping[str, Any]
