"""A cooling cylinder through time against finite elements of a general library, and both against the series."""

import numpy as np
import pytest
import skfem
from scipy import linalg, optimize, special
from skfem.helpers import dot, grad

from linewright.physics.field import core, even_state
from linewright.physics.field_grid import Grid, angle_edges, radial_edges
from linewright.physics.field_parts import Load, Rope, Surface
from linewright.physics.field_time import Steps, history

AIR, EXCESS, RADIUS, CONDUCTIVITY, CAPACITY = 293.15, 100.0, 0.022, 0.12, 1.1e6


def volumes(biot: float, fourier: float, share: float) -> tuple[float, float, float]:
    """What is left at the axis, on the skin amid the film and opposite; film on a share of the round."""
    grid = Grid(radial_edges(RADIUS, 40), angle_edges(48 if share < 1.0 else 1), np.array([0.0, 1.0]))
    near = np.abs(np.angle(np.exp(1j * grid.middle[0]))) < np.pi * share
    film = np.where(near | (share == 1.0), biot * CONDUCTIVITY / RADIUS, 0.0)[:, None]
    rope, load = Rope(grid, CONDUCTIVITY, 1.0, CAPACITY), Load(Surface(film, AIR))
    duration = fourier * RADIUS**2 * CAPACITY / CONDUCTIVITY
    past = history(rope, [(duration, load)], even_state(rope, load, AIR + EXCESS), Steps(0.005))
    assert past.balance.closure <= 1e-9
    skin = past.end.skin[:, 0]
    middle, opposite = 0.5 * (skin[0] + skin[-1]), 0.5 * (skin[skin.size // 2] + skin[skin.size // 2 - 1])
    left = np.array([float(core(grid, past.end.cells)[0]), middle, opposite if share < 1.0 else middle])
    first, second, third = (left - AIR) / EXCESS
    return float(first), float(second), float(third)


def elements(biot: float, fourier: float, share: float) -> tuple[float, float, float]:
    """The same by triangles of second order, sides bent, on a disc of unit radius; in time exact, by eigenvalues."""
    mesh = skfem.MeshTri2.init_circle(3)
    middles = mesh.p[:, mesh.facets[:, mesh.boundary_facets()]].mean(axis=1)
    near = np.abs(np.arctan2(middles[1], middles[0])) < np.pi * share
    inside = skfem.Basis(mesh, skfem.ElementTriP2())
    touched = skfem.FacetBasis(mesh, skfem.ElementTriP2(), facets=mesh.boundary_facets()[near])
    conduction = skfem.BilinearForm(lambda u, v, w: dot(grad(u), grad(v))).assemble(inside)
    mass = skfem.BilinearForm(lambda u, v, w: u * v)
    rates, modes = linalg.eigh((conduction + biot * mass.assemble(touched)).toarray(), mass.assemble(inside).toarray())
    start = modes.T @ (mass.assemble(inside) @ np.ones(inside.N))
    left = modes @ (np.exp(-rates * fourier) * start)
    nodes = [int(np.argmin(np.hypot(inside.doflocs[0] - x, inside.doflocs[1]))) for x in (0.0, 1.0, -1.0)]
    assert inside.doflocs[0, nodes] == pytest.approx([0.0, 1.0, -1.0], abs=1e-12)
    return float(left[nodes[0]]), float(left[nodes[1]]), float(left[nodes[2]])


def series(biot: float, fourier: float) -> tuple[float, float]:
    """Axis and skin by 60 terms: C J0(x rho) exp(-x^2 Fo), x J1(x) = Bi J0(x)."""
    ends = zip(np.r_[1e-9, special.jn_zeros(1, 59)], special.jn_zeros(0, 60), strict=True)
    x = np.array([optimize.brentq(lambda x: x * special.j1(x) - biot * special.j0(x), *pair) for pair in ends])
    terms = 2.0 * special.j1(x) / (x * (special.j0(x) ** 2 + special.j1(x) ** 2)) * np.exp(-(x**2) * fourier)
    return float(terms.sum()), float(np.sum(terms * special.j0(x)))


@pytest.mark.parametrize(("biot", "fourier"), [(0.5, 0.3), (2.0, 0.1), (8.0, 0.3)])
def test_cooling_cylinder_by_volumes_elements_and_series_is_one(biot: float, fourier: float) -> None:
    # Bi 2, Fo 0.3 by one term: x 1.5995, C 1.3384 (table of HT-05): 1.3384 exp(-2.5584 x 0.3) = 0.621, all terms 0.619.
    exact = series(biot, fourier)
    assert volumes(biot, fourier, 1.0)[:2] == pytest.approx(exact, abs=3e-4)
    assert elements(biot, fourier, 1.0)[:2] == pytest.approx(exact, abs=2e-4)


@pytest.mark.parametrize("fourier", [0.05, 0.3])
def test_film_on_half_of_the_round_agrees_with_elements(fourier: float) -> None:
    # Cooled on one half, insulated on the other: no closed form, the field turns round the rope. 1e-3 of the excess,
    # for 48 cells round and a film that ends abruptly.
    assert volumes(2.0, fourier, 0.5) == pytest.approx(elements(2.0, fourier, 0.5), abs=1e-3)
