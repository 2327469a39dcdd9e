#!/usr/bin/python3
"""Times examples/sweep and NumPy writing the same rows, in one run on one
machine. Run from the root of the repository, on a machine with nothing else
to do:

    /usr/bin/python3 internal/bench/sweep/compare.py [rows]

It prints how much faster two workers are than one with the results dropped,
the greatest memory with a tenth of the rows and with all, rows per second
into CSV, and how that compares with numpy.savetxt, which is handed the
finished numbers and only has to write them. Not part of CI.
"""
import csv
import json
import os
import subprocess
import sys
import tempfile
import time

import numpy as np

rows = int(sys.argv[1]) if len(sys.argv) > 1 else 1000000
per_sample = 10  # rows of one sample of the built-in design
digits = 7


def run(args, cores):
    """Runs the program on some cores; returns its time and greatest memory."""
    start = time.perf_counter()
    p = subprocess.Popen(args, preexec_fn=lambda: os.sched_setaffinity(0, range(cores)),
                         env=dict(os.environ, GOMAXPROCS=str(cores)))
    _, status, usage = os.wait4(p.pid, 0)
    if status:
        sys.exit("failed: " + " ".join(args))
    return time.perf_counter() - start, usage.ru_maxrss / 1024


with tempfile.TemporaryDirectory() as d:
    sweep = os.path.join(d, "sweep")
    subprocess.run(["go", "-C", "examples", "build", "-o", sweep, "./sweep"], check=True)
    # The built-in design with the answer that most sweeps are after.
    design = json.loads(subprocess.run([sweep, "demo"], check=True, stdout=subprocess.PIPE).stdout)
    design["outputs"] = ["usable", "governing"]
    name = os.path.join(d, "design.json")
    with open(name, "w") as f:
        json.dump(design, f)
    base = [sweep, "-summary=false", "-design", name]

    def size(n):
        return ["-samples", str(max(1, n // per_sample))]

    one, _ = run(base + size(rows) + ["-workers", "1"], 1)
    two, memory = run(base + size(rows) + ["-workers", "2"], 2)
    _, small = run(base + size(rows // 10) + ["-workers", "2"], 2)
    print(f"{rows} rows, dropped: {rows / one:.0f} rows/s on one core, {rows / two:.0f} on two: {one / two:.2f} times")
    print(f"greatest memory on two cores: {small:.0f} MB with a tenth of the rows, {memory:.0f} MB with all")

    out, merged = os.path.join(d, "rows"), os.path.join(d, "rows.csv")
    folder1 = os.path.join(d, "one")
    csv1, _ = run(base + size(rows) + ["-out", folder1, "-workers", "1"], 1)
    csv2, memory = run(base + size(rows) + ["-out", out, "-workers", "2"], 2)
    print(f"evaluated and written as CSV: {rows / csv1:.0f} rows/s on one core, {rows / csv2:.0f} on two, {memory:.0f} MB")
    subprocess.run([sweep, "merge", "-out", merged, out], check=True)

    # The same rows as numbers; a text is its place in the list of texts.
    part = min(rows, 200000)
    with open(merged, newline="") as f:
        reader = csv.reader(f)
        next(reader)
        table, texts = [], {}
        for _, record in zip(range(part), reader):
            line = []
            for cell in record[:-1]:
                try:
                    line.append(float(cell or "nan"))
                except ValueError:
                    line.append(float(texts.setdefault(cell, len(texts))))
            table.append(line)
    table = np.array(table)
    start = time.perf_counter()
    np.savetxt(os.path.join(d, "numpy.csv"), table, fmt=f"%.{digits}g", delimiter=",")
    per_second = len(table) / (time.perf_counter() - start)
    print(f"numpy.savetxt, writing only: {per_second:.0f} rows/s")
    print(f"sweep, evaluating and writing, over numpy.savetxt, writing only: "
          f"{rows / csv1 / per_second:.2f} on one core, {rows / csv2 / per_second:.2f} on two")
