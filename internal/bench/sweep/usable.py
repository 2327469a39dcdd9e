#!/usr/bin/python3
"""Usable load and governing limit of the built-in design of examples/sweep, by
the library and by NumPy, in one run on one core. Run from the root of the
repository:

    /usr/bin/python3 internal/bench/sweep/usable.py [rows]

First the library writes rows with 17 digits, and NumPy's answers are held to
them: every usable load within 1e-12 of it, every name the same. Then both are
timed with the results dropped. The library's figure is that of the whole
program, which also draws the variants; NumPy's leaves the drawing out. Times
are of the processor and the least of several, so that another process on the
machine disturbs them little.

NumPy is written as somebody writes it who knows this one design and wants it
fast: constants are folded by hand, every array is reused, and the best size of
block counts. It answers nothing else: another kind of lift, a slope or an
undercarriage of another kind would need other lines. "Every condition" takes
the 34 conditions of the library one by one; "the one that binds" takes only the
one that governs in every row of this design, which nobody knows beforehand.

Not part of CI.
"""
import csv
import json
import math
import os
import subprocess
import sys
import tempfile
import time

import numpy as np

rows = int(sys.argv[1]) if len(sys.argv) > 1 else 1000000
per_sample = 10  # rows of one sample of the built-in design

# The built-in design in SI.
g = 9.80665
base, rear_track = 1.95, 1.45
arm, pivot_x, pivot_z = 2.30, 1.15, 1.42
machine, frame, frame_x, arms, arm_cg = 2250.0, 150.0, 1.25, 210.0, 1.15
forks, forks_x, rated_center, forks_rating = 115.0, 0.25, 0.55, 1000.0
box_x, seat_x = -1.25, 0.25
front_rating, rear_rating, gross, hitch = 2400.0, 2900.0, 4700.0, 1300.0
front_tire, rear_tire = 1120.0 * 1.4, 1700.0  # load indices 112 and 126; loader service
share, steered, factor = 0.2, 0.2, 1.65
hitch_ratio = max(1.0, (1.25 - 0.75) / 0.610)
operators = np.array([0.0, 55.0, 98.0])
names = ["operator", "none", "light", "heavy"]

low = math.asin((0.20 - pivot_z) / arm)
top = math.asin((1.1 + 0.12 - pivot_z) / arm)


class Station:
    """Arms and attachment at one angle: folded constants."""

    def __init__(self, a):
        self.pin = pivot_x + arm * math.cos(a)
        self.mass = arms + forks
        self.moment = arms * (pivot_x + arm_cg * math.cos(a)) + forks * (self.pin + forks_x)


stations = [Station(low), Station(top)]
# The cylinders at the deck: pinned at (0.06, -0.375) and 1.25 m up the arm.
b, c = math.hypot(0.06, -0.375), 1.25
turn = top + math.radians(8) - math.atan2(-0.375, 0.06)
lever = b * c * math.sin(turn) / math.sqrt(b * b + c * c - 2 * b * c * math.cos(turn))
per_pascal = 2 * math.pi / 4 * 0.055**2 * (1 - 0.08) * lever
lift_arm = arm * math.cos(top)
lift_own = g * math.cos(top) * (arms * arm_cg + forks * arm)

# The kinds in the library's order, which breaks ties.
kinds = ["hydraulic", "tipping", "rearWheel", "frontWheel", "rearward", "steered", "frontAxle", "frontTire",
         "rearAxle", "rearTire", "gross", "attachment", "hitch"]
code = {k: i for i, k in enumerate(kinds)}


class Every:
    """Every condition, for blocks of up to n rows."""

    def __init__(self, n):
        self.n = n
        self.room = [np.empty(n) for _ in range(20)]
        self.which, self.broken = np.empty(n, np.int8), np.empty(n, np.int8)
        self.less, self.flag = np.empty(n, bool), np.empty(n, bool)

    def solve(self, box, brine, cgx, face, pressure, center, sideways, operator):
        n = len(box)
        x = [r[:n] for r in self.room]
        (fixed, moment, f0, f1, r0, rl0, rr0, r1, rl1, rr1, one, two, least, total, half, unladen, side, empty, t0, t1) = x
        which, broken, less, flag = self.which[:n], self.broken[:n], self.less[:n], self.flag[:n]
        mul, add, sub, div = np.multiply, np.add, np.subtract, np.divide

        least.fill(np.inf)
        which.fill(-1)
        broken.fill(len(kinds))

        def below(value, kind):
            """least = min(least, value)"""
            np.less(value, least, out=less)
            np.copyto(least, value, where=less)
            np.copyto(which, kind, where=less)

        def at_most(empty, per, rating, kind, scale=1.0):
            """empty + per m <= rating, where per may be of any sign"""
            np.greater(empty, rating, out=flag)
            if flag.any():
                np.copyto(broken, np.minimum(broken, kind), where=flag)
            sub(rating, empty, out=t0)
            with np.errstate(divide="ignore", invalid="ignore"):
                div(t0, per, out=t0)
            np.less_equal(per, 0, out=flag)
            if flag.any():
                np.copyto(t0, np.inf, where=flag)
            below(t0, kind)

        # Everything but arms, attachment and load.
        np.take(operators, operator, out=half)
        add(half, machine, out=unladen)
        mul(half, seat_x, out=moment)
        mul(cgx, machine, out=one)
        moment += one
        mul(box, box_x, out=one)
        moment += one
        moment += frame * frame_x
        add(unladen, box, out=fixed)
        fixed += brine
        fixed += frame
        mul(sideways, 1 / rear_track, out=side)
        add(face, center, out=two)

        # The conditions in the order of the kinds do not matter for the least:
        # equal loads of two kinds do not occur beside an exact tie of both rear
        # wheels, which are one kind.
        mul(pressure, per_pascal, out=one)
        one -= lift_own
        np.less(one, 0, out=flag)
        if flag.any():
            np.copyto(broken, code["hydraulic"], where=flag)
        one *= 1 / (g * lift_arm)
        below(one, code["hydraulic"])
        for s in stations:
            add(moment, s.moment, out=f0)
            f0 *= 1 / base
            add(fixed, s.mass, out=total)
            sub(total, f0, out=r0)
            add(two, s.pin, out=f1)
            f1 *= 1 / base
            sub(1.0, f1, out=r1)
            mul(r1, 0.5, out=rl1)
            sub(rl1, side, out=rr1)
            rl1 += side
            mul(r0, 0.5, out=rl0)

            at_most(f0, f1, front_rating, code["frontAxle"])
            at_most(r0, r1, rear_rating, code["rearAxle"])
            mul(f0, 0.5, out=one)
            mul(f1, 0.5, out=half)
            for _ in range(2):  # left and right
                at_most(one, half, front_tire, code["frontTire"])
            at_most(rl0, rl1, rear_tire, code["rearTire"])
            at_most(rl0, rr1, rear_tire, code["rearTire"])
            # have + h m >= need + n m becomes need - have + (n - h) m <= 0.
            mul(unladen, steered, out=empty)
            empty -= f0
            np.negative(f1, out=half)
            at_most(empty, half, 0.0, code["steered"])
            mul(total, share, out=empty)
            empty -= r0
            sub(share, r1, out=half)
            at_most(empty, half, 0.0, code["tipping"])
            empty *= 0.5
            for wheel in (rl1, rr1):
                sub(share / 2, wheel, out=half)
                at_most(empty, half, 0.0, code["rearWheel"])
            for k in (1.0, factor):
                # The arms with the factor, load as well; a front wheel has half.
                add(moment, k * s.moment, out=empty)
                empty *= -0.5 / base
                mul(f1, -0.5 * k, out=half)
                for _ in range(2):
                    at_most(empty, half, 0.0, code["frontWheel"])
            np.negative(f0, out=empty)
            np.negative(f1, out=half)
            at_most(empty, half, 0.0, code["rearward"])
        np.greater(total, gross, out=flag)
        if flag.any():
            np.copyto(broken, np.minimum(broken, code["gross"]), where=flag)
        sub(gross, total, out=one)
        below(one, code["gross"])
        mul(center, 1 / rated_center, out=one)
        np.maximum(one, 1.0, out=one)
        div(forks_rating, one, out=one)
        below(one, code["attachment"])
        mul(box, hitch_ratio, out=one)
        np.greater(one, hitch, out=flag)
        if flag.any():
            np.copyto(broken, np.minimum(broken, code["hitch"]), where=flag)
        np.less(broken, len(kinds), out=flag)
        if flag.any():
            np.copyto(least, 0.0, where=flag)
            np.copyto(which, broken, where=flag)
        return least, which


class Binding:
    """The one condition that governs in every row of this design: the front axle."""

    def __init__(self, n):
        self.room = [np.empty(n) for _ in range(4)]
        self.which = np.full(n, code["frontAxle"], np.int8)

    def solve(self, box, brine, cgx, face, pressure, center, sideways, operator):
        n = len(box)
        moment, least, one, per = [r[:n] for r in self.room]
        # The load center and the arms are farthest out at the deck.
        np.take(operator_moments, operator, out=moment)
        np.multiply(cgx, -machine, out=one)
        moment += one
        np.multiply(box, -box_x, out=one)
        moment += one
        np.add(face, center, out=per)
        per += stations[1].pin
        np.divide(moment, per, out=least)
        return least, self.which[:n]


operator_moments = front_rating * base - frame * frame_x - stations[1].moment - operators * seat_x


def in_blocks(solver, columns, size):
    n = len(columns[0])
    s = solver(size)
    usable, which = np.empty(n), np.empty(n, np.int8)
    for i in range(0, n, size):
        usable[i:i + size], which[i:i + size] = s.solve(*[c[i:i + size] for c in columns])
    return usable, which


def agree(columns, load, governing, solver, what):
    usable, which = in_blocks(solver, columns, 4096)
    names_ = np.array(kinds)[which]
    apart = np.abs(usable - load) / np.maximum(1.0, np.abs(load))
    wrong = int(np.sum(names_ != governing))
    print(f"{what}: {len(load)} rows, largest difference {apart.max():.1e}, {wrong} other names")
    return apart.max() <= 1e-12 and wrong == 0


def timed(solver, columns):
    """The least ns a row over sizes of block, and that size. No answers kept."""
    best = (math.inf, 0)
    n = len(columns[0])
    for size in (1024, 2048, 4096, 8192, 16384):
        s = solver(size)
        blocks = [[c[i:i + size] for c in columns] for i in range(0, n - n % size, size)]
        for _ in range(7):
            start = time.process_time()
            for block in blocks:
                s.solve(*block)
            best = min(best, ((time.process_time() - start) / (len(blocks) * size) * 1e9, size))
    return best


with tempfile.TemporaryDirectory() as d:
    sweep = os.path.join(d, "sweep")
    subprocess.run(["go", "-C", "examples", "build", "-o", sweep, "./sweep"], check=True)
    design = json.loads(subprocess.run([sweep, "demo"], check=True, stdout=subprocess.PIPE).stdout)
    factors = [f["name"] for f in design["factors"]]
    design["outputs"] = ["usable", "governing"]
    name = os.path.join(d, "design.json")
    assert factors == ["box", "brine", "cgX", "face", "pressure", "loadCenter", "sideways", "operator"]

    def written(samples):
        """The library's rows: the columns of the factors, loads and names."""
        with open(name, "w") as f:
            json.dump(design, f)
        out = subprocess.run([sweep, "-summary=false", "-design", name, "-samples", str(samples), "-digits", "17", "-out", "-"],
                             check=True, stdout=subprocess.PIPE, text=True).stdout.splitlines()
        # The first column is the row; then come the factors and the outputs.
        table = list(csv.reader(out))[1:]
        columns = [np.array([float(r[1 + i]) for r in table]) for i in range(7)]
        columns.append(np.array([names[1:].index(r[8]) for r in table], np.intp))
        return columns, np.array([float(r[9]) for r in table]), np.array([r[10] for r in table])

    # Another design, in which many limits govern, holds the rest of the conditions.
    axle = design["base"]["setup"]["machine"]["front"]
    kept = json.dumps([axle, design["factors"]])
    axle["rating"], axle["tire"]["loadIndex"] = "6000 kg", 160
    front_rating, front_tire = 6000.0, 4500.0 * 1.4
    for f, low_, high_ in ((0, "1 kg", "1400 kg"), (3, "10 cm", "150 cm"), (4, "2 MPa gauge", "40 MPa gauge"), (6, "-60 cm", "60 cm")):
        design["factors"][f] = {k: design["factors"][f][k] for k in ("name", "path")} | {"range": {"low": low_, "high": high_}}
    columns, load, governing = written(5000)
    print("wide design, governing:", ", ".join(f"{k} {n}" for k, n in zip(*np.unique(governing, return_counts=True))))
    ok = agree(columns, load, governing, Every, "every condition")

    front_rating, front_tire = 2400.0, 1120.0 * 1.4
    design["base"]["setup"]["machine"]["front"], design["factors"] = json.loads(kept)
    columns, load, governing = written(20000)
    print("built-in design, governing:", ", ".join(f"{k} {n}" for k, n in zip(*np.unique(governing, return_counts=True))))
    ok = agree(columns, load, governing, Every, "every condition") and ok
    ok = agree(columns, load, governing, Binding, "the one that binds") and ok
    if not ok:
        sys.exit("NumPy and the library do not agree")

    one_core = {0}
    os.sched_setaffinity(0, one_core)

    def program(*more):
        """The least ns a row of the whole program on one core."""
        best = math.inf
        for _ in range(3):
            p = subprocess.Popen([sweep, "-summary=false", "-design", name, "-samples", str(rows // per_sample), "-workers", "1", *more],
                                 env=dict(os.environ, GOMAXPROCS="1"), stderr=subprocess.DEVNULL)
            _, status, usage = os.wait4(p.pid, 0)
            if status:
                sys.exit("the sweep failed")
            best = min(best, (usage.ru_utime + usage.ru_stime) / rows * 1e9)
        return best

    def collections():
        """How often the collector runs in a million rows."""
        p = subprocess.run([sweep, "-summary=false", "-design", name, "-samples", str(rows // per_sample), "-workers", "1"],
                           check=True, env=dict(os.environ, GOMAXPROCS="1", GODEBUG="gctrace=1"), stderr=subprocess.PIPE, text=True)
        return sum(line.startswith("gc ") for line in p.stderr.splitlines()) * 1e6 / rows

    every, size = timed(Every, columns)
    binding, binding_size = timed(Binding, columns)
    go = program()
    print(f"library, whole program, one core, results dropped: {go:.0f} ns a row")
    print(f"NumPy {np.__version__}, every condition: {every:.0f} ns a row in blocks of {size}: the library takes {go / every:.2f} times as long")
    print(f"NumPy, the one that binds: {binding:.0f} ns a row in blocks of {binding_size}: the library takes {go / binding:.1f} times as long")
    print(f"collector: {collections():.0f} runs in a million rows")
    design["outputs"] = ["usable", "governing", "tipping", "limits.hydraulic", "limits.frontAxle", "axles.rear", "slope"]
    with open(name, "w") as f:
        json.dump(design, f)
    seven = program()
    print(f"library, all seven outputs: {seven:.0f} ns a row, {seven / go:.2f} times the two")
