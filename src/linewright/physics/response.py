"""Unit responses of a long round rope to heat at a contact, from its exact series solution.

The rope is a cylinder of radius R with conductivities k_r across and k_z along, and one film
coefficient h. Scaled lengths (rho = r/R, zeta = z/(R alpha), alpha = sqrt(k_z/k_r)) make it
isotropic, so that every response depends on Bi = h R/k_r, on the scaled arc a' = a/(R alpha) and,
for the patch's own face, on the contact half-angle f. The table is made once a process.

With s = Q/(pi k_r R alpha) and D = Bi I0(kappa) + kappa I1(kappa), in the axial wave number kappa:
    heat through the section   s/kappa^2 [1 - Bi I0(kappa rho)/D]
    flux through the patch     (s/2) sinc(kappa a'/2) I0(kappa rho)/D      (mean round the rope)
    patch face, waves cos n p  (s/2) sinc^2(..) 2 [sin(n f)/(n f)]^2 / (kappa In'/In + Bi)
The section mean takes 2 I1(kappa)/kappa for I0(kappa rho), the face I0(kappa), the core 1. Heat that a stroke spreads
about a tangent, and the bare face beside it, come from `modes`.
"""

from __future__ import annotations

import functools
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy import special

from linewright.physics import modes as along_rope
from linewright.physics.types import Array, Index, Real

BIOT = np.geomspace(0.02, 200.0, 34)
ARC = np.geomspace(0.03, 60.0, 34)
HALF_ANGLE = np.array([0.1, 0.17, 0.25, 0.4, 0.55, 0.7, 0.9, 1.15, 1.6])
MODES = 700
WAVES = 60
LEAST = 1e-300  # below what a far tangent gets, so that its logarithm is a number
NAMES = (
    "patch_mid_core", "patch_mid_mean", "patch_tangent_core", "patch_tangent_mean",
    "arc_mid_core", "arc_mid_mean", "arc_tangent_core", "arc_tangent_mean", "face_arc", "face_even",
)  # fmt: skip


@dataclass(frozen=True)
class Response:
    """Rises per watt at the tangent points and mid-arc of one contact, shape (...) each.

    `self`, `mid`, `cross`: heat through the section that the stroke spreads about one tangent point, seen there, at
    mid-arc and at the other tangent point. `patch_...`: flux through the patch, `arc_...`: heat through the section
    along the arc, each seen at mid-arc and at a tangent point.

    Attributes
    ----------
    core : rise of the core, by name [K/W]
    mean : rise of the section mean, by name [K/W]
    face : mean rise of the patch's face by bend, arc and patch heat [K/W]
    skin : rise of the face at a tangent point, mean round the rope, by name [K/W]
    """

    core: dict[str, Array]
    mean: dict[str, Array]
    face: dict[str, Array]
    skin: dict[str, Array]


def _series(biot: float, arc: float) -> Array:
    """All axisymmetric responses in units of s, for one Bi and one scaled arc."""
    decay = float(np.sqrt(2.0 * biot / (1.0 + biot / 4.0)))
    box = arc + 14.0 / decay
    kappa = np.pi * np.arange(1, MODES) / box
    i0, i1 = special.i0e(kappa), special.i1e(kappa)
    d = biot * i0 + kappa * i1
    scale = np.exp(-kappa)
    core_flux, mean_flux, face_flux = scale / d, 2.0 * i1 / (kappa * d), i0 / d
    volume = [1.0 / kappa**2 * (1.0 - biot * flux) for flux in (core_flux, mean_flux, face_flux)]
    zero_volume = [0.25 + 0.5 / biot, 0.125 + 0.5 / biot, 0.5 / biot]
    half = np.sinc(kappa * arc / (2.0 * np.pi))

    def spread(index: int, weight: Array) -> float:
        return float((0.5 * zero_volume[index] + np.sum(volume[index] * weight)) / box)

    def patch(flux: Array, weight: Array) -> float:
        return float(0.5 * (0.5 / biot + np.sum(flux * weight)) / box)

    at_end = half * np.cos(kappa * arc / 2.0)
    return np.array([
        patch(core_flux, half), patch(mean_flux, half), patch(core_flux, at_end), patch(mean_flux, at_end),
        spread(0, half), spread(1, half), spread(0, at_end), spread(1, at_end), spread(2, half**2),
        patch(face_flux, half**2),
    ])  # fmt: skip


def _waves() -> Array:
    """The part of the patch face's rise that varies round the rope, in s, shape (Bi, arc, half-angle)."""
    nodes, weights = np.polynomial.legendre.leggauss(300)
    log_kappa = 0.5 * (nodes + 1.0) * np.log(1e6) + np.log(1e-3)
    kappa = np.exp(log_kappa)
    measure = weights * 0.5 * np.log(1e6) * kappa / np.pi
    measure[0] += 1e-3 / np.pi  # the waves that are longer still
    n = np.arange(1, WAVES + 1)[:, None]
    ratio = kappa * special.ive(n - 1, kappa) / special.ive(n, kappa) - n
    impedance = 1.0 / (ratio[None] + BIOT[:, None, None])
    sinc2 = np.sinc(kappa[None, :] * ARC[:, None] / (2.0 * np.pi)) ** 2 * measure
    angle = n.T[None] * HALF_ANGLE[:, None, None]
    shape = 2.0 * (np.sin(angle) / angle) ** 2
    along = np.einsum("bnk,ak->ban", impedance, sinc2)
    return np.asarray(0.5 * np.einsum("ban,fn->baf", along, shape[:, 0, :]))


@functools.lru_cache(maxsize=1)
def _table() -> tuple[Array, Array]:
    """Logarithms of the series: (Bi, arc, name), and of the face's waves (Bi, arc, half-angle)."""
    even = np.array([[_series(float(biot), float(arc)) for arc in ARC] for biot in BIOT])
    return np.log(even), np.log(_waves())


def _locate(grid: Array, value: Array) -> tuple[Index, Array]:
    """Lower index and fraction of values on a rising grid, held at its ends."""
    position = np.clip(np.interp(value, grid, np.arange(len(grid))), 0.0, len(grid) - 1.000001)
    index = position.astype(np.intp)
    return index, position - index


def response(
    radius: Real, arc: Real, half_angle: Real, conductivity: tuple[Real, Real], film: Real, stroke: Real = 0.0
) -> Response:
    """Unit responses of a contact; the series are interpolated in the table (error below 0.5 %).

    Parameters
    ----------
    radius : radius of the rope [m]
    arc : length of rope on the contact [m]
    half_angle : half of the circumference angle that touches, 0.1 to 1.6 [rad]
    conductivity : across and along the rope, in this order [W/(m K)]
    film : total film coefficient [W/(m2 K)]
    stroke : length about a tangent point that its bending heat spreads over, 0 for a plane [m]

    Returns
    -------
    rises per watt, all of the common shape of the arguments [K/W]

    From
    ----
    Fourier and Bessel series of the heat equation in a cylinder (Carslaw and Jaeger 1959, ch. VIII);
    derivation in docs/explanation/temperature.md. Validation: profile-limits, profile-balance.
    """
    across, along = conductivity
    alpha = np.sqrt(along / across)
    log_biot = np.log(film * radius / across)
    log_arc = np.log(arc / (radius * alpha))
    log_biot, log_arc, angle = np.broadcast_arrays(log_biot, log_arc, half_angle)
    even, waves = _table()
    i, u = _locate(np.log(BIOT), log_biot)
    j, v = _locate(np.log(ARC), log_arc)
    k, w = _locate(HALF_ANGLE, angle)
    flat = even.reshape(-1, even.shape[-1])
    base = i * len(ARC) + j
    corners = (
        ((1 - u) * (1 - v), base),
        ((1 - u) * v, base + 1),
        (u * (1 - v), base + len(ARC)),
        (u * v, base + len(ARC) + 1),
    )
    logs = sum(weight[..., None] * flat[index] for weight, index in corners)
    wave_log = 0.0
    for weight, index in corners:
        cell = waves.reshape(-1, len(HALF_ANGLE))
        wave_log = wave_log + weight * ((1 - w) * cell[index, k] + w * cell[index, k + 1])
    unit = 1.0 / (np.pi * across * radius * alpha)
    thinner = np.minimum(ARC[-1] / np.exp(log_arc), 1.0)  # beyond the table heat per watt spreads over the arc
    values = {name: np.exp(logs[..., n]) * unit * thinner for n, name in enumerate(NAMES)}
    values["face_patch"] = values["face_even"] + np.exp(wave_log) * unit * thinner
    values.update(_bent(along_rope.modes(radius, conductivity, film), radius, arc, stroke))
    return _sorted(values)


def _bent(own: along_rope.Modes, radius: Real, arc: Real, stroke: Real) -> dict[str, Array]:
    """Responses to heat that the stroke spreads about a tangent, and those of the face at a tangent, by name."""
    strip = np.maximum(stroke, along_rope.SHORTEST * radius)
    falls = {
        name: along_rope.at_point(own.rate, share * arc, strip)
        for name, share in (("self", 0.0), ("mid", 0.5), ("cross", 1.0))
    }
    found = {}
    for place, share in (("core", own.axis), ("mean", own.mean)):
        found.update({f"{name}_{place}": own.seen(own.mean * share, fall) for name, fall in falls.items()})
    end = along_rope.at_point(own.rate, 0.5 * arc, arc)
    found["face_bend"] = own.seen(own.mean * own.face, along_rope.over_arc(own.rate, 0.5 * arc, strip, arc))
    found.update({f"{name}_skin": own.seen(own.mean * own.face, falls[name]) for name in ("self", "cross")})
    found["arc_tangent_skin"] = own.seen(own.mean * own.face, end)
    found["patch_tangent_skin"] = own.seen(own.face**2, end) + own.rest / arc
    return {name: np.maximum(values, LEAST) for name, values in found.items()}


def response_along(
    radius: Real, arc: Real, half_angle: Real, conductivity: tuple[Real, Real], film: Array, stroke: Real = 0.0
) -> Response:
    """`response` along a last axis of film coefficients, by a parabola in logarithms through three of them.

    Parameters
    ----------
    radius : radius of the rope, last axis of length 1 [m]
    arc : length of rope on the contact, last axis of length 1 [m]
    half_angle : half of the circumference angle that touches, last axis of length 1 [rad]
    conductivity : across and along the rope, in this order [W/(m K)]
    film : total film coefficient, shape (..., H) [W/(m2 K)]
    stroke : as in `response`, last axis of length 1 [m]

    Returns
    -------
    rises per watt, shape (..., H) [K/W]

    From
    ----
    Responses are smooth in ln h: over a factor 4 of h the parabola is within 0.3 % of `response`.
    """
    nodes, along = over_films(film)
    three = response(radius, arc, half_angle, conductivity, nodes, stroke)
    parts = (three.core, three.mean, three.face, three.skin)
    return Response(*({name: along(values) for name, values in part.items()} for part in parts))


def over_films(film: Array) -> tuple[Array, Callable[[Array], Array]]:
    """Three films on the range of a last axis, and what brings values above 0 from them to all films.

    Parameters
    ----------
    film : total film coefficient, shape (..., H) [W/(m2 K)]

    Returns
    -------
    films of shape (..., 3) [W/(m2 K)], and a function from (..., 3) to (..., H) [-]

    From
    ----
    Parabola in logarithms through three points.
    """
    log_film = np.log(film)
    low, high = log_film.min(axis=-1, keepdims=True), log_film.max(axis=-1, keepdims=True)
    high = np.maximum(high, low + 1e-3)
    x = 2.0 * (log_film - low) / (high - low) - 1.0
    weights = (0.5 * x * (x - 1.0), 1.0 - x * x, 0.5 * x * (x + 1.0))

    def along(values: Array) -> Array:
        logs = np.log(values)
        return np.exp(sum(weight * logs[..., n : n + 1] for n, weight in enumerate(weights)))

    return np.exp(np.concatenate([low, 0.5 * (low + high), high], axis=-1)), along


def _sorted(values: dict[str, Array]) -> Response:
    core, mean, skin = (
        {name.removesuffix(end): array for name, array in values.items() if name.endswith(end)}
        for end in ("_core", "_mean", "_skin")
    )
    face = {name.removeprefix("face_"): array for name, array in values.items() if name.startswith("face_")}
    return Response(core, mean, {name: face[name] for name in ("bend", "arc", "patch")}, skin)
