"""Life of a running rope as rows and as lines of the answer: runs, years, crop, shift, a wire rope beside."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from linewright.assessment.running import Assessed
from linewright.assessment.running_life import MOST, STRENGTH_LEFT, ratios
from linewright.assessment.running_wear import NAMES
from linewright.physics.types import Array
from linewright.services.answer import fit

Row = dict[str, Any]
QUANTILES = (("p10", 10.0), ("p50", 50.0), ("p90", 90.0))
MOSTLY = 0.99  # of the most bends, from which a metre is one of the most bent
TELLING = 0.005  # share of the loss below which a mechanism is not told
WORDS = {"strength left": f"{100 * STRENGTH_LEFT:.0f} % of its strength left",
         "temperature": "been hotter than its limits allow",
         "margin": "no margin left over the highest tension", "creep": "stretched as far as its fibre may",
         "bending": "bent to its end", "tension fatigue": "swung to its end"}  # fmt: skip


def life_row(found: Assessed, places: Callable[[float], list[str]]) -> Row:
    """Life in runs, hours and years with what cutting does, or why there is none; `places` bend a mark."""
    lasting = found.life
    if lasting is None:
        return {"reason": found.no_life, "duties_per_year": found.setup.study.duties_per_year}
    lost = lasting.losses / max(float(lasting.losses.sum()), 1e-300)
    cutting = lasting.cutting
    return {
        "reason": None,
        "duties_per_year": found.setup.study.duties_per_year,
        "strength_left": STRENGTH_LEFT,
        "crop": _quantiles(found, lasting.crop),
        "discard": _quantiles(found, lasting.discard),
        "share_none": round(float(np.mean(lasting.crop <= 0.0)), 4),
        "criterion": lasting.criterion,
        "mark": round(lasting.mark, 2),
        "at_places": places(lasting.mark),
        "losses": {name: round(float(share), 4) for name, share in zip(NAMES, lost, strict=True)},
        "zone": [round(end, 2) for end in cutting.zone],
        "piece": round(cutting.piece, 2),
        "times": cutting.times,
        "shift": None if cutting.shift is None else round(cutting.shift, 1),
        "shifts": cutting.shifts,
        "without_spray": None if lasting.without is None else float(f"{lasting.without:.4g}"),
        "is_capped": lasting.is_capped,
        "not_assessed": list(lasting.lacking),
        "hottest_is_most_bent": _is_most_bent(found),
        "extrapolated": _extrapolated(found),
        "by_mark": {"mark": np.round(lasting.marks, 3).tolist(),
                    "loss": [float(f"{value:.4g}") for value in lasting.loss],
                    "strength_lost": [float(f"{-np.expm1(-value):.4g}") for value in lasting.loss]},
    }  # fmt: skip


def wire_row(found: Assessed) -> Row | None:
    """The wire rope beside, and how long it goes against the fibre rope's P50."""
    wire, lasting = found.wire, found.life
    if wire is None:
        return None
    fibre = None if lasting is None else _percentile(lasting.crop, 50.0)
    endless = not np.isfinite(wire.runs)
    ratio = None if endless or not fibre or fibre >= MOST else float(f"{wire.runs / fibre:.4g}")
    return {
        "cycles": None if endless else float(f"{wire.cycles:.4g}"),
        "runs": None if endless else float(f"{wire.runs:.4g}"),
        "mark": round(wire.mark, 2),
        "over_fibre": ratio,
        "outside": list(wire.outside),
        "ranged": wire.ranged,
    }


def _percentile(values: Array, part: float) -> float:
    return float(np.percentile(values, part, method="inverted_cdf"))


def _quantiles(found: Assessed, runs: Array) -> Row:
    """P10, P50, P90 in runs, in hours of the programme, and in years where the study says how often."""
    seconds = found.setup.study.repeat * sum(piece.duration for piece in found.pieces)
    often = found.setup.study.duties_per_year
    values = {name: float(f"{_percentile(runs, part):.4g}") for name, part in QUANTILES}
    return {
        "runs": values,
        "hours": {name: float(f"{value * seconds / 3600.0:.4g}") for name, value in values.items()},
        "years": None if often is None else {name: float(f"{one / often:.4g}") for name, one in values.items()},
    }


def _is_most_bent(found: Assessed) -> bool:
    """Whether the hottest metre is one of the most bent."""
    past = found.given.past
    cell = int(np.argmin(np.abs(found.given.marks - found.given.peak[2])))
    return bool(np.max(past.bends) > 0.0 and past.bends[cell] >= MOSTLY * np.max(past.bends))


def _extrapolated(found: Assessed) -> list[Row]:
    """Bends that are sharper than those of the bending tests."""
    tested = found.setup.data.get("bending_tested_ratio")
    if tested is None:
        return []
    return [{"name": name, "ratio": round(ratio, 1), "tested": tested.value}
            for name, ratio in ratios(found.setup).items() if ratio < tested.value]  # fmt: skip


def life_lines(row: Row) -> list[str]:
    """Life in words: to the crop, to discard, what cutting does, a wire rope beside."""
    life = row["life"]
    if life["reason"] is not None:
        what = life["reason"]
        return [f"{what}, no life" if what == "not sustainable" else f"no life is told: {what}", *_wire_lines(row)]
    cuts = _cut_lines(life) if life["crop"]["runs"]["p50"] > 0.0 else []
    return [*_crop_lines(life), *cuts, *_dry_lines(life), *_wire_lines(row)]


def number(value: float) -> str:
    """Runs or years as they are told."""
    return f"{value:.2g}" if value < 100.0 else f"{value:.0f}"


def _most(runs: float) -> str:
    return f"more than {MOST:.0f}" if runs >= MOST else number(runs)


def _span(band: Row, often: float | None) -> str:
    """P50 (P10 to P90) in runs, and in years or hours."""
    runs, hours = band["runs"], band["hours"]["p50"]
    text = f"{_most(runs['p50'])} runs ({_most(runs['p10'])} to {_most(runs['p90'])})"
    if 0.0 < runs["p50"] < 1.0:
        text += f", {number(hours)} h" if hours >= 1.0 else f", {number(60.0 * hours)} min"
    if band["years"] is not None and often is not None:
        text += f", {number(band['years']['p50'])} years at {number(often)} runs a year"
    return text


def _crop_lines(life: Row) -> list[str]:
    told = [f"{name} {100 * share:.0f} %" for name, share in sorted(life["losses"].items(), key=lambda item: -item[1])
            if share >= TELLING]  # fmt: skip
    over = f", bent over {' and '.join(life['at_places'])}" if life["at_places"] else ""
    mark = f"mark {life['mark']:.1f} m{over}{',' if over else ''}"
    lost = f" ({', '.join(told)})" if told else ""
    end = f"then {mark} has {WORDS[life['criterion']]}" if life["criterion"] else f"the most worn is {mark.rstrip(',')}"
    rows = [f"to the crop: {_span(life['crop'], life['duties_per_year'])}; {end}{lost}"]
    if life["share_none"] > 0.0:
        share = 100 * life["share_none"]
        rows.append(
            f"in {share:.0f} % of the draws no run can be done: the core passes its short-term limit, or melts  !"
        )
    return rows


def _cut_lines(life: Row) -> list[str]:
    low, high = life["zone"]
    zone = f"marks {low:.1f} to {high:.1f} m lose more than half of what the worst loses"
    if life["times"]:
        crops = "once" if life["times"] == 1 else f"{life['times']} times"
        rows = [f"{zone}; a crop, past every metre that does, is {life['piece']:.0f} m from the outboard end: the "
                f"length allows it {crops}"]  # fmt: skip
        rows.append(f"to discard, cropped so: {_span(life['discard'], life['duties_per_year'])}")
    else:
        rows = [
            f"{zone}; the length allows no crop past every metre that does, {life['piece']:.0f} m from the outboard "
            "end: discard with it"
        ]
    if life["shift"] is not None:
        able = f"allows {life['shifts']}" if life["shifts"] else "does not allow it"
        rows.append(f"slip and cut: {life['shift']:.1f} m at half of the life halves the bending of the worst metre, "
                    f"which stays in the rope; the length {able}")  # fmt: skip
    return rows


def _dry_lines(life: Row) -> list[str]:
    dry = life["without_spray"]
    if dry is None:
        return []
    return [f"without spray: {_most(dry)} runs" if dry > 0.0 else "without spray: not sustainable, no life"]


def _wire_lines(row: Row) -> list[str]:
    wire = row["wire_rope"]
    if wire is None:
        return []
    if wire["runs"] is None:
        return ["wire rope: nothing bends it under tension"]
    against = f", {number(wire['over_fibre'])} times the fibre rope's P50" if wire["over_fibre"] is not None else ""
    return [f"wire rope by your coefficients: {wire['cycles']:.3g} bends at the hardest bend, {number(wire['runs'])} "
            f"runs at mark {wire['mark']:.1f} m{against}"]  # fmt: skip


def life_cautions(row: Row) -> list[str]:
    """What stands beside a life."""
    life, wire, rows = row["life"], row["wire_rope"], []
    if life["reason"] is None:
        if life["hottest_is_most_bent"]:
            rows.append("! the hottest metre is one of the most bent: heat and bends use up the same piece")
        for bend in life["extrapolated"]:
            rows.append(f"! D/d {bend['ratio']:g} at {fit(bend['name'], 30)} is below the tests ({bend['tested']:g}): "
                        "bending life is extrapolated")  # fmt: skip
        if life["is_capped"]:
            rows.append(
                "! bending life is held at the most cycles that the card claims: at so low a load it may be longer"
            )
        if not all(steady["is_sustainable"] for steady in row["as_given"]["steady"]):
            rows.append("! life holds only for runs that begin cold and end as given: the heave is not sustainable")
        if life["not_assessed"]:
            rows.append(f"! not assessed, the card has no data: {', '.join(life['not_assessed'])}")
        rows.append("! life leaves out sunlight, the time between runs, axial compression and damage by hand")
    if wire is not None:
        rows += [f"! wire rope: {text}: extrapolated" for text in wire["outside"]]
        if not wire["ranged"]:
            rows.append("! wire rope: no full ranges of D/d and S/d2 given: where its coefficients hold is not checked")
        rows.append("! wire rope: form from memory, coefficients yours; mean life, no corrosion, drum layers or twist")
    return rows
