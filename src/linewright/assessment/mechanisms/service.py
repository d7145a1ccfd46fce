"""Service wear: what drum, deck and hooks take from the whole rope at every call, as a practice card tells it."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from linewright.assessment.draws import Draws
from linewright.assessment.exposure import Exposure, RateTable


class Service:
    """A loss per call that no law here gives; assessed with abrasion where the practice card has the datum."""

    name = "service"

    def needs(self, words: Mapping[str, str]) -> tuple[str, ...]:
        """Loss of ln strength per call."""
        return ("service_wear",)

    def rate(self, exposure: Exposure, draws: Draws) -> RateTable:
        """The call's loss spread over its hours alongside, the same at every metre."""
        hours = np.array([berth.hours_per_call for berth in exposure.duty.berths])
        per_hour = draws.of("service_wear", 2) / np.maximum(hours, 1e-9)
        return RateTable(np.asarray(per_hour)[..., None, None], "everywhere", None)
