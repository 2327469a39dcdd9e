#!/usr/bin/python3
"""Draw random ballast problems for the exact integer optimizer.

Each is a tractor with 12 kinds of pieces and 10 load cases of six limits
each, written so compactly that any language can build the same integer rows
from it:

  column  [upper, grams, cents, x, z, raised, group]
  row     [p, q, r, bound, lowered]:
          sum over columns of grams (p + q x + r z) count >= bound,
          without the columns that count only while raised if lowered is 1
  extra   [[column, coefficient] ..., bound], plain rows: the capacity of a
          rack, and the filling of a box that must be there to be filled
  group   columns with the same positive number exclude each other

x (ahead of the rear contact line) and z (above the ground) are in
millimeters. The geometry, the ratings and the needs are invented.

usage: instances.py COUNT > FILE
"""
import json
import math
import random
import sys

POUND = 453.59237


def mass(rng, lo, hi):
    """Kilograms drawn in range, to whole kilograms or whole pounds, in grams."""
    kg = rng.uniform(lo, hi)
    if rng.random() < 0.5:
        return round(kg) * 1000
    return round(round(kg * 1000 / POUND) * POUND)


def cents(rng, grams):
    return round(grams * rng.uniform(0.1, 0.5) / 10) * rng.choice((1, 5, 10))


def instance(rng):
    L = rng.randint(1600, 2500)
    M = rng.randint(1500, 4500) * 1000
    cx, cz = round(L * rng.uniform(0.36, 0.46)), rng.randint(650, 950)
    T, hp = rng.randint(1150, 1700), rng.randint(380, 560)
    r_rear, r_front = rng.randint(520, 750), rng.randint(300, 480)
    columns, extra = [], []

    def col(upper, grams, cost, x, z, raised=0, group=0):
        columns.append([upper, grams, cost, x, z, raised, group])
        return len(columns) - 1

    # 1-3 rear wheel weights in pairs; 4 front wheel weights in pairs.
    for _ in range(3):
        g = 2 * mass(rng, 20, 80)
        col(rng.randint(1, 4), g, cents(rng, g), 0, r_rear)
    g = 2 * mass(rng, 15, 45)
    col(rng.randint(1, 3), g, cents(rng, g), L, r_front)
    # 5-7 weights on the front rack, with its capacity; 8 on a rear rack.
    rack = []
    for _ in range(3):
        g = mass(rng, 20, 50)
        j = col(rng.randint(4, 10), g, cents(rng, g), L + rng.randint(500, 900), rng.randint(500, 800))
        rack.append([j, -rng.choice((1, 1, 2))])
    extra.append([rack, -rng.randint(6, 12)])
    g = mass(rng, 15, 45)
    col(rng.randint(4, 10), g, cents(rng, g), -rng.randint(500, 700), rng.randint(600, 900))
    # 9-10 liquid in the rear and in the front tires, by steps of level.
    for group, x, r, full in ((1, 0, r_rear, rng.uniform(80, 250)), (2, L, r_front, rng.uniform(20, 70))):
        cost = rng.uniform(0.02, 0.2)
        steps = rng.randint(4, 8)
        for k in range(1, steps + 1):
            f = k / steps * 0.8
            g = 2 * round(full * f * 1000)
            # The centroid of the liquid rises with the level.
            z = r - round(r * 0.75 * (1 - f))
            col(1, g, round(g * cost), x, z, 0, group)
    # 11 a box on the hitch, by discrete fillings or by a range of mass;
    # 12 an implement that is owned already, on the same hitch.
    x, z = -rng.randint(900, 1300), rng.randint(600, 900)
    if rng.random() < 0.5:
        empty, volume = mass(rng, 60, 120), rng.uniform(0.15, 0.4)
        for density in (1600, 2400, 7208):
            g = empty + round(volume * density * 1000 / 1000) * 1000
            col(1, g, rng.randint(5000, 40000), x, z, 1, 3)
    else:
        j = col(1, mass(rng, 60, 120), rng.randint(5000, 20000), x, z, 1, 3)
        step = rng.choice((1, 10, 100, 1000, 1000, 5000, 10000))
        k = col(rng.randint(200, 700) * 1000 // step, step, rng.choice((0, 0, step // 50)), x, z, 1)
        extra.append([[[j, columns[k][0]], [k, -1]], 0])
    col(1, mass(rng, 150, 500), 0, -rng.randint(1000, 1700), rng.randint(500, 800), 1, 3)

    # A reference choice, around which the needs and ratings are set.
    ref = []
    taken = set()
    for upper, _, _, _, _, _, group in columns:
        if group and (group in taken or rng.random() < 0.6):
            ref.append(0)
            continue
        v = rng.randint(0, upper) if rng.random() < 0.6 else 0
        if group and v:
            taken.add(group)
        ref.append(v)
    for terms, bound in extra:
        while sum(a * ref[j] for j, a in terms) < bound:
            j = rng.choice([j for j, a in terms if a < 0 and ref[j]])
            ref[j] -= 1

    rows = []

    def weigh(p, q, r, lowered):
        return sum(g * (p + q * x + r * z) * v
                   for (u, g, c, x, z, raised, group), v in zip(columns, ref)
                   if not (raised and lowered))

    def need(p, q, r, lowered, slack):
        """A row that the machine fails without ballast and that the
        reference choice meets with some slack."""
        added = weigh(p, q, r, lowered)
        rows.append([p, q, r, round(added * (1 - slack)) if added > 0 else added, lowered])

    def rating(p, q, r, lowered, room):
        rows.append([p, q, r, min(round(weigh(p, q, r, lowered) - room), 0), lowered])

    for case in range(10):
        lowered = 1 if rng.random() < 0.2 else 0
        slope = rng.uniform(0, 0.25)
        heading = rng.uniform(0, math.pi)
        # Rear axle share of the total; the shares in thousandths.
        need(800 * L // 1000, -1, 0, lowered, rng.uniform(0, 0.3))
        # Tipping about the front axle, nose downhill.
        t = round(1000 * slope)
        need(1000 * L, -1000, -t, lowered, rng.uniform(0, 0.3))
        # Front axle, rear axle, gross mass.
        rating(0, -1, 0, 0, 50e3 * L * rng.uniform(0, 3))
        rating(-L, 1, 0, 0, 100e3 * L * rng.uniform(0, 3))
        rating(-1, 0, 0, 0, 100e3 * rng.uniform(0, 3))
        # Tipping about the line from a rear contact to the pin.
        s, c = math.sin(heading), math.cos(heading)
        p = round(T / 2 * L)
        q = -round(T / 2 + slope * (s * hp))
        r = -round(slope * (s * L - c * T / 2))
        need(p, q, r, lowered, rng.uniform(0, 0.3))
        # Steered axle, without a load.
        if case == 0:
            rating(-round(0.2 * L), 1, 0, 0, 20e3 * L * rng.uniform(0, 3))
    if rng.random() < 0.12:
        # A demand that often contradicts the ratings.
        k = rng.randrange(len(rows))
        rows[k][3] += abs(rows[k][3]) + round(weigh(*rows[k][:3], 0) * 0.2) + 1
    return {"columns": columns, "rows": rows, "extra": extra}


def main():
    count = int(sys.argv[1])
    rng = random.Random(20260)
    for _ in range(count):
        json.dump(instance(rng), sys.stdout, separators=(",", ":"))
        sys.stdout.write("\n")


if __name__ == "__main__":
    main()
