#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Load log: the program against a vectorised pandas script that computes the same statistics on two cores.

Usage: loads_pandas.py PROGRAM [ROWS]     (PROGRAM: the built ohmroot; ROWS: default 4000000, invented data)

The script reads the file in two halves, one process each, and joins their counts; times are whole runs,
file reading included. Prints the seconds of both, their ratio, and whether the answers agree.
"""
import json
import multiprocessing
import os
import subprocess
import sys
import tempfile
import time

import numpy
import pandas

SOURCE_V, NOMINAL_V, LIMIT_V, ELECTRODE_OHM = 253.0, 230.0, 70.0, 10.0


def write_log(path, count):
    generator = numpy.random.default_rng(7)
    seconds = numpy.arange(count)
    base = 8.0 + 15.0 * generator.random(count)
    charge = numpy.where((seconds // 7200) % 4 == 1, 32.0, 0.0)
    stamps = pandas.to_datetime(1767225600 + seconds, unit="s").strftime("%Y-%m-%d %H:%M:%S")
    frame = pandas.DataFrame({"time": stamps})
    for name, extra in (("L1 (A)", charge), ("L2 (A)", 0.0), ("L3 (A)", 0.0)):
        frame[name] = numpy.round(base + 3.0 * generator.random(count) + extra, 2)
    frame.to_csv(path, index=False)


def part(job):
    path, skipped, count = job
    frame = pandas.read_csv(path, skiprows=range(1, skipped + 1), nrows=count,
                            parse_dates=["time"], infer_datetime_format=True)
    i1, i2, i3 = (frame[name].to_numpy() for name in ("L1 (A)", "L2 (A)", "L3 (A)"))
    total = i1 + i2 + i3
    neutral = numpy.sqrt((i1 - i3) ** 2 - (i1 - i3) * (i2 - i3) + (i2 - i3) ** 2)
    without = SOURCE_V * neutral / total
    with_it = SOURCE_V * neutral / (total + NOMINAL_V / ELECTRODE_OHM)
    needed = (SOURCE_V * neutral / LIMIT_V - total) / NOMINAL_V
    over = without > LIMIT_V
    run = numpy.diff(numpy.flatnonzero(numpy.diff(numpy.concatenate(([0], over.view(numpy.int8), [0])))))[::2]
    hours = frame["time"].dt.dayofweek.to_numpy() * 24 + frame["time"].dt.hour.to_numpy()
    week = numpy.zeros(168)
    numpy.maximum.at(week, hours, without)
    steps = numpy.diff(frame["time"].to_numpy().astype("int64"))
    stretch = len(without) // 512 + 1
    return {
        "worst": float(without.max()), "worst_with": float(with_it.max()), "over": int(over.sum()),
        "over_with": int((with_it > LIMIT_V).sum()), "longest": int(run.max(initial=0)),
        "spells": int((run > 4).sum()), "needed": float(needed.max()), "week": week,
        "duration": numpy.histogram(without, bins=6000, range=(0, 600))[0],
        "duration_with": numpy.histogram(with_it, bins=6000, range=(0, 600))[0],
        "needed_counts": numpy.histogram(needed, bins=1500, range=(0, 5))[0],
        "load_counts": numpy.histogram(total, bins=1500, range=(0, 500))[0],
        "range": [(float(i.min()), float(i.max())) for i in (i1, i2, i3)],
        "gaps": int((steps > 1.5e9).sum()), "rows": len(frame),
        "over_time": [numpy.maximum.reduceat(without, numpy.arange(0, len(without), stretch)),
                      numpy.minimum.reduceat(without, numpy.arange(0, len(without), stretch)),
                      numpy.maximum.reduceat(with_it, numpy.arange(0, len(without), stretch))],
    }


def by_pandas(path, count):
    half = count // 2
    with multiprocessing.Pool(2) as pool:
        first, second = pool.map(part, [(path, 0, half), (path, half, count - half)])
    return {
        "row_count": first["rows"] + second["rows"],
        "worst": max(first["worst"], second["worst"]),
        "worst_with": max(first["worst_with"], second["worst_with"]),
        "over_ratio": (first["over"] + second["over"]) / count,
    }


def main():
    program = sys.argv[1]
    count = int(sys.argv[2]) if len(sys.argv) > 2 else 4000000
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "log.csv")
        write_log(path, count)
        start = time.perf_counter()
        theirs = by_pandas(path, count)
        pandas_s = time.perf_counter() - start
        start = time.perf_counter()
        done = subprocess.run([program, "loads", path, "--electrode", f"{ELECTRODE_OHM} ohm", "--json"],
                              capture_output=True, text=True)
        program_s = time.perf_counter() - start
        ours = json.loads(done.stdout)
    agrees = (ours["row_count"] == theirs["row_count"]
              and abs(ours["without_electrode"]["worst"]["met_v"] - theirs["worst"]) < 1e-9 * theirs["worst"]
              and abs(ours["with_electrode"]["worst"]["met_v"] - theirs["worst_with"]) < 1e-9 * theirs["worst_with"]
              and abs(ours["without_electrode"]["over_limit_ratio"] - theirs["over_ratio"]) < 1e-12)
    print(f"rows {count}: pandas on two cores {pandas_s:.2f} s, ohmroot on one {program_s:.2f} s "
          f"({count / program_s / 1e6:.1f} million rows/s), ratio {pandas_s / program_s:.1f} (target 12), "
          f"answers {'agree' if agrees else 'DIFFER'}")
    return 0 if agrees else 1


if __name__ == "__main__":
    sys.exit(main())
