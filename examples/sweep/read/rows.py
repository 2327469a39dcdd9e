"""Reads the rows of a sweep and says which limits govern, and how much of the usable load
each factor explains by rank.

    sweep -out rows && sweep merge -out rows.csv rows
    python3 rows.py rows.csv

It needs pandas. Beside rows.csv stands rows.csv.json, which says what each column is; a
Parquet file holds the same text in its metadata under "steelyard.sweep".
"""
import json
import sys

import pandas as pd

name = sys.argv[1]
if name.endswith(".parquet"):
    import pyarrow.parquet as pq

    rows = pd.read_parquet(name)
    about = json.loads(pq.read_schema(name).metadata[b"steelyard.sweep"])
else:
    rows = pd.read_csv(name)
    with open(name + ".json", encoding="utf-8") as f:
        about = json.load(f)

assert list(rows.columns) == [c["column"] for c in about["columns"]]
print(f"{len(rows)} rows of design {about['design'][:12]}, seed {about['seed']}")
for c in about["columns"]:
    print(f"  {c['column']:24} {c['kind']:8} {c.get('unit', ''):10} {', '.join(c.get('paths', []))}")
for note in about["notes"]:
    print("-", note)

answered = rows[rows.refused.isna()]
if len(answered) < len(rows):
    print("refused, by what was asked for and where:")
    print(rows[rows.refused.notna()].groupby(["refused", "refused_path"], dropna=False).size().to_string())
print(answered.groupby("governing").usable_kg.describe(percentiles=[0.05, 0.5, 0.95]).to_string())

# Ranks need an order. A factor that takes texts, such as the operator, has none here, and
# is compared by its groups.
for c in about["columns"]:
    if c["kind"] != "factor":
        continue
    column = answered[c["column"]]
    if "values" in c:
        print(f"{c['column']:24} medians: {answered.groupby(c['column']).usable_kg.median().round(1).to_dict()}")
    else:
        print(f"{c['column']:24} rank correlation {column.rank().corr(answered.usable_kg.rank()):+.2f}")
