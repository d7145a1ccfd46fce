"""Hourly typical years, read in place from files that packages ship or that the study holds."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from linewright.base.errors import InputError, Problem
from linewright.base.units import ZERO_CELSIUS
from linewright.importers.model import HourlyYear

COLUMNS = {
    "tm2": {"air": "DryBulb", "dew_point": "DewPoint", "wind": "Wspd", "cloud": "TotCld", "beam": "DNI",
            "diffuse": "DHI", "level": "GHI"},
    "tmy3": {"air": "temp_air", "dew_point": "temp_dew", "wind": "wind_speed", "cloud": "TotCld (tenths)",
             "beam": "dni", "diffuse": "dhi", "level": "ghi"},
}  # fmt: skip
TENTHS = {"tm2": ("air", "dew_point", "wind", "cloud"), "tmy3": ("cloud",)}
HALF_HOUR = {"tm2": 30, "tmy3": -30}  # minutes from the time stamp to the middle of the hour it stands for
RANGES = {"air": (-60.0, 60.0), "dew_point": (-80.0, 40.0), "wind": (0.0, 60.0), "cloud": (0.0, 1.0),
          "beam": (0.0, 1400.0), "diffuse": (0.0, 1000.0), "level": (0.0, 1400.0)}  # fmt: skip
HOURS = 8760


def read_year(path: Path) -> HourlyYear:
    """A typical year from a TM2 or TMY3 file. Raises InputError where hours are missing or out of range."""
    kind = {".tm2": "tm2", ".csv": "tmy3"}.get(path.suffix.lower())
    if kind is None:
        raise InputError(
            f"{path.name} is no typical year that can be read.",
            [_problem(path, path.suffix, "a .tm2 or TMY3 .csv file")],
        )
    try:
        return _year(path, kind, *_frame(path, kind))
    except InputError:
        raise
    except (OSError, ArithmeticError, ValueError, LookupError, TypeError, UnboundLocalError) as error:
        raise InputError(
            f"{path.name} cannot be read as a typical year.", [_problem(path, str(error)[:120], f"a {kind} file")]
        ) from None


def _problem(path: Path, read: str, needs: str) -> Problem:
    return Problem(path.name, read, needs)


def _frame(path: Path, kind: str) -> tuple[Any, dict[str, Any]]:
    from pvlib import iotools

    if kind == "tm2":
        frame, place = iotools.read_tmy2(str(path))
    else:
        frame, place = iotools.read_tmy3(str(path), map_variables=True)
    return frame, place


def _year(path: Path, kind: str, frame: Any, place: dict[str, Any]) -> HourlyYear:
    values = {name: frame[column].to_numpy(dtype=float) for name, column in COLUMNS[kind].items()}
    for name in TENTHS[kind]:
        values[name] = values[name] / 10.0
    _check(path, values)
    if not (abs(place["latitude"]) <= 90.0 and abs(place["longitude"]) <= 180.0 and abs(float(place["TZ"])) <= 14.0):
        read = f"latitude {place['latitude']}, longitude {place['longitude']}, zone {place['TZ']}"
        raise InputError(f"{path.name} lies nowhere.", [_problem(path, read, "a place on the globe")])
    elevation, month = _sun(kind, frame, place)
    latitude, longitude = np.radians(place["latitude"]), np.radians(place["longitude"])
    report = {
        "kind": kind,
        "rows_read": len(frame),
        "rows_kept": len(frame),
        "dropped": [],
        "columns": {name: {"low": float(part.min()), "high": float(part.max())} for name, part in values.items()},
        "interval": "radiation is the mean of the hour; the sun stands at its middle",
        "utc_offset_hours": float(place["TZ"]),
    }
    air, dew = values["air"] + ZERO_CELSIUS, np.minimum(values["dew_point"], values["air"]) + ZERO_CELSIUS
    return HourlyYear(air, dew, values["wind"], values["cloud"], values["beam"], values["diffuse"], values["level"],
                      elevation, month, float(latitude), float(longitude), report)  # fmt: skip


def _check(path: Path, values: dict[str, Any]) -> None:
    problems = []
    for name, part in values.items():
        low, high = RANGES[name]
        bad = np.flatnonzero(~((part >= low) & (part <= high)))
        if len(part) != HOURS:
            problems.append(_problem(path, f"{len(part)} hours", f"{HOURS} hours of {name}"))
        elif bad.size:
            read = f"{bad.size} hours of {name}, first at row {bad[0] + 1}: {part[bad[0]]:g}"
            problems.append(_problem(path, read, f"{name} from {low:g} to {high:g}"))
    if problems:
        raise InputError(f"{path.name} has hours that are missing or out of range.", problems)


def _sun(kind: str, frame: Any, place: dict[str, Any]) -> tuple[Any, Any]:
    """Elevation of the sun at the middle of each hour [rad], and the month; typical months of mixed years on one."""
    import pandas as pd
    from pvlib import solarposition

    start = pd.Timestamp(2001, 1, 1, tz="UTC") - pd.Timedelta(hours=float(place["TZ"]))
    first = pd.Timedelta(hours=0) if kind == "tm2" else pd.Timedelta(hours=1)
    middle = start + first + pd.Timedelta(minutes=HALF_HOUR[kind]) + pd.to_timedelta(np.arange(len(frame)), unit="h")
    found = solarposition.get_solarposition(middle, place["latitude"], place["longitude"])
    local = middle + pd.Timedelta(hours=float(place["TZ"]))
    return np.radians(found["elevation"].to_numpy(dtype=float)), local.month.to_numpy(dtype=float)
