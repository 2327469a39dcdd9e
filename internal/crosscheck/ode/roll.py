#!/usr/bin/python3
"""Writes testdata/roll_ode.json: seeded random machines that pass an obstacle with the
wheels of one side on a side slope, by the Open Dynamics Engine (Debian: libode-dev, gcc).

Run it in this folder: ./roll.py
"""
import json
import math
import pathlib
import random
import subprocess
import tempfile

here = pathlib.Path(__file__).resolve().parent
rnd = random.Random(1322)
NAMES = "m x z Ix Iy Iz L T Tf p kr kf cr cf beta kind h w rr rf v left front open stop tend".split()


def machine(n):
    T = rnd.uniform(0.95, 1.6)
    L = T * rnd.uniform(1.35, 1.7)
    m = rnd.uniform(1100, 1500) * T * L
    c = dict(
        m=m, x=L * rnd.uniform(0.4, 0.62), z=T * rnd.uniform(0.55, 0.72),
        Ix=m * (T * rnd.uniform(0.3, 0.38)) ** 2, Iy=m * (L * rnd.uniform(0.38, 0.45)) ** 2, L=L, T=T, Tf=T * rnd.uniform(0.9, 1.02),
        rr=T * rnd.uniform(0.36, 0.45), rf=T * rnd.uniform(0.25, 0.32), v=rnd.uniform(0.4, 2.2), beta=math.radians(rnd.uniform(0, 10)))
    c["Iz"] = c["Iy"]
    c["p"] = c["rf"] * rnd.uniform(0.95, 1.25)
    total = m * (2 * math.pi * rnd.uniform(2.6, 3.6)) ** 2
    c["kr"], c["kf"] = 0.275 * total, 0.45 * total
    zeta = rnd.uniform(0.05, 0.15)
    c["cr"], c["cf"] = (2 * zeta * k * math.sqrt(m / total) for k in (c["kr"], c["kf"]))
    c["zeta"] = zeta
    bump = n % 2 == 0
    c["kind"] = 1 if bump else 2
    c["h"], c["w"] = rnd.uniform(0.03, 0.1), rnd.uniform(0.4, 0.8)
    if n >= 12:  # machines that may go over
        c["beta"], c["h"], c["v"] = math.radians(rnd.uniform(8, 17)), rnd.uniform(0.12, 0.22), rnd.uniform(0.8, 2.2)
    if n >= 24:
        c["beta"], c["z"], c["h"] = math.radians(rnd.uniform(17, 21)), 0.68 * T, rnd.uniform(0.18, 0.24)
    if n >= 32:
        c["beta"], c["z"], c["h"], c["w"], c["x"] = math.radians(rnd.uniform(14, 18)), 0.74 * T, rnd.uniform(0.24, 0.3), 0.8, 0.58 * L
    c["left"] = 1 if bump else 0  # a bump uphill, a rut downhill
    c["front"], c["open"] = n // 2 % 2, n // 4 % 2
    c["stop"] = 0 if n % 3 == 2 else math.radians(rnd.uniform(6, 12))
    c = {k: round(v, 6) if isinstance(v, float) else v for k, v in c.items()}
    total = 2 * c["kr"] + c["kf"]
    c["cr"], c["cf"] = (2 * c["zeta"] * k * math.sqrt(c["m"] / total) for k in (c["kr"], c["kf"]))
    c["tend"] = (c["L"] + c["rf"] + 0.8 + c["w"] + c["rr"] + 0.2) / c["v"] + 1.5
    return c


cases = [machine(n) for n in range(40)]
with tempfile.TemporaryDirectory() as tmp:
    exe = pathlib.Path(tmp) / "roll"
    flags = subprocess.check_output(["ode-config", "--cflags", "--libs"], text=True).split()
    subprocess.check_call(["gcc", "-O2", "-o", exe, here / "roll.c", *flags, "-lm"])
    text = "".join(" ".join(repr(c[n]) for n in NAMES) + "\n" for c in cases)
    out = subprocess.check_output([exe], input=text, text=True).split("\n")
version = subprocess.check_output(["dpkg-query", "-W", "-f", "${Version}", "libode8"], text=True)
for c, line in zip(cases, out):
    least, roll, over, met = line.split()
    c.update(least=float(least), roll=float(roll), over=over == "1", met=met == "1")
    print(c["kind"], c["open"], round(c["stop"], 3), line)
doc = dict(engine="Open Dynamics Engine " + version + ", double precision, steps of 0.05 ms", gravity=9.80665,
           made_by="internal/crosscheck/ode/roll.py", cases=cases)
(here / "../../../testdata/roll_ode.json").resolve().write_text(json.dumps(doc, indent=1) + "\n")
