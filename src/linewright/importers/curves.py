"""Curves over frequency: wave and tension spectra, and responses, from CSV or a buoy's file of spectra."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from linewright.base.errors import InputError, Problem
from linewright.importers import cells, channels, clock, header, weather_form
from linewright.importers.buoy_waves import Spectra
from linewright.importers.report import Array, Log
from linewright.importers.table import Table, read_table
from linewright.importers.text import TextFile, read_text

KINDS = ("wave or motion", "spectrum of tension", "tension per wave", "motion per wave")


@dataclass(frozen=True)
class Curve:
    """Values over frequency [Hz], rising: a spectrum or a response, in SI, and which by `kind`.

    kind: `wave or motion` [m2/Hz], `spectrum of tension` [N2/Hz], `tension per wave` [N/m], `motion per wave` [m/m].
    """

    frequency: Array
    values: Array
    kind: str
    notes: tuple[str, ...] = ()


def read_curve(path: Path) -> Curve:
    """A curve of a file: a column of frequencies [Hz] or periods [s], and one of values with its unit.

    Raises InputError for anything else.
    """
    log = Log()
    file = read_text(path, log)
    if weather_form.recognise_weather(path.name, file.lines) == "buoy-spectra":
        return _of_buoy(file, log)
    table = read_table(file, log)
    units = [header.unit_of(table.units[n] or header.split(name).unit) for n, name in enumerate(table.names)]
    over = [n for n, unit in enumerate(units) if unit is not None and unit.quantity in ("frequency", "duration")]
    held = [n for n, unit in enumerate(units) if unit is not None and unit.quantity in KINDS]
    if len(over) != 1 or len(held) != 1:
        needs = "one column in Hz or s, and one in m2/Hz, kN2/Hz, kN/m or m/m"
        raise InputError(f"{path.name} holds no curve.", [Problem(path.name, ", ".join(table.names), needs)])
    x, y = _columns(path, table, (over[0], held[0]), log)
    one, other = units[over[0]], units[held[0]]
    assert one is not None
    assert other is not None
    frequency = _frequency(path, x * one.factor, one.quantity, other.quantity)
    order = np.argsort(frequency)
    frequency, values = frequency[order], y[order] * other.factor
    if frequency.size < 2 or (np.diff(frequency) <= 0.0).any() or (values < 0.0).any() or frequency[0] < 0.0:
        needs = "two rows or more, every frequency once, nothing below zero"
        raise InputError(f"{path.name} holds no curve.", [Problem(path.name, f"{x.size} rows", needs)])
    return Curve(frequency, values, other.quantity)


def _columns(path: Path, table: Table, indices: tuple[int, int], log: Log) -> Array:
    """Two columns as numbers, shape (2, n). Raises InputError for a cell that is none."""
    mark = channels.mark_of(table, clock.Clock(np.zeros(0), (), "rows", None, ""), log)
    rows = [[cells.number(row[index], mark) for index in indices] for row in table.rows]
    bad = [line for line, row in zip(table.lines, rows, strict=True) if None in row]
    if bad:
        problem = Problem(f"{path.name}:{bad[0]}", "no number", "two numbers")
        raise InputError(f"{path.name} has rows that cannot be read.", [problem])
    return np.array(rows, dtype=np.float64).T


def _frequency(path: Path, over: Array, quantity: str, kind: str) -> Array:
    """Frequencies [Hz] of a column of frequencies or periods. Raises InputError for what cannot be."""
    if quantity == "frequency":
        return over
    if kind in ("wave or motion", "spectrum of tension"):
        problem = Problem(path.name, "a density over periods", "a density over frequency, in Hz")
        raise InputError(f"{path.name} holds no spectrum that can be read.", [problem])
    if (over <= 0.0).any():
        problem = Problem(path.name, f"{over.min():g} s", "periods above zero")
        raise InputError(f"{path.name} has periods that cannot be.", [problem])
    return np.asarray(1.0 / over)


def _of_buoy(file: TextFile, log: Log) -> Curve:
    """The mean of a buoy's wave spectra."""
    found = weather_form.read_weather(file, "buoy-spectra", log).content
    assert isinstance(found, Spectra)
    told = np.isfinite(found.densities).all(axis=1)
    if not told.any():
        problem = Problem(file.source.name, "missing densities", "a spectrum")
        raise InputError(f"{file.source.name} holds no whole spectrum.", [problem])
    text = f"mean of {int(told.sum())} wave spectra"
    return Curve(found.frequencies, found.densities[told].mean(axis=0), "wave or motion", (text,))
