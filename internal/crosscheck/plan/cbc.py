#!/usr/bin/python3
"""Solve the problems of instances.py with CBC: least grams, then least cents
at that mass. One line per problem, as glpk.c prints them:

  grams,cents,seconds_grams,seconds_cents     or     infeasible,,seconds,

Seconds are the solver's own "Total time (CPU seconds)", which it prints to
hundredths.

usage: cbc.py < FILE > OUT
"""
import json
import os
import re
import subprocess
import sys
import tempfile

from expand import expand


def solve(cols, rows, cost, extra, directory):
    lines = ["Minimize", " obj: " + " + ".join(f"{v / 1000!r} x{j}" for j, v in enumerate(cost)), "Subject To"]
    for i, (bound, coef) in enumerate(rows + extra):
        # Scaled by a power of two, which is exact, to coefficients below one.
        scale = 2.0 ** -max(v.bit_length() for v in coef)
        terms = " ".join(f"{v * scale:+.17g} x{j}" for j, v in enumerate(coef) if v)
        if terms:
            slack = 1e-7 if extra and i == len(rows) else 0
            lines.append(f" r{i}: {terms} >= {bound * scale - slack:.17g}")
        elif bound > 0:
            return None, 0.0
    lines.append("Bounds")
    lines += [f" 0 <= x{j} <= {c[0]}" for j, c in enumerate(cols)]
    lines.append("Generals")
    lines.append(" " + " ".join(f"x{j}" for j in range(len(cols))))
    lines.append("End")
    model, solution = os.path.join(directory, "m.lp"), os.path.join(directory, "s.txt")
    with open(model, "w") as f:
        f.write("\n".join(lines) + "\n")
    out = subprocess.run(["cbc", model, "ratio", "0", "allow", "0", "integerT", "1e-9",
                          "primalT", "1e-9", "sec", "300", "solve", "solution", solution],
                         capture_output=True, text=True, check=True).stdout
    seconds = float(re.search(r"Total time \(CPU seconds\):\s+([\d.]+)", out).group(1))
    x = [0] * len(cols)
    with open(solution) as f:
        head = f.readline()
        if "nfeasible" in head:
            return None, seconds
        if not head.startswith("Optimal"):
            return "time", seconds
        for line in f:
            k = re.search(r"\bx(\d+)\s+(\S+)", line)
            x[int(k.group(1))] = round(float(k.group(2)))
    for bound, coef in rows + extra:
        if sum(a * v for a, v in zip(coef, x)) < bound:  # in integers
            return "wrong", seconds
    return x, seconds


def main():
    with tempfile.TemporaryDirectory() as directory:
        for line in sys.stdin:
            cols, rows = expand(json.loads(line))
            grams = [c[1] for c in cols]
            x, t1 = solve(cols, rows, grams, [], directory)
            if x is None or isinstance(x, str):
                print(f"{'infeasible' if x is None else x},,{t1:.2f},", flush=True)
                continue
            best = sum(a * v for a, v in zip(grams, x))
            y, t2 = solve(cols, rows, [c[2] for c in cols], [(-best, [-g for g in grams])], directory)
            if y is None or isinstance(y, str):
                print(f"{best},{y},{t1:.2f},{t2:.2f}", flush=True)
                continue
            print(f"{best},{sum(c[2] * v for c, v in zip(cols, y))},{t1:.2f},{t2:.2f}", flush=True)


if __name__ == "__main__":
    main()
