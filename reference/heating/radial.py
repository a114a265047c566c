# SPDX-License-Identifier: MIT
"""Heating of soil round a long bar by the current that leaves it, by finite differences (SciPy): independent of the
library, which inverts a Laplace transform. Prints rise / Q against Fourier number alpha t / a^2, where
Q = rho I'^2 / (4 pi^2 lambda); no heat passes through the surface of the bar. Run: python3 reference/heating/radial.py"""
import numpy as np
from scipy.integrate import solve_ivp
from scipy.sparse import diags


def rises(fourier, points):
    log_radius = np.linspace(0.0, np.log(60.0 * np.sqrt(max(fourier)) + 60.0), points)
    step = log_radius[1] - log_radius[0]
    weight = np.exp(-2.0 * log_radius)  # theta_t = exp(-2 u) (theta_uu + Q), u = ln(r / a)
    upper = np.ones(points - 1)
    upper[0] = 2.0  # mirror: no flow at the metal
    second = diags([-2.0 * np.ones(points), upper, np.ones(points - 1)], [0, 1, -1]) / step**2
    matrix = (diags([weight], [0]) @ second).tolil()
    matrix[-1, :] = 0.0
    matrix = matrix.tocsc()
    source = weight.copy()
    source[-1] = 0.0
    run = solve_ivp(lambda t, y: matrix @ y + source, (0.0, max(fourier)), np.zeros(points), method="BDF",
                    jac=matrix, rtol=1e-8, atol=1e-11, t_eval=sorted(fourier))
    return run.y[0]


fourier = [0.01, 0.1, 1.0, 10.0, 100.0, 1e3, 1e4, 1e5, 1e6]
coarse, fine = rises(fourier, 3000), rises(fourier, 6000)
for f, a, b in zip(fourier, coarse, fine):
    print(f"{f:10g} {b + (b - a) / 3.0:.7g}  (coarse to fine {b / a - 1.0:+.1e})")
