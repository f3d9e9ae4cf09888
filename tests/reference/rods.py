"""Rods that bend far, and rods that are curved: exact equations, integrated and shot at."""

from functools import partial

import numpy as np
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq, fsolve, minimize_scalar
from scipy.special import jv

TIGHT = {"method": "DOP853", "rtol": 1e-11, "atol": 1e-11}


def plane_rod(length, bent, stretched, start, force):
    """End of a rod in the plane: state x, y, angle, moment; a constant force on every cut.

    r' = (1 + N/EA) t,  angle' = M/EI,  M' = -(r' x force), the force being that of the far side.
    """

    def slopes(_, state):
        _, _, angle, moment = state
        along = np.array([np.cos(angle), np.sin(angle)])
        step = (1 + along @ force / stretched) * along
        return [*step, moment / bent, -(step[0] * force[1] - step[1] * force[0])]

    return solve_ivp(slopes, (0, length), start, **TIGHT).y[:, -1]


def elastica():
    """Strip of 100 mm, EI = 1e6, under 500 N that keep their direction."""
    end = partial(plane_rod, 100, 1e6, 1e30, force=np.array([0, 500.0]))
    moment = brentq(lambda m: end(start=[0, 0, 0, m])[3], 2e4, 5e4, xtol=1e-9)
    x, z, angle, _ = end(start=[0, 0, 0, moment])
    return z, x - 100, -angle


def toggle():
    """Largest force on a clamped shallow toggle: half of it, its apex guided."""
    area = 0.753 * 0.243
    bent, stretched = 1.03e7 * area * 0.243**2 / 12, 1.03e7 * area
    span, rise = 12.943, 0.386
    length, angle = np.hypot(span, rise), np.arctan2(rise, span)
    guess = np.array([0.0, -400.0, 0.0])

    def force(down):
        def misses(unknown):
            moment, across, upward = unknown
            end = plane_rod(length, bent, stretched, [0, 0, angle, moment], np.array([across, upward]))
            return [end[0] - span, end[1] - rise + down, end[2] - angle]

        nonlocal guess
        guess, _, found, message = fsolve(misses, guess, xtol=1e-12, full_output=True)
        assert found == 1, message
        return -2 * guess[2]

    for down in np.linspace(0.02, 0.2, 10):
        force(down)
    return -minimize_scalar(lambda d: -force(d), bounds=(0.15, 0.35), method="bounded").fun


def lee_frame():
    """Largest force on two hinged bars of 120 mm, 24 mm from their corner."""
    bent, stretched = 720 * 2, 720 * 6
    guess = np.array([0.0, 0.0, 0.0, 0.0])

    def force(down):
        def misses(unknown):
            turned, across, upward, load = unknown
            # The force on a cut is that of the far side: less the reaction of the foot.
            cut = -np.array([across, upward])
            state = plane_rod(120, bent, stretched, [0, 0, np.pi / 2 + turned, 0], cut)
            state[2] -= np.pi / 2
            loaded = plane_rod(24, bent, stretched, state, cut)
            end = plane_rod(96, bent, stretched, loaded, cut + [0, load])
            return [120 - down - loaded[1], end[0] - 120, end[1] - 120, end[3]]

        nonlocal guess
        guess, _, found, message = fsolve(misses, guess, xtol=1e-11, full_output=True)
        assert found == 1, message
        return guess[3]

    for down in np.linspace(4, 44, 11):
        force(down)
    return -minimize_scalar(lambda d: -force(d), bounds=(44, 54), method="bounded").fun


def bend(force):
    """Tip movement of a 45 degree arc in space, with stretch and shear, exact in rotations."""
    youngs, radius = 1e7, 100.0
    inverse_c = 1 / np.array([youngs, youngs / 2 * 5 / 6, youngs / 2 * 5 / 6])
    inverse_k = 1 / np.array([youngs / 2 / 6, youngs / 12, youngs / 12])
    rest = np.array([0, 0, -1 / radius])
    force = np.array([0, 0, force])

    def slopes(_, state):
        frame, moment = state[3:12].reshape(3, 3), state[12:15]
        strain = np.array([1, 0, 0]) + inverse_c * (frame.T @ force)
        a, b, c = rest + inverse_k * (frame.T @ moment)
        spin = np.array([[0, -c, b], [c, 0, -a], [-b, a, 0]])
        step = frame @ strain
        return np.concatenate([step, (frame @ spin).ravel(), -np.cross(step, force)])

    first = np.array([[0, -1, 0], [1, 0, 0], [0, 0, 1.0]])

    def end(moment):
        start = np.concatenate([np.zeros(3), first.ravel(), moment])
        return solve_ivp(slopes, (0, radius * np.pi / 4), start, **TIGHT).y[:, -1]

    tip = np.array([radius * (1 - np.sqrt(0.5)), radius * np.sqrt(0.5), 0])
    moment = np.cross(tip, force)
    for part in np.linspace(0.2, 1, 5) if force[2] > 10 else [1]:
        whole, force = force, part * force
        moment, _, found, message = fsolve(lambda m: end(m)[12:15], part * moment, xtol=1e-12, full_output=True)
        assert found == 1, message
        force, moment = whole, moment / part
    return end(moment)[:3] - tip


def chords(radius, bending, ratio, count=32):
    """Unit loads on the chords of a quarter circle from (0, 0) to (R, R): bending, torsion.

    Deflection by 100 N along the radius, along the tangent and out of the plane.
    """
    turns = np.linspace(0, np.pi / 2, count + 1)
    points = radius * np.column_stack([np.sin(turns), 1 - np.cos(turns)])
    places, weights = np.polynomial.legendre.leggauss(3)
    radial = tangential = across = 0.0
    for start, end in zip(points, points[1:]):
        length = np.linalg.norm(end - start)
        along = (end - start) / length
        for place, weight in zip(places, weights):
            arm = radius - (start + (1 + place) / 2 * (end - start))
            twist, bend = np.cross(arm, along), arm @ along
            share = weight * length / 2 * 100 / bending
            radial += share * arm[1] ** 2
            tangential += share * arm[0] ** 2
            across += share * (bend**2 + ratio * twist**2)
    return radial, tangential, across


def rectangle_torsion(wide, thick):
    """Saint-Venant's series."""
    n = np.arange(1, 400, 2)
    series = np.sum(np.tanh(n * np.pi * wide / (2 * thick)) / n**5)
    return wide * thick**3 * (1 / 3) * (1 - 192 / np.pi**5 * thick / wide * series)


def arc_of_1985():
    """Quarter circle with stretch and shear, by unit loads: in its plane, out of it."""
    radius, wide, thick, youngs = 4.22, 0.2, 0.1, 1e7
    shear, area = youngs / 2.5, wide * thick
    coefficient = 5 / 6
    torsion = shear * rectangle_torsion(wide, thick)
    inside, outside = youngs * thick * wide**3 / 12, youngs * wide * thick**3 / 12
    c, s = np.cos, np.sin

    def integral(function):
        return radius * quad(function, 0, np.pi / 2, epsabs=0, epsrel=1e-12)[0]

    in_plane = integral(
        lambda t: (radius * c(t)) ** 2 / inside
        + c(t) ** 2 / (youngs * area)
        + s(t) ** 2 / (coefficient * shear * area)
    )
    across = integral(
        lambda t: (radius * c(t)) ** 2 / outside
        + (radius * (1 - s(t))) ** 2 / torsion
        + 1 / (coefficient * shear * area)
    )
    return in_plane, across


def twisted():
    """24 straight pieces of a strip turned by 90 degrees; each piece exact in bending."""
    wide, thick, youngs, pieces = 1.1, 0.32, 2.9e7, 24
    along_z = along_y = 0.0
    for piece in range(pieces):
        near, far = 12 * piece / pieces, 12 * (piece + 1) / pieces
        turn = np.pi / 2 * (piece + 0.5) / pieces
        arms = ((12 - near) ** 3 - (12 - far) ** 3) / 3 / youngs
        flat, edge = 12 / (wide * thick**3), 12 / (thick * wide**3)
        along_z += arms * (np.cos(turn) ** 2 * flat + np.sin(turn) ** 2 * edge)
        along_y += arms * (np.sin(turn) ** 2 * flat + np.cos(turn) ** 2 * edge)
    return along_z, along_y


def tapers():
    """A force at the tip of tapered cantilevers, a pull and a torque, by quadrature."""
    youngs, shear = 110_000, 110_000 / 2.6
    coefficient = 6 * 1.3 / (7 + 6 * 0.3)  # Cowper's, of a round bar

    def integral(function):
        return quad(function, 0, 100, epsabs=0, epsrel=1e-12)[0]

    def across(x, d):
        return 100 * (100 - x) / (youngs * np.pi * d**4 / 64)

    def solid(x):
        return 12 - 4 * x / 100

    def hollow(x):
        return ((12 - 3 * x / 100) ** 4 - 6**4) ** 0.25

    bent = integral(lambda x: across(x, solid(x)) * (100 - x))
    sheared = integral(lambda x: 100 / (coefficient * shear * np.pi * solid(x) ** 2 / 4))
    yield "stiff tip, uz_mm", -bent
    yield "stiff tip, ry_rad", integral(lambda x: across(x, solid(x)))
    yield "tip, uz_mm", -bent - sheared
    yield "tube tip, uz_mm", -integral(lambda x: across(x, hollow(x)) * (100 - x))
    yield "tip, ux_mm", integral(lambda x: 1000 / (youngs * np.pi * solid(x) ** 2 / 4))
    yield "tip, rx_rad", integral(lambda x: 1000 / (shear * np.pi * solid(x) ** 4 / 32))


def values():
    z, x, angle = elastica()
    yield "frames/elastica", "tip force, tip, uz_mm", z, 1e-10
    yield "frames/elastica", "tip force, tip, ux_mm", x, 1e-10
    yield "frames/elastica", "tip force, tip, ry_rad", angle, 1e-10
    yield "frames/toggle", "down, limit_load_factor", toggle(), 1e-6
    yield "frames/lee_frame", "down, limit_load_factor", lee_frame(), 1e-6
    yield "frames/bend_45_degrees", "small force, tip, uz_mm", bend(1e-3)[2] * 1e3, 1e-6
    for axis, moved in zip("xyz", bend(600.0)):
        yield "frames/bend_45_degrees_large", f"large force, tip, u{axis}_mm", moved, 1e-7
    circle = chords(100, 110_000 * np.pi * 10**4 / 64, 1.3)
    for name, axis, moved in zip(["radial", "tangential", "out of plane"], "xyz", circle):
        yield "frames/quarter_circle", f"{name}, tip, u{axis}_mm", moved, 1e-10
    for name, axis, moved in zip(["in plane", "out of plane"], "xz", arc_of_1985()):
        yield "frames/curved_beam_1985", f"{name}, tip, u{axis}_mm", moved, 1e-8
    for name, axis, moved in zip(["thickness", "width"], "zy", twisted()):
        yield "frames/twisted_beam_1985", f"along the root {name}, tip, u{axis}_mm", moved, 1e-8
    for place, moved in tapers():
        case = "pull and torque" if place in ("tip, ux_mm", "tip, rx_rad") else "tip forces"
        yield "frames/taper", f"{case}, {place}", moved, 1e-10
    prandtl = 2 * brentq(lambda x: jv(-0.25, x), 1.5, 2.5, xtol=1e-14)
    blade = np.sqrt(110_000 * 67.5 * 110_000 / 2.6 * rectangle_torsion(30, 3)) / 300**2
    yield "frames/lateral_buckling", "tip force, buckling_load_factor", prandtl * blade, 1e-10
    stiffness = 110_000 * np.pi * 10**4 / 64
    propped = brentq(lambda x: np.tan(x) - x, 4.4, 4.6, xtol=1e-14)
    lengths = {"free": 600, "pinned": 300, "propped": 300 * np.pi / propped, "clamped": 150}
    for name, effective in lengths.items():
        yield "frames/euler_four_columns", f"{name}, buckling_load_factor", np.pi**2 * stiffness / effective**2, 1e-9
