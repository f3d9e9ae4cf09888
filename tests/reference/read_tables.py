"""Reads the tables of a sweep back with DuckDB and Polars: CSV, Parquet and what they belong to.

`python tests/reference/read_tables.py target/release/clavibeam` makes a small sweep as CSV and as
Parquet and fails if either library reads other values, kinds, columns or metadata than were
written.
"""

import csv
import json
import math
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PLATE = "superior plate"

# Numbers and words, drawn and listed; twenty-four holes make a plate longer than the bone, which fails.
STUDY = f"""
title = "Tables, read back: ä, °, \\"quoted\\""
case = "{ROOT}/models/roof-tiler-comminuted.toml"
[[input]]
key = "construct.{PLATE}.plate.thickness_mm"
distribution = {{ normal = {{ mean = 3.5, standard_deviation = 0.4, at_least = 2, at_most = 5 }} }}
[[input]]
key = "construct.{PLATE}.plate.hole_count"
column = "hole_count"
values = [6, 8, 24]
[[input]]
key = "construct.{PLATE}.plate.surface"
column = "surface"
values = ["superior", "anteroinferior"]
[plan.latin-hypercube]
samples = 120
seed = 7
[[output]]
key = "constructs.{PLATE}.stiffness.bending_sup_inf_nm_per_deg"
column = "bending_nm_per_deg"
[[output]]
key = "constructs.{PLATE}.removal.weakest"
column = "weakest"
[[output]]
key = "constructs.{PLATE}.working_length_mm"
[[output]]
key = "constructs.{PLATE}.flags.*"
take = "count"
column = "flags"
[[output]]
key = "patient.length_mm"
"""

KINDS = {
    "sample": "BIGINT",
    f"construct.{PLATE}.plate.thickness_mm": "DOUBLE",
    "hole_count": "DOUBLE",
    "surface": "VARCHAR",
    "bending_nm_per_deg": "DOUBLE",
    "weakest": "VARCHAR",
    f"constructs.{PLATE}.working_length_mm": "DOUBLE",
    "flags": "DOUBLE",
    "patient.length_mm": "DOUBLE",
    "failure": "VARCHAR",
}
IN_POLARS = {"BIGINT": "Int64", "DOUBLE": "Float64", "VARCHAR": "String"}
FAILED = 40


def same(name, found, expected):
    if found != expected:
        sys.exit(f"{name}: read {found!r}, expected {expected!r}")


def typed(cell, kind):
    """A cell of the CSV file as the value that it stands for."""
    if cell == "":
        return None
    return {"BIGINT": int, "DOUBLE": float, "VARCHAR": str}[kind](cell)


def written(path):
    """The CSV file, read by nothing but Python."""
    with open(path, newline="", encoding="utf-8") as file:
        head, *rows = csv.reader(file)
    same("columns of the CSV file", head, list(KINDS))
    return [tuple(map(typed, row, KINDS.values())) for row in rows]


def belongs_to(name, text, other):
    """What a table says it belongs to."""
    said = json.loads(text)
    cargo = tomllib.loads((ROOT / "Cargo.toml").read_text("utf-8"))
    expected = {
        "format": "clavibeam-sweep-1",
        "title": 'Tables, read back: ä, °, "quoted"',
        "version": cargo["package"]["version"],
        "plan": "Latin hypercube",
        "seed": 7,
        "samples": 120,
        "rows": 120,
        "failed": FAILED,
    }
    same(f"metadata of {name}", {key: said.get(key) for key in expected}, expected)
    same(f"columns in the metadata of {name}", [c["name"] for c in said["columns"]], list(KINDS))
    if len(said["study"]) != 16:
        sys.exit(f"metadata of {name}: no mark of the study: {said['study']!r}")
    if other is not None:
        same(f"metadata of {name}", said, other)
    return said


def main(program):
    import duckdb
    import polars

    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        study, in_csv, parquet = (folder / name for name in ("s.toml", "t.csv", "t.parquet"))
        study.write_text(STUDY, "utf-8")
        for table in (in_csv, parquet):
            subprocess.run([program, "sweep", study, "--out", table], check=True, stdout=subprocess.DEVNULL)

        rows = written(in_csv)
        same("rows of the CSV file", [row[0] for row in rows], list(range(120)))
        failures = [row for row in rows if row[-1] is not None]
        same("samples that failed", (len(failures), {row[2] for row in failures}), (FAILED, {24.0}))
        for row in rows:
            numbers = [cell for cell in row[:-1] if isinstance(cell, float)]
            if not all(map(math.isfinite, numbers)) or not 2 <= row[1] <= 5:
                sys.exit(f"a row with numbers that cannot be: {row}")
            same("results of a row", row[4] is None, row[-1] is not None)

        relation = duckdb.sql(f"SELECT * FROM read_parquet('{parquet}')")
        kinds = dict(zip(relation.columns, map(str, relation.types)))
        same("kinds of columns in DuckDB", kinds, KINDS)
        same("Parquet in DuckDB", relation.fetchall(), rows)
        columns = json.dumps(KINDS, ensure_ascii=False)
        query = f"SELECT * FROM read_csv('{in_csv}', header = true, columns = {columns})"
        same("CSV in DuckDB", duckdb.sql(query).fetchall(), rows)

        frame = polars.read_parquet(parquet)
        kinds = {name: str(kind) for name, kind in frame.schema.items()}
        same("kinds of columns in Polars", kinds, {name: IN_POLARS[kind] for name, kind in KINDS.items()})
        same("Parquet in Polars", frame.rows(), rows)
        schema = {name: getattr(polars, IN_POLARS[kind]) for name, kind in KINDS.items()}
        same("CSV in Polars", polars.read_csv(in_csv, schema=schema).rows(), rows)

        companion = (folder / "t.csv.meta.json").read_text("utf-8")
        said = belongs_to("the CSV file", companion, None)
        [(text,)] = duckdb.sql(
            f"SELECT value FROM parquet_kv_metadata('{parquet}') WHERE key = 'clavibeam'"
        ).fetchall()
        belongs_to("the Parquet file, by DuckDB", text, said)
        belongs_to("the Parquet file, by Polars", polars.read_parquet_metadata(parquet)["clavibeam"], said)
    print(f"{len(rows)} rows of {len(KINDS)} columns: CSV = Parquet, in DuckDB and in Polars")


if __name__ == "__main__":
    main(sys.argv[1])
