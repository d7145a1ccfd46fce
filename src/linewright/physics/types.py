"""The array type that all physics speaks."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Real = float | Array
Index = npt.NDArray[np.intp]
Flags = npt.NDArray[np.bool_]

BOLTZMANN = 1.380649e-23  # [J/K], exact in the SI
GAS_CONSTANT = 8.31446261815324  # [J/(mol K)], exact in the SI
STEFAN_BOLTZMANN = 5.670374419e-8  # [W/(m2 K4)], CODATA 2018
ZERO_CELSIUS = 273.15  # [K]
GRAVITY = 9.80665  # [m/s2]
