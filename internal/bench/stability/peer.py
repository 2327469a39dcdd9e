"""The loads and the limits of stability.Model.LimitsIn in NumPy: eight rows,
seven tangents, three slide limits and the first of them, for blocks of 8192
load cases. Prints nanoseconds a case and the ratio to the argument."""
import sys
import timeit

import numpy as np

N = 8192
rng = np.random.default_rng(1)
g, T, Tf, L, p, mu = 9.80665, 1.4, 1.4, 2.1, 0.48, 0.5
mf, hf = 220.0, 0.42
m = rng.uniform(2600, 3400, N)
x = rng.uniform(0.8, 1.5, N)
y = rng.uniform(-0.02, 0.02, N)
z = rng.uniform(0.75, 1.0, N)
slope, heading = np.radians(8), np.radians(104)
s, c, t, scale = np.sin(heading), np.cos(heading), np.tan(slope), g * np.cos(slope)


def limits():
    M = m + mf
    mx, my, mz = m * x + mf * L, m * y, m * z + mf * hf
    # row / (g cos b) = a - t b
    fa, fb = mx / L, mz * c / L  # front axle
    ra, rb = M - fa, -fb
    yaw = (mx * s - my * c) / L  # lateral force at the front, per t
    da, db = np.zeros(N), (p * yaw + (hf - p) * mf * s) * 2 / Tf  # difference of the front wheels, left less right
    roll, rollb = my, mz * s
    ea, eb = (roll - da * Tf / 2) * 2 / T, (rollb - db * Tf / 2) * 2 / T
    rows = [(fa, fb), (ra, rb), ((fa + da) / 2, (fb + db) / 2), ((fa - da) / 2, (fb - db) / 2),
            ((ra + ea) / 2, (rb + eb) / 2), ((ra - ea) / 2, (rb - eb) / 2)]
    along = p * M * c / (2 * L)  # what one rear wheel alone adds
    rows += [((ra + ea) / 2, (rb + eb) / 2 + along), ((ra - ea) / 2, (rb - eb) / 2 + along),
             ((fa + da) / 2, (fb + db) / 2 - along)]
    loads = [scale * (a - t * b) for a, b in rows[:8]]
    tans = []
    for i in (0, 1, 2, 3, 6, 7, 8):
        a, b = rows[i]
        tans.append(np.where(b > 1e-8 * a, a / b, np.inf))
    need_r, need_f = np.hypot(M * c, M * s - yaw), np.abs(yaw)
    slides = [mu * ra / (need_r + mu * rb), mu * fa / (need_f + mu * fb)]
    first = np.minimum.reduce(tans)
    kind = np.argmin(np.stack(tans), axis=0)
    return loads, tans, slides, first, kind, np.minimum(np.minimum(slides[0], slides[1]), mu)


with np.errstate(divide="ignore", invalid="ignore"):
    limits()
    best = min(timeit.repeat(limits, number=20, repeat=15)) / 20 / N * 1e9
print("NumPy %s: %.0f ns a case" % (np.__version__, best))
if len(sys.argv) > 1:
    go = float(sys.argv[1])
    print("Go: %.0f ns a case, %.1f times as fast" % (go, best / go))
