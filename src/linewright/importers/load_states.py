"""States of a load table: what each line has in each case, checked, completed where that is asked for, and written.

The most probable maximum of N Rayleigh amplitudes is sigma sqrt(2 ln N) (Longuet-Higgins 1952).
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from linewright.base.errors import InputError, Problem, visible
from linewright.importers.report import Log
from linewright.importers.sentences import Sentence, flag_each
from linewright.importers.series import LARGEST, LARGEST_SHARE

FEWEST_SIGMA, MOST_SIGMA = 2.0, 6.0  # the maximum of a storm's hours lies here above the mean
SLACK = "mean - 2 std is below zero: the line goes slack, its loads are not Gaussian"
BEYOND = "the amplitude is above 1.5 times the mean: the case file refuses such a state"
NAN = math.nan


@dataclass(frozen=True)
class LoadState:
    """One line in one case.

    share is the part of the time alongside [-], hours_per_year the same in hours (NaN while unknown); mean, standard
    deviation, significant amplitude, maximum and minimum are in N where base is "N", else fractions of LDBF or
    SDMBL; period and duration (of the maximum) in s; NaN where the table states none. estimated names what was
    computed from the maximum; where names sheet and rows.
    """

    case: str
    line: str
    share: float
    hours_per_year: float
    mean: float = NAN
    std: float = NAN
    significant: float = NAN
    max: float = NAN
    min: float = NAN
    period: float = NAN
    duration: float = NAN
    base: str = "N"
    where: str = ""
    rows: tuple[int, ...] = ()
    estimated: tuple[str, ...] = ()

    @property
    def amplitude(self) -> float:
        """Significant amplitude: as stated, else twice the standard deviation."""
        return self.significant if math.isfinite(self.significant) else 2.0 * self.std

    def shown(self, value: float) -> str:
        """A tension of this state as text with its unit."""
        return f"{value / 1e3:.6g} kN" if self.base == "N" else f"{100.0 * value:.6g} %{self.base}"


def most_probable_maximum(cycles: float) -> float:
    """Most probable maximum of so many Rayleigh amplitudes, in standard deviations."""
    return math.sqrt(2.0 * math.log(cycles)) if cycles > 1.0 else NAN


def completed(state: LoadState) -> LoadState:
    """The state with mean and swing filled from minimum and maximum, as far as they say it; marked as estimates."""
    found = state
    if math.isnan(found.mean) and math.isfinite(found.max) and math.isfinite(found.min):
        found = replace(found, mean=0.5 * (found.max + found.min), estimated=(*found.estimated, "mean"))
    if math.isnan(found.amplitude) and math.isfinite(found.max) and math.isfinite(found.mean):
        sigmas = most_probable_maximum(found.duration / found.period) if found.period > 0.0 else NAN
        if math.isfinite(sigmas):
            found = replace(found, std=(found.max - found.mean) / sigmas, estimated=(*found.estimated, "std"))
    return found


def refused_why(state: LoadState) -> str:
    """Why a state cannot be used; empty when it can."""
    if math.isnan(state.mean):
        return "no mean tension"
    told = [abs(value) for value in (state.mean, state.std, state.significant, state.max, state.min)]
    if max(value for value in told if value == value) > (LARGEST if state.base == "N" else LARGEST_SHARE):
        return "a tension that no line carries"
    if state.mean < 0.0:
        return "a mean tension below zero: a rope cannot push"
    if math.isfinite(state.max) and state.max < state.mean:
        return "a maximum below the mean"
    if math.isfinite(state.min) and state.min > state.mean:
        return "a minimum above the mean"
    if state.std < 0.0 or state.significant < 0.0:
        return "a standard deviation or amplitude below zero"
    if state.period <= 0.0:
        return "a period that is not above zero"
    return "no standard deviation, amplitude or maximum" if math.isnan(state.amplitude) else ""


def check(states: Sequence[LoadState], log: Log) -> None:
    """Flag what the numbers of a state say against each other."""
    outside, slack, beyond = [], [], []
    for state in states:
        std = state.std if math.isfinite(state.std) else 0.5 * state.significant
        if std > 0.0 and math.isfinite(state.max - state.mean) and "std" not in state.estimated:
            sigmas = (state.max - state.mean) / std
            outside += [(state, sigmas)] if not FEWEST_SIGMA <= sigmas <= MOST_SIGMA else []
        slack += [state] if 0.0 < state.mean < 2.0 * std else []
        beyond += [state] if state.amplitude > 1.5 * state.mean else []
    for code, sentences in (
        ("max-outside", [_outside(state, sigmas) for state, sigmas in outside]),
        ("slack-negative", [_said(state, SLACK) for state in slack]),
        ("amplitude-beyond", [_said(state, BEYOND) for state in beyond]),
    ):
        flag_each(log, code, "caution", sentences)


def _said(state: LoadState, text: str) -> Sentence:
    return Sentence(f"{state.case}, {state.line}: {text}", state.rows, state.line)


def _outside(state: LoadState, sigmas: float) -> Sentence:
    text = (
        f"the maximum lies {sigmas:.1f} standard deviations above the mean, outside {FEWEST_SIGMA:g} to {MOST_SIGMA:g}"
    )
    return _said(state, f"{text}: one of the three is of another kind or in error")


def say_estimates(states: Sequence[LoadState], log: Log) -> None:
    """Note every value that was computed from the extremes."""
    for key, text in (
        (
            "std",
            "standard deviations are estimates, from the maximum as the most probable one of N Rayleigh amplitudes",
        ),
        ("mean", "means are estimates, midway between maximum and minimum"),
    ):
        rows = [row for state in states if key in state.estimated for row in state.rows]
        if rows:
            log.flag("estimate", text, "caution", key, sorted(set(rows)))


# --- written into a case -------------------------------------------------------------------------


def states_toml(states: Sequence[LoadState], names: Mapping[str, str] | None = None, file: str = "") -> str:
    """The `[[berth.state]]` entries of a load table, to be pasted below a `[[berth]]`; shares add to 1.

    names maps the table's lines to line groups of the case; of several lines that share a group, the one with the
    largest mean + amplitude in each case is written. Raises InputError for states that do not make one berth.
    """
    named = dict(names or {})
    cases: dict[str, list[LoadState]] = {}
    for state in states:
        cases.setdefault(state.case, []).append(state)
    rows: list[str] = []
    for (case, own), share in zip(cases.items(), _shares(cases), strict=True):
        wheres = "; ".join(dict.fromkeys(state.where for state in own if state.where))
        told = ", ".join(part for part in (file, wheres) if part)
        rows += [
            "",
            "[[berth.state]]" + (f"  # {visible(told)}" if told else ""),
            f"name = {_quoted(case)}",
            f"share = {_quoted(share)}",
        ]
        rows += _tensions(own, named)
    return "\n".join(rows[1:]) + "\n"


def _shares(cases: Mapping[str, Sequence[LoadState]]) -> list[str]:
    """Shares as text that add to 100 % exactly, the largest taking what rounding leaves."""
    shares = [max(state.share for state in own) for own in cases.values()]
    if not cases or abs(math.fsum(shares) - 1.0) > 1e-6:
        read = f"{100.0 * math.fsum(shares):.6g} %"
        raise InputError(
            "The states make no whole berth.", [Problem("shares of the cases", read, "shares that add to 100 %")]
        )
    parts = [round(share * 1e7) for share in shares]
    parts[parts.index(max(parts))] += 10**7 - sum(parts)
    return [f"{part / 1e5:.5f}".rstrip("0").rstrip(".") + " %" for part in parts]


def _tensions(states: Sequence[LoadState], names: Mapping[str, str]) -> list[str]:
    groups: dict[str, LoadState] = {}
    tops: dict[str, LoadState] = {}
    for state in states:
        group = names.get(state.line, state.line)
        before = groups.get(group)
        if before is None or state.mean + state.amplitude > before.mean + before.amplitude:
            groups[group] = state
        if math.isfinite(state.max) and (group not in tops or state.max > tops[group].max):
            tops[group] = state
    rows = []
    for group, state in groups.items():
        rows.append(f"[berth.state.tension.{_quoted(group)}]")
        note = (
            f"  # estimate, from the {'extremes' if 'mean' in state.estimated else 'maximum'}"
            if state.estimated
            else ""
        )
        rows.append(f"mean = {_quoted(state.shown(state.mean))}" + (note if "mean" in state.estimated else ""))
        rows.append(f"amplitude = {_quoted(state.shown(state.amplitude))}" + note)
        if state.amplitude > 0.0:
            rows += ['amplitude_kind = "significant"', f'period = "{state.period:.6g} s"']
        if group in tops:
            rows.append(f"highest = {_quoted(tops[group].shown(tops[group].max))}")
    return rows


def _quoted(text: str) -> str:
    """A TOML string of one line."""
    return json.dumps(visible(text), ensure_ascii=False).replace("\x7f", "\\u007f")
