"""Volumes of liquid in tires shaped by the theory of the inflated membrane.

Each size of testdata/tire_dimensions.csv gets three cavities, none of which comes
from a formula of this library:

bias    the middle line of a carcass of crossed cords under pressure, whose meridian
        meets  sin(phi) = (r^2 - rm^2)/(rc^2 - rm^2) sin(alpha)/sin(alpha of the crown),
        cos(alpha) proportional to r  (Hofferberth 1956, Purdy, as in S. K. Clark,
        Mechanics of Pneumatic Tires, NBS Monograph 122 (1971); from memory)
radial  the same with cords in the meridian plane, alpha = 90 degrees
arched  radial cords beyond an arched belt

The widest line lies at 40 to 54 % of the section height. A belt across the crown, flat or
an arc, is as wide as the section width asks; where the membrane alone is wider it is
scaled down. The rim is that of the table or up to 6 % wider or narrower; below the widest
line the membrane is stretched to meet it. Wells are trapezes. Outline, walls, lugs and rims differ from the table by what makers differ.
Volumes are those below a level plane, by the same integral as in make.py, with the
width of the membrane integrated point by point. Only the standard library of Python is needed.

    python3 internal/crosscheck/cavity/membrane.py > testdata/membranes.json
"""
import bisect
import csv
import json
import math
import random
import re

random.seed(20)


def between(low, high):
    return low + (high - low) * random.random()


def contour(rc, rm, belt, lean, k, bottom, n=300):
    """Half widths over radii from the crown down to the radius bottom.

    The belt is an arc across the crown, whose edge leans out of the horizontal by an
    angle; below it is the membrane.
    """
    rs, ys = [rc], [0.0]
    top = rc
    if belt > 0 and lean > 0:
        arc = belt / math.sin(lean)
        top = rc - arc * (1 - math.cos(lean))
        for i in range(1, 40):
            a = lean * i / 40
            rs.append(rc - arc * (1 - math.cos(a)))
            ys.append(arc * math.sin(a))
    else:
        lean = 0
    rs.append(top - 1e-9)
    ys.append(belt)
    y = belt
    edge = math.sqrt(max(1 - k * top * top, 1e-9))
    sine = lambda r: math.cos(lean) * (r * r - rm * rm) / (top * top - rm * rm) * math.sqrt(max(1 - k * r * r, 1e-9)) / edge
    # r = top - (top - bottom) t^2 takes the root at a level edge away
    for i in range(n):
        t = (i + 0.5) / n
        r = top - (top - bottom) * t * t
        dr = (top - bottom) * ((i + 1) ** 2 - i ** 2) / n / n
        s = max(-0.98, min(sine(r), 1 - 1e-12))
        y += s / math.sqrt(1 - s * s) * dr
        rs.append(top - (top - bottom) * ((i + 1) / n) ** 2)
        ys.append(y)
    return rs, ys


def section(row, kind):
    outer = float(row["overall_diameter_mm"]) / 2000 * between(0.99, 1.01)
    wide = float(row["section_width_mm"]) / 1000 * between(0.98, 1.02)
    rb = float(row["nominal_rim_diameter_mm"]) / 2000
    drive = "drive" in row["type"]
    code = re.search(r"[0-9.]+", row["rim_code_in"])
    rim = float(code.group()) * 0.0254 if code else 0.82 * wide
    rim *= 1 + random.choice([-1, 0, 0, 1]) * between(0.02, 0.06)
    lug = (0.010 + 0.06 * wide) * (1 if drive else 0.55) * between(0.8, 1.2)
    under = min(0.05 * wide, 0.018) * between(0.75, 1.25)
    wall = min(max(0.032 * wide, 0.008), 0.012) * between(0.75, 1.3)
    bead = wall * between(1.0, 1.8)
    rc = outer - lug - under
    w = wide - 2 * wall
    wb = min(rim - 2 * bead, 0.97 * w)
    k = 0 if kind != "bias" else math.cos(math.radians(between(34, 45))) ** 2 / rc ** 2
    place = between(0.40, 0.54)
    rm = rb + place * (outer - rb)
    lean = math.radians(between(5, 25)) if kind == "arched" else 0
    low, high = 0.0, w / 2
    for _ in range(30):
        belt = (low + high) / 2
        if max(contour(rc, rm, belt, lean, k, rb, 100)[1]) > w / 2:
            high = belt
        else:
            low = belt
    rs, ys = contour(rc, rm, belt, lean, k, rb)
    top = max(ys)
    ys = [y * w / 2 / top for y in ys]  # close to 1 unless the membrane alone is wider
    i = ys.index(max(ys))
    # The wall meets the rim: below the widest line its distance from that line is stretched.
    bend = (w - wb) / 2 / max(w / 2 - ys[-1], 1e-6)
    flat = w / 2 - ys[-1] < 0.02 * w
    for j in range(i, len(ys)):
        t = (rs[i] - rs[j]) / (rs[i] - rb)
        if flat:
            ys[j] = w / 2 - (w - wb) / 2 * t * t
        else:
            ys[j] = w / 2 - (w / 2 - ys[j]) * (1 + (bend - 1) * t)
    rs, ys = rs[::-1], ys[::-1]
    depth = min(0.065 * 2 * rb, 0.040) * between(0.6, 1.4)
    rw = rb - depth
    floor = random.choice([0.25, 0.4, 0.5]) * rim * between(0.9, 1.1)
    mouth = max(floor, random.choice([0.4, 0.5, 0.6]) * rim * between(0.9, 1.1))
    mouth = min(mouth, wb)

    def width(q):
        if q < rw or q > rc:
            return 0.0
        if q < rb:
            return floor + (mouth - floor) * (q - rw) / depth
        j = min(max(bisect.bisect_right(rs, q), 1), len(rs) - 1)
        t = (q - rs[j - 1]) / (rs[j] - rs[j - 1]) if rs[j] > rs[j - 1] else 0
        return 2 * (ys[j - 1] + (ys[j] - ys[j - 1]) * t)

    return [rw, rb, rs[len(rs) - 1 - i], rc], width, rb


def simpson(f, low, high, n=400):
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
        for kind in ("bias", "radial", "arched"):
            kinks, width, rb = section(row, kind)
            valve = 0.98 * rb
            levels = []
            for clock in (12, 11, 10, 9, 8, 7, 6):
                z = valve * math.cos(clock * math.pi / 6)
                levels.append({"clock": clock, "volume": float("%.8g" % volume(kinks, width, z))})
            full = volume(kinks, width, kinks[-1])
            cases.append({"size": row["size"], "kind": kind, "valveRadius": valve, "full": float("%.8g" % full), "levels": levels})
print('{"made": "by internal/crosscheck/cavity/membrane.py; lengths in m, volumes in m3", "cases": [')
print(",\n".join(json.dumps(c) for c in cases))
print("]}")
