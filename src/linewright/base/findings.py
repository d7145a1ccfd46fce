"""Findings: what a result says about its own doubts.

Three severities: a note belongs in the annex, a caution stands beside its number everywhere,
and `refused` means that no number is given for the item.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Severity = Literal["note", "caution", "refused"]

CATALOGUE: dict[str, str] = {
    "bending-extrapolated": "the bend ratio D/d lies below the tests that the bending law rests on",
    "bending-outside": "the bend ratio D/d lies below the card's minimum; no life is given",
    "bending-presence": "the same metre is bent for a large share of the cycles",
    "stroke-unknown": "no rocking of the wrap angle was given; strokes count line stretch only",
    "stored-energy": "energy that a line and its tail release if they part at the highest expected tension",
    "tension-above-wll": "the highest expected tension exceeds the working load limit",
    "tension-overload": "the highest expected tension exceeds 75 % of the break force",
    "tension-above-strength": "the highest expected tension exceeds the break force; no life is given",
    "margin-below-one": "the strength is below the highest expected tension in some draws",
    "sustained-margin-below-one": "the strength under a load held for the call is below the mean tension in some draws",
    "datum-missing": "the card lacks a datum that could shorten the life or the margin; its effect is left out",
    "measured-exact": "a measured value without low and high is taken as exact",
    "jacket-hides": "damage inside a jacket cannot be seen",
    "core-band-wide": "the core's band is wide: the bending loss of this fibre was never measured",
    "weather-invented": "a berth's climate card is invented: no place has this weather",
    "weather-place": "the weather file lies more than a degree from the berth's stated place",
    "log-doubt": "an import of the record dropped, replaced or doubted readings",
    "log-saturated": "the record stays at its highest value: the sensor may have been at its end",
    "log-negative": "the record falls below zero tension: the sensor may have an offset",
    "spectral-method": "how the spectrum of a sea state became cycles, and what other methods would say",
    "bands-apart": "the spectrum of a sea state has bands apart, where closed forms of its cycles can be off",
    "response-range": "a table of responses does not cover the whole sea state",
    "log-paused": "the record has pauses; their time is left out",
    "log-short": "the record is shorter than the time it stands for: its highest tension was raised to that time",
    "tension-clipped": "some cycles reach below zero tension and were cut there",
    "slack-cycles": "cycles with a trough near zero tension feed axial compression",
    "skin-above-limit": "the skin at a contact is above the fibre's long-term limit",
    "core-above-limit": "the core is above the fibre's long-term limit",
    "core-not-sustainable": "steady heat would take the core to the melting range",
    "fill-implausible": "mass, diameter and fibre density do not fit together",
    "ldbf-window": "the rope's break force lies outside 100 to 105 % of the ship's",
    "tail-window": "the tail's break force lies outside 125 to 130 % of the ship's",
    "not-assessed": "a mechanism of loss is not assessed",
    "temperature-untested": "a temperature lies outside the tested range of a datum",
    "contacts-close": "the case puts two contacts on one spot: their heat is not added",
    "service-wear": "drum crush and deck rubbing are not assessed; a long life is an upper bound",
    "fatigue-range": "tension ranges lie outside the range of the fatigue curve",
    "evidence-refused": "the evidence of the case contradicts the cards: the draws are not weighted by it",
    "rope-finished": "the rope on board comes so worn that the criteria end it today",
    "earlier-trades": "the rope on board comes from earlier trades; ropes compared, and tails, are taken as new",
    "case-over-card": "a value typed in the case wins over another one that the card has from a test or a standard",
    "card-shadows-shipped": "a card of the study takes the place of a shipped card of the same name",
}


@dataclass(frozen=True)
class Finding:
    """One finding: stable code, severity, the sentence, and what it is about."""

    code: str
    severity: Severity
    text: str
    about: str = ""

    def __post_init__(self) -> None:
        if self.code not in CATALOGUE:
            raise ValueError(f"finding code {self.code!r} is not in the catalogue")


def worst_first(findings: list[Finding]) -> list[Finding]:
    """The findings without repeats, refused before caution before note, else in order."""
    rank = {"refused": 0, "caution": 1, "note": 2}
    return sorted(dict.fromkeys(findings), key=lambda finding: rank[finding.severity])
