"""Correlations for films, row by row of their tables, and heat balances of a warm cylinder with them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from linewright.base.units import ZERO_CELSIUS
from linewright.physics import film, sun
from linewright.physics.film_forms import FORCED, FREE, MIXED, YAW, Form, Forms

Inputs = Mapping[str, Any]


def _numbers(table: Mapping[str, Form], number: Any, prandtl: Any) -> dict[str, Any]:
    """Nusselt numbers of all rows of a table, outside of their ranges too."""
    return {
        "Nu_" + name.title().replace("-", "_"): form.law(np.asarray(number), prandtl) for name, form in table.items()
    }


def forced_convection(given: Inputs) -> dict[str, Any]:
    """Forced convection of a cylinder."""
    return _numbers(FORCED, given["Re"], given["Pr"])


def forced_convection_example(given: Inputs) -> dict[str, Any]:
    """The textbook's cylinder in cross-flow: one form with air of the stream, one with air of the film."""
    stream = FORCED["zukauskas"].law(given["Re_stream"], given["Pr_stream"])
    at_film = FORCED["churchill-bernstein"].law(given["Re_film"], given["Pr_film"])
    hilpert = FORCED["hilpert"].law(given["Re_film"], given["Pr_film"])
    return {
        "Nu_Zukauskas": stream, "h_Zukauskas": stream * given["k_stream"] / given["d"],
        "Nu_Churchill_Bernstein": at_film, "h_Churchill_Bernstein": at_film * given["k_film"] / given["d"],
        "Nu_Hilpert": hilpert, "h_Hilpert": hilpert * given["k_film"] / given["d"],
    }  # fmt: skip


def free_convection(given: Inputs) -> dict[str, Any]:
    """Free convection by Grashof number."""
    return _numbers(FREE, given["Gr"] * given["Pr"], given["Pr"])


def free_convection_of_rope(given: Inputs) -> dict[str, Any]:
    """Free convection of a rope in air of given properties: at the published Rayleigh number, and the film from it."""
    number = FREE["churchill-chu"].nusselt(given["Ra"], given["nu"] / given["alpha"])
    return {"Nu": number, "h": number * given["k_air"] / given["D"]}


def turned_wind(given: Inputs) -> dict[str, Any]:
    """Share of the Nusselt number that a wind at an angle to the axis leaves."""
    angle = np.radians(np.array(given["angle"]))
    return {name: turn.law(angle) for name, turn in YAW.items()}


def mixed_convection(given: Inputs) -> dict[str, Any]:
    """Forced and free convection together."""
    return {name: blend.law(np.array(given["forced"]), np.array(given["free"])) for name, blend in MIXED.items()}


def conductor(given: Inputs) -> dict[str, Any]:
    """Balance of a warm cylinder in wind and sun, by the forms of a standard and by our own for a smooth one."""
    own = Forms(given["forced"], given["free"], given["yaw"], "larger")
    by_standard = _losses(given, own)
    smooth = {f"smooth {name}": value for name, value in _losses(given, film.USUAL).items()}
    number = FORCED[given["forced"]].law(given["Re"], given["Pr"])
    turned = number * YAW[given["yaw"]].law(np.radians(given["angle"]))
    across = {
        "Nu across": number,
        "Nu": turned,
        "Nu free": FREE[given["free"]].law(given["Gr"] * given["Pr"], given["Pr"]),
    }
    return {**across, **by_standard, **smooth}


def _losses(given: Inputs, forms: Forms) -> dict[str, Any]:
    """Heat per metre by wind, still air and radiation, absorbed sun, and the current that makes up the rest."""
    surface, around = given["T_s"] + ZERO_CELSIUS, given["T_air"] + ZERO_CELSIUS
    per_metre = np.pi * given["d"] * (surface - around)

    def convection(wind: float) -> float:
        angle = np.radians(given["angle"])
        found = film.convection_coefficient(given["d"], wind, surface, around, angle, given["pressure"], forms)
        return float(per_metre * found)

    windy, still = convection(given["wind"]), convection(0.0)
    radiation = float(per_metre * film.radiation_coefficient(given["eps"], surface, around))
    absorbed = sun.absorbed_sun(given["alpha"], given["d"], 1.0, given["sun"], (0.0, 0.0, 0.0))
    left = windy + radiation - absorbed
    return {"wind": windy, "still air": still, "radiation": radiation, "sun": absorbed, "balance": left,
            "current": np.sqrt(left / given["R"])}  # fmt: skip


SUBJECTS = {
    part.__name__: part
    for part in (
        forced_convection, forced_convection_example, free_convection, free_convection_of_rope, turned_wind,
        mixed_convection, conductor,
    )
}  # fmt: skip
