"""Histories of one channel each: order of time, duplicates, gaps, and what a sensor's faults look like."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from linewright.base.errors import InputError, Problem
from linewright.importers.clock import Clock, moment, segments
from linewright.importers.report import Array, Log

SIGMAS, TIMES = 6.0, 2.0  # a spike: robust deviations from the median, and times its neighbours' distance
ROBUST = 1.4826  # of the median absolute deviation, for a normal distribution
ZEROS, LOADED = 2, 0.2  # a dropout: zeros in a row between values above this share of the median
MANY = 0.2  # share of rows with a time that another has, from which a file is taken for something else
SATURATED = 3  # equal readings at the top in a row
NEAR_ZERO = 0.03  # of the largest value: an unloaded stretch
SHIFT = 0.01  # of the largest value: an offset worth a word
STRETCH = 5  # readings of an unloaded stretch
PER_PERIOD = 10.0  # readings per dominant period that counting needs
NEARLY = 0.95
LARGEST, LARGEST_SHARE = 1e8, 10.0  # [N], [-] of its strength: no line carries it
SLOW_STEP = 2.0  # [s] a slower clock cannot follow swell


Lines = Sequence[int] | npt.NDArray[np.int64]


@dataclass(frozen=True)
class Series:
    """A history of one channel: name, time [s], values in SI without missing ones, line of each row in the file."""

    name: str
    quantity: str
    time: Array
    values: Array
    lines: npt.NDArray[np.int64]

    @property
    def parts(self) -> list[tuple[int, int]]:
        """Index pairs of the stretches without a gap."""
        return segments(self.time)


def in_order(time: Array, columns: Sequence[Array], lines: Lines, log: Log) -> npt.NDArray[np.intp]:
    """Rows to keep, in rising time: duplicates dropped and reported, rows out of order sorted and reported."""
    known = np.flatnonzero(np.isfinite(time))
    for n in np.flatnonzero(~np.isfinite(time)):
        log.drop(int(lines[int(n)]), "", "no time")
    if known.size < time.size and "time-unreadable" not in [flag.code for flag in log.flags]:
        text = f"{time.size - known.size} rows have no time that can be read"
        log.flag(
            "time-unreadable", text, "caution", rows=[int(lines[int(n)]) for n in np.flatnonzero(~np.isfinite(time))]
        )
    late = known[1:][np.diff(time[known]) < 0.0]
    is_falling = late.size == known.size - 1 > 0
    if is_falling:
        log.flag("newest-first", "the rows stand newest first; they were turned round")
    elif late.size:
        highest = np.maximum.accumulate(time[known])
        moved = known[time[known] < highest]
        log.flag("out-of-order", f"{moved.size} rows stand out of order; the rows were sorted by time",
                 rows=[lines[n] for n in moved])  # fmt: skip
    ordered = known[np.argsort(time[known], kind="stable")]
    return ordered[_first_of_each(time, columns, lines, ordered, log)]


def _first_of_each(
    time: Array, columns: Sequence[Array], lines: Lines, ordered: npt.NDArray[np.intp], log: Log
) -> npt.NDArray[np.bool_]:
    keep = np.ones(ordered.size, dtype=bool)
    again = np.flatnonzero(np.diff(time[ordered]) == 0.0) + 1
    conflicts = []
    for place in again:
        here, first = ordered[place], ordered[place - 1]
        while first in conflicts and place > 1 and time[ordered[place - 2]] == time[here]:
            place -= 1
            first = ordered[place - 1]
        same = all(
            column[here] == column[first] or (np.isnan(column[here]) and np.isnan(column[first])) for column in columns
        )
        other = f"the same time as row {lines[first]} with other values"
        log.drop(int(lines[here]), "", "the same row again" if same else other)
        if not same:
            conflicts.append(here)
    keep[again] = False
    if len(conflicts) > MANY * ordered.size:
        text = (
            f"{len(conflicts)} of {ordered.size} rows repeat a time with other values: does a column name hook or line?"
        )
        log.flag("times-repeat", text, "refused")
    if conflicts:
        text = (
            f"{len(conflicts)} rows repeat a time with other values; the first of each was kept, nothing was averaged"
        )
        log.flag("duplicate-conflict", text, "caution", rows=[lines[n] for n in conflicts])
    return keep


def flag_gaps(time: Array, lines: Lines, clock: Clock, log: Log) -> None:
    """Report gaps: nothing is interpolated or counted across them."""
    ends = [b for _, b in segments(time)[:-1]]
    if ends:
        far = max(ends, key=lambda b: float(time[b] - time[b - 1]))
        longest = (float(time[far] - time[far - 1]), moment(clock, float(time[far - 1])), int(lines[far - 1]))
        log.flag("gap", gap_text(len(ends), longest), "caution", rows=[lines[b] for b in ends])


def gap_text(count: int, longest: tuple[float, str, int]) -> str:
    """How many gaps there are; longest holds length [s], time and row of the last reading before it."""
    length, since, row = longest
    told = "1 gap" if count == 1 else f"{count} gaps, the longest"
    text = f"{told} of {length:g} s after {since} in row {row}"
    return f"{text}, {count + 1} segments; nothing is counted across"


def without_impossible(values: Array, quantity: str, name: str, lines: Lines, log: Log) -> Array:
    """Tensions that no line carries are missing, reported. Raises InputError where most readings are such."""
    limit, shown, unit = (LARGEST, 1e-3, "kN") if quantity == "force" else (LARGEST_SHARE, 100.0, "%")
    bad = np.flatnonzero(np.abs(values) > limit)
    if not bad.size:
        return values
    if 2 * bad.size > np.isfinite(values).sum():
        read = f"up to {shown * np.nanmax(np.abs(values)):.3g} {unit} in {name}"
        problem = Problem(name, read, "tensions of a mooring line", "check the unit")
        raise InputError("This is no record of a line's tension.", [problem])
    for n in bad:
        log.replace(int(lines[int(n)]), name, f"{shown * values[n]:.6g} {unit}", "more than any line carries")
    text = f"{name}: {bad.size} readings above {shown * limit:g} {unit} count as missing"
    log.flag("implausible", text, "caution", name, [int(lines[int(n)]) for n in bad])
    return np.where(np.abs(values) > limit, np.nan, values)


def without_dropouts(
    values: Array, name: str, lines: Lines, log: Log, slack: npt.NDArray[np.bool_] | None = None
) -> Array:
    """Zeros in a row between loaded readings are no load: missing, reported (answer dropouts = keep keeps them).

    Where a status calls the line slack, shape of the values, a zero is a reading.
    """
    found = dropouts(values)
    found = found if slack is None else found[~slack[found]]
    if not found.size:
        return values
    kept = log.option("dropouts", "missing", ("missing", "keep")) == "keep"
    text = f"{name}: {len(found)} zeros in a row between loaded readings look like a dropout of the sensor"
    log.flag(
        "dropout", f"{text}; {'kept' if kept else 'they count as missing'}", "caution", name, [lines[n] for n in found]
    )
    if kept:
        return values
    for n in found:
        log.replace(lines[n], name, "0", "a dropout of the sensor")
    cleaned = values.copy()
    cleaned[found] = np.nan
    return cleaned


def dropouts(values: Array) -> npt.NDArray[np.intp]:
    """Indices of zeros in a row between readings above a fifth of the median."""
    known = values[np.isfinite(values)]
    middle = float(np.median(known)) if known.size else 0.0
    if middle <= 0.0 or not (values == 0.0).any():
        return np.zeros(0, dtype=np.intp)
    found = [(a, b) for a, b in runs(values == 0.0) if b - a >= ZEROS and _is_between(values, a, b, LOADED * middle)]
    return np.array([n for a, b in found for n in range(a, b)], dtype=np.intp)


def _is_between(values: Array, a: int, b: int, least: float) -> bool:
    before = values[:a][np.isfinite(values[:a])]
    after = values[b:][np.isfinite(values[b:])]
    return before.size > 0 and after.size > 0 and before[-1] > least and after[0] > least


def runs(flags: npt.NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Index pairs [begin, end) of stretches where a flag holds."""
    edges = np.flatnonzero(np.diff(np.r_[False, flags, False].astype(np.int8)))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def flag_sensor(series: Series, log: Log) -> None:
    """Doubts about a sensor of tension: saturation, negative readings, offset."""
    values, name = series.values, series.name
    if values.size < 3:
        return
    top = float(values.max())
    if top == float(values.min()):
        log.flag("constant", f"{name}: every reading is {top / 1e3:.6g} kN", "caution", name)
        return
    flat = [(a, b) for a, b in runs(values == top) if b - a >= SATURATED and not is_crest(values, a, b)]
    if flat:
        rows = [int(series.lines[n]) for a, b in flat for n in range(a, b)]
        reading = f"{name}: {len(rows)} readings in a row at the top, {top / 1e3:.6g} kN"
        text = f"{reading}: the sensor was at its end; the true peak is unknown"
        log.flag("saturated", text, "caution", name, rows)
    _flag_zero(series, top, log)


def is_crest(values: Array, a: int, b: int) -> bool:
    """Whether equal readings at the top are the crest of a smooth curve, rounded to the sensor's resolution q.

    By hand: a parabola that stays within q/2 over half a run h has fallen by q/2 (3^2 - 1) = 4 q one run beyond the
    end of the run and by q/2 (2^2 - 1) = 1.5 q half a run beyond it; rounding adds at most q.
    """
    run = b - a
    steps = np.abs(np.diff(values))
    resolution = float(steps[steps > 1e-9 * abs(values[a])].min())
    for reach, most in ((run, 5.0), ((run + 1) // 2, 2.5)):
        fallen = max(values[a] - values[max(a - reach, 0)], values[a] - values[min(b - 1 + reach, values.size - 1)])
        if fallen > (most + 1e-6) * resolution:
            return False
    return True


def _flag_zero(series: Series, top: float, log: Log) -> None:
    values, name = series.values, series.name
    below = np.flatnonzero(values < 0.0)
    if below.size:
        least = float(values.min())
        small = abs(least) <= 0.1 * max(top, 0.0)
        kept = "the zero of the sensor is off, or the line is slack; kept"
        reading = (
            f"{name}: {below.size} reading{'s' if below.size > 1 else ''} below zero, down to {least / 1e3:.4g} kN"
        )
        text = f"{reading}: {kept if small else 'check zero and sign of the sensor'}"
        log.flag("negative", text, "caution", name, [int(series.lines[n]) for n in below])
    quiet = [(a, b) for a, b in runs(np.abs(values) < NEAR_ZERO * top) if b - a >= STRETCH]
    offsets = [float(np.median(values[a:b])) for a, b in quiet]
    if offsets and max(map(abs, offsets)) > SHIFT * top:
        log.flag(
            "zero-offset",
            f"{name}: unloaded stretches read {max(offsets, key=abs) / 1e3:.4g} kN instead of zero",
            "caution",
            name,
        )
    if len(offsets) > 1 and max(offsets) - min(offsets) > SHIFT * top:
        log.flag(
            "zero-drift",
            f"{name}: the zero of unloaded stretches moves by {(max(offsets) - min(offsets)) / 1e3:.4g} kN",
            "caution",
            name,
        )


def without_spikes(values: Array, quantity: str, name: str, lines: Lines, log: Log) -> Array:
    """Single readings far from their neighbours are flagged; missing with the answer spikes = drop."""
    told = np.flatnonzero(np.isfinite(values))
    found = told[spikes(values[told])]
    if not found.size:
        return values
    is_kept = log.option("spikes", "keep", ("keep", "drop")) == "keep"
    log.flag("spike", f"{name}: {spike_text(found.size, is_kept)}", "caution", name, [lines[int(n)] for n in found])
    if is_kept:
        return values
    factor, unit = (1e-3, "kN") if quantity == "force" else (100.0, "%")
    for n in found:
        log.replace(int(lines[int(n)]), name, f"{factor * values[n]:.6g} {unit}", "a spike, left out by answer")
    cleaned = values.copy()
    cleaned[found] = np.nan
    return cleaned


def spike_text(count: int, is_kept: bool) -> str:
    """How many spikes there are, and what becomes of them."""
    far = "1 reading stands far from both its neighbours (a spike)"
    if count > 1:
        far = f"{count} readings stand each far from both neighbours (spikes)"
    return (
        f"{far}; kept, the answer spikes=drop leaves {'it' if count == 1 else 'them'} out"
        if is_kept
        else f"{far}; left out, by the answer spikes"
    )


def spikes(values: Array) -> npt.NDArray[np.intp]:
    """Indices of single readings more than six robust deviations off and more than twice their neighbours' distance."""
    if values.size < STRETCH:
        return np.zeros(0, dtype=np.intp)
    middle = float(np.median(values))
    deviation = ROBUST * float(np.median(np.abs(values - middle)))
    far = np.abs(values - middle)
    side = np.maximum(far[:-2], far[2:])
    inner = (far[1:-1] > SIGMAS * max(deviation, 1e-12)) & (far[1:-1] > TIMES * side)
    return np.flatnonzero(inner) + 1


def judge_sampling(series: Series, log: Log) -> None:
    """Whether the clock is quick enough to count cycles: ten readings per dominant period."""
    parts = [(a, b) for a, b in series.parts if b - a >= 4]
    if not parts:
        return
    steps = np.diff(series.time)
    step = float(np.median(steps)) if steps.size else 0.0
    period = dominant_period(series, parts)
    per_period = period / step if step > 0.0 else np.inf
    if per_period >= NEARLY * PER_PERIOD:
        return
    if step > SLOW_STEP:
        text = f"{series.name}: a reading every {step:g} s follows periods of {PER_PERIOD * step:g} s at best"
        text += "; the cycles of swell cannot be counted"
        log.flag("sampling-coarse", text, "refused", series.name)
    else:
        text = f"{series.name}: {per_period:.3g} readings per dominant period of {period:.3g} s"
        text += f"; {PER_PERIOD:.0f} are needed, peaks are cut"
        log.flag("sampling-coarse", text, "caution", series.name)


def dominant_period(series: Series, parts: Sequence[tuple[int, int]]) -> float:
    """Mean time between up-crossings of the mean [s], infinity with fewer than two."""
    cycles, duration = 0, 0.0
    for a, b in parts:
        above = series.values[a:b] > series.values[a:b].mean()
        found = np.flatnonzero(~above[:-1] & above[1:])
        if found.size > 1:
            cycles += found.size - 1
            duration += float(series.time[a + found[-1]] - series.time[a + found[0]])
    return duration / cycles if cycles else np.inf
