"""Writes system-points.json: meetings of PCHIP fan curves with PCHIP system curves by SciPy's brentq.

Run: python3 tests/references/system-points.py
"""

import json
import pathlib

import numpy as np
import scipy
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

SEED = 7
RANDOM = 20
here = pathlib.Path(__file__).parent
random = np.random.default_rng(SEED)

hump = [[0, 200], [0.05, 150], [0.1, 220], [0.15, 210], [0.2, 120], [0.25, 20]]
quadratic = [[q, 150 + 3000 * q**2] for q in np.linspace(0, 0.3, 13)]
named = [
    ("hump met three times", hump, quadratic),
    ("hump against a level system from reversed flow", hump, [[-0.1, 190], [0.3, 190]]),
    ("beyond the last point of the fan", hump, [[0, -80], [0.1, -40], [0.4, 10]]),
    ("a system with a step, met often", hump, [[0, 100], [0.08, 175], [0.12, 214], [0.2, 216], [0.3, 400]]),
]


def some_fan():
    """A fan whose curve ends falling, as a fan curve must."""
    while True:
        x = np.round(np.cumsum(random.uniform(0.02, 0.08, random.integers(3, 8))) - 0.02, 5)
        y = np.round(random.uniform(60, 300, len(x)), 3)
        y[-1] = min(y[-2] - 30, 20)
        if PchipInterpolator(x, y).derivative()(x[-1]) < 0:
            return np.column_stack([x, y]).tolist()


def some_system():
    x = np.cumsum(random.uniform(0.02, 0.1, random.integers(3, 8))) - 0.05
    y = np.cumsum(random.uniform(0, 80, len(x)))
    return np.column_stack([np.round(x, 5), np.round(y, 3)]).tolist()


def meetings(fan, system):
    (fx, fy), (sx, sy) = np.array(fan, float).T, np.array(system, float).T
    fan_curve, system_curve = PchipInterpolator(fx, fy), PchipInterpolator(sx, sy)
    slope = fan_curve.derivative()
    left, right = min(float(slope(fx[0])), 0.0), float(slope(fx[-1]))

    def pressure(q):
        if q < fx[0]:
            return fy[0] + left * (q - fx[0])
        if q > fx[-1]:
            return fy[-1] + right * (q - fx[-1])
        return float(fan_curve(q))

    def difference(q):
        return pressure(q) - float(system_curve(q))

    grid = np.linspace(sx[0], sx[-1], 40_001)
    values = np.array([difference(q) for q in grid])
    found = []
    for i in np.nonzero(np.sign(values[:-1]) != np.sign(values[1:]))[0]:
        q = brentq(difference, grid[i], grid[i + 1], xtol=1e-16, rtol=1e-15)
        found.append({"flow": q, "pressure": pressure(q), "stable": bool(values[i] > 0), "withinCurve": bool(fx[0] <= q <= fx[-1])})
    return found


def points(table):
    return [{"flow": float(q), "pressure": float(p)} for q, p in table]


cases = named + [(f"random {k + 1}", some_fan(), some_system()) for k in range(RANDOM)]
fixture = {
    "source": "scipy.interpolate.PchipInterpolator for both curves, scipy.optimize.brentq between the sign changes of a dense scan",
    "status": "library",
    "versions": {"scipy": scipy.__version__, "numpy": np.__version__},
    "seed": SEED,
    "cases": [
        {"name": name, "fan": points(fan), "system": points(system), "intersections": meetings(fan, system)}
        for name, fan, system in cases
    ],
}
(here / "system-points.json").write_text(json.dumps(fixture) + "\n")
for case in fixture["cases"]:
    print(case["name"], len(case["intersections"]), [m["stable"] for m in case["intersections"]])
