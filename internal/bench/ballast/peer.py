"""What ballast.Case.Check answers, in NumPy, for blocks of 8192 loads on one
compiled case: how much of each limit is used (17 straight lines, as many
limits as the case of BenchmarkCheck/level moves, and one ratio), what is left
of each, its status, the limit used most, and seven wheel loads. Prints
nanoseconds a load and the ratio to the argument."""
import sys
import timeit

import numpy as np

N = 8192
rng = np.random.default_rng(1)
load = rng.uniform(0, 900, N)
at = rng.uniform(0.1, 0.6, 17)
slope = rng.uniform(2e-4, 1e-3, 17)
most = (1 - at) / slope
slack = 1e-9 * most
fixed = rng.uniform(300, 1500, 7)
per_kg = rng.uniform(-1, 2, 7)


def check():
    used = [a + s * load for a, s in zip(at, slope)]
    used.append(350 / (800 + 1.4 * load))
    left = [m - load for m in most]
    status = [np.where(l > k, 1, np.where(l < -k, 3, 2)).astype(np.uint8) for l, k in zip(left, slack)]
    table = np.stack(used)
    governing = np.argmax(table, axis=0)
    worst = np.maximum.reduce(used)
    least = np.minimum.reduce(left)
    wheels = [f + p * load for f, p in zip(fixed, per_kg)]
    verdict = np.where(worst > 1, 3, 1).astype(np.uint8)
    return used, left, status, governing, worst, least, wheels, verdict


check()
best = min(timeit.repeat(check, number=20, repeat=15)) / 20 / N * 1e9
print("NumPy %s: %.0f ns a load" % (np.__version__, best))
if len(sys.argv) > 1:
    go = float(sys.argv[1])
    print("Go: %.0f ns a load, %.1f times as fast" % (go, best / go))
