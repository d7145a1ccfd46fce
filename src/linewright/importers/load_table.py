"""Load tables: the tensions of a moored-ship study, by environment case and line, as states of a berth."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from linewright.base import units
from linewright.base.errors import InputError, Problem
from linewright.importers import header, load_shares
from linewright.importers.channels import FORCE_UNITS, TONS
from linewright.importers.grid import Numbers, Sheet, bare, numbers_of
from linewright.importers.load_layout import (
    Layout,
    Role,
    Told,
    is_record_in_time,
    layout_of,
    names_statistic,
    role_of,
    told_by,
)
from linewright.importers.load_states import LoadState, check, completed, refused_why, say_estimates
from linewright.importers.load_words import HOURS
from linewright.importers.report import Imported, Log, Question, Source

TENSIONS = ("mean", "std", "significant", "max", "min", "pretension")
TIMES = ("period", "duration", "wave period")
KEEPS = 40  # rows named in one sentence
Key = tuple[str, str]


@dataclass
class _Gathered:
    """What the sheets say: values by case and line, by statistic; shares by case; the rows of each."""

    values: dict[Key, dict[str, float]] = field(default_factory=dict)
    bases: dict[Key, dict[str, str]] = field(default_factory=dict)
    times: dict[str, dict[str, float]] = field(default_factory=dict)
    rows: dict[Key, list[int]] = field(default_factory=dict)
    wheres: dict[Key, list[str]] = field(default_factory=dict)
    headings: dict[str, Role] = field(default_factory=dict)
    evidence: dict[str, tuple[str, str]] = field(default_factory=dict)
    read: set[str] = field(default_factory=set)


def is_load_table(sheets: Sequence[Sheet]) -> bool:
    """Whether sheets hold tensions by statistic, with cases or lines."""
    layouts = [layout for sheet in sheets if (layout := layout_of(sheet))]
    return any(_is_told(layout) for layout in layouts)


def _is_told(layout: Layout) -> bool:
    kinds = {role.kind for role in layout.roles}
    told = layout.statistics & {"mean", "std", "significant", "max", "min"}
    if is_record_in_time(layout):
        return False
    if not told:
        has_names = bool(kinds & {"case", "line"}) and "name" in kinds
        return has_names and (names_statistic(layout) or {"case", "share"} <= kinds)
    has_lines = "line" in kinds or any(role.line for role in layout.roles if role.kind == "statistic")
    return (has_lines or bool(kinds & {"case", "share"})) and (len(told) > 1 or bool(kinds & {"case", "share", "line"}))


def load_table_of(sheets: Sequence[Sheet], source: Source, log: Log) -> Imported:
    """States of a load table. Raises InputError for what holds no tension."""
    layouts = [layout for sheet in sheets if (layout := layout_of(sheet))]
    layouts = _meant(layouts, log)
    unused = [role.heading for layout in layouts for role in layout.roles if role.kind == "other"]
    log.unused(list(dict.fromkeys(unused)))
    gathered, shares = _Gathered(), load_shares.Shares()
    for layout in layouts:
        _gather(layout, len(layouts), gathered, shares, log)
    if not any(gathered.values.values()) and not log.questions:
        needs = "columns of tensions: mean, std, significant, max, min"
        raise InputError(
            f"{source.name} holds no tensions.", [Problem(source.name, "no figures under such headings", needs)]
        )
    states = [_state(key, gathered, log) for key in gathered.values]
    states = load_shares.shared(_filled(states, log), shares, _pretensions(gathered), layouts, log)
    kept = [state for state in states if math.isfinite(state.share)] if not log.questions else states
    check(kept, log)
    say_estimates(kept, log)
    _describe([state for state in kept if state.rows], gathered, log)
    used = {where for state in kept for where in state.where.split("; ")}
    lost = {where for wheres in gathered.wheres.values() for where in wheres} - used
    report = log.report("load-table", "moored-ship study", source, len(gathered.read), len(gathered.read) - len(lost))
    figures = ("share", "mean", "std", "significant", "max", "min", "period", "duration")
    values = {name: np.array([getattr(state, name) for state in kept]) for name in figures}
    values["hours per year"] = 3600.0 * np.array([state.hours_per_year for state in kept])
    texts = {name: tuple(getattr(state, name) for state in kept) for name in ("case", "line", "base", "where")}
    return Imported(report, None, values, texts, () if report.is_open else tuple(kept))


def _meant(layouts: list[Layout], log: Log) -> list[Layout]:
    """The sheets that are used; asked where a hidden one repeats what a visible one says."""
    used = [layout for layout in layouts if layout.statistics or layout.first("share") is not None
            or layout.first("case") is not None]  # fmt: skip
    hidden = [layout for layout in used if layout.sheet.is_hidden]
    if not hidden or len(hidden) == len(used):
        return used
    text = "Some sheets of the table are hidden. Which are meant?"
    named = ", ".join(layout.sheet.name for layout in hidden)
    answer = log.ask(Question("sheets.hidden", text, ("visible", "all"), f"hidden: {named}"))
    return used if answer == "all" else [layout for layout in used if not layout.sheet.is_hidden]


# --- from cells to values ------------------------------------------------------------------------


def _gather(layout: Layout, sheets: int, gathered: _Gathered, shares: load_shares.Shares, log: Log) -> None:
    """Every figure of a sheet, by case and line."""
    numbers = numbers_of(layout.sheet, log)
    named = role_of(layout.sheet.name) if layout.sheet.name else Role("empty")
    default = layout.sheet.name if sheets > 1 and named.kind != "statistic" else ""
    has_waves = any(role.kind == "environment" and role.unit == "m" for role in layout.roles)
    for told in told_by(layout, default or "case 1", log):
        gathered.read.add(told.where)
        if told.role.kind == "share":
            shares.add(told, numbers, log)
            continue
        role = _statistic(told.role, layout, named, has_waves, log)
        if role.statistic in TIMES:
            _time(told, role, numbers, gathered, log)
        elif role.statistic:
            _tension(told, role, layout, numbers, gathered)


def _statistic(role: Role, layout: Layout, named: Role, has_waves: bool, log: Log) -> Role:
    """The statistic of a column: its heading's, else the sheet's name or title, else asked."""
    if role.kind == "wave period" or (role.statistic == "period" and has_waves and not role.line):
        return role._replace(statistic="wave period")
    if role.kind == "statistic":
        return role if role.statistic != "amplitude" else role._replace(statistic=_amplitude(role, log))
    title = role_of(re.sub(r"[^\w\s%()\[\]./]", " ", layout.title)) if layout.title else Role("empty")
    for other in (named, title):
        if other.kind == "statistic":
            return role._replace(statistic=other.statistic, unit=role.unit or other.unit)
    text = "Which statistic are the figures below the lines?"
    answer = log.ask(Question("statistic", text, TENSIONS[:5], f"no heading names it: {role.heading}"))
    return role._replace(statistic=answer or "")


def _amplitude(role: Role, log: Log) -> str:
    text = f"Which amplitude is {role.heading!r}?"
    answer = log.ask(Question("amplitude", text, ("significant", "std"), "it may be 2 sigma or 1 sigma"))
    return answer or "significant"


def _time(told: Told, role: Role, numbers: Numbers, gathered: _Gathered, log: Log) -> None:
    """A period or the duration of a maximum [s], of a case or of a line in it."""
    figure = numbers.read(told.cell, role.heading, told.row)
    unit = header.unit_of(figure.unit or role.unit)
    if unit is None and role.statistic == "duration":
        text = f"In which unit is {role.heading!r}?"
        answer = log.ask(Question("unit.duration", text, ("h", "min", "s"), "no unit is stated"))
        unit = header.unit_of(answer or "")
    factor = unit.factor if unit is not None and unit.quantity == "duration" else 1.0
    if math.isfinite(figure.value):
        for key in ((told.case, told.line), (told.case, "")):
            gathered.times.setdefault("\n".join(key), {}).setdefault(role.statistic, factor * figure.value)
    gathered.headings.setdefault(role.statistic, role)


def _tension(told: Told, role: Role, layout: Layout, numbers: Numbers, gathered: _Gathered) -> None:
    """A tension in N or as a fraction of its base; told twice with another value it is refused."""
    key, log = (told.case, told.line), numbers.log
    figure = numbers.read(told.cell, f"{told.line} {role.statistic}".strip(), told.row)
    gathered.headings.setdefault(role.statistic, role)
    own = gathered.values.setdefault(key, {})
    gathered.rows.setdefault(key, []).append(told.row)
    if told.where not in gathered.wheres.setdefault(key, []):
        gathered.wheres[key].append(told.where)
    factor, base = _unit(figure.unit or role.unit, role, layout, log)
    gathered.evidence.setdefault(role.statistic, _evidence(figure.unit, role.unit, layout, log))
    value = figure.value * factor * (0.5 if role.statistic == "significant" and _is_range(role, log) else 1.0)
    if not math.isfinite(value):
        return
    if role.statistic in own and abs(own[role.statistic] - value) > 1e-9 * max(abs(value), 1.0):
        text = f"{told.case}, {told.line}: {role.statistic} stands twice with different values; the first is used"
        log.flag("state-twice", text, "caution", told.line, [told.row])
        log.replace(
            told.row, role.heading, told.cell.text, "a second value for the same case, line and statistic", "the first"
        )
        return
    own[role.statistic] = value
    gathered.bases.setdefault(key, {})[role.statistic] = base
    stated = HOURS.search(role.heading) if role.statistic == "max" else None
    if stated:
        hours = float(stated[1].replace(",", ".")) * (60.0 if stated[2].lower().startswith("min") else 3600.0)
        gathered.times.setdefault(f"{told.case}\n", {}).setdefault("duration", hours)


def _is_range(role: Role, log: Log) -> bool:
    """Whether a significant value is a range (twice the amplitude): the heading says, or it is asked."""
    words = role.heading.lower()
    if re.search(r"range|double|peak.to.peak|p-p|doppel|spanne|crête", words):
        return True
    if re.search(r"ampl|single|2 ?(σ|sigma|std)|einfach", words):
        return False
    text = f"Is {role.heading!r} an amplitude (2 sigma) or a range (4 sigma)?"
    return log.ask(Question("significant", text, ("amplitude", "range"), "the heading does not say")) == "range"


def _unit(spelling: str, role: Role, layout: Layout, log: Log) -> tuple[float, str]:
    """Factor to N or to a fraction, and the base; NaN while open."""
    text = spelling or _titled_unit(layout)
    upper = f"{text} {role.heading}".upper()
    if text.startswith("%") or text.lower() in ("pct", "percent", "prozent"):
        return 0.01, _base(upper, layout, role, log)
    unit = header.unit_of(text)
    if unit is not None and unit.is_open and unit.quantity == "force":
        because = "short 8.896 kN, metric 9.807 kN, long 9.964 kN"
        answer = log.ask(Question("unit.ton", "A ton is three different forces. Which?", tuple(TONS), because))
        return (TONS[answer] if answer else math.nan), "N"
    if unit is None or unit.quantity != "force":
        why = f"the unit {text!r} is no force" if text else f"no unit is stated for {role.heading}"
        answer = log.ask(Question("unit", "In which unit are the tensions?", FORCE_UNITS, why))
        if answer is None:
            return math.nan, "N"
        return (0.01, answer[1:].strip()) if answer.startswith("%") else (header.UNITS[answer].factor, "N")
    if unit.note:
        log.flag("tonne-force", f"{role.heading}: {text} in a column of tension is {unit.note}", column=role.heading)
    return unit.factor, "N"


def _evidence(in_cell: str, in_heading: str, layout: Layout, log: Log) -> tuple[str, str]:
    """The unit of a column as it is read, and where it stands."""
    titled = _titled_unit(layout)
    for unit, because in ((in_cell, "stated in the cells"), (in_heading, "stated in the heading")):
        if unit:
            return unit, because
    return (titled, "stated above the table") if titled else (log.answers.get("unit", ""), "answer")


def _titled_unit(layout: Layout) -> str:
    """The unit that the title or the sheet's name states for the whole table."""
    title = f"{layout.title} {layout.sheet.name}"
    found = re.search(r"(?<![\w/])(kN|MN|daN|tf|tonnes?|kips?|tons?|%\s*(?:of\s+)?(?:\w*MBL|LDBF))(?![\w/])", title)
    bracketed = re.search(r"[\[(](t|te|N|mt|%)[\])]", title)
    return found[1] if found else bracketed[1] if bracketed else ""


def _base(upper: str, layout: Layout, role: Role, log: Log) -> str:
    """The strength that a percentage is of: named in the heading or the title, else asked."""
    for text in (upper, f"{layout.title} {layout.sheet.name}".upper()):
        for base, words in (("SDMBL", r"SDMBL|SHIP DESIGN"), ("LDBF", r"LDBF|LINE DESIGN")):
            if re.search(words, text):
                return base
    because = f"{role.heading} is a percentage of an unnamed strength"
    return log.ask(Question("base", "Percent of which strength?", ("LDBF", "SDMBL"), because)) or "open"


# --- from values to states -----------------------------------------------------------------------


def _state(key: Key, gathered: _Gathered, log: Log) -> LoadState:
    """The state of a line in a case, as the table tells it."""
    case, line = key
    told = gathered.values[key]
    bases = set(gathered.bases.get(key, {}).values())
    if len(bases) > 1:
        read = ", ".join(f"{name} of {base}" for name, base in gathered.bases[key].items())
        needs = "one unit for all tensions of a line in a case"
        raise InputError("The table mixes units.", [Problem("; ".join(gathered.wheres[key][:3]), read, needs)])
    times = {**gathered.times.get(f"{case}\n", {}), **gathered.times.get(f"{case}\n{line}", {})}
    period = times.get("period", math.nan)
    if math.isnan(period) and "wave period" in times:
        period = _wave_period(times["wave period"], log)
    return LoadState(
        case, line or _only_line(log), math.nan, math.nan, told.get("mean", math.nan), told.get("std", math.nan),
        told.get("significant", math.nan), told.get("max", math.nan), told.get("min", math.nan), period,
        times.get("duration", math.nan), next(iter(bases), "N"), "; ".join(gathered.wheres[key]),
        tuple(dict.fromkeys(gathered.rows[key])),
    )  # fmt: skip


def _only_line(log: Log) -> str:
    text = "For which line group are these tensions?"
    return log.ask(Question("line", text, (), "the table names no line")) or "open"


def _wave_period(waves: float, log: Log) -> float:
    text = "The table states the period of the waves only. Which period do the tensions have? (waves, or e.g. 60 s)"
    answer = log.ask(Question("period", text, (), "moored ships also swing slower than the waves"))
    return waves if answer == "waves" else _duration("period", answer)


def _duration(key: str, answer: str | None) -> float:
    """An answer as a duration [s]; NaN while there is none. Raises InputError."""
    if answer is None:
        return math.nan
    try:
        value = units.parse(answer, "duration")
    except units.UnitError as error:
        value, read, needs = math.nan, error.read, error.needs
    else:
        read, needs = answer, "a time above zero"
    if not value > 0.0:
        raise InputError(f"The answer to {key} cannot be used.", [Problem(key, read, needs)])
    return value


def _filled(states: list[LoadState], log: Log) -> list[LoadState]:
    """States with what the answers add, completed from extremes; those that stay without are dropped."""
    if {"unit", "unit.ton", "statistic"} & {question.key for question in log.questions}:
        return states
    swings = [state for state in states if not math.isnan(state.amplitude) or not math.isnan(state.max)]
    if not swings:
        text = "The table states means only. Are the tensions steady?"
        if log.ask(Question("steady", text, ("yes",), "no column says how they swing")) == "yes":
            states = [replace(state, std=0.0) for state in states]
    states = _asked_mean(states, log)
    if any(math.isnan(state.amplitude) and math.isnan(state.duration) for state in swings):
        text = "Of how many hours is the maximum? (e.g. 3 h)"
        value = _duration("max.duration", log.ask(Question("max.duration", text, (), "the table does not say")))
        states = [replace(state, duration=value) if math.isnan(state.duration) else state for state in states]
    needs = [state for state in states if math.isnan(state.period) and state.amplitude != 0.0]
    if needs and not any(question.key == "period" for question in log.questions):
        text = "Which period do the tensions have? (e.g. 60 s)"
        value = _duration("period", log.ask(Question("period", text, (), "the table states none for some states")))
        states = [replace(state, period=value) if math.isnan(state.period) else state for state in states]
    states = [completed(state) for state in states]
    return states if log.questions else _without_refused(states, log)


def _asked_mean(states: list[LoadState], log: Log) -> list[LoadState]:
    """The mean that the user states where the whole table has none."""
    if any(math.isfinite(state.mean) or math.isfinite(state.min) for state in states):
        return states
    text = "What is the mean tension of the lines? (e.g. 100 kN or 10 %LDBF)"
    answer = log.ask(Question("mean", text, (), "the table states none"))
    if answer is None:
        return states
    load = load_shares.load_answer("mean", answer)
    for state in states:
        if state.base != load.base:
            problem = Problem(
                "mean", answer, f"a tension in {'kN' if state.base == 'N' else '%' + state.base}, like the table's"
            )
            raise InputError("The answer to mean cannot be used.", [problem])
    return [replace(state, mean=load.value) for state in states]


def _without_refused(states: list[LoadState], log: Log) -> list[LoadState]:
    kept = []
    for state in states:
        why = refused_why(state)
        if why:
            log.drop(state.rows[0], f"{state.case}, {state.line}", why)
        else:
            kept.append(state)
    return kept


def _pretensions(gathered: _Gathered) -> dict[str, tuple[float, str]]:
    """Pretension and base of each line, where the table states one."""
    return {
        line: (told["pretension"], gathered.bases[case, line]["pretension"])
        for (case, line), told in gathered.values.items()
        if "pretension" in told
    }


def _describe(states: Sequence[LoadState], gathered: _Gathered, log: Log) -> None:
    """Columns of the report."""
    log.text_column("case", [state.case for state in states])
    log.text_column("line", [state.line for state in states])
    bases = {state.base for state in states}
    shown, factor = ("kN", 1e3) if bases <= {"N"} else ("%" + "/".join(sorted(bases)), 0.01)
    for name, role in gathered.headings.items():
        figures = np.array([_figure(state, name, gathered) for state in states])
        is_time = name in TIMES
        title = bare(role.heading) if not role.line else name
        read_unit, because = gathered.evidence.get(name, (role.unit, ""))
        quantity = "duration" if is_time else "force" if factor > 1.0 else "share"
        log.column(title, quantity, "s" if is_time else shown, figures / (1.0 if is_time else factor),
                   read_unit=read_unit, because=because, heading=role.heading)  # fmt: skip
    log.column("share", "fraction", "%", np.array([100.0 * state.share for state in states]))
    log.column("hours per year", "hours", "h", np.array([state.hours_per_year for state in states]))


def _figure(state: LoadState, name: str, gathered: _Gathered) -> float:
    """A statistic of a state; the period of the waves is the table's, whether it is used or not."""
    if name == "wave period":
        return gathered.times.get(f"{state.case}\n", {}).get(name, math.nan)
    if name == "pretension":
        return gathered.values.get((state.case, state.line), {}).get(name, math.nan)
    return getattr(state, name)


def is_statistic(name: str) -> bool:
    """Whether a sheet's name is that of a statistic."""
    return role_of(name).kind == "statistic"
