"""Plants faults in a copy of the program, all at once, each behind a number.

    cargo mutants --list --json > mutants.json
    python plant.py mutants.json COPY      changes the sources of COPY, writes COPY/faults.json

A fault is one of `terms.toml`, or one of a seeded random sample of what cargo-mutants lists. In
the copy the expression at the fault stands twice: `(if ::faults::on(7) { wrong } else { right })`,
so that one build serves all of them and the environment variable FAULT=7 picks one (FAULT_TRACE=file
notes which are reached). A list of numbers after COPY leaves those out: what does not compile.
"""

import json
import random
import re
import sys
import tomllib
from pathlib import Path

import tree_sitter_rust
from tree_sitter import Language, Parser

HERE = Path(__file__).parent
SEED = 6
SAMPLED = {"frame": 80, "section": 40, "assess": 50, "device": 20, "fatigue": 10, "healing": 10}

SWITCH = """//! Which fault is on.
use std::io::Write;
use std::sync::LazyLock;
use std::sync::atomic::{AtomicBool, Ordering};

static ON: LazyLock<u32> =
    LazyLock::new(|| std::env::var("FAULT").ok().and_then(|n| n.parse().ok()).unwrap_or(0));
static TRACE: LazyLock<Option<String>> = LazyLock::new(|| std::env::var("FAULT_TRACE").ok());
static SEEN: [AtomicBool; 2048] = [const { AtomicBool::new(false) }; 2048];

/// Whether this fault is on.
pub fn on(n: u32) -> bool {
    if let Some(path) = &*TRACE
        && !SEEN[n as usize].swap(true, Ordering::Relaxed)
    {
        let file = std::fs::OpenOptions::new().create(true).append(true).open(path);
        file.unwrap().write_all(format!("{n}\\n").as_bytes()).unwrap();
    }
    *ON == n
}
"""


def left_out(mutant):
    """What no check of numbers could see: text, and what cannot stand behind a switch."""
    function = mutant.get("function") or {}
    name, returns = function.get("function_name", ""), function.get("return_type", "")
    words = re.search(r"\bstr\b|String|Formatter", returns)
    return name.endswith("::fmt") or bool(words) or mutant["genre"] == "StructField"


class Source:
    """A file with the places where faults go in."""

    def __init__(self, path):
        self.path, self.text = path, path.read_bytes()
        self.tree = Parser(Language(tree_sitter_rust.language())).parse(self.text)
        self.edits = {}

    def offset(self, place):
        lines = self.text.split(b"\n")
        line = lines[place["line"] - 1].decode()
        return sum(len(l) + 1 for l in lines[: place["line"] - 1]) + len(line[: place["column"] - 1].encode())

    def is_constant(self, node):
        while node:
            if node.type in ("const_item", "static_item", "array_type", "type_arguments"):
                return True
            if node.type == "function_item":
                return any(c.type == "function_modifiers" and b"const" in c.text for c in node.children)
            node = node.parent
        return False

    def plant(self, number, mutant):
        """Whether the mutant can stand behind a switch."""
        start, end = (self.offset(mutant["span"][k]) for k in ("start", "end"))
        node = self.tree.root_node.descendant_for_byte_range(start, end)
        if self.is_constant(node):
            return False
        genre, new = mutant["genre"], mutant["replacement"].encode()
        if genre == "FnValue":
            value = b"return;" if new == b"()" else b"return " + new + b";"
            self.add(start, start, number, b"if ::faults::on(%d) { %s } " % (number, value))
            return True
        if genre == "MatchArm":
            while node.type != "match_arm":
                node = node.parent
            pattern = node.child_by_field_name("pattern")
            guard = pattern.child_by_field_name("condition")
            if guard:
                if guard.type in ("let_condition", "let_chain"):
                    return False
                self.add(guard.start_byte, guard.end_byte, number, b"false")
            else:
                self.add(pattern.end_byte, pattern.end_byte, number, b" if !::faults::on(%d)" % number)
            return True
        if genre == "MatchArmGuard":
            if node.type in ("let_condition", "let_chain"):
                return False
            self.add(start, end, number, new)
            return True
        whole = node.parent
        if whole.type not in ("binary_expression", "compound_assignment_expr", "unary_expression"):
            return False
        a, b = whole.start_byte, whole.end_byte
        self.add(a, b, number, self.text[a:start] + new + self.text[end:b])
        return True

    def add(self, a, b, number, text):
        self.edits.setdefault((a, b), []).append((number, text))

    def render(self, a, b, inside):
        """The text from a to b with the faults that lie in it."""
        out, at = b"", a
        while inside:
            # The outermost of those that start first.
            (first, last) = min(inside, key=lambda span: (span[0], -span[1]))
            nested = {s for s in inside if first <= s[0] and s[1] <= last and s != (first, last)}
            if first == last:
                nested = set()
            out += self.text[at:first]
            if first == last:
                out += b"".join(text for _, text in self.edits[first, last])
            else:
                right = self.render(first, last, nested)
                branches = b"".join(b"if ::faults::on(%d) { %s } else " % e for e in self.edits[first, last])
                out += b"(" + branches + b"{ " + right + b" })"
            inside = inside - nested - {(first, last)}
            at = last
        return out + self.text[at:b]


def term_places(source, formula):
    """Start and end of a formula's expression."""
    text = source.text.decode()
    spaced = lambda words: r"\s*".join(re.escape(w) for w in re.findall(r"\w+|[^\w\s]", words))
    from_ = re.search(spaced(formula["after"]), text).end() if "after" in formula else 0
    found = re.search(r"(?<![\w.])" + spaced(formula["expression"]), text[from_:])
    assert found, f"{formula['file']}: {formula['expression']} is gone"
    a, b = from_ + found.start(), from_ + found.end()
    return len(text[:a].encode()), len(text[:b].encode())


def main():
    mutants, copy = json.loads(Path(sys.argv[1]).read_text()), Path(sys.argv[2])
    out = {int(n) for n in sys.argv[3:]}
    sources, faults = {}, []

    def source(name):
        return sources.setdefault(name, Source(copy / name))

    number = 0
    for formula in tomllib.loads((HERE / "terms.toml").read_text())["formula"]:
        held = source(formula["file"])
        a, b = term_places(held, formula)
        right = " ".join(held.text[a:b].decode().split())
        for old, new in formula["faults"]:
            number += 1
            assert old in right, (formula["of"], old)
            wrong = right.replace(old, new, 1)
            faults.append({"number": number, "kind": "term", "file": formula["file"], "of": formula["of"],
                           "name": f"`{right}` -> `{wrong}`"})
            if number not in out:
                held.add(a, b, number, wrong.encode())
    pools = {}
    for mutant in mutants:
        module = mutant["file"].split("/")[1].removesuffix(".rs")
        if module in SAMPLED and not left_out(mutant):
            pools.setdefault(module, []).append(mutant)
    chance = random.Random(SEED)
    for module, wanted in SAMPLED.items():
        pool = sorted(pools[module], key=lambda m: m["name"])
        for mutant in chance.sample(pool, wanted):
            number += 1
            planted = number not in out and source(mutant["file"]).plant(number, mutant)
            faults.append({"number": number, "kind": "random", "file": mutant["file"], "of": module,
                           "name": mutant["name"], "planted": planted, "pool": len(pool)})
    for held in sources.values():
        held.path.write_bytes(held.render(0, len(held.text), set(held.edits)))
    (copy / "faults.json").write_text(json.dumps(faults, indent=1))
    switch = copy / "target" / "faults"
    (switch / "src").mkdir(parents=True, exist_ok=True)
    (switch / "src" / "lib.rs").write_text(SWITCH)
    (switch / "Cargo.toml").write_text('[package]\nname = "faults"\nedition = "2024"\n[workspace]\n')
    manifest = copy / "Cargo.toml"
    if "faults" not in manifest.read_text():
        text = manifest.read_text().replace("[dependencies]\n", '[dependencies]\nfaults = { path = "target/faults" }\n')
        manifest.write_text(text)
    print(len(faults), "faults", {k: len(v) for k, v in pools.items()})


if __name__ == "__main__":
    main()
