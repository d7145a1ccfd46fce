"""Changes of a study as lines of text."""

from __future__ import annotations

from typing import Any

from linewright.services.answer import caution_rows, confidential_rows, fit, folded
from linewright.services.known import known_lines
from linewright.services.program import command
from linewright.services.spoken import LARGEST_RATIO
from linewright.services.trial import NEW
from linewright.services.words import ONE_LINE, years

Row = dict[str, Any]
NAME, RATIO = 32, 25
SIGNS = {"": "", "at least": ">", "at most": "<", "open": "?"}
WORDS = {"": "", "at least": "at least ", "at most": "at most ", "open": "open "}
HEAD = "years P10  P50  P90  ratio P50 (P10 to P90)"
CORE, MARGIN = 14, 12
BOARD = "the rope on board"
HOW = {
    "climate": "climate: warmer air at every hour; the dew point keeps the relative humidity",
    "tail": "tails, lengths, size: the ship moves as before; mean tensions stay in kN, swings follow the stiffness",
    "steady pull": "steady pull: means above 35 %LDBF less by a tenth, swings in kN as before; records stay",
    "bend radius": "bend radius: that of every contact; roughness: the wear that it makes on contacts that do not turn",
    "shade": "in the shade: no sun on rope and steel, neither heat nor harm; the sky stays",
    "payout spread": "payout spread: length that passes a mark, of every state; more tending widens it",
    "berth left out": "a berth left out: no calls there, the others as they are",
}
RATIOS = (
    "ratio: life after over life before in the same draw, so that what is unknown of both cancels; > at least, < at "
    "most, ? open, where lives are cut off; core: of the hottest state, C; margin: the smallest"
)
ORDER = (
    "order: largest effect on the median life first, longer or shorter; those that do not move it by the hotter core"
)


def what_if_lines(row: Row) -> list[str]:
    """The largest effect, the table, what could not be told."""
    lines = [
        *folded(known_lines(row, BOARD), 2),
        *folded([f"{row['title']}: {row['rope']}, one change at a time, {row['samples']} draws"], 2),
        *folded([in_short(row)], 2),
        "",
        f"{'':<{NAME}}{HEAD:<{RATIO + 21}}{'core P50 P90':>{CORE}}{'margin P10':>{MARGIN}}  ends by",
        _line(row["as_it_is"], row),
        *(_line(item, row) for item in row["changes"]),
    ]
    if row["not_told"]:
        lines += ["", "not told", *folded([f"  {item['name']}: {item['why']}" for item in row["not_told"]], 4)]
    kinds = {item["kind"] for item in (*row["changes"], *row["not_told"])}
    how = [text for kind, text in HOW.items() if kind in kinds or (kind == "tail" and "size" in kinds)]
    return [
        *lines,
        "",
        *folded([*_too_strong(row), RATIOS, ORDER], 2),
        *folded([*how, *([NEW] if row["is_new"] else [])], 2),
        *folded([*caution_rows(row, [BOARD]), *confidential_rows(row)], 2),
        *folded([f"! {ONE_LINE.format(command=command('cautions'))}"], 2),
    ]


def in_short(row: Row) -> str:
    """What to take away, in one sentence."""
    if row["as_it_is"]["life"] is None:
        return f"The rope on board gets no life, so that no change has a ratio: {row['as_it_is']['not_comparable']}."
    told = sorted(row["changes"], key=lambda item: float(item["ratio"]["p50"]))
    parts = []
    told = [item for item in told if not item.get("too_strong")]
    if told and told[-1]["ratio"]["p50"] > 1.0:
        parts.append(f"longest life: {told[-1]['name']}, {_ratio(told[-1]['ratio'], WORDS)} x")
    if told and told[0]["ratio"]["p50"] < 1.0:
        parts.append(f"shortest: {told[0]['name']}, {_ratio(told[0]['ratio'], WORDS)} x")
    said = "; ".join(parts) or "no change moves the median life within the horizon"
    return f"{said[0].upper()}{said[1:]}."


def _too_strong(row: Row) -> list[str]:
    """A word on changes that `size` would reject."""
    where = command("size", row["study"])
    return [f"* {item['name']}: {item['too_strong']}; no size to take, {where} has those that fit"
            for item in row["changes"] if item.get("too_strong")]  # fmt: skip


def _line(item: Row, row: Row) -> str:
    mark = " *" if item.get("too_strong") else ""
    start = f"{fit(item['name'], NAME - 1 - len(mark)) + mark:<{NAME}}"
    life = item["life"]
    if life is None:
        ages = f"{'no life':>19}"
    else:
        low, middle, high = (years(life[p], row["horizon"]) for p in ("p10", "p50", "p90"))
        ages = f"{low:>9}{middle:>5}{high:>5}"
    ratio = _ratio(item["ratio"], SIGNS) if item.get("ratio") else ""
    margin = "-" if item["margin"] is None else f"{item['margin']['p10']:.2f}"
    return f"{start}{ages}  {ratio:<{RATIO}}{_core(item['core']):>{CORE}}{margin:>{MARGIN}}  {_ends(life)}".rstrip()


def _ends(life: Row | None) -> str:
    if life is None:
        return ""
    return "nothing" if str(life["ends_by"]).startswith("nothing") else fit(life["ends_by"], 12)


def _core(core: Row | None) -> str:
    if core is None:
        return "-"
    return f"{core['p50']:.0f} {core['p90']:.0f}" if core["is_sustainable"] else "melting"


def _ratio(ratio: Row, bounds: dict[str, str]) -> str:
    middle, low, high = (_times(ratio, p, bounds) for p in ("p50", "p10", "p90"))
    return f"{middle} ({low} to {high})"


def _times(ratio: Row, quantile: str, bounds: dict[str, str]) -> str:
    """A quantile with its bound; two decimals, since changes of one study share their draws."""
    if ratio[quantile] > LARGEST_RATIO:
        return f"{bounds['at least']}{LARGEST_RATIO:.0f}"
    return f"{bounds[ratio['bounds'][quantile]]}{ratio[quantile]:.2f}"
