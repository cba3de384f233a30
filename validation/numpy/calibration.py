"""The strength-maturity hyperbola of cylinder breaks by scipy, apart from the program.

Reads series of cylinders as JSON from standard input and writes the constants, the
scatter of a cylinder and the one-sided lower bounds of the curve and of one more
cylinder at the maturities asked for.
"""

import json
import sys

import numpy as np
from scipy import optimize, stats


def curve(m, su, k, m0):
    x = k * (m - m0)
    return su * x / (1 + x)


def fit(series):
    m, s = np.array(series["maturity"]), np.array(series["strength"])
    best = None
    for k in (0.3, 1, 3, 10, 30):
        try:
            p, cov = optimize.curve_fit(curve, m, s, p0=[1.2 * s.max(), k / m.max(), 0.3 * m.min()],
                                        bounds=([0, 0, 0], [np.inf, np.inf, m.min()]), x_scale=[s.max(), 1 / m.max(), m.min()], xtol=1e-14, ftol=1e-14, gtol=1e-14)
        except RuntimeError:
            continue
        rest = np.sum((curve(m, *p) - s) ** 2)
        if best is None or rest < best[0]:
            best = (rest, p, cov)
    rest, p, cov = best
    free = len(m) - 3
    scatter = np.sqrt(rest / free)
    t = stats.t.ppf(series["confidence"], free)
    curves, cylinders = [], []
    for at in series["at"]:
        g = optimize.approx_fprime(p, lambda q: curve(at, *q), [1e-6 * p[0], 1e-6 * p[1], 1e-4])
        v = g @ cov @ g
        curves.append(curve(at, *p) - t * np.sqrt(v))
        cylinders.append(curve(at, *p) - t * np.sqrt(v + scatter**2))
    return dict(constants=list(p), scatter=scatter, curve=curves, cylinder=cylinders)


json.dump([fit(s) for s in json.load(sys.stdin)], sys.stdout)
