"""Modes along a rope: strips of heat against quadrature of the eigenfunctions, and limits that are known by hand."""

import numpy as np
import pytest
from scipy import integrate, optimize, special

from linewright.physics import modes

ACROSS, RADIUS = 0.12, 0.022


def referee(biot: float, zeta: np.ndarray, shares: tuple[str, str]) -> np.ndarray:
    """Rise per watt of a plane at scaled distances, in units of Q/(pi k_r R alpha): 2000 roots of x J1 = Bi J0."""
    low, high = np.r_[1e-9, special.jn_zeros(1, 1999)], special.jn_zeros(0, 2000)
    x = np.array([
        optimize.brentq(lambda y: y * special.j1(y) - biot * special.j0(y), *pair)
        for pair in zip(low, high, strict=True)
    ])  # fmt: skip
    j0, j1 = special.j0(x), special.j1(x)
    part = {"axis": np.ones_like(x), "mean": 2.0 * j1 / x, "face": j0}
    weight = part[shares[0]] * part[shares[1]] / (2.0 * x * (j0**2 + j1**2))
    return np.sum(weight * np.exp(-x * np.abs(zeta)[..., None]), axis=-1)


@pytest.mark.parametrize("seen", ["axis", "mean", "face"])
@pytest.mark.parametrize("biot", [0.5, 4.0, 15.0])
@pytest.mark.parametrize("middle", [0.0, 0.1, 0.35, 2.0])
def test_strip_when_planes_are_added_up_agrees(biot: float, seen: str, middle: float) -> None:
    """A strip of a quarter of R alpha seen at a point: Simpson over planes, each the sum over 2000 roots."""
    along, strip = 100.0 * ACROSS, 0.25
    own = modes.modes(RADIUS, (ACROSS, along), biot * ACROSS / RADIUS)
    scale = 10.0 * RADIUS
    found = own.seen(own.mean * getattr(own, seen), modes.at_point(own.rate, middle * scale, strip * scale))

    planes = np.linspace(middle - 0.5 * strip, middle + 0.5 * strip, 401)
    exact = integrate.simpson(referee(biot, planes, ("mean", seen)), x=planes) / strip
    assert found * np.pi * ACROSS * scale == pytest.approx(exact, rel=0.02 if seen == "face" else 0.005)


@pytest.mark.parametrize("biot", [0.5, 4.0, 15.0])
def test_flux_at_its_own_end_when_planes_are_added_up_agrees(biot: float) -> None:
    """Flux through the face over 0.7 R alpha seen by the face at its end: rings without width are infinite there, but
    their integral from a distance of 1e-5 on is not; below it the share is ln-small. 2000 roots."""
    own = modes.modes(RADIUS, (ACROSS, 100.0 * ACROSS), biot * ACROSS / RADIUS)
    scale, arc = 10.0 * RADIUS, 0.7
    found = own.seen(own.face**2, modes.at_point(own.rate, 0.5 * arc * scale, arc * scale)) + own.rest / (arc * scale)

    planes = np.geomspace(1e-5, arc, 2001)
    exact = integrate.simpson(referee(biot, planes, ("face", "face")) * planes, x=np.log(planes)) / arc
    assert found * np.pi * ACROSS * scale == pytest.approx(exact, rel=0.01)


def test_strip_in_a_rope_that_conducts_well_across_is_that_of_a_fin() -> None:
    """Fin (Incropera ch. 3): a plane makes G exp(-|z|/L), G = L/(2 k A). The middle of a strip of length L is
    (2/L) int_0^{L/2} G exp(-z/L) dz = 2 G (1 - e^-0.5) = 0.786939 G by hand."""
    across, along, film = 20.0, 22.0, 15.0  # Bi 0.0165
    length = np.sqrt(along * RADIUS / (2.0 * film))
    own = modes.modes(RADIUS, (across, along), film)
    peak = length / (2.0 * along * np.pi * RADIUS**2)
    found = own.seen(own.mean**2, modes.at_point(own.rate, 0.0, length))

    assert found / peak == pytest.approx(0.786939, rel=0.01)


def test_strip_so_long_that_nothing_changes_along_it_is_the_evenly_heated_cylinder() -> None:
    """1 W/m everywhere: core 1/(2 pi R h) + 1/(4 pi k), mean 1/(2 pi R h) + 1/(8 pi k), face 1/(2 pi R h)."""
    film, strip = 14.0, 40.0
    own = modes.modes(RADIUS, (ACROSS, 22.0), film)
    fall = modes.at_point(own.rate, 0.0, strip)
    outside = 1.0 / (2.0 * np.pi * RADIUS * film)

    for share, inside in ((own.axis, 4.0), (own.mean, 8.0), (own.face, np.inf)):
        exact = outside + 1.0 / (inside * np.pi * ACROSS)
        assert strip * own.seen(own.mean * share, fall) == pytest.approx(exact, rel=0.005)


@pytest.mark.parametrize("distance", [0.0, 0.03, 0.1, 0.5])
def test_mean_over_an_arc_is_that_of_its_points(distance: float) -> None:
    """Simpson over the arc; strip and arc may overlap."""
    rate = np.array([3.0, 20.0, 150.0])
    points = np.linspace(distance - 0.1, distance + 0.1, 4001)
    seen = np.array([modes.at_point(rate, abs(point), 0.06) for point in points])

    exact = integrate.simpson(seen, x=points, axis=0) / 0.2
    np.testing.assert_allclose(modes.over_arc(rate, distance, 0.06, 0.2), exact, rtol=1e-5, atol=1e-12)
