#!/usr/bin/python3
"""How a sweep gains from cores, and how often the collector runs. Run from the root of
the repository, on a machine with nothing else to do:

    /usr/bin/python3 internal/bench/sweep/cores.py [million rows]

It evaluates the built-in design on one core and on two (and four, eight and sixteen where
the machine has them), with the results dropped: with the usable load and its limit alone,
which the library answers in blocks, and with all seven outputs, which it answers row by
row. Each figure is the least wall time of five turns, in which the numbers of cores take
turns, less the time in which the program starts. A worker is held to a core of its own.
The collector's runs are counted by the runtime itself, less those in which the program
starts. Not part of CI.
"""
import json
import os
import subprocess
import sys
import tempfile
import time

millions = float(sys.argv[1]) if len(sys.argv) > 1 else 8
per_sample = 10  # rows of one sample of the built-in design
have = sorted(os.sched_getaffinity(0))


def run(args, cores, **env):
    """The wall time of a run on so many cores, and what it wrote as errors."""
    start = time.perf_counter()
    p = subprocess.run(args, preexec_fn=lambda: os.sched_setaffinity(0, have[:cores]), check=True,
                       env=dict(os.environ, GOMAXPROCS=str(cores), **env), stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
    return time.perf_counter() - start, p.stderr


with tempfile.TemporaryDirectory() as d:
    sweep = os.path.join(d, "sweep")
    subprocess.run(["go", "-C", "examples", "build", "-o", sweep, "./sweep"], check=True)
    design = json.loads(subprocess.run([sweep, "demo"], check=True, stdout=subprocess.PIPE).stdout)
    load = os.getloadavg()[0]
    if load > 0.3:
        print(f"*** the machine is not idle: load {load:.1f}; these figures are preliminary ***")
    for what, outputs, share in (("usable load and limit", ["usable", "governing"], 1), ("seven outputs", design["outputs"], 0.125)):
        design["outputs"] = outputs
        name = os.path.join(d, "design.json")
        with open(name, "w") as f:
            json.dump(design, f)
        samples = int(millions * 1e6 * share / per_sample)
        rows = samples * per_sample

        def args(samples, cores):
            return [sweep, "-summary=false", "-design", name, "-samples", str(samples), "-workers", str(cores)]

        cores = [n for n in (1, 2, 4, 8, 16) if n <= len(have)]
        best, begin = dict.fromkeys(cores, 1e9), 1e9
        for _ in range(5):
            begin = min(begin, run(args(2, 1), 1)[0])
            for n in cores:
                best[n] = min(best[n], run(args(samples, n), n)[0])
        one = best[1] - begin
        print(f"{what}: {one / rows * 1e9:.0f} ns a row on one core")
        for n in cores:
            runs = [sum(line.startswith("gc ") for line in run(args(s, n), n, GODEBUG="gctrace=1")[1].splitlines()) for s in (2, samples)]
            collected = runs[1] - runs[0]
            print(f"  {n} cores: {one / (best[n] - begin):.2f} times one; the collector ran {collected / rows * 1e6:.2f} times in a million rows")
