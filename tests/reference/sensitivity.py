"""Reference numbers for the sensitivity checks: Sobol's indices and correlations.

Run with SciPy 1.17:  python tests/reference/sensitivity.py > tests/reference/sensitivity.toml
"""

from math import cos, sin

import numpy as np
from scipy import stats

BLOCKS, INPUTS = 64, 3


def wave(seed, count):
    """Numbers without a pattern that anyone can make again: fractions of big sines."""
    return [float(np.modf(abs(sin(12.9898 * (seed + 7 * n)) * 43758.5453))[0]) for n in range(count)]


def model(x):
    return 3 + sin(3 * x[0]) + 2 * x[1] ** 2 + x[0] * x[2]


def blocks():
    """Outputs at A, AB1 .. ABk, B of each block."""
    for n in range(BLOCKS):
        a, b = wave(n + 0.1, INPUTS), wave(n + 0.6, INPUTS)
        mixed = [[b[i] if i == k else a[i] for i in range(INPUTS)] for k in range(INPUTS)]
        yield [model(point) for point in [a, *mixed, b]]


def pairs():
    x = wave(0.3, 40)
    y = [each**2 + 0.3 * cos(20 * n) for n, each in enumerate(x)]
    return x, y


def document():
    """The whole of `sensitivity.toml`."""
    yield "# Written by sensitivity.py; do not edit."
    values = np.array(list(blocks()))
    result = stats.sobol_indices(
        func={
            "f_A": values[:, 0].reshape(1, -1),
            "f_B": values[:, -1].reshape(1, -1),
            "f_AB": values[:, 1:-1].T.reshape(INPUTS, 1, -1),
        },
        n=BLOCKS,
    )
    yield f"\n[indices]\nblocks = {[float(value) for value in values.flatten()]}"
    yield f"first_order = {[float(value) for value in result.first_order]}"
    yield f"total = {[float(value) for value in result.total_order]}"
    x, y = pairs()
    rounded = [round(5 * value) for value in x], [round(4 * value) for value in y]
    for name, (one, other) in {"scattered": (x, y), "tied": rounded}.items():
        pearson, spearman = stats.pearsonr(one, other), stats.spearmanr(one, other)
        interval = pearson.confidence_interval(0.95)
        yield f"\n[[correlation]]\nname = \"{name}\""
        yield f"x = {[float(value) for value in one]}\ny = {[float(value) for value in other]}"
        yield f"pearson = {float(pearson.statistic)}"
        yield f"pearson_interval = {[float(interval.low), float(interval.high)]}"
        yield f"spearman = {float(spearman.statistic)}"
        yield f"ranks = {[float(rank) for rank in stats.rankdata(one)]}"


if __name__ == "__main__":
    print("\n".join(document()))
