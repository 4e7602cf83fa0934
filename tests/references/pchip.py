"""Writes pchip.json: values and slopes of SciPy's PchipInterpolator. Run: python3 tests/references/pchip.py"""

import json
import pathlib

import numpy as np
import scipy
from scipy.interpolate import PchipInterpolator

SEED = 20240611
random = np.random.default_rng(SEED)

named = {
    "falling fan curve": ([0, 0.05, 0.1, 0.15, 0.2], [300, 290, 250, 170, 40]),
    "hump": ([0, 250, 500, 750, 1000, 1200], [0.90, 0.95, 0.90, 0.75, 0.40, 0]),
    "flats": ([0, 1, 2, 3, 4, 5, 6], [1, 1, 3, 3, 3, -1, -1]),
    "zigzag": ([0, 1, 2, 3, 4], [0, 5, -2, 7, 1]),
    "uneven spacing": ([0, 1e-3, 0.5, 0.51, 7, 100], [1, 2, 2.5, 4, 4.1, -30]),
    "end slope set to 0": ([0, 1, 1.1], [100, 0.5, 0]),
    "end slope limited to three secants": ([0, 10, 10.5, 20], [0, -1, -90, 300]),
    "three points": ([1, 2, 4], [5, 4, 0]),
    "two points": ([0.1, 0.3], [7, -2]),
}
for k in range(12):
    count = int(random.integers(3, 12))
    x = np.cumsum(10 ** random.uniform(-2, 1, count))
    y = np.round(random.normal(0, 10, count), 1 if k % 2 else 12)
    named[f"random {k}"] = (x.tolist(), y.tolist())

cases = []
for name, (x, y) in named.items():
    curve = PchipInterpolator(np.array(x, float), np.array(y, float))
    slope = curve.derivative()
    at = np.concatenate([random.uniform(x[0], x[-1], 12), x])
    cases.append(
        {
            "name": name,
            "knots": x,
            "values": y,
            "knotSlopes": slope(x).tolist(),
            "at": at.tolist(),
            "value": curve(at).tolist(),
            "slope": slope(at).tolist(),
        }
    )

fixture = {
    "source": "scipy.interpolate.PchipInterpolator",
    "status": "library",
    "versions": {"scipy": scipy.__version__, "numpy": np.__version__},
    "seed": SEED,
    "cases": cases,
}
path = pathlib.Path(__file__).with_suffix(".json")
path.write_text(json.dumps(fixture, indent=1) + "\n")
