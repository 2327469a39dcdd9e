"""Volumes of liquid in tires whose sections this library does not have.

Each size of testdata/tire_dimensions.csv gets three cavities of another shape
than the library's: a rim with a sloped well, beads of a thickness of their own,
sidewalls that bulge below the widest line, which does not lie halfway, and a
crown with two exponents. Walls, lugs, rims and the outline differ from the
table by what makers differ. Volumes are those below a level plane, by the
integral over rings

    V(z) = integral of w(q) q (pi + 2 asin(clamp(z/q, -1, 1))) dq

with the composite Simpson rule, the range split at the kinks and at q = |z|,
and points crowded at the ends. Only the standard library of Python is needed.

    python3 internal/crosscheck/cavity/make.py > testdata/cavities.json
"""
import csv
import json
import math
import random
import re

random.seed(17)


def between(low, high):
    return low + (high - low) * random.random()


def section(row):
    """The kinks in radius and the width over the radius of a random cavity."""
    outer = float(row["overall_diameter_mm"]) / 2000 * between(0.994, 1.006)
    wide = float(row["section_width_mm"]) / 1000 * between(0.985, 1.015)
    rb = float(row["nominal_rim_diameter_mm"]) / 2000
    drive = "drive" in row["type"]
    code = re.search(r"[0-9.]+", row["rim_code_in"])
    rim = (float(code.group()) * 0.0254 if code else 0.82 * wide) * between(0.96, 1.04)
    lug = (0.010 + 0.06 * wide) * (1 if drive else 0.55) * between(0.8, 1.2)
    under = min(0.05 * wide, 0.018) * between(0.75, 1.25)
    wall = min(max(0.032 * wide, 0.008), 0.012) * between(0.75, 1.25)
    bead = wall * between(1.0, 1.6)
    rc = outer - lug - under
    rm = rb + (outer - rb) * between(0.46, 0.53)
    w = wide - 2 * wall
    wb = min(rim - 2 * bead, w)
    bulge = between(0.75, 1.05)
    a, b = between(2.1, 2.9), between(2.1, 2.9)
    depth = min(0.065 * 2 * rb, 0.040) * between(0.7, 1.3)
    rw = rb - depth
    floor, mouth = 0.35 * rim * between(0.9, 1.1), 0.55 * rim * between(0.9, 1.1)

    def width(q):
        if q < rw or q > rc:
            return 0.0
        if q < rb:
            return floor + (mouth - floor) * (q - rw) / depth
        if q < rm:
            return wb + (w - wb) * math.sin(math.pi / 2 * (q - rb) / (rm - rb)) ** bulge
        u = (q - rm) / (rc - rm)
        return w * max(0.0, 1 - u ** a) ** (1 / b)

    return [rw, rb, rm, rc], width, rb


def simpson(f, low, high, n=400):
    """The substitution crowds the points at both ends."""
    if high <= low:
        return 0.0
    total = 0.0
    for i in range(n + 1):
        v = i / n
        q = low + (high - low) * v * v * (3 - 2 * v)
        dq = (high - low) * 6 * v * (1 - v)
        total += (1 if i in (0, n) else 4 if i % 2 else 2) * f(q) * dq
    return total / (3 * n)


def volume(kinks, width, z):
    ends = sorted(set(kinks + ([abs(z)] if kinks[0] < abs(z) < kinks[-1] else [])))
    part = lambda q: width(min(q, kinks[-1])) * q * (math.pi + 2 * math.asin(max(-1.0, min(1.0, z / q))))
    inside = lambda a, b: (lambda q: part(min(max(q, a + 1e-15), b - 1e-15)))
    return sum(simpson(inside(a, b), a, b) for a, b in zip(ends, ends[1:]))


cases = []
with open("testdata/tire_dimensions.csv", newline="") as f:
    for row in csv.DictReader(f):
        for _ in range(3):
            kinks, width, rb = section(row)
            valve = 0.98 * rb
            levels = []
            for clock in (12, 11, 10, 9, 8, 7, 6):
                z = valve * math.cos(clock * math.pi / 6)
                levels.append({"clock": clock, "volume": float("%.8g" % volume(kinks, width, z))})
            full = volume(kinks, width, kinks[-1])
            cases.append({"size": row["size"], "valveRadius": valve, "full": float("%.8g" % full), "levels": levels})
print('{"made": "by internal/crosscheck/cavity/make.py; lengths in m, volumes in m3", "cases": [')
print(",\n".join(json.dumps(c) for c in cases))
print("]}")
