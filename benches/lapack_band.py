"""Times LAPACK's dpbtrf and dpbtrs on a matrix that the bench program has written.

Usage: OPENBLAS_NUM_THREADS=1 python3 lapack_band.py MATRIX.f64 SIZE
The file holds the lower band of a symmetric matrix, column after column, as doubles.
Prints the fastest and the median time in microseconds.
"""

import sys
import time

import numpy
from scipy.linalg import lapack

REPETITIONS = 400

path, size = sys.argv[1], int(sys.argv[2])
band = numpy.fromfile(path).reshape(size, -1).T
band = numpy.asfortranarray(band)
right = numpy.ones((size, 1), order="F")
times = []
for _ in range(REPETITIONS):
    work, x = band.copy(order="F"), right.copy(order="F")
    start = time.perf_counter()
    factor, failed = lapack.dpbtrf(work, lower=1, overwrite_ab=1)
    x, unsolved = lapack.dpbtrs(factor, x, lower=1, overwrite_b=1)
    times.append(time.perf_counter() - start)
    if failed or unsolved:
        sys.exit("LAPACK refused the matrix")
print(min(times) * 1e6, sorted(times)[REPETITIONS // 2] * 1e6)
