"""Basquin lines, mean stress, holes, rectangles in torsion, screws, a screw bedded in a cortex."""

import numpy as np
from scipy.integrate import solve_bvp


def line(ultimate, share, limit):
    coefficient = (share * ultimate) ** 2 / limit
    return coefficient, -np.log10(share * ultimate / limit) / 3


def rectangle(ratio, terms=400):
    """J of a rectangle 3 mm thick, Saint-Venant's series."""
    n = np.arange(1, 2 * terms, 2)
    series = np.sum(np.tanh(n * np.pi * ratio / 2) / n**5)
    return 81 * ratio * (1 / 3) * (1 - 192 / (np.pi**5 * ratio) * series)


def held(youngs, diameter, foundation, thickness):
    """Half of a free beam on springs, pushed and tilted at its middle, by collocation."""
    bending, half = youngs * np.pi * diameter**4 / 64, thickness / 2
    bed, load = foundation * half**4 / bending, 1e5

    def slopes(_, y):
        return np.vstack([y[1], y[2], y[3], -bed * y[0]])

    def solve(at_middle):
        def ends(middle, end):
            return np.array([*at_middle(middle), end[2], end[3]])

        s = np.linspace(0, 1, 41)
        found = solve_bvp(slopes, ends, s, np.zeros((4, s.size)), tol=1e-10, max_nodes=100_000)
        assert found.success
        return found.y

    push = solve(lambda m: [m[1], m[3] - load / 2 * half**3 / bending])
    tilt = solve(lambda m: [m[0], m[2] - load / 2 * half**2 / bending])
    return load / abs(push[0, 0]), load / abs(tilt[1, 0] / half)


def values():
    for ratio in [1, 1.5, 2, 3, 4, 5, 10]:
        yield f"rectangle-{ratio:g}", "torsion_constant_mm4", rectangle(ratio), 2e-11
    for check, data in {"shigley-6-2": (90, 0.86, 45), "own-line": (900, 0.9, 400)}.items():
        coefficient, exponent = line(*data)
        yield check, "coefficient", coefficient, 1e-9
        yield check, "exponent", exponent, 1e-9
        yield check, "strength_at_1e4_cycles", coefficient * 1e4**exponent, 1e-9
    coefficient, exponent = line(900, 0.9, 400)
    for amplitude in [420, 500, 600]:
        life = (amplitude / coefficient) ** (1 / exponent)
        yield "own-line", f"life_at_{amplitude}_cycles", life, 1e-9
    yield "cycle-50-450", "gerber_reversed", 200 / (1 - (250 / 900) ** 2), 1e-9
    yield "cycle-50-450", "goodman_reversed", 200 / (1 - 250 / 900), 1e-9
    for x in [0.1, 0.2, 0.3, 0.4, 0.5]:
        roark = 3 - 3.13 * x + 3.66 * x**2 - 1.53 * x**3
        yield f"roark-hole-{x:g}", "tension_kt_net", roark, 3e-4
        pilkey = 2 + 0.284 * (1 - x) - 0.6 * (1 - x) ** 2 + 1.32 * (1 - x) ** 3
        yield f"peterson-hole-{x:g}", "tension_kt_net", pilkey, 1e-5
    for check, data in {
        "screw-in-cortex-thin": (193_000, 2.4, 17_500, 2.4),
        "screw-in-cortex-thick": (193_000, 1.3, 17_500, 4),
    }.items():
        across, tilt = held(*data)
        yield check, "across_n_per_mm", across, 1e-8
        yield check, "tilt_nmm_per_rad", tilt, 1e-8
