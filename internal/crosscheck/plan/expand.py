#!/usr/bin/python3
"""Write the problems of instances.py as plain integer rows, for glpk.c.

usage: expand.py < FILE > ROWS

For each problem: the number of columns and of rows; upper bound, grams and
cents of each column; bound and coefficients of each row (sum >= bound).
"""
import json
import sys


def expand(p):
    cols = p["columns"]
    n = len(cols)
    rows = []
    for a, b, c, bound, lowered in p["rows"]:
        rows.append((bound, [0 if raised and lowered else g * (a + b * x + c * z)
                             for _, g, _, x, z, raised, _ in cols]))
    for terms, bound in p["extra"]:
        coef = [0] * n
        for j, a in terms:
            coef[j] = a
        rows.append((bound, coef))
    for group in sorted({c[6] for c in cols} - {0}):
        rows.append((-1, [-1 if c[6] == group else 0 for c in cols]))
    return [c[:3] for c in cols], rows


def main():
    for line in sys.stdin:
        cols, rows = expand(json.loads(line))
        print(len(cols), len(rows))
        for c in cols:
            print(*c)
        for bound, coef in rows:
            print(bound, *coef)


if __name__ == "__main__":
    main()
