"""All subjects by name: the one list that case files choose from."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from linewright.validation.subjects import (
    bending,
    contact,
    correlations,
    creep,
    cycles,
    fatigue,
    field,
    field_limits,
    heat,
    life,
    practice,
    response,
    running,
    spectra,
    statistics,
    surroundings,
    units,
)

Subject = Callable[[Mapping[str, Any]], dict[str, Any]]

SUBJECTS: dict[str, Subject] = {
    **heat.SUBJECTS,
    **surroundings.SUBJECTS,
    **correlations.SUBJECTS,
    **field.SUBJECTS,
    **field_limits.SUBJECTS,
    **response.SUBJECTS,
    **running.SUBJECTS,
    **contact.SUBJECTS,
    **cycles.SUBJECTS,
    **creep.SUBJECTS,
    **fatigue.SUBJECTS,
    **spectra.SUBJECTS,
    **bending.SUBJECTS,
    **statistics.SUBJECTS,
    **units.SUBJECTS,
    **life.SUBJECTS,
    **practice.SUBJECTS,
}
