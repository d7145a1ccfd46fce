"""What leaves the house without its confidential data.

`for_client` turns a result into a copy that may be handed out. In it "maker's data, on file" stands

- for every confidential datum under `used`, which keeps its key, owner, basis, source, title and digest and loses
  value, band, curve, unit and place;
- for every figure from which one such datum follows by arithmetic with what stands beside it.

Findings and reasons that would name such a figure keep their code and lose the figure. Everything else that the
datum went into (lives, temperatures, shares, ratios) rests on many data at once; it stays, rounded as in the answer,
so that nobody gets the datum by matching digits. With the size or strength of a rope withheld its rises by source and
yearly damage go too, and margins unless the tension was typed as a share of that very strength. Whoever prints a copy
formats numbers with `figure`, which lets the words through. `samples_for_client` does the same for `samples.npz`.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from typing import Any

from linewright.base.findings import CATALOGUE
from linewright.physics.types import Array

Row = dict[str, Any]
Keys = frozenset[str]

WITHHELD = "maker's data, on file"
FOR = ("own", "client")

STRETCH = frozenset({"design_break_force", "dynamic_stiffness", "stiffness_mean_slope", "stiffness_amplitude_slope"})
FACTORS = frozenset({"strength_factor", "strength_per_decade", "wet_strength", "bend_strength"})
CURVES = frozenset({"strength_factor", "stiffness_factor", "loss_factor"})
BEND = frozenset({"diameter", "bend_radius", "wrap_angle"})
SIZE = BEND | STRETCH | {"mass_per_length"}
HEAT = frozenset({
    "axial_conductivity", "radial_conductivity_dry", "radial_conductivity_wet", "emissivity", "solar_absorptance",
    "loss_factor", "wet_loss_ratio", "stiffness_factor", "friction_on_steel", "wet_friction_ratio", "bending_loss",
    "wet_bending_loss_ratio", "friction_ratio", "roller_friction", "half_angle", "conductance_sliding",
    "conductance_passive", "spreading_resistance", "generation_share", "steel_sun", "film_factor", "profile_misfit",
    "partial_bend",
})  # fmt: skip
LAWS = {
    "creep": ("creep_", "rupture_"),
    "bending": ("bending_",),
    "tension": ("tension_",),
    "abrasion": ("wear_", "roughness"),
    "ageing": ("ageing_", "uv_"),
    "compression": ("compression_",),
    "service": ("service_",),
}
TENSIONS = ("mean_tension", "amplitude", "highest_tension", "highest_recorded")
WEATHER = ("air_temperature", "coldest_air_temperature", "hot_hour_wind", "hot_hour_sun")
MARGINS = ("margin", "margin_band", "margin_sustained", "margin_sustained_band")
EXACT = frozenset({*TENSIONS, "diameter", "long_term_limit", "hours_per_year", "period", *WEATHER})

NOTHING: Keys = frozenset()
NAMED: dict[str, Keys] = {  # which data the text of a finding names or tells; a code that is not here tells any
    "bending-extrapolated": BEND | {"bending_tested_ratio"},
    "bending-outside": BEND | {"bending_minimum_ratio"},
    "bending-presence": frozenset({"payout_spread"}),
    "stroke-unknown": NOTHING,
    "tension-above-wll": STRETCH,
    "tension-overload": STRETCH,
    "tension-above-strength": STRETCH,
    "tension-clipped": STRETCH,
    "slack-cycles": STRETCH | {"compression_trough", "compression_range"},
    "skin-above-limit": frozenset({"long_term_limit"}),
    "core-above-limit": frozenset({"long_term_limit"}),
    "core-not-sustainable": NOTHING,
    "fill-implausible": frozenset({"mass_per_length", "diameter", "density"}),
    "ldbf-window": frozenset({"design_break_force"}),
    "tail-window": frozenset({"design_break_force"}),
    "not-assessed": NOTHING,
    "temperature-untested": CURVES | {"bending_test_temperature"},
    "contacts-close": HEAT | BEND,
    "service-wear": NOTHING,
    "fatigue-range": STRETCH | {"tension_fatigue_range_limit"},
    "card-shadows-shipped": NOTHING,
    "case-over-card": BEND | {"design_break_force", "mass_per_length", "payout_spread"},
    "margin-below-one": STRETCH,
    "log-short": STRETCH,
    "log-negative": NOTHING,
    "log-paused": NOTHING,
    "spectral-method": NOTHING,
    "response-range": NOTHING,
    "bands-apart": NOTHING,
    "sustained-margin-below-one": STRETCH | FACTORS,
    "datum-missing": NOTHING,
    "measured-exact": NOTHING,
    "jacket-hides": NOTHING,
    "core-band-wide": HEAT | BEND,
    "weather-invented": NOTHING,
    "weather-place": NOTHING,
    "log-saturated": NOTHING,
    "evidence-refused": NOTHING,
    "earlier-trades": NOTHING,
    "rope-finished": NOTHING,
    "log-doubt": NOTHING,
    "stored-energy": STRETCH | {"quasi_static_stiffness"},
}


def figure(value: Any, form: str, unit: str = "", factor: float = 1.0) -> str:
    """A number of a result as text; the words of a withheld one as they are."""
    return value if isinstance(value, str) else f"{factor * value:{form}}{unit}"


def is_withheld(value: Any) -> bool:
    """Whether a field of a client's copy holds the words instead of a figure."""
    return isinstance(value, str) and value == WITHHELD


def for_client(result: Row) -> Row:
    """A copy of a result that may be handed out: confidential data withheld, no paths of the machine."""
    copy: Row = {key: value for key, value in result.items() if key not in ("study", "kept")}
    copy["made_for"] = "client"
    hidden = [row for row in result["used"] if row.get("confidential")]
    if not hidden:
        return copy
    keys = frozenset(row["key"] for row in hidden)
    copy["ropes"] = [_rope(rope, result, keys) for rope in result["ropes"]]
    if "duty" in result:
        copy["duty"] = {**result["duty"], "contacts": [_contact(row) for row in result["duty"]["contacts"]]}
    copy["comparisons"] = _rounded(result["comparisons"])
    copy["wide_because"] = _rounded(result["wide_because"])
    copy["known"] = _rounded(result.get("known"))
    copy["findings"] = [_finding(row, keys) for row in result["findings"]]
    copy["used"] = [_used(row) if row["confidential"] else row for row in result["used"]]
    if "stamp" in copy:
        copy["stamp"] = {key: value for key, value in copy["stamp"].items() if key != "cards"}
    copy = _without(copy, _names(result))
    return _without(copy, [(_pattern(row, number), WITHHELD) for row in hidden for number in _numbers(row)])


def samples_for_client(samples: Mapping[str, Array], result: Row) -> dict[str, Array]:
    """The arrays of `samples.npz` that may be handed out: with confidential data only weights and rounded ages."""
    if not any(row.get("confidential") for row in result["used"]):
        return dict(samples)
    ages = {name: values for name, values in samples.items() if name.endswith("_age")}
    rounded = {name: (10.0 * values).round() / 10.0 for name, values in ages.items()}
    return {"weights": samples["weights"], **rounded}


def _contact(row: Row) -> Row:
    """A contact of the duty without its confidential shape."""
    return {**row, **dict.fromkeys(row["confidential"], WITHHELD)}


def _used(row: Row) -> Row:
    """A datum without what it says; the digest is that of its source's file or of its sealed card."""
    return {**row, "value": WITHHELD, "low": None, "high": None, "unit": "", "where": ""}


def _rope(rope: Row, result: Row, keys: Keys) -> Row:
    """One rope: its own confidential keys decide; for tensions also those of the rope on board and its tails."""
    own = frozenset(rope["confidential"])
    board = result["ropes"][0]
    tails = [line["tail"]["confidential"] for line in board["lines"] if line["tail"]]
    pulls = bool(STRETCH & own.union(board["confidential"], *tails))
    copy: Row = _rounded(rope)
    _hide(copy, {"diameter", "long_term_limit"} & own, True)
    if "not_comparable" in rope and (pulls or own & (BEND | STRETCH | {"bending_minimum_ratio"})):
        copy["not_comparable"] = f"not comparable: the reason names {WITHHELD}"
    for state, typed in zip(copy["states"], rope["states"], strict=True):
        _hide(state, TENSIONS, pulls)
        _hide(state, MARGINS, bool(FACTORS & own) or (pulls and not _is_relative(rope, typed, result)))
        _hide(state, ("rise_by_source",), pulls or bool((HEAT | SIZE) & own))
        _hide(state, WEATHER, "months" in keys)
        for table in ("damage_per_year", "strength_loss_per_year"):
            sized = pulls or bool(SIZE & own)
            _hide(state[table], [name for name in state[table] if sized or _tells(name, own)], True)
    return copy


def _hide(row: Row, fields: Iterable[str], told: bool) -> None:
    if told:
        row.update({name: WITHHELD for name in fields if row.get(name) is not None})


def _tells(mechanism: str, own: Keys) -> bool:
    """Whether the yearly damage of a mechanism tells a constant of its law."""
    starts = LAWS.get(mechanism, ("",))
    return any(key.startswith(starts) for key in own)


def _is_relative(rope: Row, state: Row, result: Row) -> bool:
    """Whether a state's tensions were typed as shares of this very rope's strength: the margin then tells no force."""
    owner = f"{state['berth']}, {state['name']}: {state['line']}"
    typed = {row["key"]: row["unit"] for row in result["used"] if row["owner"] == owner}
    units = [typed[key] for key in ("mean", "amplitude") if key in typed]
    return bool(rope["on_board"]) and "mean" in typed and all(unit == "%LDBF" for unit in units)


def _finding(row: Row, keys: Keys) -> Row:
    told = NAMED.get(row["code"], keys)
    return {**row, "text": CATALOGUE[row["code"]]} if told & keys else row


def _rounded(value: Any, name: str = "") -> Any:
    """Two figures, temperatures in whole degrees, shares in percent; what the case says itself stays exact."""
    if isinstance(value, dict):
        inner = name == "shares" or {"p10", "p50", "p90"} <= value.keys()
        return {key: part if key in EXACT else _rounded(part, name if inner else key) for key, part in value.items()}
    if isinstance(value, list):
        return [_rounded(part, name) for part in value]
    if not isinstance(value, float) or not math.isfinite(value):
        return value
    if "temperature" in name or name == "hottest_core":
        return float(round(value))
    if name in ("shares", "share"):
        return round(value, 2)
    return float(f"{value:.2g}")


def _names(result: Row) -> list[tuple[re.Pattern[str], str]]:
    """Titles of ropes and tails whose diameter is confidential, and the same without their size."""
    rows = [row for rope in result["ropes"] for row in (rope, *(line["tail"] for line in rope["lines"])) if row]
    titles = {row["name"] for row in rows if "diameter" in row["confidential"]}
    parts = {part for title in titles for part in title.split(" + ")}
    return [(re.compile(re.escape(part)), re.sub(r", [\d.]+ mm$", "", part)) for part in sorted(parts, key=len)[::-1]]


def _numbers(row: Row) -> list[str]:
    """The figures of a datum as they may stand in a text: value, low and high, or the points of its curve."""
    points = [row["low"], row["high"]]
    points += [cell for line in row["value"] for cell in line] if isinstance(row["value"], list) else [row["value"]]
    found = {f"{point:.{digits}g}" for point in points if isinstance(point, float) for digits in (3, 4, 10)}
    return sorted(found) if row["unit"] else []


def _pattern(row: Row, number: str) -> re.Pattern[str]:
    return re.compile(rf"(?<![\d.]){re.escape(number)}\s*{re.escape(row['unit'])}(?!\w)")


def _without(value: Any, swaps: list[tuple[re.Pattern[str], str]]) -> Any:
    """A copy with what the user's own texts (titles, notes, places) say of withheld figures taken out."""
    if isinstance(value, dict):
        return {key: _without(part, swaps) for key, part in value.items()}
    if isinstance(value, list):
        return [_without(part, swaps) for part in value]
    if isinstance(value, str):
        for pattern, instead in swaps:
            value = pattern.sub(instead.replace("\\", r"\\"), value)
    return value
