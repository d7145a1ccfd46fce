"""External abrasion at sliding contacts: strength follows lost area."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from linewright.assessment.draws import Draws
from linewright.assessment.exposure import Exposure, RateTable
from linewright.physics import wear


class Abrasion:
    """Archard wear of the patch; the mid-arc place stands for the whole arc."""

    name = "abrasion"

    def needs(self, words: Mapping[str, str]) -> tuple[str, ...]:
        """The wear coefficient of the fibre."""
        return ("wear_coefficient",)

    def rate(self, exposure: Exposure, draws: Draws) -> RateTable:
        """Lost area per hour over the packed area of fibre and voids alike."""
        core = exposure.temperatures.core
        loss = np.zeros((core.shape[0], core.shape[1], 1, core.shape[3]))
        area = np.pi * draws.of("diameter", 2) ** 2 / 4.0
        for number, part in enumerate(exposure.loads):
            if part.contact.turns:
                continue
            rough = draws.of("wear_coefficient", 2) * draws.of(part.contact.key("roughness"), 2)
            gear = part.contact.key("chafe_gear")
            rough = rough * draws.of(gear, 2) if draws.has(gear) else rough
            lost = wear.abrasion_area_rate(rough, part.sliding, part.friction, part.arc)
            loss[..., 0, 3 * number + 1] = 3600.0 * lost / area
        return RateTable(loss, "wear", None)
