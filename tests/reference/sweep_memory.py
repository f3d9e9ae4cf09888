"""Peak memory of a sweep against the number of samples: it must not grow with them.

`python tests/reference/sweep_memory.py target/release/clavibeam` sweeps the cantilever over twenty
thousand and a hundred thousand samples, writes Parquet, and fails if the second takes over a tenth
more memory than the first, or over 200 MB. A number after the program's name takes
the place of a hundred thousand.
"""

import os
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
STUDY = """
title = "Memory"
frame = "{frame}"
[[input]]
key = "section.rod.circle.diameter_mm"
range = {{ from = 5, to = 15 }}
[[input]]
key = "material.titanium.youngs_modulus_gpa"
distribution = {{ normal = {{ mean = 110, standard_deviation = 5 }} }}
[plan.random]
samples = {samples}
[[output]]
key = "load_cases.tip force.nodes.tip.displacement_mm.3"
column = "down_mm"
"""


def swept(program, samples):
    """Peak memory in MB and time in s."""
    with tempfile.TemporaryDirectory() as folder:
        study = Path(folder) / "study.toml"
        frame = ROOT / "models" / "frames" / "cantilever.toml"
        study.write_text(STUDY.format(frame=frame, samples=samples))
        begun = time.monotonic()
        arguments = [program, "sweep", str(study), "--out", f"{folder}/table.parquet"]
        child = os.spawnv(os.P_NOWAIT, program, arguments)
        _, status, usage = os.wait4(child, 0)
        if status != 0:
            sys.exit(f"{samples} samples: the sweep ended with status {status}")
        return usage.ru_maxrss / 1024, time.monotonic() - begun


def main(program, most):
    peaks = []
    for samples in (20_000, most):
        peak, seconds = swept(program, samples)
        print(f"{samples:9} samples: {peak:6.1f} MB at most, {seconds:5.1f} s", flush=True)
        peaks.append(peak)
    if peaks[1] > 1.1 * peaks[0] or peaks[1] > 200:
        sys.exit("memory grows with the number of samples")


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 100_000)
