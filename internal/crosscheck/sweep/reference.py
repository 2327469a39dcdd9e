#!/usr/bin/python3
"""Writes examples/sweep/testdata/reference.json: random words by NumPy's
Philox4x64-10, quantiles by SciPy's distributions, rank correlations by
scipy.stats.spearmanr and Sobol indices of the Ishigami function from its
published closed form. Run from the root of the repository:

    /usr/bin/python3 internal/crosscheck/sweep/reference.py

The tests read the file; they never run this script.
"""
import json
import math

import numpy as np
import scipy
from scipy import stats


def philox():
    out = []
    rng = np.random.default_rng(1)
    cases = [([0, 0], [0, 0, 0, 0]), ([2**64 - 1] * 2, [2**64 - 1] * 4)]
    cases += [([int(v) for v in rng.integers(0, 2**63, 2)],
               [int(v) for v in rng.integers(0, 2**63, 4)]) for _ in range(6)]
    for key, counter in cases:
        # NumPy steps the 256-bit counter before it draws.
        n = (sum(c << (64 * i) for i, c in enumerate(counter)) - 1) % 2**256
        before = [(n >> (64 * i)) % 2**64 for i in range(4)]
        bits = np.random.Philox(counter=np.array(before, dtype=np.uint64),
                                key=np.array(key, dtype=np.uint64))
        out.append({"key": [str(v) for v in key], "counter": [str(v) for v in counter],
                    "words": [str(v) for v in bits.random_raw(4)]})
    return out


def quantiles():
    us = [1e-12, 1e-6, 1e-3, 0.025, 0.1, 0.25, 0.5, 0.75, 0.9, 0.975, 0.999, 1 - 1e-6]
    out = []

    def add(kind, args, dist):
        out.append({"kind": kind, "args": args, "u": us, "x": [float(dist.ppf(u)) for u in us]})

    add("uniform", [-2.0, 5.0], stats.uniform(-2, 7))
    add("triangular", [1.0, 1.5, 4.0], stats.triang((1.5 - 1) / 3, 1, 3))
    add("triangular", [1.0, 1.0, 4.0], stats.triang(0, 1, 3))
    add("triangular", [1.0, 4.0, 4.0], stats.triang(1, 1, 3))
    for mean, sd, low, high in [(2.1, 0.05, 1.9, 2.2), (0, 1, -8, 8), (0, 1, 2, 3), (0, 1, -3, -2), (0, 1, 5, 6), (0, 1, 7.9, 9)]:
        add("normal", [mean, sd, low, high], stats.truncnorm((low - mean) / sd, (high - mean) / sd, mean, sd))
    for median, sigma, low, high in [(400.0, 0.3, 100.0, 900.0), (1.0, 1.0, 1e-6, 1e6)]:
        m = math.log(median)
        d = stats.truncnorm((math.log(low) - m) / sigma, (math.log(high) - m) / sigma, m, sigma)
        out.append({"kind": "lognormal", "args": [median, sigma, low, high], "u": us,
                    "x": [math.exp(d.ppf(u)) for u in us]})
    return out


def ranks():
    rng = np.random.default_rng(2)
    out = []
    for n, ties in [(5, False), (40, False), (40, True), (200, True)]:
        x = rng.normal(size=n)
        y = x + rng.normal(size=n)
        if ties:
            x, y = np.round(x, 0), np.round(y, 1)
        out.append({"x": x.tolist(), "y": y.tolist(), "rho": float(stats.spearmanr(x, y)[0])})
    return out


def ishigami():
    # Ishigami and Homma (1990), with a = 7 and b = 0.1; the closed form as in
    # Saltelli et al., Global Sensitivity Analysis: The Primer (2008).
    a, b = 7.0, 0.1
    p4, p8 = math.pi**4, math.pi**8
    v = a * a / 8 + b * p4 / 5 + b * b * p8 / 18 + 0.5
    v1, v2, v13 = 0.5 * (1 + b * p4 / 5)**2, a * a / 8, 8 * b * b * p8 / 225
    return {"a": a, "b": b, "variance": v, "first": [v1 / v, v2 / v, 0.0],
            "total": [(v1 + v13) / v, v2 / v, v13 / v]}


with open("examples/sweep/testdata/reference.json", "w") as f:
    json.dump({"made by": "internal/crosscheck/sweep/reference.py, NumPy %s, SciPy %s" % (np.__version__, scipy.__version__),
               "philox": philox(), "quantiles": quantiles(), "ranks": ranks(), "ishigami": ishigami()}, f, indent=1)
    f.write("\n")
