"""Recomputes reference values of the checks with general-purpose libraries.

`python tests/reference/run.py` prints a table and fails if a stored value has drifted. A module
beside this file is run in one of two ways. `values()` gives (check id, quantity, value, relative
tolerance) for each value of `src/check/values/*.toml` that it recomputes, and for values of
`models/frames/*.toml` ("frames/" and the file's name; load case, place and quantity). `document()`
gives the lines of the TOML file of the module's own name, whose numbers are held to 1e-11.
"""

import importlib
import os
import sys
import tomllib
from pathlib import Path

HERE = Path(__file__).parent
ROOT = HERE.parent.parent
# One thread: the systems are small, and more only wait for each other.
os.environ.setdefault("OMP_NUM_THREADS", "1")


def stored():
    """Numbers, or ranges, by check and quantity."""
    found = {}
    for path in (ROOT / "src" / "check" / "values").glob("*.toml"):
        for entry in tomllib.loads(path.read_text("utf-8")).get("check", []):
            found[entry["id"]] = entry.get("between", {}) | entry.get("expected", {})
    for path in (ROOT / "models" / "frames").glob("*.toml"):
        held = found[f"frames/{path.stem}"] = {}
        for entry in tomllib.loads(path.read_text("utf-8")).get("expect", []):
            # Where a file states a quantity twice, its second value has a name of its own.
            while (name := named(entry)) in held:
                entry["quantity"] += ", again"
            held[name] = entry["value"]
    return found


def named(entry):
    """Load case, place and quantity of a reference value of a frame file."""
    place = entry.get("node") or entry.get("member") or entry.get("coupling")
    if "at_mm" in entry:
        place += f" at {entry['at_mm']:g} mm"
    return ", ".join(filter(None, [entry["load_case"], place, entry["quantity"]]))


def difference(value, held):
    """As a fraction of what is stored; 0 inside a stored range."""
    low, high = held if isinstance(held, list) else (held, held)
    return max(low - value, value - high, 0.0) / abs(high or 1.0)


def numbers(place, value):
    """Every number of a TOML value with the place where it stands."""
    if isinstance(value, dict):
        value = value.items()
    elif isinstance(value, list):
        value = enumerate(value)
    else:
        if not isinstance(value, str):
            yield place, float(value)
        return
    for key, held in value:
        yield from numbers(f"{place}.{key}", held)


def drifted_in_document(path, lines):
    """How many numbers of a stored file have drifted, and how many it has."""
    held = list(numbers(path.stem, tomllib.loads(path.read_text("utf-8"))))
    made = list(numbers(path.stem, tomllib.loads("\n".join(lines))))
    if [place for place, _ in held] != [place for place, _ in made]:
        print(f"{path.name} is not laid out as its generator lays it out: write it anew")
        return 1, len(made)
    drifted = 0
    for (place, stored_value), (_, value) in zip(held, made):
        if not abs(value - stored_value) <= 1e-11 * abs(stored_value or 1.0):
            drifted += 1
            print(f"{place:52} {stored_value:20.12g} {value:20.12g} DRIFTED")
    return drifted, len(made)


def main():
    sys.path.insert(0, str(HERE))
    expected, drifted, count = stored(), 0, 0
    for path in sorted(HERE.glob("*.py")):
        if path.name == "run.py":
            continue
        module = importlib.import_module(path.stem)
        for check, quantity, value, tolerance in getattr(module, "values", tuple)():
            held = expected[check][quantity]
            apart = difference(value, held)
            bad = not apart <= tolerance
            drifted += bad
            count += 1
            word = "DRIFTED" if bad else "holds"
            shown = held if isinstance(held, list) else f"{held:.12g}"
            print(f"{check + '.' + quantity:64} {shown!s:>24} {value:20.12g} {apart:8.0e} {word}")
        if hasattr(module, "document"):
            bad, made = drifted_in_document(path.with_suffix(".toml"), module.document())
            drifted += bad
            count += made
            print(f"{path.stem + '.toml':52} {made} numbers, {bad} drifted")
    print(f"{count} values recomputed, {drifted} drifted")
    return 1 if drifted or not count else 0


if __name__ == "__main__":
    sys.exit(main())
