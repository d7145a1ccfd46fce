"""Findings of a line's result: what stands beside its numbers."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from linewright.assessment import near
from linewright.assessment.duty import Duty
from linewright.assessment.exposure import missing
from linewright.assessment.line import LineResult
from linewright.assessment.mechanisms.catalogue import BY_NAME
from linewright.assessment.rope import Subject
from linewright.assessment.slack import slack_shares
from linewright.base.findings import Finding, Severity
from linewright.base.units import ZERO_CELSIUS
from linewright.case.model import Case
from linewright.physics import bending, section
from linewright.physics.statistics import weighted_quantile

SHAPE = ("bend_radius", "wrap_angle")
WORKING_LOAD = 0.50  # of SDMBL, synthetic lines
OVERLOAD = 0.75  # of LDBF
INSPECT = (
    "permanent damage is to be assumed, which the sum of cycles does not see. Before the next use: take the whole line "
    "off the drum, run it through the hands a foot at a time, open the strands, look at eyes, splices and the metres "
    "at every fitting, at tail, links and brake; retire it where damage is found or cannot be excluded. "
    "Maker and class decide"
)
LEAST_PART = 1e-6
ROUNDING = 1e-6
SLACK_SHARE = 0.001
LEAST_SHARE = 0.01
WIDE_BAND = 20.0  # [K]
OPTIONAL = ("strength_factor", "strength_per_decade", "stiffness_factor", "long_term_limit", "long_term_hours",
            "short_term_limit", "bend_strength")  # fmt: skip
PRESENCE = 0.2
LEAST_FILL, MOST_FILL = 0.5, 0.85


def findings_of(result: LineResult) -> list[Finding]:
    """All findings of one rope (or tail) on one line group."""
    rows = [
        *_rope(result),
        *above_strength(result.setup.subject, result.setup.duty),
        *_states(result),
        *_contacts(result.setup.subject, result.setup.case),
        *_presence(result),
        *_doubtful_data(result),
        *_energy(result),
    ]
    about = f"{result.setup.subject.line.name}, {result.setup.subject.title}"
    for name in result.not_assessed:
        rows.append(Finding("not-assessed", "refused", f"{name} is not assessed: the card has no data for it", about))
    if result.blocks.is_bounded:
        text = "in some samples steady heat would take the core to the melting range; no temperature is given there"
        rows.append(Finding("core-not-sustainable", "caution", text, about))
    return rows


def refusal(subject: Subject, duty: Duty, case: Case) -> str:
    """Why a rope cannot be ranked on a line group, or an empty text."""
    broken = above_strength(subject, duty)
    if broken:
        return broken[0].text
    outside = [finding.text for finding in _contacts(subject, case) if finding.severity == "refused"]
    if outside:
        return outside[0]
    lacking = [name for name in case.mechanisms if missing(BY_NAME[name], subject.words, subject.data)]
    return f"{', '.join(lacking)} not assessed" if lacking else ""


def above_strength(subject: Subject, duty: Duty) -> list[Finding]:
    """States whose highest expected tension the rope cannot carry at all."""
    force = subject.data["design_break_force"].value
    rows = []
    for j in np.flatnonzero((duty.highest > force) & (duty.hours > 0.0)):
        state = f"{duty.berths[j].name}, {duty.states[j].name}"
        text = f"highest tension {duty.highest[j] / 1e3:.0f} kN exceeds the break force {force / 1e3:.0f} kN in {state}"
        rows.append(Finding("tension-above-strength", "refused", text, f"{subject.line.name}, {subject.title}"))
    return rows


def _energy(result: LineResult) -> list[Finding]:
    """What a line and its tail release when they part at the highest expected tension."""
    duty, subject = result.setup.duty, result.setup.subject
    if subject.is_tail:
        return []
    stored = np.where(duty.hours > 0.0, duty.energy.sum(axis=1), 0.0)
    j = int(np.argmax(stored))
    rope, tail = duty.energy[j] / 1e3
    parts = f" ({tail:.0f} kJ in the tail)" if tail > 0.0 else ""
    where = f"{duty.berths[j].name}, {duty.states[j].name}"
    stored_there = f"at {duty.highest[j] / 1e3:.0f} kN in {where} it stores {rope + tail:.0f} kJ{parts}"
    text = f"{stored_there}: keep clear of its recoil"
    return [Finding("stored-energy", "caution", text, f"{subject.line.name}, {subject.title}")]


def _value(subject: Subject, key: str) -> float | None:
    datum = subject.data.get(key)
    return None if datum is None else datum.value


def _rope(result: LineResult) -> list[Finding]:
    subject, ship = result.setup.subject, result.setup.case.ship_design_break_load
    about = f"{subject.line.name}, {subject.title}"
    force = subject.data["design_break_force"].value
    rows = []
    share = float(
        section.fill(
            subject.data["mass_per_length"].value,
            subject.data["density"].value,
            subject.data["diameter"].value,
        )
    )
    if not LEAST_FILL <= share <= MOST_FILL:
        text = f"mass, diameter and density give a fill of {share:.2f}; ropes lie between {LEAST_FILL} and {MOST_FILL}"
        rows.append(Finding("fill-implausible", "caution", text, about))
    low, high, code = (1.25, 1.30, "tail-window") if subject.is_tail else (1.0, 1.05, "ldbf-window")
    if not low - 1e-9 <= force / ship <= high + 1e-9:
        share = 100.0 * force / ship
        text = f"break force {force / 1e3:.0f} kN is {share:.0f} %SDMBL; usual is {100 * low:.0f} to {100 * high:.0f} %"
        rows.append(Finding(code, "caution", text, about))
    if subject.contacts:
        text = "strokes count the stretch of the inboard length; rocking of the wrap angle is not included"
        rows.append(Finding("stroke-unknown", "note", text, about))
        rows += _close(result)
    if not subject.is_tail and "service" not in result.setup.mechanisms:
        text = "drum crush, deck rubbing and hooks are not assessed; a long life is an upper bound"
        rows.append(Finding("service-wear", "note", text, about))
    return rows


def _close(result: LineResult) -> list[Finding]:
    """Contacts that the case puts on one spot: nothing says how much rope lies between them."""
    subject = result.setup.subject
    arcs = near.central_arcs(subject.data, subject.contacts)
    rows = []
    for one, two in pairwise(near.places(subject.data, subject.contacts, arcs, 0.0)):
        if not two.is_told:
            text = f"{one.fitting.name} and {two.fitting.name} stand on one spot and their heat is not added; "
            text += "give each its inboard_length"
            rows.append(Finding("contacts-close", "caution", text, f"{subject.line.name}, {subject.title}"))
    return rows


def _states(result: LineResult) -> list[Finding]:
    subject, duty = result.setup.subject, result.setup.duty
    ship = result.setup.case.ship_design_break_load
    force = subject.data["design_break_force"].value
    limit = _value(subject, "long_term_limit")
    rows = []
    for j, (berth, state) in enumerate(zip(duty.berths, duty.states, strict=True)):
        about = f"{berth.name}, {state.name}: {subject.line.name}, {subject.title}"
        highest = duty.highest[j]
        if highest > WORKING_LOAD * ship and not subject.is_tail:
            limit_kn = WORKING_LOAD * ship / 1e3
            text = f"highest expected tension {highest / 1e3:.0f} kN is above WLL {limit_kn:.0f} kN (50 %SDMBL)"
            rows.append(Finding("tension-above-wll", "caution", text, about))
        if highest > OVERLOAD * force:
            text = f"highest expected tension {highest / 1e3:.0f} kN is above 75 %LDBF: {INSPECT}"
            rows.append(Finding("tension-overload", "caution", text, about))
        rows += [*_cycles(result, j, about), *_weak(result, j, about), *_untested(result, j, about)]
        if duty.clipped[j] > 1e-4:
            text = f"{100 * duty.clipped[j]:.2g} % of the swing reaches below zero tension and was cut there"
            rows.append(Finding("tension-clipped", "note", text, about))
        if limit is not None:
            rows += _hot(result, j, limit, about)
    return rows


def _cycles(result: LineResult, j: int, about: str) -> list[Finding]:
    """Slack troughs, and ranges beyond the fatigue curve; parts of less than a millionth do not count."""
    subject, duty = result.setup.subject, result.setup.duty
    force = subject.data["design_break_force"].value
    counted = duty.weight[j] > LEAST_PART
    rows = []
    trough, limit = _value(subject, "compression_trough"), _value(subject, "tension_fatigue_range_limit")
    least = _value(subject, "compression_range")
    if trough is not None and least is not None and duty.swing[j] > 0.0:
        slack = float(slack_shares(duty.slack, np.array([trough * force]), np.array([least * force]))[0, j])
        if slack > SLACK_SHARE:
            text = f"{100 * slack:.2g} % of the cycles have a trough below {100 * trough:.0f} %LDBF: axial compression"
            response = duty.states[j].tension[subject.line.name].response
            if response is not None and response.method != "histories":
                text += "; the spectral method lets every cycle swing about the mean, method histories counts troughs"
            rows.append(Finding("slack-cycles", "caution", text, about))
    largest = 2.0 * float(np.max(duty.amplitude[j][counted], initial=0.0)) / force
    if limit is not None and largest > limit:
        text = f"ranges reach {100 * largest:.0f} %LDBF; the fatigue curve is tested to {100 * limit:.0f} %"
        rows.append(Finding("fatigue-range", "caution", text, about))
    return rows


def _doubtful_data(result: LineResult) -> list[Finding]:
    """What is missing on the card, what is taken as exact, and what a jacket hides."""
    subject = result.setup.subject
    about = f"{subject.line.name}, {subject.title}"
    rows = []
    for key in OPTIONAL:
        if key not in subject.data:
            text = f"the card has no {key}: its effect is left out"
            rows.append(Finding("datum-missing", "caution", text, about))
    needed = {key for name in result.setup.mechanisms for key in BY_NAME[name].needs(subject.words)}
    for key in sorted(needed & set(result.used)):
        datum = subject.data[key]
        if datum.basis in ("measured", "calibrated") and not datum.has_band:
            text = f"{key} is measured but has no low and high: taken as exact"
            rows.append(Finding("measured-exact", "caution", text, about))
    if subject.words.get("jacketed") == "True":
        text = "damage inside the jacket cannot be seen, and the bending law is a braid's"
        rows.append(Finding("jacket-hides", "caution", text, about))
    return rows


def _weak(result: LineResult, j: int, about: str) -> list[Finding]:
    """A margin below 1, and a core that the card's heat data leave open."""
    rows = []
    share = float(np.mean(result.blocks.margin[:, j] < 1.0))
    if share > LEAST_SHARE:
        text = f"the highest expected tension exceeds the strength in {100 * share:.0f} % of the draws"
        rows.append(Finding("margin-below-one", "caution", text, about))
    share = float(np.mean(result.blocks.sustained[:, j] < 1.0))
    if share > LEAST_SHARE:
        rows.append(Finding("sustained-margin-below-one", "caution", _sustained(result, j, share), about))
    core = result.blocks.core[:, j]
    span = float(np.quantile(core, 0.9) - np.quantile(core, 0.5))
    if span > WIDE_BAND:
        text = f"core P90 stands {span:.0f} K over P50: bending loss and conductivity of this fibre were not measured"
        rows.append(Finding("core-band-wide", "caution", text, about))
    return rows


def _sustained(result: LineResult, j: int, share: float) -> str:
    """What the sustained margin says where it is below 1 in some draws, and that the creep law says otherwise."""
    values = result.blocks.sustained[:, j]
    middle = weighted_quantile(values, np.ones(len(values)), 0.5)
    text = (
        f"one reading (strength falls with the time a load is held) gives a sustained margin of {middle:.1f}, "
        f"below 1 in {100 * share:.0f} % of draws"
    )
    is_creeping = "creep_retirement_strain" in result.setup.subject.data
    return f"{text}; the creep law does not confirm it" if is_creeping else text


def _hot(result: LineResult, j: int, limit: float, about: str) -> list[Finding]:
    """Core or skin above the long-term limit, by their medians at the hot hour."""
    weights = np.ones(len(result.blocks.core))
    core, skin = (weighted_quantile(values[:, j], weights, 0.5) for values in (result.blocks.core, result.blocks.skin))
    above = f"is above the long-term limit {limit - ZERO_CELSIUS:.0f} C"
    if core > limit:
        return [Finding("core-above-limit", "caution", f"core {core - ZERO_CELSIUS:.0f} C {above}", about)]
    if skin > limit:
        text = f"skin {skin - ZERO_CELSIUS:.0f} C at the contact {above}; the core is not"
        return [Finding("skin-above-limit", "caution", text, about)]
    return []


def _untested(result: LineResult, j: int, about: str) -> list[Finding]:
    """Core or air outside the tested temperatures of a datum, and a frozen wet rope: not tested, never no effect.

    A loss factor alone, left in the cold, is a note: it makes heat, and heat ends no rope there.
    """
    core = weighted_quantile(result.blocks.core[:, j], np.ones(len(result.blocks.core)), 0.5)
    coldest = float(result.setup.weather.air[j].min())
    spans: dict[tuple[float, float], list[str]] = {}
    for key, datum in result.setup.subject.data.items():
        if datum.tested and (datum.curve.over if datum.curve else datum.kind) == "temperature":
            spans.setdefault(datum.tested, []).append(key)
    rows: list[Finding] = []
    for (low, high), keys in spans.items():
        severity: Severity = "note" if core <= high and keys == ["loss_factor"] else "caution"
        outside = ([coldest] if coldest < low else []) + ([core] if core > high else [])
        if outside:
            read = " and ".join(_celsius(value) for value in outside)
            span = f"{low - ZERO_CELSIUS:.0f} to {high - ZERO_CELSIUS:.0f} C"
            named = ", ".join(key.replace("_", " ") for key in keys)
            text = f"{read} lies outside the tested range of {named} ({span}): not tested"
            rows.append(Finding("temperature-untested", severity, text, about))
    if coldest < ZERO_CELSIUS - 0.5 and result.setup.duty.wetness[j] > 0.0:
        text = f"frozen wet rope, air down to {_celsius(coldest)}: not tested"
        rows.append(Finding("temperature-untested", "caution", text, about))
    return rows


def _celsius(kelvin: float) -> str:
    """A temperature in whole degrees; none is minus nothing."""
    return f"{round(kelvin - ZERO_CELSIUS) + 0:.0f} C"


def _contacts(subject: Subject, case: Case) -> list[Finding]:
    """Bend ratios against the range of the bending tests; no ratio matters when bending is not asked for."""
    rows = []
    diameter = subject.data["diameter"].value
    if "bending" not in case.mechanisms:
        return []
    for contact in subject.contacts:
        about = f"{subject.line.name}, {contact.name}, {subject.title}"
        radius, wrap = (subject.data[contact.key(key)].value for key in SHAPE)
        ratio = float(bending.bend_ratio(radius, wrap, diameter))
        least, tested = _value(subject, "bending_minimum_ratio"), _value(subject, "bending_tested_ratio")
        if least is not None and ratio < least - ROUNDING:
            text = f"D/d {ratio:.1f} at the {contact.name}, bending tests end at {least:.0f}"
            rows.append(Finding("bending-outside", "refused", text, about))
        elif tested is not None and ratio < tested - ROUNDING:
            text = (
                f"D/d {ratio:.1f} at the {contact.name} is below the tests ({tested:.0f}): bending life is extrapolated"
            )
            rows.append(Finding("bending-extrapolated", "caution", text, about))
    return rows


def _presence(result: LineResult) -> list[Finding]:
    subject = result.setup.subject
    if not subject.contacts or any(contact.reuse or contact.holds for contact in subject.contacts):
        return []
    presence = float(np.median(result.blocks.presence))
    if presence <= PRESENCE:
        return []
    text = (
        f"the same metre is bent in {100 * presence:.0f} % of the cycles: give the payout spread, or say reuse = true"
    )
    return [Finding("bending-presence", "caution", text, f"{subject.line.name}, {subject.title}")]
