#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Does each published model lie inside the 90 % intervals of a fit to its own readings?

Independent of the library: forward values by Gauss quadrature of the resistivity transform on the real axis, profiles
by scipy; a minute. The expected values of the rows sounding.published_model_place in interpretation.toml. One relative error of 5 % is stated; if chi-square exceeds its 95 % point the scatter is
taken from the readings, with Student's t. A parameter is inside if chi-square, with the parameter held at the published
value and all others fitted, stays below its least plus the rise allowed.
"""
import numpy as np
from scipy import optimize, stats
from scipy.special import j0

ERROR = 0.05


def transform(wavenumber, rho, thickness):
    value = np.full_like(wavenumber, rho[-1])
    for r, h in zip(rho[-2::-1], thickness[::-1]):
        t = np.tanh(wavenumber * h)
        value = (value + r * t) / (1 + value * t / r)
    return value


NODES, WEIGHTS = np.polynomial.legendre.leggauss(16)


def wenner(spacing, rho, thickness):
    """rho_a = 2 a int T(l) (J0(l a) - J0(2 l a)) dl (Koefoed 1979, from memory), in excess of the top layer."""
    result = []
    for a in spacing:
        # T - rho_1 decays like exp(-2 l h1): the range is finite
        end = 20.0 / thickness[0] if len(thickness) else 0.0
        panels = np.unique(np.concatenate([np.geomspace(1e-6 / a, end, 80),
                                           np.arange(0, end, np.pi / (2 * a))])) if end else np.array([0.0])
        low, high = panels[:-1], panels[1:]
        x = 0.5 * (low + high)[:, None] + 0.5 * (high - low)[:, None] * NODES
        w = 0.5 * (high - low)[:, None] * WEIGHTS
        f = (transform(x, rho, thickness) - rho[0]) * (j0(x * a) - j0(2 * x * a))
        result.append(rho[0] + 2 * a * np.sum(w * f))
    return np.array(result)


def residuals(p, count, spacing, measured):
    rho, h = np.exp(p[:count]), np.exp(p[count:])
    return (np.log(measured) - np.log(np.maximum(wenner(spacing, rho, h), 1e-9))) / ERROR


def least(start, free, spacing, measured, count):
    start = np.array(start, float)
    def f(x):
        p = start.copy(); p[free] = x
        return residuals(p, count, spacing, measured)
    if not len(free):
        return start, np.sum(f(np.array([])) ** 2)
    r = optimize.least_squares(f, start[free], xtol=1e-10, ftol=1e-10, bounds=(start[free] - 6, start[free] + 6))
    p = start.copy(); p[free] = r.x
    return p, 2 * r.cost


CASES = {
    "computed-1000-over-200": ([1, 2, 4, 6, 8, 12, 16, 22, 32], [996, 974, 858, 696, 549, 361, 276, 230, 210], [1000, 200], [5.0]),
    "computed-700-over-180": ([1, 2, 4, 6, 8, 16, 32], [684, 611, 415, 294, 237, 189, 182], [700, 180], [2.5]),
    "simplified-graphical-700-over-184": ([1, 2, 4, 6, 8, 16, 32], [684, 611, 415, 294, 237, 189, 182], [700, 184], [2.57]),
    "computed-1000-over-20": ([1, 2, 3, 4, 5], [693.74, 251.62, 84.56, 37.64, 25.32], [1000, 20], [1.0]),
    "computed-100-over-1000": ([2, 4, 6, 8, 10], [123.33, 189.99, 258.93, 320.27, 374.13], [100, 1000], [2.5]),
    "computed-100-over-300": ([2, 4, 6, 8, 10], [102.26, 113.07, 129.77, 147.52, 163.95], [100, 300], [5.0]),
    "six-readings-absolute": ([2.5, 5, 7.5, 10, 12.5, 15], [320, 245, 182, 162, 168, 152], [364.67, 143.56], [2.827]),
    "six-readings-gradient": ([2.5, 5, 7.5, 10, 12.5, 15], [320, 245, 182, 162, 168, 152], [383.49, 147.65], [2.563]),
    "eight-readings": ([2.5, 5, 7.5, 10, 12.5, 15, 20, 25], [451.6, 366.7, 250.2, 180, 144.2, 120.2, 115.5, 96.5], [494.883, 93.663], [4.37]),
    "graphical-three-layers": ([1, 2, 4, 8, 16, 32], [11938, 15770, 17341, 11058, 5026, 3820], [8300, 42003.03, 3062.43], [0.8, 3.7]),
    "uniform-site": ([1, 1.5, 2, 3, 4.5, 6, 9, 13.5] * 2, [132.59, 136.02, 137.75, 122.92, 128.66, 127.06, 140.26, 136.5, 125.68, 131.59, 126.56, 137.05, 129.8, 128.19, 130.08, 135.14], [131.5], []),
}

for name, (spacing, measured, rho, h) in CASES.items():
    spacing, measured = np.array(spacing, float), np.array(measured, float)
    count = len(rho)
    published = np.log(np.array(list(rho) + list(h)))
    free = list(range(len(published)))
    starts = [published] + [published + d for d in np.random.default_rng(1).normal(0, 0.7, (12, len(published)))]
    best, chi = min((least(s, free, spacing, measured, count) for s in starts), key=lambda r: r[1])
    freedom = len(measured) - len(published)
    inflation = 1.0
    if freedom >= 1:
        scatter = np.sqrt(chi / freedom)
        believed = chi <= stats.chi2.ppf(0.95, freedom)
        inflation = max(1.0, scatter) if believed else scatter * stats.t.ppf(0.95, freedom) / 1.6448536269514722
    rise = 1.6448536269514722 ** 2 * inflation ** 2
    out = []
    for k in free:
        rest = [j for j in free if j != k]
        held = []
        for s in [best, published]:
            s = np.array(s); s[k] = published[k]
            held.append(least(s, rest, spacing, measured, count)[1])
        if min(held) > chi + rise:
            out.append(("resistivity %d" % (k + 1)) if k < count else ("thickness %d" % (k - count + 1)))
    print(name, "fit", np.round(np.exp(best), 3), "misfit %.4f" % (ERROR * np.sqrt(chi / len(measured))), "rise %.2f" % rise, "outside: " + ", ".join(out) if out else "inside")
