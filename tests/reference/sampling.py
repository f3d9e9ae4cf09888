"""Reference numbers for the sampling checks: Sobol points and quantiles.

Run with SciPy 1.17:  python tests/reference/sampling.py > tests/reference/sampling.toml
"""

from math import log1p, sqrt

from scipy import stats
from scipy.stats import qmc

AXES = 40
# SciPy's points in the order of Gray's code: the first ones, and some far out.
INDICES = [*range(16), 1000, 65535, 1234567]
SHARES = [1e-6, 0.001, 0.1, 0.25, 0.5, 0.9, 0.975, 0.999999]


def sobol():
    for index in INDICES:
        engine = qmc.Sobol(AXES, scramble=False, bits=32)
        if index > 0:
            engine.fast_forward(index)
        yield index, engine.random(1)[0]


def lognormal_deviation(variation):
    return sqrt(log1p(variation**2))


def cut(mean, deviation, low, high):
    return stats.truncnorm((low - mean) / deviation, (high - mean) / deviation, mean, deviation)


QUANTITIES = {
    "uniform": stats.uniform(-2, 5),
    "triangular": stats.triang((1.5 - 1) / 3, 1, 3),
    "normal": stats.norm(156, 9),
    "normal-cut": cut(6.7, 2.6, 3.0, 10.0),
    "normal-tail": cut(0, 1, 5.0, float("inf")),
    "lognormal": stats.lognorm(lognormal_deviation(0.3), scale=2.0),
}


def document():
    """The whole of `sampling.toml`."""
    yield "# Written by sampling.py; do not edit."
    yield f"shares = {SHARES}"
    for index, point in sobol():
        yield f"\n[[sobol]]\nindex = {index}\npoint = {[float(x) for x in point]}"
    for name, distribution in QUANTITIES.items():
        values = [float(distribution.ppf(share)) for share in SHARES]
        yield f"\n[[quantiles]]\nname = \"{name}\"\nvalues = {values}"
    for happened, count in [(0, 20), (1, 20), (7, 200), (20, 20)]:
        interval = stats.binomtest(happened, count).proportion_ci(method="exact")
        wilson = stats.binomtest(happened, count).proportion_ci(method="wilson")
        yield f"\n[[proportion]]\nhappened = {happened}\ncount = {count}"
        yield f"exact = {[float(interval.low), float(interval.high)]}"
        yield f"wilson = {[float(wilson.low), float(wilson.high)]}"


if __name__ == "__main__":
    print("\n".join(document()))
