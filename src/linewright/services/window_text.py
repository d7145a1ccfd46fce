"""An operating window as lines of text."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from linewright.services.answer import caution_rows, confidential_rows, fit, fit_title, folded
from linewright.services.known import known_lines
from linewright.services.program import command
from linewright.services.words import ONE_LINE

Row = dict[str, Any]
BOARD = "the rope on board"
SIGNS = {"ok": "ok", "caution": "!", "slack": "SLACK", "stop": "STOP"}
WORDS = {"caution": "CAUTION", "slack": "SLACK", "stop": "STOP"}
COLUMNS, ROWS, CELL = 15, 10, 6
BOUND, REASON = 20, 34
MARKS = (
    "ok: every criterion kept. !: core or skin P90 above the long-term limit, the highest expected tension above WLL "
    "(50 %SDMBL), or the sustained margin P10 below 1 (the mean held for hours). STOP: core P90 above the short-term "
    "limit, margin P10 below the criterion, or a stay that takes a new line's life (P10)."
)
SLACK = (
    "SLACK: the swing is larger than the mean (a sine) or than 1.5 times it: the line goes slack and snatches as it "
    "comes tight, which the numbers leave out. Not a permitted state. Up to {most} of the swing is cut at zero tension."
)
MOVED = (
    "kN beside the map are those in the state's own air; the same motion pulls a cold line harder, and every number of "
    "the map follows that."
)
HOURS = (
    "Hours of this state in the weather of its hot hour until a new line is finished, were there nothing else; a stay "
    "takes its share of them."
)
PAST = "What the rope on board has behind it from earlier trades is not counted."
NO_WORSE = "No other state of this line breaks a criterion in its own hot hour that this one keeps."
UNITS = {
    "swell": "times state's swell",
    "tension": "times state's mean",
    "wind": "m/s at the line",
    "hours": "h at a stretch",
}
KN = {"swell": "amplitude", "tension": "mean"}  # what of the tension goes with the value across
MOVES = {
    "core_along_air": "core P90 falls with air temperature",
    "core_across": "core P90 goes the other way {across}",
    "margin_along_air": "margin P10 rises with air temperature",
    "margin_across": "margin P10 goes the other way {across}",
}


def window_lines(row: Row) -> list[str]:
    """What the state is, its map with marks, the bounds in words, and what is left at the state's own place."""
    return [
        *folded(known_lines(row, BOARD), 2),
        *folded(
            [
                f"{row['title']}: operating window of {fit_title(row['rope'], 60)} on {fit(row['line'], 30)} "
                f"in {told_place(row)}"
            ],
            2,
        ),
        *folded([told_state(row)], 2),
        *folded([in_short(row)], 2),
        "",
        *_map(row),
        *folded([MARKS, *slack_told(row), *_moved(row)], 2),
        "",
        *folded(_bounds(row), 10),
        *folded([told_worse(row)], 2),
        "",
        *_own(row),
        *folded([HOURS, *([PAST] if row["is_new"] else [])], 2),
        *folded(_moves(row), 2),
        "",
        *folded([*caution_rows(row), *confidential_rows(row)], 2),
        *folded([f"! {ONE_LINE.format(command=command('cautions'))}"], 2),
    ]


def told_state(row: Row) -> str:
    """The state and the weather that is shifted, in one sentence."""
    duty, weather, kind = row["duty"], row["weather"], row["across"]["kind"]
    swell = f"swell {duty['amplitude'] / 1e3:.0f} kN every {duty['period']:.0f} s" if duty["period"] else "no swell"
    state = f"State: mean {duty['mean'] / 1e3:.0f} kN, {swell}"
    wind = "" if kind == "wind" else f", wind {weather['wind']:.1f} m/s at the line"
    hour = f"hot hour {weather['air']:.0f} C{wind}, sun {weather['sun']:.0f} W/m2, kept at every air temperature"
    return f"{state}, {duty['stay']:.0f} h at a stretch; {hour}. {row['samples']} draws."


def told_place(row: Row) -> str:
    """The state, in quotes as its name may have commas, and its berth."""
    return f'"{fit(row["state"])}" at {fit(row["berth"])}'


def told_worse(row: Row) -> str:
    """States of the line that break a criterion in their own hot hour which the shown one keeps."""
    told = [f"{told_place(item)} ({SIGNS[item['mark']]}: {', '.join(item['because'])})" for item in row["worse"]]
    return f"Worse in their own hot hour: {'; '.join(told)}." if told else NO_WORSE


def in_short(row: Row) -> str:
    """What to take away: where the state is in its hot hour, and how far it may go in no cooler air."""
    if row["not_comparable"]:
        return f"{row['not_comparable']}: the hours leave out what is not assessed."
    own = row["own"]
    now = (
        "keeps every criterion" if own["mark"] == "ok" else f"is at {WORDS[own['mark']]} ({', '.join(own['because'])})"
    )
    bound = next((item for item in row["bounds"] if item["air"] >= row["weather"]["air"]), row["bounds"][-1])
    return f"In its hot hour the state {now}. At {bound['air']:.0f} C air {_reach(row, bound)}."


def _reach(row: Row, bound: Row) -> str:
    """How far nothing stops and where caution begins."""
    kind, ok, stop = row["across"]["kind"], bound["ok"], bound["stop"]
    if ok["reach"] == "everywhere":
        told = f"every criterion holds {told_bound(row, ok)}"
    elif stop["reach"] == "nowhere":
        told = f"STOP on all of the map: {stop['because']}"
    else:
        after = "below" if kind == "wind" else "from"
        where = (
            f"{after} {value_of(kind, ok['at'])}{_newton(row, ok)}" if ok["reach"] == "part" else "on all of the map"
        )
        until = f"no stop {told_bound(row, stop)}{', then STOP: ' if stop['because'] else ''}{stop['because']}"
        told = until if ok == stop else f"{until}{';' if stop['because'] else ','} caution {where}: {ok['because']}"
    if kind != "tension":
        return told
    off = f"slack off to {told_mean(ok)}: " if ok["reach"] == "part" and ok["at"] < row["across"]["own"] else ""
    taut = f"; taut from {told_mean(bound['taut'])}" if bound["taut"]["reach"] == "part" else ""
    return f"{off}{told}{taut}"


def told_mean(bound: Row) -> str:
    """The mean tension at a bound across tension."""
    return f"{bound['mean'] / 1e3:.0f} kN ({100.0 * bound['mean_share']:.0f} %LDBF)"


def told_bound(row: Row, bound: Row) -> str:
    """How far a bound reaches, in words with the value and, for swell and mean tension, its kN."""
    kind, values = row["across"]["kind"], row["across"]["values"]
    most = values[0] if kind == "wind" else values[-1]
    first = values[-1] if kind == "wind" else values[0]
    if bound["reach"] == "everywhere":
        return f"{'from' if kind == 'wind' else 'up to'} {value_of(kind, most)} and beyond the map"
    if bound["reach"] == "nowhere":
        return f"not even {'at' if kind == 'wind' else 'up to'} {value_of(kind, first)}"
    return f"{'from' if kind == 'wind' else 'up to'} {value_of(kind, bound['at'])}{_newton(row, bound)}"


def slack_told(row: Row) -> list[str]:
    """What a slack line means, where the map has one."""
    if all(bound["taut"]["reach"] == "everywhere" for bound in row["bounds"]):
        return []
    most = max(max(column) for column in row["tension"]["clipped"])
    return [SLACK.format(most=f"{100.0 * most:.0f} %")]


def _moved(row: Row) -> list[str]:
    """What is to be said of kN where they depend on the air."""
    swings = row["tension"]["amplitude"]
    is_moved = any(abs(one - other) > 5e-3 * other for one, other in zip(swings[0], swings[-1], strict=True))
    return [MOVED] if is_moved and row["across"]["kind"] == "swell" else []


def value_of(kind: str, value: float) -> str:
    """A value across with its unit."""
    return {
        "swell": f"{value:.2f} times the swell",
        "tension": f"{value:.2f} times the mean",
        "wind": f"{value:.1f} m/s",
        "hours": f"{value:.0f} h",
    }[kind]


def _newton(row: Row, bound: Row) -> str:
    """The swing of the tension at a bound, in the air of the bound, or its mean."""
    part = KN.get(row["across"]["kind"])
    return f" ({bound[part] / 1e3:.0f} kN)" if part else ""


def _some(count: int, most: int) -> list[int]:
    """Numbers of at most some rows of many, evenly, the last among them."""
    step = -(-count // most)
    return sorted(range(count - 1, -1, -step))


def _map(row: Row) -> list[str]:
    """Marks over air (columns) and across (rows, the worst on top)."""
    across, kind = row["across"], row["across"]["kind"]
    columns, rows = _some(len(row["air"]), COLUMNS), _some(len(across["values"]), ROWS)
    rows = rows if kind == "wind" else rows[::-1]
    lines = [f"{UNITS[kind]:<24}air temperature, C", f"{'':<18}" + _cells(f"{row['air'][n]:.0f}" for n in columns)]
    for y in rows:
        value = f"{across['values'][y]:.2f}" if kind in KN else f"{across['values'][y]:.1f}"
        more = f"{across[KN[kind]][y] / 1e3:>6.0f} kN" if kind in KN else ""
        lines.append(f"{value:>7}{more:<11}" + _cells(SIGNS[row["marks"][x][y]] for x in columns))
    return lines


def _cells(texts: Any) -> str:
    return "".join(f"{text:>{CELL}}" for text in texts).rstrip()


def _bounds(row: Row) -> list[str]:
    """At each air temperature how far everything holds and how far nothing stops, and what ends it."""
    wide = BOUND + (2 if row["across"]["kind"] == "tension" else 0)
    lines = [f"{'air':>6}  {'every criterion holds':<{wide + REASON}}nothing stops"]
    for bound in evenly(row["bounds"]):
        cells = (f"{short_bound(row, bound[key]):<{wide}}{bound[key]['because']:<{REASON}}" for key in ("ok", "stop"))
        lines.append(f"{bound['air']:>4.0f} C  {''.join(cells)}".rstrip())
    return lines


def short_bound(row: Row, bound: Row) -> str:
    """A bound for a column of a table."""
    kind = row["across"]["kind"]
    way, unit = ("from", "m/s") if kind == "wind" else ("to", "h")
    if bound["reach"] == "nowhere":
        return "nowhere on the map"
    if bound["reach"] == "everywhere":
        return "all of the map"
    if kind == "tension":
        return f"to {bound['mean'] / 1e3:.0f} kN, {100.0 * bound['mean_share']:.0f} %LDBF"
    if kind == "swell":
        return f"to {bound['at']:.2f} x{_newton(row, bound)}"
    return f"{way} {bound['at']:.1f} {unit}"


def evenly(rows: Sequence[Row], most: int = ROWS) -> list[Row]:
    """At most some of many rows, evenly, the last among them."""
    return [rows[n] for n in _some(len(rows), most)]


def _own(row: Row) -> list[str]:
    """Core, margin and hours at the state's own swell, wind or hours."""
    own = value_of(row["across"]["kind"], row["across"]["own"])
    lines = [f"{'air':>6}   core P90   margin P10   hours P10      P50   a stay takes   at {own}"]
    for at in evenly(row["at_own"]):
        hours = f"{at['hours_p10']:>12,.0f}{at['hours_p50']:>9,.0f}".replace(",", " ")
        lines.append(
            f"{at['air']:>4.0f} C{at['core_p90']:>9.0f} C{at['margin_p10']:>13.1f}{hours}"
            f"{_share(at['stay_takes_p50']):>13} %"
        )
    return lines


def _share(part: float) -> str:
    """A share in per cent, two figures and never a power of ten."""
    return f"{100.0 * part:.2g}" if part < 0.995 else "100"


def _moves(row: Row) -> list[str]:
    """What is not monotone, and what is then told."""
    across = {"swell": "with swell", "tension": "with mean tension", "wind": "with wind", "hours": "with hours"}[
        row["across"]["kind"]
    ]
    told = [text.format(across=across) for key, text in MOVES.items() if row["falls"][key]]
    return [f"Not monotone: {'; '.join(told)}. A bound is the first crossing from the mild side."] if told else []
