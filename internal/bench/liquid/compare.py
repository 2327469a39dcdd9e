#!/usr/bin/env python3
"""Package liquid beside SciPy, in one run: partial volume of a tire cavity
against scipy.integrate.quad, and the level for a mass against
scipy.optimize.brentq over quad.

Both sides take the best of several rounds. Run it from the root of the
module, on a machine that does nothing else:

    python3 internal/bench/liquid/compare.py
"""
import math
import re
import subprocess
import time

from scipy.integrate import quad
from scipy.optimize import brentq

# The section of a 14.9-24 as package liquid resolves it, rounded.
RW, RB, RM, RC = 0.2654, 0.305, 0.4688, 0.5818
WW, WB, W, N = 0.149, 0.306, 0.354, 2.5


def width(q):
    if q < RB:
        return WW
    if q <= RM:
        return WB + (W - WB) * (q - RB) / (RM - RB)
    return W * (1 - ((q - RM) / (RC - RM)) ** N) ** (1 / N)


def volume(z):
    def f(q):
        return width(q) * q * (math.pi + 2 * math.asin(max(-1.0, min(1.0, z / q))))

    cuts = sorted({RW, RB, RM, RC, *([abs(z)] if RW < abs(z) < RC else [])})
    return sum(quad(f, a, b, epsabs=1e-10, epsrel=1e-9)[0] for a, b in zip(cuts, cuts[1:]))


def best(f, n, rounds=5):
    out = math.inf
    for _ in range(rounds):
        start = time.perf_counter()
        for i in range(n):
            f(i)
        out = min(out, (time.perf_counter() - start) / n)
    return out * 1e9


def main():
    go = {}
    text = subprocess.run(
        ["go", "test", "-run", "^$", "-bench", "Volume|Level|Compile", "-count", "5", "-benchtime", "200ms", "./liquid"],
        check=True, capture_output=True, text=True).stdout
    for name, ns in re.findall(r"^Benchmark(\w+?)(?:-\d+)?\s+\d+\s+([\d.]+) ns/op", text, re.M):
        go[name] = min(go.get(name, math.inf), float(ns))
    full = volume(RC)
    levels = [RC * math.sin(0.7 * i) for i in range(200)]
    volumes = [full * (0.5 + 0.49 * math.sin(0.7 * i)) for i in range(20)]
    py = best(lambda i: volume(levels[i % 200]), 200)
    inv = best(lambda i: brentq(lambda z: volume(z) - volumes[i % 20], -RC, RC, xtol=1e-10), 20)
    print(f"{'work':32} {'Go ns':>10} {'SciPy ns':>12} {'ratio':>8}")
    for name, key, peer in (
        ("volume, compiled", "Volume", py),
        ("volume, not compiled", "VolumeDirect", py),
        ("level for a mass, compiled", "LevelForMass", inv),
    ):
        print(f"{name:32} {go[key]:10.0f} {peer:12.0f} {peer / go[key]:8.0f}")
    print(f"{'compile a tire':32} {go['Compile']:10.0f}")


main()
