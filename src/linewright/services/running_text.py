"""The answer of a running study: what is firm, limits in time, cooling, what makes it wide, cautions."""

from __future__ import annotations

from typing import Any

from linewright.services.answer import FIRST, WIDTH, fit, fit_title, folded
from linewright.services.program import command
from linewright.services.result import meaning
from linewright.services.running_lives import life_cautions, life_lines
from linewright.services.words import ONE_LINE, narrows

Row = dict[str, Any]
NOT = "not sustainable"
NEVER = "not reached"
AT_ONCE = 60.0  # [s]
MUCH = 0.5  # of LDBF, above which strength is doubted: common practice, no source [-]
ROUNDING = 1e-9  # what is closed better is closed
LOSS = "! bending loss was never measured for this rope: twenty bend cycles and one thermocouple would tell"
SPRAY = "! the film of a spray is an estimate unless it was measured"
MODEL = (
    "! a metre that neither spray nor sea reaches in a phase is taken as dry; a metre that they reach as wet all along"
)
CARRIED = (
    "! the tension is the same along the path; crush between the drum's layers has no test and is not assessed, nor "
    "jamming and wear on sheaves that turn; end terminations are not judged"
)


def running_lines(row: Row) -> list[str]:
    """The answer as plain text lines."""
    return [
        _head(row),
        *folded(_labelled("Answer", _firm(row)), FIRST + 2),
        "",
        *folded(_limits(row), 2 * FIRST),
        "",
        *folded(_labelled("Life", life_lines(row)), FIRST + 2),
        *folded(_labelled("Cooling", _cooling(row)), FIRST + 2),
        *folded(_labelled("Heat", _heat(row["as_given"])), FIRST + 2),
        *folded(_wide(row), 2 * FIRST),
        *folded([*_cautions(row), f"! {ONE_LINE.format(command=command('cautions'))}"], 2),
    ]


def _labelled(name: str, texts: list[str]) -> list[str]:
    return [f"{name if number == 0 else '':<{FIRST}}{text}" for number, text in enumerate(texts)]


def _head(row: Row) -> str:
    right = f"{fit_title(row['rope']['title'])} | {span(row['seconds'])}"
    title = fit(row["title"].upper())
    return f"{title}{right:>{max(len(right) + 2, WIDTH - len(title))}}"


def span(seconds: float | None) -> str:
    """A time as it is spoken."""
    if seconds is None:
        return NEVER
    if seconds < 90.0:
        return f"{seconds:.0f} s"
    return f"{seconds / 60.0:.0f} min" if seconds < 5400.0 else f"{seconds / 3600.0:.1f} h"


def _band(band: Row) -> str:
    """P50 with P10 and P90; a draw in the melting range has no temperature."""
    middle, low, high = (band[name] for name in ("p50", "p10", "p90"))
    if middle is None:
        return "beyond the melting range in half of the draws or more"
    return f"{middle:.0f} ({low:.0f} to {'melting' if high is None else f'{high:.0f}'}) C"


def _firm(row: Row) -> list[str]:
    given, band = row["as_given"], row["band"]
    return [
        *(text for steady in given["steady"] for text in _sustained(steady, row)),
        _hottest(row),
        *_without(row),
        f"most bends: mark {given['most_bends_mark']:.1f} m, {given['most_bends']:.0f} times bent and straightened",
        f"{100 * band['share_sustainable']:.0f} % of {band['draws']} draws sustainable; in "
        f"{100 * band['share_reaching_melting']:.0f} % the rope reaches the melting range within the programme",
    ]  # fmt: skip


def _sustained(steady: Row, row: Row) -> list[str]:
    name = fit(steady["phase"], 30)
    if steady["is_sustainable"]:
        return [f"{name}: sustainable; if it went on the core would settle at {steady['core']:.0f} C, skin "
                f"{steady['skin']:.0f} C"]  # fmt: skip
    why = "too hot: steady heat would take it to the melting range"
    if steady["is_runaway"]:
        why = "runs away: damping and creep grow with temperature faster than heat is carried away, until it melts"
    return [f"{name}: {NOT}, {why}  !"]


def _hottest(row: Row) -> str:
    given = row["as_given"]
    where = f"mark {given['at_mark']:.1f} m"
    over = f", bent over {' and '.join(given['at_places'])}" if given["at_places"] else ""
    if given["reaches_melting"]:
        part, melts = _melts(given)
        return f"the {part} reaches its melting range {melts} at {where}{over}: the programme ends there  !"
    told = f"hottest core {given['hottest_core']:.0f} C after {span(given['at_time'])} at {where}{over}"
    return f"{told}; over all draws {_band(row['band']['core'])}"


def _melts(given: Row) -> tuple[str, str]:
    """What comes to the melting range first, core or skin, and when."""
    core = given["time_to_limit"]["melting range"]
    when = given["ended_at"] if core is None else core
    return "core" if core is not None else "skin", "at once" if when < AT_ONCE else f"after {span(when)}"


def _without(row: Row) -> list[str]:
    """The same programme without spray."""
    dry = row["without_spray"]
    if dry is None:
        return []
    bad = [steady for steady in dry["steady"] if not steady["is_sustainable"]]
    limit = span(dry["time_to_limit"][row["limit"]])
    passed = f"{_limit(row)} {limit}" if limit == NEVER else f"{_limit(row)} after {limit}"
    if bad or dry["reaches_melting"]:
        part, melts = _melts(dry)
        end = f"the {part} in its melting range {melts}" if dry["reaches_melting"] else "no melting in the programme"
        return [f"without spray: {NOT}: {passed}, {end}"]
    return [f"without spray: hottest core {dry['hottest_core']:.0f} C; {passed}"]


def _limit(row: Row) -> str:
    return f"{row['limit']}, {row['limits'][row['limit']]:.0f} C,"


def _limits(row: Row) -> list[str]:
    """A table: limits down, coldest first, cases across."""
    cases = [("as given", "as_given"), ("without spray", "without_spray")]
    cases = [(label, key) for label, key in cases if row[key] is not None]
    rows = [f"{'the core reaches':<28}" + "".join(f"{label:>16}" for label, _ in cases)]
    for name, limit in sorted(row["limits"].items(), key=lambda item: float(item[1])):
        label = name if name.endswith(" C") else f"{limit:.0f} C, {name}"
        times = [span(row[key]["time_to_limit"][name]) for _, key in cases]
        rows.append(f"  {label:<26}" + "".join(f"{time:>16}" for time in times))
    band = row["band"]
    early, late = (span(band["time_to_limit"][name]) for name in ("p10", "p50"))
    share = 100 * band["share_reaching_limit"]
    rows.append(f"{row['limit']} reached in {share:.0f} % of the draws: P10 {early}, P50 {late}")
    return rows


def _cooling(row: Row) -> list[str]:
    need = row["required_cooling"]
    if need is None:
        return ["no phase heaves: nothing asked"]
    head = f"for a core of {need['limit']:.0f} C in {fit(need['phase'], 30)}: "
    if need["film"] is None:
        film = (
            f"no film is enough: with a wet rope's skin held at {need['stream']:.0f} C the core still passes the limit"
        )
    else:
        film = (f"wet all along its path at {need['stream']:.0f} C, a film of {need['film']:.0f} W/m2K is enough "
                f"(core {need['core_at_best']:.0f} C at best)")  # fmt: skip
    share = need["share_of_time"]
    if share is None:
        rest = "as given even a rope at rest is too warm"
    elif share >= 1.0:
        rest = "as given no rests are needed"
    else:
        rest = f"as given it may heave {100 * share:.0f} % of the time, in bouts of a few minutes with rests between"
    return [head + film, rest]


def _heat(given: Row) -> list[str]:
    balance = given["balance"]
    inside = {name: value for name, value in balance["made"].items() if name in ("bending", "tension", "creep")}
    made = ", ".join(f"{name} {joules(value)}" for name, value in inside.items() if abs(value) >= 1e3)
    left = ", ".join(f"{name} {joules(value)}" for name, value in balance["streams"].items() if abs(value) >= 1e3)
    steel = ", ".join(f"{item['name']} {item['hottest_steel']:.0f} C" for item in given["sheaves"])
    return [
        f"made in the rope: {made}; left, sun and evaporation included, by {left}; stored "
        f"{joules(balance['stored'])}; balance closed to {max(balance['closure'], ROUNDING):.0e}",
        *([f"steel, hottest: {steel}"] if steel else []),
    ]


def joules(value: float) -> str:
    """An energy with its unit."""
    if abs(value) >= 1e9:
        return f"{value / 1e9:.3g} GJ"
    return f"{value / 1e6:.3g} MJ" if abs(value) >= 1e5 else f"{value / 1e3:.3g} kJ"


def _wide(row: Row) -> list[str]:
    found = [item for item in row["wide_because"] if item["share"] >= 0.05][:2]
    if not found:
        return ["Wide because:     too few draws, or none that differ"]
    because = ", ".join(f"{words(item['key'])} ({100 * item['share']:.0f} %)" for item in found)
    tests = ", or ".join(narrows(item["key"].partition(".")[2] or item["key"], words(item["key"])) for item in found)
    return [f"Wide because:     {because}", f"Would narrow it:  {tests}"]


def words(key: str) -> str:
    """A datum's key in words; a sheave's carries its number from the drum."""
    number, dot, name = key.partition(".")
    return f"{meaning(name)}, sheave {int(number) + 1}" if dot else meaning(key)


def _cautions(row: Row) -> list[str]:
    given, rows = row["as_given"], []
    core, skin = given["time_to_limit"]["melting range"], given["skin_melts_at"]
    if skin is not None and (core is None or skin < core):
        when = "at once" if skin < AT_ONCE else f"after {span(skin)}"
        rows.append(f"! the skin that slides on a seized sheave comes to its melting range {when}")
    limit = given["time_to_limit"].get("long-term limit")
    if limit is not None:
        rows.append(f"! the core passes the fibre's long-term limit after {span(limit)}")
    if any(item.get("confidential") for item in row["used"]):
        rows.append("! confidential data are used in full here: do not hand this out")
    if (highest := row["rope"]["highest_tension"]) > MUCH:
        rows.append(
            f"! the tension goes to {100 * highest:.0f} % of LDBF: whether the rope holds it is not assessed here"
        )
    for jump in row["jumps"]:
        names = " to ".join(f'"{fit(jump[key], 30)}"' for key in ("from", "to"))
        rows.append(
            f"! from {names} {jump['way']:.3g} m of rope run out or in unseen: their bends and time are left out"
        )
    if given["periodic_from"] is not None:
        rows.append(
            f"! after {span(given['periodic_from'])} the programme repeats itself: the rest is counted, not run"
        )
    weak = any(item["key"] == "bending_loss" and item["basis"] == "estimate" for item in row["used"])
    sprayed = row["without_spray"] is not None
    return [*rows, *([LOSS] if weak else []), *([SPRAY] if sprayed else []), *life_cautions(row), MODEL, CARRIED]
