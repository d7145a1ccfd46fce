"""Dew point of warmer air at the same relative humidity, against a table and the pressure of saturation."""

import numpy as np
import pytest

from linewright.base.units import ZERO_CELSIUS
from linewright.physics.film import saturation_density
from linewright.physics.humidity import warmed_dew_point


@pytest.mark.parametrize(("air", "dew"), [(20.0, 9.3), (25.0, 13.9), (35.0, 23.0)])
def test_dew_point_when_air_of_half_humidity_warms_is_that_of_the_table(air: float, dew: float) -> None:
    # Tables of dew points (from memory): at 50 % and 30 C 18.4 C, at 20 C 9.3, 25 C 13.9, 35 C 23.0 C.
    found = warmed_dew_point(30.0 + ZERO_CELSIUS, 18.4 + ZERO_CELSIUS, air - 30.0)
    assert found - ZERO_CELSIUS == pytest.approx(dew, abs=0.1)


def test_dew_point_when_air_warms_keeps_the_relative_humidity() -> None:
    def pressure(temperature):
        return saturation_density(temperature) * temperature  # [K kg/m3]: in proportion to the pressure

    air = np.array([260.0, 288.0, 305.0, 315.0])
    dew = np.array([255.0, 288.0, 290.0, 300.0])
    for rise in (-5.0, 0.0, 4.0):
        warmer = warmed_dew_point(air, dew, rise)
        assert pressure(warmer) / pressure(air + rise) == pytest.approx(pressure(dew) / pressure(air), rel=1e-9)
        assert (warmer <= air + rise + 1e-9).all()
