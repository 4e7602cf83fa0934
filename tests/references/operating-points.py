"""Writes operating-points.json: intersections of PCHIP fan curves with a + b*sign(q)*|q|^n by SciPy's brentq.

Run: python3 tests/references/operating-points.py (reads fan-tables.json).
"""

import json
import pathlib

import numpy as np
import scipy
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

here = pathlib.Path(__file__).parent
tables = json.loads((here / "fan-tables.json").read_text())
CFM = 0.3048**3 / 60
INCH = 0.0254 * 998 * 9.81

cengel = np.array(tables["cengel"]["points"], float)
cengel_b = tables["cengel"]["system"]["pressure"] * INCH / (tables["cengel"]["system"]["at"] * CFM) ** 2
hump = np.array([[0, 200], [0.05, 150], [0.1, 220], [0.15, 210], [0.2, 120], [0.25, 20]], float)
late = np.array([[0.1, 180], [0.15, 200], [0.2, 120], [0.25, 20]], float)

systems = [
    ("Cengel and Cimbala 14-1", cengel * [CFM, INCH], 0, cengel_b, 2),
    ("hump met three times", hump, 150, 3000, 2),
    ("hump met three times, a line", hump, 120, 800, 1),
    ("hump against a constant", hump, 190, 0, 2),
    ("beyond the last point", hump, -80, 500, 1.5),
    ("system above shut-off", hump, 260, 3000, 1.8),
    ("below the first point, then the hump", late, 172, 1000, 2),
    ("below the first point, reversed", late, 215, 500, 2),
]


def points_of(table, a, b, n):
    x, y = table.T
    curve = PchipInterpolator(x, y)
    slope = curve.derivative()
    left, right = min(float(slope(x[0])), 0.0), float(slope(x[-1]))

    def difference(q):
        if q < x[0]:
            p = y[0] + left * (q - x[0])
        elif q > x[-1]:
            p = y[-1] + right * (q - x[-1])
        else:
            p = float(curve(q))
        return p - a - b * np.sign(q) * abs(q) ** n

    span = x[-1]
    grid = np.linspace(-20 * span, 20 * span, 400_003)
    inner = np.linspace(-span, 2 * span, 100_003)
    grid = np.unique(np.concatenate([grid, inner]))
    values = np.array([difference(q) for q in grid])
    found = []
    for i in np.nonzero(np.sign(values[:-1]) != np.sign(values[1:]))[0]:
        q = brentq(difference, grid[i], grid[i + 1], xtol=1e-16, rtol=1e-15)
        found.append({"flow": q, "stable": bool(values[i] > 0), "withinCurve": bool(x[0] <= q <= x[-1])})
    return found


fixture = {
    "source": "scipy.interpolate.PchipInterpolator with scipy.optimize.brentq between the sign changes of a dense scan",
    "status": "library",
    "versions": {"scipy": scipy.__version__, "numpy": np.__version__},
    "cases": [
        {
            "name": name,
            "points": [{"flow": q, "pressure": p} for q, p in table.tolist()],
            "system": {"a": a, "b": b, "n": n},
            "operatingPoints": points_of(table, a, b, n),
        }
        for name, table, a, b, n in systems
    ],
}
(here / "operating-points.json").write_text(json.dumps(fixture, indent=1) + "\n")
for case in fixture["cases"]:
    print(case["name"], case["operatingPoints"])
