"""The quantities that a case types: kind, bounds, and the words for what is needed."""

from __future__ import annotations

import math
from typing import Annotated

from linewright.base.form import Bounds, Typed, typed

HOUR = 3600.0

Share = Annotated[Typed, typed("fraction", Bounds('a share from 0 to 100 %, e.g. "25 %"', 0.0, 1.0))]
Wetness = Annotated[Typed, typed("fraction", Bounds("a wet share from 0 to 1", 0.0, 1.0))]
Limit = Annotated[Typed, typed("fraction", Bounds("more than 0 and at most 1", most=1.0, above=0.0))]
Left = Annotated[Typed, typed("fraction", Bounds("more than 0 and at most 99 %", most=0.99, above=0.0))]
Latitude = Annotated[Typed, typed("angle", Bounds("a latitude from -90 to 90 deg", -math.pi / 2, math.pi / 2))]
Longitude = Annotated[Typed, typed("angle", Bounds("a longitude from -180 to 180 deg", -math.pi, math.pi))]
Margin = Annotated[Typed, typed("number", Bounds("a margin more than 0 and at most 100", most=100.0, above=0.0))]
Age = Annotated[Typed, typed("duration", Bounds("an age more than 0 and at most 100 years", most=3.2e9, above=0.0))]
Calls = Annotated[Typed, typed("number", Bounds("calls a year from 0 to 1e6", 0.0, 1e6))]
Stay = Annotated[Typed, typed("duration", Bounds("hours a call from 0 to 8784 h", 0.0, 8784.0 * HOUR))]
Period = Annotated[Typed, typed("duration", Bounds("a period from 0.01 s to 1e6 s", 0.01, 1e6))]
Motion = Annotated[Typed, typed("length", Bounds("a motion from 0 to 100 m", 0.0, 100.0))]
Height = Annotated[Typed, typed("length", Bounds("a significant height from 0 to 30 m", 0.0, 30.0))]
Peakedness = Annotated[Typed, typed("number", Bounds("a peakedness from 1 to 20", 1.0, 20.0))]
ForceResponse = Annotated[Typed, typed("force_per_length", Bounds("a response from 0 to 1e5 kN/m", 0.0, 1e8))]
MotionResponse = Annotated[Typed, typed("motion_per_wave", Bounds("a response from 0 to 20 m/m", 0.0, 20.0))]
Distance = Annotated[Typed, typed("length", Bounds("a length more than 0 and at most 10 km", most=1e4, above=0.0))]
Inboard = Annotated[
    Typed, typed("length", Bounds("a length more than 0 and at most 10 km", most=1e4, above=0.0, band=True))
]
Payout = Annotated[Typed, typed("length", Bounds("a length from 0 to 1 km", 0.0, 1e3, band=True))]
Radius = Annotated[Typed, typed("length", Bounds("a bend radius from 5 mm to 3 m", 0.005, 3.0, band=True))]
Wrap = Annotated[
    Typed, typed("angle", Bounds("a wrap angle from 1 to 360 deg", math.radians(1.0), 2.0 * math.pi + 1e-9, band=True))
]
Diameter = Annotated[Typed, typed("length", Bounds("a diameter from 5 mm to 500 mm", 0.005, 0.5, band=True))]
Mass = Annotated[Typed, typed("mass_per_length", Bounds("a mass from 0.01 to 200 kg/m", 0.01, 200.0, band=True))]
Strength = Annotated[Typed, typed("force", Bounds("a break force from 1 kN to 1e6 kN", 1e3, 1e9, band=True))]
ShipStrength = Annotated[Typed, typed("force", Bounds("a break load from 1 kN to 1e6 kN", 1e3, 1e9))]
