#!/usr/bin/python3
"""Compare the integer optimizer with a solver on the same ballast problems.

Runs glpk.c (compiled by this script against libglpk) and this folder's
command on the committed problems, one after the other on one core, and prints
ratios: solver time over ours, process start and reading excluded on both
sides. With --cbc FILE it also takes the times of a run of cbc.py; CBC reports
hundredths of a second.

usage, from the root of the module: internal/bench/plan/ratios.py [--cbc FILE]
"""
import os
import statistics
import subprocess
import sys
import tempfile

HERE = "internal/crosscheck/plan/"
DATA = "testdata/plan/instances.jsonl"


def report(name, ours, theirs):
    pairs = [(a, b) for a, b in zip(ours, theirs) if b is not None]
    a, b = [p[0] for p in pairs], [p[1] for p in pairs]
    ratios = sorted(y / x for x, y in pairs)
    print(f"{name}: {len(pairs)} problems; ratio of the medians {statistics.median(b) / statistics.median(a):.1f}, "
          f"of the worst {max(b) / max(a):.0f}, of the sums {sum(b) / sum(a):.0f}; "
          f"median of the ratios {statistics.median(ratios):.1f}, tenth smallest in a hundred {ratios[len(ratios) // 10]:.1f}")


def times(lines):
    grams, both = [], []
    for line in lines:
        f = line.split(",")
        first = float(f[2])
        second = float(f[3]) if f[3].strip() else 0.0
        grams.append(first)
        both.append(first + second)
    return grams, both


def main():
    with tempfile.TemporaryDirectory() as d:
        solver = os.path.join(d, "glpk")
        subprocess.run(["cc", "-O2", "-o", solver, HERE + "glpk.c", "-lglpk", "-lm"], check=True)
        rows = os.path.join(d, "rows")
        with open(DATA) as f, open(rows, "w") as out:
            subprocess.run([sys.executable, HERE + "expand.py"], stdin=f, stdout=out, check=True)
        mine = os.path.join(d, "mine")
        subprocess.run(["go", "build", "-o", mine, "./internal/bench/plan"], check=True)
        with open(DATA) as f:
            lines = subprocess.run([mine], stdin=f, capture_output=True, text=True, check=True,
                                   env=dict(os.environ, GOMAXPROCS="1")).stdout.split()
        one = [float(x.split(",")[0]) for x in lines]
        two = [float(x.split(",")[1]) for x in lines]
        with open(rows) as f:
            theirs = subprocess.run([solver], stdin=f, capture_output=True, text=True, check=True).stdout.splitlines()
    print(f"ours: median {1e3 * statistics.median(two):.1f} ms, worst {1e3 * max(two):.1f} ms (this machine, both objectives and tie-break)")
    grams, both = times(theirs)
    report("GLPK, grams alone", one, grams)
    report("GLPK, grams then cents", two, both)
    if len(sys.argv) > 2 and sys.argv[1] == "--cbc":
        with open(sys.argv[2]) as f:
            grams, both = times(f)
        report("CBC, grams alone", one, grams)
        report("CBC, grams then cents", two, both)


if __name__ == "__main__":
    main()
