"""Runs the tests against each planted fault, in a copy made by `plant.py` and built.

    python run.py COPY TESTS...      TESTS: test programs of the build, best first

Each test is first run alone without a fault: its time and which faults it reaches. A fault is then
tried on the tests that reach it, quickest first, until one fails, or takes ten times as long as
it should and twenty seconds more. Writes COPY/outcome.json as it goes, and goes on from it.
"""

import json
import os
import random
import resource
import signal
import subprocess
import sys
from pathlib import Path

# Seconds of a test in which it is noted what it reaches.
TRACED = 45

# Tests that look at a file first of all.
NEAR = {
    "section/bending": ["external::sections", "polygon_sections", "beams::product_moment"],
    "section/polygon": ["polygon_sections"],
    "section/contour": ["polygon_sections"],
    "section/": ["external::sections"],
    "frame/profile": ["external::beams", "external::taper"],
    "frame/element": ["external::beams", "external::curved", "stress_free", "transform"],
    "frame/corotational": ["corotational::tests", "large_displacement"],
    "frame/rotation": ["rotation", "corotational::tests"],
    "frame/touch": ["external::contact", "contact_laws", "external::canals"],
    "frame/law": ["external::contact", "contact_laws"],
    "frame/": ["external::beams", "external::contact", "external::buckling", "large_displacement"],
    "construct/foundation": ["elastic_foundation", "checks::all_agree"],
    "fatigue/": ["external::fatigue"],
    "healing/": ["external::weeks"],
    "device/notch": ["external::notches"],
    "device/": ["external::devices", "device_flags"],
    "assess/": ["external::assessed", "external::shortening", "external::sizes", "external::around", "sample_assessment"],
}


def run(program, test, copy, limit, **environment):
    """Exit code, none if it was ended, and seconds of processor time; `limit` is of those."""
    command = [program, "--exact", test, "--test-threads", "1"]

    def limited():
        resource.setrlimit(resource.RLIMIT_CPU, (limit, limit))

    # A group of its own, so that programs a test has started end with it.
    child = subprocess.Popen(command, cwd=copy, env=os.environ | environment, start_new_session=True,
                             preexec_fn=limited, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, used = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    code = None if child.returncode in (-signal.SIGKILL, -signal.SIGXCPU) else child.returncode
    return code, used.ru_utime + used.ru_stime


def reached(copy, programs):
    """Time and faults reached of every test."""
    store = copy / "reach.json"
    tests = json.loads(store.read_text()) if store.exists() else []
    known = {(t["program"], t["test"]) for t in tests}
    for program in programs:
        listed = subprocess.run([program, "--list"], cwd=copy, capture_output=True, text=True).stdout
        for line in listed.splitlines():
            if not line.endswith(": test") or (program, line[:-6]) in known:
                continue
            trace = copy / "trace"
            trace.unlink(missing_ok=True)
            code, seconds = run(program, line[:-6], copy, TRACED, FAULT_TRACE=str(trace))
            if code is None:
                # Noting is slow; what is reached is reached early.
                code, seconds = run(program, line[:-6], copy, 1200)
            hit = sorted({int(n) for n in trace.read_text().split()}) if trace.exists() else []
            if code != 0:
                print("not green without a fault, left out:", line[:-6], flush=True)
            tests.append({"program": program, "test": line[:-6], "seconds": seconds, "hit": hit, "green": code == 0})
            store.write_text(json.dumps(tests))
    return [t for t in tests if t["green"]]


def main():
    copy, programs = Path(sys.argv[1]), sys.argv[2:]
    # FAULT_KIND=term or random: only those. FAULT_PART=1/2: every second, for two runs side by side.
    kind = os.environ.get("FAULT_KIND")
    part, parts = map(int, os.environ.get("FAULT_PART", "1/1").split("/"))
    faults = json.loads((copy / "faults.json").read_text())
    random.Random(0).shuffle(faults)
    # FAULT_MOST=12: tests of a fault before the next one; a later run goes on.
    most = int(os.environ.get("FAULT_MOST", "100000"))
    tests = reached(copy, programs)
    # Time of a test over how often it catches what it is tried on, and those that reach little
    # before those that reach much: cheapest first.
    catches = {t["test"]: [1, 5 if "external" in t["test"] else 10] for t in tests}

    def cost(test):
        caught, tried = catches[test["test"]]
        return (0.02 + test["seconds"]) * tried / caught * len(test["hit"]) ** 0.5

    store = copy / f"outcome-{kind or 'all'}-{part}.json"
    outcome = json.loads(store.read_text()) if store.exists() else {}
    for fault in faults[part - 1 :: parts]:
        number = str(fault["number"])
        if fault.get("planted") is False or kind not in (None, fault["kind"]):
            continue
        found = outcome.setdefault(number, {"caught": None, "tried": []})
        ready = [t for t in tests if fault["number"] in t["hit"] and t["test"] not in found["tried"]]
        near = next((names for part, names in NEAR.items() if part in fault["file"]), [])
        for test in sorted(ready, key=lambda t: (not any(n in t["test"] for n in near), cost(t))):
            if found["caught"] or len(found["tried"]) >= most:
                break
            limit = int(20 + 10 * test["seconds"])
            code, used = run(test["program"], test["test"], copy, limit, FAULT=number)
            test["seconds"] = min(test["seconds"], used)
            found["tried"].append(test["test"])
            catches[test["test"]][1] += 1
            if code != 0:
                catches[test["test"]][0] += 1
                found["caught"] = test["test"] + ("" if code is not None else " (did not end)")
        store.write_text(json.dumps(outcome, indent=1))
        told = found["caught"] or f"SURVIVES {len(found['tried'])} tests: {fault['name']}"
        print(number, fault["kind"], len(found["tried"]), told, flush=True)


if __name__ == "__main__":
    main()
