"""A rod in plugs across a gap as a solid of 27-node hexahedra, half of it by symmetry."""

from itertools import pairwise

import numpy as np
from scipy.sparse.linalg import spsolve
from skfem import Basis, ElementHex2, ElementVector, FacetBasis, LinearForm, MeshHex2, asm, condense
from skfem.models.elasticity import lame_parameters, linear_elasticity

# Radii: core of the rod, rod, canal, bone. Elements around half a circle.
CORE, ROD, CANAL, BONE = 0.8, 1.5, 3.0, 6.0
AROUND = 8
PLUGS = [(15, 20), (55, 60), (80, 85), (120, 125)]
# Places along the axis, closest at the ends of the plugs, where the stress changes fast.
CUTS = [
    0, 5, 10, 14.5, 15, 15.5, 17.5, 19.5, 20, 20.5, 22, 25, 32, 40,
    48, 53, 54.5, 55, 55.5, 57.5, 59.5, 60, 60.5, 62, 64, 65, 67.5, 70,
    72.5, 75, 76, 78, 79.5, 80, 80.5, 82.5, 84.5, 85, 85.5, 87, 92, 100,
    108, 115, 118, 119.5, 120, 120.5, 122.5, 124.5, 125, 125.5, 130, 135, 140,
]


def on_square(turn):
    """A point of half a square of half side 1, from (1, 0) to (-1, 0), and of half a circle."""
    corners = np.array([[1, 1, -1, -1], [0, 1, 1, 0]])
    square = np.array([np.interp(turn, [0, 0.25, 0.75, 1], side) for side in corners])
    return square, np.array([np.cos(np.pi * turn), np.sin(np.pi * turn)])


def pieces():
    """(kind, map from the unit square to the cross-section) of every quadrilateral."""
    half = CORE / np.sqrt(2)

    def core(i, j):
        return lambda a, b: half * np.array([(i + a) / 2 - 1, (j + b) / 2])

    def outward(k):
        def place(a, b):
            square, circle = on_square((k + b) / AROUND)
            return (1 - a) * half * square + a * ROD * circle

        return place

    def ring(k, inside, outside):
        return lambda a, b: (inside + a * (outside - inside)) * on_square((k + b) / AROUND)[1]

    yield from (("rod", core(i, j)) for i in range(4) for j in range(2))
    for k in range(AROUND):
        yield "rod", outward(k)
        yield "plug", ring(k, ROD, CANAL)
        yield "bone", ring(k, CANAL, 4.5)
        yield "bone", ring(k, 4.5, BONE)


def is_there(kind, start, end):
    return {
        "rod": 15 <= start and end <= 125,
        "plug": any(a <= start and end <= b for a, b in PLUGS),
        "bone": end <= 65 or start >= 75,
    }[kind]


def mesh():
    local = ElementHex2().doflocs
    points, kinds = [], []
    for start, end in pairwise(CUTS):
        for kind, place in pieces():
            if is_there(kind, start, end):
                across = place(local[:, 0], local[:, 1])
                points.append(np.vstack([start + (end - start) * local[:, 2], across]))
                kinds.append(kind)
    every = np.hstack(points).T
    _, first, numbers = np.unique(every.round(7), axis=0, return_index=True, return_inverse=True)
    cells = numbers.reshape(-1, 27).T
    corners = np.unique(cells[:8])
    order = np.concatenate([corners, np.setdiff1d(np.arange(len(first)), corners)])
    where = np.argsort(order)
    return MeshHex2(every[first[order]].T, where[cells]), np.array(kinds)


def tip():
    """Mean deflection of the free end under 10 N."""
    solid, kinds = mesh()
    element = ElementVector(ElementHex2())
    whole = 0
    for kind, youngs in {"rod": 110_000, "bone": 17_000, "plug": 1e9}.items():
        basis = Basis(solid, element, intorder=4, elements=np.flatnonzero(kinds == kind))
        whole = whole + asm(linear_elasticity(*lame_parameters(youngs, 0.3)), basis)
    basis = Basis(solid, element, intorder=4)
    end = FacetBasis(solid, element, facets=solid.facets_satisfying(lambda x: x[0] > 140 - 1e-6), intorder=4)
    area = np.pi * (BONE**2 - CANAL**2)
    load = asm(LinearForm(lambda v, _: -10 / area * v[1]), end)
    root = basis.get_dofs(solid.facets_satisfying(lambda x: x[0] < 1e-6)).all()
    middle = basis.get_dofs(solid.facets_satisfying(lambda x: x[2] < 1e-6, boundaries_only=True)).all("u^3")
    held = np.union1d(root, middle)
    moved = spsolve(*condense(whole, load, D=held, expand=False))
    free = np.setdiff1d(np.arange(basis.N), held)
    return load[free] @ moved / 5


def values():
    yield "frames/rod_in_plugs", "tip force, tip, uz_mm, again", -tip(), 1e-3


