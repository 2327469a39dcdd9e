#!/usr/bin/python3
"""Writes testdata/passage_scipy.json: what obstacles do to seeded random machines
with a load, followed by SciPy (Debian: python3-scipy) in another formulation
than the library's.

The coordinates are the place of the rear axle and the pitch, not the center of
gravity; body and load stand in a mass matrix as two point bodies with inertia; the
nearest point of the ground is sought among segments of any direction, and round
humps are polygons of 400 sides; the solver is LSODA with short steps.

Run it in this folder: ./passage.py
"""
import json
import math
import pathlib
import random

import numpy as np
import scipy
from scipy.integrate import solve_ivp

here = pathlib.Path(__file__).resolve().parent
rnd = random.Random(8608)
G = 9.80665


def ground(kind, x0, h, w):
    if kind == "box":
        p = [(-50, 0), (x0, 0), (x0, h), (x0 + w, h), (x0 + w, 0), (200, 0)]
    elif kind == "rut":
        p = [(-50, 0), (x0, 0), (x0, -h), (x0 + w, -h), (x0 + w, 0), (200, 0)]
    elif kind == "stepUp":
        p = [(-50, 0), (x0, 0), (x0, h), (200, h)]
    elif kind == "drop":
        p = [(-50, 0), (x0, 0), (x0, -h), (200, -h)]
    elif kind == "hump":
        r = (w * w / 4 + h * h) / (2 * h)
        a = math.asin(w / 2 / r)
        p = [(-50, 0)]
        for t in np.linspace(-a, a, 401):
            p.append((x0 + w / 2 + r * math.sin(t), h - r + r * math.cos(t)))
        p.append((200, 0))
    else:
        p = [(-50, 0), (200, 0)]
    p = np.array(p, float)
    return p[:-1], p[1:] - p[:-1]


def nearest(seg, c):
    """Nearest point of the ground to a point, among all segments."""
    a, d = seg
    t = np.clip(((c - a) * d).sum(1) / (d * d).sum(1), 0, 1)
    q = a + d * t[:, None]
    e = c - q
    i = (e * e).sum(1).argmin()
    return q[i]


def follow(c, seg):
    """Follows one machine; returns the least rear load, the largest gap, the
    longest time off the ground, to one step, the largest pitch and whether it went over."""
    L, mb, ml = c["L"], c["mb"], c["ml"]
    m = mb + ml
    x = (mb * c["xb"] + ml * c["xl"]) / m
    static = np.array([m * G * (1 - x / L), m * G * x / L])
    k, cd = np.array([c["kr"], c["kf"]]), np.array([c["cr"], c["cf"]])
    radius = np.array([c["rr"], c["rf"]]) + static / k
    # places in the body's axes, from the rear axle
    wheels = np.array([[0.0, 0.0], [L, c["rf"] - c["rr"]]])
    bodies = [(mb, c["Ib"], np.array([c["xb"], c["zb"] - c["rr"]])), (ml, c["Il"], np.array([c["xl"], c["zl"] - c["rr"]]))]

    def place(s, v):
        sin, cos = math.sin(s[2]), math.cos(s[2])
        return np.array([v[0] * cos + v[1] * sin, v[1] * cos - v[0] * sin])

    def tires(s):
        out = []
        for i in range(2):
            r = place(s, wheels[i])
            center = np.array([s[0], s[1]]) + r
            vel = np.array([s[3] + s[5] * r[1], s[4] - s[5] * r[0]])
            q = nearest(seg, center)
            e = center - q
            dist = math.hypot(*e)
            n = e / dist
            d = radius[i] - dist
            f = max(0.0, k[i] * d - cd[i] * vel.dot(n)) if d > 0 else 0.0
            out.append((f, n, q, dist))
        return out

    def rate(t, s):
        tt = tires(s)
        T = [0.0, 0.0]
        if c["drive"] == "held":
            r = place(s, bodies[0][2])
            want = m * (c["v"] - (s[3] + s[5] * r[1])) / c["tau"]
            T[0] = min(c["mu"] * tt[0][0], max(-c["mu"] * tt[0][0], want))
        elif c["drive"] == "brakeRear":
            vx = s[3] + s[5] * sum(b[0] * place(s, b[2])[1] for b in bodies) / m
            want = m * min(c["acc"], max(-c["acc"], vx / 0.005))
            T[0] = -min(c["mu"] * tt[0][0], max(-c["mu"] * tt[0][0], want))
        M = np.zeros((3, 3))
        Q = np.zeros(3)
        for mass, inertia, v in bodies:
            r = place(s, v)
            # velocity of the body's center: (x' + q' rz, z' - q' rx)
            J = np.array([[1, 0, r[1]], [0, 1, -r[0]]])
            M += mass * J.T @ J
            M[2, 2] += inertia
            # J' times the rates: -q'^2 r
            Q += J.T @ (np.array([0, -mass * G]) + mass * s[5] ** 2 * r)
        for (f, n, q, _), drive in zip(tt, T):
            F = f * n + drive * np.array([n[1], -n[0]])
            arm = q - np.array([s[0], s[1]])
            Q += np.array([F[0], F[1], arm[1] * F[0] - arm[0] * F[1]])
        return np.concatenate([s[3:], np.linalg.solve(M, Q)])

    way = c["x0"] + c["w"] + c["rr"] + 0.2
    end = way / c["v"] + 1.5
    z = (mb * c["zb"] + ml * c["zl"]) / m
    balance = math.atan2(L - x, z)

    def over(t, s):
        return s[2] - balance - 0.1
    over.terminal, over.direction = True, 1
    s0 = np.array([0, c["rr"], 0, c["v"], 0, 0.0])
    sol = solve_ivp(rate, (0, end), s0, method="LSODA", rtol=1e-8, atol=1e-9, max_step=0.004, events=over)
    least, gap, air, left = float(static[0]), -1.0, 0.0, None
    for t, s in zip(sol.t, sol.y.T):
        f, _, _, dist = tires(s)[0]
        left = (t if left is None else left) if f == 0 else None
        air = max(air, 0 if left is None else t - left)
        least, gap = min(least, f), max(gap, dist - radius[0])
    return dict(rear_rest=float(static[0]), least=least, gap=float(gap), air=round(float(air), 4), pitch=float(sol.y[2].max()), over=bool(sol.status == 1))


KINDS = ["box", "rut", "stepUp", "drop", "hump"]
cases = []
for n in range(20):
    L = rnd.uniform(1.5, 2.4)
    mb = rnd.uniform(500, 850) * L
    c = dict(
        kind=KINDS[n % 5], L=L, mb=mb, xb=L * rnd.uniform(0.38, 0.48), zb=L * rnd.uniform(0.34, 0.42),
        Ib=mb * (L * rnd.uniform(0.34, 0.46)) ** 2, xl=L + rnd.uniform(0.95, 1.5), zl=rnd.uniform(0.5, 1.6),
        rr=L * rnd.uniform(0.28, 0.34), rf=L * rnd.uniform(0.19, 0.23), v=rnd.uniform(0.6, 2.6),
        drive=["held", "coasting", "held", "brakeRear"][n % 4], tau=0.05, mu=0.8, acc=0.0,
        h=rnd.uniform(0.02, 0.05) if n < 8 else rnd.uniform(0.06, 0.12), w=rnd.uniform(0.3, 0.8))
    if c["drive"] == "brakeRear":
        c["acc"] = 2.5
    if c["kind"] in ("stepUp", "drop"):
        c["w"] = 0.0
    share = rnd.uniform(0.2, 0.6) if n < 8 else rnd.uniform(0.6, 0.85)
    c["ml"] = share * mb * (L - c["xb"]) / (c["xl"] - L)
    c["Il"] = c["ml"] * rnd.uniform(0.02, 0.08)
    c["kr"] = mb * (1 - c["xb"] / L) * (2 * math.pi * rnd.uniform(2.6, 3.8)) ** 2
    c["kf"] = mb * c["xb"] / L * (2 * math.pi * rnd.uniform(2.6, 3.8)) ** 2
    zeta = rnd.uniform(0.05, 0.15)
    for i in "rf":
        c["c" + i] = 2 * zeta * c["k" + i] * math.sqrt(mb / (c["kr"] + c["kf"]))
    c["zeta"] = zeta
    c["x0"] = L + c["rf"] + 0.8
    c = {k: (round(v, 6) if isinstance(v, float) else v) for k, v in c.items()}
    c["x0"] = c["L"] + c["rf"] + 0.8
    for i in "rf":
        c["c" + i] = 2 * c["zeta"] * c["k" + i] * math.sqrt(c["mb"] / (c["kr"] + c["kf"]))
    if c["drive"] == "brakeRear":
        c["kind"], c["h"], c["w"] = "level", 0.0, 0.0
    c.update(follow(c, ground(c["kind"], c["x0"], c["h"], c["w"])))
    print(n, c["kind"], c["drive"], round(c["least"] / c["rear_rest"], 4), round(c["gap"], 4), c["over"], flush=True)
    cases.append(c)
doc = dict(solver="SciPy " + scipy.__version__ + ", LSODA", gravity=G, made_by="internal/crosscheck/scipy/passage.py", cases=cases)
(here / "../../../testdata/passage_scipy.json").resolve().write_text(json.dumps(doc, indent=1) + "\n")
