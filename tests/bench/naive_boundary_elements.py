# SPDX-License-Identifier: MIT
"""The naive route that the benchmark compares with: thin bars, even leakage, potential at the middle of each element
by the closed form of a line, image sums for two layers, numpy's dense solver. Prints JSON: name -> milliseconds.
One thread (OMP_NUM_THREADS=1), best of a few runs."""
import json
import time

import numpy as np


def line_potential(points, start, end, radius):
    """Mean potential factor of lines (start to end, 1 A each) at points: matrix points x lines, times 1/(4 pi)."""
    axis = end - start
    length = np.linalg.norm(axis, axis=1)
    unit = axis / length[:, None]
    off = points[:, None, :] - start[None, :, :]
    along = np.einsum("ijk,jk->ij", off, unit)
    across2 = np.maximum(np.einsum("ijk,ijk->ij", off, off) - along**2, radius[None, :] ** 2)
    across = np.sqrt(across2)
    return (np.arcsinh(along / across) + np.arcsinh((length[None, :] - along) / across)) / length[None, :]


def mirrored(places, shift, sign):
    image = places.copy()
    image[:, 2] = sign * places[:, 2] + shift
    return image


def resistance(start, end, radius, layers, image_count=60):
    middle = 0.5 * (start + end)
    total = line_potential(middle, start, end, radius)
    total += line_potential(middle, mirrored(start, 0, -1), mirrored(end, 0, -1), radius)
    rho, depth, lower = layers
    if lower != rho:  # all metal in the upper layer
        k = (lower - rho) / (lower + rho)
        for n in range(1, image_count + 1):
            for shift in (2 * n * depth, -2 * n * depth):
                for sign in (1, -1):
                    total += k**n * line_potential(middle, mirrored(start, shift, sign),
                                                   mirrored(end, shift, sign), radius)
    current = np.linalg.solve(rho / (4 * np.pi) * total, np.ones(len(radius)))
    return 1 / current.sum()


def rods(places, length=2.4, radius=0.008, count=20):
    """Elements graded to both ends by the cosine rule."""
    cut = length * 0.5 * (1 - np.cos(np.pi * np.arange(count + 1) / count))
    start, end = [], []
    for x, y in places:
        for a, b in zip(cut[:-1], cut[1:]):
            start.append((x, y, a))
            end.append((x, y, b))
    return np.array(start), np.array(end), np.full(len(start), radius)


def mesh(parts):
    """60 m x 60 m, 10 x 10 meshes, 0.5 m deep, 10 mm round, each side of a mesh in equal parts."""
    start, end = [], []
    step = 6.0 / parts
    for i in range(11):
        for k in range(10 * parts):
            start.append((k * step, 6.0 * i, 0.5))
            end.append(((k + 1) * step, 6.0 * i, 0.5))
            start.append((6.0 * i, k * step, 0.5))
            end.append((6.0 * i, (k + 1) * step, 0.5))
    return np.array(start), np.array(end), np.full(len(start), 0.005)


def best_ms(work, times):
    best = float("inf")
    for _ in range(times):
        begin = time.process_time()
        work()
        best = min(best, time.process_time() - begin)
    return 1e3 * best


uniform = (100.0, 1.0, 100.0)
two = (400.0, 3.0, 80.0)
ten = [(3.0 * i, 0.0) for i in range(10)]
print(json.dumps({
    "one rod uniform": best_ms(lambda: resistance(*rods([(0, 0)]), uniform), 20),
    "ten rods uniform": best_ms(lambda: resistance(*rods(ten), uniform), 5),
    "mesh uniform 880": best_ms(lambda: resistance(*mesh(4), uniform), 2),
    "mesh uniform 1760": best_ms(lambda: resistance(*mesh(8), uniform), 1),
    "mesh two layers 1760": best_ms(lambda: resistance(*mesh(8), two), 1),
}))
