#!/usr/bin/env python3
"""Volumes of tire cavities by SciPy, for testdata/volumes.json.

Three routes, none of which shares a formula with package liquid beyond the
definition of the section:

  upright  scipy.integrate.quad of w(q) q (pi + 2 asin(clamp(z/q))) over the
           radius, cut at every kink
  tilted   quad over the place along the axle of quad over the radius
  count    the share of Sobol points of a bounding cylinder that lie in the
           cavity and below the plane, with the spread of 16 scramblings

Run it from the root of the module: python3 internal/crosscheck/volume/make.py
"""
import json
import math

import numpy as np
from scipy.integrate import quad
from scipy.stats import qmc

rng = np.random.default_rng(20240611)


def section(i):
    """A random section: rim well, straight taper, superellipse."""
    rb = rng.uniform(0.1, 0.55)
    height = rng.uniform(0.25, 1.1) * rb + 0.08
    w = rng.uniform(0.5, 1.3) * height + 0.05
    wb = w * rng.uniform(0.6, 0.98)
    return dict(
        rw=rb * rng.uniform(0.75, 0.97),
        rb=rb,
        rm=rb + height * rng.uniform(0.3, 0.55),
        rc=rb + height * rng.uniform(0.75, 0.92),
        ww=wb * rng.uniform(0.3, 0.6),
        wb=wb,
        w=w,
        n=[2, 2.5, 3, 2.2, 1.7, 4][i % 6],
    )


def width(p, q):
    if q < p["rw"] or q > p["rc"]:
        return 0.0
    if q < p["rb"]:
        return p["ww"]
    if q <= p["rm"]:
        return p["wb"] + (p["w"] - p["wb"]) * (q - p["rb"]) / (p["rm"] - p["rb"])
    t = (q - p["rm"]) / (p["rc"] - p["rm"])
    return p["w"] * (1 - t ** p["n"]) ** (1 / p["n"])


def clamp(x):
    return max(-1.0, min(1.0, x))


def integral(f, a, b, inner):
    cuts = sorted({a, b, *[x for x in inner if a < x < b]})
    return sum(quad(f, lo, hi, epsabs=1e-15, epsrel=1e-13, limit=400)[0] for lo, hi in zip(cuts, cuts[1:]))


def upright(p, z):
    """Volume, area, pitch and roll moments of the surface."""
    kinks = [p["rw"], p["rb"], p["rm"], p["rc"], abs(z)]
    # the ends of the superellipse are approached in steps
    kinks += [p["rc"] - (p["rc"] - p["rm"]) * 10.0**-k for k in range(1, 9)]
    v = integral(lambda q: width(p, q) * q * (math.pi + 2 * math.asin(clamp(z / q))), p["rw"], p["rc"], kinks)
    out = [v]
    xs = [math.sqrt(k * k - z * z) for k in kinks if k > abs(z)]
    end = math.sqrt(max(p["rc"] ** 2 - z * z, 0))
    for f in (lambda x, w: 2 * w, lambda x, w: 2 * w * x * x, lambda x, w: w**3 / 6):
        out.append(integral(lambda x: f(x, width(p, math.hypot(x, z))), 0.0, end, xs) if end > 0 else 0.0)
    return out


def ring(p, y):
    """The radii between which the cavity is wider than 2|y|."""
    a = 2 * abs(y)
    outer = p["rm"] + (p["rc"] - p["rm"]) * max(1 - (a / p["w"]) ** p["n"], 0) ** (1 / p["n"])
    if a <= p["ww"]:
        return p["rw"], outer
    if a <= p["wb"]:
        return p["rb"], outer
    return p["rb"] + (p["rm"] - p["rb"]) * (a - p["wb"]) / (p["w"] - p["wb"]), outer


def tilted(p, height, tilt):
    """Volume, moment along the axle, moment square to it."""
    sin, cos = math.sin(tilt), math.cos(tilt)

    def level(y):
        return (height - y * sin) / cos

    def slab(y, f):
        a, b = ring(p, y)
        z = level(y)
        return integral(lambda q: f(q, y, z), a, b, [abs(z)])

    half = p["w"] / 2
    # kinks along the axle: steps of the ring, the plane touching its circles
    cuts = [s * x / 2 for s in (-1, 1) for x in (p["ww"], p["wb"], p["w"] * (1 - 1e-3), p["w"] * (1 - 1e-6))]
    grid = np.linspace(-half, half, 4001)
    for which in (0, 1):
        for sign in (-1, 1):
            g = [level(y) - sign * ring(p, y)[which] for y in grid]
            for i in range(len(grid) - 1):
                if g[i] * g[i + 1] < 0:
                    lo, hi = grid[i], grid[i + 1]
                    for _ in range(60):
                        m = (lo + hi) / 2
                        if (level(m) - sign * ring(p, m)[which]) * g[i] > 0:
                            lo = m
                        else:
                            hi = m
                    cuts.append((lo + hi) / 2)
    out = []
    for f in (
        lambda q, y, z: q * (math.pi + 2 * math.asin(clamp(z / q))),
        lambda q, y, z: y * q * (math.pi + 2 * math.asin(clamp(z / q))),
        lambda q, y, z: -2 * q * math.sqrt(max(q * q - z * z, 0)),
    ):
        cs = sorted({-half, half, *[c for c in cuts if -half < c < half]})
        out.append(sum(quad(lambda y: slab(y, f), a, b, epsabs=1e-12, epsrel=1e-10, limit=100)[0] for a, b in zip(cs, cs[1:])))
    return out


def count(p, height, tilt):
    """Volume by counting, and the standard error of its mean."""
    got = []
    box = (2 * p["rc"]) ** 2 * p["w"]
    for k in range(16):
        u = qmc.Sobol(3, seed=1000 + k).random_base2(16)
        x = (2 * u[:, 0] - 1) * p["rc"]
        z = (2 * u[:, 1] - 1) * p["rc"]
        y = (u[:, 2] - 0.5) * p["w"]
        q = np.hypot(x, z)
        t = np.clip((q - p["rm"]) / (p["rc"] - p["rm"]), 0, 1)
        w = p["w"] * (1 - t ** p["n"]) ** (1 / p["n"])
        low = p["wb"] + (p["w"] - p["wb"]) * (q - p["rb"]) / (p["rm"] - p["rb"])
        w = np.where(q <= p["rm"], low, w)
        w = np.where(q < p["rb"], p["ww"], w)
        inside = (q >= p["rw"]) & (q <= p["rc"]) & (2 * np.abs(y) <= w)
        inside &= y * math.sin(tilt) + z * math.cos(tilt) <= height
        got.append(inside.mean() * box)
    return float(np.mean(got)), float(np.std(got, ddof=1) / 4)


def main():
    out = []
    for i in range(18):
        p = section(i)
        case = dict(section=p, upright=[], tilted=[], count=[])
        near = [p["rw"], p["rb"], p["rm"], p["rc"]]
        levels = [0.0, 1e-9, -p["rb"] / 2, p["rb"] / 2]
        levels += [s * (k + d) for k in near for s in (-1, 1) for d in (0.0, -1e-9, -1e-4, 1e-9, 1e-4)]
        levels += list(rng.uniform(-p["rc"], p["rc"], 6))
        for z in levels:
            if abs(z) <= p["rc"]:
                case["upright"].append([z, *upright(p, z)])
        if i < 9:
            for tilt in (1e-6, 0.02, 0.2, 0.5, 1.0):
                for h in (0.0, -0.7 * p["rc"], 0.9 * p["rb"]):
                    case["tilted"].append([h, tilt, *tilted(p, h, tilt)])
        for tilt, h in ((0.0, -0.4 * p["rc"]), (0.3, 0.5 * p["rb"])):
            case["count"].append([h, tilt, *count(p, h, tilt)])
        out.append(case)
    with open("testdata/volumes.json", "w") as f:
        json.dump(dict(about="made by internal/crosscheck/volume/make.py with SciPy; lengths in meters; upright: z, volume, area, pitch and roll moment; tilted: height, tilt, volume, moment along and square to the axle; count: height, tilt, volume, standard error", cases=out), f, indent=0)
        f.write("\n")


main()
