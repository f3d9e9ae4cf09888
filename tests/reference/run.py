"""Recomputes reference values of the checks with general-purpose libraries.

`python tests/reference/run.py` prints a table and fails if a stored value has drifted. A module
beside this file that has `values()` is run too: it gives (check id, quantity, value, relative
tolerance) for each value of `src/check/values/*.toml` that it recomputes.
"""

import importlib
import sys
import tomllib
from pathlib import Path

HERE = Path(__file__).parent
VALUES = HERE.parent.parent / "src" / "check" / "values"


def stored():
    found = {}
    for path in VALUES.glob("*.toml"):
        for entry in tomllib.loads(path.read_text("utf-8")).get("check", []):
            found[entry["id"]] = entry.get("expected", {})
    return found


def main():
    sys.path.insert(0, str(HERE))
    expected, drifted, count = stored(), 0, 0
    for path in sorted(HERE.glob("*.py")):
        if path.name == "run.py":
            continue
        module = importlib.import_module(path.stem)
        for check, quantity, value, tolerance in getattr(module, "values", tuple)():
            held = expected[check][quantity]
            difference = abs(value - held) / abs(held or 1.0)
            bad = not difference <= tolerance
            drifted += bad
            count += 1
            word = "DRIFTED" if bad else "holds"
            print(f"{check + '.' + quantity:52} {held:20.12g} {value:20.12g} {difference:8.0e} {word}")
    print(f"{count} values recomputed, {drifted} drifted")
    return 1 if drifted or not count else 0


if __name__ == "__main__":
    sys.exit(main())
