#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Mutual, transferred, floating and insulated values of parallel horizontal bars, computed on their own.

All bars lie along x in the upper layer of uniform or two-layer soil, so that every entry of the Galerkin
matrix is a closed form: the double integral of 1/r over parallel segments is a second difference of
F(u) = u asinh(u/p) - sqrt(u^2 + p^2), p their perpendicular distance. A bar acts on itself as a tube: the mean
over the azimuth of F with p = 2 a sin(phi/2), 40 Gauss nodes in a variable that crowds them at phi = 0.
Layers: the image series, cut where its terms fall below 1e-12. Elements are even leakage, graded to the ends
and at most a stated length in the middle; every value is printed for two gradings, the second with twice the
elements, and their difference is the error stated. The flat end lengthens a free end by 0.0989 radius
(axisymmetric boundary elements). Nothing is shared with the library. Needs numpy.
Run: /usr/bin/python3 parallel_bars.py > parallel_bars.txt
"""
import numpy as np

FLAT_END = 0.0989


def breaks(length, radius, longest, first):
    sizes, size, used = [], first * radius, 0.0
    while size < longest and used + size < 0.3 * length:
        sizes.append(size)
        used += size
        size *= 1.3
    middle = length - 2 * used
    count = max(1, int(np.ceil(middle / longest)))
    return np.concatenate([[0.0], np.cumsum(sizes + [middle / count] * count + sizes[::-1])])


class Bar:
    def __init__(self, electrode, x0, x1, y, z, a, free=(True, True)):
        self.electrode, self.y, self.z, self.a = electrode, y, z, a
        self.x0 = x0 - (FLAT_END * a if free[0] else 0.0)
        self.x1 = x1 + (FLAT_END * a if free[1] else 0.0)

    def grid(self, fineness):
        return self.x0 + breaks(self.x1 - self.x0, self.a, 0.3 / fineness, 0.25 / fineness)


def images(rho, h, z, zs):
    """Vertical distances and weights, both points in the upper layer."""
    k = 0.0 if h is None else (rho[1] - rho[0]) / (rho[1] + rho[0])
    result, n = [(z - zs, 1.0), (z + zs, 1.0)], 1
    while k and abs(k) ** n / n > 1e-12:
        for v in (z - zs, z + zs):
            result += [(2 * n * h + v, k**n), (2 * n * h - v, k**n)]
        n += 1
    return result, rho[0] / (4 * np.pi)


def f(u, p):
    return u * np.arcsinh(u / p) - np.hypot(u, p)


t, w = np.polynomial.legendre.leggauss(40)
t, w = (t + 1) / 2, w / 2
AZIMUTH = list(zip(np.pi * t**4, w * 4 * t**3))  # half a turn, mean


def block(rho, h, p, q, gp, gq):
    u = gp[:, None] - gq[None, :]
    ways, factor = images(rho, h, p.z, q.z)
    total = np.zeros_like(u)
    for v, weight in ways:
        distance = np.hypot(p.y - q.y, v)
        if distance > 1e-9:
            total += weight * f(u, distance)
        elif p.a == q.a:  # the same axis: tube
            for phi, part in AZIMUTH:
                total += weight * part * f(u, 2 * p.a * np.sin(phi / 2))
    double = -(total[1:, 1:] - total[:-1, 1:] - total[1:, :-1] + total[:-1, :-1])
    return factor * double / np.outer(np.diff(gp), np.diff(gq))


def solve(rho, h, bars, places, fineness):
    grids = [b.grid(fineness) for b in bars]
    a = np.block([[block(rho, h, p, q, gp, gq) for q, gq in zip(bars, grids)] for p, gp in zip(bars, grids)])
    owner = np.concatenate([[b.electrode] * (len(g) - 1) for b, g in zip(bars, grids)])
    member = (owner[:, None] == np.arange(owner.max() + 1)).astype(float)
    held = np.linalg.solve(a, member)
    resistance = np.linalg.inv(member.T @ held)
    currents = held @ resistance[:, 0]  # one ampere into the first, the others float
    surface = []
    for x, y in places:
        v, at = 0.0, 0
        for b, g in zip(bars, grids):
            ways, factor = images(rho, h, 0.0, b.z)
            flow = currents[at : at + len(g) - 1] / np.diff(g)
            at += len(g) - 1
            for vertical, weight in ways:
                p = np.hypot(y - b.y, vertical)
                v += factor * weight * np.dot(flow, np.diff(np.arcsinh((g - x) / p)))
        surface.append(v)
    return [resistance[i, j] for i in range(len(resistance)) for j in range(i, len(resistance))] + surface


PIPE = [Bar(0, 0, 100, 0, 0.8, 0.05)]
PAIR = [Bar(0, 0, 20, 0, 0.5, 0.00625), Bar(1, 5, 45, 1.5, 1.0, 0.05)]
SLEEVE = [Bar(0, 0, 10, 0, 0.6, 0.005, (True, False)), Bar(0, 20, 30, 0, 0.6, 0.005, (False, True))]
ALONG = [(50, 1), (35, 1), (20, 1), (8, 1), (2, 1), (0, 1), (-1, 0)]
BESIDE = [(10, -1), (2, -1), (10, 2.5), (30, 2.5), (44, 2.5), (46, 1.5)]
OVER = [(5, 1), (15, 1), (15, 0), (29, 1), (31, 0)]
CASES = [
    ("pipe-100m-uniform", (100.0,), None, PIPE, ALONG),
    ("pipe-100m-200-40", (200.0, 40.0), 2.0, PIPE, ALONG),
    ("pipe-100m-40-400", (40.0, 400.0), 2.0, PIPE, ALONG),
    ("bar-and-floating-pipe-uniform", (100.0,), None, PAIR, BESIDE),
    ("bar-and-floating-pipe-100-500", (100.0, 500.0), 1.6, PAIR, BESIDE),
    ("bar-with-insulated-middle-uniform", (100.0,), None, SLEEVE, OVER),
    ("bar-with-insulated-middle-300-60", (300.0, 60.0), 1.5, SLEEVE, OVER),
]

if __name__ == "__main__":
    print("# Made by parallel_bars.py: values for two gradings. R in ohm, surface potentials in V at 1 A.")
    print("# case what value coarser_value relative_difference")
    for name, rho, h, bars, places in CASES:
        values = zip(solve(rho, h, bars, places, 2), solve(rho, h, bars, places, 1))
        count = max(b.electrode for b in bars) + 1
        names = [f"R{i}{j}" for i in range(count) for j in range(i, count)]
        names += [f"V({x},{y})" for x, y in places]
        for what, (fine, coarse) in zip(names, values):
            print(f"{name} {what} {fine:.9g} {coarse:.9g} {coarse / fine - 1:.1e}")
