"""Torsion constants by finite elements: stress function, quadratic, boundaries curved.

The stress function F of Prandtl: -div grad F = 2 inside, F = 0 on the outline, F of one unknown
value on the rim of a hole whose condition is natural: J = 2 (integral of F + its value on the
rim times the area of the hole) = integral of |grad F|^2, which approaches J from below.
"""

import numpy as np
from scipy.sparse import csr_matrix
from scipy.sparse.linalg import spsolve
from skfem import Basis, ElementQuad2, MeshQuad2, asm
from skfem.models.poisson import laplace, unit_load


def between(outline, rim, rings, around):
    """Biquadratic quadrilaterals between two closed curves of a parameter in 0..1; edges; the rim's."""
    turns = np.arange(2 * around) / (2 * around)
    shares = np.arange(2 * rings + 1) / (2 * rings)
    inside, outside = rim(turns), outline(turns)
    grid = inside[:, None, :] + (outside - inside)[:, None, :] * shares[None, :, None]
    points = grid.reshape(2, -1)

    def node(ring, turn):
        return ring * 2 * around + turn % (2 * around)

    ring, turn = (2 * a.ravel() for a in np.meshgrid(np.arange(rings), np.arange(around)))
    places = [(0, 0), (2, 0), (2, 2), (0, 2), (1, 0), (2, 1), (1, 2), (0, 1), (1, 1)]
    cells = np.array([node(ring + r, turn + t) for r, t in places])
    # Corners first, as the mesh wants them.
    order = np.unique(cells[:4])
    rest = np.setdiff1d(np.arange(points.shape[1]), order)
    where = np.empty(points.shape[1], dtype=int)
    where[np.concatenate([order, rest])] = np.arange(points.shape[1])
    mesh = MeshQuad2(points[:, np.concatenate([order, rest])], where[cells])
    edges = mesh.boundary_facets()
    on_rim = np.isin(mesh.facets[:, edges], where[: 2 * around]).all(axis=0)
    return mesh, edges, edges[on_rim]


def stress_function(outline, rim, hole_area, rings, around):
    mesh, edges, inner = between(outline, rim, rings, around)
    basis = Basis(mesh, ElementQuad2(), intorder=6)
    stiffness, load = asm(laplace, basis), 2 * asm(unit_load, basis)
    held, rim = basis.get_dofs(edges).all(), basis.get_dofs(inner).all()
    # The last unknown is the value all of the rim has.
    columns = np.cumsum(~np.isin(np.arange(basis.N), held)) - 1
    free = columns[-1] + 1
    columns[held] = -1
    columns[rim] = free
    kept = np.flatnonzero(columns >= 0)
    tie = csr_matrix((np.ones(kept.size), (kept, columns[kept])), (basis.N, free + 1))
    load = tie.T @ load
    load[-1] += 2 * hole_area
    return load @ spsolve((tie.T @ stiffness @ tie).tocsc(), load)


def torsion_constant(outline, rim, hole_area):
    """The limit of two meshes, one twice as fine: the error falls with the fourth power."""
    coarse, fine = (stress_function(outline, rim, hole_area, n, 8 * n) for n in (8, 16))
    return fine + (fine - coarse) / 15


def ellipse(width, depth, offset=0.0):
    def curve(turns):
        angle = 2 * np.pi * turns
        return np.array([offset + width / 2 * np.cos(angle), depth / 2 * np.sin(angle)])

    return curve


def rectangle(width, depth):
    """Every quarter of the parameter is a side."""
    corners = np.array([[-1, 1, 1, -1, -1], [-1, -1, 1, 1, -1]]) * [[width / 2], [depth / 2]]

    def curve(turns):
        return np.array([np.interp(4 * turns, np.arange(5), side) for side in corners])

    return curve


def circle_facing(outline, diameter):
    """A circle whose points lie in the direction of the outline's."""

    def curve(turns):
        points = outline(turns)
        return diameter / 2 * points / np.linalg.norm(points, axis=0)

    return curve


def values():
    outline = ellipse(12, 9)
    canals = {
        "hollow-ellipse-similar": (6, 4.5),
        "hollow-ellipse-confocal": (8.8881944173156, 4),
        "ellipse-round-canal": (5, 5),
        "ellipse-unlike-canal": (8, 4),
    }
    for check, (width, depth) in canals.items():
        found = torsion_constant(outline, ellipse(width, depth), np.pi * width * depth / 4)
        yield check, "torsion_constant_mm4", found, 1e-7
    found = torsion_constant(ellipse(12, 12), ellipse(6, 6, 1.5), np.pi * 6**2 / 4)
    yield "eccentric-canal", "torsion_constant_mm4", found, 1e-6
    outline = rectangle(10, 8)
    found = torsion_constant(outline, circle_facing(outline, 4), np.pi * 4**2 / 4)
    yield "rectangle-with-hole", "torsion_constant_mm4", found, 1e-6
