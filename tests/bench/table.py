#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""One run, one table: work, our time without and with the estimate, target, true error, naive route and ratio.
Usage: /usr/bin/python3 tests/bench/table.py BUILD_FOLDER   (Debian: python3-numpy; gmsh and getdp for the last column)
One thread, processor time. Read ratios; times are those of this machine today."""
import json
import os
import pathlib
import resource
import shutil
import subprocess
import sys
import tempfile

here = pathlib.Path(__file__).resolve().parent
build = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else "build")
one_thread = dict(os.environ, OMP_NUM_THREADS="1", OPENBLAS_NUM_THREADS="1")


def ours():
    program = build / "tests/bench/ohmroot_bench"
    text = subprocess.run([program, "--benchmark_format=json", "--benchmark_min_time=0.3"], env=one_thread, check=True,
                          stdout=subprocess.PIPE, stderr=subprocess.DEVNULL).stdout
    to_ms = {"ns": 1e-6, "us": 1e-3, "ms": 1.0}
    rows = {}
    for row in json.loads(text)["benchmarks"]:
        row["ms"] = row["cpu_time"] * to_ms[row["time_unit"]]
        rows[row["name"]] = row
    return rows


def naive():
    text = subprocess.run(["/usr/bin/python3", here / "naive_boundary_elements.py"], env=one_thread, check=True,
                          stdout=subprocess.PIPE).stdout
    return json.loads(text)


def finite_elements_ms(upper, lower):
    """The rod of reference/fem at fineness 2: mesh and solution; None without the programs."""
    if not (shutil.which("gmsh") and shutil.which("getdp")):
        return None
    fem = here.parent.parent / "reference/fem"
    with tempfile.TemporaryDirectory() as work:
        shutil.copy(fem / "field.pro", work)
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        for command in (["gmsh", fem / "rod.geo", "-2", "-order", "2", "-setnumber", "fine", "2", "-o", "mesh.msh",
                         "-format", "msh2", "-v", "1"],
                        ["getdp", "field.pro", "-msh", "mesh.msh", "-setnumber", "upper", str(upper), "-setnumber",
                         "lower", str(lower), "-solve", "Field", "-pos", "current", "-v", "1"]):
            subprocess.run(command, cwd=work, env=one_thread, check=True, stdout=subprocess.DEVNULL,
                           stderr=subprocess.DEVNULL)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return 1e3 * (after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)


def number(value, unit=""):
    return "-" if value is None else f"{value:.3g}{unit}"


def ratio(large, small):
    return "-" if large is None or small is None else f"{large / small:.3g}"


mine, other = ours(), naive()
fem_uniform, fem_layers = finite_elements_ms(100, 100), finite_elements_ms(100, 1000)
quadrature_ms = mine["kernel: one value, naive adaptive quadrature"]["ms"]
rows = [  # work, level without estimate, with estimate, target ms, naive ms, finite elements ms
    ("kernel: sounding of 20 spacings, 4 layers, new model", "kernel: sounding, 20 spacings, 4 layers, new model", None,
     0.008, 40 * quadrature_ms, None),
    ("one rod, uniform", "level/one rod uniform / solve", "field/one rod uniform 0.05 %", 0.05, other["one rod uniform"],
     fem_uniform),
    ("one rod, three layers, kernel fit included", "level/one rod 3 layers / solve", "field/one rod 3 layers 0.05 %", 1.0,
     None, fem_layers),
    ("ten rods, uniform", "level/ten rods uniform / solve", "field/ten rods uniform 0.05 %", 2.0, other["ten rods uniform"],
     None),
    ("ten rods, three layers", "level/ten rods 3 layers / solve", "field/ten rods 3 layers 0.05 %", 10.0, None, None),
    ("60 m mesh, uniform, true error below 0.05 %", "level/mesh 60 m uniform / n 880", "field/mesh 60 m uniform 0.05 %", 15.0,
     other["mesh uniform 880"], None),
    ("60 m mesh, uniform, true error below 0.01 %", "level/mesh 60 m uniform / n 1760", "field/mesh 60 m uniform 0.01 %",
     150.0, other["mesh uniform 1760"], None),
    ("60 m mesh, two layers, true error below 0.01 %", "level/mesh 60 m 2 layers / n 3520", "field/mesh 60 m 2 layers 0.01 %",
     500.0, other["mesh two layers 1760"], None),
    ("60 m mesh with a rod anywhere, no two places alike, 0.01 %", "field/mesh 60 m with a rod anywhere uniform 0.01 %", None,
     None, None, None),
    ("map of 200 x 200 points over 448 elements, uniform", "map/200 x 200 points uniform", None, 150.0,
     100 * mine["map_by_points/400 points uniform"]["ms"], None),
    ("map of 200 x 200 points over 448 elements, three layers", "map/200 x 200 points 3 layers", None, 1000.0,
     100 * mine["map_by_points/400 points 3 layers"]["ms"], None),
]
print("| work | unknowns | ms | target ms | true error % | ms until our own estimate says so | naive ms | naive / ours | "
      "finite elements ms | ratio |")
print("|---|---|---|---|---|---|---|---|---|---|")
for work, level, field, target, naive_ms, fem_ms in rows:
    row = mine[level]
    print(f"| {work} | {number(row.get('n'))} | {number(row['ms'])} | {number(target)} | {number(row.get('error_percent'))} | "
          f"{number(mine[field]['ms'] if field else None)} | {number(naive_ms)} | {ratio(naive_ms, row['ms'])} | "
          f"{number(fem_ms)} | {ratio(fem_ms, row['ms'])} |")
print("\nNaive: for the sounding adaptive quadrature of each value; for maps point by point; else boundary "
      "elements in numpy (the mesh in two layers at half the unknowns).\n")
print("| unknowns | whole solution ms | dense factor by OpenBLAS ms | ratio (target at most 4) |")
print("|---|---|---|---|")
for size, level in ((1500, "level/mesh 60 m uniform / n 1500"), (4000, "level/mesh 60 m uniform / n 4000")):
    yardstick = mine.get(f"Cholesky, OpenBLAS dpotrf/{size}")
    print(f"| {number(mine[level].get('n'))} | {number(mine[level]['ms'])} | {number(yardstick['ms'] if yardstick else None)} | "
          f"{ratio(mine[level]['ms'], yardstick['ms'] if yardstick else None)} |")
for name in ("arrangements/10 rods uniform", "arrangements/10 rods 3 layers"):
    print(f"\n{name}: {mine[name]['items_per_second'] / 1e6:.2f} million a second (target 0.8)")
