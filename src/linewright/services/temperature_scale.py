"""The one temperature scale, 0 to 80 C: the same colour is always the same temperature."""

from __future__ import annotations

import numpy as np

from linewright.physics.types import Array

LAST = 80.0
STEPS = ("#dff0f9", "#dbdcad", "#e4bb60", "#e79130", "#da6823", "#c04230", "#9c2837", "#721b38", "#471635")
_LMS = np.array([
    [0.4122214708, 0.5363325363, 0.0514459929],
    [0.2119034982, 0.6806995451, 0.1073969566],
    [0.0883024619, 0.2817188376, 0.6299787005],
])  # fmt: skip
_LAB = np.array([
    [0.2104542553, 0.7936177850, -0.0040720468],
    [1.9779984951, -2.4285922050, 0.4505937099],
    [0.0259040371, 0.7827717662, -0.8086757660],
])  # fmt: skip


def _lab(colour: str) -> Array:
    """A hex colour in OKLab."""
    share = np.array([int(colour[at : at + 2], 16) / 255.0 for at in (1, 3, 5)])
    linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    return np.asarray(_LAB @ np.cbrt(_LMS @ linear))


def _hex(lab: Array) -> str:
    linear = np.clip(np.linalg.solve(_LMS, np.linalg.solve(_LAB, lab) ** 3), 0.0, 1.0)
    share = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
    return "#" + "".join(f"{round(255 * float(part)):02x}" for part in share)


def colour(celsius: float) -> str:
    """Colour of a temperature [degC], interpolated in OKLab; outside 0 to 80 the end colour stays."""
    at = min(max(celsius, 0.0), LAST) / LAST * (len(STEPS) - 1)
    low = min(int(at), len(STEPS) - 2)
    first, second = _lab(STEPS[low]), _lab(STEPS[low + 1])
    return _hex(first + (at - low) * (second - first))


def gradient(steps: int = 16) -> str:
    """The scale from 0 to 80 C as colour stops of a style sheet."""
    return ", ".join(f"{colour(LAST * n / steps)} {100.0 * n / steps:g}%" for n in range(steps + 1))
