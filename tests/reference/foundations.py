"""Beams on springs and layers that slip, by collocation of their differential equations."""

import numpy as np
from scipy.integrate import solve_bvp


def solved(slopes, ends, length, size, parameters=None, guess=None):
    x = np.linspace(0, length, 41)
    start = np.zeros((size, x.size)) if guess is None else guess(x)
    found = solve_bvp(slopes, ends, x, start, p=parameters, tol=1e-10, max_nodes=100_000)
    assert found.success, found.message
    return found


def bedded():
    """Half of a free beam of 100 mm on springs, 100 N at its middle: sinks there, at its end; moment."""
    bending, bed, load = 110_000 * np.pi * 10**4 / 64, 10.0, 100.0

    def slopes(_, y):
        return np.vstack([y[1], y[2], y[3], -bed * y[0] / bending])

    def ends(middle, end):
        return np.array([middle[1], middle[3] - load / 2 / bending, end[2], end[3]])

    y = solved(slopes, ends, 50, 4).y
    return -y[0, 0], -y[0, -1], y[2, 0] * bending


def lifting():
    """A beam on a bed that cannot pull: half the length that bears is unknown.

    The place is scaled to the bearing length a: at its end deflection, moment and shear are nought.
    """
    bending, bed, load = 17_000 * np.pi * 12**4 / 64, 10.0, 100.0

    def slopes(_, y, a):
        a = a[0]
        return np.vstack([a * y[1], a * y[2], a * y[3], -a * bed * y[0] / bending])

    def ends(middle, end, a):
        return np.array([middle[1], middle[3] - load / 2 / bending, end[0], end[2], end[3]])

    def guess(s):
        return np.vstack([0.1 * (1 - s), 0 * s, -7e-5 * (1 - s), 0 * s])

    found = solved(slopes, ends, 1, 4, [75.0], guess)
    return -found.y[0, 0], found.y[2, 0] * bending, 2 * found.p[0]


def layers(pressed, force):
    """Half of two layers on two supports that slip on springs: sag and force in the lower one.

    s = u1 - u2 + h w',  N' = k s,  u1' = N/EA1,  u2' = -N/EA2,  (EI1 + EI2) w'' = -(M - N h).
    State: u1, u2, N, w, w' from the middle to the support. Load: even, or at the middle.
    """
    bone, plate = np.pi * (12**2 - 6**2) / 4 * 17_000, 30 * 110_000
    bending = np.pi * (12**4 - 6**4) / 64 * 17_000 + 22.5 * 110_000
    apart, slip, half = 8.5, 1000.0, 50.0

    def slopes(x, y):
        moment = pressed * (half**2 - x**2) / 2 + force / 2 * (half - x)
        u1, u2, pull, _, slope = y
        slid = u1 - u2 + apart * slope
        return np.vstack([pull / bone, -pull / plate, slip * slid, slope, -(moment - pull * apart) / bending])

    def ends(middle, support):
        return np.array([middle[0], middle[1], middle[4], support[2], support[3]])

    y = solved(slopes, ends, half, 5).y
    return y[3, 0], y[2, 0]


def values():
    middle, end, moment = bedded()
    yield "frames/beam_on_foundation", "centre force, beam#50, uz_mm", middle, 1e-9
    yield "frames/beam_on_foundation", "centre force, left, uz_mm", end, 1e-9
    yield "frames/beam_on_foundation", "centre force, beam at 50 mm, moment_y_nmm", moment, 1e-9
    sunk, moment, _ = lifting()
    yield "frames/beam_lifting_off", "force, beam#75, uz_mm", sunk, 1e-8
    yield "frames/beam_lifting_off", "force, beam at 150 mm, moment_y_nmm", moment, 1e-7
    sag, pull = layers(1.0, 0.0)
    yield "frames/two_layers_with_slip", "even load, bone#50, uz_mm", -sag, 1e-9
    yield "frames/two_layers_with_slip", "even load, bone at 50 mm, axial_n", pull, 1e-9
    sag, _ = layers(0.0, 100.0)
    yield "frames/two_layers_with_slip", "centre force, bone#50, uz_mm", -sag, 1e-9
