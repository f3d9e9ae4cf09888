#!/usr/bin/env bash
# Eight parts of a study, run by GNU parallel and gathered, are the table of one run byte for byte.
# Needs: parallel (Debian), and the program built with --release. Takes seconds.
set -euo pipefail
cd "$(dirname "$0")/../.."
program=$PWD/target/release/clavibeam
study=$PWD/models/studies/nail-canal-gap.toml
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cd "$work"

"$program" sweep "$study" --out whole.csv >/dev/null
# --citation is asked for once by parallel itself; --will-cite answers it for this run.
parallel --will-cite --jobs 2 --halt now,fail=1 --joblog jobs.log \
    "$program" sweep "$study" --part {}/8 --threads 1 --out {}.part ::: {1..8} >/dev/null
"$program" gather ./*.part --out joined.csv
cmp <(sort whole.csv) <(sort joined.csv)
cmp whole.csv joined.csv
cmp whole.csv.meta.json joined.csv.meta.json

# A part that is missing is named, and nothing is written.
rm joined.csv 5.part
if "$program" gather ./*.part --out joined.csv 2>message; then exit 1; fi
grep -q 'missing .* part 5/8' message
[ ! -e joined.csv ]
echo "8 parts by GNU parallel = 1 run, byte for byte: $(($(wc -l <whole.csv) - 1)) rows"
