"""Correlations for the film of a cylinder in air: one table each for forced, free, yawed and mixed convection.

The tables are the dispatch: whoever needs a Nusselt number takes a row by its name. A row says where it
comes from, where it holds and which validation case checks it. The first row of a table is the default.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass

import numpy as np

from linewright.physics.types import Array, Flags, Real

ANY = (0.0, np.inf)
AIR = (0.68, 0.75)  # Prandtl numbers of air; forms measured in air alone do not say how they depend on it
FROM_AIR = 0.68  # "Prandtl 0.7 and more" means air and denser fluids [-]
SMOOTH, STRANDED = "smooth", "stranded"


@dataclass(frozen=True)
class Form:
    """A correlation for the Nusselt number on the diameter.

    Attributes
    ----------
    law : Nusselt number of Reynolds (forced) or Rayleigh number (free) and Prandtl number [-]
    holds : lowest and highest Reynolds or Rayleigh number of its measurements [-]
    prandtl : lowest and highest Prandtl number [-]
    source : where it comes from [-]
    check : validation case with a published value [-]
    surface : of the cylinders that were measured, smooth or stranded [-]
    at_stream : whether air is taken at the temperature of the stream instead of the film's [-]
    """

    law: Callable[[Real, Real], Real]
    holds: tuple[float, float]
    prandtl: tuple[float, float]
    source: str
    check: str
    surface: str = SMOOTH
    at_stream: bool = False

    def valid(self, number: Real, prandtl: Real) -> Flags:
        """Whether Reynolds or Rayleigh number and Prandtl number lie where the form was measured."""
        return np.asarray(
            (np.asarray(number) >= self.holds[0]) & (np.asarray(number) <= self.holds[1])
            & (np.asarray(prandtl) >= self.prandtl[0]) & (np.asarray(prandtl) <= self.prandtl[1])
        )  # fmt: skip

    def nusselt(self, number: Real, prandtl: Real) -> Real:
        """Nusselt number. ValueError outside the form's range."""
        self.require(self.valid(number, prandtl), number, prandtl)
        return self.law(number, prandtl)

    def up_to_its_end(self, number: Real, prandtl: Real) -> Real:
        """Nusselt number, below the form's range by its own law. ValueError above the range.

        In calm air the forced part falls below 1 and vanishes beside the free part, whatever its law.
        """
        self.require(self.valid(np.maximum(number, self.holds[0]), prandtl), number, prandtl)
        return self.law(number, prandtl)

    def require(self, valid: Flags, number: Real, prandtl: Real) -> None:
        """Refuse what is not valid, with the range that is. ValueError."""
        if not np.all(valid):
            read = f"{np.min(number):.4g} to {np.max(number):.4g} at Prandtl {np.min(prandtl):.3g}"
            raise ValueError(
                f"the form holds for {self.holds[0]:g} to {self.holds[1]:g} at Prandtl {self.prandtl[0]:g} to "
                f"{self.prandtl[1]:g}; read {read}: take another form ({self.source})"
            )


@dataclass(frozen=True)
class Turn:
    """What is left of the Nusselt number when the wind does not blow across.

    Attributes
    ----------
    law : share of the Nusselt number across, of the angle between wind and axis, 0 to pi/2 in radians [-]
    source : where it comes from [-]
    check : validation case with a published value [-]
    """

    law: Callable[[Real], Real]
    source: str
    check: str


@dataclass(frozen=True)
class Blend:
    """Forced and free convection together.

    Attributes
    ----------
    law : Nusselt number of the forced and the free one [-]
    source : where it comes from [-]
    check : validation case [-]
    """

    law: Callable[[Real, Real], Real]
    source: str
    check: str


def _powers(number: Real, *pieces: tuple[float, float, float]) -> Real:
    """C x^m in pieces: from which number on, C, m."""
    starts, factors, exponents = (np.array(column) for column in zip(*pieces, strict=True))
    piece = np.maximum(np.searchsorted(starts, number, side="right") - 1, 0)
    return factors[piece] * np.power(number, exponents[piece])


def _churchill_bernstein(reynolds: Real, prandtl: Real) -> Real:
    base = 0.62 * np.sqrt(reynolds) * np.cbrt(prandtl) / (1.0 + (0.4 / prandtl) ** (2.0 / 3.0)) ** 0.25
    return 0.3 + base * (1.0 + (reynolds / 282000.0) ** 0.625) ** 0.8


def _zukauskas(reynolds: Real, prandtl: Real) -> Real:
    exponent = np.where(np.asarray(prandtl) <= 10.0, 0.37, 0.36)
    law = _powers(reynolds, (1.0, 0.75, 0.4), (40.0, 0.51, 0.5), (1e3, 0.26, 0.6), (2e5, 0.076, 0.7))
    return law * np.power(prandtl, exponent)


def _hilpert(reynolds: Real, prandtl: Real) -> Real:
    pieces = (0.4, 0.989, 0.33), (4.0, 0.911, 0.385), (40.0, 0.683, 0.466), (4e3, 0.193, 0.618), (4e4, 0.027, 0.805)
    return _powers(reynolds, *pieces) * np.cbrt(prandtl)


def _whitaker(reynolds: Real, prandtl: Real) -> Real:
    return (0.4 * np.sqrt(reynolds) + 0.06 * np.cbrt(reynolds) ** 2) * np.power(prandtl, 0.4)


def _sanitjai_goldstein(reynolds: Real, prandtl: Real) -> Real:
    calm = 6.5**-5.0 * np.exp(-np.asarray(reynolds) / 1000.0)
    late = (calm + (0.031 * np.power(reynolds, 0.8)) ** -5.0) ** -0.2
    return 0.446 * np.sqrt(reynolds) * np.power(prandtl, 0.35) + 0.528 * late * np.power(prandtl, 0.42)


def _perkins_leppert(reynolds: Real, prandtl: Real) -> Real:
    return (0.31 * np.sqrt(reynolds) + 0.11 * np.power(reynolds, 0.67)) * np.power(prandtl, 0.4)


def _cigre_stranded(reynolds: Real, _: Real) -> Real:
    return _powers(reynolds, (100.0, 0.641, 0.471), (2650.0, 0.178, 0.633))


def _cigre_rough(reynolds: Real, _: Real) -> Real:
    return _powers(reynolds, (100.0, 0.641, 0.471), (2650.0, 0.048, 0.8))


def _ieee(reynolds: Real, _: Real) -> Real:
    return np.maximum(1.01 + 1.35 * np.power(reynolds, 0.52), 0.754 * np.power(reynolds, 0.6)) / np.pi


FORCED: Mapping[str, Form] = {
    "churchill-bernstein": Form(
        _churchill_bernstein, (0.3, 1e7), ANY, "Churchill and Bernstein 1977; Re Pr above 0.2", "HT-17"
    ),
    "zukauskas": Form(
        _zukauskas, (1.0, 1e6), (FROM_AIR, 500.0), "Zukauskas 1972; warmth of the wall left out, nil in air", "HT-17",
        at_stream=True,
    ),
    "hilpert": Form(_hilpert, (0.4, 4e5), (FROM_AIR, 500.0), "Hilpert 1933, Knudsen and Katz 1958", "HT-20"),
    "whitaker": Form(_whitaker, (1.0, 1e5), (0.67, 300.0), "Whitaker 1972", "FILM-04", at_stream=True),
    "sanitjai-goldstein": Form(
        _sanitjai_goldstein, (2e3, 9e4), (FROM_AIR, 176.0), "Sanitjai and Goldstein 2004", "FILM-04"
    ),
    "perkins-leppert": Form(
        _perkins_leppert, (2e3, 1.2e5), (1.0, 7.0), "Perkins and Leppert 1964; liquids", "FILM-04", at_stream=True
    ),
    "ieee-738": Form(_ieee, (0.1, 1.8e4), AIR, "IEEE Std 738; range from memory", "FILM-05", STRANDED),
    "cigre-601": Form(
        _cigre_stranded, (100.0, 5e4), AIR, "CIGRE TB 601, fine strands; above Re 2650 from memory", "FILM-06", STRANDED
    ),
    "cigre-601-rough": Form(
        _cigre_rough, (100.0, 5e4), AIR, "CIGRE TB 601, coarse strands; above Re 2650 from memory", "FILM-06", STRANDED
    ),
}  # fmt: skip


def _churchill_chu(rayleigh: Real, prandtl: Real) -> Real:
    return (0.60 + 0.387 * rayleigh ** (1.0 / 6.0) / (1.0 + (0.559 / prandtl) ** (9.0 / 16.0)) ** (8.0 / 27.0)) ** 2


def _morgan(rayleigh: Real, _: Real) -> Real:
    pieces = (1e-10, 0.675, 0.058), (1e-2, 1.02, 0.148), (1e2, 0.85, 0.188), (1e4, 0.48, 0.25), (1e7, 0.125, 0.333)
    return _powers(rayleigh, *pieces)


def _kuehn_goldstein(rayleigh: Real, prandtl: Real) -> Real:
    layer = 0.518 * np.power(rayleigh, 0.25) * (1.0 + (0.559 / prandtl) ** 0.6) ** (-5.0 / 12.0)
    both = (layer**15.0 + (0.1 * np.cbrt(rayleigh)) ** 15.0) ** (1.0 / 15.0)
    return 2.0 / np.log1p(2.0 / np.maximum(both, 1e-9))


FREE: Mapping[str, Form] = {
    "churchill-chu": Form(_churchill_chu, (1e-5, 1e12), ANY, "Churchill and Chu 1975", "FILM-01"),
    "morgan": Form(_morgan, (1e-10, 1e12), (FROM_AIR, np.inf), "Morgan 1975; in CIGRE TB 601 too", "FILM-03"),
    "kuehn-goldstein": Form(_kuehn_goldstein, (1e-2, 1e12), (FROM_AIR, np.inf), "Kuehn and Goldstein 1976", "FILM-03"),
}


def _turn_ieee(angle: Real) -> Real:
    return 1.194 - np.cos(angle) + 0.194 * np.cos(2.0 * angle) + 0.368 * np.sin(2.0 * angle)


def _turn_cigre(angle: Real) -> Real:
    sine = np.abs(np.sin(angle))
    steep = np.asarray(angle) > np.radians(24.0)
    return 0.42 + np.where(steep, 0.58, 0.68) * np.power(sine, np.where(steep, 0.9, 1.08))


YAW: Mapping[str, Turn] = {
    "ieee-738": Turn(_turn_ieee, "IEEE Std 738, from memory", "FILM-07"),
    "cigre-601": Turn(_turn_cigre, "CIGRE TB 601, from memory", "FILM-06"),
}


def _cubic(forced: Real, free: Real) -> Real:
    return np.cbrt(forced**3 + free**3)


def _fourth(forced: Real, free: Real) -> Real:
    return (forced**4 + free**4) ** 0.25


def _larger(forced: Real, free: Real) -> Real:
    return np.maximum(forced, free)


MIXED: Mapping[str, Blend] = {
    "cubic": Blend(_cubic, "Churchill 1977, from memory", "FILM-08"),
    "fourth": Blend(_fourth, "Incropera ch. 9 for flow across a cylinder, from memory", "FILM-08"),
    "larger": Blend(_larger, "IEEE Std 738, CIGRE TB 601", "FILM-05"),
}


@dataclass(frozen=True)
class Forms:
    """Names of the rows that a film coefficient takes.

    Attributes
    ----------
    forced : row of FORCED [-]
    free : row of FREE [-]
    yaw : row of YAW [-]
    mixed : row of MIXED [-]
    """

    forced: str = "churchill-bernstein"
    free: str = "churchill-chu"
    yaw: str = "ieee-738"
    mixed: str = "cubic"

    def __post_init__(self) -> None:
        """Refuse a name that is not in its table."""
        for name, table in (("forced", FORCED), ("free", FREE), ("yaw", YAW), ("mixed", MIXED)):
            if getattr(self, name) not in table:
                raise ValueError(f"no {name} form {getattr(self, name)!r}; there are: {', '.join(table)}")


def spread(
    table: Mapping[str, Form], number: Real, prandtl: float = 0.7, surfaces: Collection[str] = (SMOOTH,)
) -> tuple[Array, Array, Array]:
    """Lowest, default and highest Nusselt number of the forms that hold.

    Parameters
    ----------
    table : FORCED or FREE [-]
    number : Reynolds or Rayleigh number, within the default form's range [-]
    prandtl : Prandtl number [-]
    surfaces : smooth, stranded or both [-]

    Returns
    -------
    lowest, default and highest Nusselt number, each of the shape of `number` [-]

    Raises
    ------
    ValueError : a number outside the default form's range

    From
    ----
    The rows of the table; the first is the default.
    """
    at = np.asarray(number, dtype=float)
    value = np.asarray(next(iter(table.values())).nusselt(at, prandtl))
    rows = [form for form in table.values() if form.surface in surfaces]
    found = [np.where(form.valid(at, prandtl), form.law(at, prandtl), value) for form in rows]
    return np.minimum.reduce(found), value, np.maximum.reduce(found)
