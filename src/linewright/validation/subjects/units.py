"""Units as typed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linewright.base.units import ZERO_CELSIUS, parse

Inputs = Mapping[str, Any]


def forces(given: Inputs) -> dict[str, Any]:
    """Forces in N."""
    return {text: parse(text, "force") for text in given["texts"]}


def speeds_and_lengths(given: Inputs) -> dict[str, Any]:
    """Speeds in m/s and lengths in m."""
    speeds = {text: parse(text, "speed") for text in given["speeds"]}
    return {**speeds, **{text: parse(text, "length") for text in given["lengths"]}}


def temperatures(given: Inputs) -> dict[str, Any]:
    """Temperatures in degC."""
    return {text: parse(f"{text.split()[0]} degF", "temperature") - ZERO_CELSIUS for text in given["texts"]}


SUBJECTS = {part.__name__: part for part in (forces, speeds_and_lengths, temperatures)}
