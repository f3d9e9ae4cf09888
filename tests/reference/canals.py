"""Straight rods in curved canals: quadratic programs.

A rod that is touched at its nodes only is a natural cubic spline through them, so its energy
follows from the deflections w alone: with m = R^-1 Q' w the curvatures, R = L L', it is
EI/2 m' R m = EI/2 |z|^2, z = L^-1 Q' w. It is least under |w - centre| <= clearance: a
least-distance problem, solved by non-negative least squares (Lawson and Hanson, Solving Least
Squares Problems, 1974, from memory).
"""

import tomllib
from pathlib import Path

import numpy as np
from scipy.interpolate import CubicSpline, PchipInterpolator
from scipy.linalg import cholesky, solve_triangular
from scipy.optimize import brentq, nnls

PRESETS = Path(__file__).parents[2] / "src" / "anatomy" / "presets.toml"


# Weight of the rod's motion as a whole, which costs no energy.
RIGID = 1e-6


def put_in(places, centre, clearance, bending):
    """Forces of the wall at the nodes, and the largest moment."""
    count, spacing = len(places), places[1] - places[0]
    inner = count - 2
    q = (np.eye(inner, count) - 2 * np.eye(inner, count, k=1) + np.eye(inner, count, k=2)) / spacing
    r = spacing / 6 * (4 * np.eye(inner) + np.eye(inner, k=1) + np.eye(inner, k=-1))
    root = solve_triangular(cholesky(r, lower=True), q, lower=True)
    # w = held @ z + motion of the whole; the ends are where the whole is.
    held = np.zeros((count, inner))
    held[1:-1] = np.linalg.inv(root[:, 1:-1])
    along = (places - places[0]) / (places[-1] - places[0])
    moves = np.column_stack([held, (1 - along) / RIGID, along / RIGID])
    walls = np.vstack([moves, -moves])
    limits = np.concatenate([centre - clearance, -centre - clearance])
    system = np.vstack([walls.T, limits])
    target = np.eye(count + 1)[-1]
    found, _ = nnls(system, target, maxiter=20 * count)
    left = system @ found - target
    curvature = np.linalg.solve(r, q @ moves @ (-left[:-1] / left[-1]))
    return bending * q.T @ curvature, bending * np.abs(curvature).max()


def summed(places, forces, low, high):
    return abs(forces[(places > low - 1e-9) & (places < high + 1e-9)].sum())


def second_moment(diameter):
    return np.pi * diameter**4 / 64


def arc(clearance, tube=None, elements=200):
    bending = 110_000 * second_moment(3)
    if tube:
        # Rod and tube give in series: both are bent by the same forces at the same places.
        bending = bending * tube / (bending + tube)
    x = np.linspace(-50, 50, elements + 1)
    return x, *put_in(x, x**2 / 400, clearance, bending)


def sine(clearance, elements=400):
    x = np.linspace(0, 100, elements + 1)
    return x, *put_in(x, 3 * np.sin(2 * np.pi * x / 100), clearance, 110_000 * second_moment(3))


def preset_nail(preset, diameter, elements=148):
    """Peak surface stress of a straight nail from 0.06 to 0.80 of the length."""
    length, medial, lateral = (
        preset[key] for key in ("length_mm", "medial_curve_depth_mm", "lateral_curve_depth_mm")
    )
    line = CubicSpline([0, 0.36, 0.58, 0.76, 1], [0, medial, 0, -lateral, 0], bc_type="natural")
    at = np.array([s["fraction"] for s in preset["stations"]])
    wall = PchipInterpolator(at, [s["wall_mm"] for s in preset["stations"]])
    outer = [PchipInterpolator(at, [s[key] for s in preset["stations"]]) for key in ("ap_mm", "si_mm")]
    share = np.linspace(0.06, 0.80, elements + 1)
    canal = np.minimum(*(size(share) for size in outer)) - 2 * wall(share)
    bending = 105_000 * second_moment(diameter)
    _, moment = put_in(share * length, line(share), (canal - diameter) / 2, bending)
    return moment * diameter / 2 / second_moment(diameter)


def crest(clearance):
    """Half of the S canal where the rod touches one end and, along its slope, one crest.

    A natural cubic spline through the end, the crest and the middle: force at the end and at the
    crest, and the moment there.
    """

    def wall(x):
        turn = 2 * np.pi / 100
        return 3 * np.sin(turn * x) - clearance, 3 * turn * np.cos(turn * x)

    def rod(x):
        return CubicSpline([0, x, 50], [clearance, wall(x)[0], 0], bc_type="natural")

    at = brentq(lambda x: rod(x)(x, 1) - wall(x)[1], 25.5, 40, xtol=1e-13)
    bending, curve = 110_000 * second_moment(3), rod(at)
    end = bending * curve(at / 2, 3)
    return abs(end), abs(end - bending * curve((at + 50) / 2, 3)), abs(bending * curve(at, 2))


def values():
    for check, tube in {"arc-three-points": None, "arc-bone-tube": 16222399.065, "arc-soft-tube": 1e6}.items():
        x, forces, moment = arc(1.5, tube)
        middle = len(x) // 2
        yield check, "middle_force_n", abs(forces[middle]), 1e-7
        yield check, "end_force_n", abs(forces[0]), 1e-7
        yield check, "largest_moment_nmm", moment, 1e-7
    for clearance, window in {1.0: (-2.5, 4.5), 0.5: (11.9, 18.9), 0.2: (24.6, 31.6)}.items():
        x, forces, moment = arc(clearance)
        yield f"arc-patch-{clearance}", "end_force_n", abs(forces[0]), 2e-4
        yield f"arc-patch-{clearance}", "resultant_n", summed(x, forces, *window), 2e-4
        yield f"arc-patch-moment-{clearance}", "largest_moment_nmm", moment, 3e-4
    for clearance in [2.0, 1.0]:
        end, top, moment = crest(clearance)
        yield f"s-canal-ends-{clearance}", "resultant_n", end, 1e-8
        yield f"s-canal-{clearance}", "resultant_n", top, 1e-8
        yield f"s-canal-{clearance}", "largest_moment_nmm", moment, 1e-8
        x, forces, moment = sine(clearance)
        yield f"s-canal-ends-{clearance}", "resultant_n", summed(x, forces, 0, 5), 3e-3
        yield f"s-canal-{clearance}", "resultant_n", summed(x, forces, 20, 40), 3e-3
        yield f"s-canal-{clearance}", "largest_moment_nmm", moment, 3e-3
    for preset in tomllib.loads(PRESETS.read_text("utf-8"))["preset"]:
        for diameter in [1.5, 2.0, 2.5, 3.0, 3.5]:
            stress = preset_nail(preset, diameter)
            yield f"{preset['name']}-nail-{diameter}", "surface_stress_mpa", stress, 1e-6
