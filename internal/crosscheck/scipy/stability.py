#!/usr/bin/python3
"""Writes testdata/tip_scipy.json: tipping slopes, energies and motions of
seeded random machines by minimising and following the potential energy
(SciPy). Nothing here knows the library's formulas: poses come from the
constraints, slopes from the potential, times from an ODE solver.

Run it in this folder: ./stability.py
"""
import json
import pathlib
import random

import numpy as np
import scipy
from scipy.integrate import solve_ivp
from scipy.optimize import brentq, fsolve, minimize_scalar
from scipy.spatial.transform import Rotation

G = 9.80665
here = pathlib.Path(__file__).resolve().parent
rnd = random.Random(7)


def machine():
    L, T = rnd.uniform(1.7, 2.8), rnd.uniform(1.1, 1.8)
    m = rnd.uniform(1500, 4500)
    return {k: round(v, 4) for k, v in dict(
        L=L, T=T, Tf=T * rnd.uniform(0.8, 1.1), hp=rnd.uniform(0.35, 0.6), stop=rnd.uniform(4, 14),
        m=m, x=L * rnd.uniform(0.3, 0.6), y=rnd.uniform(-0.05, 0.05), z=rnd.uniform(0.75, 1.15),
        mf=rnd.uniform(120, 400), hf=rnd.uniform(0.35, 0.55),
        ixx=m * rnd.uniform(0.2, 0.4), iyy=m * rnd.uniform(0.5, 0.9), izz=m * rnd.uniform(0.5, 0.9), ixz=-m * rnd.uniform(0, 0.1),
        heading=rnd.uniform(40, 150)).items()}


def gravity(slope, heading):
    b, h = np.radians(slope), np.radians(heading)
    return G * np.array([-np.sin(b) * np.cos(h), -np.sin(b) * np.sin(h), -np.cos(b)])


def attitude(roll, pitch, yaw):
    return Rotation.from_euler("xyz", [roll, pitch, yaw])  # about fixed axes


class Machine:
    def __init__(self, c):
        self.c = c
        self.R = np.array([0, -c["T"] / 2, 0])
        self.P = np.array([c["L"], 0, c["hp"]])
        self.F = np.array([c["L"], 0, 0])
        self.B = np.array([c["x"], c["y"], c["z"]])
        self.A = np.array([c["L"], 0, c["hf"]])

    def pose(self, roll):
        """Body and axle centres of gravity and the front contact at a roll of
        the body against the axle: rear contact fixed, front wheels rolling."""
        def put(v):
            body, axle = attitude(roll, v[0], v[1]), attitude(0, v[0], v[1])
            pin = self.R + body.apply(self.P - self.R)
            return body, axle, pin, pin + axle.apply(self.F - self.P)

        def misfit(v):
            front = put(v)[3]
            return [front[1], front[2]]

        v = fsolve(misfit, [0, 0], xtol=1e-13)
        body, axle, pin, front = put(v)
        corner = front + attitude(0, 0, v[1]).apply([0, -self.c["Tf"] / 2, 0])
        return pin + body.apply(self.B - self.P), pin + axle.apply(self.A - self.P), corner

    def potential(self, roll, g):
        b, a, _ = self.pose(roll)
        return -self.c["m"] * g @ b - self.c["mf"] * g @ a

    def tip(self):
        """The slope at which the potential no longer rises from rest."""
        def rise(slope):
            g = gravity(slope, self.c["heading"])
            return self.potential(1e-4, g) - self.potential(0, g)
        return brentq(rise, 0, 80, xtol=1e-7)

    def on_stop(self, turn):
        """Both bodies turned about the line from the rear to the front contact,
        from their pose on the stop."""
        b, a, corner = self.pose(np.radians(self.c["stop"]))
        w = (corner - self.R) / np.linalg.norm(corner - self.R)
        q = Rotation.from_rotvec(w * turn)
        return self.R + q.apply(b - self.R), self.R + q.apply(a - self.R)

    def second(self):
        """The slope at which the body on its stop goes over."""
        def push(slope):
            g = gravity(slope, self.c["heading"])

            def v(t):
                b, a = self.on_stop(t)
                return -self.c["m"] * g @ b - self.c["mf"] * g @ a
            return v(1e-5) - v(-1e-5)
        if push(0) <= 0:
            return None
        if push(85) > 0:
            return "none"
        return brentq(push, 0, 85, xtol=1e-9)

    def barrier(self, slope):
        g = gravity(slope, self.c["heading"])
        stop = np.radians(self.c["stop"])
        v0 = self.potential(0, g)
        def v(t):
            b, a = self.on_stop(t)
            return -self.c["m"] * g @ b - self.c["mf"] * g @ a

        tops = [minimize_scalar(lambda r: -self.potential(r, g), bounds=(0, stop), method="bounded", options=dict(xatol=1e-7)),
                minimize_scalar(lambda t: -v(t), bounds=(0, 1.6), method="bounded", options=dict(xatol=1e-7))]
        best = max(v(0), v0, *(-t.fun for t in tops))
        return best - v0

    def inertia(self):
        c = self.c
        return np.array([[c["ixx"], 0, c["ixz"]], [0, c["iyy"], 0], [c["ixz"], 0, c["izz"]]])

    def roll_over(self, slope, rate):
        """From the slope, turning at a rate about the line from contact to pin:
        time and rate at the stop, then as one about the line to the front
        contact with the energy kept, until a point of the frame is down."""
        c = self.c
        g = gravity(slope, c["heading"])
        w = (self.P - self.R) / np.linalg.norm(self.P - self.R)
        arm = self.B - self.R
        perp = arm - w * (arm @ w)
        i1 = w @ self.inertia() @ w + c["m"] * perp @ perp
        stop = np.radians(c["stop"])

        def roll(q):
            m = Rotation.from_rotvec(w * q).as_matrix()
            return np.arctan2(m[2, 1], m[2, 2]) - stop
        end = brentq(roll, 0, 1.5, xtol=1e-14)

        def motion(w, parts, inertia):
            def f(t, y):
                q = Rotation.from_rotvec(w * y[0])
                torque = sum(m * w @ np.cross(q.apply(r), g) for m, r in parts)
                return [y[1], torque / inertia]
            return f

        def hit(t, y):
            return y[0] - end
        hit.terminal, hit.direction = True, 1

        def back(t, y):
            return y[1]
        back.terminal, back.direction = True, -1
        s = solve_ivp(motion(w, [(c["m"], arm)], i1), [0, 60], [0, rate], events=[hit, back], rtol=1e-8, atol=1e-10)
        if not len(s.t_events[0]):
            return dict(falls=False)
        t1, v1 = s.t_events[0][0], s.y_events[0][0][1]
        turned = Rotation.from_rotvec(w * end)
        arm2, axle = turned.apply(arm), self.A - self.R
        u = np.array([c["L"], (c["T"] - c["Tf"]) / 2, 0])
        u /= np.linalg.norm(u)
        m3 = turned.as_matrix()
        i2 = u @ (m3 @ self.inertia() @ m3.T) @ u + c["m"] * np.sum(np.cross(u, arm2) ** 2) + c["mf"] * np.sum(np.cross(u, axle) ** 2)
        v2 = np.sqrt(i1 / i2) * v1
        top = self.R + turned.apply(np.array([0.3, -0.6, 2.3]) - self.R)

        def down(t, y):
            return (self.R + Rotation.from_rotvec(u * y[0]).apply(top - self.R))[2]
        down.terminal, down.direction = True, -1
        s = solve_ivp(motion(u, [(c["m"], arm2), (c["mf"], axle)], i2), [0, 60], [0, v2], events=[down, back], rtol=1e-8, atol=1e-10)
        out = dict(falls=True, stop_time=t1, stop_rate=v1, stop_energy=i1 * v1 * v1 / 2)
        out["over"] = bool(len(s.t_events[0]))
        if out["over"]:
            out["ground_time"], out["ground_rate"] = t1 + s.t_events[0][0], s.y_events[0][0][1]
        return out


rows = []
for _ in range(20):
    c = machine()
    m = Machine(c)
    tip = m.tip()
    slope = round(tip / 2, 3)
    fall = round(tip + 1, 3)
    rows.append(dict(c, tip_deg=tip, second_deg=m.second(), slope_deg=slope, barrier_J=m.barrier(slope),
                     fall_slope_deg=fall, fall_rate=0.05, fall=m.roll_over(fall, 0.05)))

# The chassis about its rear axle under a constant torque, from an offset.
rear = []
for _ in range(8):
    c = {k: round(v, 4) for k, v in dict(m=rnd.uniform(1500, 4000), x=rnd.uniform(0.5, 0.9), z=rnd.uniform(0.75, 1.1), r=rnd.uniform(0.5, 0.7),
                                         k2=rnd.uniform(0.4, 0.8), n=rnd.uniform(0.97, 2), offset=rnd.uniform(2, 6), rate=rnd.uniform(0.2, 0.6),
                                         slope=rnd.uniform(0, 15)).items()}
    x, z = c["x"], c["z"] - c["r"]
    inertia = c["m"] * (c["k2"] + x * x + z * z)
    start = np.arctan2(z, x) + np.radians(c["slope"])
    arm = np.hypot(x, z)
    torque = c["n"] * c["m"] * G * c["x"]
    end = np.pi / 2 - start

    def f(t, y):
        return [y[1], (torque - c["m"] * G * arm * np.cos(start + y[0])) / inertia]

    def over(t, y):
        return y[0] - end

    def lost(t, y):
        return inertia * y[1] ** 2 / 2 - c["m"] * G * arm * (1 - np.sin(start + y[0]))
    over.terminal = True
    s = solve_ivp(f, [0, 30], [np.radians(c["offset"]), c["rate"]], events=[over, lost], rtol=1e-8, atol=1e-10)
    if len(s.t_events[0]):
        rear.append(dict(c, torque=torque, balance_deg=np.degrees(end), balance_s=s.t_events[0][0],
                         lost_deg=np.degrees(s.y_events[1][0][0]), lost_s=s.t_events[1][0]))

doc = dict(engine="SciPy " + scipy.__version__, made_by="internal/crosscheck/scipy/stability.py", cases=rows, rear=rear)
(here / "../../../testdata/tip_scipy.json").resolve().write_text(json.dumps(doc, indent=1) + "\n")
