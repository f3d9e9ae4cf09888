"""The clavicle's centre line and canal, and plates with holes and notches, by interpolation and quadrature."""

import tomllib
from pathlib import Path

import numpy as np
from scipy.integrate import quad
from scipy.interpolate import CubicSpline, PchipInterpolator
from scipy.optimize import minimize_scalar

PRESETS = Path(__file__).parents[2] / "src" / "anatomy" / "presets.toml"


def integral(function, low, high, **options):
    return quad(function, low, high, epsabs=0, epsrel=1e-12, limit=200, **options)[0]


def lines(preset):
    """Anterior and superior course by fraction of the length."""
    medial, lateral = preset["medial_curve_depth_mm"], preset["lateral_curve_depth_mm"]
    bow = preset["superior_bow_mm"]
    return (
        CubicSpline([0, 0.36, 0.58, 0.76, 1], [0, medial, 0, -lateral, 0], bc_type="natural"),
        CubicSpline([0, 0.40, 0.75, 1], [0, 0.35 * bow, bow, 0], bc_type="natural"),
    )


def arc_length(preset, to):
    courses, length = lines(preset), preset["length_mm"]

    def speed(share):
        return np.sqrt(length**2 + sum(course(share, 1) ** 2 for course in courses))

    return integral(speed, 0, to, points=[0.36, 0.40, 0.58, 0.75, 0.76])


def radius_seen_from_above(preset, at):
    course, length = lines(preset)[0], preset["length_mm"]
    return (length**2 + course(at, 1) ** 2) ** 1.5 / abs(length * course(at, 2))


def narrowest_canal(preset):
    at = [station["fraction"] for station in preset["stations"]]

    def along(key):
        return PchipInterpolator(at, [station[key] for station in preset["stations"]])

    wall, outer = along("wall_mm"), [along("ap_mm"), along("si_mm")]

    def canal(share):
        return min(size(share) for size in outer) - 2 * wall(share)

    places = np.linspace(*preset["canal_zone"], 200)
    near = places[np.argmin([canal(share) for share in places])]
    return minimize_scalar(canal, bounds=(near - 0.01, near + 0.01), method="bounded", options={"xatol": 1e-10}).fun


def strips(width, chord, half, length, on_edge):
    """1 over the mean flexibility of strips across a plate; `on_edge` of a chord what is left of w^3."""

    def mean(left):
        def at(angle):
            return half * np.cos(angle) / left(chord(half * np.sin(angle)))

        # x = half sin(angle): the chord is a root in x but smooth in the angle.
        return 1 - 2 * half / length + integral(at, -np.pi / 2, np.pi / 2) / length

    return 1 / mean(lambda c: 1 - c / width), 1 / mean(on_edge)


def values():
    presets = {p["name"]: p for p in tomllib.loads(PRESETS.read_text("utf-8"))["preset"]}
    for name, preset in presets.items():
        yield f"{name}-arc", "arc_length_mm", arc_length(preset, 1), 1e-11
        yield f"{name}-arc", "arc_length_of_half_mm", arc_length(preset, 0.5), 1e-11
    man = presets["adult-male-average"]
    yield "man-radius-0.316", "radius_of_curve_mm", radius_seen_from_above(man, 0.316), 1e-5
    yield "man-radius-0.784", "radius_of_curve_mm", radius_seen_from_above(man, 0.784), 1e-5
    yield "man-canal", "narrowest_canal_mm", narrowest_canal(man), 1e-7

    hole = strips(10, lambda x: 2 * np.sqrt(4 - x**2), 2, 4, lambda c: 1 - (c / 10) ** 3)
    notch = strips(10, lambda x: 2 * np.sqrt(1.25**2 - x**2), 1.25, 7, lambda c: (1 - c / 10) ** 3)
    for check, left in {"hole-strips": hole, "notch-strips": notch}.items():
        yield check, "stiffness_left_flat", left[0], 1e-9
        yield check, "stiffness_left_on_edge", left[1], 1e-9
