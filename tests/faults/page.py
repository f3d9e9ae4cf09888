"""Writes tests/FAULTS.md from what `run.py` found: python page.py COPY

`survivors.toml` says of each fault that no test caught why it cannot be caught, or `killed_by` the
check that has been added for it since.
"""

import json
import sys
import tomllib
from pathlib import Path

from scipy.stats import binomtest

HERE = Path(__file__).parent
HEAD = """# Faults planted

Made by `tests/faults/page.py`. A check that cannot fail proves nothing: these faults were put into
the program one at a time, and the tests in `tests/suite` run until one of them failed. `plant.py`
says how faults are drawn and planted, `run.py` how they are tried. To repeat:

    cargo mutants --list --json > mutants.json
    python tests/faults/plant.py mutants.json COPY     a clone, its sources are changed
    cd COPY && cargo test --release --test suite --no-run
    python tests/faults/run.py COPY COPY/target/release/deps/suite-...
    python tests/faults/page.py COPY

`pip install tree-sitter tree-sitter-rust scipy` for the scripts. What does not compile is named to
`plant.py` after COPY.
"""


def code(text):
    return "`" + text.strip("`").replace("|", "\\|") + "`"


def caught_by(fault, outcome, reasons):
    found = outcome[str(fault["number"])]["caught"]
    if found:
        return found
    reason = reasons.get(fault["name"], {})
    return reason.get("killed_by", "not caught: " + reason.get("why", "?"))


def main():
    copy = Path(sys.argv[1])
    faults = json.loads((copy / "faults.json").read_text())
    outcome = json.loads((copy / "outcome.json").read_text())
    reasons = {s["fault"]: s for s in tomllib.loads((HERE / "survivors.toml").read_text())["survivor"]}
    tried = [f for f in faults if str(f["number"]) in outcome]
    missed = {f["number"]: reasons.get(f["name"], {}) for f in tried if not outcome[str(f["number"])]["caught"]}
    lines = [HEAD]

    lines += ["## A random sample", ""]
    lines += ["Drawn by a seed from what cargo-mutants lists for these modules (operators exchanged, values",
              "returned at once, arms and guards of matches). Left out: functions that return text and",
              "`fmt`, as no number depends on them; fields deleted from struct expressions and what stands",
              "in a `const`, as they cannot be switched on while the program runs. What does not compile",
              "is no fault. They are tried in random order, so those tried are a sample too. The run is not",
              "finished: a fault not caught so far was tried on 14 of the tests that reach it at most, so",
              "what is left is an upper bound.", ""]
    lines += ["| module | listed | drawn | do not compile | not tried yet | tried | caught | caught by a check added since | same answers | left |",
              "|---|--:|--:|--:|--:|--:|--:|--:|--:|--:|"]
    total = [0] * 8
    weighted = weight = 0
    for module in dict.fromkeys(f["of"] for f in faults if f["kind"] == "random"):
        drawn = [f for f in faults if f["kind"] == "random" and f["of"] == module]
        run = [f for f in drawn if f in tried]
        survive = [missed[f["number"]] for f in run if f["number"] in missed]
        added = sum("killed_by" in s for s in survive)
        same = sum(s.get("equivalent", False) for s in survive)
        left = len(survive) - added - same
        unbuilt = sum(f["planted"] is False for f in drawn)
        row = [len(drawn), unbuilt, len(drawn) - unbuilt - len(run), len(run), len(run) - len(survive), added, same, left]
        total = [a + b for a, b in zip(total, row)]
        listed = drawn[0]["pool"]
        weight += listed
        weighted += listed * left / max(len(run) - same, 1)
        lines.append(f"| {module} | {listed} | " + " | ".join(map(str, row)) + " |")
    lines.append(f"| all | {weight} | " + " | ".join(map(str, total)) + " |")
    count, first, left = total[3] - total[6], total[5] + total[7], total[7]

    def share(happened):
        interval = binomtest(happened, count).proportion_ci(method="exact")
        return f"{happened} of {count}, {happened / count:.1%} (95 % interval {interval.low:.1%} to {interval.high:.1%})"

    lines += ["", f"Faults that change an answer and were not caught: at first {share(first)}; with the checks",
              f"added since {share(left)}, {weighted / weight:.1%} where each module counts by what it lists.", ""]
    lines += ["| fault | caught by |", "|---|---|"]
    for fault in tried:
        if fault["kind"] == "random":
            lines.append(f"| {code(fault['name'])} | {caught_by(fault, outcome, reasons)} |")

    terms = [f for f in tried if f["kind"] == "term"]
    held = sum(bool(outcome[str(f["number"])]["caught"]) for f in terms)
    lines += ["", "## One term at a time", "",
              "At least one fault for each term of the formulas for stiffness, sections, contact and fatigue,",
              "and for the steps of the solver. Tried on the tests of the suite and on those beside the code:",
              f"{held} of {len(terms)} were caught as the suite stood. A fault not caught was tried on 90 of the",
              "tests that reach it or more, or on all of them where fewer do.", "",
              "| formula | file | fault | caught by |", "|---|---|---|---|"]
    for f in terms:
        right, wrong = f["name"].split(" -> ")
        name = f["file"].removeprefix("src/")
        lines.append(f"| {f['of']} | {name} | {code(right)} becomes {code(wrong)} | {caught_by(f, outcome, reasons)} |")
    (HERE.parent / "FAULTS.md").write_text("\n".join(lines) + "\n")
    print(total, held, len(terms), [n for n, s in missed.items() if not s])


if __name__ == "__main__":
    main()
