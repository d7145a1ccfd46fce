"""Unit responses of a long round rope to heat at a contact, from its exact series solution.

The rope is a cylinder of radius R with conductivities k_r across and k_z along, and one film
coefficient h. Scaled lengths (rho = r/R, zeta = z/(R alpha), alpha = sqrt(k_z/k_r)) make it
isotropic, so that every response depends on Bi = h R/k_r, on the scaled arc a' = a/(R alpha) and,
for the patch's own face, on the contact half-angle f. The table is made once a process.

With s = Q/(pi k_r R alpha) and D = Bi I0(kappa) + kappa I1(kappa), in the axial wave number kappa:
    heat through the section   s/kappa^2 [1 - Bi I0(kappa rho)/D]
    flux through the patch     (s/2) sinc(kappa a'/2) I0(kappa rho)/D      (mean round the rope)
    patch face, waves cos n p  (s/2) sinc^2(..) 2 [sin(n f)/(n f)]^2 / (kappa In'/In + Bi)
The section mean takes 2 I1(kappa)/kappa for I0(kappa rho), the face I0(kappa), the core 1.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass

import numpy as np
from scipy import special

from linewright.physics.types import Array, Index, Real

BIOT = np.geomspace(0.02, 200.0, 34)
ARC = np.geomspace(0.03, 60.0, 34)
HALF_ANGLE = np.array([0.1, 0.17, 0.25, 0.4, 0.55, 0.7, 0.9, 1.15, 1.6])
PLANE = ("self", "mid", "cross")
FAR = 6.0  # decay lengths beyond which the slowest mode is all there is
MODES = 700
WAVES = 60
NAMES = (
    "self_core", "self_mean", "mid_core", "mid_mean", "cross_core", "cross_mean", "face_bend",
    "patch_mid_core", "patch_mid_mean", "patch_tangent_core", "patch_tangent_mean",
    "arc_mid_core", "arc_mid_mean", "arc_tangent_core", "arc_tangent_mean", "face_arc", "face_even",
)  # fmt: skip


@dataclass(frozen=True)
class Response:
    """Rises per watt at the tangent points and mid-arc of one contact, shape (...) each.

    `self`, `mid`, `cross`: heat through the section at one tangent point, seen there, at mid-arc and
    at the other tangent point. `patch_...`: flux through the patch, `arc_...`: heat through the section
    along the arc, each seen at mid-arc and at a tangent point.

    Attributes
    ----------
    core : rise of the core, by name [K/W]
    mean : rise of the section mean, by name [K/W]
    face : mean rise of the patch's face by bend, arc and patch heat [K/W]
    """

    core: dict[str, Array]
    mean: dict[str, Array]
    face: dict[str, Array]


def _series(biot: float, arc: float) -> Array:
    """All axisymmetric responses in units of s, for one Bi and one scaled arc."""
    decay = float(np.sqrt(2.0 * biot / (1.0 + biot / 4.0)))
    box = arc + 14.0 / decay
    kappa = np.pi * np.arange(1, MODES) / box
    i0, i1 = special.i0e(kappa), special.i1e(kappa)
    d = biot * i0 + kappa * i1
    scale = np.exp(-kappa)
    core_flux, mean_flux, face_flux = scale / d, 2.0 * i1 / (kappa * d), i0 / d
    b2 = decay**2
    volume = [1.0 / kappa**2 * (1.0 - biot * flux) for flux in (core_flux, mean_flux, face_flux)]
    zero_volume = [0.25 + 0.5 / biot, 0.125 + 0.5 / biot, 0.5 / biot]
    half = np.sinc(kappa * arc / (2.0 * np.pi))

    def point(index: int, distance: float) -> float:
        if decay * distance > FAR:
            return _far(biot, distance)[index]
        rest = volume[index] - 1.0 / (kappa**2 + b2)
        smooth = 0.5 * (zero_volume[index] - 1.0 / b2) + np.sum(rest * np.cos(kappa * distance))
        return float(smooth / box + np.exp(-decay * distance) / (2.0 * decay))

    def spread(index: int, weight: Array) -> float:
        return float((0.5 * zero_volume[index] + np.sum(volume[index] * weight)) / box)

    def patch(flux: Array, weight: Array) -> float:
        return float(0.5 * (0.5 / biot + np.sum(flux * weight)) / box)

    at_end = half * np.cos(kappa * arc / 2.0)
    face_bend = spread(2, at_end)
    return np.array([
        point(0, 0.0), point(1, 0.0), point(0, arc / 2.0), point(1, arc / 2.0), point(0, arc), point(1, arc), face_bend,
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
def _roots() -> tuple[Array, Array]:
    """Logarithms of Bi and of the slowest scaled decay rate x, the first root of x J1(x) = Bi J0(x)."""
    biot = np.geomspace(BIOT[0], BIOT[-1], 600)
    low, high = np.full_like(biot, 1e-6), np.full_like(biot, 2.404825)
    for _ in range(60):
        middle = 0.5 * (low + high)
        above = middle * special.j1(middle) > biot * special.j0(middle)
        low, high = np.where(above, low, middle), np.where(above, middle, high)
    return np.log(biot), np.log(0.5 * (low + high))


def _decay(biot: Array) -> Array:
    """Slowest scaled decay rate along the rope."""
    return np.exp(np.interp(np.log(biot), *_roots()))


def _far(biot: float, distance: float) -> tuple[float, float]:
    """Core and mean far from heat through the section: the slowest mode alone, in units of s."""
    x = float(_decay(np.asarray(biot)))
    j0, j1 = float(special.j0(x)), float(special.j1(x))
    core = j1 / (x**2 * (j0**2 + j1**2)) * np.exp(-x * distance)
    return core, core * 2.0 * j1 / x


def _distances(arc: Array) -> Array:
    """Scaled distance from the heat of each response; its decay is taken out of the table, shape (..., name)."""
    share = np.array([{"mid": 0.5, "cross": 1.0}.get(name.rpartition("_")[0], 0.0) for name in NAMES])
    return arc[..., None] * share


@functools.lru_cache(maxsize=1)
def _table() -> tuple[Array, Array]:
    """Logarithms of the responses: (Bi, arc, name), and of the face's waves (Bi, arc, half-angle)."""
    even = np.array([[_series(float(biot), float(arc)) for arc in ARC] for biot in BIOT])
    taken_out = _decay(BIOT)[:, None, None] * _distances(ARC)[None]
    return np.log(np.maximum(even, 1e-300)) + taken_out, np.log(_waves())


def _locate(grid: Array, value: Array) -> tuple[Index, Array]:
    """Lower index and fraction of values on a rising grid, held at its ends."""
    position = np.clip(np.interp(value, grid, np.arange(len(grid))), 0.0, len(grid) - 1.000001)
    index = position.astype(np.intp)
    return index, position - index


def response(radius: Real, arc: Real, half_angle: Real, conductivity: tuple[Real, Real], film: Real) -> Response:
    """Unit responses of a contact, interpolated in the table (error below 0.5 %).

    Parameters
    ----------
    radius : radius of the rope [m]
    arc : length of rope on the contact [m]
    half_angle : half of the circumference angle that touches, 0.1 to 1.6 [rad]
    conductivity : across and along the rope, in this order [W/(m K)]
    film : total film coefficient [W/(m2 K)]

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
    logs = logs - (_decay(np.exp(log_biot))[..., None] * _distances(np.exp(log_arc)))
    wave_log = 0.0
    for weight, index in corners:
        cell = waves.reshape(-1, len(HALF_ANGLE))
        wave_log = wave_log + weight * ((1 - w) * cell[index, k] + w * cell[index, k + 1])
    unit = 1.0 / (np.pi * across * radius * alpha)
    thinner = np.minimum(ARC[-1] / np.exp(log_arc), 1.0)  # beyond the table heat per watt spreads over the arc
    values = {
        name: np.exp(logs[..., n]) * unit * (1.0 if name.startswith(PLANE) else thinner) for n, name in enumerate(NAMES)
    }
    values["face_patch"] = values["face_even"] + np.exp(wave_log) * unit * thinner
    return _sorted(values)


def response_along(radius: Real, arc: Real, half_angle: Real, conductivity: tuple[Real, Real], film: Array) -> Response:
    """`response` along a last axis of film coefficients, by a parabola in logarithms through three of them.

    Parameters
    ----------
    radius : radius of the rope, last axis of length 1 [m]
    arc : length of rope on the contact, last axis of length 1 [m]
    half_angle : half of the circumference angle that touches, last axis of length 1 [rad]
    conductivity : across and along the rope, in this order [W/(m K)]
    film : total film coefficient, shape (..., H) [W/(m2 K)]

    Returns
    -------
    rises per watt, shape (..., H) [K/W]

    From
    ----
    Responses are smooth in ln h: over a factor 4 of h the parabola is within 0.3 % of `response`.
    """
    log_film = np.log(film)
    low, high = log_film.min(axis=-1, keepdims=True), log_film.max(axis=-1, keepdims=True)
    high = np.maximum(high, low + 1e-3)
    nodes = np.concatenate([low, 0.5 * (low + high), high], axis=-1)
    three = response(radius, arc, half_angle, conductivity, np.exp(nodes))
    x = 2.0 * (log_film - low) / (high - low) - 1.0
    weights = (0.5 * x * (x - 1.0), 1.0 - x * x, 0.5 * x * (x + 1.0))

    def along(values: Array) -> Array:
        logs = np.log(values)
        return np.exp(sum(weight * logs[..., n : n + 1] for n, weight in enumerate(weights)))

    parts = ({name: along(values) for name, values in part.items()} for part in (three.core, three.mean, three.face))
    return Response(*parts)


def _sorted(values: dict[str, Array]) -> Response:
    core = {name.removesuffix("_core"): array for name, array in values.items() if name.endswith("_core")}
    mean = {name.removesuffix("_mean"): array for name, array in values.items() if name.endswith("_mean")}
    face = {name.removeprefix("face_"): array for name, array in values.items() if name.startswith("face_")}
    return Response(core, mean, {name: face[name] for name in ("bend", "arc", "patch")})
