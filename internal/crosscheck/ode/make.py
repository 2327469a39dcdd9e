#!/usr/bin/python3
"""Writes testdata/tilt_ode.json: when seeded random machines lose a wheel on
a slowly tilting plane, by the Open Dynamics Engine (Debian: libode-dev, gcc).

Run it in this folder: ./make.py
"""
import json
import math
import pathlib
import random
import subprocess
import tempfile

here = pathlib.Path(__file__).resolve().parent
rnd = random.Random(20)
KINDS = ["pivotingFront", "rigid", "tricycle"]
NAMES = ["L", "T", "Tf", "hp", "m", "x", "y", "z", "mf", "hf", "ml", "dl", "r", "heading"]


def machine(kind=0, heading=None, **fixed):
    L, T = rnd.uniform(1.7, 2.8), rnd.uniform(1.1, 1.8)
    c = dict(
        L=L, T=T, Tf=T * rnd.uniform(0.85, 1.1), hp=rnd.uniform(0.35, 0.6), m=rnd.uniform(1500, 4500),
        x=L * rnd.uniform(0.3, 0.62), y=rnd.uniform(-0.05, 0.05), z=rnd.uniform(0.75, 1.15),
        mf=rnd.uniform(120, 400), hf=rnd.uniform(0.35, 0.55), ml=0, dl=0, r=0.65,
        heading=rnd.uniform(25, 155) if heading is None else heading)
    c.update(fixed)
    c = {k: round(v, 4) for k, v in c.items()}
    return kind, c


cases = [machine() for _ in range(20)]
cases += [machine(heading=h) for h in (0, 90, 104, 180, 250, 300)]
# Narrow front axles on high pins lose the front wheel first.
cases += [machine(heading=h, Tf=0.95, hp=0.72, x=0.7, T=1.5, L=1.9, z=0.75) for h in (75, 90, 105)]
# Liquid in the rear tires as a pendulum, nose up and nose down.
cases += [machine(heading=h, ml=500, dl=0.25) for h in (45, 60, 90, 120, 135)]
cases += [machine(kind=1, heading=h) for h in (70, 90, 120)]
cases += [machine(kind=2, heading=h) for h in (60, 90, 115)]

with tempfile.TemporaryDirectory() as tmp:
    exe = pathlib.Path(tmp) / "tilt"
    flags = subprocess.check_output(["ode-config", "--cflags", "--libs"], text=True).split()
    subprocess.check_call(["gcc", "-O2", "-o", exe, here / "tilt.c", *flags, "-lm"])
    text = "".join("%d %s\n" % (k, " ".join(repr(c[n]) for n in NAMES)) for k, c in cases)
    out = subprocess.check_output([exe], input=text, text=True).split("\n")

version = subprocess.check_output(["dpkg-query", "-W", "-f", "${Version}", "libode8"], text=True)
rows = []
for (k, c), line in zip(cases, out):
    slope, event = line.split()
    rows.append(dict(kind=KINDS[k], **c, slope_deg=float(slope), event=event))
doc = dict(
    engine="Open Dynamics Engine " + version + ", double precision",
    step="0.5 ms, tilting at 0.25 degrees per second, normal forces of the contacts as the sign",
    made_by="internal/crosscheck/ode/make.py", cases=rows)
(here / "../../../testdata/tilt_ode.json").resolve().write_text(json.dumps(doc, indent=1) + "\n")
