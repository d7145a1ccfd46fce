"""How much longer a line becomes for good: what a crew sees on a tape."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from linewright.assessment.draws import Draws
from linewright.assessment.duty import Duty
from linewright.assessment.life import YearlyRates
from linewright.assessment.rope import Subject
from linewright.physics import creep
from linewright.physics.types import Array

LOAD, START = 0.30, 3600.0  # load of the log-time datum [LDBF]; the first hour beds the rope in [s]


def lengthening(
    draws: Draws, subject: Subject, over: tuple[Sequence[tuple[Duty, float]], Sequence[float]], rates: YearlyRates,
    kept: Array,
) -> Array:  # fmt: skip
    """Lengthening of the loaded line at ages since new, shape (s, ages) [m].

    `over` are the duties with their years, and the ages; `kept` the ln losses there, shape (s, ages, M, Q). Creep of
    the free span counts over the whole length: the hotter decimetres at contacts add nothing that a tape would show.
    """
    duties, ages = over
    line = subject.line
    length = line.tail.length if subject.is_tail and line.tail else line.inboard_length.value + line.outboard_length
    if rates.creep >= 0 and subject.words["creep_law"] == "activated":
        strain = kept[:, :, rates.creep, -1] / rates.unit[:, None, rates.creep] * rates.strain[:, None]
        return np.asarray(length * strain)
    shape = kept.shape[:2]
    if not draws.has("creep_strain_per_decade"):
        return np.zeros(shape)
    hours, mean = _loaded(duties, ages)
    share = mean / draws.of("design_break_force", 2) / LOAD
    longer = creep.log_time_strain(draws.of("creep_strain_per_decade", 2), 3600.0 * hours, START)
    return np.broadcast_to(length * share * longer, shape)


def _loaded(duties: Sequence[tuple[Duty, float]], ages: Sequence[float]) -> tuple[Array, Array]:
    """Hours under load at each age [h] and the mean tension over them [N], shape (1, ages) each."""
    hours, work, age = np.zeros(len(ages)), np.zeros(len(ages)), 0.0
    for duty, years in duties:
        here = np.clip(np.asarray(ages) - age, 0.0, years)
        hours += here * duty.hours.sum()
        work += here * float(np.sum(duty.hours * duty.mean))
        age += years
    return hours[None], (work / np.maximum(hours, 1e-9))[None]
