#!/usr/bin/python3
"""Reference values for the weighing code, from NumPy and SciPy alone.

Run in this folder: /usr/bin/python3 make.py ../../../testdata
Tests read the files it writes and never run it.

weigh_line.json    straight lines: scipy.stats.linregress; Fieller's limits as
                   roots (brentq) of their defining inequality; Student and
                   chi-square quantiles
weigh_tipping.json tipping load from rear axle readings with priors: the whole
                   nonlinear problem by scipy.optimize.least_squares, its
                   interval from the profile of the sum of squares
weigh_lift.json    axle lift: a machine rotated point by point, its reading
                   found by a moment balance in the rotated frame; with noise,
                   height and standard error by least_squares
weigh_reconcile.json  spec sheet against readings: the same, on raw moments
"""
import json
import sys
import numpy as np
from scipy import stats
from scipy.optimize import brentq, least_squares

rng = np.random.default_rng(20260101)
out = sys.argv[1]


def save(name, rows):
    with open(f"{out}/{name}", "w") as f:
        f.write("[\n" + ",\n".join(json.dumps(r) for r in rows) + "\n]\n")


# Straight lines.
rows = []
for _ in range(24):
    n = int(rng.integers(3, 12))
    x = np.round(np.sort(rng.uniform(0, 1200, n)), 1)
    y = np.round(rng.uniform(600, 3000) - rng.uniform(0.4, 1.4) * x + rng.normal(0, rng.uniform(1, 8), n), 2)
    r = stats.linregress(x, y)
    s = float(np.sqrt(((y - r.intercept - r.slope * x) ** 2).sum() / (n - 2)))
    t = float(stats.t.ppf(0.975, n - 2))
    sxx = ((x - x.mean()) ** 2).sum()
    x0 = -r.intercept / r.slope

    def inside(v):
        return (r.intercept + r.slope * v) ** 2 - t * t * s * s * (1 / n + (v - x.mean()) ** 2 / sxx)

    row = dict(x=x.tolist(), y=y.tolist(), slope=r.slope, intercept=r.intercept, slopeError=r.stderr,
               interceptError=r.intercept_stderr, residual=s, student=t, inverse=x0, bounded=bool((t * r.stderr / r.slope) ** 2 < 1))
    if row["bounded"]:
        d = 1.0
        while inside(x0 - d) < 0:
            d *= 2
        row["low"] = brentq(inside, x0 - d, x0, xtol=1e-9)
        d = 1.0
        while inside(x0 + d) < 0:
            d *= 2
        row["high"] = brentq(inside, x0, x0 + d, xtol=1e-9)
    chi = float(rng.uniform(0.1, 30))
    row["chi2"] = chi
    row["chi2Tail"] = float(stats.chi2.sf(chi, n))
    rows.append(row)
save("weigh_line.json", rows)

# Tipping load with priors. Unknowns R0, A, L, zero, gain.
rows = []
for _ in range(16):
    n = int(rng.integers(4, 8))
    L0, A0 = rng.uniform(1.6, 2.6), rng.uniform(1.2, 2.4)
    sL, sA = 0.005, rng.uniform(0.005, 0.02)
    s, sz, sg = rng.uniform(2, 10), float(rng.choice([0, 3])), float(rng.choice([0, 0.002]))
    sm = rng.uniform(0.5, 5)
    R0 = rng.uniform(900, 2500)
    k0 = A0 / L0
    m = np.round(np.linspace(0, 0.35 * R0 / k0, n))
    L, A = L0 + rng.normal(0, sL), A0 + rng.normal(0, sA)
    loadsd = np.where(m > 0, sm, 0)
    y = (1 + rng.normal(0, 1) * sg) * (R0 - A / L * (m + rng.normal(0, 1, n) * loadsd)) + rng.normal(0, 1) * sz + rng.normal(0, s, n)
    y = np.round(y, 1)
    sd = np.sqrt(s * s + (k0 * loadsd) ** 2)

    def res(p, m=m, y=y, sd=sd):
        r0, a, l, z, g = p[0], p[1], p[2], p[3] * sz, p[4] * sg
        f = (1 + g) * (r0 - a / l * m) + z
        return np.concatenate([(y - f) / sd, [(a - A0) / sA, (l - L0) / sL, p[3], p[4]]])

    scale = [1000, 1, 1, 1, 1]
    best = least_squares(res, [y[0], A0, L0, 0, 0], x_scale=scale, xtol=1e-15, ftol=1e-15, gtol=1e-15)
    chi = 2 * best.cost
    tip = best.x[0] * best.x[2] / best.x[1]

    # Profile: fix the tipping load M, so that R0 = A M / L.
    def profile(M):
        f = lambda q: res([q[0] * M / q[1], q[0], q[1], q[2], q[3]])
        return 2 * least_squares(f, best.x[1:], xtol=1e-15, ftol=1e-15, gtol=1e-15).cost - chi - stats.chi2.ppf(0.95, 1)

    lo = brentq(profile, tip * 0.8, tip, xtol=1e-6)
    hi = brentq(profile, tip, tip * 1.25, xtol=1e-6)
    rows.append(dict(wheelbase=[L0, sL], ahead=[A0, sA], sd=s, zeroSD=sz, gainSD=sg, loadSD=sm, load=m.tolist(), rear=y.tolist(),
                     tipping=tip, low=lo, high=hi, rearEmpty=best.x[0], fittedAhead=best.x[1], chi2=chi))
save("weigh_tipping.json", rows)

# Axle lift.
rows = []
for _ in range(16):
    L, rr, rf, h = rng.uniform(1.6, 2.8), rng.uniform(0.4, 0.85), rng.uniform(0.3, 0.8), rng.uniform(0.6, 1.1)
    W, x = rng.uniform(1500, 6000), L * rng.uniform(0.3, 0.55)
    s = rng.uniform(1, 5)
    ang = np.radians(np.array([-20, -12, 8, 14, 20, 25])[: int(rng.integers(2, 7))])

    def front(t, h=h, W=W, x=x, L=L, rr=rr, rf=rf):
        # Rotate the axle centers and the CG about the rear axle center; the
        # ground pushes straight up through each axle center.
        c = np.array([x, h - rr])
        f = np.array([L, rf - rr])
        rot = np.array([[np.cos(t), -np.sin(t)], [np.sin(t), np.cos(t)]])
        return W * (rot @ c)[0] / (rot @ f)[0]

    exact = [float(front(t)) for t in ang]
    lf, lr = float(front(0) + rng.normal(0, s)), float(W - front(0) + rng.normal(0, s))
    y = np.array(exact) + rng.normal(0, s, len(ang))
    sang, sL, sr = np.radians(0.1), 0.004, 0.003

    def model(t, wf, wr, hh, l, a, b):
        w = wf + wr
        return w * (l * wf / w * np.cos(t) - (hh - a) * np.sin(t)) / (l * np.cos(t) - (b - a) * np.sin(t))

    def dmodel(t, *p):
        return (model(np.arctan(np.tan(t) + 1e-6), *p) - model(np.arctan(np.tan(t) - 1e-6), *p)) / 2e-6

    p = np.array([lf, lr, h, L, rr, rf])
    for _ in range(4):  # the angle's error as an effective variance
        st = sang * (1 + np.tan(ang) ** 2)
        sd = np.sqrt(s * s + (dmodel(ang, *p) * st) ** 2)
        fun = lambda q: np.concatenate([[(lf - q[0]) / s, (lr - q[1]) / s], (y - model(ang, *q)) / sd,
                                        [(q[3] - L) / sL, (q[4] - rr) / sr, (q[5] - rf) / sr]])
        b = least_squares(fun, p, x_scale=[1000, 1000, 1, 1, 1, 1], xtol=1e-15, ftol=1e-15, gtol=1e-15)
        p = b.x
    cov = np.linalg.inv(b.jac.T @ b.jac)
    rows.append(dict(wheelbase=[L, sL], rearRadius=[rr, sr], frontRadius=[rf, sr], sd=s, angleSD=float(sang), front=lf, rear=lr,
                     angle=ang.tolist(), lifted=y.tolist(), height=float(p[2]), heightSD=float(np.sqrt(cov[2, 2])),
                     trueHeight=h, trueMass=W, trueX=x, exact=exact))
save("weigh_lift.json", rows)

# Spec sheet against readings: masses and places of parts, wheelbase.
rows = []
for _ in range(12):
    k = int(rng.integers(2, 5))
    L0, sL = rng.uniform(1.8, 2.6), 0.005
    m0 = np.concatenate([[rng.uniform(2000, 4500)], rng.uniform(100, 500, k - 1)])
    x0 = np.concatenate([[L0 * rng.uniform(0.35, 0.45)], rng.uniform(-1.2, L0 + 1.5, k - 1)])
    sm = np.concatenate([[60], np.full(k - 1, 10.0)])
    sx = np.concatenate([[0.05], np.full(k - 1, 0.03)])
    s, lsd = 5.0, 2.0
    X0, sX = L0 + rng.uniform(1.3, 2.0), 0.02
    L, mm, xx, X = L0 + rng.normal(0, sL), m0 + rng.normal(0, 1, k) * sm, x0 + rng.normal(0, 1, k) * sx, X0 + rng.normal(0, sX)
    on = np.ones((6, k), bool)
    for i in range(1, 6):
        on[i, 1:] = rng.random(k - 1) < 0.7
    load = np.array([0, 0, 0, 200, 300, 400.0])

    def axles(L, mm, xx, X, on=on, load=load):
        f = (on * mm * xx).sum(1) / L + load * X / L
        return f, (on * mm).sum(1) + load - f

    f, r = axles(L, mm, xx, X)
    f, r = f + rng.normal(0, s, 6), r + rng.normal(0, s, 6)

    def res(q):
        l, a, b, c, d = q[0], q[1:1 + k], q[1 + k:1 + 2 * k], q[1 + 2 * k], q[2 + 2 * k:]
        full = load.copy()
        full[load > 0] += d
        ff, rr_ = axles(l, a, b, c, load=full)
        return np.concatenate([(f - ff) / s, (r - rr_) / s, [(l - L0) / sL], (a - m0) / sm, (b - x0) / sx, [(c - X0) / sX], d / lsd])

    q0 = np.concatenate([[L0], m0, x0, [X0], np.zeros(3)])
    b = least_squares(res, q0, x_scale=np.maximum(abs(q0), 1), xtol=1e-15, ftol=1e-15, gtol=1e-15)
    sd = np.sqrt(np.diag(np.linalg.inv(b.jac.T @ b.jac)))
    n = 2 + 2 * k
    rows.append(dict(wheelbase=[L0, sL], mass=m0.tolist(), massSD=sm.tolist(), x=x0.tolist(), xSD=sx.tolist(), loadX=[X0, sX],
                     sd=s, loadSD=lsd, on=on.tolist(), load=load.tolist(), front=f.tolist(), rear=r.tolist(),
                     fitted=b.x[:n].tolist(), fittedSD=sd[:n].tolist(), chi2=2 * b.cost))
save("weigh_reconcile.json", rows)
