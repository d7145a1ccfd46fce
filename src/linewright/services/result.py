"""The stored form of a result: one JSON object, schema linewright.result/1."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from typing import Any

import numpy as np

from linewright.assessment.compare import Comparison, compare
from linewright.assessment.draws import column
from linewright.assessment.highest import Raised
from linewright.assessment.judge import WORKING_LOAD, findings_of
from linewright.assessment.life import CRITERIA, HORIZON
from linewright.assessment.line import THRESHOLDS, LineResult
from linewright.assessment.whole import RopeResult, Whole
from linewright.base.findings import Finding, worst_first
from linewright.base.sources import BASES
from linewright.base.units import ZERO_CELSIUS
from linewright.cards.form import ContactData, PracticeData, RopeData, key_of
from linewright.physics.statistics import rank_shares, weighted_quantile
from linewright.physics.types import Array
from linewright.services.duties import duty_row, invented_weather
from linewright.services.known import curve_row, evidence_row, past_row
from linewright.services.overruled import overruled
from linewright.services.used import hidden, lines_of, used_rows

SCHEMA = "linewright.result/1"
Row = dict[str, Any]
BY_CRITERION = {
    "creep": "creep",
    "tension fatigue": "tension",
    "bending": "bending",
    "compression": "compression",
}


def result_of(whole: Whole) -> Row:
    """The result without its stamp."""
    ropes = [rope_row(whole, rope) for rope in whole.ropes]
    ranked = [rope for rope in whole.ropes[1:] if not rope.refusal and not whole.ropes[0].refusal]
    comparisons = [_comparison(compare(whole, whole.ropes[0], rope)) for rope in ranked]
    of_lines = (found for line in lines_of(whole) for found in findings_of(line))
    lost = (item.finding for item in overruled(whole.case, whole.shelf))
    findings = worst_first([*lost, *of_lines, *invented_weather(whole), *whole.findings, *shadows(whole)])
    return {
        "schema": SCHEMA,
        "title": whole.case.title,
        "note": whole.case.note,
        "samples": whole.case.samples,
        "horizon": HORIZON,
        "criteria": vars(whole.case.criteria),
        "working_load_limit": WORKING_LOAD * whole.case.ship_design_break_load,
        "duty": duty_row(whole),
        "ropes": ropes,
        "comparisons": comparisons,
        "wide_because": wide_because(whole),
        "known": evidence_row(whole),
        "findings": [vars(finding) for finding in findings],
        "used": used_rows(whole),
    }


def shadows(whole: Whole) -> list[Finding]:
    """A note for every card of the study that the run used in the place of a shipped one."""
    owners = {datum.owner for line in lines_of(whole) for datum in line.setup.subject.data.values()}
    owners |= {line.setup.subject.name for line in lines_of(whole)} | {
        berth.climate for berth in whole.case.every_berth
    }
    text = "the study's own {} card {} takes the place of the shipped card of that name"
    used = sorted((kind, name) for kind, name in whole.shelf.shadowed if name in owners)
    return [Finding("card-shadows-shipped", "note", text.format(kind, name), name) for kind, name in used]


def confidential(lines: Sequence[LineResult]) -> list[str]:
    """Keys of the confidential data of some lines."""
    return sorted({datum.key for line in lines for datum in hidden(line)})


def band(values: Array, weights: Array, offset: float = 0.0) -> Row:
    """P10, P50 and P90 of weighted samples; fewer samples take the first weights."""
    return {
        name: weighted_quantile(values, weights[: len(values)], p) - offset
        for name, p in (("p10", 0.1), ("p50", 0.5), ("p90", 0.9))
    }


def life_row(ages: Array, weights: Array) -> Row:
    """Life band in years, held at the horizon."""
    row = band(ages, weights)
    return {**row, "beyond": row["p90"] >= HORIZON, "central": float(ages[0])}


def rope_row(whole: Whole, rope: RopeResult) -> Row:
    """One rope: life, what ends it, shares, lines and states."""
    first = rope.lines[int(rope.first_line[0])]
    missing = sorted({name for line in rope.lines for name in line.not_assessed})
    row: Row = {
        "name": rope.title,
        "card": rope.variant.rope,
        "same": rope.variant.same,
        "on_board": rope.variant.on_board,
        "diameter": first.setup.subject.data["diameter"].value,
        "long_term_limit": limit_of(first),
        "not_assessed": missing,
        "life": None,
        "shares": shares(first),
        "lines": [line_row(whole, rope, index) for index in range(len(rope.lines))],
        "states": [state for line in rope.lines for state in state_rows(whole, line)],
        "evidence": weakest(rope),
        "confidential": confidential(rope.lines),
    }
    if rope.refusal:
        row["not_comparable"] = f"not comparable: {rope.refusal}"
        return row
    row["life"] = {**life_row(rope.ages, whole.weights), **ending(whole, first)}
    return row


def limit_of(line: LineResult) -> float | None:
    """Long-term temperature limit of a line's rope [degC]."""
    datum = line.setup.subject.data.get("long_term_limit")
    return None if datum is None else datum.value - ZERO_CELSIUS


def ending(whole: Whole, line: LineResult) -> Row:
    """What ends most of the samples of a line, by which criterion, and where."""
    lives = line.lives
    codes = [CRITERIA[code] if code >= 0 else "none" for code in range(-1, len(CRITERIA))]
    totals = [float(whole.weights[lives.criterion == code].sum()) for code in range(-1, len(CRITERIA))]
    finished = totals[1:]
    criterion = codes[1 + int(np.argmax(finished))] if sum(finished) > 0.0 else f"nothing within {HORIZON:.0f} years"
    by = BY_CRITERION.get(criterion, criterion)
    if criterion == "strength left":
        by = mostly(line)
    return {
        "ends_by": by,
        "criterion": criterion,
        "line": line.setup.subject.line.name,
        "ends_at": ends_at(line),
    }


def mostly(line: LineResult) -> str:
    """The mechanism that takes the most in the central row."""
    losses = line.lives.losses[0]
    return line.setup.mechanisms[int(np.argmax(losses))] if losses.sum() > 0.0 else "none"


def ends_at(line: LineResult) -> str:
    """The metre class that ends the central life, in words, with its metre from the drum."""
    subject, metre = line.setup.subject, int(line.lives.metre[0])
    if not subject.contacts:
        return "whole length"
    if metre == len(subject.places) - 1:
        return "free span"
    contact = subject.contacts[metre // 3]
    use = subject.line.contacts[contact.index]
    inboard = use.data.get("inboard_length", subject.line.inboard_length).value
    return f"{contact.name}, {inboard:.0f} m from the drum"


def shares(line: LineResult) -> dict[str, float]:
    """Shares of the ln strength lost at the metre and moment that end the central life; they add to 1."""
    losses = line.lives.losses[0]
    total = float(losses.sum())
    if total <= 0.0:
        return {"none": 1.0}
    return {name: float(loss / total) for name, loss in zip(line.setup.mechanisms, losses, strict=True)}


def line_row(whole: Whole, rope: RopeResult, index: int) -> Row:
    """One line group of a rope, with its tail."""
    line, tail = rope.lines[index], rope.tails[index]
    row: Row = {
        "name": line.setup.subject.line.name,
        "life": None,
        "ends_by": None,
        "ends_at": None,
        "tail": None,
    }
    row["shares"] = shares(line)
    row["curve"], row["past"] = curve_row(whole, line), past_row(whole, line)
    row["bending_presence"] = float(np.median(line.blocks.presence))
    if not rope.refusal:
        end = ending(whole, line)
        row.update(
            life=life_row(line.lives.age, whole.weights),
            ends_by=end["ends_by"],
            criterion=end["criterion"],
            ends_at=end["ends_at"],
        )
    if tail is not None:
        end = ending(whole, tail)
        core = float(
            np.max(
                [
                    weighted_quantile(tail.blocks.core[:, j], whole.weights, 0.5)
                    for j in range(tail.blocks.core.shape[1])
                ]
            )
        )
        row["tail"] = {
            "name": tail.setup.subject.title,
            "life": life_row(tail.lives.age, whole.weights),
            "ends_by": end["ends_by"],
            "criterion": end["criterion"],
            "hottest_core": core - ZERO_CELSIUS,
            "shares": shares(tail),
            "confidential": confidential([tail]),
        }
    return row


def state_rows(whole: Whole, line: LineResult) -> list[Row]:
    """Every state of a line: duty, temperatures, rise by source, margin, damage."""
    duty = line.setup.duty
    return [
        {
            "name": state.name,
            "line": line.setup.subject.line.name,
            "berth": berth.name,
            **_duty_of(whole, line, j),
            **_heat_of(whole, line, j),
            **_loss_of(whole, line, j),
        }
        for j, (berth, state) in enumerate(zip(duty.berths, duty.states, strict=True))
    ]


def _duty_of(whole: Whole, line: LineResult, j: int) -> Row:
    duty = line.setup.duty
    return {
        "hours_per_year": float(duty.hours[j]),
        "mean_tension": float(duty.mean[j]),
        "amplitude": float(duty.swing[j]),
        "period": float(duty.period[j]) if duty.swing[j] > 0.0 else None,
        "highest_tension": float(duty.highest[j]),
        "highest_recorded": _recorded(duty.raised[j]),
        "is_above_wll": bool(duty.highest[j] > WORKING_LOAD * whole.case.ship_design_break_load),
    }


def _recorded(raised: Raised | None) -> Row | None:
    """A record's own highest tension and what it was raised to; nothing for a state without a record."""
    if raised is None:
        return None
    low, high = raised.band
    return {"log": raised.record, "own": raised.own, "hours": raised.recorded / 3600.0,
            "lasts_hours": raised.lasts / 3600.0, "p10": low, "p90": high}  # fmt: skip


def _heat_of(whole: Whole, line: LineResult, j: int) -> Row:
    central, core = line.central, line.blocks.core[:, j]
    rises = {name: float(values[j]) for name, values in central.rises.items()}
    rises["rest"] = float(core[0] - central.air[j]) - sum(rises.values())
    melting = line.setup.subject.data["melting_temperature"].value
    return {
        "is_sustainable": bool(np.median(core) < melting - 0.5),
        "air_temperature": float(central.air[j] - ZERO_CELSIUS),
        **_weather_of(line, j),
        "core_temperature": band(core, whole.weights, ZERO_CELSIUS),
        "core_temperature_central": float(core[0] - ZERO_CELSIUS),
        "core_temperature_mean": float(central.core_mean[j] - ZERO_CELSIUS),
        "skin_temperature": band(line.blocks.skin[:, j], whole.weights, ZERO_CELSIUS),
        **core_places(line, j),
        "rise_by_source": rises,
        "hours_above": hours_above(whole, line, j),
    }


def _weather_of(line: LineResult, j: int) -> Row:
    """Wind and sun of the hot hour of a state, and the mean air of its coldest hours."""
    weather = line.setup.weather
    lasting = weather.weight[j] > 0.0
    return {
        "hot_hour_wind": float(weather.wind[j][0]),
        "hot_hour_sun": float(weather.level[j][0]),
        "coldest_air_temperature": float(weather.air[j][lasting].min() - ZERO_CELSIUS),
    }


def _loss_of(whole: Whole, line: LineResult, j: int) -> Row:
    margin, held = (band(values[:, j], whole.weights) for values in (line.blocks.margin, line.blocks.sustained))
    metre = int(line.lives.metre[0])
    names, central = line.setup.mechanisms, line.central
    return {
        "margin": margin["p50"],
        "margin_band": margin,
        "margin_sustained": held["p50"],
        "margin_sustained_band": held,
        "damage_per_year": dict(zip(names, map(float, central.damage[j, :, metre]), strict=True)),
        "strength_loss_per_year": dict(zip(names, map(float, central.loss[j, :, metre]), strict=True)),
    }


def core_places(line: LineResult, j: int) -> Row:
    """Central core of a state at every place in the hot hour [degC], and the hottest place."""
    places = line.setup.subject.places
    cores = np.broadcast_to(line.central.cores[j] - ZERO_CELSIUS, len(places))
    found = dict(zip(places, map(float, cores), strict=True))
    return {"core_by_place": found, "hottest_place": places[int(line.central.place[j])]}


def hours_above(whole: Whole, line: LineResult, j: int) -> dict[str, float]:
    """Mean hours a year of a state above each threshold [degC]."""
    hours = line.blocks.hours_above[:, j]
    means = np.average(hours, axis=0, weights=whole.weights[: len(hours)])
    return {f"{limit - ZERO_CELSIUS:.0f}": float(mean) for limit, mean in zip(THRESHOLDS, means, strict=True)}


def weakest(rope: RopeResult) -> str:
    """The weakest basis among the rope's own data that were used."""
    rank = {basis: number for number, basis in enumerate(BASES)}
    found = [
        line.setup.subject.data[key].basis for line in rope.lines for key in line.used if key in line.setup.subject.laws
    ]
    return max(found, key=lambda basis: rank[basis])


def _comparison(item: Comparison) -> Row:
    low, middle, high = item.ratio
    return {
        "rope": item.other,
        "same": item.same,
        "against": item.base,
        "ratio": {
            "p10": low,
            "p50": middle,
            "p90": high,
            "bounds": dict(zip(("p10", "p50", "p90"), item.bounds, strict=True)),
        },
        "outlives": {"same_ignorance": item.shared, "independent": item.apart},
        "rests_on": list(item.rests_on),
        "estimates_only": item.is_estimate_only,
    }


def wide_because(whole: Whole) -> list[Row]:
    """What makes the life band of the rope on board wide: shares of the spread in rank, largest first."""
    rope = whole.ropes[0]
    keys: dict[str, str] = {}
    for line in rope.lines:
        for key in line.used:
            datum = line.setup.subject.data[key]
            if datum.has_band:
                keys.setdefault(column(datum), datum.key)
    names = [name for name in sorted(keys) if name in whole.scores]
    if not names:
        return []
    found = rank_shares(np.stack([whole.scores[name] for name in names], axis=1), rope.ages)
    pairs = sorted(zip(map(float, found), names, strict=True), key=lambda pair: (-pair[0], pair[1]))
    return [
        {"key": keys[name], "text": meaning(keys[name]), "share": share} for share, name in pairs[:8] if share > 0.01
    ]


def meaning(key: str) -> str:
    """What a card key means, in words."""
    for form in (RopeData, ContactData, PracticeData):
        if key in form.model_fields:
            return key_of(form, key).text
    return key.replace("_", " ")


def digest(row: Row) -> str:
    """Digest of a result's body; its stamp is left out."""
    body = {key: value for key, value in row.items() if key != "stamp"}
    text = json.dumps(body, sort_keys=True, ensure_ascii=False, allow_nan=False)
    return hashlib.sha256(text.encode()).hexdigest()
