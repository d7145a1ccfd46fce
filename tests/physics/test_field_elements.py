"""An orthotropic contact in three dimensions against finite elements of a general library."""

import numpy as np
import pytest
import skfem
from skfem.helpers import dot, grad

from linewright.physics.field import core, steady
from linewright.physics.field_grid import Grid, along_edges, radial_edges, strip
from linewright.physics.field_parts import Contact, Load, Rope, Steel, Surface

# Rope of 44 mm, a quarter of its round touching a steel of 30 K above the air over 0.1 m, bending heat beside it.
AIR, RADIUS, ARC, END, STRIP = 293.15, 0.022, 0.1, 0.5, 0.06
ACROSS, ALONG, FILM, INTERFACE = 0.3, 5.0, 14.0, 500.0
HEAT, BEND, WARM = 4e3, 5.0, 30.0


def volumes(cells: tuple[int, int, float]) -> tuple[float, float, float]:
    """Rise of the core at mid-arc and at the arc's end, and of the patch's face; half of the contact, from mid-arc."""
    quarter = np.linspace(-0.25 * np.pi, 0.25 * np.pi, cells[1] + 1)
    rest = np.linspace(0.25 * np.pi, 1.75 * np.pi, 3 * cells[1] + 1)[1:]
    along = along_edges(0.0, END, [0.5 * ARC, 0.5 * ARC + STRIP], cells[2], 1.1)
    grid = Grid(radial_edges(RADIUS, cells[0]), np.concatenate([quarter, rest]), along)
    contact = Contact(Steel(AIR + WARM, 1e-9), 0.0, ARC, 0.25 * np.pi, INTERFACE)
    heat = {"tension": HEAT, "bending": strip(grid, 0.5 * ARC, 0.5 * ARC + STRIP, BEND)}
    state = steady(Rope(grid, ACROSS, ALONG, 1e6), Load(Surface(FILM, AIR), heat, (contact,))).state
    axis = core(grid, state.cells) - AIR
    weights = contact.cover(grid) * grid.area
    face = float(np.average(state.skin, weights=weights)) - AIR
    return float(axis[0]), float(np.interp(0.5 * ARC, grid.middle[1], axis)), face


def elements(across: int, along: np.ndarray) -> tuple[float, float, float]:
    """The same by hexahedra of second order; the square they begin as is bent into a disc, one side is the patch."""
    side = np.linspace(-1.0, 1.0, across + 1)
    square = skfem.MeshHex.init_tensor(side, side, along)
    places = square.p[:, square.facets].mean(axis=1)
    skin = np.flatnonzero(np.isclose(np.abs(places[:2]), 1.0).any(axis=0))
    patch = skin[(np.isclose(places[0, skin], 1.0)) & (places[2, skin] < 0.5 * ARC)]
    x, y = square.p[:2]
    disc = np.vstack([RADIUS * x * np.sqrt(1 - 0.5 * y**2), RADIUS * y * np.sqrt(1 - 0.5 * x**2), square.p[2]])
    mesh = skfem.MeshHex2.from_mesh(skfem.MeshHex(disc, square.t))
    inside = skfem.Basis(mesh, skfem.ElementHex2())
    free = skfem.FacetBasis(mesh, skfem.ElementHex2(), facets=np.setdiff1d(skin, patch))
    touching = skfem.FacetBasis(mesh, skfem.ElementHex2(), facets=patch)
    conductivity = np.array([ACROSS, ACROSS, ALONG])[:, None, None]
    stiffness = skfem.BilinearForm(lambda u, v, w: dot(conductivity * grad(u), grad(v)))
    joined = skfem.BilinearForm(lambda u, v, w: u * v)
    bent = BEND / (np.pi * RADIUS**2 * STRIP)
    made = skfem.LinearForm(lambda v, w: (HEAT + bent * ((w.x[2] > 0.5 * ARC) & (w.x[2] < 0.5 * ARC + STRIP))) * v)
    ones = skfem.LinearForm(lambda v, w: 1.0 * v)
    matrix = stiffness.assemble(inside) + FILM * joined.assemble(free) + INTERFACE * joined.assemble(touching)
    rise = skfem.solve(matrix, made.assemble(inside) + INTERFACE * WARM * ones.assemble(touching))
    axis = inside.probes(np.array([[1e-6, 1e-6], [1e-6, 1e-6], [1e-6, 0.5 * ARC - 1e-6]])) @ rise
    weight = ones.assemble(touching)
    return float(axis[0]), float(axis[1]), float(weight @ rise / weight.sum())


@pytest.mark.slow
def test_contact_by_finite_elements_agrees() -> None:
    # Both converge to the same field; where the film jumps at the rim of the patch they do so slowly. Twice as fine,
    # either still moves by a quarter of a per cent: half of one is allowed.
    along = along_edges(0.0, END, [0.5 * ARC, 0.5 * ARC + STRIP], 0.007, 1.4)
    assert volumes((16, 10, 0.003)) == pytest.approx(elements(6, along), rel=0.005)
